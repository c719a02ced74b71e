"""The stock a plan uses: that it exists, how much there is, and what is left of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from cutopt.check.tree import Replayed
from cutopt.check.words import cut_text, size_text
from cutopt.errors import Fault
from cutopt.model.job import Job, Kind
from cutopt.model.layout import Direction
from cutopt.model.plan import Offcut, PartPiece, Waste


def supply_faults(job: Job, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield what is wrong with the pieces of stock and their leftovers."""
    for kind, ids in (
        ("pieces of stock", [replayed.piece.id for replayed in pieces]),
        ("offcuts", [node.id for r in pieces for node in r.nodes if isinstance(node, Offcut)]),
    ):
        twice = [name for name, count in Counter(ids).items() if count > 1]
        if twice:
            yield Fault(f"several {kind} are named {', '.join(twice)}")
    used = Counter(replayed.piece.stock.name for replayed in pieces)
    for row in job.stock:
        # Owned stock with no number given is one piece: nobody owns as many as wanted.
        there = 1 if row.owned and row.available is None else row.available
        if there is not None and used[row.name] > there:
            yield Fault(f"{row.name}: {used[row.name]} are cut, there are {there}")
    for replayed in pieces:
        yield from _piece_faults(job, replayed)


def _piece_faults(job: Job, replayed: Replayed) -> Iterator[Fault]:
    piece, stock = replayed.piece, replayed.piece.stock
    if stock not in job.stock:
        yield Fault(f"{piece.id} is cut from {stock.name}, which the stock list has not got so")
    if not any(isinstance(node, PartPiece) for node in replayed.nodes):
        yield Fault(f"{piece.id} holds no part")
    for node in replayed.nodes:
        if isinstance(node, (Offcut, Waste)):
            keeps = job.shop.keeps(node.length, node.width, stock)
            if keeps is not isinstance(node, Offcut):
                size = size_text(node.length, node.width, job.units)
                yield Fault(
                    f"{piece.id}: a leftover of {size} is "
                    + ("worth keeping, not waste" if keeps else "waste, too small to keep")
                )
    if stock.kind is Kind.BOARD and not stock.rip:
        for cut in replayed.cuts:
            if cut.direction is Direction.RIP:
                yield Fault(f"{cut_text(piece, cut)} rips a board that is not to be ripped")
