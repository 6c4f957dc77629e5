# SPDX-License-Identifier: MIT
"""Normalising, figures, standards: the small parts, each against spellings seen in pasted text."""

from fractions import Fraction

import pytest

from brackish.library.counting import read_rule
from brackish.prepare.clause import counts, figures, standards
from brackish.prepare.clause.normalise import normalise


def found(text):
    plain = normalise(text)
    cited = standards.find(plain, 0, len(plain.low))
    taken = [(one.start, one.end) for one in cited]
    comma = figures.uses_comma_decimals(plain.low)
    return plain, figures.find(plain, 0, len(plain.low), comma_decimals=comma, taken=taken), cited


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("50 mg/m²", "mg/m2"), ("50mg/m2", "mg/m2"), ("50 mg/m 2", "mg/m2"), ("50 mg/m^2", "mg/m2"), ("50 mg·m⁻²", "mg/m2"), ("50 mg m-2", "mg/m2"), ("50 MG/SQM", "mg/m2"),
        ("50 milligrams per square metre", "mg/m2"), ("50 mg per square meter", "mg/m2"), ("50 mg NaCl/m2", "mg/m2"), ("50 µg/cm²", "ug/cm2"), ("50 μg/cm2", "ug/cm2"),
        ("50 ug/sq cm", "ug/cm2"), ("50 mcg/cm2", "ug/cm2"), ("50 micrograms per square centimeter", "ug/cm2"), ("50 µg Cl-/cm²", "ug/cm2"), ("50 µS/cm", "uS/cm"),
        ("50 uS / cm", "uS/cm"), ("50 US/CM", "uS/cm"), ("50 microsiemens per centimetre", "uS/cm"), ("50 µS·cm⁻¹", "uS/cm"), ("50 mS/m", "mS/m"), ("50 millisiemens per metre", "mS/m"),
        ("50 micromhos/cm", "umho/cm"), ("50 µS/cm²", "uS/cm2"), ("50 ug/cm", "ug/cm"), ("50 ppm", "ppm"), ("50 parts per million", "ppm"), ("50 mg/l", "mg/L"),
        ("50 milligrams per litre", "mg/L"), ("50 mg/kg", "mg/kg"), ("50 percent", "%"), ("50 mg/dm2", "mg/dm2"), ("50 ㎎/㎡", "mg/m2"),
    ],
)  # fmt: skip
def test_every_spelling_of_a_unit(text, unit):
    _, figs, _ = found(text)
    assert [(one.digits, one.unit) for one in figs] == [("50", unit)]


@pytest.mark.parametrize(
    ("text", "digits"),
    [
        ("0,0025 %", "0.0025"), ("0.0025 %", "0.0025"), ("1,000 µS/cm", "1000"), ("1 000 µS/cm", "1000"), ("1'000 µS/cm", "1000"), (".5 mg/m2", "0.5"), ("7,5 mg/m2", "7.5"),
        ("fifty mg/m2", "50"), ("twenty-five mg/m2", "25"), ("one hundred mg/m2", "100"), ("one thousand two hundred mg/m2", "1200"), ("fifty (50) mg/m2", "50"), ("50.0 mg/m2", "50.0"),
    ],
)  # fmt: skip
def test_numbers_as_people_write_them(text, digits):
    _, figs, _ = found(text)
    assert [one.digits for one in figs] == [digits]
    assert figs[0].value == Fraction(digits)


def test_a_point_is_a_thousand_where_commas_are_decimals():
    _, figs, _ = found("1.000 µS/cm bei 0,5 mm Profil")
    assert figs[0].digits == "1000"


def test_the_number_of_a_standard_is_never_a_figure():
    _, figs, cited = found("to ISO 8502-9 100 mg/m2 and ISO 8502-6, 25 °C")
    assert [one.text for one in figs] == ["100 mg/m2", "25 degC"]
    assert [one.text for one in cited] == ["ISO 8502-9", "ISO 8502-6"]


def test_a_range_keeps_both_ends_and_a_list_both_members():
    _, figs, _ = found("between 5 and 10 µg/cm2; 20 to 30 mg/m2; 30 / 70 µS/cm")
    assert [(one.text, one.lower) for one in figs] == [("10 ug/cm2", "5"), ("30 mg/m2", "20"), ("30 uS/cm", ""), ("70 uS/cm", "")]


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("ISO 8502-6 and ISO 8502-9", ["ISO 8502-6", "ISO 8502-9"]), ("ISO 8502-6/-9", ["ISO 8502-6", "ISO 8502-9"]), ("ISO 8502 parts 6 and 9", ["ISO 8502-6", "ISO 8502-9"]),
        ("BS EN ISO 8502-6:2006", ["ISO 8502-6:2006"]), ("ISO8502-9 (1998)", ["ISO 8502-9:1998"]), ("EN ISO 11127-6", ["ISO 11127-6"]), ("ASTM D 4940-98", ["ASTM D4940:1998"]),
        ("SSPC-AB 2", ["SSPC-AB"]), ("NACE SP0508", ["NACE SP0508"]), ("ISO 8502-2, -5 and -10", ["ISO 8502-2", "ISO 8502-5", "ISO 8502-10"]), ("8502-9", ["ISO 8502-9"]),
    ],
)  # fmt: skip
def test_standards_as_they_are_cited(text, names):
    assert [one.text for one in found(text)[2]] == names


def test_spans_lead_back_to_the_pasted_characters():
    text = "\ufeffSalts\u00a0≤\u200950\u202fmg/m²\u200b (as NaCl), Oberﬂäche conduc-\ntivity 5 µS·cm⁻¹"
    plain, figs, _ = found(text)
    assert [text[slice(*plain.span(one.start, one.end))] for one in figs] == ["50\u202fmg/m²", "5 µS·cm⁻¹"]
    start = plain.low.index("conductivity")
    assert text[slice(*plain.span(start, start + 12))] == "conduc-\ntivity"


@pytest.mark.parametrize(
    ("sentence", "rule"),
    [
        ("One test per 100 m2, minimum three tests.", "1 per 100 m2, at least 3"),
        ("1 test per 50 m2 (min. 3)", "1 per 50 m2, at least 3"),
        ("One test per 100 m2, but at least three (3) tests.", "1 per 100 m2, at least 3"),
        ("One test per 100 m2 with a minimum of 3 per item.", "1 per 100 m2, at least 3"),
        ("One test for every 100 m2 or part thereof, subject to a minimum of four.", "1 per 100 m2, at least 4"),
        ("Three tests for the first 100 m2 and one for each additional 200 m2, but not fewer than 5.", "3 for the first 100 m2, then 1 per 200 m2, at least 5"),
        # what stands behind the rule is about something else
        ("One test for each 100 m2, and at least two tests shall be made on welds.", "1 per 100 m2"),
        ("One test for each 100 m2, and at least two (2) tests shall be made on welds.", "1 per 100 m2"),
        ("One per 100 m2; at least 10 % at welds.", "1 per 100 m2"),
        ("One test per 100 m2, at least 30 minutes apart.", "1 per 100 m2"),
        ("One test per 100 m2 and at least 2 of them on welds.", "1 per 100 m2"),
    ],
)
def test_smallest_number_behind_a_rule_by_area_belongs_to_it(sentence, rule):
    read = counts.find(sentence.lower(), 0, len(sentence))
    assert read is not None
    assert read.text == rule
    assert read_rule(read.text).text == rule
