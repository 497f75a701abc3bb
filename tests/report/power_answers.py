"""Answers of `jitter power` about rigs of every sort, each reckoned once."""

from __future__ import annotations

import io
from functools import cache
from typing import NamedTuple
from xml.etree.ElementTree import Element

import html5lib
from rich.console import Console

from jitter.answers.power.answer import Confirmed, PowerAnswer, answer_power
from jitter.answers.power.keeping import MEANS
from jitter.report.power.page import power_page
from jitter.report.power.screen import power_screen
from jitter.report.power.words import findings
from jitter.stages import CHAIN
from tests.conftest import load

BARN, HUT, ATTIC, LOFT = (
    "barn-table",
    "hill-hut-dimmed-strobe",
    "attic-small-sensor",
    "loft-guide-number",
)


class Asked(NamedTuple):
    """A rig and what was asked of it."""

    name: str
    settings: tuple[str, ...] = ()
    worth: float = 0.01
    way: str = "as_set"
    means: tuple[str, ...] = tuple(MEANS)


RIGS = {
    "yours is a neighbour": Asked(BARN),
    "yours is the best": Asked(BARN, ("flash.power_step=2 stop",)),
    "yours is elsewhere": Asked(ATTIC),
    "your power, another aperture": Asked(LOFT, ("flash.power=1/128", "flash.power_step=1 stop")),
    "thirds of a stop": Asked(LOFT),
    "lower is longer": Asked(HUT),
    "one power": Asked("workshop-thick-water"),
    "some powers stay dark": Asked(BARN, ("session.cadence=1 s",)),
    "its own power stays dark": Asked(HUT, ("session.cadence=0.1 s",)),
    "one means never reaches": Asked(LOFT, ("flash.guide_number=100 m", "flash.power_step=1 stop")),
    "one means keeps nothing": Asked(
        HUT,
        (
            *("flash.power=1/32", "camera.aperture=f/4", "keeper.blur=60 um"),
            *("camera.lowest_iso=200", "camera.highest_iso=200"),
        ),
    ),
    "light costs nothing": Asked(BARN, worth=0.0, way="as_trimmed", means=("iso",)),
    "very many powers": Asked(ATTIC, ("flash.power_step=0.1 stop",)),
    "far too bright": Asked(LOFT, ("flash.guide_number=1000 m", "flash.power_step=1 stop")),
    "far too dark": Asked(
        LOFT, ("flash.guide_number=0.3 m", "flash.loss=15 stop", "flash.power_step=1 stop")
    ),
    "never sharp": Asked(BARN, ("keeper.blur=1 um",)),
    "no jet": Asked(BARN, ("valve.interval=400 ms",)),
    "much too early": Asked(BARN, ("timer.delay=0 ms",)),
    "a delay that is anywhere": Asked(
        BARN, ('timer.delay={ nominal = "294 ms", setup = "within 290 ms" }',)
    ),
    "too early but for trimming": Asked(BARN, ("timer.delay=0 ms",), way="as_trimmed"),
    "long after the jet": Asked(BARN, ('keeper.age=["150 ms", "250 ms"]', "timer.delay=494 ms")),
    "before the meeting": Asked(BARN, ('keeper.age=["-10 ms", "-2 ms"]', "timer.delay=285 ms")),
    "weaker than it promises": Asked(BARN, ("flash.energy=0.01",)),
    "no room light": Asked(BARN, ("camera.ambient=0 lx",)),
    "sharp to no end": Asked(BARN, ("camera.focal_length=1 mm",)),
}
"""By what is peculiar about them."""
LOST = ("far too bright", "far too dark", "never sharp", "no jet", "a delay that is anywhere")
"""Those about which nothing can be recommended."""
OFF_AIM = ("much too early", "too early but for trimming")
"""Those whose delay makes even the shot without errors miss."""
FOUND = tuple(rig for rig in RIGS if rig not in LOST)


@cache
def reckon(asked: Asked) -> PowerAnswer:
    """Return the answer to a question, from few set-ups."""
    return answer_power(
        load(asked.name, *asked.settings),
        CHAIN,
        means=asked.means,
        worth=asked.worth,
        way=asked.way,
        setups=32,
        shots=4,
    )


def answer(rig: str) -> PowerAnswer:
    """Return the answer about one of `RIGS`."""
    return reckon(RIGS[rig])


def best_of(made: PowerAnswer) -> Confirmed:
    """Return the recommended setting of an answer that has one."""
    assert made.best is not None
    return made.best


def told(made: PowerAnswer, start: str) -> list[str]:
    """Return the sentences that begin so."""
    return [sentence for sentence in findings(made) if sentence.startswith(start)]


@cache
def page(rig: str) -> str:
    """Return the page about one of `RIGS`."""
    return power_page(answer(rig))


@cache
def parsed(rig: str) -> Element:
    """Return the page about one of `RIGS` as it is read by the rules of HTML."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element = parser.parse(page(rig))
    return tree


def printed(made: PowerAnswer, width: int) -> str:
    """Return an answer's screen as text."""
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(power_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


@cache
def screen(rig: str, width: int) -> str:
    """Return the screen about one of `RIGS` as text."""
    return printed(answer(rig), width)
