"""The drops' diameters from dose and flow."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.stages.dose import LARGEST, SMALLEST, USUAL
from jitter.stages.drop import drops


def test_a_drop_is_the_sphere_of_its_dose_at_its_flow() -> None:
    first, second = np.array([[40e-9]]), np.array([[60e-9]])
    made = drops(
        first_dose=first,
        second_dose=second,
        first_flow=np.array([[0.9]]),
        second_flow=np.array([[1.1]]),
    )
    # closed form: V = π D³/6
    assert np.pi / 6.0 * made.first_diameter**3 == pytest.approx(0.9 * first, rel=1e-12)
    assert np.pi / 6.0 * made.second_diameter**3 == pytest.approx(1.1 * second, rel=1e-12)


def test_limits_and_default_are_the_diameters_they_are_said_to_be() -> None:
    volumes = np.array([[SMALLEST, USUAL, LARGEST]])
    one = np.ones((1, 1))
    made = drops(first_dose=volumes, second_dose=volumes, first_flow=one, second_flow=one)
    # common practice, no source: 4.5 mm; ours: 0.5 to 9 mm. closed form: 4.5 mm hold 47.7 µL.
    assert 1e3 * made.first_diameter.ravel() == pytest.approx([0.5, 4.5, 9.0], rel=1e-12)
    assert pytest.approx(47.7e-9, rel=5e-4) == USUAL
