"""The powers that a flash can be set to."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.power.ladder import ladder, table_of
from jitter.answers.variants import with_values
from jitter.study.study import Pairs, Study
from tests.conftest import load

HALF, TENTH = "flash.half_durations", "flash.tenth_durations"
TABLE = '[["1/256", "20 us"], ["1/64", "40 us"], ["1/8", "200 us"], ["1/2", "900 us"]]'


def rig(*settings: str) -> Study:
    """Return the default rig, at 1/64, with a few settings changed."""
    return load("barn-table", *settings)


def shares(*inverses: float) -> tuple[float, ...]:
    return tuple(1.0 / inverse for inverse in inverses)


def test_whole_stops_from_full_down_to_the_usual_lowest() -> None:
    # common practice, no source: small flashes are marked by whole stops from 1 to 1/128
    assert ladder(rig()) == shares(1, 2, 4, 8, 16, 32, 64, 128)


@pytest.mark.parametrize(("step", "parts"), [("1/3 stop", 3), ("0.1 stop", 10), ("2 stop", 0.5)])
def test_finer_and_coarser_steps(step: str, parts: float) -> None:
    found = ladder(rig(f"flash.power_step={step}", "flash.lowest_power=1/64"))
    # closed form: 6 stops down, each of so many parts, and full power
    assert found == pytest.approx([2.0 ** (-k / parts) for k in range(int(6 * parts) + 1)])
    assert (found[0], len(found)) == (1.0, 6 * parts + 1)


def test_the_lowest_power_given_ends_it() -> None:
    assert ladder(rig("flash.lowest_power=1/512")) == shares(*(2**k for k in range(10)))
    # Between two steps: the last step above it.
    assert ladder(rig("flash.lowest_power=1/100")) == shares(1, 2, 4, 8, 16, 32, 64)


def test_a_flash_set_below_the_usual_lowest_goes_down_that_far_and_no_further() -> None:
    assert ladder(rig("flash.power=1/512"))[-3:] == shares(128, 256, 512)


def test_the_model_ends_before_some_flashes_do() -> None:
    # `flash.power` is held at its own lower limit in every draw: a darker power would be fired as
    # that one, and reckoned as itself.
    lower = 1.0 / 1024.0
    assert rig().entries["flash.power"].declaration.lower == lower  # type: ignore[union-attr]
    assert ladder(rig("flash.lowest_power=1/4096"))[-1] == lower
    deep = '[["1/4096", "10 us"], ["1/512", "15 us"], [1, "3 ms"]]'
    assert ladder(rig(f"{HALF}={deep}", "flash.power=1/512")) == shares(1, 512)


def test_ones_own_power_between_two_steps_is_one_of_them() -> None:
    found = ladder(rig("flash.power=0.02"))
    assert found == (*shares(1, 2, 4, 8, 16, 32), 0.02, *shares(64, 128))


def test_ones_own_power_stands_for_the_step_that_it_rounds() -> None:
    assert ladder(rig("flash.power=0.0156"))[-2:] == (0.0156, 1.0 / 128.0)


@pytest.mark.parametrize("key", [HALF, TENTH])
def test_a_table_of_ones_own_has_its_powers_alone(key: str) -> None:
    # A table that reaches below the usual lowest power says that the flash does.
    assert ladder(rig(f"{key}={TABLE}")) == shares(2, 8, 64, 256)
    between = ladder(rig(f"{key}={TABLE}", "flash.power=0.02"))
    assert between == (*shares(2, 8), 0.02, *shares(64, 256))
    assert ladder(rig(f"{key}={TABLE}", "flash.lowest_power=1/64")) == shares(2, 8, 64)


def test_a_table_with_a_step_has_the_steps_between_too() -> None:
    found = ladder(rig(f"{HALF}={TABLE}", "flash.power_step=1 stop"))
    # closed form: every whole stop from its first power to its last, and nothing beyond
    assert found == shares(2, 4, 8, 16, 32, 64, 128, 256)
    coarse = ladder(rig(f"{HALF}={TABLE}", "flash.power_step=2 stop"))
    assert coarse == shares(2, 4, 8, 16, 64, 256)


def test_the_table_is_read_whichever_duration_it_tells() -> None:
    assert table_of(rig()) == ()
    assert table_of(rig(f"{TENTH}={TABLE}")) == shares(256, 64, 8, 2)


def test_a_flash_that_always_empties_itself_has_one_power() -> None:
    assert ladder(load("workshop-thick-water")) == (1.0,)
    assert ladder(load("workshop-thick-water", "flash.lowest_power=1/16")) == (1.0,)


@cache
def plain() -> Study:
    return rig()


powers = st.floats(-10.0, 0.0).map(lambda stops: 2.0**stops)


@settings(deadline=None, max_examples=200)
@given(
    own=powers,
    step=st.floats(0.1, 2.0),
    told=st.none() | powers,
    listed=st.lists(powers, max_size=5, unique=True),
    stepped=st.booleans(),
)
def test_any_ladder_falls_within_its_range_and_says_nothing_twice(
    own: float, step: float, told: float | None, listed: list[float], stepped: bool
) -> None:
    # What the reader lets through: a power not below the lowest one, nor outside the table.
    lowest = None if told is None else min(told, own)
    if listed and not min(listed) <= own <= max(listed):
        listed = [*listed, own]
    table: Pairs | None = tuple((power, 1e-4) for power in sorted(listed)) or None
    study = with_values(
        plain(),
        {"flash.power": own, "flash.power_step": step, "flash.lowest_power": lowest, HALF: table},
    )
    entry = study.entries["flash.power_step"]
    told_step = replace(entry, given=frozenset({"nominal"} if stepped else ()))
    found = ladder(replace(study, entries={**study.entries, "flash.power_step": told_step}))

    assert own in found
    gaps = [math.log2(brighter / darker) for brighter, darker in pairwise(found)]
    # Falling, and no two alike: a thousandth of a stop apart at least.
    assert all(gap > 0.99e-3 for gap in gaps)
    # closed form: between the ends, but for the millionth that a rounding may take
    low = lowest or (min(listed) if listed else min(own, 1.0 / 128.0))
    assert low * (1.0 - 1e-5) <= found[-1] <= found[0] <= (max(listed, default=1.0)) * (1.0 + 1e-5)
    if stepped or not listed:
        # closed form: no gap is wider than a step, but for what is alike
        assert max(gaps, default=0.0) <= step + 2e-3
