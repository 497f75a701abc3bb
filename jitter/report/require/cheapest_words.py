"""What `jitter require --effort` says, for screen, page and document alike."""

from __future__ import annotations

from dataclasses import replace

from jitter.answers.require.cheapest import CheapestAnswer
from jitter.answers.require.prices import LEAST, Price
from jitter.quantities import Level
from jitter.report.require.words import remedy_words, unaimed_words, way_words
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
    said = [*unaimed_words(answer.aims, answer.unaimed)]
    for way in answer.ways:
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


def cheapest_rows(answer: CheapestAnswer) -> list[tuple[str, ...]]:
    """Return the spreads as rows: quantity, level, as it is, cheapest in each answered way.

    Parameters
    ----------
    answer
        The answer.
    """
    rows: list[tuple[str, ...]] = []
    for place, price in enumerate(answer.prices):
        source = price.source
        cells = [
            "not reachable"
            if plan is None
            else _written(price, float(plan.factors[place]), float(plan.most[place]))
            for plan in (answer.plans[way] for way in answer.ways)
        ]
        level = "set-up" if source.level is Level.SETUP else "shot"
        now = write_spread(source.spread, source.unit)
        rows.append((" and ".join(source.keys), level, now, *cells))
    return rows


def total_rows(answer: CheapestAnswer) -> list[tuple[str, ...]]:
    """Return the totals as rows: what, then each answered way.

    Parameters
    ----------
    answer
        The answer.
    """
    plans = [answer.plans[way] for way in answer.ways]
    return [
        ("keepers as it is", *(write_percent(answer.present[way].value) for way in answer.ways)),
        ("cost as it is", *(write_number(answer.cost) for _ in plans)),
        ("cheapest cost", *(write_number(plan.cost) if plan else "" for plan in plans)),
        ("cost if all scaled alike", *(write_number(p.cost_alike) if p else "" for p in plans)),
        ("keepers, checked afresh", *(write_percent(p.rate.value) if p else "" for p in plans)),
        ("  sure to 95 %", *(interval(plan.rate) if plan else "" for plan in plans)),
    ]
