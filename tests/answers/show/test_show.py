"""The time line of a rig: closed forms, bands that hold nine in ten, and what does not happen."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtri

from jitter.answers.show.answer import (
    POINTS,
    Moment,
    Paths,
    ShowAnswer,
    answer_show,
    nominal_paths,
    shot_paths,
)
from jitter.answers.show.moments import happenings
from jitter.arrays import Array
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import fire, nominal_shot, open_road, single

GRAVITY = 9.80665
SETUPS, SHOTS = 512, 4
STEADY = (
    "valve.latency.setup=none",
    "valve.release_speed.setup=none",
    "timer.clock_error.setup=none",
)
"""What moves the releases from one set-up to another, switched off."""
NO_JET, NO_LIGHT = "valve.interval=20 ms", "camera.shutter_open=0.3 s"
EVERYTHING = [
    "first valve command",
    "first drop leaves the nozzle",
    "second valve command",
    "second drop leaves the nozzle",
    "timer starts",
    "first drop lands",
    "jet emerges",
    "drop and jet meet",
    "light",
    "jet would stand highest",
    "jet would be gone",
]


def read(*changes: str, seed: int = 3) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=changes, seed=seed)


@cache
def shown(*changes: str) -> ShowAnswer:
    return answer_show(read(*changes), CHAIN, setups=SETUPS, shots=SHOTS)


def moments_of(answer: ShowAnswer) -> dict[str, Moment]:
    return {moment.what: moment for moment in answer.moments}


def test_moments_are_told_in_the_order_of_time() -> None:
    assert [moment.what for moment in shown().moments] == EVERYTHING
    # Where the drops come in quick succession the second is let go before the timer starts.
    for changes in ((), ("valve.interval=130 ms",), ("timer.start=second drop",), (NO_JET,)):
        nominals = [moment.nominal for moment in shown(*changes).moments]
        assert nominals == sorted(nominals)


@settings(max_examples=25, deadline=None)
@given(
    interval=st.floats(min_value=0.0, max_value=0.4),
    delay=st.floats(min_value=0.0, max_value=0.6),
    start=st.sampled_from(["first drop", "second drop", "valve"]),
    shutter=st.sampled_from(["1.5 s", "0.3 s"]),
)
def test_any_rig_tells_what_happens_once_and_in_order(
    interval: float, delay: float, start: str, shutter: str
) -> None:
    study = read(
        f"valve.interval={interval} s",
        f"timer.delay={delay} s",
        f"timer.start={start}",
        f"camera.shutter_open={shutter}",
    )
    nominal = nominal_shot(study, CHAIN)
    rows = happenings(study, nominal)
    times = [when for _, _, when in rows]
    assert times == sorted(times)
    assert not any(math.isnan(when) for when in times)
    told = [what for what, _, _ in rows]
    assert len(set(told)) == len(told)
    missing = set(EVERYTHING) - set(told)
    assert ("timer starts" in missing) == (start == "valve")
    assert ("drop and jet meet" in missing) == math.isnan(single(nominal, "meeting_time"))
    assert ("light" in missing) == math.isnan(single(nominal, "light_time"))
    assert missing <= {"timer starts", "drop and jet meet", "light"}


def test_nominal_moments_are_those_of_the_settings() -> None:
    found = moments_of(shown())
    # Closed form: the settings themselves; the light comes 30 µs of wire and the centroid of the
    # pulse after the delay.
    assert found["first valve command"].nominal == 0.0
    assert found["second valve command"].nominal == 0.099
    assert found["first drop leaves the nozzle"].nominal == pytest.approx(0.008)
    assert found["second drop leaves the nozzle"].nominal == pytest.approx(0.107)
    cut = -math.log1p(-1.0 / 64.0)
    centroid = 1262.4e-6 * (1.0 - cut * math.exp(-cut) / -math.expm1(-cut))
    light = found["timer starts"].nominal + 0.294 + 30e-6 + centroid
    assert found["light"].nominal == pytest.approx(light, abs=1e-9)


def test_a_band_is_that_of_the_normal_distribution() -> None:
    # Latency alone moves the first release: sd 0.3 ms at shot level.
    moment = moments_of(shown(*STEADY))["first drop leaves the nozzle"]
    shots = SETUPS * SHOTS
    # closed form: a quantile of N normal numbers has the standard error √(p (1 - p)/N)/φ(z) sd
    z = float(ndtri(0.95))
    error = math.sqrt(0.05 * 0.95 / shots) / (math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi))
    assert moment.high == pytest.approx(0.008 + 0.3e-3 * z, abs=4.5 * 0.3e-3 * error)
    assert moment.low == pytest.approx(0.008 - 0.3e-3 * z, abs=4.5 * 0.3e-3 * error)
    # closed form: a standard deviation has the relative standard error 1/√(2 N)
    assert moment.sd == pytest.approx(0.3e-3, rel=4.5 / math.sqrt(2.0 * shots))
    assert moment.share == 1.0


def test_both_commands_stray_by_no_more_than_the_clock() -> None:
    found = moments_of(shown("timer.clock_error.setup='within 0.01'"))
    first, second = found["first valve command"], found["second valve command"]
    assert (first.low, first.high, first.sd) == (0.0, 0.0, 0.0)
    # closed form: a rectangular error of half width h has its band at ±0.9 h; a quantile of S
    # set-ups strays by √(p (1 - p)/S) of the full width
    error = 2.0 * math.sqrt(0.05 * 0.95 / SETUPS)
    assert (second.high / 0.099 - 1.0) / 0.01 == pytest.approx(0.9, abs=4.5 * error)
    assert (1.0 - second.low / 0.099) / 0.01 == pytest.approx(0.9, abs=4.5 * error)


def test_bands_hold_nine_in_ten_of_other_shots() -> None:
    study = read(seed=77)
    layout = Layout(study.seed, 4 * SETUPS, 1)
    events = fire(open_road(study, CHAIN), Block(layout, 0, 4 * SETUPS, 0, 1)).as_set
    nominal = nominal_shot(study, CHAIN)
    # The ends rest on the set-ups of the answer, the share on those counted here.
    error = math.sqrt(0.9 * 0.1 / SETUPS + 0.9 * 0.1 / (4 * SETUPS))
    seen = 0
    for what, event, _ in happenings(study, nominal):
        if event.endswith("command"):
            continue
        moment = moments_of(shown())[what]
        made = np.broadcast_to(events[event], (4 * SETUPS, 1))
        made = made[np.isfinite(made)]
        inside = np.mean((made >= moment.low) & (made <= moment.high))
        assert inside == pytest.approx(0.9, abs=4.5 * error), what
        seen += 1
    assert seen == 9


def test_what_happens_in_some_shots_says_in_how_many() -> None:
    answer = shown("sensor.miss_chance=0.3", "flash.dark_chance=0.5")
    found = moments_of(answer)
    # closed form: one in 0.7 starts, one in 0.35 is lit; the flash of half the others
    for what, share in (("timer starts", 0.7), ("light", 0.35), ("first drop lands", 1.0)):
        error = math.sqrt(share * (1.0 - share) / (SETUPS * SHOTS))
        assert found[what].share == pytest.approx(share, abs=4.5 * error), what


def test_what_never_happens_but_nominally_has_no_band() -> None:
    moment = moments_of(shown("sensor.miss_chance=1"))["timer starts"]
    assert moment.share == 0.0
    assert moment.nominal > 0.0
    assert all(math.isnan(end) for end in (moment.low, moment.high, moment.sd))


@pytest.mark.parametrize(
    ("change", "moment"),
    [
        (NO_JET, "drop and jet meet"),
        (NO_LIGHT, "light"),
        ("timer.start=valve", "timer starts"),
    ],
)
def test_what_does_not_happen_is_not_told(change: str, moment: str) -> None:
    assert set(EVERYTHING) - set(moments_of(shown(change))) == {moment}


def lasts(row: Array, times: Array) -> tuple[float, float]:
    there = times[~np.isnan(row)]
    return float(there[0]), float(there[-1])


def check_paths(paths: Paths, answer: ShowAnswer) -> None:
    """Hold the nominal rows of paths against the moments; times go in steps."""
    found = moments_of(answer)
    step = float(paths.times[1] - paths.times[0])
    end = found["drop and jet meet" if "drop and jet meet" in found else "first drop lands"]
    for row, begin, last in (
        (paths.first, "first drop leaves the nozzle", "first drop lands"),
        (paths.second, "second drop leaves the nozzle", end.what),
        (paths.jet, "jet emerges", "jet would be gone"),
    ):
        low, high = lasts(row[1], paths.times)
        assert 0.0 <= low - found[begin].nominal <= step, begin
        if last != "first drop lands" or row is paths.first:
            assert 0.0 <= found[last].nominal - high <= step, last
    # Closed form: for its first centimetre a drop falls v t + g t²/2; drag and the displaced air
    # take less than 3 µm of it, and it starts from 610 mm.
    fallen = 0.610 - paths.first[1]
    since = paths.times - found["first drop leaves the nozzle"].nominal
    near = (since >= 0.0) & (fallen < 0.01)
    assert near.sum() >= 2
    free = 0.05 * since[near] + 0.5 * GRAVITY * since[near] ** 2
    assert np.abs(fallen[near] - free).max() < 25e-6
    # A tip stands highest at its top.
    top = single(answer.nominal, "jet_top")
    assert np.nanmax(paths.jet[1]) == pytest.approx(top, rel=1e-3)
    assert np.nanmin(paths.jet[1]) >= 0.0


def test_nominal_paths_follow_the_moments() -> None:
    answer = shown()
    paths = nominal_paths(answer.nominal)
    check_paths(paths, answer)
    for rows in (paths.first, paths.second, paths.jet):
        np.testing.assert_array_equal(rows[0], rows[1])
        np.testing.assert_array_equal(rows[2], rows[1])
    # Where they meet the drop's lower edge is at the tip.
    at = np.flatnonzero(~np.isnan(paths.second[1]))[-1]
    step = float(paths.times[1] - paths.times[0])
    gap = paths.second[1, at] - 0.00225 - paths.jet[1, at]
    closing = single(answer.nominal, "closing_speed")
    assert 0.0 <= gap <= closing * step


@pytest.mark.parametrize("changes", [(), (NO_JET,), (NO_LIGHT,)])
def test_paths_of_all_shots_have_the_nominal_in_the_middle(changes: tuple[str, ...]) -> None:
    answer = shown(*changes)
    paths = shot_paths(answer)
    assert len(paths.times) == POINTS
    check_paths(paths, answer)
    for rows in (paths.first, paths.second, paths.jet):
        low, nominal, high = rows
        banded = ~np.isnan(low)
        np.testing.assert_array_equal(banded, ~np.isnan(high))
        assert banded.any()
        assert np.all(low[banded] <= high[banded])
        both = banded & ~np.isnan(nominal)
        assert np.mean((low <= nominal)[both] & (nominal <= high)[both]) > 0.9


def test_a_path_has_its_band_where_half_the_shots_have_it() -> None:
    # The second drop's release strays by 20 ms to either side of 107 ms, as does nothing else.
    answer = shown(*STEADY, "valve.latency={nominal='20 ms', shot='within 20 ms'}")
    paths = shot_paths(answer)
    begin, _ = lasts(paths.second[0], paths.times)
    # closed form: the middle of the rectangle; the median of N strays by 1/(2 √N) of its width
    doubt = 4.5 * 0.040 / (2.0 * math.sqrt(SETUPS * SHOTS))
    step = float(paths.times[1] - paths.times[0])
    assert -doubt <= begin - 0.119 <= doubt + step


def test_the_layout_is_kept_and_the_seed_counts() -> None:
    answer = shown()
    assert answer.layout == Layout(3, SETUPS, SHOTS)
    again = answer_show(read(), CHAIN, setups=SETUPS, shots=SHOTS)
    assert again.moments == answer.moments
    other = answer_show(read(seed=4), CHAIN, setups=SETUPS, shots=SHOTS)
    assert other.moments != answer.moments
    assert [m.nominal for m in other.moments] == [m.nominal for m in answer.moments]


def test_warnings_are_those_of_the_rig() -> None:
    assert len(shown().warnings) == 1
    assert "Froude" in shown().warnings[0]
