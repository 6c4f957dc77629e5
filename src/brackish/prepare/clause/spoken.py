# SPDX-License-Identifier: MIT
"""What the text speaks of without giving a value that could be read.

Fields that hold words (what follows on failure, where to test, how soon to coat) take the words a net of
`topics.py` caught. For the others the topic is noted, the trap "not said" stays away, and the sentence is
listed for a person to read.
"""

from __future__ import annotations

import re
from dataclasses import replace

from brackish.prepare.clause import subjects
from brackish.prepare.clause.fields import Hit
from brackish.prepare.clause.passages import Claim, Passage

# topic: the fields that hold its value, and the one that takes words
_FIELDS = {
    "failure": (("on_failure",), "on_failure"),
    "place": (("placement",), "placement"),
    "wait": (("test_within", "test_within_words"), "test_within_words"),
    "count": (("count",), ""),
    "stage": (("stage",), ""),
    "each": (("judged",), ""),
    "blank": (("blank_rule", "blank_mentioned"), ""),
}
_STEEL_ONLY = frozenset(("place", "wait", "stage", "blank"))


def complete(claim: Claim, passages: list[Passage]) -> None:
    """Give a limit the topics its text speaks of, as words where the field holds words."""
    if claim.target not in (subjects.STEEL, subjects.ABRASIVE):
        return
    for passage in sorted(passages, key=lambda one: one is not claim.passage):
        for hit in passage.hits:
            topic = str(hit.value)
            if hit.field != "speaks" or (topic in _STEEL_ONLY and claim.target != subjects.STEEL) or not _about(topic, claim, passage):
                continue
            names, holds_words = _FIELDS[topic]
            if topic in claim.spoken or any(name in claim.hits for name in names):
                continue
            if holds_words:
                claim.hits[holds_words] = replace(hit, field=holds_words, value=None)
                passage.used = True
            else:
                claim.spoken.add(topic)
                claim.half_read.append(hit)


_OF_LOTS = re.compile(r"\b(?:lot|load|batch|deliver|consignment|shipment|truck|bag|hopper)\w*")
# Deeds that are done to steel and never to abrasive.
_FOR_STEEL = re.compile(
    r"^(?!.*(?:reject|remov|return|replac|discard|refus|either|materials?|lots?\b|deliver)).*(?:wash|rins|blast|coat|paint|prim|surface|area)"
)


def _about(topic: str, claim: Claim, passage: Passage) -> bool:
    """Whether a sentence can speak of this limit: its own, or one that is not of another material or another row."""
    if passage is claim.passage:
        return True
    others = {limit.target for limit in passage.limits}
    if topic == "failure":
        return _FOR_STEEL.search(passage.segment.low) is None or claim.target == subjects.STEEL or claim.target in others
    if topic == "count" and claim.target == subjects.ABRASIVE and _OF_LOTS.search(passage.segment.low):
        return True
    if others and claim.target not in others:
        return False
    if passage.limits and passage.segment.kind == claim.passage.segment.kind == "row":
        return False
    opposite = subjects.ABRASIVE if claim.target == subjects.STEEL else subjects.STEEL
    return passage.strong != opposite and (topic not in ("count", "each") or bool(passage.strong) or passage.target != opposite)


def half_read(passages: list[Passage], claims: list[Claim]) -> list[tuple[int, int]]:
    """The sentences whose topic is known and whose value is not."""
    caught: list[Hit] = [hit for claim in claims for hit in claim.half_read]
    return [
        (passage.segment.start, passage.segment.end) for passage in passages if any(passage.segment.start <= hit.start < passage.segment.end for hit in caught)
    ]
