"""Every form of a spread is read; whatever leaves its meaning open is refused with the question."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.quantities import NONE, Shape, Spread
from jitter.units.reading import UnreadableError, read_spread
from jitter.units.table import DIMENSIONS

# Closed form: the size is the number written in its unit, or the share for per cents.
FORMS = [
    ("sd 0.3 ms", "s", Spread(Shape.NORMAL, 0.0003)),
    ("SD 0.3 MS", "s", Spread(Shape.NORMAL, 0.0003)),
    ("sd 1/2 ms", "s", Spread(Shape.NORMAL, 0.0005)),
    ("sd 20 µs", "s", Spread(Shape.NORMAL, 2e-5)),
    ("within 1 mm", "m", Spread(Shape.RECTANGULAR, 0.001)),
    ("within 1/2 in", "m", Spread(Shape.RECTANGULAR, 0.0127)),
    ("triangular within 2 mm", "m", Spread(Shape.TRIANGULAR, 0.002)),
    ("  Triangular  Within 2 mm ", "m", Spread(Shape.TRIANGULAR, 0.002)),
    ("arcsine within 1 mm", "m", Spread(Shape.ARCSINE, 0.001)),
    ("truncated sd 0.02 m/s", "m/s", Spread(Shape.TRUNCATED, 0.02)),
    ("lognormal sd 0.35", "1", Spread(Shape.LOGNORMAL, 0.35)),
    ("lognormal sd 0.35", "s", Spread(Shape.LOGNORMAL, 0.35)),
    ("lognormal sd 35 %", "m3", Spread(Shape.LOGNORMAL, 0.35)),
    ("sd 3 %", "m3", Spread(Shape.NORMAL, 0.03, relative=True)),
    ("within 3%", "s", Spread(Shape.RECTANGULAR, 0.03, relative=True)),
    ("sd 3 %", "1", Spread(Shape.NORMAL, 0.03, relative=True)),
    ("sd 0.03", "1", Spread(Shape.NORMAL, 0.03)),
    ("none", "m", NONE),
    (" None ", "K", NONE),
]


@pytest.mark.parametrize(("text", "si", "spread"), FORMS)
def test_reads_every_form(text: str, si: str, spread: Spread) -> None:
    read = read_spread(text, si, nominal=2.0)
    assert (read.shape, read.relative) == (spread.shape, spread.relative)
    assert read.size == pytest.approx(spread.size, rel=1e-14)


@pytest.mark.parametrize(("text", "kelvin"), [("sd 1 C", 1.0), ("sd 1.8 F", 1.0), ("sd 2 K", 2.0)])
def test_a_spread_of_temperature_is_a_difference(text: str, kelvin: float) -> None:
    # Closed form: 1 C = 1 K and 1.8 F = 1 K as differences.
    assert read_spread(text, "K", nominal=293.15).size == pytest.approx(kelvin, rel=1e-14)


@pytest.mark.parametrize("text", ["± 1 mm", "±1 mm", "+/- 1 mm", "+/-1 mm", "+- 1 mm", "1 mm"])
def test_a_bare_plus_minus_is_refused_with_the_question(text: str) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_spread(text, "m", nominal=0.483)
    assert "half width or standard deviation?" in caught.value.wrong
    number = re.search(r"\d.*", text)
    assert number is not None
    assert f'"within {number[0]}" for a half width' in caught.value.right
    assert f'"sd {number[0]}" for a standard deviation' in caught.value.right


@pytest.mark.parametrize("text", ["± 1", "± 1,5 mm", "1", 1, "about right", "sd"])
def test_what_a_refusal_proposes_can_be_read(text: str | float) -> None:
    for si in DIMENSIONS:
        with pytest.raises(UnreadableError) as caught:
            read_spread(text, si, nominal=2.0)
        proposals = re.findall(r'"((?:within|sd) [^"]+)"', caught.value.right)
        shapes = {read_spread(proposal, si, nominal=2.0).shape for proposal in proposals}
        assert shapes == {Shape.RECTANGULAR, Shape.NORMAL}


UNREADABLE = [
    ("sd -1 mm", "m", 1.0, "is negative", "above 0, or none"),
    ("within -3 %", "m", 1.0, "is negative", "above 0, or none"),
    ("lognormal sd -0.1", "m", 1.0, "is negative", "above 0, or none"),
    ("sd 3 %", "m", 0.0, "share of the nominal value, which is 0", "mm, cm, m"),
    ("within 3 %", "s", 0.0, "share of the nominal value, which is 0", "s, ms"),
    ("sd 1 s", "m", 1.0, "is a time, but a length is wanted", "a length"),
    ("within 1 mm", "s", 1.0, "is a length, but a time is wanted", "a time"),
    ("lognormal sd 0.3 mm", "m", 1.0, "is a length", "a plain number"),
    ("sd 1", "m", 1.0, "has no unit", "a length"),
    ("sd 1 parsec", "m", 1.0, "is no unit known here", "a length"),
    ("sd 1,5 mm", "m", 1.0, "has a comma", "decimal point"),
    ("sd nan mm", "m", 1.0, "is not a number", "a length"),
    ("sd 1e999 mm", "m", 1.0, "is not a finite number", "a length"),
    ("sd", "m", 1.0, "is no spread", '"none"'),
    ("uniform 1 mm", "m", 1.0, "is no spread", '"none"'),
    ("lognormal within 1 mm", "m", 1.0, "is no spread", '"none"'),
    ("", "m", 1.0, "is no spread", '"none"'),
    # 3 % of 20 C is 0.6 or 8.8 K or 1.1 F, by the zero of the scale: it means nothing.
    ("sd 3 %", "K", 293.15, "3 %", "K"),
]


@pytest.mark.parametrize(("text", "si", "nominal", "wrong", "right"), UNREADABLE)
def test_refuses_with_what_is_wrong_and_what_is_right(
    text: str, si: str, nominal: float, wrong: str, right: str
) -> None:
    with pytest.raises(UnreadableError) as caught:
        read_spread(text, si, nominal=nominal)
    assert wrong in caught.value.wrong
    assert right in caught.value.right


@pytest.mark.parametrize("text", ["sd 0 mm", "within 0 mm", "sd 0 %", "lognormal sd 0"])
def test_a_spread_of_zero_is_none(text: str) -> None:
    assert read_spread(text, "m", nominal=1.0) == NONE


def test_a_share_of_a_plain_number_of_zero_is_absolute() -> None:
    # A plain number of 0, such as a clock error, strays by 0.05 % of one, not of nothing.
    spread = read_spread("sd 0.05 %", "1", nominal=0.0)
    assert not spread.relative
    assert spread.size == pytest.approx(0.0005, rel=1e-14)


@given(text=st.text(max_size=30), si=st.sampled_from(sorted(DIMENSIONS)))
@settings(deadline=None, max_examples=200)
def test_any_text_is_read_or_refused(text: str, si: str) -> None:
    for written in (text, f"sd {text}", f"lognormal sd {text}"):
        try:
            spread = read_spread(written, si, nominal=0.0)
            sound = spread == NONE or 0.0 < spread.size < math.inf
        except UnreadableError as fault:
            sound = bool(fault.wrong and fault.right)
        assert sound
