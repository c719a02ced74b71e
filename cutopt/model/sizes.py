"""Sizes and weights of the trade: what a nominal section measures, counts and weighs.

Source: American Softwood Lumber Standard PS 20, Table 3 (minimum dressed sizes, dry), as
published by lumber associations.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, plain_text

_HALF = Fraction(1, 2)

# PS 20 Table 3, boards: nominal thickness under 2 in -> dry dressed thickness, inches.
_BOARD_THICKNESS = {
    Fraction(3, 8): Fraction(5, 16),
    Fraction(1, 2): Fraction(7, 16),
    Fraction(5, 8): Fraction(9, 16),
    Fraction(3, 4): Fraction(5, 8),
    Fraction(1): Fraction(3, 4),
    Fraction(5, 4): Fraction(1),
    Fraction(3, 2): Fraction(5, 4),
}
_DIMENSION_THICKNESS = (
    Fraction(2), Fraction(5, 2), Fraction(3), Fraction(7, 2), Fraction(4), Fraction(9, 2),
)  # fmt: skip
_WIDTHS = (2, 3, 4, 5, 6, 8, 10, 12, 14, 16)
_BOARD_WIDTHS = (*_WIDTHS, 7, 9, 11)
_QUARTERS = {"5/4": Fraction(5, 4), "6/4": Fraction(3, 2)}


@dataclass(frozen=True, slots=True)
class Section:
    """A nominal softwood section and its dry dressed size.

    Attributes:
        name: like ``2x4`` or ``5/4x6``, the lesser measure first.
        nominal_thickness, nominal_width: inches, as the name says.
        thickness, width: dressed, in ticks.
    """

    name: str
    nominal_thickness: Fraction
    nominal_width: Fraction
    thickness: Ticks
    width: Ticks


_MEASURE = r"(?:\d+/\d+|\d+(?:[- ]\d+/\d+)?)"
_INCH_MARK = r"(?:\"|in\.?|inch(?:es)?)?"
_SECTION = re.compile(
    rf"({_MEASURE}) ?{_INCH_MARK} ?(?:x|×|✕|\*|by) ?({_MEASURE}) ?{_INCH_MARK}s?",
    re.IGNORECASE,
)


def _nominal(text: str) -> Fraction:
    """Give the inches of one measure of a section's name."""
    if text in _QUARTERS:
        return _QUARTERS[text]
    return sum((Fraction(word) for word in re.split(r"[- ]", text)), Fraction(0))


def _nominal_name(inches: Fraction) -> str:
    """Give one measure of a section's name: quarters for 5/4 and 6/4, else like ``2-1/2``."""
    for name, value in _QUARTERS.items():
        if value == inches:
            return name
    whole, over = divmod(inches, 1)
    return "-".join(str(word) for word in (whole, over) if word) or "0"


def _less(nominal: Fraction) -> Fraction:
    """Give the dry dressed size of a timber's or a width's nominal measure, inches."""
    if nominal >= 16:
        return nominal - 1
    return nominal - (Fraction(3, 4) if nominal > 6 else _HALF)


def _dressed(thickness: Fraction, width: Fraction) -> tuple[Fraction, Fraction] | None:
    """Give the dry dressed (thickness, width) in inches, or None where the table has none."""
    if thickness in _BOARD_THICKNESS and width in _BOARD_WIDTHS:
        return _BOARD_THICKNESS[thickness], width - (Fraction(3, 4) if width > 6 else _HALF)
    if thickness in _DIMENSION_THICKNESS and width in _WIDTHS:
        return thickness - _HALF, width - (Fraction(3, 4) if width > 6 else _HALF)
    if thickness >= 5 and thickness.denominator == width.denominator == 1 and width <= 24:
        return _less(thickness), _less(width)
    return None


def parse_section(text: str) -> Section | None:
    """Give the nominal section a text names (``2x4``, ``1 × 4``, ``2"x4"``), or None.

    ``4x2`` is the same stick as ``2x4``. Texts that name a size outside the standard's
    table, or anything but a section, give None.
    """
    found = _SECTION.fullmatch(plain_text(text))
    if found is None:
        return None
    try:
        thickness, width = sorted((_nominal(found[1]), _nominal(found[2])))
    except ZeroDivisionError:
        return None
    dressed = _dressed(thickness, width)
    if dressed is None:
        return None
    return Section(
        name=f"{_nominal_name(thickness)}x{_nominal_name(width)}",
        nominal_thickness=thickness,
        nominal_width=width,
        thickness=_ticks(dressed[0]),
        width=_ticks(dressed[1]),
    )


def _ticks(inches: Fraction) -> Ticks:
    """Give exact inches in ticks."""
    return Ticks(round(inches * TICKS_PER_INCH))


def board_feet(thickness: Fraction, width: Fraction, length: Ticks) -> Fraction:
    """Give board feet: thickness x width in inches x length in feet / 12.

    Softwood is counted by its nominal thickness and width (a ``Section`` has them),
    hardwood by its rough quarter thickness and actual width. Thickness under 1 in counts
    as 1 in.

    Source: US Navy engineering aid training manual, chapter on wood construction; US Army
    carpentry course (rule T x W x L / 12 on nominal sizes).
    """
    feet = Fraction(length, 12 * TICKS_PER_INCH)
    return max(thickness, Fraction(1)) * width * feet / 12


# Densities, kg/m3, matched by words in the material's name; first match wins. Mills differ
# by some 20 %.
# Source: panel weights per 3/4 in 4 x 8 ft sheet as published (softwood plywood 61 lb, OSB
# 78 lb, particleboard 85 lb, MDF 97 lb); birch plywood data sheet to EN 315 (660-710);
# pine, oak and maple: order of magnitude of the Wood Handbook (Forest Products Laboratory),
# from memory. Others: common practice, no published source.
_DENSITIES = (
    (("mdf", "medium density"), 777),
    (("hardboard", "hdf", "masonite"), 900),
    (("particle", "chipboard", "melamine"), 680),
    (("osb", "oriented strand"), 640),
    (("birch ply", "baltic", "birch plywood"), 685),
    (("ply",), 490),
    (("oak", "maple", "beech", "ash", "birch", "hickory"), 700),
    (("walnut", "cherry", "mahogany"), 600),
    (("poplar", "alder", "basswood"), 450),
    (("cedar",), 370),
    (("larch", "southern yellow", "syp"), 590),
    (("pine", "spruce", "fir", "spf", "softwood", "hemlock", "whitewood"), 480),
    (("lumber", "timber", "edge glued", "edge-glued", "panel"), 480),
)
_SOFTWOOD_DENSITY = 480
TWO_PEOPLE_KG = 25.0
"""Heavier pieces are lifted by two people. Common practice, no published source."""


def density(material: str, section: str | None = None) -> int | None:
    """Give the approximate density in kg/m3 for a material's name, or None where unknown.

    A nominal softwood section counts as softwood where the name says nothing.
    """
    name = " ".join(material.casefold().split())
    for words, figure in _DENSITIES:
        if any(re.search(rf"\b{word}", name) for word in words):
            return figure
    if any(section and parse_section(text) for text in (section or "", material)):
        return _SOFTWOOD_DENSITY
    return None


def weight_kg(
    material: str, length: int, width: int, thickness: int, section: str | None = None
) -> float | None:
    """Give the approximate weight in kg of a piece (ticks), or None for unknown materials."""
    figure = density(material, section)
    if figure is None:
        return None
    metre = 1000 * TICKS_PER_MM
    return figure * length * width * thickness / metre**3
