"""Faults tell file, line, key, what is wrong and what is right, all at once."""

from __future__ import annotations

import pickle

import pytest

from jitter.errors import Fault, MistakeError

WITH_LINE = Fault("rig.toml", 3, "sensor.height", "'19 s' is a time", "write a length")
WITHOUT = Fault("--set", None, "flash.power", "2 is out of range", "write a value up to 1")


def test_a_fault_reads_as_place_wrong_and_right() -> None:
    # Closed form: the three lines of the documented layout.
    assert str(WITH_LINE) == (
        "rig.toml:3  sensor.height\n    '19 s' is a time\n    -> write a length"
    )
    assert str(WITHOUT).splitlines()[0] == "--set  flash.power"


def test_a_mistake_tells_every_fault_in_order() -> None:
    mistake = MistakeError(fault for fault in (WITH_LINE, WITHOUT))
    assert mistake.faults == (WITH_LINE, WITHOUT)
    assert str(mistake) == f"{WITH_LINE}\n{WITHOUT}"


def test_a_fault_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        WITH_LINE.line = 4  # type: ignore[misc]


def test_a_mistake_keeps_its_faults_on_the_way_out_of_a_worker() -> None:
    copy = pickle.loads(pickle.dumps(MistakeError([WITH_LINE, WITHOUT])))
    assert copy.faults == (WITH_LINE, WITHOUT)
