"""Scenes hold what the events say, and every look has a typical frame."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from jitter.answers.scenes import Scene, one_shot, scene
from jitter.answers.typical import ENOUGH, SEED, Example, examples, typical
from jitter.answers.variants import with_spread, with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.quantities import Level, within
from jitter.stage import Events, walk
from jitter.stages import CHAIN
from jitter.stages.camera import MOTION_WEIGHT, PAIR_WEIGHT
from jitter.stages.look import DARK, KEPT, LOOKS, LOPSIDED, SOFT
from jitter.stages.sheet import sheet
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road, single
from tests.conftest import load

SETUPS, SHOTS = 32, 8
PLACES = [(row, column) for row in range(SETUPS) for column in range(SHOTS)]


def fired(study: Study) -> Events:
    road = open_road(study, CHAIN, wanted=("look",))
    block = Block(Layout(5, SETUPS, SHOTS), 0, SETUPS, 0, SHOTS)
    return walk(road.shot, {**road.fixed, **values(study, draw(study, block))})


@pytest.fixture(scope="module")
def events() -> Events:
    """Frames of every age, by two flashes, from before the second drop to after the sheet."""
    study = load("barn-table", "flash.count=2", "flash.stagger=60 us", "camera.focus=1 mm")
    return fired(with_spread(study, ["timer.delay"], Level.SHOT, within(0.030)))


@pytest.fixture(scope="module")
def scenes(events: Events) -> list[Scene]:
    return [scene(events, where) for where in PLACES]


def told(events: Events, name: str) -> np.ndarray:
    return np.broadcast_to(events[name], (SETUPS, SHOTS)).ravel()


def test_what_is_measured_in_a_frame_is_what_is_drawn(events: Events, scenes: list[Scene]) -> None:
    """closed form: the look's own measures, from another function of the same events."""
    seen = dict.fromkeys(("drop", "tip", "sheet", "side"), 0)
    for place, made in enumerate(scenes):
        assert LOOKS[made.look] == LOOKS[told(events, "look")[place]]
        drop, tip = told(events, "drop_height")[place], told(events, "tip_height")[place]
        if not math.isnan(drop):
            lowest = min(made.drops, key=lambda one: one.height)
            assert lowest.height - lowest.radius == pytest.approx(drop, abs=1e-12)
            seen["drop"] += 1
        else:
            assert made.drops == ()
        if not math.isnan(tip):
            assert made.column is not None
            assert made.column.height == pytest.approx(tip, abs=1e-12)
            seen["tip"] += 1
        width = told(events, "sheet_width")[place]
        if made.sheet is not None:
            assert 2.0 * made.sheet.radius == pytest.approx(width, abs=1e-12)
            height = told(events, "meeting_height")[place]
            assert made.sheet.height == pytest.approx(height, abs=1e-12)
            assert made.column is not None
            assert made.column.height == made.sheet.height
            seen["sheet"] += 1
        side = told(events, "side")[place]
        if made.column is not None and made.sheet is not None:
            assert made.sheet.x - made.column.x == pytest.approx(side, abs=1e-12)
            seen["side"] += 1
    assert min(seen.values()) > ENOUGH


def test_blur_is_that_of_the_camera(events: Events, scenes: list[Scene]) -> None:
    """closed form: m v Δ of the edges; m v t0.1 of the smear, but for the weight of a disc."""
    size = float(events["magnification"].item())
    checked = 0
    for place, made in enumerate(scenes):
        if made.sheet is None or math.isnan(made.age):
            continue
        gap = size * made.sheet.speed * made.stagger
        assert gap == pytest.approx(told(events, "edge_gap")[place], rel=1e-9)
        motion = size * made.sheet.speed * math.hypot(made.duration, PAIR_WEIGHT * made.stagger)
        blur = told(events, "motion_blur")[place]
        assert MOTION_WEIGHT * motion == pytest.approx(blur, rel=1e-9)
        whole = math.hypot(blur, size * made.softness)
        assert whole == pytest.approx(told(events, "blur")[place], rel=1e-9)
        assert size * made.softest == pytest.approx(told(events, "depth_blur")[place], rel=1e-9)
        checked += 1
    assert checked > ENOUGH


def test_a_falling_drop_smears_by_its_own_speed(events: Events, scenes: list[Scene]) -> None:
    """closed form: the camera's motion before the meeting, m v √(t0.1² + (1.8101 Δ)²)."""
    size = float(events["magnification"].item())
    seconds = [
        (place, drop)
        for place, made in enumerate(scenes)
        for drop in made.drops
        if drop.second and not math.isnan(made.age)
    ]
    assert len(seconds) > ENOUGH
    for place, drop in seconds:
        length = math.hypot(scenes[place].duration, PAIR_WEIGHT * scenes[place].stagger)
        blur = MOTION_WEIGHT * size * drop.speed * length
        assert blur == pytest.approx(told(events, "motion_blur")[place], rel=1e-9)


def test_a_drop_strays_in_proportion_to_its_way(events: Events, scenes: list[Scene]) -> None:
    """closed form: a straight line from the nozzle to where it would land."""
    landing = events["valve_scatter"][1, 0].ravel()
    nozzle, surface = told(events, "valve_nozzle_height"), told(events, "surface")
    checked = 0
    for place, made in enumerate(scenes):
        for drop in made.drops:
            if drop.second:
                left = (drop.height + surface[place]) / nozzle[place]
                assert drop.x == pytest.approx(landing[place] * (1.0 - left), rel=1e-9)
                checked += 1
    assert checked > ENOUGH


def test_the_sheet_keeps_its_liquid(scenes: list[Scene]) -> None:
    """closed form: the volumes of disc and ring are those of the sphere."""
    sheets = [made.sheet for made in scenes if made.sheet is not None]
    for one in sheets:
        film = math.pi * one.radius**2 * one.thickness
        ring = 2.0 * math.pi * one.radius * math.pi * one.rim**2
        assert film + ring == pytest.approx(4.0 / 3.0 * math.pi * one.drop**3, rel=1e-9)


def test_it_leans_as_far_as_the_meeting_was_off_centre(events: Events, scenes: list[Scene]) -> None:
    """closed form: the two components of B."""
    for place, made in enumerate(scenes):
        if made.sheet is not None:
            off = told(events, "off_centre")[place]
            assert math.hypot(*made.sheet.lean) == pytest.approx(off, rel=1e-9)
            assert math.copysign(1.0, made.sheet.lean[0]) == math.copysign(
                1.0, told(events, "side")[place]
            )


def test_the_drop_goes_into_the_sheet_before_the_rim_sinks(
    events: Events, scenes: list[Scene]
) -> None:
    """closed form: the drop goes in at half the closing speed; then the rim sinks."""
    young = 0
    for place, made in enumerate(scenes):
        one = made.sheet
        if one is None:
            continue
        gone_in = 0.5 * told(events, "closing_speed")[place] * made.age
        assert one.rest == pytest.approx(max(2.0 * one.drop - gone_in, 0.0), abs=1e-12)
        assert one.rest == 0.0 or one.sag == 0.0
        assert 0.0 <= one.sag <= one.height
        young += one.rest > 0.0
    assert young > ENOUGH


def test_the_rim_sinks_with_the_mean_speed_of_drop_and_jet() -> None:
    """closed form: momentum of equal streams; the tip's speed is the slope of its parabola."""
    early, late = (
        nominal_shot(load("barn-table", f"timer.delay={delay} ms"), CHAIN) for delay in (294, 295)
    )
    sags = []
    for shot in (early, late):
        made = scene(shot, (0, 0))
        assert made.sheet is not None
        sags.append(made.sheet.sag)
    half = single(early, "jet_peaks") - single(early, "jet_emerges")
    share = single(early, "peak_share")
    rising = -2.0 * single(early, "jet_top") * share / half
    falling = single(early, "closing_speed") - rising
    # A millisecond later.
    assert sags[1] - sags[0] == pytest.approx(0.5 * (falling - rising) * 1e-3, rel=1e-6)


def test_the_sheet_is_gone_at_the_end_of_its_life() -> None:
    """closed form: the law's radius is the drop's own again from 2/√3 τ on."""
    nominal = nominal_shot(load("barn-table"), CHAIN)
    gone = single(nominal, "sheet_life")
    names = ("closing_speed", "off_centre", "second_diameter", "density", "surface_tension")
    given = {name: nominal[name] for name in names}
    for age, over in ((0.97 * gone, False), (1.001 * gone, True)):
        made = sheet(
            sheet_spread_scale=np.ones((1, 1)),
            light_time=np.full((1, 1), age),
            meeting_time=np.zeros((1, 1)),
            **given,
        )
        drop = 0.5 * single(nominal, "second_diameter")
        assert (float(made.sheet_radius.item()) == pytest.approx(drop, rel=1e-12)) is over


def test_the_sheet_goes_first_and_then_the_column() -> None:
    """closed form: 17 ms of sheet after the meeting at 289 ms; the tip is back at 386 ms.

    The delays are a regression.
    """
    for delay, stands in ((303, "column and sheet"), (308, "column"), (384, "column"), (388, "")):
        made = scene(nominal_shot(load("barn-table", f"timer.delay={delay} ms"), CHAIN), (0, 0))
        assert made.lit
        assert made.drops == ()
        assert (made.column is not None) is ("column" in stands)
        assert (made.sheet is not None) is ("sheet" in stands)


def test_the_crater_is_open_between_landing_and_jet() -> None:
    nominal = nominal_shot(load("barn-table"), CHAIN)
    start, delay = single(nominal, "light_time"), 0.294
    middle = 0.5 * (single(nominal, "first_landing") + single(nominal, "jet_emerges"))
    shot = nominal_shot(load("barn-table", f"timer.delay={delay + middle - start} s"), CHAIN)
    made = scene(shot, (0, 0))
    assert made.crater == single(shot, "energy_length")
    assert scene(nominal, (0, 0)).crater == 0.0


def test_without_light_there_is_nothing() -> None:
    study = with_values(load("barn-table"), {"flash.dark_chance": 1.0})
    events = fired(study)
    made = scene(events, (3, 4))
    assert (made.look, made.lit, made.exposure) == (DARK, False, 0.0)
    assert (made.drops, made.column, made.sheet) == ((), None, None)


def test_one_shot_is_the_one_asked_for(events: Events) -> None:
    row, column = 7, 5
    shot = one_shot(events, (row, column))
    for name in ("age", "surface", "off_centre", "light_time", "magnification"):
        assert single(shot, name) == np.broadcast_to(events[name], (SETUPS, SHOTS))[row, column]
    assert shot["valve_scatter"].shape == (2, 2, 1, 1)
    assert shot["valve_scatter"][1, 0] == events["valve_scatter"][1, 0, row, column]
    assert shot["second_fall"].half_length.shape == (1, 1)
    assert shot["keeper_age"] == events["keeper_age"]


@pytest.fixture(scope="module")
def barn_examples() -> Mapping[int, Example]:
    return examples(load("barn-table"), CHAIN)


@pytest.mark.parametrize(
    ("name", "settings"),
    [
        ("loft-guide-number", ()),
        ("barn-table", ("valve.interval=400 ms",)),
        ("garage-second-drop", ("flash.dark_chance=1", "timer.delay=20 ms")),
    ],
)
def test_every_look_has_an_example(name: str, settings: tuple[str, ...]) -> None:
    check_examples(examples(load(name, *settings), CHAIN))


def test_every_look_has_an_example_on_the_default_rig(
    barn_examples: Mapping[int, Example],
) -> None:
    check_examples(barn_examples)


def check_examples(found: Mapping[int, Example]) -> None:
    assert list(found) == list(range(len(LOOKS)))
    for look, example in found.items():
        assert example.scene.look == look
    keeper = found[KEPT].scene
    assert keeper.sheet is not None
    blur = keeper.duration * keeper.sheet.speed
    assert max(blur, keeper.softest) < keeper.tolerated
    # Faults that show, clearly beyond the limit.
    assert found[SOFT].scene.softest > 2.0 * keeper.tolerated
    askew = found[LOPSIDED].scene.sheet
    assert askew is not None
    assert abs(askew.lean[0]) > 0.25


def test_a_look_that_the_study_shows_is_taken_from_it(
    barn_examples: Mapping[int, Example],
) -> None:
    assert barn_examples[KEPT].what_if == ""
    assert barn_examples[SOFT].what_if == "the focus beside the fall line"


def test_examples_do_not_hang_on_luck(barn_examples: Mapping[int, Example]) -> None:
    study = load("barn-table")
    assert study.seed != SEED
    one = typical(study, CHAIN, KEPT)
    assert one == typical(replace(study, seed=study.seed + 1), CHAIN, KEPT)
    assert one == barn_examples[KEPT]


def test_the_typical_keeper_is_in_the_middle_of_the_keepers() -> None:
    """closed form: its age lies between the quartiles of the keepers' ages."""
    study = load("barn-table")
    events = fired(study)
    ages = told(events, "age")[told(events, "look") == KEPT]
    one = typical(study, CHAIN, KEPT)
    assert one is not None
    low, high = np.quantile(ages, (0.25, 0.75))
    assert low < one.scene.age < high


def test_what_no_what_if_brings_about_is_left_out() -> None:
    study = load("barn-table", "keeper.off_centre=1")
    assert typical(study, CHAIN, LOPSIDED) is None
