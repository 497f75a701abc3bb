"""The flash's pulse against quadrature, closed forms and a table of durations."""

from __future__ import annotations

import numpy as np

from jitter.stages import flash
from jitter.stages.pulse import (
    DECAY,
    SWITCH_OFF,
    full_discharge,
    quenched,
    voltage_controlled,
)
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.rig import work

POWERS = (1.0, 1 / 2, 1 / 4, 1 / 8, 1 / 16, 1 / 32, 1 / 64, 1 / 128)

# A small flash's eight-step table of t0.5 as it was printed in its manual (from memory): one over
# the duration [1/s].
PRINTED = (1050.0, 1100.0, 2700.0, 5900.0, 10900.0, 17800.0, 32300.0, 41600.0)


def _pulse_integrals(power: float) -> tuple[float, float]:
    """Return the energy [1] and the centroid [s] of a cut exponential, by Gauss and Legendre."""
    cut = -np.log1p(-power) if power < 1.0 else 40.0
    nodes, weights = np.polynomial.legendre.leggauss(80)
    times = 0.5 * cut * (1.0 + nodes)
    light = 0.5 * cut * weights * np.exp(-times)
    energy = float(light.sum())
    return energy, DECAY * float((light * times).sum()) / energy


def _step(power: float) -> str:
    return f"1/{round(1.0 / power)}" if power < 1.0 else "full"


def flash_checks() -> tuple[Check, ...]:
    """Return the checks of the flash."""
    centroids = [
        (
            f"power {_step(power)}",
            float(quenched(np.array(power)).centroid),
            _pulse_integrals(power)[1],
        )
        for power in POWERS
    ]
    energies = [
        (f"cut at {_step(power)}", _pulse_integrals(power)[0], power) for power in POWERS[1:]
    ]
    durations = [
        (f"power {_step(power)}", float(quenched(np.array(power)).half), 1.0 / printed)
        for power, printed in zip(POWERS, PRINTED, strict=True)
    ]
    uncut = quenched(np.array(1.0))
    plain, lowered = (
        full_discharge(np.array(1e-3)),
        voltage_controlled(np.array(1.0), np.array(1e-3)),
    )
    quarter = voltage_controlled(np.array(0.25), np.array(1e-3))
    slow = work(flash.STAGE, flash_delay=np.array([[3e-4]]), flash_duration_scale=np.array([[1.5]]))
    command = float(work(flash.STAGE).flash_time.item())
    usual = float(quenched(np.array(1.0 / 64.0)).centroid)
    return (
        *many(
            energies,
            stage="flash",
            series="share of the light before the cut",
            claim=EXACT,
            source="quadrature of e^-t up to the cut",
            known=Known.CLOSED_FORM,
        ),
        *many(
            centroids,
            stage="flash",
            series="centroid of a quenched pulse",
            unit="s",
            claim=EXACT,
            source="quadrature of t e^-t up to the cut",
            known=Known.CLOSED_FORM,
            note="From full power to 1/128 the light's middle moves by 1.26 ms: the delay follows.",
        ),
        *many(
            durations,
            stage="flash",
            series="duration t0.5 of a small quenched flash",
            unit="s",
            uncertainty="units of other makes differ by 35 %",
            claim=Claim(0.075, "the fit's documentation: within 7.3 %"),
            source="a table of eight power settings from one unit's manual, its make left out",
            known=Known.MEMORY,
            note="The curve was fitted to this table: it tests the fit, no more.",
        ),
        *many(
            [
                (
                    "uncut, quenched kind",
                    float((uncut.tenth - SWITCH_OFF) / (uncut.half - SWITCH_OFF)),
                    float(np.log2(10.0)),
                ),
                ("full discharge", float(plain.tenth / plain.half), float(np.log2(10.0))),
                (
                    "voltage-controlled",
                    float(lowered.tenth / lowered.half),
                    (10.0 ** (1 / 3) - 1.0) / (2.0 ** (1 / 3) - 1.0),
                ),
            ],
            stage="flash",
            series="t0.1 over t0.5",
            claim=EXACT,
            source="ln 10/ln 2 for an exponential; (∛10 - 1)/(∛2 - 1) for (1 + t/T)⁻³",
            known=Known.CLOSED_FORM,
            note="t0.5 and t0.1 are those of ISO 2827:1988 (read second-hand).",
        ),
        *many(
            [("a quarter of the power", float(quarter.half / lowered.half), 2.0)],
            stage="flash",
            series="lengthening of a voltage-controlled pulse",
            claim=EXACT,
            source="½ C V² and a tube whose voltage goes with the root of its current: T ∝ 1/√p",
            known=Known.CLOSED_FORM,
            note="Units that also switch capacitors lengthen less: measure them.",
        ),
        *many(
            [
                (
                    "0.3 ms of radio, durations 1.5 times",
                    float(slow.flash_time.item()) - command,
                    3e-4 - 30e-6 + 0.5 * usual,
                )
            ],
            stage="flash",
            series="shift of the light",
            unit="s",
            claim=EXACT,
            source="command + delay + scale × centroid",
            known=Known.CLOSED_FORM,
        ),
    )
