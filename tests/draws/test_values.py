"""From deviates to values: levels, drops, shared draws, limits, scales, mishaps and ticks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import stats

from jitter.arrays import Array
from jitter.draws.deviates import Deviates, draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import (
    Scales,
    draw_values,
    entry_reach,
    fixed_values,
    reaches,
    value,
    values,
)
from jitter.quantities import NONE, Level, Quantity, sd, within
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Entry, Study
from tests.toy import toy_quantity

SETUPS, SHOTS = 2000, 20
BLOCK = Block(Layout(seed=9, setups=SETUPS, shots=SHOTS), 0, SETUPS, 0, SHOTS)
ALL = SETUPS * SHOTS


@cache
def study(text: str = "") -> Study:
    return read_study(f"version = 1\n{text}", source="test", chain=CHAIN)


def made(
    key: str, text: str = "", scales: Mapping[tuple[str, Level], float] | None = None
) -> Array:
    one = study(text)
    return np.asarray(value(one, key, draw(one, BLOCK), scales or {}))


def single(quantity: Quantity, nominal: float, **levels: object) -> Study:
    """Return a study of one quantity."""
    entry = Entry(quantity, nominal, **levels)  # type: ignore[arg-type]
    return Study("One", 9, {quantity.key: entry})


def alone(one: Study, block: Block = BLOCK, scales: Scales | None = None) -> Array:
    key = next(iter(one.entries))
    return np.asarray(value(one, key, draw(one, block), scales or {}))


def met(one: Array, other: Array) -> float:
    return abs(float(np.corrcoef(one.ravel(), other.ravel())[0, 1]))


def test_a_drop_shares_the_setup_error_and_has_a_shot_error_of_its_own() -> None:
    setup = made("valve.latency", '[valve]\nlatency = { nominal = "8 ms", shot = "none" }')
    assert setup.shape == (2, SETUPS, 1)
    np.testing.assert_array_equal(setup[0], setup[1])
    shot = made("valve.latency", '[valve]\nlatency = { nominal = "8 ms", setup = "none" }')
    assert shot.shape == (2, SETUPS, SHOTS)
    assert met(shot[0], shot[1]) < 4.5 / math.sqrt(ALL)
    both = made("valve.latency")
    # Both errors add to the one nominal.
    np.testing.assert_allclose(both, setup + shot - 0.008, atol=1e-17)


def test_sideways_errors_are_drawn_for_each_drop_and_direction() -> None:
    scatter = made("valve.scatter")
    assert scatter.shape == (2, 2, SETUPS, SHOTS)
    four = [scatter[drop, axis] for drop in (0, 1) for axis in (0, 1)]
    for place, one in enumerate(four):
        for other in four[place + 1 :]:
            assert met(one, other) < 4.5 / math.sqrt(ALL)


def test_a_sideways_setup_error_is_one_for_both_drops_and_two_for_the_directions() -> None:
    scatter = made("valve.scatter", '[valve]\nscatter = { setup = "sd 1 mm", shot = "none" }')
    assert scatter.shape == (2, 2, SETUPS, 1)
    np.testing.assert_array_equal(scatter[0], scatter[1])
    assert met(scatter[0, 0], scatter[0, 1]) < 4.5 / math.sqrt(SETUPS)
    assert np.std(scatter[0, 0]) == pytest.approx(1e-3, rel=4.5 / math.sqrt(2.0 * SETUPS))


def test_volumes_share_their_setup_draw_alone() -> None:
    off = '{ nominal = "50 ul", SHOT = "none" }'
    text = f"[valve]\nfirst_volume = {off}\nsecond_volume = {off}"
    one, other = (
        made(f"valve.{k}_volume", text.replace("SHOT", "shot")) for k in ("first", "second")
    )
    assert one.shape == (SETUPS, 1)
    np.testing.assert_array_equal(one, other)
    assert np.std(one) > 0.0
    one, other = (
        made(f"valve.{k}_volume", text.replace("SHOT", "setup")) for k in ("first", "second")
    )
    assert met(one, other) < 4.5 / math.sqrt(ALL)


def test_trimming_frames_are_of_the_same_setups_with_shots_of_their_own() -> None:
    frames, shots = draw(study(), BLOCK, trimming=True), draw(study(), BLOCK)
    assert set(frames.setup) == set(shots.setup)
    for key, drawn in frames.setup.items():
        np.testing.assert_array_equal(drawn, shots.setup[key])
    assert frames.shot["valve.latency"].shape == (2, SETUPS, 8)
    # Of one stream, the first frames would repeat the first shots.
    for key in set(frames.shot) & set(shots.shot):
        one, other = frames.shot[key][..., :1, :], shots.shot[key][..., :1, :8]
        assert not np.any(one == other), key
    assert "trim.reading" in frames.shot
    assert "trim.reading" not in shots.shot


def test_release_speed_is_never_below_zero() -> None:
    speed = made("valve.release_speed", '[valve]\nrelease_speed = "0.01 m/s"')
    assert speed.min() == 0.0
    # closed form: held at 0 with chance Φ(-0.01/√(0.02² + 0.02²)); the shots of a set-up are
    # correlated by 1/2, so the standard error is below that of as many shots as set-ups.
    share = float(stats.norm.cdf(-0.01 / math.hypot(0.02, 0.02)))
    error = math.sqrt(share * (1.0 - share) / SETUPS)
    assert abs(np.mean(speed == 0.0) - share) <= 4.5 * error


def test_a_wide_spread_is_held_at_both_limits() -> None:
    quantity = toy_quantity("held", lower=-1.0, upper=2.0)
    held = alone(single(quantity, 0.0, setup=sd(1.0), shot=sd(1.0)))
    assert (held.min(), held.max()) == (-1.0, 2.0)


def test_limits_hold_for_the_rarest_draw() -> None:
    # Just inside the reach of one draw in ten million there is no need to hold, it might seem;
    # but of a hundred million draws ten are rarer.
    quantity = toy_quantity("held", lower=-5.3, upper=5.3)
    rare = Deviates(
        setup={}, shot={"toy.held": np.array([[-6.0, 6.0]])}, frame_number=np.zeros((1, 1))
    )
    got = value(single(quantity, 0.0, shot=sd(1.0)), "toy.held", rare, {})
    assert got.tolist() == [[-5.3, 5.3]]


@pytest.mark.parametrize("level", list(Level))
def test_limits_hold_where_a_what_if_widens_the_spread(level: Level) -> None:
    # Unscaled, both levels together reach 2 · 5.2 = 10.4 and need no holding.
    quantity = toy_quantity("held", lower=-11.0, upper=11.0)
    one = single(quantity, 0.0, setup=sd(1.0), shot=sd(1.0))
    widened = alone(one, scales={("toy.held", level): 20.0})
    assert widened.min() >= -11.0
    assert widened.max() <= 11.0


@pytest.mark.parametrize("rows", [1, 2, 50])
@pytest.mark.parametrize("nominal", [0.0, 3.0])
def test_both_levels_add_for_any_number_of_setups(rows: int, nominal: float) -> None:
    quantity = toy_quantity("both")
    block = replace(BLOCK, setups=rows)
    both = alone(single(quantity, nominal, setup=sd(1.0), shot=sd(0.5)), block)
    setup = alone(single(quantity, nominal, setup=sd(1.0)), block)
    shot = alone(single(quantity, nominal, shot=sd(0.5)), block)
    np.testing.assert_allclose(both, setup + shot - nominal, atol=1e-14)
    assert np.all(setup != nominal)


def test_scales_touch_their_own_level_alone() -> None:
    quantity = toy_quantity("both")
    one = single(quantity, 0.0, setup=sd(1.0), shot=sd(0.5))
    setup, shot = (
        alone(single(quantity, 0.0, **{k: s})) for k, s in (("setup", sd(1.0)), ("shot", sd(0.5)))
    )
    for of_setup, of_shot in ((0.0, 1.0), (1.0, 0.0), (0.5, 2.0), (0.0, 0.0)):
        scales = {("toy.both", Level.SETUP): of_setup, ("toy.both", Level.SHOT): of_shot}
        np.testing.assert_allclose(
            alone(one, scales=scales), of_setup * setup + of_shot * shot, atol=1e-14
        )


def test_deviates_serve_any_number_of_what_ifs() -> None:
    deviates = draw(study(), BLOCK)
    before = values(study(), deviates)
    kept = {name: np.copy(made) for name, made in before.items()}
    everything = {(key, level): 0.3 for key in study().entries for level in Level}
    values(study(), deviates, everything)
    again = values(study(), deviates)
    for name, made in kept.items():
        np.testing.assert_array_equal(before[name], made)
        np.testing.assert_array_equal(again[name], made)


@pytest.mark.parametrize("key", ["sensor.miss_chance", "flash.dark_chance"])
@pytest.mark.parametrize("scale", [1.0, 0.5, 0.0])
def test_a_mishap_strikes_as_often_as_its_chance_says(key: str, scale: float) -> None:
    section, name = key.split(".")
    struck = made(key, f'[{section}]\n{name} = "20 %"', {(key, Level.SHOT): scale})
    assert struck.dtype == bool
    chance = 0.2 * scale
    assert abs(struck.mean() - chance) <= 4.5 * math.sqrt(chance * (1.0 - chance) / ALL)


def test_a_mishap_that_always_or_never_strikes() -> None:
    assert np.all(made("flash.dark_chance", '[flash]\ndark_chance = "100 %"'))
    never = made("flash.dark_chance", '[flash]\ndark_chance = "0 %"')
    assert never.shape == (1, 1)
    assert not never.any()


@pytest.mark.parametrize("scale", [1.0, 0.5])
def test_a_tick_is_uniform_up_to_its_step(scale: float) -> None:
    wait = made("timer.step", '[timer]\nstep = "1 ms"', {("timer.step", Level.SHOT): scale})
    assert 0.0 <= wait.min() < wait.max() < 1e-3 * scale
    distance = stats.kstest(wait.ravel(), stats.uniform(0.0, 1e-3 * scale).cdf).statistic
    # closed form: Kolmogorov's law, 2 exp(-2 · 2.5²) = 7e-6, the chance of 4.5 sigma
    assert distance * math.sqrt(ALL) < 2.5


def test_no_step_no_wait() -> None:
    assert made("timer.step", '[timer]\nstep = "0 s"').tolist() == [[0.0]]


def test_blocks_are_pieces_of_the_whole() -> None:
    whole = values(study(), draw(study(), BLOCK))
    part = Block(BLOCK.layout, 700, 30, 0, SHOTS)
    for name, cut in values(study(), draw(study(), part)).items():
        rows = whole[name] if whole[name].shape[-2] == 1 else whole[name][..., 700:730, :]
        np.testing.assert_array_equal(cut, rows, err_msg=name)


@pytest.mark.parametrize("trimming", [False, True])
@pytest.mark.parametrize(
    "extra",
    [
        "",
        '[sensor]\nheight = { nominal = "483 mm", drift = "-0.1 mm" }',
        '[valve]\nlatency = { nominal = "8 ms", shot = "truncated sd 3 ms", alike = 0.5 }',
        '[flash]\ndark_chance = "2 %"\n[timer]\nstep = "1 ms"',
    ],
)
def test_values_drawn_in_place_are_the_values(extra: str, trimming: bool) -> None:
    one = study(extra)
    apart = values(one, draw(one, BLOCK, trimming=trimming))
    within = draw_values(one, BLOCK, trimming=trimming)
    assert within.keys() == apart.keys()
    for name, value_of in apart.items():
        np.testing.assert_array_equal(within[name], value_of, err_msg=name)


def test_the_cells_of_a_setup_are_pieces_of_it() -> None:
    layout = Layout(seed=9, setups=3, shots=50)
    whole = draw(study(), Block(layout, 1, 1, 0, 50)).shot
    cells = [draw(study(), Block(layout, 1, 1, at, size)).shot for at, size in ((0, 30), (30, 20))]
    for key, drawn in whole.items():
        joined = np.concatenate([cell[key] for cell in cells], axis=-1)
        np.testing.assert_array_equal(joined, drawn, err_msg=key)


@pytest.mark.parametrize("frames", [1, 7, 100])
def test_shots_are_spread_evenly_over_the_session(frames: int) -> None:
    repeats = 8
    layout = Layout(seed=9, setups=2, shots=frames * repeats)
    one = study(f"session.frames = {frames}")
    numbers = draw(one, Block(layout, 0, 2, 0, layout.shots)).frame_number
    # closed form: each of the frames 0 to N - 1 comes as often as every other.
    assert numbers.shape == (1, layout.shots)
    assert np.bincount(numbers[0].astype(int)).tolist() == [repeats] * frames


def test_few_shots_still_reach_the_end_of_a_long_session() -> None:
    layout = Layout(seed=9, setups=2, shots=4)
    # closed form: floor(k 100/4); however the set-up is cut.
    cut = [draw(study(), Block(layout, 0, 1, at, 2)).frame_number for at in (0, 2)]
    assert np.concatenate(cut, axis=1).tolist() == [[0.0, 25.0, 50.0, 75.0]]


def test_trimming_frames_are_shot_at_one_moment_of_the_session() -> None:
    assert draw(study(), BLOCK, trimming=True).frame_number.tolist() == [[0.0]]
    late = draw(study(), BLOCK, trimming=True, trimmed_at=30.0)
    assert late.frame_number.tolist() == [[30.0]]


def test_fixed_values_are_the_nominals() -> None:
    fixed = fixed_values(study())
    # common practice, no source: the default rig
    assert fixed["valve_latency"].tolist() == [[[0.008]], [[0.008]]]
    assert fixed["valve_scatter"].shape == (2, 2, 1, 1)
    assert fixed["flash_power"].tolist() == [[1.0 / 64.0]]
    assert fixed["timer_start"] == "first drop"
    assert fixed["keeper_age"] == (0.002, 0.010)
    assert fixed["liquid_density"] is None
    assert fixed["trim_frames"] == 8.0
    assert fixed["valve_latency_nominal"] == 0.008
    assert not fixed["flash_dark_chance"].any()
    assert fixed["delay_correction"].tolist() == [[0.0]]


def test_reaches_hold_every_draw_within_the_limits() -> None:
    ends, drawn = reaches(study()), values(study(), draw(study(), BLOCK))
    for key, entry in study().entries.items():
        declared = entry.declaration
        if not isinstance(declared, Quantity) or not declared.strays or entry.nominal is None:
            continue
        name = key.replace(".", "_")
        low, high = ends[name]
        assert declared.lower <= low <= study().number(key) <= high <= declared.upper, key
        if name in drawn:
            assert low <= drawn[name].min() <= drawn[name].max() <= high, key
        if entry.setup == entry.shot == NONE:
            assert low == high, key


def test_reach_adds_both_levels() -> None:
    entry = Entry(toy_quantity("both"), 3.0, within(1.0), within(0.5))
    # closed form: 3 ± 1.5, but for one draw in ten million at either end of each
    assert entry_reach(entry) == pytest.approx((1.5, 4.5), abs=1e-6)
