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
from brackish.web.pages.criterion_form import SETTLES, drafted, entries
from brackish.web.pages.page import screen, show
from brackish.web.pages.written import Field

Document = dict[str, Any]
CHOICE = "x-value"  # of a question: what its answer is in the one field that it is about, until the requirement is adopted


@screen
def requirement(request: HttpRequest, job_id: str) -> HttpResponse:
    page = open_job(request, job_id)
    kept = page.document.get("x-clause")
    text = str(kept.get("text", "")) if isinstance(kept, dict) else ""
    reading = clause.read(text)
    lines, missing = lines_of(reading)
    recorded = [entry for entry in page.document.get("question", []) if isinstance(entry, dict)]
    answers = {field: entry[CHOICE] for entry in recorded if CHOICE in entry and (field := _settled(entry))}
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
        open=[each for each in questions if not each["answer"]],
        counts={
            "understood": understood(reading),
            "traps": len(reading.traps),
            "there": sum(len(line.notes) for line in lines),
            "missing": len(missing),
            "must": sum(each["must"] and not each["answer"] for each in questions),
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
    needed = {field for entry in criteria for field in entry["missing"]}
    by_text = {entry.get("text"): entry for entry in recorded}
    texts = {question.text for question in reading.questions}
    free = _free_ids({str(entry.get("id")) for entry in recorded})
    numbers = {trap.code: number for number, trap in _numbered(reading)}
    rows = [_row(by_text.get(one.text) or {"id": next(free), "code": one.code, "text": one.text}, one.text in by_text, numbers) for one in reading.questions]
    rows += [_row(entry, True, numbers) for entry in recorded if entry.get("text") not in texts]
    for row in rows:
        row["must"] = bool(needed & set(row["fields"]))
        row["field"] = _field(row, criteria) if page.may_agree else None
    return sorted(rows, key=lambda row: (bool(row["answer"]), not row["must"]))


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
        "chosen": CHOICE in entry,
        "by": str(entry.get("answered_by", "")),
        "at": str(entry.get("answered_at", "")),
        "settles": numbers.get(code),
        "fields": [field for field, codes in SETTLES.items() if code in codes],
    }


def _settled(entry: Document) -> str:
    """The one field that a question is about; empty where it is about several, or none."""
    fields = [field for field, codes in SETTLES.items() if str(entry.get("code", "")) in codes]
    return fields[0] if len(fields) == 1 else ""


def _field(row: Document, criteria: list[Document]) -> Field | None:
    """The field that an answer fills, where it is clear of which requirement: that of a requirement nobody adopted yet waits beside its question."""
    name = _settled(row)
    fields = [(entry, field) for entry in criteria for field in entry["fields"] if field.path[-1] == name]
    lacking = [each for each in fields if each[1].written is None]
    if len(fields) != 1 and len(lacking) != 1:
        return None
    entry, field = fields[0] if len(fields) == 1 else lacking[0]
    return field if entry["adopted"] else replace(field, path=("question", row["id"], CHOICE), fresh=not row["chosen"])


def _free_ids(taken: set[str]) -> Any:
    return (name for number in range(1, 10_000) if (name := f"Q{number}") not in taken)


ADDRESSES = [path("jobs/<str:job_id>/requirement", requirement, name="requirement")]
