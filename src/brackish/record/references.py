# SPDX-License-Identifier: MIT
"""Ids that must be single and must name something that is there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from brackish.errors import InputError
from brackish.record.fields import Faults
from brackish.record.job import Job

_WITH_ID = ("person", "equipment", "item", "location", "blank", "test", "specification")


def check_references(job: Job, document: Mapping[str, Any], faults: Faults) -> None:
    """Note every doubled id, and every id that names nothing.

    Ids come from the document, so that a row with another fault still counts as there.
    """
    known = {kind: _ids(document.get(kind)) for kind in _WITH_ID}
    rows = document.get("specification")
    specifications = [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list | tuple) else []
    known["criterion"] = [id for row in specifications for id in _ids(row.get("criterion"))]
    allowed = {kind: dict.fromkeys(ids) for kind, ids in known.items()}
    for kind, ids in known.items():
        for id in _doubled(ids):
            faults.append(InputError("input.duplicate_id", place=f"{kind}[{id}]", given=repr(id), kind=kind))
    for place, kind, id in _references(job):
        if id and id not in allowed[kind]:
            faults.append(InputError("input.unknown_reference", place=place, kind=kind, given=repr(id), allowed=tuple(known[kind][:20]) or "none"))
    _check_retests(job, faults)
    _check_locations(job, allowed["item"], faults)


def _ids(rows: Any) -> list[str]:
    return [row["id"] for row in rows if isinstance(row, Mapping) and isinstance(row.get("id"), str)] if isinstance(rows, list | tuple) else []


def _doubled(ids: Sequence[str]) -> list[str]:
    """What stands more than once, in the order in which that shows."""
    seen: set[str] = set()
    doubled: dict[str, None] = {}
    for id in ids:
        if id in seen:
            doubled[id] = None
        seen.add(id)
    return list(doubled)


def _references(job: Job) -> Iterable[tuple[str, str, str]]:
    for criterion in job.criteria:
        yield from ((f"criterion[{criterion.id}].items", "item", item) for item in criterion.items)
    for location in job.location:
        yield (f"location[{location.id}].item", "item", location.item)
    for item in job.item:
        yield (f"item[{item.id}].parent", "item", item.parent)
    for meter in job.equipment:
        for check in meter.verification:
            yield (f"equipment[{meter.id}].verification", "equipment", check.bottle)
            yield (f"equipment[{meter.id}].verification", "person", check.by)
    for blank in job.blank:
        yield (f"blank[{blank.id}].by", "person", blank.by)
        yield from ((f"blank[{blank.id}].equipment", "equipment", id) for id in blank.equipment)
    for test in job.test:
        place = f"test[{test.id}]"
        yield from ((f"{place}.{kind}", kind, getattr(test, kind)) for kind in ("item", "location", "blank"))
        yield (f"{place}.retest_of", "test", test.retest_of)
        yield from ((f"{place}.{role}", "person", getattr(test, role)) for role in ("tester", "recorder"))
        yield from ((f"{place}.equipment", "equipment", id) for id in test.equipment)
        yield from ((f"{place}.witnesses", "person", witness.person) for witness in test.witnesses)
    for index, row in enumerate(job.nonconformance, start=1):
        yield from ((f"nonconformance[{index}].tests", "test", id) for id in row.tests)
    for index, reclean in enumerate(job.reclean, start=1):
        yield from ((f"reclean[{index}].locations", "location", id) for id in reclean.locations)
    for index, weather in enumerate(job.conditions, start=1):
        yield (f"conditions[{index}].item", "item", weather.item)
    for index, certificate in enumerate(job.certificate, start=1):
        yield (f"certificate[{index}].item", "item", certificate.item)
        yield (f"certificate[{index}].equipment", "equipment", certificate.equipment)
    for index, signature in enumerate(job.signature, start=1):
        yield (f"signature[{index}].person", "person", signature.person)


def _check_retests(job: Job, faults: Faults) -> None:
    tests = {test.id: test for test in job.test}
    for test in job.test:
        first = tests.get(test.retest_of)
        if first is None:
            continue
        why = ""
        if first.item != test.item or first.location != test.location:
            why = "it stands at another item or location"
        elif first.round >= test.round:
            why = f"its round is {first.round}, this one's {test.round}"
        elif first.at and test.at and first.at > test.at:
            why = "it was made later"
        if why:
            faults.append(InputError("input.retest", place=f"test[{test.id}].retest_of", given=repr(first.id), why=why))


def _check_locations(job: Job, known: Collection[str], faults: Faults) -> None:
    """A location of another item; where the item of either is not known, that is the fault and was said."""
    items = {location.id: location.item for location in job.location}
    for test in job.test:
        if test.item in known and items.get(test.location, test.item) not in (test.item, None):
            place = f"test[{test.id}].location"
            belongs = f"location of {items[test.location]}"
            faults.append(InputError("input.wrong_kind", place=place, given=repr(test.location), found=belongs, wanted=f"location of {test.item}"))
