# SPDX-License-Identifier: MIT
"""The limits card: what must my meter show, here, with my water? Three numbers for one volume, area and blank.

Never a table of amounts. The readings come from `prepare/limits.py`; how wide the guard band is says
the judge, who is asked for the verdict on a test that reads exactly the limit.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from brackish import library
from brackish.errors import BrackishError, InputError, faults_of
from brackish.judge.inputs import mean_reading
from brackish.judge.moments import when
from brackish.prepare import limits
from brackish.prepare.limits import READINGS, Card
from brackish.quantities import DIMENSIONS, QUANTITIES, parse
from brackish.quantities import show as shown
from brackish.report.words import SENSE_WORDS, name_of, typed_amount
from brackish.science import conformity
from brackish.web.pages.card_drawing import meter_line
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.moment import moment_of
from brackish.web.pages.page import screen, show
from brackish.web.pages.typed import in_unit
from brackish.web.pages.whatif import judged_with

Document = dict[str, Any]
METHODS = {  # a method that reads the quantity, where the requirement names none
    "conductivity": "patch-conductivity",
    "concentration": "sleeve-chloride-tube",
}
AREAS = ("compartment_area", "extraction_area", "sleeve_area")
NOT_COPIED = ("items", "count", "specification", "words", "shown", "supplied")  # of other items, or said by the judge
USUAL = {"solution_volume": "10.0", "area": "1250"}  # common practice, no source: only where the job says nothing
ASSUMED = gettext_lazy("common practice, no source: this job says nothing of it yet")


def typed(value: float, unit: str) -> str:
    """A number as a text that the reader of quantities takes: it refuses more digits than this."""
    return f"{value:.12g} {unit}"


@dataclass(frozen=True)
class Asked:
    """What the card is for, as texts with units."""

    spec: Document
    criterion: Document
    volume: str
    area: str
    blank: Document
    now: str  # a blank read just now, in the unit of the meter
    told: bool = True  # by the job or by whoever asks, not by common practice

    @property
    def dimension(self) -> str:
        return READINGS[self.criterion["quantity"]][0]

    @property
    def reading(self) -> str:
        """What is taken off, as a text with its unit; empty where no blank was taken. Under the first mark nothing is taken off."""
        if self.now or not self.blank:
            return self.now
        readings = [parse(text, dimension=self.dimension, bounds=True) for text in self.blank["reading"]]
        value, _bound = mean_reading([replace(each, value=Fraction(0)) if each.bound == "<" else each for each in readings])
        return typed(value, DIMENSIONS[self.dimension].inside)

    @property
    def reading_value(self) -> float:
        return parse(self.reading, dimension=self.dimension).inside if self.reading else 0.0


@screen
def limits_card(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    choices = choices_of(page)
    if not choices:
        return show(request, "requirement", template="limits_card", page=page, choices=[])
    wanted = request.GET.get("criterion", "")
    spec, criterion = next((pair for pair in choices if pair[1]["id"] == wanted), choices[0])
    asked, fields = _asked(page, spec, criterion, request.GET)
    context: Document = {"choices": [(one["id"], _title(one)) for _spec, one in choices], "criterion": criterion["id"], "fields": fields}
    try:
        card = _card(page, asked)
        context["card"] = card | {"drawing": _drawing(asked, card["plain"], card["passes"], card["fails"], card["rule"])}
    except BrackishError as error:
        context["errors"] = [fault.message for fault in faults_of(error)]
    return show(request, "requirement", template="limits_card", page=page, **context)


def choices_of(page: JobPage) -> list[tuple[Document, Document]]:
    """The requirements that a card can be made of, each with its specification."""
    return [(spec, criterion) for spec, criterion in ([] if page.faults else page.outline.criteria.values()) if _has_a_reading(criterion)]


def card_of(page: JobPage, spec: Document, criterion: Document, given: Document) -> Document | None:
    """The card for what is `given`, else for what this job had; nothing where no test had any, or none can be made."""
    try:
        asked, fields = _asked(page, spec, criterion, given)
        return _card(page, asked) | {"volume_of": fields.get("volume_of", "")} if asked.told else None
    except BrackishError:
        return None


def _has_a_reading(criterion: Document) -> bool:
    return criterion.get("quantity") in READINGS and criterion.get("sense") in ("at-most", "below") and "limit" in criterion


def _title(criterion: Document) -> str:
    return f"{QUANTITIES[criterion['quantity']].words}, {typed_amount(str(criterion['limit']))}"


def _asked(page: JobPage, spec: Document, criterion: Document, given: Any) -> tuple[Asked, Document]:
    """The card as asked for: what was typed, else what the blank was taken in, else what most tests of this job had."""
    reads, takes = READINGS[criterion["quantity"]]
    facts = [test.get("facts", {}) for test in page.document.get("test", []) if test.get("method") in criterion.get("methods", [test.get("method")])]
    blanks = [blank for blank in page.document.get("blank", []) if "reading" in blank] if "blank" in takes and criterion.get("blank_rule") != "none" else []
    if "blank" in given:
        chosen: Document = next((blank for blank in blanks if blank["id"] == given["blank"]), {})
    else:
        fitting = [blank for blank in blanks if _fits(blank, in_unit(given.get("volume", "").strip(), "mL"))]
        chosen = latest_blank(fitting, criterion) or latest_blank(blanks, criterion)
    unit = DIMENSIONS[reads].inside
    now = given.get("typed", "").strip()
    fields: Document = {"unit": unit, "blank": chosen.get("id", ""), "typed": now, "blanks": [(one["id"], _blank_words(one)) for one in blanks]}
    fields["takes_blank"] = "blank" in takes and criterion.get("blank_rule") != "none"
    told = True
    if "solution_volume" in takes:
        of_blank = str(chosen.get("solution_volume", "")) if chosen.get("kind") == "full-kit" else ""
        volume, volume_of = _first(
            (given.get("volume", "").strip(), ""),
            (of_blank, _("in which blank %s was taken") % chosen.get("id")),
            (_most(facts, ("solution_volume",), "volume"), _("as in most tests of this job")),
            (USUAL["solution_volume"], ASSUMED),
        )
        area, area_of = _first((given.get("area", "").strip(), ""), (_most(facts, AREAS, "area"), _("as in most tests of this job")), (USUAL["area"], ASSUMED))
        told = ASSUMED not in (volume_of, area_of)
        fields |= {"volume": volume.removesuffix(" mL"), "area": area.removesuffix(" mm2"), "volume_of": volume_of, "area_of": area_of}
    water, patch = (in_unit(fields.get(name, ""), unit) for name, unit in (("volume", "mL"), ("area", "mm2")))
    return Asked(spec, criterion, water, patch, {} if now else chosen, in_unit(now, unit), told), fields


def _first(*offers: tuple[str, object]) -> tuple[str, object]:
    """The first text that is there, with where it comes from."""
    return next(offer for offer in offers if offer[0])


def latest_blank(blanks: list[Document], criterion: Document) -> Document:
    """The latest blank of the kind that is agreed, by its time; where none has one, the one written last."""
    kind = criterion.get("blank_rule")
    fitting = [blank for blank in blanks if kind in (None, "none") or blank.get("kind") == kind]
    dated = [(moment, blank) for blank in fitting if (moment := moment_of(blank.get("at")))]
    return max(dated, key=lambda pair: pair[0])[1] if dated else (fitting or [{}])[-1]


def _most(facts: list[Document], names: tuple[str, ...], dimension: str) -> str:
    """The amount that most tests have, as it was written last; of two as frequent the later: one odd test says nothing of the next."""
    texts = [str(each[name]) for each in facts for name in names if name in each]
    amounts = {text: amount for text in texts if (amount := _inside(text, dimension)) is not None}
    counts = Counter(amounts[text] for text in texts if text in amounts)
    return max(reversed([text for text in texts if text in amounts]), key=lambda text: counts[amounts[text]], default="")


def _inside(text: str, dimension: str) -> float | None:
    try:
        return parse(text, dimension=dimension).inside
    except BrackishError:
        return None


def _fits(blank: Document, volume: str) -> bool:
    """Whether a card for this volume of water may take the blank off: one with the full kit is an amount, which in another volume reads otherwise."""
    own = blank.get("solution_volume")
    return blank.get("kind") != "full-kit" or not own or not volume or _inside(str(own), "volume") == _inside(volume, "volume")


def _blank_words(blank: Document) -> str:
    return ", ".join(
        part
        for part in (
            str(blank["id"]),
            name_of(str(blank.get("kind", ""))).lower(),
            when(str(blank.get("at", ""))),
            "; ".join(typed_amount(str(each)) for each in blank["reading"]),
        )
        if part
    )


def _card(page: JobPage, asked: Asked) -> Document:
    criterion = asked.criterion
    if not _fits(asked.blank, asked.volume):
        raise InputError("limits.blank_volume", place="blank", given=str(asked.blank["solution_volume"]), wanted=asked.volume)
    plain = _readings(asked, str(criterion["limit"]))
    band = _guard_band(page, asked, plain)
    rule = str(criterion.get("decision_rule", ""))
    passes, fails = _edges(asked, rule, band)
    return {
        "plain": plain,
        "passes": passes,
        "fails": fails,
        "rule": rule,
        "band": band,
        "has_blank": "blank" in READINGS[criterion["quantity"]][1],
        "blank": shown(asked.reading_value, unit=DIMENSIONS[plain.reads].inside, decimals=1) if asked.reading else "",
        "blank_words": _blank_words(asked.blank) if asked.blank else "",
        "volume": asked.volume,
        "area": asked.area,
        "limit_words": typed_amount(str(criterion["limit"])),
        "words": QUANTITIES[criterion["quantity"]].words,
        "sense": SENSE_WORDS[criterion["sense"]],
        "best": passes or plain,
        "temperature": plain.basis.get("reference_temperature", ""),
        "today": timezone.localdate().isoformat(),
        "clause": criterion.get("source", {}).get("clause", ""),
        "where": str(asked.spec.get("title") or asked.spec["id"]),
    }


def _readings(asked: Asked, limit: str) -> Card:
    """What the meter or tube shows at this limit."""
    criterion = asked.criterion
    takes = READINGS[criterion["quantity"]][1]
    return limits.card(
        limit=limit,
        quantity=criterion["quantity"],
        solution_volume=asked.volume or None if "solution_volume" in takes else None,
        area=asked.area or None if "area" in takes else None,
        reference_temperature=criterion.get("reference_temperature") if "reference_temperature" in takes else None,
        blank=asked.reading or None if "blank" in takes else None,
    )


def _edges(asked: Asked, rule: str, band: Document) -> tuple[Card | None, Card | None]:
    """The readings at the last amount that passes and at the last that does not fail, by the agreed rule."""
    if not band:
        return None, None
    words: Document = {"rule": rule, "sense": asked.criterion["sense"], "limit": band["limit"], "guard_band": band["guard_band"]}
    edges = conformity.acceptance_limit(**words), conformity.rejection_limit(**words)
    passes, fails = (_readings(asked, typed(edge, band["unit"])) if edge > 0.0 else None for edge in edges)
    return passes, fails


def _guard_band(page: JobPage, asked: Asked, plain: Card) -> Document:
    """The verdict on a test that reads exactly the limit, with this volume, area, blank and the job's own meter; empty where no band is agreed."""
    if asked.criterion.get("decision_rule", "simple-acceptance") == "simple-acceptance":
        return {}
    method = next(iter(asked.criterion.get("methods", [])), METHODS[plain.reads])
    known = {fact.name for fact in library.method(method).facts} if method in library.method_ids() else set()
    area = next((name for name in AREAS if name in known), "")
    if not area or "reading" not in known:
        return _widest(page, asked)
    facts = {area: asked.area, "solution_volume": asked.volume, "reading": [typed(plain.reading.value, plain.reading.unit)]}
    if "temperature" in known:
        facts["temperature"] = plain.basis.get("reference_temperature", "25 degC")
    verdict = next((one for one in _judged(page, asked, method, facts) if one["criterion"] == asked.criterion["id"]), {})
    return {**verdict, "of_limit": True} if "guard_band" in verdict else {}


def _widest(page: JobPage, asked: Asked) -> Document:
    """The widest guard band that the judge gave a test of this requirement so far, for what has no single area to read on."""
    given = [one for test in page.outcome["tests"] for one in test.get("verdicts", []) if one["criterion"] == asked.criterion["id"] and "guard_band" in one]
    return max(given, key=lambda one: one["guard_band"], default={})


def _judged(page: JobPage, asked: Asked, method: str, facts: Document) -> list[Document]:
    """Judge one test in a copy of the job that holds what was agreed and its kit, and nothing else."""
    blank = {**asked.blank} if asked.blank else {"id": "card", "kind": "water", "reading": [asked.reading]} if asked.reading else {}
    kit = page.document.get("equipment", [])
    meters = [entry["id"] for entry in kit if entry.get("kind") in ("conductivity-meter", "thermometer", "tube", "syringe")]
    test = {"id": "card", "item": "card", "method": method, "equipment": meters, "facts": facts} | ({"blank": blank["id"]} if blank else {})
    test |= {"stage": asked.criterion["stage"]} if "stage" in asked.criterion else {}
    criterion = {key: value for key, value in asked.criterion.items() if key not in NOT_COPIED}
    copy = {
        "format": "brackish-job/1",
        "job": {"id": page.job.id, "title": ""},
        "specification": [{**asked.spec, "criterion": [criterion]}],
        "person": page.document.get("person", []),
        "equipment": kit,
        "item": [{"id": "card", "kind": "steel"}],
        "blank": [blank] if blank else [],
        "history": page.document.get("history", []),
        "test": [test],
    }
    return _verdicts(json.dumps({key: value for key, value in copy.items() if value}))


@lru_cache(maxsize=64)  # the day asks for the same card all day long
def _verdicts(document: str) -> list[Document]:
    outcome = judged_with(json.loads(document), [])
    return [verdict for one in outcome.get("tests", []) for verdict in one["verdicts"]]


def _drawing(asked: Asked, plain: Card, passes: Card | None, fails: Card | None, rule: str) -> Any:
    has_blank = "blank" in READINGS[asked.criterion["quantity"]][1]
    blank = asked.reading_value
    best, worst = passes or plain, fails or plain
    number = {name: card.reading.shown.split("\u00a0")[0] for name, card in (("best", best), ("plain", plain), ("worst", worst))}
    unit = plain.reading.shown.partition("\u00a0")[2]
    words = {
        "blank": shown(blank, unit="", decimals=1) if has_blank else "",
        "blank_is": _("blank") if asked.reading else _("no blank"),
        "passes": number["best"],
        "passes_is": _("accepted to") if rule == "guarded-rejection" else _("may show") if passes or rule == "simple-acceptance" else _("at the limit"),
        "limit": _("limit %s") % number["plain"],
        "low": _("passes to %s") % number["best"] if passes and rule != "guarded-rejection" else "",
        "high": _("fails over %s") % number["worst"] if fails and rule in ("three-way", "guarded-rejection") else "",
    }
    spoken = _("Line of the meter in %(unit)s: blank %(blank)s, may show %(best)s, limit %(limit)s.")
    spoken = (spoken if has_blank else _("Line of the meter in %(unit)s: may show %(best)s, limit %(limit)s.")) % {
        "unit": unit,
        "blank": words["blank"],
        "best": number["best"],
        "limit": number["plain"],
    }
    kind = "accepted" if rule == "guarded-rejection" else "pass" if passes or rule == "simple-acceptance" else "ink"
    return meter_line(blank=blank, passes=best.reading.value, limit=plain.reading.value, fails=worst.reading.value, words=words, spoken=spoken, kind=kind)


ADDRESSES = [path("jobs/<str:job_id>/limits", limits_card, name="limits")]
