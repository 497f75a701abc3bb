"""Values that cannot be meant are refused with key, line, what is wrong and what is right."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.units.writing import write_value
from tests.waking import surroundings

FaultsOf = Callable[..., tuple[Fault, ...]]

# The value's key, what the study gives for it, the key of the only fault where it is another,
# and words of its message.
VALUES = [
    # Dimension, unit and number.
    ("sensor.height", '"19 s"', "", "is a time, but a length is wanted"),
    ("timer.delay", '"294 mm"', "", "is a length, but a time is wanted"),
    ("valve.first_volume", '"4.5 mm"', "", "is a length, but a volume is wanted"),
    ("valve.first_diameter", '"40 ul"', "", "is a volume, but a length is wanted"),
    ("camera.aperture", '"13 mm"', "", "is a length, but a plain number is wanted"),
    ("sensor.height", '"19 parsecs"', "", "'parsecs' is no unit known here"),
    ("sensor.height", '"483 mmm"', "", "perhaps 'mm'"),
    ("sensor.height", "483", "", "has no unit"),
    ("sensor.height", '"48,3 cm"', "", "decimal point"),
    ("timer.delay", '"1/0 s"', "", "divides by zero"),
    ("timer.delay", '"about 1 s"', "", "is not a number"),
    ("keeper.off_centre", "nan", "", "is not a number"),
    ("keeper.off_centre", "inf", "", "is not a number"),
    ("keeper.off_centre", "-inf", "", "is not a number"),
    ("sensor.height", '""', "", "is not a number"),
    # Limits.
    ("sensor.height", '"-1 mm"', "", "write a value from 1 mm to 5 m"),
    ("sensor.height", '"5.01 m"', "", "out of range"),
    ("timer.delay", '"-1 ms"', "", "out of range"),
    ("timer.delay", '"61 s"', "", "out of range"),
    ("liquid.temperature", '"-1 C"', "", "write a value from 0 °C to 60 °C"),
    ("liquid.temperature", '"61 C"', "", "out of range"),
    ("liquid.temperature", '"31 F"', "", "out of range"),
    ("liquid.temperature", '"20"', "", "has no unit"),
    ("liquid.glycerol", '"101 %"', "", "write a value from 0 % to 100 %"),
    ("liquid.glycerol", '"1.01"', "", "write a value from 0 to 1"),
    ("liquid.density", '"1 kg/m3"', "", "out of range"),
    ("flash.power", "0", "", "out of range"),
    ("flash.power", "2", "", "out of range"),
    ("flash.power", '"1/2048"', "", "write a value from 1/1024 to 1"),
    ("valve.first_diameter", '"0.49 mm"', "", "write a value from 0.5 mm to 9 mm"),
    ("valve.first_diameter", '"9.1 mm"', "", "write a value from 0.5 mm to 9 mm"),
    ("valve.first_diameter", '"-4 mm"', "", "out of range"),
    ("valve.second_volume", '"1 ml"', "", "out of range"),
    ("valve.second_volume", '"0 ul"', "", "out of range"),
    ("sensor.miss_chance", '"101 %"', "", "out of range"),
    ("sensor.miss_chance", "-0.01", "", "out of range"),
    ("trim.frames", "2.5", "", "write a whole number"),
    ("session.frames", '"1/2"', "", "is not a whole number"),
    ("trim.frames", "0", "", "out of range"),
    # The wrong type.
    ("camera.magnification", "true", "", "true is a yes or no"),
    ("trim.frames", "false", "", "false is a yes or no"),
    ("camera.magnification", "[0.4]", "", "is no value"),
    ("sensor.height", '["19 in", "20 in"]', "", "is no value"),
    ("camera.magnification", "2020-01-01", "", "is no value"),
    ("timer.delay", "00:00:01", "", "is no value"),
    ("sensor.height", '{ nominal = { nominal = "19 in" } }', "", "is no value"),
    ("sensor.height", '{ nominal = "19 in", basis = 3 }', ".basis", "3 is no text"),
    ("sensor.height", '{ nominl = "19 in" }', ".nominl", "did you mean nominal?"),
    ("sensor.height", '{ Setup = "sd 1 mm" }', ".Setup", "did you mean setup?"),
    ("sensor.height", '{ colour = "red" }', ".colour", "known here: nominal, setup"),
    # Spreads.
    ("sensor.height", '{ setup = "± 1 mm" }', ".setup", "half width or standard deviation?"),
    ("sensor.height", '{ shot = "1 mm" }', ".shot", "half width or standard deviation?"),
    ("sensor.height", "{ setup = 1 }", ".setup", "half width or standard deviation?"),
    ("sensor.height", '{ setup = "sd -1 mm" }', ".setup", "is negative"),
    ("sensor.height", '{ setup = "sd 1 ms" }', ".setup", "a length is wanted"),
    ("sensor.height", '{ setup = "sd 1" }', ".setup", "has no unit"),
    ("sensor.height", '{ setup = "sd 100 m" }', ".setup", "wider than the whole range"),
    ("sensor.height", '{ setup = ["sd 1 mm"] }', ".setup", "is no spread"),
    ("sensor.height", "{ setup = false }", ".setup", "is no spread"),
    ("sensor.height", "{ setup = 2020-01-01 }", ".setup", "is no spread"),
    ("sensor.offset", '{ setup = "sd 3 %" }', ".setup", "which is 0"),
    ("sensor.offset", '{ setup = "lognormal sd 0.3" }', ".setup", "needs a value above 0"),
    ("valve.scatter", '{ shot = "lognormal sd 0.3" }', ".shot", "needs a value above 0"),
    ("valve.scatter", '"1 mm"', "", "it has no value"),
    ("valve.scatter", '{ nominal = "1 mm", shot = "sd 1 mm" }', "", "it has no value"),
    ("valve.scatter", '"± 1 mm"', ".shot", "half width or standard deviation?"),
    ("liquid.density", '{ setup = "sd 10 kg/m3" }', "", "a spread is given but no value"),
    ("liquid.density", '{ setup = "sd 1 %" }', "", "a spread is given but no value"),
    ("keeper.off_centre", '{ setup = "sd 0.1" }', ".setup", "is a plain setting"),
    ("camera.iso", '{ nominal = 200, shot = "none" }', ".shot", "has no spread"),
    ("sensor.miss_chance", '{ setup = "sd 1 %" }', ".setup", "has no spread"),
    ("liquid.density", '{ nominal = "1 mm", setup = "sd 1 %" }', "", "a density is wanted"),
    ("valve.first_diameter", '{ setup = "± 0.1 mm" }', ".setup", "half width"),
    # Choices.
    ("timer.start", '"frist drop"', "", 'write "first drop", "second drop" or "valve"'),
    ("timer.start", '""', "", "none of the choices"),
    ("timer.start", "1", "", "none of the choices"),
    ("timer.start", "true", "", "none of the choices"),
    ("timer.start", '["valve"]', "", "none of the choices"),
    ("timer.start", '{ nominal = "valve", setup = "none" }', ".setup", "has no spread"),
    ("reservoir.constant_head", '"perhaps"', "", 'write "yes" or "no"'),
    # Windows.
    ("keeper.age", '["10 ms", "2 ms"]', "", "ends ('2 ms') before it starts ('10 ms')"),
    ("keeper.age", '["2 ms", "2 ms"]', "", "2 ms"),
    ("keeper.age", '"2 ms"', "", "is not a pair"),
    ("keeper.age", '["2 ms"]', "", "is not a pair"),
    ("keeper.age", "[]", "", "is not a pair"),
    ("keeper.age", '["1 ms", "2 ms", "3 ms"]', "", 'such as ["2 ms", "10 ms"]'),
    ("keeper.age", '["2 ms", "1 s"]', "", "stay between"),
    ("keeper.age", '["-1 s", "2 ms"]', "", "stay between"),
    ("keeper.age", '["2 ms", "10 mm"]', "", "is a length, but a time is wanted"),
    ("keeper.age", '["2 ms", 10]', "", "has no unit"),
    ("keeper.age", '["2 ms", ["10 ms"]]', "", "10 ms"),
    ("keeper.age", '{ setup = "sd 1 ms" }', ".setup", "setup"),
    ("keeper.age", '{ nominal = ["2 ms", "9 ms"], setup = "sd 1 ms" }', ".setup", "setup"),
    ("keeper.age", '{ nominal = ["2 ms", "9 ms"], colour = "red" }', ".colour", "colour"),
    ("keeper.age", '{ nominal = ["2 ms", "9 ms"], basis = 3 }', ".basis", "3 is no text"),
    # Values that do not fit one another.
    ("sensor.height", '"700 mm"', "", "not between the surface (0 mm) and the nozzle (610 mm)"),
    ("sensor.height", '"610 mm"', "", "below 605.5 mm"),
    ("sensor.height", '"606 mm"', "", "below 605.5 mm"),
    ("pool.level", '"-101 mm"', "", "out of range"),
    ("sensor.offset", '"3 mm"', "", "half a drop"),
    ("reservoir.bore", '"4 mm"', "", "narrower than a drop"),
    ("valve.nozzle_height", '"19 mm"', "", "out of range"),
]
IDS = [f"{key} = {value}" for key, value, _, _ in VALUES]


@pytest.mark.parametrize(("key", "value", "part", "words"), VALUES, ids=IDS)
def test_a_value_that_cannot_be_meant_is_the_only_fault(
    faults_of: FaultsOf, key: str, value: str, part: str, words: str
) -> None:
    section, name = key.split(".")
    text = f"version = 1\n\n[{section}]  # a comment\n# another\n{name} = {value}\n"
    (fault,) = faults_of(text)
    assert (fault.file, fault.line, fault.key) == ("rig.toml", 5, key + part)
    assert words in f"{fault.wrong}; {fault.right}"


@pytest.mark.parametrize(("key", "value"), [case[:2] for case in VALUES], ids=IDS)
def test_messages_speak_to_a_photographer(faults_of: FaultsOf, key: str, value: str) -> None:
    for fault in faults_of(f"version = 1\n{key} = {value}\n"):
        told = f"{fault.wrong} {fault.right}"
        assert not re.search(r"datetime|\bNone\b|\bTrue\b|\bFalse\b|\{'", told)


DECLARED = [item for item in CHAIN.declarations.values() if isinstance(item, Quantity)]


@pytest.mark.parametrize("declared", DECLARED, ids=lambda declared: declared.key)
def test_a_value_beyond_either_limit_is_refused_with_both(
    faults_of: FaultsOf, declared: Quantity
) -> None:
    # Closed form: a hundredth of the range below the lower and above the upper limit.
    margin = 0.01 * (declared.upper - declared.lower)
    sizes = {"m3": (1e9, "ul"), "m3/s": (1e6, "ml/s"), "1": (1.0, "")}
    size, unit = sizes.get(declared.unit, (1.0, declared.unit))
    others = next(surroundings(declared.key))
    ends = (declared.lower - margin, declared.upper + margin)
    if declared.whole:
        ends = (math.floor(ends[0]), math.ceil(ends[1]))
    for outside in ends:
        written = f"{outside * size!r} {unit}"
        text = f'version = 1\n{declared.key} = {{ nominal = "{written}" }}\n'
        (fault,) = faults_of(text, *others)
        if declared.nominal == 0.0 and "only strays" in fault.wrong:
            continue  # A pure error takes no value at all.
        assert "out of range" in fault.wrong
        assert write_value(declared.lower, declared.unit) in fault.right
        assert write_value(declared.upper, declared.unit) in fault.right


SENSE = [
    ('pool.level = "90 mm"\nsensor.height = "50 mm"', "sensor.height", 3, "above 90 mm"),
    ('pool.level = "90 mm"\nsensor.height = "90 mm"', "sensor.height", 3, "above 90 mm"),
    ('sensor.height = "400 mm"\nvalve.nozzle_height = "300 mm"', "sensor.height", 2, "300 mm"),
    ('valve.first_diameter = "2 mm"\nsensor.offset = "1.1 mm"', "sensor.offset", 3, "under 1 mm"),
    ('valve.first_diameter = "8 mm"\nreservoir.bore = "7 mm"', "reservoir.bore", 3, "above 8 mm"),
    (
        'pool.level = "95 mm"\nvalve.nozzle_height = "100 mm"\ntimer.start = "valve"',
        "valve.nozzle_height",
        3,
        "too close to the surface",
    ),
]


@pytest.mark.parametrize(("text", "key", "line", "words"), SENSE)
def test_values_that_do_not_fit_together_are_refused(
    faults_of: FaultsOf, text: str, key: str, line: int, words: str
) -> None:
    (fault,) = faults_of(f"version = 1\n{text}\n")
    assert (fault.line, fault.key) == (line, key)
    assert words in f"{fault.wrong}; {fault.right}"


@pytest.mark.parametrize(
    "broken", ['sensor.height = "19 s"', 'sensor.height = { nominal = "19 in", setup = "1 mm" }']
)
def test_what_does_not_fit_a_value_in_doubt_is_no_second_fault(
    faults_of: FaultsOf, broken: str
) -> None:
    # The default beam, and one of 19 in, would be above this nozzle.
    (fault,) = faults_of(f'version = 1\nvalve.nozzle_height = "300 mm"\n{broken}\n')
    assert fault.line == 3


def test_the_beam_is_not_judged_where_the_valve_starts_the_timer(
    read: Callable[..., object],
) -> None:
    assert read('version = 1\ntimer.start = "valve"\nsensor.height = "700 mm"\n')


def test_a_limit_itself_is_within(read: Callable[..., object]) -> None:
    for value in ('liquid.temperature = "32 F"', "flash.power = '1/1024'", "flash.power = 1"):
        assert read(f"version = 1\n{value}\n")


def test_every_fault_is_reported_at_once_in_the_order_of_the_file(
    faults_of: FaultsOf, good: str
) -> None:
    edits = {  # What is replaced, by what, and the key of the fault.
        "seed    = 11": ("seed = -2", "seed"),
        '"within 2 mm"': ('"± 2 mm"', "valve.nozzle_height.setup"),
        '"sd 0.3 ms"': ('"sd 0.3 mm"', "valve.latency.shot"),
        'height = { nominal = "19 in"': ('height = { nominal = "19 s"', "sensor.height"),
        "delay =": ("dealy =", "timer.dealy"),
        "[liquid]": ("[liquids]", "liquids"),
        'power = "1/64"': ("power = 2", "flash.power"),
        "frames = 8": ("frames = 2.5", "trim.frames"),
    }
    text = good
    for old, (new, _) in edits.items():
        assert old in text
        text = text.replace(old, new)
    expected = [(key, text[: text.index(new)].count("\n") + 1) for new, key in edits.values()]
    assert [(fault.key, fault.line) for fault in faults_of(text)] == expected
