"""The rays, transfer functions and windows that the validation holds the stages against."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad

from jitter.stages import exposure, lens
from jitter.validation import exposures, lenses
from jitter.validation.exposures import exposed, window_share
from jitter.validation.lenses import drawn
from jitter.validation.rays import TwoLenses
from jitter.validation.transfers import (
    airy,
    aperture,
    cut_exponential,
    dimmed,
    disc,
    halved,
    pair,
    streak,
)


def test_two_thin_lenses_in_contact_are_one() -> None:
    both = TwoLenses(0.1, 0.1, 0.0, 0.0, aperture=8.0, magnification=0.5)
    # closed form: 1/f = 2/100 mm; a = f (1 + 1/m) = 150 mm; both pupils are the stop.
    assert both.focal == pytest.approx(0.05)
    assert both.distance == pytest.approx(0.15)
    assert both.pupil_ratio == pytest.approx(1.0)
    # closed form: the stop, 6.25 mm wide, stands b = m a = 75 mm before the sensor.
    assert both.working_aperture == pytest.approx(12.0)
    # closed form: a disc of 30 µm on the sensor is one of 60 µm in the plane of focus, so that
    # 60 µm a/(6.25 mm ± 60 µm) nearer and farther: 1.4263 mm and 1.4540 mm.
    assert both.depth(30e-6) == pytest.approx(1.4263e-3 + 1.4540e-3, rel=2e-5)


def test_a_telephoto_is_longer_than_its_parts_and_its_exit_pupil_small() -> None:
    front, rear, before, after = lenses.BUILT["telephoto"]
    tele = TwoLenses(front, rear, before, after, aperture=8.0, magnification=0.1)
    # closed form: 1/f = 1/60 - 1/50 + 35/(60 × 50) per mm; the stop is seen 60/45 times as large
    # from the front and 50/70 times from behind.
    assert tele.focal == pytest.approx(0.12)
    assert tele.pupil_ratio == pytest.approx((50 / 70) / (60 / 45))


# closed form: sinc(0.60335) = 1/2, cos(π/3) = 1/2, 2 J1(x)/x = 1/2 at x = 2.2151.
@pytest.mark.parametrize(
    ("transfer", "half"), [(streak, 0.603355), (pair, 1 / 3), (disc, 2.215089 / np.pi)]
)
def test_where_the_plain_transfers_are_one_half(
    transfer: Callable[[float], float], half: float
) -> None:
    assert transfer(half) == pytest.approx(0.5, abs=1e-6)
    assert halved(transfer, 1.05 * half) == pytest.approx(half, rel=1e-5)


@pytest.mark.parametrize("share", [0.05, 0.25, 0.5, 0.75, 0.95])
def test_the_overlap_of_two_pupils_is_the_transfer_of_airys_pattern(share: float) -> None:
    # closed form: both are the same function; out to v = 4000 the pattern lacks 1/(π v) of light.
    assert airy(share) == pytest.approx(aperture(share), abs=1e-4)
    assert aperture(1.0 + share) == 0.0


@pytest.mark.parametrize("frequency", [0.05, 0.2, 0.7])
def test_a_cut_exponential_is_a_streak_when_cut_early_and_a_decay_when_late(
    frequency: float,
) -> None:
    # closed form: sinc(f t) for a cut at t, 1/√(1 + (2 π f)²) without any.
    assert cut_exponential(frequency / 1e-4, 1e-4) == pytest.approx(streak(frequency), abs=1e-7)
    whole = 1.0 / np.hypot(1.0, 2.0 * np.pi * frequency)
    assert cut_exponential(frequency, 60.0) == pytest.approx(whole)


@pytest.mark.parametrize("frequency", [0.05, 0.2, 0.7])
def test_a_dimmed_pulse_against_quadrature(frequency: float) -> None:
    turning = 2.0 * np.pi * frequency

    def light(time: float) -> float:
        return (1.0 + time) ** -3

    even = quad(light, 0.0, np.inf, weight="cos", wvar=turning)[0]
    odd = quad(light, 0.0, np.inf, weight="sin", wvar=turning)[0]
    # closed form: its whole light is 1/2.
    assert dimmed(frequency) == pytest.approx(2.0 * np.hypot(even, odd), rel=1e-6)


@pytest.mark.parametrize("distance", [0.02, 0.15, 2.0])
def test_a_round_window_on_its_axis(distance: float) -> None:
    # closed form: π L R²/(R² + d²), over π L R²/d² of a point.
    told = distance**2 / (distance**2 + 0.035**2)
    assert window_share(distance, 0.07) == pytest.approx(told, rel=1e-9)


def test_a_lens_whose_pupils_are_overlooked_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    def overlooked(**given: Any) -> lens.Lens:
        return drawn(**(given | {"pupil_ratio": 1.0}))

    monkeypatch.setattr(lenses, "drawn", overlooked)
    apart = {check.series for check in lenses.lens_checks() if not check.agrees}
    assert apart == {
        "working aperture at f/8 of lenses with unlike pupils",
        "depth of field at f/8 of lenses with unlike pupils",
    }


def test_a_change_in_the_exposure_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    assert exposed(guide=32.0, distance=4.0, aperture=8.0) == pytest.approx(1.0)
    monkeypatch.setattr(exposure, "GUIDE_ISO", 125.0)
    apart = {check.series for check in exposures.exposure_checks() if not check.agrees}
    assert apart == {
        "exposure by adding up (APEX)",
        "flash light and the room's light on one scale",
    }
