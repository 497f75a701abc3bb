"""Published terminal speeds and drag coefficients, and falls from a second program."""

from __future__ import annotations

# Gunn & Kinzer 1949, J. Meteorol. 6, 243, table 2: terminal speed [m/s] of water drops [mm] in
# still air at 20 C, 101.3 kPa and 50 % humidity.
GUNN_KINZER = {
    0.078: 0.18, 0.1: 0.27, 0.2: 0.72, 0.3: 1.17, 0.4: 1.62, 0.5: 2.06, 0.6: 2.47, 0.7: 2.87,
    0.8: 3.27, 0.9: 3.67, 1.0: 4.03, 1.2: 4.64, 1.4: 5.17, 1.6: 5.65, 1.8: 6.09, 2.0: 6.49,
    2.2: 6.90, 2.4: 7.27, 2.6: 7.57, 2.8: 7.82, 3.0: 8.06, 3.2: 8.26, 3.4: 8.44, 3.6: 8.60,
    3.8: 8.72, 4.0: 8.83, 4.2: 8.92, 4.4: 8.98, 4.6: 9.03, 4.8: 9.07, 5.0: 9.09, 5.2: 9.12,
    5.4: 9.14, 5.6: 9.16, 5.8: 9.17,
}  # fmt: skip

# fluids 1.3.1, drag_sphere with the method named: Reynolds number: C_D.
DRAG_REYNOLDS = (
    1.0, 10.0, 50.0, 100.0, 200.0, 500.0, 900.0, 1000.0, 1500.0, 2000.0, 3000.0, 5000.0, 10000.0,
)  # fmt: skip
DRAG = {
    "Clift": (
        27.156, 4.25839, 1.57427, 1.08702, 0.775634, 0.554924, 0.480942, 0.471086, 0.44143,
        0.421134, 0.399658, 0.387275, 0.405229,
    ),
    "Morrison": (
        24.6729, 3.96758, 1.48802, 1.03819, 0.767732, 0.567436, 0.494125, 0.484056, 0.452105,
        0.43495, 0.416951, 0.402411, 0.393564,
    ),
    "Barati": (
        26.5363, 4.36543, 1.58074, 1.07801, 0.768224, 0.556881, 0.478512, 0.467423, 0.432172,
        0.413613, 0.395884, 0.39015, 0.410781,
    ),
    "Clift_Gauvin": (
        27.6481, 4.13474, 1.5143, 1.07039, 0.79054, 0.564626, 0.476042, 0.463867, 0.426506,
        0.408603, 0.394484, 0.392762, 0.410315,
    ),
}  # fmt: skip
DRAG_NAMES = {
    "Clift": "Clift, Grace & Weber 1978, table 5.2",
    "Morrison": "Morrison 2013",
    "Barati": "Barati et al. 2014",
    "Clift_Gauvin": "the library's variant of Clift & Gauvin 1971",
}

# A second program that integrates the same fall equation: a drop from rest at 20 C and sea level,
# distances of its centre; mm: ms and m/s at 0.127 m, ms and m/s at 0.610 m.
FALLS = {
    4.5: (161.59, 1.5639, 357.11, 3.3515),
    5.0: (161.52, 1.5656, 356.58, 3.3643),
}
