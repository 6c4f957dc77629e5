# SPDX-License-Identifier: MIT
"""The language of the templates: Jinja, with our filters, addresses by name, and Django's translations.

{{ _("Jobs") }}                              {% trans n=open %}{{ n }} question{% pluralize %}{{ n }} questions{% endtrans %}
{{ url("job", page.job.id) }}                the address of a screen
{% set places = places_of(place, page) %}    the index of all pages and the bar under the thumb
"""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import translation
from jinja2 import ChainableUndefined, Environment

from brackish.web.pages import drawing
from brackish.web.pages.filters import FILTERS
from brackish.web.pages.places import places_of


def environment(**options: Any) -> Environment:
    """What `settings.TEMPLATES` names."""
    options["undefined"] = ChainableUndefined  # a record may lack any part
    made = Environment(extensions=["jinja2.ext.i18n"], **options)
    made.filters.update(FILTERS)
    made.globals.update(url=url, places_of=places_of, empty_scale=drawing.empty_scale)
    made.install_gettext_callables(  # type: ignore[attr-defined]
        gettext=translation.gettext, ngettext=translation.ngettext, pgettext=translation.pgettext, npgettext=translation.npgettext, newstyle=True
    )
    return made


def url(name: str, *names: str) -> str:
    """The address of a screen."""
    return reverse(name, args=names)
