# SPDX-License-Identifier: MIT
"""Which salt was it? A conductivity does not say: what the amount would be for each plausible salt or mixture.

The band between the least and the most is what an unknown composition leaves open. Beside each stands the humidity from which
that salt, left under paint, draws water from the air: why a little magnesium chloride is worse than as much gypsum.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from brackish.errors import InputError
from brackish.judge.inputs import Kit
from brackish.judge.models import Wish
from brackish.judge.patch import Waters, waters
from brackish.judge.trial import Trial, try_test
from brackish.quantities import show
from brackish.record.job import Job
from brackish.science import amounts, deliquescence, electrolyte
from brackish.science.data.deliquescence import DELIQUESCENCE
from brackish.science.data.salts import MIXTURES, PLAUSIBLE

SUBSCRIPTS = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
HUMIDITY_AT = 25.0  # degC, where every row of the table has a value


def of_test(job: Job, test: str) -> dict[str, Any]:
    """The band for a test by its id; only that test is judged. InputError as `of_trial`, or where there is no such test."""
    found = next((each for each in job.test if each.id == test), None)
    if found is None:
        raise InputError("input.unknown_reference", kind="test", given=test, allowed=[each.id for each in job.test])
    return of_trial(job, try_test(job, found))


def of_trial(job: Job, trial: Trial) -> dict[str, Any]:
    """The band for a patch test that was judged.

    Raises
    ------
    InputError
        When the test gave no conductivity of what came off steel, or only a bound.

    """
    result = next((one for one in trial.results.values() if one.uncertainty and not one.bound), None)
    if trial.method.model != "patch" or result is None:
        raise InputError("salts.no_extract", given=trial.test.id, method=trial.method.short, state=trial.state)
    question = result.question
    wish = Wish(quantity="mixed_salt_per_area", reference_temperature=question.reference_temperature, blank=trial.blank)
    return band(waters(Kit(job=job, test=trial.test), wish))


def band(found: Waters) -> dict[str, Any]:
    """The amount of every plausible salt that conducts as the extract does beyond its blank, least first.

    Parameters
    ----------
    found : Waters
        Conductivities [uS/cm] at `temperature` [degC]; with volumes [mL] and an area [mm2] the amounts are mg/m2, without mg/L.

    Returns
    -------
    table
        `salts` (salt, name, from, value, unit, shown, wets_from), `shown` and `sentences`; no row is a result.

    Valid
    -----
    as electrolyte.composition_band; what the blank holds is counted as the same salt

    """
    extract, blank = (dict(electrolyte.composition_band(conductivity=kappa, temperature=found.temperature)) for kappa in (found.extract, found.blank))
    amount = _per_area(found) if found.area is not None else lambda strength, taken: strength - taken
    unit = "mg/m2" if found.area is not None else "mg/L"
    rows: list[dict[str, Any]] = [
        {"salt": salt, "name": salt.translate(SUBSCRIPTS), "from": PLAUSIBLE[salt], "value": amount(extract[salt], blank[salt])} for salt in PLAUSIBLE
    ]
    rows.sort(key=lambda row: row["value"])
    for row in rows:
        row |= {"unit": unit, "shown": show(row["value"], unit=unit, decimals=1), "wets_from": _wets_from(row["salt"])}
    least, most = rows[0], rows[-1]
    return {
        "salts": rows,
        "shown": f"{show(least['value'], unit='', decimals=1)} to {most['shown']}",
        "read": f"{show(found.extract, unit='uS/cm', decimals=2)} over a blank of {show(found.blank, unit='uS/cm', decimals=2)}, at {found.temperature:g}\u00a0°C",
        "humidity_at": f"{HUMIDITY_AT:g}\u00a0°C",
        "sentences": _sentences(found, least, most),
    }


def _sentences(found: Waters, least: dict[str, Any], most: dict[str, Any]) -> list[str]:
    if found.extract <= found.blank:
        return ["The extract conducts no more than its blank: there is no salt to name.", "The amounts below are below zero for every salt."]
    return [
        f"The same reading is anything from {least['shown']} ({least['name']}) to {most['shown']} ({most['name']}). The meter cannot tell which.",
        "That is why a limit must name what is counted; a chloride tube on the same extract narrows it down.",
    ]


def _per_area(found: Waters) -> Callable[[float, float], float]:
    def amount(strength: float, taken: float) -> float:
        assert found.area is not None
        return amounts.nacl_equivalent_per_area(
            meter_gain=1.0,
            solution_volume=found.volume,
            concentration=strength,
            blank_concentration=taken,
            compartment_area=found.area,
            blank_volume=found.blank_volume,
        )

    return amount


def _wets_from(salt: str) -> str:
    """The humidity from which a salt wets the steel; of a mixture, below the lowest of its parts; empty where it is not known."""
    parts = [part for part in MIXTURES.get(salt, {salt: 1.0}) if part in DELIQUESCENCE]
    if not parts:
        return ""
    lowest = min(deliquescence.humidity(salt=part, temperature=HUMIDITY_AT) for part in parts)
    return f"{'below ' if salt in MIXTURES else ''}{show(lowest, unit='%', decimals=0)}"
