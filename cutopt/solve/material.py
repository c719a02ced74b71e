"""One material of a job -> a problem in plain integers -> the engine's answer as layouts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Grain, Job, Kind, Material, Stock
from cutopt.model.layout import LaidPiece, Layout, MaterialLayout, blanks_of
from cutopt.solve.boards import plan_boards
from cutopt.solve.explain import what_does_not_fit
from cutopt.solve.params import Answer, Item, Problem, Search, StockType, Watch
from cutopt.solve.sheets import plan_sheets
from cutopt.units import Ticks, Units


@dataclass(frozen=True, slots=True)
class Room:
    """What cuts take from a material, ticks.

    Attributes:
        kerf: widest of any saw that may make a cut; layouts allow for it everywhere.
        kerf_bound: finest of any saw that may make a cut; bounds are proved with it.
        spare_length, spare_width: left free of every bought piece, for the store's edges to
            be cut clean at home.
        without: names of stock not to be used.
    """

    kerf: Ticks
    kerf_bound: Ticks
    spare_length: Ticks = Ticks(0)
    spare_width: Ticks = Ticks(0)
    without: frozenset[str] = frozenset()


def problem_name(material: Material) -> str:
    """Give what progress and faults call a material."""
    return material.name if material.section is None else f"{material.name} {material.section}"


def problem_of(job: Job, material: Material, room: Room) -> tuple[Problem, tuple[Stock, ...]]:
    """Give the problem of one material and the stock rows its types stand for.

    Stock whose clean size is nothing once trim and spare room are off is left out.
    """
    measure = measure_of(job, material)
    rows: list[Stock] = []
    types: list[StockType] = []
    for stock in job.stock:
        if stock.material != material or stock.name in room.without:
            continue
        # The store cuts bought stock only, so only that has store edges to clean up.
        spare = (0, 0) if stock.owned else (room.spare_length, room.spare_width)
        trim = 2 * stock.trim
        length = stock.length - trim - spare[0]
        width = stock.width - (trim if stock.kind is Kind.SHEET else 0) - spare[1]
        if length <= 0 or width <= 0:
            continue
        rows.append(stock)
        types.append(
            StockType(
                stock.name,
                Ticks(length),
                Ticks(width),
                cost_of(stock, measure),
                stock.available,
                stock.grain is Grain.LENGTH,
            )
        )
    items = tuple(
        Item(part.id, part.blank_length, part.blank_width, part.qty, part.grain)
        for part in job.parts
        if part.material == material
    )
    return Problem(problem_name(material), items, tuple(types), room.kerf, room.kerf_bound), tuple(
        rows
    )


def check_fit(job: Job, rooms: Mapping[Material, Room]) -> None:
    """Raise CannotPlanError with a fault for every part of the job that no stock holds."""
    names = {part.id: part.name for part in job.parts}
    faults = [
        fault
        for material, room in rooms.items()
        for fault in what_does_not_fit(problem_of(job, material, room)[0], names, job.units)
    ]
    if faults:
        raise CannotPlanError(faults)


def plan_material(
    job: Job, material: Material, room: Room, search: Search, watch: Watch
) -> MaterialLayout:
    """Give the cheapest layouts found for one material.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
    """
    problem, rows = problem_of(job, material, room)
    names = {part.id: part.name for part in job.parts}
    if material.kind is Kind.SHEET:
        answer = plan_sheets(problem, search, watch, names=names, units=job.units)
    elif all(item.width == kind.width for item in problem.items for kind in problem.stock):
        answer = plan_boards(problem, search, watch, names=names, units=job.units)
    else:
        answer, rows = _rip_boards(problem, rows, search, watch, names, job.units)
    return MaterialLayout(
        material,
        tuple(LaidPiece(rows[pattern.stock], pattern.layout) for pattern in answer.patterns),
        answer.cost,
        answer.lower_bound,
        answer.why,
        answer.next_best,
        answer.limit_hit,
    )


def _rip_boards(
    problem: Problem,
    rows: tuple[Stock, ...],
    search: Search,
    watch: Watch,
    names: Mapping[str, str],
    units: Units,
) -> tuple[Answer, tuple[Stock, ...]]:
    """Give an answer whose narrower parts are ripped from boards that may be ripped.

    Ripped boards are laid out as narrow sheets with the grain along them. Where the cheapest
    way would rip a board that may not be, only those that may are used; the bound of the
    freer problem holds for both.
    """
    along = tuple(replace(item, grain=Grain.LENGTH) for item in problem.items)
    grained = tuple(replace(kind, grain=True) for kind in problem.stock)
    free = replace(problem, items=along, stock=grained)
    answer = plan_sheets(free, search, watch, names=names, units=units)
    if all(
        rows[pattern.stock].rip or _is_crosscut_only(pattern.layout, rows[pattern.stock].width)
        for pattern in answer.patterns
    ):
        return answer, rows
    ripped = [number for number, row in enumerate(rows) if row.rip]
    bound = replace(free, stock=tuple(grained[number] for number in ripped))
    strict = plan_sheets(bound, search, watch, names=names, units=units)
    lower_bound = min(answer.lower_bound, strict.cost)
    why = strict.why if lower_bound == strict.cost else answer.why
    return replace(strict, lower_bound=lower_bound, why=why), tuple(rows[n] for n in ripped)


def _is_crosscut_only(layout: Layout, width: Ticks) -> bool:
    return all(blank.width == width for blank in blanks_of(layout))
