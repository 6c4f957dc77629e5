# SPDX-License-Identifier: MIT
"""Conductivity of the potassium chloride solutions that define the scale, and of the water they are made with.

Pratt, Koch, Wu, Berezansky, Pure Appl. Chem. 73 (2001) 1783-1793, as tabulated in the CRC Handbook 5-73; seen there. The
water's own conductivity is already subtracted from the columns of KCl. Uncertainty 0.03 % (0.01 mol/kg), 0.04 % (others).
Used by `solutions.py`.
"""

from __future__ import annotations

# mol of KCl per kg of water -> (degC, uS/cm)
KCL_MOLAL: dict[float, tuple[tuple[float, float], ...]] = {
    0.01: ((0.0, 772.92), (5.0, 890.96), (10.0, 1013.95), (15.0, 1141.45), (18.0, 1219.93), (20.0, 1273.03), (25.0, 1408.23),
           (30.0, 1546.63), (35.0, 1687.79), (40.0, 1831.27), (45.0, 1976.62), (50.0, 2123.43)),
    0.1: ((0.0, 7116.85), (5.0, 8183.7), (15.0, 10437.1), (18.0, 11140.6), (20.0, 11615.9), (25.0, 12824.6),
          (30.0, 14059.2), (40.0, 16591.0), (45.0, 17880.6), (50.0, 19180.9)),
    1.0: ((0.0, 63488.0), (5.0, 72030.0), (15.0, 89900.0), (20.0, 99170.0), (25.0, 108620.0),
          (30.0, 118240.0), (40.0, 137810.0), (45.0, 147720.0), (50.0, 157670.0)),
}  # fmt: skip

# Water in equilibrium with the carbon dioxide of air, as that table prints it: degC, uS/cm
AIR_EXPOSED_WATER = (
    (0.0, 0.58), (5.0, 0.68), (15.0, 0.89), (18.0, 0.95), (20.0, 0.99), (25.0, 1.10), (30.0, 1.20), (40.0, 1.40), (45.0, 1.51), (50.0, 1.61),
)  # fmt: skip
