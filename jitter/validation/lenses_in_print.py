"""Working aperture, depth of field and circle of confusion against examples in print."""

from __future__ import annotations

from jitter.validation.checks import EXACT, Check, Claim, Known, many
from jitter.validation.lenses import drawn, hyperfocal, item

INCH, FOOT = 25.4e-3, 0.3048

STACKING = "the manual of a program that stacks pictures, 2023 (its name left out)"
FORUM = "a forum of photomacrography, 10 November 2017"
ARMY = "U.S. Army Signal School (undated), subcourse"
OPTICS = f"{ARMY} SS 0507, edition 6, Principles of Photography, learning event 10"
EQUAL = Claim(EXACT.size, "all its digits")


def _close_ups() -> tuple[Check, ...]:
    """Return the checks of close-up examples."""

    def factor(size: float) -> float:
        return item((drawn(magnification=size).working_aperture / 8.0) ** 2)

    return (
        *many(
            [
                ("a lens of 12 inches on a bellows of 18", factor(18.0 / 12.0 - 1.0), 2.25),
                ("12 inches drawn 8 inches high", factor(8.0 / 12.0), 2.8),
            ],
            stage="lens",
            series="exposure factor of close-ups in a course",
            claim=Claim(0.01, "the digits printed"),
            source=f"{ARMY} SS 0512, bellows extension factor",
            known=Known.PUBLISHED,
        ),
        *many(
            [("10 cm drawn 5 cm high", factor(0.5), 2.25)],
            stage="lens",
            series="exposure factor of close-ups in a textbook",
            claim=EQUAL,
            source="doi 10.4324/9780080494012-22; Langford, Basic Photography, 2000, from memory",
            known=Known.ABSTRACT,
        ),
        *many(
            [
                (
                    f"f/{number:g} at {size:g} times",
                    item(drawn(magnification=size, aperture=number).working_aperture),
                    told,
                )
                for number, size, told in ((16, 1, 32.0), (4, 5, 24.0), (45, 7, 360.0))
            ],
            stage="lens",
            series="working aperture in print",
            claim=EQUAL,
            source=f"{STACKING}; {FORUM}; a macro photographer's notes, 29 April 2021",
            known=Known.PUBLISHED,
            note="All for like pupils. The last author saw that his own lens departs from it.",
        ),
    )


def _depths() -> tuple[Check, ...]:
    """Return the checks of depths of field."""
    focal, far = 6.1 * INCH, 10.0 * FOOT
    # The course has a hyperfocal distance of 554 feet: f²/(N c) with c = 1/500 inch.
    portrait = drawn(
        magnification=focal / (far - focal), aperture=2.8, focal=focal, circle=INCH / 500.0
    )
    rows = [
        (
            f"{size:g} times, f/{number:g}, c = {1e6 * circle:g} µm",
            item(drawn(magnification=size, aperture=number, circle=circle).depth_of_field),
            told,
        )
        for size, number, circle, told in (
            (1.0, 16.0, 30e-6, 1.92e-3),
            (5.0, 2.8, 18e-6, 24.2e-6),
            (5.0, 4.0, 18e-6, 34.6e-6),
        )
    ]
    return (
        *many(
            rows,
            stage="lens",
            series="depth of field of close-ups in print",
            unit="m",
            claim=Claim(3e-3, "the digits printed"),
            source=f"{STACKING}; {FORUM}",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                (
                    "6.1 inches at f/2.8, 10 feet away",
                    item(portrait.depth_of_field),
                    (10.2 - 9.8) * FOOT,
                )
            ],
            stage="lens",
            series="depth of field of a portrait in print",
            unit="m",
            claim=Claim(0.1 * FOOT, "both limits printed to 0.1 foot", relative=False),
            source="U.S. Navy, Photography (Basic), NAVEDTRA 14209, 1993: 9.8 to 10.2 feet",
            known=Known.PUBLISHED,
        ),
        *many(
            [
                (
                    "2 inches at f/8, c = 1/500 inch",
                    hyperfocal(2.0 * INCH, 8.0, INCH / 500.0),
                    20.8 * FOOT,
                ),
                ("50 mm at f/8, c = 33 µm", hyperfocal(50e-3, 8.0, 33e-6), 9.47),
            ],
            stage="lens",
            series="hyperfocal distance in print",
            unit="m",
            claim=Claim(0.01, "both leave out one focal length, and round"),
            source=f"{OPTICS}; a photographer's page on setting it (undated)",
            known=Known.PUBLISHED,
        ),
    )


def printed_lens_checks() -> tuple[Check, ...]:
    """Return the checks of the lens by examples in print."""
    circles = [
        (name, item(drawn(magnification=0.4, frame=frame).circle_of_confusion), told)
        for name, frame, told in (
            ("36 mm, 'the classic value'", 36e-3, 30e-6),
            ("23.6 mm", 23.6e-3, 20e-6),
            ("24 mm", 24e-3, 20e-6),
        )
    ]
    full = item(drawn(magnification=0.4).circle_of_confusion)
    return (
        *_close_ups(),
        *_depths(),
        *many(
            circles,
            stage="lens",
            series="circle of confusion",
            unit="m",
            uncertainty="a convention",
            claim=Claim(0.03, "printed to one digit"),
            source=f"{STACKING}; two pages on close-ups, 28 February 2010 and undated",
            known=Known.PUBLISHED,
        ),
        *many(
            [("36 mm", full, INCH / 500.0)],
            stage="lens",
            series="circle of confusion in the days of film",
            unit="m",
            uncertainty="a convention",
            claim=Claim(0.2, "by which conventions of one time differ"),
            source=OPTICS,
            known=Known.PUBLISHED,
            note=(
                "1/500 inch, where prints were small. Every depth would be 1.7 times ours: give"
                " camera.circle_of_confusion."
            ),
        ),
    )
