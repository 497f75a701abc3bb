"""A drop asked for by its diameter: read back by a study, its spread is the volume's again."""

from __future__ import annotations

import math

import pytest

from jitter.answers.require.sphere import Sphere, sphere_of
from jitter.answers.require.subject import find_subject
from jitter.quantities import Shape, Spread
from jitter.stages import CHAIN
from tests.conftest import load

# closed form: a sphere of 6 mm has π/6 · 216 mm³, 36 π µL.
SPHERE = Sphere("valve.first_diameter", "valve.first_volume", 36.0 * math.pi * 1e-9)


def test_a_sphere_knows_its_diameter_and_how_it_changes() -> None:
    assert SPHERE.diameter == pytest.approx(6e-3, rel=1e-12)
    # closed form: a volume in the ratio of 1.1³ has a diameter of 1.1 times the old one.
    assert SPHERE.change(0.331 * SPHERE.volume) == pytest.approx(0.6e-3, rel=1e-9)
    assert SPHERE.change(-2.0 * SPHERE.volume) == pytest.approx(-6e-3, rel=1e-12)


@pytest.mark.parametrize(
    ("volume", "diameter"),
    [
        # closed form: dD/D is dV/(3 V), to first order.
        (Spread(Shape.NORMAL, 0.03, relative=True), Spread(Shape.NORMAL, 0.01, relative=True)),
        (Spread(Shape.LOGNORMAL, 0.3), Spread(Shape.LOGNORMAL, 0.1)),
        # closed form: 1 % of 36 π µL is a three-hundredth of 6 mm, 20 µm.
        (Spread(Shape.NORMAL, 0.36 * math.pi * 1e-9), Spread(Shape.NORMAL, 20e-6)),
    ],
)
def test_a_spread_of_the_volume_is_one_of_the_diameter(volume: Spread, diameter: Spread) -> None:
    found = SPHERE.spread(volume)
    assert (found.shape, found.relative) == (diameter.shape, diameter.relative)
    assert found.size == pytest.approx(diameter.size, rel=1e-9)


def test_a_spread_that_is_told_is_read_as_the_volume_s() -> None:
    told = SPHERE.spread(Spread(Shape.NORMAL, 0.36, relative=True))
    given = f'valve.first_diameter={{ nominal = "6 mm", setup = "sd {100 * told.size:g} %" }}'
    entry = load("barn-table", given).entries["valve.first_volume"]
    assert entry.number == pytest.approx(SPHERE.volume, rel=1e-12)
    assert entry.setup.size == pytest.approx(0.36, rel=1e-12)


def test_only_what_is_asked_for_by_its_diameter_has_a_sphere() -> None:
    study = load("barn-table")
    assert sphere_of(study, "valve.first_volume", "valve.first_volume") is None
    asked = find_subject(study, CHAIN, " Valve.Second_Diameter ", None)
    assert asked.sphere is not None
    assert asked.sphere.volume_key == "valve.second_volume"
    assert asked.sphere.diameter == pytest.approx(4.5e-3, rel=1e-12)
    # Both drops share the draw, and the first one's volume stands for it.
    assert (asked.key, asked.name) == ("valve.first_volume", "valve.second_diameter")
