# SPDX-License-Identifier: MIT
"""What must my meter or tube show, here, with my water?

The reading exactly at a limit, plain and, with an uncertainty, guarded. It
holds for one volume, area and blank. Give quantities with unit, in quotes:

  brackish limits "50 mg/m2" --quantity nacl_equivalent_per_area \\
    --solution-volume "10 mL" --area "1250 mm2" --blank "1.2 uS/cm"
"""

from __future__ import annotations

import argparse

from brackish.cli.text import wrapped
from brackish.prepare.limits import READINGS, Card, card

ANOTHER = "With another volume, area or blank this card is wrong: make another. It gives no amounts; a result is made from the facts of its own test."


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("limit", metavar="LIMIT", help='such as "50 mg/m2"; not to be exceeded')
    parser.add_argument("--quantity", required=True, metavar="Q", help=", ".join(READINGS))
    parser.add_argument("--solution-volume", metavar="V", help="all the water the salt is spread through when it is read")
    parser.add_argument("--area", metavar="A", help="under the patch or sleeve")
    parser.add_argument("--reference-temperature", metavar="T", help="that the reading refers to (25 degC)")
    parser.add_argument("--blank", metavar="R", help="in the unit of the reading (0)")
    parser.add_argument("--uncertainty", metavar="U", help="standard uncertainty of the amount; gives the guarded reading")
    parser.add_argument("--level", metavar="L", help='of the two-sided guard band ("95 %%")')


def run(options: argparse.Namespace) -> int:
    from brackish.cli.main import print_json

    made = card(
        limit=options.limit,
        quantity=options.quantity,
        solution_volume=options.solution_volume,
        area=options.area,
        reference_temperature=options.reference_temperature,
        blank=options.blank,
        level=options.level,
        uncertainty=options.uncertainty,
    )
    if options.json:
        print_json(made.to_dict())
    else:
        print("\n".join(lines(made)))
    return 0


def lines(card: Card) -> list[str]:
    """The card for people, in 80 columns: one sentence, three numbers, what they stand on."""
    basis, instrument = card.basis, "meter" if card.reads == "conductivity" else "tube"
    with_blank = f" with your blank of {card.blank.shown}" if card.blank else ""
    most = (
        f"{card.guarded.shown}{with_blank} to pass by a guarded rule; {card.reading.shown} is the limit itself"
        if card.guarded
        else f"{card.reading.shown}{with_blank}"
    )
    text = wrapped(f"Your {instrument} may show at most {most}.")
    rows = [("limit", card.reading.shown, f"{basis['limit']} {basis['words']}")]
    if card.guarded:
        rows.insert(
            0,
            (
                "guarded",
                card.guarded.shown,
                f"at or under this: a pass by a guarded rule, guard band {basis['guard_band']['shown']} ({basis['guard_band_kind']}, {basis['level']})",
            ),
        )
    if card.blank:
        rows.append(("blank", card.blank.shown, "as given"))
    text += ["", *(line for name, value, words in rows for line in wrapped(words, f"  {name:<8} {value:>11}  ")), ""]
    where = [f"{basis[name]}" for name in ("solution_volume", "area") if name in basis]
    if where:
        text += wrapped(f"For {' on '.join(where)}.")
    text += wrapped(_resolvable(card, instrument))
    text += [line for each in basis["assumed"] for line in wrapped(f"Assumed: {each}.")]
    if "not_used" in basis:
        text += wrapped(f"Not used, for it does not enter {basis['words']}: {', '.join(basis['not_used']).replace('_', ' ')}.")
    return [*text, *(wrapped(ANOTHER) if card.blank or where else [])]


def _resolvable(card: Card, instrument: str) -> str:
    first_mark = "Whether the tube can show it: its first mark must stand well below the limit."
    if card.resolvable is None or card.least is None:
        return first_mark
    told = f"{card.least.shown} can be told from {'the blank' if card.difference or card.blank else 'zero'}"
    if not card.resolvable:
        return f"Resolvable: NO. {told}; what decides lies nearer. Use less water, a larger area or a finer {instrument}; or ask for another method."
    if instrument == "tube":
        return f"Resolvable: yes, as far as the blank goes. {told}; the limit lies further from it. {first_mark}"
    return f"Resolvable: yes. {told}; the limit lies further from it."
