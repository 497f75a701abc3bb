"""Many delays at once are what each of them by itself shows; the map; tables made once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from jitter.answers.effort import Effort, Net
from jitter.answers.hits import count_hits
from jitter.answers.tune.bench import Bench
from jitter.answers.tune.delays import at_delays, suited
from jitter.answers.tune.limits import HEIGHT, INTERVAL, Limits, find_limits, meets_at
from jitter.answers.tune.mapped import lay_map
from jitter.answers.tune.prepared import prepared
from jitter.answers.tune.settings import SETTINGS, delay_step
from jitter.answers.variants import with_values
from jitter.draws.layout import Layout
from jitter.draws.values import fixed_values
from jitter.quantities import argument
from jitter.stage import Chain
from jitter.stages import CHAIN
from jitter.study.study import Study
from jitter.trial import nominal_shot, open_road, single
from tests.conftest import STUDIES, load

EFFORTS = (Net(11, 8), Layout(11, 40, 20))


def bench(effort: Effort) -> Bench:
    return Bench(CHAIN, effort, "as_set", (), Limits(), 1, lambda: None)


@pytest.mark.parametrize("effort", EFFORTS)
def test_every_delay_is_as_if_asked_for_alone(effort: Effort) -> None:
    study = load("kitchen-glycerol")
    # The study's own delay is not among them.
    delays = np.array([[0.335, 0.3365, 0.34]])
    found = at_delays(bench(effort), [study], delays)
    for delay, one in zip(delays[0], found.as_set[0], strict=True):
        (alone,) = bench(effort).rates(found.base, [with_values(study, {"timer.delay": delay})])
        # The same points or draws, so the same set-ups but for rounding.
        np.testing.assert_allclose(one.shares("as_set"), alone.shares("as_set"), atol=1e-9)
    best = with_values(study, {"timer.delay": found.best[0]})
    (alone,) = bench(effort).rates(found.base, [best])
    np.testing.assert_allclose(
        found.as_trimmed[0].shares("as_trimmed"), alone.shares("as_trimmed"), atol=1e-9
    )


def test_unasked_the_delays_bring_the_nominal_age_to_the_windows_middle() -> None:
    study = load("barn-table", "timer.delay=400 ms", "camera.shutter_open=3 s")
    rigs = [with_values(study, {"valve.interval": each}) for each in (0.08, 0.1, 0.12)]
    found = at_delays(bench(EFFORTS[0]), rigs)
    assert found.delays.shape == (3, 7)
    for rig, delays in zip(rigs, found.delays, strict=True):
        at = nominal_shot(with_values(rig, {"timer.delay": float(delays[3])}), CHAIN)
        # closed form: the window from 2 to 10 ms has its middle at 6 ms, and the age moves one
        # for one with the delay where nothing strays.
        assert single(at, "age") == pytest.approx(0.006, abs=1e-9)


def test_without_an_age_the_delays_lie_about_the_own_or_the_neighbours() -> None:
    study = load("barn-table", "valve.interval=400 ms")
    met, unmet = with_values(study, {"valve.interval": 0.099}), study
    assert suited(bench(EFFORTS[0]), [unmet]).tolist() == [0.294]
    (alone,) = suited(bench(EFFORTS[0]), [met])
    assert suited(bench(EFFORTS[0]), [unmet, met]).tolist() == [alone, alone]
    assert at_delays(bench(EFFORTS[0]), [unmet]).shares.max() == 0.0


@pytest.mark.parametrize("path", sorted(STUDIES.glob("*.toml")), ids=lambda path: path.stem)
def test_no_setting_changes_a_nominal_that_a_stage_reads(path: Path) -> None:
    # A batch of rigs has the nominals of one of them.
    study = load(path.stem)
    own = CHAIN.nominals(fixed_values(study) | _tables(study))
    for key, share in ((HEIGHT, 0.7), (INTERVAL, 1.3), ("timer.delay", 0.9)):
        other = with_values(study, {key: share * study.number(key)})
        assert CHAIN.nominals(fixed_values(other) | _tables(other)) == own
        read = {name for stage in CHAIN.stages for name in stage.needs}
        assert f"{argument(key)}_nominal" not in read


def _tables(study: Study) -> dict[str, object]:
    fixed = open_road(study, CHAIN).fixed
    return {stage.table: fixed[stage.table] for stage in CHAIN.stages if stage.prepare is not None}


def test_every_table_is_made_without_the_settings() -> None:
    before = {stage.name: stage.prepare for stage in CHAIN.stages}
    after = {
        stage.name: stage.prepare for stage in prepared(load("barn-table"), CHAIN, SETTINGS).stages
    }
    made = [name for name, prepare in before.items() if prepare is not None]
    assert made
    # A stage that is left alone reads a setting, and a batch would lie beyond its table.
    assert all(after[name] is not before[name] for name in made)


def test_a_map_follows_the_delay_and_holds_the_users_own_where_it_is_near() -> None:
    study = load("barn-table")
    mapped = lay_map(bench(Net(11, 4)), study, study, (0.09, 0.11))
    assert mapped.grid.delays.shape == (len(mapped.intervals), 60) == (60, 60)
    assert 0.099 in mapped.intervals
    assert list(mapped.intervals) == sorted(mapped.intervals)
    middles = suited(mapped.grid.bench, mapped.grid.studies)
    # closed form: three quarters of the window of 8 ms either way
    assert mapped.grid.delays[:, 0] == pytest.approx(middles - 0.006)
    assert mapped.grid.delays[:, -1] == pytest.approx(middles + 0.006)
    far = lay_map(bench(Layout(11, 4, 2)), load("barn-table", "valve.interval=300 ms"), study)
    # About the rig's own interval, 15 ms either way, with fewer places where rates are drawn.
    assert (far.intervals[0], far.intervals[-1]) == pytest.approx((0.084, 0.114))
    assert far.grid.delays.shape == (15, 33)
    beside = lay_map(bench(Layout(11, 4, 2)), load("barn-table", "timer.delay=282 ms"), study)
    row = beside.grid.delays[beside.intervals.index(0.099)]
    assert row[0] < 0.282 < row[-1]


def test_prepared_stages_change_no_digit_and_prepare_no_more() -> None:
    study, layout = load("barn-table"), Layout(11, 20, 10)
    ready = prepared(study, CHAIN, SETTINGS)
    stages = {stage.name: stage for stage in ready.stages}
    assert stages["fall from rest"].prepare is not None
    # The table is made already, so nothing need be told to get it.
    assert stages["fall from rest"].prepare({}) is not None
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
    fall = {stage.name: stage for stage in CHAIN.stages}["fall from rest"]
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
