"""What a check says of itself: deviation, share, strain, agreement."""

from __future__ import annotations

import math

import pytest

from jitter.validation.checks import Check, Claim, Known, in_series, many, worst


def check(ours: float, theirs: float, claim: Claim) -> Check:
    return Check(
        stage="fall",
        series="speeds",
        what="one",
        ours=ours,
        theirs=theirs,
        claim=claim,
        source="nobody",
        known=Known.MEMORY,
    )


@pytest.mark.parametrize(
    ("ours", "theirs", "claim", "strain"),
    [
        # closed form: |ours/theirs - 1| over the share claimed.
        (1.02, 1.0, Claim(0.04, ""), 0.5),
        (0.94, 1.0, Claim(0.04, ""), 1.5),
        (-1.02, -1.0, Claim(0.04, ""), 0.5),
        (10.2, 10.0, Claim(0.04, ""), 0.5),
        # closed form: |ours - theirs| over the difference claimed.
        (10.2, 10.0, Claim(0.4, "", relative=False), 0.5),
        (0.0, 0.0, Claim(0.4, "", relative=False), 0.0),
        (0.0, 1.0, Claim(0.4, "", relative=False), 2.5),
    ],
)
def test_strain_is_the_deviation_over_the_claim(
    ours: float, theirs: float, claim: Claim, strain: float
) -> None:
    one = check(ours, theirs, claim)
    assert one.strain == pytest.approx(strain)
    assert one.agrees == (strain <= 1.0)
    assert one.deviation == pytest.approx(ours - theirs)


def test_nothing_is_no_share_of_nothing() -> None:
    assert math.isnan(check(1.0, 0.0, Claim(1.0, "", relative=False)).share)


def test_a_check_that_is_no_number_does_not_agree() -> None:
    assert not check(math.nan, 1.0, Claim(0.1, "")).agrees


def test_series_keep_their_order_and_know_their_worst() -> None:
    rows = many(
        [("a", 1.0, 1.0), ("b", 1.3, 1.0), ("c", 0.9, 1.0)],
        stage="fall",
        series="speeds",
        claim=Claim(0.1, ""),
        source="nobody",
        known=Known.MEMORY,
    )
    assert list(in_series(rows)) == ["speeds"]
    assert [row.what for row in in_series(rows)["speeds"]] == ["a", "b", "c"]
    assert worst(rows).what == "b"
