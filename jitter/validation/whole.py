"""The whole shot: simulated spreads against laws, trimming against its closed form."""

from __future__ import annotations

from functools import cache

import numpy as np

from jitter.answers.ages import Ages, ages, sum_ages
from jitter.draws.layout import Block, Layout
from jitter.stages import CHAIN
from jitter.stages.trimming import trim
from jitter.study.study import Study
from jitter.trial import fire, open_road
from jitter.validation.checks import WHOLE_SHOT, Check, Claim, Known, many
from jitter.validation.propagation import propagated
from jitter.validation.rig import STARTS, ages_of, rig, shot

ERRORS = 4.5
"""Bounds of simulated values are so many standard errors."""
LIKENESSES = (0.0, 0.5, 1.0)
PAIRED = ("valve.latency", "valve.release_speed", "valve.first_volume", "valve.scatter")
SETUPS, SHOTS = 64, 1024
MANY = 4096
SURE = (
    "sensor.miss_chance=0 %",
    "flash.dark_chance=0 %",
    "valve.scatter=none",
    "jet.lean=none",
    "sensor.offset=0 mm",
)
"""Settings with which every frame has an age."""

# A second program of the same model, kept apart from the package: standard deviation of the age
# from shot to shot [ms].
SECOND_PROGRAM = {"first drop": 2.58, "second drop": 0.44, "valve": 1.87}


@cache
def simulated(start: str, alike: float) -> float:
    """Return the standard deviation of the age from shot to shot, by simulation [s].

    Parameters
    ----------
    start
        The start signal.
    alike
        Of every quantity of which the drops have errors of their own.
    """
    settings = (f"timer.start={start}", *(f"{key}.alike={alike}" for key in PAIRED))
    as_set, _ = ages_of(rig(*settings, setup_errors=False), setups=SETUPS, shots=SHOTS)
    return ages(sum_ages(as_set)).shot


def likeness_checks() -> tuple[Check, ...]:
    """Return simulated spreads of the age against the law of propagation."""
    relative_error = 1.0 / np.sqrt(2.0 * SETUPS * SHOTS)
    checks: list[Check] = []
    for start in STARTS:
        checks += many(
            [
                (f"alike {alike:g}", simulated(start, alike), propagated(start, alike))
                for alike in LIKENESSES
            ],
            stage=WHOLE_SHOT,
            series=f"shot-to-shot sd of the age, started by the {start}",
            unit="s",
            uncertainty="first order in every error",
            claim=Claim(
                0.01 + ERRORS * float(relative_error),
                f"1 % for what is not linear, and {ERRORS:g} standard errors of the simulation",
            ),
            source="law of propagation, JCGM 100:2008, equations 13 and 16, slopes by differences",
            known=Known.CLOSED_FORM,
        )
    checks += many(
        [(start, simulated(start, 0.0), 1e-3 * sd) for start, sd in SECOND_PROGRAM.items()],
        stage=WHOLE_SHOT,
        series="shot-to-shot sd of the age, drops not alike",
        unit="s",
        claim=Claim(0.02, "two digits kept, and both programs' noise"),
        source="a second program of the same model, with its own draws and numerical method",
        known=Known.PROGRAM,
    )
    return tuple(checks)


def aim_checks() -> tuple[Check, ...]:
    """Return the share of off-centre meetings against Rayleigh's law."""
    study = rig("valve.first_volume.shot=none", "valve.second_volume.shot=none", setup_errors=False)
    layout = Layout(study.seed, SETUPS, SHOTS)
    road = open_road(study, CHAIN, wanted=("off_centre",))
    found = fire(road, Block(layout, 0, SETUPS, 0, SHOTS)).as_set["off_centre"]
    limits = (0.1, 0.25, 0.4)
    shares = [float(np.mean(found > limit)) for limit in limits]
    # Each direction: the second drop's scatter less the first's less the lean.
    variance = 2.0 * 0.4e-3**2 + 0.3e-3**2
    expected = [float(np.exp(-((limit * 5.4e-3) ** 2) / (2.0 * variance))) for limit in limits]
    doubt = ERRORS * np.sqrt(0.25 / (SETUPS * SHOTS))
    return many(
        [
            (f"B above {limit:g}", share, law)
            for limit, share, law in zip(limits, shares, expected, strict=True)
        ],
        stage="verdict",
        series="share of frames off centre",
        claim=Claim(float(doubt), f"{ERRORS:g} standard errors of the simulation", relative=False),
        source="Rayleigh's law, exp(-b²/(2 s²)) with s² = 2 (0.4 mm)² + (0.3 mm)²",
        known=Known.CLOSED_FORM,
    )


def _trimmed(study: Study) -> tuple[Ages, Ages]:
    as_set, trimmed = ages_of(study, setups=MANY, shots=16)
    return ages(sum_ages(as_set)), ages(sum_ages(trimmed))


def _left_over(shot_sd: float) -> float:
    """Return the set-up to set-up deviation that trimming leaves, by its closed form [s]."""
    frames, reading, step = 8.0, 1e-3, 1e-3
    return float(np.sqrt((shot_sd**2 + reading**2) / frames + step**2 / 12.0))


def trimming_checks() -> tuple[Check, ...]:
    """Return the checks of the trimming."""
    rows = []
    for what, setup_errors in (("well set up", False), ("set up with errors", True)):
        before, after = _trimmed(rig(*SURE, setup_errors=setup_errors))
        rows.append((what, after.setup, _left_over(before.shot)))
    relative_error = 1.0 / np.sqrt(2.0 * MANY)
    claim = Claim(
        0.01 + ERRORS * float(relative_error),
        f"1 % for shots that stray less in some set-ups, and {ERRORS:g} standard errors",
    )
    made = trim(
        age=np.array([[0.004, 0.007, np.nan]]),
        trim_reading=np.array([[0.001, -0.001, 0.0]]),
        trim_step=0.0,
        keeper_age=(0.002, 0.010),
    )
    return (
        *many(
            [("4 and 7 ms, read as 5 and 6", float(made.delay_correction.item()), 0.0005)],
            stage="trimming",
            series="correction of the delay",
            unit="s",
            claim=Claim(1e-12, "the same sum", relative=False),
            source="middle of the window less the mean of the ages read",
            known=Known.CLOSED_FORM,
        ),
        *many(
            rows,
            stage="trimming",
            series="set-up to set-up sd of the age that trimming leaves",
            unit="s",
            claim=claim,
            source="√((shot² + reading²)/frames + step²/12)",
            known=Known.CLOSED_FORM,
        ),
    )


def practice_checks() -> tuple[Check, ...]:
    """Return what practice knows of the default rig."""
    events = shot("valve.nozzle_height=24 in", "sensor.height=19 in")
    wait = float((events["jet_emerges"] - events["start_time"]).item())
    return many(
        [("nozzle at 24 in, beam at 19 in", wait, 0.25)],
        stage=WHOLE_SHOT,
        series="wait from the first drop's crossing to the jet",
        unit="s",
        uncertainty="'about'",
        claim=Claim(0.02, "'about a quarter of a second or slightly more'", relative=False),
        source="what practitioners tell each other",
        known=Known.COMMON,
    )


def whole_checks() -> tuple[Check, ...]:
    """Return the checks of the whole shot."""
    return (*likeness_checks(), *practice_checks())
