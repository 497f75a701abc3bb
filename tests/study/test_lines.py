"""The line of each key, however a study is written."""

from __future__ import annotations

import tomllib
from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.study.lines import find_lines

PAIRS = '[flash]\ntenth_durations = [\n  ["1/64", "80 us"],\n  ["1/32", "120 us"],\n]\n'

TEXTS: dict[str, tuple[str, dict[str, int | None]]] = {
    "pairs on lines of their own": (f'{PAIRS}power = "1/64"\n', {"flash.power": 6}),
    "pairs in braces": (
        '[flash]\ntenth_durations = { nominal = [\n ["1/64", "8 us"],\n ["1", "9 ms"],\n'
        '], basis = "a [streak] = {x}" }\npower = 1\n',
        {"flash.tenth_durations.nominal": 2, "flash.tenth_durations.basis": 5, "flash.power": 6},
    ),
    "a text of several lines": (
        'title = """\n[valve]\nlatency = 3\n"""\n[valve]\nlatency = "8 ms"\n',
        {"title": 1, "valve": 5, "valve.latency": 6},
    ),
    "a text of several lines in braces": (
        '[valve]\nlatency = { nominal = "8 ms", basis = """a\nshot = 3, setup = 4""" }\nflow = 1\n',
        {"valve.latency.basis": 2, "valve.latency.shot": None, "valve.flow": 4},
    ),
    "words that look like keys": (
        '[valve]\nlatency = { basis = "x, setup = 3", shot = "none" }\n',
        {"valve.latency.shot": 2, "valve.latency.setup": None},
    ),
    "comments with brackets and quotes": (
        '# """ [x]\n[valve] # [sensor] = "\nlatency = "8 ms" # """\nflow = 1 # [\nwobble = 1\n',
        {"valve": 2, "valve.latency": 3, "valve.flow": 4, "valve.wobble": 5, "sensor": None},
    ),
    "names with points": (
        'valve.latency.nominal = "8 ms"\nvalve.latency.shot = "none"\n[ flash ]\na . b = 1\n',
        {"valve": 1, "valve.latency": 1, "valve.latency.shot": 2, "flash": 3, "flash.a.b": 4},
    ),
    "names in quotes": (
        '["valve"]\n"latency" = { "nominal" = "8 ms", \'shot\' = "none" }\n',
        {"valve.latency": 2, "valve.latency.nominal": 2, "valve.latency.shot": 2},
    ),
    "tables in tables": (
        "sensor = { height = { nominal = 1, setup = 2 }, offset = 3 }\nx = 1\n",
        {"sensor.height.setup": 1, "sensor.offset": 1, "sensor.setup": None, "x": 2},
    ),
    "windows' line ends": (
        f'{PAIRS}power = "1/64"\n'.replace("\n", "\r\n"),
        {"flash.tenth_durations": 2, "flash.power": 6},
    ),
    "a byte-order mark": ("\ufeffversion = 1\n\n[valve]\n", {"version": 1, "valve": 3}),
}


@pytest.mark.parametrize("name", TEXTS)
def test_every_key_has_its_line(name: str) -> None:
    text, lines = TEXTS[name]
    tomllib.loads(text.removeprefix("\ufeff"))
    found = find_lines(text)
    assert {key: found.get(key) for key in lines} == lines


def test_pairs_are_no_sections() -> None:
    assert set(find_lines(PAIRS)) == {"flash", "flash.tenth_durations"}


def test_deep_tables_are_read() -> None:
    # A third of what the reader of TOML itself can hold.
    text = "a = " + "{a = " * 100 + "1" + "}" * 100
    assert find_lines(text)[".".join("a" * 101)] == 1


def test_faults_below_a_table_of_pairs_have_their_line(
    faults_of: Callable[..., tuple[Fault, ...]],
) -> None:
    text = f'version = 1\n{PAIRS}colour = "red"\ncount = "two"\n'
    (colour, count) = faults_of(text)
    assert (colour.line, colour.key) == (7, "flash.colour")
    assert (count.line, count.key) == (8, "flash.count")
