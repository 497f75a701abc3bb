"""A table of pairs is read in SI, rising, and refused pair by pair."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import Fault
from jitter.quantities import Curve, Mark
from jitter.stages import CHAIN
from jitter.study.study import Entry, Study

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]
KEY = "flash.half_durations"
GOOD = '[["1/64", "80 us"], ["1/8", "300 us"], [1, "2 ms"]]'
PAIRS = ((1 / 64, 8e-5), (1 / 8, 3e-4), (1.0, 2e-3))  # Closed form: the text above in SI.


def _entry(read: Read, written: str, key: str = KEY) -> Entry:
    return read(f"version = 1\n{key} = {written}\n").entries[key]


@pytest.mark.parametrize("key", ["flash.half_durations", "flash.tenth_durations"])
@pytest.mark.parametrize(
    "written",
    [
        GOOD,
        '[["1/64", "1/12500 s"], ["12.5 %", "0.3 ms"], ["100 %", "2000 µs"]]',
        '[[1, "2 ms"], ["1/64", "80 us"], ["1/8", "300 us"]]',
        f"{{ nominal = {GOOD} }}",
    ],
    ids=["fractions", "other units", "any order", "by part"],
)
def test_pairs_are_read_in_si_and_rise(read: Read, key: str, written: str) -> None:
    entry = _entry(read, written, key)
    assert entry.nominal == PAIRS
    assert entry.given == {"nominal"}
    assert entry.basis is not None
    assert entry.basis.mark is Mark.USER


def test_a_table_stands_in_several_lines(read: Read) -> None:
    lines = GOOD.replace("], ", "],\n  ")
    assert read(f"version = 1\n[flash]\nhalf_durations = {lines}\n").entries[KEY].nominal == PAIRS


def test_where_the_numbers_come_from_is_kept(read: Read) -> None:
    basis = _entry(read, f'{{ nominal = {GOOD}, basis = "photodiode" }}').basis
    assert basis is not None
    assert (basis.mark, basis.source) == (Mark.USER, "photodiode")


def test_a_study_without_a_table_has_none(read: Read) -> None:
    entry = read("version = 1\n").entries[KEY]
    assert entry.nominal is None
    assert entry.given == frozenset()
    assert entry.basis == CHAIN.declarations[KEY].basis


def test_a_duration_may_fall_with_the_power(read: Read) -> None:
    # As with a flash dimmed by its voltage: only the powers have to differ.
    falling = _entry(read, '[["1/64", "5 ms"], [1, "1 ms"]]').nominal
    assert falling == ((1 / 64, 5e-3), (1.0, 1e-3))


@given(
    pairs=st.dictionaries(
        st.integers(1, 4096), st.floats(1e-7, 1.0), min_size=2, max_size=12
    ).filter(lambda pairs: min(pairs) <= 64 <= max(pairs))
)
@settings(deadline=None, max_examples=50)
def test_any_table_is_sorted_by_its_first_column(read: Read, pairs: dict[int, float]) -> None:
    rows = ", ".join(f'["{power}/4096", "{time!r} s"]' for power, time in pairs.items())
    got = _entry(read, f"[{rows}]").nominal
    # The power of the study, 1/64 = 64/4096, is inside it.
    assert isinstance(got, tuple)
    assert [pair[0] for pair in got if isinstance(pair, tuple)] == [
        power / 4096 for power in sorted(pairs)
    ]
    # Read to fifteen digits.
    for got_pair, power in zip(got, sorted(pairs), strict=True):
        assert isinstance(got_pair, tuple)
        assert got_pair[1] == pytest.approx(pairs[power], rel=1e-14)


REFUSED = [  # What is given, and for each fault the part of the key and words of its message.
    ('"80 us"', [("", "'80 us' is no table of two pairs or more")]),
    ("[]", [("", "[] is no table of two pairs or more")]),
    ('[["1/64", "80 us"]]', [("", "is no table of two pairs or more")]),
    ("true", [("", "true is no table of two pairs")]),
    ("{}", [("", "it holds no pairs")]),
    ('{ basis = "photodiode" }', [("", "it holds no pairs")]),
    ('["1/64", "80 us"]', [("", "'1/64' is no pair"), ("", "'80 us' is no pair")]),
    ('[["1/64", "80 us"], ["1/8"]]', [("", "['1/8'] is no pair")]),
    ('[["1/64", "80 us"], ["1/8", "1 ms", "2 ms"]]', [("", "is no pair; write pairs of power")]),
    ('[["1/64", "80 us"], ["1/8", "300"]]', [("", "duration of pair 2: '300' has no unit")]),
    ('[["1/64", "80 us"], ["f", "1 ms"]]', [("", "power of pair 2: 'f' is not a number")]),
    ('[["1/64", "80 us"], [[1], "1 ms"]]', [("", "power of pair 2: [1] is no number")]),
    (
        '[["80 us", "1/64"], ["300 us", "1/8"]]',
        [("", "power of pair 1: '80 us' is a time"), ("", "power of pair 2: '300 us' is a time")],
    ),
    ('[["1/64", "80 us"], ["1/8", "3 mm"]]', [("", "'3 mm' is a length, but a time is wanted")]),
    ('[["1/64", "80 us"], [1.5, "1 ms"]]', [("", "write a power from 1/4096 to 1")]),
    ('[["1/5000", "80 us"], [1, "1 ms"]]', [("", "power of pair 1: '1/5000' is out of range")]),
    ('[["1/64", "80 us"], [1, "2 s"]]', [("", "write a duration from 0.1 µs to 1 s")]),
    ('[["1/64", "80 us"], [1, "-1 ms"]]', [("", "duration of pair 2: '-1 ms' is out of range")]),
    (
        '[["1/64", "80 us"], [1, "1 ms"], ["1/64", "90 us"]]',
        [("", "the power 1/64 stands in it twice; give each power once")],
    ),
    (f'{{ nominal = {GOOD}, setup = "sd 3 %" }}', [(".setup", "has no spread")]),
    (f'{{ nominal = {GOOD}, drift = "1 %" }}', [(".drift", "does not drift")]),
    (f"{{ nominal = {GOOD}, alike = 0.5 }}", [(".alike", "the same for both drops")]),
    (f"{{ nominal = {GOOD}, basis = 3 }}", [(".basis", "3 is no text")]),
    (f"{{ nominal = {GOOD}, colour = 3 }}", [(".colour", "is not a part of a table")]),
    (f"{{ pairs = {GOOD} }}", [(".pairs", "write the pairs alone"), ("", "it holds no pairs")]),
]


@pytest.mark.parametrize(("written", "expected"), REFUSED, ids=[case[0] for case in REFUSED])
def test_every_bad_pair_is_told(
    faults_of: FaultsOf, written: str, expected: list[tuple[str, str]]
) -> None:
    faults = faults_of(f"version = 1\n\n[flash]\nhalf_durations = {written}\n")
    assert [fault.key for fault in faults] == [f"{KEY}{part}" for part, _ in expected]
    for fault, (_, words) in zip(faults, expected, strict=True):
        assert fault.line == 4
        assert words in f"{fault.wrong}; {fault.right}"


@pytest.mark.parametrize(
    "key", [key for key, item in CHAIN.declarations.items() if isinstance(item, Curve)]
)
def test_what_a_refusal_proposes_can_be_read_as_a_pair(
    read: Read, faults_of: FaultsOf, key: str
) -> None:
    declared = CHAIN.declarations[key]
    assert isinstance(declared, Curve)
    (fault,) = faults_of(f"version = 1\n{key} = 3\n")
    assert f"pairs of {declared.columns[0]} and {declared.columns[1]}" in fault.right
    proposed = fault.right.partition("such as ")[2]
    assert _entry(read, proposed, key).given == {"nominal"}
