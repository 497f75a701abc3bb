"""Rigs whose values are each possible and together are not: refused, and what is next to them not.

Unlabelled numbers are inputs; limits of drops are the declared spheres of 0.5 and 9 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from jitter.errors import Fault
from jitter.stages import CHAIN
from jitter.study.sense import nominal_sizes
from jitter.study.study import Study

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]

WEIGHED = ("liquid.density=1000 kg/m3", "valve.weighed_drops=10")
POURED = ("valve.flow=1 ml/s", "valve.dead_time=2 ms", "valve.interval=1 s")
ORIFICE = (
    "valve.orifice=1 mm",
    "valve.discharge=0.6",
    "valve.dead_time=0 ms",
    "reservoir.head=200 mm",
    "valve.interval=1 s",
)


def _sphere(volume: float) -> float:
    """Return the diameter of a sphere; closed form."""
    return math.cbrt(6.0 / math.pi * volume)


def _volume(millimetres: float) -> float:
    """Return the volume of a sphere [m3]; closed form."""
    return math.pi / 6.0 * (1e-3 * millimetres) ** 3


def _settings(which: str, way: str, diameter: float) -> tuple[str, ...]:
    """Return a rig whose one drop comes out so many millimetres wide; closed forms."""
    volume = _volume(diameter)
    if way == "mass":
        # Ten drops of 1000 kg/m3.
        return (*WEIGHED, f"valve.{which}_mass={1e6 * 10.0 * 1000.0 * volume!r} mg")
    if way == "opening, flow":
        # V = Q (t - t_x) at 1 mL/s and 2 ms.
        return (*POURED, f"valve.{which}_opening={volume / 1e-6 + 2e-3!r} s")
    # V = C_d π/4 d² √(2 g h) t.
    flow = 0.6 * math.pi / 4.0 * 0.001**2 * math.sqrt(2.0 * 9.80665 * 0.2)
    return (*ORIFICE, f"valve.{which}_opening={volume / flow!r} s")


WAYS = ["mass", "opening, flow", "opening, orifice"]


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("which", ["first", "second"])
@pytest.mark.parametrize("diameter", [0.6, 4.0, 8.95])
def test_a_drop_is_as_large_as_its_mass_or_open_time_makes_it(
    read: Read, which: str, way: str, diameter: float
) -> None:
    sizes = nominal_sizes(read("version = 1\n", *_settings(which, way, diameter)), CHAIN)
    assert sizes is not None
    assert sizes[which == "second"] == pytest.approx(1e-3 * diameter, rel=1e-9)
    # The other drop is the usual one of 4.5 mm.
    assert sizes[which == "first"] == pytest.approx(4.5e-3, rel=1e-9)


@pytest.mark.parametrize("way", WAYS[:2])
@pytest.mark.parametrize("which", ["first", "second"])
@pytest.mark.parametrize(
    ("diameter", "words"),
    [(0.49, "of 0.5 mm or less"), (0.3, "of 0.5 mm or less"), (9.05, "of 9 mm or more")],
)
def test_a_drop_of_impossible_size_is_refused(
    faults_of: FaultsOf, which: str, way: str, diameter: float, words: str
) -> None:
    (fault,) = faults_of("version = 1\n", *_settings(which, way, diameter))
    assert fault.key == f"valve.{which}_{way.partition(',')[0]}"
    assert words in fault.wrong
    assert "from 0.5 mm to 9 mm" in fault.right
    blamed = "valve.weighed_drops" if way == "mass" else "valve.dead_time and valve.flow"
    assert blamed in fault.right


def test_an_open_time_within_the_dead_time_makes_no_drop(faults_of: FaultsOf) -> None:
    text = '[valve]\ndead_time = "5 ms"\nsecond_opening = "4 ms"\n'
    (fault,) = faults_of("version = 1\n" + text)
    assert (fault.key, fault.line) == ("valve.second_opening", 4)
    assert "valve.orifice and valve.discharge" in fault.right


def test_a_size_in_doubt_is_no_second_fault(faults_of: FaultsOf) -> None:
    text = '[valve]\nfirst_opening = "1 ms"\ndead_time = "2 mm"\n'
    (fault,) = faults_of("version = 1\n" + text)
    assert fault.key == "valve.dead_time"
    (fault,) = faults_of('version = 1\n[valve]\nfirst_mass = "5 g"\nweighed_drops = 0.5\n')
    assert fault.key == "valve.weighed_drops"


@pytest.mark.parametrize("key", ["valve.first_diameter", "valve.first_volume", "valve.first_mass"])
def test_nothing_is_judged_by_a_drop_in_doubt(faults_of: FaultsOf, key: str) -> None:
    # 3 mm beside the fall line misses the usual drop of 4.5 mm.
    (fault,) = faults_of(f'version = 1\n{key} = "5 s"\nsensor.offset = "3 mm"\n')
    assert fault.key == key


def test_a_weighed_drop_is_judged_against_the_rest_of_the_rig(faults_of: FaultsOf) -> None:
    # Closed form: 10 drops of 2 mm and 1000 kg/m3; half of 2 mm is 1 mm.
    (fault,) = faults_of("version = 1\n", *_settings("second", "mass", 2.0), "sensor.offset=1.1 mm")
    assert fault.key == "sensor.offset"
    assert "under 1 mm" in fault.right


@pytest.mark.parametrize(("opening", "refused"), [("98 ms", False), ("99 ms", True)])
def test_the_valve_closes_before_it_opens_again(
    read: Read, faults_of: FaultsOf, opening: str, refused: bool
) -> None:
    # At the usual interval of 99 ms.
    settings = ("valve.flow=1 ml/s", f"valve.first_opening={opening}")
    if refused:
        (fault,) = faults_of("version = 1\n", *settings)
        assert fault.key == "valve.first_opening"
        assert "(99 ms)" in fault.wrong
    else:
        assert read("version = 1\n", *settings)


@pytest.mark.parametrize("power", ["1/2", "1/64"])
def test_a_full_discharge_has_no_power(read: Read, faults_of: FaultsOf, power: str) -> None:
    text = f'[flash]\nkind = "full discharge"\npower = "{power}"\n'
    (fault,) = faults_of("version = 1\n" + text)
    assert (fault.key, fault.line) == ("flash.power", 4)
    assert f"no power setting of {power}" in fault.wrong
    for kind in ("quenched", "voltage-controlled"):
        assert read("version = 1\n" + text.replace("full discharge", kind))
    assert read("version = 1\n" + text.replace(f'"{power}"', "1"))


TABLE = '[["1/32", "100 us"], ["1/4", "500 us"]]'


@pytest.mark.parametrize("key", ["flash.half_durations", "flash.tenth_durations"])
@pytest.mark.parametrize(
    ("power", "inside"),
    [("1/32", True), ("1/16", True), ("1/4", True), ("1/33", False), ("1/64", False), ("1", False)],
)
def test_the_power_is_inside_the_table(
    read: Read, faults_of: FaultsOf, key: str, power: str, inside: bool
) -> None:
    text = f'version = 1\nflash.power = "{power}"\n{key} = {TABLE}\n'
    if inside:
        assert read(text)
        return
    (fault,) = faults_of(text)
    assert (fault.key, fault.line) == ("flash.power", 2)
    assert f"the power {power} is outside the table {key}" in fault.wrong
    assert "from 1/32 to 1/4" in fault.right


def test_a_power_or_a_table_in_doubt_is_no_second_fault(faults_of: FaultsOf) -> None:
    (fault,) = faults_of(f"version = 1\nflash.power = 2\nflash.half_durations = {TABLE}\n")
    assert fault.key == "flash.power"
    faulty = '[["1/32", "100 mm"], ["1/4", "500 us"]]'
    (fault,) = faults_of(f"version = 1\nflash.half_durations = {faulty}\n")
    assert fault.key == "flash.half_durations"


MEASURED = {
    "liquid.viscosity": "liquid.viscosity=50 mPa s",
    "liquid.surface_tension": "liquid.surface_tension=60 mN/m",
}


@pytest.mark.parametrize("missing", [[*MEASURED], *([key] for key in MEASURED)])
def test_thickened_water_is_measured(read: Read, faults_of: FaultsOf, missing: list[str]) -> None:
    given = [setting for key, setting in MEASURED.items() if key not in missing]
    text = 'version = 1\nliquid.kind = "thickened water"\n'
    (fault,) = faults_of(text, *given)
    assert (fault.key, fault.line) == ("liquid.kind", 2)
    assert fault.right == f"measure and give {' and '.join(missing)} too"
    assert read(text, *MEASURED.values())


@pytest.mark.parametrize("kind", ["milk", "thickened water"])
@pytest.mark.parametrize(
    "glycerol", ['"20 %"', '{ setup = "sd 1 %" }', '{ shot = "sd 1 %" }', '{ drift = "1 %" }']
)
def test_only_water_knows_glycerol(
    read: Read, faults_of: FaultsOf, kind: str, glycerol: str
) -> None:
    text = f'version = 1\nliquid.kind = "{kind}"\nliquid.glycerol = '
    measured = tuple(MEASURED.values()) if kind != "milk" else ()
    (fault,) = faults_of(text + glycerol, *measured)
    assert (fault.key, fault.line) == ("liquid.glycerol", 3)
    assert f"the law for {kind} knows no glycerol" in fault.wrong
    assert read(text + "0", *measured)
    assert read(text.replace(kind, "water") + glycerol)


def test_the_surface_rises_for_one_reason(read: Read, faults_of: FaultsOf) -> None:
    text = 'version = 1\npool.level_drift = "0.01 mm"\n'
    (fault,) = faults_of(text, "pool.level.drift=0.01 mm")
    assert (fault.key, fault.line) == ("pool.level_drift", 2)
    assert read(text)
    assert read("version = 1", "pool.level.drift=0.01 mm")
