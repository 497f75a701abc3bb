"""The exposure: the arithmetic of guide numbers, and light that trades one setting for another."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.quantities import NONE, sd, within
from jitter.stages import CHAIN
from jitter.stages.exposure import exposure
from jitter.study.reader import read_study

Shot = Callable[..., dict[str, Any]]


def exposed(**changes: Any) -> float:
    """Return the exposure of a flash of guide number 32 m at full power, at f/8 and 4 m."""
    values: dict[str, Any] = {
        "flash_guide_number": 32.0,
        "flash_distance": 4.0,
        "flash_loss": 0.0,
        "flash_power": 1.0,
        "flash_energy": 1.0,
        "flash_count": None,
        "camera_iso": 100.0,
        "working_aperture": 8.0,
    } | changes
    plain = ("flash_count", "camera_iso")
    made: dict[str, Any] = {
        name: value if value is None or name in plain else np.array([[value]])
        for name, value in values.items()
    }
    return float(exposure(**made).exposure.item())


@pytest.mark.parametrize(
    "changes",
    [
        # published, read second-hand: ISO 1230:2007: the guide number at ISO 100 is the aperture
        # number times the distance in metres that expose rightly: 32 = 8 × 4 and so on.
        {},
        {"working_aperture": 16.0, "flash_distance": 2.0},
        {"working_aperture": 2.0, "flash_distance": 16.0},
        # closed form: it goes with the root of the light that is used: of the power, the speed,
        # the number of flashes, and of what is not lost on the way.
        {"flash_power": 1.0 / 16.0, "flash_distance": 1.0},
        {"camera_iso": 400.0, "working_aperture": 16.0},
        {"flash_count": 4.0, "working_aperture": 16.0},
        {"flash_count": 2.0, "flash_distance": 4.0 * 2.0**0.5},
        {"flash_count": 1.0},
        {"flash_loss": 2.0, "working_aperture": 4.0},
        {"flash_loss": 1.0, "flash_count": 2.0},
        {"flash_power": 1.0 / 8.0, "camera_iso": 800.0},
    ],
)
def test_a_guide_number_is_the_aperture_times_the_distance(changes: dict[str, float]) -> None:
    assert exposed(**changes) == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize(
    "change",
    [
        # closed form: each is one stop more light.
        {"flash_guide_number": 32.0 * 2.0**0.5},
        {"flash_distance": 4.0 / 2.0**0.5},
        {"flash_loss": -1.0},
        {"flash_power": 2.0},
        {"flash_energy": 2.0},
        {"flash_count": 2.0},
        {"camera_iso": 200.0},
        {"working_aperture": 8.0 / 2.0**0.5},
    ],
    ids=lambda change: next(iter(change)),
)
def test_a_stop_of_each_is_a_factor_of_two(change: dict[str, float]) -> None:
    assert exposed(**change) == pytest.approx(2.0, rel=1e-12)


guides, distances = st.floats(0.3, 1000.0), st.floats(0.02, 50.0)
working, speeds = st.floats(0.7, 300.0), st.floats(1.0, 1e6)
stops = st.floats(-5.0, 5.0)


@given(
    guide=guides,
    distance=distances,
    aperture=working,
    iso=speeds,
    moved=st.tuples(stops, stops, stops, stops),
)
@settings(deadline=None, max_examples=100)
def test_settings_that_trade_light_leave_the_exposure(
    guide: float,
    distance: float,
    aperture: float,
    iso: float,
    moved: tuple[float, float, float, float],
) -> None:
    fixed = {"flash_guide_number": guide}
    before = exposed(
        **fixed, flash_distance=distance, working_aperture=aperture, camera_iso=iso, flash_power=0.1
    )
    power, speed, wider, nearer = moved
    after = exposed(
        **fixed,
        # closed form: what the first four give, in stops, the diffuser takes away.
        flash_power=0.1 * 2.0**power,
        camera_iso=iso * 2.0**speed,
        working_aperture=aperture * 2.0 ** (-0.5 * wider),
        flash_distance=distance * 2.0 ** (-0.5 * nearer),
        flash_loss=sum(moved),
    )
    assert after == pytest.approx(before, rel=1e-9)


@given(count=st.integers(1, 64))
@settings(deadline=None, max_examples=20)
def test_several_flashes_reach_the_root_of_their_number_farther(count: int) -> None:
    # closed form: their light adds up, and the guide number goes with the root of the light.
    alone = exposed(flash_guide_number=32.0 * count**0.5)
    assert exposed(flash_count=float(count)) == pytest.approx(alone, rel=1e-12)


@pytest.mark.parametrize("energy", [0.5, 1.0, 1.3])
def test_without_a_guide_number_the_settings_are_right(energy: float) -> None:
    unknown = dict.fromkeys(("flash_guide_number", "flash_distance", "flash_loss"))
    # Whatever they are: found by trial.
    for changes in ({"working_aperture": 2.0}, {"flash_power": 0.1}, {"camera_iso": 1600.0}):
        assert exposed(**unknown, flash_energy=energy, **changes) == energy


def test_the_whole_shot_exposes_by_the_working_aperture(shot: Shot) -> None:
    # closed form: f/10 at life size works as f/20; 20 × 0.5 m wants a guide number of 10 m, which
    # a flash of 40 m has at 1/64 and ISO 400, and the other way round at half a stop lost.
    settings = (
        "flash.guide_number=40 m",
        "flash.power=1/64",
        "flash.distance=50 cm",
        "camera.iso=400",
        "camera.aperture=f/10",
        "camera.magnification=1",
    )
    assert shot(*settings)["exposure"].item() == pytest.approx(1.0)
    lossy = shot(*settings, "flash.loss=1/2 stop")["exposure"].item()
    assert lossy == pytest.approx(2.0**-0.5)


def test_what_hangs_on_a_guide_number_waits_for_one() -> None:
    def entries(*given: str) -> Any:
        return read_study("version = 1", source="test", chain=CHAIN, settings=given).entries

    asleep, awake = entries(), entries("flash.guide_number=40 m")
    for key in ("flash.distance", "flash.loss"):
        assert asleep[key].nominal is None
        assert awake[key].nominal is not None
    # Ours: a test frame tells a guide number to a third of a stop, a tape a distance to 1 cm.
    assert awake["flash.guide_number"].setup == sd(0.05, relative=True)
    assert awake["flash.distance"].setup == within(0.01)
    assert asleep["flash.guide_number"].setup == NONE
