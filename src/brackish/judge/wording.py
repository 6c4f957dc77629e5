# SPDX-License-Identifier: MIT
"""Every sentence of a judgement, in English, made from codes and parameters.

Other languages rebuild the same sentences from the same codes. Short sentences, trade words; what to
do first, then why. No number is made here: parameters come as texts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from brackish.judge.moments import when
from brackish.quantities import shown_unit

MESSAGES = {
    # water, blank
    "water.above_limit": "The water reads {given}; at most {allowed} is usual for extraction. Change the water and repeat.",
    "blank.missing": "No blank is named, so nothing is taken off. Name the water or full-kit blank of this test, or agree that none is taken off.",
    "blank.other_kind": "The blank is {given}; the contract asks for {allowed}. Name a blank of that kind, or agree the other in writing.",
    "blank.share_of_limit": "The blank alone is worth {given} of the limit (usual: at most {allowed}). Use better water, a smaller volume, or agree how the blank is judged.",
    "blank.other_unit": "The blank {blank} was read as {given}, in another kind of unit than the test; it cannot be taken off. Name a blank read as the test was.",
    "blank.under_first_mark": "The blank {blank} is only known as {given}; nothing is taken off, so the result can only be too high.",
    "blank.over_last_mark": "The blank {blank} is over the last mark: what to take off is not known. Dilute and read it again, or take another.",
    "blank.volume_missing": "The volume of the full-kit blank {blank} is not written; that of the test is taken. Write it.",
    "blank.other_volume": "The full-kit blank {blank} was taken in {given}, the test in {volume}. Salt of the kit is the same in any volume, salt of the water grows with it, and which it was is not known. Take the blank with the volume of its tests.",
    "blank.exceeds_extract": "The blank {blank} reads {given}, more than the extract with {extract}. Check which is which; repeat both.",
    "blank.titrant_missing": "No blank of the titration was written, so nothing is taken off. Titrate the same water in the same way, or agree that none is taken off.",
    "blank.over_sample": "The blank took more titrant than the sample; the difference is {given}. The signed result is kept. Check which is which; repeat both.",
    "blank.other_day": "The blank {blank} was read {given} from the test; at most {allowed} is usual. Take a blank in the same shift, from the same bottle and box.",
    "blank.other_meter": "The blank {blank} was read with {given}, the test with {meter}; both are worked out as read with {meter}. Read a blank with the meter of its tests.",
    "blank.temperature_missing": "No temperature was written for the blank {blank}; that of the extract is taken. Write it next time.",
    # volume, area, dwell, loss
    "volume.below_injected": "All the water at the reading is {given}, less than the {injected} injected. One of the two is wrong: correct it, then the verdict can be given.",
    "volume.more_back": "{given} was drawn back, more than the {injected} injected. Check both figures.",
    "volume.not_undiluted": "Read undiluted, yet in {given} where {injected} was injected. Check how the extract was read: this figure changes the result in proportion.",
    "volume.filling": "The cell was filled with {given} for each mm²; {lowest} to {highest} is usual. Check volume and area. Check your copy of the standard.",
    "volume.slip_of_unit": "That is {given} of water for each mm² of steel, where {lowest} to {highest} can be. A slip of a unit in volume or area: correct it, then the verdict can be given.",
    "volume.ratio": "The ratio is {given}; {lowest} to {highest} is asked. It is not corrected for. Check your copy of the standard.",
    "volume.portion_size": "The portion is {given}; {lowest} to {highest} is usual. Check your copy of the standard.",
    "volume.aliquot_over_whole": "The part that was titrated is {given} of the liquid. One of the two volumes is wrong: check them.",
    "dwell.few_cycles": "Times drawn back and injected again: {given}; at least {allowed} is asked. The result may be low.",
    "dwell.short": "The water stood {given}; {allowed} was agreed. The result may be low: repeat, or agree the deviation in writing.",
    "dwell.step_short": "{fact} took {given}; at least {allowed} is asked. The result may be low. Check your copy of the standard.",
    "dwell.not_agreed": "No time on the steel was agreed. It is for the parties to agree; about ten minutes is usual on unpitted steel. Check your copy of the standard.",
    "dwell.agreed_by_missing": "The time is written, but not who agreed it. Write by whom, and when.",
    "loss.leak": "Liquid was lost. The test is void, not low. Repeat beside it.",
    "loss.recovered_short": "Only {given} of the water came back (at least {allowed} is usual). Salt may have stayed behind; say so, or repeat beside it.",
    # temperature
    "temperature.as_displayed": "No temperature of the solution was written. The reading is taken as the meter shows it, at {temperature}.",
    "temperature.raw_unknown": "The meter ({equipment}) does not compensate for temperature and none of the solution was written, so the reading says nothing sure: about 2 % for each degree. Write the temperature, then the verdict can be given.",
    "temperature.reference_assumed": "Neither contract nor meter says which temperature the reading refers to; {temperature} is taken. Ask, and write it down.",
    "temperature.meter_reference_assumed": "The meter does not say which temperature its display refers to; {temperature} is taken. Look it up in its settings.",
    "temperature.other_reference": "The result refers to {given}, the contract asks for {wanted}: the reading was kept as displayed. Mixed salts differ by about 2 % for each degree.",
    "temperature.compensation_unknown": "The meter ({equipment}) does not say how it compensates for temperature; linear is taken. Look it up in its settings.",
    "temperature.near_dew_point": "The steel is {given} above the dew point; at least {allowed} is usual. Wait or heat, and check again.",
    # equipment
    "equipment.meter_not_named": "No meter is named, so its figures are assumed. Name it with serial, accuracy and last verification.",
    "equipment.verification_missing": "{equipment} was not verified before this reading. Read a standard solution first, near the readings you expect.",
    "equipment.verification_old": "{equipment} was last verified {hours} h before; at most {allowed} counts. Its stated accuracy is used instead.",
    "equipment.verification_undated": "{equipment} was verified, but the test has no time, so nothing tells whether before it. Its stated accuracy is used; write the time.",
    "equipment.verification_outside": "The check of {equipment} in {solution} cannot be compared: its temperature is outside what is known of the solution. Its stated accuracy is used.",
    "equipment.verification_off": "{equipment} was off by {found} in {solution}; its accuracy allows {allowed}. Found before the reading, that is carried as uncertainty, not corrected; found after it, the reading is in doubt. Clean, repeat, or use another meter.",
    "equipment.expired": "{equipment} was used on {day}; its last day was {allowed}. Repeat with one in date.",
    # replicates
    "replicate.own_scatter": "{readings} readings say little about their own scatter. State the scatter known from earlier records under history.",
    "replicate.bounds_mixed": "One reading is under the first mark, another over the last. Repeat the reading.",
    "replicate.disagree": "The portions differ by {given} ({share} of their mean); at most {allowed} is allowed. Test two more portions before a mean is judged.",
    "replicate.range_of_two": "The {n} portions differ by {given}; by the scatter known from earlier records they stay within {allowed}, 95 times in 100. Test two more portions and look at all four. Check your copy of the standard.",
    "replicate.range_apart": "The {n} portions differ by {given}; by the scatter known from earlier records they stay within {allowed}, 95 times in 100. None is dropped; report their median, {median}, beside the mean, and look for the cause.",
    "replicate.one_portion": "One portion was tested; {wanted} separate ones are asked. The scatter of the lot stays unknown.",
    "replicate.portions_scatter": "The scatter between portions is not in the budget: {n} of them say too little about it. State it under history where it is known.",
    # range
    "range.instrument": "{given} is outside the range of {equipment}, {allowed}. Use another range or dilute, and read again.",
    "range.unusual": "{given} is far from what is usual, {lowest} to {highest} (common practice, no source). Check the figure and its unit.",
    "range.unread": "The range of {equipment}, written '{given}', cannot be read, so nothing is held against it. Write it as '0 to 200 uS/cm'.",
    "range.temperature": "The temperature {value} {unit} is outside the model ({lowest} to {highest} {unit}). No result is given.",
    "range.science": "{name} is {value} {unit}; the model holds from {lowest} to {highest} {unit}. Check it; dilute an extract and read again.",
    "range.ph": "The extract has pH {given}; between {lowest} and {highest} conductivity can be turned into salt. Outside it, acid or alkali conducts too: test chloride instead.",
    "range.bound_undecided": "The reading is only known as {bound}; that does not decide against {limit}. Use a finer range.",
    "range.mean_of_bounds": "A mean cannot be taken over readings known only as a bound. Judge each, or read with a finer range.",
    "range.mean_without": "No mean can be taken: {tests} gave no result. Repeat what is missing, or judge each.",
    "range.under_first_mark": "The reading is under the first mark, {given}. It stays a bound, never a zero.",
    "range.over_last_mark": "The reading is over the last mark, {given}. It stays a bound: dilute and read again.",
    "range.zero_reading": "A tube was read as {given}. Write < and its first mark: under it, nothing is known but the bound.",
    "range.humidity": "A relative humidity of {given} cannot be right ({lowest} to {highest}). Check the instrument; the check is void.",
    # species, consistency
    "species.acid_extract": "The extract is acid. Its conductivity says nothing about salt; only chloride or another single ion can be tested in it.",
    "species.other_liquid": "Extracted with {given}; the contract asks for {allowed}. The two never compare.",
    "species.titrant_differs": "Titrated with {given}; the standard is recalled to use {allowed}. Agree the deviation in writing. Check your copy of the standard.",
    "species.not_filtered": "The slurry was not filtered. What floats in it changes the reading: filter and read again.",
    "consistency.chloride_over_total": "Chloride {chloride} is more than the conductivity of the same extract allows ({bound}). One of the two is wrong: check volume, tube and meter. Both are withheld.",
    "consistency.chloride_near_total": "Chloride {chloride} at {other} beside {bound} at most here: they differ by {difference}. Neighbouring places may differ.",
    "consistency.extract_volume": "Tests {tests} are of one extract, yet one says {given} and the other {other} of water. Correct one of them.",
    # count, criterion, location, stage, time
    "count.missing": "{done} of {required} agreed tests are done.",
    "count.not_agreed": "The number of tests was not agreed. Agree it in writing; met or not at {done} so far.",
    "count.area_missing": "The rule '{rule}' needs the area of {item}. Write it.",
    "count.planned": "Nothing is judged yet: a test is still to be done.",
    "criterion.quantity_missing": "The requirement {criterion} does not say what is counted: on steel mixed salts, NaCl equivalent or chloride; in an abrasive its extract by mass or by volume. Ask before the first test.",
    "criterion.sense_missing": "The requirement {criterion} does not say whether the value may equal the limit. Ask.",
    "criterion.limit_missing": "The requirement {criterion} gives no limit. Ask for it.",
    "criterion.limit_not_positive": "The requirement {criterion} asks for {limit}. No measurement can show that nothing is there: agree a limit that can be shown, with the owner.",
    "criterion.limit_mean_missing": "The requirement {criterion} gives no limit for the mean. Ask for it.",
    "criterion.judged_missing": "The requirement {criterion} does not say whether each result or the mean must comply. Ask.",
    "criterion.decision_rule_missing": "No decision rule was agreed for {criterion}: how uncertainty is taken into account. Agree it before the result is known.",
    "criterion.guard_band_missing": "The rule of {criterion} needs a guard band, and none was agreed. Agree it.",
    "criterion.level_missing": "The guard band of {criterion} needs a level such as 95 %, and none was agreed. Agree it.",
    "criterion.uncertainty_missing": "The guard band of {criterion} hangs on which uncertainty is meant; the contract does not say. The larger of budget and published figure is used.",
    "criterion.blank_rule_missing": "The requirement {criterion} says nothing about the blank. The {used} blank that was named is used.",
    "criterion.extraction_liquid_missing": "Extracted with acid; the requirement {criterion} does not say which liquid. It is judged, but ask.",
    "criterion.method_cannot_give": "{tests} cannot give {quantity}: another method is needed. Test by one that gives it.",
    "criterion.none": "No requirement is written, so nothing is judged.",
    "criterion.no_item": "No item of this job is meant by any requirement.",
    "criterion.condition_unknown": "The requirement {criterion} is for {wanted} abrasive; whether {item} is new or in use was not written.",
    "criterion.use_unknown": "What this water is for was not written, so no requirement on water for washing was applied. Write whether it is for extraction or for washing.",
    "location.missing": "No location is named. The test counts for no place.",
    "location.repeated": "{location} was tested twice in one round ({tests}). The first test takes the salt away: each is judged, the place counts once.",
    "location.incomplete": "At {location} the latest test is not finished ({tests}).",
    "stage.missing": "No stage is written; the requirement {criterion} is for the stage {stage}. The test is not counted.",
    "stage.mixed": "Tests of several stages ({stages}) cannot make one mean. State the stage in the requirement.",
    "time.order": "Read at {read}, before it began at {started}. Correct the times.",
    "time.before_ready": "Tested {given} before blasting or washing was finished ({since}). Correct the times; if they are right, test again.",
    "time.coat_by": "The next coat was agreed within {allowed} of the test: by {until}. If it comes later, test again.",
    "time.condensation": "The steel was {given} above the dew point when tested ({at}); at least {allowed} is usual. Moist steel dilutes the test: dry it and repeat.",
    "fact.missing": "Not written down: {name}. Add it, and the result follows.",
    "fact.not_written": "Not written down: {facts}. The test stands, but less can be shown later.",
    # certificate
    "certificate.other_lot": "{document} is for lot {given}; this lot is {lot}. Ask for the certificate of this lot.",
    "certificate.other_basis": "{document} states {given}, the test gives {measured}: two bases that never compare.",
    "certificate.other_unit": "{document} states {given}, which is no figure in {wanted}. Ask what was meant.",
    "certificate.basis_missing": "{document} does not say what it states, by which method. Ask; nothing can be compared.",
    "certificate.agrees": "{document} states {given}; the test gave {measured}. They agree within the uncertainty of the test.",
    "certificate.differs": "{document} states {given}; the test gave {measured}. They differ by more than the uncertainty of the test.",
    "certificate.after_test": "{document} was issued on {given}, after the test of {day}.",
    "certificate.new_only": "{document} is for new abrasive; this lot is in use. Test the working mix.",
    # uncertainty
    "uncertainty.assumed": "Assumed, as none was given: {what}, {value}.",
    "uncertainty.coverage_taken": "The certificate of {equipment} does not say its coverage factor; {factor} is taken.",
    "uncertainty.method_out_of_range": "The published uncertainty holds from {lowest} to {highest}; the result is {value}. Agree which uncertainty counts outside.",
    "uncertainty.method_unknown": "No published uncertainty is known for {method}. Agree the budget instead.",
    "uncertainty.shared_unequal": "Tests state different uncertainties for what they share ({input}); the larger is taken.",
    # release: what still blocks, in the order of work, and what to hold back
    "release.no_nonconformance": "No non-conformance is written for {test}. Raise it, with the area.",
    "release.no_cause": "No cause is written in {id}. Find it before cleaning again, or it comes back.",
    "release.no_disposition": "What happens with the lot is not written in {id}. Write it.",
    "release.no_reclean": "No re-clean of {place} since {test} is written. Clean again, and write how and when it ended.",
    "release.reclean_unfinished": "When the re-clean of {place} ended is not written. Write it, so that the retest is seen to come after.",
    "release.retest_missing": "{test} was not tested again. Test beside the old spot, never on it.",
    "release.retest_planned": "{retest}, the retest of {test}, is not read yet.",
    "release.retest_failed": "{test} did not pass either ({verdict}). Clean again and test again.",
    "release.retest_incomplete": "{retest}, the retest of {test}, is not complete.",
    "release.retest_inconclusive": "{retest}, the retest of {test}, is inconclusive. Do what was agreed for that case.",
    "release.retest_withheld": "{retest}, the retest of {test}, has no verdict. {reason}",
    "release.retest_early": "{retest} was begun before the re-clean ended. It shows nothing about the cleaned steel: test again.",
    "release.neighbours_open": "Not tested again since the re-clean: {places}. Neighbours asked for: {wanted}.",
    "release.neighbours_too_few": "Neighbours asked for: {wanted}; known: {known}. Choose more places beside it.",
    "release.neighbours_by_clause": "No neighbour was tested again since the re-clean (nearest: {places}). The clause says '{rule}', without a number: agree it, or test these.",
    "release.neighbours_nowhere": "No other place of this item is known. The clause says '{rule}', without a number: agree it, and choose places beside the failed one.",
    "release.not_closed": "{id} is not closed: nobody has signed the release.",
    "release.closed_early": "{id} was closed before {retest} was read. Close it again, after the retest.",
    "release.quarantine_area": "{hold}: {amount} of {name}, as the non-conformance says.",
    "release.quarantine_item": "{hold}: all of {name}, {amount}, because how far the failure reaches is not written.",
    "release.quarantine_unknown": "{hold}: all of {name}, because neither the failed area nor its own is written.",
    "release.quarantine_lot": "{hold}: the whole lot {lot} of {name} ({amount}), and what was blasted with it.",
    "release.neighbours_wanted": "{wanted} to test again, the nearest by {by}.",
    "release.neighbours_not_agreed": "The clause speaks of neighbours without a number. The nearest by {by}.",
    "release.neighbours_none": "The requirement says nothing about neighbours. The nearest by {by}; a failure seldom stops at one patch.",
    "release.neighbours_unknown": "No other place of this item is known to test beside it.",
    # compare: why two tests never compare, and what else lies between two that do
    "compare.nothing_common": "{a} is about {of_a}, {b} about {of_b}: they have nothing in common to compare.",
    "compare.liquid": "{a} was extracted with {of_a}, {b} with {of_b}. Acid also takes up what water leaves behind, so the two never compare. Extract both with one liquid.",
    "compare.mass_volume": "{a} gives {of_a}, {b} {of_b}: two bases with other limits, and no factor between them. Test one lot both times on one basis.",
    "compare.chloride_total": "{chloride} finds chloride, {total} all that conducts. Conductivity cannot tell chloride from sulfate, so no factor leads from one to the other. Test chloride in both extracts, or conductivity in both.",
    "compare.other_quantity": "{a} gives {of_a}, {b} {of_b}: two quantities that never compare.",
    "compare.planned": "{test} is planned: nothing was read yet.",
    "compare.incomplete": "{test} is not complete, so it has no result yet.",
    "compare.void": "{test} is void, so it has no result.",
    "compare.void_because": "The reason written: {reason}.",
    "compare.no_result": "{test} has no result.",
    "compare.outside": "One basis for both lies outside what the model holds: {detail}",
    "compare.one_test": "{test} is compared with itself.",
    "compare.one_extract": "Both are readings of one extract ({extract}): place and time are the same.",
    "compare.item": "Other things: {of_a} ({a}) and {of_b} ({b}). They may truly hold different amounts.",
    "compare.place": "Other places: {of_a} ({a}) and {of_b} ({b}). They may truly hold different amounts.",
    "compare.place_apart": "Other places, {distance} apart: {of_a} ({a}) and {of_b} ({b}). They may truly hold different amounts.",
    "compare.place_unknown": "A place is not written, so nobody can tell how far apart they are.",
    "compare.same_place": "Both at {place}. The first test takes salt away, so the second finds less. Test beside it, never on it.",
    "compare.time": "Another time: {later} was read {apart} later. Salt may have come or gone since.",
    "compare.time_unknown": "A time is not written, so nobody can tell what happened between.",
    "compare.recleaned": "Cleaned between the two: {method}.",
    "compare.stage": "Another stage of the work: {of_a} ({a}) and {of_b} ({b}).",
    "compare.procedure": "Done differently, and no formula holds it: {what}.",
    "compare.tester": "Other hands: how the patch sits and how the water is moved differs from tester to tester.",
    "compare.scatter_known": "Scatter from spot to spot, standard deviation {scatter}: counted in. No spot can be tested twice, so what varies over the steel is inside it.",
    "compare.scatter_unknown": "Scatter from spot to spot is not known here and not counted in. Where earlier tests side by side tell it, have their standard deviation written into the job file, in its part for history. No spot can be tested twice, so what varies over the steel is inside it.",
}


class _Texts(dict):
    def __missing__(self, key: str) -> str:
        return f"[{key}]"


def message(code: str, params: Mapping[str, Any]) -> str:
    """The English sentence of a finding or reason."""
    words = {key: str(value).replace("_", " ") if key in OUR_NAMES else when(str(value)) if key in MOMENTS else str(value) for key, value in params.items()}
    return MESSAGES[code].format_map(_Texts({key: word.replace("-", " ") for key, word in words.items()} if code in OF_CHOICES else words))


MOMENTS = ("at", "since", "until", "started", "read")  # parameters that hold a time
OUR_NAMES = ("name", "facts", "input", "quantity")  # parameters that hold names of facts and quantities; another may be an id, which stays as it was written


OF_CHOICES = ("species.titrant_differs",)  # whose parameters are choices of a method, such as silver-nitrate


SENSE_WORDS = {"at-most": "at most", "below": "below", "at-least": "at least", "": "sense not agreed,"}
JUDGED_WORDS = {"each": "each result", "mean": "the mean", "each-and-mean": "each result", "": "results (each or mean not agreed)"}


def asked(row: Mapping[str, Any]) -> str:
    """What one requirement asks, in one line."""
    sense = SENSE_WORDS[row.get("sense", "")]
    limit = _typed(row["limit"]) if "limit" in row else "no limit agreed"
    mean = ""
    if row.get("judged") == "each-and-mean":
        mean = f"; the mean {sense} {_typed(row['limit_mean'])}" if "limit_mean" in row else "; no limit agreed for the mean"
    return f"{row['words'] + ': ' if 'words' in row else ''}{JUDGED_WORDS[row.get('judged', '')]} {sense} {limit}{mean}"


def _typed(text: str) -> str:
    """A quantity as typed, its unit as people write it."""
    number, _, unit = text.strip().partition(" ")
    return f"{number}\u00a0{shown_unit(unit)}" if unit else number


VERDICT_WORDS = {"pass": "Pass", "accepted": "Accepted by agreed rule", "fail": "Fail", "inconclusive": "Inconclusive", "withheld": "Withheld"}


def kind_of(verdict: Mapping[str, Any]) -> str:
    """The word and mark of a verdict on a test, place, item or job: past the limit but accepted by the agreed rule never stands as a pass."""
    return "accepted" if verdict.get("accepted") else str(verdict["verdict"])


def verdict_sentence(row: Mapping[str, Any], *, sense: str) -> str:
    """One line on one verdict: the word, then value, limit, guard band or reason."""
    good = "over" if sense == "at-least" else "below"
    word = f"{row['comparison'].capitalize()} the limit, accepted by agreed rule" if row.get("accepted") else VERDICT_WORDS[row["verdict"]]
    reasons = [reason["message"] for reason in row["reasons"]]
    if "shown_limit" not in row:
        return f"{word}: {reasons[0]}" if reasons else word
    rounded = f", rounded to {row['shown_rounded']} as agreed," if "shown_rounded" in row else ""
    text = f"{row['shown_value']}{rounded} {_position(row, good)}"
    return f"{word}: {text}. {reasons[0]}" if reasons else f"{word}: {text}."


def _position(row: Mapping[str, Any], good: str) -> str:
    """Where the value lies: beside the limit, within the guard band, or clear of it."""
    side, limit = row.get("comparison", ""), row["shown_limit"]
    if not side:
        return f"does not decide against {limit}"
    plain = f"is {side} {limit}"
    if not row.get("guard_band") or row["verdict"] == "withheld" or row.get("bound"):
        return plain
    band, rule = row["shown_guard_band"], row["decision_rule"]
    if row["verdict"] == "inconclusive":
        return f"lies within the guard band of {band} around {limit}"
    clear = (row["verdict"] == "pass") == (side == good)
    if not clear:
        return f"{plain}, but not by the guard band of {band}"
    needs_band = rule == "three-way" or (rule == "guarded-acceptance") == (row["verdict"] == "pass")
    return f"{plain} by more than the guard band of {band}" if needs_band else plain


def item_sentence(row: Mapping[str, Any], unit: str) -> str:
    """One line on an item: the word and its count, or the reason."""
    counted, required = row["counted"], row.get("required")
    s = "" if (counted if required is None else required) == 1 else "s"
    of = f"{counted} {unit}{s}" if required is None else f"{counted} of {required} {unit}{s}"
    codes = {reason["code"] for reason in row["reasons"]}
    if row["verdict"] == "withheld" and codes <= {"count.missing", "count.planned"}:
        return f"Not yet, {of}"
    if row["verdict"] == "withheld" and codes == {"count.not_agreed"}:
        met = "met" if all(spot["verdict"] == "pass" for spot in row["spots"]) else "not met"
        where = f"at {counted} {unit}{'' if counted == 1 else 's'} tested"
        return f"Withheld: {met} {where}; number required not agreed" if counted else "Withheld: nothing tested; number required not agreed"
    if row["verdict"] == "withheld":
        return f"Withheld: {_first_reason(row)}" if row["reasons"] else "Withheld"
    mean = f"; the mean of {row['shown_value']} is {row['comparison']} {row['shown_limit']}" if "shown_limit" in row and row.get("comparison") else ""
    return f"{VERDICT_WORDS[kind_of(row)]}, {of}{mean}"


def _first_reason(row: Mapping[str, Any]) -> str:
    """What is wrong with the tests there are comes before what is not done yet."""
    first = min(row["reasons"], key=lambda reason: reason["code"].startswith("count."))
    return str(first["message"])


SUMMARY_FIRST = {
    "pass": "Everything judged met the requirement, by the agreed rule.",
    "accepted": "The agreed rule accepts everything judged, though not every result keeps its limit.",
    "fail": "At least one result does not meet the requirement, by the agreed rule.",
    "inconclusive": "Every result is in, but at least one lies too near its limit to say pass or fail with the agreed confidence.",
    "withheld": "No verdict can be given yet.",
}
SUMMARY_THEN = {
    "pass": "This holds for what was tested, at that time; it promises nothing about the rest or about the life of the coating.",
    "fail": "Keep the area back, find the cause, clean again and test the failed places and their neighbours once more.",
    "inconclusive": "Do next what was agreed for this case: {next}.",
    "withheld": "Still open: {missing}",
}
THEN_OF_SAMPLES = SUMMARY_THEN | {"fail": "Keep the lot or the water back, find the cause, and test again before it is used."}  # abrasive, waters
NEXT = {"retest": "test again beside the place", "reject": "treat it as a fail", "refer": "let the parties decide", "": "nothing was agreed, so ask the owner"}
NEXT_OF_SAMPLES = NEXT | {"retest": "test again, from a new sample"}


LACKING = {  # code of what a requirement leaves open -> what is missing
    "criterion.quantity_missing": "what is counted",
    "criterion.sense_missing": "whether a value may equal the limit",
    "criterion.limit_missing": "a limit",
    "criterion.limit_not_positive": "a limit that can be shown",
    "criterion.judged_missing": "whether each result or the mean is judged",
    "criterion.decision_rule_missing": "a decision rule",
    "criterion.guard_band_missing": "a guard band",
    "criterion.level_missing": "a level such as 95 %",
    "criterion.no_item": "an item that the requirement is for",
    "criterion.none": "a requirement to judge by",
}


def summary(verdict: str, items: Sequence[Mapping[str, Any]], lacking: Sequence[str] = ()) -> list[str]:
    """Two sentences for the customer: what was found, and what follows; `lacking` are the codes of what a job without any item to judge lacks."""
    kind = "accepted" if verdict == "pass" and any(row.get("accepted") for row in items) else verdict
    bad = [row for row in items if kind_of(row) == kind]
    named = "; ".join(dict.fromkeys(f"{row['name']}: {row['shown'][0].lower()}{row['shown'][1:]}" for row in bad))
    first = SUMMARY_FIRST[kind] + (f" {named}." if named and verdict != "pass" else "")
    missing = [_first_reason(row) for row in bad if row["reasons"]]
    samples = bool(bad) and all(row["by"] == "test" for row in bad)
    agreed = str(bad[0].get("on_inconclusive", "")) if bad else ""
    then = (THEN_OF_SAMPLES if samples else SUMMARY_THEN)[verdict].format(
        next=(NEXT_OF_SAMPLES if samples else NEXT)[agreed],
        missing=missing[0] if missing else ", ".join(LACKING[code] for code in lacking or ["criterion.none"]) + ".",
    )
    return [first.replace("..", "."), then]


# Compare: the headline, one sentence a step, and the why.

COMPARED = {"yes": "They differ.", "not-shown": "A difference is not shown.", "not-comparable": "They cannot be compared."}
STEPS = {
    "quantity": "Said as {new} in place of {old}",
    "reference_temperature": "Referred to {new} in place of {old}",
    "temperature_law": "With another temperature law, {new} in place of {old}",
    "constant": "With the constant {new} in place of {old}",
    "blank_rule": "With the blank {new} in place of {old}",
    "blank": "With the blank {new} in place of {old}",
    "volume": "With the water of {towards}, {new}, in place of {old}",
    "area": "With the area of {towards}, {new}, in place of {old}",
    "portion": "With the portion of {towards}, {new}, in place of {old}",
    "reading": "With what {towards} read, {new}, in place of {old}",
    "method": "By the method of {towards}, {new}, in place of {old}; this step cannot be split",
}
OPEN_FROM = {
    "budget": "Together they are known to ±\u00a0{open} (95\u00a0%; what they share counts once)",
    "history": "Together, with the scatter from spot to spot, they are known to ±\u00a0{open} (95\u00a0%)",
    "method": "By the published figure of the method, the two together are known to ±\u00a0{open} (95\u00a0%)",
}


def read_sentence(sides: Sequence[Mapping[str, Any]]) -> str:
    """What each of the two read."""
    read = [f"{side['test']} read {side['read']}" for side in sides if "read" in side]
    return f"{' and '.join(dict.fromkeys(read))}." if read else ""


def step_sentence(change: str, *, old: str, new: str, towards: str, difference: str) -> str:
    """One step from one result to the other: what is taken over, and what it adds or takes off."""
    amount = difference.lstrip("+\u2212")
    changes = any(digit in "123456789" for digit in amount.split("\u00a0")[0])
    effect = f"{'takes off' if difference.startswith(chr(0x2212)) else 'adds'} {amount}" if changes else "changes nothing that shows"
    return f"{STEPS[change].format(old=old, new=new, towards=towards)}: {effect}."


def compared(differ: str, *, apart: str, open: str, source: str, bound: str, one_test: bool) -> str:
    """Why two tests are said to differ or not: how far apart on one basis, and how well that is known."""
    if one_test:
        return "It is one test, so nothing can part it from itself."
    known = OPEN_FROM[source].format(open=open)
    if bound and differ == "yes":
        return f"One is only known as {bound}. {known}. On one basis they lie further apart than that, so they differ."
    if bound:
        return f"One is only known as {bound}. {known}. On one basis the other may be the same amount, or lies no further off than that."
    text = f"On one basis the two differ by {apart}. {known}, "
    if differ == "yes":
        return text + "and they are further apart than that, so they differ. It does not say who is right: the places may truly differ."
    return text + "so no difference is shown. That does not make them equal."


def what_if(*, test: str, old: str, new: str, shown: str, factor: str, more: bool, follows: str) -> str:
    """What a result would be with another volume written, and what that would mean for the two."""
    size = f", {factor} times {'as much' if more else 'less'}" if factor else ""
    then = {
        "agree": " Then a difference would not be shown: find out which volume is right.",
        "part": " Then they would differ: the volume is what makes them agree.",
        "": "",
    }
    return f"If {test} had {new} in place of {old}, it would be {shown}{size}.{then[follows]}"


# Release: one line a place, one for the job.


def place_line(row: Mapping[str, Any]) -> str:
    """Released, by whom; or not, because of the first thing that blocks."""
    if not row["released"]:
        more = len(row["blocks"]) - 1
        return f"Not released: {_first_sentence(row['blocks'][0]['message'])}" + (f" ({more} more)" if more else "")
    last = row["tests"][-1]
    value = f" with {last['shown']}" if "shown" in last else ""
    by = f", released by {row['released_by']['who']}" if "released_by" in row else ""
    how = "is accepted by agreed rule" if last.get("accepted") else "passes"
    return f"Released: {last['test']} {how}{value}{by}."


def _first_sentence(text: str) -> str:
    return text.split(". ")[0].removesuffix(".") + "."


def release_line(places: Sequence[Mapping[str, Any]], blocked: Sequence[Mapping[str, Any]]) -> str:
    """Released or not released, because."""
    if not places:
        return "Nothing failed, so nothing waits for release."
    if not blocked:
        return f"Released: {'what failed passes' if len(places) == 1 else f'all {len(places)} that failed pass'} now, and nothing blocks."
    return f"Not released: {len(blocked)} of {len(places)} still blocked. Next, {blocked[0]['place']}: {_first_sentence(blocked[0]['blocks'][0]['message'])}"
