"""What one value means for the others: which rest, which wake, which take another's place."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.quantities import NONE, Curve, Level, Mark, Quantity, Shape, Spread, sd
from jitter.stages import CHAIN
from jitter.stages.flash import TABLED, TABLED_BASIS
from jitter.stages.jet import THICK_BASIS, THICK_HEIGHT, THICK_TIME
from jitter.study.study import Entry, Study
from jitter.units.writing import write_value
from tests.waking import SAMPLES, surroundings

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]
MINIMAL = "version = 1\n"

RIVALS = [
    (key, other)
    for key, item in CHAIN.declarations.items()
    if isinstance(item, Quantity | Curve)
    for other in item.instead
]
WAITING = [
    (item, condition, others)
    for key, item in CHAIN.declarations.items()
    if isinstance(item, Quantity) and item.only_with
    for condition, others in zip(item.only_with, surroundings(key), strict=True)
]


def _giving(key: str) -> tuple[str, ...]:
    """Return settings that give a value, and what it needs around it."""
    return (*next(surroundings(key)), _own(key))


def _own(key: str) -> str:
    """Return the setting that gives a value: a sample, or its default."""
    declared = CHAIN.declarations[key]
    if not isinstance(declared, Quantity) or declared.nominal is None:
        return f"{key}={SAMPLES[key]}"
    return f"{key}={write_value(declared.nominal, declared.unit)}"


def _rests(entry: Entry) -> bool:
    return (entry.nominal, entry.setup, entry.shot) == (None, NONE, NONE)


@pytest.mark.parametrize(("key", "other"), RIVALS)
def test_a_value_that_stands_instead_of_another_lets_it_rest(
    read: Read, key: str, other: str
) -> None:
    stood = read(MINIMAL, *next(surroundings(other)), *_giving(key)).entries[other]
    assert _rests(stood)
    assert stood.idle == f"{key} stands in its place"


@pytest.mark.parametrize(("key", "other"), RIVALS)
def test_a_value_and_its_stand_in_are_not_given_both(
    faults_of: FaultsOf, key: str, other: str
) -> None:
    (fault,) = faults_of(MINIMAL, *_giving(other), *_giving(key))
    assert fault.key == key
    assert f"in the place of {other}" in fault.wrong
    assert fault.right == "give one of them"


def test_a_drop_given_by_diameter_and_by_mass_hears_of_its_diameter(faults_of: FaultsOf) -> None:
    text = 'valve.first_diameter = "4 mm"\nvalve.first_mass = "5 g"\n'
    (fault,) = faults_of(MINIMAL + text)
    assert (fault.key, fault.line) == ("valve.first_mass", 3)
    assert "valve.first_diameter" in fault.wrong


def test_each_drop_may_be_given_its_own_way(read: Read) -> None:
    study = read(MINIMAL, "valve.first_mass=5 g", "valve.second_opening=40 ms")
    ways = {
        f"{which}_{way}": study.entries[f"valve.{which}_{way}"].nominal is not None
        for which in ("first", "second")
        for way in ("volume", "mass", "opening")
    }
    assert {way for way, used in ways.items() if used} == {"first_mass", "second_opening"}


@pytest.mark.parametrize(
    ("declared", "condition", "others"),
    WAITING,
    ids=[f"{declared.key} {condition}" for declared, condition, _ in WAITING],
)
def test_a_value_that_waits_for_others_is_woken_by_each_of_them(
    read: Read, declared: Quantity, condition: str, others: tuple[str, ...]
) -> None:
    asleep = read(MINIMAL).entries[declared.key]
    assert _rests(asleep)
    assert condition.replace("=", " = ") in asleep.idle
    awake = read(MINIMAL, *others).entries[declared.key]
    assert awake.idle == ""
    assert awake.nominal == declared.nominal
    spreads = (declared.setup, declared.shot) if declared.nominal is not None else (NONE, NONE)
    assert (awake.setup, awake.shot) == spreads


@pytest.mark.parametrize("key", dict.fromkeys(declared.key for declared, _, _ in WAITING))
def test_what_has_no_part_is_refused_with_what_would_wake_it(faults_of: FaultsOf, key: str) -> None:
    (fault,) = faults_of(MINIMAL, _own(key))
    assert fault.key == key
    assert "no part without" in fault.wrong
    # As a study writes it.
    for condition in (condition for declared, condition, _ in WAITING if declared.key == key):
        other, equals, option = condition.partition("=")
        assert (f'{other} = "{option}"' if equals else other) in fault.wrong


@pytest.mark.parametrize("part", ["setup=sd 0.05", "shot=sd 0.05", "drift=0.001 per frame"])
def test_what_strays_about_zero_wakes_as_well(read: Read, part: str) -> None:
    phase = "valve.wobble_phase"
    assert read(MINIMAL, f"valve.wobble.{part}").entries[phase].nominal == 0.0
    assert read(MINIMAL, "valve.wobble=0").entries[phase].nominal is None


@pytest.mark.parametrize(
    "text",
    [
        'liquid.kind = "mlik"\nliquid.fat = "3 %"\n',
        'valve.first_opening = "40 mm"\nvalve.flow = "1 ml/s"\n',
        'valve.first_mass = "5 mm"\nvalve.second_mass = { nominal = "5 g", alike = 0.5 }\n',
    ],
)
def test_what_a_value_in_doubt_would_have_woken_is_no_second_fault(
    faults_of: FaultsOf, text: str
) -> None:
    (fault,) = faults_of(MINIMAL + text)
    assert fault.line == 2


PAIRS = [("volume", "50 ul"), ("mass", "5 g"), ("opening", "40 ms")]


@pytest.mark.parametrize(("way", "size"), PAIRS)
@pytest.mark.parametrize("which", ["first", "second"])
def test_the_likeness_of_two_drops_is_given_with_either(
    read: Read, way: str, size: str, which: str
) -> None:
    both = [f"valve.{drop}_{way}={size}" for drop in ("first", "second")]
    study = read(MINIMAL, *both, f"valve.{which}_{way}.alike=0.5")
    assert [study.entries[f"valve.{drop}_{way}"].alike for drop in ("first", "second")] == [0.5] * 2
    assert read(MINIMAL, *both).entries[f"valve.{which}_{way}"].alike == 0.0


def test_the_likeness_may_be_said_twice_but_not_differ(read: Read, faults_of: FaultsOf) -> None:
    says = [f"valve.{drop}_volume.alike=0.5" for drop in ("first", "second")]
    assert read(MINIMAL, *says).entries["valve.second_volume"].alike == 0.5
    text = "[valve]\nsecond_volume = { alike = 0.6 }\nfirst_volume = { alike = 0.5 }\n"
    (fault,) = faults_of(MINIMAL + text)
    assert (fault.key, fault.line) == ("valve.second_volume.alike", 3)
    assert "valve.first_volume says" in fault.wrong
    assert "says 0.5" in fault.wrong


@pytest.mark.parametrize(
    ("settings", "idle"),
    [
        (("valve.first_mass=5 g", "valve.first_mass.alike=1"), "valve.second_mass"),
        (("valve.first_mass=5 g", "valve.second_volume.alike=0.5"), "valve.first_volume"),
        (("valve.second_opening=40 ms", "valve.first_diameter.alike=1"), "valve.second_volume"),
    ],
)
def test_a_drop_is_not_alike_to_one_given_another_way(
    faults_of: FaultsOf, settings: tuple[str, ...], idle: str
) -> None:
    (fault,) = faults_of(MINIMAL, *settings)
    assert fault.key.endswith(".alike")
    assert idle in fault.wrong


# What adapts default spreads, the quantity and level it adapts, and to what.
THICK, TABLE = "liquid.glycerol=90 %", "flash.half_durations=[['1/64', '80 us'], [1, '2 ms']]"
ADAPTED = [
    (THICK, "jet.time_scale", sd(THICK_TIME, relative=True), THICK_BASIS),
    (THICK, "jet.height_scale", sd(THICK_HEIGHT, relative=True), THICK_BASIS),
    (TABLE, "flash.duration_scale", TABLED, TABLED_BASIS),
]


@pytest.mark.parametrize(("waker", "key", "spread", "basis"), ADAPTED)
def test_default_spreads_adapt_to_the_rig_and_the_study_wins(
    read: Read, waker: str, key: str, spread: Spread, basis: object
) -> None:
    usual, adapted = (read(MINIMAL, *more).entries[key] for more in ((), (waker,)))
    assert (adapted.setup, adapted.setup_basis) == (spread, basis)
    assert usual.setup != spread
    # The shot level, and the value itself, are left alone.
    assert (adapted.shot, adapted.nominal) == (usual.shot, usual.nominal)
    moved = read(MINIMAL, waker, f"{key}=1.1").entries[key]
    assert (moved.nominal, moved.setup) == (1.1, spread)
    own = read(MINIMAL, waker, f"{key}.{Level.SETUP}=sd 0.01").entries[key]
    assert own.setup == Spread(Shape.NORMAL, 0.01)
    assert own.setup_basis is not None
    assert own.setup_basis.mark is Mark.USER
    assert read(MINIMAL, waker, f"{key}.setup=none").entries[key].setup == NONE


def test_what_rests_is_not_woken_by_a_better_spread(read: Read) -> None:
    assert _rests(read(MINIMAL, THICK, "jet.time=60 ms").entries["jet.time_scale"])
