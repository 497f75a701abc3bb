"""What `jitter require --effort` says, for screen, page and document alike."""

from __future__ import annotations

from dataclasses import replace

from jitter.answers.hits import WAYS
from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.prices import LEAST, Price
from jitter.quantities import Level
from jitter.report.require.words import remedy_words, way_words
from jitter.report.words import interval, share_words
from jitter.units.writing import write_number, write_percent, write_spread

NEAR = 1e-3


def cheapest_findings(answer: CheapestAnswer) -> tuple[str, ...]:
    """Return what a photographer wants to know first, in a few sentences.

    Parameters
    ----------
    answer
        The answer.
    """
    said = []
    for way in WAYS:
        start, wanted = way_words(answer.study, way), share_words(answer.target)
        plan = answer.plans[way]
        if plan is None:
            said.append(
                f"{start} {wanted} are not reachable with these spreads alone: at best"
                f" {write_percent(answer.best[way].value)}, with all of them next to nothing."
            )
            said.append(remedy_words(answer.remedies[way], answer.target))
            continue
        pairs = list(zip(answer.prices, plan.factors.tolist(), plan.most.tolist(), strict=True))
        tight = [_changed(*pair) for pair in pairs if pair[1] < 1.0]
        loose = [_changed(*pair) for pair in pairs if pair[1] > 1.0]
        parts = [f"tighten {', '.join(tight)}"] if tight else []
        parts += [f"{'let go' if tight else 'let'} {', '.join(loose)}"] if loose else []
        said.append(
            f"{start}, the cheapest way to {wanted}: {', and '.join(parts)}. It costs"
            f" {write_number(plan.cost)} ({write_number(answer.cost)} now, at"
            f" {share_words(answer.present[way].value)}; {write_number(plan.cost_alike)} if all"
            f" were scaled alike); checked afresh, {write_percent(plan.rate.value)} are keepers"
            f" ({interval(plan.rate)})."
        )
    return tuple(said)


def _changed(price: Price, factor: float, most: float) -> str:
    return f"{' and '.join(price.source.keys)} to {_written(price, factor, most)}"


def _written(price: Price, factor: float, most: float) -> str:
    source = price.source
    mark = " or more" if factor >= most * (1.0 - NEAR) else ""
    mark = " or less" if factor <= LEAST * (1.0 + NEAR) else mark
    spread = replace(source.spread, size=factor * source.spread.size)
    return f"{write_spread(spread, source.unit)}{mark}"


def cheapest_rows(answer: CheapestAnswer) -> list[tuple[str, str, str, str, str]]:
    """Return the spreads as rows: quantity, level, as it is, cheapest as set, as trimmed.

    Parameters
    ----------
    answer
        The answer.
    """
    rows = []
    for place, price in enumerate(answer.prices):
        source = price.source
        cells = [
            "not reachable"
            if plan is None
            else _written(price, float(plan.factors[place]), float(plan.most[place]))
            for plan in (answer.plans[way] for way in WAYS)
        ]
        level = "set-up" if source.level is Level.SETUP else "shot"
        now = write_spread(source.spread, source.unit)
        rows.append((" and ".join(source.keys), level, now, cells[0], cells[1]))
    return rows


def total_rows(answer: CheapestAnswer) -> list[tuple[str, str, str]]:
    """Return the totals as rows: what, as set, as trimmed.

    Parameters
    ----------
    answer
        The answer.
    """
    plans = [answer.plans[way] for way in WAYS]
    rows = [
        ("keepers as it is", *(write_percent(answer.present[way].value) for way in WAYS)),
        ("cost as it is", *(write_number(answer.cost) for _ in WAYS)),
        ("cheapest cost", *(write_number(plan.cost) if plan else "" for plan in plans)),
        ("cost if all scaled alike", *(write_number(p.cost_alike) if p else "" for p in plans)),
        ("keepers, checked afresh", *(write_percent(p.rate.value) if p else "" for p in plans)),
        ("  sure to 95 %", *(interval(plan.rate) if plan else "" for plan in plans)),
    ]
    return [(first, second, third) for first, second, third in rows]
