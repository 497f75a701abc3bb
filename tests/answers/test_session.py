"""Sessions that drift: keepers by frame, policies and their cost, against closed forms of a toy."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from scipy.special import ndtr

from jitter.answers.intervals import Estimate, wilson
from jitter.answers.run import RunAnswer, answer_run
from jitter.answers.session import (
    COLUMNS,
    SETUPS,
    TRIMS,
    WORN,
    SessionAnswer,
    answer_session,
    drifts,
)
from jitter.arrays import Array, Codes, Flags
from jitter.quantities import Basis, Kind, Mark, Quantity
from jitter.stage import Chain, Stage
from jitter.stages import CHAIN, trimming
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.reader import read_study
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import load
from tests.toy import ADD_UP, JUDGE, MS, answer_toy, toy_study


class Luck(NamedTuple):
    """The verdict of the toy, unless a mishap strikes."""

    reason: Codes


def judge(*, age: Array, keeper_age: tuple[float, float], toy_mishap: Flags) -> Luck:
    """Return early, late, no light or keeper."""
    early, late, dark = (REASONS.index(word) for word in ("early", "late", "no light"))
    code = np.where(age < keeper_age[0], early, np.where(age > keeper_age[1], late, KEEPER))
    return Luck(reason=np.where(toy_mishap, dark, code).astype(np.uint8))


MISHAP = Quantity(
    key="toy.mishap",
    meaning="chance of a mishap",
    symbol="p",
    unit="1",
    nominal=0.0,
    lower=0.0,
    upper=1.0,
    kind=Kind.CHANCE,
    basis=Basis(Mark.ASSUMED, "a toy"),
)
SESSION = Chain(
    stages=(
        replace(ADD_UP, declares=(*ADD_UP.declares, CHAIN.declarations["session.frames"], MISHAP)),
        Stage(name="judge", declares=JUDGE.declares, work=judge),
    ),
    trimming=trimming.STAGE,
)
WIDTH, DRIFT, FRAMES, READ = 4.0, 0.05, 96, 8
AT_SETUP, AT_SHOT, READING = 3.0, 1.5, 1.0


def session_of(
    *,
    drift: float = DRIFT,
    frames: int = FRAMES,
    width: float = WIDTH,
    setup: float = AT_SETUP,
    shot: float = AT_SHOT,
    reading: float = READING,
    mishap: float = 0.0,
    more_mishaps: float = 0.0,
) -> Study:
    """Return a toy whose input a drifts; times in milliseconds, mishaps as shares."""
    study = toy_study(
        half_width=width,
        setup={"a": setup} if setup else None,
        shot={"a": shot} if shot else None,
        reading=reading,
        frames=READ,
        chain=SESSION,
    )
    entries = dict(study.entries)
    entries["toy.a"] = replace(entries["toy.a"], drift=MS * drift)
    entries["toy.mishap"] = replace(entries["toy.mishap"], nominal=mishap, drift=more_mishaps)
    entries["session.frames"] = replace(entries["session.frames"], nominal=float(frames))
    return replace(study, entries=entries)


def answer(study: Study, *, setups: int = SETUPS) -> SessionAnswer:
    return answer_session(open_road(study, SESSION), setups=setups)


@cache
def drifting() -> SessionAnswer:
    return answer(session_of())


def inside(shift: float, deviation: float, width: float = WIDTH) -> float:
    """Return P(|N(shift, deviation²)| < width) = Φ((W - b)/s) - Φ((-W - b)/s)."""
    return float(ndtr((width - shift) / deviation) - ndtr((-width - shift) / deviation))


def trimmed(frames_since: float) -> float:
    """Return the share of keepers so many frames after a trimming.

    Trimming takes out what the set-up fixes and all drift so far, and puts in the mean of its
    frames' own errors: variance = shot² (1 + 1/N) + reading²/N.
    """
    variance = AT_SHOT**2 * (1.0 + 1.0 / READ) + READING**2 / READ
    return inside(DRIFT * frames_since, math.sqrt(variance))


def close(found: Estimate, truth: float) -> bool:
    """Whether a share of one frame in each set-up is within 4.5 standard errors."""
    return abs(found.value - truth) <= 4.5 * math.sqrt(truth * (1.0 - truth) / SETUPS)


def agrees(found: Estimate, truth: float) -> bool:
    """Whether the truth is within 4.5 standard errors, 1.96 of which the interval reaches."""
    return abs(found.value - truth) <= 4.5 * (found.high - found.low) / (2.0 * 1.96)


def test_keepers_by_frame_are_the_normal_probabilities() -> None:
    found = drifting()
    assert found.frames == FRAMES
    # closed form: 96 frames looked at in 24 places
    assert found.places.tolist() == [4.0 * place for place in range(COLUMNS)]
    for frame, as_set, once in zip(found.places, found.as_set, found.once, strict=True):
        spread = math.hypot(AT_SETUP, AT_SHOT)
        assert close(as_set, inside(DRIFT * frame, spread)), frame
        assert close(once, trimmed(frame)), frame
        # The interval is that of a share of independent set-ups.
        assert as_set == wilson(round(as_set.value * SETUPS), SETUPS)


def test_a_fresh_trimming_is_as_good_at_any_frame() -> None:
    found = drifting()
    # Closed form: after each of 1, 2, 4 and 8 trimmings at even distances.
    starts = sorted({start for trims in TRIMS for start in range(0, COLUMNS, COLUMNS // trims)})
    assert [frame for frame, _ in found.fresh] == [4.0 * start for start in starts]
    for frame, share in found.fresh:
        assert close(share, trimmed(0.0)), frame
    assert found.worn is None


def policy_share(trims: int) -> float:
    """Return the keepers among all frames shot; trimming frames are shot, but nobody keeps them."""
    length = COLUMNS // trims
    kept = sum(trimmed(4.0 * place) for place in range(length)) / length
    return kept * FRAMES / (FRAMES + trims * READ)


def test_policies_count_the_frames_shot_to_trim() -> None:
    found = drifting()
    assert tuple(policy.trims for policy in found.policies) == TRIMS
    for policy in found.policies:
        assert policy.every == FRAMES / policy.trims
        assert agrees(policy.share, policy_share(policy.trims)), policy.trims
        gain = policy_share(policy.trims) - policy_share(1)
        assert agrees(policy.gain, gain), policy.trims
        whole = policy.by_frame.mean() * FRAMES / (FRAMES + policy.trims * READ)
        assert policy.share.value == pytest.approx(whole, abs=1e-12)
        length = COLUMNS // policy.trims
        for place, share in enumerate(policy.by_frame):
            truth = trimmed(4.0 * (place % length))
            error = math.sqrt(truth * (1.0 - truth) / SETUPS)
            assert abs(share - truth) <= 4.5 * error, (policy.trims, place)


def test_the_best_policy_is_the_closed_forms() -> None:
    assert max(TRIMS, key=policy_share) == 2
    # The runner-up is so far behind that no draw would prefer it.
    assert policy_share(2) - max(policy_share(1), policy_share(4)) > 0.02
    assert drifting().best.trims == 2
    assert drifting().best.gain.low > 0.0


def test_once_is_best_where_the_gain_is_not_clear() -> None:
    # So slow a drift costs less than the frames shot to trim again.
    found = answer(session_of(drift=0.001))
    assert found.best is found.policies[0]
    assert found.best.trims == 1
    for policy in found.policies[1:]:
        assert policy.gain.value < 0.0
    # Here trimming twice would gain half a point, which so few set-ups cannot tell from nothing.
    found = answer(session_of(drift=0.035), setups=32)
    assert found.policies[1].gain.value > 0.0
    assert not found.policies[1].gain.clear
    assert found.best is found.policies[0]
    # Nothing can be said against trimming once in comparison with itself.
    assert found.best.gain.value == 0.0
    assert not found.best.gain.clear


def test_trimming_puts_the_mean_back() -> None:
    # Without errors of a shot or of reading, a trimming at a frame makes that frame right.
    found = answer(session_of(drift=0.5, shot=0.0, reading=0.0, width=2.1), setups=64)
    for frame, once in zip(found.places, found.once, strict=True):
        # closed form: 0.5 ms a frame pass 2.1 ms with the fifth
        assert once.value == float(0.5 * frame <= 2.1)
    assert all(share.value == 1.0 for _, share in found.fresh)
    # Closed form: places 4 frames apart are right at the trimming and at the next place.
    for policy in found.policies:
        length = COLUMNS // policy.trims
        expected = [float(place % length <= 1) for place in range(COLUMNS)]
        assert policy.by_frame.tolist() == expected, policy.trims
        share = min(2.0 / length, 1.0) * FRAMES / (FRAMES + policy.trims * READ)
        assert policy.share.value == pytest.approx(share, abs=1e-12)


def test_worn_out_is_the_first_frame_that_no_trimming_saves() -> None:
    # Closed form: nothing but mishaps, at frame k in 0.02 + 0.004 k of the frames.
    found = answer(session_of(drift=0.0, width=1e3, mishap=0.02, more_mishaps=0.004))
    for frame, share in found.fresh:
        assert close(share, 0.98 - 0.004 * frame), frame
    limit = WORN * found.fresh[0][1].value
    worn = [frame for frame, share in found.fresh if share.high < limit]
    assert found.worn == worn[0]
    # Nine tenths are lost at frame 24.5; the next place looked at is 36, 12 frames on.
    assert WORN * 0.98 < 0.98 - 0.004 * 24.0
    assert found.worn == 36.0
    # A trimming helps nobody here.
    assert found.best.trims == 1
    assert all(policy.gain.high < 0.0 for policy in found.policies[1:])


def test_what_gives_no_keepers_at_all_is_not_worn_out() -> None:
    found = answer(session_of(width=1e-6), setups=64)
    assert all(share.value == 0.0 for _, share in found.fresh)
    assert found.worn is None
    assert found.best.trims == 1


@pytest.mark.parametrize(
    ("frames", "columns", "trims"),
    [
        (1, 1, (1,)),
        (2, 2, (1, 2)),
        (7, 7, (1,)),
        (16, 16, (1, 2, 4, 8)),
        (23, 23, (1,)),
        (24, 24, (1, 2, 4, 8)),
        (25, 24, (1, 2, 4, 8)),
        (1_000_000, 24, (1, 2, 4, 8)),
    ],
)
def test_sessions_of_any_length(frames: int, columns: int, trims: tuple[int, ...]) -> None:
    found = answer(session_of(frames=frames, drift=1.0 / frames), setups=128)
    # Closed form: evenly spread, whole frames, the first one among them.
    assert found.places.tolist() == [place * frames // columns for place in range(columns)]
    assert len(found.as_set) == len(found.once) == columns
    assert tuple(policy.trims for policy in found.policies) == trims
    for policy in found.policies:
        assert policy.every == frames / policy.trims
        assert policy.by_frame.shape == (columns,)
        # closed form: no more keepers than the trimming frames leave
        assert policy.share.value <= frames / (frames + policy.trims * READ)


def test_a_session_of_one_frame_is_its_first_frame() -> None:
    found = answer(session_of(frames=1))
    assert close(found.as_set[0], inside(0.0, math.hypot(AT_SETUP, AT_SHOT)))
    assert close(found.once[0], trimmed(0.0))
    # closed form: of nine frames shot eight are for trimming
    assert found.policies[0].share.value == pytest.approx(found.once[0].value / (1 + READ))
    assert found.fresh == ((0.0, found.once[0]),)
    assert found.worn is None


def test_the_same_seed_gives_the_same_session() -> None:
    again, other = answer(session_of()), answer(replace(session_of(), seed=8))
    assert again.as_set == drifting().as_set
    assert again.once == drifting().once
    assert other.as_set != drifting().as_set


# Each makes a shot depend on its frame's number.
DRIFTING: Mapping[str, tuple[str, ...]] = {
    "any drift": ("timer.delay.drift='0.01 ms'",),
    "drift of a mishap": ("sensor.miss_chance.drift='0.1 %'",),
    "falling head": ("reservoir.constant_head=no",),
    "rising level": ("pool.level_drift='0.01 mm'",),
    "sinking level": ("pool.level_drift='-0.01 mm'",),
    "rising dish": ("pool.width=20 cm",),
}


@pytest.mark.parametrize("name", DRIFTING)
def test_what_drifts_is_found(name: str) -> None:
    assert drifts(read_study("version = 1", source="t", chain=CHAIN, settings=DRIFTING[name]))


@pytest.mark.parametrize(
    "settings",
    [(), ("reservoir.constant_head=yes",), ("pool.level_drift='0 mm'",),
     ("timer.delay.drift='0 ms'",), ("session.frames=1000",)],
)  # fmt: skip
def test_what_does_not_drift_is_left_alone(settings: tuple[str, ...]) -> None:
    assert not drifts(read_study("version = 1", source="t", chain=CHAIN, settings=settings))


def test_a_run_tells_a_session_only_where_something_drifts(barn: RunAnswer) -> None:
    assert barn.session is None
    still = session_of(drift=0.0)
    assert not drifts(still)
    toy = answer_toy(toy_study(half_width=2.0, shot={"a": 1.0}), setups=16, shots=4)
    assert toy.session is None
    # Here the level sinks by 2 mm over the session.
    study = load("barn-table", "pool.level_drift='-0.02 mm'", "session.frames=24")
    found = answer_run(study, CHAIN, setups=8, shots=4).session
    assert found is not None
    assert found.frames == 24
    assert found.places.tolist() == list(range(24))
    assert len(found.as_set) == 24
