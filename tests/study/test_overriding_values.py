"""Values set on the command line stand over those of the study, and are judged as strictly."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.errors import Fault, MistakeError
from jitter.quantities import NONE, Shape, Spread
from jitter.study.study import Study

Read = Callable[..., Study]
FaultsOf = Callable[..., tuple[Fault, ...]]


@pytest.mark.parametrize(
    ("setting", "key", "nominal"),
    [  # Closed form: the value written, in SI.
        ("sensor.height=480 mm", "sensor.height", 0.480),
        ("sensor.height='480 mm'", "sensor.height", 0.480),
        ('sensor.height="480 mm"', "sensor.height", 0.480),
        (" sensor.height = 480 mm ", "sensor.height", 0.480),
        ("sensor.height={ nominal = '480 mm' }", "sensor.height", 0.480),
        ("sensor.height.nominal=480 mm", "sensor.height", 0.480),
        ("flash.power=1/32", "flash.power", 1 / 32),
        ("camera.aperture=f/8", "camera.aperture", 8.0),
        ("keeper.off_centre=0.3", "keeper.off_centre", 0.3),
        ("keeper.off_centre=30 %", "keeper.off_centre", 0.3),
        ("trim.frames=4", "trim.frames", 4.0),
        ("timer.start=valve", "timer.start", "valve"),
        ("reservoir.constant_head=no", "reservoir.constant_head", "no"),
        ("reservoir.constant_head=false", "reservoir.constant_head", "no"),
        ("keeper.age=['1 ms', '5 ms']", "keeper.age", (0.001, 0.005)),
    ],
)
def test_sets_a_value(read: Read, good: str, setting: str, key: str, nominal: object) -> None:
    entry = read(good, setting).entries[key]
    assert entry.nominal == nominal
    assert "nominal" in entry.given


def test_one_part_is_set_and_the_rest_stay(read: Read, good: str) -> None:
    before = read(good).entries["valve.latency"]
    after = read(good, "valve.latency.shot=none").entries["valve.latency"]
    assert after.shot == NONE
    assert (after.nominal, after.setup) == (before.nominal, before.setup)


def test_a_bare_value_leaves_the_spreads_of_a_table(read: Read, good: str) -> None:
    before = read(good).entries["valve.latency"]
    after = read(good, "valve.latency.drift=0.01 ms", "valve.latency=9 ms").entries["valve.latency"]
    assert (after.setup, after.shot) == (before.setup, before.shot)
    assert (after.nominal, after.drift) == (0.009, 1e-5)  # Closed form: the values written, in SI.
    assert after.given == before.given | {"drift"}


def test_a_bare_spread_is_meant_where_a_value_only_strays(read: Read, good: str) -> None:
    text = good + '\n[jet]\nlean = { setup = "sd 0.1 mm", shot = "sd 0.2 mm" }\n'
    entry = read(text, "jet.lean=sd 0.5 mm").entries["jet.lean"]
    # Closed form: the values written, in SI.
    assert (entry.setup.size, entry.shot.size) == (0.0001, 0.0005)


def test_what_the_old_value_rested_on_does_not_bear_the_new_one(read: Read, good: str) -> None:
    text = good + '\n[pool]\ndepth = { nominal = "50 mm", basis = "steel rule" }\n'
    bases = [
        read(text, *given).entries["pool.depth"].basis for given in ((), ("pool.depth=60 mm",))
    ]
    assert [basis.source for basis in bases if basis is not None] == ["steel rule", ""]


def test_a_part_of_a_plain_value_keeps_the_value(read: Read, good: str) -> None:
    text = good.replace('"294 ms"', '"301 ms"')
    entry = read(text, "timer.delay.setup=sd 1 ms").entries["timer.delay"]
    assert entry.nominal == 0.301  # Closed form: 301 ms.
    assert entry.setup == Spread(Shape.NORMAL, 0.001)
    silent = read(good, "sensor.width.setup=sd 0.1 mm").entries["sensor.width"]
    assert silent.nominal == read(good).entries["sensor.width"].nominal
    assert silent.given == {"setup"}


def test_settings_add_up_and_the_last_one_wins(read: Read, good: str) -> None:
    study = read(good, "sensor.height=470 mm", "flash.power=1/16", "sensor.height=480 mm")
    assert study.number("sensor.height") == 0.480
    assert study.number("flash.power") == 1 / 16


def test_title_and_seed_can_be_set(read: Read, good: str) -> None:
    study = read(good, "title=Tonight", "seed=0")
    assert (study.title, study.seed) == ("Tonight", 0)
    assert read(good, "seed=7", seed=0).seed == 0


def test_a_set_value_mends_a_broken_one(read: Read, good: str) -> None:
    broken = good.replace('"19 in"', '"19 s"')
    assert read(broken, "sensor.height=480 mm").number("sensor.height") == 0.480


BAD = [
    ("sensor.height", "sensor.height", "sets nothing"),
    ("=3", "", "sets nothing"),
    ("", "", "sets nothing"),
    ("sensor.=3 mm", "sensor.", "sets nothing"),
    (".height=3 mm", ".height", "sets nothing"),
    ("sensor.height.setup.more=3", "sensor.height.setup.more", "sets nothing"),
    ("sensor.height=19 s", "sensor.height", "a length is wanted"),
    ("sensor.height=19", "sensor.height", "has no unit"),
    ("sensor.height=", "sensor.height", "not a number"),
    ("sensor.height.setup=± 1 mm", "sensor.height.setup", "half width or standard deviation"),
    ("sensor.height.spread=1 mm", "sensor.height.spread", "not a part"),
    ("sensor.heigth=19 in", "sensor.heigth", "there is no"),
    ("sensro.height=19 in", "sensro", "there is no section"),
    ("sensor=19 in", "sensor", "is a section"),
    ("version=2", "version", "version 2"),
    ("seed=-1", "seed", "no seed"),
    ("seed.more=3", "seed", "no seed"),
    ("timer.start=third drop", "timer.start", "none of the choices"),
    ("keeper.age=['5 ms', '1 ms']", "keeper.age", "before it starts"),
    ("flash.power=2", "flash.power", "out of range"),
    ("sensor.height=700 mm", "sensor.height", "beam"),
    ("sensor.height=1 mm\n[flash]\npower = 2", "sensor.height", "not a number"),
    ("sensor.offset=" + "9" * 5000, "sensor.offset", "9999"),
    ("sensor.offset=" + "[" * 5000, "sensor.offset", "not a number"),
]


@pytest.mark.parametrize(("setting", "key", "wrong"), BAD, ids=[case[0][:40] for case in BAD])
def test_a_bad_setting_is_a_mistake_of_the_command_line(
    read: Read, good: str, setting: str, key: str, wrong: str
) -> None:
    with pytest.raises(MistakeError) as caught:
        read(good, setting)
    (fault,) = caught.value.faults
    assert (fault.file, fault.line) == ("--set", None)
    assert fault.key == key
    assert wrong in fault.wrong
    assert fault.right


def test_faults_of_file_and_command_line_come_together(faults_of: FaultsOf, good: str) -> None:
    faults = faults_of(good.replace('"99 ms"', '"99 mm"'), "flash.power=2", "height")
    assert [fault.file for fault in faults] == ["rig.toml", "--set", "--set"]
    assert [fault.key for fault in faults] == ["valve.interval", "height", "flash.power"]


@pytest.mark.parametrize("seed", [-1, 2**64])
def test_a_bad_seed_option_is_not_blamed_on_the_file(
    faults_of: FaultsOf, good: str, seed: int
) -> None:
    (fault,) = faults_of(good, seed=seed)
    assert (fault.file, fault.line) == ("--seed", None)
    assert str(seed) in fault.wrong


KEYS = ["sensor", "sensor.height", "sensor.height.setup", "keeper.age", "timer.start", "seed"]


@given(key=st.sampled_from(KEYS), equals=st.sampled_from(["=", ""]), value=st.text(max_size=12))
@settings(deadline=None, max_examples=200)
def test_no_setting_raises_anything_but_a_mistake(
    read: Read, good: str, key: str, equals: str, value: str
) -> None:
    try:
        sound = isinstance(read(good, key + equals + value), Study)
    except MistakeError as mistake:
        sound = all(fault.wrong and fault.right for fault in mistake.faults)
    assert sound
