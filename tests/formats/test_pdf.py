# SPDX-License-Identifier: MIT
"""The report as a file: what an archive or a reader for the blind looks for, seen by pypdf.

PDF/A-3a and PDF/UA-1 are declared, not validated: no validator was at hand. What is checked here are
single demands of ISO 19005-3 and ISO 14289-1 as commonly listed (recalled, full texts not read).
"""

from __future__ import annotations

import io
import itertools
import json
from collections.abc import Iterator
from typing import Any

import pypdf
import pytest
from pypdf.generic import ArrayObject, DictionaryObject

import brackish
from brackish.record.canonical import canonical_bytes
from brackish.report.render import render
from tests.report.pell_quay import JOB


@pytest.fixture(scope="module")
def outcome() -> dict[str, Any]:
    return brackish.evaluate(JOB).to_dict()


@pytest.fixture(scope="module")
def reader(outcome: dict[str, Any]) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(render(job=JOB, outcome=outcome)), strict=True)


def test_metadata_declares_archive_and_accessibility(reader: pypdf.PdfReader) -> None:
    xmp = reader.trailer["/Root"]["/Metadata"].get_data().decode("utf-8")
    assert "<pdfaid:part>3</pdfaid:part>" in xmp
    assert "<pdfaid:conformance>A</pdfaid:conformance>" in xmp
    assert "<pdfuaid:part>1</pdfuaid:part>" in xmp


def test_metadata_is_not_compressed_so_that_the_seal_can_be_found(reader: pypdf.PdfReader) -> None:
    assert "/Filter" not in reader.trailer["/Root"]["/Metadata"]


def test_document_has_title_language_and_tags(reader: pypdf.PdfReader) -> None:
    root = reader.trailer["/Root"]
    assert reader.metadata.title == JOB["job"]["title"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712, a boolean object of pypdf
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712


def test_date_is_the_latest_time_in_the_job(reader: pypdf.PdfReader) -> None:
    assert reader.metadata.creation_date is not None
    assert reader.metadata.creation_date.isoformat() == "2026-03-05T10:23:00+00:00"


def test_attachments_are_job_and_outcome_byte_for_byte(reader: pypdf.PdfReader, outcome: dict[str, Any]) -> None:
    assert reader.attachments["job.json"] == [canonical_bytes(JOB)]
    assert reader.attachments["outcome.json"] == [canonical_bytes(outcome)]
    assert json.loads(reader.attachments["job.json"][0]) == JOB


def test_attachments_say_how_they_relate(reader: pypdf.PdfReader) -> None:
    """PDF/A-3 wants /AFRelationship with every associated file."""
    found = {str(file.get_object()["/UF"]): str(file.get_object()["/AFRelationship"]) for file in reader.trailer["/Root"]["/AF"]}
    assert found == {"job.json": "/Source", "outcome.json": "/Data"}


def test_every_font_is_embedded_and_maps_to_unicode(reader: pypdf.PdfReader) -> None:
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            assert "/ToUnicode" in font
            for below in font["/DescendantFonts"]:
                descriptor = below.get_object()["/FontDescriptor"]
                assert {"/FontFile2", "/FontFile3"} & set(descriptor)


def test_nothing_in_it_runs_or_hides(reader: pypdf.PdfReader) -> None:
    root = reader.trailer["/Root"]
    assert not {"/OpenAction", "/AA"} & set(root)
    assert "/JavaScript" not in root.get("/Names", {})
    assert "/Encrypt" not in reader.trailer


def _elements(node: Any) -> Iterator[DictionaryObject]:
    node = node.get_object()
    if isinstance(node, ArrayObject):
        for part in node:
            yield from _elements(part)
    elif isinstance(node, DictionaryObject):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from _elements(node["/K"])


def test_every_figure_says_in_words_what_it_shows(reader: pypdf.PdfReader) -> None:
    figures = [element for element in _elements(reader.trailer["/Root"]["/StructTreeRoot"]) if element["/S"] == "/Figure"]
    assert len(figures) >= 8
    assert all(str(figure.get("/Alt", "")).strip() for figure in figures)
    assert any("limit 50" in str(figure["/Alt"]).replace("\u00a0", " ") for figure in figures)


def test_headings_begin_at_one_and_skip_no_level(reader: pypdf.PdfReader) -> None:
    kinds = [str(element["/S"]) for element in _elements(reader.trailer["/Root"]["/StructTreeRoot"])]
    levels = [int(kind[2:]) for kind in kinds if kind.startswith("/H") and kind[2:].isdigit()]
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in itertools.pairwise(levels))


def test_tables_have_heads(reader: pypdf.PdfReader) -> None:
    kinds = {str(element["/S"]) for element in _elements(reader.trailer["/Root"]["/StructTreeRoot"])}
    assert {"/Table", "/TH", "/TD"} <= kinds
