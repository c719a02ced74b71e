"""What the store's saw may do to a piece of stock, and what comes of it.

A piece as the store parts it goes home in the builder's car, where it fits, and is sawn on.
Ways to part it are compared by what the store's cuts are made for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import reduce

from cutopt.model.job import Job, Kind, Stock, Store
from cutopt.model.layout import Direction
from cutopt.model.plan import STORE_SAW, Cut, Maker, Offcut, Waste
from cutopt.steps.handling import wants_two_people
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_pieces import Sawn, Size, Tally
from cutopt.units import EIGHTH, MILLIMETRE, Ticks, Units


@dataclass(frozen=True, slots=True)
class Parted:
    """A piece as the store parts it and the shop saws what comes home.

    Attributes:
        too_large: pieces with parts in them that do not fit the car.
        left: leftovers worth keeping that do not fit it, and stay at the store.
        stays: waste that does so.
        lifts: pieces that two people lift.
        off_mark: store cuts that are not on a mark of the tape (1/8 in, 1 mm).
    """

    sawn: Sawn
    cuts: int = 0
    too_large: int = 0
    left: int = 0
    stays: int = 0
    lifts: int = 0
    off_mark: int = 0

    @property
    def need(self) -> tuple[int, int]:
        """Give what store cuts are paid for: the lesser is the better."""
        return self.too_large, self.sawn.tally.missing

    @property
    def ease(self) -> tuple[int, ...]:
        """Give what store cuts that cost nothing are used for: the lesser is the better."""
        tally = self.sawn.tally
        return self.left, self.stays, tally.last_resort, self.lifts, tally.hard


Parting = dict[int, Parted]
"""The best choice for each number of store cuts; more cuts only where they serve."""


@dataclass(frozen=True, slots=True)
class StoreSaw:
    """The store's saw, for one kind of stock.

    Attributes:
        kerf: largest kerf a cut at home may have, ticks.
    """

    job: Job
    store: Store
    stock: Stock
    kerf: int

    @property
    def mark(self) -> int:
        """Finest mark an operator reads, ticks."""
        return EIGHTH if self.job.units is Units.INCH else MILLIMETRE

    @property
    def clean_up(self) -> int:
        """What must come off a store edge before it may be a part's edge, ticks."""
        return clean_up(self.job, self.kerf)

    def allows(self, size: Size) -> bool:
        """Say whether the store leaves a piece of this size; of boards the length counts."""
        least = size.length if self.stock.kind is Kind.BOARD else min(size)
        return least > 0 and least >= self.store.smallest_piece

    def fits_car(self, size: Size) -> bool:
        """Say whether the car takes a piece of this size."""
        carry = self.job.carry
        return carry is None or carry.takes(size.length, size.width, self.stock.kind)

    @property
    def loadable_area(self) -> int | None:
        """Area of the largest sheet the car takes, square ticks; None for any."""
        carry = self.job.carry
        if carry is None or carry.length is None or carry.width is None:
            return None
        return None if self.stock.kind is Kind.BOARD else carry.length * carry.width

    def home(self, sawn: Sawn, size: Size) -> Parted:
        """Give a piece that leaves the store as it is."""
        is_waste = isinstance(sawn.node, Waste)
        if self.fits_car(size):
            lifts = int(not is_waste and wants_two_people(self.stock, *size))
            return Parted(sawn, lifts=lifts)
        if is_waste:
            return Parted(sawn, stays=1)
        if isinstance(sawn.node, Offcut):
            return Parted(sawn, left=1)
        return Parted(sawn, too_large=1)

    def joined(
        self, direction: Direction, size: Size, pieces: Sequence[tuple[int, Parted]]
    ) -> Parted:
        """Give a piece cut from the reference edge on into pieces of these measures."""
        measure, last = pieces[-1]
        node = last.sawn.node
        off_mark = 0
        for first_measure, first in reversed(pieces[:-1]):
            measure += first_measure + self.store.kerf
            whole = size.cut_to(direction, measure)
            off_mark += first_measure % self.mark != 0
            node = Cut(
                Ticks(whole.length),
                Ticks(whole.width),
                direction,
                Ticks(first_measure),
                self.store.kerf,
                Maker.STORE,
                STORE_SAW,
                0,
                first.sawn.node,
                node,
            )
        parted = [piece for _, piece in pieces]
        tally = reduce(Tally.plus, (piece.sawn.tally for piece in parted))
        gaps = tuple(gap for piece in parted for gap in piece.sawn.gaps)
        return Parted(
            Sawn(node, tally, gaps),
            sum(piece.cuts for piece in parted) + len(pieces) - 1,
            sum(piece.too_large for piece in parted),
            sum(piece.left for piece in parted),
            sum(piece.stays for piece in parted),
            sum(piece.lifts for piece in parted),
            sum(piece.off_mark for piece in parted) + off_mark,
        )

    def best(self, ways: Iterable[Parted]) -> Parting:
        """Give the best way for each number of cuts, leaving out cuts that serve nothing."""
        best: Parting = {}
        favour = self.job.favour
        for way in sorted(
            ways,
            key=lambda way: (
                way.cuts,
                way.need,
                way.ease,
                way.off_mark,
                way.sawn.tally.key(favour),
            ),
        ):
            if way.cuts not in best and all(
                self._gain(way, way.cuts) < self._gain(fewer, way.cuts) for fewer in best.values()
            ):
                best[way.cuts] = way
        return best

    def _gain(self, way: Parted, cuts: int) -> tuple[int, ...]:
        """Give what that many store cuts may be made for: the lesser is the better.

        What costs a fee is for need alone. Boards are crosscut for the car only, sheets also
        to spare work.
        """
        if store_fee(self.job, cuts) > 0:
            return way.need
        if self.stock.kind is Kind.BOARD:
            return *way.need, way.left
        return *way.need, *way.ease


def clean_up(job: Job, kerf: int) -> int:
    """Give what must come off a store edge before it may be a part's edge, ticks."""
    if job.store is None or not job.store.rough:
        return 0
    return job.store.allowance or max(1, kerf)
