"""An independent implementation of the shot model, kept apart from the package on purpose.

It checks the package: nothing is imported from it, no code, random numbers or method shared, so
the two only agree if both say the same physics. SI units, temperature in degrees Celsius; z points
up from the datum, time counts from the first valve command. (memory): not read in the source.

Here are the rounds: who strays, which frames are shot, how the delay is trimmed. The physics of a
shot is in `independent_shot`, its parts in the other files of the name.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tests.independent_liquids import liquid
from tests.independent_rig import THICK, Array, draw, rig, stated, widened
from tests.independent_shot import REASONS, Words, fire

Places = NDArray[np.intp]


def summarise(age: Array, verdict: Places) -> dict[str, Any]:
    """Return shares, and the age by one-way analysis of variance (Searle et al. 1992)."""
    keeper = verdict == len(REASONS)
    count = np.isfinite(age).sum(axis=1)
    age, count = age[count > 0], count[count > 0]
    total, groups = count.sum(), len(count)
    with np.errstate(invalid="ignore", divide="ignore"):
        means, mean = np.nansum(age, axis=1) / count, np.nansum(age) / total
        within = np.nansum((age - means[:, None]) ** 2) / (total - groups)
        between = np.sum(count * (means - mean) ** 2) / (groups - 1)
        size = (total - np.sum(count**2) / total) / (groups - 1)
        sd_setup = np.sqrt(np.maximum((between - within) / size, 0))
    return {
        "hit_rate": float(keeper.mean()),
        "hit_rates_by_setup": keeper.mean(axis=1),
        "reasons_by_setup": {name: (verdict == i).mean(axis=1) for i, name in enumerate(REASONS)},
        "age_mean": float(mean),
        "age_sd_setup": float(sd_setup),
        "age_sd_shot": float(np.sqrt(within)),
    }


def simulate(
    *,
    start: str,
    setups: int,
    shots: int,
    seed: int,
    setup_errors: bool = True,
    words: Mapping[str, Any] | None = None,
    link: str = "wire",
    only: Collection[str] | None = None,
    looks: bool = False,
    **changes: float | Mapping[str, Any],
) -> dict[str, dict[str, Any]]:
    """Fire shots with many set-ups of one rig, and judge every frame twice.

    Parameters
    ----------
    start : str
        What starts the timer: "first drop", "second drop" or "valve".
    setups, shots, seed : int
        Number of set-ups and of shots with each; seed of the random numbers.
    setup_errors : bool, optional
        Whether rigs are set up with errors; without, only shot errors are left.
    words : mapping, optional
        Fields of `Words`.
    link : str, optional
        What carries the flash command.
    only : collection of str, optional
        The quantities that stray; all with their spreads where None.
    looks : bool, optional
        Whether to say also what every frame is called, and what can be measured in it.
    **changes
        By their name in `QUANTITIES`: another nominal, or fields of the `Quantity`.

    Returns
    -------
    dict of str to dict
        "as_set" by ruler and "as_trimmed" after reading a few frames, each with "hit_rate",
        "hit_rates_by_setup", "reasons_by_setup" (shares of a set-up's frames), and "age_mean",
        "age_sd_setup" and "age_sd_shot" in seconds, over the frames that have an age; and with
        "events", arrays (setups, shots) by name.
    """
    said = Words(start=start, **(words or {}))
    table = rig(changes, start=start, link=link, only=only)
    alone = np.random.default_rng(0)
    still = {name: row.still() for name, row in table.items() if stated(row)}
    nominal = {name: draw(alone, row, 1, np.zeros(1), False) for name, row in still.items()}
    if np.all(liquid(said.kind, nominal).viscosity > THICK):
        table = widened(table, changes)
    random, readings = np.random.default_rng(seed), int(nominal["trim_frames"].item())
    # The last frames of every set-up are the ones it is trimmed by, before its first one; they
    # are not counted. The others are spread evenly over the session.
    session = int(nominal["session_frames"].item())
    frames = np.array([shot * session // shots for shot in range(shots)] + [0] * readings)
    q = {
        name: draw(random, row, setups, frames, setup_errors)
        for name, row in table.items()
        if stated(row)
    }
    head = nominal["reservoir_head"].item()
    made = fire(q, nominal, frames, head, random, said)
    as_set = made.judge(q["timer_delay"])
    middle = (nominal["keeper_age_least"] + nominal["keeper_age_most"]) / 2
    readings_of = random.standard_normal((setups, readings))
    error = as_set["age"][:, shots:] - middle + nominal["trim_reading"] * readings_of
    readable = np.maximum(np.isfinite(error).sum(axis=1, keepdims=True), 1)
    step = nominal["trim_step"].item()
    steps = np.round(np.nansum(error, axis=1, keepdims=True) / readable / step)
    ways = {"as_set": as_set, "as_trimmed": made.judge(q["timer_delay"] - steps * step)}
    found = {}
    for way, taken in ways.items():
        events = taken | (made.look(taken) if looks else {})
        whole = (setups, len(frames))
        counted = {n: np.broadcast_to(each, whole)[:, :shots] for n, each in events.items()}
        place = counted.pop("place")
        found[way] = summarise(counted["age"], place) | {"events": counted}
    return found
