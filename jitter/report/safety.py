"""The cautions that belong on every page about such a rig."""

CAUTIONS = (
    "Keep mains plugs, adapters and power strips away from and above the liquid, with drip loops in"
    " the cables, on a circuit with a residual-current device (RCD, GFCI). Prefer low voltage near"
    " the dish.",
    "Do not open a flash: its capacitor holds hundreds of volts and can kill long after the unit"
    " was switched off.",
    "The sync contacts of old flashes may carry hundreds of volts. Measure before you connect one"
    " to a camera or a timer, or put an isolating stage between.",
    "Repeated flashes can trigger seizures in people with photosensitive epilepsy: ask everybody in"
    " the room first.",
    "Do not look into the flash in the dark, nor fire it close to eyes.",
    "Water, glycerol and thickeners make floors slippery, and the room is dark: mop up at once, and"
    " keep the way to the light switch free.",
    "Dyes and additives stain, and some irritate: read their labels, wear gloves, keep food away.",
    "Local codes and rules come before anything said here; leave mains work to a licensed"
    " electrician.",
)
