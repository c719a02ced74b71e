"""Measured boards: that their bad spans make sense, and that no clear part touches one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutopt.check.tree import Replayed
from cutopt.check.words import copy_text, length_text
from cutopt.errors import Fault
from cutopt.model.job import Job, Stock
from cutopt.model.plan import PartPiece


def knot_faults(job: Job, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield each bad span said wrongly and each part that may hold none but does."""
    for stock in job.stock:
        yield from _span_faults(stock)
    known = {part.id: part for part in job.parts}
    for replayed in pieces:
        piece = replayed.piece
        for spot in replayed.lying:
            node = spot.node
            if not isinstance(node, PartPiece) or node.part not in known:
                continue
            part = known[node.part]
            if part.knots_ok:
                continue
            for first, last in piece.stock.bad:
                if spot.x < last and first < spot.x + spot.length:
                    yield Fault(
                        f"{piece.id}: {copy_text(part, node.copy)} must be clear, it lies on the "
                        f"bad span from {length_text(first, job.units)} to "
                        f"{length_text(last, job.units)} of {piece.stock.name}"
                    )


def _span_faults(stock: Stock) -> Iterator[Fault]:
    past = -1
    for first, last in stock.bad:
        if not past < first < last <= stock.length:
            yield Fault(f"{stock.name}: its bad spans are not in order, apart and on the board")
        past = last
