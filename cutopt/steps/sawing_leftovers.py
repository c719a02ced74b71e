"""A leftover at the store: taken home whole, cut up for the car, or left there."""

from __future__ import annotations

from collections.abc import Iterator

from cutopt.model.job import Kind
from cutopt.model.layout import Direction
from cutopt.steps.sawing_pieces import Size, leftover
from cutopt.steps.sawing_store_saw import Parted, Parting, StoreSaw

MOST_CUTS_FOR_LEFTOVER = 2
"""Free store cuts spent on one leftover to get it into the car; our own choice."""


class Leftovers:
    """Parts leftovers of one kind of stock, remembering what was found.

    Attributes:
        halved: how often a cut was tried; a measure of the work done.
    """

    def __init__(self, saw: StoreSaw) -> None:
        self._saw = saw
        self._found: dict[tuple[Size, int], Parting] = {}
        self.halved = 0

    def parted(self, size: Size, most: int) -> Parting:
        """Give a leftover, whole or cut up so that all of it worth keeping fits the car.

        At most ``most`` cuts are made, and no more than a leftover is worth.
        """
        saw = self._saw
        most = min(most, MOST_CUTS_FOR_LEFTOVER)
        key = (size, most)
        if key not in self._found:
            whole = saw.home(leftover(saw.job.shop, saw.stock, size), size)
            ways = [whole]
            if most > 0 and whole.left:
                for direction, mark in self._marks(size):
                    ways += self._halve(size, direction, mark, most)
            self._found[key] = saw.best(ways)
        return self._found[key]

    def _marks(self, size: Size) -> Iterator[tuple[Direction, int]]:
        """Yield where to cut a leftover: at what the car just takes, and in the middle."""
        carry = self._saw.job.carry
        if carry is None:
            return
        is_board = self._saw.stock.kind is Kind.BOARD
        limits = (carry.boards if is_board else None, carry.length, carry.width)
        for direction in (Direction.CROSSCUT,) if is_board else tuple(Direction):
            across = size.across(direction)
            marks = {mark for mark in (*limits, across // 2) if mark is not None}
            yield from (
                (direction, mark) for mark in sorted(marks) if mark < across - self._saw.store.kerf
            )

    def _halve(self, size: Size, direction: Direction, mark: int, most: int) -> list[Parted]:
        saw = self._saw
        self.halved += 1
        rest = size.across(direction) - mark - saw.store.kerf
        first, second = size.cut_to(direction, mark), size.cut_to(direction, rest)
        if not (saw.allows(first) and saw.allows(second)):
            return []
        return [
            saw.joined(direction, size, [(mark, one), (rest, other)])
            for one in self.parted(first, most - 1).values()
            for other in self.parted(second, most - 1 - one.cuts).values()
            if not (one.left or other.left)
        ]
