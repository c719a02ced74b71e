"""Good sheets seen on the way, and the cheapest choice among them that makes every part.

Choosing whole sheets is a set cover: each pattern makes some parts at the price of the
cheapest stock that holds it.

Source: Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions",
1965, doi:10.1287/opre.13.1.94 (patterns as columns of an integer programme).
"""

from __future__ import annotations

from ortools.sat.python import cp_model

from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.sheets_sizes import Laid, Sizes, without_extra
from cutopt.solve.slicing import Block, parts_in

_MOST = 20_000


class Pool:
    """Patterns seen, one for each set of parts on each type of sheet.

    Attributes:
        sizes: the problem.
    """

    def __init__(self, sizes: Sizes) -> None:
        """Start empty."""
        self.sizes = sizes
        self._seen: dict[tuple[int, int], tuple[int, Block]] = {}

    def __len__(self) -> int:
        """Give the number of patterns."""
        return len(self._seen)

    def add(self, sheet: int, root: Block) -> None:
        """Keep a pattern unless its set of parts was seen on this type of sheet."""
        key = (root.mark, sheet)
        if key not in self._seen and len(self._seen) < _MOST:
            self._seen[key] = (sheet, root)

    def columns(self, most: int) -> Laid:
        """Give up to ``most`` patterns per type, best filled first, on the cheapest type.

        A pattern goes to every type of sheet that holds it and that no cheaper one beats.
        """
        types = self.sizes.types
        filled = sorted(
            self._seen.values(),
            key=lambda p: (-p[1].area / types[p[0]].area, p[0]),
        )
        taken = [0] * len(types)
        columns: Laid = []
        for sheet, root in filled:
            if taken[sheet] >= most:
                continue
            taken[sheet] += 1
            columns.append((sheet, root))
            for other, kind_of_sheet in enumerate(types):
                if (
                    other != sheet
                    and (kind_of_sheet.cost < types[sheet].cost or _scarce(self.sizes, sheet))
                    and self.sizes.legal(root, other)
                ):
                    columns.append((other, root))
        return columns


def _scarce(sizes: Sizes, sheet: int) -> bool:
    return sizes.types[sheet].available < sizes.count


def cheapest_cover(sizes: Sizes, columns: Laid, below: int, work: float) -> Laid | None:
    """Give sheets that make all parts and cost less than ``below``, or None if none was found.

    Args:
        sizes: the problem.
        columns: patterns to choose among, (type of sheet, root).
        below: the cost to beat.
        work: limit in the solver's own deterministic units.
    """
    made = []
    for _, root in columns:
        count: dict[int, int] = {}
        for part in parts_in(root):
            count[part.kind] = count.get(part.kind, 0) + 1
        made.append(count)
    model = cp_model.CpModel()
    uses = []
    for (sheet, _), count in zip(columns, made, strict=True):
        most = max(-(-sizes.kinds[kind].qty // many) for kind, many in count.items())
        uses.append(model.new_int_var(0, min(most, sizes.types[sheet].available), ""))
    for kind, wanted in enumerate(sizes.kinds):
        terms = [use * count[kind] for use, count in zip(uses, made, strict=True) if kind in count]
        if not terms:
            return None
        model.add(sum(terms) >= wanted.qty)
    for number, stock in enumerate(sizes.types):
        of_type = [use for use, (t, _) in zip(uses, columns, strict=True) if t == number]
        if of_type and stock.available < sizes.count:
            model.add(sum(of_type) <= stock.available)
    cost = sum(use * sizes.types[sheet].cost for use, (sheet, _) in zip(uses, columns, strict=True))
    model.add(cost <= below - 1)
    model.minimize(cost)
    solver = repeatable_solver(work, linearization=2)
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    chosen = [
        column for column, use in zip(columns, uses, strict=True) for _ in range(solver.value(use))
    ]
    return without_extra(sizes, chosen)
