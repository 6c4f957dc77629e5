# SPDX-License-Identifier: MIT
"""Markup from pieces: what a person wrote is never markup."""

from __future__ import annotations

import pytest
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy

from brackish.web.pages.markup import joined, markup

PIECES = ["<b>&'\"", "", "ไทย", 3, -0.25, 1e-9, True, None, mark_safe("<b>"), gettext_lazy("<i>"), [1, "<"]]


@pytest.mark.parametrize("piece", PIECES, ids=repr)
def test_markup_is_what_django_makes_of_it(piece):
    assert markup("<a>{}</a>", piece) == format_html("<a>{}</a>", piece)
    assert joined([piece, piece]) == format_html_join("", "{}", [(piece,), (piece,)])
    assert format_html("{}", markup("{}", piece)) == markup("{}", piece)
