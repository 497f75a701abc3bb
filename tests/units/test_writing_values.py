"""What jitter writes is short, and reads back as the same value."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.quantities import NONE, Quantity, Shape, Spread
from jitter.stages import CHAIN
from jitter.units.reading import read_measure, read_spread
from jitter.units.table import APERTURES, DIMENSIONS, SPEEDS
from jitter.units.writing import (
    write_aperture,
    write_difference,
    write_iso,
    write_number,
    write_percent,
    write_power,
    write_spread,
    write_value,
)

QUANTITIES = [item for item in CHAIN.declarations.values() if isinstance(item, Quantity)]
SIZES = st.one_of(st.just(0.0), st.floats(1e-9, 1e7), st.floats(-1e7, -1e-9))
WORDS = (Shape.NORMAL, Shape.RECTANGULAR, Shape.TRIANGULAR, Shape.ARCSINE, Shape.TRUNCATED)

# Closed form: half a unit in the last of n significant digits is at most 0.5 * 10**(1 - n) of
# the value.
FOUR_DIGITS, THREE_DIGITS = 0.5e-3, 0.5e-2


@given(value=SIZES, si=st.sampled_from(sorted(set(DIMENSIONS) - {"K"})))
@settings(deadline=None, max_examples=300)
def test_a_written_value_reads_back(value: float, si: str) -> None:
    text = write_value(value, si)
    assert read_measure(text, si).value == pytest.approx(value, rel=1.001 * FOUR_DIGITS, abs=0.0)


@given(celsius=st.floats(-100.0, 100.0))
@settings(deadline=None, max_examples=100)
def test_a_written_temperature_reads_back(celsius: float) -> None:
    text = write_value(celsius + 273.15, "K")
    near = pytest.approx(celsius, rel=1.001 * FOUR_DIGITS, abs=1e-6)
    assert read_measure(text, "K").value - 273.15 == near


@given(value=SIZES, si=st.sampled_from(sorted(DIMENSIONS)))
@settings(deadline=None, max_examples=300)
def test_a_written_difference_reads_back(value: float, si: str) -> None:
    read = read_measure(write_difference(value, si), si, difference=True).value
    assert read == pytest.approx(value, rel=1.001 * THREE_DIGITS, abs=0.0)


@given(
    size=st.floats(1e-9, 1e3),
    shape=st.sampled_from(WORDS),
    si=st.sampled_from(sorted(set(DIMENSIONS) - {"K"})),
    relative=st.booleans(),
)
@settings(deadline=None, max_examples=300)
def test_a_written_spread_reads_back(size: float, shape: Shape, si: str, relative: bool) -> None:
    text = write_spread(Spread(shape, size, relative), si)
    read = read_spread(text, si, nominal=1.0)
    assert (read.shape, read.relative) == (shape, relative)
    assert read.size == pytest.approx(size, rel=1.001 * THREE_DIGITS)


@given(size=st.floats(1e-6, 10.0))
@settings(deadline=None, max_examples=100)
def test_a_written_lognormal_spread_reads_back(size: float) -> None:
    read = read_spread(write_spread(Spread(Shape.LOGNORMAL, size), "s"), "s", nominal=1.0)
    assert read.shape is Shape.LOGNORMAL
    assert read.size == pytest.approx(size, rel=1.001 * THREE_DIGITS)


@pytest.mark.parametrize("declared", QUANTITIES, ids=lambda declared: declared.key)
def test_the_limits_told_in_a_message_can_be_read(declared: Quantity) -> None:
    for end in (declared.lower, declared.upper):
        read = read_measure(write_value(end, declared.unit), declared.unit).value
        assert read == pytest.approx(end, rel=1.001 * FOUR_DIGITS)


@pytest.mark.parametrize(
    ("value", "si", "text"),
    [  # Closed form: the same value in the unit that a photographer would choose.
        (0.483, "m", "483 mm"),
        (2.5, "m", "2.5 m"),
        (5.5e-7, "m", "0.55 µm"),
        (-0.0005, "m", "-0.5 mm"),
        (0.0, "m", "0 mm"),
        (0.294, "s", "294 ms"),
        (2e-5, "s", "20 µs"),
        (0.0, "s", "0 ms"),
        (15.0, "s", "15 s"),
        (1.0, "s", "1 s"),
        (0.999, "s", "999 ms"),
        (5e-8, "m3", "50 µL"),
        (1e-5, "m3", "10 mL"),
        (0.0, "m3", "0 µL"),
        (101325.0, "Pa", "1013 hPa"),
        (0.0, "Pa", "0 hPa"),
        (0.00477, "kg", "4.77 g"),
        (4.8e-6, "kg", "4.8 mg"),
        (2.5, "kg", "2.5 kg"),
        (0.0, "kg", "0 g"),
        (9e-7, "m3/s", "0.9 mL/s"),
        (0.0, "m3/s", "0 mL/s"),
        (293.15, "K", "20 °C"),
        (273.15, "K", "0 °C"),
        (0.07275, "N/m", "72.75 mN/m"),
        (0.001, "Pa s", "1 mPa s"),
        (0.05, "m/s", "0.05 m/s"),
        (0.05, "lx", "0.05 lx"),
        (0.5, "stop", "0.5 stops"),
        (1.0, "stop", "1 stop"),
        (2.0, "stop", "2 stops"),
        (13.0, "1", "13"),
        (0.1 + 0.2, "1", "0.3"),
        # Halvings that four digits do not hold, as they stand on a flash; no other number.
        (1 / 1024, "1", "1/1024"),
        (1 / 64, "1", "1/64"),
        (1 / 32, "1", "0.03125"),
        (0.25, "1", "0.25"),
        (1 / 300, "1", "0.003333"),
        (1 / 1024, "m", "0.9766 mm"),
        (1024.0, "1", "1024"),
    ],
)
def test_values_are_written_in_the_unit_that_suits_their_size(
    value: float, si: str, text: str
) -> None:
    assert write_value(value, si) == text


@pytest.mark.parametrize(
    ("spread", "si", "text"),
    [  # Closed form: the words of a study file.
        (NONE, "m", "none"),
        (Spread(Shape.NORMAL, 0.0003), "s", "sd 0.3 ms"),
        (Spread(Shape.RECTANGULAR, 0.001), "m", "within 1 mm"),
        (Spread(Shape.TRIANGULAR, 0.002), "m", "triangular within 2 mm"),
        (Spread(Shape.ARCSINE, 0.001), "m", "arcsine within 1 mm"),
        (Spread(Shape.TRUNCATED, 0.02), "m/s", "truncated sd 0.02 m/s"),
        (Spread(Shape.LOGNORMAL, 0.35), "1", "lognormal sd 0.35"),
        (Spread(Shape.NORMAL, 0.03, relative=True), "m3", "sd 3 %"),
        (Spread(Shape.NORMAL, 1.0), "K", "sd 1 K"),
    ],
)
def test_spreads_are_written_in_the_words_of_a_study(spread: Spread, si: str, text: str) -> None:
    assert write_spread(spread, si) == text


@given(value=SIZES, digits=st.integers(2, 6))
@settings(deadline=None, max_examples=200)
def test_a_number_keeps_its_digits_and_no_needless_zeros(value: float, digits: int) -> None:
    text = write_number(value, digits)
    # Closed form: as above, with n digits.
    assert float(text) == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits))
    mantissa, _, exponent = text.partition("e")
    assert not ("." in mantissa and mantissa.endswith(("0", ".")))
    assert not exponent.lstrip("-").startswith("0")


def test_shares_are_written_in_per_cent() -> None:
    # Closed form: a share of 0.5 is 50 %.
    assert write_percent(0.5) == "50.0 %"
    assert write_percent(0.0049, digits=0) == "<1 %"
    assert write_percent(0.0051, digits=0) == "1 %"
    assert write_percent(0.00049) == "<0.1 %"
    assert write_percent(0.0) == "0.0 %"


@pytest.mark.parametrize(
    ("share", "text"),
    [  # Closed form: a stop is a factor of two, a third of it one of 2^(1/3).
        (1.0, "1"),
        (0.5, "1/2"),
        (1 / 128, "1/128"),
        (1 / 3, "1/3"),
        (2 ** (1 / 3) / 128, "1/128 + 1/3 stop"),
        (2 ** (2 / 3) / 128, "1/128 + 2/3 stop"),
        (2 ** (-1 / 3), "1/2 + 2/3 stop"),
        (2 ** (-2 / 3), "1/2 + 1/3 stop"),
        # Flashes that go by halves, and by tenths.
        (2**-0.5, "1/2 + 1/2 stop"),
        (2**-6.5, "1/128 + 1/2 stop"),
        (2**-2.7, "1/8 + 0.3 stop"),
        (2**-0.1, "1/2 + 0.9 stop"),
        # None of them.
        (0.3, "0.3"),
        (2**0.25 / 32, "0.0372"),
    ],
)
def test_powers_are_written_as_they_stand_on_a_flash(share: float, text: str) -> None:
    assert write_power(share) == text


@given(steps=st.integers(0, 120), parts=st.sampled_from([1, 2, 3, 10]))
@settings(deadline=None, max_examples=200)
def test_a_power_in_parts_of_a_stop_reads_back(steps: int, parts: int) -> None:
    share = 2.0 ** -min(steps / parts, 12.0)
    assert read_measure(write_power(share), "1").value == pytest.approx(share, rel=1e-12)


@given(share=st.floats(1.0 / 4096.0, 1.0))
@settings(deadline=None, max_examples=200)
def test_any_written_power_reads_back(share: float) -> None:
    assert read_measure(write_power(share), "1").value == pytest.approx(
        share, rel=1.001 * THREE_DIGITS
    )


def test_apertures_and_speeds_are_written_as_they_are_marked() -> None:
    # Closed form: a stop is a factor of √2 of the aperture number and of 2 of the speed; common
    # practice, no source: the rounded marks.
    for place, mark in enumerate(APERTURES):
        assert write_aperture(2.0 ** (place / 6.0)) == f"f/{mark:g}"
        assert write_aperture(mark) == f"f/{mark:g}"
        assert read_measure(write_aperture(mark), "1").value == mark
        assert mark == pytest.approx(2.0 ** (place / 6.0), rel=0.06)
    for place, speed in enumerate(SPEEDS):
        assert write_iso(25.0 * 2.0 ** (place / 3.0)) == f"ISO {speed:g}"
        assert write_iso(speed) == f"ISO {speed:g}"
        assert speed == pytest.approx(25.0 * 2.0 ** (place / 3.0), rel=0.03)


@pytest.mark.parametrize(
    ("number", "aperture", "iso"),
    [
        # Between two marks, and beyond them.
        (15.0, "f/15", "ISO 15"),
        (0.95, "f/0.95", "ISO 0.95"),
        (90.5, "f/90.5", "ISO 90.5"),
        (112.0, "f/112", "ISO 112"),
        (102400.0, "f/102400", "ISO 102400"),
    ],
)
def test_numbers_off_the_marks_are_written_as_they_are(
    number: float, aperture: str, iso: str
) -> None:
    assert (write_aperture(number), write_iso(number)) == (aperture, iso)
