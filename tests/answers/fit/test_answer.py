"""The new study and what it changes; the invented measurements that are shipped."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.fit.answer import FitAnswer, Manner, answer_fit
from jitter.answers.hits import WAYS
from jitter.errors import MistakeError
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from tests.answers.fit.measured import BARN, HEADINGS, answer, number, read
from tests.make_demo_measurements import FAULT, FILE, lines


@pytest.fixture(scope="module")
def demo() -> FitAnswer:
    text = FILE.read_text(encoding="utf-8")
    rows = [line for line in text.splitlines() if not line.startswith(("#", "what"))]
    return answer([row.rsplit(",", 1)[0] for row in rows], drop_height=1e-4)


def test_the_shipped_measurements_are_those_of_the_script() -> None:
    assert FILE.read_text(encoding="utf-8") == "\n".join([*lines(), ""])


def test_the_known_fault_is_found(demo: FitAnswer) -> None:
    speed = number(demo.findings[0], "valve.release_speed, sd from shot")
    assert speed.old == 0.02
    # Speeds are held at 0 and above, which takes a tenth off the spread of 0.04 about 0.05.
    assert 0.02 < speed.estimate.low < 0.9 * FAULT < speed.estimate.high
    assert demo.comparison is not None
    drive = demo.comparison.drive
    assert drive is not None
    most = drive.ranked("as_trimmed")[0].difference.changes[0]
    assert (most.key, most.part) == ("valve.release_speed", "shot")
    for way in WAYS:
        assert demo.comparison.pairs[0].change[way].high < 0.0


def test_the_new_study_says_what_was_found_and_keeps_the_rest(demo: FitAnswer) -> None:
    assert demo.fitted is not None
    assert demo.text is not None
    written = {
        f"{value.key}.{part}"
        for finding in demo.findings
        for value in finding.values
        for part in value.parts
    }
    assert {"valve.latency.shot", "sensor.height.nominal", "jet.time.setup"} <= written
    lines_now = demo.text.splitlines()
    measured = ("latency", "first_diameter", "second_diameter", "height")
    for line in BARN.splitlines():
        assert line in lines_now or line.startswith(measured)
    for key in ("valve.nozzle_height", "valve.interval", "timer.delay", "keeper.age"):
        assert demo.fitted.entries[key] == demo.study.entries[key]
    assert demo.fitted.seed == demo.study.seed


def test_nothing_to_write_is_no_study() -> None:
    made = answer(["jet height,3 mm,,300 ms,first drop,,,,"])
    assert (made.text, made.fitted, made.comparison) == (None, None, None)


def test_numbers_that_the_study_has_already_are_not_compared() -> None:
    made = answer([f"flash.power,{one},,,,,,," for one in ("1/64", "1/64")])
    assert made.text is not None
    assert made.comparison is None


def test_what_is_measured_cannot_be_set_too() -> None:
    study = read_study(BARN, source="rig.toml", chain=CHAIN)
    measured = read(study, ["sensor.height,484 mm,,,,,,,", "sensor.height,485 mm,,,,,,,"])
    settings = ["sensor.height.nominal=480 mm", "timer.delay=290 ms", "sensor.height=1 m"]
    with pytest.raises(MistakeError) as caught:
        answer_fit(*(study, BARN, measured, Manner({}), CHAIN), name="new.toml", settings=settings)
    assert [fault.key for fault in caught.value.faults] == [
        "sensor.height.nominal",
        "sensor.height",
    ]
    assert "would hide what was measured" in caught.value.faults[0].wrong


def test_an_unused_column_is_no_fault() -> None:
    assert HEADINGS.startswith("what,value")
    rows = [f"sensor.height,{483 + np.sin(k):.2f} mm,,150 ms,,,,," for k in range(5)]
    assert "delay was not used" in " ".join(answer(rows).notes)
