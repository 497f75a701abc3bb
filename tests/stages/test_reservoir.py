"""Torricelli's law of the emptying reservoir."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from jitter.arrays import Array
from jitter.stages.reservoir import Reservoir, reservoir

AREA = 0.25 * np.pi * 0.06**2


def flows(frames: Array, **changes: Any) -> Reservoir:
    values: dict[str, Any] = {
        "reservoir_head": np.array([[0.15]]),
        "reservoir_head_nominal": 0.15,
        "reservoir_bore": np.array([[0.06]]),
        "reservoir_constant_head": "no",
        "first_dose_nominal": 40e-9,
        "second_dose_nominal": 60e-9,
        "frame_number": frames,
    }
    return reservoir(**(values | changes))


def emptied(frames: int, *, head: float, nominal: float) -> list[tuple[float, float]]:
    """Return both flows of each frame, drawing one drop after the other from the level left."""
    seen = []
    for _ in range(frames):
        both = []
        for volume in (40e-9, 60e-9):
            flow = np.sqrt(head / nominal)
            both.append(float(flow))
            head -= volume * flow / AREA
        seen.append((both[0], both[1]))
    return seen


@pytest.mark.parametrize("head", [0.15, 0.12, 0.18])
def test_an_open_reservoir_empties_by_torricellis_law(head: float) -> None:
    frames = 1001
    made = flows(np.arange(frames)[None, :].astype(float), reservoir_head=np.array([[head]]))
    exact = np.array(emptied(frames, head=head, nominal=0.15))
    given = np.array([made.first_flow[0], made.second_flow[0]]).T
    # closed form: each draw V √(h/h_n) lowers √h by V/(2A √h_n), the same every time, but for the
    # next order of the root's series, below √h (V/(A h))²/8 a draw; h never falls under 0.08 m.
    allowed = 2 * frames * (60e-9 / (AREA * 0.08)) ** 2 / 8.0
    assert np.abs(given - exact).max() < allowed < 3e-5
    # The check can tell: the flow has fallen by far more than that.
    assert exact[0, 0] - exact[-1, 0] > 0.1


def test_a_constant_head_stays() -> None:
    made = flows(np.array([[0.0, 1e5]]), reservoir_constant_head="yes")
    assert (made.first_flow == 1.0).all()
    assert (made.second_flow == 1.0).all()


def test_flow_goes_with_the_root_of_the_head() -> None:
    made = flows(np.zeros((1, 1)), reservoir_head=np.array([[4.0 * 0.15]]))
    # closed form: Torricelli, v = √(2 g h)
    assert made.first_flow.item() == pytest.approx(2.0)


def test_the_second_drop_finds_less_than_the_first() -> None:
    made = flows(np.array([[10.0]]))
    # closed form: one draw of the first drop's volume lowers √h by V/(2 A h).
    lost = made.first_flow.item() - made.second_flow.item()
    assert lost == pytest.approx(40e-9 / (2.0 * AREA * 0.15), rel=1e-9)


def test_an_empty_reservoir_still_gives_a_positive_flow() -> None:
    made = flows(np.array([[1e9]]))
    # A twentieth, by declaration.
    assert made.first_flow.item() == made.second_flow.item() == 0.05
