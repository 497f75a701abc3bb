"""A message shows how a value is written by one that the value may have, and that can be read."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.quantities import Quantity
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.waking import surroundings

FaultsOf = Callable[..., tuple[Fault, ...]]
Read = Callable[..., Study]

DECLARED = [item for item in CHAIN.declarations.values() if isinstance(item, Quantity)]
STRAYING = [item for item in DECLARED if item.strays and item.nominal is not None]


@pytest.mark.parametrize(
    ("key", "sample"),
    [
        ("camera.iso", 'write a plain number such as "200"'),
        ("trim.frames", 'write a whole number such as "8"'),
        ("camera.frame_width", 'such as "36 mm" (in mm,'),
        ("keeper.blur", 'such as "90 um" (in mm,'),
        ("flash.delay", 'such as "30 us" (in s,'),
        ("flash.power", 'such as "1/64"'),
        ("camera.aperture", 'such as "f/13"'),
        ("valve.first_diameter", 'such as "4.5 mm"'),
        ("sensor.miss_chance", 'such as "1 %"'),
    ],
)
def test_the_sample_is_the_value_s_own(faults_of: FaultsOf, key: str, sample: str) -> None:
    (fault,) = faults_of(f'version = 1\n{key} = "ISO 200"\n')
    assert sample in fault.right


@pytest.mark.parametrize("declared", DECLARED, ids=lambda declared: declared.key)
def test_every_sample_can_be_read(faults_of: FaultsOf, declared: Quantity) -> None:
    others = next(surroundings(declared.key))
    (fault,) = faults_of(f'version = 1\n{declared.key} = {{ nominal = "much" }}\n', *others)
    (sample,) = re.findall(r'such as "([^"]+)"', fault.right)
    # A second fault keeps this from being a study; the sample is none.
    text = f'version = 1\nsed = 1\n{declared.key} = {{ nominal = "{sample}" }}\n'
    wrong = " ".join(one.wrong for one in faults_of(text, *others))
    assert "at the top" in wrong
    assert not re.search(r"out of range|no unit|not a |is wanted|leaves open", wrong)


@pytest.mark.parametrize("declared", STRAYING, ids=lambda declared: declared.key)
def test_every_sample_of_a_spread_can_be_read(
    read: Read, faults_of: FaultsOf, declared: Quantity
) -> None:
    others = next(surroundings(declared.key))
    (fault,) = faults_of(f'version = 1\n{declared.key} = {{ shot = "much" }}\n', *others)
    proposed = re.findall(r'"((?:sd|within) [^"]+)"', fault.right)
    assert len(proposed) == 2
    for spread in proposed:
        text = f'version = 1\n{declared.key} = {{ shot = "{spread}" }}\n'
        assert "shot" in read(text, *others).entries[declared.key].given


@pytest.mark.parametrize(
    ("given", "sample"),
    [
        ('{ setup = "1 %" }', '"sd 1 %"'),
        ('{ setup = "± 2 mm" }', '"sd 2 mm"'),
        ('{ setup = "2 s" }', '"sd 1 mm"'),
        ('{ setup = "much" }', '"sd 1 mm"'),
        ('{ setup = "sd much" }', '"sd 1 mm"'),
        ("{ setup = true }", '"sd 1 mm"'),
        ('{ drift = "much" }', '"1 mm per frame"'),
    ],
)
def test_a_spread_is_told_by_the_user_s_own_or_the_value_s(
    faults_of: FaultsOf, given: str, sample: str
) -> None:
    (fault,) = faults_of(f"version = 1\nsensor.height = {given}\n")
    assert sample in fault.right


def test_a_share_is_proposed_only_where_there_is_one(faults_of: FaultsOf) -> None:
    # Of a temperature, and of 0, there is no share.
    for key, sample in (("liquid.temperature", '"sd 1 K"'), ("sensor.offset", '"sd 0.5 mm"')):
        (fault,) = faults_of(f'version = 1\n{key} = {{ setup = "1 %" }}\n')
        assert sample in fault.right
