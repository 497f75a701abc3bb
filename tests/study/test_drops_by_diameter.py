"""A drop given by its diameter is the sphere of that volume, with the spread that follows."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import Fault
from jitter.quantities import NONE, Shape, Spread
from jitter.study.study import Entry, Study

Read = Callable[..., Study]


def _entry(read: Read, which: str, value: str) -> Entry:
    text = f"version = 1\nvalve.{which}_diameter = {value}\n"
    return read(text).entries[f"valve.{which}_volume"]


@given(diameter=st.floats(0.5, 9.0), which=st.sampled_from(["first", "second"]))
@settings(deadline=None, max_examples=50)
def test_the_volume_is_that_of_the_sphere(read: Read, diameter: float, which: str) -> None:
    entry = _entry(read, which, f'"{diameter!r} mm"')
    # Closed form: V = pi d^3 / 6.
    assert entry.nominal == pytest.approx(math.pi / 6.0 * (diameter * 1e-3) ** 3, rel=1e-12)
    assert entry.given == {"nominal"}
    assert entry.setup == Spread(Shape.NORMAL, 0.03, relative=True)


@pytest.mark.parametrize(
    ("written", "shape", "share"),
    [  # Closed form: V ~ d^3, so dV / V = 3 dd / d; 0.09 mm of 4.5 mm is 2 %, three times is 6 %.
        ("sd 0.09 mm", Shape.NORMAL, 0.06),
        ("within 0.09 mm", Shape.RECTANGULAR, 0.06),
        ("triangular within 0.09 mm", Shape.TRIANGULAR, 0.06),
        ("arcsine within 0.09 mm", Shape.ARCSINE, 0.06),
        ("truncated sd 0.09 mm", Shape.TRUNCATED, 0.06),
        ("sd 2 %", Shape.NORMAL, 0.06),
        ("within 2 %", Shape.RECTANGULAR, 0.06),
    ],
)
@pytest.mark.parametrize("level", ["setup", "shot"])
def test_a_spread_of_the_diameter_counts_three_times(
    read: Read, written: str, shape: Shape, share: float, level: str
) -> None:
    entry = _entry(read, "first", f'{{ nominal = "4.5 mm", {level} = "{written}" }}')
    spread = getattr(entry, level)
    assert (spread.shape, spread.relative) == (shape, True)
    assert spread.size == pytest.approx(share, rel=1e-12)
    assert entry.given == {"nominal", level}


def test_a_lognormal_spread_of_the_diameter_counts_three_times(read: Read) -> None:
    entry = _entry(read, "second", '{ nominal = "4 mm", shot = "lognormal sd 0.02" }')
    # Closed form: log V = 3 log d + constant.
    assert entry.shot.shape is Shape.LOGNORMAL
    assert not entry.shot.relative
    assert entry.shot.size == pytest.approx(0.06, rel=1e-12)


def test_a_spread_alone_keeps_the_usual_drop(read: Read) -> None:
    usual = read("version = 1\n").number("valve.first_volume")
    entry = _entry(read, "first", '{ setup = "sd 2 %", shot = "none" }')
    assert entry.nominal == pytest.approx(usual, rel=1e-12)
    assert entry.setup.size == pytest.approx(0.06, rel=1e-12)  # Closed form: 3 times 2 %.
    assert entry.shot == NONE
    assert entry.given == {"setup", "shot"}


def test_diameter_and_volume_of_the_same_size_are_the_same_drop(read: Read) -> None:
    volume = math.pi / 6.0 * 4.0**3  # Closed form, in mm3, which is uL.
    by_volume = read(f'version = 1\nvalve.first_volume = "{volume!r} ul"\n')
    by_diameter = read('version = 1\nvalve.first_diameter = "4 mm"\n')
    key = "valve.first_volume"
    assert by_volume.number(key) == pytest.approx(by_diameter.number(key), rel=1e-12)


@pytest.mark.parametrize("order", [1, -1])
def test_a_drop_is_given_once(faults_of: Callable[..., tuple[Fault, ...]], order: int) -> None:
    lines = ['second_diameter = "4 mm"', 'second_volume = "40 ul"'][::order]
    text = "\n".join(["version = 1", "[valve]", *lines])
    (fault,) = faults_of(text)
    assert fault.key == "valve.second_diameter.nominal"
    assert "valve.second_volume" in fault.wrong
    assert fault.line == 3 + lines.index('second_diameter = "4 mm"')


def test_every_part_of_a_drop_is_given_once(
    faults_of: Callable[..., tuple[Fault, ...]],
) -> None:
    value = '{ nominal = "4 mm", setup = "none", shot = "sd 1 %" }'
    text = f"version = 1\nvalve.first_diameter = {value}\n"
    faults = faults_of(text + 'valve.first_volume = { setup = "sd 3 %", shot = "none" }\n')
    assert [fault.key.rpartition(".")[2] for fault in faults] == ["setup", "shot"]


def test_the_diameter_may_give_the_size_and_the_volume_its_spread(read: Read) -> None:
    text = 'version = 1\nvalve.first_diameter = "4 mm"\n'
    entry = read(text + 'valve.first_volume = { shot = "sd 2 %" }\n').entries["valve.first_volume"]
    # Closed form: V = pi d^3 / 6.
    assert entry.nominal == pytest.approx(math.pi / 6.0 * 0.004**3, rel=1e-12)
    assert entry.shot == Spread(Shape.NORMAL, 0.02, relative=True)
    assert entry.given == {"nominal", "shot"}


def test_the_volume_may_give_the_size_and_the_diameter_its_spread(read: Read) -> None:
    text = 'version = 1\nvalve.first_diameter = { shot = "sd 0.1 mm" }\n'
    volume = math.pi / 6.0 * 2.0**3  # Closed form, in uL: a drop of 2 mm.
    text += f'valve.first_volume = "{volume!r} ul"\n'
    entry = read(text).entries["valve.first_volume"]
    # Closed form: dV / V = 3 dd / d, at the drop's own 2 mm.
    assert entry.shot.relative
    assert entry.shot.size == pytest.approx(3.0 * 0.1 / 2.0, rel=1e-12)
