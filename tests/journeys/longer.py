# SPDX-License-Identifier: MIT
"""Settings of a server that also speaks longer: in `eo` every vowel of our words is doubled, which makes them about 40 % longer.

That is what another language does to a layout. Numbers come with a comma there, as they do in most.
"""

from __future__ import annotations

import re

from django.utils.translation import trans_real

from brackish.web.settings import *  # noqa: F403

LANGUAGES = [("en", "English"), ("eo", "English, longer")]
USE_I18N = True
LONGER = "eo"
_KEPT = re.compile(r"(%\([^)]*\)[a-z]|%[a-z]|<[^>]*>|&\w+;)")  # what is filled in, marks, characters by name
_VOWEL = re.compile(r"([aeiouyAEIOUY])")


def longer(text: str) -> str:
    """The text with its vowels doubled; what is filled in stays as it is."""
    return "".join(part if _KEPT.fullmatch(part) else _VOWEL.sub(lambda vowel: vowel[0] + vowel[0].lower(), part) for part in _KEPT.split(text))


class Longer(trans_real.DjangoTranslation):
    """Django's translations, and the longer one."""

    def gettext(self, message: str) -> str:
        found = super().gettext(message)
        return longer(message.rpartition("\x04")[2]) if self.language() == LONGER else found

    def ngettext(self, one: str, many: str, number: int) -> str:
        found = super().ngettext(one, many, number)
        return longer((one if number == 1 else many).rpartition("\x04")[2]) if self.language() == LONGER else found


trans_real.DjangoTranslation = Longer
