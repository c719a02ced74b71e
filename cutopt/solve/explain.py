"""Why a material cannot be planned, as far as plain arithmetic tells: which part, by how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from cutopt.errors import Fault
from cutopt.model.job import Grain, Kind
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Units, format_length


def explain(
    problem: Problem, names: Mapping[str, str], units: Units, kind: Kind = Kind.SHEET
) -> list[Fault]:
    """Give why a problem has no plan, in a builder's words.

    Args:
        problem: one material.
        names: what to call each part; parts not in it go by their id.
        units: what lengths are printed in.
        kind: boards count by length, sheets by area.
    """
    return (
        what_does_not_fit(problem, names, units)
        or [*_amount_runs_out(problem, units, kind)]
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
            kind.available != 0 and any(fits(way, kind) for way in ways(item, kind))
            for kind in problem.stock
        )
    ]


@dataclass(frozen=True, slots=True)
class Way:
    """A blank as it would lie: along the stock's length and across it."""

    length: int
    width: int


def ways(item: Item, kind: StockType) -> Iterator[Way]:
    """Yield the ways an item may lie on a kind of stock."""
    bound = item.grain if kind.grain else Grain.ANY
    if bound is not Grain.WIDTH:
        yield Way(item.length, item.width)
    if bound is not Grain.LENGTH:
        yield Way(item.width, item.length)


def fits(way: Way, kind: StockType) -> bool:
    """Say whether a blank that lies so fits a piece of stock."""
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
        free = (Way(item.length, item.width), Way(item.width, item.length))
        if any(fits(way, kind) for way in free):
            return Fault(
                f"{name} ({size}) fits {kind.name} only with its grain the wrong way",
                help="let it turn (grain any), or add larger stock",
            )
    kind, way = min(
        ((kind, way) for kind in stock for way in ways(item, kind)),
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


def _amount_runs_out(problem: Problem, units: Units, kind: Kind) -> Iterator[Fault]:
    """Yield a fault where all stock there is has too little length or area."""
    if any(held.available is None for held in problem.stock):
        return
    kerf = problem.kerf
    if kind is Kind.BOARD:
        need = sum(item.qty * (item.length + kerf) for item in problem.items)
        have = sum((held.length + kerf) * (held.available or 0) for held in problem.stock)
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
        (held.length + kerf) * (held.width + kerf) * (held.available or 0) for held in problem.stock
    )
    if stock < area:
        share = -(-100 * (area - stock) // stock) if stock else 100
        yield Fault(
            f"{problem.what}: the stock runs out: the parts need {share} % more area than"
            " all of it has, saw cuts included",
            help="add stock, or raise how many are available",
        )
