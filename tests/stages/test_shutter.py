"""The shutter: whether the camera sees the light."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.stages.shutter import Light, shutter


def look(flash: float, *, unlit: bool = False) -> Light:
    """Return what a shutter sees that is open from -0.5 s to 1.0 s."""
    return shutter(
        flash_time=np.array([[flash]]),
        unlit=np.array([[unlit]]),
        camera_shutter_opens_before=np.array([[0.5]]),
        camera_shutter_open=np.array([[1.5]]),
    )


@pytest.mark.parametrize(
    ("flash", "dark"),
    [(-0.501, True), (-0.499, False), (0.4, False), (0.999, False), (1.001, True)],
)
def test_the_light_must_fall_while_the_shutter_is_open(flash: float, dark: bool) -> None:
    made = look(flash)
    # closed form: opening and closing are 1.5 s apart, the first 0.5 s before the first command.
    assert made.no_light.item() is dark
    assert made.light_time.item() == pytest.approx(np.nan if dark else flash, nan_ok=True)


def test_a_dark_flash_is_no_light() -> None:
    made = look(0.4, unlit=True)
    assert made.no_light.item() is True
    assert np.isnan(made.light_time.item())


def test_what_was_not_commanded_is_no_fault_of_the_light() -> None:
    made = look(np.nan)
    assert made.no_light.item() is False
    assert np.isnan(made.light_time.item())
