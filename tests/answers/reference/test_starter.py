"""The study that `jitter new` writes: it is the default rig, and every line of it counts."""

from __future__ import annotations

import math
import re
from functools import cache

import pytest

from jitter.answers.reference.items import every_item
from jitter.answers.reference.starter import HEAD, MAIN, RARE, ROOM, RULED, SPREAD, starter
from jitter.answers.warnings import find_warnings
from jitter.quantities import Mark, Spread
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.study.reader import read_study
from jitter.study.study import Entry, Study
from jitter.trial import nominal_shot

TEXTS = {"metric": starter(CHAIN), "inches": starter(CHAIN, inches=True)}
_ASLEEP = re.compile(r"# (?=\w+ = )")


def sleeping(text: str) -> list[int]:
    """Return the places of the lines that are asleep."""
    return [at for at, line in enumerate(text.splitlines()) if _ASLEEP.match(line)]


def woken(text: str, *places: int) -> str:
    """Return a text in which some lines are no comments any more."""
    return "\n".join(
        line.removeprefix("# ") if at in places else line
        for at, line in enumerate(text.splitlines())
    )


@cache
def read(text: str) -> Study:
    return read_study(text, source="rig.toml", chain=CHAIN)


def default() -> Study:
    return read("version = 1")


def numbers(entry: Entry) -> tuple[float, ...]:
    if isinstance(entry.nominal, tuple):
        return tuple(end for end in entry.nominal if isinstance(end, float))
    return (entry.number,) if isinstance(entry.nominal, float) else ()


def size(spread: Spread, entry: Entry) -> float:
    return spread.size * (entry.number if spread.relative else 1.0)


def test_is_the_default_rig() -> None:
    study = read(TEXTS["metric"])
    for key, entry in study.entries.items():
        usual = default().entries[key]
        # Closed form: four digits are written at the most, which the defaults here all have.
        assert numbers(entry) == pytest.approx(numbers(usual), rel=1e-12), key
        if isinstance(usual.nominal, str | None):
            assert entry.nominal == usual.nominal
        for level in ("setup", "shot"):
            mine, theirs = getattr(entry, level), getattr(usual, level)
            assert mine.shape is theirs.shape
            assert mine.size == pytest.approx(theirs.size, rel=1e-12), key
            assert mine.relative == theirs.relative


def test_is_the_same_rig_in_inches() -> None:
    study = read(TEXTS["inches"])
    moved = set()
    for key, entry in study.entries.items():
        usual = default().entries[key]
        # Closed form: a volume goes as the cube of the diameter.
        far = 3.0 * RULED if key.endswith("_volume") else RULED
        assert numbers(entry) == pytest.approx(numbers(usual), rel=1.02 * far), key
        if numbers(entry) != numbers(usual):
            moved.add(key)
        for level in ("setup", "shot"):
            mine, theirs = getattr(entry, level), getattr(usual, level)
            assert mine.shape is theirs.shape
            assert size(mine, entry) == pytest.approx(size(theirs, usual), rel=SPREAD + far), key
    # Closed form: 24 in and 19 in are 609.6 mm and 482.6 mm.
    assert study.number("valve.nozzle_height") == pytest.approx(0.6096)
    assert study.number("sensor.height") == pytest.approx(0.4826)
    assert moved == {
        *("valve.first_volume", "valve.second_volume", "valve.nozzle_height"),
        *("sensor.height", "pool.depth"),
    }


def test_inches_leave_only_millimetres_of_cameras() -> None:
    left = re.findall(r'^#? ?(\w+) = .*\d mm"', TEXTS["inches"], re.MULTILINE)
    assert left == ["frame_width", "focal_length"]
    assert not re.search(r'\d (m|C|K)"', TEXTS["inches"])
    assert 'depth = "1 9/16 in"' in TEXTS["inches"]
    assert 'guide_number = "91.9 ft"' in TEXTS["inches"]
    assert '{ nominal = "68 F", setup = "sd 1.8 F" }' in TEXTS["inches"]


@pytest.mark.parametrize("units", TEXTS)
def test_warns_of_what_the_default_rig_warns_of_and_keeps_its_stars(units: str) -> None:
    study = read(TEXTS[units])
    shot = nominal_shot(study, CHAIN)
    assert int(shot["reason"].item()) == KEEPER
    usual = find_warnings(default(), nominal_shot(default(), CHAIN))
    assert [_bare(one) for one in find_warnings(study, shot)] == [_bare(one) for one in usual]
    # What is assumed is not taken for measured.
    for key, entry in study.entries.items():
        for level in ("setup_basis", "shot_basis"):
            mine, theirs = getattr(entry, level), getattr(default().entries[key], level)
            if theirs is not None and theirs.mark is Mark.ASSUMED:
                assert mine == theirs, key


def _bare(warning: str) -> str:
    return re.sub(r"[\d.]+", "#", warning)


@pytest.mark.parametrize("units", TEXTS)
def test_each_line_asleep_can_be_woken(units: str) -> None:
    text = TEXTS[units]
    places = sleeping(text)
    assert len(places) >= len(RARE)
    for at in places:
        study = read(woken(text, at))
        given = {key for key, entry in study.entries.items() if entry.given}
        before = {key for key, entry in read(text).entries.items() if entry.given}
        assert len(given - before) == 1, text.splitlines()[at]
        assert before <= given


@pytest.mark.parametrize("units", TEXTS)
def test_all_lines_asleep_can_be_woken_together(units: str) -> None:
    text = TEXTS[units]
    study = read(woken(text, *sleeping(text)))
    given = {key for key, entry in study.entries.items() if entry.given}
    said = {key.replace("_diameter", "_volume") for key in (*MAIN, *RARE)}
    assert given == said
    assert math.isfinite(float(nominal_shot(study, CHAIN)["light_time"].item()))


def test_waking_a_default_changes_no_value() -> None:
    text = TEXTS["metric"]
    study = read(woken(text, *sleeping(text)))
    for key in (*MAIN, *RARE):
        key = key.replace("_diameter", "_volume")
        usual = default().entries[key]
        if usual.nominal is not None:
            entry = study.entries[key]
            assert numbers(entry) == pytest.approx(numbers(usual), rel=1e-12), key
            assert size(entry.setup, entry) == pytest.approx(size(usual.setup, usual)), key


@pytest.mark.parametrize("units", TEXTS)
def test_fits_on_a_table(units: str) -> None:
    lines = TEXTS[units].splitlines()
    assert len(lines) < 120
    assert max(map(len, lines)) <= ROOM
    assert TEXTS[units].isascii()
    assert TEXTS[units].endswith("\n")
    # A comment is the head, a value that is asleep, or what the next line's value means.
    for at, line in enumerate(lines[len(HEAD.splitlines()) :], len(HEAD.splitlines())):
        if line.startswith("#"):
            assert at in sleeping(TEXTS[units]) or (line.endswith(":") and "=" in lines[at + 1])


def test_sections_stand_in_the_order_of_the_chain_and_values_have_their_meaning() -> None:
    text = TEXTS["metric"]
    sections = re.findall(r"^\[(\w+)\]", text, re.MULTILINE)
    items = every_item(CHAIN)
    assert sections == list(dict.fromkeys(item.section for item in items if item.section))
    for phrase in ("to be overwritten", "setup: drawn once", "shot: drawn anew", "half width"):
        assert phrase in HEAD
    for item in items:
        if not item.section or {*item.keys} & {*MAIN, *RARE}:
            assert item.meaning in text, item.key
        for option in item.options:
            assert option in text
