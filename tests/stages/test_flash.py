"""The flash: the moment and length of its light, whose durations, and when it stays dark."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import MistakeError
from jitter.quantities import NONE, Level, Quantity, Shape, within
from jitter.stages import CHAIN
from jitter.stages.flash import STAGE, TABLED, TABLED_BASIS
from jitter.stages.pulse import full_discharge, quenched
from jitter.study.reader import read_study
from jitter.study.study import Study

Shot = Callable[..., dict[str, Any]]
Rework = Callable[..., Any]


@given(power=st.floats(1.0 / 1024.0, 1.0), scale=st.floats(0.05, 20.0), delay=st.floats(0.0, 0.1))
@settings(deadline=None, max_examples=100)
def test_the_moment_is_the_centroid_of_the_scaled_pulse(
    shot: Shot, rework: Rework, power: float, scale: float, delay: float
) -> None:
    made = rework(
        STAGE,
        shot(),
        flash_command=np.array([[0.5]]),
        flash_power=np.array([[power]]),
        flash_duration_scale=np.array([[scale]]),
        flash_delay=np.array([[delay]]),
    )
    shape = quenched(np.array(power))
    # closed form: command + delay + centroid; every duration goes with the scale.
    assert made.flash_time.item() == pytest.approx(0.5 + delay + scale * float(shape.centroid))
    assert made.flash_duration.item() == pytest.approx(scale * float(shape.tenth))
    assert made.flash_half_duration.item() == pytest.approx(scale * float(shape.half))


@pytest.mark.parametrize(
    ("power", "recycle", "cadence", "dark"),
    [
        # closed form: a flash of power p has recharged after p times the full recycle time.
        (1.0, 3.0, 2.9, True),
        (1.0, 3.0, 3.1, False),
        (0.5, 3.0, 1.4, True),
        (0.5, 3.0, 1.6, False),
    ],
)
def test_a_flash_must_recharge(
    shot: Shot, rework: Rework, power: float, recycle: float, cadence: float, dark: bool
) -> None:
    made = rework(
        STAGE,
        shot(),
        flash_power=np.array([[power]]),
        flash_full_recycle=np.array([[recycle]]),
        session_cadence=cadence,
    )
    assert made.unlit.item() is dark


def test_a_failed_flash_is_dark(shot: Shot, rework: Rework) -> None:
    made = rework(STAGE, shot(), flash_dark_chance=np.array([[True, False]]))
    assert made.unlit.tolist() == [[True, False]]


TABLE = ((1.0 / 64.0, 80e-6), (1.0 / 4.0, 300e-6), (1.0, 2e-3))


@pytest.mark.parametrize(("power", "duration"), TABLE)
@pytest.mark.parametrize("kind", ["quenched", "voltage-controlled"])
def test_a_table_of_ones_own_is_followed_at_its_points(
    shot: Shot, rework: Rework, kind: str, power: float, duration: float
) -> None:
    events = shot()
    flat = np.array([[power]])
    tenth = rework(STAGE, events, flash_kind=kind, flash_power=flat, flash_tenth_durations=TABLE)
    assert tenth.flash_duration.item() == pytest.approx(duration, rel=1e-12)
    half = rework(STAGE, events, flash_kind=kind, flash_power=flat, flash_half_durations=TABLE)
    assert half.flash_half_duration.item() == pytest.approx(duration, rel=1e-12)
    # closed form: the pulse keeps its shape, so t0.1 and the centroid go with t0.5.
    ratio = half.flash_duration / duration
    plain = rework(STAGE, events, flash_kind=kind, flash_power=flat)
    if kind == "voltage-controlled":
        assert ratio.item() == pytest.approx((10 ** (1 / 3) - 1) / (2 ** (1 / 3) - 1), rel=1e-12)
    else:
        shape = quenched(flat)
        assert ratio.item() == pytest.approx((shape.tenth / shape.half).item(), rel=1e-12)
    start = events["flash_command"] + events["flash_delay"]
    stretched = (half.flash_time - start) / (plain.flash_time - start)
    assert stretched.item() == pytest.approx(
        (half.flash_duration / plain.flash_duration).item(), rel=1e-9
    )


def test_the_scale_of_durations_stretches_a_table_too(shot: Shot, rework: Rework) -> None:
    flat, slow = np.array([[0.25]]), np.array([[1.5]])
    made = rework(
        STAGE,
        shot(),
        flash_power=flat,
        flash_tenth_durations=TABLE,
        flash_duration_scale=slow,
    )
    # closed form: 1.5 times the table's.
    assert made.flash_duration.item() == pytest.approx(1.5 * 300e-6, rel=1e-12)


def read(*settings: str) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=settings)


def test_a_table_of_ones_own_is_trusted_more_unless_told_otherwise() -> None:
    table = "flash.half_durations=[['1/64', '80 us'], [1, '2 ms']]"
    declared = CHAIN.declarations["flash.duration_scale"]
    assert isinstance(declared, Quantity)
    plain, tabled = (read(*given).entries["flash.duration_scale"] for given in ((), (table,)))
    assert plain.setup == declared.setup
    assert (tabled.setup, tabled.setup_basis) == (TABLED, TABLED_BASIS)
    assert tabled.setup.size < plain.setup.size
    assert tabled.shot == plain.shot
    told = read(table, "flash.duration_scale.setup=none").entries["flash.duration_scale"]
    assert told.setup == NONE
    assert STAGE.adapt is not None
    assert set(STAGE.adapt({"flash_half_durations": TABLE, "flash_tenth_durations": None})) == {
        ("flash.duration_scale", Level.SETUP)
    }


@pytest.mark.parametrize(
    ("link", "delay", "setup", "shot"),
    [
        # ours: a cable; a slave sees 65 to 120 µs after its master; radios take 0.3 to 1.7 ms.
        ("wire", 30e-6, 0.0, 5e-6),
        ("optical slave", 90e-6, 30e-6, 8e-6),
        ("radio", 1e-3, 0.7e-3, 50e-6),
    ],
)
def test_the_link_sets_the_delays_defaults(
    link: str, delay: float, setup: float, shot: float
) -> None:
    entry = read(f"flash.link={link}").entries["flash.delay"]
    assert (entry.nominal, entry.setup.size, entry.shot.size) == (delay, setup, shot)
    assert entry.shot.shape is Shape.NORMAL
    assert entry.setup.shape is (Shape.RECTANGULAR if setup else Shape.NONE)
    told = read(f"flash.link={link}", "flash.delay=50 us").entries["flash.delay"]
    # What the study says of the delay comes before what its link suggests.
    assert (told.nominal, told.setup, told.shot) == (50e-6, entry.setup, entry.shot)


KINDS_AND_TABLES: list[dict[str, Any]] = [
    {},
    {"flash_kind": "voltage-controlled", "flash_full_duration": np.array([[2e-3]])},
    {"flash_tenth_durations": TABLE},
    {"flash_kind": "voltage-controlled", "flash_half_durations": TABLE},
]


@pytest.mark.parametrize("flash", KINDS_AND_TABLES)
@given(stagger=st.floats(0.0, 0.1), count=st.integers(2, 64))
@settings(deadline=None, max_examples=20)
def test_the_light_of_several_flashes_has_its_middle_between_the_first_and_the_last(
    shot: Shot, rework: Rework, flash: dict[str, Any], stagger: float, count: int
) -> None:
    events = shot() | flash | {"flash_power": np.array([[0.25]])}
    alone = rework(STAGE, events)
    several = rework(STAGE, events, flash_count=float(count), flash_stagger=np.array([[stagger]]))
    # closed form: half the light by half the stagger later on average, whatever each pulse is.
    later = several.flash_time - alone.flash_time
    assert later.item() == pytest.approx(0.5 * stagger, abs=1e-15)
    assert several.flash_gap.item() == stagger
    # Each flash lasts as it does alone.
    assert several.flash_duration == alone.flash_duration
    assert several.flash_half_duration == alone.flash_half_duration


@pytest.mark.parametrize("stagger", [None, np.array([[50e-6]])])
@pytest.mark.parametrize("count", [None, 1.0])
def test_one_flash_has_nothing_to_be_apart_from(
    shot: Shot, rework: Rework, count: float | None, stagger: Any
) -> None:
    alone = rework(STAGE, shot())
    made = rework(STAGE, shot(), flash_count=count, flash_stagger=stagger)
    assert made == alone
    assert made.flash_gap.item() == 0.0


@pytest.mark.parametrize(
    ("link", "stagger"),
    # ours: units on one cable, slaves that see the master unequally, radios that ask in turn.
    [("wire", 5e-6), ("optical slave", 30e-6), ("radio", 100e-6)],
)
def test_the_link_sets_how_far_apart_several_flashes_fire(link: str, stagger: float) -> None:
    several = read(f"flash.link={link}", "flash.count=3").entries["flash.stagger"]
    # From none to twice as long.
    assert (several.nominal, several.setup) == (stagger, within(stagger))
    alone = read(f"flash.link={link}").entries["flash.stagger"]
    assert (alone.nominal, alone.setup) == (None, NONE)


def test_flashes_are_counted_in_whole_numbers() -> None:
    with pytest.raises(MistakeError) as caught:
        read("flash.count=1.5")
    (fault,) = caught.value.faults
    assert (fault.key, fault.right) == ("flash.count", "write a whole number")


def test_a_flash_that_empties_itself_lasts_as_its_full_discharge(shot: Shot) -> None:
    events = shot("flash.kind=full discharge", "flash.full_duration=200 us", "session.cadence=60 s")
    shape = full_discharge(np.array(200e-6))
    assert events["flash_duration"].item() == pytest.approx(float(shape.tenth), rel=1e-12)
