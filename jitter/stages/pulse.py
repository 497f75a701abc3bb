"""The flash's pulse: how its light rises and falls, for each kind of flash."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from jitter.arrays import Array

DECAY = 1262.4e-6
SWITCH_OFF = 13.22e-6
KINDS = ("quenched", "full discharge", "voltage-controlled")
USUAL_HALF = SWITCH_OFF + DECAY * float(np.log(2.0))
"""t0.5 of the quenched curve at full power."""


class Pulse(NamedTuple):
    """A flash pulse, in seconds.

    Attributes
    ----------
    centroid
        Mean time of the light after its start.
    half, tenth
        t0.5 and t0.1: time above half and above a tenth of the peak.
    """

    centroid: Array
    half: Array
    tenth: Array

    def scaled(self, factor: Array) -> Pulse:
        """Return the same pulse on a longer or shorter clock."""
        return Pulse(self.centroid * factor, self.half * factor, self.tenth * factor)


def quenched(power: Array) -> Pulse:
    """Return the pulse of a flash that is cut off when it has given the light asked for.

    A cut exponential of decay time 1262.4 µs, whose cut takes 13.22 µs to take effect. The rise of
    the light, and that other units are longer or shorter, are neglected here: flash.duration_scale.

    Parameters
    ----------
    power
        Share of the full energy [1], above 0 and up to 1; 1 is the uncut decay.

    References
    ----------
    Our fit within 7.3 % to one published eight-step table. Definitions of t0.5 and t0.1:
    ISO 2827:1988 (read second-hand).

    Examples
    --------
    >>> uncut = quenched(np.array(1.0))
    >>> round(float((uncut.tenth - SWITCH_OFF) / (uncut.half - SWITCH_OFF)), 4)  # log2(10)
    3.3219
    """
    # An uncut flash never ends; after forty decays double precision sees no more light.
    with np.errstate(divide="ignore"):
        cut = np.minimum(-np.log1p(-power), 40.0)
    left = cut * np.exp(-cut) / -np.expm1(-cut)
    return Pulse(
        centroid=DECAY * (1.0 - left),
        half=SWITCH_OFF + DECAY * np.minimum(cut, np.log(2.0)),
        tenth=SWITCH_OFF + DECAY * np.minimum(cut, np.log(10.0)),
    )


def full_discharge(full_half: Array) -> Pulse:
    """Return the pulse of a flash that always empties its capacitor: a plain exponential.

    With a decay time τ: t0.5 = τ ln 2, t0.1 = τ ln 10, centroid τ. The rise is neglected, which
    holds for pulses above some tens of microseconds.

    Parameters
    ----------
    full_half
        t0.5 [s].

    References
    ----------
    Closed form.
    """
    decay = full_half / np.log(2.0)
    return Pulse(centroid=decay, half=full_half, tenth=decay * np.log(10.0))


def voltage_controlled(power: Array, full_half: Array) -> Pulse:
    """Return the pulse of a flash dimmed by charging its capacitor to a lower voltage.

    A tube that holds V = K0 √I empties a capacitor C as V = V0/(1 + t/T) with T = C K0²/V0, so
    its light, V I, falls as (1 + t/T)^-3 and lasts longer the lower the voltage: T goes with
    1/√power. t0.5 = (2^(1/3) - 1) T, t0.1 = (10^(1/3) - 1) T, centroid T. Inductance, the rise,
    and the voltage at which the tube goes out are neglected; units that also switch capacitors
    lengthen less: measure them.

    Parameters
    ----------
    power
        Share of the full energy [1], above 0 and up to 1.
    full_half
        t0.5 at full power [s].

    References
    ----------
    V = K0 √I: Goncz 1965, J. Appl. Phys. 36, 742; Markiewicz & Emmett 1966, IEEE J. Quantum
    Electron. 2, 707 (both from memory). The rest is derived here.

    Examples
    --------
    >>> one = np.ones(())
    >>> ratio = voltage_controlled(one / 16, one).half / voltage_controlled(one, one).half
    >>> float(ratio)
    4.0
    """
    clock = full_half / (np.cbrt(2.0) - 1.0) / np.sqrt(power)
    return Pulse(
        centroid=clock, half=clock * (np.cbrt(2.0) - 1.0), tenth=clock * (np.cbrt(10.0) - 1.0)
    )


def pulse(kind: str, power: Array, full_half: Array | None) -> Pulse:
    """Return the pulse of a kind of flash [s].

    Range, neglect and sources are those of the kind's own function.

    Parameters
    ----------
    kind
        One of `KINDS`.
    power
        Share of the full energy [1].
    full_half
        t0.5 at full power [s]; None where a table will scale the pulse, or where it is quenched.
    """
    if kind == "quenched":
        return quenched(power)
    length = np.asarray(USUAL_HALF) if full_half is None else full_half
    if kind == "full discharge":
        return full_discharge(length)
    return voltage_controlled(power, length)


def on_table(power: Array, table: tuple[tuple[float, float], ...]) -> Array:
    """Return a duration from a table of durations by power [s].

    Straight between the points on paper with logarithmic scales; the ends hold beyond them. What a
    flash does between its marked powers is neglected. The user's own source.

    Parameters
    ----------
    power
        Share of the full energy [1].
    table
        Pairs of power and duration [1], [s], rising in power.
    """
    powers, durations = np.log(np.array(table)).T
    return np.asarray(np.exp(np.interp(np.log(power), powers, durations)))
