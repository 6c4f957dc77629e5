# SPDX-License-Identifier: MIT
"""The requirement: the clause with its marks and traps, the questions with their answers, and the criteria made of them.

The words stay as they were pasted (`x-clause` of the job document); everything read from them is read
again whenever the page is shown. Adopting writes the criteria and keeps the open questions, as events.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import path

from brackish.prepare import clause
from brackish.prepare.clause import ClauseReading
from brackish.web.pages.clause_lines import lines_of, understood
from brackish.web.pages.context import JobPage, open_job
from brackish.web.pages.correcting import named
from brackish.web.pages.criterion_form import SETTLES, drafted, entries
from brackish.web.pages.page import screen, show
from brackish.web.pages.written import Field

Document = dict[str, Any]
CHOICE = "x-value"  # of a question: what its answer is in the field that it is about, until the requirement is adopted; beside it x-level and so on


@screen
def requirement(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    kept = page.document.get("x-clause")
    text = str(kept.get("text", "")) if isinstance(kept, dict) else ""
    reading = clause.read(text)
    lines, missing = lines_of(reading)
    recorded = named(page, "question")
    answers = {name: entry[key] for entry in recorded for name, key in _keys(str(entry.get("code", ""))).items() if key in entry}
    criteria = entries(_named(page.document), drafted(reading), {one["id"]: one for one in page.summary.get("criteria", [])}, answers)
    questions = _questions(page, reading, recorded, criteria)
    return show(
        request,
        "requirement",
        page=page,
        text=text,
        truncated=reading.truncated,
        lines=lines,
        missing=missing,
        unread=[" ".join(text[start:end].split()) for start, end in reading.not_understood],
        criteria=criteria,
        adopted=any(entry["adopted"] for entry in criteria),
        questions=questions,
        open=[each for each in questions if not each["settled"]],
        counts={
            "understood": understood(reading),
            "traps": len(reading.traps),
            "there": sum(len(line.notes) for line in lines),
            "missing": len(missing),
            "must": sum(each["must"] and not each["settled"] for each in questions),
        },
        withheld={"kind": "withheld", "word": "Withheld"},
        may_answer=page.may_write and page.role != "trainee",
    )


def _named(document: Document) -> list[Document]:
    """The specifications that have an id, with those of their criteria that have one: an event may have come before the one that names it."""
    named = [spec for spec in document.get("specification", []) if isinstance(spec, dict) and "id" in spec]
    return [{**spec, "criterion": [each for each in spec.get("criterion", []) if isinstance(each, dict) and "id" in each]} for spec in named]


def _questions(page: JobPage, reading: ClauseReading, recorded: list[Document], criteria: list[Document]) -> list[Document]:
    """The questions of the clause, each with its answer where one is recorded; then the others of the job. What a verdict needs comes first."""
    needed = {field.path[-1]: field.label for entry in criteria for field in entry["fields"] if field.missing}
    by_text = {entry.get("text"): entry for entry in recorded}
    texts = {question.text for question in reading.questions}
    free = _free_ids({str(entry.get("id")) for entry in recorded})
    numbers = {trap.code: number for number, trap in _numbered(reading)}
    rows = [_row(by_text.get(one.text) or {"id": next(free), "code": one.code, "text": one.text}, one.text in by_text, numbers) for one in reading.questions]
    rows += [_row(entry, True, numbers) for entry in recorded if entry.get("text") not in texts]
    for row in rows:
        row["lacking"] = [label for name, label in needed.items() if name in row["keys"]]
        row["must"] = bool(row["lacking"])
        row["settled"] = bool(row["answer"]) and not row["must"]  # an answer may leave open what its rule needs
        row["fields"] = _fields(row, criteria) if page.may_agree else []
    return sorted(rows, key=lambda row: (row["settled"], not row["must"]))


def _numbered(reading: ClauseReading) -> list[tuple[int, Any]]:
    """The numbers of the notes, as they stand on the page."""
    lines, missing = lines_of(reading)
    return [(note.number, note) for line in lines for note in line.notes] + [(note.number, note) for note in missing]


def _row(entry: Document, kept: bool, numbers: dict[str, int]) -> Document:
    code = str(entry.get("code", ""))
    return {
        "id": str(entry.get("id", "")),
        "code": code,
        "text": str(entry.get("text", "")),
        "kept": kept,
        "answer": str(entry.get("answer", "")),
        "chosen": set(entry),
        "by": str(entry.get("answered_by", "")),
        "at": str(entry.get("answered_at", "")),
        "settles": numbers.get(code),
        "keys": _keys(code),
    }


def _keys(code: str) -> dict[str, str]:
    """The fields that a question is about, each with the key of the question under which its value waits."""
    fields = [field for field, codes in SETTLES.items() if code in codes]
    return {field: f"x-{field}" if at else CHOICE for at, field in enumerate(fields)}


def _fields(row: Document, criteria: list[Document]) -> list[Field]:
    """The fields that an answer fills, where it is clear of which requirement: those of a requirement nobody adopted yet wait beside its question."""
    name = next(iter(row["keys"]), "")
    meant = [(entry, field) for entry in criteria for field in entry["fields"] if field.path[-1] == name]
    lacking = [each for each in meant if each[1].written is None]
    if len(meant) != 1 and len(lacking) != 1:
        return []
    entry, _field = meant[0] if len(meant) == 1 else lacking[0]
    fields = [field for field in entry["fields"] if field.path[-1] in row["keys"]]
    if entry["adopted"]:
        return fields
    keyed = [(field, row["keys"][field.path[-1]]) for field in fields]
    return [replace(field, path=("question", row["id"], key), fresh=key not in row["chosen"]) for field, key in keyed]


def _free_ids(taken: set[str]) -> Any:
    return (name for number in range(1, 10_000) if (name := f"Q{number}") not in taken)


ADDRESSES = [path("jobs/<str:job_id>/requirement", requirement, name="requirement")]
