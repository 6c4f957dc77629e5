# SPDX-License-Identifier: MIT
"""What tests, certificates and weather say about each other.

Sizes are exact arithmetic or the NaCl curve; that chloride cannot exceed what the conductivity of the
same extract allows is conservation of charge, not a rule of ours.
"""

from __future__ import annotations

import brackish
from tests.judge.jobs import job, with_tests


def tube(reading: str, *, extract: str = "E1", location: str = "L1", method: str = "extract-chloride-tube") -> dict:
    area = "extraction_area" if method == "extract-chloride-tube" else "sleeve_area"
    facts = {area: "1250 mm2", "solution_volume": "10.0 mL", "reading": [reading], "liquid_lost": False, "dwell": "2 min"}
    if method == "extract-chloride-tube":
        del facts["liquid_lost"], facts["dwell"]
    return {"id": "C1", "item": "girder", "location": location, "method": method, "stage": "after-blasting", "extract": extract, "facts": facts}


def with_tube(row: dict) -> dict:
    document = with_tests(job(test__extract="E1"))
    document["test"].append(row)
    return document


def codes(outcome: dict, test: str) -> set[str]:
    return {finding["code"] for row in outcome["tests"] if row["id"] == test for finding in row["findings"]}


def test_chloride_over_what_the_extract_conducts_withholds_both():
    # 7.9 µS/cm allows 2.2 mg/L of chloride (NaCl); 4 mg/L cannot be
    outcome = brackish.evaluate(with_tube(tube("4.0 mg/L"))).to_dict()
    assert "consistency.chloride_over_total" in codes(outcome, "T1") & codes(outcome, "C1")
    assert outcome["tests"][0]["verdicts"][0]["verdict"] == "withheld"
    assert "consistency.chloride_over_total" in {reason["code"] for reason in outcome["tests"][0]["verdicts"][0]["reasons"]}


def test_chloride_within_what_the_extract_conducts_is_silent():
    outcome = brackish.evaluate(with_tube(tube("2.0 mg/L"))).to_dict()
    assert not {code for code in codes(outcome, "T1") | codes(outcome, "C1") if code.startswith("consistency.")}
    assert outcome["tests"][0]["verdicts"][0]["verdict"] == "pass"


def test_chloride_bound_reading_never_contradicts():
    outcome = brackish.evaluate(with_tube(tube("<5 mg/L"))).to_dict()
    assert "consistency.chloride_over_total" not in codes(outcome, "T1")


def test_chloride_of_an_acid_sleeve_beside_it_is_a_note_with_its_size():
    outcome = brackish.evaluate(with_tube(tube("6.0 mg/L", extract="E2", method="sleeve-chloride-tube"))).to_dict()
    assert "consistency.chloride_near_total" in codes(outcome, "C1")
    assert outcome["tests"][0]["verdicts"][0]["verdict"] == "pass"


def test_one_extract_with_two_volumes_is_noted():
    row = tube("2.0 mg/L")
    row["facts"]["solution_volume"] = "3.0 mL"
    outcome = brackish.evaluate(with_tube(row)).to_dict()
    assert "consistency.extract_volume" in codes(outcome, "T1") & codes(outcome, "C1")


def abrasive(certificate: dict, **item: str) -> dict:
    document = job(
        criterion__applies_to="abrasive",
        criterion__quantity="abrasive_conductivity_by_mass",
        criterion__limit="25 mS/m",
        criterion__condition="new",
        criterion__decision_rule="simple-acceptance",
        criterion__stage=None,
        criterion__count=None,
        item__kind="abrasive",
        item__area=None,
        item__lot="G-77",
        item__condition="new",
        test__method="abrasive-conductivity",
        test__location=None,
        test__blank=None,
    )
    document["item"][0] |= item
    document["location"], document["test"][0]["facts"] = [], {}
    portion = {"mass": "100 g", "water_volume": "100 mL", "temperature": "25 degC"}
    document["test"][0]["determination"] = [{**portion, "reading": ["98 uS/cm"]}, {**portion, "reading": ["102 uS/cm"]}]
    document["certificate"] = [{"item": "girder", "document": "GC-1", "lot": "G-77", "issued": "2026-02-20", **certificate}]
    return document


def certificate_codes(certificate: dict, **item: str) -> set[str]:
    return {code for code in codes(brackish.evaluate(abrasive(certificate, **item)).to_dict(), "T1") if code.startswith("certificate.")}


DECLARED = {"quantity": "abrasive_conductivity_by_mass", "value": "10.0 mS/m"}


def test_certificate_that_agrees_says_so():
    assert certificate_codes(DECLARED) == {"certificate.agrees"}


def test_certificate_value_in_another_unit_is_the_same_value():
    assert certificate_codes({**DECLARED, "value": "100 uS/cm"}) == {"certificate.agrees"}


def test_certificate_value_far_from_the_test_differs():
    assert certificate_codes({**DECLARED, "value": "5.0 mS/m"}) == {"certificate.differs"}


def test_certificate_by_volume_never_compares_with_a_test_by_mass():
    assert certificate_codes({"quantity": "abrasive_conductivity_by_volume", "value": "100 uS/cm"}) == {"certificate.other_basis"}


def test_certificate_in_a_unit_of_something_else_is_named():
    assert certificate_codes({**DECLARED, "value": "25 mg/kg"}) == {"certificate.other_unit"}


def test_certificate_without_a_quantity_compares_with_nothing():
    assert certificate_codes({"value": "10.0 mS/m"}) == {"certificate.basis_missing"}


def test_certificate_of_another_lot_of_a_later_day_for_new_only():
    found = certificate_codes({**DECLARED, "lot": "G-78", "issued": "2026-04-01"}, condition="in-use")
    assert found >= {"certificate.other_lot", "certificate.after_test", "certificate.new_only"}


def test_limit_for_new_abrasive_says_when_nobody_wrote_whether_it_is():
    document = abrasive(DECLARED)
    del document["item"][0]["condition"]
    assert "criterion.condition_unknown" in codes(brackish.evaluate(document).to_dict(), "T1")


def test_steel_near_the_dew_point_is_noted():
    # 20 °C and 85 % have their dew point at 17.4 °C (ASHRAE by psychrolib): 18 °C steel is 0.6 K above it
    document = job()
    row = {"at": "2026-03-04T09:00:00+00:00", "air_temperature": "20 degC", "relative_humidity": "85 %", "surface_temperature": "18.0 degC"}
    document["conditions"] = [row]
    outcome = brackish.evaluate(document).to_dict()
    finding = next(each for each in outcome["tests"][0]["findings"] if each["code"] == "time.condensation")
    assert finding["params"]["given"] == "0.6\u00a0K"
    document["conditions"] = [{**row, "surface_temperature": "21.0 degC"}]
    assert "time.condensation" not in codes(brackish.evaluate(document).to_dict(), "T1")


def test_weather_written_before_midnight_counts_after_it_and_that_of_the_shift_before_does_not():
    document = job(test__started="2026-03-05T00:01:00+01:00", test__read_at="2026-03-05T00:10:00+01:00")
    row = {"at": "2026-03-04T22:50:00Z", "air_temperature": "20 degC", "relative_humidity": "85 %", "surface_temperature": "18.0 degC"}
    document["conditions"] = [row]
    assert "time.condensation" in codes(brackish.evaluate(document).to_dict(), "T1")
    document["conditions"] = [{**row, "at": "2026-03-04T11:00:00Z"}]
    assert "time.condensation" not in codes(brackish.evaluate(document).to_dict(), "T1")


def test_the_next_coat_follows_a_test_within_the_agreed_time():
    document = job(criterion__test_within="4 h", test__started="2026-03-04T09:05:00+01:00", test__read_at="2026-03-04T09:17:00+01:00")
    (found,) = (each for each in brackish.evaluate(document).to_dict()["tests"][0]["findings"] if each["code"].startswith("time."))
    assert found["params"] == {"allowed": "4 h", "until": "2026-03-04T13:17:00+01:00"} and found["severity"] == "note"
    assert found["message"] == "The next coat was agreed within 4 h of the test: by 4\u00a0March 2026, 13:17. If it comes later, test again."
    again = with_tests(document, {"id": "T2", "round": 2, "retest_of": "T1", "started": "2026-03-04T14:00:00+01:00", "read_at": "2026-03-04T14:12:00+01:00"})
    outcome = brackish.evaluate(again).to_dict()
    assert "time.coat_by" not in codes(outcome, "T1") and "time.coat_by" in codes(outcome, "T2")
    assert "time.coat_by" not in codes(brackish.evaluate(job(criterion__test_within="99999999 h")).to_dict(), "T1")
    assert "time.coat_by" not in codes(brackish.evaluate(job(criterion__test_within="4 h", facts__reading=["40.0 uS/cm"])).to_dict(), "T1")


def test_a_test_before_its_place_was_ready_is_noted():
    document = job(item__ready_at="2026-03-04T11:16:00+00:00")
    outcome = brackish.evaluate(document).to_dict()
    finding = next(each for each in outcome["tests"][0]["findings"] if each["code"] == "time.before_ready")
    assert finding["params"] == {"given": "2.2 h", "since": "2026-03-04T11:16:00+00:00"}
    retested = with_tests(document, {"id": "T2", "round": 2, "retest_of": "T1", "started": "2026-03-04T12:00:00+00:00", "read_at": "2026-03-04T12:12:00+00:00"})
    assert "time.before_ready" not in codes(brackish.evaluate(retested).to_dict(), "T1")
