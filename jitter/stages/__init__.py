"""The shot, one physical stage per file.

To add a stage: write a file with a function of keyword-only arguments that returns a named tuple
of events, wrap both in a `Stage` and name it in `CHAIN`, after every stage whose events it needs.
To add a quantity: declare it in the stage it belongs to and use it as an argument there.
"""

from jitter.stage import Chain
from jitter.stages import (
    air,
    beam,
    camera,
    crater,
    dose,
    drop,
    exposure,
    fall,
    flash,
    from_rest,
    jet,
    landing,
    lens,
    liquid,
    look,
    meeting,
    regime,
    reservoir,
    sheet,
    shutter,
    timer,
    trimming,
    valve,
    verdict,
    wobble,
)

CHAIN = Chain(
    stages=(
        liquid.STAGE,
        air.STAGE,
        dose.STAGE,
        reservoir.STAGE,
        drop.STAGE,
        from_rest.STAGE,
        valve.STAGE,
        fall.STAGE,
        wobble.STAGE,
        beam.STAGE,
        landing.STAGE,
        crater.STAGE,
        jet.STAGE,
        meeting.STAGE,
        timer.STAGE,
        flash.STAGE,
        shutter.STAGE,
        sheet.STAGE,
        lens.STAGE,
        exposure.STAGE,
        camera.STAGE,
        regime.STAGE,
        verdict.STAGE,
        look.STAGE,
    ),
    trimming=trimming.STAGE,
)
"""The stages of a real shot, in causal order."""
