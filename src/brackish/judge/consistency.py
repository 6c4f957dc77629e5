# SPDX-License-Identifier: MIT
"""What tests, certificates and weather say about each other.

Chloride cannot be more than the conductivity of the same extract allows: that contradiction
withholds both tests. Everything else here is a finding: a certificate of another lot or basis, steel
too near the dew point, a test before the blasting was finished, the time until which a coat may follow.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import timedelta
from itertools import product

from brackish import library
from brackish.errors import OutOfRange
from brackish.judge.inputs import Kit, figure, minutes_between
from brackish.judge.measurement import Measurement, joined, propagated
from brackish.judge.models import Wish, models
from brackish.judge.outcome import Finding, Note
from brackish.judge.portions import liquid_of
from brackish.judge.trial import Trial, judge_trial
from brackish.quantities import QUANTITIES, show, to_shown
from brackish.record.job import Certificate, Job
from brackish.science import humid_air

Found = Iterable[tuple[Trial, Finding]]
A_YEAR = 366 * 24 * 60.0  # min


def check(job: Job, trials: Sequence[Trial]) -> None:
    """Add what only several rows together can tell, and withhold what contradicts itself."""
    valid = [trial for trial in trials if trial.state == "valid"]
    for look in LOOKS:
        for trial, finding in look(job, valid):
            trial.findings.append(finding)
            if finding.code == "consistency.chloride_over_total":
                trial.withholding.append(Note(code=finding.code, params=finding.params))
    for trial in valid:
        if any(note.code == "consistency.chloride_over_total" for note in trial.withholding):
            judge_trial(trial)


def chloride_against_total(job: Job, trials: Sequence[Trial]) -> Found:
    """Chloride of a tube beside the most that the conductivity at the same extract or place allows."""
    patches = [trial for trial in trials if trial.method.model == "patch" and "reading" in trial.test.facts]
    chlorides = [trial for trial in trials if "chloride_per_area" in trial.method.gives]
    for patch, other in product(patches, chlorides):
        one_extract = bool(patch.test.extract) and patch.test.extract == other.test.extract
        near = patch.test.location and patch.test.location == other.test.location and patch.test.stage == other.test.stage
        if not (one_extract or near):
            continue
        if one_extract:
            yield from _same_water(patch, other)
        try:
            bound = _measure(job, patch, "chloride_bound_per_area")
            chloride = _measure(job, other, "chloride_per_area")
            excess = propagated(joined([chloride, bound], weights=[1.0, -1.0]), level=0.95)
        except OutOfRange:
            continue
        if chloride.bound == "<" or bound.bound or excess.value <= excess.expanded_uncertainty:
            continue
        params = {"chloride": _amount(chloride.value), "bound": _amount(bound.value), "difference": _amount(excess.value)}
        hard = one_extract and liquid_of(other.test, other.method) == "water" and _ph_allows(patch)
        if hard:
            for trial, with_test in ((patch, other), (other, patch)):
                yield trial, Finding(code="consistency.chloride_over_total", severity="warning", params=params | {"other": with_test.test.id})
        else:
            yield other, Finding(code="consistency.chloride_near_total", params=params | {"other": patch.test.id})


def _measure(job: Job, trial: Trial, quantity: str) -> Measurement:
    kit = Kit(job=job, test=trial.test)
    return models()[trial.method.model](kit, Wish(quantity=quantity, reference_temperature=None, blank=trial.blank))


def _amount(value: float) -> str:
    kind = QUANTITIES["chloride_per_area"]
    return show(to_shown(value=value, quantity="chloride_per_area"), unit=kind.shown_unit, decimals=kind.decimals)


def _ph_allows(patch: Trial) -> bool:
    ph = patch.test.facts.get("ph")
    lowest, highest = (float(library.assumption(f"ph_{end}").value) for end in ("lowest", "highest"))
    return ph is None or lowest <= ph <= highest


def _same_water(patch: Trial, other: Trial) -> Found:
    one, two = patch.test.facts.get("solution_volume"), other.test.facts.get("solution_volume")
    if one and two and one.exact != two.exact:
        params = {"given": one.text, "other": two.text, "tests": f"{patch.test.id}, {other.test.id}"}
        for trial in (patch, other):
            yield trial, Finding(code="consistency.extract_volume", severity="warning", params=params)


def certificates(job: Job, trials: Sequence[Trial]) -> Found:
    """A certificate beside the test of its lot: lot, date, scope, basis, declared value."""
    for certificate, trial in product(job.certificate, trials):
        if certificate.item == trial.item.id:
            for code, params in _certificate(certificate, trial):
                severity = "note" if code in ("certificate.agrees", "certificate.differs") else "warning"
                yield trial, Finding(code=code, severity=severity, params={"document": certificate.document or "certificate", **params})


def _certificate(certificate: Certificate, trial: Trial) -> Iterable[tuple[str, dict[str, str]]]:
    if certificate.lot and trial.item.lot and certificate.lot != trial.item.lot:
        yield "certificate.other_lot", {"given": certificate.lot, "lot": trial.item.lot}
    if certificate.issued and trial.test.at and certificate.issued > trial.test.at.date():
        yield "certificate.after_test", {"given": certificate.issued.isoformat(), "day": trial.test.at.date().isoformat()}
    if trial.item.condition == "in-use":
        yield "certificate.new_only", {}
    if not certificate.quantity or certificate.value is None:
        yield "certificate.basis_missing", {}
        return
    kind = QUANTITIES[certificate.quantity]
    if certificate.value.dimension != kind.dimension:
        yield "certificate.other_unit", {"given": certificate.value.text, "wanted": kind.shown_unit}
        return
    result = next((result for result in trial.results.values() if result.quantity == certificate.quantity and result.uncertainty), None)
    if result is None:
        if any(QUANTITIES[quantity].dimension == kind.dimension for quantity in trial.method.gives):
            yield "certificate.other_basis", {"given": kind.words, "measured": QUANTITIES[trial.method.gives[0]].words}
        return
    assert result.uncertainty
    apart = result.uncertainty.value - certificate.value.inside
    over = apart > result.uncertainty.expanded_uncertainty
    agrees = not over if certificate.value.bound == "<" else abs(apart) <= result.uncertainty.expanded_uncertainty
    measured = show(to_shown(value=result.uncertainty.value, quantity=certificate.quantity), unit=kind.shown_unit, decimals=kind.decimals)
    yield ("certificate.agrees" if agrees else "certificate.differs"), {"given": certificate.value.text, "measured": measured}


def condensation(job: Job, trials: Sequence[Trial]) -> Found:
    """Steel too near the dew point when it was tested, by the last weather written down before, in the same shift."""
    least, shift = figure("condensation_margin"), figure("shift")
    for trial in trials:
        if trial.item.kind != "steel" or trial.test.at is None or trial.method.model == "condensation":
            continue
        rows = [row for row in job.conditions if 0.0 <= minutes_between(row.at, trial.test.at) <= shift.inside and row.item in ("", trial.item.id)]
        row = max(rows, key=lambda each: each.at, default=None)
        if row and row.air_temperature and row.relative_humidity and row.surface_temperature and row.relative_humidity.inside > 0.0:
            try:
                margin = humid_air.condensation_margin(
                    surface_temperature=row.surface_temperature.inside,
                    air_temperature=row.air_temperature.inside,
                    relative_humidity=100.0 * row.relative_humidity.inside,
                )
            except OutOfRange:
                continue
            if margin < least.inside:
                yield (
                    trial,
                    Finding(
                        code="time.condensation",
                        severity="warning",
                        params={"given": show(margin, unit="K", decimals=1), "allowed": least.text, "at": row.at.isoformat()},
                    ),
                )


def before_ready(job: Job, trials: Sequence[Trial]) -> Found:
    """A test of steel whose blasting or washing was finished only afterwards."""
    for trial in _latest(trials):
        at = trial.test.at
        if at is None or trial.test.begun is None:
            continue
        washed = [row.finished_at for row in job.reclean if trial.test.location in row.locations and row.finished_at and row.finished_at <= at]
        place = job.location_by_id.get(trial.test.location)
        ready = max(washed, default=None) or (place.ready_at if place else None) or trial.item.ready_at
        if ready and (early := minutes_between(trial.test.begun, ready)) > 0.0:
            yield trial, Finding(code="time.before_ready", severity="warning", params={"given": f"{early / 60.0:.1f} h", "since": ready.isoformat()})


def coat_by(job: Job, trials: Sequence[Trial]) -> Found:
    """Until when the next coat may follow a test that did not fail, where the longest time between the two was agreed."""
    for trial in _latest(trials):
        if any(judgement.verdict == "fail" for judgement in trial.judgements.values()):
            continue
        agreed = [criterion.test_within for criterion in trial.criteria if criterion.test_within]
        longest = min(agreed, key=lambda each: each.inside, default=None)
        if trial.test.at and longest and longest.inside < A_YEAR:
            until = trial.test.at + timedelta(minutes=longest.inside)
            yield trial, Finding(code="time.coat_by", params={"allowed": longest.text, "until": until.isoformat()})


def _latest(trials: Sequence[Trial]) -> Iterable[Trial]:
    """The tests on steel of the last round of each location: an earlier one is of the steel before it was cleaned again."""
    on_steel = [trial for trial in trials if trial.item.kind == "steel"]
    last: dict[str, int] = {}
    for trial in on_steel:
        last[trial.test.location] = max(trial.test.round, last.get(trial.test.location, 0))
    return (trial for trial in on_steel if trial.test.round == last[trial.test.location])


def condition_of_abrasive(job: Job, trials: Sequence[Trial]) -> Found:
    """A limit for new or for used abrasive, and a lot of which nobody wrote which it is."""
    for trial in trials:
        for criterion in trial.criteria:
            if criterion.condition and not trial.item.condition:
                params = {"criterion": criterion.id, "wanted": criterion.condition, "item": trial.item.name or trial.item.id}
                yield trial, Finding(code="criterion.condition_unknown", severity="warning", params=params)


def use_of_water(job: Job, trials: Sequence[Trial]) -> Found:
    """A limit for water for washing, and a water of which nobody wrote what it is for: it counts as water for extraction."""
    if any(criterion.applies_to == "washing-water" for criterion in job.criteria):
        for trial in trials:
            if trial.method.fact("use") and "use" not in trial.test.facts:
                yield trial, Finding(code="criterion.use_unknown", severity="warning")


LOOKS: tuple[Callable[[Job, Sequence[Trial]], Found], ...] = (
    chloride_against_total,
    certificates,
    condensation,
    before_ready,
    coat_by,
    condition_of_abrasive,
    use_of_water,
)
