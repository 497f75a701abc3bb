"""Where a study is beyond what the model is known to hold for, and what that means."""

from __future__ import annotations

import math

from jitter.stage import Events
from jitter.stages.jet import THICK
from jitter.stages.look import LEAST_SHEET
from jitter.stages.verdict import KEEPER, REASONS
from jitter.study.study import Study
from jitter.trial import single
from jitter.units.writing import write_difference, write_number, write_spread, write_value

FROUDE = (106.0, 163.0)
DEPTH, SHALLOW = 0.025, 0.007
LARGEST_DROP = 7e-3
LEAST_WEBER = 64.0
LEAST_FROUDE = 60.0
WARM_MILK = 303.15
OFF_PEAK = 0.5
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
    pools: Hobbs & Osheroff 1967, Science 158, 1184 (read in the abstract). Bubble entrapment: Oguz
    & Prosperetti 1990, J. Fluid Mech. 219, 143 (read second-hand). No jet below a Weber number of
    64: Hsiao, Lichter & Quintero 1988, Phys. Fluids 31, 3560 (read in the abstract; their Weber
    number is the root of ours). No jet below a Froude number of 60: Michon, Josserand & Séon 2017,
    Phys. Rev. Fluids 2, 023601 (read second-hand). No sheet below a Weber number of 60: Kharbedia
    et al. 2025, arXiv 2509.01495, of drops set spreading (read in the abstract; theirs is of the
    spreading alone, so that ours is larger). The sheet's life: `jitter.stages.sheet`. Milk above
    30 C: the end of the data of Bakshi & Smith 1984. Drops above 7 mm, liquids above 5 mPa s,
    beams wider than half a drop, meetings halfway from the jet's top and ghosts within 6 stops: our
    own lines, common practice without a source.
    """
    return (
        *_timing(study, nominal),
        *_jet(study, nominal),
        *_rig(study, nominal),
        *_light(study, nominal),
    )


def unaimed(study: Study, nominal: Events) -> str:
    """Return what is wrong where even the shot in which nothing strays is no keeper, or nothing.

    Parameters
    ----------
    study
        The rig.
    nominal
        Events of that shot.
    """
    code = int(nominal["reason"].reshape(-1)[0])
    if code == KEEPER:
        return ""
    reason = REASONS[code]
    said = f"Even the shot in which nothing strays is no keeper: {reason}."
    if reason in ("early", "late"):
        age, delay = single(nominal, "age"), study.number("timer.delay")
        low, high = study.window("keeper.age")
        aimed = delay + 0.5 * (low + high) - age
        said += (
            f" Its age is {write_value(age, 's')}; set timer.delay to {write_value(aimed, 's')}"
            f" (now {write_value(delay, 's')}) to bring it to the middle of the window."
        )
    elif reason == "no jet":
        landing = single(nominal, "second_landing")
        first, last = single(nominal, "jet_emerges"), single(nominal, "jet_gone")
        said += (
            f" The second drop comes {write_value(landing, 's')} after the first command, but"
            f" the jet stands from {write_value(first, 's')} to {write_value(last, 's')};"
            " change valve.interval."
        )
    return said


def _timing(study: Study, nominal: Events) -> list[str]:
    found = [*filter(None, (unaimed(study, nominal),))]
    share = single(nominal, "peak_share")
    if abs(share) > OFF_PEAK:
        when = "before" if share < 0.0 else "after"
        late = abs(single(nominal, "meeting_time") - single(nominal, "jet_peaks"))
        rise = abs(2.0 * single(nominal, "jet_top") * share) / (
            single(nominal, "jet_peaks") - single(nominal, "jet_emerges")
        )
        found.append(
            f"Drop and jet meet {write_difference(late, 's')} {when} the jet's top, where the tip"
            f" moves at {write_difference(rise, 'm/s')}: the height of the meeting strays with"
            " every error of time, and near the jet's ends some frames have none."
            f" {_towards_peak(share)}"
        )
    first, last = study.window("keeper.age")
    life = single(nominal, "sheet_life")
    if last > life:
        every = "Every keeper would be such a frame." if first > life else ""
        found.append(
            f"Frames up to {write_value(last, 's')} after the meeting are wanted, but the sheet is"
            f" gone after {write_value(life, 's')}: later ones are counted as keepers though"
            f" nothing is left to see in them. {every}".rstrip()
            + " Let keeper.age end before the sheet is gone."
        )
    power, cadence = study.number("flash.power"), study.number("session.cadence")
    recycle = study.number("flash.full_recycle") * power
    if cadence < recycle:
        found.append(
            f"A frame every {write_value(cadence, 's')} is faster than the flash recharges"
            f" ({write_value(recycle, 's')} at this power): every frame after the first is dark."
        )
    return found


def _towards_peak(share: float) -> str:
    longer = "longer" if share < 0.0 else "shorter"
    return f"A {longer} valve.interval brings it nearer to the top."


def _jet(study: Study, nominal: Events) -> list[str]:
    found = []
    froude, weber = single(nominal, "froude"), single(nominal, "weber")
    by_law = [
        what
        for what, key in (("times", "jet.time_scale"), ("height", "jet.height_scale"))
        if study.entries[key].nominal is not None
    ]
    laws = f"{' and '.join(by_law)} {'are' if len(by_law) > 1 or by_law == ['times'] else 'is'}"
    if froude < LEAST_FROUDE:
        found.append(
            f"The first drop lands so gently (Fr {froude:.0f}) that its crater may close without a"
            f" jet: jets were seen from about Fr {LEAST_FROUDE:.0f} on. Raise the nozzle."
        )
    elif by_law and not FROUDE[0] <= froude <= FROUDE[1]:
        found.append(
            f"The first drop lands at Froude number {froude:.0f}; the photographs behind the jet's"
            f" law cover {FROUDE[0]:.0f} to {FROUDE[1]:.0f}. Its {laws} extrapolated: photograph"
            " your own jet and give jet.time and jet.height if the timing matters."
        )
    if weber < LEAST_WEBER:
        found.append(
            f"At Weber number {weber:.0f}, under {LEAST_WEBER:.0f}, a drop is known to sink in as"
            " a ring of turning liquid and to throw up no jet: expect no meeting at all. Raise the"
            " nozzle or make larger drops."
        )
    lower, upper = single(nominal, "bubble_lower"), single(nominal, "bubble_upper")
    if lower < weber < upper:
        found.append(
            f"At Weber number {weber:.0f} (bubble band {lower:.0f} to {upper:.0f}) the crater"
            " regularly traps a bubble and the jet is thin and fast: the law does not hold there."
        )
    depth, ratio = study.number("pool.depth"), single(nominal, "depth_ratio")
    if depth < DEPTH or ratio < 2.0:
        how = (
            "much lower, with fewer drops shed"
            if depth < SHALLOW
            else "higher than told here, and less regular"
        )
        found.append(
            f"The pool is {write_value(depth, 'm')} deep, {write_number(ratio, 2)} crater radii:"
            f" the crater reaches for the bottom. Expect a jet that is {how}. Fill it deeper than"
            " 25 mm and two radii, or measure the jet."
        )
    viscosity = single(nominal, "viscosity")
    if by_law and viscosity > THICK:
        found.append(
            f"The liquid is thick ({write_value(viscosity, 'Pa s')}); the jet's law was found with"
            f" water and milk, so its {laws} a guess, with set-up spreads of"
            f" {_wide(study, 'jet.time_scale')} (time) and {_wide(study, 'jet.height_scale')}"
            " (height). Photograph your own jet and give jet.time and jet.height."
        )
    sheet = single(nominal, "sheet_weber")
    if sheet < LEAST_SHEET and not math.isnan(single(nominal, "meeting_time")):
        found.append(
            f"Drop and jet meet too gently for a sheet (Weber number {sheet:.0f}, sheets form from"
            f" about {LEAST_SHEET:.0f} on): what is told of the sheet's size and smear does not"
            " hold. Raise the nozzle or make larger drops."
        )
    return found


def _wide(study: Study, key: str) -> str:
    entry = study.entries[key]
    return "none" if entry.nominal is None else write_spread(entry.setup, "1")


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
    warm = study.number("liquid.temperature") > WARM_MILK
    if warm and study.entries["liquid.kind"].nominal == "milk":
        found.append(
            "Milk's viscosity was measured up to 30 °C only; what is told here for warmer milk is"
            " extrapolated and too thin above 40 °C. It matters little for thin liquids."
        )
    return found


def _light(study: Study, nominal: Events) -> list[str]:
    found = []
    light = single(nominal, "flash_time")
    opens = -study.number("camera.shutter_opens_before")
    shuts = opens + study.number("camera.shutter_open")
    if light < opens or light > shuts:
        found.append(
            f"The light falls {write_value(light, 's')} after the first valve command, but the"
            f" shutter is open from {write_value(opens, 's')} to {write_value(shuts, 's')}: the"
            " frames stay black. Change camera.shutter_opens_before or camera.shutter_open."
        )
    off, limit = math.log2(single(nominal, "exposure")), study.number("keeper.exposure")
    if abs(off) > limit:
        side, to = ("more", "close") if off > 0.0 else ("less", "open")
        found.append(
            f"The flash gives {write_number(abs(off), 2)} stops {side} light than a right exposure:"
            f" {to} the aperture by as much, or change the power, the ISO or the distance (jitter"
            " power finds what fits)."
        )
    ghost = single(nominal, "ghost_stops")
    if ghost > GHOST:
        found.append(
            f"The room's light alone exposes the frame {write_number(-ghost, 2)} stops under"
            " mid-grey: expect a second, blurred image. Darken the room or shorten"
            " camera.shutter_open."
        )
    return found
