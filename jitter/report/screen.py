"""An answer as a screen that is understood at a glance."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from jitter.answers.ranking import Rank
from jitter.answers.run import RunAnswer
from jitter.answers.session import SessionAnswer
from jitter.quantities import Level
from jitter.report.prose import Prose, warned
from jitter.report.words import NONE_TOLD, UNCLEAR, findings, gained, interval, is_assumed
from jitter.units.writing import write_difference, write_percent, write_spread

SHOWN = 10
BAR = 18
NARROW, WIDE = 76, 100


def run_screen(answer: RunAnswer, *, width: int, blocks: bool) -> Group:
    """Return the answer to `jitter run` as it is printed.

    Parameters
    ----------
    answer
        The answer.
    width
        Columns of the screen, 60 and more.
    blocks
        Whether the screen can show block characters; number signs stand in.
    """
    parts: list[RenderableType] = [Text(shortened(answer.study.title, width), style="bold")]
    said = findings(answer)
    parts += [Text(""), *map(Prose, said), Text("")]
    parts += [heading("Keepers"), _keepers(answer), Text("")]
    parts += [heading("Why the rest miss"), _reasons(answer, width, blocks=blocks)]
    parts += [*_unseen(answer), Text(""), heading("What costs most")]
    shown = [rank for rank in answer.ranking if _matters(rank)][:SHOWN]
    if shown:
        note = "keepers gained in 100 frames by removing or halving a spread"
        parts += [Prose(note, style="dim"), _ranking(answer, shown, width)]
    parts += _rest(answer, len(shown))
    if any(is_assumed(answer.study, rank.source) for rank in shown):
        parts.append(Text("* this spread is an assumption of ours: measure yours", style="dim"))
    if answer.session is not None:
        parts += [Text(""), heading("Over the session"), _session(answer.session)]
    parts += warned(tuple(told for told in answer.warnings if told not in said))
    layout = answer.layout
    made = (
        f"seed {layout.seed}, {layout.setups} set-ups of {layout.shots} shots, study"
        f" {answer.study.digest}; intervals 95 %, ranking on {answer.ranked_setups} set-ups"
    )
    return Group(*parts, Text(""), Prose(made, style="dim", hang=0))


def shortened(title: str, width: int) -> str:
    """Return a title that is safe to print and fits a line."""
    plain = " ".join("".join(c if c.isprintable() else " " for c in title).split())
    return plain if len(plain) <= width else plain[: width - 1] + "…"


def stacked(names: str, width: int) -> str:
    """Return the names of quantities that stray together, below one another on narrower screens.

    Examples
    --------
    >>> stacked("valve.first_volume and second_volume", 80).splitlines()
    ['valve.first_volume', '  and second_volume']
    """
    return names if width >= WIDE else names.replace(" and ", "\n  and ")


def heading(text: str) -> Text:
    """Return a heading."""
    return Text(text, style="bold cyan")


def grid(*headers: str, width: int = 0) -> Table:
    """Return a table without lines, its first column to the left, the others to the right."""
    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), show_header=any(headers))
    for place, header in enumerate(headers):
        justify = "left" if place == 0 else "right"
        table.add_column(header, justify=justify, header_style="dim", overflow="fold")  # type: ignore[arg-type]
    if width:
        table.columns[0].max_width = width
    return table


def _keepers(answer: RunAnswer) -> Table:
    table = grid("", "as set by ruler", "after trimming")
    ways = (answer.as_set, answer.as_trimmed)
    table.add_row(
        "share of frames",
        *(Text(write_percent(way.hit_rate.value), style="bold green") for way in ways),
    )
    table.add_row("  sure to 95 %", *(interval(way.hit_rate) for way in ways))
    labels = ("a bad set-up (1 in 10)", "a middling set-up", "a good set-up (1 in 10)")
    for label, name in zip(labels, ("p10", "p50", "p90"), strict=True):
        table.add_row(label, *(write_percent(getattr(way.by_setup, name)) for way in ways))
    table.add_row("age, mean", *(_time(way.ages.mean) for way in ways))
    table.add_row("  strays with the set-up", *(f"sd {_time(way.ages.setup)}" for way in ways))
    table.add_row("  strays from shot to shot", *(f"sd {_time(way.ages.shot)}" for way in ways))
    return table


def _time(seconds: float) -> str:
    return "none" if math.isnan(seconds) else write_difference(seconds, "s", digits=3)


def _reasons(answer: RunAnswer, width: int, *, blocks: bool) -> Table:
    table = grid("", "as set", "trimmed", "bar: trimmed", width=16)
    table.columns[3].justify = "left"
    shown = [
        (reason, share, answer.as_trimmed.reasons[reason])
        for reason, share in answer.as_set.reasons.items()
    ]
    longest = max(second.value for _, _, second in shown) or 1.0
    room = BAR if width >= NARROW else BAR // 2
    for reason, first, second in shown:
        if max(first.value, second.value) == 0.0:
            continue
        bar = _bar(second.value / longest * room, blocks=blocks)
        table.add_row(
            reason, write_percent(first.value), write_percent(second.value), Text(bar, style="cyan")
        )
    return table


def _unseen(answer: RunAnswer) -> list[Prose]:
    ways = (answer.as_set, answer.as_trimmed)
    names = [
        reason
        for reason in answer.as_set.reasons
        if all(way.reasons[reason].value == 0.0 for way in ways)
    ]
    return [Prose(f"never seen: {', '.join(names)}", style="dim")] if names else []


def _bar(length: float, *, blocks: bool) -> str:
    if not blocks:
        return "#" * max(round(length), 1 if length > 0.0 else 0)
    eighths = max(round(8 * length), 1 if length > 0.0 else 0)
    return "█" * (eighths // 8) + " ▏▎▍▌▋▊▉"[eighths % 8].strip()


def _ranking(answer: RunAnswer, shown: Sequence[Rank], width: int) -> Table:
    level = {Level.SETUP: "set-up", Level.SHOT: "shot"}
    narrow = width < NARROW
    gains = ["removed\nas set", "removed\ntrimmed", "halved\ntrimmed"]
    headers = ["", "level", *gains] if narrow else ["", "level", "spread", *gains, "share\nof age"]
    table = grid(*headers)
    table.columns[0].no_wrap = True
    for column in table.columns[1 : 2 if narrow else 3]:
        column.justify = "left"
    for rank in shown:
        source = rank.source
        star = "*" if is_assumed(answer.study, source) else ""
        row = [
            stacked(" and ".join(_short(key, source.keys) for key in source.keys) + star, width),
            level[source.level],
        ]
        if not narrow:
            row.append(write_spread(source.spread, source.unit))
        gains_told = (rank.as_set.removed, rank.as_trimmed.removed, rank.as_trimmed.halved)
        row.extend(map(gained, gains_told))
        if not narrow:
            share = rank.age_share
            row.append("none" if math.isnan(share) else f"{100 * share:.0f} %")
        table.add_row(*row)
    return table


def _session(session: SessionAnswer) -> Table:
    table = grid("keepers around frame", "as set", "trimmed once", "just trimmed")
    fresh = dict(session.fresh)
    for place, as_set, once in zip(session.places, session.as_set, session.once, strict=True):
        if place in fresh:
            shares = (as_set, once, fresh[place])
            table.add_row(f"{place:.0f}", *(write_percent(share.value) for share in shares))
    return table


def _rest(answer: RunAnswer, shown: int) -> list[Prose]:
    rest = len(answer.ranking) - shown
    told = (
        f"and {rest} more, each smaller or {NONE_TOLD}: {UNCLEAR}"
        if shown and rest
        else f"what each spread costs is {UNCLEAR}"
        if rest
        else ""
    )
    return [Prose("; ".join(filter(None, (told, "in full: jitter rank STUDY"))), style="dim")]


def _short(key: str, keys: tuple[str, ...]) -> str:
    return key if key == keys[0] else key.split(".")[1]


def _matters(rank: Rank) -> bool:
    return rank.as_set.removed.clear or rank.as_trimmed.removed.clear
