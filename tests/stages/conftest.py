"""What several stages' tests need: the default rig's shot, and a fall without air."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

from jitter.stage import Stage
from jitter.stages import CHAIN
from jitter.stages.drag import fall_units
from jitter.stages.fall import Fall, at_rest, let_go
from jitter.stages.fall_fit import fit_fall
from jitter.study.reader import read_study
from jitter.trial import nominal_shot


@pytest.fixture(scope="session")
def shot() -> Callable[..., dict[str, Any]]:
    """Return the events of the nominal shot of a study made of ``section.key=value`` settings.

    They are kept and shared: take copies to change.
    """

    @cache
    def fire(*settings: str) -> dict[str, Any]:
        study = read_study("version = 1", source="test", chain=CHAIN, settings=settings)
        return nominal_shot(study, CHAIN)

    return fire


@pytest.fixture(scope="session")
def vacuum_fall() -> Callable[[float], Fall]:
    """Return falls in next to no air, z = v0 t + g t²/2 for up to 2 m, by release speed v0."""
    units = fall_units(
        diameter=np.array([[4.5e-3]]),
        density=np.array([[998.0]]),
        surface_tension=np.array([[0.0727]]),
        air_density=np.array([[1e-9]]),
        air_viscosity=np.array([[1e-14]]),
    )
    table = fit_fall(
        archimedes=(np.log(units.archimedes.item()), 1e-4),
        morton=(units.morton.item(), 1e-4 * units.morton.item()),
        distance=2.5 / units.length.item(),
        fastest=0.1,
        time=units.time.item(),
    )
    return lambda speed: let_go(
        at_rest(table=table, units=units), release_speed=np.array([[speed]])
    )


@pytest.fixture(scope="session")
def rework() -> Callable[..., Any]:
    """Return what a stage gives for the events of a shot, some of them changed."""

    def work(stage: Stage, events: dict[str, Any], **changes: Any) -> Any:
        assert set(changes) <= set(stage.needs)
        return stage.work(**{name: (events | changes)[name] for name in stage.needs})

    return work
