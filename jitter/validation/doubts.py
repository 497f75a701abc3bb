"""What does not agree with the outside, or cannot be checked, and what that does to a frame."""

from __future__ import annotations

import numpy as np

from jitter.answers.ages import ages, sum_ages
from jitter.stages.fall import fall_duration, fall_speed
from jitter.stages.jet import EMERGES, HEIGHT, PEAKS
from jitter.units.writing import write_difference, write_percent
from jitter.validation.checks import WHOLE_SHOT, Doubt
from jitter.validation.fall_tables import GUNN_KINZER
from jitter.validation.falling import fall_of, terminal_speed
from jitter.validation.jets import FROUDE, splash
from jitter.validation.light_doubts import light_doubts
from jitter.validation.liquids import by_hand_rows
from jitter.validation.propagation import paired, propagated, terms
from jitter.validation.rig import ages_of, rig, shot
from jitter.validation.wobbles import shifts
from jitter.validation.worthington import (
    CRATER_DEPTHS,
    CRATER_DIAMETER,
    CRATER_FALL,
    REFRACTION,
    TOPS,
)

AMPLITUDE = 0.1
"""Of the oscillation whose effect is shown."""
PHASES = np.linspace(0.0, 1.0, 25)


def _milliseconds(seconds: float) -> str:
    return write_difference(seconds, "s", digits=2)


def _rigid_spheres() -> Doubt:
    largest = max(GUNN_KINZER)
    excess = terminal_speed(1e-3 * largest, rigid=True) / GUNN_KINZER[largest] - 1.0
    way = np.array([[0.610]])
    falls = [fall_of(4.5, rigid=rigid) for rigid in (True, False)]
    speeds = [float(fall_speed(one, fall_duration(one, way)).item()) for one in falls]
    return Doubt(
        stage="fall",
        what="Rigid spheres fall faster than drops",
        size=f"{write_percent(excess, digits=0)} too fast at {largest:g} mm (Gunn & Kinzer 1949)",
        why="Drops above 2 mm flatten as they fall fast, and what is flat has more drag.",
        effect=(
            "jitter's law carries a factor for it. In a rig of 0.6 m drops are still slow: the"
            f" factor moves the impact speed by {1e3 * (speeds[0] - speeds[1]):.1f} mm/s."
        ),
    )


def _release_speed() -> Doubt:
    start = "first drop"
    variance = sum(term.size**2 for term in terms(start))
    share = sum(size**2 for size in paired(start)["valve.release_speed"]) / variance
    return Doubt(
        stage="release",
        what="Nobody has published at which speed such valves let a drop go",
        size=(
            f"the spread assumed for it makes {write_percent(share, digits=0)} of the variance of"
            " the age from shot to shot, where the first drop starts the timer"
        ),
        why="Work on valves for small drops looks at volumes.",
        effect=(
            "Measure it: photograph single drops a fixed time after the valve's command, a short"
            " way below the nozzle; the scatter of their height over the speed there is the"
            " scatter in time, release speed and latency together."
        ),
    )


def _likeness() -> Doubt:
    told = ", ".join(
        f"{_milliseconds(propagated(start, 0.0))} to {_milliseconds(propagated(start, 1.0))}"
        f" ({start})"
        for start in ("first drop", "second drop", "valve")
    )
    return Doubt(
        stage=WHOLE_SHOT,
        what="Nobody has published how alike two drops of one valve are",
        size=f"from not alike to fully alike the sd of the age from shot to shot goes: {told}",
        why="Two drops a tenth of a second apart share heat, head and wetting.",
        effect=(
            "What they share cancels where the first drop starts the timer, and adds where the"
            " valve does. The default, not alike, is the worst case for the first and the best for"
            " the valve; photograph pairs and give alike."
        ),
    )


def _jet_range() -> Doubt:
    froude = float(shot()["froude"].item())
    steeper = (froude / FROUDE[1]) ** 0.02 - 1.0
    return Doubt(
        stage="jet",
        what="The jet's law is stretched beyond its photographs",
        size=(
            f"the default drop lands at Froude number {froude:.0f}; the photographs cover"
            f" {FROUDE[0]:.0f} to {FROUDE[1]:.0f}"
        ),
        why=(
            "No other times of whole jets could be read. Heights of first jets were found to go"
            " with Fr^0.27, and depths of craters with Fr^0.25, from 127 to 850 (Watson et al."
            " 2024, PNAS 121, e2315667121, read second-hand); the law has 0.25 for both."
        ),
        effect=(
            f"The steeper power makes the default jet {write_percent(steeper)} higher. The times"
            " are the larger doubt: give jet.time and jet.height from frames of your own jet. A"
            " large drop whose crown closes over the crater makes another jet altogether."
        ),
    )


def _tip() -> Doubt:
    # The tip's parabola: 2 H/(t_peak - t_emerge)² with H = 2 R_E and times in √(R_E/g).
    even = 2.0 * HEIGHT / (PEAKS - EMERGES) ** 2
    return Doubt(
        stage="jet",
        what="A real tip starts faster and slows down sooner than the law's",
        size=f"the law slows it by {even:.2f} g throughout; measured: 20 g at first, 1 g at last",
        why=(
            "Thin jets are held back by surface tension at first (van Rijn et al. 2021, Phys. Rev."
            " Fluids, abstract; drops that fell 8 to 33 cm, jets thinner than these)."
        ),
        effect=(
            "The height of a meeting soon after the jet emerges is the law's weakest answer; near"
            " the top it matters little."
        ),
    )


def _crater() -> Doubt:
    length, _ = splash(CRATER_DIAMETER, CRATER_FALL)
    seen = 1e-3 * max(CRATER_DEPTHS.values())
    return Doubt(
        stage="crater",
        what="Craters on Worthington's plates are deeper than the energy allows",
        size=(
            f"{write_difference(seen, 'm')} on the plate, {write_difference(length, 'm')} by"
            f" energy, {write_difference(REFRACTION * seen, 'm')} with the refraction taken out"
        ),
        why=(
            "The camera looked through the wall of the trough. That half of the drop's energy goes"
            " elsewhere (Engel 1966, read second-hand) would make the crater a sixth shallower"
            " still."
        ),
        effect="None on a frame: the length is the unit of the jet's law, fitted with it.",
    )


def _top() -> Doubt:
    _, millimetres, centimetres, milliseconds, _ = TOPS[0]
    _, made = splash(millimetres, centimetres)
    late = float(made.jet_peaks) - 1e-3 * milliseconds
    return Doubt(
        stage="jet",
        what="The top of Worthington's Series I comes before the law's",
        size=f"by {_milliseconds(late)}, {write_percent(1e3 * late / milliseconds, digits=0)}",
        why=(
            "Each of his plates is another splash; the jet stands high on all from 116 to 153 ms."
        ),
        effect=(
            "Near its top the tip hardly moves, so the meeting does not care; what counts for a"
            " frame is when the jet emerges, and that agrees within 1 %."
        ),
    )


def _wobble() -> Doubt:
    crossing, landing, meeting = shifts(AMPLITUDE, PHASES)
    base, moved = (
        ages(
            sum_ages(
                ages_of(
                    rig("timer.start=second drop", *settings, setup_errors=False),
                    setups=64,
                    shots=512,
                )[0]
            )
        ).shot
        for settings in (
            (),
            (f"valve.wobble={AMPLITUDE}", "valve.wobble_phase.shot=within 0.5"),
        )
    )
    return Doubt(
        stage="wobble",
        what="Nobody knows in which phase a drop leaves your nozzle, nor how far it swings",
        size=(
            f"a tenth of the radius moves the crossing by up to"
            f" {_milliseconds(float(np.abs(crossing).max()))}, the landing by"
            f" {_milliseconds(float(np.abs(landing).max()))}, the meeting by"
            f" {_milliseconds(float(np.abs(meeting).max()))}"
        ),
        why=(
            "Drops from a source still swing after 6 m of fall (Chowdhury et al. 2016, Atmos. Res."
            " 168, 158, abstract): a rig is too low for it to die away."
        ),
        effect=(
            "A phase that repeats is trimmed away. One that is anyone's guess in each shot takes"
            f" the sd of the age from {_milliseconds(base)} to {_milliseconds(moved)} where the"
            " second drop starts the timer, and hardly matters where the first one or the valve"
            " does. So valve.wobble is left at 0 unless you give it."
        ),
    )


def _sheet() -> Doubt:
    return Doubt(
        stage="sheet",
        what="Nobody has published a measurement of a drop on a rising jet",
        size="the sheet's size is taken as known to 25 %",
        why="The law is that of a drop on a small solid target, by analogy.",
        effect="It decides the rim's speed, so the smear, and the look; not the timing.",
    )


def _doses() -> tuple[Doubt, ...]:
    return (
        Doubt(
            stage="dose",
            what="Valves are no clean orifices",
            size="0.62 for a sharp edge, 0.82 for a short tube: a third more liquid",
            why="What flows depends on edges that nobody sees.",
            effect="Catch the flow for ten seconds, weigh it and give valve.flow instead.",
        ),
        Doubt(
            stage="dose",
            what="Thick liquids scatter more than the default",
            size="4.5 % for 66 % glycerol, where the default is 1.5 %",
            why="The default is water's.",
            effect="Give the shot spread of the volume with thick liquids.",
        ),
    )


def _liquids() -> tuple[Doubt, ...]:
    off = max(abs(ours / measured - 1.0) for _, ours, measured in by_hand_rows())
    return (
        Doubt(
            stage="liquid",
            what="Glycerol mixed in the kitchen is not what its label says",
            size=f"viscosities of real mixtures were up to {write_percent(off, digits=0)} off",
            why="Glycerol draws water, and a hundredth more of it is 3 to 9 % more viscosity.",
            effect="Small: viscosity enters neither fall nor jet, only the warning for thick ones.",
        ),
        Doubt(
            stage="liquid",
            what="A fresh surface is tighter than an old one",
            size="up to 20 mN/m with milk or soap",
            why="Molecules need time to reach a surface a few milliseconds old.",
            effect="The sheet spreads a little less than told; measure sheets, not dishes.",
        ),
    )


def find_doubts() -> tuple[Doubt, ...]:
    """Return everything that does not agree or cannot be checked, the weightiest first."""
    return (
        _release_speed(),
        _likeness(),
        _jet_range(),
        _sheet(),
        _wobble(),
        _tip(),
        _top(),
        _crater(),
        _rigid_spheres(),
        *light_doubts(),
        *_doses(),
        *_liquids(),
    )
