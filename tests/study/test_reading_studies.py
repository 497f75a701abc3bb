"""A good study is read whole: what it gives, what is left to defaults, and which is which."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from jitter.quantities import NONE, Kind, Mark, Quantity, Shape, Spread
from jitter.stages import CHAIN
from jitter.study.study import Study
from tests.waking import surroundings

Read = Callable[..., Study]
MINIMAL = "version = 1\n"


def test_a_version_alone_is_a_study_of_defaults(read: Read) -> None:
    study = read(MINIMAL)
    assert list(study.entries) == list(CHAIN.declarations)
    for key, declared in CHAIN.declarations.items():
        entry = study.entries[key]
        assert entry.declaration is declared
        assert entry.given == frozenset()
        assert entry.basis == declared.basis
        assert (entry.alike, entry.drift) == (0.0, 0.0)
        # The usual choices wake none of those that have a part only with others.
        idle = isinstance(declared, Quantity) and bool(declared.only_with)
        assert entry.idle.startswith("only with") == idle
        assert entry.nominal == (None if idle else declared.nominal)
        if isinstance(declared, Quantity):
            resting = declared.nominal is None or idle
            spreads = (NONE, NONE) if resting else (declared.setup, declared.shot)
            assert (entry.setup, entry.shot) == spreads
            assert entry.setup_basis == declared.setup_basis
            assert entry.shot_basis == declared.shot_basis


def test_values_are_read_in_si(read: Read, good: str) -> None:
    study = read(good)
    assert study.title == "Barn table, two drops of tinted water"
    assert study.seed == 11
    assert study.source == "rig.toml"
    # Closed form: the values of the text in SI, with 1 in = 25.4 mm.
    assert study.number("valve.nozzle_height") == 0.610
    assert study.number("sensor.height") == pytest.approx(19 * 0.0254, rel=1e-14)
    assert study.number("timer.delay") == 0.294
    assert study.number("flash.power") == 1 / 64
    assert study.number("camera.aperture") == 13.0
    assert study.number("keeper.off_centre") == 0.25
    assert study.window("keeper.age") == (0.002, 0.010)
    latency = study.entries["valve.latency"]
    assert latency.setup == Spread(Shape.NORMAL, 0.001)
    assert latency.shot.size == pytest.approx(0.0003, rel=1e-14)
    assert latency.alike == 0.5
    assert study.entries["liquid.temperature"].drift == 0.01
    table = study.entries["flash.half_durations"].nominal
    assert table == ((1 / 64, 8e-5), (1 / 8, 3e-4), (1.0, 0.002))


def test_what_the_study_gives_is_recorded_and_marked_as_its_own(read: Read, good: str) -> None:
    study = read(good)
    given = {key: set(entry.given) for key, entry in study.entries.items() if entry.given}
    assert given == {
        "valve.nozzle_height": {"nominal", "setup"},
        "valve.latency": {"nominal", "setup", "shot", "alike"},
        "valve.interval": {"nominal"},
        "valve.first_volume": {"nominal"},
        "sensor.height": {"nominal", "setup"},
        "timer.start": {"nominal"},
        "timer.delay": {"nominal"},
        "liquid.temperature": {"nominal", "drift"},
        "flash.power": {"nominal"},
        "flash.duration_scale": {"setup"},
        "flash.half_durations": {"nominal"},
        "camera.magnification": {"nominal"},
        "camera.aperture": {"nominal"},
        "keeper.age": {"nominal"},
        "keeper.off_centre": {"nominal"},
        "trim.frames": {"nominal"},
    }
    for key, parts in given.items():
        entry = study.entries[key]
        marks = {"nominal": entry.basis, "setup": entry.setup_basis, "shot": entry.shot_basis}
        for part, basis in marks.items():
            assert basis is None or (basis.mark is Mark.USER) == (part in parts)


def test_the_stated_basis_is_kept(read: Read) -> None:
    text = '[sensor]\nheight = { nominal = "19 in", setup = "sd 1 mm", basis = "steel ruler" }\n'
    entry = read(MINIMAL + text).entries["sensor.height"]
    assert entry.basis is not None
    assert entry.setup_basis is not None
    assert entry.basis.source == entry.setup_basis.source == "steel ruler"


@pytest.mark.parametrize(
    ("key", "value"),
    [("keeper.age", '["2 ms", "9 ms"]'), ("timer.start", '"valve"'), ("keeper.blur", '"90 um"')],
)
def test_a_window_and_a_choice_keep_their_basis_too(read: Read, key: str, value: str) -> None:
    text = f'{MINIMAL}{key} = {{ nominal = {value}, basis = "my own eyes" }}\n'
    basis = read(text).entries[key].basis
    assert basis is not None
    assert (basis.mark, basis.source) == (Mark.USER, "my own eyes")


@pytest.mark.parametrize("key", ["timer.start", "sensor.height", "reservoir.constant_head"])
def test_a_table_without_a_value_gives_none(read: Read, key: str) -> None:
    entry = read(f"{MINIMAL}{key} = {{}}\n").entries[key]
    assert entry.given == frozenset()
    assert entry.basis == CHAIN.declarations[key].basis


@pytest.mark.parametrize("start", ["first drop", "second drop", "valve"])
@pytest.mark.parametrize("delay_first", [False, True])
def test_the_default_delay_follows_the_start_signal(
    read: Read, start: str, delay_first: bool
) -> None:
    declared = CHAIN.declarations["timer.delay"]
    assert isinstance(declared, Quantity)
    assert declared.variants is not None
    default = declared.variants.changes.get(start, {}).get("nominal", declared.nominal)
    study = read(f'{MINIMAL}timer.start = "{start.title()}"\n')
    assert study.entries["timer.start"].nominal == start
    assert study.number("timer.delay") == default
    lines = [f'start = "{start}"', 'delay = "0.3 s"']
    text = "\n".join(["[timer]", *(reversed(lines) if delay_first else lines)])
    assert read(MINIMAL + text).number("timer.delay") == 0.3


STRAYING = [
    item
    for item in CHAIN.declarations.values()
    if isinstance(item, Quantity) and item.kind is Kind.MEASURE and item.nominal is not None
]


@pytest.mark.parametrize("declared", STRAYING, ids=lambda declared: declared.key)
def test_a_plain_value_keeps_the_default_spreads_and_none_ends_them(
    read: Read, declared: Quantity
) -> None:
    # The nominal is left as it is, so that no value stops fitting another.
    others = next(surroundings(declared.key))
    number = read(MINIMAL, *others).number(declared.key)
    units = {"K": "K", "m": "m", "s": "s", "m/s": "m/s", "1": "", "m3": "ul", "stop": "stop"}
    written = f"{number * (1e9 if declared.unit == 'm3' else 1.0)!r} {units[declared.unit]}"
    plain = read(f'{MINIMAL}{declared.key} = "{written}"\n', *others).entries[declared.key]
    assert (plain.setup, plain.shot) == (declared.setup, declared.shot)
    assert plain.nominal == pytest.approx(number, rel=1e-14)
    for level in ("setup", "shot"):
        other = {"setup": "shot", "shot": "setup"}[level]
        text = f'{MINIMAL}{declared.key}.{level} = "none"\n'
        off = read(text, *others).entries[declared.key]
        assert getattr(off, level) == NONE
        assert getattr(off, other) == getattr(declared, other)
        assert off.given == {level}
        assert off.nominal == number


def test_an_error_of_mean_zero_may_be_given_by_its_spread_alone(read: Read) -> None:
    short = read(f'{MINIMAL}valve.scatter = "sd 0.6 mm"\n').entries["valve.scatter"]
    long = read(f'{MINIMAL}valve.scatter = {{ shot = "sd 0.6 mm" }}\n').entries["valve.scatter"]
    assert short == long
    assert short.shot == Spread(Shape.NORMAL, 0.6 / 1000)
    assert read(f'{MINIMAL}valve.scatter = "none"\n').entries["valve.scatter"].shot == NONE


def test_measured_liquids_are_given_or_derived(read: Read) -> None:
    assert read(MINIMAL).entries["liquid.density"].nominal is None
    study = read(f'{MINIMAL}liquid.density = {{ nominal = "1.02 g/cm3", setup = "sd 1 %" }}\n')
    # Closed form: 1 g/cm3 = 1000 kg/m3.
    assert study.number("liquid.density") == pytest.approx(1020.0, rel=1e-14)
    assert study.entries["liquid.density"].setup.relative


def test_yes_and_no_may_be_words_or_toml(read: Read) -> None:
    key = "reservoir.constant_head"
    for written, word in (("true", "yes"), ("false", "no"), ('"No"', "no"), ('" yes "', "yes")):
        assert read(f"{MINIMAL}{key} = {written}\n").entries[key].nominal == word


@pytest.mark.parametrize("seed", [0, 1, 2**64 - 1])
def test_every_seed_is_a_seed(read: Read, seed: int) -> None:
    assert read(f"{MINIMAL}seed = {seed}\n").seed == seed
    assert read(f"{MINIMAL}seed = 5\n", seed=seed).seed == seed


def test_a_byte_order_mark_and_foreign_line_ends_do_no_harm(read: Read, good: str) -> None:
    expected = read(good)
    for text in ("\ufeff" + good, good.replace("\n", "\r\n"), "\ufeff" + good.rstrip("\n")):
        assert read(text).entries == expected.entries


def test_a_study_cannot_be_changed_in_place(read: Read, good: str) -> None:
    study = read(good)
    with pytest.raises(AttributeError):
        study.seed = 12  # type: ignore[misc]
    with pytest.raises(AttributeError):
        study.entries["sensor.height"].nominal = 1.0  # type: ignore[misc]
    assert study.seed == 11
