"""The figure and the table of a session in which something drifts."""

from __future__ import annotations

import html

from jitter.answers.session import SessionAnswer
from jitter.report.drawing import AS_SET, INK, PALE, TRIMMED, WIDTH, sheet, to_svg
from jitter.report.html import figure, paragraphs, table
from jitter.report.words import interval, points, session_findings
from jitter.units.writing import write_percent


def session_section(session: SessionAnswer) -> str:
    """Return the section of a page about a session: words, figure, table.

    Parameters
    ----------
    session
        The answer.
    """
    rows = [
        (
            "once" if policy.trims == 1 else f"{policy.trims} times, every {policy.every:.0f}",
            write_percent(policy.share.value),
            interval(policy.share),
            "" if policy.trims == 1 else points(policy.gain),
        )
        for policy in session.policies
    ]
    headers = ("trimmed", "keepers of all frames", "sure to 95 %", "points above once")
    note = "Frames shot to trim count as shot and not kept; they take no liquid here."
    return (
        paragraphs(session_findings(session))
        + figure(session_figure(session))
        + table(headers, rows, kind="figures")
        + paragraphs((note,))
    )


def session_figure(session: SessionAnswer) -> str:
    """Draw the share of keepers against the frame number.

    Parameters
    ----------
    session
        The answer.
    """
    places = session.places
    with sheet(WIDTH, 3.6) as (drawn, axes):
        for shares, colour, style, name in (
            (session.as_set, AS_SET, "-", "as set by ruler"),
            (session.once, TRIMMED, "-", "trimmed at the start"),
        ):
            low, high = ([100 * getattr(s, end) for s in shares] for end in ("low", "high"))
            axes.fill_between(places, low, high, color=colour, alpha=0.25, lw=0)
            middle = [100 * share.value for share in shares]
            axes.plot(places, middle, style, color=colour, lw=2, label=name)
        best = session.best
        if best.trims > 1:
            axes.plot(
                places,
                100 * best.by_frame,
                "--",
                color=INK,
                lw=1.5,
                label=f"trimmed every {best.every:.0f} frames",
            )
        axes.plot(
            [place for place, _ in session.fresh],
            [100 * share.value for _, share in session.fresh],
            "o",
            ms=6,
            mfc="white",
            mec=INK,
            label="just trimmed",
        )
        if session.worn is not None:
            axes.axvline(session.worn, color=INK, lw=0.9, ls=":")
            axes.annotate(" refill, set up again", (session.worn, 2), fontsize=9)
        axes.set(xlabel="frame of the session", ylabel="keepers (% of frames)", ylim=(0, 100))
        axes.grid(axis="y", color=PALE, lw=0.6)
        axes.legend(loc="lower left", fontsize=9, ncols=2)
        label = f"Share of keepers against the frame number. {' '.join(session_findings(session))}"
        return to_svg(drawn, label=html.escape(label), name="session")
