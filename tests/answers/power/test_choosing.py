"""The setting to recommend: closed cases of keepers against light."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jitter.answers.hits import WAYS
from jitter.answers.power.choosing import HOPELESS, SLIGHT, Pick, beside, best_of, most_keepers
from jitter.answers.power.keeping import MEANS
from jitter.answers.power.rungs import Rung
from tests.answers.power.made import SHOTS, hits, made

WAY = "as_set"
ALL = tuple(MEANS)


def stops(*keepers: int | None, means: str = "aperture") -> list[Rung]:
    """Return powers a stop apart, full first, with their keepers among a thousand."""
    return [made(2.0**-place, {means: kept}) for place, kept in enumerate(keepers)]


def chosen(rungs: list[Rung], worth: float, means: tuple[str, ...] = ("aperture",)) -> Pick:
    found = best_of(rungs, means, worth=worth, way=WAY)
    assert found is not None
    return found


def test_light_that_is_worth_nothing_leaves_the_most_keepers() -> None:
    found = chosen(stops(100, 700, 902, 901, 850), 0.0)
    assert found.rung.power == 0.25
    assert found.tried is found.rung.tried["aperture"]


def test_of_two_that_keep_as_many_the_brighter_is_taken() -> None:
    assert chosen(stops(100, 900, 900, 900), 0.0).rung.power == 0.5


@pytest.mark.parametrize(
    ("worth", "power"), [(0.0, 0.125), (0.009, 0.125), (0.011, 0.25), (0.029, 0.25), (0.031, 0.5)]
)
def test_a_stop_is_worth_so_many_keepers(worth: float, power: float) -> None:
    # closed form: from 1/2 to 1/4 are 30 of a thousand, to 1/8 10 more; a stop pays up to that
    assert chosen(stops(500, 860, 890, 900), worth).rung.power == power


def test_a_stop_counts_in_stops_and_not_in_powers() -> None:
    # closed form: two thirds of a stop cost two thirds of the worth
    rungs = [made(1.0, {"iso": 800}), made(2.0 ** (-2.0 / 3.0), {"iso": 810})]
    assert chosen(rungs, 0.0149, ("iso",)).rung.power < 1.0
    assert chosen(rungs, 0.0151, ("iso",)).rung.power == 1.0


def test_what_is_not_exposed_right_is_not_chosen() -> None:
    assert chosen(stops(None, None, 300, 200, None), 0.01).rung.power == 0.25
    assert best_of(stops(None, None), ("aperture",), worth=0.01, way=WAY) is None
    assert best_of([], ALL, worth=0.01, way=WAY) is None


def test_each_way_has_its_own_keepers() -> None:
    rungs = [made(1.0, {"iso": hits(900, 700)}), made(0.5, {"iso": hits(800, 950)})]
    for way, power in (("as_set", 1.0), ("as_trimmed", 0.5)):
        found = best_of(rungs, ("iso",), worth=0.0, way=way)
        assert found is not None
        assert found.rung.power == power
    assert [most_keepers(rungs, ("iso",), way) for way in WAYS] == [0.9, 0.95]


@pytest.mark.parametrize(
    ("keepers", "means"),
    [
        # common practice, no source: the aperture is the first to be turned
        ({"aperture": 800, "iso": 800, "distance": 800}, "aperture"),
        ({"aperture": 800, "iso": 804, "distance": 804}, "aperture"),
        ({"aperture": 800, "iso": 806, "distance": 806}, "iso"),
        ({"aperture": 800, "iso": 806, "distance": 812}, "distance"),
        ({"aperture": 800, "iso": 804, "distance": 806}, "distance"),
        ({"aperture": None, "iso": None, "distance": 10}, "distance"),
        ({"aperture": None, "iso": 10, "distance": 14}, "iso"),
    ],
)
def test_the_first_means_is_taken_unless_another_is_clearly_better(
    keepers: dict[str, int | None], means: str
) -> None:
    assert SLIGHT == 0.005
    # Whatever the order in which the means are asked for.
    for asked in (ALL, ALL[::-1]):
        assert chosen([made(0.25, keepers)], 0.01, asked).tried.setting.means == means


def test_only_what_is_asked_for_is_taken() -> None:
    rungs = [made(0.5, {"iso": 10, "distance": 900})]
    assert chosen(rungs, 0.0, ("iso",)).tried.setting.means == "iso"


def test_means_at_different_powers_are_weighed_with_their_light() -> None:
    rungs = [made(1.0, {"aperture": None, "iso": 870}), made(0.5, {"aperture": 875, "iso": None})]
    # closed form: 5 in a thousand less, but a stop brighter; a stop is worth 0, then 20
    assert chosen(rungs, 0.0, ALL[:2]).tried.setting.means == "aperture"
    assert chosen(rungs, 0.02, ALL[:2]).tried.setting.means == "iso"


keepers = st.none() | st.integers(0, SHOTS)
ladders = st.lists(
    st.tuples(st.integers(-100, 0), keepers, keepers),
    min_size=1,
    max_size=8,
    unique_by=lambda x: x[0],
)


@settings(deadline=None, max_examples=300)
@given(ladders, st.integers(0, 500), st.integers(1, 500), st.sampled_from([("iso",), ALL[:2]]))
def test_light_that_is_worth_more_never_picks_a_darker_power(
    rows: list[tuple[int, int | None, int | None]],
    worth: int,
    more: int,
    means: tuple[str, ...],
) -> None:
    rungs = [
        made(2.0 ** (place / 10.0), {"aperture": one, "iso": other})
        for place, one, other in sorted(rows, key=lambda row: -row[0])
    ]
    low, high = (
        best_of(rungs, means, worth=each / 1000.0, way=WAY) for each in (worth, worth + more)
    )
    # closed form: of the sum of keepers and worth times stops, the share of stops grows
    if low is None or high is None:
        assert low is high
    else:
        assert high.rung.power >= low.rung.power


@settings(deadline=None, max_examples=100)
@given(ladders)
def test_none_keeps_more_than_what_is_chosen_for_keepers_alone(
    rows: list[tuple[int, int | None, int | None]],
) -> None:
    rungs = [made(2.0 ** (place / 10.0), {"iso": one}) for place, one, _ in rows]
    most = max((one for _, one, _ in rows if one is not None), default=0)
    assert most_keepers(rungs, ("iso",), WAY) == most / SHOTS
    found = best_of(rungs, ("iso",), worth=0.0, way=WAY)
    # A frame in a hundred at the least.
    assert (found is None) == (most < 10)
    if found is not None:
        assert found.tried.hits.keepers(WAY)[0] == most


def test_where_hardly_a_frame_is_kept_the_light_is_not_what_is_wrong() -> None:
    assert HOPELESS == 0.01
    assert best_of(stops(9, 9, 9), ("aperture",), worth=0.0, way=WAY) is None
    assert chosen(stops(9, 9, 10), 0.0).rung.power == 0.25
    # The brightest keeps nothing, but somewhere frames are kept.
    assert chosen(stops(0, 0, 10), 0.02).rung.power == 1.0
    # What another means would keep is none of these; what is not exposed right counts for nothing.
    rungs = [made(1.0, {"aperture": 5, "iso": 900, "distance": None})]
    assert best_of(rungs, ("aperture",), worth=0.0, way=WAY) is None
    assert most_keepers(rungs, ("aperture", "distance"), WAY) == 0.005
    assert most_keepers(rungs, ALL, WAY) == 0.9


def test_neighbours_stand_about_a_stop_to_either_side() -> None:
    thirds = [made(2.0 ** (-place / 3.0), {"aperture": 500}) for place in range(13)]
    pick = Pick(thirds[5], thirds[5].tried["aperture"])
    assert [each.rung for each in beside(thirds, pick)] == [thirds[2], thirds[8]]
    wide = [made(2.0 ** (-2.0 * place), {"aperture": 500}) for place in range(4)]
    pick = Pick(wide[1], wide[1].tried["aperture"])
    assert [each.rung for each in beside(wide, pick)] == [wide[0], wide[2]]


@pytest.mark.parametrize(("place", "powers"), [(0, [0.5]), (3, [0.25]), (1, [1.0, 0.25])])
def test_neighbours_are_missing_at_the_ends(place: int, powers: list[float]) -> None:
    rungs = stops(100, 200, 300, 400)
    found = beside(rungs, Pick(rungs[place], rungs[place].tried["aperture"]))
    assert [each.rung.power for each in found] == powers


def test_neighbours_are_exposed_right_by_the_same_means() -> None:
    rungs = [
        made(2.0**-place, {"aperture": 500, "iso": kept})
        for place, kept in enumerate((300, None, 300, None, None))
    ]
    found = beside(rungs, Pick(rungs[2], rungs[2].tried["iso"]))
    assert [(each.rung.power, each.tried.setting.means) for each in found] == [(1.0, "iso")]
    by_aperture = beside(rungs, Pick(rungs[2], rungs[2].tried["aperture"]))
    assert [math.log2(each.rung.power) for each in by_aperture] == [-1.0, -3.0]
