"""From layouts to sawn pieces of the whole job, planned again where store and car ask for it.

A layout knows nothing of rough edges and cars. It is planned, parted at the store and sawn;
where that leaves a piece that does not fit the car, or a cut no saw makes, layouts are asked
for again that leave room for store edges, or that fit the pieces a car takes, two or three
to a sheet. The cheapest that leaves least amiss is kept; what the first layouts prove about
the least cost stays true, since more is asked of the others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from cutopt.errors import CannotPlanError
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Job, Kind, Material, PlanWarning, Stock
from cutopt.model.layout import Direction, LaidPiece, MaterialLayout, Split
from cutopt.model.plan import Maker, Measure, StockPiece
from cutopt.steps.money import format_money
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_numbers import Counts, number
from cutopt.steps.sawing_pieces import Size
from cutopt.steps.sawing_rounds import saw_piece
from cutopt.steps.sawing_saws import kerfs, store_may_cut
from cutopt.steps.sawing_store import clean_up
from cutopt.steps.sawing_warnings import cuts_without_saw, sawing_warnings, too_large_for_car
from cutopt.units import Ticks


class Solve(Protocol):
    """Who lays a material out."""

    def __call__(
        self,
        material: Material,
        spare_length: Ticks,
        spare_width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
    ) -> MaterialLayout:
        """Give layouts that leave that much of every bought piece free.

        ``without`` names stock not to be used; a draft is made with less effort. Raises
        CannotPlanError where there are none.
        """


RESERVES_FOR_CAR = ((1, 0), (0, 1), (1, 1), (2, 1))
"""Store cuts that layouts are asked to leave room for, (along, across), where the first
layouts leave pieces that do not fit the car."""

RESERVES_FOR_SAWS = ((1, 0), (0, 1))
"""The same where they only leave cuts that no saw at home makes."""

MOST_PROMISING = 2
"""Drafts that are made again with full effort."""


@dataclass(frozen=True, slots=True)
class SawnJob:
    """Every piece of stock sawn, the layouts it comes from, and what the builder must know."""

    layouts: tuple[MaterialLayout, ...]
    pieces: tuple[StockPiece, ...]
    warnings: tuple[PlanWarning, ...] = ()


@dataclass(frozen=True, slots=True)
class _Sawn:
    """The layouts of a material and their trees, not numbered yet."""

    layout: MaterialLayout
    pieces: tuple[StockPiece, ...]
    amiss: tuple[int, int]
    """Pieces that do not fit the car, cuts that no saw makes."""
    cost: tuple[int, int]
    """Stock and the store's fees: together, or one after the other where stock has no price."""

    @property
    def worth(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """What two ways are compared by: the lesser is the better."""
        return self.amiss, self.cost


@dataclass(frozen=True, slots=True)
class _Way:
    """What a layout is asked for.

    Attributes:
        length, width: to be left free of every bought piece.
        without: names of stock not to be used.
        parting: the direction and number of even parts of a piece the layout is for.
    """

    length: Ticks = Ticks(0)
    width: Ticks = Ticks(0)
    without: frozenset[str] = frozenset()
    parting: tuple[Direction, int] | None = None


def saw_job(job: Job, solve: Solve) -> SawnJob:
    """Give the whole job sawn: sheets first, materials in the order of the bill of parts.

    Raises:
        CannotPlanError: from ``solve``: a part fits no stock, or stock runs out.
    """
    materials = sorted(job.materials, key=lambda material: material.kind is Kind.BOARD)
    counts = Counts(
        {part.id: part.qty for part in job.parts}, {part.id: part.name for part in job.parts}, {}
    )
    layouts: list[MaterialLayout] = []
    pieces: list[StockPiece] = []
    numbers = {Kind.SHEET: 0, Kind.BOARD: 0}
    for material in materials:
        sawn = _saw_material(job, material, solve)
        layouts.append(sawn.layout)
        for piece in sawn.pieces:
            kind = piece.stock.kind
            numbers[kind] += 1
            piece_id = f"{'S' if kind is Kind.SHEET else 'L'}{numbers[kind]}"
            pieces.append(StockPiece(piece_id, piece.stock, number(piece_id, piece.layout, counts)))
    return SawnJob(tuple(layouts), tuple(pieces), tuple(sawing_warnings(job, pieces)))


def _saw_material(job: Job, material: Material, solve: Solve) -> _Sawn:
    """Give the best way found to lay out and saw one material."""
    first = _saw(job, solve(material, Ticks(0), Ticks(0)))
    best = first
    if any(first.amiss) or any(_fee(job, piece) for piece in first.pieces):
        # Drafts come quickly and mostly do; full effort is for the most promising of them
        # where something stays amiss.
        drafts = []
        for way in _ways(job, first):
            sawn = _lay_and_saw(job, material, way, solve, draft=True)
            if sawn is not None:
                drafts.append((sawn, way))
                if not any(sawn.amiss) and sawn.cost <= first.cost:
                    break
        drafts.sort(key=lambda tried: tried[0].worth)
        best = min([first, *(sawn for sawn, _ in drafts)], key=lambda sawn: sawn.worth)
        if any(best.amiss):
            for _, way in drafts[:MOST_PROMISING]:
                sawn = _lay_and_saw(job, material, way, solve, draft=False)
                if sawn is not None and sawn.worth < best.worth:
                    best = sawn
    if best is first:
        return first
    kept = replace(best.layout, lower_bound=first.layout.lower_bound, why=first.layout.why)
    if measure_of(job, material) is Measure.PRICE and kept.cost > first.layout.cost:
        cheaper = format_money(first.layout.cost, job.currency)
        limits = f"{cheaper} would do if the store and the car set no limits"
        kept = replace(kept, why=f"{kept.why}; {limits}" if kept.why else limits)
    return replace(best, layout=kept)


def _saw(job: Job, layout: MaterialLayout) -> _Sawn:
    kerf = kerfs(job, layout.material)[0]
    alike = {laid: saw_piece(job, laid, kerf).node for laid in dict.fromkeys(layout.pieces)}
    pieces = tuple(StockPiece("", laid.stock, alike[laid]) for laid in layout.pieces)
    fees = sum(_fee(job, piece) for piece in pieces)
    priced = measure_of(job, layout.material) is Measure.PRICE
    return _Sawn(
        layout,
        pieces,
        (
            sum(len(too_large_for_car(job, piece)) for piece in pieces),
            sum(len(cuts_without_saw(job, piece.layout)) for piece in pieces),
        ),
        (layout.cost + fees, 0) if priced else (layout.cost, fees),
    )


def _fee(job: Job, piece: StockPiece) -> int:
    return store_fee(job, sum(cut.by is Maker.STORE for cut in piece.cuts()))


def _lay_and_saw(
    job: Job, material: Material, way: _Way, solve: Solve, *, draft: bool
) -> _Sawn | None:
    """Give a material laid out and sawn that way, or None where there is no such layout."""
    try:
        layout = solve(material, way.length, way.width, way.without, draft)
    except CannotPlanError:
        return None
    if way.parting is not None:
        pieces = _side_by_side(layout.pieces, *way.parting)
        measure = measure_of(job, material)
        cost = sum(cost_of(laid.stock, measure) for laid in pieces)
        layout = replace(layout, pieces=pieces, cost=cost)
    return _saw(job, layout)


def _ways(job: Job, first: _Sawn) -> Iterator[_Way]:
    """Yield what to ask for, so that layouts ask less of the store and the car."""
    material = first.layout.material
    if first.amiss[0]:
        rows = [row for row in job.stock if row.material == material and not row.owned]
        too_large = frozenset(row.name for row in rows if not _fits_car(job, row))
        if len(too_large) < len(rows):
            yield _Way(without=too_large)
    bought = next((piece.stock for piece in first.pieces if not piece.stock.owned), None)
    if bought is None or not store_may_cut(job, material, owned=False):
        return
    for direction, count in _partings(job, bought):
        reserve = Ticks(_reserve_of_part(job, bought, direction, count))
        if direction is Direction.CROSSCUT:
            yield _Way(length=reserve, parting=(direction, count))
        else:
            yield _Way(width=reserve, parting=(direction, count))
    unit = 2 * clean_up(job, kerfs(job, material)[0])
    for along, across in _reserves(first) if unit else ():
        if material.kind is Kind.SHEET or not across:
            yield _Way(Ticks(along * unit), Ticks(across * unit))


def _fits_car(job: Job, stock: Stock) -> bool:
    return job.carry is None or job.carry.takes(stock.length, stock.width, stock.kind)


def _reserves(first: _Sawn) -> tuple[tuple[int, int], ...]:
    too_large, missing = first.amiss
    if too_large:
        return RESERVES_FOR_CAR
    return RESERVES_FOR_SAWS if missing else ()


def _partings(job: Job, stock: Stock) -> list[tuple[Direction, int]]:
    """Give the ways to part a whole piece evenly, by one or two cuts, so that a car takes it."""
    carry = job.carry
    if carry is None or carry.takes(stock.length, stock.width, stock.kind):
        return []
    ways = []
    for direction in Direction:
        if stock.kind is Kind.BOARD and direction is Direction.RIP:
            continue
        for count in (2, 3):
            measure = _part_measure(job, stock, direction, count)
            size = Size(stock.length, stock.width).cut_to(direction, measure)
            if measure > 0 and carry.takes(size.length, size.width, stock.kind):
                ways.append((direction, count))
                break
    return ways


def _part_measure(job: Job, stock: Stock, direction: Direction, count: int) -> int:
    kerf = job.store.kerf if job.store is not None else 0
    total = Size(stock.length, stock.width).across(direction)
    return (total - kerf * (count - 1)) // count


def _reserve_of_part(job: Job, stock: Stock, direction: Direction, count: int) -> int:
    """Give the reserve that leaves the clean size of one of ``count`` even parts."""
    trim = stock.trim if direction is Direction.CROSSCUT or stock.kind is Kind.SHEET else 0
    edge = clean_up(job, kerfs(job, stock.material)[0])
    ends = trim + edge if count == 2 else max(trim + edge, 2 * edge)
    total = Size(stock.length, stock.width).across(direction)
    return total - 2 * trim - (_part_measure(job, stock, direction, count) - ends)


def _side_by_side(
    pieces: Sequence[LaidPiece], direction: Direction, count: int
) -> tuple[LaidPiece, ...]:
    """Give bought pieces with ``count`` layouts each, owned ones as they are."""
    merged: list[LaidPiece] = []
    waiting: dict[str, list[LaidPiece]] = {}
    for laid in pieces:
        if laid.stock.owned:
            merged.append(laid)
        else:
            waiting.setdefault(laid.stock.name, []).append(laid)
    for same in waiting.values():
        for i in range(0, len(same), count):
            layouts = tuple(laid.layout for laid in same[i : i + count])
            layout = layouts[0] if len(layouts) == 1 else Split(direction, layouts)
            merged.append(LaidPiece(same[i].stock, layout))
    return tuple(merged)
