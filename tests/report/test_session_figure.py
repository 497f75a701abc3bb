"""A session in which something drifts, as figure, words and screen."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import html5lib
import pytest

from jitter.answers.intervals import Estimate
from jitter.answers.run import RunAnswer, answer_run
from jitter.report.document import run_document
from jitter.report.page import run_page
from jitter.report.session_figure import session_section
from jitter.report.words import session_findings
from jitter.stages import CHAIN
from tests.conftest import load

# Common practice, no source: a timer that warms up; here so fast that trimming pays.
WARMING = ("timer.delay.drift=0.15 ms per frame", "session.frames=96")


@pytest.fixture(scope="module")
def warming() -> RunAnswer:
    return answer_run(load("garage-second-drop", *WARMING), CHAIN, setups=64, shots=8)


def test_trimming_again_is_advised_where_it_pays(warming: RunAnswer) -> None:
    assert warming.session is not None
    said = " ".join(session_findings(warming.session))
    every = warming.session.best.every
    assert warming.session.best.trims > 1
    assert f"Trim again every {every:.0f} frames" in said
    assert f"trimmed every {every:.0f} frames" in session_section(warming.session)


def test_where_trimming_again_costs_more_than_it_brings_it_is_said() -> None:
    still = answer_run(
        load("garage-second-drop", "pool.level_drift=0.0001 mm"), CHAIN, setups=64, shots=8
    )
    assert still.session is not None
    # closed form: 8 frames shot to trim in 100 are none to keep, and next to nothing drifts.
    assert all(policy.gain.high < 0.0 for policy in still.session.policies[1:])
    assert "costs more frames than it brings" in " ".join(session_findings(still.session))


def test_where_nothing_is_gained_it_is_said(warming: RunAnswer) -> None:
    assert warming.session is not None
    first = warming.session.policies[0]
    unclear = replace(first, trims=2, gain=Estimate(0.001, -0.01, 0.012))
    even = replace(warming.session, policies=(first, unclear), best=first)
    assert "gains nothing that can be told from 0" in " ".join(session_findings(even))


def test_the_page_has_the_session_and_stays_valid(warming: RunAnswer) -> None:
    page = run_page(warming)
    html5lib.HTMLParser(strict=True).parse(page)
    assert "Over the session" in page
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page)
    assert any("against the frame number" in html.unescape(label) for label in labels)


def test_the_document_tells_every_way_of_trimming(warming: RunAnswer) -> None:
    told = run_document(warming)["session"]
    assert [policy["trims"] for policy in told["policies"]] == [1, 2, 4, 8]
    # closed form: frames of the session over the trimmings.
    assert [policy["every_frames"] for policy in told["policies"]] == [96.0, 48.0, 24.0, 12.0]
    assert len(told["places"]) == len(told["as_set"]) == len(told["trimmed_once"])
    assert told["best"]["trims"] > 1


def test_without_drift_there_is_no_session(barn: RunAnswer) -> None:
    assert barn.session is None
    assert run_document(barn)["session"] is None
    assert "Over the session" not in run_page(barn)
