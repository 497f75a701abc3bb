"""What can be told apart: alike is mutual, groups hold everybody once and are alike throughout."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.explain import telling
from jitter.answers.explain.law import READING, SLIP, law
from jitter.answers.explain.likelihood import groups
from jitter.answers.explain.telling import (
    LOGS,
    TOLD_APART,
    alike,
    confusion,
    gather,
    imagine,
    shape_of,
)
from jitter.answers.explain.views import MEASURES, Condition, Views
from jitter.arrays import Array
from jitter.records.log import Log
from jitter.stages.look import ABOVE, DARK, EARLY, KEPT, LOOKS
from tests.answers.explain.made import NONE, frame

NOW = Condition()


def views(chance: float, *, seed: int, setups: int = 64) -> Views:
    """Return frames that are dark with some chance and keepers otherwise."""
    draws = np.random.default_rng(seed)
    look = np.where(draws.random((setups, 32)) < chance, DARK, KEPT).astype(np.uint8)
    return Views(look, np.full((len(MEASURES), setups, 32), np.nan))


@settings(max_examples=60)
@given(
    st.integers(1, 7).flatmap(
        lambda many: st.tuples(
            st.lists(st.booleans(), min_size=many * many, max_size=many * many),
            st.lists(st.floats(0.0, 1.0), min_size=many, max_size=many),
        )
    )
)
def test_groups_hold_everybody_once_and_all_of_a_group_are_alike(
    made: tuple[list[bool], list[float]],
) -> None:
    flags, weights = made
    many = len(weights)
    pairs = np.array(flags).reshape(many, many)
    pairs = pairs | pairs.T | np.eye(many, dtype=bool)
    found = gather(pairs, weights)
    assert sorted(place for group in found for place in group) == list(range(many))
    for group in found:
        assert pairs[np.ix_(group, group)].all()
        assert [weights[place] for place in group] == sorted(
            (weights[place] for place in group), reverse=True
        )
    sums = [sum(weights[place] for place in group) for group in found]
    assert sums == sorted(sums, reverse=True)


def test_two_groups_that_are_alike_throughout_are_one() -> None:
    pairs = np.array([[1, 1, 0], [1, 1, 1], [0, 1, 1]], dtype=bool)
    # The middle one goes with the likelier of the two, which are not alike themselves.
    assert gather(pairs, [0.3, 0.2, 0.4]) == ((2, 1), (0,))
    assert gather(np.ones((3, 3), dtype=bool), [0.3, 0.2, 0.4]) == ((2, 0, 1),)


def test_alike_is_mutual_and_everybody_is_like_himself() -> None:
    speaks = np.random.default_rng(1).normal(0.0, 2.0, (5, LOGS, 5))
    found = alike(speaks)
    np.testing.assert_array_equal(found, found.T)
    assert found.diagonal().all()


@pytest.mark.parametrize(("ratio", "told"), [(0.99, False), (1.01, True)])
def test_logs_must_speak_so_many_times_for_the_right_one(ratio: float, told: bool) -> None:
    speaks = np.zeros((2, LOGS, 2))
    # Each speaks for itself; but the second does so only so much.
    speaks[0, :, 0] = 9.0
    speaks[1, :, 1] = np.log(ratio * TOLD_APART)
    assert bool(alike(speaks)[0, 1]) is not told


def test_the_evidence_tells_rigs_that_differ_and_not_the_same_twice() -> None:
    chances = (0.02, 0.02, 0.4)
    laws = [{NOW: law(views(chance, seed=1), NONE)} for chance in chances]
    fresh = [{NOW: views(chance, seed=2 + place)} for place, chance in enumerate(chances)]
    log = Log(tuple(frame(2 + place, KEPT) for place in range(20)), "", ())
    shape = shape_of(groups(log))
    every = np.ones((3, 3), dtype=bool)
    apart = confusion(fresh, laws, shape, pairs=every, weight=1.0, seed=3)
    assert apart.shape == (3, LOGS, 3)
    np.testing.assert_array_equal(apart[:, :, 0], apart[:, :, 1])
    assert alike(apart).tolist() == [[1, 1, 0], [1, 1, 0], [0, 0, 1]]
    # Of whom nobody asks is not alike; the others' logs stay as they are.
    asked = np.eye(3, dtype=bool)
    asked[1:, 1:] = True
    some = confusion(fresh, laws, shape, pairs=asked, weight=1.0, seed=3)
    np.testing.assert_array_equal(some[1:, :, 1:], apart[1:, :, 1:])
    assert alike(some).tolist() == np.eye(3).tolist()


def test_imagined_logs_have_the_shape_of_the_log_and_the_looks_of_their_rig() -> None:
    frames = [
        frame(2 + place, [KEPT, EARLY, ABOVE][place % 3], "ab"[place % 2], delay=delay)
        for place, delay in enumerate([None, 0.3] * 9)
    ]
    frames[0] = frame(2, KEPT, "a", width=0.03)
    rows = groups(Log(tuple(frames), "", ()))
    shape = shape_of(rows)
    # Only widths were read.
    assert shape.measured == (False, True, False, False, False)
    dark, measures = views(0.3, seed=4), np.full((5, 64, 32), 0.02)
    seen = {condition: Views(dark.look, measures) for condition in shape.conditions}
    draws = np.random.Generator(np.random.PCG64DXSM(5))
    logs = [imagine(seen, shape, draws) for _ in range(300)]
    for log in logs:
        assert [(row.setup, row.condition, row.frames) for row in log] == [
            (row.setup, row.condition, row.frames) for row in rows
        ]
        for row in log:
            shown = np.flatnonzero(row.looks)
            assert set(row.measures) == {(1, int(look)) for look in shown}
            assert sum(len(sizes) for sizes in row.measures.values()) == row.frames
    looks: Array = np.sum([row.looks for log in logs for row in log], axis=0)
    assert looks.sum() == 300 * 18
    # closed form: 0.3 of all that is called by its name, with the spread between the 64 simulated
    # set-ups of 32 frames; the slips are shared by all names.
    error = 4.5 * np.sqrt(0.3 * 0.7 * (1.0 / (64 * 32) + 1.0 / looks.sum() + 1.0 / (32 * 600)))
    truth = (1.0 - SLIP) * 0.3 + SLIP / len(LOOKS)
    assert looks[DARK] / looks.sum() == pytest.approx(truth, abs=error)
    slips = 1.0 - looks[[DARK, KEPT]].sum() / looks.sum()
    truth = SLIP * (1.0 - 2.0 / len(LOOKS))
    assert slips == pytest.approx(truth, abs=4.5 * np.sqrt(truth / looks.sum()))
    # closed form: numbers of no spread stray by the error of reading.
    sizes = np.concatenate([one for log in logs for row in log for one in row.measures.values()])
    assert sizes.std() == pytest.approx(READING, rel=4.5 / np.sqrt(2.0 * len(sizes)))


def test_frames_of_a_setup_share_a_simulated_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(telling, "SLIP", 0.0)
    # Every simulated set-up is all dark or all keepers.
    look = np.where(np.arange(64)[:, None] % 2, DARK, KEPT) * np.ones((1, 32), dtype=np.uint8)
    seen = Views(look.astype(np.uint8), np.full((5, 64, 32), np.nan))
    log = Log(
        tuple(frame(2 + i, KEPT, "ab"[i % 2], delay=[None, 0.3][i // 10]) for i in range(20)),
        "",
        (),
    )
    shape = shape_of(groups(log))
    draws = np.random.Generator(np.random.PCG64DXSM(6))
    both = set()
    for _ in range(60):
        rows = imagine(dict.fromkeys(shape.conditions, seen), shape, draws)
        dark = {(row.setup, bool(row.looks[DARK])) for row in rows}
        assert all(row.looks.max() == row.frames for row in rows)
        # Two conditions of a set-up agree; two set-ups need not.
        assert len(dark) == 2
        both.add(tuple(sorted(dark)))
    assert len(both) == 4
