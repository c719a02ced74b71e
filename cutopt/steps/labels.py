"""Labels: one for each part, in the order of cutting, and one for each offcut to keep."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from cutopt.model.job import Part, Stock
from cutopt.model.plan import Cut, Node, Offcut, PartPiece, Plan, StockPiece, walk
from cutopt.steps.bands import band_words
from cutopt.steps.hands import as_made, hand_of
from cutopt.steps.letters import name_pieces
from cutopt.steps.materials import written_on
from cutopt.steps.runs import RunPlace, run_places
from cutopt.steps.sawing_measured import bad_within
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class PartLabel:
    """What is stuck on one part.

    Attributes:
        part: as this copy is made: a right hand is the mirror image of the part in the job.
        copy: 1 .. part.qty.
        cut_length, cut_width: size off the saw, ticks (the blank).
        source: the piece it comes from: "S1 A", "L3", "L3 (A)": the board marked A.
        hand: "left" or "right" for copies of a handed pair, else "".
        band: "band front" or "no band".
        run: place in the run it belongs to, if any.
    """

    part: Part
    copy: int
    cut_length: Ticks
    cut_width: Ticks
    source: str
    hand: str
    band: str
    run: RunPlace | None = None

    @property
    def cut_differs(self) -> bool:
        """The size off the saw is not the finished size."""
        return (self.cut_length, self.cut_width) != (self.part.length, self.part.width)

    @property
    def count(self) -> str:
        """Give "1 of 2"; never a fraction."""
        return self.part.count_words(self.copy)


@dataclass(frozen=True, slots=True)
class OffcutLabel:
    """What is stuck on an offcut to keep.

    ``bad``: its bad spans, from its own left end.
    """

    offcut: Offcut
    stock: Stock
    source: str
    bad: tuple[tuple[Ticks, Ticks], ...] = ()


def part_labels(plan: Plan) -> tuple[PartLabel, ...]:
    """Give a label for each part, piece by piece in the order of cutting."""
    parts = {part.id: part for part in plan.job.parts}
    places = run_places(plan.job)
    return tuple(
        label
        for piece in plan.pieces
        for label in _labels_of(piece, _written(plan, piece), parts, places)
    )


def offcut_labels(plan: Plan) -> tuple[OffcutLabel, ...]:
    """Give a label for each offcut to keep, piece by piece in the order of cutting."""
    return tuple(
        OffcutLabel(node, piece.stock, piece.id + _written(plan, piece), _bad(piece, node))
        for piece in plan.pieces
        for node in _as_cut(piece)
        if isinstance(node, Offcut)
    )


def _written(plan: Plan, piece: StockPiece) -> str:
    """Give what is written on the board a label names, to stand after its id; or ""."""
    written = written_on(piece.stock, plan.job)
    return f" ({written})" if written and written != piece.id else ""


def _bad(piece: StockPiece, offcut: Offcut) -> tuple[tuple[Ticks, Ticks], ...]:
    x = next((placed.x for placed in walk(piece.layout) if placed.node is offcut), Ticks(0))
    return bad_within(piece.stock, x, offcut.length)


def _labels_of(
    piece: StockPiece,
    written: str,
    parts: Mapping[str, Part],
    places: Mapping[tuple[str, int], RunPlace],
) -> list[PartLabel]:
    names = name_pieces(piece)
    found = []
    for node in _as_cut(piece):
        if isinstance(node, PartPiece):
            part = as_made(parts[node.part], node.copy)
            found.append(
                PartLabel(
                    part=part,
                    copy=node.copy,
                    cut_length=part.blank_length,
                    cut_width=part.blank_width,
                    source=names.full(names.origin[node.part, node.copy]) + written,
                    hand=hand_of(part, node.copy),
                    band=band_words(part),
                    run=places.get((node.part, node.copy)),
                )
            )
    return found


def _as_cut(piece: StockPiece) -> list[Node]:
    """Give what is no longer cut, in the order in which it comes off."""
    if not isinstance(piece.layout, Cut):
        return [piece.layout]
    return [
        side
        for cut in piece.cuts()
        for side in (cut.first, cut.second)
        if side is not None and not isinstance(side, Cut)
    ]
