"""A study's text with some values changed: every form of writing them, and nothing lost."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from jitter.errors import RefusedError
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.rewriting import NewValue, rewrite
from tests.conftest import STUDIES

LATENCY = NewValue("valve.latency", {"shot": '"sd 0.5 ms"'}, "20 frames")
PLAIN = {"nominal": "8 ms", "shot": "sd 0.5 ms", "basis": "20 frames"}
FORMS = {
    "a bare value": '[valve]\nlatency = "8 ms" # told\n',
    "a table in braces": '[valve]\nlatency = { nominal = "8 ms", shot = "sd 1 ms" }\n',
    "its own section": '[valve.latency]\nnominal = "8 ms"\n[sensor]\nheight = "19 in"\n',
    "part by part": '[valve]\nlatency.nominal = "8 ms"\nlatency.shot = "sd 1 ms"\n',
    "dotted at the top": 'valve.latency = "8 ms"\nvalve.interval = "99 ms"\n',
    "dotted part by part": 'valve.latency.nominal = "8 ms"\n',
    "quoted names": '["valve"]\n"latency" = "8 ms"\n',
    "quotes of the other kind": "[valve]\nlatency = '8 ms'\n",
    "the last line without an end": '[valve]\nlatency = "8 ms"',
    "windows' line ends": '[valve]\r\nlatency = "8 ms"\r\nwobble = 0.1\r\n',
    "a byte-order mark": '\ufeff[valve]\nlatency = "8 ms"\n',
    "a text of several lines before": 'title = """\n[valve]\nlatency = "9 ms"\n"""\n[valve]\n'
    'latency = "8 ms"\n',
    "a hash and brackets in a text": 'title = "a # [x] = {"\n[valve]\nlatency = "8 ms"\n',
}


@pytest.mark.parametrize("form", FORMS)
def test_every_form_of_a_value_is_changed(form: str) -> None:
    text = FORMS[form]
    new = rewrite(text, [LATENCY])
    before = tomllib.loads(text.removeprefix("\ufeff"))
    said = tomllib.loads(new.removeprefix("\ufeff"))
    assert said["valve"].pop("latency") == PLAIN
    del before["valve"]["latency"]
    assert said == before
    assert new.startswith("\ufeff") == text.startswith("\ufeff")
    assert ("\r\n" in new) == ("\r\n" in text)
    assert new.replace("\r\n", "").count("\r") == 0
    assert "# told" in new or "# told" not in text


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('[valve]\ninterval = "99 ms" # here\n\n[sensor]\nheight = "19 in"\n', 2),
        ('[valve]\n# nothing yet\n[sensor]\nheight = "19 in"\n', 1),
        ('valve.interval = "99 ms"\nsensor.height = "19 in"\n', 1),
        ('[sensor]\nheight = "19 in"\n', 4),
        ('[valve]\r\ninterval = "99 ms"\r\n', 2),
        ("", 2),
        ('version = 1\ntitle = "no line end"', 4),
    ],
)
def test_a_key_that_is_missing_is_added_to_its_section(text: str, line: int) -> None:
    new = rewrite(text, [LATENCY])
    assert "latency" in new.splitlines()[line]
    assert new.count("\r\n") == (new.count("\n") if "\r" in text else 0)
    wanted = {"shot": "sd 0.5 ms", "basis": "20 frames"}
    assert tomllib.loads(new)["valve"]["latency"] == wanted
    for old in text.splitlines():
        assert old in new.splitlines()


def test_what_a_value_rested_on_before_follows_the_new_basis() -> None:
    old = '[valve]\nlatency = { nominal = "8 ms", alike = 0.3, basis = "the \\"maker\\"" }\n'
    said = tomllib.loads(rewrite(old, [LATENCY]))["valve"]["latency"]
    assert said["basis"] == '20 frames; before: the "maker"'
    assert said["alike"] == 0.3
    apart = '[valve]\nlatency.nominal = "8 ms"\nlatency.basis = "maker"\n'
    said = tomllib.loads(rewrite(apart, [LATENCY]))["valve"]["latency"]
    assert said["basis"] == "20 frames; before: maker"


def test_what_stands_in_the_way_becomes_a_comment() -> None:
    text = '[flash]\nhalf_durations = [\n  ["1/64", "80 us"],\n  [1, "2 ms"],\n]\npower = "1/64"\n'
    new = rewrite(
        text,
        [
            NewValue(
                "flash.tenth_durations",
                {"nominal": '[["1/64", "90 us"], [1, "3 ms"]]'},
                "12 streaks",
                ("flash.half_durations", "flash.full_duration"),
            )
        ],
    )
    said = tomllib.loads(new)["flash"]
    assert set(said) == {"power", "tenth_durations"}
    # Nothing is lost: every letter of the old table is still there.
    for old in text.splitlines():
        assert any(line.endswith(old) for line in new.splitlines())


def test_a_section_in_braces_is_refused_with_what_to_write() -> None:
    with pytest.raises(RefusedError) as caught:
        rewrite('valve = { latency = "8 ms" }\n', [LATENCY])
    assert "valve.latency" in caught.value.wrong
    assert 'shot = "sd 0.5 ms"' in caught.value.right


def test_sections_that_are_divided_are_told_apart() -> None:
    text = '[valve]\nlatency = "8 ms"\n[flash]\npower = 1\n[valve.wobble]\nnominal = 0.1\n'
    said = tomllib.loads(rewrite(text, [LATENCY]))
    assert said["valve"] == {"latency": PLAIN, "wobble": {"nominal": 0.1}}


def test_control_letters_in_a_basis_do_not_break_the_file() -> None:
    new = rewrite("", [NewValue("valve.latency", {"nominal": '"8 ms"'}, 'a\n"b"\t\\c')])
    assert tomllib.loads(new)["valve"]["latency"]["basis"] == 'a\n"b"\t\\c'


@pytest.mark.parametrize("path", sorted(STUDIES.glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_studies_keep_every_other_line(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    values = [
        NewValue("valve.release_speed", {"shot": '"sd 0.03 m/s"'}, "20 frames"),
        NewValue("sensor.height", {"nominal": '"481.25 mm"'}, "6 readings"),
        NewValue("jet.lean", {"shot": '"sd 0.4 mm"'}, "9 frames"),
    ]
    new = rewrite(text, values)
    study = read_study(new, source="new.toml", chain=CHAIN)
    assert study.number("sensor.height") == 0.48125
    assert study.entries["valve.release_speed"].shot.size == 0.03
    assert study.entries["jet.lean"].shot_basis is not None
    lines = new.splitlines()
    changed = [line for line in text.splitlines() if line not in lines]
    assert all(line.split()[0] in ("height", "release_speed", "lean") for line in changed)


ODD = {
    "pairs before it": '[flash]\ntenth_durations = [\n  ["1/64", "80 us"],\n  ["1", "2 ms"],\n]\n'
    '[valve]\nlatency = "8 ms"\n',
    "a text of several lines in its braces": '[valve]\nlatency = { nominal = "8 ms", basis = """a\n'
    'shot = 3 }""" } # told\nflow = "1 ml/s"\n',
    "words that look like parts": "[valve]\n"
    'latency = { basis = "x, shot = 3 }", nominal = "8 ms" }\n',
    "names of parts in quotes": '[valve]\nlatency = { "nominal" = "8 ms", \'shot\' = "none" }\n',
    "comments with brackets": '[valve] # [flash] = {\n# latency = "9 ms" [\n'
    'latency = "8 ms" # ] }\n',
}


@pytest.mark.parametrize("form", ODD)
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["unix", "windows"])
def test_odd_forms_are_changed_and_the_rest_kept(form: str, end: str) -> None:
    text = ODD[form].replace("\n", end)
    new = rewrite(text, [LATENCY])
    said, before = tomllib.loads(new), tomllib.loads(text)
    assert said["valve"]["latency"]["nominal"] == "8 ms"
    assert said["valve"]["latency"]["shot"] == "sd 0.5 ms"
    assert said["valve"]["latency"]["basis"].startswith("20 frames")
    for one in (said, before):
        del one["valve"]["latency"]
    assert said == before
    kept = [line for line in text.splitlines() if "latency" not in line and "shot" not in line]
    assert all(line in new.splitlines() for line in kept)
