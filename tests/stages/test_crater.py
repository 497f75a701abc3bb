"""The crater: the work of emptying a half sphere of liquid."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.stages.crater import crater
from jitter.stages.drag import GRAVITY


def radius(diameter: float, speed: float) -> float:
    made = crater(first_diameter=np.array(diameter), impact_speed=np.array(speed))
    return float(made.energy_length)


@given(diameter=st.floats(2e-3, 8e-3), speed=st.floats(0.5, 6.0))
@settings(deadline=None, max_examples=100)
def test_the_crater_takes_the_drops_kinetic_energy(diameter: float, speed: float) -> None:
    deep = radius(diameter, speed)
    # closed form: ½ (ρ π D³/6) U² = ρ g π R⁴/4, the work of emptying a half sphere: its volume
    # 2/3 π R³ lifted from its centre, 3/8 R deep.
    kinetic = 0.5 * (np.pi / 6.0 * diameter**3) * speed**2
    emptying = (2.0 / 3.0 * np.pi * deep**3) * GRAVITY * (3.0 / 8.0 * deep)
    assert emptying == pytest.approx(kinetic, rel=1e-9)


@given(diameter=st.floats(2e-3, 8e-3), speed=st.floats(0.5, 6.0))
@settings(deadline=None, max_examples=50)
def test_it_is_the_power_of_the_froude_number_that_is_said(diameter: float, speed: float) -> None:
    froude = speed**2 / (GRAVITY * diameter)
    # closed form: R_E = D (Fr/3)^(1/4)
    assert radius(diameter, speed) == pytest.approx(diameter * (froude / 3.0) ** 0.25, rel=1e-12)
    # closed form: so it goes with the root of the speed.
    assert radius(diameter, 4.0 * speed) == pytest.approx(2.0 * radius(diameter, speed))


def test_worthingtons_cavity_is_a_little_smaller() -> None:
    # published: Worthington 1908, A Study of Splashes, chapter VI, Series IV: a drop of 0.176 g
    # falling 40 cm into water makes a cavity that holds about 50 drops at its deepest.
    diameter = (6.0 / np.pi * 0.176e-6) ** (1.0 / 3.0)
    # closed form: free fall.
    theory = radius(diameter, float(np.sqrt(2.0 * GRAVITY * 0.40)))
    # closed form: 50 drops fill a half sphere of radius D (50/4)^(1/3).
    seen = diameter * (50.0 / 4.0) ** (1.0 / 3.0)
    # Surface and crown take a part of the energy: the cavity is smaller, by no more than 10 %.
    assert 0.90 < seen / theory < 1.0
