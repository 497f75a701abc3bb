"""The flash's pulse of each kind against quadrature of its light, and tables of durations."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from jitter.stages.pulse import (
    DECAY,
    KINDS,
    SWITCH_OFF,
    USUAL_HALF,
    Pulse,
    full_discharge,
    on_table,
    pulse,
    quenched,
    voltage_controlled,
)

Light = Callable[[float], float]
powers = st.floats(1.0 / 1024.0, 1.0)
halves = st.floats(1e-5, 1e-2)


def check(made: Pulse, light: Light, *, clock: float) -> None:
    """Compare a pulse with its light, falling from 1 at time 0; both in units of the clock."""
    # reference library: scipy 1.17.1, quad and brentq.
    energy, _ = quad(light, 0.0, np.inf)
    moment, _ = quad(lambda t: t * light(t), 0.0, np.inf)
    assert float(made.centroid) == pytest.approx(clock * moment / energy, rel=1e-7)
    for duration, share in ((made.half, 0.5), (made.tenth, 0.1)):
        last = brentq(lambda t, share=share: light(t) - share, 0.0, 10.0, xtol=1e-12)
        assert float(duration) == pytest.approx(clock * float(last), rel=1e-9)


@given(power=st.floats(1.0 / 1024.0, 0.999))
@settings(deadline=None, max_examples=50)
def test_a_quenched_pulse_holds_its_share_of_the_light(power: float) -> None:
    made = quenched(np.array(power))
    # Units of the decay time; the full light is the integral of e^-t over all times, 1.
    cut = -np.log(1.0 - power)
    # reference library: scipy 1.17.1, quad.
    energy, _ = quad(lambda t: np.exp(-t), 0.0, cut)
    moment, _ = quad(lambda t: t * np.exp(-t), 0.0, cut)
    assert energy == pytest.approx(power, rel=1e-9)
    assert float(made.centroid) == pytest.approx(DECAY * moment / energy, rel=1e-7)
    # closed form: the light is above a share of its peak until it has decayed or is cut.
    for duration, share in ((made.half, 0.5), (made.tenth, 0.1)):
        lit = min(cut, float(np.log(1.0 / share)))
        assert float(duration) == pytest.approx(SWITCH_OFF + DECAY * lit, rel=1e-12)


def test_an_uncut_pulse_is_an_exponential() -> None:
    made = quenched(np.array(1.0))
    # closed form: t0.1/t0.5 = ln 10/ln 2 = log2 10 = 3.3219, and the centroid is the decay time.
    ratio = (made.tenth - SWITCH_OFF) / (made.half - SWITCH_OFF)
    assert float(ratio) == pytest.approx(np.log2(10.0), rel=1e-12)
    assert float(made.centroid) == pytest.approx(DECAY, rel=1e-12)
    assert float(made.half) == pytest.approx(USUAL_HALF, rel=1e-12)


def test_full_power_has_the_half_width_of_half_power_and_a_longer_tail() -> None:
    full, half = quenched(np.array(1.0)), quenched(np.array(0.5))
    # closed form: half the energy is cut at t0.5 = τ ln 2, where the pulse ends with both widths.
    assert full.half == pytest.approx(half.half, rel=1e-12)
    assert half.tenth == pytest.approx(half.half, rel=1e-12)
    # closed form: (t_off + τ ln 10)/(t_off + τ ln 2) = 3.287, said to be 3.3.
    assert float(full.tenth / half.tenth) == pytest.approx(3.287, abs=0.001)


@given(half=halves)
@settings(deadline=None, max_examples=30)
def test_a_full_discharge_is_a_plain_exponential(half: float) -> None:
    check(full_discharge(np.array(half)), lambda t: float(np.exp2(-t)), clock=half)


@given(power=powers, half=halves)
@settings(deadline=None, max_examples=30)
def test_a_voltage_controlled_pulse_is_a_cube(power: float, half: float) -> None:
    # closed form: V = V0/(1 + t/T), I = (V/K0)², and the light goes with V I.
    clock = half / (2.0 ** (1.0 / 3.0) - 1.0) / np.sqrt(power)
    check(
        voltage_controlled(np.array(power), np.array(half)), lambda t: (1.0 + t) ** -3, clock=clock
    )


@pytest.mark.parametrize("volts", [330.0, 165.0, 41.25])
def test_a_capacitor_behind_a_flashtube_empties_as_the_pulse_says(volts: float) -> None:
    farads, full_volts, tube = 1e-3, 330.0, 12.0
    # reference library: scipy 1.17.1, solve_ivp of C dV/dt = -(V/K0)²; the state is the voltage,
    # the energy given and its moment.
    slow = farads * tube**2 / volts

    def rate(time: float, state: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[float]:
        light = state[0] * (state[0] / tube) ** 2
        return [-((state[0] / tube) ** 2) / farads, light, light * time]

    def lit(share: float) -> Callable[[float, np.ndarray[tuple[int], np.dtype[np.float64]]], float]:
        return lambda _, state: float((state[0] / volts) ** 3 - share)

    solved = solve_ivp(
        rate,
        (0.0, 1e7 * slow),
        [volts, 0.0, 0.0],
        method="LSODA",
        rtol=1e-11,
        atol=1e-14,
        events=[lit(0.5), lit(0.1)],
    )
    assert solved.t_events is not None
    _, energy, moment = solved.y[:, -1]
    # closed form: all of it, ½ C V², the power setting being its share of the full one.
    assert energy == pytest.approx(0.5 * farads * volts**2, rel=1e-6)
    full_half = (2.0 ** (1.0 / 3.0) - 1.0) * farads * tube**2 / full_volts
    made = voltage_controlled(np.array((volts / full_volts) ** 2), np.array(full_half))
    assert float(made.half) == pytest.approx(solved.t_events[0][0], rel=1e-6)
    assert float(made.tenth) == pytest.approx(solved.t_events[1][0], rel=1e-6)
    assert float(made.centroid) == pytest.approx(moment / energy, rel=1e-5)


def test_more_power_lasts_longer_where_the_light_is_cut_and_shorter_where_voltage_is() -> None:
    steps = 2.0 ** -np.arange(10.0, -1.0, -1.0)
    cut, lowered = quenched(steps), voltage_controlled(steps, np.array(1e-3))
    assert (np.diff(cut.tenth) > 0.0).all()
    assert (np.diff(cut.centroid) > 0.0).all()
    assert (cut.centroid < cut.tenth).all()
    assert (np.diff(lowered.tenth) < 0.0).all()


def same(one: Pulse, other: Pulse) -> None:
    np.testing.assert_array_equal(np.array(one), np.array(other))


def test_the_kind_chooses_the_law() -> None:
    power, half = np.array(0.25), np.array(2e-3)
    usual = np.array(USUAL_HALF)
    same(pulse("quenched", power, None), quenched(power))
    same(pulse("full discharge", power, half), full_discharge(half))
    same(pulse("full discharge", power, None), full_discharge(usual))
    same(pulse("voltage-controlled", power, half), voltage_controlled(power, half))
    same(pulse("voltage-controlled", power, None), voltage_controlled(power, usual))
    assert KINDS == ("quenched", "full discharge", "voltage-controlled")


@given(factor=st.floats(0.01, 100.0))
@settings(deadline=None, max_examples=20)
def test_a_scaled_pulse_has_every_time_scaled(factor: float) -> None:
    plain = quenched(np.array(0.1))
    scaled = plain.scaled(np.array(factor))
    # closed form: a slower clock.
    assert np.array(scaled) == pytest.approx(factor * np.array(plain), rel=1e-12)


tables = st.lists(
    st.tuples(st.integers(1, 4096), st.floats(1e-6, 0.1)),
    min_size=2,
    max_size=8,
    unique_by=lambda pair: pair[0],
).map(lambda pairs: tuple((number / 4096.0, duration) for number, duration in sorted(pairs)))


@given(table=tables)
@settings(deadline=None, max_examples=50)
def test_a_table_gives_back_its_own_points(table: tuple[tuple[float, float], ...]) -> None:
    given_powers, durations = np.array(table).T
    assert on_table(given_powers, table) == pytest.approx(durations, rel=1e-12)


@given(slope=st.floats(-2.0, 2.0), power=powers)
@settings(deadline=None, max_examples=50)
def test_a_table_of_a_power_law_is_that_law_between_its_points(slope: float, power: float) -> None:
    table = tuple((2.0**-step, 1e-3 * 2.0 ** (-step * slope)) for step in (10.0, 7.0, 3.0, 0.0))
    # closed form: a power law is straight on paper with logarithmic scales.
    assert float(on_table(np.array(power), table)) == pytest.approx(1e-3 * power**slope, rel=1e-9)
