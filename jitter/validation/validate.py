"""All checks of all stages, and what does not agree."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from jitter.answers.workers import Progress, silent
from jitter.validation.airs import air_checks
from jitter.validation.checks import STAGES, Check, Doubt, in_series
from jitter.validation.doses import dose_checks, drop_checks, reservoir_checks
from jitter.validation.doubts import find_doubts
from jitter.validation.durations import duration_checks
from jitter.validation.exposures import exposure_checks
from jitter.validation.exposures_in_print import printed_exposure_checks
from jitter.validation.falling import fall_checks
from jitter.validation.flashes import flash_checks
from jitter.validation.jets import crater_checks, jet_checks
from jitter.validation.lenses import lens_checks
from jitter.validation.lenses_in_print import printed_lens_checks
from jitter.validation.liquids import liquid_checks
from jitter.validation.looks import look_checks
from jitter.validation.meetings import meeting_checks, sheet_checks
from jitter.validation.pictures import picture_checks
from jitter.validation.pictures_in_print import printed_picture_checks
from jitter.validation.regimes import regime_checks
from jitter.validation.starting import starting_checks
from jitter.validation.timings import (
    beam_checks,
    landing_checks,
    release_checks,
    shutter_checks,
    timer_checks,
)
from jitter.validation.whole import aim_checks, trimming_checks, whole_checks
from jitter.validation.wobbles import wobble_checks

SOURCES: tuple[Callable[[], tuple[Check, ...]], ...] = (
    liquid_checks,
    air_checks,
    dose_checks,
    reservoir_checks,
    drop_checks,
    release_checks,
    fall_checks,
    starting_checks,
    wobble_checks,
    beam_checks,
    landing_checks,
    crater_checks,
    jet_checks,
    meeting_checks,
    timer_checks,
    flash_checks,
    duration_checks,
    shutter_checks,
    sheet_checks,
    lens_checks,
    printed_lens_checks,
    exposure_checks,
    printed_exposure_checks,
    picture_checks,
    printed_picture_checks,
    regime_checks,
    aim_checks,
    look_checks,
    trimming_checks,
    whole_checks,
)


@dataclass(frozen=True)
class Validation:
    """Everything that was compared.

    Attributes
    ----------
    checks
        In the order of the stages.
    doubts
        What does not agree, or cannot be checked, and what that means for a shot.
    """

    checks: tuple[Check, ...]
    doubts: tuple[Doubt, ...]

    @cached_property
    def series(self) -> dict[str, tuple[Check, ...]]:
        """The checks by series, in order."""
        return in_series(self.checks)

    @cached_property
    def apart(self) -> tuple[str, ...]:
        """The series in which something does not agree."""
        return tuple(
            name for name, rows in self.series.items() if not all(row.agrees for row in rows)
        )


def validate(*, progress: Progress = silent) -> Validation:
    """Hold every stage against values from outside.

    Parameters
    ----------
    progress
        Told of progress.

    Returns
    -------
    Validation
    """
    checks: list[Check] = []
    for done, source in enumerate(SOURCES, start=1):
        checks += source()
        progress(done, len(SOURCES) + 1)
    checks.sort(key=lambda check: STAGES.index(check.stage))
    return Validation(tuple(checks), find_doubts())
