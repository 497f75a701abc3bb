"""Reading what tightening each spread costs: all faults at once, each with its line."""

from __future__ import annotations

import pytest

from jitter.errors import MistakeError
from jitter.quantities import Level
from jitter.study.effort import Effort, read_efforts
from jitter.study.study import Study
from tests.conftest import load

GOOD = """\
[sensor.height]
setup = { cost = 10 }

[valve.release_speed]
setup = { cost = 5, law = "inverse" }
shot = { cost = 40.5, law = "inverse square" }

[valve]
first_diameter = { setup = { cost = 1 } }
"""


@pytest.fixture(scope="module")
def study() -> Study:
    return load("barn-table")


def faults(study: Study, text: str) -> list[str]:
    with pytest.raises(MistakeError) as caught:
        read_efforts(text, source="prices.toml", study=study)
    return [f"{one.line} {one.key}: {one.wrong}; {one.right}" for one in caught.value.faults]


def test_prices_are_read(study: Study) -> None:
    assert read_efforts(GOOD, source="prices.toml", study=study) == (
        Effort("sensor.height", Level.SETUP, 10.0, 1.0),
        Effort("valve.release_speed", Level.SETUP, 5.0, 1.0),
        Effort("valve.release_speed", Level.SHOT, 40.5, 2.0),
        Effort("valve.first_volume", Level.SETUP, 1.0, 1.0),
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[sensor.hight]\nsetup = { cost = 1 }", "1 sensor.hight: there is no such quantity; did"),
        ("[sensor.height]\nset = { cost = 1 }", "2 sensor.height.set: 'set' is no level"),
        ("[sensor.height]\nshot = { cost = 1 }", "2 sensor.height.shot: it has no shot spread"),
        ("[timer.delay]\nsetup = { cost = 1 }", "2 timer.delay.setup: it has no setup spread"),
        ("[sensor.miss_chance]\nsetup = { cost = 1 }", "it has no setup spread"),
        ("[keeper.off_centre]\nshot = { cost = 1 }", "it has no shot spread"),
        ("[sensor.height]\nsetup = 10", "2 sensor.height.setup: 10 is no cost; write such as"),
        ("[sensor]\nheight = 10", "2 sensor.height: 10 does not say at which level"),
        ("sensor = 10", "1 sensor: 10 belongs to no quantity"),
        ("[sensor.height]\nsetup = {}", "2 sensor.height.setup.cost: the cost is missing"),
        ("[sensor.height]\nsetup = { cost = 0 }", "0 is no cost; write a number above 0"),
        ("[sensor.height]\nsetup = { cost = -1 }", "-1 is no cost"),
        ("[sensor.height]\nsetup = { cost = inf }", "inf is no cost"),
        ("[sensor.height]\nsetup = { cost = nan }", "nan is no cost"),
        ("[sensor.height]\nsetup = { cost = true }", "true is no cost"),
        ('[sensor.height]\nsetup = { cost = "10 mm" }', "'10 mm' is no cost"),
        (
            '[sensor.height]\nsetup = { cost = 1, law = "inverse sqare" }',
            "2 sensor.height.setup.law: 'inverse sqare' is no law; did you mean inverse square?",
        ),
        ("[sensor.height]\nsetup = { cost = 1, law = [] }", "[] is no law"),
        ("[sensor.height]\nsetup = { cost = 1, price = 2 }", "setup.price: 'price' is not known"),
        ("[sensor.height]\nsetup = { cost = }", "2 the file: it cannot be read"),
        ("", "it says of no spread what it costs"),
        (
            "[valve.first_volume]\nsetup = { cost = 1 }\n[valve.second_diameter]\n"
            "setup = { cost = 1 }",
            "4 valve.second_diameter.setup: valve.first_volume says already",
        ),
    ],
)
def test_a_fault_is_told_with_its_line(study: Study, text: str, said: str) -> None:
    (fault,) = faults(study, text)
    assert said in fault


def test_all_faults_are_told_at_once(study: Study) -> None:
    text = GOOD.replace("10", "-1").replace('"inverse"', '"line"').replace("[valve]", "[vlave]")
    told = faults(study, text)
    assert [int(line.split()[0]) for line in told] == [2, 5, 9]


def test_the_shot_volumes_have_a_price_each(study: Study) -> None:
    text = "[valve.first_volume]\nshot = { cost = 1 }\n[valve.second_volume]\nshot = { cost = 2 }\n"
    assert len(read_efforts(text, source="prices.toml", study=study)) == 2
