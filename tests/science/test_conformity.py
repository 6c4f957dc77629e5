# SPDX-License-Identifier: MIT
"""What must hold of every rule, sense and limit; the single verdicts are in tests/evidence/conformity.toml."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError
from brackish.quantities import DIMENSIONS, convert
from brackish.science.conformity import RULES, SENSES, acceptance_limit, compare, decide, decide_bound, guard_band, probability_over, rejection_limit
from tests.examples import examples

thorough = examples(300)
RULE, SENSE = st.sampled_from(sorted(RULES)), st.sampled_from(SENSES)
AMOUNT, BAND = st.floats(0.0, 200.0), st.one_of(st.just(0.0), st.floats(0.01, 20.0))
WORST_FIRST = {"fail": 0, "inconclusive": 1, "pass": 2}


@thorough
@given(RULE, SENSE, AMOUNT, AMOUNT, AMOUNT, BAND)
def test_worse_result_never_has_a_better_verdict(rule, sense, one, other, limit, band):
    worse, better = sorted((one, other), reverse=sense != "at-least")
    verdicts = [decide(rule=rule, sense=sense, value=value, limit=limit, guard_band=band) for value in (worse, better)]
    assert WORST_FIRST[verdicts[0]] <= WORST_FIRST[verdicts[1]]


@thorough
@given(AMOUNT, AMOUNT, BAND, SENSE)
def test_rules_stand_in_order_of_strictness(value, limit, band, sense):
    verdict = {rule: decide(rule=rule, sense=sense, value=value, limit=limit, guard_band=band) for rule in RULES}
    ranks = [WORST_FIRST[verdict[rule]] for rule in ("guarded-acceptance", "simple-acceptance", "guarded-rejection")]
    assert ranks == sorted(ranks)
    assert (verdict["three-way"] == "pass") == (verdict["guarded-acceptance"] == "pass")
    assert (verdict["three-way"] == "fail") == (verdict["guarded-rejection"] == "fail")


@thorough
@given(RULE, SENSE, AMOUNT, AMOUNT)
def test_without_guard_band_every_rule_is_simple_acceptance(rule, sense, value, limit):
    assert decide(rule=rule, sense=sense, value=value, limit=limit) == decide(rule="simple-acceptance", sense=sense, value=value, limit=limit)


@thorough
@given(RULE, AMOUNT, AMOUNT, BAND)
def test_at_least_is_the_mirror_of_at_most(rule, value, limit, band):
    mirrored = decide(rule=rule, sense="at-least", value=-value, limit=-limit, guard_band=band)
    assert mirrored == decide(rule=rule, sense="at-most", value=value, limit=limit, guard_band=band)


@thorough
@given(RULE, SENSE, st.sampled_from("<>"), AMOUNT, AMOUNT, BAND, st.floats(0.0, 60.0))
def test_verdict_on_a_bound_holds_for_every_reading_it_stands_for(rule, sense, bound, value, limit, band, beyond):
    verdict = decide_bound(rule=rule, sense=sense, bound=bound, value=value, limit=limit, guard_band=band)
    reading = value + (1e-9 + beyond) * (1.0 if bound == ">" else -1.0) * max(1.0, value)
    if verdict != "withheld":
        assert decide(rule=rule, sense=sense, value=reading, limit=limit, guard_band=band) == verdict


@thorough
@given(RULE, SENSE, AMOUNT, BAND)
def test_result_at_the_acceptance_limit_passes_unless_below_is_asked(rule, sense, limit, band):
    edge = acceptance_limit(rule=rule, sense=sense, limit=limit, guard_band=band)
    assert (decide(rule=rule, sense=sense, value=edge, limit=limit, guard_band=band) == "pass") == (sense != "below")
    beyond = rejection_limit(rule=rule, sense=sense, limit=limit, guard_band=band)
    assert (decide(rule=rule, sense=sense, value=beyond, limit=limit, guard_band=band) == "fail") == (sense == "below")


@thorough
@given(st.decimals(0, 500, places=2), st.sampled_from(["mg/m2", "ug/cm2", "g/m2", "mg/dm2"]), st.integers(-2, 2))
def test_limit_typed_in_another_unit_is_still_at_the_limit(limit, unit, hundredths):
    exact = convert(value=Fraction(limit), unit="mg/m2", to=unit, dimension="amount_per_area")
    typed = float(convert(value=Fraction(float(exact)), unit=unit, to=DIMENSIONS["amount_per_area"].inside, dimension="amount_per_area"))
    assert compare(value=typed + hundredths * 0.01, limit=float(limit)) == {-1: "below", 0: "at", 1: "over"}[(hundredths > 0) - (hundredths < 0)]


@thorough
@given(AMOUNT, AMOUNT, st.floats(0.01, 20.0), st.one_of(st.none(), st.floats(1.0, 100.0)))
def test_chance_of_being_over_grows_with_the_value(value, limit, u, degrees_of_freedom):
    def chance(at):
        return probability_over(value=at, limit=limit, standard_uncertainty=u, degrees_of_freedom=degrees_of_freedom)

    assert 0.0 <= chance(value) <= chance(value + u) <= 1.0
    assert (chance(value) > 0.5) == (value > limit) or abs(value - limit) < 1e-9 * u + 1e-12
    assert chance(limit + u) == pytest.approx(1.0 - chance(limit - u), abs=1e-12)


@thorough
@given(st.floats(0.01, 20.0), st.floats(1.0, 300.0), st.floats(0.6, 0.999))
def test_result_at_the_guarded_limit_is_over_with_the_chance_the_band_was_made_for(u, degrees_of_freedom, level):
    for kind, wrong in (("two-sided", 0.5 * (1.0 - level)), ("one-sided", 1.0 - level)):
        band = guard_band(kind=kind, standard_uncertainty=u, degrees_of_freedom=degrees_of_freedom, level=level)
        chance = probability_over(value=50.0 - band, limit=50.0, standard_uncertainty=u, degrees_of_freedom=degrees_of_freedom)
        assert chance == pytest.approx(wrong, rel=1e-9)


@pytest.mark.parametrize(
    "wrong", [{"rule": "lenient"}, {"sense": "over"}, {"guard_band": -1.0}, {"guard_band": float("nan")}, {"value": float("inf")}, {"limit": float("nan")}]
)
def test_words_and_numbers_that_mean_nothing_are_refused(wrong):
    given = {"rule": "three-way", "sense": "at-most", "value": 40.0, "limit": 50.0, "guard_band": 5.0, **wrong}
    with pytest.raises(InputError):
        decide(**given)
    with pytest.raises(InputError):
        decide_bound(bound="<", **given)


def test_bound_without_direction_is_refused():
    with pytest.raises(InputError):
        decide_bound(rule="three-way", sense="at-most", bound="~", value=40.0, limit=50.0)
