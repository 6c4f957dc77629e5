# SPDX-License-Identifier: MIT
"""How well the conductivity model is known, per salt: this table is also the range in which a salt can be used.

Limits of error, relative, from the evidence files `tests/evidence/chemistry_*.toml`: the handbook at 25 degC where it has
the salt, else PHREEQC 3.8.6 and McCleskey's fits, and never better than what they show.
"""

from __future__ import annotations

# group -> (conductivity at 25 degC in uS/cm up to which the row holds, limit of error)
AT_25: dict[str, tuple[tuple[float, float], ...]] = {
    "NaCl": ((5600.0, 0.002), (10640.0, 0.004)),
    "KCl": ((13000.0, 0.003),),
    "acid or alkali": ((2400.0, 0.002), (5000.0, 0.005)),
    "nitrate": ((700.0, 0.007), (2600.0, 0.012)),
    "bicarbonate": ((2400.0, 0.021),),
    "divalent chloride": ((1300.0, 0.007), (2400.0, 0.013), (5000.0, 0.020)),
    "sulfate of one charge": ((1200.0, 0.013), (2400.0, 0.023), (4700.0, 0.030)),
    "divalent sulfate": ((240.0, 0.030), (600.0, 0.055), (1500.0, 0.100), (2400.0, 0.120)),
    "sea salt": ((2400.0, 0.006), (3800.0, 0.010)),
}

GROUP_OF_SALT: dict[str, str] = {
    "NaCl": "NaCl", "KCl": "KCl", "NH4Cl": "KCl", "HCl": "acid or alkali", "NaOH": "acid or alkali",
    "CaCl2": "divalent chloride", "MgCl2": "divalent chloride", "FeCl2": "divalent chloride", "ZnCl2": "divalent chloride",
    "NaNO3": "nitrate", "KNO3": "nitrate", "NH4NO3": "nitrate", "Ca(NO3)2": "divalent chloride",
    "NaHCO3": "bicarbonate", "KHCO3": "bicarbonate", "Ca(HCO3)2": "bicarbonate", "Mg(HCO3)2": "bicarbonate",
    "Na2SO4": "sulfate of one charge", "K2SO4": "sulfate of one charge", "(NH4)2SO4": "sulfate of one charge",
    "MgSO4": "divalent sulfate", "CaSO4": "divalent sulfate", "FeSO4": "divalent sulfate", "ZnSO4": "divalent sulfate",
    "sea salt": "sea salt", "NaCl + Na2SO4": "sulfate of one charge", "FeCl2 + FeSO4": "divalent sulfate",
    "NaCl + CaSO4 + FeSO4": "divalent sulfate", "NaCl + CaCl2 + MgCl2": "divalent chloride",
}  # fmt: skip

# Added away from 25 degC: (lowest, highest temperature, limit of error). The first table is for salts of Na+, K+, H+
# and Cl-, whose law is confirmed by the NIST table of KCl; the second for the others, which have no primary data here.
AWAY_FROM_25_CONFIRMED = ((15.0, 30.0, 0.001), (10.0, 35.0, 0.002), (0.0, 50.0, 0.005))
AWAY_FROM_25 = ((24.0, 26.0, 0.001), (15.0, 30.0, 0.005), (10.0, 35.0, 0.010), (0.0, 50.0, 0.020))
