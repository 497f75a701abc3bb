"""What the light sees: speeds against finite differences, bands against the lognormal law."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ndtri

from jitter.answers.hits import WAYS
from jitter.answers.power.keeping import DELAY, POWER
from jitter.answers.power.moments import SETUPS, Bands, find_bands, lag, smear, speeds
from jitter.answers.variants import with_values
from jitter.answers.what_ifs import open_wide
from jitter.stage import Events
from jitter.stages import CHAIN
from jitter.stages.fall import fall_distance
from jitter.stages.fall_fit import SPEED
from jitter.stages.pulse import quenched
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from tests.conftest import load

STEP = 1e-6
"""Between the points of a finite difference [s]: a curve over milliseconds is straight."""


def barn(*settings: str) -> tuple[Study, Events]:
    """Return the default rig with some settings changed, and its nominal shot."""
    study = load("barn-table", *settings)
    return study, nominal_shot(study, CHAIN)


def bands(study: Study, *powers: float, way: str = "as_set", seed: int = 3) -> list[Bands]:
    """Return the bands of a rig at some powers, the light's middle left where it is."""
    before = lag(nominal_shot(study, CHAIN))
    variants = []
    for power in powers:
        made = with_values(study, {POWER: power})
        delay = study.number(DELAY) + before - lag(nominal_shot(made, CHAIN))
        variants.append(with_values(made, {DELAY: delay}))
    return find_bands(open_wide(study, CHAIN, widest=study), variants, seed=seed, way=way)


@pytest.mark.parametrize("delay", [0.291, 0.294, 0.302])
def test_the_rim_moves_as_its_radius_changes(delay: float) -> None:
    study, _ = barn()
    radii = [
        single(nominal_shot(with_values(study, {DELAY: delay + off}), CHAIN), "sheet_radius")
        for off in (-STEP, STEP)
    ]
    found = speeds(nominal_shot(with_values(study, {DELAY: delay}), CHAIN))
    # closed form: a central difference, whose error is of the order of its step squared
    assert found.rim == pytest.approx(abs(radii[1] - radii[0]) / (2.0 * STEP), rel=1e-5)


@pytest.mark.parametrize("delay", ["280 ms", "294 ms"])
def test_the_drop_falls_as_its_distance_changes(delay: str) -> None:
    _, nominal = barn(f"timer.delay={delay}")
    # Before the meeting the light sees it on its way; after it, as fast as it met the jet.
    seen = min(single(nominal, "flash_time"), single(nominal, "meeting_time"))
    assert (seen == single(nominal, "flash_time")) == (delay == "280 ms")
    elapsed = seen - nominal["second_release"]
    below, above = (fall_distance(nominal["second_fall"], elapsed + off) for off in (-STEP, STEP))
    # closed form: a central difference
    assert speeds(nominal).drop == pytest.approx((above - below).item() / (2.0 * STEP), rel=SPEED)


@pytest.mark.parametrize("delay", ["265 ms", "294 ms", "360 ms"])
def test_the_jets_tip_moves_as_its_height_changes(delay: str) -> None:
    _, nominal = barn(f"timer.delay={delay}")
    light = single(nominal, "flash_time")
    emerges, peaks, gone = (single(nominal, f"jet_{each}") for each in ("emerges", "peaks", "gone"))

    def height(moment: float) -> float:
        """Return the parabola that is 0 where the jet emerges and is gone."""
        share = (moment - emerges) * (gone - moment) / ((peaks - emerges) * (gone - peaks))
        return single(nominal, "jet_top") * share

    assert height(peaks) == single(nominal, "jet_top")
    assert emerges < light < gone
    slope = (height(light + STEP) - height(light - STEP)) / (2.0 * STEP)
    # closed form: a central difference of a parabola is its slope
    assert speeds(nominal).tip == pytest.approx(abs(slope), rel=1e-6)


@pytest.mark.parametrize(
    ("settings", "seen"),
    [
        ((), {"rim", "drop", "tip"}),
        # The light comes before the meeting, and after the sheet is gone.
        (("timer.delay=285 ms",), {"drop", "tip"}),
        (("timer.delay=320 ms",), {"drop", "tip"}),
        # Before the jet emerges, and after it is gone.
        (("timer.delay=240 ms",), {"drop"}),
        (("timer.delay=460 ms",), {"drop"}),
        # The second drop comes when the jet is gone.
        (("valve.interval=400 ms",), {"drop", "tip"}),
    ],
)
def test_what_the_light_does_not_find_has_no_speed(
    settings: tuple[str, ...], seen: set[str]
) -> None:
    found = speeds(barn(*settings)[1])
    assert {name for name, speed in vars(found).items() if not math.isnan(speed)} == seen


def test_a_drop_that_hangs_yet_has_its_release_speed() -> None:
    study, nominal = barn("timer.start=valve", "timer.delay=50 ms")
    assert single(nominal, "flash_time") < single(nominal, "second_release")
    # closed form: it has not fallen; the time from rest to that speed comes from a fit
    assert speeds(nominal).drop == pytest.approx(study.number("valve.release_speed"), rel=1e-4)


def test_the_light_lags_by_the_flash_and_its_centroid() -> None:
    # closed form: flash.delay, the pulse's centroid, half of what several flashes are apart
    centroid = float(quenched(np.array(1.0 / 8.0)).centroid)
    assert lag(barn("flash.power=1/8")[1]) == pytest.approx(30e-6 + centroid, abs=1e-12)
    two = ("flash.power=1/8", "flash.count=2", "flash.stagger=40 us", "flash.delay=100 us")
    assert lag(barn(*two)[1]) == pytest.approx(120e-6 + centroid, abs=1e-12)


@pytest.mark.parametrize("several", [(), ("flash.count=2", "flash.stagger=30 us")])
def test_the_smear_of_the_rim_is_the_nominal_shots_motion_blur(several: tuple[str, ...]) -> None:
    _, nominal = barn(*several)
    blur = smear(nominal, speeds(nominal).rim)
    assert blur == pytest.approx(single(nominal, "motion_blur"), rel=1e-12)
    # closed form: 1.1686 m v √(t0.1² + (1.8101 Δ)²)
    length = math.hypot(float(quenched(np.array(1.0 / 64.0)).tenth), 1.8101 * 30e-6 * bool(several))
    assert smear(nominal, 2.0) == pytest.approx(1.1686 * 0.4 * 2.0 * length, rel=1e-12)


def test_durations_stray_by_the_lognormal_law_of_units() -> None:
    spread = 0.35
    scale = f'{{ nominal = 1.0, setup = "lognormal sd {spread}", shot = "none" }}'
    study, _ = barn(f"flash.duration_scale={scale}")
    (found,) = bands(study, 1.0)
    shape = quenched(np.array(1.0))
    for band, nominal in ((found.half, shape.half), (found.tenth, shape.tenth)):
        for share, seen in zip((0.1, 0.5, 0.9), (band.low, band.middle, band.high), strict=True):
            score = float(ndtri(share))
            # closed form: ln of the quantile of a lognormal is sd · z. A sample quantile of n
            # set-ups errs by √(q (1 - q)/n) over the density, φ(z)/sd.
            density = math.exp(-0.5 * score**2) / math.sqrt(2.0 * math.pi) / spread
            error = math.sqrt(share * (1.0 - share) / SETUPS) / density
            assert math.log(seen / float(nominal)) == pytest.approx(spread * score, abs=4.5 * error)
            assert 4.5 * error < 0.2 * spread


def test_without_spread_of_the_duration_the_rims_blur_goes_with_it() -> None:
    still = 'flash.duration_scale={ nominal = 1.0, setup = "none", shot = "none" }'
    # A clock that errs would not follow the light's middle to the last digit.
    study, _ = barn(still, 'timer.clock_error={ nominal = 0, setup = "none" }')
    powers = (1.0, 0.5, 1.0 / 8.0, 1.0 / 64.0)
    found = bands(study, *powers)
    for power, each in zip(powers, found, strict=True):
        length = float(quenched(np.array(power)).tenth)
        assert each.tenth.low == each.tenth.high == pytest.approx(length, rel=1e-12)
        # closed form: the light's middle stays, so the same frames see the same speeds; the
        # rounding of sums of times is left.
        longest = float(quenched(np.array(1.0)).tenth)
        for end in ("low", "middle", "high"):
            ratio = getattr(each.rim, end) / getattr(found[0].rim, end)
            assert ratio == pytest.approx(length / longest, rel=1e-9)


@pytest.mark.parametrize("way", WAYS)
def test_shorter_light_blurs_the_rim_less_at_every_end_of_its_band(way: str) -> None:
    found = bands(barn()[0], *(2.0**-stops for stops in range(8)), way=way)
    for end in ("low", "middle", "high"):
        for measure in ("tenth", "rim"):
            values = [getattr(getattr(each, measure), end) for each in found]
            assert values == sorted(values, reverse=True)
            assert values[0] > 10.0 * values[-1]


def test_frames_whose_age_nobody_wants_are_left_out() -> None:
    (none,) = bands(barn('keeper.age=["-90 ms", "-80 ms"]')[0], 1.0 / 64.0)
    assert math.isnan(none.rim.low)
    assert math.isnan(none.rim.high)
    assert none.tenth.middle > 0.0
    # The rim slows down as the sheet spreads: frames from 2 to 3 ms show it faster than those from
    # 4 to 5 ms, most of which see it come to rest.
    early, late = (
        bands(barn(f'keeper.age=["{low} ms", "{low + 1} ms"]')[0], 1.0 / 64.0)[0].rim
        for low in (2, 4)
    )
    assert early.middle > 1.5 * late.middle


def test_each_way_and_each_seed_has_its_own_frames() -> None:
    study = barn()[0]
    one, trimmed, other = (
        bands(study, 1.0 / 64.0, way=way, seed=seed)[0].rim
        for way, seed in (("as_set", 3), ("as_trimmed", 3), ("as_set", 4))
    )
    assert one != trimmed
    assert one != other
