"""The validation as a whole: every stage is held against something, and what is apart is known."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from jitter.arrays import Array
from jitter.stages import CHAIN, wobble
from jitter.validation import wobbles
from jitter.validation.checks import EXACT, STAGES, Known
from jitter.validation.validate import SOURCES, Validation

# What does not agree, each with its reason on the page. Nothing else may join without a word, and
# what comes to agree must leave.
APART = {
    "viscosity of glycerol mixed in a laboratory of today",
    "density of milk",
    "viscosity of warm milk",
    "discharge coefficient of a short tube",
    "scatter of the volume, thick liquid",
    "terminal speed, small drops",
    "terminal speed of rigid spheres (not what jitter uses)",
    "drag of a sphere: Morrison 2013",
    "drag of a sphere: Barati et al. 2014",
    "speed after short falls, 5.5 mm",
    "circle of confusion in the days of film",
    "depth of the crater on the raw plate",
    "time at which the jet stands highest",
    "time at which a rain drop's jet emerges",
}


def test_what_does_not_agree_is_known(found: Validation) -> None:
    assert set(found.apart) == APART


def test_what_does_not_agree_says_why(found: Validation) -> None:
    for check in found.checks:
        assert check.agrees or check.note, (check.series, check.what)


def test_every_stage_is_held_against_something(found: Validation) -> None:
    assert {check.stage for check in found.checks} == set(STAGES)
    assert {stage.name for stage in (*CHAIN.stages, CHAIN.trimming)} < set(STAGES)


def test_checks_come_in_the_order_of_the_shot(found: Validation) -> None:
    places = [STAGES.index(check.stage) for check in found.checks]
    assert places == sorted(places)


def test_no_check_stands_twice(found: Validation) -> None:
    names = [(check.series, check.what) for check in found.checks]
    assert len(names) == len(set(names))
    for rows in found.series.values():
        assert len({(row.stage, row.unit) for row in rows}) == 1


def test_every_check_is_a_number_with_a_source_and_a_reason_for_its_claim(
    found: Validation,
) -> None:
    for check in found.checks:
        assert math.isfinite(check.ours), check.what
        assert math.isfinite(check.theirs), check.what
        assert check.claim.size > 0.0
        assert check.claim.why
        assert len(check.source) > 10 or check.known is Known.CLOSED_FORM, check.source
        # A relative claim on nothing would say nothing.
        assert check.theirs != 0.0 or not check.claim.relative, check.what


@pytest.mark.parametrize("known", [Known.PUBLISHED, Known.ABSTRACT, Known.SECOND_HAND])
def test_what_is_published_names_a_year_or_says_that_it_has_none(
    found: Validation, known: Known
) -> None:
    own = [check for check in found.checks if check.known is known]
    assert own
    for check in own:
        dated = re.search(r"\b(18|19|20)\d\d\b", check.source)
        assert dated or "undated" in check.source or "Goff" in check.source, check


def test_libraries_are_named_with_their_version(found: Validation) -> None:
    for check in found.checks:
        if check.known is Known.LIBRARY:
            assert re.search(r"\b(iapws|fluids|chemicals) \d+\.\d+\.\d+", check.source)


def test_closed_forms_are_met_to_rounding_or_say_how_far(found: Validation) -> None:
    exact = [check for check in found.checks if check.claim is EXACT]
    assert len(exact) > 30
    assert all(abs(check.share) < 1e-9 for check in exact)


def test_doubts_say_where_how_much_and_what_follows(found: Validation) -> None:
    assert len(found.doubts) >= 10
    assert len({doubt.what for doubt in found.doubts}) == len(found.doubts)
    for doubt in found.doubts:
        assert doubt.stage in STAGES
        assert re.search(r"\d", doubt.size)
        assert doubt.why
        assert doubt.effect


def test_a_change_in_a_stage_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    def slower(**given: Any) -> Array:
        return 0.99 * wobble.oscillation_rate(**given)

    monkeypatch.setattr(wobbles, "oscillation_rate", slower)
    assert not all(check.agrees for check in wobbles.frequency_checks())


def test_no_source_of_checks_is_forgotten() -> None:
    assert len(set(SOURCES)) == len(SOURCES)
