"""Guide numbers as manuals, encyclopaedias and teachers use them."""

from __future__ import annotations

import numpy as np

from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.exposures import exposed

FOOT = 0.3048
MARKS = Claim(0.03, "numbers as marked, which are rounded")

# A manual's table: flash distance [m] by speed, power and aperture; ISO 100 at full power is 16 m.
REACH = {
    (100, 1.0): {2.8: 5.7, 5.6: 2.8, 8.0: 2.0, 16.0: 1.0, 22.0: 0.71},
    (100, 1 / 4): {2.8: 2.8, 5.6: 1.4, 8.0: 1.0, 16.0: 0.50, 22.0: 0.35},
    (100, 1 / 16): {2.8: 1.4, 5.6: 0.71, 8.0: 0.50, 16.0: 0.25, 22.0: 0.18},
    (200, 1 / 4): {8.0: 1.4, 11.0: 1.0, 16.0: 0.71},
    (400, 1.0): {8.0: 4.0, 11.0: 2.8, 16.0: 2.0},
}
# Another manual's: guide number [m] by power at ISO 100, its zoom set for a lens of 50 mm.
GUIDES = {1.0: 30.0, 1 / 2: 21.2, 1 / 4: 15.0, 1 / 8: 10.6, 1 / 16: 7.5, 1 / 32: 5.3}
# A third one's: factor on the guide number by speed, against ISO 200.
FACTORS = {80.0: 0.632, 400.0: 1.414, 800.0: 2.0, 1600.0: 2.827}


def _right_aperture(guide: float, distance: float, flashes: float | None = None) -> float:
    return float(np.sqrt(exposed(guide=guide, distance=distance, flashes=flashes)))


def _power(share: float) -> str:
    return f"1/{round(1.0 / share)}" if share < 1.0 else "full power"


def _examples() -> tuple[Check, ...]:
    """Return the checks of single sums."""
    return (
        *many(
            [
                ("32 m at 4 m", _right_aperture(32.0, 4.0), 8.0),
                ("80 ft at 10 ft", _right_aperture(80.0 * FOOT, 10.0 * FOOT), 8.0),
                ("120 ft at 15 ft", _right_aperture(120.0 * FOOT, 15.0 * FOOT), 8.0),
                ("160 ft at 20 ft", _right_aperture(160.0 * FOOT, 20.0 * FOOT), 8.0),
            ],
            stage="exposure",
            series="right aperture from a guide number, a photographic society",
            claim=Claim(EXACT.size, "all its digits"),
            source="Open Photographic Society, Flash guide numbers (undated)",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                ("at 30 ft", _right_aperture(37.0, 30.0 * FOOT), 4.0),
                ("at 15 ft", _right_aperture(37.0, 15.0 * FOOT), 8.0),
                ("at 7.5 ft", _right_aperture(37.0, 7.5 * FOOT), 16.0),
                ("at 26 m", _right_aperture(37.0, 26.0), 1.4),
                ("at 1.7 m", _right_aperture(37.0, 1.7), 22.0),
            ],
            stage="exposure",
            series="right aperture on a flash's dial, guide number 37 m or 120 ft",
            claim=MARKS,
            source="Wikipedia, Guide number, caption of the first picture (read in a copy, 2024)",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                ("45 m at 5 m", _right_aperture(45.0, 5.0), 9.0),
                ("20 m at 4 m", _right_aperture(20.0, 4.0), 5.0),
                ("three of 20 m at 4 m", _right_aperture(20.0, 4.0, 3.0), 8.66),
            ],
            stage="exposure",
            series="right aperture from a guide number, two teachers",
            claim=Claim(1e-3, "the digits printed"),
            source="a dictionary of photography, guide number; a page on several flashes (undated)",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                (
                    "one at 1/64",
                    float(np.sqrt(exposed(guide=64.0, power=1 / 64))),
                    8.0,
                ),
                (
                    "two at 1/64",
                    float(np.sqrt(exposed(guide=64.0, power=1 / 64, flashes=2.0))),
                    11.314,
                ),
                (
                    "one at 1/32",
                    float(np.sqrt(exposed(guide=64.0, power=1 / 32))),
                    11.314,
                ),
            ],
            stage="exposure",
            series="guide number of two flashes of 64 m",
            unit="m",
            claim=Claim(1e-4, "the digits printed"),
            source="Photography Stack Exchange, question 82465 (undated)",
            known=Known.PUBLISHED,
        ),
    )


def printed_exposure_checks() -> tuple[Check, ...]:
    """Return the checks of the exposure by examples in print."""
    reach = [
        (
            f"ISO {iso}, {_power(power)}, f/{number:g}",
            float(np.sqrt(exposed(guide=16.0, aperture=number, iso=float(iso), power=power))),
            told,
        )
        for (iso, power), row in REACH.items()
        for number, told in row.items()
    ]
    guides = [
        (_power(power), float(np.sqrt(exposed(guide=30.0, power=power))), told)
        for power, told in GUIDES.items()
    ]
    # A guide number for ISO 200 is one for ISO 100 times the root of a half.
    factors = [
        (f"ISO {iso:g}", float(np.sqrt(exposed(guide=np.sqrt(0.5), iso=iso))), told)
        for iso, told in FACTORS.items()
    ]
    return (
        *_examples(),
        *many(
            reach,
            stage="exposure",
            series="right distance by speed, power and aperture, a manual's table",
            unit="m",
            claim=Claim(0.04, "two digits, from aperture numbers before they are rounded"),
            source="a small flash's manual, 17 November 2008, its make left out",
            known=Known.PUBLISHED,
        ),
        *many(
            guides,
            stage="exposure",
            series="guide number by power, a manual's table",
            unit="m",
            claim=Claim(5e-3, "the digits printed"),
            source="another flash's manual (undated), its make left out",
            known=Known.PUBLISHED,
        ),
        *many(
            factors,
            stage="exposure",
            series="guide number by speed, a manual's factors",
            claim=Claim(1e-3, "the digits printed"),
            source="a camera's manual (undated), its make left out",
            known=Known.PUBLISHED,
        ),
    )
