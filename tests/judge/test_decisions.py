# SPDX-License-Identifier: MIT
"""Verdicts on single results: rules, senses, edges, bounds, missing fields, which uncertainty."""

from __future__ import annotations

import pytest

from tests.judge.jobs import job
from tests.judge.reading import budget, codes, findings, item, outcome, result, verdict

# 31.6 mg/m² exactly: 500 · 10 · (9.1 − 1.2)/1250
RULES = ("simple-acceptance", "guarded-acceptance", "guarded-rejection", "three-way")


def ruled(rule: str, limit: str, *, sense: str = "at-most", band: str = "2 mg/m2", **changes: object) -> dict:
    fields = {"quantity": "mixed_salt_per_area", "decision_rule": rule, "limit": limit, "sense": sense, "guard_band": band}
    return job(**{f"criterion__{name}": value for name, value in fields.items()}, **changes)


def decided(*arguments: str, **changes: object) -> tuple[str, str]:
    row = verdict(ruled(*arguments, **changes))
    return row["verdict"], row["comparison"]


# limit such that 31.6 is: well below, at limit − 2, between, at the limit, between, at limit + 2, well over
LIMITS = ("40", "33.6", "32", "31.6", "31", "29.6", "20")
AT_MOST = {
    "simple-acceptance": "pass pass pass pass fail fail fail",
    "guarded-acceptance": "pass pass fail fail fail fail fail",
    "guarded-rejection": "pass pass pass pass pass pass fail",
    "three-way": "pass pass inconclusive inconclusive inconclusive inconclusive fail",
}
BELOW = {
    "simple-acceptance": "pass pass pass fail fail fail fail",
    "guarded-acceptance": "pass fail fail fail fail fail fail",
    "guarded-rejection": "pass pass pass pass pass fail fail",
    "three-way": "pass inconclusive inconclusive inconclusive inconclusive fail fail",
}
AT_LEAST = {
    "simple-acceptance": "fail fail fail pass pass pass pass",
    "guarded-acceptance": "fail fail fail fail fail pass pass",
    "guarded-rejection": "fail pass pass pass pass pass pass",
    "three-way": "fail inconclusive inconclusive inconclusive inconclusive pass pass",
}


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize(("sense", "expected"), [("at-most", AT_MOST), ("below", BELOW), ("at-least", AT_LEAST)])
def test_each_rule_and_sense_at_and_between_the_edges(rule, sense, expected):
    found = [decided(rule, f"{limit} mg/m2", sense=sense)[0] for limit in LIMITS]
    assert found == expected[rule].split()


@pytest.mark.parametrize(
    ("rule", "sense", "edges"),
    [
        ("guarded-acceptance", "at-most", (38.0, 38.0)),
        ("guarded-rejection", "at-most", (42.0, 42.0)),
        ("three-way", "at-most", (38.0, 42.0)),
        ("guarded-acceptance", "at-least", (42.0, 42.0)),
        ("guarded-rejection", "at-least", (38.0, 38.0)),
        ("three-way", "at-least", (42.0, 38.0)),
    ],
)
def test_edges_are_where_the_rule_accepts_and_rejects(rule, sense, edges):
    row = verdict(ruled(rule, "40 mg/m2", sense=sense))
    assert (row["accepts_to"], row["rejects_from"]) == edges


def test_a_customer_is_told_the_guard_band_that_accepts_not_the_uncertainty():
    told = verdict(ruled("guarded-rejection", "31 mg/m2"))["sentences"][1]
    assert "past the limit by no more than 2\u00a0mg/m² is accepted" in told


def test_comparison_is_below_at_or_over():
    assert [decided("simple-acceptance", f"{limit} mg/m2")[1] for limit in ("40", "31.6", "20")] == ["below", "at", "over"]


def test_limit_typed_in_another_unit_is_the_same_edge():
    assert decided("simple-acceptance", "3.16 ug/cm2") == ("pass", "at")


def test_over_the_limit_under_guarded_rejection_is_accepted_by_rule():
    row = verdict(ruled("guarded-rejection", "31 mg/m2"))
    assert (row["verdict"], row["comparison"], row["accepted"]) == ("pass", "over", True)
    assert "accepted by agreed rule" in row["shown"]
    assert "accepted" not in verdict(ruled("guarded-rejection", "35 mg/m2"))


def test_what_is_only_accepted_never_stands_as_a_pass_on_test_place_item_or_job():
    given = ruled("guarded-rejection", "31 mg/m2")
    of_job, of_item, of_test = outcome(given)["job"], item(given), verdict(given)
    assert [each.get("accepted") for each in (of_test, *of_item["spots"], of_item, of_job)] == [True] * (3 + len(of_item["spots"]))
    assert of_item["shown"].startswith("Accepted by agreed rule") and "not every result keeps its limit" in of_job["summary"][0]


def test_a_value_at_a_limit_that_it_must_stay_below_is_only_accepted():
    row = verdict(ruled("guarded-rejection", "31.6 mg/m2", sense="below"))
    assert (row["verdict"], row["comparison"], row["accepted"]) == ("pass", "at", True)
    assert row["shown"].startswith("At the limit, accepted by agreed rule")


@pytest.mark.parametrize(("band", "factor"), [("two-sided", 1.9600), ("one-sided", 1.6449)])
def test_guard_band_is_the_coverage_at_the_level(band, factor):
    """Factors: normal quantiles at 97.5 and 95 %, any table; here no input has finite degrees of freedom."""
    document = ruled("three-way", "50 mg/m2", band=band)
    u = result(document, "mixed_salt_per_area")["standard_uncertainty"]
    assert verdict(document)["guard_band"] == pytest.approx(factor * u, rel=1e-4)


def test_guard_band_as_an_amount_stands_as_agreed():
    assert verdict(ruled("three-way", "50 mg/m2", band="0.5 ug/cm2"))["guard_band"] == pytest.approx(5.0)


def test_simple_acceptance_needs_neither_guard_band_nor_level():
    row = verdict(ruled("simple-acceptance", "50 mg/m2", criterion__level=None))
    assert row["verdict"] == "pass"
    assert "guard_band" not in row


@pytest.mark.parametrize("field", ["quantity", "sense", "limit", "judged", "decision_rule", "guard_band", "level"])
@pytest.mark.parametrize("band", ["two-sided", "2 mg/m2"])
def test_missing_field_withholds_and_names_itself(field, band):
    """A guarded rule asks for the level even with an agreed amount: read literally."""
    document = ruled("three-way", "50 mg/m2", band=band)
    del document["specification"][0]["criterion"][0][field]
    row = verdict(document)
    assert (row["verdict"], codes(row)) == ("withheld", [f"criterion.{field}_missing"])
    assert codes(item(document)) == [f"criterion.{field}_missing"]
    assert outcome(document)["job"]["verdict"] == "withheld"


def test_comparison_and_chance_stand_beside_a_withheld_verdict():
    row = verdict(job(criterion__decision_rule=None))
    assert (row["verdict"], row["comparison"]) == ("withheld", "below")
    assert row["shown_probability"] == "< 0.1\u00a0%"


@pytest.mark.parametrize(("limit", "shown"), [("50", "< 0.1\u00a0%"), ("31.6", "50\u00a0%"), ("10", "> 99.9\u00a0%")])
def test_chance_is_never_shown_as_0_or_100(limit, shown):
    assert verdict(ruled("simple-acceptance", f"{limit} mg/m2"))["shown_probability"] == shown


def test_chance_uses_students_t_where_degrees_of_freedom_are_finite():
    from scipy import stats

    document = ruled("simple-acceptance", "33 mg/m2", test__uncertainty={"reading": {"standard_uncertainty": "0.4 uS/cm", "degrees_of_freedom": 2}})
    row = result(document, "mixed_salt_per_area")
    expected = stats.t.cdf((row["value"] - 33.0) / row["standard_uncertainty"], row["degrees_of_freedom"])
    assert row["degrees_of_freedom"] < 10
    assert verdict(document)["probability_over_limit"] == pytest.approx(expected, rel=1e-9)


BOUNDS = [  # 30 uS/cm without blank are 500·10·30/1250 = 120 mg/m²; guard band 2 mg/m²
    ("simple-acceptance", "<", "120", "pass", "below"),
    ("simple-acceptance", "<", "119", "withheld", None),
    ("simple-acceptance", ">", "120", "fail", "over"),
    ("simple-acceptance", ">", "119", "fail", "over"),
    ("simple-acceptance", ">", "121", "withheld", None),
    ("guarded-acceptance", "<", "122", "pass", "below"),
    ("guarded-acceptance", "<", "121", "withheld", "below"),
    ("guarded-acceptance", ">", "121", "withheld", None),
    ("guarded-acceptance", ">", "119", "fail", "over"),
    ("three-way", "<", "122", "pass", "below"),
    ("three-way", "<", "121", "withheld", "below"),
    ("three-way", ">", "118", "fail", "over"),
    ("three-way", ">", "121", "withheld", None),
    ("guarded-rejection", "<", "118", "pass", None),
    ("guarded-rejection", "<", "117", "withheld", None),
    ("guarded-rejection", ">", "118", "fail", "over"),
    ("guarded-rejection", ">", "121", "withheld", None),
]


@pytest.mark.parametrize(("rule", "bound", "limit", "expected", "comparison"), BOUNDS)
def test_bound_under_each_rule(rule, bound, limit, expected, comparison):
    document = ruled(rule, f"{limit} mg/m2", criterion__blank_rule="none", facts__reading=[f"{bound}30 uS/cm"])
    row = verdict(document)
    assert (row["verdict"], row.get("comparison"), row["bound"]) == (expected, comparison, bound)
    assert codes(row) == (["range.bound_undecided"] if expected == "withheld" else [])
    assert result(document, "mixed_salt_per_area")["bound"] == bound
    assert "probability_over_limit" not in row


def test_bound_without_agreed_amount_takes_the_guard_band_of_a_reading_there():
    bound = ruled("three-way", "500 mg/m2", band="two-sided", criterion__blank_rule="none", facts__reading=["<30 uS/cm"])
    plain = ruled("three-way", "500 mg/m2", band="two-sided", criterion__blank_rule="none", facts__reading=["30 uS/cm"])
    assert verdict(bound)["guard_band"] == verdict(plain)["guard_band"] > 0.0


def test_bounds_that_contradict_give_no_result():
    document = ruled("simple-acceptance", "50 mg/m2", facts__reading=["<1 uS/cm", ">60 uS/cm"])
    assert codes(verdict(document)) == ["replicate.bounds_mixed"]
    assert "value" not in verdict(document)


@pytest.mark.parametrize(
    ("limit", "rounding", "expected"), [("31 mg/m2", "to-limit", "fail"), ("32 mg/m2", "to-limit", "pass"), ("31.55 mg/m2", "none", "fail")]
)
def test_rounding_to_the_decimals_of_the_limit(limit, rounding, expected):
    assert verdict(ruled("simple-acceptance", limit, criterion__rounding=rounding))["verdict"] == expected


@pytest.mark.parametrize("limit", ["32 mg/m2", "32mg/m2", "3.2 ug/cm2", "3.2ug/cm2"])
def test_rounding_goes_by_the_digits_of_the_limit_whatever_the_spacing(limit):
    document = ruled("simple-acceptance", limit, criterion__rounding="to-limit", facts__reading=["9.3 uS/cm"])
    assert result(document, "mixed_salt_per_area")["value"] == pytest.approx(32.4)
    assert (verdict(document)["verdict"], verdict(document)["comparison"]) == ("pass", "at")


def method_job(mode: str | None, reading: str = "9.1 uS/cm", **changes: object) -> dict:
    return ruled("three-way", "50 mg/m2", band="two-sided", criterion__uncertainty=mode, facts__reading=[reading], **changes)


def test_method_uncertainty_is_the_published_figure():
    """NACE SP0508: ± 8.2 mg/m², coverage taken as 95 %."""
    row = result(method_job("method"), "mixed_salt_per_area")
    assert row["standard_uncertainty"] == pytest.approx(8.2 / 1.96)
    assert row["degrees_of_freedom"] is None
    assert verdict(method_job("method"))["guard_band"] == pytest.approx(8.2, rel=1e-4)


@pytest.mark.parametrize(("reading", "inside"), [("8.7 uS/cm", True), ("8.6 uS/cm", False), ("21.2 uS/cm", True), ("21.3 uS/cm", False)])
def test_method_uncertainty_holds_from_30_to_80(reading, inside):
    document = method_job("method", reading)
    assert codes(verdict(document)) == ([] if inside else ["uncertainty.method_out_of_range"])
    larger = result(method_job("larger", reading), "mixed_salt_per_area")
    assert larger["basis"]["uncertainty_from"] == ("method" if inside else "budget")


def test_larger_takes_the_budget_where_that_is_larger():
    document = method_job("larger", test__uncertainty={"reading": {"standard_uncertainty": "3 uS/cm"}})
    assert result(document, "mixed_salt_per_area")["standard_uncertainty"] > 8.2 / 1.96


def test_uncertainty_nobody_agreed_is_the_larger_with_a_finding():
    document = method_job(None)
    assert result(document, "mixed_salt_per_area")["basis"]["uncertainty"] == "larger"
    assert "criterion.uncertainty_missing" in findings(document)


def test_uncertainty_nobody_agreed_needs_no_finding_where_no_guard_band_hangs_on_it():
    assert "criterion.uncertainty_missing" not in findings(ruled("simple-acceptance", "50 mg/m2", criterion__uncertainty=None))


def test_method_uncertainty_of_a_quantity_without_one_withholds():
    document = job(criterion__quantity="extract_conductivity", criterion__limit="50 uS/cm", criterion__uncertainty="method")
    assert codes(verdict(document)) == ["uncertainty.method_unknown"]


def test_coverage_uses_unrounded_degrees_of_freedom():
    from scipy import stats

    document = ruled("three-way", "50 mg/m2", test__uncertainty={"reading": {"standard_uncertainty": "0.4 uS/cm", "degrees_of_freedom": 2}})
    row = result(document, "mixed_salt_per_area")
    assert row["degrees_of_freedom"] % 1.0 > 0.001
    assert row["coverage_factor"] == pytest.approx(stats.t.ppf(0.975, row["degrees_of_freedom"]), rel=1e-9)


def test_results_for_each_reference_temperature_asked():
    document = ruled("simple-acceptance", "50 mg/m2")
    first = document["specification"][0]["criterion"][0]
    document["specification"][0]["criterion"].append({**first, "id": "at-20", "reference_temperature": "68 degF", "quantity": "nacl_equivalent_per_area"})
    rows = [(row["quantity"], row["basis"]["reference_temperature"]) for row in outcome(document)["tests"][0]["results"]]
    assert rows == [("mixed_salt_per_area", "25 degC"), ("nacl_equivalent_per_area", "20 degC"), ("mixed_salt_per_area", "20 degC")]


def test_criteria_that_ask_the_same_share_a_result():
    document = ruled("simple-acceptance", "50 mg/m2")
    first = document["specification"][0]["criterion"][0]
    document["specification"][0]["criterion"] += [
        {**first, "id": "again", "reference_temperature": "77 degF"},
        {**first, "id": "none", "reference_temperature": None},
    ]
    del document["specification"][0]["criterion"][2]["reference_temperature"]
    assert len(outcome(document)["tests"][0]["results"]) == 1
    assert len(outcome(document)["tests"][0]["verdicts"]) == 3


def test_patch_always_says_its_mixed_salt_amount():
    assert [row["quantity"] for row in outcome(job())["tests"][0]["results"]] == ["nacl_equivalent_per_area", "mixed_salt_per_area"]


@pytest.mark.parametrize("ph", ["4.4", "9.6"])
def test_ph_outside_the_gate_gives_no_salt_amount(ph):
    document = job(facts__ph=ph)
    assert outcome(document)["tests"][0]["results"] == []
    assert codes(verdict(document)) == ["range.ph"]
    assert findings(document)["range.ph"]["severity"] == "warning"


@pytest.mark.parametrize("ph", ["4.5", "6.8", "9.5"])
def test_ph_inside_the_gate_is_judged(ph):
    assert verdict(job(facts__ph=ph))["verdict"] == "pass"


def test_acid_extract_gives_no_salt_amount():
    document = job(facts__extraction_liquid="acid")
    assert codes(verdict(document)) == ["species.acid_extract"]
    assert outcome(document)["tests"][0]["results"] == []


def test_other_liquid_than_agreed_withholds():
    assert "species.other_liquid" in codes(verdict(job(criterion__extraction_liquid="acid")))


def test_chloride_bound_is_not_more_than_the_mixed_salts():
    document = job(criterion__quantity="chloride_bound_per_area", criterion__limit="5 ug/cm2")
    assert 0.0 < result(document, "chloride_bound_per_area")["value"] < 3.16
    assert budget(document, "electrolyte_model", "chloride_bound_per_area")["standard_uncertainty"] == 0.002


def test_value_judged_after_rounding_says_so():
    """50.4 mg/m² is not 'at 50 mg/m²': it was rounded to it, by agreement."""
    document = ruled("simple-acceptance", "50 mg/m2", criterion__rounding="to-limit", facts__reading=["13.8 uS/cm"])
    row = verdict(document)
    assert (row["value"], row["rounded"]) == (pytest.approx(50.4), 50.0)
    assert row["shown"].replace("\u00a0", " ") == "Pass: 50.4 mg/m², rounded to 50 mg/m² as agreed, is at 50 mg/m²."
    assert "rounded to 50 mg/m² as agreed; the contract allows at most" in row["sentences"][0].replace("\u00a0", " ")


@pytest.mark.parametrize("reading", ["<1.0 uS/cm", "1.0 uS/cm"])
def test_result_said_as_under_its_critical_value_is_not_said_to_be_rounded(reading):
    document = ruled("simple-acceptance", "50 mg/m2", criterion__rounding="to-limit", facts__reading=[reading])
    assert verdict(document)["shown"].replace("\u00a0", " ") == "Pass: < 0.3 mg/m² is below 50 mg/m²."


@pytest.mark.parametrize("limit", ["0 mg/m2", "0.0 ug/cm2", "-5 mg/m2"])
@pytest.mark.parametrize("reading", ["1.0 uS/cm", "9.1 uS/cm"])
def test_limit_of_nothing_can_neither_be_met_nor_missed(limit, reading):
    """Under it a blank a little high would pass and a clean place a little over would fail."""
    document = ruled("simple-acceptance", limit, facts__reading=[reading])
    assert codes(verdict(document)) == ["criterion.limit_not_positive"]
    assert codes(item(document)) == ["criterion.limit_not_positive"]


def test_small_uncertainty_is_never_said_to_be_nothing():
    """1.65 mg/m² within 2.4 %: ± 0.04, not ± 0.0."""
    document = ruled("three-way", "5 mg/m2", band="two-sided", facts__compartment_area="240 cm2")
    assert result(document, "mixed_salt_per_area")["shown_uncertainty"] == "±\u00a00.04\u00a0mg/m²"
    assert "by more than the guard band of 0.04\u00a0mg/m²" in verdict(document)["shown"]
