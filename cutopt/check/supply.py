"""The stock a plan uses: that it exists, how much there is, and what is left of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from cutopt.check.tree import Replayed
from cutopt.check.words import cut_text, size_text
from cutopt.errors import Fault
from cutopt.model.job import Job, Kind, Pack
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
    yield from _spare_faults(job, used)
    for replayed in pieces:
        yield from _piece_faults(job, replayed)


def _spare_faults(job: Job, used: Counter[str]) -> Iterator[Fault]:
    """Yield spare boards that the stock list has not got, at another price, or too many of."""
    rows = {row.name: row for row in job.stock if not row.owned}
    for extra in job.extras:
        if not extra.spare_of:
            continue
        row = rows.get(extra.spare_of)
        if row is None:
            yield Fault(f"{extra.item}: the stock list sells no {extra.spare_of}")
            continue
        if extra.packs != (Pack(1, row.price_cents),):
            yield Fault(f"{extra.item}: its price is not that of {row.name}")
        together = used[row.name] + extra.qty
        if row.available is not None and together > row.available:
            yield Fault(f"{row.name}: {together} are bought, there are {row.available}")


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
