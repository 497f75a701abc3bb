"""Sheets of drawn frames: complete, honest about how they were chosen, told to listeners."""

from __future__ import annotations

import html
import math
import re
from dataclasses import replace

import html5lib
import pytest

from jitter.answers.frames_of_a_run import AT_RANDOM, Frame, FramesOfARun
from jitter.answers.run import RunAnswer
from jitter.report.document import run_document
from jitter.report.frames.contact import (
    BROAD,
    Captioned,
    ages_sheet,
    common_view,
    contact_sheet,
    missed_sheet,
    sheet_of,
)
from jitter.report.frames.words import moment, shown, verdict
from jitter.report.html import page
from jitter.stages.look import COLUMN, DARK, KEPT
from jitter.stages.verdict import KEEPER, REASONS
from jitter.units.writing import write_percent

HOSTILE = '<script>alert("1")</script> & "\''
DRAWN = r"<li [^>]*><div[^>]*>(<svg .*?</svg>)\s*</div><p[^>]*><strong>(.*?)</strong>(.*?)</p></li>"


@pytest.fixture(scope="module")
def frames(barn: RunAnswer) -> FramesOfARun:
    assert barn.frames is not None
    return barn.frames


def told(sheet: str) -> list[tuple[str, str]]:
    """Return what stands under each frame: the title, and the lines below it."""
    return [
        (html.unescape(title), html.unescape(lines).replace("\u00a0", " "))
        for _, title, lines in re.findall(DRAWN, sheet, re.DOTALL)
    ]


def label(sheet: str) -> str:
    found = re.search(r'<figure role="group" aria-label="([^"]+)"', sheet)
    assert found is not None
    return html.unescape(found[1])


def test_under_each_frame_stands_its_verdict_and_where_it_is(
    barn: RunAnswer, frames: FramesOfARun
) -> None:
    sheet = contact_sheet(barn, frames)
    assert [title for title, _ in told(sheet)] == [verdict(one) for one in frames.at_random]
    assert len(told(sheet)) == AT_RANDOM
    for one, (_, lines) in zip(frames.at_random, told(sheet), strict=True):
        assert f"set-up {one.setup}, shot {one.shot}" in lines
        assert moment(one.scene) in lines


def test_keepers_are_ringed(barn: RunAnswer, frames: FramesOfARun) -> None:
    kept = sum(one.keeper for one in frames.at_random)
    assert 0 < kept < AT_RANDOM
    assert contact_sheet(barn, frames).count("outline:") == kept


def test_the_contact_sheet_says_how_it_came_about(barn: RunAnswer, frames: FramesOfARun) -> None:
    sheet, kept = contact_sheet(barn, frames), sum(one.keeper for one in frames.at_random)
    assert f"seed {barn.layout.seed} from 4096 frames of 256 set-ups" in sheet
    assert "delay as set by ruler" in sheet
    assert f"{kept} of {AT_RANDOM} are keepers" in sheet
    assert write_percent(barn.as_set.hit_rate.value) in sheet
    assert f"{kept} keepers" in label(sheet)
    for reason in {one.reason for one in frames.at_random if not one.keeper}:
        count = sum(one.reason == reason for one in frames.at_random)
        assert f"{count} {REASONS[reason]}" in label(sheet)


def test_every_reason_stands_once_with_its_share(barn: RunAnswer, frames: FramesOfARun) -> None:
    sheet = missed_sheet(barn, frames)
    titles = [title for title, _ in told(sheet)]
    assert sorted(titles) == sorted(REASONS[reason] for reason in frames.missed)
    shares = [barn.as_set.reasons[title].value for title in titles]
    assert shares == sorted(shares, reverse=True)
    for title, lines in told(sheet):
        share = write_percent(barn.as_set.reasons[title].value)
        assert f"{share} of all frames" in lines
        assert f"{title} {share}" in label(sheet)
    assert f"seed {barn.layout.seed}" in sheet
    assert "delay as set by ruler" in sheet


def test_percentiles_stand_in_order(barn: RunAnswer, frames: FramesOfARun) -> None:
    sheet = ages_sheet(barn, frames)
    assert [title.split()[0] for title, _ in told(sheet)] == ["10th", "50th", "90th"]
    for one, (_, lines) in zip(frames.by_age.values(), told(sheet), strict=True):
        assert moment(one.scene) in lines
        assert moment(one.scene) in label(sheet)
        assert f"set-up {one.setup}, shot {one.shot}" in lines
    assert "delay as set by ruler" in sheet


def test_sheets_are_valid_and_ids_are_their_own(barn: RunAnswer, frames: FramesOfARun) -> None:
    sheets = [make(barn, frames) for make in (contact_sheet, missed_sheet, ages_sheet)]
    whole = page(heading="Sheets", about="sheets", findings=(), warnings=(), body=sheets)
    html5lib.HTMLParser(strict=True).parse(whole)
    ids = re.findall(r'\bid="([^"]+)"', whole)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'(?:href="#|url\(#)([^")]+)', whole)) <= set(ids)


def test_captions_and_labels_are_text(frames: FramesOfARun) -> None:
    made = sheet_of(
        [Captioned(frames.at_random[0], HOSTILE, (HOSTILE,))],
        view=common_view(frames),
        name="some",
        columns=BROAD,
        label=HOSTILE,
        note=HOSTILE,
    )
    whole = page(heading="Sheet", about="sheet", findings=(), warnings=(), body=[made])
    html5lib.HTMLParser(strict=True).parse(whole)
    assert "<script" not in whole
    assert made.count("&lt;script&gt;") == 4
    assert label(made) == HOSTILE


def test_a_keeper_is_called_one_and_a_miss_by_its_reason(frames: FramesOfARun) -> None:
    one = frames.at_random[0]
    assert verdict(replace(one, reason=KEEPER)) == "keeper"
    assert [verdict(replace(one, reason=code)) for code in range(KEEPER)] == list(REASONS)


def test_the_moment_is_told_either_side_of_the_meeting(frames: FramesOfARun) -> None:
    """closed form: 5.2 ms and 5.2 ms before."""
    scene = frames.at_random[0].scene
    assert moment(replace(scene, age=0.0052)) == "age 5.2 ms"
    assert moment(replace(scene, age=-0.0052)) == "5.2 ms before the meeting"
    assert moment(replace(scene, age=math.nan, exposure=1.0)) == "no meeting"
    assert moment(replace(scene, age=math.nan, exposure=0.0)) == "black frame"


def framed(frames: FramesOfARun, *, look: int, reason: int, sheet: bool) -> Frame:
    one = next(one for one in frames.at_random if one.scene.sheet is not None)
    assert one.scene.sheet is not None
    drop = replace(one.scene.sheet, radius=0.0105) if sheet else None
    return replace(one, reason=reason, scene=replace(one.scene, look=look, sheet=drop, age=0.006))


def test_listeners_are_told_what_is_drawn(frames: FramesOfARun) -> None:
    """closed form: a sheet of radius 10.5 mm is 21 mm wide."""
    kept = framed(frames, look=KEPT, reason=KEEPER, sheet=True)
    assert shown(kept) == "Drawn frame, keeper: sheet 21 mm wide, age 6 ms."
    late = framed(frames, look=COLUMN, reason=REASONS.index("late"), sheet=False)
    assert shown(late) == "Drawn frame, late: column only, age 6 ms."
    dark = replace(late, reason=1, scene=replace(late.scene, look=DARK, age=math.nan, exposure=0.0))
    assert shown(dark) == "Drawn frame, no light: dark, black frame."


def test_the_document_names_the_frames(barn: RunAnswer, frames: FramesOfARun) -> None:
    listed = run_document(barn)["frames"]
    assert listed["looked_at"] == frames.looked_at
    for rows, some in (
        (listed["at_random"], frames.at_random),
        (listed["missed"], frames.missed.values()),
        (listed["by_age"], frames.by_age.values()),
    ):
        assert [(row["setup"], row["shot"], row["verdict"]) for row in rows] == [
            (one.setup, one.shot, verdict(one)) for one in some
        ]
    # closed form: 1 s is 1000 ms.
    first = frames.by_age[10].scene.age
    assert listed["by_age"][0]["age_ms"] == 1000.0 * first
    assert [row["percentile"] for row in listed["by_age"]] == [10, 50, 90]
    assert run_document(replace(barn, frames=None))["frames"] is None


def test_the_sheets_stay_small(barn: RunAnswer, frames: FramesOfARun) -> None:
    """regression: a frame takes about 8 kB, and up to 15 kB in motion."""
    made = [make(barn, frames) for make in (contact_sheet, missed_sheet, ages_sheet)]
    count = AT_RANDOM + len(frames.missed) + len(frames.by_age)
    assert sum(map(len, made)) < 12_000 * count
