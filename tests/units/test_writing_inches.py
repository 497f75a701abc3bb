"""Lengths in inches and feet, and temperatures in Fahrenheit, are written as they are read."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jitter.units.reading import read_measure
from jitter.units.writing import write_fahrenheit, write_feet, write_inches


@given(
    st.floats(-10.0, 10.0).filter(lambda length: abs(length) > 1e-7), st.sampled_from([0.01, 0.1])
)
def test_inches_are_as_near_as_asked_for(length: float, share: float) -> None:
    read = read_measure(write_inches(length, share=share), "m").value
    assert abs(read - length) <= share * abs(length) * (1.0 + 1e-9)


@given(st.integers(-2000, 2000), st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_what_a_ruler_has_a_mark_for_is_written_by_it(marks: int, parts: int) -> None:
    # Closed form: an inch is 25.4 mm.
    length = 0.0254 * marks / parts
    written = write_inches(length, share=1e-9)
    assert "." not in written
    assert read_measure(written, "m").value == pytest.approx(length, abs=1e-12)


@pytest.mark.parametrize(
    ("length", "share", "written"),
    [
        # Closed form: inches of 25.4 mm, the coarsest mark within the share.
        (0.0, 0.01, "0 in"),
        (0.0254, 0.01, "1 in"),
        (0.610, 0.01, "24 in"),
        (0.610, 0.0001, "24 1/64 in"),
        (-0.0381, 0.01, "-1 1/2 in"),
        (-0.00635, 0.01, "-1/4 in"),
        (0.0005, 0.1, "0.02 in"),
        (0.001, 0.01, "0.039 in"),
        (0.0045, 0.001, "0.177 in"),
    ],
)
def test_inches(length: float, share: float, written: str) -> None:
    assert write_inches(length, share=share) == written


@pytest.mark.parametrize(("kelvin", "written"), [(273.15, "32 F"), (255.15, "-0.4 F")])
def test_fahrenheit(kelvin: float, written: str) -> None:
    # Closed form: F = 1.8 C + 32.
    assert write_fahrenheit(kelvin) == written
    assert read_measure(written, "K").value == pytest.approx(kelvin)
    assert write_fahrenheit(10.0, difference=True) == "18 F"


def test_feet() -> None:
    # Closed form: a foot is 0.3048 m.
    assert write_feet(1650.0) == "5413 ft"
