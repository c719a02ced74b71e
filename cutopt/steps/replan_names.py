"""Names in a plan made again: what lies on the floor keeps the name pencilled on it.

A piece that is laid out again keeps its name. A new board that stands for one not bought
yet takes its number; other new ones go on counting. Offcuts go on through the alphabet of
the sheet or board as it was bought, so that no two pieces of wood have one name.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import count

from cutopt.model.job import Kind
from cutopt.model.plan import Cut, Node, Offcut, Plan, StockPiece, walk
from cutopt.steps.floor import Floor
from cutopt.steps.letters import bought_as, offcut_before
from cutopt.steps.pieces import signature
from cutopt.steps.sawing_numbers import offcut_letters


class Names:
    """Gives pieces and offcuts names that nothing else has.

    Attributes:
        highest: number of sheets and boards so far.
    """

    def __init__(self, plan: Plan, floor: Floor) -> None:
        """Take the plan before and what lies there now."""
        self.highest = {Kind.SHEET: 0, Kind.BOARD: 0}
        if plan.replans is not None:
            self.highest = {Kind.SHEET: plan.replans.sheets, Kind.BOARD: plan.replans.boards}
        for piece in plan.pieces:
            digits = piece.id[1:]
            if digits.isdigit():
                kind = piece.stock.kind
                self.highest[kind] = max(self.highest[kind], int(digits))
        lying = [*(row.name for row in floor.free), *(piece.id for piece in floor.kept)]
        self._taken = {*lying, *(offcut_before(name) for name in lying)}
        self._not_bought = list(floor.unbought)

    def stay(self, pieces: Iterable[StockPiece]) -> None:
        """Leave their numbers and the names of their offcuts to these pieces."""
        for piece in pieces:
            self._not_bought = [one for one in self._not_bought if one.id != piece.id]
            ends = (placed.node for placed in walk(piece.layout))
            self._taken |= {end.id for end in ends if isinstance(end, Offcut)}

    def named(self, piece: StockPiece) -> StockPiece:
        """Give a piece that is laid out again with its own name."""
        if piece.stock.owned and piece.stock.available == 1:
            return replace(piece, id=piece.stock.name)
        return replace(piece, id=self._number(piece))

    def offcuts_named(self, piece: StockPiece) -> StockPiece:
        """Give a piece with a name of its own for each offcut."""
        whole = bought_as(piece.id)

        def rename(node: Node | None) -> Node | None:
            if isinstance(node, Cut):
                return replace(node, first=rename(node.first), second=rename(node.second))
            if not isinstance(node, Offcut):
                return node
            names = (f"{whole}-{offcut_letters(number)}" for number in count())
            own = next(name for name in names if name not in self._taken)
            self._taken.add(own)
            return replace(node, id=own, label=node.label.replace(node.id, own))

        return replace(piece, layout=rename(piece.layout) or piece.layout)

    def _number(self, piece: StockPiece) -> str:
        """Give the number of a piece not bought yet that this one stands for, or the next."""
        same = [one for one in self._not_bought if one.stock.name == piece.stock.name]
        if same:
            cut = signature(piece.layout)
            stands_for = next((one for one in same if signature(one.layout) == cut), same[0])
            self._not_bought.remove(stands_for)
            return stands_for.id
        kind = piece.stock.kind
        self.highest[kind] += 1
        return f"{'S' if kind is Kind.SHEET else 'L'}{self.highest[kind]}"
