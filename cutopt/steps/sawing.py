"""Saw a layout at home: from blanks side by side to a tree of cuts over a piece.

A piece is a rectangle with the blanks it must yield. It is cut either between the
children of its layout, or across them to take a strip off the whole. What is left over
goes to the far end of each line of children. Each cut is given a saw first, so positions
shift with the kerf of the saw that makes it; the room that lines of blanks need is
therefore found by sawing again with the kerfs of the time before, until nothing moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce
from typing import NamedTuple

from cutopt.model.job import Favour, Job, Kind, Stock
from cutopt.model.layout import Blank, Direction, LaidPiece, Layout, Split
from cutopt.model.plan import Cut, Maker, Node, Offcut, PartPiece, Waste
from cutopt.steps.sawing_saws import Choice, Place, choose_saw
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


@dataclass(frozen=True, slots=True)
class Tally:
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

    def __add__(self, other: Tally) -> Tally:
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


@dataclass(frozen=True, slots=True)
class Sawn:
    """A piece as sawn: its tree (steps, copies and ids still 0), tally, kerfs used.

    ``gaps`` gives for each split (by identity) what its cuts remove together.
    """

    node: Node
    tally: Tally
    gaps: tuple[tuple[int, int], ...] = ()


@dataclass(slots=True)
class Bench:
    """Saws pieces of one kind of stock at home, remembering what it has sawn.

    Attributes:
        kerf: largest kerf any cut may have; layouts fit with it.
        gaps: what the cuts of a split remove together, where known from an earlier round.
    """

    job: Job
    stock: Stock
    kerf: int
    gaps: dict[int, int] = field(default_factory=dict)
    _sawn: dict[tuple[int, Size, Edges], Sawn | None] = field(default_factory=dict)
    _least: dict[int, Size] = field(default_factory=dict)
    _cuts: dict[int, int] = field(default_factory=dict)

    def learn(self, gaps: Iterable[tuple[int, int]]) -> bool:
        """Take over the kerfs of a round; say whether anything changed."""
        changed = False
        for split, removed in gaps:
            changed |= self._room(split) != removed
            self.gaps[split] = removed
        self._sawn.clear()
        self._least.clear()
        return changed

    def least(self, layout: Layout) -> Size:
        """Give the least size that holds a layout with the kerfs known so far."""
        if isinstance(layout, Blank):
            return Size(layout.length, layout.width)
        known = self._least.get(id(layout))
        if known is None:
            sizes = [self.least(child) for child in layout.children]
            along = sum(size.across(layout.direction) for size in sizes)
            self._cuts[id(layout)] = len(sizes) - 1
            along += self._room(id(layout))
            line = max(size.line(layout.direction) for size in sizes)
            known = Size(line, line).cut_to(layout.direction, along)
            self._least[id(layout)] = known
        return known

    def _room(self, split: int) -> int:
        """Give what is kept for the cuts between the children of a split."""
        return self.gaps.get(split, self.kerf * self._cuts[split])

    def leftover(self, size: Size) -> Sawn:
        """Give a leftover: an offcut where it is worth keeping, else waste."""
        length, width = Ticks(size.length), Ticks(size.width)
        if self.job.shop.keeps(length, width, self.stock):
            area = length * width
            return Sawn(Offcut(length, width, ""), Tally(largest=area, kept=area))
        return Sawn(Waste(length, width), Tally())

    def saw(self, layout: Layout, size: Size, edges: Edges) -> Sawn:
        """Give the best way to saw a piece.

        Raises:
            MisfitError: the piece is too small.
        """
        key = (id(layout), size, edges)
        if key not in self._sawn:
            ways = self._ways(layout, size, edges)
            self._sawn[key] = min(
                ways, key=lambda way: way.tally.key(self.job.favour), default=None
            )
        sawn = self._sawn[key]
        if sawn is None:
            raise MisfitError
        return sawn

    def _ways(self, layout: Layout, size: Size, edges: Edges) -> list[Sawn]:
        least = self.least(layout)
        if isinstance(layout, Blank) and size == least and not any(edges):
            part = PartPiece(layout.length, layout.width, layout.part, 0, layout.turned)
            return [Sawn(part, Tally())]
        ways: list[Sawn] = []
        for direction in Direction:
            start, end = edges.ends(direction)
            room = size.across(direction) - least.across(direction) - start - end
            if room < 0:
                return []
            if isinstance(layout, Split) and layout.direction is direction:
                ways += self._divide(layout, size, edges)
            elif room or start or end:
                ways += self._take_strips(layout, size, edges, direction)
        return ways

    def _divide(self, layout: Split, size: Size, edges: Edges) -> list[Sawn]:
        ways = self._try_line(layout, layout.children, size, edges)
        if ways and ways[0].tally.missing and len(layout.children) > 1:
            # Children may lie in any order; a small one at an end can bring the other
            # side within reach of a fence.
            measured = sorted(
                layout.children, key=lambda child: -self.least(child).across(layout.direction)
            )
            for order in (measured, measured[::-1]):
                ways += self._try_line(layout, order, size, edges)
        return ways

    def _try_line(
        self, layout: Split, children: Sequence[Layout], size: Size, edges: Edges
    ) -> list[Sawn]:
        direction = layout.direction
        inner = edges.with_ends(direction, 0, 0)
        try:
            bodies = []
            for child in children:
                measure = self.least(child).across(direction)
                bodies.append((measure, self.saw(child, size.cut_to(direction, measure), inner)))
            sawn, removed = _Line(self, direction, size, *edges.ends(direction), bodies).saw()
        except MisfitError:
            return []
        return [replace(sawn, gaps=(*sawn.gaps, (id(layout), removed)))]

    def _take_strips(
        self, layout: Layout, size: Size, edges: Edges, direction: Direction
    ) -> list[Sawn]:
        start, end = edges.ends(direction)
        total = size.across(direction)
        clean = self.least(layout).across(direction)
        ways = []
        for measure, end_left in {(clean, 0): None, (total - start, end): None}:
            if measure == total and not start:
                continue
            try:
                body = self.saw(
                    layout,
                    size.cut_to(direction, measure),
                    edges.with_ends(direction, 0, end_left),
                )
                line = _Line(self, direction, size, start, end - end_left, [(measure, body)])
                ways.append(line.saw()[0])
            except MisfitError:
                continue
        return ways


class _Line:
    """One piece cut by parallel cuts: [strip off the start], bodies, [leftover at the end]."""

    def __init__(
        self,
        bench: Bench,
        direction: Direction,
        size: Size,
        start: int,
        end: int,
        bodies: list[tuple[int, Sawn]],
    ) -> None:
        self.bench = bench
        self.direction = direction
        self.size = size
        self.total = size.across(direction)
        self.line = size.line(direction)
        self.start = start
        self.end = end
        self.bodies = bodies
        self.removed = 0
        # Segments: 0 is the strip at the start where there is one, the last the leftover.
        self.lead = 1 if start else 0
        self.tail = self.lead + len(bodies)
        gaps = len(bodies) - 1
        spare = self.total - start - end - sum(measure for measure, _ in bodies)
        if spare < 0:
            raise MisfitError
        self.gap = min(bench.kerf, spare // gaps) if gaps else 0

    def saw(self) -> tuple[Sawn, int]:
        """Give the tree and what the cuts between bodies remove together."""
        used = self._measure(0, self.tail - 1)
        last = self.tail if used < self.total else self.tail - 1
        sawn, removed = self._attempt(last)
        if sawn is None:
            # The saws took less than the room kept for them: the rest is a leftover.
            sawn, removed = self._attempt(self.tail)
        if sawn is None:
            raise MisfitError
        return sawn, removed

    def _attempt(self, last: int) -> tuple[Sawn | None, int]:
        self.removed = 0
        order = self._order(last)
        if last == self.tail:
            return self._build_to_end(0, last, self.total, order), self.removed
        size, sawn = self._build(0, last, order)
        if size > self.total:
            raise MisfitError
        return (sawn if size == self.total else None), self.removed

    def _measure(self, i: int, j: int) -> int:
        """Give the nominal measure of segments i to j, the leftover not among them."""
        lead = self.start if i < self.lead else 0
        first = max(i, self.lead) - self.lead
        bodies = self.bodies[first : j - self.lead + 1]
        return lead + sum(m for m, _ in bodies) + self.gap * max(0, len(bodies) - 1)

    def _holds(self, i: int, j: int) -> bool:
        return max(i, self.lead) <= min(j, self.tail - 1)

    def _nominal(self, i: int, j: int) -> int:
        if j < self.tail:
            return self._measure(i, j)
        before = self._measure(0, i - 1) + (self.gap if i > self.lead else 0) if i else 0
        return self.total - before

    def _choose(self, i: int, g: int, j: int, first: int, second: int, total: int) -> Choice:
        """Give the saw for the cut after segment g of segments i to j."""
        off_the_start = g < self.lead
        place = Place(
            self.direction,
            total,
            None if off_the_start else first,
            second if off_the_start or j < self.tail else None,
            self.line,
            self._holds(i, g),
            self._holds(g + 1, j),
        )
        return choose_saw(self.bench.job.shop, place, self.bench.stock.kind)

    def _order(self, last: int) -> dict[tuple[int, int], int]:
        """Give for each run of segments the segment after which it is cut first.

        From the reference edge on where the first saw can do that, else the order that
        asks least of the saws.
        """
        chain = {(i, last): i for i in range(last)}
        trouble = self._trouble
        if all(trouble(i, i, last) == (0, 0, 0) for i in range(last)):
            return chain
        best: dict[tuple[int, int], tuple[int, ...]] = {
            (i, i): (0, 0, 0, 0) for i in range(last + 1)
        }
        order: dict[tuple[int, int], int] = {}
        for span in range(1, last + 1):
            for i in range(last - span + 1):
                j = i + span
                costs = []
                for g in range(i, j):
                    parts = (*trouble(i, g, j), g - i), best[i, g], best[g + 1, j]
                    costs.append((tuple(map(sum, zip(*parts, strict=True))), g))
                best[i, j], order[i, j] = min(costs)
        return order

    def _trouble(self, i: int, g: int, j: int) -> tuple[int, int, int]:
        choice = self._choose(
            i, g, j, self._nominal(i, g), self._nominal(g + 1, j), self._nominal(i, j)
        )
        return int(choice.missing), int(choice.last_resort), choice.rank

    def _build(self, i: int, j: int, order: dict[tuple[int, int], int]) -> tuple[int, Sawn]:
        """Saw segments i to j, the leftover not among them; give their measure too."""
        if i == j:
            return self.bodies[i - self.lead]
        g = order.get((i, j), i)
        second_size, second = self._build(g + 1, j, order)
        if g < self.lead:
            total = self.start + second_size
            return total, self._cut(i, g, j, 0, second_size, total, None, second)
        first_size, first = self._build(i, g, order)
        kerf = self._choose(i, g, j, first_size, second_size, first_size + second_size).kerf
        total = first_size + kerf + second_size
        self.removed += kerf
        return total, self._cut(i, g, j, first_size, second_size, total, first, second)

    def _build_to_end(self, i: int, j: int, total: int, order: dict[tuple[int, int], int]) -> Sawn:
        """Saw segments i to the leftover from a piece of that measure."""
        g = order.get((i, j), i)
        if g < self.lead:
            rest = total - self.start
            second = self._build_to_end(g + 1, j, rest, order)
            return self._cut(i, g, j, 0, rest, total, None, second)
        first_size, first = self._build(i, g, order)
        rest = total - first_size
        if rest < 0 or (g == j - 1 and rest < self.end):
            raise MisfitError
        if g == j - 1:
            return first if rest == 0 else self._cut(i, g, j, first_size, 0, total, first, None)
        kerf = self._choose(i, g, j, first_size, 0, total).kerf
        self.removed += kerf
        if rest - kerf <= 0:
            raise MisfitError
        second = self._build_to_end(g + 1, j, rest - kerf, order)
        return self._cut(i, g, j, first_size, rest - kerf, total, first, second)

    def _cut(
        self,
        i: int,
        g: int,
        j: int,
        first_size: int,
        second_size: int,
        total: int,
        first: Sawn | None,
        second: Sawn | None,
    ) -> Sawn:
        choice = self._choose(i, g, j, first_size, second_size, total)
        at, removed = first_size, min(choice.kerf, total - first_size)
        if first is None:
            removed = min(choice.kerf, total - second_size)
            at = total - second_size - removed
            first = self._leftover(at)
        if second is None:
            second = self._leftover(total - at - removed)
        whole = self.size.cut_to(self.direction, total)
        node = Cut(
            Ticks(whole.length),
            Ticks(whole.width),
            self.direction,
            Ticks(at),
            Ticks(removed),
            Maker.SHOP,
            choice.name,
            0,
            first.node if first else None,
            second.node if second else None,
        )
        sides = [side for side in (first, second) if side is not None]
        own = Tally(
            int(choice.missing),
            int(choice.last_resort),
            choice.rank,
            choice.weight * self.line,
            cuts=1,
        )
        gaps = tuple(gap for side in sides for gap in side.gaps)
        return Sawn(node, reduce(Tally.__add__, (side.tally for side in sides), own), gaps)

    def _leftover(self, measure: int) -> Sawn | None:
        if measure <= 0:
            return None
        return self.bench.leftover(self.size.cut_to(self.direction, measure))


MOST_ROUNDS = 6


def raw_edges(stock: Stock) -> Edges:
    """Give what must be trimmed off the edges of a whole piece of stock."""
    across = stock.trim if stock.kind is Kind.SHEET else 0
    return Edges(stock.trim, stock.trim, across, across)


def saw_piece(job: Job, laid: LaidPiece, kerf: int) -> Sawn:
    """Give a whole piece of stock sawn at home, from a layout that fits it with ``kerf``.

    Raises:
        MisfitError: the layout does not fit.
    """
    bench = Bench(job, laid.stock, kerf)
    size = Size(laid.stock.length, laid.stock.width)
    sawn = bench.saw(laid.layout, size, raw_edges(laid.stock))
    for _ in range(MOST_ROUNDS):
        if not bench.learn(sawn.gaps):
            break
        try:
            sawn = bench.saw(laid.layout, size, raw_edges(laid.stock))
        except MisfitError:
            break
    return sawn
