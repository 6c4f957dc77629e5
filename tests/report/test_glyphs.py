# SPDX-License-Identifier: MIT
"""What cannot be set is named, never an empty box, never a crash."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackish.report.glyphs import FONTS, Typesetter, settable


@pytest.fixture
def setter() -> Typesetter:
    return Typesetter(settable())


@pytest.mark.parametrize(
    "text", ["µS/cm, 50 mg/m², ± 1.9, 5 kg·m⁻²·S⁻¹, ≤ ≥ √ ∞ − × ÷ →", "Åse Þórsdóttir, Łódź, Ηλέκτρα, Соль", "ความเค็มบนเหล็ก ๑๒๓", "Tiếng Việt"]
)
def test_scripts_of_the_package_are_set_as_written(setter: Typesetter, text: str) -> None:
    assert setter.text(text) == text
    assert setter.missing == set()


def test_character_without_a_glyph_is_named_by_its_code(setter: Typesetter) -> None:
    assert setter.text("steel 鋼 and 腹板中间") == "steel [U+92FC] and [U+8179 and 3 more characters]"
    assert "U+92FC CJK UNIFIED IDEOGRAPH-92FC" in setter.missing_named()


@pytest.mark.parametrize("character", ["\u202e", "\u0000", "\u0007", "\ue000", "\ud800", "\u2066", "\ufeff"])
def test_control_private_and_override_characters_are_shown_not_obeyed(setter: Typesetter, character: str) -> None:
    assert setter.text(f"a{character}b") == f"a[U+{ord(character):04X}]b"


def test_nothing_a_person_writes_can_look_like_the_seal(setter: Typesetter) -> None:
    assert "seal-sha256-" not in setter.text("seal-sha256-" + "0" * 64)


def test_word_longer_than_a_line_may_be_broken(setter: Typesetter) -> None:
    assert setter.text("x" * 100).count("\u200b") == 2


def test_coverage_agrees_with_the_fonts_own_block_list() -> None:
    """Facts of the character sets, seen with fonttools 4.68 `getBestCmap` on the five files: 3294 code points."""
    covered = settable()
    assert len(covered) == 3294
    assert {0x41, 0xB5, 0xB2, 0x3A9, 0x416, 0xE01, 0x2264} <= covered
    assert not {0x4E2D, 0x5D0, 0x627, 0x1F30A} & covered


def test_fonts_of_another_folder_are_used(tmp_path: Path) -> None:
    (tmp_path / "more.ttf").write_bytes((FONTS / "NotoSansThai-Regular.ttf").read_bytes())
    assert 0xE01 in settable((tmp_path,))
    assert 0x416 not in settable((tmp_path,))


def test_licence_stands_beside_the_fonts() -> None:
    assert "SIL OPEN FONT LICENSE" in (FONTS / "OFL.txt").read_text("utf-8")
