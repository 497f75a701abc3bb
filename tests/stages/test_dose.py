"""The dose: volumes by weight, by open time and by the orifice law; and their reach."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.draws.values import reaches
from jitter.stages import CHAIN
from jitter.stages.dose import (
    DROP_SCATTER,
    LARGEST,
    SMALLEST,
    STAGE,
    Dose,
    dose_reach,
    orifice_flow,
)
from jitter.study.reader import read_study
from jitter.study.study import Study

HEAD, DENSITY = 0.150, 998.2
REACHED = ("reservoir_head_nominal", "density")


def flat(number: float) -> Any:
    return np.array([[number]])


def pair(first: float, second: float) -> Any:
    return np.array([[[first]], [[second]]])


def made(**given_ones: Any) -> Dose:
    """Return the doses of what is given, all else being absent."""
    absent = {name: None for name in STAGE.needs if name not in REACHED}
    here = {"reservoir_head_nominal": HEAD, "density": flat(DENSITY)}
    found: Dose = STAGE.work(**absent | here | given_ones)  # type: ignore[assignment]
    return found


def test_a_volume_is_itself() -> None:
    doses = made(valve_first_volume=flat(4e-8), valve_second_volume=flat(5e-8))
    assert (doses.first_dose.item(), doses.second_dose.item()) == (4e-8, 5e-8)


@given(drops=st.integers(1, 500), density=st.floats(700.0, 1500.0), volume=st.floats(1e-9, 3e-7))
@settings(deadline=None, max_examples=50)
def test_a_weighing_shares_its_mass_out(drops: int, density: float, volume: float) -> None:
    mass = drops * density * volume
    doses = made(
        valve_first_mass=flat(mass),
        valve_second_mass=flat(0.5 * mass),
        valve_weighed_drops=float(drops),
        density=flat(density),
    )
    # closed form: V = m/(N ρ)
    assert doses.first_dose.item() == pytest.approx(volume)
    assert doses.second_dose.item() == pytest.approx(0.5 * volume)


@given(flow=st.floats(1e-7, 3e-6), opening=st.floats(0.005, 0.05), dead=st.floats(-0.002, 0.003))
@settings(deadline=None, max_examples=50)
def test_an_open_valve_pours_its_flow_but_for_the_dead_time(
    flow: float, opening: float, dead: float
) -> None:
    doses = made(
        valve_first_opening=flat(opening),
        valve_second_opening=flat(2.0 * opening),
        valve_dead_time=flat(dead),
        valve_flow=pair(flow, 1.1 * flow),
    )
    # closed form: V = Q (t - t_x)
    assert doses.first_dose.item() == pytest.approx(max(flow * (opening - dead), SMALLEST))
    assert doses.second_dose.item() == pytest.approx(1.1 * flow * (2.0 * opening - dead))


def test_without_a_flow_the_orifice_law_tells_it() -> None:
    doses = made(
        valve_first_opening=flat(0.05),
        valve_second_opening=flat(0.05),
        valve_dead_time=flat(0.002),
        valve_orifice=flat(1.1e-3),
        valve_discharge=pair(0.6, 0.7),
    )
    # closed form: Q = C_d (π/4) d² √(2 g h)
    speed = np.sqrt(2.0 * 9.80665 * HEAD)
    for dose, coefficient in zip(doses, (0.6, 0.7), strict=True):
        flow = coefficient * np.pi * (0.55e-3) ** 2 * speed
        assert dose.item() == pytest.approx(flow * 0.048)


def test_the_flow_goes_with_the_root_of_the_head_and_the_square_of_the_width() -> None:
    base = orifice_flow(orifice=np.array(1e-3), discharge=np.array(0.62), head=0.1)
    assert orifice_flow(orifice=np.array(2e-3), discharge=np.array(0.62), head=0.1) == (
        pytest.approx(4.0 * base)  # closed form: d²
    )
    assert orifice_flow(orifice=np.array(1e-3), discharge=np.array(0.62), head=0.4) == (
        pytest.approx(2.0 * base)  # closed form: √h
    )


def test_what_leads_beyond_a_drop_is_held() -> None:
    doses = made(
        valve_first_mass=flat(1e-7),
        valve_second_opening=flat(1.0),
        valve_dead_time=flat(0.0),
        valve_flow=pair(1e-6, 1e-6),
        valve_weighed_drops=100.0,
    )
    assert (doses.first_dose.item(), doses.second_dose.item()) == (SMALLEST, LARGEST)


def test_a_drop_that_nobody_stated_is_a_fault() -> None:
    with pytest.raises(ValueError, match="needs a volume"):
        made(valve_first_volume=flat(4e-8))


def read(*given_ones: str) -> Study:
    return read_study("version = 1", source="test", chain=CHAIN, settings=given_ones)


@pytest.mark.parametrize(
    "rig",
    [
        (),
        ("valve.first_mass=4.8 g", "valve.second_mass=4 g"),
        ("valve.first_opening=50 ms", "valve.second_opening=40 ms", "valve.flow=1 ml/s"),
        ("valve.first_opening=50 ms", "valve.second_mass=4 g"),
    ],
)
def test_no_draw_leaves_the_reach(rig: tuple[str, ...]) -> None:
    ends = reaches(read(*rig)) | {"density": (990.0, 1002.0)}
    (first, second) = dose_reach(ends)
    rng = np.random.default_rng(4)
    per_drop = {"valve_flow", "valve_discharge"}
    drawn: dict[str, Any] = {}
    for name in STAGE.needs:
        here = ends[name]
        if isinstance(here, tuple):
            size = (2, 1, 500) if name in per_drop else (1, 500)
            low, high = here
            drawn[name] = rng.uniform(low, high, size)
        else:
            drawn[name] = here
    drawn["valve_weighed_drops"] = ends.get("valve_weighed_drops_nominal")
    doses: Any = STAGE.work(**drawn)
    for dose, (least, most) in zip(doses, (first, second), strict=True):
        assert least < most
        assert (least <= dose).all()
        assert (dose <= most).all()


@pytest.mark.parametrize("drops", [1, 25, 400])
def test_a_weighing_is_as_doubtful_as_the_balance_and_the_few_drops(drops: int) -> None:
    grams = 0.048 * drops
    entry = read(f"valve.first_mass={grams} g", f"valve.weighed_drops={drops}").entries[
        "valve.first_mass"
    ]
    # closed form: u² = a²/3 + (s m/√N)², with a = 0.01 g and s = 1.5 %.
    expected = np.hypot(1e-5 / np.sqrt(3.0), DROP_SCATTER * 1e-3 * grams / np.sqrt(drops))
    assert entry.setup.size == pytest.approx(expected)
    told = read(f"valve.first_mass={{nominal='{grams} g', setup='within 1 mg'}}")
    assert told.entries["valve.first_mass"].setup.size == pytest.approx(1e-6)
