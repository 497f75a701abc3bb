"""No study, however mangled, raises anything but a mistake that the user can put right."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import Fault, MistakeError
from jitter.stages import CHAIN
from jitter.study.study import Study

Read = Callable[..., Study]

CHARACTERS = st.one_of(
    st.sampled_from(list("[]{}=.,#\"'\\/%±+-019eE \t\r\n\0\x1b\x85\u2028\u202eµ½")),
    st.characters(exclude_categories=["Cs"]),
)
MUTATIONS = st.lists(
    st.tuples(st.sampled_from(["delete", "insert", "swap"]), st.floats(0.0, 1.0), CHARACTERS),
    min_size=1,
    max_size=4,
)


def _mutated(text: str, mutations: list[tuple[str, float, str]]) -> str:
    letters = list(text)
    for what, share, letter in mutations:
        at = int(share * (len(letters) - 2))
        if what == "delete":
            del letters[at]
        elif what == "insert":
            letters.insert(at, letter)
        else:
            letters[at], letters[at + 1] = letters[at + 1], letters[at]
    return "".join(letters)


def _read_or_refused(read: Read, text: str) -> bool:
    """Whether a text is a study, or is refused with complete faults."""
    try:
        return isinstance(read(text), Study)
    except MistakeError as mistake:
        return bool(mistake.faults) and all(
            fault.file == "rig.toml" and fault.key and fault.wrong and fault.right
            for fault in mistake.faults
        )


@given(mutations=MUTATIONS)
@settings(deadline=None, max_examples=400)
def test_a_mangled_study_is_read_or_refused(
    read: Read, good: str, mutations: list[tuple[str, float, str]]
) -> None:
    assert _read_or_refused(read, _mutated(good, mutations))


TEXTS = st.one_of(
    st.sampled_from(
        ["19 in", "1 ms", "sd 1 ms", "none", "3 %", "f/13", "valve", "milk", "yes", "± 1 mm"]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=8),
).map(json.dumps)
PLAIN = st.one_of(
    TEXTS,
    st.integers(-(10**30), 10**30).map(str),
    st.floats().map(lambda number: repr(number).replace("e+", "e")),
    st.booleans().map(lambda yes: str(yes).lower()),
    st.dates().map(str),
    st.times().map(str),
    st.datetimes().map(lambda when: when.isoformat()),
)
PARTS = st.sampled_from(["nominal", "setup", "shot", "alike", "basis", "drift", "measured"])
VALUES = st.recursive(
    PLAIN,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        st.dictionaries(PARTS, inner, max_size=3).map(
            lambda items: "{" + ", ".join(f"{key} = {value}" for key, value in items.items()) + "}"
        ),
    ),
    max_leaves=5,
)
KEYS = [*CHAIN.declarations, "valve.first_diameter", "valve.second_diameter"]
PLACES = st.sampled_from([*KEYS, "version", "title", "seed", "valve", "camera.nothing"])


@given(values=st.dictionaries(PLACES, VALUES, min_size=1, max_size=4))
@settings(deadline=None, max_examples=400)
def test_a_value_of_any_type_is_read_or_refused(read: Read, values: dict[str, str]) -> None:
    text = "\n".join(f"{key} = {value}" for key, value in values.items())
    assert _read_or_refused(read, text if "version" in values else f"version = 1\n{text}")


@given(text=st.text(st.characters(exclude_categories=["Cs"]), max_size=60))
@settings(deadline=None, max_examples=100)
def test_any_text_is_read_or_refused(read: Read, text: str) -> None:
    assert _read_or_refused(read, text)
    assert _read_or_refused(read, f"version = 1\n{text}")


@pytest.mark.parametrize(
    "value",
    ["[" * 5000 + "]" * 5000, "{a=" * 5000 + "1" + "}" * 5000, "9" * 5000, "-" + "9" * 5000],
    ids=["deep list", "deep table", "long number", "long negative number"],
)
def test_what_no_machine_can_hold_is_refused(
    faults_of: Callable[..., tuple[Fault, ...]], value: str
) -> None:
    for key in ("sensor.offset", "seed", "version", "colour"):
        start = "" if key == "version" else "version = 1\n"
        faults = faults_of(f"{start}{key} = {value}\n")
        assert all(len(str(fault)) < 1000 for fault in faults)


@pytest.mark.parametrize(
    "line",
    ["' ' * 20000", "'[' + ' ' * 20000", "'a.b = ' + 'x' * 300000"],
    ids=["blanks", "bracket", "word"],
)
def test_a_long_line_is_read(line: str) -> None:
    # In a process of its own: an expression that tries every split would take minutes or days.
    code = f"from jitter.study.lines import find_lines; print(find_lines({line}).get('a.b'))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=10, check=True
    )
    assert done.stdout.strip() == ("1" if "a.b" in line else "None")
