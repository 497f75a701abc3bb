"""How a value drifts from frame to frame, and how alike the two drops are, as a study says it."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import Fault, MistakeError
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.study.study import Entry, Study
from jitter.units.writing import write_difference
from tests.waking import wakings

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]
NUMBERS = [item for item in CHAIN.declarations.values() if isinstance(item, Quantity)]


def _entry(read: Read, key: str, parts: str) -> Entry:
    return read(f"version = 1\n{key} = {{ {parts} }}\n").entries[key]


@pytest.mark.parametrize(
    ("key", "parts", "drift"),
    [  # Closed form: the number written in its unit; per cents are of the value at the start.
        ("pool.level", 'drift = "0.1 mm"', 1e-4),
        ("pool.level", 'drift = "0.1 mm per frame"', 1e-4),
        ("pool.level", 'drift = "0.1 mm/frame"', 1e-4),
        ("pool.level", 'drift = "0.1 mm / Frame"', 1e-4),
        ("pool.level", 'drift = "0.1 mm  a  frame "', 1e-4),
        ("pool.level", 'drift = "0.1 mm each frame"', 1e-4),
        ("pool.level", 'drift = "-1/10 mm"', -1e-4),
        ("sensor.height", 'nominal = "19 in", drift = "1/64 in"', 0.0254 / 64),
        ("sensor.height", 'nominal = "500 mm", drift = "-0.2 % per frame"', -1e-3),
        ("timer.delay", 'nominal = "300 ms", drift = "20 us"', 2e-5),
        ("liquid.temperature", 'drift = "-0.05 K"', -0.05),
        # A difference of temperatures has no zero, and 1.8 F = 1 K.
        ("liquid.temperature", 'drift = "0.1 C per frame"', 0.1),
        ("liquid.temperature", 'drift = "-0.09 F per frame"', -0.05),
        ("flash.power", 'nominal = "1/4", drift = "-1 %"', -0.0025),
        ("flash.energy", "drift = -0.01", -0.01),
        ("flash.energy", 'nominal = "200 %", drift = "1 %"', 0.02),
        # Of a plain number of 0, and of a chance, the per cents are not shares of the value.
        ("liquid.glycerol", 'drift = "1 %"', 0.01),
        ("timer.clock_error", 'drift = "0.001 %"', 1e-5),
        ("flash.dark_chance", 'nominal = "2 %", drift = "1 %"', 0.01),
        ("liquid.density", 'nominal = "1000 kg/m3", drift = "0.1 %"', 1.0),
        ("valve.release_speed", 'drift = "0 mm/s"', 0.0),
    ],
)
def test_a_drift_is_read_in_si_per_frame(read: Read, key: str, parts: str, drift: float) -> None:
    entry = _entry(read, key, parts)
    assert entry.drift == pytest.approx(drift, rel=1e-13, abs=0.0)
    assert entry.given == {"drift", *(["nominal"] if "nominal" in parts else [])}


def test_a_drift_leaves_the_default_value_and_spreads(read: Read) -> None:
    usual = read("version = 1\n").entries["valve.latency"]
    drifting = _entry(read, "valve.latency", 'drift = "0.01 ms", alike = 0.4')
    for part in ("nominal", "setup", "shot", "basis", "setup_basis", "shot_basis"):
        assert getattr(drifting, part) == getattr(usual, part)
    assert (usual.drift, usual.alike) == (0.0, 0.0)


@pytest.mark.parametrize("way", ["drift", "alike"])
def test_the_diameter_of_a_drop_may_say_it(read: Read, way: str) -> None:
    text = {"drift": 'nominal = "4 mm", drift = "10 um"', "alike": 'nominal = "4 mm", alike = 0.4'}
    study = read(f"version = 1\nvalve.second_diameter = {{ {text[way]} }}\n")
    entry = study.entries["valve.second_volume"]
    assert entry.given == {"nominal", way}
    if way == "alike":
        assert entry.alike == study.entries["valve.first_volume"].alike == 0.4
    else:
        # Closed form: V = pi d^3 / 6, so dV/V = 3 dd/d = 3 (10 um / 4 mm).
        assert entry.drift == pytest.approx(entry.number * 3.0 * 0.01 / 4.0, rel=1e-12)


def test_the_diameter_keeps_what_the_volume_says(read: Read) -> None:
    text = 'version = 1\nvalve.first_diameter = { drift = "1 %" }\n'
    entry = read(text + "valve.first_volume = { alike = 0.4 }\n").entries["valve.first_volume"]
    # Closed form: three times 1 % of the volume.
    assert entry.drift == pytest.approx(0.03 * entry.number, rel=1e-12)
    assert entry.alike == 0.4
    assert entry.given == {"alike", "drift"}


@pytest.mark.parametrize(
    ("written", "alike"),
    [("0", 0.0), ("1", 1.0), ("0.5", 0.5), ('"50 %"', 0.5), ('"1/4"', 0.25), ('"0.5"', 0.5)],
)
def test_a_likeness_is_a_number_from_0_to_1(read: Read, written: str, alike: float) -> None:
    entry = _entry(read, "valve.latency", f"alike = {written}")
    assert entry.alike == alike
    assert entry.given == {"alike"}


REFUSED = [  # The key, what the study gives, the part blamed, and words of the message.
    ("pool.level", 'drift = "0.1"', ".drift", "has no unit"),
    ("pool.level", "drift = 0.1", ".drift", 'such as "0.5 mm per frame"'),
    ("pool.level", 'drift = "0.1 s per frame"', ".drift", "is a time, but a length is wanted"),
    ("pool.level", 'drift = "1 %"', ".drift", "share of the nominal value, which is 0"),
    ("pool.level", 'drift = "0.1 mm per minute"', ".drift", "rise with each frame"),
    ("pool.level", 'drift = "per frame"', ".drift", "is not a number with a unit"),
    ("pool.level", 'drift = "sd 0.1 mm"', ".drift", "is not a number"),
    ("pool.level", "drift = true", ".drift", "true is a yes or no"),
    ("pool.level", 'drift = ["0.1 mm"]', ".drift", "is no number"),
    ("pool.level", 'drift = { nominal = "0.1 mm" }', ".drift", "is no number"),
    ("pool.level", 'drift = "1 m per frame"', ".drift", "more than the whole range"),
    ("pool.level", 'drift = "-0.21 m"', ".drift", "check its unit"),
    ("liquid.temperature", 'drift = "1 %"', ".drift", "whose zero is arbitrary"),
    ("liquid.density", 'drift = "1 kg/m3"', "", "a drift is given but no value"),
    ("liquid.density", 'alike = 0.5, drift = "1 %"', "", "alike is given but no value"),
    ("liquid.density", 'nominal = "1 mm", drift = "1 %"', "", "is a length"),
    ("keeper.blur", 'drift = "1 um"', ".drift", "is a plain setting and does not drift"),
    ("timer.step", 'drift = "1 us"', ".drift", "does not drift"),
    ("timer.start", 'drift = "1 ms"', ".drift", "does not drift"),
    ("keeper.age", 'nominal = ["2 ms", "9 ms"], drift = "1 ms"', ".drift", "does not drift"),
    ("valve.latency", "alike = 1.01", ".alike", "from 0 (each drop by itself) to 1 (both the"),
    ("valve.latency", "alike = -0.1", ".alike", "is out of range"),
    ("valve.latency", 'alike = "101 %"', ".alike", "is out of range"),
    ("valve.latency", "alike = true", ".alike", "true is a yes or no"),
    ("valve.latency", 'alike = "often"', ".alike", "write a number from 0"),
    ("valve.latency", 'alike = "0.5 ms"', ".alike", "is a time, but a plain number is wanted"),
    ("sensor.height", "alike = 0.5", ".alike", "each shot draws this once"),
    ("jet.lean", "alike = 0.5", ".alike", "each shot draws this once"),
    ("keeper.blur", "alike = 0.5", ".alike", "is a plain setting"),
    ("flash.dark_chance", "alike = 0.5", ".alike", "is a plain setting"),
    ("timer.start", "alike = 0.5", ".alike", "the same for both drops"),
    ("reservoir.constant_head", 'nominal = "no", alike = 1', ".alike", "is a plain setting"),
]


@pytest.mark.parametrize(
    ("key", "parts", "blamed", "words"), REFUSED, ids=[" ".join(case[:2]) for case in REFUSED]
)
def test_what_cannot_be_meant_is_the_only_fault(
    faults_of: FaultsOf, key: str, parts: str, blamed: str, words: str
) -> None:
    (fault,) = faults_of(f"version = 1\n\n{key} = {{ {parts} }}\n")
    assert (fault.line, fault.key) == (3, key + blamed)
    assert words in f"{fault.wrong}; {fault.right}"


@pytest.mark.parametrize("declared", NUMBERS, ids=lambda declared: declared.key)
def test_a_number_drifts_where_it_may(read: Read, faults_of: FaultsOf, declared: Quantity) -> None:
    key = declared.key
    given = (*next(wakings(key)), f"{key}.drift={write_difference(0.0, declared.unit)}")
    if declared.drifts:
        assert "drift" in read("version = 1\n", *given).entries[key].given
    else:
        (fault,) = faults_of("version = 1\n", *given)
        assert fault.key == f"{key}.drift"


@pytest.mark.parametrize("declared", NUMBERS, ids=lambda declared: declared.key)
def test_a_number_is_alike_where_each_drop_has_its_own(
    read: Read, faults_of: FaultsOf, declared: Quantity
) -> None:
    key, word = declared.key, declared.together
    both = [item.key for item in NUMBERS if item is declared or (word and item.together == word)]
    given = [*(setting for each in both for setting in next(wakings(each))), f"{key}.alike=0.5"]
    if declared.paired:
        assert read("version = 1\n", *given).entries[key].alike == 0.5
    else:
        (fault,) = faults_of("version = 1\n", *given)
        assert fault.key == f"{key}.alike"


@given(text=st.text(max_size=12), part=st.sampled_from(["drift", "alike"]))
@settings(deadline=None, max_examples=150)
def test_any_text_is_read_or_refused(read: Read, text: str, part: str) -> None:
    try:
        entry = read("version = 1\n", f"valve.latency.{part}={text}").entries["valve.latency"]
        sound = part in entry.given and math.isfinite(getattr(entry, part))
    except MistakeError as mistake:
        sound = all(fault.key and fault.wrong and fault.right for fault in mistake.faults)
    assert sound
