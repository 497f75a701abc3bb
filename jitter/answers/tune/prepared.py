"""A chain whose tables are made once, for many rigs that differ in a few settings only."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Any

from jitter.draws.values import reaches
from jitter.quantities import argument
from jitter.stage import NOMINAL, Chain, Stage, UnpreparedError
from jitter.study.study import Study


def prepared(study: Study, chain: Chain, settings: Collection[str]) -> Chain:
    """Return a chain for a rig and its variants that makes no table anew.

    A table is kept only where its stage can make it without reading any of the settings; any
    other stage goes on making its own.

    Parameters
    ----------
    study
        The rig.
    chain
        The stages of a shot.
    settings
        Keys of what the variants change, and nothing else.
    """
    hidden = {f"{argument(key)}{end}" for key in settings for end in ("", NOMINAL)}
    ends = {name: end for name, end in reaches(study).items() if name not in hidden}
    return replace(chain, stages=tuple(_prepared(stage, ends) for stage in chain.stages))


def _prepared(stage: Stage, ends: Mapping[str, Any]) -> Stage:
    if stage.prepare is None:
        return stage
    try:
        table = stage.prepare(ends)
    except (KeyError, UnpreparedError):
        return stage

    def kept(_ends: Mapping[str, Any]) -> object:
        return table

    return replace(stage, prepare=kept)
