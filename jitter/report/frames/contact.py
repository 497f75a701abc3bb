"""Sheets of drawn frames of a run: a contact sheet, the misses by reason, three by their age."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import NamedTuple

from jitter.answers.frames_of_a_run import Frame, FramesOfARun
from jitter.answers.run import RunAnswer
from jitter.report.frames.picture import Captured, pictures
from jitter.report.frames.view import View, middle
from jitter.report.frames.words import how_drawn, moment, shown, verdict
from jitter.report.html import paragraphs
from jitter.stages.verdict import KEEPER, REASONS
from jitter.units.writing import write_percent

SHEET = "background:var(--card);break-inside:auto"
ROW = "list-style:none;margin:0;padding:0;display:grid;gap:.7rem .75rem;grid-template-columns:"
NARROW = "repeat(auto-fill,minmax(min(33% - .5rem,14.8rem - 11%),1fr))"
"""Columns of the contact sheet: three on a phone, four on a tablet, six on a desk and on paper."""
MIDDLING = "repeat(auto-fill,minmax(min(50% - .4rem,11rem),1fr))"
BROAD = "repeat(auto-fit,minmax(min(100%,13rem),1fr))"
RING = "border-radius:2px;outline:.16rem solid var(--mark);outline-offset:.12rem"
"""About the keepers of a contact sheet, as with a grease pencil."""
ITEM = "break-inside:avoid;padding-top:.3rem"
"""Room for the ring, so that no page of paper gets its edge alone."""
WORDS = "margin:.4rem 0 0;font-size:.8rem;line-height:1.4"


class Captioned(NamedTuple):
    """A frame of a sheet.

    Attributes
    ----------
    frame
        What is drawn.
    title
        What stands under it first.
    lines
        What stands below that; which frame of the run it is follows by itself.
    """

    frame: Frame
    title: str
    lines: tuple[str, ...]


def common_view(frames: FramesOfARun) -> View:
    """Return the part of the field that all sheets show, so that frames can be compared."""
    every = (*frames.at_random, *frames.missed.values(), *frames.by_age.values())
    return middle([frame.scene for frame in every])


def contact_sheet(answer: RunAnswer, frames: FramesOfARun) -> str:
    """Return frames drawn at random from a run, the verdict under each, as HTML.

    Parameters
    ----------
    answer
        The run.
    frames
        Of the run.
    """
    view, drawn = common_view(frames), frames.at_random
    some = [Captioned(frame, verdict(frame), (moment(frame.scene),)) for frame in drawn]
    kept = sum(frame.keeper for frame in drawn)
    counted = [
        f"{sum(frame.reason == reason for frame in drawn)} {word}"
        for reason, word in ((KEEPER, "keepers"), *enumerate(REASONS))
        if any(frame.reason == reason for frame in drawn)
    ]
    return paragraphs((how_drawn(drawn[0].scene, view),)) + sheet_of(
        some,
        view=view,
        name="contact",
        columns=NARROW,
        label=f"Contact sheet of {len(drawn)} drawn frames: {', '.join(counted)}.",
        note=(
            f"{len(drawn)} frames drawn at random by the study’s seed {answer.layout.seed} from"
            f" {_looked_at(frames)}, in the order in which they fell, the delay as set by ruler:"
            f" {kept} of {len(drawn)} are keepers (ringed), and"
            f" {write_percent(answer.as_set.hit_rate.value)} of all frames of the run. Another"
            " seed draws others."
        ),
    )


def missed_sheet(answer: RunAnswer, frames: FramesOfARun) -> str:
    """Return a typical frame of each reason that loses frames, with its share, as HTML.

    Parameters
    ----------
    answer
        The run.
    frames
        Of the run; some of them must be misses.
    """
    shares = {reason: answer.as_set.reasons[REASONS[reason]].value for reason in frames.missed}
    ordered = sorted(frames.missed, key=lambda reason: -shares[reason])
    some = [
        Captioned(
            frames.missed[reason],
            REASONS[reason],
            (
                f"{write_percent(shares[reason])} of all frames",
                moment(frames.missed[reason].scene),
            ),
        )
        for reason in ordered
    ]
    told = ", ".join(f"{REASONS[reason]} {write_percent(shares[reason])}" for reason in ordered)
    return sheet_of(
        some,
        view=common_view(frames),
        name="missed",
        columns=MIDDLING,
        label=f"A typical drawn frame of each reason, with its share of all frames: {told}.",
        note=(
            f"Of each reason the frame nearest to the middle of its kind, in what can be measured"
            f" in it, among {_looked_at(frames)} (seed {answer.layout.seed}); one too rare for that"
            " comes from the first set-up that has it. Shares and frames with the delay as set by"
            " ruler."
        ),
    )


def ages_sheet(answer: RunAnswer, frames: FramesOfARun) -> str:
    """Return the frames at some percentiles of the age, as HTML.

    Parameters
    ----------
    answer
        The run.
    frames
        Of the run; some of them must have an age.
    """
    some = [
        Captioned(frame, f"{percent}th percentile", (moment(frame.scene), verdict(frame)))
        for percent, frame in frames.by_age.items()
    ]
    told = "; ".join(
        f"{percent}th percentile {moment(frame.scene)}, {verdict(frame)}"
        for percent, frame in frames.by_age.items()
    )
    return sheet_of(
        some,
        view=common_view(frames),
        name="by-age",
        columns=BROAD,
        label=f"Drawn frames by their age: {told}.",
        note=(
            f"Those of {_looked_at(frames)} (seed {answer.layout.seed}) that have an age, in its"
            " order: the frames at 10, 50 and 90 % of the way, the delay as set by ruler."
        ),
    )


def sheet_of(
    some: Iterable[Captioned], *, view: View, name: str, columns: str, label: str, note: str
) -> str:
    """Return drawn frames in rows, each with its caption, as HTML.

    Parameters
    ----------
    some
        The frames.
    view
        The part of the field that all of them show.
    name
        Keeps ids apart from those of other sheets on the page.
    columns
        Of the rows, as CSS.
    label
        What the sheet shows, for those who listen.
    note
        How the frames were chosen.
    """
    captioned = list(some)
    drawn = pictures(
        [
            Captured(one.frame.scene, shown(one.frame), f"{name}-{place}")
            for place, one in enumerate(captioned)
        ],
        view=view,
    )
    items = "".join(_item(one, svg) for one, svg in zip(captioned, drawn, strict=True))
    return (
        f'<figure role="group" aria-label="{escape(label)}" style="{SHEET}">'
        f'<ul class="sheet {escape(name)}" style="{ROW}{columns}">{items}</ul>'
        f'<figcaption class="source" style="margin-top:1rem">{escape(note)}</figcaption></figure>'
    )


def _item(one: Captioned, svg: str) -> str:
    ring = f' style="{RING}"' if one.frame.keeper else ""
    lines = "".join(f"<br>{escape(line)}" for line in one.lines)
    # Where there is no room to spare, as on paper, the page's look leaves this out.
    lines += f'<span class="place"><br>{_place(one.frame)}</span>'
    return (
        f'<li style="{ITEM}"><div{ring}>{svg}</div>'
        f'<p style="{WORDS}"><strong>{escape(one.title)}</strong>{lines}</p></li>'
    )


def _place(frame: Frame) -> str:
    # Broken after the comma only, where the column is narrow.
    return f"set-up\u00a0{frame.setup}, shot\u00a0{frame.shot}"


def _looked_at(frames: FramesOfARun) -> str:
    return f"{frames.looked_at} frames of {frames.setups} set-ups of this run"
