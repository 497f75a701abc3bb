"""Powers whose keepers are told, for tests of what is chosen among them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from jitter.answers.hits import Hits
from jitter.answers.power.keeping import Setting
from jitter.answers.power.moments import Band, Bands, Speeds
from jitter.answers.power.rungs import Rung, Tried
from jitter.stages.verdict import KEEPER
from tests.toy import toy_study

SETUPS, SHOTS = 4, 1000
STUDY = toy_study(half_width=1.0)
NOTHING = Band(math.nan, math.nan, math.nan)
BANDS = Bands(NOTHING, NOTHING, NOTHING)
STILL = Speeds(rim=math.nan, drop=math.nan, tip=math.nan)


def hits(keepers: int, trimmed: int | None = None) -> Hits:
    """Return set-ups that all keep so many of a thousand shots, as set and as trimmed."""
    tables = []
    for kept in (keepers, keepers if trimmed is None else trimmed):
        table = np.zeros((SETUPS, KEEPER + 1), dtype=np.int32)
        table[:, KEEPER] = kept
        tables.append(table)
    return Hits(SHOTS, *tables)


def tried(means: str, keepers: Hits, *, reached: bool = True) -> Tried:
    """Return a means of exposure with its keepers."""
    setting = Setting(means=means, value=1.0, wanted=1.0, off=0.0, reached=reached, study=STUDY)
    return Tried(
        setting=setting,
        hits=keepers,
        working_aperture=math.nan,
        depth_of_field=math.nan,
        diffraction=math.nan,
        ghost=math.nan,
    )


def made(power: float, keepers: Mapping[str, int | Hits | None]) -> Rung:
    """Return a power with its keepers by means; None where that means does not reach it."""
    found = {}
    for means, kept in keepers.items():
        told = kept if isinstance(kept, Hits) else hits(SHOTS if kept is None else kept)
        found[means] = tried(means, told, reached=kept is not None)
    return Rung(
        power=power,
        half=math.nan,
        tenth=math.nan,
        bands=BANDS,
        rim=math.nan,
        drop=math.nan,
        tip=math.nan,
        edge_gap=0.0,
        shift=0.0,
        delay=0.0,
        recycle=0.0,
        tried=found,
    )
