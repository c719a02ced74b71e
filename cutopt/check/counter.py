"""What the store's counter allows, what its rough edges need, and what the car takes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutopt.check.saws import warned
from cutopt.check.tree import Lying, Replayed
from cutopt.check.words import copy_text, cut_text, length_text, size_text
from cutopt.errors import Fault
from cutopt.model.job import Job, Kind, PlanWarning, Store
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, PartPiece, Waste


def store_faults(
    job: Job, pieces: Sequence[Replayed], warnings: Sequence[PlanWarning]
) -> Iterator[Fault]:
    """Yield cuts the store does not make, and part edges left as its saw made them."""
    for replayed in pieces:
        piece, stock = replayed.piece, replayed.piece.stock
        cuts = [cut for cut in replayed.cuts if cut.by is Maker.STORE]
        if not cuts or job.store is None:  # a store cut without a store has no saw: told there
            continue
        store = job.store
        if stock.owned:
            yield Fault(f"{piece.id} is your own: the store cuts what it sold")
        if store.most_cuts is not None and len(cuts) > store.most_cuts:
            yield Fault(
                f"{piece.id}: {len(cuts)} cuts at the store, it makes {store.most_cuts} a piece"
            )
        for cut in cuts:
            if stock.kind is Kind.BOARD and not store.crosscuts_boards:
                yield Fault(f"{cut_text(piece, cut)}: the store cuts no boards")
            elif stock.kind is Kind.BOARD and cut.direction is Direction.RIP:
                yield Fault(f"{cut_text(piece, cut)}: the store rips no boards")
        yield from _small_piece_faults(job, store, replayed)
        yield from _store_edge_faults(job, store, replayed, warnings)


def _small_piece_faults(job: Job, store: Store, replayed: Replayed) -> Iterator[Fault]:
    board = replayed.piece.stock.kind is Kind.BOARD
    for spot in replayed.lying:
        cut, node = spot.parent, spot.node
        if cut is None or cut.by is Maker.SHOP:
            continue
        # A board is narrow when it is bought; the store's crosscut only makes it short.
        least = node.length if board else min(node.length, node.width)
        if least < store.smallest_piece:
            yield Fault(
                f"{cut_text(replayed.piece, cut)} leaves a piece "
                f"{size_text(node.length, node.width, job.units)}, the store cuts nothing "
                f"under {length_text(store.smallest_piece, job.units)}"
            )


def _leaving_store(replayed: Replayed) -> list[Lying]:
    """Give the pieces that leave the store, each whole."""
    return [
        spot
        for spot in replayed.lying
        if (spot.parent is None or spot.parent.by is Maker.STORE)
        and not (isinstance(spot.node, Cut) and spot.node.by is Maker.STORE)
    ]


def _store_edge_faults(
    job: Job, store: Store, replayed: Replayed, warnings: Sequence[PlanWarning]
) -> Iterator[Fault]:
    """Yield part edges the store's saw is too near to: cut again where rough, else told."""
    known = {part.id: part for part in job.parts}
    for node, least in _nearest_to_store_edges(replayed):
        if node.part not in known:  # told with the parts
            continue
        part = known[node.part]
        name = f"{replayed.piece.id}: {copy_text(part, node.copy)}"
        if store.rough and (least <= 0 or least < store.allowance):
            yield Fault(
                f"{name} has an edge {length_text(least, job.units)} from one sawn at the "
                f"store, {length_text(store.allowance, job.units)} is to come off at home"
            )
        unsaid = store.accuracy and not warned(warnings, "store", part.name)
        if not store.rough and least <= 0 and unsaid:
            yield Fault(f"{name} keeps an edge sawn at the store, and no warning says so")


def _nearest_to_store_edges(replayed: Replayed) -> Iterator[tuple[PartPiece, int]]:
    """Yield each part in a piece the store has sawn, and what (ticks) lies between at least."""
    for whole in _leaving_store(replayed):
        for spot in replayed.lying:
            if isinstance(spot.node, PartPiece) and _within(spot, whole):
                taken = _taken_off_store_edges(spot, whole)
                if taken:
                    yield spot.node, min(taken)


def _within(spot: Lying, whole: Lying) -> bool:
    return whole.x <= spot.x < whole.x + whole.length and whole.y <= spot.y < whole.y + whole.width


def _taken_off_store_edges(spot: Lying, whole: Lying) -> list[int]:
    """Give how much (ticks) lies between a part's edges and the store's, where there is one."""
    rims = whole.rims
    gaps = (
        (rims.left, spot.x - whole.x),
        (rims.right, whole.x + whole.length - spot.x - spot.length),
        (rims.near, spot.y - whole.y),
        (rims.far, whole.y + whole.width - spot.y - spot.width),
    )
    return [gap for maker, gap in gaps if maker is Maker.STORE]


def carry_faults(
    job: Job, pieces: Sequence[Replayed], warnings: Sequence[PlanWarning]
) -> Iterator[Fault]:
    """Yield pieces too large for the car that no warning names; waste may stay at the store."""
    if job.carry is None:
        return
    for replayed in pieces:
        piece = replayed.piece
        if piece.stock.owned or warned(warnings, "carry", piece.id):
            continue
        for spot in _leaving_store(replayed):
            size = (spot.length, spot.width)
            if not isinstance(spot.node, Waste) and not job.carry.takes(*size, piece.stock.kind):
                yield Fault(
                    f"{piece.id}: a piece {size_text(*size, job.units)} leaves the store, "
                    "does not fit the car, and no warning says so"
                )
