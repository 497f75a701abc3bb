"""The fall: drag, terminal speeds and fall times."""

from __future__ import annotations

import numpy as np

from jitter.arrays import Array
from jitter.stages.air import air
from jitter.stages.drag import GRAVITY, acceleration, fall_units, sphere_drag
from jitter.stages.fall import Fall, at_rest, fall_duration, fall_speed, let_go
from jitter.stages.fall_fit import fit_fall
from jitter.stages.mixtures import water_density, water_surface_tension
from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.fall_tables import (
    DRAG,
    DRAG_NAMES,
    DRAG_REYNOLDS,
    FALLS,
    GUNN_KINZER,
)
from jitter.validation.rig import shot

STAGE = "fall"
ROOM = 293.15
RIGID = 1e9
"""A surface tension [N/m] that keeps a drop round."""
GUNN_KINZER_SOURCE = "Gunn & Kinzer 1949, J. Meteorol. 6, 243, table 2"
FITTED = Claim(0.0095, "the documentation of the drag law: within 0.9 % from 1.6 to 5.8 mm")


def terminal_speed(diameter: float, *, rigid: bool = False) -> float:
    """Return the speed at which a water drop falls evenly at 20 C and sea level [m/s].

    Parameters
    ----------
    diameter
        [m].
    rigid
        Whether the drop stays a sphere.
    """
    kelvin = np.array(ROOM)
    gas = air(
        air_altitude=None,
        air_pressure=np.array(101325.0),
        air_temperature=None,
        liquid_temperature=kelvin,
    )
    units = fall_units(
        diameter=np.array(diameter),
        density=water_density(np.array(20.0)),
        surface_tension=np.array(RIGID) if rigid else water_surface_tension(kelvin),
        air_density=gas.air_density,
        air_viscosity=gas.air_viscosity,
    )
    low, high = 1e-6, 10.0
    while high - low > 1e-12:
        middle = 0.5 * (low + high)
        if acceleration(np.array(middle), units.archimedes, units.morton) > 0.0:
            low = middle
        else:
            high = middle
    return float(low * (units.length / units.time))


def terminal_checks() -> tuple[Check, ...]:
    """Return terminal speeds against Gunn & Kinzer, flattened and rigid."""
    large = [diameter for diameter in GUNN_KINZER if diameter >= 1.6]
    small = [diameter for diameter in GUNN_KINZER if diameter < 1.6]

    def rows(diameters: list[float], *, rigid: bool = False) -> list[tuple[str, float, float]]:
        return [
            (f"{mm:g} mm", terminal_speed(1e-3 * mm, rigid=rigid), GUNN_KINZER[mm])
            for mm in diameters
        ]

    return (
        *many(
            rows(large),
            stage=STAGE,
            series="terminal speed, drops of 1.6 mm and more",
            unit="m/s",
            uncertainty="0.7 % (from memory)",
            claim=FITTED,
            source=GUNN_KINZER_SOURCE,
            known=Known.PUBLISHED,
            note="The law's flattening was fitted to these rows: they test the fit, no more.",
        ),
        *many(
            rows(small),
            stage=STAGE,
            series="terminal speed, small drops",
            unit="m/s",
            uncertainty="0.7 % (from memory), and half of the last digit",
            claim=Claim(0.05, "what drag curves of spheres differ by among themselves"),
            source=GUNN_KINZER_SOURCE,
            known=Known.PUBLISHED,
            note="No rig here drops them; the smallest are printed to two digits.",
        ),
        *many(
            rows(large, rigid=True),
            stage=STAGE,
            series="terminal speed of rigid spheres (not what jitter uses)",
            unit="m/s",
            uncertainty="0.7 % (from memory)",
            claim=Claim(0.05, "what drag curves of spheres differ by among themselves"),
            source=GUNN_KINZER_SOURCE,
            known=Known.PUBLISHED,
            note="Large drops flatten and fall more slowly than spheres: hence our factor.",
        ),
    )


def drag_checks() -> tuple[Check, ...]:
    """Return the drag of spheres against other laws."""
    checks: list[Check] = []
    for name, published in DRAG.items():
        variant = name == "Clift_Gauvin"
        claim = (
            Claim(0.025, "the documentation of the drag law: within 2.5 % below Re 4000")
            if variant
            else Claim(0.05, "an honest doubt of any drag curve of spheres")
        )
        checks += many(
            [
                (f"Re {reynolds:g}", float(sphere_drag(np.array(reynolds))), theirs)
                for reynolds, theirs in zip(DRAG_REYNOLDS, published, strict=True)
                if not variant or reynolds < 4000.0
            ],
            stage=STAGE,
            series=f"drag of a sphere: {DRAG_NAMES[name]}",
            claim=claim,
            source=f"fluids 1.3.1, drag_sphere, method {name}",
            known=Known.LIBRARY,
            note="" if variant else "The curves differ among themselves by as much.",
        )
    return tuple(checks)


def fall_of(
    millimetres: float, speed: float = 0.0, *, thin: bool = False, rigid: bool = False
) -> Fall:
    """Return the fall of a water drop in the default room, over as much as 1.2 m.

    Parameters
    ----------
    millimetres
        Diameter [mm].
    speed
        At release, up to 0.1 [m/s].
    thin
        Whether there is next to no air.
    rigid
        Whether the drop stays a sphere.
    """
    events = shot()
    units = fall_units(
        diameter=np.array([[1e-3 * millimetres]]),
        density=events["density"],
        surface_tension=np.array([[RIGID]]) if rigid else events["surface_tension"],
        air_density=np.array([[1e-9]]) if thin else events["air_density"],
        air_viscosity=np.array([[1e-14]]) if thin else events["air_viscosity"],
    )
    morton = float(units.morton.item())
    table = fit_fall(
        archimedes=(float(np.log(units.archimedes.item())), 1e-4),
        morton=(morton, 1e-4 * morton),
        distance=1.25 / units.length.item(),
        fastest=0.1 * float((units.time / units.length).item()),
        time=units.time.item(),
    )
    return let_go(at_rest(table=table, units=units), release_speed=np.array([[speed]]))


def _item(value: Array) -> float:
    return float(np.asarray(value).item())


def time_checks() -> tuple[Check, ...]:
    """Return fall times against a second program and against falls without air."""
    times, speeds = [], []
    for millimetres, row in FALLS.items():
        falling = fall_of(millimetres)
        for distance, expected, fast in ((0.127, *row[:2]), (0.610, *row[2:])):
            taken = fall_duration(falling, np.array([[distance]]))
            what = f"{millimetres:g} mm, {1e3 * distance:g} mm down"
            times.append((what, _item(taken), 1e-3 * expected))
            speeds.append((what, _item(fall_speed(falling, taken)), fast))
    empty = []
    for speed in (0.0, 0.05):
        taken = fall_duration(fall_of(4.5, speed, thin=True), np.array([[0.610]]))
        expected = (np.sqrt(speed**2 + 2.0 * GRAVITY * 0.610) - speed) / GRAVITY
        empty.append((f"released at {speed:g} m/s", _item(taken), float(expected)))
    return (
        *many(
            times,
            stage=STAGE,
            series="time to fall",
            unit="s",
            claim=Claim(1e-5, "the digits kept; the law is good to 0.05 ms", relative=False),
            source="tight integration of the same equation, kept apart from the package",
            known=Known.PROGRAM,
        ),
        *many(
            speeds,
            stage=STAGE,
            series="speed of fall",
            unit="m/s",
            claim=Claim(1e-4, "the digits kept", relative=False),
            source="tight integration of the same equation, kept apart from the package",
            known=Known.PROGRAM,
        ),
        *many(
            empty,
            stage=STAGE,
            series="610 mm in next to no air",
            unit="s",
            claim=Claim(1e-6, "the fit's own bound, 1 µs", relative=False),
            source="h = v₀ t + g t²/2",
            known=Known.CLOSED_FORM,
        ),
    )


def constant_drag_checks() -> tuple[Check, ...]:
    """Return the fall equation's own scales against the closed form of constant drag."""
    # With C_D constant the terminal speed in fall units is √(4/(3 C_D)); ours at Re and We of the
    # default impact, by its own coefficient.
    events = shot()
    units = fall_units(
        diameter=events["first_diameter"],
        density=events["density"],
        surface_tension=events["surface_tension"],
        air_density=events["air_density"],
        air_viscosity=events["air_viscosity"],
    )
    pace = float((units.time / units.length).item())
    speed = _item(events["impact_speed"])
    gain = _item(acceleration(np.array([[speed * pace]]), units.archimedes, units.morton))
    density, air_density = _item(events["density"]), _item(events["air_density"])
    diameter = _item(events["first_diameter"])
    reynolds = air_density * speed * diameter / _item(events["air_viscosity"])
    weber = air_density * speed**2 * diameter / _item(events["surface_tension"])
    drag = (
        24.0 / reynolds * (1.0 + 0.15 * reynolds**0.687) + 0.42 / (1.0 + 42500.0 * reynolds**-1.16)
    ) * (1.0 + 0.02278 * weber**1.776)
    force = (density - air_density) * GRAVITY - 0.75 * drag * air_density * speed**2 / diameter
    scale = GRAVITY * (density - air_density) / (density + 0.5 * air_density)
    return many(
        [("as the default drop lands", gain * scale, force / (density + 0.5 * air_density))],
        stage=STAGE,
        series="acceleration",
        unit="m/s2",
        claim=EXACT,
        source="(ρ + ρₐ/2) dv/dt = (ρ - ρₐ) g - ¾ C_D ρₐ v²/D, in plain units",
        known=Known.CLOSED_FORM,
    )


def fall_checks() -> tuple[Check, ...]:
    """Return the checks of the fall."""
    return (*terminal_checks(), *drag_checks(), *time_checks(), *constant_drag_checks())
