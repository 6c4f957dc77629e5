# SPDX-License-Identifier: MIT
"""The job document as frozen types: what was there, what was done, what was read; what was agreed stands in `specification.py`.

Only raw facts stand here, as typed, with unit and digits. Each field says how it is read; next to
read: `fields.py` for the reading, `facts.py` for what a method asks to be written down,
`references.py` for ids that must fit together, `document.py` for files.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from datetime import date, datetime
from functools import cached_property
from typing import Any

from brackish.errors import InputError, OutOfRange
from brackish.library.frozen import Frozen
from brackish.quantities import QUANTITIES, Quantity
from brackish.record import fields as f
from brackish.record.accuracy import DIMENSION_OF_KIND, Accuracy, dimensions_of_figure, read_accuracy
from brackish.record.specification import STAGES, Criterion, Specification
from brackish.science import solutions

PURPOSES = ("acceptance", "retest", "pre-check", "pair", "training", "dispute")
FORMAT = "brackish-job/1"


def _certified(value: Any, place: str, faults: f.Faults, table: Mapping) -> Quantity:
    return f.as_quantity(value, dimensions_of_figure(str(table.get("kind", "")), share=True), positive=True)


def _step(value: Any, place: str, faults: f.Faults, table: Mapping) -> Quantity:
    return f.as_quantity(value, dimensions_of_figure(str(table.get("kind", "")), share=False), positive=True)


def _accuracy(value: Any, place: str, faults: f.Faults, table: Mapping) -> Accuracy:
    return read_accuracy(f.as_text(value), dimension=DIMENSION_OF_KIND.get(str(table.get("kind", "")), "conductivity"))


def _factor(value: Any, *_: Any) -> float:
    text = f.as_text(value)
    quantity = f.as_quantity(text if text.endswith("%") else f"{text} 1", "ratio", positive=True)
    return quantity.inside


def _blank_readings(value: Any, place: str, faults: f.Faults, table: Mapping) -> tuple[Quantity, ...]:
    """Repeats on one blank: all conductivities, or all concentrations."""
    if not isinstance(value, list | tuple) or not value:
        raise InputError("input.wrong_type", given=f.kind_of(value), wanted="a list of one or more readings, in brackets")
    first = f.as_quantity(value[0], ("conductivity", "concentration"), bounds=True)
    return (first, *(f.as_quantity(entry, first.dimension, bounds=True) for entry in value[1:]))


def _solution(value: Any, *_: Any) -> str:
    """A standard solution that the science knows; its conductivity is asked for later."""
    text = f.as_text(value)
    with suppress(OutOfRange):
        solutions.standard(text=text, temperature=25.0)
    return text


class Person(Frozen):
    """Who tests, witnesses, agrees or signs."""

    id: str = f.ident()
    name: str = f.text("")
    role: str = f.text("")
    employer: str = f.text("")
    certificate: str = f.text("")
    certificate_expiry: date | None = f.last_day()
    interest: str = f.text("")


class Verification(Frozen):
    """A meter read in a standard solution: is it right today?"""

    at: datetime = f.custom(f.as_moment, f._REQUIRED, says="time with its offset")
    solution: str = f.custom(_solution, f._REQUIRED, says="KCl 0.001 mol/L, KCl 0.01 mol/kg, or 147 uS/cm at 25 degC")
    reading: Quantity = f.quantity("conductivity", positive=True)
    temperature: Quantity | None = f.quantity("temperature", default=None)
    bottle: str = f.reference("")
    by: str = f.reference("")


class Equipment(Frozen):
    """An instrument, a bottle or a consumable, with what is known of its accuracy."""

    id: str = f.ident()
    kind: str = f.text()
    name: str = f.text("")
    serial: str = f.text("")
    lot: str = f.text("")
    expiry: date | None = f.last_day()
    opened_at: datetime | None = f.moment()
    certificate: str = f.text("")
    certified_uncertainty: Quantity | None = f.custom(_certified, says="expanded uncertainty of the certificate, in % or in the unit of the instrument")
    coverage_factor: float | None = f.custom(_factor, says="number, of the certificate; 2 if absent, with a finding")
    range: str = f.text("")
    graduation: Quantity | None = f.custom(_step, says="one division of the scale")
    resolution: Quantity | None = f.custom(_step, says="one step of the display, such as 0.1 uS/cm")
    accuracy: Accuracy | None = f.custom(_accuracy, says="limits of error, such as 1 % or 0.5 % of 200 uS/cm + 1 digit")
    temperature_compensation: str = f.choice("none", "linear", "natural-water", default="")
    temperature_coefficient: Quantity | None = f.quantity("temperature_coefficient", default=None, positive=True)
    reference_temperature: Quantity | None = f.quantity("temperature", default=None)
    verification: tuple[Verification, ...] = f.tables(Verification)


class Item(Frozen):
    """What is judged as one: a piece of steel, a lot of abrasive, a water."""

    id: str = f.ident()
    kind: str = f.choice("steel", "abrasive", "water")
    name: str = f.text("")
    area: Quantity | None = f.quantity("area", default=None, positive=True)
    ready_at: datetime | None = f.moment()  # when its blasting or washing was finished
    parent: str = f.reference("")
    service: str = f.choice("immersed", "atmospheric", "buried", default="")
    coating_system: str = f.text("")
    lot: str = f.text("")
    condition: str = f.choice("new", "in-use", default="")
    lot_mass: Quantity | None = f.quantity("mass", default=None, positive=True)
    sampled_from: str = f.text("")
    retained_split: str = f.text("")


class Location(Frozen):
    """A place on an item that is tested once a round."""

    id: str = f.ident()
    item: str = f.reference()
    name: str = f.text("")
    features: tuple[str, ...] = f.texts()
    drawing: str = f.text("")
    grid: str = f.text("")
    x: Quantity | None = f.quantity("length", default=None)
    y: Quantity | None = f.quantity("length", default=None)
    orientation: str = f.text("")
    rust_grade: str = f.text("")
    ready_at: datetime | None = f.moment()
    chosen_by: str = f.text("")


class Override(Frozen):
    """A figure for one input of the model that replaces the program's."""

    standard_uncertainty: Quantity
    degrees_of_freedom: float | None


class Blank(Frozen):
    """What the water, or the whole kit on clean glass, gives without the steel."""

    id: str = f.ident()
    kind: str = f.choice("full-kit", "water")
    at: datetime | None = f.moment()
    solution_volume: Quantity | None = f.quantity("volume", default=None, positive=True)
    reading: tuple[Quantity, ...] = f.custom(_blank_readings, f._REQUIRED, says="list of readings, a bound stays a bound")
    temperature: Quantity | None = f.quantity("temperature", default=None)
    equipment: tuple[str, ...] = f.references()
    water: str = f.text("")
    by: str = f.reference("")


class Witness(Frozen):
    """A person who saw a test, or waived it."""

    person: str = f.reference()
    present: bool | None = f.flag(None)
    waived: bool | None = f.flag(None)
    notified_at: datetime | None = f.moment()


class Photo(Frozen):
    """A picture, by its file and hash."""

    file: str = f.text()
    sha256: str = f.text("")
    shows: str = f.text("")
    taken_at: datetime | None = f.moment()


class Deviation(Frozen):
    """What was done otherwise than the method says, why, and who agreed."""

    what: str = f.text()
    why: str = f.text("")
    agreed_by: str = f.text("")
    agreed_at: str = f.text("")


class Void(Frozen):
    """Who set a test aside, when and why."""

    by: str = f.text("")
    at: datetime | None = f.moment()
    reason: str = f.text()


Facts = Mapping[str, Any]  # name -> Quantity, tuple of them, text, truth value or whole number


class Test(Frozen):
    """One test: planned, in progress or done. Facts are read by its method, see `facts.py`."""

    __test__ = False  # not a test of pytest

    id: str = f.ident()
    item: str = f.reference()
    location: str = f.reference("")
    method: str = f.text()
    purpose: str = f.choice(*PURPOSES, default="acceptance")
    stage: str = f.choice(*STAGES, default="")
    round: int = f.count(1, least=1)
    retest_of: str = f.reference("")
    started: datetime | None = f.moment()
    read_at: datetime | None = f.moment()
    tester: str = f.reference("")
    recorder: str = f.reference("")
    witnesses: tuple[Witness, ...] = f.tables(Witness)
    equipment: tuple[str, ...] = f.references()
    blank: str = f.reference("")
    extract: str = f.text("")
    edition: str = f.text("")
    compensation_as_used: str = f.choice("none", "linear", "natural-water", default="")
    photos: tuple[Photo, ...] = f.tables(Photo)
    deviations: tuple[Deviation, ...] = f.tables(Deviation)
    void: Void | None = f.table(Void)
    facts: Facts = f.custom(lambda value, *_: value, None, says="table; its keys are the facts of the method")
    determination: tuple[Facts, ...] = f.custom(lambda value, *_: value, (), says="list of tables: separate portions, each with its facts")
    uncertainty: Mapping[str, Override] = f.custom(
        lambda value, *_: value, None, says="table: an input of the model and its own standard_uncertainty, degrees_of_freedom"
    )

    @property
    def at(self) -> datetime | None:
        """When it was read, else when it began."""
        return self.read_at or self.started

    @property
    def begun(self) -> datetime | None:
        """When it began, else when it was read."""
        return self.started or self.read_at


class Conditions(Frozen):
    """The air and the steel at one moment."""

    at: datetime = f.custom(f.as_moment, f._REQUIRED, says="time with its offset")
    air_temperature: Quantity | None = f.quantity("temperature", default=None)
    relative_humidity: Quantity | None = f.quantity("ratio", default=None)
    surface_temperature: Quantity | None = f.quantity("temperature", default=None)
    item: str = f.reference("")
    remarks: str = f.text("")


def _certificate_value(value: Any, place: str, faults: f.Faults, table: Mapping) -> Quantity:
    amounts = tuple(dict.fromkeys(each.dimension for each in QUANTITIES.values()))
    return f.as_quantity(value, amounts, bounds=True)


class Certificate(Frozen):
    """What a supplier or a laboratory declares."""

    item: str = f.reference("")
    equipment: str = f.reference("")
    document: str = f.text("")
    lot: str = f.text("")
    quantity: str = f.choice(*QUANTITIES, default="")
    value: Quantity | None = f.custom(_certificate_value, says="quantity, may be a bound")
    method: str = f.text("")
    issued: date | None = f.last_day()


class Nonconformance(Frozen):
    """A failure in the open: which tests, which area, why, what becomes of it."""

    id: str = f.text("")
    tests: tuple[str, ...] = f.references()
    area: Quantity | None = f.quantity("area", default=None, positive=True)
    cause: str = f.text("")
    disposition: str = f.text("")
    raised_by: str = f.text("")
    raised_at: datetime | None = f.moment()
    closed_by: str = f.text("")
    closed_at: datetime | None = f.moment()


class Reclean(Frozen):
    """A cleaning after a failure."""

    locations: tuple[str, ...] = f.references()
    method: str = f.text("")
    water: str = f.text("")
    finished_at: datetime | None = f.moment()


def _standard_deviation(value: Any, *_: Any) -> Quantity:
    return f.as_quantity(value, tuple(dict.fromkeys(each.dimension for each in QUANTITIES.values())))


class History(Frozen):
    """Scatter of repeats known from earlier records of a method."""

    method: str = f.text()
    standard_deviation: Quantity = f.custom(_standard_deviation, f._REQUIRED, says="quantity in the unit of the reading")
    degrees_of_freedom: int = f.count(least=1)
    source: str = f.text("")


class Question(Frozen):
    """What must be settled before work, and its answer."""

    id: str = f.text("")
    code: str = f.text("")
    text: str = f.text()
    criterion: str = f.text("")
    answer: str = f.text("")
    answered_by: str = f.text("")
    answered_at: datetime | None = f.moment()


class Signature(Frozen):
    """A name under a job."""

    person: str = f.reference()
    role: str = f.text("")
    at: datetime | None = f.moment()
    what: str = f.text("")
    hash: str = f.text("")
    signature: str = f.text("")
    key: str = f.text("")


class Day(Frozen):
    """People and kit of one day, for its plan."""

    testers: int = f.count(1, least=1)
    resources: Mapping[str, int] = f.custom(
        lambda value, *_: {f.as_text(key): f.as_count(number, least=0) for key, number in value.items()},
        None,
        says="table: how many there are, such as {flask = 6}",
    )
    start: str = f.text("")
    wait_tolerance: Quantity | None = f.quantity("time", default=None)


def _uuid(value: Any, *_: Any) -> str:
    text = f.as_text(value)
    digits = text.replace("-", "")
    if len(digits) != 32 or not all(character in "0123456789abcdefABCDEF" for character in digits):
        raise InputError("input.not_a_uuid", given=f.kind_of(value))
    return text


class Heading(Frozen):
    """The job itself: its id, its title, its parties."""

    id: str = f.custom(_uuid, f._REQUIRED, says="UUID")
    title: str = f.text("")
    site: str = f.text("")
    owner: str = f.text("")
    contractor: str = f.text("")
    number: str = f.text("")
    governing_language: str = f.text("")


class Job(Frozen):
    """A whole job document, its `[job]` table as `heading`."""

    format: str = f.choice(FORMAT)
    job: Heading = f.table(Heading, f._REQUIRED)
    specification: tuple[Specification, ...] = f.tables(Specification)
    person: tuple[Person, ...] = f.tables(Person)
    equipment: tuple[Equipment, ...] = f.tables(Equipment)
    item: tuple[Item, ...] = f.tables(Item)
    location: tuple[Location, ...] = f.tables(Location)
    blank: tuple[Blank, ...] = f.tables(Blank)
    test: tuple[Test, ...] = f.tables(Test)
    conditions: tuple[Conditions, ...] = f.tables(Conditions)
    certificate: tuple[Certificate, ...] = f.tables(Certificate)
    nonconformance: tuple[Nonconformance, ...] = f.tables(Nonconformance)
    reclean: tuple[Reclean, ...] = f.tables(Reclean)
    history: tuple[History, ...] = f.tables(History)
    question: tuple[Question, ...] = f.tables(Question)
    signature: tuple[Signature, ...] = f.tables(Signature)
    day: Day | None = f.table(Day)

    @cached_property
    def equipment_by_id(self) -> dict[str, Equipment]:
        return {each.id: each for each in self.equipment}

    @cached_property
    def item_by_id(self) -> dict[str, Item]:
        return {each.id: each for each in self.item}

    @cached_property
    def location_by_id(self) -> dict[str, Location]:
        return {each.id: each for each in self.location}

    @cached_property
    def blank_by_id(self) -> dict[str, Blank]:
        return {each.id: each for each in self.blank}

    @cached_property
    def criteria(self) -> tuple[Criterion, ...]:
        return tuple(criterion for specification in self.specification for criterion in specification.criterion)
