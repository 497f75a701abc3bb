"""The shipped rigs: invented, readable, and answered; and what practice says of the tall one."""

from __future__ import annotations

import re

import pytest

from jitter.answers.run import answer_run
from jitter.stages import CHAIN
from jitter.stages.verdict import KEEPER
from jitter.trial import nominal_shot
from tests.conftest import STUDIES, load

NAMES = sorted(path.stem for path in STUDIES.glob("*.toml"))


def test_there_are_at_least_four() -> None:
    assert len(NAMES) >= 4


@pytest.mark.parametrize("name", NAMES)
def test_is_invented_and_answered(name: str) -> None:
    text = (STUDIES / f"{name}.toml").read_text(encoding="utf-8")
    assert text.startswith("# An invented rig")
    study = load(name)
    assert "invented" in study.title
    assert int(nominal_shot(study, CHAIN)["reason"].item()) == KEEPER
    answer = answer_run(study, CHAIN, setups=128, shots=8)
    assert 0.2 < answer.as_trimmed.hit_rate.value < 1.0
    assert answer.as_trimmed.hit_rate.value >= answer.as_set.hit_rate.value - 0.05


def test_jet_emerges_a_quarter_of_a_second_after_the_crossing() -> None:
    # Common practice, no source: nozzle 24 in and beam 19 in above the surface, the flash about a
    # quarter of a second or slightly more after the first drop's crossing.
    study = load("church-hall-inches")
    assert study.number("valve.nozzle_height") == pytest.approx(24 * 0.0254)
    assert study.number("sensor.height") == pytest.approx(19 * 0.0254)
    shot = nominal_shot(study, CHAIN)
    wait = float((shot["jet_emerges"] - shot["start_time"]).item())
    assert 0.25 <= wait < 0.26


def test_names_nobody_and_no_make() -> None:
    words = re.compile(r"\b(inc|ltd|gmbh|®|™|model no)\b", re.IGNORECASE)
    for name in NAMES:
        assert not words.search((STUDIES / f"{name}.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "settings",
    [
        ("valve.second_volume.shot=sd 25 %",),
        ("valve.first_volume.setup=lognormal sd 0.5", "valve.nozzle_height=3 m"),
        ("valve.first_diameter=1 mm", "valve.second_diameter=6 mm", "valve.interval=40 ms"),
        ("reservoir.constant_head=no", "reservoir.bore=12 mm", "session.frames=500"),
        ("liquid.temperature.setup=triangular within 40 K", "liquid.glycerol=90 %"),
        ("valve.nozzle_height=30 mm", "sensor.height=20 mm", "valve.interval=400 ms"),
        ("valve.release_speed=1.5 m/s", "valve.release_speed.shot=sd 0.5 m/s"),
        ("jet.time_scale.setup=sd 90 %", "jet.height_scale.shot=sd 200 %"),
        ("flash.power=1", "flash.duration_scale=20", "session.cadence=0.1 s"),
        ("sensor.miss_chance=100 %", "trim.frames=1"),
        ("valve.latency.setup=none", "valve.latency.shot=none", "trim.step=0 ms"),
    ],
)
def test_far_fetched_rigs_are_answered_without_a_murmur(settings: tuple[str, ...]) -> None:
    # Every warning of numpy's is an error here; see the project's settings of pytest.
    answer = answer_run(load("barn-table", *settings), CHAIN, setups=64, shots=8)
    for way in (answer.as_set, answer.as_trimmed):
        total = way.hit_rate.value + sum(share.value for share in way.reasons.values())
        # Closed form: every frame is a keeper or has one reason.
        assert total == pytest.approx(1.0, abs=1e-12)
