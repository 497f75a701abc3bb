"""One firing at several delays is what firing each of them by itself shows."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.hits import count_hits
from jitter.answers.tune.delays import delay_curve
from jitter.answers.tune.limits import find_limits, meets_at
from jitter.answers.tune.prepared import prepared
from jitter.answers.tune.search import SETTINGS, delay_step
from jitter.answers.variants import with_spread, with_values
from jitter.draws.layout import CELL, Layout, blocks
from jitter.quantities import NONE, Level, Spread, sd
from jitter.stage import Chain
from jitter.stages import CHAIN
from jitter.trial import fire, open_road
from tests.conftest import load


@pytest.mark.parametrize("layout", [Layout(11, 30, 20), Layout(11, 2, CELL + 50)])
@pytest.mark.parametrize("spread", [NONE, sd(0.005, relative=True)])
def test_every_delay_is_as_if_fired_alone(layout: Layout, spread: Spread) -> None:
    # A delay that strays by a share of itself strays otherwise at another delay.
    study = with_spread(load("kitchen-glycerol"), ["timer.delay"], Level.SHOT, spread)
    # The study's own delay is not among them.
    delays = (0.335, 0.3365, 0.34)
    curve = delay_curve(study, CHAIN, layout, delays=delays)
    for place, delay in enumerate(delays):
        alone = count_hits(with_values(study, {"timer.delay": delay}), CHAIN, layout)
        assert np.array_equal(curve.as_set[place], alone.keepers("as_set"))
        if place == 1:
            assert np.array_equal(curve.as_trimmed, alone.keepers("as_trimmed"))


def test_unasked_the_delays_bring_the_median_age_to_the_windows_middle() -> None:
    study = load("barn-table", "timer.delay=400 ms", "camera.shutter_open=3 s")
    curve = delay_curve(study, CHAIN, Layout(11, 200, 20))
    middle = load("barn-table", f"timer.delay={1e3 * curve.delays[3]:.6f} ms")
    again = delay_curve(middle, CHAIN, Layout(11, 200, 20))
    (block,) = blocks(Layout(11, 200, 20))
    ages = fire(open_road(middle, CHAIN), block).as_set["age"]
    # closed form: the window from 2 to 10 ms has its middle at 6 ms
    assert float(np.nanmedian(ages)) == pytest.approx(0.006, abs=100e-3 * 0.0005)
    # The age moves one for one with the delay but for the clock's error, a two-thousandth of
    # the 100 ms between the two at the most.
    assert again.delays == pytest.approx(curve.delays, abs=100e-3 * 0.0005)


def test_without_an_age_there_is_the_own_delay_only() -> None:
    curve = delay_curve(load("barn-table", "valve.interval=400 ms"), CHAIN, Layout(11, 8, 4))
    assert curve.delays.tolist() == [0.294]
    assert curve.as_set.sum() == 0


def test_prepared_stages_change_no_digit_and_prepare_no_more() -> None:
    study, layout = load("barn-table"), Layout(11, 20, 10)
    ready = prepared(study, CHAIN, SETTINGS)
    stages = {stage.name: stage for stage in ready.stages}
    assert stages["fall"].prepare is not None
    # The table is made already, so nothing need be told to get it.
    assert stages["fall"].prepare({}) is not None
    variant = with_values(
        study, {"valve.interval": 0.12, "sensor.height": 0.2, "timer.start": "second drop"}
    )
    for one, other in zip(
        count_hits(variant, ready, layout).as_set,
        count_hits(variant, CHAIN, layout).as_set,
        strict=True,
    ):
        assert np.array_equal(one, other)


def test_a_table_that_needs_a_setting_is_made_anew() -> None:
    study = load("barn-table")
    ready = prepared(study, CHAIN, ("valve.nozzle_height",))
    fall = {stage.name: stage for stage in CHAIN.stages}["fall"]
    assert isinstance(ready, Chain)
    assert fall in ready.stages


def test_the_interval_ends_where_the_nominal_drop_finds_no_jet() -> None:
    study = load("barn-table")
    low, high = find_limits(study, CHAIN).interval or (0.0, 0.0)
    for inside, outside in ((low + 1e-5, low - 1e-5), (high - 1e-5, high + 1e-5)):
        assert -1.2 < meets_at(with_values(study, {"valve.interval": inside}), CHAIN) < 1.0
        assert np.isnan(meets_at(with_values(study, {"valve.interval": outside}), CHAIN))


def test_a_phase_limits_the_interval_to_where_they_meet_in_it() -> None:
    study = load("barn-table")
    for end, phase in zip(
        find_limits(study, CHAIN, phase=(-0.5, 0.25)).interval or (), (-0.5, 0.25), strict=True
    ):
        # Straight between thirteen points of a curve that hardly bends.
        found = meets_at(with_values(study, {"valve.interval": end}), CHAIN)
        assert found == pytest.approx(phase, abs=0.01)


def test_a_delay_is_sought_in_milliseconds_or_finer() -> None:
    # closed form: a power of ten, at most a quarter of the window and at most 1 ms
    assert delay_step((0.002, 0.010)) == 1e-3
    assert delay_step((0.002, 0.006)) == 1e-3
    assert delay_step((0.002, 0.0059)) == 1e-4
    assert delay_step((0.0, 0.2)) == 1e-3
