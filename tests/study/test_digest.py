"""The digest of a study changes with every value that an answer depends on, and with no other."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from jitter.study.study import Study

Read = Callable[..., Study]


def test_the_digest_is_sixteen_hexadecimal_digits(read: Read, good: str) -> None:
    assert re.fullmatch(r"[0-9a-f]{16}", read(good).digest)


@pytest.mark.parametrize(
    "setting",
    [
        "sensor.height=480 mm",
        "sensor.height.setup=within 2 mm",
        "sensor.height.setup=sd 1 mm",
        "sensor.height.setup=none",
        "sensor.height.shot=sd 1 mm",
        "valve.latency.shot=sd 0.31 ms",
        "valve.first_diameter.setup=sd 0.01 mm",
        "liquid.density=998 kg/m3",
        "flash.duration_scale.setup=lognormal sd 0.36",
        "flash.power=1/32",
        "flash.half_durations=[['1/64', '80 us'], [1, '2 ms']]",
        "timer.start=second drop",
        "valve.latency.alike=0.4",
        "valve.second_volume.alike=0.5",
        "pool.level.drift=0.1 mm per frame",
        "liquid.kind=milk",
        "reservoir.constant_head=no",
        "keeper.age=['2 ms', '9 ms']",
        "keeper.off_centre=0.26",
        "trim.frames=9",
        "session.frames=101",
    ],
)
def test_every_kind_of_value_changes_the_digest(read: Read, good: str, setting: str) -> None:
    assert read(good, setting).digest != read(good).digest


@pytest.mark.parametrize("level", ["setup", "shot"])
def test_a_share_and_a_size_of_the_same_number_differ(read: Read, good: str, level: str) -> None:
    share = read(good, f"jet.head_ratio.{level}=sd 3 %").digest
    size = read(good, f"jet.head_ratio.{level}=sd 0.03").digest
    assert share != size


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Barn table, two drops of tinted water", "Another title"),
        ("seed    = 11", "seed    = 0"),
        ("seed    = 11\n", ""),
        ("      # invented example", ""),
        ('"294 ms"', '"0.294 s"'),
        ('"294 ms"', '{ nominal = "294 ms", basis = "my notebook" }'),
        ("off_centre = 0.25", 'off_centre = "25 %"'),
        ('power = "1/64"\n', ""),  # The default.
        ('power = "1/64"', "power = 0.015625"),
    ],
)
def test_what_no_answer_depends_on_leaves_the_digest(
    read: Read, good: str, old: str, new: str
) -> None:
    assert old in good
    assert read(good.replace(old, new)).digest == read(good).digest


def test_the_name_of_the_file_leaves_the_digest(read: Read, good: str) -> None:
    study = read(good)
    assert replace(study, source="other.toml").digest == study.digest


@pytest.mark.parametrize("seed", range(5))
def test_the_order_of_the_file_leaves_the_digest(read: Read, good: str, seed: int) -> None:
    head, *sections = re.split(r"(?m)^(?=\[)", good)
    order = random.Random(seed)
    order.shuffle(sections)
    shuffled = []
    for section in sections:
        name, *values = section.splitlines()
        order.shuffle(values)
        shuffled.append("\n".join([name, *values]) + "\n")
    text = head + "".join(shuffled)
    assert text != good
    study = read(text)
    assert study.digest == read(good).digest
    assert list(study.entries) == list(read(good).entries)
