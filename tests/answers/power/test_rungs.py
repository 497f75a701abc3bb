"""Every power: its light, its blur, when its middle comes, how deep the picture is sharp."""

from __future__ import annotations

import math

import numpy as np
import pytest

from jitter.answers.power.keeping import DELAY, MEANS, POWER, absolute, is_relative, limits
from jitter.answers.power.moments import Speeds, lag, smear, speeds
from jitter.answers.power.rungs import Plan, Rung, plan, rung
from jitter.answers.variants import with_values
from jitter.stages import CHAIN
from jitter.stages.pulse import pulse
from jitter.study.study import Study
from jitter.trial import nominal_shot, single
from tests.answers.power.made import BANDS, STILL, hits
from tests.conftest import load

FULL = 888.2e-6
"""Any duration at full power [s]; the one that the two kinds without a curve are given."""


def planned(study: Study) -> tuple[Plan, ...]:
    """Return the powers of a rig before they are fired."""
    based = absolute(study, nominal_shot(study, CHAIN))
    ends = {means: limits(study, means) for means in MEANS}
    nominal = nominal_shot(based, CHAIN)
    return plan(based, CHAIN, nominal, ends, relative=is_relative(study))


def rungs(study: Study, moving: Speeds | None = None) -> tuple[Rung, ...]:
    """Return the powers of a rig as if they had been fired."""
    found = speeds(nominal_shot(study, CHAIN)) if moving is None else moving
    kept = {means: hits(500) for means in MEANS}
    return tuple(
        rung(study, CHAIN, each, hits=kept, bands=BANDS, speeds=found) for each in planned(study)
    )


@pytest.mark.parametrize(
    "settings",
    [
        ("flash.kind=quenched", "flash.power_step=1/3 stop"),
        ("flash.kind=voltage-controlled", f"flash.full_duration={1e6 * FULL} us"),
        ("flash.kind=quenched", "flash.count=4", "flash.stagger=50 us"),
    ],
)
def test_the_delay_follows_the_lights_middle(settings: tuple[str, ...]) -> None:
    study = load("barn-table", "flash.power=1/4", *settings)
    kind = str(study.entries["flash.kind"].nominal)
    length = None if kind == "quenched" else np.array(FULL)
    own = pulse(kind, np.array(0.25), length)
    before = nominal_shot(study, CHAIN)
    powers = planned(study)
    assert len(powers) == (22 if "flash.power_step=1/3 stop" in settings else 8)
    for each in powers:
        shape = pulse(kind, np.array(each.power), length)
        # closed form: the light's middle is the pulse's centroid, all else the same
        assert each.shift == pytest.approx(float(shape.centroid - own.centroid), abs=1e-12)
        assert each.delay == pytest.approx(study.number(DELAY) - each.shift, abs=1e-12)
        for setting in each.settings.values():
            after = nominal_shot(setting.study, CHAIN)
            for event in ("flash_time", "age"):
                assert single(after, event) == pytest.approx(single(before, event), abs=1e-11)


def test_no_delay_is_below_nothing() -> None:
    study = load("barn-table", "timer.delay=0.3 ms")
    before = nominal_shot(study, CHAIN)
    found = {each.power: each for each in planned(study)}
    # closed form: 1.25 ms later at full power, of which 0.3 ms can be made up
    assert found[1.0].shift > 1e-3
    assert found[1.0].delay == 0.0
    after = nominal_shot(found[1.0].settings["distance"].study, CHAIN)
    late = single(after, "flash_time") - single(before, "flash_time")
    assert late == pytest.approx(found[1.0].shift - 0.3e-3, abs=1e-11)
    assert found[1.0 / 4.0].delay == pytest.approx(0.3e-3 - found[1.0 / 4.0].shift)


def test_a_planned_power_is_the_study_at_that_power() -> None:
    study = load("barn-table", "flash.guide_number=20 m", "flash.count=2")
    for each in planned(study):
        alone = nominal_shot(with_values(study, {POWER: each.power}), CHAIN)
        for event in (event for stage in CHAIN.stages for event in stage.gives):
            if isinstance(alone[event], np.ndarray):
                np.testing.assert_array_equal(each.nominal[event], alone[event])


def test_each_means_gives_the_study_its_value_and_nothing_else() -> None:
    study = load("barn-table", "flash.guide_number=20 m")
    for each in planned(study):
        for means, setting in each.settings.items():
            assert setting.means == means
            values = {POWER: each.power, DELAY: each.delay, MEANS[means]: setting.value}
            assert setting.study == with_values(study, dict(values))


def test_the_lens_is_as_deep_and_as_sharp_as_closed_forms_say() -> None:
    study = load("barn-table", "camera.pupil_ratio=1.5", "flash.guide_number=20 m")
    seen = set()
    for each in rungs(study):
        assert each.recycle == pytest.approx(3.0 * each.power)
        for means, tried in each.tried.items():
            aperture = tried.setting.value if means == "aperture" else 13.0
            speed = tried.setting.value if means == "iso" else 200.0
            # closed form: N (1 + m/P), 2 c N (1 + m/P)/m² with a circle of 30 µm, and the disc of
            # the same MTF50 as the diffraction pattern, 1.7454 λ N (1 + m/P)
            working = aperture * (1.0 + 0.4 / 1.5)
            assert tried.working_aperture == pytest.approx(working, rel=1e-12)
            assert tried.depth_of_field == pytest.approx(2.0 * 30e-6 * working / 0.16, rel=1e-12)
            assert tried.diffraction == pytest.approx(1.7454 * 0.55e-6 * working, rel=1e-12)
            # closed form: E S t/(250 N_eff²), 0.05 lx for 1.5 s
            ghost = math.log2(0.05 * speed * 1.5 / (250.0 * working**2))
            assert tried.ghost == pytest.approx(ghost, abs=1e-9)
            seen.add((means, tried.working_aperture, tried.ghost))
    # Aperture and speed change at most powers, the distance none of these.
    assert len({each for each in seen if each[0] == "distance"}) == 1
    assert len({each for each in seen if each[0] == "aperture"}) > 5


def test_the_light_of_a_power_is_its_pulse_and_blurs_what_moves() -> None:
    study = load("barn-table", "flash.count=2", "flash.stagger=40 us")
    nominal = nominal_shot(study, CHAIN)
    moving = Speeds(rim=0.5, drop=3.0, tip=math.nan)
    for each in rungs(study, moving):
        shape = pulse("quenched", np.array(each.power), None)
        assert each.half == pytest.approx(float(shape.half), rel=1e-12)
        assert each.tenth == pytest.approx(float(shape.tenth), rel=1e-12)
        # closed form: 1.1686 m v √(t0.1² + (1.8101 Δ)²), and an edge drawn twice, m v Δ apart
        length = math.hypot(float(shape.tenth), 1.8101 * 40e-6)
        assert each.rim == pytest.approx(1.1686 * 0.4 * 0.5 * length, rel=1e-12)
        assert each.drop == pytest.approx(1.1686 * 0.4 * 3.0 * length, rel=1e-12)
        assert math.isnan(each.tip)
        assert each.edge_gap == pytest.approx(0.4 * 3.0 * 40e-6, rel=1e-12)
        if each.power == study.number(POWER):
            assert each.drop == smear(nominal, 3.0)
            assert each.shift == 0.0


@pytest.mark.parametrize(
    ("settings", "sign"),
    [
        (("flash.kind=quenched", "flash.power_step=0.1 stop"), 1.0),
        (("flash.kind=voltage-controlled", "flash.power_step=0.1 stop"), -1.0),
    ],
)
def test_less_power_is_shorter_or_longer_by_the_kind_of_flash(
    settings: tuple[str, ...], sign: float
) -> None:
    found = rungs(load("barn-table", *settings), Speeds(rim=0.1, drop=3.0, tip=0.3))
    assert len(found) == 71
    for measure in ("half", "tenth", "rim", "drop", "tip", "shift"):
        values = [sign * getattr(each, measure) for each in found]
        # closed form: both laws are monotonic in the power; a quenched t0.5 rests above 1/2.
        assert values == sorted(values, reverse=True)
        assert abs(values[0] - values[-1]) > 0.4 * abs(values[0])


def test_without_a_speed_nothing_is_smeared() -> None:
    for each in rungs(load("barn-table"), STILL):
        assert all(math.isnan(size) for size in (each.rim, each.drop, each.tip))


def test_a_table_of_ones_own_is_what_lasts() -> None:
    table = '[["1/64", "40 us"], ["1/8", "200 us"], [1, "3 ms"]]'
    found = rungs(load("barn-table", f"flash.tenth_durations={table}"))
    assert [each.tenth for each in found] == pytest.approx([3e-3, 200e-6, 40e-6])
    # closed form: the centroid is scaled as the durations are
    shapes = [pulse("quenched", np.array(each.power), None) for each in found]
    centres = [
        float(shape.centroid / shape.tenth) * each.tenth
        for shape, each in zip(shapes, found, strict=True)
    ]
    assert [each.shift for each in found] == pytest.approx([c - centres[-1] for c in centres])
    assert lag(nominal_shot(load("barn-table"), CHAIN)) > 0.0
