"""Areas as people write them: ``40 sq in``, ``250 cm2``. A unit is always needed."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from cutopt.read.cells import ValueFault
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, plain_text

_WAYS = "write an area with its unit, like 40 sq in or 250 cm2"
_SIDES: Mapping[str, int] = {
    **dict.fromkeys(("in", "inch", "inches", '"'), TICKS_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), 12 * TICKS_PER_INCH),
    "mm": TICKS_PER_MM,
    "cm": 10 * TICKS_PER_MM,
    "m": 1000 * TICKS_PER_MM,
}
_METRIC = frozenset({"mm", "cm", "m"})
_MOST_CHARACTERS = 60
_LARGEST = (100_000 * TICKS_PER_MM) ** 2
"""Largest area that is understood: 100 m each way."""
_SIDE = "(?P<side{}>" + "|".join(sorted(_SIDES, key=len, reverse=True)) + r")\.?"
_AREA = re.compile(
    r"(?P<number>[\d.,/ -]*\d[.,]?) ?"
    rf"(?:(?:sq\.?|square) ?{_SIDE.format(1)}|{_SIDE.format(2)} ?\^?2)"
)
_NUMBER = re.compile(r"(\d+\.?\d*|\.\d+)")
_MIXED = re.compile(r"(?:(\d+)[ -]+)?(\d+) ?/ ?(\d+)")
_COMMA = re.compile(r"(\d+),(\d+)")


def area_of(text: str) -> int:
    """Give an area in square ticks, rounded to the nearest.

    Raises:
        ValueFault: it is none, has no unit, or can be read in two ways.
    """
    plain = plain_text(text.replace("²", "2")).lower()
    found = _AREA.fullmatch(plain) if len(plain) <= _MOST_CHARACTERS else None
    if found is None:
        raise _not_an_area(plain)
    side = found["side1"] or found["side2"]
    exact = _number(found["number"].strip(), metric=side in _METRIC) * _SIDES[side] ** 2
    area = round(exact)
    if area <= 0:
        raise ValueFault("0 is not an area here", _WAYS)
    if area > _LARGEST:
        raise ValueFault("larger than 100 m each way", "is the unit right?")
    return area


def _not_an_area(plain: str) -> ValueFault:
    if re.search(r"\d\D{0,9}[x×*] ?\d", plain):
        return ValueFault("these are two measures, not an area", _WAYS)
    if re.fullmatch(r"[\d.,/ -]+", plain):
        return ValueFault("this area has no unit", _WAYS)
    if re.fullmatch(r"[\d.,/ -]+ ?[a-z\"']+\.?", plain):
        return ValueFault("this is a length or an unknown unit, not an area", _WAYS)
    return ValueFault("this is not an area", _WAYS)


def _number(text: str, *, metric: bool) -> Fraction:
    if _NUMBER.fullmatch(text):
        return Fraction(text.rstrip("."))
    mixed = _MIXED.fullmatch(text)
    if mixed is not None and not metric:
        whole, top, bottom = int(mixed[1] or 0), int(mixed[2]), int(mixed[3])
        if 0 < top < bottom:
            return whole + Fraction(top, bottom)
    comma = _COMMA.fullmatch(text)
    if comma is not None and metric and len(comma[2]) != 3:
        return Fraction(f"{comma[1]}.{comma[2]}")
    raise ValueFault("this number can be read in two ways, or not at all", _WAYS)
