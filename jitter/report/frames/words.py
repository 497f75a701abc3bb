"""What is said of drawn frames: how they are drawn, when the light came, what they show."""

from __future__ import annotations

import math

from jitter.answers.frames_of_a_run import Frame
from jitter.answers.scenes import Scene
from jitter.report.frames.drawn import magnified
from jitter.report.frames.view import View
from jitter.stages.look import LOOKS
from jitter.stages.verdict import REASONS
from jitter.units.writing import write_number, write_value

WORTH_SAYING = 1.05
"""Blur that is drawn larger by less is drawn as it is."""


def how_drawn(scene: Scene, view: View) -> str:
    """Say what one has to know about pictures of one camera.

    Parameters
    ----------
    scene
        Any of them.
    view
        The part of the field that all of them show.
    """
    larger = magnified(scene, view)
    said = (
        f"Drawn from simulated frames of this study, true to scale: every picture is"
        f" {write_value(view.width, 'm', digits=2)} wide in the plane of focus"
    )
    if view.width < 0.99 * scene.width:
        said += f", cut from a frame of {write_value(scene.width, 'm', digits=2)}"
    blur = ""
    if larger > WORTH_SAYING:
        blur = (
            f" Blur is drawn {write_number(larger, 2)} times as large as it is, so that it shows at"
            " this size."
        )
    return (
        f"{said}.{blur} Blue is the liquid of the dish and the first drop, orange the second drop"
        " and the umbrella that it makes."
    )


def verdict(frame: Frame) -> str:
    """Return the verdict on a frame in words: the reason why it is none, or that it is a keeper."""
    return "keeper" if frame.keeper else REASONS[frame.reason]


def moment(scene: Scene) -> str:
    """Say when the light came.

    Parameters
    ----------
    scene
        Its age is NaN where drop and jet do not meet, or no light comes.
    """
    if math.isnan(scene.age):
        return "no meeting" if scene.exposure > 0.0 else "black frame"
    age = write_value(abs(scene.age), "s", digits=2)
    return f"age {age}" if scene.age >= 0.0 else f"{age} before the meeting"


def shown(frame: Frame) -> str:
    """Say in a sentence what a drawn frame shows, for those who listen."""
    scene, said = frame.scene, verdict(frame)
    parts = [] if LOOKS[scene.look] == said else [LOOKS[scene.look]]
    if scene.sheet is not None and scene.lit:
        parts.append(f"sheet {write_value(2.0 * scene.sheet.radius, 'm', digits=2)} wide")
    return f"Drawn frame, {said}: {', '.join((*parts, moment(scene)))}."
