"""The package against a second simulation of the same physics that shares nothing with it.

Label of every check value here: *closed form* in the sense that both sides solve the same
equations; the bounds are 4.5 standard errors of the difference, from the numbers of set-ups, and
what the package's approximations are said to be off by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from jitter.answers.ages import Ages, ages, join_ages
from jitter.answers.tally import Tally, count
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout, blocks
from jitter.quantities import NONE, Kind, Level, Quantity
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import fire, open_road
from tests.conftest import load
from tests.independent_simulation import simulate
from tests.independent_twins import CROWDS, TWINS, Twin

SETUPS, SHOTS = 500, 40
ERRORS = 4.5
FEW, SOME = 800, 6
MOMENTS = ("start_time", "first_landing", "jet_peaks", "meeting_time", "light_time", "age")
SIZES = ("impact_speed", "jet_top", "closing_speed", "second_diameter")
VIEW = ("magnification", "working_aperture", "exposure", "depth_blur")
# Papers have fits of their own of the water in their mixtures, and ours of milk is rounded.
STUFF = {
    "density": 3e-4,
    "viscosity": 5e-3,
    "surface_tension": 1e-9,
    "air_density": 1e-6,
    "air_viscosity": 1e-9,
}
RIM = 0.01
"""The rim's speed changes by some 600 m/s² with age, its streak over the default flash by so much
[m/s]."""


def _spreads(study: Study) -> Iterator[tuple[str, Quantity, Level]]:
    """Yield what strays in a study, and at which level."""
    for key, entry in study.entries.items():
        declared = entry.declaration
        if isinstance(declared, Quantity) and entry.nominal is not None:
            for level, spread in ((Level.SETUP, entry.setup), (Level.SHOT, entry.shot)):
                if spread != NONE or (declared.kind in (Kind.CHANCE, Kind.TICK) and entry.nominal):
                    yield key, declared, level


def _without_setup(study: Study) -> tuple[str, ...]:
    """Return the settings that take every set-up error out of a study."""
    found = _spreads(study)
    return tuple(
        f"{key}.setup=none" for key, one, level in found if level is Level.SETUP and one.strays
    )


def _fire(study: Study) -> dict[str, tuple[Array, Ages]]:
    """Return reasons (s, 11) as shares of a set-up's frames, and the ages, both ways."""
    layout = Layout(study.seed, SETUPS, SHOTS)
    road, window = open_road(study, CHAIN), study.window("keeper.age")
    tallies: dict[str, list[Tally]] = {"as_set": [], "as_trimmed": []}
    for block in blocks(layout):
        firing = fire(road, block)
        for way, parts in tallies.items():
            parts.append(count(getattr(firing, way), block=block, window=window))
    return {
        way: (
            np.concatenate([part.reasons for part in parts]) / SHOTS,
            ages(join_ages([part.ages for part in parts], setups=SETUPS)),
        )
        for way, parts in tallies.items()
    }


def _compare(ours: Array, our_ages: Ages, theirs: dict[str, Any]) -> None:
    hits = ours[:, KEEPER]
    # Where neither side sees any, one frame in all is the doubt that is left.
    least = 1.0 / (SETUPS * SHOTS)
    variance = hits.var(ddof=1) + theirs["hit_rates_by_setup"].var(ddof=1)
    assert abs(hits.mean() - theirs["hit_rate"]) < ERRORS * np.sqrt(variance / SETUPS) + least
    for place, reason in enumerate(REASONS):
        # Both sides' scatter from set-up to set-up: one bad set-up may bring all that there is of a
        # rare reason. One never seen on one side may be seen a few times on the other.
        one, other = ours[:, place], theirs["reasons_by_setup"][reason]
        variance = one.var(ddof=1) + other.var(ddof=1)
        error = np.sqrt(variance / SETUPS) + 2.0 / (SETUPS * SHOTS)
        assert abs(one.mean() - other.mean()) < ERRORS * error, reason
    of_mean = np.hypot(our_ages.setup, our_ages.shot / np.sqrt(SHOTS)) * np.sqrt(2.0 / SETUPS)
    assert abs(our_ages.mean - theirs["age_mean"]) < ERRORS * of_mean
    # Of a standard deviation the relative error is 1/√(2 degrees of freedom), and more by the
    # excess of the distribution, for which a half is added.
    shot_error = 1.5 * our_ages.shot * np.sqrt(2.0 / (2.0 * SETUPS * SHOTS))
    assert abs(our_ages.shot - theirs["age_sd_shot"]) < ERRORS * shot_error
    # The component of variance is a difference of mean squares, so squares are compared.
    mean_square = our_ages.setup**2 + our_ages.shot**2 / SHOTS
    square_error = 1.5 * mean_square * np.sqrt(2.0 * 2.0 / SETUPS)
    assert abs(our_ages.setup**2 - theirs["age_sd_setup"] ** 2) < ERRORS * square_error


@pytest.mark.parametrize("setup_errors", [True, False])
@pytest.mark.parametrize("start", ["first drop", "second drop", "valve"])
def test_defaults_agree(start: str, setup_errors: bool) -> None:
    settings = [f"timer.start={start}", f"timer.delay={_delay(start)}", "seed=3"]
    study = load("barn-table", *settings)
    if not setup_errors:
        study = load("barn-table", *settings, *_without_setup(study))
    theirs = simulate(start=start, setups=SETUPS, shots=SHOTS, seed=9, setup_errors=setup_errors)
    for way, (ours, our_ages) in _fire(study).items():
        _compare(ours, our_ages, theirs[way])


def _delay(start: str) -> str:
    return {"first drop": "294 ms", "second drop": "195 ms", "valve": "457 ms"}[start]


@pytest.mark.parametrize(
    ("settings", "overrides", "expected"),
    [
        (["valve.interval=20 ms"], {"valve_interval": 0.020}, "no jet"),
        (["valve.interval=300 ms"], {"valve_interval": 0.300}, "no jet"),
        (["flash.power=1", "keeper.age=['2 ms', '4 ms']", "timer.delay=290 ms"],
         {"flash_power": 1.0, "keeper_age_least": 0.002, "keeper_age_most": 0.004,
          "timer_delay": 0.290}, "smeared"),
        (["camera.focus=12 mm", "camera.aperture=f/4"],
         {"camera_focus": 0.012, "camera_aperture": 4.0}, "soft"),
        (["keeper.exposure=0.03"], {"keeper_exposure": 0.03}, "wrong exposure"),
        (["sensor.offset=2.1 mm"], {"sensor_offset": 0.0021}, "no start"),
        (["camera.shutter_open=0.96 s"], {"camera_shutter_open": 0.96}, "no light"),
        (["session.cadence=1 s", "flash.power=1/2"],
         {"session_cadence": 1.0, "flash_power": 0.5}, "no light"),
        (["jet.head_ratio=0.1", "valve.first_diameter=2 mm", "valve.second_diameter=2 mm",
          "timer.delay=280 ms"],
         {"jet_head_ratio": 0.1, "valve_volume": np.pi / 6 * 0.002**3, "timer_delay": 0.280},
         "passed aside"),
    ],
    ids=["drop too soon", "drop too late", "full power", "out of focus", "strict exposure",
         "beam aside", "shutter", "recycling", "aside"],
)  # fmt: skip
def test_every_reason_agrees(settings: list[str], overrides: dict[str, Any], expected: str) -> None:
    study = load("barn-table", "seed=5", *settings)
    theirs = simulate(
        start="first drop", setups=SETUPS, shots=SHOTS, seed=2, setup_errors=True, **overrides
    )
    seen = 0.0
    for way, (ours, our_ages) in _fire(study).items():
        summary: dict[str, Any] = theirs[way]
        seen += float(ours[:, REASONS.index(expected)].mean())
        if np.isnan(summary["age_mean"]):
            assert np.isnan(our_ages.mean)
            continue
        _compare(ours, our_ages, summary)
    assert seen > 0.01


def _read(twin: Twin, *more: str) -> Study:
    settings = (f"timer.start={twin.start}", *twin.settings, *more)
    if twin.study:
        return load(twin.study, *settings)
    return read_study("version = 1", source="twin", chain=CHAIN, settings=settings, seed=3)


def _hushed(twin: Twin) -> Study:
    """Return a twin's study in which nothing strays but what it names."""
    settings = []
    for key, declared, level in _spreads(_read(twin)):
        if key in twin.strays:
            continue
        if declared.strays:
            settings.append(f"{key}.{level.value}=none")
        else:
            settings.append(f"{key}.nominal={'0' if declared.unit == '1' else '0 s'}")
    return _read(twin, *dict.fromkeys(settings), "trim.frames=1")


def _of_session(made: Array) -> Array:
    return np.asarray(made.mean(axis=1))


def _over_session(made: Array) -> Array:
    """Return how far the second half of the session is from the first."""
    half = made.shape[1] // 2
    return np.asarray(made[:, half:].mean(axis=1) - made[:, :half].mean(axis=1))


def _within_session(made: Array) -> Array:
    return np.asarray(made.std(axis=1, ddof=1))


def _agree(ours: Array, theirs: Array, doubt: float, name: str) -> None:
    """Compare an event of both simulations (s, n): its means, its course and its spreads."""
    there = [np.isfinite(made).all(axis=1) for made in (ours, theirs)]
    shares = [float(found.mean()) for found in there]
    assert min(shares) > 0.95, name
    # Of a share the variance is at most 0.05 * 0.95 here; two have their errors.
    assert abs(shares[0] - shares[1]) < ERRORS * np.sqrt(2.0 * 0.05 * 0.95 / FEW), name
    ours, theirs = ours[there[0]], theirs[there[1]]
    measures: tuple[Callable[[Array], Array], ...] = (_of_session, _over_session, _within_session)
    for measure in measures:
        one, other = measure(ours), measure(theirs)
        error = np.sqrt((one.var(ddof=1) + other.var(ddof=1)) / FEW)
        assert abs(one.mean() - other.mean()) < ERRORS * error + doubt, f"{name} {measure.__name__}"
    # The squares of the set-ups' errors: their means are the variances.
    one, other = (
        np.square(_of_session(made) - _of_session(made).mean()) for made in (ours, theirs)
    )
    error = np.sqrt((one.var(ddof=1) + other.var(ddof=1)) / FEW)
    doubt *= 2.0 * np.sqrt(other.mean()) + doubt
    assert abs(one.mean() - other.mean()) < ERRORS * error + doubt, f"{name} from set-up to set-up"


@pytest.mark.parametrize("name", TWINS)
def test_each_piece_of_physics_agrees(name: str) -> None:
    twin = TWINS[name]
    study = _hushed(twin)
    layout = Layout(study.seed, FEW, SOME)
    events = fire(open_road(study, CHAIN), Block(layout, 0, FEW, 0, SOME)).as_set
    # Pairs of drops are one quantity there.
    names = [key.replace("first_", "").replace("second_", "") for key in twin.strays]
    theirs = simulate(
        start=twin.start,
        setups=FEW,
        shots=SOME,
        seed=9,
        only=[one.replace(".", "_") for one in names],
        words=twin.words,
        link=twin.link,
        trim_frames=1.0,
        **twin.changes,
    )["as_set"]["events"]

    def agree(event: str, doubt: float) -> None:
        _agree(np.broadcast_to(events[event], (FEW, SOME)), theirs[event], doubt, event)

    for event in MOMENTS:
        # Light and meeting are both in doubt.
        agree(event, twin.doubt * (2.0 if event == "age" else 1.0))
    for event in (*SIZES, *VIEW):
        agree(event, twin.share * float(np.nanmean(theirs[event])))
    for event, share in STUFF.items():
        agree(event, share * float(theirs[event].mean()))
    blur = 1e-3 * float(np.nanmean(theirs["motion_blur"])) + RIM * 2.0 * twin.doubt
    agree("motion_blur", blur)
    gap = float(np.nanmean(theirs["edge_gap"]))
    # A single flash draws no second edge, on neither side.
    agree("edge_gap", 1e-3 * gap + RIM * 2.0 * twin.doubt + 1e-12)


@pytest.mark.parametrize("name", CROWDS)
def test_everything_at_once_agrees(name: str) -> None:
    twin = CROWDS[name]
    theirs = simulate(
        start=twin.start,
        setups=SETUPS,
        shots=SHOTS,
        seed=4,
        words=twin.words,
        link=twin.link,
        **twin.changes,
    )
    for way, (ours, our_ages) in _fire(_read(twin)).items():
        _compare(ours, our_ages, theirs[way])
        for reason in twin.reasons:
            assert float(ours[:, REASONS.index(reason)].mean()) > 0.005, reason
