"""Lines broken to their room: nothing lost, nothing wider than it may be."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cutopt.draw.lines import line_of, name_lines, wrap_facts, wrap_line
from cutopt.draw.scene import Style
from cutopt.draw.typeset import as_text, line_width
from cutopt.units import Units, inches

WORDS = st.text(st.characters(codec="utf-8", categories=("Lu", "Ll", "Nd")), min_size=1)


@given(st.lists(WORDS, min_size=1, max_size=12), st.floats(40, 300))
def test_wrapped_words_are_all_there_and_fit(words, room):
    lines = wrap_line(" ".join(words), 9.0, room)
    assert "".join(as_text(line, Units.INCH) for line in lines).replace(" ", "") == "".join(words)
    assert all(line_width(line, 9.0) <= room for line in lines)


def test_lengths_stay_with_their_words():
    phrase = ("not the same as Shelf, ", inches(0, 1, 8), " shorter")
    lines = wrap_line(line_of(phrase, Units.INCH), 9.0, 100)
    assert len(lines) == 2
    assert as_text(lines[1], Units.INCH).endswith("shorter")


def test_inches_carry_their_sign_and_millimetres_one_unit_a_size():
    phrase = ("cut ", inches(78), " × ", inches(15), ", then band")
    assert as_text(line_of(phrase, Units.INCH), Units.INCH) == 'cut 78" × 15", then band'
    assert as_text(line_of(phrase, Units.MM), Units.MM) == "cut 1981.2 × 381 mm, then band"


def test_facts_break_between_facts_first():
    lines = wrap_facts(["birch ply", "band front", "grain along"], 9.0, 100)
    assert [as_text(line, Units.INCH) for line in lines] == [
        "birch ply   band front",
        "grain along",
    ]


def test_a_name_takes_a_second_line_only_where_small_type_does_not_help():
    assert name_lines("Shelf", 12.0, 9.0, 100) == (("Shelf",), 12.0)
    lines, size = name_lines("W" * 40, 12.0, 9.0, 120)
    assert size == 9.0
    assert len(lines) > 1
    assert all(line_width(line, size, Style.BOLD) <= 120 for line in lines)
