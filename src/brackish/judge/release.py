# SPDX-License-Identifier: MIT
"""From failure to release: for each place or lot that failed, what was done since and what still blocks.

    {format: brackish-release/1, released, line,
     places: [{kind: location | lot | mean, item, item_name, criterion, place, name, shown_limit?, released, line, verdict_now,
       failed          the test that failed last
       tests: [{test, round, purpose, at?, tester?, value?, unit?, shown?, shown_uncertainty?, verdict, accepted?, failed}]   all rounds
       nonconformance?: {id, cause, disposition, raised_by, raised_at?, closed_by, closed_at?}
       reclean?: {method, water, finished_at?}
       released_by?: {who, at?, how: non-conformance | signature}
       blocks: [note]                                     in the order of work: the first is next
       quarantine: {known, shown?, message}
       neighbours?: {wanted?, by: distance | order, rule, message,
                     places: [{location, name, distance?, test?, shown?, verdict?, done}]}}]}

A note is {code, params, message}. A place fails by its verdict, or is inconclusive where the contract then
asks for a retest or a reject. Inconclusive with a retest agreed needs that retest, and no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from brackish.judge import wording
from brackish.judge.between import distance, distance_text
from brackish.judge.items import ItemVerdict, Spot
from brackish.judge.main import judged_document
from brackish.judge.mean import judge_mean
from brackish.judge.outcome import Note
from brackish.judge.results import shown_uncertainty
from brackish.judge.trial import Trial
from brackish.judge.verdicts import judgement_dict
from brackish.quantities import QUANTITIES, shown_unit
from brackish.record.job import Item, Job, Location, Nonconformance, Reclean
from brackish.record.specification import Criterion

FORMAT = "brackish-release/1"
USUAL_NEIGHBOURS = 2  # shown, never required, where the contract asks for neighbours without a number
RELEASING_ROLES = ("inspector", "owner")


@dataclass(frozen=True, kw_only=True)
class Case:
    """A place or lot that failed, with all that bears on it."""

    job: Job
    item: Item
    criterion: Criterion
    kind: str  # location | lot | mean
    place: str
    tests: tuple[Trial, ...]  # all rounds that count, earliest first
    failed: Trial  # the last that failed
    only_inconclusive: bool
    planned: tuple[str, ...]
    verdict_now: str
    others: tuple[Trial, ...]  # every test that the criterion counts, for the neighbours

    @property
    def again(self) -> bool:
        """Whether what failed was itself a retest."""
        return self.failed.test.round > 1

    @property
    def nonconformance(self) -> Nonconformance | None:
        own = {trial.test.id for trial in self.tests}
        return next((row for row in reversed(self.job.nonconformance) if own & set(row.tests)), None)

    @property
    def reclean(self) -> Reclean | None:
        """The last re-clean of the place that ended after the failure, or whose end is not written."""
        rows = [row for row in self.job.reclean if self.place in row.locations and _after(row.finished_at, self.failed.test.at)]
        return max(rows, key=lambda row: (row.finished_at is not None, row.finished_at.timestamp() if row.finished_at else 0.0), default=None)

    @property
    def retests(self) -> list[Trial]:
        return [trial for trial in self.tests if trial.test.round > self.failed.test.round]


def _after(moment: datetime | None, other: datetime | None) -> bool:
    """Not before: a time that is not written contradicts nothing here."""
    return moment is None or other is None or moment >= other


def of_job(document: Mapping[str, Any]) -> dict[str, Any]:
    """Every place and lot of a job that failed, from the failure to the release, and what still blocks.

    Raises
    ------
    InputFaults
        When the job cannot be used.

    """
    job, trials, verdicts = judged_document(document)
    cases = [case for item in job.item for verdict in verdicts[item.id] for case in _cases(job, item, verdict, trials)]
    places = [_row(case) for case in cases]
    blocked = [row for row in places if not row["released"]]
    return {"format": FORMAT, "released": not blocked, "line": wording.release_line(places, blocked), "places": places}


# What failed


def _cases(job: Job, item: Item, verdict: ItemVerdict, trials: Sequence[Trial]) -> Iterable[Case]:
    criterion = verdict.criterion
    counted = tuple(trial for trial in trials if trial.item is item and trial.counts_for(criterion))
    for spot in verdict.spots:
        case = _case_of_spot(job, item, criterion, spot, counted)
        if case:
            yield case
    if verdict.mean:
        yield from _case_of_mean(job, item, verdict, counted)


def _failing(verdict: str, criterion: Criterion) -> bool:
    return verdict == "fail" or (verdict == "inconclusive" and criterion.on_inconclusive in ("retest", "reject"))


def _case_of_spot(job: Job, item: Item, criterion: Criterion, spot: Spot, counted: tuple[Trial, ...]) -> Case | None:
    tests = tuple(sorted((*spot.earlier, *spot.latest), key=lambda trial: trial.test.round))
    bad = [trial for trial in tests if criterion.id in trial.judgements and _failing(trial.judgements[criterion.id].verdict, criterion)]
    if not bad or bad[-1] not in counted:
        return None
    steel = criterion.applies_to == "steel"
    planned = [trial.test for trial in counted if trial.state == "planned" and trial.test.round > bad[-1].test.round]
    own = {trial.test.id for trial in tests}
    return Case(
        job=job,
        item=item,
        criterion=criterion,
        kind="location" if steel else "lot",
        place=spot.id if steel else item.id,
        tests=tests,
        failed=bad[-1],
        only_inconclusive=criterion.on_inconclusive == "retest" and all(trial.judgements[criterion.id].verdict == "inconclusive" for trial in bad),
        planned=tuple(test.id for test in planned if (test.location == spot.id if steel else test.retest_of in own)),
        verdict_now=spot.verdict,
        others=counted,
    )


def _case_of_mean(job: Job, item: Item, verdict: ItemVerdict, counted: tuple[Trial, ...]) -> Iterable[Case]:
    """A mean that fails now, or that failed in its first round."""
    criterion, mean = verdict.criterion, verdict.mean
    assert mean
    spots = [spot for spot in verdict.spots if spot.complete]
    tests = tuple(sorted((trial for spot in spots for trial in (*spot.earlier, *spot.latest)), key=lambda trial: trial.test.round))
    first = [_first_round(spot) for spot in spots]
    before = judge_mean(criterion, first) if any(spot.earlier for spot in spots) else mean
    if not spots or not (_failing(mean.verdict, criterion) or _failing(before.verdict, criterion)):
        return
    failed = max((spot.latest if _failing(mean.verdict, criterion) else group for spot, group in zip(spots, first, strict=True)), key=lambda g: g[0].test.round)
    yield Case(
        job=job,
        item=item,
        criterion=criterion,
        kind="mean",
        place=item.id,
        tests=tests,
        failed=failed[0],
        only_inconclusive=criterion.on_inconclusive == "retest" and "fail" not in (mean.verdict, before.verdict),
        planned=tuple(trial.test.id for trial in counted if trial.state == "planned" and trial.test.round > failed[0].test.round),
        verdict_now=mean.verdict,
        others=counted,
    )


def _first_round(spot: Spot) -> tuple[Trial, ...]:
    tries = (*spot.earlier, *spot.latest)
    first = min(trial.test.round for trial in tries)
    return tuple(trial for trial in tries if trial.test.round == first)


# One row


def _row(case: Case) -> dict[str, Any]:
    neighbours = _neighbours(case) if case.kind == "location" and not case.only_inconclusive and case.criterion.neighbours != 0 else None
    blocks = [*_paper_blocks(case), *_retest_blocks(case), *_neighbour_blocks(case, neighbours), *_closing_blocks(case)]
    location = next((place for place in case.job.location if place.id == case.place), None)
    row: dict[str, Any] = {
        "kind": case.kind,
        "item": case.item.id,
        "item_name": case.item.name or case.item.id,
        "criterion": case.criterion.id,
        "place": case.place,
        "name": (location.name if location and case.kind == "location" else case.item.name) or case.place,
        "released": not blocks,
        "verdict_now": case.verdict_now,
        "failed": case.failed.test.id,
        "tests": [_test(case, trial) for trial in case.tests],
        "blocks": [block.to_dict() for block in blocks],
        "quarantine": _quarantine(case, hold="Hold back" if blocks else "Was held back"),
    }
    if case.criterion.limit:
        row["shown_limit"] = case.criterion.limit.text.replace(case.criterion.limit.unit, shown_unit(case.criterion.limit.unit)).replace(" ", "\u00a0")
    row |= _papers(case) | ({"neighbours": neighbours} if neighbours else {})
    return row | {"line": wording.place_line(row)}


def _test(case: Case, trial: Trial) -> dict[str, Any]:
    test, judgement = trial.test, trial.judgements.get(case.criterion.id)
    row: dict[str, Any] = {"test": test.id, "round": test.round, "purpose": test.purpose, "verdict": judgement.verdict if judgement else "withheld"}
    tester = next((person for person in case.job.person if person.id == test.tester), None)
    row |= ({"at": test.at.isoformat()} if test.at else {}) | ({"tester": tester.name or tester.id} if tester else {})
    result = trial.result_for(case.criterion) if trial.state == "valid" else None
    if result and result.uncertainty and judgement:
        kind = QUANTITIES[result.quantity]
        said = judgement_dict(case.criterion, judgement)
        row |= {"value": said["value"], "unit": kind.shown_unit, "shown": said["shown_value"]} | ({"accepted": True} if said.get("accepted") else {})
        row |= {"shown_uncertainty": shown_uncertainty(result)}
    return row | {"failed": bool(judgement) and _failing(row["verdict"], case.criterion)}


def _papers(case: Case) -> dict[str, Any]:
    """Non-conformance, re-clean, release: what was written."""
    row: dict[str, Any] = {}
    paper, cleaned, released = case.nonconformance, case.reclean, _released_by(case)
    if paper:
        row["nonconformance"] = {name: getattr(paper, name) for name in ("id", "cause", "disposition", "raised_by", "closed_by")}
        row["nonconformance"] |= {name: at.isoformat() for name in ("raised_at", "closed_at") if (at := getattr(paper, name))}
    if cleaned:
        row["reclean"] = {"method": cleaned.method, "water": cleaned.water} | ({"finished_at": cleaned.finished_at.isoformat()} if cleaned.finished_at else {})
    return row | ({"released_by": released} if released else {})


def _released_by(case: Case) -> dict[str, Any] | None:
    """Who closed the non-conformance, else who signed the job after the last retest."""
    paper = case.nonconformance
    if paper and paper.closed_by:
        return {"who": paper.closed_by, "how": "non-conformance"} | ({"at": paper.closed_at.isoformat()} if paper.closed_at else {})
    last = max((trial.test.at for trial in case.retests if trial.test.at), default=None)
    for signature in case.job.signature:
        releases = signature.role.lower() in RELEASING_ROLES or "release" in signature.what.lower()
        if releases and signature.at and last and signature.at >= last:
            person = next(person for person in case.job.person if person.id == signature.person)
            return {"who": person.name or person.id, "how": "signature", "at": signature.at.isoformat()}
    return None


def _quarantine(case: Case, *, hold: str) -> dict[str, Any]:
    paper, name = case.nonconformance, case.item.name or case.item.id
    if case.kind == "lot":
        return _area("release.quarantine_lot", hold, True, case.item.lot_mass, name=name, lot=case.item.lot or "not written")
    if paper and paper.area:
        return _area("release.quarantine_area", hold, True, paper.area, name=name)
    if case.item.area:
        return _area("release.quarantine_item", hold, False, case.item.area, name=name)
    return _area("release.quarantine_unknown", hold, False, None, name=name)


def _area(code: str, hold: str, known: bool, amount: Any, **params: str) -> dict[str, Any]:
    shown = amount.text.replace(amount.unit, shown_unit(amount.unit)).replace(" ", "\u00a0") if amount else ""
    return {"known": known, "message": wording.message(code, params | {"hold": hold, "amount": shown or "not written"})} | ({"shown": shown} if shown else {})


# What blocks, in the order of work


def _paper_blocks(case: Case) -> Iterable[Note]:
    """Non-conformance, cause, and what was done about it; an agreed retest of an inconclusive result needs none of them."""
    if case.only_inconclusive:
        return
    paper, test = case.nonconformance, case.failed.test.id
    if paper is None:
        yield Note(code="release.no_nonconformance", params={"test": test})
    elif not paper.cause:
        yield Note(code="release.no_cause", params={"id": paper.id or test})
    if case.kind == "lot":
        if paper and not paper.disposition:
            yield Note(code="release.no_disposition", params={"id": paper.id or test})
        return
    if case.kind == "location" and case.reclean is None:
        yield Note(code="release.no_reclean", params={"place": case.place, "test": test})
    elif case.reclean and case.reclean.finished_at is None:
        yield Note(code="release.reclean_unfinished", params={"place": case.place})


def _retest_blocks(case: Case) -> Iterable[Note]:
    """The latest round decides; it must be done, complete, later than the re-clean, and pass."""
    params = {"test": case.failed.test.id, "place": case.place}
    if not case.retests:
        if case.again:
            yield Note(code="release.retest_failed", params=params | {"verdict": case.failed.judgements[case.criterion.id].verdict})
        elif case.planned:
            yield Note(code="release.retest_planned", params=params | {"retest": ", ".join(case.planned)})
        else:
            yield Note(code="release.retest_missing", params=params)
        return
    last = case.retests[-1]
    params |= {"retest": last.test.id}
    if case.verdict_now != "pass":
        reasons = last.judgements[case.criterion.id].reasons if case.criterion.id in last.judgements else ()
        word = "incomplete" if last.state == "incomplete" else {"inconclusive": "inconclusive", "fail": "failed"}.get(case.verdict_now, "withheld")
        yield Note(
            code=f"release.retest_{word}", params=params | {"verdict": case.verdict_now, "reason": " ".join(note.to_dict()["message"] for note in reasons)}
        )
    cleaned = case.reclean.finished_at if case.reclean else None
    if cleaned and last.test.begun and last.test.begun < cleaned:
        yield Note(code="release.retest_early", params=params)


def _neighbour_blocks(case: Case, neighbours: Mapping[str, Any] | None) -> Iterable[Note]:
    if neighbours is None:
        return
    todo = [row["location"] for row in neighbours["places"] if not row["done"]]
    if case.criterion.neighbours is not None and todo:
        yield Note(code="release.neighbours_open", params={"places": ", ".join(todo), "wanted": str(case.criterion.neighbours)})
    elif case.criterion.neighbours is not None and len(neighbours["places"]) < case.criterion.neighbours:
        yield Note(code="release.neighbours_too_few", params={"wanted": str(case.criterion.neighbours), "known": str(len(neighbours["places"]))})
    elif case.criterion.neighbours is None and _asks_for_neighbours(case.criterion) and len(todo) == len(neighbours["places"]):
        rule = case.criterion.on_failure
        if todo:
            yield Note(code="release.neighbours_by_clause", params={"rule": rule, "places": ", ".join(todo)})
        else:
            yield Note(code="release.neighbours_nowhere", params={"rule": rule})


def _closing_blocks(case: Case) -> Iterable[Note]:
    if case.only_inconclusive:
        return
    paper, last = case.nonconformance, case.retests[-1].test.at if case.retests else None
    if _released_by(case) is None:
        yield Note(code="release.not_closed", params={"id": paper.id if paper and paper.id else case.failed.test.id})
    elif paper and paper.closed_by and paper.closed_at and last and paper.closed_at < last:
        yield Note(code="release.closed_early", params={"id": paper.id or case.failed.test.id, "retest": case.retests[-1].test.id})


# Neighbours


def _asks_for_neighbours(criterion: Criterion) -> bool:
    """Whether the clause speaks of the places beside a failed one."""
    return any(word in criterion.on_failure.lower() for word in ("neighbour", "neighbor", "adjacent", "beside", "surrounding"))


def _neighbours(case: Case) -> dict[str, Any]:
    """The nearest other places of the item, by distance on their drawing, else by their order in the job."""
    wanted = case.criterion.neighbours
    places = [place for place in case.job.location if place.item == case.item.id]
    here = next((place for place in places if place.id == case.place), None)
    apart = {place.id: distance(here, place) for place in places if here and place is not here}
    by_distance = any(value is not None for value in apart.values())
    if by_distance:
        near = sorted((place for place in places if apart.get(place.id) is not None), key=lambda place: apart[place.id] or 0.0)
    else:
        near = _in_order(places, here)
    chosen = near[: USUAL_NEIGHBOURS if wanted is None else wanted]
    rows = [_neighbour(case, place, apart.get(place.id)) for place in chosen]
    said = "unknown" if not rows else "wanted" if wanted is not None else "not_agreed" if _asks_for_neighbours(case.criterion) else "none"
    params = {"wanted": str(wanted), "by": "distance" if by_distance else "their order in the job, for want of coordinates"}
    row: dict[str, Any] = {
        "by": "distance" if by_distance else "order",
        "rule": case.criterion.on_failure,
        "message": wording.message(f"release.neighbours_{said}", params),
        "places": rows,
    }
    return row | ({"wanted": wanted} if wanted is not None else {})


def _in_order(places: Sequence[Location], here: Location | None) -> list[Location]:
    """One before, one after, the next before, and so on."""
    if here is None:
        return []
    index = next(number for number, place in enumerate(places) if place is here)
    near = sorted(enumerate(places), key=lambda numbered: (abs(numbered[0] - index), numbered[0]))
    return [place for _, place in near if place is not here]


def _neighbour(case: Case, place: Location, apart: float | None) -> dict[str, Any]:
    row: dict[str, Any] = {"location": place.id, "name": place.name or place.id} | ({"distance": distance_text(apart)} if apart is not None else {})
    since = case.reclean.finished_at if case.reclean else None
    tests = [trial for trial in case.others if trial.test.location == place.id and trial.state == "valid" and _is_since(trial, since)]
    if not tests:
        return row | {"done": False}
    found = _test(case, max(tests, key=lambda trial: trial.test.round))
    return row | {name: found[name] for name in ("test", "shown", "verdict") if name in found} | {"done": found["verdict"] == "pass"}


def _is_since(trial: Trial, since: datetime | None) -> bool:
    """Tested after the re-clean; where a time is missing, in a later round."""
    return trial.test.begun >= since if since and trial.test.begun else trial.test.round > 1
