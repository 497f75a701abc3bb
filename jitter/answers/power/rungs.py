"""Every power of a flash: how long its light lasts, how it blurs, what keeps the exposure right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from jitter.answers.hits import Hits
from jitter.answers.power.keeping import DELAY, MEANS, POWER, Setting, keep
from jitter.answers.power.ladder import ladder
from jitter.answers.power.moments import Bands, Speeds, lag, smear
from jitter.quantities import argument
from jitter.stage import Chain, Events, walk
from jitter.study.study import Study
from jitter.trial import single


@dataclass(frozen=True)
class Plan:
    """A power before it is fired.

    Attributes
    ----------
    power
        Share of the full energy [1].
    nominal
        Events of the shot in which nothing strays, nothing but the power changed.
    shift
        By how much later than at one's own power the light's middle comes [s].
    delay
        Of the timer, to follow it [s].
    settings
        What keeps the exposure right, by means.
    """

    power: float
    nominal: Events
    shift: float
    delay: float
    settings: dict[str, Setting]


@dataclass(frozen=True)
class Tried:
    """A power with one means of exposure, and what comes of it.

    Attributes
    ----------
    setting
        Power, means and value.
    hits
        Frames of each set-up by reason, on the draws of the search.
    working_aperture
        N (1 + m/P).
    depth_of_field
        [m].
    diffraction
        Disc on the camera's sensor [m].
    ghost
        Light of the room against mid-grey [stop].
    """

    setting: Setting
    hits: Hits
    working_aperture: float
    depth_of_field: float
    diffraction: float
    ghost: float


@dataclass(frozen=True)
class Rung:
    """One power of the flash.

    Attributes
    ----------
    power
        Share of the full energy [1].
    half, tenth
        t0.5 and t0.1 of the nominal unit [s].
    bands
        Of both and of the rim's blur, over units and shots.
    rim, drop, tip
        Blur on the camera's sensor of the nominal shot's rim, drop and jet's tip by their motion
        [m]; NaN where the light finds none.
    edge_gap
        Between the two edges of a falling drop that several flashes draw [m].
    shift
        By how much later than at one's own power the light's middle comes [s].
    delay
        Of the timer, to follow it [s].
    recycle
        Time to recharge [s].
    tried
        By means.
    """

    power: float
    half: float
    tenth: float
    bands: Bands
    rim: float
    drop: float
    tip: float
    edge_gap: float
    shift: float
    delay: float
    recycle: float
    tried: dict[str, Tried]


def plan(
    study: Study,
    chain: Chain,
    nominal: Events,
    ends: Mapping[str, tuple[float, float]],
    *,
    relative: bool,
) -> tuple[Plan, ...]:
    """Return every power of a flash with the settings that keep the exposure right.

    Parameters
    ----------
    study
        From `jitter.answers.power.keeping.absolute`.
    chain
        The stages of a shot.
    nominal
        Events of its shot in which nothing strays.
    ends
        By means: how far it can be set.
    relative
        Whether distances are multiples of one's own.
    """
    found = []
    for power in ladder(study):
        events = _changed(chain, nominal, {POWER: power})
        shift = lag(events) - lag(nominal)
        delay = max(study.number(DELAY) - shift, 0.0)
        settings = {
            means: keep(
                study,
                means=means,
                ends=ends[means],
                power=power,
                exposure=single(events, "exposure"),
                delay=delay,
                relative=relative,
            )
            for means in ends
        }
        found.append(Plan(power, events, shift, delay, settings))
    return tuple(found)


def rung(
    study: Study,
    chain: Chain,
    planned: Plan,
    *,
    hits: Mapping[str, Hits],
    bands: Bands,
    speeds: Speeds,
) -> Rung:
    """Return a power with what came of it.

    Parameters
    ----------
    study
        From `jitter.answers.power.keeping.absolute`.
    chain
        The stages of a shot.
    planned
        From `plan`.
    hits
        By means.
    bands
        Of its light.
    speeds
        Of what moves in the nominal shot.
    """
    events = planned.nominal
    gap = single(events, "magnification") * single(events, "flash_gap")
    return Rung(
        power=planned.power,
        half=single(events, "flash_half_duration"),
        tenth=single(events, "flash_duration"),
        bands=bands,
        rim=smear(events, speeds.rim),
        drop=smear(events, speeds.drop),
        tip=smear(events, speeds.tip),
        edge_gap=gap * speeds.drop,
        shift=planned.shift,
        delay=planned.delay,
        recycle=planned.power * study.number("flash.full_recycle"),
        tried={
            means: _tried(chain, events, setting, hits[means])
            for means, setting in planned.settings.items()
        },
    )


def _tried(chain: Chain, nominal: Events, setting: Setting, hits: Hits) -> Tried:
    events = _changed(chain, nominal, {MEANS[setting.means]: setting.value})
    return Tried(
        setting=setting,
        hits=hits,
        working_aperture=single(events, "working_aperture"),
        depth_of_field=single(events, "depth_of_field"),
        diffraction=single(events, "diffraction_blur"),
        ghost=single(events, "ghost_stops"),
    )


def _changed(chain: Chain, nominal: Events, values: Mapping[str, float]) -> Events:
    """Return a nominal shot with some values changed and all else left alone."""
    changed: dict[str, Any] = {
        argument(key): value if key == MEANS["iso"] else np.full((1, 1), value)
        for key, value in values.items()
    }
    return walk(chain.stages, nominal | changed, set(changed))
