# SPDX-License-Identifier: MIT
"""The named salts and mixtures of salts that a reading can be expressed as.

Molar masses of salts follow from their ions (`data/ions.py`). Used by `electrolyte.py`.
"""

from __future__ import annotations

# ions per formula unit
SALT_IONS: dict[str, dict[str, float]] = {
    "NaCl": {"Na+": 1.0, "Cl-": 1.0},
    "KCl": {"K+": 1.0, "Cl-": 1.0},
    "NH4Cl": {"NH4+": 1.0, "Cl-": 1.0},
    "CaCl2": {"Ca+2": 1.0, "Cl-": 2.0},
    "MgCl2": {"Mg+2": 1.0, "Cl-": 2.0},
    "FeCl2": {"Fe+2": 1.0, "Cl-": 2.0},
    "ZnCl2": {"Zn+2": 1.0, "Cl-": 2.0},
    "HCl": {"H+": 1.0, "Cl-": 1.0},
    "NaNO3": {"Na+": 1.0, "NO3-": 1.0},
    "KNO3": {"K+": 1.0, "NO3-": 1.0},
    "NH4NO3": {"NH4+": 1.0, "NO3-": 1.0},
    "Ca(NO3)2": {"Ca+2": 1.0, "NO3-": 2.0},
    "NaHCO3": {"Na+": 1.0, "HCO3-": 1.0},
    "KHCO3": {"K+": 1.0, "HCO3-": 1.0},
    "Ca(HCO3)2": {"Ca+2": 1.0, "HCO3-": 2.0},
    "Mg(HCO3)2": {"Mg+2": 1.0, "HCO3-": 2.0},
    "NaOH": {"Na+": 1.0, "OH-": 1.0},
    "Na2SO4": {"Na+": 2.0, "SO4-2": 1.0},
    "K2SO4": {"K+": 2.0, "SO4-2": 1.0},
    "(NH4)2SO4": {"NH4+": 2.0, "SO4-2": 1.0},
    "MgSO4": {"Mg+2": 1.0, "SO4-2": 1.0},
    "CaSO4": {"Ca+2": 1.0, "SO4-2": 1.0},
    "FeSO4": {"Fe+2": 1.0, "SO4-2": 1.0},
    "ZnSO4": {"Zn+2": 1.0, "SO4-2": 1.0},
}

# Sea salt: Millero, Feistel, Wright, McDougall, Deep-Sea Research I 55 (2008) 50-72, table 4, mole fractions.
# Sr counts as Ca; Br, F, borate and OH as Cl; carbonate as twice bicarbonate; neutral CO2 and boric acid do not conduct.
# The mass is that of the reference composition itself, 31.4038 g per mole of its parts.
SEA_SALT_MASS = 31.4038218
SEA_SALT_IONS = {
    "Na+": 0.4188071,
    "K+": 0.0091159,
    "Mg+2": 0.0471678,
    "Ca+2": 0.0092633,
    "Cl-": 0.4883940,
    "HCO3-": 0.0019608,
    "SO4-2": 0.0252152,
}

# Mixtures of salts, shares by mass
MIXTURES: dict[str, dict[str, float]] = {
    "NaCl + Na2SO4": {"NaCl": 0.5, "Na2SO4": 0.5},
    "FeCl2 + FeSO4": {"FeCl2": 0.5, "FeSO4": 0.5},
    "NaCl + CaSO4 + FeSO4": {"NaCl": 1.0 / 3.0, "CaSO4": 1.0 / 3.0, "FeSO4": 1.0 / 3.0},
    "NaCl + CaCl2 + MgCl2": {"NaCl": 0.8, "CaCl2": 0.1, "MgCl2": 0.1},
}

# What a reading on steel is plausibly made of, and where from. The proportions are illustrations, not measurements.
PLAUSIBLE: dict[str, str] = {
    "MgCl2": "de-icing brine",
    "CaCl2": "de-icing salt, cement dust",
    "(NH4)2SO4": "farm and city air",
    "sea salt": "spray and sea water",
    "NaCl": "the salt most limits are expressed as",
    "NaCl + CaCl2 + MgCl2": "road salt",
    "FeCl2": "chloride held in rust",
    "NaCl + Na2SO4": "coast with industry",
    "NaCl + CaSO4 + FeSO4": "coast with dust and old rust",
    "CaSO4": "gypsum and building dust",
    "FeCl2 + FeSO4": "rust near coast and industry",
    "Na2SO4": "flue gas, washing agents",
    "FeSO4": "sulfate held in rust",
    "Ca(HCO3)2": "carbonate dust, hard water, carbonate in an abrasive",
}

# Chlorides that bound what chloride a conductivity allows. ZnCl2 would bound a little further below 15 degC, but its
# change with temperature is the least certain of all; acids and potassium conduct far more per chloride.
CHLORIDES = ("NaCl", "MgCl2", "FeCl2")
