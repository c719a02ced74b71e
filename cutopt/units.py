"""Lengths as exact integers, and how builders write them.

One tick is 1/320 mm = 1/8128 in, so a sixty-fourth of an inch (127 ticks) and a
tenth of a millimetre (32 ticks) are both whole numbers and no float enters the
geometry.

Source: 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

import re
import unicodedata
from enum import StrEnum
from fractions import Fraction
from typing import NewType

Ticks = NewType("Ticks", int)

TICKS_PER_MM = 320
TICKS_PER_INCH = 8128
LONGEST = Ticks(100_000 * TICKS_PER_MM)
"""Longest length that is understood: 100 m."""


class Units(StrEnum):
    """What a bare number means, and how lengths are printed."""

    INCH = "inch"
    MM = "mm"


class LengthError(ValueError):
    """A text is not a length, or can be read in two ways.

    Attributes:
        problem: what is wrong, in a builder's words.
        help: what would be understood instead.
    """

    def __init__(self, problem: str, help: str = "") -> None:  # noqa: A002 - as in errors.Fault
        """Take what is wrong and what would do."""
        self.problem = problem
        self.help = help
        super().__init__(f"{problem}; {help}" if help else problem)


class NoUnitError(LengthError):
    """A bare number stands where nothing says what it is measured in."""


def inches(value: int, numerator: int = 0, denominator: int = 1) -> Ticks:
    """Give ticks for ``value numerator/denominator`` inches, rounded to the nearest tick."""
    return Ticks(value * TICKS_PER_INCH + round(numerator * TICKS_PER_INCH / denominator))


def millimetres(value: float) -> Ticks:
    """Give ticks for a length in millimetres, rounded to the nearest tick."""
    return Ticks(round(value * TICKS_PER_MM))


def to_mm(ticks: int) -> float:
    """Give millimetres for ticks; exact to six decimals (1 tick = 0.003125 mm)."""
    return round(ticks / TICKS_PER_MM, 6)


# --- text to ticks ------------------------------------------------------------------------

_TICKS_PER_UNIT = {
    "'": 12 * TICKS_PER_INCH,
    '"': TICKS_PER_INCH,
    "mm": TICKS_PER_MM,
    "cm": 10 * TICKS_PER_MM,
    "m": 1000 * TICKS_PER_MM,
}
_UNIT_WORDS = {
    "feet": "'",
    "foot": "'",
    "ft": "'",
    "inches": '"',
    "inch": '"',
    "ins": '"',
    "in": '"',
    "millimetres": "mm",
    "millimeters": "mm",
    "millimetre": "mm",
    "millimeter": "mm",
    "mms": "mm",
    "centimetres": "cm",
    "centimeters": "cm",
    "centimetre": "cm",
    "centimeter": "cm",
    "cms": "cm",
    "metres": "m",
    "meters": "m",
    "metre": "m",
    "meter": "m",
}
_DASHES = "‐‑‒–—―−⁃﹘﹣－"
_SINGLE_MARKS = "′’‘‛´`ʹʼ＇"
_DOUBLE_MARKS = "″”“‟„ʺ˝〃＂"
_SLASHES = "⁄∕／"
_RAISED = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_LOWERED = "₀₁₂₃₄₅₆₇₈₉"
_PLAIN = str.maketrans(
    {
        **dict.fromkeys(_DASHES, "-"),
        **dict.fromkeys(_SINGLE_MARKS, "'"),
        **dict.fromkeys(_DOUBLE_MARKS, '"'),
        **dict.fromkeys(_SLASHES, "/"),
        **dict.fromkeys("\u200b\u200c\u200d\u2060\ufeff\u00ad", ""),
        "，": ",",
        "．": ".",
        "‴": "'''",
        "‶": '"',
        "‵": "'",
    }
)
_SMALL_FRACTION = re.compile(f"([{_RAISED}]+)([/{_SLASHES}])([{_LOWERED}]+|[0-9]+)")
_FRACTION = re.compile(r"(?:(\d+)(?: ?- ?| (?:and |& ?)?))?(\d+) ?/ ?(\d+)")
_DECIMAL = re.compile(r"\d+\.?\d*|\.\d+")
_COMMA = re.compile(r"(\d+),(\d+)")
_UNIT = re.compile(
    r"(?P<number>.*?) ?-?(?P<unit>(?<![a-z])(?:" + "|".join(_UNIT_WORDS) + r"|mm|cm|m)\.?|''|\"|')"
)
_FEET = re.compile(r"(?P<feet>[^']+?) ?(?P<mark>'|feet|foot|ft\.?)(?!') ?-? ?(?P<rest>\.?[0-9].*)")
_MOST_CHARACTERS = 60

_INCH_WAYS = "23-5/8, 23.625 or 4' 7-1/2\""
_MM_WAYS = "597, 597.5 or 59.7 cm"


def plain_text(text: str) -> str:
    """Give the text with typographic marks, fractions and spaces in their plain form.

    Primes and quotes become ``'`` and ``"``, dashes ``-``, spaces of every kind one
    space, ``⅝`` and ``⁵⁄₈`` a fraction parted from the number before it.
    """

    def spelled(found: re.Match[str]) -> str:
        top = "".join(str(_RAISED.index(digit)) for digit in found[1])
        bottom = "".join(
            str(_LOWERED.index(digit)) if digit in _LOWERED else digit for digit in found[3]
        )
        return f" {top}/{bottom} "

    text = _SMALL_FRACTION.sub(spelled, text)
    letters = []
    for letter in text:
        shape = unicodedata.decomposition(letter)
        if shape.startswith("<fraction>"):  # ⅝ is 0035 2044 0038, ⅟ is 0031 2044
            whole = "".join(chr(int(code, 16)) for code in shape.split()[1:])
            letters.append(f" {whole} " if whole[-1].isdigit() else f" {whole}")
        elif letter.isdecimal():
            letters.append(str(unicodedata.decimal(letter)))
        else:
            letters.append(letter)
    return " ".join("".join(letters).translate(_PLAIN).split())


def has_metric_unit(text: str) -> bool:
    """Say whether a text ends in mm, cm or m, spelled any way."""
    found = _UNIT.fullmatch(plain_text(text).lower())
    return found is not None and _unit_of(found["unit"]) in {"mm", "cm", "m"}


def parse_length(text: str, units: Units | None, *, zero: bool = False) -> Ticks:
    """Give the length a builder wrote, in ticks, rounded to the nearest tick.

    Args:
        text: what stands in the cell.
        units: what a number without a unit means; None where nothing says.
        zero: whether 0 is allowed.

    Raises:
        LengthError: the text is not a length, is negative, is 0 where that is not
            allowed, or can be read in two ways.
        NoUnitError: a bare number, and ``units`` is None.
    """
    plain = plain_text(text).lower()
    if not plain:
        raise LengthError("a length is missing", f"write one like {_ways(units)}")
    if len(plain) > _MOST_CHARACTERS:
        raise LengthError("this is too long to be a length", f"write one like {_ways(units)}")
    if plain.startswith("-") and any(letter.isdigit() for letter in plain):
        raise LengthError("a length cannot be negative", f"write one like {_ways(units)}")
    ticks = round(_exact_ticks(plain, units))
    if ticks > LONGEST:
        raise LengthError("longer than 100 m", "is the unit right?")
    if ticks == 0 and not zero:
        raise LengthError("0 is not a length here", f"write one like {_ways(units)}")
    return Ticks(ticks)


def _ways(units: Units | None) -> str:
    """Give lengths that would be understood, as examples."""
    if units is Units.MM:
        return _MM_WAYS
    return _INCH_WAYS if units is Units.INCH else '23-5/8" or 597 mm'


def _unit_of(word: str) -> str:
    """Give the unit's short mark for a word or mark."""
    word = word.rstrip(".")
    return '"' if word == "''" else _UNIT_WORDS.get(word, word)


def _exact_ticks(plain: str, units: Units | None) -> Fraction:
    """Give the exact number of ticks of a plain, lower-case text."""
    feet = _FEET.fullmatch(plain)
    if feet is not None:
        return _feet_and_inches(plain, feet)
    found = _UNIT.fullmatch(plain)
    number, unit = (found["number"].strip(), _unit_of(found["unit"])) if found else (plain, "")
    if found is None:
        if units is None and _reads_as_number(number):
            raise NoUnitError(
                "nothing says whether this is inches or millimetres",
                'write a unit (23-5/8" or 597 mm), or state the units of the whole job',
            )
        unit = '"' if units is Units.INCH else "mm"
    metric = unit in {"mm", "cm", "m"}
    value = _number(number, plain, metric=metric, bare=found is None, units=units)
    if unit == "'" and found is not None and found["unit"] == "'" and "/" in number:
        raise LengthError(
            "the ' mark means feet, but the fraction looks like inches",
            f'write {number.strip()}" for inches, or feet and inches like 4\' 7-1/2"',
        )
    return value * _TICKS_PER_UNIT[unit]


def _reads_as_number(number: str) -> bool:
    """Say whether a text is a plain number or fraction, unit or not."""
    return bool(_DECIMAL.fullmatch(number) or _FRACTION.fullmatch(number))


def _feet_and_inches(plain: str, found: re.Match[str]) -> Fraction:
    """Give ticks for a text like ``4' - 7 1/2"``: whole feet, then inches under 12."""
    rest = re.sub(r" ?-?(?:\"|''|in(?:ch(?:es)?|s)?\.?)$", "", found["rest"])
    if not found["feet"].isdigit():
        raise LengthError(
            "feet before inches are whole",
            "write feet and inches like 4' 7-1/2\"",
        )
    value = _number(rest, plain, metric=False, bare=False, units=Units.INCH)
    if value >= 12:
        raise LengthError(
            "the inches after feet are 12 or more", "write feet and inches like 4' 7-1/2\""
        )
    return int(found["feet"]) * 12 * TICKS_PER_INCH + value * TICKS_PER_INCH


def _number(number: str, plain: str, *, metric: bool, bare: bool, units: Units | None) -> Fraction:
    """Give the exact value of the number in a length, before its unit."""
    fraction = _FRACTION.fullmatch(number)
    if fraction is not None:
        return _fraction_value(fraction, metric=metric, bare=bare)
    if _DECIMAL.fullmatch(number):
        return Fraction(number.rstrip("."))
    comma = _COMMA.fullmatch(number)
    if comma is not None:
        return _decimal_comma(comma, metric=metric, bare=bare, units=units)
    if re.fullmatch(r"[\d.,]*\d[\d.,]*", number):
        raise LengthError(
            "points and commas part this number in more than one way",
            f"write it without thousands marks, like {_ways(units)}",
        )
    if re.fullmatch(r"[\d.]+e[+-]?\d+", number):
        raise LengthError("powers of ten are not read as lengths", f"write {_ways(units)}")
    if re.search(r"\d ?[x×*] ?\d", number):
        raise LengthError(
            "these are two measures, not one length",
            "write one measure a cell, or name the order in the header, like L x W",
        )
    if re.fullmatch(r"\d+(?: \d+)+", number):
        raise LengthError(
            "a space parts this number: it can be one number or two",
            f"write it without the space, like {_ways(units)}",
        )
    if re.fullmatch(r"\d{4}-\d\d-\d\d.*", plain):
        raise LengthError(
            "a spreadsheet has turned this length into a date",
            "format the cell as text and type the length again",
        )
    if not any(letter.isdigit() for letter in plain):
        raise LengthError("this is not a length", f"write one like {_ways(units)}")
    raise LengthError("this cannot be read as one length", f"write one like {_ways(units)}")


def _fraction_value(found: re.Match[str], *, metric: bool, bare: bool) -> Fraction:
    """Give the value of a whole number and a proper fraction."""
    whole, top, bottom = int(found[1] or 0), int(found[2]), int(found[3])
    if bottom == 0:
        raise LengthError("a fraction over 0 is no length", f"write one like {_INCH_WAYS}")
    if metric and bare:
        raise LengthError(
            "fractions are inches, and this job is in millimetres",
            f'write {found[0].strip()}" for inches, or millimetres like 597.5',
        )
    if top >= bottom:
        asked = f"{found[2]}/{found[3]}"
        sum_of_both = whole + top // bottom
        if top % bottom:
            ways = [f"{sum_of_both}-{top % bottom}/{bottom}"]
        else:
            ways = [f"the whole number {sum_of_both}"]
        if found[1] and top > bottom:
            ways.append(f"{whole}-{bottom}/{top}")  # upside down
        if not found[1] and len(found[2]) > 1 and 0 < int(found[2][1:]) < bottom:
            ways.insert(0, f"{found[2][0]}-{int(found[2][1:])}/{bottom}")  # without its dash
        does = " or ".join(ways)
        raise LengthError(
            f"{asked} is not less than one, so it can be read two ways", f"write {does}"
        )
    return whole + Fraction(top, bottom)


def _decimal_comma(
    found: re.Match[str], *, metric: bool, bare: bool, units: Units | None
) -> Fraction:
    """Give the value of a number with one comma where that can only be a decimal comma."""
    whole, decimals = found[1], found[2]
    if len(decimals) == 3 and 0 < len(whole.lstrip("0")) <= 3 and not whole.startswith("0"):
        raise LengthError(
            "the comma can part thousands or decimals",
            f"write {whole}{decimals} or {whole}.{decimals}",
        )
    if not metric or (bare and units is not Units.MM):
        raise LengthError(
            "a decimal comma is understood only with a metric unit or in a metric job",
            f"write {whole}.{decimals}",
        )
    return Fraction(f"{whole}.{decimals}")


# --- ticks to text ------------------------------------------------------------------------

SIXTY_FOURTH = Ticks(TICKS_PER_INCH // 64)
EIGHTH = Ticks(TICKS_PER_INCH // 8)
MILLIMETRE = Ticks(TICKS_PER_MM)
TENTH = Ticks(TICKS_PER_MM // 10)


def to_nearest(ticks: int, step: int) -> Ticks:
    """Give the nearest multiple of ``step`` ticks; halves go up."""
    return Ticks((2 * ticks + step) // (2 * step) * step)


def rounded(ticks: int, units: Units) -> Ticks:
    """Give a length as an operator reads a tape: the nearest 1/8 in or 1 mm, in ticks."""
    return to_nearest(ticks, EIGHTH if units is Units.INCH else MILLIMETRE)


def prints_exactly(ticks: int, units: Units) -> bool:
    """Say whether ``format_length`` gives this length exactly: whole 1/64 in or 0.1 mm."""
    return ticks % (SIXTY_FOURTH if units is Units.INCH else TENTH) == 0


def split_inches(ticks: int) -> tuple[int, int, int]:
    """Give (whole inches, numerator, denominator) to the nearest 1/64 in, reduced.

    The numerator is 0 and the denominator 1 where no fraction is left.

    Raises:
        ValueError: the length is negative.
    """
    if ticks < 0:
        raise ValueError("a length is not negative")
    whole, over = divmod(to_nearest(ticks, SIXTY_FOURTH) // SIXTY_FOURTH, 64)
    part = Fraction(over, 64)
    return whole, part.numerator, part.denominator


def format_length(ticks: int, units: Units, *, unit_mark: bool = False) -> str:
    """Give a length as builders write it: ``23-5/8`` in inches, ``600.1`` in millimetres.

    Inches are given to the nearest 1/64, millimetres to the nearest 0.1; where that is not
    the exact length (``prints_exactly`` is false) the text is at most 1/128 in or 0.05 mm
    off. A negative difference gets a leading ``-``.

    Args:
        ticks: the length.
        units: what to print it in.
        unit_mark: whether ``"`` or `` mm`` follows.
    """
    sign = "-" if ticks < 0 else ""
    if units is Units.INCH:
        whole, top, bottom = split_inches(abs(ticks))
        fraction = f"{top}/{bottom}" if top else ""
        joint = "-" if whole and top else ""
        number = f"{whole if whole or not top else ''}{joint}{fraction}"
        text = number + ('"' if unit_mark else "")
    else:
        tenths = to_nearest(abs(ticks), TENTH) // TENTH
        number = f"{tenths // 10}.{tenths % 10}" if tenths % 10 else str(tenths // 10)
        text = number + (" mm" if unit_mark else "")
    return sign + text if number != "0" else text
