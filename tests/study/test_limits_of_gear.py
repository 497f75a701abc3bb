"""What a flash, a lens, a camera and a room can be set to: settings beyond it are refused.

Unlabelled numbers are inputs.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.study.study import Study

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]


@pytest.mark.parametrize(
    ("power", "lowest", "inside"),
    [
        ("1/64", "1/64", True),
        ("1/64 + 1/3 stop", "1/64", True),
        ("1/64 - 1/3 stop", "1/64", False),
        ("1/128", "1/64", False),
        ("1/128", "1/256 + 2/3 stop", True),
        ("1", "1", True),
        ("1/2", "1", False),
    ],
)
def test_the_power_is_one_that_the_flash_has(
    read: Read, faults_of: FaultsOf, power: str, lowest: str, inside: bool
) -> None:
    text = f'version = 1\nflash.lowest_power = "{lowest}"\nflash.power = "{power}"\n'
    if inside:
        assert read(text)
        return
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("flash.power", 3)
    assert f"which ends at {lowest}" in fault.wrong
    assert f"from {lowest} to 1, or mend flash.lowest_power" in fault.right


def test_the_usual_power_is_held_against_the_flash_as_well(faults_of: FaultsOf) -> None:
    (fault,) = faults_of('version = 1\n[flash]\nlowest_power = "1/32"\n')
    assert (fault.key, fault.line) == ("flash.power", 2)
    assert "the power 1/64" in fault.wrong


# A value, its two limits, and how four numbers in rising order are written for them.
GUIDE = "flash.guide_number=20 m"
LIMITED = [
    ("camera.aperture", "camera.widest_aperture", "camera.narrowest_aperture",
     ("f/2", "f/4", "f/11", "f/32"), ()),
    ("camera.iso", "camera.lowest_iso", "camera.highest_iso",
     ("ISO 50", "ISO 100", "ISO 6400", "ISO 102400"), ()),
    ("flash.distance", "flash.nearest", "flash.farthest",
     ("150 mm", "200 mm", "2.5 m", "4 m"), (GUIDE,)),
]  # fmt: skip
Limited = tuple[str, str, str, tuple[str, str, str, str], tuple[str, ...]]


def by_key(limited: Limited) -> str:
    return limited[0]


def _limited(limited: Limited, value: str, low: str = "", high: str = "") -> tuple[str, ...]:
    """Return the settings of a value and of its limits, those that are to be given."""
    keys = dict(zip(limited[:3], (value, low, high), strict=True))
    given = [f"{key}={text.removeprefix('ISO ')}" for key, text in keys.items() if text]
    return (*limited[4], *given)


@pytest.mark.parametrize("limited", LIMITED, ids=by_key)
def test_a_setting_is_one_that_the_gear_has(
    read: Read, faults_of: FaultsOf, limited: Limited
) -> None:
    key, least, most, (under, low, high, over), _ = limited
    for inside in (low, high):
        assert read("version = 1\n", *_limited(limited, inside, low, high))
    for outside, limit, end in ((under, least, low), (over, most, high)):
        (fault,) = faults_of("version = 1\n", *_limited(limited, outside, low, high))
        assert fault.key == key
        assert fault.wrong == f"{outside} is beyond {limit}, {end}"
        assert fault.right == f"stay within {end}, or mend {limit}"


@pytest.mark.parametrize("limited", LIMITED, ids=by_key)
def test_gear_with_one_limit_is_held_to_that_one(
    read: Read, faults_of: FaultsOf, limited: Limited
) -> None:
    _, least, most, (under, low, high, over), _ = limited
    assert read("version = 1\n", *_limited(limited, over, low=low))
    assert read("version = 1\n", *_limited(limited, under, high=high))
    (fault,) = faults_of("version = 1\n", *_limited(limited, under, low=low))
    assert least in fault.wrong
    (fault,) = faults_of("version = 1\n", *_limited(limited, over, high=high))
    assert most in fault.wrong


@pytest.mark.parametrize("limited", LIMITED, ids=by_key)
def test_swapped_limits_are_told_as_such(read: Read, faults_of: FaultsOf, limited: Limited) -> None:
    _, least, most, (_, low, high, _), _ = limited
    (fault,) = faults_of("version = 1\n", *_limited(limited, low, low=high, high=low))
    assert fault.key == most
    assert fault.wrong == f"{low} is below {least}, {high}"
    assert "swap" in fault.right
    # Gear with a single setting.
    assert read("version = 1\n", *_limited(limited, low, low=low, high=low))


@pytest.mark.parametrize("limited", LIMITED, ids=by_key)
@pytest.mark.parametrize("doubtful", [0, 1])
def test_a_setting_or_a_limit_in_doubt_is_no_second_fault(
    faults_of: FaultsOf, limited: Limited, doubtful: int
) -> None:
    _, low, _, over = limited[3]
    texts = [low, over]
    texts[doubtful] = "3 bushels"
    (fault,) = faults_of("version = 1\n", *_limited(limited, texts[0], low=texts[1]))
    assert fault.key == limited[doubtful]


def test_limits_of_what_has_no_part_are_not_judged_but_refused(faults_of: FaultsOf) -> None:
    # Without a guide number nobody knows what a distance does; both ends of it are told of.
    distances = ("flash.nearest=3 m", "flash.farthest=10 cm", "flash.distance=5 m")
    faults = faults_of("version = 1\n", *distances, "flash.loss=1 stop")
    keys = {"flash.nearest", "flash.farthest", "flash.distance", "flash.loss"}
    assert {fault.key for fault in faults} == keys
    assert all("no part without flash.guide_number" in fault.wrong for fault in faults)
    assert len(faults) == len(keys)


def test_a_single_flash_cannot_be_apart_from_another(read: Read, faults_of: FaultsOf) -> None:
    (fault,) = faults_of("version = 1\n", "flash.count=1", "flash.stagger=5 us")
    assert fault.key == "flash.stagger"
    assert "single flash" in fault.wrong
    assert read("version = 1\n", "flash.count=2", "flash.stagger=5 us")
    assert read("version = 1\n", "flash.count=1")
