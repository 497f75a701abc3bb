"""Names that mean nothing are told with what they may mean; what stands under them is judged."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.errors import Fault

FaultsOf = Callable[..., tuple[Fault, ...]]


def told(faults: tuple[Fault, ...]) -> list[tuple[int | None, str]]:
    return [(fault.line, fault.key) for fault in faults]


def test_what_stands_in_a_misspelt_section_is_judged_too(faults_of: FaultsOf) -> None:
    text = """version = 1
[valv]
latncy = "8 ms"
interval = "99 mm"
nozzle_height = { nominal = "24 in", setup = "1 mm" }
"""
    faults = faults_of(text)
    assert told(faults) == [
        (2, "valv"),
        (3, "valv.latncy"),
        (4, "valv.interval"),
        (5, "valv.nozzle_height.setup"),
    ]
    assert faults[0].right == "did you mean valve?"
    assert faults[1].right == "did you mean latency?"


def test_its_values_count_for_what_they_are_near(faults_of: FaultsOf) -> None:
    # The beam of 700 mm is below this nozzle, and above the default one.
    beam = '[sensor]\nheight = "700 mm"\n'
    nozzle = '[valv]\nnozzle_height = "900 mm"\n'
    assert told(faults_of(f"version = 1\n{beam}{nozzle}")) == [(4, "valv")]


def test_beside_the_right_section_both_are_judged(faults_of: FaultsOf) -> None:
    right = '[valve]\nlatency = "8 mm"\n'
    misspelt = '[valv]\ninterval = "99 mm"\n'
    for sections, lines in ((right + misspelt, (3, 4, 5)), (misspelt + right, (5, 2, 3))):
        faults = set(told(faults_of(f"version = 1\n{sections}")))
        latency, section, interval = lines
        assert faults == {
            (latency, "valve.latency"),
            (section, "valv"),
            (interval, "valv.interval"),
        }


def test_a_section_that_is_near_nothing_is_not_judged(faults_of: FaultsOf) -> None:
    assert told(faults_of('version = 1\n[clockwork]\ndelay = "294 mm"\n')) == [(2, "clockwork")]


def test_set_in_a_misspelt_section_is_blamed_on_the_command_line(faults_of: FaultsOf) -> None:
    faults = faults_of("version = 1\n", "valv.interval=99 mm")
    assert [(fault.file, fault.key) for fault in faults] == [
        ("--set", "valv"),
        ("--set", "valv.interval"),
    ]


@pytest.mark.parametrize(
    ("line", "right"),
    [
        ("sed = 3", "did you mean seed?"),
        ('titel = "a"', "did you mean title?"),
        ('delay = "294 ms"', "did you mean timer.delay or flash.delay?"),
        ("colour = 3", "known here: version, title, seed; all else stands under a [section]"),
        ('"timer.delay" = "294 ms"', "write timer.delay without quotes"),
    ],
)
def test_what_stands_at_the_top_is_a_key_and_no_section(
    faults_of: FaultsOf, line: str, right: str
) -> None:
    (fault,) = faults_of(f"version = 1\n{line}\n")
    assert fault.wrong.startswith("there is no key '")
    assert fault.right == right


def test_of_several_namesakes_none_is_left_out(faults_of: FaultsOf) -> None:
    (fault,) = faults_of('version = 1\n[keeper]\nheight = "19 in"\n')
    near = "sensor.height, jet.height, valve.nozzle_height or camera.frame_height"
    assert fault.right == f"did you mean {near}?"
