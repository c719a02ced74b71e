"""What an engine returns: which blanks come from which piece of stock, and how they lie.

A layout is a slicing tree without coordinates, kerfs or saws: children of a split lie
side by side, parted by parallel straight cuts. What is left over is not in it. Sawing
turns it into a cut tree (``cutopt.model.plan``).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from cutopt.model.job import Material, Stock
from cutopt.units import Ticks


class Direction(StrEnum):
    """Way of a cut on a piece of stock.

    A rip runs along the stock's length and parts its width; a crosscut parts its length.
    """

    RIP = "rip"
    CROSSCUT = "crosscut"

    @property
    def other(self) -> Direction:
        """The direction square to this one."""
        return Direction.CROSSCUT if self is Direction.RIP else Direction.RIP


@dataclass(frozen=True, slots=True)
class Blank:
    """A part's blank as it lies: ``length`` along the stock's length, ticks.

    ``start``: on a board with bad spans, how far from its clean left end it begins at the
    least; what lies between it and the blank before it is left over.
    """

    part: str
    length: Ticks
    width: Ticks
    turned: bool = False
    start: Ticks = Ticks(0)

    def lying_across(self) -> Blank:
        """Give the blank turned by a quarter; where it began is not kept."""
        return Blank(self.part, self.width, self.length, not self.turned)


@dataclass(frozen=True, slots=True)
class Split:
    """Two or more layouts side by side: along the length for crosscuts, across it for rips.

    The children of an ordered split stay in their order and next to each other.
    """

    direction: Direction
    children: tuple[Layout, ...]
    ordered: bool = False


Layout = Blank | Split


def least_size(layout: Layout, kerf: int) -> tuple[Ticks, Ticks]:
    """Give the least (length, width) in ticks that holds a layout, ``kerf`` between neighbours."""
    if isinstance(layout, Blank):
        return layout.length, layout.width
    sizes = [least_size(child, kerf) for child in layout.children]
    gaps = kerf * (len(sizes) - 1)
    if layout.direction is Direction.CROSSCUT:
        return Ticks(sum(s[0] for s in sizes) + gaps), Ticks(max(s[1] for s in sizes))
    return Ticks(max(s[0] for s in sizes)), Ticks(sum(s[1] for s in sizes) + gaps)


def blanks_of(layout: Layout) -> tuple[Blank, ...]:
    """Give the blanks of a layout from the reference corner on."""
    if isinstance(layout, Blank):
        return (layout,)
    return tuple(blank for child in layout.children for blank in blanks_of(child))


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """One piece of stock and the layout of the blanks that come from it."""

    stock: Stock
    layout: Layout


@dataclass(frozen=True, slots=True)
class LimitPrice:
    """What one limit of the car, the store or the saws adds to the cost of a material.

    Attributes:
        limit: in a builder's words: "the car takes at most 1830 mm".
        pieces: how many more are bought than without it; fewer where negative.
        cost: how much more stock costs; same unit as the cost of the material.
        fees_cents: how much more the store asks for its cuts.
        exact: nothing could cost less without it than what was found; else it adds at least
            this.
    """

    limit: str
    pieces: int
    cost: int
    fees_cents: int
    exact: bool


@dataclass(frozen=True, slots=True)
class MaterialLayout:
    """An engine's answer for one material.

    Attributes:
        pieces: stock pieces with their layouts.
        cost: integer, in the measure's own unit (see ``Measure``).
        lower_bound: no purchase of this material can cost less; same unit.
        why: one line that says where the bound comes from, in a builder's words, or "".
        next_best: the next best purchase in words, or "".
        limit_hit: a clock, not a work limit, ended the search.
        limits: what each limit of the car, the store and the saws adds to the cost.
    """

    material: Material
    pieces: tuple[LaidPiece, ...]
    cost: int
    lower_bound: int
    why: str = ""
    next_best: str = ""
    limit_hit: bool = False
    limits: tuple[LimitPrice, ...] = ()

    @property
    def proven(self) -> bool:
        """True only where the cost equals the bound."""
        return self.cost == self.lower_bound
