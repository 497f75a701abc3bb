"""The lens: size, light and depth of field, against rays through a stop and a thin lens."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from jitter.stages.lens import Lens, lens

sizes = st.floats(0.01, 10.0)
pupils = st.floats(0.3, 3.0)
apertures = st.floats(1.0, 64.0)
FULL_FRAME, SMALL = 36e-3, 12.8e-3


def seen(**changes: Any) -> Lens:
    """Return what a lens does; numbers become arrays where the stage wants them."""
    values: dict[str, Any] = {
        "camera_magnification": 0.4,
        "camera_field_width": None,
        "camera_frame_width": FULL_FRAME,
        "camera_circle_of_confusion": None,
        "camera_focal_length": None,
        "camera_aperture": 13.0,
        "camera_pupil_ratio": 1.0,
    } | changes
    plain = ("camera_frame_width", "camera_circle_of_confusion")
    made: dict[str, Any] = {
        name: value if value is None or name in plain else np.array([[value]])
        for name, value in values.items()
    }
    return lens(**made)


@given(aperture=apertures, magnification=sizes, pupil=st.floats(0.1, 10.0))
@settings(deadline=None, max_examples=50)
def test_the_working_aperture(aperture: float, magnification: float, pupil: float) -> None:
    made = seen(
        camera_aperture=aperture, camera_magnification=magnification, camera_pupil_ratio=pupil
    )
    # closed form: N (1 + m/P); twice N at life size with a symmetrical lens.
    assert made.working_aperture.item() == pytest.approx(
        aperture + aperture * magnification / pupil
    )


@given(magnification=sizes, pupil=pupils, aperture=apertures)
@settings(deadline=None, max_examples=50)
def test_the_working_aperture_is_the_cone_that_reaches_the_sensor(
    magnification: float, pupil: float, aperture: float
) -> None:
    made = seen(
        camera_aperture=aperture, camera_magnification=magnification, camera_pupil_ratio=pupil
    )
    focal = 1.0
    # closed form: the exit pupil is the stop's image, P f/N wide; it stands P f behind the back
    # focus, which is m f before the sensor where the picture has that size, so that a cone of
    # (P f + m f)/(P f/N) reaches the sensor.
    width, away = pupil * focal / aperture, pupil * focal + magnification * focal
    assert made.working_aperture.item() == pytest.approx(away / width)


@pytest.mark.parametrize(
    ("frame", "field", "magnification"),
    [
        # closed form: quotients; a ruler across the frame shows the field's width.
        (FULL_FRAME, 90e-3, 0.4),
        (FULL_FRAME, 36e-3, 1.0),
        (SMALL, 32e-3, 0.4),
        (SMALL, 12.8e-3, 1.0),
    ],
)
def test_the_magnification_is_the_frame_over_the_field(
    frame: float, field: float, magnification: float
) -> None:
    made = seen(camera_magnification=None, camera_field_width=field, camera_frame_width=frame)
    assert made.magnification.item() == pytest.approx(magnification)
    told = seen(camera_magnification=magnification, camera_frame_width=frame)
    np.testing.assert_allclose(np.array(made), np.array(told), rtol=1e-12)


@pytest.mark.parametrize(("frame", "circle"), [(FULL_FRAME, 30e-6), (SMALL, 12.8e-3 / 1200.0)])
def test_the_circle_of_confusion_goes_with_the_frame_unless_it_is_given(
    frame: float, circle: float
) -> None:
    # common practice, no source: the width of the frame over 1200, 30 µm on the full frame.
    assert seen(camera_frame_width=frame).circle_of_confusion.item() == pytest.approx(circle)
    own = seen(camera_frame_width=frame, camera_circle_of_confusion=20e-6)
    assert own.circle_of_confusion.item() == 20e-6


def disc(
    behind: float, *, focal: float, magnification: float, aperture: float, pupil: float
) -> float:
    """Return the disc on the sensor of a point on the axis so far behind the plane of focus.

    Two rays through the edges of a stop before a thin lens, traced by height and slope. The stop
    is the entrance pupil; a lens of focal length f images a stop at a distance t before it
    f/(f - t) times as large, so that t = f (1 - 1/P).
    """
    stop, width = focal * (1.0 - 1.0 / pupil), focal / aperture
    to_lens = focal * (1.0 + 1.0 / magnification) + behind
    to_sensor = focal * (1.0 + magnification)
    slope = 0.5 * width / (to_lens - stop)
    at_lens = slope * to_lens
    # The other ray is its mirror image.
    return 2.0 * abs(at_lens + to_sensor * (slope - at_lens / focal))


@given(magnification=sizes, pupil=pupils, aperture=apertures, focal=st.floats(0.02, 0.4))
@settings(deadline=None, max_examples=100)
def test_the_depth_of_field_is_where_rays_make_a_disc_no_wider_than_the_circle(
    magnification: float, pupil: float, aperture: float, focal: float
) -> None:
    rays = {"focal": focal, "magnification": magnification, "aperture": aperture, "pupil": pupil}
    circle = 30e-6
    # Deep, but not without end: far behind a point's disc tends to m f/N.
    assume(circle < 0.9 * magnification * focal / aperture)
    to_pupil = focal * (1.0 / magnification + 1.0 / pupil)

    def excess(behind: float) -> float:
        return disc(behind, **rays) - circle

    # reference library: scipy 1.17.1, brentq.
    far = brentq(excess, 0.0, 20.0 * to_pupil, xtol=1e-15)
    near = brentq(excess, -0.999 * to_pupil, 0.0, xtol=1e-15)
    made = seen(
        camera_magnification=magnification,
        camera_aperture=aperture,
        camera_pupil_ratio=pupil,
        camera_circle_of_confusion=circle,
        camera_focal_length=focal,
    )
    assert made.depth_of_field.item() == pytest.approx(far - near, rel=1e-6)


@pytest.mark.parametrize(("aperture", "endless"), [(15.9, False), (16.1, True), (32.0, True)])
def test_the_depth_of_field_has_no_end_beyond_the_hyperfocal_distance(
    aperture: float, endless: bool
) -> None:
    # closed form: at m = 0.012 a lens of 40 mm draws what is very far away as discs of m f/N,
    # which is 30 µm at N = 0.012 × 40 mm/30 µm = 16.
    made = seen(camera_magnification=0.012, camera_focal_length=0.040, camera_aperture=aperture)
    assert np.isinf(made.depth_of_field.item()) == endless
    rays = {"focal": 0.040, "magnification": 0.012, "aperture": aperture, "pupil": 1.0}
    assert (disc(1e6, **rays) <= 30e-6) == endless
    # Without a focal length nobody can tell.
    assert np.isfinite(seen(camera_magnification=0.012, camera_aperture=aperture).depth_of_field)


@given(magnification=st.floats(0.2, 10.0), aperture=apertures)
@settings(deadline=None, max_examples=50)
def test_close_up_the_focal_length_hardly_matters_to_the_depth(
    magnification: float, aperture: float
) -> None:
    plain, told = (
        seen(
            camera_magnification=magnification, camera_aperture=aperture, camera_focal_length=focal
        ).depth_of_field.item()
        for focal in (None, 0.105)
    )
    # closed form: 1/(1 - (c N/(f m))²), at most 1/(1 - (30 µm × 64/(105 mm × 0.2))²) = 1.0085.
    assert 1.0 <= told / plain < 1.0085


def test_the_docstrings_example_of_a_focal_length() -> None:
    plain, told = (
        seen(camera_magnification=0.1, camera_focal_length=focal).depth_of_field.item()
        for focal in (None, 0.100)
    )
    # closed form: 1/(1 - (30 µm × 13/(100 mm × 0.1))²) = 1.0015
    assert told / plain == pytest.approx(1.0015, abs=1e-4)


@pytest.mark.parametrize("frame", [FULL_FRAME, SMALL])
@pytest.mark.parametrize("focal", [0.035, 0.050, 0.105, 0.200])
def test_the_working_distance_is_where_a_thin_lens_draws_the_field_across_the_frame(
    frame: float, focal: float
) -> None:
    field = 0.12
    made = seen(
        camera_magnification=None,
        camera_field_width=field,
        camera_frame_width=frame,
        camera_focal_length=focal,
    )
    away = made.working_distance.item()
    # closed form: 1/f = 1/a + 1/b, and the picture is b/a of the field.
    image = 1.0 / (1.0 / focal - 1.0 / away)
    assert image / away * field == pytest.approx(frame)


@pytest.mark.parametrize(
    ("frame", "focal", "metres"),
    [
        # closed form: f (1 + 1/m) with m = 36/120 = 0.3 and 12.8/120 = 0.10667.
        (FULL_FRAME, 0.035, 0.15167),
        (FULL_FRAME, 0.050, 0.21667),
        (FULL_FRAME, 0.105, 0.45500),
        (FULL_FRAME, 0.200, 0.86667),
        (SMALL, 0.035, 0.36313),
        (SMALL, 0.200, 2.07500),
    ],
)
def test_working_distances_of_a_field_of_twelve_centimetres(
    frame: float, focal: float, metres: float
) -> None:
    made = seen(
        camera_magnification=None,
        camera_field_width=0.12,
        camera_frame_width=frame,
        camera_focal_length=focal,
    )
    assert made.working_distance.item() == pytest.approx(metres, abs=5e-6)


def test_without_a_focal_length_there_is_no_working_distance() -> None:
    assert np.isnan(seen().working_distance).all()


@given(magnification=st.floats(0.05, 1.0), factor=st.floats(0.1, 10.0))
@settings(deadline=None, max_examples=50)
def test_a_smaller_sensor_of_the_same_field_and_cone_is_as_deep(
    magnification: float, factor: float
) -> None:
    # closed form: how deep it is sharp follows from the entrance pupil, its distance, and the
    # circle c/m in the plane of focus. m and c go with the frame; the same distance wants a focal
    # length that goes with m/(1 + m), the same pupil an N that goes with it.
    focal, aperture = 0.100, 11.0
    small = factor * magnification
    ratio = small / (1.0 + small) * (1.0 + magnification) / magnification
    large, other = (
        seen(
            camera_magnification=m,
            camera_frame_width=frame,
            camera_focal_length=f,
            camera_aperture=n,
        )
        for m, frame, f, n in (
            (magnification, FULL_FRAME, focal, aperture),
            (small, factor * FULL_FRAME, ratio * focal, ratio * aperture),
        )
    )
    assert other.working_distance.item() == pytest.approx(large.working_distance.item())
    assert other.depth_of_field.item() == pytest.approx(large.depth_of_field.item())
