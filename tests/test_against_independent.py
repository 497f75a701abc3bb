"""The package against a second simulation of the same physics that shares nothing with it.

Label of every check value here: *closed form* in the sense that both sides solve the same
equations; the bounds are 4.5 standard errors of the difference, from the numbers of set-ups.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from jitter.answers.ages import Ages, ages
from jitter.answers.tally import Counter, count
from jitter.arrays import Array
from jitter.draws.layout import Layout, blocks
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import fire, open_road
from tests.conftest import load
from tests.independent_simulation import simulate

SETUPS, SHOTS = 700, 40
ERRORS = 4.5
NO_SETUP = tuple(
    f"{key}.setup=none"
    for key, declared in CHAIN.declarations.items()
    if isinstance(declared, Quantity) and declared.strays
    if key not in ("liquid.density", "liquid.viscosity", "liquid.surface_tension")
)


def _fire(study: Study) -> dict[str, tuple[Array, Ages]]:
    """Return reasons (s, 11) as shares of a set-up's frames, and the ages, both ways."""
    layout = Layout(study.seed, SETUPS, SHOTS)
    road, window = open_road(study, CHAIN), study.window("keeper.age")
    counters = {"as_set": Counter(layout), "as_trimmed": Counter(layout)}
    for block in blocks(layout):
        firing = fire(road, block)
        for way, counter in counters.items():
            counter.add(block, count(getattr(firing, way), block=block, window=window))
    tallies = {way: counter.tally() for way, counter in counters.items()}
    return {way: (tally.reasons / SHOTS, ages(tally.ages)) for way, tally in tallies.items()}


def _compare(ours: Array, our_ages: Ages, theirs: dict[str, Any]) -> None:
    hits = ours[:, KEEPER]
    # Where neither side sees any, one frame in all is the doubt that is left.
    least = 1.0 / (SETUPS * SHOTS)
    variance = hits.var(ddof=1) + theirs["hit_rates_by_setup"].var(ddof=1)
    assert abs(hits.mean() - theirs["hit_rate"]) < ERRORS * np.sqrt(variance / SETUPS) + least
    for place, reason in enumerate(REASONS):
        shares = ours[:, place]
        # The set-ups' own scatter serves for both; a reason never seen may still have been
        # seen a few times on the other side.
        error = np.sqrt(2.0 * shares.var(ddof=1) / SETUPS) + 2.0 / (SETUPS * SHOTS)
        assert abs(shares.mean() - theirs["reasons"][reason]) < ERRORS * error, reason
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
    study = load("barn-table", *settings, *(() if setup_errors else NO_SETUP))
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
         {"jet_head_ratio": 0.1, "valve_first_volume": np.pi / 6 * 0.002**3,
          "valve_second_volume": np.pi / 6 * 0.002**3, "timer_delay": 0.280}, "passed aside"),
    ],
    ids=["drop too soon", "drop too late", "full power", "out of focus", "strict exposure",
         "beam aside", "shutter", "recycling", "aside"],
)  # fmt: skip
def test_every_reason_agrees(
    settings: list[str], overrides: dict[str, float], expected: str
) -> None:
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
