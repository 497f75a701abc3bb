"""The recovery script runs, and says what it is to say."""

from __future__ import annotations

import numpy as np
import pytest

from jitter.answers.explain import telling
from tests import recovery
from tests.recovery import Found, first, main, read, reliability


def test_it_prints_its_tables(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(recovery, "SETUPS", 64)
    monkeypatch.setattr(recovery, "RIGS", ("barn-table",))
    monkeypatch.setattr(recovery, "PLANTED", (recovery.PLANTED[0], recovery.PLANTED[6]))
    monkeypatch.setattr(telling, "LOGS", 2)
    main(["--logs", "2", "--frames", "6"])
    shown = capsys.readouterr().out
    assert shown.count("barn-table, ") == 2
    assert "2 logs of 6 frames, 40 suspects" in shown
    for words in ("verdicts alone", "with numbers", "nothing wrong", "beam 10 mm too high"):
        assert words in shown
    assert shown.count("false alarms") == shown.count("mean log2 of the truth") == 2


def test_faults_are_planted() -> None:
    sound = read("barn-table")
    for _, setting, how in recovery.PLANTED:
        faulty = read("barn-table", setting)
        changed = {key for key in sound.entries if sound.entries[key] != faulty.entries[key]}
        assert len(changed) == (1 if how else 0)
    high = read("barn-table", "sensor.height=+0.010 m")
    assert high.number("sensor.height") == pytest.approx(0.493)


def test_the_first_group_is_the_likeliest_of_those_alike() -> None:
    shares = np.array([[0.4, 0.2, 0.1, 0.25, 0.05], [0.4, 0.1, 0.05, 0.4, 0.05]])
    pairs = np.eye(4, dtype=bool)
    pairs[1, 2] = pairs[2, 1] = True
    chance, right, size = first(Found(2, shares, np.ones(2)), pairs)
    # closed form: the first two suspects are alike, 0.2 + 0.1 against 0.25, and 0.15 against 0.4.
    np.testing.assert_allclose(chance, [0.3, 0.4])
    assert right.tolist() == [1.0, 0.0]
    assert size.tolist() == [2.0, 1.0]


def test_what_is_said_is_held_against_what_is_true(capsys: pytest.CaptureFixture[str]) -> None:
    stated = np.array([0.8, 0.8, 0.8, 0.3])
    reliability(stated, np.array([True, True, False, False]), np.array([1.0, 2.0, 1.0, 5.0]))
    low, high = (line.split() for line in capsys.readouterr().out.splitlines())
    # closed form: 3 of 4 by weight; 4²/6 logs as good as independent.
    assert (low[3], low[4], high[3], high[4]) == ("0.300", "0.000", "0.800", "0.750")
    assert float(high[5]) == pytest.approx((0.8 * 0.2 / (16.0 / 6.0)) ** 0.5, abs=1e-3)
