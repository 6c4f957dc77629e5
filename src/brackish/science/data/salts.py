# SPDX-License-Identifier: MIT
"""The named salts and mixtures: what ions one formula unit gives, and how well the model knows each.

Molar masses follow from the ions (`data/ions.py`). Used by `electrolyte.py`.
"""

from __future__ import annotations

SALT_IONS: dict[str, dict[str, float]] = {
    "NaCl": {"Na+": 1.0, "Cl-": 1.0},
    "KCl": {"K+": 1.0, "Cl-": 1.0},
    "CaCl2": {"Ca+2": 1.0, "Cl-": 2.0},
    "MgCl2": {"Mg+2": 1.0, "Cl-": 2.0},
}
