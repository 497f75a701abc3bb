"""Broken TOML, unknown names and misplaced sections are refused with key, line and a way out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault

FaultsOf = Callable[..., tuple[Fault, ...]]

# What is replaced in the good study, by what, the key of the fault, and words of its message;
# the fault is expected on the line on which the replacement begins.
EDITS = [
    # TOML that does not parse: Python's parser knows the line, and the key is read off it.
    ('delay = "294 ms"', 'delay = "294 ms', "delay", "cannot be read"),
    ("[timer]", "[timer", "[timer", "cannot be read"),
    ("[timer]", "timer]", "timer]", "cannot be read"),
    ('"294 ms"', "“294 ms”", "delay", "cannot be read"),
    ('"294 ms"', "294 ms", "delay", "cannot be read"),
    ('"294 ms"', "", "delay", "cannot be read"),
    ("delay =", "=", "the file", "cannot be read"),
    ("delay =", "delay", 'delay "294 ms"', "cannot be read"),
    ("delay =", "timer delay =", "timer delay", "cannot be read"),
    ('"first drop"', '"first \\drop"', "start", "cannot be read"),
    ('"first drop"', '"first \x1b drop"', "start", "cannot be read"),
    ('"first drop"', '"first \0 drop"', "start", "cannot be read"),
    ('["2 ms", "10 ms"]', '["2 ms" "10 ms"]', "age", "cannot be read"),
    ('{ nominal = "4.5 mm" }', '{ nominal = "4.5 mm"', "first_diameter", "cannot be read"),
    ("[trim]", "[timer]", "[timer]", "cannot be read"),
    # The head of the document.
    ("version = 1", "version = 2", "version", "2 is unknown"),
    ("version = 1", "version = 0", "version", "0 is unknown"),
    ("version = 1", "version = true", "version", "unknown"),
    ("version = 1", 'version = "1"', "version", "unknown"),
    ("version = 1", "version = []", "version", "unknown"),
    ("seed    = 11", "seed = -1", "seed", "-1 is no seed"),
    ("seed    = 11", "seed = 1.5", "seed", "1.5 is no seed"),
    ("seed    = 11", "seed = 18446744073709551616", "seed", "is no seed"),
    ("seed    = 11", 'seed = "11"', "seed", "is no seed"),
    ("seed    = 11", "seed = true", "seed", "is no seed"),
    ("seed    = 11", "seed = [11]", "seed", "is no seed"),
    # Names.
    ("[timer]", "[timers]", "timers", "there is no section [timers]; did you mean timer?"),
    ("[timer]", "[Timer]", "Timer", "did you mean timer?"),
    ("[timer]", "[clockwork]", "clockwork", "known here: liquid, air, valve"),
    ("seed    = 11", "sed = 11", "sed", "no key 'sed' at the top; did you mean seed?"),
    ("delay =", "dealy =", "timer.dealy", "did you mean delay?"),
    ("delay =", '"del.ay" =', "timer.del.ay", "did you mean delay?"),
    ("delay =", "colour =", "timer.colour", "known here: start, delay, step, clock_error"),
    ("interval ", "height ", "valve.height", "valve.nozzle_height, sensor.height, jet.height or"),
    ("interval ", "aperture ", "valve.aperture", "did you mean camera.aperture, "),
    ("interval ", "first_diametre ", "valve.first_diametre", "did you mean first_diameter?"),
    ("seed    = 11", 'height = "19 in"', "height", "did you mean sensor.height, jet.height,"),
    ("seed    = 11", "colour = 3", "colour", "known here: version, title, seed; all else stands"),
    ("latency ", "latncy ", "valve.latncy", "did you mean latency?"),
]


@pytest.mark.parametrize(("old", "new", "key", "words"), EDITS, ids=[edit[1] for edit in EDITS])
def test_a_broken_document_is_refused(
    faults_of: FaultsOf, good: str, old: str, new: str, key: str, words: str
) -> None:
    at = good.index(old)
    text = good.replace(old, new, 1)
    fault = faults_of(text)[0]
    assert fault.key == key
    assert words in f"{fault.wrong}; {fault.right}"
    assert (fault.file, fault.line) == ("rig.toml", text[:at].count("\n") + 1)


# Whole files: the text, the key of the only fault, its line, and words of its message.
FILES = [
    ("", "version", None, "the version is missing"),
    (" \n\n", "version", None, "the version is missing"),
    ("# a comment\n", "version", None, "the version is missing"),
    ('title = "No version"\n', "version", None, "write version = 1 at the top"),
    ("\ufeff", "version", None, "the version is missing"),
    ("version = 1\nsensor = 3\n", "sensor", 2, "sensor is a section"),
    ('version = 1\nsensor = "19 in"\n', "sensor", 2, "write [sensor] on a line of its own"),
    ("version = 1\nsensor = [1]\n", "sensor", 2, "sensor is a section"),
    ('version = 1\n[[sensor]]\nheight = "19 in"\n', "sensor", 2, "sensor is a section"),
    ("version = 1\ntitle = 3\n", "title", 2, "3 is no text"),
    ("version = 1\ntitle = ['a']\n", "title", 2, "is no text"),
    ("version = 1\n[title]\ntext = 'a'\n", "title", 2, "is no text"),
    ("version = 1\n[seed]\nnumber = 1\n", "seed", 2, "is no seed"),
    ("[version]\nnumber = 1\n", "version", 1, "is unknown"),
    (
        "version = 1\nsensor.height = '1 in'\nsensor.height = '1 in'\n",
        "sensor.height",
        3,
        "this key stands twice",
    ),
    ("version = 1\nsensor = 3\n[sensor]\nheight = '19 in'\n", "[sensor]", 3, "cannot be read"),
    ("version = 1\ntitle = 'a'\ntitle = 'b'\n", "title", 3, "this key stands twice"),
    (
        "version = 1\nflash.half_durations = [[1/64, '80 us'], [1, '1 ms']]\n",
        "flash.half_durations",
        2,
        "write flash.half_durations = [[\"1/64\", '80 us'], [1, '1 ms']]",
    ),
    (
        "version = 1\nflash.half_durations = [\n['1/64', '80 us'],\n[1, '1 mm'],\n]\n",
        "flash.half_durations",
        2,
        "duration of pair 2",
    ),
    (
        'version = 1\n"sensor.height" = "19 in"\n',
        "sensor.height",
        2,
        "write sensor.height without quotes",
    ),
    ("version = 1\nsensor.height.size = '19 in'\n", "sensor.height.size", 2, "not a part"),
    ("version = 1\n[sensor.hight]\nnominal = '19 in'\n", "sensor.hight", 2, "mean height?"),
    (
        "version = 1\n[sensor.height]\nnominl = '19 in'\n",
        "sensor.height.nominl",
        3,
        "mean nominal?",
    ),
    ("version = 1\n[sensor.height]\nnominal = '19 s'\n", "sensor.height", 3, "is wanted"),
    ("version = 1\n[sensor.height]\nsetup = '1 mm'\n", "sensor.height.setup", 3, "half width"),
    ("version = 1\n[sensor.height.nominal]\nx = '19 in'\n", "sensor.height", 2, "is no value"),
    ("version = 1\r\nsensor.height = '19 s'\r\n", "sensor.height", 2, "is wanted"),
    ("version = 1\n[ sensor ]  # beam\n height = '19 s'\n", "sensor.height", 3, "is wanted"),
    ("version = 1\n['sensor']\n\"height\" = '19 s'\n", "sensor.height", 3, "is wanted"),
    # A sensible file stays sensible to the line count, whatever its comments and titles hold.
    ("version = 1\n# one\u2028line\nsensor.height = '19 s'\n", "sensor.height", 3, "is wanted"),
    ("version = 1\n# one\x85line\nsensor.height = '19 s'\n", "sensor.height", 3, "is wanted"),
    (
        "version = 1\ntitle = '''\n[sensor]\nheight = 1\n'''\n[sensor]\nheight = '19 s'\n",
        "sensor.height",
        7,
        "is wanted",
    ),
    (
        "version = 1\n[sensor]\n# height = '19 in'\nwidth = '1 mm'  # height =\nheight = '19 s'\n",
        "sensor.height",
        5,
        "is wanted",
    ),
    (
        "version = 1\n[keeper]\nage = [\n  '2 ms',  # early\n  '10 mm',  # late\n]\n",
        "keeper.age",
        3,
        "is a length, but a time is wanted",
    ),
]


@pytest.mark.parametrize(("text", "key", "line", "words"), FILES)
def test_a_broken_file_has_one_fault(
    faults_of: FaultsOf, text: str, key: str, line: int | None, words: str
) -> None:
    (fault,) = faults_of(text)
    assert (fault.file, fault.line, fault.key) == ("rig.toml", line, key)
    assert words in f"{fault.wrong}; {fault.right}"


HOSTILE = {
    "escape": "\\u001b[31mred",
    "bell": "\\u0007",
    "null": "\\u0000",
    "right to left": "\u202e19 in",
    "line feed": "a\\nrig.toml:9  b",
    "zero width": "\u200b19 in",
    "very long": "9" * 5000,
    "very long word": "x" * 5000,
    "combining": "a" + "\u0301" * 500,
}


PLACES = [
    'sensor.height = "{}"',
    'sensor.height = {{ setup = "{}" }}',
    'timer.start = "{}"',
    'keeper.age = ["{}", "9 ms"]',
    'seed = "{}"',
    '"{}" = 1',
    'sensor."{}" = 1',
    'sensor.height = {{ "{}" = 1 }}',
]


@pytest.mark.parametrize("hostile", HOSTILE.values(), ids=HOSTILE)
def test_hostile_text_is_told_short_and_without_control_characters(
    faults_of: FaultsOf, hostile: str
) -> None:
    for place in PLACES:
        for fault in faults_of(f"version = 1\n{place.format(hostile)}\n"):
            assert fault.line in (2, None)
            for told in (fault.file, fault.key, fault.wrong, fault.right):
                assert told.isprintable()
                assert len(told) <= 1000
