"""A share so many stops above or below another, as it stands on a flash; no other sum is read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.units.reading import UnreadableError, read_measure

# Closed form: a stop is a factor of two, so that a third of it is one of 2^(1/3).
READABLE = [
    ("1/32 + 1 stop", 1 / 16),
    ("1/32 - 2 stops", 1 / 128),
    ("1/32 + 1/3 stop", 2 ** (1 / 3) / 32),
    ("1/32 − 1/3 stop", 2 ** (-1 / 3) / 32),
    ("1/32+⅓stop", 2 ** (1 / 3) / 32),
    (" 1 / 32 + 2/3 Stops ", 2 ** (2 / 3) / 32),
    ("1/32 + 1 1/3 stops", 2 ** (4 / 3) / 32),
    ("0.5 - 0.3 stop", 2**-1.3),
    ("1 - 1/3 stop", 2 ** (-1 / 3)),
    ("1/32 + 0 stops", 1 / 32),
]


@pytest.mark.parametrize(("text", "value"), READABLE)
def test_reads_what_stands_on_a_flash(text: str, value: float) -> None:
    read = read_measure(text, "1")
    assert read.value == pytest.approx(value, rel=1e-14)
    assert not read.percent


SUMS = [
    "1/32 + 1/3",
    "1/32 - 1/3",
    "1/32 + 2 mm",
    "1/32 + 1/3 EV",
    "1/32 + stop",
    "1/32 + 1/3 stop mm",
    "1/32 + 1 stop + 1 stop",
    "1/32 + -1 stop",
    "1/32 + 1e9 stop",
    "-1/32 + 1 stop",
    "1" + "+1 stop" * 5000,
    # A third of a stop is another factor for an aperture, and a speed is no share.
    "f/8 + 1/3 stop",
    "8 + 1/3 stop",
    "100 + 1/3 stop",
]


@pytest.mark.parametrize("text", SUMS)
def test_no_other_sum_is_read(text: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure(text, "1")
    assert "is no sum known here" in caught.value.wrong
    assert '"1/32 + 1/3 stop"' in caught.value.right


@pytest.mark.parametrize(
    ("text", "si", "wrong", "right"),
    [
        ("1/3 stop", "1", "is an exposure step, but a plain number is wanted", "0.25"),
        ("+ 1/3 stop", "1", "is not a number", "0.25"),
        ("1/32 + 0,3 stop", "1", "has a comma", "decimal point"),
        ("1/32 + 1/0 stop", "1", "divides by zero", "0.5 stops"),
        ("1/0 + 1 stop", "1", "divides by zero", "0.25"),
        ("1/32 + 1/3/3 stop", "1", "is no unit known here", "0.5 stops"),
        (f"1/32 + {'9' * 400} stop", "1", "is not a finite number", "0.5 stops"),
        ("8 ms + 2 ms", "s", "is no unit known here", "8 ms"),
        ("8 + 2 ms", "s", "is no unit known here", "8 ms"),
        ("8 ms + 1 stop", "s", "is no unit known here", "8 ms"),
        ("1 stop + 1/3 stop", "stop", "is no unit known here", "0.5 stops"),
    ],
)
def test_refuses_with_what_is_wrong_and_what_is_right(
    text: str, si: str, wrong: str, right: str
) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure(text, si)
    assert wrong in caught.value.wrong
    assert right in caught.value.right


def test_a_difference_has_no_stops_over_it() -> None:
    with pytest.raises(UnreadableError) as caught:
        read_measure("1/32 + 1/3 stop", "1", difference=True)
    assert "is no sum known here" in caught.value.wrong


@pytest.mark.parametrize("sign", ["+", "-"])
def test_however_many_stops_are_a_finite_number(sign: str) -> None:
    # Whether a flash has that power is for its limits to say.
    read = read_measure(f"1/32 {sign} 99999999 stops", "1").value
    assert math.isfinite(read)
    assert (read > 1.0) == (sign == "+")


@given(share=st.floats(1e-4, 1.0), thirds=st.integers(0, 60), up=st.booleans())
@settings(deadline=None, max_examples=100)
def test_stops_over_a_share_are_factors_of_two(share: float, thirds: int, up: bool) -> None:
    text = f"{share:.17f} {'+' if up else '-'} {thirds}/3 stop"
    # Closed form: three thirds of a stop are a factor of two.
    expected = share * 2.0 ** ((thirds if up else -thirds) / 3.0)
    assert read_measure(text, "1").value == pytest.approx(expected, rel=1e-9)


PIECES = ["1", "1/32", "0.5", "3", "+", "-", "−", " ", "  ", "stop", "stops", "mm", "s", "f/", "e9",
          "%", ".", "/", ",", "½", "⅓", "²", "٣", "sd ", "within "]  # fmt: skip


@given(
    text=st.lists(st.sampled_from(PIECES), max_size=12).map("".join),
    si=st.sampled_from(["1", "stop", "m"]),
)
@settings(deadline=None, max_examples=500)
def test_any_pieces_of_a_sum_are_read_or_refused(text: str, si: str) -> None:
    try:
        sound = math.isfinite(read_measure(text, si).value)
    except UnreadableError as fault:
        sound = bool(fault.wrong and fault.right)
    assert sound
