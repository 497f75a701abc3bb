"""What `jitter power` says: screen, page and document, of rigs of every sort."""

from __future__ import annotations

import html
import json
import math
import re
import warnings
from dataclasses import replace
from itertools import pairwise
from typing import Any

import html5lib
import pytest

from jitter.answers.power.answer import PowerAnswer, answer_power
from jitter.answers.power.keeping import MEANS
from jitter.report.power.advice import advice
from jitter.report.power.document import power_document
from jitter.report.power.page import power_page
from jitter.report.power.rows import shown_rungs
from jitter.report.power.settings import WHICH, name_power
from jitter.report.power.words import findings, held
from jitter.report.safety import CAUTIONS
from jitter.stages import CHAIN
from jitter.stages.verdict import REASONS
from jitter.trial import nominal_shot, single
from jitter.units.writing import write_number
from tests.conftest import load
from tests.report.power_answers import (
    ATTIC,
    BARN,
    LOFT,
    OFF_AIM,
    RIGS,
    Asked,
    answer,
    best_of,
    page,
    parsed,
    printed,
    reckon,
    screen,
)
from tests.report.test_page import HOSTILE

WAYS = ("as_set", "as_trimmed")
WIDTHS = (60, 80, 100, 140)


def document(rig: str) -> dict[str, Any]:
    """Return the document about one of `RIGS` as a program reads it."""
    read: dict[str, Any] = json.loads(json.dumps(power_document(answer(rig)), allow_nan=False))
    return read


def section(text: str, heading: str) -> list[str]:
    """Return the lines of a screen below a heading, to the next empty one."""
    lines = text.splitlines()
    start = next(place for place, line in enumerate(lines) if line.startswith(heading))
    return "\n".join(line.rstrip() for line in lines[start + 1 :]).split("\n\n")[0].splitlines()


@pytest.mark.parametrize("rig", RIGS)
def test_screen_fits_and_cuts_nothing(rig: str) -> None:
    made = answer(rig)
    whole = set(screen(rig, 140).split())
    for width in WIDTHS:
        text = screen(rig, width)
        assert max(map(len, text.splitlines())) <= width
        # Lines break between words and between the parts of a cell, never within them.
        assert set(text.split()) <= whole
        for sentence in (*findings(made), *held(made), *made.warnings):
            assert " ".join(sentence.split()) in " ".join(text.split())


@pytest.mark.parametrize("rig", RIGS)
def test_screen_names_every_power_that_is_shown(rig: str) -> None:
    for width in WIDTHS:
        lines = section(screen(rig, width), "The light at each power")
        for rung in shown_rungs(answer(rig)):
            name = name_power(rung.power)
            # A narrow screen says thirds without their unit.
            name = name if width >= 92 else name.removesuffix(" stop")
            assert sum(line.startswith(f"{name} ") for line in lines) >= 1


def test_a_narrow_screen_holds_long_names_of_powers_and_values() -> None:
    settings = ("flash.power_step=1/3 stop", "camera.aperture=f/15.1", "camera.iso=1e6")
    made = reckon(Asked(LOFT, (*settings, "camera.highest_iso=1e6", "flash.loss=14 stop")))
    whole = set(printed(made, 200).split())
    for width in (60, 66, 75, 76, 91, 92, 120):
        text = printed(made, width)
        assert max(map(len, text.splitlines())) <= width
        assert set(text.split()) <= whole


@pytest.mark.parametrize("rig", RIGS)
def test_page_is_valid_and_says_what_was_found(rig: str) -> None:
    assert parsed(rig).find("./head/title") is not None
    made = answer(rig)
    # What a picture tells listeners is no substitute for the sentence.
    text = html.unescape(re.sub(r"<svg.*?</svg>", "", page(rig), flags=re.DOTALL))
    for sentence in (*findings(made), *held(made), *made.warnings, *CAUTIONS):
        assert sentence in text
    assert made.study.digest in text
    assert not re.search(r"<script|<link|<img|<iframe|@import|src=", page(rig))


@pytest.mark.parametrize("rig", RIGS)
def test_pictures_have_names_of_their_own_and_words_for_listeners(rig: str) -> None:
    labels = re.findall(r'<svg[^>]*role="img" aria-label="([^"]+)"', page(rig))
    assert len(labels) == 2
    first = advice(answer(rig))[0]
    above = f"Above: keepers {WHICH[answer(rig).way]} against"
    assert html.unescape(labels[0]).startswith(above)
    assert html.unescape(labels[1]).startswith("Blur by motion against the flash's power. ")
    assert all(html.unescape(label).endswith(first) for label in labels)
    ids = re.findall(r'\bid="([^"]+)"', page(rig))
    assert len(ids) == len(set(ids))
    # Nothing points at what is not there.
    pointed = re.findall(r'(?:href="|url\()#([^")]+)', page(rig))
    assert len(pointed) > 5
    assert {*pointed} <= {*ids}


@pytest.mark.parametrize("rig", ["yours is a neighbour", "one power", "no jet", "far too bright"])
def test_pictures_are_drawn_without_complaint(rig: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        drawn = power_page(answer(rig))
    assert drawn == page(rig)


def test_a_hostile_title_is_text() -> None:
    made = answer("yours is a neighbour")
    hostile = replace(made, study=replace(made.study, title=HOSTILE))
    drawn = power_page(hostile)
    html5lib.HTMLParser(strict=True).parse(drawn)
    assert "<script" not in drawn
    assert "&lt;script&gt;" in drawn
    head = printed(hostile, 80).splitlines()[0]
    assert len(head) <= 80
    assert "\u202e" not in head


@pytest.mark.parametrize("rig", RIGS)
def test_document_is_plain_and_tells_what_was_asked(rig: str) -> None:
    read, made = document(rig), answer(rig)
    assert read["schema"] == "jitter.power/1"
    assert read["findings"] == list(findings(made))
    assert read["warnings"] == list(made.warnings)
    assert (read["seed"], read["setups"], read["shots"]) == (made.study.seed, 32, 4)
    assert read["fresh"] == {"seed": made.study.seed + 1, "setups": 128, "shots": 4}
    # Where the delay alone makes every frame miss, it is judged after trimming unasked.
    way = "as_trimmed" if rig in OFF_AIM else RIGS[rig].way
    assert (read["judged_by"], read["worth_of_a_stop"]) == (way, RIGS[rig].worth)
    assert read["aimed"] is (rig not in OFF_AIM)
    assert read["means"] == list(RIGS[rig].means)
    assert (read["best"] is None) is (made.best is None)
    assert [row["means"] for row in read["beside"]] == [
        other.pick.tried.setting.means for other in made.beside
    ]


@pytest.mark.parametrize("rig", RIGS)
def test_every_frame_of_the_document_is_kept_or_lost_for_one_reason(rig: str) -> None:
    read = document(rig)
    for power in read["powers"]:
        assert list(power["by"]) == read["means"]
        for tried in power["by"].values():
            for way in WAYS:
                assert list(tried["reasons"][way]) == list(REASONS)
                total = sum(tried["reasons"][way].values()) + tried[way]["value"]
                assert total == pytest.approx(1.0, abs=1e-12)
                ends = tried[way]
                assert 0.0 <= ends["low"] <= ends["value"] <= ends["high"] <= 1.0


@pytest.mark.parametrize("rig", RIGS)
def test_what_must_rise_rises_in_the_document(rig: str) -> None:
    read = document(rig)
    longer = "lower is longer" in rig or RIGS[rig].name == "hill-hut-dimmed-strobe"
    for brighter, darker in pairwise(read["powers"]):
        assert brighter["power"] > darker["power"]
        # closed form: recharging goes with the power
        share = darker["power"] / brighter["power"]
        assert darker["recycle"] == pytest.approx(brighter["recycle"] * share, rel=1e-12)
        assert (brighter["t01"]["nominal"] < darker["t01"]["nominal"]) is longer
        for bands in (brighter["t05"], brighter["t01"], brighter["blur"]["rim"]):
            if bands["p10"] is not None:
                assert bands["p10"] <= bands["p50"] <= bands["p90"]
        for means in read["means"]:
            wanted = [one["by"][means]["wanted"] for one in (brighter, darker)]
            # closed form: the speed makes up for the power, aperture and distance for its root
            power = 1.0 / share if means == "iso" else math.sqrt(share)
            assert wanted[1] == pytest.approx(wanted[0] * power, rel=1e-9)


@pytest.mark.parametrize("rig", RIGS)
def test_each_setting_of_the_document_is_exposed_as_it_says(rig: str) -> None:
    made, read = answer(rig), document(rig)
    some = slice(None, None, 1 + len(made.rungs) // 3)
    for rung, power in zip(made.rungs[some], read["powers"][some], strict=True):
        for means, tried in power["by"].items():
            setting = rung.tried[means].setting
            events = nominal_shot(setting.study, CHAIN)
            off = math.log2(single(events, "exposure"))
            assert tried["exposure_off"] == pytest.approx(off, abs=1e-9)
            told = tried["settings"]
            assert told["flash.power"] == power["power"]
            assert told["timer.delay"] == power["delay"]
            assert told[MEANS[means]] == setting.value
            assert power["t01"]["nominal"] == single(events, "flash_duration")
            assert tried["working_aperture"] == single(events, "working_aperture")
            limit = made.study.number("keeper.exposure")
            assert tried["reached"] is (abs(off) <= limit + 1e-6)


@pytest.mark.parametrize("rig", RIGS)
def test_a_document_tells_distances_in_metres_or_as_multiples(rig: str) -> None:
    made, read = answer(rig), document(rig)
    own = read["own"]["settings"]
    assert own["flash.power"] == made.study.number("flash.power")
    if RIGS[rig].name in (LOFT, ATTIC):
        assert read["relative"] is False
        assert own["flash.distance"] == made.study.number("flash.distance")
    else:
        assert read["relative"] is True
        assert own["flash.distance"] == 1.0
        assert read["ends"].get("distance", [0.0, None]) == [0.0, None]


def test_off_its_aim_a_rig_has_a_first_choice_with_keepers_in_table_and_picture() -> None:
    made = answer("much too early")
    assert made.way == "as_trimmed"
    kept = section(screen("much too early", 140), "Keepers after trimming, the exposure kept right")
    assert kept
    rows = parsed("much too early").findall(".//section[@id='keepers']//tbody/tr")[:3]
    cells = [["".join(cell.itertext()) for cell in row] for row in rows]
    for means, row in zip(made.means, cells, strict=True):
        rate = made.by_means[means].tried.hits.rates["as_trimmed"].value
        assert rate > 0.5
        assert row[-1] == f"{100.0 * rate:.1f} %"
    # The narrow table of losses has room for one of both: that by which it was judged.
    heads = section(screen("much too early", 80), "What the light costs")[0].split()
    assert "trimmed" in heads
    assert "as" not in heads
    # The light is looked at where it falls once the delay is trimmed.
    trimmed, own = (answer(rig).speeds for rig in ("much too early", "yours is a neighbour"))
    assert trimmed.tip == pytest.approx(own.tip, rel=0.05)
    assert "set the delay to" not in " ".join(findings(made)[2:])


def test_what_columns_and_signs_mean_is_said() -> None:
    text = " ".join(screen("yours is a neighbour", 140).split())
    for said in (
        "8 in 10: in 8 of 10 flashes of this kind",
        "stops in place of per cents: over-exposed (+) or under-exposed (-) by so much",
        "apart: from the first flash to the last",
        "edges apart: how far from each other they draw an edge of a falling drop",
    ):
        assert said in text
    assert "stops in place of per cents" not in " ".join(screen("one power", 140).split())
    assert "8 of 10 flashes of this kind" in page("yours is a neighbour")


def test_gains_of_a_document_are_over_yours_and_over_the_best() -> None:
    read = document("yours is elsewhere")
    best, own = read["best"], read["own"]
    for way in WAYS:
        gain = best[way]["value"] - own[way]["value"]
        assert best["gain"][way]["value"] == pytest.approx(gain, abs=1e-12)
        for other in (*read["beside"], *read["several"]):
            gain = other[way]["value"] - best[way]["value"]
            assert other["gain"][way]["value"] == pytest.approx(gain, abs=1e-12)


def test_what_is_not_there_is_null() -> None:
    read = document("long after the jet")
    assert read["speeds"]["tip"] is None
    assert all(power["blur"]["tip"] is None for power in read["powers"])
    rims = [power["blur"]["rim"] for power in document("no jet")["powers"]]
    assert all(rim["p50"] is None for rim in rims)
    endless = [
        one["by"]["aperture"]["depth_of_field"] for one in document("sharp to no end")["powers"]
    ]
    assert None in endless
    assert any(depth is not None for depth in endless)
    dark = [one["by"]["iso"]["room_light"] for one in document("no room light")["powers"]]
    assert dark == [None] * len(dark)


@pytest.mark.parametrize("rig", RIGS)
def test_screen_page_and_document_tell_the_same_numbers(rig: str) -> None:
    made, read = answer(rig), document(rig)
    shown = {rung.power for rung in shown_rungs(made)}
    powers = [power for power in read["powers"] if power["power"] in shown]
    # Below what the columns mean and their heads.
    light = section(screen(rig, 140), "The light at each power")[-len(powers) :]
    kept = section(screen(rig, 140), "Keepers ")[-len(powers) :]
    cells = parsed(rig).findall(".//section[@id='blur']//tbody/tr")
    for power, first, second, row in zip(powers, light, kept, cells[: len(powers)], strict=True):
        name = name_power(power["power"])
        assert first.startswith(f"{name} ")
        assert second.startswith(f"{name} ")
        # In micrometres and microseconds, two digits.
        lengths = [
            write_number(1e6 * size, 2)
            for size in (power["t05"]["nominal"], power["t01"]["nominal"], power["blur"]["drop"])
        ]
        numbers = re.sub(r"best|first|yours|,", " ", first.removeprefix(name)).split()
        assert numbers[:2] == lengths[:2]
        assert lengths[2] in numbers
        page_cells = ["".join(cell.itertext()) for cell in row]
        assert page_cells[1:3] == lengths[:2]
        assert lengths[2] == page_cells[5]
        for tried in power["by"].values():
            if tried["reached"]:
                assert f"{100.0 * tried[made.way]['value']:.1f} %" in second


@pytest.mark.parametrize(
    "settings",
    [
        ("flash.power_step=2 stop", "flash.lowest_power=1/4096"),
        ("camera.magnification=10", 'keeper.age=["-20 ms", "-1 ms"]'),
        ("camera.magnification=0.01", "flash.full_recycle=0 s"),
        (
            *("camera.aperture=f/0.7", "camera.widest_aperture=f/0.7"),
            "camera.narrowest_aperture=f/0.7",
        ),
        ("keeper.exposure=0",),
        ("valve.interval=20 ms", "flash.count=64"),
        ("timer.delay=900 ms", "session.cadence=0.1 s"),
        ("flash.dark_chance=100 %", "camera.ambient=1e5 lx"),
        ("flash.energy=100", "flash.duration_scale=20"),
        ("timer.start=valve", "timer.delay=30 ms", "flash.delay=0.5 s"),
        ('flash.tenth_durations=[["1/4096", "20 us"], ["1/64", "80 us"]]',),
    ],
)
def test_absurd_rigs_are_answered(settings: tuple[str, ...]) -> None:
    made = reckon(Asked(BARN, settings))
    assert power_page(made).count("<svg") == 2
    read = json.loads(json.dumps(power_document(made), allow_nan=False))
    assert read["powers"]
    assert max(map(len, printed(made, 60).splitlines())) <= 60


def test_a_rig_of_a_loft_of_absurd_values_is_answered() -> None:
    lens = ("camera.aperture=f/0.7", "camera.widest_aperture=f/0.7", "camera.focal_length=1 mm")
    made = reckon(Asked(LOFT, (*lens, "keeper.depth=50 cm", "flash.count=64")))
    assert power_page(made).count("<svg") == 2
    assert json.dumps(power_document(made), allow_nan=False)


def test_light_that_is_worth_much_is_not_given_away() -> None:
    cheap, dear = (answer_worth(worth) for worth in (0.0, 0.5))
    assert cheap < dear


def answer_worth(worth: float) -> float:
    """Return the power that is recommended where a stop is worth so much."""
    return best_of(reckon(Asked(BARN, worth=worth))).pick.rung.power


def test_the_same_draws_make_the_same_page_and_others_another() -> None:
    def drawn(seed: int) -> PowerAnswer:
        study = replace(load(BARN), seed=seed)
        return answer_power(study, CHAIN, setups=32, shots=4)

    first = answer("yours is a neighbour")
    again, other = drawn(first.study.seed), drawn(first.study.seed + 50)
    assert power_page(again) == page("yours is a neighbour")
    assert power_document(other)["own"] != power_document(again)["own"]
