"""Each warning stands exactly where its condition holds, and none on a sound rig."""

from __future__ import annotations

import math
import re

import pytest

from jitter.answers.warnings import find_warnings
from jitter.stage import Events
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.trial import nominal_shot, single
from tests.conftest import STUDIES, load

# A part of each warning that stands in no other.
TELLTALES = {
    "no keeper": "nothing strays is no keeper",
    "off the peak": "the jet's top, where the tip moves",
    "sheet gone": "nothing is left to see",
    "recycling": "faster than the flash recharges",
    "Froude": "Froude number",
    "no jet so weak": "throw up no jet",
    "no jet so slow": "lands so gently",
    "no sheet": "too gently for a sheet",
    "bubble": "bubble band",
    "shallow": "the crater reaches for the bottom",
    "thick": "The liquid is thick",
    "large drop": "wobble and break up",
    "wide ranges": "range so widely",
    "wide beam": "The sensor's beam is",
    "warm milk": "Milk's viscosity",
    "shutter": "the shutter is open from",
    "exposure": "than a right exposure",
    "ghost": "room's light alone",
}

# Drops of 4.5 mm land at Froude number 153, as Worthington's did, and meet the jet near its top.
# The window is wide, so that what moves the meeting warns of nothing else but that it outlasts the
# sheet.
SOUND = (
    "timer.start=second drop",
    "timer.delay=151 ms",
    "valve.nozzle_height=360 mm",
    "sensor.height=290 mm",
    "valve.interval=110 ms",
    "keeper.age=['-60 ms', '60 ms']",
)
# Where the user measured the jet, its law and what it was found with no longer matter.
MEASURED = ("jet.time=110 ms", "jet.height=24 mm")
NEEDLE = ("valve.second_diameter=2 mm", "sensor.width=0.1 mm", *MEASURED)


def warned(*settings: str) -> tuple[dict[str, str], Events]:
    """Return the warnings of a rig by kind, and its nominal shot."""
    study = read_study("version = 1", source="test", chain=CHAIN, settings=(*SOUND, *settings))
    nominal = nominal_shot(study, CHAIN)
    found: dict[str, str] = {}
    for warning in find_warnings(study, nominal):
        kinds = [kind for kind, part in TELLTALES.items() if part in warning]
        assert len(kinds) == 1, warning
        assert kinds[0] not in found or kinds == ["large drop"], warning
        found[kinds[0]] = found.get(kinds[0], "") + warning
    if not any(setting.startswith("keeper.age=") for setting in settings):
        del found["sheet gone"]
    return found, nominal


def kinds_of(*settings: str) -> set[str]:
    return set(warned(*settings)[0])


def test_a_sound_rig_is_not_warned_of() -> None:
    assert kinds_of() == set()
    assert kinds_of("keeper.age=['2 ms', '10 ms']") == set()
    assert kinds_of(*MEASURED) == set()


def brink(
    setting: str, event: str, limit: float, low: float, high: float, *others: str
) -> tuple[str, str]:
    """Return the settings between which an event of a rig passes a limit, upwards."""
    for _ in range(10):
        middle = 0.5 * (low + high)
        reached = single(warned(*others, setting.format(middle))[1], event)
        low, high = (middle, high) if reached < limit else (low, middle)
    return setting.format(low), setting.format(high)


# Settings to either side of a limit. Limits: pools of 25 mm *published* (Hobbs & Osheroff 1967,
# read in the abstract); the others *common practice, no source*.
PAIRS = {
    "shallow": ("pool.depth=24.9 mm", "pool.depth=25 mm"),
    "thick": ("liquid.viscosity=5.01 mPa s", "liquid.viscosity=4.99 mPa s"),
    # Half of 4.5 mm.
    "wide beam": ("sensor.width=2.26 mm", "sensor.width=2.24 mm"),
    # Closed form: E S t/(250 N²) = 2^-6 with N = 13 (1 + 0.4), S = 200, t = 1.5 s at 4.313 lx.
    "ghost": ("camera.ambient=4.32 lx", "camera.ambient=4.31 lx"),
}


@pytest.mark.parametrize("kind", PAIRS)
def test_stands_beyond_its_limit_alone(kind: str) -> None:
    beyond, short = PAIRS[kind]
    assert kinds_of(beyond) == {kind}
    assert kinds_of(short) == set()


# published: Worthington 1895, 1908: his photographs cover Froude numbers from 106 to 163.
@pytest.mark.parametrize(("number", "inside"), [(163.0, 0), (106.0, 1)])
def test_the_froude_number_of_the_photographs(number: float, inside: int) -> None:
    # The beam goes with the nozzle, so that the age stays in the window.
    beam = "sensor.height=290 mm" if inside == 0 else "sensor.height=190 mm"
    sides = brink("valve.nozzle_height={} mm", "froude", number, 220.0, 400.0, beam)
    assert kinds_of(beam, sides[inside]) == set()
    found, nominal = warned(beam, sides[1 - inside])
    assert set(found) == {"Froude"}
    speed, size = (single(nominal, name) for name in ("impact_speed", "first_diameter"))
    # closed form: Fr = U²/(g D)
    assert speed**2 / (9.80665 * size) == pytest.approx(number, rel=2e-3)


@pytest.mark.parametrize("which", ["first", "second"])
def test_large_drops(which: str) -> None:
    key = f"valve.{which}_diameter"
    found, _ = warned(*MEASURED, f"{key}=7.01 mm")
    assert set(found) == {"large drop"}
    assert f"The {which} drop" in found["large drop"]
    assert kinds_of(*MEASURED, f"{key}=6.99 mm") == set()


def test_both_drops_may_be_too_large() -> None:
    sizes = [f"valve.{which}_diameter=7.5 mm" for which in ("first", "second")]
    found = warned(*MEASURED, *sizes)[0]["large drop"]
    assert "The first drop" in found
    assert "The second drop" in found


def test_a_pool_under_two_crater_radii_is_shallow_however_deep() -> None:
    tall = ("valve.nozzle_height=610 mm", "sensor.height=483 mm", *MEASURED)
    nominal = warned(*tall)[1]
    size, speed = single(nominal, "first_diameter"), single(nominal, "impact_speed")
    # closed form: R_E = D (Fr/3)^(1/4)
    radius = size * (speed**2 / (9.80665 * size) / 3.0) ** 0.25
    assert 2.0 * radius > 0.025
    assert kinds_of(*tall, f"pool.depth={2e3 * radius - 0.01} mm") == {"shallow"}
    assert kinds_of(*tall, f"pool.depth={2e3 * radius + 0.01} mm") == set()


@pytest.mark.parametrize(("depth", "said"), [("6.9 mm", "much lower"), ("7 mm", "higher than")])
def test_a_film_and_a_shallow_pool_are_told_apart(depth: str, said: str) -> None:
    # published: Hobbs & Osheroff 1967, Science 158, 1184 (read in the abstract): from 25 to 7 mm
    # the jet rises higher the shallower the pool; below 7 mm height and drops fall off sharply.
    assert said in warned(f"pool.depth={depth}")[0]["shallow"]


def tension_at(weber: float, settings: tuple[str, ...]) -> float:
    """Return the surface tension [mN/m] at which a rig's first drop has a Weber number."""
    tension = 50.0
    for _ in range(4):
        tension *= (
            single(warned(*settings, f"liquid.surface_tension={tension} mN/m")[1], "weber") / weber
        )
    return tension


def test_a_weak_impact_throws_up_no_jet() -> None:
    drizzle = ("valve.first_diameter=0.7 mm", *NEEDLE, "valve.interval=120 ms")
    limit = tension_at(64.0, drizzle)
    weak = f"liquid.surface_tension={1.001 * limit} mN/m"
    strong = f"liquid.surface_tension={0.999 * limit} mN/m"
    assert kinds_of(*drizzle, weak) == {"no jet so weak"}
    assert kinds_of(*drizzle, strong) == set()


def test_a_slow_landing_throws_up_no_jet() -> None:
    # published, read second-hand: Michon, Josserand & Séon 2017, Phys. Rev. Fluids 2, 023601.
    low = ("sensor.height=100 mm", "valve.interval=70 ms", "timer.delay=65 ms")
    jet = ("jet.time=60 ms", "jet.height=24 mm")
    slow, fast = brink("valve.nozzle_height={} mm", "froude", 60.0, 110.0, 200.0, *low, *jet)
    assert kinds_of(*low, *jet, slow) == {"no jet so slow"}
    assert kinds_of(*low, *jet, fast) == set()
    # The law is not said to be stretched as well where there may be no jet at all.
    assert "no jet so slow" in kinds_of(*low, slow)
    assert "Froude" not in kinds_of(*low, slow)
    assert "Froude" in kinds_of(*low, fast)


def test_a_gentle_meeting_spreads_no_sheet() -> None:
    # published, read in the abstract: Kharbedia et al. 2025, arXiv 2509.01495.
    small = (*MEASURED, "valve.first_diameter=4.5 mm")
    lower, upper = brink("valve.second_diameter={} mm", "sheet_weber", 60.0, 0.51, 3.0, *small)
    assert "no sheet" in kinds_of(*small, lower)
    assert "no sheet" not in kinds_of(*small, upper)


@pytest.mark.parametrize(
    ("factor", "power", "inside"), [(41.3, 0.179, -1.0), (48.3, 0.247, 1.0)], ids=["lower", "upper"]
)
def test_the_bubble_band(factor: float, power: float, inside: float) -> None:
    rain = ("valve.first_diameter=1.5 mm", *NEEDLE)
    froude = single(warned(*rain)[1], "froude")
    # from memory: Oguz & Prosperetti 1990; Pumphrey & Elmore 1990: 41.3 Fr^0.179 < We < 48.3
    # Fr^0.247. The tension hardly moves the Froude number of so small a drop.
    limit = tension_at(factor * froude**power, rain)
    within = f"liquid.surface_tension={(1.0 + 0.005 * inside) * limit} mN/m"
    outside = f"liquid.surface_tension={(1.0 - 0.005 * inside) * limit} mN/m"
    assert kinds_of(*rain, within) == {"bubble"}
    assert kinds_of(*rain, outside) == set()


def test_milk_is_warned_of_above_thirty_degrees_and_water_is_not() -> None:
    milk = "liquid.kind=milk"
    assert kinds_of(milk, "liquid.temperature=30.1 C") == {"warm milk"}
    assert kinds_of(milk, "liquid.temperature=29.9 C") == set()
    assert kinds_of("liquid.temperature=40 C") == set()


def test_what_the_user_measured_is_no_extrapolation() -> None:
    far = ("valve.nozzle_height=420 mm", "liquid.viscosity=9 mPa s")
    found, _ = warned(*far)
    assert set(found) == {"Froude", "thick"}
    for kind in found:
        assert "times and height are" in found[kind]
    for given, left in ((MEASURED[0], "its height is"), (MEASURED[1], "its times are")):
        found, _ = warned(*far, given)
        assert set(found) == {"Froude", "thick"}
        for kind in found:
            assert left in found[kind].lower(), kind
    assert kinds_of(*far, *MEASURED) == set()


def test_a_thick_liquids_spreads_are_told() -> None:
    # The wide spreads that such a rig gets by itself, or the user's own.
    thick = ("liquid.viscosity=9 mPa s",)
    assert "sd 15 % (time)" in warned(*thick)[0]["thick"]
    assert "sd 50 % (height)" in warned(*thick)[0]["thick"]
    assert "sd 7 % (time)" in warned(*thick, "jet.time_scale.setup='sd 7 %'")[0]["thick"]


@pytest.mark.parametrize(("sign", "when", "change"), [(-1.0, "before", "longer"),
                                                     (1.0, "after", "shorter")])  # fmt: skip
def test_a_meeting_far_from_the_jets_top(sign: float, when: str, change: str) -> None:
    sides = brink("valve.interval={} ms", "peak_share", 0.5 * sign, 85.0, 165.0)
    far, near = sides if sign < 0.0 else sides[::-1]
    found, nominal = warned(far)
    assert set(found) == {"off the peak"}
    assert f" {when} the jet's top" in found["off the peak"]
    assert f"A {change} valve.interval" in found["off the peak"]
    assert kinds_of(near) == set()
    # closed form: half way through its rise the tip moves at 2 H/T times a half, T from the jet's
    # emergence to its top
    rise = single(nominal, "jet_peaks") - single(nominal, "jet_emerges")
    told = re.search(r"moves at ([\d.]+) m/s", found["off the peak"])
    assert told is not None
    assert float(told[1]) == pytest.approx(single(nominal, "jet_top") / rise, rel=2e-3)


def test_a_cadence_faster_than_recycling() -> None:
    # closed form: 600 s at full power, 9.375 s at 1/64.
    slow = "flash.full_recycle=600 s"
    found, _ = warned(slow, "session.cadence=9.37 s")
    assert set(found) == {"recycling", "no keeper"}
    assert "no light" in found["no keeper"]
    assert kinds_of(slow, "session.cadence=9.38 s") == set()


def test_light_outside_the_shutter() -> None:
    light = single(warned()[1], "flash_time")
    # The shutter opens 0.5 s before the first command.
    late = warned(f"camera.shutter_open={light + 0.499} s")[0]
    assert set(late) == {"shutter", "no keeper"}
    assert kinds_of(f"camera.shutter_open={light + 0.501} s") == set()
    early = f"camera.shutter_opens_before={-light - 0.001} s"
    assert kinds_of(early) == {"shutter", "no keeper"}
    assert kinds_of(f"camera.shutter_opens_before={-light + 0.001} s") == set()


@pytest.mark.parametrize(("delay", "word"), [("140 ms", "early"), ("190 ms", "late")])
def test_what_is_said_about_the_delay_helps(delay: str, word: str) -> None:
    window = "keeper.age=['2 ms', '10 ms']"
    found, nominal = warned(window, f"timer.delay={delay}")
    assert set(found) == {"no keeper"}
    assert word in found["no keeper"]
    told = re.search(
        r"Its age is (-?[\d.]+) ms; set timer.delay to ([\d.]+) ms \(now ([\d.]+ ms)\)",
        found["no keeper"],
    )
    assert told is not None
    assert float(told[1]) == pytest.approx(1e3 * single(nominal, "age"), rel=1e-3)
    assert told[3] == delay
    moved = float(told[2])
    nominal = warned(window, f"timer.delay={moved} ms")[1]
    # The delay is told to four digits.
    assert single(nominal, "age") == pytest.approx(0.006, abs=1e-4)
    assert kinds_of(window, f"timer.delay={moved} ms") == set()


def test_a_window_that_outlasts_the_sheet() -> None:
    nominal = warned()[1]
    size, density, tension = (
        single(nominal, name) for name in ("second_diameter", "density", "surface_tension")
    )
    # closed form: R0 + s √We R0 a (1 - (√3/2) a)² is back at R0 when a = 2/√3, in units of
    # τ = √(ρ D³/(6 σ)) (Villermaux & Bossa 2011, J. Fluid Mech. 668, 412, from memory).
    life = 1e3 * math.sqrt(4.0 / 3.0 * density * size**3 / (6.0 * tension))
    assert kinds_of(f"keeper.age=['2 ms', '{0.999 * life} ms']") == set()
    found, _ = warned(f"keeper.age=['2 ms', '{1.001 * life} ms']")
    assert set(found) == {"sheet gone"}
    assert "Every keeper" not in found["sheet gone"]
    told = re.search(r"gone after ([\d.]+) ms", found["sheet gone"])
    assert told is not None
    assert float(told[1]) == pytest.approx(life, rel=1e-3)
    found, _ = warned(f"keeper.age=['{1.001 * life} ms', '{1.5 * life} ms']")
    assert set(found) == {"no keeper", "sheet gone"}
    assert "Every keeper" in found["sheet gone"]


@pytest.mark.parametrize("study", sorted(path.stem for path in STUDIES.glob("*.toml")))
def test_no_shipped_study_wants_a_sheet_that_is_gone(study: str) -> None:
    rig = load(study)
    warnings = find_warnings(rig, nominal_shot(rig, CHAIN))
    assert not any(TELLTALES["sheet gone"] in warning for warning in warnings)


@pytest.mark.parametrize("interval", [30.0, 250.0])
def test_what_is_said_about_a_missing_jet_helps(interval: float) -> None:
    found, _ = warned(f"valve.interval={interval} ms")
    # What has no age cannot be off the peak either.
    assert set(found) == {"no keeper"}
    told = re.search(
        r"no jet\. The second drop comes ([\d.]+) ms .* stands from ([\d.]+) ms to ([\d.]+) ms",
        found["no keeper"],
    )
    assert told is not None
    drop, first, last = (float(moment) for moment in told.groups())
    assert not first <= drop <= last
    again = interval + 0.5 * (first + last) - drop
    assert kinds_of(f"valve.interval={again} ms") == set()


def test_another_reason_is_told_without_advice_about_time() -> None:
    found, _ = warned("flash.energy=2")
    assert set(found) == {"no keeper", "exposure"}
    said = "Even the shot in which nothing strays is no keeper: wrong exposure."
    assert found["no keeper"] == said


@pytest.mark.parametrize(("stops", "side", "to"), [(1.5, "more", "close"), (-0.7, "less", "open")])
def test_what_is_said_about_the_exposure_helps(stops: float, side: str, to: str) -> None:
    # closed form: 1/64 and ISO 200 at f/13 × 1.4 and 40 cm want a guide number of 41.2 m.
    right = 13.0 * 1.4 * 0.4 * 32.0**0.5
    guide = right * 2.0 ** (0.5 * stops)
    lit = (f"flash.guide_number={guide} m", "flash.distance=40 cm")
    found, _ = warned(*lit)
    assert set(found) == {"no keeper", "exposure"}
    told = re.search(rf"gives ([\d.]+) stops {side} light .*: {to} the aperture", found["exposure"])
    assert told is not None
    assert float(told[1]) == pytest.approx(abs(stops))
    moved = 13.0 * 2.0 ** (0.5 * (float(told[1]) if side == "more" else -float(told[1])))
    assert kinds_of(*lit, f"camera.aperture=f/{moved}") == set()


@pytest.mark.parametrize("sign", [-1.0, 1.0])
def test_the_exposure_is_warned_of_beyond_what_a_keeper_may_have(sign: float) -> None:
    # closed form: half a stop is a factor of √2.
    for stops, kinds in ((0.501, {"no keeper", "exposure"}), (0.499, set())):
        assert kinds_of(f"flash.energy={2.0 ** (sign * stops)}") == kinds


def test_no_beam_is_too_wide_for_a_rig_without_one() -> None:
    wide = "sensor.width=4 mm"
    assert kinds_of(wide) == {"wide beam"}
    assert kinds_of(wide, "timer.start=valve", "timer.delay=380 ms") == set()


def test_ranges_too_wide_for_the_fall() -> None:
    wide = ("valve.first_volume={nominal='20 ul', setup='lognormal sd 1'}",)
    tall = "valve.nozzle_height={nominal='2 m', setup='within 1 m'}"
    assert "wide ranges" not in kinds_of(*wide)
    found, nominal = warned(*wide, tall)
    error = max(table.error for table in nominal["fall_table"])
    assert error > 1e-6
    told = re.search(r"good to ([\d.]+) µs only", found["wide ranges"])
    assert told is not None
    assert float(told[1]) == pytest.approx(1e6 * error, rel=0.05)


@pytest.mark.parametrize("name", ["barn-table", "church-hall-inches", "garage-second-drop"])
def test_tall_shipped_rigs_are_warned_of_their_froude_number_alone(name: str) -> None:
    study = load(name)
    nominal = nominal_shot(study, CHAIN)
    (warning,) = find_warnings(study, nominal)
    assert f"Froude number {math.floor(single(nominal, 'froude') + 0.5)}" in warning
