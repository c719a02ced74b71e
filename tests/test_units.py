"""Lengths: what builders write, what reads two ways, and what is printed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutopt.units import (
    LengthError,
    NoUnitError,
    Ticks,
    Units,
    format_length,
    has_metric_unit,
    inches,
    millimetres,
    parse_length,
    plain_text,
    prints_exactly,
    rounded,
    split_inches,
    to_mm,
)

INCH, MM = Units.INCH, Units.MM


# 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
@pytest.mark.parametrize(
    ("inch", "mm"),
    [("1", "25.4 mm"), ("1/64", "0.396875 mm"), ("12", "304.8mm"), ("1'", "30.48 cm")],
)
def test_an_inch_is_25_4_mm(inch, mm):
    assert parse_length(inch, INCH) == pytest.approx(parse_length(mm, INCH), abs=0)


@pytest.mark.parametrize(
    "text",
    [
        '23-1/2"', "23 1/2", "23½", "23 ½", "23-½", "23½″", "23.5in", "23.5 in.", "23.50",
        "1' 11-1/2\"", "1’ 11 ½”", "1′11½″", "1ft 11.5in", "1 foot 11-1/2 inches", "23–1/2",
        "23—1⁄2", "23¹⁄₂", "23 ¹/₂ in", "23\u00a01/2", "23\u2009½\u202f″", "23½''", "23 and 1/2",
        "596.9mm", "59.69 cm", "0,5969 m", "596,9 mm", "２３ 1/2", "\ufeff23½", "23 1 / 2",
    ],
)  # fmt: skip
def test_every_way_to_write_twenty_three_and_a_half(text):
    assert parse_length(text, INCH) == inches(23, 1, 2)


@pytest.mark.parametrize(
    ("text", "ticks"),
    [
        ("23⅛″", inches(23, 1, 8)),
        ("24¹⁄₂", inches(24, 1, 2)),
        ("⅞", inches(0, 7, 8)),
        ("⅟2", inches(0, 1, 2)),
        ("4' - 0\"", inches(48)),
        ("4ft 3in", inches(51)),
        ("8'", inches(96)),
        ("8 ft.", inches(96)),
        ("4-1/2 ft", inches(54)),
        ("8' 0''", inches(96)),
        ("4'6", inches(54)),
        (".5", inches(0, 1, 2)),
        ("597mm", millimetres(597)),
        ("59.7 cm", millimetres(597)),
        ("0.6 m", millimetres(600)),
        ("1200,5 mm", millimetres(1200.5)),
        ("2 metres", millimetres(2000)),
    ],
)
def test_lengths_in_an_inch_job(text, ticks):
    assert parse_length(text, INCH) == ticks


def test_the_feet_and_fraction_trap():
    """Four feet and seven eighths, not four and seven eighths of a foot."""
    assert parse_length("4' 7/8\"", INCH) == inches(48, 7, 8)


@pytest.mark.parametrize(
    ("text", "mm"),
    [("2440", 2440), ("387,5", 387.5), ("0,44", 0.44), ("3.175", 3.175), ('1/8"', 3.175)],
)
def test_lengths_in_a_metric_job(text, mm):
    assert parse_length(text, MM) == millimetres(mm)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2,440", "write 2440 or 2.440"),
        ("2,440 mm", "write 2440 or 2.440"),
        ("37/8", "write 3-7/8 or 4-5/8"),
        ("241⁄2", "write 120-1/2"),
        ("3-4/3", "write 4-1/3 or 3-3/4"),
        ("2 4/2", "write the whole number 4 or 2-2/4"),
        ("8/8", "the whole number 1"),
        ("5/4", "write 1-1/4"),
        ("25-7/8'", 'write 25-7/8" for inches'),
        ("½'", 'write 1/2" for inches'),
        ("1e3", "powers of ten"),
        ("2x4", "two measures"),
        ("2 × 4", "two measures"),
        ("", "a length is missing"),
        ("   ", "a length is missing"),
        ("-5", "cannot be negative"),
        ("−5 mm", "cannot be negative"),
        ("0", "0 is not a length here"),
        ("0 mm", "0 is not a length here"),
        ("12,5", "write 12.5"),
        ('12,5"', "write 12.5"),
        ("1 200", "without the space"),
        ("1' 14\"", "12 or more"),
        ("1.5' 3\"", "feet before inches are whole"),
        ("2.440,5", "more than one way"),
        ("3/0", "over 0"),
        ("2024-03-08", "into a date"),
        ("200 m", "longer than 100 m"),
        ("9" * 400, "too long"),
        *((text, "cannot be read") for text in ('23" 1/2', "1½5", "½½", "2'3mm", "5-", "5²")),
        *((text, "not a length") for text in ("abc", "nan", "inf", '"', "mm", "two feet")),
    ],
)  # fmt: skip
def test_what_reads_two_ways_or_none_is_refused(text, says):
    with pytest.raises(LengthError) as caught:
        parse_length(text, INCH)
    assert says in str(caught.value)


def test_a_fraction_without_a_mark_is_refused_in_a_metric_job():
    with pytest.raises(LengthError, match='write 12 1/2" for inches'):
        parse_length("12 1/2", MM)


@pytest.mark.parametrize("text", ["597", "23-5/8", "23.5"])
def test_a_bare_number_needs_units(text):
    with pytest.raises(NoUnitError):
        parse_length(text, None)


def test_a_written_unit_needs_none():
    assert parse_length("597 mm", None) == millimetres(597)


def test_zero_only_where_it_is_allowed():
    assert parse_length("0", INCH, zero=True) == 0


@pytest.mark.parametrize(
    ("ticks", "inch", "mm"),
    [
        (inches(23, 5, 8), '23-5/8"', "600.1 mm"),
        (inches(0, 7, 8), '7/8"', "22.2 mm"),
        (inches(96), '96"', "2438.4 mm"),
        (millimetres(2440), '96-1/16"', "2440 mm"),
        (millimetres(387.5), '15-1/4"', "387.5 mm"),
        (Ticks(0), '0"', "0 mm"),
        (Ticks(1), '0"', "0 mm"),
        (inches(-1, -1, 2), '-1-1/2"', "-38.1 mm"),
    ],
)
def test_printed_lengths(ticks, inch, mm):
    assert format_length(ticks, INCH, unit_mark=True) == inch
    assert format_length(ticks, MM, unit_mark=True) == mm


def test_rounding_as_a_tape_is_read():
    assert rounded(inches(23, 9, 16), INCH) == inches(23, 5, 8)
    assert rounded(millimetres(600.4), MM) == millimetres(600)


def test_a_negative_length_has_no_inches():
    with pytest.raises(ValueError, match="not negative"):
        split_inches(-1)


def test_metric_units_are_noticed():
    assert has_metric_unit("59.7 cm")
    assert not has_metric_unit("23-5/8 in")


sixty_fourths = st.integers(1, 64 * 300).map(lambda n: Ticks(n * 127))
tenths = st.integers(1, 50_000).map(lambda n: Ticks(n * 32))
any_length = st.integers(1, 10_000_000).map(Ticks)


@given(sixty_fourths)
def test_inches_come_back_from_their_print(ticks):
    assert prints_exactly(ticks, INCH)
    for mark in (True, False):
        assert parse_length(format_length(ticks, INCH, unit_mark=mark), INCH) == ticks


@given(tenths)
def test_millimetres_come_back_from_their_print(ticks):
    assert prints_exactly(ticks, MM)
    assert parse_length(format_length(ticks, MM), MM) == ticks
    assert parse_length(format_length(ticks, MM, unit_mark=True), INCH) == ticks


@given(any_length)
def test_a_print_is_at_most_half_a_step_off(ticks):
    inch = parse_length(format_length(ticks, INCH), INCH, zero=True)
    mm = parse_length(format_length(ticks, MM), MM, zero=True)
    assert abs(inch - ticks) <= 64
    assert abs(mm - ticks) <= 16
    assert (inch == ticks) is prints_exactly(ticks, INCH)


@given(any_length)
def test_plan_millimetres_are_exact(ticks):
    """1 tick is 0.003125 mm, so six decimals hold it."""
    assert parse_length(f"{to_mm(ticks):.6f} mm", None) == ticks


@given(any_length)
def test_split_inches_is_reduced_and_nearest(ticks):
    whole, top, bottom = split_inches(ticks)
    assert 64 % bottom == 0
    assert Fraction(top, bottom).denominator == bottom
    assert abs((whole + Fraction(top, bottom)) * 8128 - ticks) <= 64


@given(st.text(max_size=30), st.sampled_from([INCH, MM, None]))
def test_any_text_is_a_length_or_a_fault_with_words(text, units):
    try:
        ticks = parse_length(text, units, zero=True)
    except LengthError as error:
        ticks, said = None, str(error)
    assert said if ticks is None else ticks >= 0


@given(st.text(alphabet="0123456789 -/.,'\"½⅛¹⁄₂xmcftin", max_size=14))
def test_typography_does_not_change_what_is_read(text):
    def read(written):
        try:
            return parse_length(written, INCH, zero=True)
        except LengthError:
            return None

    assert read(text) == read(plain_text(text))
