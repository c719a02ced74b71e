"""The choice among complete lists of fills: do the sheets of a purchase make all parts?

Whatever is cut is one of the listed fills or part of one, so a purchase suffices exactly
where so many of them cover the parts. Which fills can take part at all, a weighing says:
sheets weigh little more than the parts demand, so none may be filled much below capacity.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from enum import Enum
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.purchases import Counts
from cutopt.solve.sheets_mixture import Fill, Fills, Shortage
from cutopt.solve.slicing import Block

Whole = NDArray[np.int64]

_AT_ONCE = 100


class Choice(Enum):
    """Whether sheets of a purchase can be chosen so that all parts asked for are made."""

    NONE = "none"
    FOUND = "found"
    OPEN = "open"


class CompleteFills(Fills, Protocol):
    """All fills there are of every type of sheet that a purchase has."""

    def weights_on(self, sheet: int) -> Whole:
        """Give what the fills of a type are worth, at the worths last asked for."""

    def counts_on(self, sheet: int, place: int) -> dict[int, int]:
        """Give what one of them makes, by kind."""

    def lay(self, sheet: int, place: int) -> Block:
        """Give a layout of one of them."""


def worth_most(fills: CompleteFills, floors: Mapping[int, int]) -> list[Fill]:
    """Give the fills worth most over the floor of their type, at the worths last asked for.

    Args:
        fills: among which to look.
        floors: by type of sheet, for the types to look at.
    """
    found = []
    for sheet, floor in floors.items():
        weights = fills.weights_on(sheet)
        above = np.flatnonzero(weights > floor)
        best = above[np.argsort(-weights[above], kind="stable")[:_AT_ONCE]]
        found += [Fill(sheet, fills.counts_on(sheet, int(place))) for place in best]
    return found


def choose(
    fills: CompleteFills, purchase: Counts, shortage: Shortage, most: int, work: float
) -> tuple[Choice, list[tuple[int, int]]]:
    """Say whether a purchase gives all parts, and by which fills: (type, place) of each sheet.

    Args:
        fills: among which to choose.
        purchase: how many sheets of each type.
        shortage: a weighing by these fills that the purchase meets.
        most: fills to choose among.
        work: limit in the solver's own units.
    """
    reach = shortage.weighing.capacities
    slack = sum(r * n for r, n in zip(reach, purchase, strict=True)) - shortage.weighing.demand
    fills.reach(shortage.worths)
    choices = [
        (sheet, int(place))
        for sheet, count in enumerate(purchase)
        if count
        for place in np.flatnonzero(fills.weights_on(sheet) >= reach[sheet] - slack)[: most + 1]
    ]
    if len(choices) > most:
        return Choice.OPEN, []
    model = cp_model.CpModel()
    uses = _uses(model, fills, purchase, choices)
    solver = repeatable_solver(work, linearization=2)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Choice.NONE, []
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Choice.OPEN, []
    return Choice.FOUND, [
        choice for choice, use in zip(choices, uses, strict=True) for _ in range(solver.value(use))
    ]


def _uses(
    model: cp_model.CpModel,
    fills: CompleteFills,
    purchase: Counts,
    choices: Sequence[tuple[int, int]],
) -> list[cp_model.IntVar]:
    """Put the choice into a model; give how often each fill is used."""
    demands = fills.demands
    uses: list[cp_model.IntVar] = []
    having: list[list[tuple[int, cp_model.IntVar]]] = [[] for _ in demands]
    of_type: list[list[cp_model.IntVar]] = [[] for _ in purchase]
    single = [count == 1 for count in demands]
    for sheet, place in choices:
        held = fills.counts_on(sheet, place)
        enough = max(-(-demands[kind] // many) for kind, many in held.items())
        enough = min(enough, purchase[sheet])
        use = model.new_bool_var("") if enough == 1 else model.new_int_var(0, enough, "")
        uses.append(use)
        of_type[sheet].append(use)
        for kind, many in held.items():
            having[kind].append((many, use))
            single[kind] = single[kind] and enough == 1
    for kind, count in enumerate(demands):
        if single[kind]:
            # A clause, which the solver reasons on best.
            model.add_bool_or([use for _, use in having[kind]])
        elif count:
            model.add(sum(many * use for many, use in having[kind]) >= count)
    for sheet, count in enumerate(purchase):
        model.add(sum(of_type[sheet]) <= count)
    return uses
