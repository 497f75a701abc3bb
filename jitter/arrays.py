"""Names for the arrays that travel the road, and what their axes mean.

Axes, in this order where present: ``2`` (first drop, second drop), ``2`` (x across the view and
the beam, y towards the camera), ``s`` set-ups, ``n`` shots of a set-up. A value that a set-up
fixes is ``(s, 1)``, a value that each shot draws is ``(s, n)``, and broadcasting does the rest.
NaN means "did not happen".
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Codes = NDArray[np.uint8]
