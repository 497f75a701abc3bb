"""The numbers that an engineer asks for: closed forms, and none where there is nothing."""

from __future__ import annotations

import math
from functools import cache

import pytest

from jitter.answers.show.numbers import Number, numbers
from jitter.stages import CHAIN
from jitter.study.reader import read_study
from jitter.trial import nominal_shot

GRAVITY = 9.80665
NO_JET, NO_LIGHT = "valve.interval=20 ms", "camera.shutter_open=0.3 s"


@cache
def told(*changes: str) -> tuple[Number, ...]:
    study = read_study("version = 1", source="test", chain=CHAIN, settings=changes)
    return numbers(study, nominal_shot(study, CHAIN))


def numbers_of(answer: tuple[Number, ...]) -> dict[tuple[str, str], float]:
    found = {(number.group, number.name): number.value for number in answer}
    assert len(found) == len(answer)
    return found


def value(answer: tuple[Number, ...], group: str, name: str) -> float:
    return numbers_of(answer)[group, name]


def test_what_an_engineer_asks_for_is_the_closed_form() -> None:
    answer = told()
    density, viscosity, tension = (
        value(answer, "liquid and air", name)
        for name in ("density", "viscosity", "surface tension")
    )
    size = value(answer, "drops", "diameter of the first")
    speed = value(answer, "drops", "speed of the first at impact")
    assert size == pytest.approx(0.0045)
    impact = "impact of the first drop"
    # Closed forms: We = ρ U² D/σ, Fr = U²/(g D), Re = ρ U D/μ, Oh = μ/√(ρ σ D),
    # R_E = D (Fr/3)^(1/4).
    froude = speed**2 / (GRAVITY * size)
    weber = density * speed**2 * size / tension
    length = size * (froude / 3.0) ** 0.25
    for name, expected in (
        ("Weber number", weber),
        ("Froude number", froude),
        ("Reynolds number", density * speed * size / viscosity),
        ("Ohnesorge number", viscosity / math.sqrt(density * tension * size)),
        ("energy length of the crater", length),
        ("depth of the pool over it", 0.040 / length),
    ):
        assert value(answer, impact, name) == pytest.approx(expected, rel=1e-9), name
    # Our fit to Worthington 1895 and 1908: 1.48, 3.27 and 5.06 √(R_E/g), and 2.0 R_E.
    pace = math.sqrt(length / GRAVITY)
    for name, factor in (
        ("emerges after the landing", 1.48),
        ("stands highest after the landing", 3.27),
        ("is gone after the landing", 5.06),
    ):
        assert value(answer, "jet", name) == pytest.approx(factor * pace, rel=1e-9), name
    top = value(answer, "jet", "height of its top")
    assert top == pytest.approx(2.0 * length, rel=1e-9)
    # Closed form: a parabola in the jet's life.
    place = value(answer, "meeting", "place in the jet's life (0: at its top)")
    assert -1.0 < place < 1.0
    assert value(answer, "meeting", "height above the surface") == pytest.approx(
        top * (1.0 - place**2), rel=1e-9
    )


def test_speeds_are_those_of_the_fall() -> None:
    # The centre falls 0.127 m to the beam and 0.610 m to the surface, from rest.
    answer = told(
        "valve.nozzle_height=612.25 mm", "sensor.height=483 mm", "valve.release_speed=0 m/s"
    )
    # reference library: scipy 1.17.1, solve_ivp on the fall equation at 20 °C, as in
    # tests/stages/test_fall.py: 1.5639 and 3.3515 m/s.
    assert value(answer, "drops", "speed at the beam") == pytest.approx(1.5639, abs=6e-5)
    assert value(answer, "drops", "speed of the first at impact") == pytest.approx(3.3515, abs=6e-5)


def test_the_sheet_and_the_picture_are_the_closed_forms() -> None:
    answer = told()
    age = value(answer, "sheet at the light", "age")
    assert 0.0 < age < 0.01
    density, tension = (
        value(answer, "liquid and air", name) for name in ("density", "surface tension")
    )
    size = value(answer, "drops", "diameter of the second")
    weber = density * value(answer, "meeting", "closing speed") ** 2 * size / tension
    assert value(answer, "meeting", "Weber number") == pytest.approx(weber, rel=1e-9)
    # Closed form: R = D/2 (1 + √We a (1 - (√3/2) a)²) with a = age √(6 σ/(ρ D³)), squarely hit;
    # the rim's speed is its derivative.
    pace = math.sqrt(6.0 * tension / (density * size**3))

    def radius(moment: float) -> float:
        a = moment * pace
        return 0.5 * size * (1.0 + math.sqrt(weber) * a * (1.0 - 0.5 * math.sqrt(3.0) * a) ** 2)

    assert value(answer, "sheet at the light", "radius") == pytest.approx(radius(age), rel=1e-9)
    rim = abs(radius(age + 1e-7) - radius(age - 1e-7)) / 2e-7
    assert value(answer, "sheet at the light", "speed of its rim") == pytest.approx(rim, rel=1e-5)
    # Closed form: f/13 (1 + 0.4); 30 µs of wire and the centroid of a pulse cut at 1/64; its t0.1;
    # 1.1686 m v t0.1; 1.7454 λ N_eff; nothing out of focus; their squares add up; pixels of 6 µm.
    cut = -math.log1p(-1.0 / 64.0)
    tenth = 13.22e-6 + 1262.4e-6 * cut
    aperture, motion = 13.0 * 1.4, 1.1686 * 0.4 * rim * tenth
    diffraction = 1.7454 * 0.55e-6 * aperture
    light = 30e-6 + 1262.4e-6 * (1.0 - cut * math.exp(-cut) / -math.expm1(-cut))
    assert value(answer, "light", "command to the pulse's centroid") == pytest.approx(light)
    assert value(answer, "light", "duration t0.1") == pytest.approx(tenth, rel=1e-9)
    assert value(answer, "picture", "working aperture number") == pytest.approx(aperture)
    for name, blur in (
        ("motion blur", motion),
        ("defocus", 0.0),
        ("diffraction", diffraction),
        ("blur in all", math.hypot(motion, diffraction)),
    ):
        sensor = value(answer, "picture", f"{name} on the camera's sensor")
        assert sensor == pytest.approx(blur, rel=1e-5, abs=1e-15), name
        pixels = value(answer, "picture", f"{name} in pixels")
        assert pixels == pytest.approx(sensor / 6e-6, rel=1e-12), name
    # Closed form: E S t/(250 N²) in stops.
    ghost = math.log2(0.05 * 200.0 * 1.5 / (250.0 * aperture**2))
    assert value(answer, "light", "room light against mid-grey") == pytest.approx(ghost)


def test_defocus_is_told_as_a_size() -> None:
    # Closed form: m² |y|/N_eff, whichever side of the plane of focus.
    for focus in ("3 mm", "-3 mm"):
        answer = told(f"camera.focus={focus}")
        sensor = value(answer, "picture", "defocus on the camera's sensor")
        assert sensor == pytest.approx(0.16 * 0.003 / 18.2, rel=1e-9)


@pytest.mark.parametrize(
    ("change", "absent", "present"),
    [
        (NO_JET,
         [("meeting", "height above the surface"), ("sheet at the light", "age"),
          ("picture", "motion blur in pixels"), ("picture", "blur in all in pixels")],
         [("jet", "height of its top"), ("picture", "diffraction in pixels")]),
        # The flash fires all the same, into a shut camera.
        (NO_LIGHT,
         [("sheet at the light", "age"), ("sheet at the light", "radius")],
         [("meeting", "closing speed"), ("light", "command to the pulse's centroid")]),
        ("timer.start=valve",
         [("drops", "speed at the beam")], [("sheet at the light", "age")]),
    ],
    ids=["no jet", "no light", "no beam"],
)  # fmt: skip
def test_what_does_not_exist_is_not_told(
    change: str, absent: list[tuple[str, str]], present: list[tuple[str, str]]
) -> None:
    found = numbers_of(told(change))
    assert set(absent).isdisjoint(found)
    assert set(present) <= set(found)
    assert all(math.isfinite(number) for number in found.values())
    # Told for a rig in which all of it exists.
    assert {*absent, *present} <= set(numbers_of(told()))


def test_the_phase_and_height_of_drops_that_swing() -> None:
    rig = ("valve.wobble=0.1", "valve.wobble_phase=0.2", "timer.start=second drop")
    answer = told(*rig)
    study = read_study("version = 1", source="test", chain=CHAIN, settings=rig)
    events = nominal_shot(study, CHAIN)
    density, tension, viscosity = (
        value(answer, "liquid and air", name)
        for name in ("density", "surface tension", "viscosity")
    )
    # closed form: Rayleigh's ω² = 8 σ/(ρ R³) and Lamb's τ = R² ρ/(5 μ), R = 2.25 mm.
    rate = math.sqrt(8.0 * tension / (density * 0.00225**3))
    damping = 0.00225**2 * density / (5.0 * viscosity)
    light = events["start_time"] - events["sensor_response"]
    for which, place, moment in (
        ("first", "surface", events["first_landing"]),
        ("second", "beam", light),
        ("second", "jet", events["meeting_time"]),
    ):
        elapsed = (moment - events[f"{which}_release"]).item()
        where = f"of the {which} drop at the {place}"
        turns = 0.2 + rate * elapsed / (2.0 * math.pi)
        swing = 0.1 * math.exp(-elapsed / damping) * math.cos(2.0 * math.pi * turns)
        assert turns > 1.0
        phase = value(answer, "oscillation", f"phase {where}, in periods")
        assert phase == pytest.approx(turns % 1.0, abs=1e-6)
        assert value(answer, "oscillation", f"half height over radius {where}") == pytest.approx(
            1.0 + swing, abs=1e-6
        )
    # The first drop starts nothing here, so nobody asks for it at the beam.
    names = {number.name for number in answer}
    assert "phase of the first drop at the beam, in periods" not in names


def test_round_drops_have_no_phase() -> None:
    assert not any(number.group == "oscillation" for number in told())
