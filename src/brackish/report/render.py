# SPDX-License-Identifier: MIT
"""A job and its outcome as a sealed PDF.

The way: documents -> what each page says (`front`, `record`, `back`) -> one JSON -> Typst -> seal.
Typst formats and decides nothing, and its source never holds a word that a person wrote. The same
documents give the same bytes: the date of the report is the latest time in the job, no clock is read.
Next: `front.py` for page one, `typ/report.typ` for how it looks, `seal.py` for the seal.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import Any

import segno
import typst

from brackish.errors import RenderError
from brackish.record.canonical import canonical_bytes
from brackish.report.back import back, seal_words
from brackish.report.case import Case
from brackish.report.compare import compared
from brackish.report.front import front
from brackish.report.glyphs import FONTS, Typesetter, settable
from brackish.report.mark import code_of, sealed
from brackish.report.record import records
from brackish.report.release import released
from brackish.report.words import day_of, latest_time, offsets, under_title

Document = dict[str, Any]
Progress = Callable[[str, int, int], None]

PAGES = "2"  # changes with every change of what a page shows, once reports are out
TYP = Path(__file__).parent / "typ"
LONGEST_RUNNING_TITLE = 70


def render(*, job: Document, outcome: Document, fonts: Sequence[Path] = (), progress: Progress | None = None) -> bytes:
    """The report of a job, with job and outcome attached, sealed.

    Parameters
    ----------
    job : document
        The job document, as `evaluate` read it.
    outcome : document
        What `evaluate` gave for it.
    fonts : sequence of folders
        Further fonts, for scripts that the package does not carry.
    progress : function
        Called with what is being done, how much of it is done, and of how much.

    Returns
    -------
    bytes
        A PDF that declares PDF/A-3a and PDF/UA-1. The same input gives the same bytes.

    """
    report = progress or (lambda stage, done, total: None)
    report("writing the pages", 0, 3)
    attached = [canonical_bytes(document) for document in (job, outcome)]
    job, outcome = (json.loads(document) for document in attached)  # pages follow from what is attached, not from the order of its keys
    folders = (FONTS, *(Path(folder) for folder in fonts))
    content = _content(job=job, outcome=outcome, folders=folders)
    report("setting the pages", 1, 3)
    pdf = _set(content, attached=attached, latest=latest_time(job), folders=folders)
    report("sealing", 2, 3)
    done = sealed(pdf)
    report("done", 3, 3)
    return done


def _content(*, job: Document, outcome: Document, folders: tuple[Path, ...]) -> Document:
    """All that the pages say, with nothing in it that the fonts cannot set."""
    case = Case(job=job, outcome=outcome)
    setter = Typesetter(settable(folders))
    latest = latest_time(job)
    about = job.get("job", {})
    pages: Document = {
        "title": about.get("title") or "Job without a title",
        "running": _cut(about.get("title") or "Job without a title"),
        "under": under_title(about),
        "number": about.get("number", ""),
        "date": day_of(latest.isoformat()) if latest else "no date",
        "front": front(case),
        "release": released(job, outcome),
        "compared": compared(job),
        "records": records(case),
        "back": back(case),
    }
    pages = setter.everywhere(pages)  # type: ignore[assignment]  # a document stays a document
    code = code_of(job=job, outcome=outcome)
    seal = setter.everywhere(seal_words(case=case, times=offsets(job), missing=setter.missing_named()))
    return pages | {"code": code, "qr": _qr(code), "seal": seal, "families": _families(folders), "made_by": made_by(own_fonts=len(folders) == 1)}


def made_by(*, own_fonts: bool) -> str:
    """What sets the pages: the same text means the same bytes for the same job and outcome."""
    return f"set by brackish pages {PAGES}, typst {metadata.version('typst')}, {'own fonts' if own_fonts else 'with other fonts'}"


def _qr(code: str) -> str:
    drawn = io.BytesIO()
    segno.make(code, error="m", micro=False).save(drawn, kind="svg", border=0, xmldecl=False)
    return drawn.getvalue().decode("utf-8")


@cache
def _fonts(folders: tuple[Path, ...]) -> typst.Fonts:
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=list(folders))


def _families(folders: tuple[Path, ...]) -> list[str]:
    own = ["Noto Sans", "Noto Sans Thai", "Noto Sans Math"]
    return own + sorted(set(_fonts(folders).families()) - set(own))


def _set(content: Document, *, attached: list[bytes], latest: datetime | None, folders: tuple[Path, ...]) -> bytes:
    job, outcome = (document.decode("utf-8") for document in attached)
    inputs = {"content": json.dumps(content, ensure_ascii=False), "job": job, "outcome": outcome}
    # PDF/A-3a and PDF/UA-1 are declared, and checked by Typst; no other validator was at hand.
    try:
        compiler = typst.Compiler(root=TYP, font_paths=_fonts(folders), sys_inputs=inputs)
        pdf, warnings = compiler.compile_with_warnings(
            input=TYP / "report.typ", format="pdf", pdf_standards=["a-3a", "ua-1"], timestamp=int(latest.timestamp()) if latest else 0
        )
    except typst.TypstError as fault:
        raise RenderError("render.failed", detail=fault.message) from fault
    if warnings:  # a font or a glyph is missing: the page would not say what it should
        raise RenderError("render.failed", detail=warnings[0].message)
    assert isinstance(pdf, bytes)
    return pdf


def _cut(title: str) -> str:
    """The title for the head of each page; it stands whole on page one."""
    return title if len(title) <= LONGEST_RUNNING_TITLE else f"{title[: LONGEST_RUNNING_TITLE - 1]}…"
