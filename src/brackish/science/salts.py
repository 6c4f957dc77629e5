# SPDX-License-Identifier: MIT
"""What a conductivity can be expressed as: named salts and mixtures, each with its law at one temperature.

A salt of two ions that do not pair has a closed form (`onsager.TwoIonLaw`); sulfates and mixtures are computed from their
ions and solved by iteration. Names and shares: `data/salts.py`. The range of each: `data/accuracy.py`. Used by `electrolyte.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from math import fsum
from typing import NamedTuple, Protocol

from brackish.errors import InputError
from brackish.science import onsager, water
from brackish.science.data.accuracy import AT_25, GROUP_OF_SALT
from brackish.science.data.ions import IONS
from brackish.science.data.salts import MIXTURES, SALT_IONS, SEA_SALT_IONS, SEA_SALT_MASS
from brackish.science.pairing import free_ions


class Salt(NamedTuple):
    """The ions of one unit in moles, and the mass of that unit in g (a mixture: of 1 g)."""

    ions: Mapping[str, float]
    molar_mass: float


def _salts() -> dict[str, Salt]:
    salts = {name: Salt(ions, fsum(count * IONS[ion].molar_mass for ion, count in ions.items())) for name, ions in SALT_IONS.items()}
    salts["sea salt"] = Salt(SEA_SALT_IONS, SEA_SALT_MASS)
    for name, shares in MIXTURES.items():
        present = [ion for ion in IONS if any(ion in salts[part].ions for part in shares)]
        moles = {ion: fsum(share * salts[part].ions.get(ion, 0.0) / salts[part].molar_mass for part, share in shares.items()) for ion in present}
        salts[name] = Salt(moles, 1.0)
    return salts


SALTS = _salts()


class Law(Protocol):
    """How one salt conducts at one temperature, both ways: uS/cm, and units of the salt in mol/L."""

    def conductivity(self, amount: float) -> float: ...

    def amount(self, conductivity: float) -> float: ...


class MixtureLaw(NamedTuple):
    """The law of a salt that pairs, or of several salts in fixed proportion."""

    ions: Mapping[str, float]
    temperature: float

    def conductivity(self, amount: float) -> float:
        ions = {ion: amount * count for ion, count in self.ions.items()}
        return onsager.mixture_conductivity(free_ions=free_ions(ions=ions, temperature=self.temperature), temperature=self.temperature)

    def amount(self, conductivity: float) -> float:
        """By the secant method until it stands still; the curve bends downwards, so it comes from below."""
        if not conductivity:
            return 0.0
        last, last_found = 0.0, 0.0
        guess = conductivity / (self.conductivity(1e-9) * 1e9)
        for _ in range(40):
            found = self.conductivity(guess)
            if found == last_found:
                break
            step = (conductivity - found) * (guess - last) / (found - last_found)
            last, last_found = guess, found
            guess += step
            if -2e-15 * guess <= step <= 2e-15 * guess:
                break
        return guess


class SaltLaw(NamedTuple):
    """A law with the range in which it may be used at that temperature."""

    law: Law
    highest_amount: float
    highest_conductivity: float


@lru_cache(maxsize=512)
def salt_law(*, salt: str, temperature: float) -> SaltLaw:
    """The law of a named salt at one temperature; kept, because a judgement asks for few temperatures many times."""
    if salt not in SALTS:
        raise InputError("science.unknown", name="salt", given=salt, allowed=list(SALTS))
    water.TEMPERATURE.check(temperature)
    law = _law(SALTS[salt].ions, temperature)
    highest = _highest_amount(salt)
    return SaltLaw(law, highest, law.conductivity(highest))


def _law(ions: Mapping[str, float], temperature: float) -> Law:
    if len(ions) != 2 or "SO4-2" in ions:
        return MixtureLaw(ions, temperature)
    (cation, cations), (anion, anions) = ions.items()
    return onsager.two_ion_law(cation=cation, anion=anion, cations=cations, anions=anions, temperature=temperature)


@lru_cache(maxsize=64)
def _highest_amount(salt: str) -> float:
    highest_at_25 = AT_25[GROUP_OF_SALT[salt]][-1][0]
    return _law(SALTS[salt].ions, 25.0).amount(highest_at_25)
