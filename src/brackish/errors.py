# SPDX-License-Identifier: MIT
"""The errors of brackish: one tree, one table of words, one table of exit and HTTP codes.

An error says that something cannot be computed or read. It carries a code, the place in the input
and parameters; the sentence is made from them here, so that every caller says the same thing.
A result with a reservation is not an error but a finding (`judge/findings.py`); a verdict that
cannot be given is `withheld`.

    BrackishError
    * InputError              the input cannot be used (exit 2)
      - ShapeMismatch         lengths or counts differ
      - UnitMismatch          other dimension, or unit that cannot be
      - OutOfRange            value outside the validity of a formula
      - MissingInput          cannot be computed without it; never guessed
      - InputFaults           all faults of one file
    * MethodError
      - UnknownMethod, MethodVersionGone
    * RecordError
      - NotCanonical, SealBroken, FormatTooNew
    * ConflictError, AccessError, DeliveryError, RenderError
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, takewhile


class BrackishError(Exception):
    """Base of all errors: `code`, `place` (where in the input), `params` (texts and numbers)."""

    exit_status = 3
    http_status = 500

    def __init__(self, code: str, *, place: str = "", **params: object) -> None:
        super().__init__(code, place, params)
        self.code = code
        self.place = place
        self.params = params

    def __reduce__(self) -> tuple[object, ...]:
        return (_rebuild, (type(self), self.code, self.place, self.params))

    @property
    def message(self) -> str:
        """The sentence for people: what is wrong, what was given, what is allowed, what to do."""
        values = {key: _readable(value) for key, value in self.params.items()}
        return WORDS[self.code].format_map(values)

    def __str__(self) -> str:
        return f"{self.place}: {self.message}" if self.place else self.message

    def at(self, place: str) -> BrackishError:
        """The same error with its place put in front, for readers that know where they are."""
        joined = f"{place}.{self.place}" if self.place and not self.place.startswith("[") else f"{place}{self.place}"
        return type(self)(self.code, place=joined, **self.params)

    def to_dict(self) -> dict[str, object]:
        return {"code": self.code, "place": self.place, "params": self.params, "message": self.message}


def _rebuild(kind: type[BrackishError], code: str, place: str, params: dict[str, object]) -> BrackishError:
    return kind(code, place=place, **params)


def _readable(value: object) -> str:
    """A value for a sentence: long text is cut, a long list after a whole entry."""
    if not isinstance(value, list | tuple):
        text = "".join(character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in str(value))
        return text if len(text) <= 300 else f"{text[:297]}..."
    parts = [_readable(part) for part in value]
    kept = len(list(takewhile(lambda end: end <= 600, accumulate(len(part) + 2 for part in parts)))) or 1
    return ", ".join(parts[:kept]) + (f", and {len(parts) - kept} more" if kept < len(parts) else "")


class InputError(BrackishError, ValueError):
    exit_status = 2
    http_status = 422


class ShapeMismatch(InputError):
    """Lengths or counts differ."""


class UnitMismatch(InputError):
    """Another dimension, or a unit that cannot measure anything here."""


class OutOfRange(InputError):
    """A value outside the range for which a formula is valid."""


class MissingInput(InputError):
    """Cannot be computed without it; never guessed."""


class InputFaults(InputError):
    """Every fault of one input, in the order they stand there."""

    def __init__(self, faults: Sequence[BrackishError]) -> None:
        super().__init__("input.faults", count=len(faults))
        self.faults = tuple(faults)

    def __reduce__(self) -> tuple[object, ...]:
        return (InputFaults, (self.faults,))

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)


class MethodError(BrackishError):
    exit_status = 2
    http_status = 422


class UnknownMethod(MethodError):
    """No method of that id in the library."""


class MethodVersionGone(MethodError):
    """A stored record names a method version this program no longer has."""


class RecordError(BrackishError):
    exit_status = 2
    http_status = 422


class NotCanonical(RecordError):
    """Stored bytes are not the canonical form of what they say."""


class SealBroken(RecordError):
    """A sealed file was changed, or was never sealed."""


class FormatTooNew(RecordError):
    """Written by a later program."""


class ConflictError(BrackishError):
    exit_status = 2
    http_status = 409


class AccessError(BrackishError):
    exit_status = 2
    http_status = 403


class DeliveryError(BrackishError):
    """`permanent` in params: give up, or try again."""

    http_status = 503


class RenderError(BrackishError):
    """A page or PDF could not be made: the program's fault."""


def faults_of(error: BrackishError) -> tuple[BrackishError, ...]:
    """The single faults of any error, for lists that people and programs read."""
    return error.faults if isinstance(error, InputFaults) else (error,)


# code -> sentence. A code once shipped keeps its meaning.
WORDS = {
    "input.faults": "{count} faults in the input.",
    "input.file_missing": "There is no readable file {given}. Check the name and the folder.",
    "input.not_a_job": "{given} is not a job file: JSON or TOML was expected. Check that the right file was given.",
    "input.not_a_text": "{given} is not UTF-8 text (byte {byte}). Copy the words of the clause into a text file, or paste them.",
    "input.too_large": "The file has {given} bytes; at most {allowed} are read. Split the job, or check that it is a job file.",
    "input.too_deep": "The file nests brackets deeper than {allowed}; a job file needs five. Check that it is a job file.",
    "input.syntax": "The file cannot be read as {form}: {detail}. Correct that line.",
    "input.not_utf8": "The file is not UTF-8 text (byte {given}). Save it as UTF-8, or check that it is a job file.",
    "input.format": "format is {given}; this program reads {allowed}. Check the file, or use the program that wrote it.",
    "input.unknown_key": "Unknown key {given}. Allowed here: {allowed}. Correct the spelling, or begin your own keys with x-.",
    "input.missing_key": "{wanted} is missing. Add it.",
    "input.wrong_type": "Given {given}; {wanted} was expected.",
    "input.number_without_unit": "Given the bare number {given}; a text with a unit was expected, such as {example}.",
    "input.duplicate_id": "The id {given} stands twice; every {kind} needs its own. Rename one of them.",
    "input.unknown_reference": "There is no {kind} with the id {given}. Known: {allowed}. Add it or correct the id.",
    "input.wrong_kind": "{given} is a {found}, but a {wanted} is needed here. Name another, or correct its kind.",
    "input.not_one_of": "Given {given}; allowed: {allowed}.",
    "input.not_positive": "Given {given}; a value over zero is needed. Check the figure and its sign.",
    "input.negative": "Given {given}; this cannot be below zero. Check the figure and its sign.",
    "input.out_of_range": "Given {given}; allowed is {lowest} to {highest}. Check the figure and its unit.",
    "input.not_a_time": "Given {given}; a time with its offset was expected, such as 2026-03-04T09:05:00+00:00.",
    "input.not_a_uuid": "Given {given}; a UUID was expected, such as 0b0e6a52-6d0e-4b57-9d5e-6f2f4f0f7a11.",
    "input.not_a_count_rule": "Given {given}; a rule such as '3 per item', '1 per 50 m2, at least 3' or '3 for the first 100 m2, then 1 per 200 m2' was expected, or a name from the library: {allowed}.",
    "input.unknown_fact": "The method {method} has no fact {given}. Its facts: {allowed}.",
    "input.no_portions": "The method {method} has no separate portions. Write its facts in [test.facts]; each test is one extraction.",
    "input.fact_twice": "{given} stands both in [test.facts] and in a determination. Keep it in one place.",
    "input.retest": "retest_of names {given}: {why}. A retest names an earlier test of the same item and location.",
    "input.command_line": "{why}. See {program} --help.",
    "input.option": "{given}: {why}. See brackish {command} --help.",
    "quantity.empty": "An empty text was given; a number with its unit was expected, such as {example}.",
    "quantity.bare_number": "{given} has no unit. Write number and unit, such as {example}.",
    "quantity.comma": "{given} has a comma in its number. Write a point before decimals and nothing between thousands, such as {example}.",
    "quantity.not_a_number": "{given} does not begin with a number that can be used. Write digits, then the unit, such as {example}.",
    "quantity.too_many_digits": "{given} has more digits than any instrument shows (at most {allowed}). Check for a slip of the keyboard.",
    "quantity.unknown_unit": "Unit {unit} of {given} is not known. Allowed here: {allowed}.",
    "quantity.impossible_unit": "Unit {unit} of {given} cannot measure this: {why}. Allowed here: {allowed}. Ask whoever wrote it what was meant.",
    "quantity.wrong_dimension": "{given} is {found}, but {wanted} was expected. Allowed here: {allowed}.",
    "quantity.bound_not_allowed": "{given} is a bound; a plain value is needed here, such as {example}.",
    "quantity.ppm": "ppm in {given} can be mg/L or mg/kg. Write the one that is meant: {allowed}.",
    "limits.no_reading": "No meter or tube is read for {given}: {why}.",
    "limits.blank_volume": "This blank was taken in {given}, the card is for {wanted}. A blank with the full kit counts as an amount: take one in the same water, or print the card for its volume.",
    "limits.needs": "A limit of {given} becomes a reading only with {wanted}. Give it, such as {example}.",
    "counts.governs": "The rule {given} has no amounts in the {governs} system. Leave --governs out, or give a rule that has them.",
    "method.unknown": "There is no method {given}. Known: {allowed}.",
    "method.version_gone": "Method {given} version {version} is not in this program.",
    "requirement.unknown": "There is no requirement {given} in the library. Known: {allowed}.",
    "science.out_of_range": "{name} is {value} {unit}; the formula holds from {lowest} to {highest} {unit} ({source}).",
    "salts.no_extract": "Test {given} ({method}, {state}) gave no single conductivity of an extract from steel. Name a patch test that was read.",
    "science.unknown": "{name} {given} is not known. Known: {allowed}.",
    "science.shape": "{name} has {given} values; {wanted} needed.",
    "science.missing": "{name} is needed for this computation and was not given.",
    "science.not_finite": "{name} is {given}; a finite number is needed.",
    "science.standard_solution": "{given} is not a standard solution that is known. Write 'KCl 0.001 mol/L', 'KCl 0.01 mol/kg' or '147 uS/cm at 25 degC'.",
    "science.correlation_twice": "The correlation of {given} stands twice, or joins an input with itself. Give each pair of inputs once.",
    "science.correlations_impossible": "No quantities can be correlated as given for {given}. Check the figures and their signs.",
    "science.second_order_correlated": "The second-order term holds for independent inputs only; {given} are correlated. Leave one of the two out.",
    "science.not_neutral": "The charges of the ions do not balance: {given} mol/L are left over, at most {allowed} of all charges may be. Check amounts and signs.",
    "event.chain": "prev is {given} at seq {seq}. The first event of a device has seq 1 and no prev; every later one names the hash of the one before.",
    "event.reason_missing": "A withdrawal of {path} without a reason. Say why, in reason.",
    "event.id_renamed": "The id of an element cannot become {given}; its path says {wanted}. Withdraw the element and write a new one.",
    "event.base": "The event {given} names itself as seen. Name only events that came before.",
    "event.path": "The path {given} does not fit: {why}.",
    "event.too_large": "The event has {given} bytes; at most {allowed} are kept. Attach long texts as a file.",
    "event.id_taken": "The id {given} is already that of another event, with the hash {known}. Nothing was changed; write it again under a new id.",
    "event.other_job": "The event belongs to job {given}, not to {wanted}. Send it to its own job.",
    "event.too_many": "The list has {given} events; at most {allowed} are taken at once. Send them in several lists.",
    "event.unseen": "These events would leave {given} in the job that no other has seen; the next one can name {allowed}. Read the job, and name its base in what you write.",
    "event.author": "The event's author is {given}, but {wanted} is signed in. Everyone sends their own events.",
    "event.sign": "A signature is made by signing the job, not by sending an event.",
    "event.not_yours": "A {role} does not write {given}. Allowed: {allowed}. Ask the inspector or the owner.",
    "event.training_only": "A trainee writes tests whose purpose is training; {given} is not one. Set its purpose first, or ask the inspector.",
    "access.signed_out": "Nobody is signed in. Sign in first.",
    "access.not_found": "There is no {given} in your sight. Check the id, or ask the owner for access.",
    "access.not_allowed": "As {role} you may not {asked}. Who may: {allowed}. Ask one of them.",
    "access.wrong_password": "Name and password do not match.",
    "access.not_your_password": "That is not your password. Type the one you sign in with.",
    "access.too_many_tries": "Too many wrong tries. Wait {minutes} minutes, then try again.",
    "access.link_used": "This link was used already, or is too old. Ask for a new one.",
    "access.name": "{given} cannot be a name to sign in with. Use 2 to 99 small letters, digits, dots, hyphens and underscores.",
    "access.name_taken": "The name {given} is taken. Choose another.",
    "access.password": "That password is too easy to guess: {detail}",
    "access.guest_needs_job": "A {role} is invited to one job. Name the job.",
    "access.last_owner": "This is the last owner. Make another person owner first.",
    "access.csrf": "The request does not carry the mark of this session. Load the page again, or send the header X-CSRFToken.",
    "request.unreadable": "The request cannot be read: {detail}. See the description of the API.",
    "request.host": "This server does not answer to the name in that address. Use the address it printed; whoever runs it allows others by BRACKISH_HOSTS.",
    "request.too_large": "The request is larger than the {allowed} bytes that are read at once. Send several lists, or smaller pieces.",
    "request.unknown": "There is nothing at {given}. See the description of the API.",
    "attachment.size": "The file was announced with {known} bytes before, now with {given}. Check the file.",
    "attachment.piece": "The piece has {given} bytes; at most {allowed} are taken at once. Send smaller pieces.",
    "attachment.offset": "The piece begins at byte {given}; the next one wanted begins at {wanted}. Go on from there.",
    "attachment.hash": "The bytes do not have the hash {given} that was announced. Nothing was kept; send the file again.",
    "attachment.type": "The file does not begin like {given}. Check its type.",
    "attachment.too_many_points": "The picture has {given} points; at most {allowed} are opened. Send a smaller one.",
    "attachment.unreadable": "The {given} cannot be opened as a picture ({detail}). Take or save it again.",
    "signing.no_key": "You have no signing key yet. Make one first.",
    "signing.password": "That password does not open your signing key.",
    "signing.changed": "The job was changed since {given} was shown; it is now {now}. Read it again before signing.",
    "signing.conflict": "{count} values are in conflict. Settle them before signing.",
    "signing.unreadable": "The job cannot be judged yet. Correct it before signing.",
    "ledger.one_job": "The ledger holds events of {given} jobs; one was expected.",
    "ledger.signature": "The signature in event {given} does not hold. The ledger was changed; nothing was taken from it.",
    "ledger.other_organisation": "The job {given} belongs to another organisation on this server.",
    "ledger.zip": "The file is no ledger as brackish wrote it: ledger.jsonl and attachments by their hash.",
    "server.busy": "The job is being written to faster than it can be judged. Try again in a moment.",
    "server.storage": "The server cannot store or read just now: its disk may be full, or its database away. Nothing of this request was kept. Try again later.",
    "serve.port": "Nothing can be served at {given}: {detail}. If a server or a demo of yours runs there, use it or stop it; else choose another with --port.",
    "serve.database": "The database cannot be used: {detail}. Check DATABASE_URL; without it, SQLite needs a folder BRACKISH_DATA that can be written and has room.",
    "record.not_canonical": "The stored text is not in canonical form: {detail}.",
    "record.seal_broken": "{detail}",
    "record.not_sealed": "{given} holds no brackish seal: {detail}. Give the PDF as brackish wrote it.",
    "record.format_too_new": "Format {given} is newer than this program reads ({allowed}). Use a later brackish.",
    "render.failed": "The report could not be set: {detail}.",
    "program.failed": "The program failed: {detail}. Nothing was written. Please report it with the job file.",
}
