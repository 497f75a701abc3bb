"""Numbers with units are read as a photographer writes them, and refused with a way out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.units.reading import UnreadableError, example, read_measure
from jitter.units.table import DIMENSIONS, UNITS

# Closed form throughout: the value is the number written times the unit's definition, with
# 1 in = 25.4 mm and 1 ft = 0.3048 m exactly (published: international yard and pound agreement,
# 1959), t/C = T/K - 273.15 and t/F = 1.8 T/K - 459.67 (published: BIPM, SI Brochure, 9th ed.,
# 2019, 2.3.1; NIST SP 811, 2008, B.8). Conventional millimetre and inch of mercury, 133.322 Pa
# and 3386.39 Pa: from memory of the same NIST table.
READABLE = [
    ("483 mm", "m", 0.483),
    ("48.3cm", "m", 0.483),
    (".5 m", "m", 0.5),
    ("5. m", "m", 5.0),
    ("19 in", "m", 19 * 0.0254),
    ("19 1/2 in", "m", 19.5 * 0.0254),
    ("19-1/2 in", "m", 19.5 * 0.0254),
    ("-19 1/2 in", "m", -19.5 * 0.0254),
    ("-0 1/2 in", "m", -0.5 * 0.0254),
    ("1/2 in", "m", 0.5 * 0.0254),
    ("18-1/2 in", "m", 18.5 * 0.0254),
    ("18½ in", "m", 18.5 * 0.0254),
    ("3/2 in", "m", 1.5 * 0.0254),
    ("1/2.5 s", "s", 0.4),
    ('19.5"', "m", 19.5 * 0.0254),
    ("2 inches", "m", 2 * 0.0254),
    ("2 ft", "m", 2 * 0.3048),
    ("550 nm", "m", 5.5e-7),
    ("8 ms", "s", 0.008),
    ("+8 ms", "s", 0.008),
    ("−8 ms", "s", -0.008),
    ("8e-3 s", "s", 0.008),
    ("8 MS", "s", 0.008),
    ("1/20000 s", "s", 1 / 20000),
    ("1 / 250 sec", "s", 1 / 250),
    ("2 min", "s", 120.0),
    ("20 us", "s", 2e-5),
    ("20 µs", "s", 2e-5),  # U+00B5, the micro sign
    ("20 μs", "s", 2e-5),  # U+03BC, the Greek letter
    ("20 Us", "s", 2e-5),
    ("47.7 ul", "m3", 47.7e-9),
    ("47.7 µL", "m3", 47.7e-9),
    ("0.05 mL", "m3", 5e-8),
    ("50 mm3", "m3", 5e-8),
    ("20 C", "K", 293.15),
    ("20 °C", "K", 293.15),
    ("68 F", "K", 293.15),
    ("32 °f", "K", 273.15),
    ("-40 F", "K", 233.15),
    ("293.15 K", "K", 293.15),
    ("0.05 m/s", "m/s", 0.05),
    ("50 mm/s", "m/s", 0.05),
    ("72 mN/m", "N/m", 0.072),
    ("0.072 N/m", "N/m", 0.072),
    ("1.0 mPa s", "Pa s", 0.001),
    ("1.0  mpa   s", "Pa s", 0.001),
    ("0.998 g/ml", "kg/m3", 998.0),
    ("1013.25 hPa", "Pa", 101325.0),
    ("101.325 kPa", "Pa", 101325.0),
    ("1013.25 mbar", "Pa", 101325.0),
    ("101325 pa", "Pa", 101325.0),
    ("760 mmHg", "Pa", 760 * 133.322),
    ("29.92 inHg", "Pa", 29.92 * 3386.39),
    ("4.77 g", "kg", 0.00477),
    ("48 mg", "kg", 4.8e-5),
    ("1.2 kg", "kg", 1.2),
    ("0.9 ml/s", "m3/s", 0.9e-6),
    ("900 µL/s", "m3/s", 0.9e-6),
    ("54 mL/min", "m3/s", 0.9e-6),
    ("0.05 lx", "lx", 0.05),
    ("1/3 stop", "stop", 1 / 3),
    ("0.5", "stop", 0.5),
    ("f/13", "1", 13.0),
    ("F/5.6", "1", 5.6),
    ("1/64", "1", 1 / 64),
    ("3 %", "1", 0.03),
    ("3 1/2%", "1", 0.035),
    ("0.25", "1", 0.25),
    ("3⅓ %", "1", 1 / 30),
    ("1⅔ in", "m", 5 / 3 * 0.0254),
    (0.25, "1", 0.25),
    (13, "1", 13.0),
]


@pytest.mark.parametrize(("text", "si", "value"), READABLE)
def test_reads_what_people_write(text: str | float, si: str, value: float) -> None:
    assert read_measure(text, si).value == pytest.approx(value, rel=1e-14, abs=0.0)


@pytest.mark.parametrize(
    ("text", "value"), [("1 C", 1.0), ("1 K", 1.0), ("1.8 F", 1.0), ("-9 F", -5.0), ("0 C", 0.0)]
)
def test_a_difference_of_temperatures_has_no_zero(text: str, value: float) -> None:
    # Closed form: the zeros of both temperatures cancel, and 1 F = 5/9 K.
    assert read_measure(text, "K", difference=True).value == pytest.approx(value, rel=1e-14)


def test_decimal_fractions_of_a_unit_are_the_nearest_float() -> None:
    # Closed form: 294 / 1000 is rounded once, 294 * 0.001 twice.
    for thousandths in range(1, 1000):
        assert read_measure(f"{thousandths} ms", "s").value == thousandths / 1000
        assert read_measure(f"{thousandths} mm", "m").value == thousandths / 1000


def test_only_per_cents_are_marked_as_such() -> None:
    assert read_measure("3 %", "1").percent
    assert not read_measure("0.03", "1").percent


UNREADABLE = [
    ("19 s", "m", "is a time, but a length is wanted", "a length"),
    ("20 C", "m", "is a temperature", "a length"),
    ("19 mm", "s", "is a length, but a time is wanted", "a time"),
    ("3 %", "m", "is a plain number", "a length"),
    ("4.5 mm", "m3", "is a length, but a volume is wanted", "ul, ml or mm3"),
    ("4.5 m", "m/s", "is a length, but a speed is wanted", "m/s"),
    ("13 mm", "1", "is a length", "a plain number"),
    ("483", "m", "has no unit", "483 mm"),
    (483, "m", "has no unit", "483 mm"),
    ("20", "K", "has no unit", "20 C"),
    ("1/2", "s", "has no unit", "8 ms"),
    ("483 mmm", "m", "perhaps 'mm'", "mm, cm, m"),
    ("8 mss", "s", "perhaps 'ms'", "s, ms"),
    ("10 lux", "lx", "perhaps 'lx'", "lx"),
    ("5 ml", "kg", "is a volume, but a mass is wanted", "kg, g or mg"),
    ("1 ml", "m3/s", "is a volume, but a flow is wanted", "ml/s, ul/s or ml/min"),
    ("760 mm", "Pa", "is a length, but a pressure is wanted", "hPa, kPa, mbar, mmHg or inHg"),
    ("760", "Pa", "has no unit", "1013 hPa"),
    ("19 parsecs", "m", "'parsecs' is no unit known here", "in or ft"),
    ("5 mm²", "m", "is no unit known here", "mm, cm, m"),
    ("8,5 ms", "s", "has a comma", 'write "8.5 ms", with a decimal point'),
    ("0,125 in", "m", "has a comma", 'write "0.125 in", with a decimal point'),
    ("f/5,6", "1", "has a comma", 'write "f/5.6", with a decimal point'),
    ("1,000.5 mm", "m", "has a comma", 'write "1000.5 mm", without the comma'),
    ("1,250 mm", "m", "has a comma", 'write "1250 mm", or "1.250 mm" with a decimal point'),
    ("1,2,5 mm", "m", "has a comma", "no comma"),
    # Two readings each: a point where a space was meant, or a part that is no proper one.
    ("18.1/2 in", "m", "leaves open what it means", 'write "18 1/2 in" or "18.5 in"'),
    ('18.1/2"', "m", "leaves open what it means", 'write "18 1/2 in" or "18.5 in"'),
    ("18 3/2 in", "m", "leaves open what it means", 'write "19 1/2 in" or "19.5 in"'),
    ("-18 3/2 in", "m", "leaves open what it means", 'write "-19 1/2 in" or "-19.5 in"'),
    ("18 2/2 in", "m", "leaves open what it means", 'write "19 in"'),
    ("18 - 1/2 in", "m", "leaves open what it means", 'write "18 1/2 in" or "18.5 in"'),
    ("18 -1/2 in", "m", "leaves open what it means", 'write "18 1/2 in" or "18.5 in"'),
    ("18 1.5/2 in", "m", "leaves open what it means", "one number"),
    ("18 1/2.5 in", "m", "leaves open what it means", "one number"),
    ("18.5/2 in", "m", "leaves open what it means", 'such as "9.25 in"'),
    (".5/2 s", "s", "leaves open what it means", 'such as "0.25 s"'),
    ("18.½ in", "m", "is no unit known here", "483 mm"),
    ("1/0 s", "s", "divides by zero", "8 ms"),
    ("19 1/0.0 in", "m", "divides by zero", "483 mm"),
    ("19 1 in", "m", "holds two numbers", "483 mm"),
    ("1/2/3 s", "s", "is no unit known here", "8 ms"),
    ("1e999 mm", "m", "is not a finite number", "483 mm"),
    ("1/1e-320 s", "s", "is not a finite number", "8 ms"),
    ("nan mm", "m", "is not a number", "483 mm"),
    ("inf s", "s", "is not a number", "8 ms"),
    (math.nan, "1", "is not a number", "0.25"),
    (math.inf, "1", "is not a number", "0.25"),
    (-math.inf, "1", "is not a number", "0.25"),
    ("", "m", "is not a number", "483 mm"),
    ("mm", "m", "is not a number", "483 mm"),
    ("f/", "1", "is not a number", "0.25"),
    ("about 19 in", "m", "is not a number", "483 mm"),
    ("f/13 mm", "m", "f/13 mm", "483 mm"),
    (True, "1", "true is a yes or no", "0.25"),
    (False, "m", "false is a yes or no", "483 mm"),
]


@pytest.mark.parametrize(("text", "si", "wrong", "right"), UNREADABLE)
def test_refuses_with_what_is_wrong_and_what_is_right(
    text: str | float, si: str, wrong: str, right: str
) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure(text, si)
    assert wrong in caught.value.wrong
    assert right in caught.value.right


def test_a_message_shows_the_sample_of_whoever_asks() -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure("ISO 200", "1", right=example("1", "200"))
    assert caught.value.right.startswith('write a plain number such as "200"')


@pytest.mark.parametrize(("si", "told"), [("1", False), ("m", True)])
def test_only_what_has_a_unit_is_asked_for_one(si: str, told: bool) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure("often", si)
    assert ("with a unit" in caught.value.wrong) == told


@pytest.mark.parametrize("si", DIMENSIONS)
def test_the_example_in_every_message_can_be_read(si: str) -> None:
    measure = read_measure(DIMENSIONS[si][1], si)
    assert math.isfinite(measure.value)


@given(
    number=st.floats(-1e6, 1e6, allow_nan=False),
    name=st.sampled_from(sorted(UNITS)),
    wanted=st.sampled_from(sorted(DIMENSIONS)),
)
@settings(deadline=None, max_examples=200)
def test_a_unit_is_read_in_its_own_dimension_only(number: float, name: str, wanted: str) -> None:
    unit = UNITS[name]
    text = f"{number!r} {name}"
    if wanted == unit.si:
        # Closed form: the definition of the unit.
        expected = number * unit.factor + unit.zero
        assert read_measure(text, wanted).value == pytest.approx(expected, rel=1e-12, abs=1e-300)
    elif not (wanted == "stop" and name == ""):
        with pytest.raises(UnreadableError) as caught:
            read_measure(text, wanted)
        assert DIMENSIONS[wanted][0] in caught.value.right


@given(text=st.text(max_size=30), si=st.sampled_from(sorted(DIMENSIONS)))
@settings(deadline=None, max_examples=300)
def test_any_text_is_read_or_refused(text: str, si: str) -> None:
    try:
        sound = math.isfinite(read_measure(text, si).value)
    except UnreadableError as fault:
        sound = bool(fault.wrong and fault.right)
    assert sound
