"""The store's saw at work on one piece of stock: every way to part it, within a limit of work.

The store's cuts are the first of the tree: some of the gaps between the children of the
layout, then across some of the pieces that come off, and so on; or a strip off the whole.
Where children may be taken in other orders, also cuts between any of them and the others, and
cuts through all of them. For each number of cuts the best choice is kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutopt.model.job import Kind
from cutopt.model.layout import Direction, Layout, Split, blanks_of
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_leftovers import Leftovers
from cutopt.steps.sawing_pieces import Edges, MisfitError, Size
from cutopt.steps.sawing_store_line import Piece, Search, StoreLine
from cutopt.steps.sawing_store_saw import Parted, Parting, StoreSaw


class _TooMuchError(Exception):
    """Looking at every way to part a piece takes too long."""


class Counter:
    """Parts one piece of stock, remembering what became of the pieces on the way.

    Attributes:
        search: how widely to look.
        tried: pieces of a line tried in other orders; a measure of the work done.
    """

    def __init__(self, saw: StoreSaw, bench: Bench) -> None:
        self.saw = saw
        self.bench = bench
        self.leftovers = Leftovers(saw)
        self.search = Search(0)
        self.tried = 0
        self._last_work = 0
        self._areas: dict[int, int] = {}
        self._parted: dict[tuple[int, Size, Edges, bool, tuple[Direction, ...], int], Parting] = {}

    @property
    def work(self) -> int:
        """Saws asked for and cuts tried so far."""
        return self.bench.rack.asked + self.leftovers.halved + self.tried

    def part(self, layout: Layout, edges: Edges, search: Search, work: int) -> Parting | None:
        """Give the ways to part the whole piece, or None where they take more than that work."""
        self.search = search
        if search.regroup and not self.bench.keeps_levels:
            self.bench.regroup_until = self.bench.rack.asked + work
        self._parted.clear()
        self._last_work = self.work + work
        stock = self.saw.stock
        whole = Piece(layout, Size(stock.length, stock.width), edges)
        try:
            return self.ways(whole, divide=True, strips=tuple(Direction), most=search.most_cuts)
        except _TooMuchError:
            return None
        finally:
            self.bench.regroup_until = 0

    def ways(
        self, piece: Piece, *, divide: bool, strips: tuple[Direction, ...], most: int
    ) -> Parting:
        """Give the ways to part a piece.

        Args:
            piece: with its layout and size, and what must come off its edges at home.
            divide: whether the store may cut between the layout's own children.
            strips: directions in which it may take a strip off the whole.
            most: cuts that are left to make.
        """
        layout, size, edges = piece
        if isinstance(layout, Split) and layout.ordered:
            # Marks and rough edges would come between the neighbours.
            divide = False
        key = (id(layout), size, edges, divide, strips, most)
        if key not in self._parted:
            ways = self._home(piece)
            if (
                most > 0
                and self._within_reach(layout, most)
                and not (ways and self._is_well(ways[0]))
            ):
                if self.work > self._last_work:
                    raise _TooMuchError
                for line in self._lines(piece, divide=divide, strips=strips, most=most):
                    ways += line.ways()
            self._parted[key] = self.saw.best(ways)
        return self._parted[key]

    def _home(self, piece: Piece) -> list[Parted]:
        """Give the piece as it goes home, unless it cannot."""
        layout, size, edges = piece
        if self.search.rejects((1, 0)) and not self.saw.fits_car(size):
            return []
        try:
            home = self.saw.home(self.bench.saw(layout, size, edges), size)
        except MisfitError:
            return []
        return [] if self.search.rejects(home.need) else [home]

    def _within_reach(self, layout: Layout, most: int) -> bool:
        """Say whether so many cuts can leave pieces that all fit the car, where all have to."""
        loadable = self.saw.loadable_area
        if loadable is None or not self.search.rejects((1, 0)):
            return True
        area = self._areas.get(id(layout))
        if area is None:
            area = sum(blank.length * blank.width for blank in blanks_of(layout))
            self._areas[id(layout)] = area
        return area <= (most + 1) * loadable

    def _is_well(self, home: Parted) -> bool:
        """Say whether a piece can go home as it is."""
        return not (any(home.need) or (any(home.ease) and not self.search.needs_only))

    def _lines(
        self, piece: Piece, *, divide: bool, strips: tuple[Direction, ...], most: int
    ) -> Iterator[StoreLine]:
        """Yield the lines of cuts to try on a piece."""
        layout = piece.layout
        # Cuts through all children, and between them once a strip is off, add levels of cuts.
        regroup = self.search.regroup and not self.bench.keeps_levels
        for direction in Direction:
            if self.saw.stock.kind is Kind.BOARD and direction is Direction.RIP:
                continue
            if isinstance(layout, Split) and layout.direction is direction and divide:
                yield StoreLine(self, piece, direction, strips, most)
            elif direction in strips:
                divide_strip = divide or regroup
                yield StoreLine(self, piece, direction, strips, most, divide_strip=divide_strip)
            if regroup and isinstance(layout, Split) and layout.direction is not direction:
                for split in self._through(piece, layout, direction):
                    parted = piece._replace(layout=split)
                    yield StoreLine(self, parted, direction, strips, most, apart=True)

    def _through(self, piece: Piece, layout: Split, direction: Direction) -> Sequence[Split]:
        """Give the layout of a piece parted by a cut of that direction through all children."""
        if layout.ordered:
            return ()
        self.tried += len(layout.children)
        room = piece.size.across(direction) - sum(piece.edges.ends(direction))
        room -= self.saw.store.kerf + 2 * self.saw.clean_up
        return self.bench.groups.through(layout, self.bench.least, room)
