"""Why a material cannot be planned: which part, by how much, and what would do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from cutopt.errors import Fault
from cutopt.model.job import Grain
from cutopt.solve.boards_load import sort_load
from cutopt.solve.boards_search import find_cheapest
from cutopt.solve.params import Item, Problem, Search, StockType, Unwatched
from cutopt.units import SIXTY_FOURTH, TENTH, Units, format_length

_MOST_TOLD = 3


def explain(problem: Problem, names: Mapping[str, str], units: Units) -> list[Fault]:
    """Give every reason known why a problem has no plan, in a builder's words.

    Args:
        problem: one material, sheets or boards.
        names: what to call each part; parts not in it go by their id.
        units: what lengths are printed in.
    """
    faults = what_does_not_fit(problem, names, units)
    if faults:
        return faults
    by_kerf = _boards_by_the_kerf if _is_boards(problem) else _sheets_by_the_kerf
    return (
        [*by_kerf(problem, names, units)]
        or [*_amount_runs_out(problem, units)]
        or [
            Fault(
                f"{problem.what}: no way was found to cut all parts from the stock available",
                help="add stock, or raise how many are available",
            )
        ]
    )


def what_does_not_fit(problem: Problem, names: Mapping[str, str], units: Units) -> list[Fault]:
    """Give a fault for each part that no piece of stock holds, even alone."""
    return [
        _misfit(problem, item, names, units)
        for item in problem.items
        if not any(
            kind.available != 0 and any(_fits(way, kind) for way in _ways(item, kind))
            for kind in problem.stock
        )
    ]


@dataclass(frozen=True, slots=True)
class _Way:
    """A blank as it would lie: along the stock's length and across it."""

    length: int
    width: int


def _ways(item: Item, kind: StockType) -> Iterator[_Way]:
    """Yield the ways an item may lie on a kind of stock."""
    bound = item.grain if kind.grain else Grain.ANY
    if bound is not Grain.WIDTH:
        yield _Way(item.length, item.width)
    if bound is not Grain.LENGTH:
        yield _Way(item.width, item.length)


def _fits(way: _Way, kind: StockType) -> bool:
    return way.length <= kind.length and way.width <= kind.width


def _misfit(problem: Problem, item: Item, names: Mapping[str, str], units: Units) -> Fault:
    """Say why one part fits no stock."""
    name = names.get(item.part, item.part)
    size = (
        f"{format_length(item.length, units)} x {format_length(item.width, units, unit_mark=True)}"
    )
    stock = [kind for kind in problem.stock if kind.available != 0]
    if not stock:
        return Fault(
            f"{name}: there is no {problem.what} to cut it from",
            help="add stock of this material, or set how many are available",
        )
    for kind in stock:
        free = (_Way(item.length, item.width), _Way(item.width, item.length))
        if any(_fits(way, kind) for way in free):
            return Fault(
                f"{name} ({size}) fits {kind.name} only with its grain the wrong way",
                help="let it turn (grain any), or add larger stock",
            )
    kind, way = min(
        ((kind, way) for kind in stock for way in _ways(item, kind)),
        key=lambda pair: (
            max(0, pair[1].length - pair[0].length) + max(0, pair[1].width - pair[0].width)
        ),
    )
    by = [
        f"{format_length(beyond, units, unit_mark=True)} too {word}"
        for beyond, word in ((way.length - kind.length, "long"), (way.width - kind.width, "wide"))
        if beyond > 0
    ]
    return Fault(
        f"{name} ({size}) is larger than all stock: {' and '.join(by)} for {kind.name}",
        help="add larger stock, or make the part of two pieces",
    )


def _is_boards(problem: Problem) -> bool:
    """Say whether all is as wide as the stock, so that only lengths count."""
    widths = {item.width for item in problem.items} | {kind.width for kind in problem.stock}
    return len(widths) == 1


def _amount_runs_out(problem: Problem, units: Units) -> Iterator[Fault]:
    """Yield a fault where all stock there is has too little length or area."""
    if any(kind.available is None for kind in problem.stock):
        return
    kerf = problem.kerf
    if _is_boards(problem):
        need = sum(item.qty * (item.length + kerf) for item in problem.items)
        have = sum((kind.length + kerf) * (kind.available or 0) for kind in problem.stock)
        if have < need:
            short = format_length(need - have, units, unit_mark=True)
            yield Fault(
                f"{problem.what}: the stock runs out: all of it together is {short} short,"
                " saw cuts included",
                help="add stock, or raise how many are available",
            )
        return
    area = sum(item.qty * (item.length + kerf) * (item.width + kerf) for item in problem.items)
    stock = sum(
        (kind.length + kerf) * (kind.width + kerf) * (kind.available or 0) for kind in problem.stock
    )
    if stock < area:
        share = -(-100 * (area - stock) // stock) if stock else 100
        yield Fault(
            f"{problem.what}: the stock runs out: the parts need {share} % more area than"
            " all of it has, saw cuts included",
            help="add stock, or raise how many are available",
        )


def _boards_by_the_kerf(
    problem: Problem, names: Mapping[str, str], units: Units
) -> Iterator[Fault]:
    """Yield a fault for each board that would do if the saw removed nothing."""
    sort = sort_load(problem.items, problem.stock, 0)
    load = sort.load
    packing = find_cheapest(load, Search(), problem.what, Unwatched()).packing
    if packing is None:
        return
    told = 0
    for filled in dict.fromkeys(packing):
        pieces = sum(filled.counts)
        lengths = sum(
            count * weight * load.unit
            for count, weight in zip(filled.counts, load.weights, strict=True)
        )
        stock = problem.stock[sort.boards[filled.board][0]]
        short = lengths + (pieces - 1) * problem.kerf - stock.length
        if short <= 0:
            continue
        told += 1
        if told > _MOST_TOLD:
            continue
        kinds = [kind for kind, count in enumerate(filled.counts) if count]
        words = " + ".join(
            f"{filled.counts[kind]} {names.get(part, part)}"
            for kind in kinds
            for part in [problem.items[sort.parts[kind][0]].part]
        )
        help_text = "add stock, or make a part shorter by that much"
        if len(kinds) == 1:
            nearest = nearest_equal_length(stock.length, pieces, problem.kerf, units)
            size = format_length(nearest, units, unit_mark=True)
            help_text = f"{pieces} of {size} fit, or add stock"
        yield Fault(
            f"{words} from {stock.name}: {format_length(short, units, unit_mark=True)} short;"
            f" {_only_if((stock.length - lengths) // (pieces - 1), units)}",
            help=help_text,
        )

    if told > _MOST_TOLD:
        yield Fault(f"{problem.what}: {told - _MOST_TOLD} more boards are short the same way")


def _sheets_by_the_kerf(
    problem: Problem, names: Mapping[str, str], units: Units
) -> Iterator[Fault]:
    """Yield a fault where equal parts on a plain grid would do if the saw removed nothing."""
    stock = [kind for kind in problem.stock if kind.available != 0]
    if len(stock) != 1 or len(problem.items) != 1 or stock[0].available is None:
        return
    kind, item, kerf = stock[0], problem.items[0], problem.kerf
    for way in _ways(item, kind):
        along, across = kind.length // way.length, kind.width // way.width
        if along * across * stock[0].available < item.qty:
            continue
        thinnest = min(
            (kind.length - along * way.length) // max(1, along - 1),
            (kind.width - across * way.width) // max(1, across - 1),
        )
        short = [
            f"{format_length(over, units, unit_mark=True)} short in {side}"
            for over, side in (
                (along * way.length + (along - 1) * kerf - kind.length, "length"),
                (across * way.width + (across - 1) * kerf - kind.width, "width"),
            )
            if over > 0
        ]
        if not short:
            continue
        length = min(way.length, nearest_equal_length(kind.length, along, kerf, units))
        width = min(way.width, nearest_equal_length(kind.width, across, kerf, units))
        size = f"{format_length(length, units)} x {format_length(width, units, unit_mark=True)}"
        yield Fault(
            f"{along * across} {names.get(item.part, item.part)} from {kind.name}:"
            f" {' and '.join(short)}; {_only_if(thinnest, units)}",
            help=f"{along * across} of {size} fit, or add stock",
        )
        return


def _only_if(removed: int, units: Units) -> str:
    """Say how little a saw must remove per cut for all to fit."""
    step = SIXTY_FOURTH if units is Units.INCH else TENTH
    if removed < step:
        return "fits only if the saw removes nothing"
    least = format_length(removed // step * step, units, unit_mark=True)
    return f"fits only if the saw removes no more than {least} a cut"


def nearest_equal_length(length: int, pieces: int, kerf: int, units: Units) -> int:
    """Give the longest length (ticks, whole 1/64 in or 0.1 mm) that a board yields so often."""
    step = SIXTY_FOURTH if units is Units.INCH else TENTH
    return (length - (pieces - 1) * kerf) // pieces // step * step
