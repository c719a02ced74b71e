"""Saw a layout at home: from blanks side by side to a tree of cuts over a piece.

A piece is a rectangle with the blanks it must yield. It is cut either between the
children of its layout, or across them to take a strip off the whole. What is left over
goes to the far end of each line of children. Each cut is given a saw first, so positions
shift with the kerf of the saw that makes it; the room that lines of blanks need is
therefore found by sawing again with the kerfs of the time before, until nothing moves.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from cutopt.model.job import Job, Kind, Stock
from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.model.plan import PartPiece
from cutopt.steps.sawing_groups import Groups
from cutopt.steps.sawing_line import Line
from cutopt.steps.sawing_pieces import Edges, MisfitError, Sawn, Size, Tally
from cutopt.steps.sawing_saws import Rack


@dataclass(slots=True)
class Bench:
    """Saws pieces of one kind of stock at home, remembering what it has sawn.

    Attributes:
        kerf: largest kerf any cut may have; layouts fit with it.
        gaps: what the cuts of a split remove together, where known from an earlier round.
        regroup_until: where no saw makes a cut, cuts through all children are tried, too, until
            the rack has been asked so often.
    """

    job: Job
    stock: Stock
    kerf: int
    gaps: dict[int, int] = field(default_factory=dict)
    regroup_until: int = 0
    groups: Groups = field(default_factory=Groups)
    _sawn: dict[tuple[int, Size, Edges, bool], Sawn | None] = field(default_factory=dict)
    _least: dict[int, Size] = field(default_factory=dict)
    _cuts: dict[int, int] = field(default_factory=dict)
    rack: Rack = field(init=False)

    def __post_init__(self) -> None:
        """Lay the saws out."""
        self.rack = Rack(self.job.shop, self.stock.kind)

    @property
    def keeps_levels(self) -> bool:
        """Say whether the job limits the levels of cuts: cuts through all children add some."""
        return self.job.shop.stages is not None and self.stock.kind is Kind.SHEET

    @property
    def _tools(self) -> tuple[Rack, Stock, int]:
        return self.rack, self.stock, self.kerf

    def learn(self, gaps: Iterable[tuple[int, int]]) -> bool:
        """Take over the kerfs of a round; say whether anything changed."""
        changed = False
        for split, removed in gaps:
            changed |= self._room(split) != removed
            self.gaps[split] = removed
        self._sawn.clear()
        self._least.clear()
        self.groups.measure_again()
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

    def saw(self, layout: Layout, size: Size, edges: Edges) -> Sawn:
        """Give the best way to saw a piece.

        Raises:
            MisfitError: the piece is too small.
        """
        key = (id(layout), size, edges, self.regroup_until > 0)
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
        if (
            self.rack.asked < self.regroup_until
            and isinstance(layout, Split)
            and not layout.ordered
            and all(way.tally.missing for way in ways)
        ):
            ways += self._divide_through(layout, size, edges)
        return ways

    def _divide_through(self, layout: Split, size: Size, edges: Edges) -> list[Sawn]:
        """Give the ways that begin with a cut through all children."""
        across = layout.direction.other
        room = size.across(across) - sum(edges.ends(across))
        return [
            way
            for split in self.groups.through(layout, self.least, room)
            if self.least(split).across(across) <= room
            for way in self._divide(split, size, edges)
        ]

    def _divide(self, layout: Split, size: Size, edges: Edges) -> list[Sawn]:
        ways = self._try_line(layout, layout.children, size, edges)
        if ways and ways[0].tally.missing and len(layout.children) > 1 and not layout.ordered:
            # Children may lie in any order; a small one at an end can bring the other
            # side within reach of a fence.
            measured = sorted(
                layout.children, key=lambda child: -self.least(child).across(layout.direction)
            )
            # With strips off both ends, small ones belong at both.
            hill = [*measured[-2:-1], *measured[:-2], *measured[-1:]]
            for order in (measured, measured[::-1], hill):
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
            sawn, removed = Line(
                *self._tools, direction, size, *edges.ends(direction), bodies
            ).saw()
        except MisfitError:
            return []
        return [sawn._replace(gaps=(*sawn.gaps, (id(layout), removed)))]

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
                line = Line(*self._tools, direction, size, start, end - end_left, [(measure, body)])
                ways.append(line.saw()[0])
            except MisfitError:
                continue
        return ways
