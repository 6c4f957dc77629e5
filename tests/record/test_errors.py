# SPDX-License-Identifier: MIT
"""The sentence of an error: readable whatever was given."""

from __future__ import annotations

from brackish.errors import InputError


def said(**params: object) -> str:
    return InputError("input.not_one_of", **params).message


def test_long_text_is_cut():
    assert said(given="x" * 400, allowed=("a",)) == f"Given {'x' * 297}...; allowed: a."


def test_long_list_is_cut_after_a_whole_entry():
    names = [f"location-{number:04}" for number in range(100)]
    assert said(given="'L'", allowed=names) == f"Given 'L'; allowed: {', '.join(names[:40])}, and 60 more."  # 40 entries of 13 characters, each with ", "


def test_what_cannot_be_printed_is_shown_as_such():
    assert said(given="a\x00b", allowed=("\x07",)) == "Given a\N{REPLACEMENT CHARACTER}b; allowed: \N{REPLACEMENT CHARACTER}."
