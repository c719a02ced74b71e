"""Labels: one for each part, in the order of cutting, and one for each offcut to keep."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Part, Stock
from cutopt.model.plan import Offcut
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class PartLabel:
    """What is stuck on one part.

    Attributes:
        copy: 1 .. part.qty.
        cut_length, cut_width: size off the saw, ticks (the blank).
        source: the piece it comes from: "S1 A", "L3".
        hand: "left" or "right" for copies of a handed pair, else "".
        band: "band front" or "no band".
    """

    part: Part
    copy: int
    cut_length: Ticks
    cut_width: Ticks
    source: str
    hand: str
    band: str

    @property
    def cut_differs(self) -> bool:
        """The size off the saw is not the finished size."""
        return (self.cut_length, self.cut_width) != (self.part.length, self.part.width)

    @property
    def count(self) -> str:
        """Give "1 of 2"; never a fraction."""
        return f"{self.copy} of {self.part.qty}"


@dataclass(frozen=True, slots=True)
class OffcutLabel:
    """What is stuck on an offcut to keep."""

    offcut: Offcut
    stock: Stock
    source: str
