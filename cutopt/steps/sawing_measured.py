"""A board with bad spans, crosscut at home: every part where the layout lets it begin.

Cuts go from left to right. What lies before the start of a part is cut off with the bad span in
it; no cut is made only to take a bad span out of a leftover: that would cost another cut, and
a part that may contain knots can still come from it. Its label says where the bad span is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from cutopt.model.job import Job, Stock
from cutopt.model.layout import Blank, Direction, LaidPiece, blanks_of
from cutopt.model.plan import Cut, Maker, Node, Offcut, PartPiece, walk
from cutopt.steps.sawing_pieces import MisfitError, Sawn, Size, Tally, leftover
from cutopt.steps.sawing_saws import Choice, Place, Rack
from cutopt.units import Ticks, Units, format_length


def is_measured(laid: LaidPiece) -> bool:
    """Say whether a layout is of a board with bad spans that is cut to length only."""
    return bool(laid.stock.bad) and all(
        blank.width == laid.stock.width for blank in blanks_of(laid.layout)
    )


def saw_measured(job: Job, laid: LaidPiece) -> Sawn:
    """Give a board with bad spans sawn.

    Raises:
        MisfitError: the parts do not fit.
    """
    return _Measured(job, laid.stock).saw(0, blanks_of(laid.layout))


class _Measured:
    def __init__(self, job: Job, stock: Stock) -> None:
        self._shop = job.shop
        self._stock = stock
        self._rack = Rack(job.shop, stock.kind)

    def saw(self, x: int, blanks: Sequence[Blank]) -> Sawn:
        """Saw what lies from x on, ticks from the raw left end, into these parts."""
        stock = self._stock
        if not blanks:
            return leftover(self._shop, stock, Size(stock.length - x, stock.width))
        blank, rest = blanks[0], blanks[1:]
        start = stock.trim + blank.start
        if start > x:
            return self._cut_before(x, start, blanks)
        part = PartPiece(blank.length, blank.width, blank.part, 0, blank.turned)
        body = Sawn(part, Tally())
        total = stock.length - x
        if blank.length > total - stock.trim:
            raise MisfitError
        if blank.length == total:
            return body
        place = Place(Direction.CROSSCUT, total, blank.length, None, stock.width, True, bool(rest))
        choice = self._rack.choose(place)
        removed = min(choice.kerf, total - blank.length)
        past = x + blank.length + removed
        second = self.saw(past, rest) if past < stock.length else None
        return self._cut(choice, total, blank.length, removed, body, second)

    def _cut_before(self, x: int, start: int, blanks: Sequence[Blank]) -> Sawn:
        """Cut off what lies before the start of the next part."""
        total, remaining = self._stock.length - x, self._stock.length - start
        place = Place(Direction.CROSSCUT, total, None, remaining, self._stock.width, False, True)
        choice = self._rack.choose(place)
        removed = min(choice.kerf, start - x)
        at = start - x - removed
        first = leftover(self._shop, self._stock, Size(at, self._stock.width)) if at else None
        return self._cut(choice, total, at, removed, first, self.saw(start, blanks))

    def _cut(
        self,
        choice: Choice,
        total: int,
        at: int,
        removed: int,
        first: Sawn | None,
        second: Sawn | None,
    ) -> Sawn:
        node = Cut(
            Ticks(total),
            self._stock.width,
            Direction.CROSSCUT,
            Ticks(at),
            Ticks(removed),
            Maker.SHOP,
            choice.name,
            0,
            first.node if first else None,
            second.node if second else None,
        )
        weight = choice.weight * self._stock.width
        tally = Tally(choice.missing, choice.last_resort, choice.rank, weight, cuts=1)
        for side in (first, second):
            tally = tally if side is None else tally.plus(side.tally)
        return Sawn(node, tally)


def bad_within(stock: Stock, x: int, length: int) -> tuple[tuple[Ticks, Ticks], ...]:
    """Give the bad spans of what lies from x on, measured from its own left end, ticks."""
    moved = ((max(0, start - x), min(length, end - x)) for start, end in stock.bad)
    return tuple((Ticks(start), Ticks(end)) for start, end in moved if start < end)


def tell_bad_spans(layout: Node, stock: Stock, units: Units) -> Node:
    """Give the tree with the bad spans of each offcut told on its label."""
    if not stock.bad:
        return layout
    labels = {}
    for placed in walk(layout):
        node = placed.node
        if isinstance(node, Offcut):
            spans = bad_within(stock, placed.x, node.length)
            labels[node.id] = ", ".join([node.label, *(_span_words(span, units) for span in spans)])
    return _relabelled(layout, labels)


def _span_words(span: tuple[Ticks, Ticks], units: Units) -> str:
    start, end = (format_length(at, units, unit_mark=True) for at in span)
    return f"bad {start} to {end}"


def _relabelled(node: Node, labels: Mapping[str, str]) -> Node:
    if isinstance(node, Offcut):
        return replace(node, label=labels[node.id])
    if not isinstance(node, Cut):
        return node
    first, second = (
        None if side is None else _relabelled(side, labels) for side in (node.first, node.second)
    )
    return replace(node, first=first, second=second)
