"""Read a study file: every fault at once, or a frozen study."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from jitter.errors import Fault, MistakeError, shown
from jitter.quantities import Choice, Quantity
from jitter.stage import Chain
from jitter.study.diameters import volume_from_diameter
from jitter.study.entries import part_meant, read_entry
from jitter.study.lines import find_lines
from jitter.study.parsing import parse
from jitter.study.sections import TOP, judge_names
from jitter.study.sense import find_nonsense, nominal_sizes
from jitter.study.settle import settle
from jitter.study.straying import Complain
from jitter.study.study import Entry, Study, default_entry

DEFAULT_SEED = 1
LARGEST_SEED = 2**64 - 1


def read_study(
    text: str,
    *,
    source: str,
    chain: Chain,
    settings: Iterable[str] = (),
    seed: int | None = None,
) -> Study:
    """Read a study.

    Parameters
    ----------
    text
        The TOML document.
    source
        Its name, for messages.
    chain
        The stages whose declarations say what a study may hold.
    settings
        Values that override the document's, each ``section.key=value``.
    seed
        Overrides the document's.

    Returns
    -------
    Study

    Raises
    ------
    MistakeError
        With every fault found.
    """
    document, text, faults = parse(text, source)
    lines = find_lines(text)
    written: dict[str, str] = {}
    overridden = _override(document, settings, chain, faults)

    def place(key: str, wrong: str, right: str) -> None:
        declared = key in chain.declarations
        for meant, name in written.items():
            if key == meant or key.startswith(f"{meant}."):
                key = f"{name}{key.removeprefix(meant)}"
        if key == "seed" and seed is not None:
            faults.append(Fault("--seed", None, key, wrong, right))
            return
        if any(_blames(done, key, lines) for done in overridden):
            faults.append(Fault("--set", None, key, wrong, right))
            return
        # In a section of its own a value stands below its name.
        line = lines.get(f"{key}.nominal") if declared else None
        line = lines.get(key) if line is None else line
        parts = key.split(".")
        while line is None and parts:
            parts.pop()
            line = lines.get(".".join(parts))
        faults.append(Fault(source, line, key, wrong, right))

    document, misspelt = judge_names(document, chain, place)
    written |= misspelt
    title = document.get("title", "Untitled")
    if not isinstance(title, str):
        place("title", f"{shown(title)} is no text", 'write title = "…"')
        title = "Untitled"
    version = document.get("version")
    if version != 1 or isinstance(version, bool):
        wrong = (
            "the version is missing" if version is None else f"version {shown(version)} is unknown"
        )
        place("version", wrong, "write version = 1 at the top")
    number = document.get("seed", DEFAULT_SEED) if seed is None else seed
    if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= LARGEST_SEED:
        place(
            "seed", f"{shown(number)} is no seed", f"write a whole number from 0 to {LARGEST_SEED}"
        )
        number = DEFAULT_SEED
    entries = _read_entries(document, chain, place)
    settle(entries, chain, _values_of(faults), place)
    study = Study(title, number, entries, source)
    doubted = _values_of(faults)
    sizes = nominal_sizes(study, chain)
    for nonsense in find_nonsense(study, sizes) if sizes is not None else ():
        # What does not fit because of a value that could not be read is no second fault.
        if not doubted.intersection(nonsense.keys):
            place(nonsense.keys[0], nonsense.wrong, nonsense.right)
    if faults:
        order = {id(fault): at for at, fault in enumerate(faults)}
        faults.sort(key=lambda fault: (fault.line is None, fault.line or 0, order[id(fault)]))
        raise MistakeError(faults)
    return study


def _values_of(faults: Iterable[Fault]) -> set[str]:
    """Return the keys of the values at which faults were found."""
    return {".".join(fault.key.split(".")[:2]) for fault in faults}


def _blames(done: str, key: str, lines: Mapping[str, int]) -> bool:
    """Whether a fault at a key comes of the value set on the command line."""
    if key == done or key.startswith(f"{done}."):
        return True
    return done.startswith(f"{key}.") and (key in TOP or key not in lines)


def _override(
    document: dict[str, Any], settings: Iterable[str], chain: Chain, faults: list[Fault]
) -> list[str]:
    """Put ``section.key=value`` or ``section.key.part=value`` over the document."""
    done = []
    for setting in settings:
        key, equals, written = setting.partition("=")
        key = key.strip()
        parts = key.split(".")
        if not equals or not all(parts) or not 1 <= len(parts) <= 3:
            right = "write --set section.key=value, such as --set sensor.height='19 in'"
            faults.append(Fault("--set", None, key, f"{shown(setting)} sets nothing", right))
            continue
        try:
            value = tomllib.loads(f"value = {written}")["value"]
        except (ValueError, RecursionError):
            value = written.strip()
        table = document
        for part in parts[:-1]:
            inner = table.get(part)
            if not isinstance(inner, dict):
                # A bare value stays the nominal when one of its parts is set.
                inner = {} if inner is None else {"nominal": inner}
                table[part] = inner
            table = inner
        there = table.get(parts[-1])
        if len(parts) == 2 and isinstance(there, dict) and not isinstance(value, dict):
            # The spreads stay as they are; what the old value rested on does not bear the new one.
            part = part_meant(chain.declarations.get(key), value)
            there = {name: one for name, one in there.items() if name != "basis"}
            value = {**there, part: value}
        table[parts[-1]] = value
        done.append(key)
    return done


def _parts(raw: Any) -> set[str]:
    if raw is None:
        return set()
    return set(raw) if isinstance(raw, Mapping) else {"nominal"}


def _on_top(entry: Entry, raw: Any, complain: Complain) -> Entry:
    """Read what the study gives over an entry that may hold given parts already."""
    if raw is None:
        return entry
    read = read_entry(entry, raw, complain)
    return replace(read, given=read.given | entry.given)


def _read_entries(document: Mapping[str, Any], chain: Chain, place: Any) -> dict[str, Entry]:
    def raw(key: str) -> Any:
        section, name = key.split(".")
        content = document.get(section)
        return content.get(name) if isinstance(content, Mapping) else None

    choices: dict[str, str] = {}
    entries: dict[str, Entry] = {}
    # Choices first: the defaults of some numbers depend on them.
    ordered = sorted(
        chain.declarations, key=lambda key: not isinstance(chain.declarations[key], Choice)
    )
    for key in ordered:
        declared = chain.declarations[key]
        entry = default_entry(declared, choices)

        def complain(part: str, wrong: str, right: str, key: str = key) -> None:
            place(f"{key}{part}", wrong, right)

        if isinstance(declared, Quantity) and declared.diameter_key:
            other, sphere = declared.diameter_key, raw(declared.diameter_key)
            for part in sorted(_parts(sphere) & _parts(raw(key))):
                place(f"{other}.{part}", f"{key} gives the {part} already", "give one of them")

            def complain_other(part: str, wrong: str, right: str, key: str = other) -> None:
                place(f"{key}{part}", wrong, right)

            if sphere is not None and "nominal" in _parts(sphere):
                entry = volume_from_diameter(entry, sphere, complain_other)
                entry = _on_top(entry, raw(key), complain)
            else:
                entry = _on_top(entry, raw(key), complain)
                if sphere is not None:
                    given = entry.given
                    entry = volume_from_diameter(entry, sphere, complain_other)
                    entry = replace(entry, given=entry.given | given)
        else:
            entry = _on_top(entry, raw(key), complain)
        entries[key] = entry
        if isinstance(declared, Choice):
            choices[key] = str(entry.nominal)
    return {key: entries[key] for key in chain.declarations}
