# SPDX-License-Identifier: MIT
"""Lessons: one page for each thing that people argue about, with one number to move on the real functions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import path, reverse
from django.utils.translation import gettext as _

from brackish.errors import AccessError
from brackish.judge.wording import MESSAGES
from brackish.web.pages.lesson_drawing import ends, row_line, vial
from brackish.web.pages.lesson_models import Model, answer, line_of, models
from brackish.web.pages.lesson_of import lesson_of
from brackish.web.pages.page import screen, show
from brackish.web.people.access import person_of

Document = dict[str, Any]


@dataclass(frozen=True)
class Lesson:
    """The words of a lesson."""

    name: str
    title: str
    lede: str
    move: str
    how: str
    why: tuple[str, ...]
    question: str
    reply: str


@screen
def lessons(request: HttpRequest) -> HttpResponse:
    person_of(request)
    return show(request, "lessons", lessons=words())


@screen
def lesson(request: HttpRequest, lesson: str) -> HttpResponse:
    from brackish.prepare.clause.traps import CODES  # here, because it loads the clause reader and a server starts without it

    person_of(request)
    known, found = words(), next((each for each in words() if each.name == lesson), None)
    if found is None:
        raise AccessError("access.not_found", given=f"lesson {lesson}")
    model = models()[lesson]
    place = known.index(found)
    answered = answer(model, number(request.GET.get("value", ""), model.control.start))
    line = line_of(model)
    last = len(answered.rows) - 1
    drawn = [
        {"row": row, "line": row_line(row, line, first=index == 0, last=index == last), "vial": None if row.vial is None else vial(row.vial)}
        for index, row in enumerate(answered.rows)
    ]
    return show(
        request,
        "lessons",
        template="lesson",
        lesson=found,
        number=place + 1,
        total=len(known),
        next=known[(place + 1) % len(known)],
        control=_control(model, answered.value),
        answer=answered,
        rows=drawn,
        codes=[code for code in (*MESSAGES, *CODES) if lesson_of(code) == lesson],
        code=request.GET.get("code", ""),
    )


def _control(model: Model, value: float) -> Document:
    """The attributes of the control, as texts that no language changes."""
    control = model.control
    numbers = {"lowest": control.lowest, "highest": control.highest, "step": control.step, "value": value}
    quarters = [control.lowest + part * (control.highest - control.lowest) / 4 for part in range(5)]
    return {"label": control.label, "ends": ends(quarters)} | {name: f"{each:g}" for name, each in numbers.items()}


@screen
def of_code(request: HttpRequest, code: str) -> HttpResponse:
    person_of(request)
    name = lesson_of(code)
    if not name:
        raise AccessError("access.not_found", given=f"lesson about {code}")
    return HttpResponseRedirect(f"{reverse('lesson', args=[name])}?code={code}")


def number(text: str, usual: float) -> float:
    """A number of an address; what is none is the usual one."""
    try:
        value = float(text)
    except ValueError:
        return usual
    return value if value == value and abs(value) < 1e6 else usual


def words() -> list[Lesson]:
    """The lessons in their order."""
    return [
        Lesson(
            "volume",
            _("The water counts as much as the reading"),
            _("The meter shows how strong the extract is. How much salt was on the steel depends on how much water it was washed into."),
            _("Move the reading"),
            _("One reading, three volumes, one patch of 1250 mm². Mixed salts, limit 50 mg/m², judged without a guard band."),
            (
                _("Twice the water at the same reading means twice the salt. From 3 to 15 mL it is a factor of five."),
                _(
                    "The volume that counts is all the water in the measured beaker. If 3 mL go into the patch and are then poured into 12 mL of clean water, the volume is 15 mL, not 3."
                ),
                _("Water that leaks away takes salt with it: the test is void, not low."),
            ),
            _(
                "A tester injects 3.0 mL, draws all of it back and pours it into a beaker that holds 7.0 mL of the same water. Which volume goes into the record?"
            ),
            _("10.0 mL: all the water in the measured solution. With 3.0 mL in its place, a steel at 50 mg/m² would be written down as 15."),
        ),
        Lesson(
            "blank",
            _("The water brings salt of its own"),
            _("No water is without conductivity, and neither is the kit. What the blank shows was not on the steel."),
            _("Move the blank"),
            _("One extract in 10 mL from 1250 mm². Mixed salts, limit 50 mg/m², judged without a guard band."),
            (
                _(
                    "A water blank is the water of that very test. A full-kit blank is the whole procedure on clean glass, with the same volumes and times: in more water it holds more of the water's salt, and no more of the kit's. Take off one of them, never both."
                ),
                _("Which one is for the contract to say. Where it is silent, ask before the first test: the same steel passes with it and fails without."),
                _("A blank that takes a large part of the limit makes every result near it a coin toss. Use better water, or less of it."),
            ),
            _("The blank reads more than the extract. Is the steel cleaner than clean?"),
            _("No. The two were taken for each other, or the kit was dirty on the blank. The signed result is kept and flagged; repeat both."),
        ),
        Lesson(
            "species",
            _("A number without its salt is three numbers"),
            _("The meter counts everything that conducts. Which salt you call it decides how much of it there is."),
            _("Move the reading"),
            _("One reading in 10 mL from 1250 mm², at 25 °C. Each amount against the same limit of 50 mg/m²."),
            (
                _("The mixed-salt constant is an agreed factor. Sodium chloride is read off a curve of its own. The two lie about 6 % apart at 25 °C."),
                _("Chloride is only the part of sodium chloride that is chloride: 35.453 of 58.443. The same steel, the same reading, another number."),
                _(
                    "A meter cannot tell chloride from sulfate. A limit on chloride needs a method that finds chloride; conductivity only says how much it can be at most."
                ),
            ),
            _("A clause says: at most 50 mg/m² of soluble salts. What do you ask?"),
            _("Counted as mixed salts, as sodium chloride, or as chloride? And read at 20 or at 25 °C?"),
        ),
        Lesson(
            "temperature",
            _("The same water conducts more when it is warm"),
            _("About 2 % for each degree. A meter may correct for it: by which rule, and to which temperature, is a setting."),
            _("Move the temperature"),
            _("One solution of sodium chloride in 10 mL from 1250 mm². Mixed salts, limit 50 mg/m², judged without a guard band."),
            (
                _("Without compensation a cold morning lets bad steel pass, and a warm afternoon fails good steel."),
                _("Linear compensation with 2 % for each degree is close, and drifts away from the curve the further the solution is from the reference."),
                _(
                    "A reading at 20 °C and one at 25 °C differ by about 11 %. The requirement should say which is meant; write down the temperature of the solution each time."
                ),
            ),
            _("The meter shows 13.0 µS/cm at 12 °C with compensation off. Do you write 13.0?"),
            _(
                "Yes, what the display shows, with the temperature and the setting. The record keeps the raw reading; what it means at 25 °C is computed from it."
            ),
        ),
        Lesson(
            "rule",
            _("Close to the limit, the rule decides"),
            _("No result is exact. Who bears the doubt, the one who blasted or the one who paints, is agreed before the result is known."),
            _("Move the result"),
            _("Limit 50 mg/m², standard uncertainty 1.5 mg/m², guard band two-sided at 95 %. The same result under four rules."),
            (
                _("Simple: up to the limit passes, whatever the doubt. Right at the limit, half of such steel is over it."),
                _(
                    "Guarded acceptance: it must clear the limit by the guard band. Three-way: what lies inside the band is inconclusive, and what follows then is agreed too."
                ),
                _("Guarded rejection fails only what is surely over. What is accepted over the limit is said so, and never gets the mark of a pass."),
            ),
            _("The result is known and lies at 49. May the parties now choose the rule?"),
            _(
                "No. A rule chosen with the result in hand is no rule. Without an agreed one the verdict is withheld, and the plain comparison stands beside it."
            ),
        ),
        Lesson(
            "sampling",
            _("Few places see little of the steel"),
            _("A patch covers a few square centimetres. What lies between the patches is not seen."),
            _("Move the number of places"),
            _("How likely it is that every place passes although a part of the area is bad, if places are chosen by chance."),
            (
                _("Three tests on a large area miss a bad twentieth of it most of the time. More places help slowly, good places help at once."),
                _("Choose the worst first: welds, ledges, pits, lower flanges, where water stood. A tester who may choose freely leans to where it is easy."),
                _("The first test takes the salt away. A retest stands beside the old spot, never on it, and counts for that location."),
            ),
            _("Five readings at one place, or one reading at five places?"),
            _("One at five places. Repeats on one solution show what the meter does; only places show what the steel does."),
        ),
    ]


ADDRESSES = [
    path("lessons", lessons, name="lessons"),
    path("lessons/of/<str:code>", of_code, name="lesson-of"),
    path("lessons/<str:lesson>", lesson, name="lesson"),
]
