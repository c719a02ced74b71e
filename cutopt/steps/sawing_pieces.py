"""What sawing works with: sizes, edges to clean up, and a piece as sawn."""

from __future__ import annotations

from typing import NamedTuple

from cutopt.model.job import Favour, Shop, Stock
from cutopt.model.layout import Direction
from cutopt.model.plan import Node, Offcut, Waste
from cutopt.units import Ticks


class MisfitError(Exception):
    """A piece is too small for its blanks with the kerfs of the saws that must cut it."""


class Size(NamedTuple):
    """Length (along the stock's length) and width of a piece, ticks."""

    length: int
    width: int

    def across(self, direction: Direction) -> int:
        """Give the measure that cuts of this direction part."""
        return self.length if direction is Direction.CROSSCUT else self.width

    def line(self, direction: Direction) -> int:
        """Give the length of a cut line of this direction."""
        return self.width if direction is Direction.CROSSCUT else self.length

    def cut_to(self, direction: Direction, measure: int) -> Size:
        """Give the size after cuts of this direction left ``measure``."""
        if direction is Direction.CROSSCUT:
            return Size(measure, self.width)
        return Size(self.length, measure)


class Edges(NamedTuple):
    """What must come off each edge before it may be a part's edge, ticks, kerf included."""

    left: int = 0
    right: int = 0
    near: int = 0
    far: int = 0

    def ends(self, direction: Direction) -> tuple[int, int]:
        """Give the amounts at the (reference, far) ends that cuts of this direction trim."""
        if direction is Direction.CROSSCUT:
            return self.left, self.right
        return self.near, self.far

    def with_ends(self, direction: Direction, start: int, end: int) -> Edges:
        """Give the edges with other amounts at the ends that cuts of this direction trim."""
        if direction is Direction.CROSSCUT:
            return Edges(start, end, self.near, self.far)
        return Edges(self.left, self.right, start, end)


class Tally(NamedTuple):
    """What a way of sawing costs in trouble and leaves in offcuts.

    Attributes:
        missing: cuts none of the named saws can make.
        last_resort: cuts with a band saw, jigsaw or hand saw.
        rank: how far down the line of saws the cuts went, summed.
        hard: line lengths of the cuts, weighted by how hard they are at home.
        largest, kept: area of the largest offcut, and of all.
    """

    missing: int = 0
    last_resort: int = 0
    rank: int = 0
    hard: int = 0
    cuts: int = 0
    largest: int = 0
    kept: int = 0

    def plus(self, other: Tally) -> Tally:
        """Give the tally of two pieces together."""
        return Tally(
            self.missing + other.missing,
            self.last_resort + other.last_resort,
            self.rank + other.rank,
            self.hard + other.hard,
            self.cuts + other.cuts,
            max(self.largest, other.largest),
            self.kept + other.kept,
        )

    def key(self, favour: Favour) -> tuple[int, ...]:
        """Give what two ways are compared by: the lesser is the better."""
        if favour is Favour.WORK:
            goal = (self.cuts, -self.largest, -self.kept)
        else:
            goal = (-self.largest, -self.kept, self.cuts)
        return (self.missing, self.last_resort, *goal, self.rank, self.hard)


class Sawn(NamedTuple):
    """A piece as sawn: its tree (steps, copies and ids still 0), tally, kerfs used.

    ``gaps`` gives for each split (by identity) what its cuts remove together.
    """

    node: Node
    tally: Tally
    gaps: tuple[tuple[int, int], ...] = ()


def leftover(shop: Shop, stock: Stock, size: Size) -> Sawn:
    """Give a leftover: an offcut where it is worth keeping, else waste."""
    length, width = Ticks(size.length), Ticks(size.width)
    if shop.keeps(length, width, stock):
        area = length * width
        return Sawn(Offcut(length, width, ""), Tally(largest=area, kept=area))
    return Sawn(Waste(length, width), Tally())


def raw_edges(stock: Stock) -> Edges:
    """Give what must be trimmed off the edges of a whole piece of stock."""
    return Edges(*stock.clean_up)
