"""The reference as a document for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from jitter import __version__
from jitter.answers.reference.examples import example_study
from jitter.answers.reference.items import Heading, Item
from jitter.quantities import NONE, Basis, Choice, Curve, Declaration, Quantity, Spread, Window
from jitter.report.plain import plain_number
from jitter.report.reference.words import default, limits, note, parts, spread, units, used_parts

SCHEMA = "jitter.quantities/1"


def reference_document(items: Sequence[Item]) -> dict[str, Any]:
    """Return the answer to `jitter quantities` as plain objects.

    Numbers are in SI, temperatures in kelvin. A relative spread is a share of the value; the size
    of a lognormal one is that of the logarithm. What there is none of is None, be it a limit, a
    default or a spread. ``written`` says the same in the words of a study, and every example is a
    whole study.

    Parameters
    ----------
    items
        What to tell.
    """
    return {
        "schema": SCHEMA,
        "jitter": __version__,
        "sections": list(dict.fromkeys(item.section for item in items if item.section)),
        "parts": dict(used_parts(items)),
        "items": [_item(item) for item in items],
    }


def _item(item: Item) -> dict[str, Any]:
    declared = item.declaration
    instead = declared.instead if isinstance(declared, Quantity | Curve) else ()
    conditions = declared.only_with if isinstance(declared, Quantity) else ()
    return {
        "key": item.key,
        "section": item.section,
        "name": item.name,
        "meaning": item.meaning,
        "symbol": None if isinstance(declared, Choice | Heading) else declared.symbol,
        "kind": _kind(declared),
        "unit": declared.unit if isinstance(declared, Quantity | Window) else None,
        "written_in": units(declared),
        "parts": list(parts(declared)),
        "limits": _limits(declared),
        **_defaults(declared),
        "per_drop": isinstance(declared, Quantity) and declared.per_drop,
        "per_direction": isinstance(declared, Quantity) and declared.per_axis,
        "variants": [
            {"with": _condition(choice), **_defaults(variant)} for choice, variant in item.variants
        ],
        "or_as": None if item.sphere is None else _other_way(item.sphere),
        "only_with": [_condition(condition) for condition in conditions],
        "instead_of": list(instead),
        "gives_way_to": list(item.gives_way),
        "shares_setup_with": list(item.shares),
        "note": note(declared),
        "examples": [example_study(lines) for lines in item.ways],
    }


def _kind(declared: Declaration | Heading) -> str:
    if isinstance(declared, Quantity):
        return declared.kind.value
    if isinstance(declared, Heading):
        return "number" if declared.whole else "text"
    return type(declared).__name__.lower()


def _limits(declared: Declaration | Heading) -> dict[str, Any]:
    ends: tuple[float | None, float | None] = (None, None)
    if isinstance(declared, Quantity | Window | Heading):
        ends = declared.lower, declared.upper
    return {
        "lower": plain_number(ends[0]),
        "upper": plain_number(ends[1]),
        "whole": isinstance(declared, Heading | Quantity) and declared.whole,
        "options": list(declared.options) if isinstance(declared, Choice) else None,
        "columns": _columns(declared) if isinstance(declared, Curve) else None,
        "written": limits(declared),
    }


def _columns(declared: Curve) -> list[dict[str, Any]]:
    columns = zip(declared.columns, declared.units, declared.lower, declared.upper, strict=True)
    return [
        {"name": name, "unit": unit, "lower": plain_number(low), "upper": plain_number(high)}
        for name, unit, low, high in columns
    ]


def _defaults(declared: Declaration | Heading) -> dict[str, Any]:
    value = declared.default if isinstance(declared, Heading) else declared.nominal
    basis = None if isinstance(declared, Heading) else declared.basis
    if basis is not None and value is None and not basis.source:
        basis = None
    return {
        "default": {
            "value": list(value) if isinstance(value, tuple) else value,
            "written": default(declared),
            "basis": None if basis is None else _basis(basis),
        },
        "setup": _spread(declared, "setup"),
        "shot": _spread(declared, "shot"),
    }


def _spread(declared: Declaration | Heading, level: str) -> dict[str, Any] | None:
    if not isinstance(declared, Quantity):
        return None
    at_setup = level == "setup"
    size: Spread = declared.setup if at_setup else declared.shot
    if size == NONE:
        return None
    return {
        "shape": size.shape.value,
        "size": size.size,
        "relative": size.relative,
        "written": spread(declared, level),
        "basis": _basis(declared.setup_basis if at_setup else declared.shot_basis),
    }


def _basis(basis: Basis) -> dict[str, str]:
    return {"mark": basis.mark.value, "source": basis.source}


def _other_way(sphere: Quantity) -> dict[str, Any]:
    return {
        "key": sphere.key,
        "meaning": sphere.meaning,
        "unit": sphere.unit,
        "written_in": units(sphere),
        "limits": _limits(sphere),
        **_defaults(sphere),
    }


def _condition(condition: str) -> dict[str, str | None]:
    """Return a key that must be given, or the option that must be chosen for it."""
    key, _, option = condition.partition("=")
    return {"key": key, "option": option or None}
