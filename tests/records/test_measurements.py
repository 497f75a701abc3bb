"""Measurements as people keep them: every kind, every fault with its line."""

from __future__ import annotations

import pytest

from jitter.errors import MistakeError
from jitter.records.measurements import Measurements, read_measurements

UNITS = {
    "sensor.height": "m",
    "valve.latency": "s",
    "liquid.temperature": "K",
    "camera.ambient": "lx",
    "flash.power": "1",
    "jet.height": "m",
}


def read(text: str | bytes) -> Measurements:
    data = text.encode() if isinstance(text, str) else text
    return read_measurements(data, source="m.csv", units=UNITS)


def test_every_kind_is_read() -> None:
    found = read(
        "what,value,setup,delay,start,drops,power,glint,place,remarks\n"
        "sensor.height,19 in,one,,,,,,,ruler\n"
        "Drop height,12.5 mm,1,150 ms,beam,,,,,\n"
        "drops_weighed,4.77 g,,,,100,,,,\n"
        "streak,11 px,,,,,1/64,3 px,300 mm,\n"
        "streak,66 um,,,,,1/64,,300 mm,\n"
        "jet height,30 mm,,320 ms,valve,,,,,\n"
        "liquid.temperature,68 F,,,,,,,,\n"
    ).readings
    assert [one.what for one in found][:3] == ["sensor.height", "drop height", "drops weighed"]
    assert found[0].value == pytest.approx(0.4826)
    assert (found[0].setup, found[0].remarks) == ("one", "ruler")
    assert (found[1].start, found[1].delay) == ("first drop", 0.15)
    assert found[2].value == pytest.approx(4.77e-3)
    assert found[2].drops == 100.0
    assert (found[3].value, found[3].pixels, found[3].glint) == (11.0, True, 3.0)
    assert found[4].value == pytest.approx(66e-6)
    assert (found[4].pixels, found[4].glint) == (False, None)
    assert (found[4].power, found[4].place) == (1 / 64, 0.3)
    assert found[6].value == pytest.approx(293.15)
    assert [one.line for one in found] == list(range(2, 9))


def test_semicolons_decimal_commas_and_a_byte_order_mark() -> None:
    found = read("\ufeffwhat;value;remarks\nsensor.height;483,5 mm;\nsensor.height;482,75 mm;x\n")
    assert [one.value for one in found.readings] == pytest.approx([0.4835, 0.48275])
    # Another cell says that the comma is no mark of thousands.
    found = read("what;value\nsensor.height;483,5 mm\nsensor.height;483,250 mm\n")
    assert found.readings[1].value == pytest.approx(0.48325)


def test_cells_that_have_no_use_are_told() -> None:
    found = read(
        "what,value,delay,power\nsensor.height,483 mm,3 ms,1/64\nsensor.height,1 m,3 ms,\n"
    )
    told = " ".join(found.notes)
    assert "delay was not used in rows that have no use for it: 2" in told
    assert "power was not used in rows that have no use for it: 1" in told


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("what,value\nsensor.hight,483 mm\n", 2, "sensor.height"),
        ("what,value\nsensor.height,483\n", 2, "has no unit"),
        ("what,value\nsensor.height,483 g\n", 2, "is a mass"),
        ("what,value\nsensor.height,\n", 2, "no reading"),
        ("what,value\n,483 mm\n", 2, "what was measured"),
        ("what,value\nsensor.height,inf mm\n", 2, "inf"),
        ("what,value\nsensor.height,1e999 mm\n", 2, "finite"),
        ("what,remarks\nsensor.height,x\n", 1, "value"),
        ("what,value,delay\ndrop height,5 mm,\n", 2, "delay"),
        ("what,value,delay,start\ndrop height,5 mm,3 ms,noon\n", 2, "noon"),
        ("what,value,delay,start\ndrop height,5 mm,150,valve\n", 2, "has no unit"),
        ("what,value,delay,start\ndrop height,5 mm,150 s,valve\n", 2, "150 ms"),
        ("what,value,drops\ndrops weighed,5 g,2.5\n", 2, "whole number"),
        ("what,value,drops\ndrops weighed,5 g,0\n", 2, "below 1"),
        ("what,value,power,place,glint\nstreak,9 px,1/64,3 cm,3 um\n", 2, "pixels"),
        ("what,value,power,place\nstreak,9 px,,3 cm\n", 2, "power"),
        ("what,value\nsensor.height,9 px\n", 2, "px"),
        ("what,value\nflash.power,0.5 px\n", 2, "px"),
        ("what,value,power,place\nstreak,nine px,1/64,3 cm\n", 2, 'such as "11.5 px"'),
        (
            "what,value,setup\nsensor.height,1 m,a\nvalve.latency,8 ms,\nsensor.height,1 m,\n",
            4,
            "in other rows of sensor.height",
        ),
    ],
)
def test_faults_have_their_line(text: str, line: int, said: str) -> None:
    with pytest.raises(MistakeError) as caught:
        read(text)
    told = [f"{fault.key} {fault.wrong} {fault.right}" for fault in caught.value.faults]
    assert {fault.line for fault in caught.value.faults} == {line}
    assert any(said in one for one in told), told


def test_a_key_may_be_spelt_without_its_point_where_it_is_no_kind() -> None:
    found = read(
        "what,value,delay,start\nSensor Height,1 m,,\nsensor_height,1 m,,\n"
        "Jet Height,9 mm,300 ms,beam\njet_height,9 mm,300 ms,beam\njet.height,9 mm,,\n"
    )
    assert [one.what for one in found.readings] == [
        *["sensor.height"] * 2,
        *["jet height"] * 2,
        "jet.height",
    ]


def test_what_is_needed_and_missing_is_named() -> None:
    with pytest.raises(MistakeError) as caught:
        read("what,value,place\nsecond drops weighed,4.7 g,\nstreak,9 px,3 cm\n")
    drops, power = caught.value.faults
    assert (drops.line, drops.key) == (2, "drops")
    assert drops.wrong == "it is missing, and second drops weighed needs it"
    assert (power.line, power.right) == (3, "write the flash power, as a share of full power")


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(MistakeError) as caught:
        read("what,value,drops\nsensor.height,483\nnothing,3 mm\ndrops weighed,4 g,\n")
    assert [fault.line for fault in caught.value.faults] == [2, 3, 4]
