# SPDX-License-Identifier: MIT
"""Whether a text stands in two languages, or says that it was translated.

Only little words are counted; four different ones of a language, beside English, show that language.
"""

from __future__ import annotations

import re

_LITTLE = {
    "Spanish": "el los las del por para una con que sera deben debera se en segun no sobre sin cada entre antes despues superficie deberan como",
    "French": "le les des du une pour avec sur est et dans doit doivent ne pas par au aux selon chaque avant apres sera",
    "German": "der die das und mit nicht auf von zu dem den ist sind ein eine nach vor bei pro darf muss werden wird je oberflache",
    "Italian": "il lo gli della delle per con non deve devono una sulla sono prima dopo ogni superficie secondo dei",
    "Portuguese": "os as da das do dos para uma com nao deve devem em por sobre cada antes superficie ser segundo sem",
    "Dutch": "het een de van en met niet op voor zijn moet mag worden wordt bij per na oppervlak",
    "Norwegian": "skal og ikke til med for av pa er det den som ved etter hver overflaten kan",
    "Polish": "nie na do oraz powierzchni przed po byc musi nalezy przez dla jest",
}  # fmt: skip
_ENGLISH = frozenset("the of and shall be is are to with before after each surface not for by on than less more must tested test any in at".split())
_AMBIGUOUS = frozenset("no en de per a la die in on to an as do for den over era on at been all also not is se det er por".split())
_TABLE = {name: frozenset(words.split()) - _AMBIGUOUS - _ENGLISH for name, words in _LITTLE.items()}
_WORD = re.compile(r"[a-z]+")

TRANSLATED = re.compile(r"translat(?:ion|ed)\b|bilingual|two languages|both languages|(?:english|original|german|french|spanish|chinese|norwegian|korean|portuguese|italian|russian|japanese|arabic|dutch|polish) (?:version|text|wording|original)|courtesy translation|convenience translation|version (?:anglaise|originale)|ubersetzung|traduc\w+")
GOVERNS = re.compile(
    r"(?:version|text|language|wording|original|english|german|french|spanish|norwegian|chinese|portuguese|italian|dutch)\b[^.;\n]{0,80}?(?:prevail\w*|govern\w*|precedence|authoritative|binding|decisive|takes? priority|shall apply|controlling|official|is valid|counts)|(?:prevail\w*|govern\w*|authoritative|binding|precedence)[^.;\n]{0,50}(?:version|text|language|original)|(?:prevalecer\w*|fait foi|massgebend|massgeblich|gjelder|prevale)"
)


def second_language(low: str) -> tuple[str, int, int] | None:
    """A language beside English and where its first and last little words stand, or None."""
    seen: dict[str, set[str]] = {name: set() for name in _TABLE}
    places: dict[str, list[int]] = {name: [] for name in _TABLE}
    english: set[str] = set()
    for match in _WORD.finditer(low, 0, 60_000):
        word = match.group()
        if word in _ENGLISH:
            english.add(word)
            continue
        for name, words in _TABLE.items():
            if word in words:
                seen[name].add(word)
                places[name] += [match.start(), match.end()]
    best = max(seen, key=lambda name: (len(seen[name]), name))
    if len(seen[best]) < 4 or len(english) < 4:
        return None
    return best, min(places[best]), max(places[best])
