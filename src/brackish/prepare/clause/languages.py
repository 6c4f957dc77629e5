# SPDX-License-Identifier: MIT
"""Whether a text stands in two languages, or says that it was translated.

Little words and a few of the trade are counted; three different ones of a language, beside English, show that language.
"""

from __future__ import annotations

import re

_LITTLE = {
    "Spanish": "el los las del para una uno con sera seran ser estar deben debera deberan segun sobre cada entre antes despues superficie superficies acero sales cloruros ensayo ensayos limite agua limpieza chorreado como mas que maximo",
    "French": "le les des du une pour avec sur est et dans doit doivent ne pas aux selon chaque avant apres sera surface acier sels chlorures solubles essai essais limite eau teneur etre depasser maximale",
    "German": "der die das und mit nicht auf von zu dem den ist sind ein eine nach vor bei je darf durfen muss mussen werden wird oberflache oberflachen stahl salze salzgehalt prufung losliche loslichen grenzwert wasser hochstens",
    "Italian": "il lo gli della delle dei per con deve devono una sulla sono prima dopo ogni superficie superfici secondo acciaio sali solubili cloruri controllo prova prove limite acqua essere non massimo",
    "Portuguese": "os as das dos para uma com nao deve devem em sobre cada antes depois superficie superficies ser segundo sem aco sais soluveis ensaio ensaios limite agua maximo",
    "Dutch": "het een van met niet voor zijn moet mag worden wordt bij na oppervlak oppervlakken staal zouten proef grenswaarde maximaal geen",
    "Norwegian": "skal og ikke til med av pa som ved etter hver kan overflaten overflater stal salter prove grense vann maksimalt utfores",
    "Polish": "nie na oraz powierzchni przed byc musi nalezy przez dla jest stali soli badanie woda",
}  # fmt: skip
_ENGLISH = frozenset("the of and shall be is are to with before after each surface not for by on than less more must tested test any in at".split())
_AMBIGUOUS = frozenset(
    "no en de per a la die in on to an as do for den over era on at been all also not is se det er por con met est surface non limite mag das pas sur bad".split()
)
_TABLE = {name: frozenset(words.split()) - _AMBIGUOUS - _ENGLISH for name, words in _LITTLE.items()}
_TRADE = frozenset(
    "salze salzgehalt sali solubili sels solubles cloruri cloruros chlorures sais soluveis zouten stahl acier acero acciaio controllo teneur".split()
)
_ENGLISH_SALT = re.compile(r"\b(?:soluble salts?|salt content|chloride content|chlorides?\b[^.;]{0,30}\bsteel|salts on)\b")
_WORD = re.compile(r"[a-z]+")

TRANSLATED = re.compile(
    r"translat(?:ion|ed)\b|bilingual|two languages|both languages|(?:english|original|german|french|spanish|chinese|norwegian|korean|portuguese|italian|russian|japanese|arabic|dutch|polish) (?:version|text|wording|original)|courtesy translation|convenience translation|version (?:anglaise|originale)|ubersetzung|traduc\w+"
)
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
    beside_english = len(english) >= 4 or _ENGLISH_SALT.search(low, 0, 60_000)
    trade = len(seen[best]) == 2 and seen[best] & _TRADE  # a heading or a drawing note has few little words
    if not (len(seen[best]) >= 3 or trade) or not beside_english:
        return None
    return best, min(places[best]), max(places[best])
