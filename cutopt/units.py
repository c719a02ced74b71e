"""Lengths as exact integers, and how builders write them.

One tick is 1/320 mm = 1/8128 in, so a sixty-fourth of an inch (127 ticks) and a
tenth of a millimetre (32 ticks) are both whole numbers and no float enters the
geometry.

Source: 1 in = 25.4 mm exactly (international yard and pound agreement, 1959).
"""

from __future__ import annotations

from enum import StrEnum
from typing import NewType

Ticks = NewType("Ticks", int)

TICKS_PER_MM = 320
TICKS_PER_INCH = 8128


class Units(StrEnum):
    """What a bare number means, and how lengths are printed."""

    INCH = "inch"
    MM = "mm"


def inches(value: int, numerator: int = 0, denominator: int = 1) -> Ticks:
    """Give ticks for ``value numerator/denominator`` inches, rounded to the nearest tick."""
    return Ticks(value * TICKS_PER_INCH + round(numerator * TICKS_PER_INCH / denominator))


def millimetres(value: float) -> Ticks:
    """Give ticks for a length in millimetres, rounded to the nearest tick."""
    return Ticks(round(value * TICKS_PER_MM))


def to_mm(ticks: int) -> float:
    """Give millimetres for ticks; exact to six decimals (1 tick = 0.003125 mm)."""
    return round(ticks / TICKS_PER_MM, 6)
