"""A line that wants no more than quotes is told as it would be right, and hides nothing else."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault, MistakeError
from jitter.study.parsing import MOST, parse

FaultsOf = Callable[..., tuple[Fault, ...]]

# A line as it was written, why it cannot be read, and as it would be right.
MENDED = [
    ("power = 1/64", "not in quotes", 'power = "1/64"'),
    ("power = 1/64  # 1/32 is dearer", "not in quotes", 'power = "1/64"  # 1/32 is dearer'),
    ("delay = 294 ms", "not in quotes", 'delay = "294 ms"'),
    ("  start = first drop\r", "not in quotes", 'start = "first drop"'),
    ('power = "1/64', "a quote is missing", 'power = "1/64"'),
    ("power = “1/64”", "not straight", 'power = "1/64"'),
    ("power = „1/64“", "not straight", 'power = "1/64"'),
    ('height = "19 1/2""', "an inch mark", 'height = "19 1/2 in"'),
    (
        'height = { nominal = 19 in, setup = "within 1 mm" }',
        "no plain number",
        'height = { nominal = "19 in", setup = "within 1 mm" }',
    ),
    ("age = [2 ms, 10 ms]", "no plain number", 'age = ["2 ms", "10 ms"]'),
    (
        "half_durations = [[1/64, '80 us'], [1, 2 ms]]",
        "no plain number",
        'half_durations = [["1/64", \'80 us\'], [1, "2 ms"]]',
    ),
]


@pytest.mark.parametrize(("line", "why", "right"), MENDED, ids=[case[0] for case in MENDED])
def test_the_line_is_told_as_it_would_be_right(line: str, why: str, right: str) -> None:
    document, text, (fault,) = parse(f"a = 1\n{line}\nz = 2", "rig.toml")
    assert (fault.file, fault.line) == ("rig.toml", 2)
    assert why in fault.wrong
    assert fault.right == f"write {right}"
    assert document["z"] == 2
    assert text.split("\n")[1].strip() == right


# What quotes alone do not mend, or what could be meant in several ways.
UNMENDED = [
    "power =",
    "power 1/64",
    'power = "',
    'power = "1\\64"',
    "power = 1\x1b/64",
    "power = [1/64",
    'height = 19 1/2"',
    'age = ["2 ms" "10 ms"]',
    "[ti mer]",
]


@pytest.mark.parametrize("line", UNMENDED)
def test_what_quotes_do_not_mend_is_told_alone(line: str) -> None:
    with pytest.raises(MistakeError) as caught:
        parse(f"a = 1\n{line}\nz = 2", "rig.toml")
    (fault,) = caught.value.faults
    assert fault.line in (2, 3)
    assert "under a [section]" in fault.right


def test_a_text_that_parses_is_left_as_it_is() -> None:
    text = '\ufefftitle = "“Quoted”" # 1/64\nage = ["2 ms"]\n'
    assert parse(text, "rig.toml") == ({"title": "“Quoted”", "age": ["2 ms"]}, text, [])


def test_lines_without_quotes_hide_no_other_fault(faults_of: FaultsOf) -> None:
    text = "version = 1\n[flash]\npower = 1/63x\n[timer]\ndelay = 294 ms\ndealy = 3\n"
    told = [(fault.line, fault.key) for fault in faults_of(text)]
    assert told == [(3, "power"), (3, "flash.power"), (5, "delay"), (6, "timer.dealy")]


def test_an_endless_list_of_them_ends() -> None:
    lines = [f"a{number} = 1/64" for number in range(MOST + 5)]
    with pytest.raises(MistakeError) as caught:
        parse("\n".join(lines), "rig.toml")
    assert len(caught.value.faults) == MOST + 1
