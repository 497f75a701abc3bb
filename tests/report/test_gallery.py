"""The gallery: every look with a picture, its meaning, its causes and what to try first."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import html5lib
import numpy as np
import pytest

from jitter.answers.typical import examples
from jitter.answers.variants import scaled, shifted, with_values
from jitter.draws.deviates import draw
from jitter.draws.layout import Block, Layout
from jitter.draws.values import values
from jitter.quantities import Kind as Sort
from jitter.quantities import Level, Quantity
from jitter.report.frames.causes import KINDS, Cause, Way, causes_here
from jitter.report.frames.gallery import gallery
from jitter.report.html import page
from jitter.stage import walk
from jitter.stages import CHAIN
from jitter.stages.look import BARELY_LIT, LOOKS
from jitter.study.study import Study
from jitter.trial import open_road
from tests.conftest import load


@dataclass(frozen=True)
class Case:
    """A rig in which a cause shows, and how far the quantity has to be off [SI]."""

    amount: float
    study: str = "barn-table"
    settings: tuple[str, ...] = ()


FAR = {
    ("nothing there", "timer.delay"): Case(0.200),
    ("nothing there", "valve.interval"): Case(0.090, "garage-second-drop"),
    ("one drop in the air", "timer.delay"): Case(0.105),
    ("one drop in the air", "valve.interval"): Case(0.090, "garage-second-drop"),
    ("column only", "timer.delay"): Case(0.025),
    ("column only", "valve.interval"): Case(0.025),
    ("column only", "sensor.height"): Case(0.025),
    ("smeared", "flash.power less"): Case(0.2, "hill-hut-dimmed-strobe"),
    ("merged without a sheet", "timer.delay"): Case(0.003),
    ("merged without a sheet", "valve.interval"): Case(0.003),
}
USUAL = {
    "sensor.miss_chance": Case(0.3),
    "sensor.offset": Case(0.003),
    "flash.dark_chance": Case(0.3),
    "flash.full_recycle": Case(100.0, settings=("flash.power=1/4",)),
    "camera.shutter_open": Case(1.2),
    "timer.delay": Case(0.004),
    "valve.interval": Case(0.004),
    "valve.scatter": Case(5.0),
    "sensor.height": Case(0.010),
    "pool.level": Case(0.010),
    "jet.height_scale": Case(0.4),
    "jet.height": Case(0.015, settings=("jet.height=27 mm",)),
    "sheet.spread_scale": Case(0.9),
    "flash.delay": Case(0.005),
    "jet.lean": Case(5.0),
    "jet.head_ratio": Case(0.5),
    "flash.stagger": Case(0.002, settings=("flash.count=2",)),
    "flash.energy": Case(0.5),
    "flash.distance": Case(0.08, "loft-guide-number"),
    "flash.guide_number": Case(10.0, "loft-guide-number"),
    "flash.duration_scale": Case(5.0),
    "flash.power": Case(0.4),
    "camera.focus": Case(0.010),
    "camera.aperture": Case(5.0, settings=("keeper.depth=8 mm",)),
}
"""Amounts are factors on the shot spread where a cause is that something strays more."""

CLAIMS = [
    (look, cause, key)
    for look, kind in KINDS.items()
    for cause in kind.causes
    for key in cause.keys
]


def frames_of(study: Study, look: str) -> int:
    road = open_road(study, CHAIN, wanted=("look",))
    block = Block(Layout(17, 64, 32), 0, 64, 0, 32)
    events = walk(road.shot, {**road.fixed, **values(study, draw(study, block))})
    return int(np.sum(np.broadcast_to(events["look"], (64, 32)) == LOOKS.index(look)))


def off(study: Study, key: str, way: Way, amount: float) -> list[Study]:
    """Return the study with a quantity off as a cause says; both ways where it says so."""
    declared = study.entries[key].declaration
    if way is Way.WIDER:
        return [scaled(study, [(key, Level.SHOT)], amount)]
    if isinstance(declared, Quantity) and declared.kind is Sort.CHANCE:
        return [with_values(study, {key: study.number(key) + amount})]
    signs = {Way.MORE: (1.0,), Way.LESS: (-1.0,), Way.ASIDE: (-1.0, 1.0)}[way]
    return [shifted(study, [key], sign * amount) for sign in signs]


@pytest.mark.parametrize(
    ("look", "cause", "key"),
    CLAIMS,
    ids=[f"{look}: {key} {cause.way}" for look, cause, key in CLAIMS],
)
def test_causes_bring_their_look_about(look: str, cause: Cause, key: str) -> None:
    """More frames than luck gives: 4 sd of the difference of two counts, at the most √(n1 + n2)."""
    short = "less" if cause.way is Way.LESS else ""
    case = FAR.get((look, f"{key} {short}".strip())) or FAR.get((look, key)) or USUAL[key]
    study = load(case.study, *case.settings)
    assert cause in causes_here(study, LOOKS.index(look))
    before = frames_of(study, look)
    for changed in off(study, key, cause.way, case.amount):
        after = frames_of(changed, look)
        assert after - before > 4.0 * math.sqrt(after + before)


def test_every_word_has_its_entry() -> None:
    assert tuple(KINDS) == LOOKS
    for look, kind in KINDS.items():
        assert kind.meaning.endswith(".")
        assert kind.remedy.endswith(".")
        assert bool(kind.causes) is (look != "keeper")
        for cause in kind.causes:
            assert cause.words[0].isupper()
            assert set(cause.keys) <= set(CHAIN.declarations)
            assert {key for key, _ in cause.where} <= set(CHAIN.declarations)


def test_what_is_said_of_darkness_is_what_counts_as_dark() -> None:
    assert math.log2(BARELY_LIT) == -4.0
    assert "four stops" in KINDS["dark"].meaning


def test_remedies_that_touch_a_flash_warn() -> None:
    assert "Do not open the flash" in KINDS["dark"].remedy
    assert "hundreds of volts" in KINDS["two images"].remedy


def test_causes_that_a_rig_cannot_have_are_left_out() -> None:
    def said(name: str, look: str, *settings: str) -> str:
        study = load(name, *settings)
        return " ".join(cause.words for cause in causes_here(study, LOOKS.index(look)))

    assert "second drop comes late" in said("barn-table", "umbrella early")
    assert "second drop comes late" not in said("garage-second-drop", "umbrella early")
    assert "beam" not in said("kitchen-glycerol", "umbrella early")
    assert "fire together" in said("loft-guide-number", "two images")
    assert "fire together" not in said("barn-table", "two images")
    assert "too little power" in said("hill-hut-dimmed-strobe", "smeared")
    assert "too much power" not in said("hill-hut-dimmed-strobe", "smeared")
    assert "column is lower" in said("hill-hut-dimmed-strobe", "umbrella early")


def test_the_gallery_shows_every_look() -> None:
    study = load("barn-table")
    made = gallery(study, examples(study, CHAIN))
    whole = page(heading="Looks", about="looks", findings=(), warnings=(), body=[made])
    html5lib.HTMLParser(strict=True).parse(whole)
    labels = re.findall(r'role="img" aria-label="([^.]+)\.', made)
    assert tuple(labels) == LOOKS
    assert tuple(re.findall(r"<h3[^>]*>([^<]+)</h3>", made)) == LOOKS
    ids = re.findall(r'\bid="([^"]+)"', made)
    assert len(ids) == len(set(ids))
    assert "since this rig seldom shows it clearly: light that lasts too long." in made
    assert "(not simulated)" in made
    assert "cut from a frame of 90 mm" in made
    assert not re.search(r"<script|<link|<img|src=", made)


def test_the_gallery_says_what_it_could_not_draw() -> None:
    study = load("barn-table", "keeper.off_centre=1")
    look = LOOKS.index("lopsided")
    made = gallery(study, examples(study, CHAIN, (look,)))
    assert "<svg" not in made
    assert made.count("Not drawn") == made.count("<h3") == len(LOOKS)
