"""The look of a frame: its words, what goes before what, and what the verdict says of it."""

from __future__ import annotations

import math
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages import look as looks
from jitter.stages.fall import Fall
from jitter.stages.look import LOOKS, Look
from jitter.stages.verdict import KEEPER, REASONS
from jitter.trial import fire, open_road
from tests.conftest import load
from tests.stages.looking import (
    MEASURED,
    OF_A_SHEET,
    SHOWN,
    Rework,
    Shot,
    again,
    beside,
    shown,
    word,
)

# What a frame is called once drop and jet have met.
AFTER = {
    "early": "umbrella early",
    "late": "umbrella late",
    "lopsided": "lopsided",
    "wrong exposure": "wrong exposure",
    "smeared": "smeared",
    "soft": "soft",
    "keeper": "keeper",
}
# Everything happens: drops beside the line, weak, bright and double light, spoilt focus.
MIXED = (
    "timer.delay={nominal='291 ms', shot='sd 6 ms'}",
    "valve.interval.shot=sd 4 ms",
    "valve.scatter.shot=sd 0.9 mm",
    "flash.energy.shot=sd 30 %",
    "flash.dark_chance=0.1",
    "flash.count=2",
    "flash.stagger={nominal='0.2 ms', setup='within 0.2 ms'}",
    "flash.duration_scale.setup=lognormal sd 1.2",
    "camera.focus.setup=within 8 mm",
    "camera.aperture=f/5.6",
    "camera.surface_place=0.1",
    "trim.frames=1",
)
SETUPS, SHOTS = 200, 24


@pytest.fixture(scope="module")
def mixed() -> dict[str, Any]:
    """The events of many different shots, and their verdicts."""
    study = load("barn-table", *MIXED)
    road = open_road(study, CHAIN, wanted=("look",))
    return fire(road, Block(Layout(study.seed, SETUPS, SHOTS), 0, SETUPS, 0, SHOTS)).as_set


# Regression, of the times: on the default rig the timer starts at 163 ms, the first drop lands at
# 359 ms, the jet emerges at 415 ms and meets the second drop at 452 ms. Closed form, what is then
# to be seen.
REACHED = {
    "dark": ("camera.shutter_open=0.9 s",),
    "nothing there": ("timer.delay=230 ms",),
    "one drop in the air": ("timer.delay=193 ms",),
    "column only": ("timer.delay=270 ms",),
    "drop above the column": ("timer.delay=286 ms",),
    "merged without a sheet": ("timer.delay=288.8 ms",),
    "umbrella early": ("timer.delay=290 ms",),
    "umbrella late": ("timer.delay=300 ms",),
    "two images": ("timer.delay=290.8 ms", "flash.count=2", "flash.stagger=0.5 ms"),
    "wrong exposure": ("flash.energy=1.6",),
    "smeared": ("flash.power=1",),
    "soft": ("camera.focus=12 mm", "camera.aperture=f/4"),
    "keeper": (),
}


@pytest.mark.parametrize("name", REACHED)
def test_every_word_is_reached(shot: Shot, name: str) -> None:
    events = shot(*REACHED[name])
    assert word(events) == name
    assert shown(events) == SHOWN.get(name, OF_A_SHEET)


def test_a_drop_beside_the_jet_makes_a_lopsided_sheet(shot: Shot) -> None:
    events = beside(shot(), towards=0.002)
    assert word(events) == "lopsided"
    assert shown(events) == OF_A_SHEET
    assert set(REACHED) | {"lopsided"} == set(LOOKS)


def test_the_light_may_come_before_the_drop_is_in_the_frame_or_after_all_is_over(
    shot: Shot,
) -> None:
    for settings in (("timer.delay=10 ms",), ("valve.interval=300 ms", "timer.delay=400 ms")):
        assert word(shot(*settings)) == "nothing there"
    # The drop comes too soon for the jet, or too late: the jet stands alone.
    for interval in ("20 ms", "300 ms"):
        assert word(shot(f"valve.interval={interval}")) == "column only"


@pytest.mark.parametrize("reason", AFTER)
def test_a_sheet_is_called_one_while_it_lives(shot: Shot, reason: str) -> None:
    # closed form: the law's radius is the drop's again 2/√3 √(ρ D³/(6 σ)) after the meeting, and
    # the tip is at the surface again as long after its top as it emerged before it.
    events = shot()
    density, tension = events["density"].item(), events["surface_tension"].item()
    life = math.sqrt(4.0 / 3.0 * density * events["second_diameter"].item() ** 3 / (6.0 * tension))
    over = events["meeting_time"].item() + life
    fallen = 2.0 * events["jet_peaks"].item() - events["jet_emerges"].item()
    code = np.array([[(*REASONS, "keeper").index(reason)]], dtype=np.uint8)
    for moment, name in (
        (over - 1e-6, AFTER[reason]),
        (over + 1e-6, "column only"),
        (fallen - 1e-6, "column only"),
        (fallen + 1e-6, "nothing there"),
    ):
        # A keeper is one by the verdict, whatever is left of it to be measured.
        called = "keeper" if reason == "keeper" else name
        for weber in (900.0, 10.0):
            seen = {"sheet_weber": np.array([[weber]]), "reason": code}
            made = again(events | seen, light_time=moment)
            made = walk([looks.STAGE], made | seen)
            small = name == AFTER[reason] and (weber < 60.0 or reason == "early")
            merged = small and reason != "keeper"
            assert word(made) == ("merged without a sheet" if merged else called)
            assert shown(made) == SHOWN.get(name, OF_A_SHEET)


@pytest.mark.parametrize("settings", [(), ("timer.delay=286 ms",), ("timer.delay=193 ms",)])
def test_four_stops_under_is_dark(shot: Shot, settings: tuple[str, ...]) -> None:
    # closed form: four stops are a factor of 16.
    lit = shot(*settings)
    assert word(again(lit, flash_energy=0.999 / 16.0)) == "dark"
    assert shown(again(lit, flash_energy=0.999 / 16.0)) == set()
    assert word(again(lit, flash_energy=1.001 / 16.0)) != "dark"
    assert shown(again(lit, flash_energy=1.001 / 16.0)) == shown(lit)


def test_a_frame_without_light_shows_nothing_whatever_happened(shot: Shot, rework: Rework) -> None:
    none = np.array([[np.nan]])
    unlit = np.array([[REASONS.index("no light")]], dtype=np.uint8)
    for settings in REACHED.values():
        made = rework(looks.STAGE, shot(*settings), light_time=none, age=none, reason=unlit)
        assert (word(made), shown(made)) == ("dark", set())


@pytest.mark.parametrize("reason", AFTER)
def test_a_sheet_is_called_after_the_verdict(shot: Shot, rework: Rework, reason: str) -> None:
    code = np.array([[(*REASONS, "keeper").index(reason)]], dtype=np.uint8)
    assert word(rework(looks.STAGE, shot(), reason=code)) == AFTER[reason]
    # Too gentle a meeting makes no sheet (Weber number under 60, as in the warnings).
    for weber, merged in ((59.9, reason != "keeper"), (60.1, False)):
        made = rework(looks.STAGE, shot(), reason=code, sheet_weber=np.array([[weber]]))
        assert (word(made) == "merged without a sheet") is merged
    # Under one and a half radii there is none yet; a late one has drawn back.
    for radius, small in ((0.74, True), (0.76, False)):
        size = radius * shot()["second_diameter"]
        made = rework(looks.STAGE, shot(), reason=code, sheet_radius=size)
        assert (word(made) == "merged without a sheet") is (small and reason == "early")
    # Edges apart are seen where they spoil the frame.
    for gap, apart in ((91e-6, True), (89e-6, False)):
        made = rework(looks.STAGE, shot(), reason=code, edge_gap=np.array([[gap]]))
        assert (word(made) == "two images") is (apart and reason == "smeared")


def test_what_goes_before_what(shot: Shot, rework: Rework) -> None:
    # Ours: a keeper is one by the verdict, else dark before merged before two images.
    one = np.array([[1.0]])
    dim, gentle, apart = 0.01 * one, 10.0 * one, 1e-3 * one
    smeared = np.array([[REASONS.index("smeared")]], dtype=np.uint8)
    kept = np.array([[KEEPER]], dtype=np.uint8)
    for weak, soft, double in product((False, True), repeat=3):
        changes = {"exposure": dim} if weak else {}
        changes |= {"sheet_weber": gentle} if soft else {}
        changes |= {"edge_gap": apart} if double else {}
        faults = [
            name
            for name, true in (
                ("dark", weak),
                ("merged without a sheet", soft),
                ("two images", double),
            )
            if true
        ]
        made = rework(looks.STAGE, shot(), reason=smeared, **changes)
        assert word(made) == (*faults, "smeared")[0]
        assert word(rework(looks.STAGE, shot(), reason=kept, **changes)) == "keeper"


def test_looks_agree_with_the_verdict(mixed: dict[str, Any]) -> None:
    shape = (SETUPS, SHOTS)
    seen = np.array(LOOKS)[np.broadcast_to(mixed["look"], shape)]
    reason = np.array((*REASONS, "keeper"))[np.broadcast_to(mixed["reason"], shape)]
    # Every word is there, so that none is passed over.
    assert set(LOOKS) - set(seen.flat) <= {"nothing there", "one drop in the air"}
    assert ((seen == "keeper") == (reason == "keeper")).all()
    assert (seen[np.isin(reason, ("no start", "no light"))] == "dark").all()
    age, life = (np.broadcast_to(mixed[name], shape) for name in ("age", "sheet_life"))
    met = (age >= 0.0) & (age <= life)
    assert (seen[age > life] == "column only").any()
    called = np.vectorize(lambda name: AFTER.get(name, ""))(reason)
    apart = np.isin(seen, ("dark", "merged without a sheet", "two images"))
    assert (seen[met & ~apart] == called[met & ~apart]).all()
    # Two images are one way to be smeared, and no word of a sheet is used before there is one or
    # after it is gone.
    assert (reason[seen == "two images"] == "smeared").all()
    assert np.isin(seen[~met], ("dark", *SHOWN)).all()


def test_what_can_be_measured_goes_with_the_word(mixed: dict[str, Any]) -> None:
    shape = (SETUPS, SHOTS)
    there = {name: ~np.isnan(np.broadcast_to(mixed[name], shape)) for name in MEASURED}
    codes = np.broadcast_to(mixed["look"], shape)
    for place, name in enumerate(LOOKS):
        for value in MEASURED:
            own = there[value][codes == place]
            assert (own == (value in SHOWN.get(name, OF_A_SHEET))).all(), (name, value)


@given(
    light=st.one_of(st.just(np.nan), st.floats(0.0, 0.7)),
    energy=st.floats(0.02, 3.0),
    across=st.floats(-0.01, 0.01),
    place=st.floats(0.0, 1.0),
)
def test_whatever_happens_the_word_says_what_is_seen(
    shot: Shot, rework: Rework, light: float, energy: float, across: float, place: float
) -> None:
    changes = {"no_light": np.array([[math.isnan(light)]]), "camera_surface_place": place}
    events = again(beside(shot(), across=across) | changes, light_time=light, flash_energy=energy)
    assert shown(events) == SHOWN.get(word(events), OF_A_SHEET)
    assert (word(events) == "dark") is (math.isnan(light) or energy < 1.0 / 16.0)
    # A rig seen in a mirror: the other side, and all else as it was.
    mirrored = rework(looks.STAGE, events, valve_scatter=-events["valve_scatter"])
    assert word(mirrored) == word(events)
    for name in MEASURED:
        there = events[name].item() * (-1.0 if name == "side" else 1.0)
        assert getattr(mirrored, name).item() == pytest.approx(there, abs=0.0, nan_ok=True)


def test_frames_are_looked_at_one_by_one(mixed: dict[str, Any]) -> None:
    whole = Look(*(mixed[name] for name in Look._fields))
    shape = (SETUPS, SHOTS)
    needed = {name: mixed[name] for name in looks.STAGE.needs}

    def cut(value: Any, rows: slice, columns: slice) -> Any:
        if isinstance(value, Fall):
            return value._replace(
                **{
                    name: cut(getattr(value, name), rows, columns)
                    for name in value._fields
                    if name != "table"
                }
            )
        if isinstance(value, tuple) and isinstance(value[0], np.ndarray):
            return tuple(cut(part, rows, columns) for part in value)
        if not isinstance(value, np.ndarray):
            return value
        return np.broadcast_to(value, (*value.shape[:-2], *shape))[..., rows, columns]

    for rows, columns in (
        (slice(None), slice(None)),
        (slice(3, 4), slice(None)),
        (slice(None), slice(7, 8)),
        (slice(11, 40), slice(2, 5)),
    ):
        made = looks.look(**{name: cut(value, rows, columns) for name, value in needed.items()})
        for name in Look._fields:
            expected: Array = np.broadcast_to(getattr(whole, name), shape)[rows, columns]
            np.testing.assert_array_equal(getattr(made, name), expected, err_msg=name)


def test_what_a_set_up_fixes_and_what_a_shot_draws_are_put_together(
    shot: Shot, rework: Rework
) -> None:
    events = shot("timer.delay=286 ms")
    exposure = np.array([[1.0], [0.01], [1.2]])
    surface = np.array([[0.0, 0.001, 0.002, 0.003]])
    made = rework(looks.STAGE, events, exposure=exposure, surface=surface)
    assert made.look.shape == (3, 4)
    for row, column in product(range(3), range(4)):
        alone = rework(
            looks.STAGE,
            events,
            exposure=exposure[row : row + 1],
            surface=surface[:, column : column + 1],
        )
        assert LOOKS[made.look[row, column]] == word(alone)
        for name in MEASURED:
            there = np.broadcast_to(getattr(made, name), (3, 4))[row, column]
            np.testing.assert_equal(there, getattr(alone, name).item())
