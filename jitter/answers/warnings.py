"""Where a study is beyond what the model is known to hold for, and what that means."""

from __future__ import annotations

from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import Events, single
from jitter.units.writing import write_difference, write_number, write_value

FROUDE = (106.0, 163.0)
DEPTH = 0.025
LARGEST_DROP = 7e-3
THICK = 5e-3
WIDE_BEAM = 0.5
GHOST = -6.0
FALL_TIME = 1e-6


def find_warnings(study: Study, nominal: Events) -> tuple[str, ...]:
    """Return the warnings of a study, each with what it means for the answer.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of the shot in which nothing strays.

    Returns
    -------
    tuple of str

    References
    ----------
    Froude range: the photographs of Worthington 1895 and 1908 behind the jet's law. Shallow
    pools: Hobbs & Osheroff 1967, Science 158, 1184. Bubble entrapment: Oguz & Prosperetti 1990, J.
    Fluid Mech. 219, 143 (from memory). Drops above 7 mm, liquids above 5 mPa s, beams wider than
    half a drop and ghosts within 6 stops: our own lines, common practice without a source.
    """
    return (*_timing(study, nominal), *_jet(study, nominal), *_rig(study, nominal))


def _timing(study: Study, nominal: Events) -> list[str]:
    found = []
    code = int(nominal["reason"].reshape(-1)[0])
    if code != KEEPER:
        reason = REASONS[code]
        said = f"Even the shot in which nothing strays is no keeper: {reason}."
        age = single(nominal, "age")
        low, high = study.window("keeper.age")
        if reason in ("early", "late"):
            step = write_difference(0.5 * (low + high) - age, "s")
            said += (
                f" Its age is {write_value(age, 's')}; change timer.delay by {step} to reach the"
                " middle of the window."
            )
        elif reason == "no jet":
            landing = single(nominal, "second_landing")
            first, last = single(nominal, "jet_emerges"), single(nominal, "jet_gone")
            said += (
                f" The second drop comes {write_value(landing, 's')} after the first command, but"
                f" the jet stands from {write_value(first, 's')} to {write_value(last, 's')};"
                " change valve.interval."
            )
        found.append(said)
    power, cadence = study.number("flash.power"), study.number("session.cadence")
    recycle = study.number("flash.full_recycle") * power
    if cadence < recycle:
        found.append(
            f"A frame every {write_value(cadence, 's')} is faster than the flash recharges"
            f" ({write_value(recycle, 's')} at this power): every frame after the first is dark."
        )
    return found


def _jet(study: Study, nominal: Events) -> list[str]:
    found = []
    froude, weber = single(nominal, "froude"), single(nominal, "weber")
    if not FROUDE[0] <= froude <= FROUDE[1]:
        found.append(
            f"The first drop lands at Froude number {froude:.0f}; the photographs behind the jet's"
            f" law cover {FROUDE[0]:.0f} to {FROUDE[1]:.0f}. Its times and height are"
            " extrapolated: measure your own jet if the timing matters."
        )
    lower, upper = single(nominal, "bubble_lower"), single(nominal, "bubble_upper")
    if lower < weber < upper:
        found.append(
            f"At Weber number {weber:.0f} (bubble band {lower:.0f} to {upper:.0f}) the crater"
            " regularly traps a bubble and the jet is thin and fast: the law does not hold there."
        )
    depth, ratio = study.number("pool.depth"), single(nominal, "depth_ratio")
    if depth < DEPTH or ratio < 2.0:
        found.append(
            f"The pool is {write_value(depth, 'm')} deep, {write_number(ratio, 2)} crater radii:"
            " the bottom changes the jet. Under 25 mm, or two radii, expect it lower and less"
            " regular than told here."
        )
    viscosity = single(nominal, "viscosity")
    if viscosity > THICK:
        found.append(
            f"The liquid is thick ({write_value(viscosity, 'Pa s')}); the jet's law was found with"
            " water and milk. Expect a lower and later jet; widen the set-up spreads of"
            " jet.time_scale and jet.height_scale, or measure it."
        )
    return found


def _rig(study: Study, nominal: Events) -> list[str]:
    found = []
    for which in ("first", "second"):
        diameter = single(nominal, f"{which}_diameter")
        if diameter > LARGEST_DROP:
            found.append(
                f"The {which} drop is {write_value(diameter, 'm')} wide; drops above"
                f" {write_value(LARGEST_DROP, 'm')} wobble and break up on the way."
            )
    late = max(table.error for table in nominal["fall_table"])
    if late > FALL_TIME:
        found.append(
            f"Drop sizes and heights range so widely here that fall times are good to"
            f" {write_difference(late, 's', digits=2)} only."
        )
    ratio = single(nominal, "beam_ratio")
    if study.entries["timer.start"].nominal != "valve" and ratio > WIDE_BEAM:
        found.append(
            f"The sensor's beam is {write_number(ratio, 2)} of a drop wide: when it counts as"
            " broken is no longer sharp, so the start strays more than told here."
        )
    ghost = single(nominal, "ghost_stops")
    if ghost > GHOST:
        found.append(
            f"The room's light alone exposes the frame {write_number(-ghost, 2)} stops under"
            " mid-grey: expect a second, blurred image. Darken the room or shorten"
            " camera.shutter_open."
        )
    return found
