"""What `jitter show` says: page, screen and document of rigs of every kind."""

from __future__ import annotations

import html
import io
import json
import re
from dataclasses import replace

import html5lib
import pytest
from rich.console import Console

from jitter.answers.show.answer import ShowAnswer, answer_show
from jitter.report.safety import CAUTIONS
from jitter.report.show.document import show_document
from jitter.report.show.page import show_page
from jitter.report.show.screen import show_screen
from jitter.report.show.words import understood
from jitter.stages import CHAIN
from tests.conftest import STUDIES, load
from tests.report.test_page import HOSTILE

NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))
NO_JET = ("valve.interval=400 ms",)


def answer(name: str, *settings: str) -> ShowAnswer:
    return answer_show(load(name, *settings), CHAIN, setups=32, shots=4)


def printed(made: ShowAnswer, width: int) -> str:
    console = Console(file=io.StringIO(), width=width, highlight=False)
    console.print(show_screen(made, width=width), width=width)
    return console.file.getvalue()  # type: ignore[attr-defined, no-any-return]


@pytest.fixture(scope="module")
def barn_shown() -> ShowAnswer:
    return answer("barn-table")


@pytest.mark.parametrize("name", NAMES)
def test_every_rig_is_shown_in_every_form(name: str) -> None:
    made = answer(name)
    page = show_page(made)
    html5lib.HTMLParser(strict=True).parse(page)
    text, screen = html.unescape(page), printed(made, 140)
    document = json.loads(json.dumps(show_document(made), allow_nan=False))
    for key in made.study.entries:
        assert key in text
        assert key.split(".")[1] in screen
    assert {row["key"] for row in document["values"]} == set(made.study.entries)
    for number in made.numbers:
        assert number.name in text
        assert number.name in screen
    for moment in made.moments:
        assert moment.what in text
        assert moment.what in screen
    assert all(caution in text for caution in CAUTIONS)


@pytest.mark.parametrize("width", [60, 80, 140])
@pytest.mark.parametrize("name", ["barn-table", "hill-hut-dimmed-strobe"])
def test_the_screen_fits(name: str, width: int) -> None:
    assert max(len(line) for line in printed(answer(name), width).splitlines()) <= width


def test_the_page_needs_nothing_from_outside(barn_shown: ShowAnswer) -> None:
    page = show_page(barn_shown)
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page)
    (label,) = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert "Height against time" in label


def test_a_hostile_title_is_text(barn_shown: ShowAnswer) -> None:
    study = replace(barn_shown.study, title=HOSTILE)
    page = show_page(replace(barn_shown, study=study))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "<script" not in page
    assert "\u202e" not in printed(replace(barn_shown, study=study), 80).splitlines()[0]


def test_says_whose_each_value_is(barn_shown: ShowAnswer) -> None:
    rows = {row["key"]: row for row in show_document(barn_shown)["values"]}
    assert rows["sensor.height"]["origin"] == "yours"
    assert rows["sensor.height"]["basis"] == "steel rule"
    assert rows["sensor.width"]["origin"] == "default: assumption"
    assert rows["liquid.fat"]["origin"] == "not used"
    assert "liquid.kind = milk" in rows["liquid.fat"]["idle"]
    assert "4.5 mm wide" in rows["valve.first_volume"]["written"]


@pytest.mark.parametrize(
    ("settings", "key", "whose"),
    [
        (("valve.scatter=sd 0.7 mm",), "valve.scatter", "yours"),
        (("valve.release_speed.shot=sd 0.01 m/s",), "valve.release_speed", "part yours"),
        (("valve.release_speed=0.06 m/s",), "valve.release_speed", "yours"),
        (("liquid.temperature.drift=0.1 K",), "liquid.temperature", "part yours"),
        ((), "valve.scatter", "default: derived"),
    ],
)
def test_a_spread_of_the_user_s_is_marked_as_his(
    settings: tuple[str, ...], key: str, whose: str
) -> None:
    made = answer("barn-table", *settings)
    rows = {row["key"]: row for row in show_document(made)["values"]}
    assert rows[key]["origin"] == whose
    for width in (80, 140):
        shown = whose if width == 140 else whose.removeprefix("default: ")
        name = key.partition(".")[2]
        assert re.search(rf"(?m)^  {name} .* {shown} *$", printed(made, width))


def test_what_stands_in_the_file_is_counted() -> None:
    given = [one for one in load("barn-table").entries.values() if one.given]
    (said, *_) = understood(answer("barn-table"))
    assert said.startswith(f"{len(given)} values stand in your file; ")
    (more, *_) = understood(answer("barn-table", "valve.scatter=sd 0.7 mm"))
    assert more.startswith(f"{len(given) + 1} values stand in your file; ")


def test_numbers_have_three_digits_and_lengths_their_unit(barn_shown: ShowAnswer) -> None:
    screen = printed(barn_shown, 80)
    reynolds = next(one.value for one in barn_shown.numbers if one.name == "Reynolds number")
    (shown,) = re.findall(r"Reynolds number\s+Re\s+(\d+)$", screen, re.MULTILINE)
    assert shown.endswith("00")
    assert float(shown) == pytest.approx(reynolds, rel=0.5e-2)
    assert re.search(r"depth of field\s+\d\.\d\d mm$", screen, re.MULTILINE)


def test_without_a_jet_there_is_neither_meeting_nor_sheet() -> None:
    made = answer("barn-table", *NO_JET)
    page, screen = show_page(made), printed(made, 80)
    html5lib.HTMLParser(strict=True).parse(page)
    document = show_document(made)
    names = [row["name"] for row in document["numbers"]]
    assert "age" not in names
    assert "drop and jet meet" not in [row["what"] for row in document["moments"]]
    assert "there is no jet" in " ".join(screen.split())
    assert any("there is no jet" in sentence for sentence in understood(made))


def test_a_valve_that_starts_the_timer_needs_no_beam() -> None:
    made = answer("kitchen-glycerol")
    assert "sensor's beam" not in show_page(made)
    assert "the valve's own command" in " ".join(printed(made, 80).split())


def test_blur_is_told_in_micrometres_and_pixels(barn_shown: ShowAnswer) -> None:
    screen = printed(barn_shown, 80)
    parts = ("motion blur", "defocus", "diffraction", "blur in all")
    for part in parts:
        (size,) = re.findall(rf"{part} on the camera's sensor\s+([\d.]+) µm", screen)
        (pixels,) = re.findall(rf"{part} in pixels\s+([\d.]+)", screen)
        # closed form: pixels of 6 µm; both are rounded to three digits.
        assert float(size) == pytest.approx(6.0 * float(pixels), rel=0.01)
