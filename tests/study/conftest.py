"""A good study, and how the tests of the study reader read it and its broken sisters."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault, MistakeError
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.study.study import Study

GOOD = """\
version = 1
title   = "Barn table, two drops of tinted water"      # invented example
seed    = 11

[valve]
nozzle_height  = { nominal = "610 mm", setup = "within 2 mm" }
latency        = { nominal = "8 ms", setup = "sd 1 ms", shot = "sd 0.3 ms", alike = 0.5 }
interval       = "99 ms"
first_diameter = { nominal = "4.5 mm" }
[sensor]
height = { nominal = "19 in", setup = "within 1 mm" }
[timer]
start = "first drop"
delay = "294 ms"
[liquid]
temperature = { nominal = "20 C", drift = "0.01 K per frame" }
[flash]
power = "1/64"
duration_scale = { setup = "lognormal sd 0.35" }
half_durations = [["1/64", "80 us"], ["1/8", "300 us"], [1, "2 ms"]]
[camera]
magnification = "0.4"
aperture = "f/13"
[keeper]
age = ["2 ms", "10 ms"]
off_centre = 0.25
[trim]
frames = 8
"""


@pytest.fixture(scope="session")
def good() -> str:
    """Return a study with every form of value in it."""
    return GOOD


@pytest.fixture(scope="session")
def read() -> Callable[..., Study]:
    """Return a reader: the text, then --set overrides, then the seed by name."""

    def reader(text: str, *settings: str, seed: int | None = None) -> Study:
        return read_study(text, source="rig.toml", chain=CHAIN, settings=settings, seed=seed)

    return reader


@pytest.fixture(scope="session")
def faults_of(read: Callable[..., Study]) -> Callable[..., tuple[Fault, ...]]:
    """Return a reader of broken studies: every fault, each one complete."""

    def reader(text: str, *settings: str, seed: int | None = None) -> tuple[Fault, ...]:
        with pytest.raises(MistakeError) as caught:
            read(text, *settings, seed=seed)
        faults = caught.value.faults
        assert faults
        for fault in faults:
            assert fault.file
            assert fault.key
            assert fault.wrong
            assert fault.right
            assert fault.line is None or 1 <= fault.line <= max(1, text.count("\n") + 1)
        return faults

    return reader
