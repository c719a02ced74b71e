"""What to ask of layouts so that the store, the car and the saws at home can do with them.

Stock the car does not take is left out; or layouts are made for a half or a third of a piece
and laid side by side on it; or sheets are laid out by rules: the first cuts, which the store or
a saw with a guide can make, go one way, take what their rough edges need, and leave strips
that the car takes or a fence has room for. On boards room for store edges is kept free.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from cutopt.model.job import Job, Kind, Material, SawKind, Stock
from cutopt.model.layout import Direction, LaidPiece, MaterialLayout, Split
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.sawing_pieces import Size
from cutopt.steps.sawing_saws import kerfs, store_may_cut
from cutopt.steps.sawing_store_saw import clean_up
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
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        """Give layouts that leave that much of every bought piece free and keep the rules.

        ``without`` names stock not to be used; a draft is made with less effort; layouts that
        cost no more than ``enough`` need be no cheaper. Raises CannotPlanError where there are
        none.
        """


@dataclass(frozen=True, slots=True)
class Parting:
    """A whole piece of stock parted evenly by one or two parallel cuts."""

    direction: Direction
    count: int


@dataclass(frozen=True, slots=True)
class Way:
    """What layouts are asked for.

    Attributes:
        length, width: to be left free of every bought piece.
        without: names of stock not to be used.
        parting: the parts of a piece the layouts are for.
        rules: that layouts of sheets keep to.
    """

    length: Ticks = Ticks(0)
    width: Ticks = Ticks(0)
    without: frozenset[str] = frozenset()
    parting: Parting | None = None
    rules: CuttingRules = NO_RULES


def ways(
    job: Job, material: Material, used: Sequence[Stock], amiss: tuple[int, int]
) -> Iterator[Way]:
    """Yield what to ask for, so that layouts ask less of the store and the car.

    Args:
        job: with the car and the saws.
        material: to be laid out.
        used: stock the first layouts of it use.
        amiss: pieces of those that do not fit the car, cuts that no saw makes.
    """
    rows = [row for row in job.stock if row.material == material and not row.owned]
    if amiss[0]:
        too_large = frozenset(row.name for row in rows if not _fits_car(job, row))
        if len(too_large) < len(rows):
            yield Way(without=too_large)
    bought = list(dict.fromkeys(stock for stock in used if not stock.owned))
    at_store = bool(bought) and store_may_cut(job, material, owned=False)
    if at_store:
        yield from dict.fromkeys(
            _way_of_parts(job, rows, stock, parting)
            for stock in bought
            for parting in _partings(job, stock)
        )
    if material.kind is Kind.BOARD:
        edge = 2 * clean_up(job, kerfs(job, material)[0])
        if at_store and any(amiss) and edge:
            yield Way(length=Ticks(edge))
    elif at_store and amiss[0]:
        yield from dict.fromkeys(_ways_for_car(job, bought))
    elif amiss[1]:
        yield from dict.fromkeys(ways_for_saws(job, material, at_store=at_store))


def _ways_for_car(job: Job, bought: Sequence[Stock]) -> Iterator[Way]:
    """Yield rules by which the store's first cuts leave pieces for the car.

    Strips across the whole sheet where the car takes any; else, or where a part is too long for
    those, strips that are cut to length at the store, too.
    """
    carry = job.carry
    if carry is None:
        return
    limits = sorted({limit for limit in (carry.length, carry.width) if limit}, reverse=True)
    for stock in bought:
        edge = clean_up(job, kerfs(job, stock.material)[0])
        ends = edge + max(edge, stock.trim)
        size = Size(stock.length, stock.width)
        for direction in Direction:
            for limit in limits:
                if limit < size.across(direction) and carry.takes(
                    *size.cut_to(direction, limit), stock.kind
                ):
                    strips = CuttingRules(None, direction, Ticks(2 * edge), 1, Ticks(limit - ends))
                    yield Way(rules=strips)
                    break
        # Between two store cuts lie two rough edges, beside the sheet's own edge only one.
        for edges in dict.fromkeys((ends, edge + stock.trim)):
            for direction in Direction:
                narrow = Ticks(limits[-1] - edges) if limits[-1] < size.across(direction) else None
                yield Way(rules=CuttingRules(None, direction, Ticks(2 * edge), 2, narrow))


def ways_for_saws(job: Job, material: Material, *, at_store: bool) -> Iterator[Way]:
    """Yield rules by which the first cuts leave strips that the saws at home can go on with."""
    edge = clean_up(job, kerfs(job, material)[0]) if at_store else 0
    capacities = [saw.rip_capacity for saw in job.shop.saws if saw.kind is SawKind.TABLE]
    widest = None
    if capacities and None not in capacities:
        widest = Ticks(max(filter(None, capacities)) - 2 * edge)
    for direction in Direction:
        yield Way(rules=CuttingRules(None, direction, Ticks(2 * edge), 1, widest))
    for direction in Direction:
        yield Way(rules=CuttingRules(None, direction, Ticks(2 * edge), 2))


def side_by_side(pieces: Sequence[LaidPiece], parting: Parting) -> tuple[LaidPiece, ...]:
    """Give bought pieces with as many layouts each as they have parts, owned ones as they are."""
    merged: list[LaidPiece] = []
    waiting: dict[str, list[LaidPiece]] = {}
    for laid in pieces:
        if laid.stock.owned:
            merged.append(laid)
        else:
            waiting.setdefault(laid.stock.name, []).append(laid)
    for same in waiting.values():
        for i in range(0, len(same), parting.count):
            layouts = tuple(laid.layout for laid in same[i : i + parting.count])
            layout = layouts[0] if len(layouts) == 1 else Split(parting.direction, layouts)
            merged.append(LaidPiece(same[i].stock, layout))
    return tuple(merged)


def _fits_car(job: Job, stock: Stock) -> bool:
    return job.carry is None or job.carry.takes(stock.length, stock.width, stock.kind)


def _partings(job: Job, stock: Stock) -> list[Parting]:
    """Give the ways to part a whole piece evenly, by one or two cuts, so that a car takes it."""
    if _fits_car(job, stock):
        return []
    partings = []
    for direction in Direction:
        if stock.kind is Kind.BOARD and direction is Direction.RIP:
            continue
        for count in (2, 3):
            if _part_fits_car(job, stock, Parting(direction, count)):
                partings.append(Parting(direction, count))
                break
    return partings


def _way_of_parts(job: Job, rows: Sequence[Stock], stock: Stock, parting: Parting) -> Way:
    """Give the way to lay out parts of one stock; other stock only where its parts do too."""
    reserve = _reserve_of_part(job, stock, parting)
    without = frozenset(
        row.name
        for row in rows
        if not _part_fits_car(job, row, parting) or _reserve_of_part(job, row, parting) > reserve
    )
    if parting.direction is Direction.CROSSCUT:
        return Way(length=Ticks(reserve), without=without, parting=parting)
    return Way(width=Ticks(reserve), without=without, parting=parting)


def _part_fits_car(job: Job, stock: Stock, parting: Parting) -> bool:
    measure = _part_measure(job, stock, parting)
    size = Size(stock.length, stock.width).cut_to(parting.direction, measure)
    return measure > 0 and (job.carry is None or job.carry.takes(*size, stock.kind))


def _part_measure(job: Job, stock: Stock, parting: Parting) -> int:
    kerf = job.store.kerf if job.store is not None else 0
    total = Size(stock.length, stock.width).across(parting.direction)
    return (total - kerf * (parting.count - 1)) // parting.count


def _reserve_of_part(job: Job, stock: Stock, parting: Parting) -> int:
    """Give the reserve that leaves the clean size of one of the parts."""
    trimmed = parting.direction is Direction.CROSSCUT or stock.kind is Kind.SHEET
    trim = stock.trim if trimmed else 0
    edge = clean_up(job, kerfs(job, stock.material)[0])
    ends = trim + edge if parting.count == 2 else max(trim + edge, 2 * edge)
    total = Size(stock.length, stock.width).across(parting.direction)
    return total - 2 * trim - (_part_measure(job, stock, parting) - ends)
