"""One piece sawn by parallel cuts: in which order, with which saws, to which sizes."""

from __future__ import annotations

from functools import reduce
from itertools import accumulate

from cutopt.model.job import Stock
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker
from cutopt.steps.sawing_pieces import MisfitError, Sawn, Size, Tally, leftover
from cutopt.steps.sawing_saws import Choice, Place, Rack
from cutopt.units import Ticks


class Line:
    """One piece cut by parallel cuts: [strip off the start], bodies, [leftover at the end]."""

    def __init__(
        self,
        rack: Rack,
        stock: Stock,
        kerf: int,
        direction: Direction,
        size: Size,
        start: int,
        end: int,
        bodies: list[tuple[int, Sawn]],
    ) -> None:
        self.rack = rack
        self.stock = stock
        self.direction = direction
        self.size = size
        self.total = size.across(direction)
        self.line = size.line(direction)
        self.start = start
        self.end = end
        self.bodies = bodies
        self.removed = 0
        self.hangs_on_kerf = False
        # Segments: 0 is the strip at the start where there is one, the last the leftover.
        self.lead = 1 if start else 0
        self.tail = self.lead + len(bodies)
        gaps = len(bodies) - 1
        self.past = [0, *accumulate(measure for measure, _ in bodies)]
        spare = self.total - start - end - self.past[-1]
        if spare < 0:
            raise MisfitError
        self.gap = min(kerf, spare // gaps) if gaps else 0

    def saw(self) -> tuple[Sawn, int]:
        """Give the tree and what the cuts between bodies remove together."""
        used = self._measure(0, self.tail - 1)
        last = self.tail if used < self.total else self.tail - 1
        sawn, removed = self._attempt(last, self._order(last))
        if sawn is None:
            # The saws took less than the room kept for them: the rest is a leftover.
            sawn, removed = self._attempt(self.tail, self._order(self.tail))
        if self.hangs_on_kerf:
            # Behind the cut lies the leftover, which takes what the blade leaves: a hair too
            # much for the fence of a better saw. With the leftover off first, both sides of
            # every cut are settled, whatever the kerf.
            leftover_off = {(0, self.tail): self.tail - 1}
            sawn, removed = self._attempt(self.tail, self._order(self.tail - 1) | leftover_off)
        if sawn is None:
            raise MisfitError
        return sawn, removed

    def _attempt(self, last: int, order: dict[tuple[int, int], int]) -> tuple[Sawn | None, int]:
        self.removed = 0
        if last == self.tail:
            return self._build_to_end(0, last, self.total, order), self.removed
        size, sawn = self._build(0, last, order)
        if size > self.total:
            raise MisfitError
        return (sawn if size == self.total else None), self.removed

    def _measure(self, i: int, j: int) -> int:
        """Give the nominal measure of segments i to j, the leftover not among them."""
        lead = self.start if i < self.lead else 0
        first, past = max(i - self.lead, 0), j - self.lead + 1
        if past <= first:
            return lead
        return lead + self.past[past] - self.past[first] + self.gap * (past - first - 1)

    def _nominal(self, i: int, j: int) -> int:
        if j < self.tail:
            return self._measure(i, j)
        before = self._measure(0, i - 1) + (self.gap if i > self.lead else 0) if i else 0
        return self.total - before

    def _choose(self, g: int, j: int, first: int, second: int, total: int) -> Choice:
        """Give the saw for the cut after segment g of segments i to j."""
        # Only the strip at the start and the leftover hold no part.
        off_the_start, off_the_end = g < self.lead, g == self.tail - 1
        return self.rack.choose(
            Place(
                self.direction,
                total,
                None if off_the_start else first,
                second if off_the_start or j < self.tail else None,
                self.line,
                not off_the_start,
                not off_the_end,
            )
        )

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
            g, j, self._nominal(i, g), self._nominal(g + 1, j), self._nominal(i, j)
        )
        return choice.missing, choice.last_resort, choice.rank

    def _build(self, i: int, j: int, order: dict[tuple[int, int], int]) -> tuple[int, Sawn]:
        """Saw segments i to j, the leftover not among them; give their measure too."""
        if i == j:
            return self.bodies[i - self.lead]
        g = order.get((i, j), i)
        second_size, second = self._build(g + 1, j, order)
        if g < self.lead:
            total = self.start + second_size
            choice = self._choose(g, j, 0, second_size, total)
            return total, self._cut(choice, 0, second_size, total, None, second)
        first_size, first = self._build(i, g, order)
        choice = self._choose(g, j, first_size, second_size, first_size + second_size)
        total = first_size + choice.kerf + second_size
        self.removed += choice.kerf
        return total, self._cut(choice, first_size, second_size, total, first, second)

    def _build_to_end(self, i: int, j: int, total: int, order: dict[tuple[int, int], int]) -> Sawn:
        """Saw segments i to the leftover from a piece of that measure."""
        g = order.get((i, j), i)
        if g < self.lead:
            rest = total - self.start
            second = self._build_to_end(g + 1, j, rest, order)
            return self._cut(self._choose(g, j, 0, rest, total), 0, rest, total, None, second)
        first_size, first = self._build(i, g, order)
        rest = total - first_size
        if rest < (self.end if g == j - 1 else 1):
            raise MisfitError
        if rest == 0:
            return first
        choice = self._choose(g, j, first_size, 0, total)
        if g == j - 1:
            return self._cut(choice, first_size, 0, total, first, None)
        rest -= choice.kerf
        self.removed += choice.kerf
        if rest <= 0:
            raise MisfitError
        second = self._build_to_end(g + 1, j, rest, order)
        return self._cut(choice, first_size, rest, total, first, second)

    def _cut(
        self,
        choice: Choice,
        first_size: int,
        second_size: int,
        total: int,
        first: Sawn | None,
        second: Sawn | None,
    ) -> Sawn:
        self.hangs_on_kerf |= choice.hangs_on_kerf
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
            choice.missing,
            choice.last_resort,
            choice.rank,
            choice.weight * self.line,
            cuts=1,
        )
        gaps = tuple(gap for side in sides for gap in side.gaps)
        return Sawn(node, reduce(Tally.plus, (side.tally for side in sides), own), gaps)

    def _leftover(self, measure: int) -> Sawn | None:
        if measure <= 0:
            return None
        return leftover(self.rack.shop, self.stock, self.size.cut_to(self.direction, measure))
