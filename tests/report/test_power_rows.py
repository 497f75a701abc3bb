"""The tables of `jitter power`: every cell has its header, what is not there is a dash."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from xml.etree.ElementTree import Element

import numpy as np
import pytest
from rich.console import Group, RenderableType
from rich.table import Table

from jitter.answers.power.answer import PowerAnswer
from jitter.report.power.rows import (
    LOST,
    MANY,
    NONE,
    blur_rows,
    cost_rows,
    hidden,
    keeper_rows,
    light_rows,
    loss_rows,
    means_rows,
    several_rows,
    share_lost,
    shown_rungs,
    streak_rows,
)
from jitter.report.power.screen import LIGHT, power_screen
from jitter.report.power.settings import name_power
from jitter.stages.streak import duration_from_streak
from jitter.stages.verdict import REASONS
from jitter.trial import single
from jitter.units.writing import write_number
from tests.report.power_answers import (
    BARN,
    LOFT,
    RIGS,
    Asked,
    answer,
    best_of,
    page,
    parsed,
    printed,
    reckon,
)


def all_rows(made: PowerAnswer) -> list[tuple[str, ...]]:
    """Return the rows of every table."""
    rows = [*light_rows(made), *keeper_rows(made), *blur_rows(made), *streak_rows(made)]
    rows += [*means_rows(made), *several_rows(made)]
    for means in made.means:
        rows += [*loss_rows(made, means), *cost_rows(made, means)]
    return rows


def tables(part: RenderableType) -> Iterator[Table]:
    """Yield the tables of a screen."""
    if isinstance(part, Table):
        yield part
    elif isinstance(part, Group):
        for each in part.renderables:
            yield from tables(each)


def words(cell: Element) -> str:
    """Return the text of a cell of a page."""
    return "".join(cell.itertext())


@pytest.mark.parametrize("rig", RIGS)
def test_a_page_has_a_header_over_every_cell(rig: str) -> None:
    made = answer(rig)
    found = {
        name: parsed(rig).findall(f".//section[@id='{name}']//table")
        for name in ("keepers", "blur", "costs", "more", "streak")
    }
    told = [len(found[name]) for name in ("keepers", "blur", "costs", "more", "streak")]
    assert told == [2, 2, len(made.means), bool(made.several), 1]
    for one in (each for some in found.values() for each in some):
        headers = [words(cell) for cell in one.findall("./thead/tr/*")]
        rows = one.findall("./tbody/tr")
        assert all(headers[1:])
        assert rows
        for row in rows:
            assert len(row) == len(headers)
            assert all(words(cell).strip() for cell in row)
    powers = [name_power(rung.power) for rung in shown_rungs(made)]
    for one in (found["keepers"][1], *found["blur"], *found["costs"], *found["streak"]):
        first = [words(row[0]).split(" (")[0] for row in one.findall("./tbody/tr")]
        assert first == powers


@pytest.mark.parametrize("width", [60, 80, 140])
@pytest.mark.parametrize("rig", RIGS)
def test_a_screen_has_a_header_over_every_cell(rig: str, width: int) -> None:
    made = answer(rig)
    found = list(tables(power_screen(made, width=width)))
    right = any(tried.setting.reached for rung in made.rungs for tried in rung.tried.values())
    assert len(found) == 2 + right + bool(made.several)
    light, keepers, *rest = found
    names = [str(column.header) for column in light.columns]
    assert names == ([*LIGHT] if width == 140 else ["", "", *(n for n in LIGHT if n in names[2:])])
    assert [str(column.header) for column in keepers.columns][:2] == ["", ""]
    for one in rest:
        assert all(str(column.header) for column in one.columns[2:])
    for one in found:
        # More cells than headers make a column without one, fewer leave cells empty.
        for place, column in enumerate(one.columns):
            assert place == 1 or all(str(cell) for cell in column.cells)


@pytest.mark.parametrize("rig", RIGS)
def test_no_row_says_nan_or_infinity(rig: str) -> None:
    made = answer(rig)
    for row in all_rows(made):
        for cell in row:
            assert not re.search(r"\b(nan|inf)\b", cell)


@pytest.mark.parametrize("rig", RIGS)
def test_what_is_not_there_is_a_dash(rig: str) -> None:
    made = answer(rig)
    for rung, light, blur in zip(shown_rungs(made), light_rows(made), blur_rows(made), strict=True):
        rim = math.isnan(rung.bands.rim.low)
        assert (light[LIGHT.index("rim")] == NONE) is rim
        assert (light[LIGHT.index("tip")] == NONE) is math.isnan(rung.tip)
        assert (blur[2] == NONE) is (blur[3] == NONE) is rim
        assert (blur[5] == NONE) is math.isnan(rung.tip)
        assert NONE not in (light[LIGHT.index("drop")], blur[4])


def test_dashes_are_for_rigs_without_a_sheet_or_a_jet() -> None:
    for rig, cell in (("no jet", "rim"), ("long after the jet", "tip")):
        assert all(row[LIGHT.index(cell)] == NONE for row in light_rows(answer(rig)))
    assert all(NONE not in row for row in light_rows(answer("yours is a neighbour")))


def test_a_room_without_light_draws_no_second_image() -> None:
    dark, lit = (cost_rows(answer(rig), "iso") for rig in ("no room light", "one power"))
    assert [row[-1] for row in dark] == [NONE] * len(dark)
    assert NONE not in [row[-1] for row in lit]


def test_a_depth_without_end_is_said_to_be() -> None:
    made = answer("sharp to no end")
    ends = []
    for rung, row in zip(shown_rungs(made), cost_rows(made, "aperture"), strict=True):
        aperture = rung.tried["aperture"].setting.value
        # closed form: behind the plane all is sharp once c N reaches f m
        endless = 36e-3 / 1200.0 * aperture >= 1e-3 * 0.4
        assert (row[6] == "no end") is endless
        ends.append(endless)
    assert {*ends} == {True, False}


@pytest.mark.parametrize("rig", RIGS)
def test_a_table_shows_every_power_unless_there_are_very_many(rig: str) -> None:
    made = answer(rig)
    many = rig == "very many powers"
    assert (shown_rungs(made) == made.rungs) is not many
    assert bool(hidden(made)) is many


def test_of_very_many_powers_whole_stops_are_shown_and_those_that_matter() -> None:
    made = answer("very many powers")
    assert len(made.rungs) > MANY
    shown = {rung.power for rung in shown_rungs(made)}
    # closed form: halves of full power, down to the lowest
    halves = {2.0**-stop for stop in range(8)}
    best = best_of(made).pick.rung.power
    sides = {other.pick.rung.power for other in made.beside}
    assert len(sides) == 2
    assert best not in halves
    assert shown == halves | {best, made.study.number("flash.power")} | sides
    told = f"{len(made.rungs) - len(shown)} powers between these are in --json"
    assert told in page("very many powers")
    assert told in printed(made, 140)


def test_own_power_between_whole_stops_is_shown() -> None:
    made = reckon(Asked(BARN, ('flash.power="1/64 + 0.3 stop"', "flash.power_step=0.1 stop")))
    own = name_power(made.study.number("flash.power"))
    assert own == "1/64 + 0.3 stop"
    assert own in [row[0] for row in light_rows(made)]


@pytest.mark.parametrize("more", [0, 1])
def test_many_begins_above_its_number(more: int) -> None:
    made = answer("very many powers")
    cut = replace(made, rungs=made.rungs[: MANY + more])
    assert (shown_rungs(cut) == cut.rungs) is (more == 0)


@pytest.mark.parametrize("rig", ["yours is a neighbour", "thirds of a stop", "lower is longer"])
def test_a_streak_tells_the_duration_that_drew_it(rig: str) -> None:
    made = answer(rig)
    size, speed = (single(made.nominal, name) for name in ("magnification", "impact_speed"))
    pixel = made.study.number("camera.pixel")
    for rung, row in zip(shown_rungs(made), streak_rows(made), strict=True):
        # closed form: m v t0.1 on the camera's sensor
        streak = size * speed * rung.tenth
        assert row[2] == write_number(1e6 * rung.tenth, 2)
        assert row[3] == write_number(1e6 * streak, 2)
        assert row[4] == write_number(streak / pixel, 2)
        lengths = (np.array(streak), np.array(0.0), np.array(size), np.array(speed))
        names = ("streak_length", "glint_length", "magnification", "speed")
        told = duration_from_streak(**dict(zip(names, lengths, strict=True)))
        assert float(told) == pytest.approx(rung.tenth, rel=1e-12)
        # closed form: so many pixels, so small a share is one of them
        assert row[5] == f"{write_number(100.0 * pixel / streak, 1)} %"


@pytest.mark.parametrize("rig", RIGS)
def test_losses_and_keepers_are_those_of_the_hits(rig: str) -> None:
    made = answer(rig)
    frames = 32 * 4
    for means in made.means:
        for rung, row in zip(shown_rungs(made), loss_rows(made, means), strict=True):
            hits = rung.tried[means].hits
            assert row[3] == f"{100.0 * hits.keepers('as_set').sum() / frames:.1f} %"
            assert row[4] == f"{100.0 * hits.keepers('as_trimmed').sum() / frames:.1f} %"
            lost = [share_lost(hits, made.way, reason) for reason in LOST]
            assert [*row[5:]] == [f"{100.0 * share:.1f} %" for share in lost]
            # Every frame has one reason, or is kept.
            every = sum(share_lost(hits, made.way, reason) for reason in REASONS)
            assert every + float(hits.shares(made.way).mean()) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("rig", RIGS)
def test_where_gear_ends_the_stops_that_are_missing_stand_for_keepers(rig: str) -> None:
    made = answer(rig)
    limit = made.study.number("keeper.exposure")
    for rung, row in zip(shown_rungs(made), keeper_rows(made), strict=True):
        for place, means in enumerate(made.means):
            setting, cell = rung.tried[means].setting, row[3 + 2 * place]
            assert cell.endswith(" stops") is (abs(setting.off) > limit + 1e-9)
            if cell.endswith(" stops"):
                assert float(cell.removesuffix(" stops")) == pytest.approx(setting.off, abs=0.0501)


def test_a_means_without_a_best_power_says_why() -> None:
    rows = {row[0]: row[1:] for row in means_rows(answer("one means never reaches"))}
    assert rows["by ISO"] == ("none is exposed right", NONE, NONE, NONE)
    rows = {row[0]: row[1:] for row in means_rows(answer("one means keeps nothing"))}
    assert rows["by ISO"] == ("none keeps a frame", NONE, NONE, NONE)
    assert rows["by aperture"][0] == "full"


def test_guide_numbers_are_of_all_flashes_at_a_power() -> None:
    for rung, row in zip(
        shown_rungs(answer("thirds of a stop")),
        cost_rows(answer("thirds of a stop"), "iso"),
        strict=True,
    ):
        # closed form: two flashes of 28 m, light goes with the square
        assert row[2] == f"{write_number(28.0 * math.sqrt(2.0 * rung.power))} m"
    relative = cost_rows(answer("yours is a neighbour"), "iso")
    # closed form: √(64 p) of what it is at 1/64
    assert [row[2] for row in relative[:3]] == ["× 8", "× 5.66", "× 4"]


def test_noise_is_counted_from_the_lowest_speed() -> None:
    made = reckon(Asked(LOFT, ("flash.power_step=1 stop",)))
    rows = {row[0]: row for row in cost_rows(made, "iso")}
    # closed form: log2(160/100), ISO 100 being the lowest
    assert rows["1/64"][3] == "ISO 160"
    assert rows["1/64"][8] == "+0.7"
    assert rows["full"][8] == "0.0"
