# SPDX-License-Identifier: MIT
"""Reference pages made from the library: methods, requirements, count rules, assumptions, sources."""

from __future__ import annotations

from brackish import library
from brackish.judge.terms import TERMS
from brackish.library.types import Method, Requirement, Rule
from tools.reference.markdown import bullets, table

CHECK = "check your copy of the standard"

# How a bad input is answered whatever the method; what is the method's own stands in its file.
WHATEVER_THE_METHOD = (
    "A retest of a test that does not exist, is of another place or was made later: the job file is refused, with the place.",
    "Two blanks named for one test: the job file is refused; a test takes off the water blank or the full-kit blank, never both.",
    "A mean over tests of several stages: the verdict on the item is withheld until the requirement names its stage.",
    "A needed fact that is missing: the test is incomplete, a finding names the fact, and its verdict is withheld; other tests keep their results.",
    "A comparison with a test that has nothing in common (quantity, basis, liquid): answered with the reason, no difference is given.",
)


def methods_page() -> str:
    """The list of all methods."""
    methods = [library.method(id) for id in library.method_ids()]
    rows = ((f"[{each.title}](methods/{each.id}.md)", each.applies_to, ", ".join(f"`{name}`" for name in each.gives)) for each in methods)
    return "\n".join(["# Methods\n", *table(("method", "for", "gives"), rows)])


def method_page(id: str) -> str:
    """One method: steps, facts, rules with their findings, cautions, report, bad input, sources."""
    method = library.method(id)
    lines = [f"# {method.title}\n", f"`{id}`, version {method.version}. {method.measures}\n", method.retests, "\n## Before the first step\n"]
    lines += [*bullets(f"{each.text} {_cited(each.source)}" for each in method.cautions), "\n## Steps\n"]
    lines += [
        f"{number}. **{step.name}** {step.text} ({_time(step.minutes, step.attended)}){_noted(step.facts, step.voids)}"
        for number, step in enumerate(method.steps, start=1)
    ]
    lines += ["\n## Facts\n", *table(("fact", "is", "unit or choice", "needed"), _facts(method)), "\n## Rules and their findings\n"]
    lines += ["A rule that is not kept gives its [finding](../findings.md).\n", *table(("finding", "severity", "rule", "source"), map(_rule, method.rules))]
    lines += _agreement(method)
    lines += ["\n## Bad input\n", *bullets((*method.bad_input, *WHATEVER_THE_METHOD)), "\n## The report states\n", *bullets(method.report), "\n## Standards\n"]
    lines += bullets(f"{each.document} ({', '.join(each.editions)}): {each.part}. {each.note}" for each in method.standards)
    return "\n".join([*lines, "\n## Sources\n", *bullets(map(_source, method.sources))]) + "\n"


def _time(minutes: str, attended: bool) -> str:
    return f"{minutes} min{'' if attended else ', unattended'}"


def _noted(facts: tuple[str, ...], voids: str) -> str:
    return (f" Write down: {', '.join(f'`{name}`' for name in facts)}." if facts else "") + (f" Void: {voids}" if voids else "")


def _facts(method: Method) -> list[tuple[str, ...]]:
    return [
        (f"`{each.name}`", f"{each.label}. {each.help}".strip(), each.unit or ", ".join(each.choices) or each.kind, "yes" if each.required else "")
        for each in method.facts
    ]


def _rule(rule: Rule) -> tuple[str, str, str, str]:
    allowed = ", ".join("yes" if each is True else "no" if each is False else each for each in rule.allowed)
    what = " ".join(
        part
        for part in (
            f"`{rule.value}`{_meaning(rule.value)}",
            rule.kind.replace("_", " "),
            rule.limit or allowed or f"{rule.lowest} and {rule.highest}".removesuffix(" and "),
        )
        if part
    )
    return f"`{rule.code}`", rule.severity, f"{what}{f'; {rule.note}' if rule.note else ''}", _cited(rule.source) + ("" if rule.checked else f" {CHECK}")


def _meaning(value: str) -> str:
    """What a computed term is; a fact is explained in the table of facts."""
    if value not in TERMS:
        return ""
    said = (TERMS[value].__doc__ or "").splitlines()[0].rstrip(".")
    return f" ({said[:1].lower()}{said[1:]})"


def _agreement(method: Method) -> list[str]:
    if not method.agreement and not method.published_uncertainty:
        return []
    lines = ["\n## Agreement and uncertainty\n", *bullets(f"{key.replace('_', ' ')}: {value}" for key, value in method.agreement.items())]
    if published := method.published_uncertainty:
        lines.append(
            f"- published for a single result: ± {published.expanded} from {published.lowest} to {published.highest}; {published.note} {_cited(published.source)}"
        )
    return lines


def _cited(key: str) -> str:
    if key not in library.sources():
        return ""
    title, seen = library.sources()[key].title, library.sources()[key].seen
    return f"({title})" if seen in title.lower() else f"({title}: {seen})"


def _source(key: str) -> str:
    each = library.sources()[key]
    return f"{each.title}: {each.seen}{'. ' if each.note else ''}{each.note}"


def requirements_page() -> str:
    """Every requirement with its limit, its source and what people confuse it with."""
    lines = [
        "# Requirements\n",
        "Read the quantity first: total salt, NaCl equivalent and chloride are three different things. A contract names one by its id.\n",
    ]
    for id in library.requirement_ids():
        lines += _requirement(library.requirement(id))
    return "\n".join(lines)


def _requirement(each: Requirement) -> list[str]:
    fields = ((f"`{name}`", _plain(value)) for name, value in each.criterion.items())
    return [
        f"## {each.id}\n",
        f"{each.title}. Counts: {each.species}. {each.basis}\n",
        *table(("field", "value"), fields),
        f"\nConfused with: {each.confuse}\n" if each.confuse else "",
        f"Source: {'; '.join(map(_source, each.sources))}.{'' if each.checked else f' Not read: {CHECK}.'}\n",
    ]


def _plain(value: object) -> str:
    return ", ".join(map(str, value)) if isinstance(value, tuple) else str(value)


def counts_page() -> str:
    """Every named rule of how many tests."""
    rows = ((f"`{each.id}`", each.title, f"`{each.rule}`", each.placement, _cited(each.source)) for each in library.count_rules().values())
    return "\n".join(["# Count rules\n", "`brackish counts RULE AREA` works one out.\n", *table(("id", "rule", "as text", "where", "source"), rows)])


def assumptions_page() -> str:
    """Every figure that is taken when the record gives none."""
    rows = ((f"`{each.key}`", each.label, each.value, each.note, _cited(each.source)) for each in library.assumptions().values())
    return "\n".join(["# Assumptions\n", "Each one used is a finding, `uncertainty.assumed`.\n", *table(("key", "what", "value", "note", "source"), rows)])


def sources_page() -> str:
    """Every source with what was seen of it."""
    rows = ((f"`{key}`", each.title, each.seen, each.note) for key, each in library.sources().items())
    return "\n".join(["# Sources\n", f"What rests on a text that was not opened says so: {CHECK}.\n", *table(("key", "text", "seen", "for"), rows)])
