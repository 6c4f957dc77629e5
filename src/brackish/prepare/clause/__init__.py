# SPDX-License-Identifier: MIT
"""Contract text in; what is understood, the traps, the questions and what could not be read out.

A reader made of rules that can be looked up, never a guess: the same text gives the same answer, and
a field no words give stays empty. The way of a text: `normalise` -> `segments` -> `passages` (with
`standards`, `figures`, `tables`, `subjects`, `limits`, `senses`, `worded`, `counts`, `fields`, `topics`; words
in `lexicon`) -> `criteria` (with `particulars`, `species`, `spoken`, `governing`) -> `traps` (sizes in `effects`) -> `questions`.
`show` prints a reading, `draft` writes the job file to complete.
How well it reads clauses nobody here had seen: docs/explain/clause-reader.md.
"""

from __future__ import annotations

from brackish.errors import InputError
from brackish.prepare.clause.reading import ClauseReading

__all__ = ["ClauseReading", "read"]


def read(text: str, /) -> ClauseReading:
    """What a requirement text asks for, with traps, questions and the sentences it could not read.

    Raises InputError when `text` is not a text. An empty text gives an empty reading.
    """
    from brackish.prepare.clause import criteria, questions, traps  # when first read: their patterns take 0.2 s to compile
    from brackish.prepare.clause.normalise import normalise

    if not isinstance(text, str):
        raise InputError("input.wrong_type", given=type(text).__name__, wanted="a text")
    plain = normalise(text)
    survey = criteria.survey(plain)
    found = traps.find(survey)
    return ClauseReading(
        text=text,
        requirements=tuple(claim.requirement for claim in survey.claims),
        traps=tuple(found),
        questions=tuple(questions.ask(survey, found)),
        not_understood=tuple(plain.span(start, end) for start, end in sorted({*survey.unread, *survey.half_read})),
        truncated=survey.truncated,
    )
