"""Why the store makes the cuts it does: what the builder could not do without them."""

from __future__ import annotations

from collections.abc import Iterator

from cutopt.model.job import Job
from cutopt.model.plan import Cut, Maker, Node, Plan, StockPiece
from cutopt.steps.handling import wants_two_people
from cutopt.steps.phrase import listed
from cutopt.steps.pieces import across, holds_part, ids_words
from cutopt.steps.sawing_saws import LARGE_LONG, LARGE_SHORT, Place, Rack

_CAR = "so that it fits the car"
_SAW = "because no saw of yours can"
_WAY = "to get at the cuts that need the store"


def store_reasons(plan: Plan) -> tuple[str, ...]:
    """Give why the store makes its cuts, a line for all pieces of stock with the same reasons.

    "S1 S2: cuts 1 and 2 so that it fits the car; cut 3 because no saw of yours can".
    """
    pieces: dict[str, list[str]] = {}
    for piece in plan.pieces:
        words = reasons_of(plan.job, piece)
        if words:
            pieces.setdefault(words, []).append(piece.id)
    return tuple(f"{ids_words(ids)}: {words}" for words, ids in pieces.items())


def reasons_of(job: Job, piece: StockPiece) -> str:
    """Give why the store makes its cuts in one piece of stock; "" where it makes none."""
    rack = Rack(job.shop, piece.stock.kind)
    steps: dict[str, list[int]] = {}
    for cut in sorted(_store_cuts(piece.layout), key=lambda cut: cut.step):
        steps.setdefault(_reason(job, piece, rack, cut), []).append(cut.step)
    return "; ".join(
        f"{'cut' if len(found) == 1 else 'cuts'} {listed([str(step) for step in found])} {reason}"
        for reason, found in steps.items()
    )


def _reason(job: Job, piece: StockPiece, rack: Rack, cut: Cut) -> str:
    need = _need(job, piece, rack, cut)
    if need:
        return need
    below = (_need(job, piece, rack, other) for other in _store_cuts(cut) if other is not cut)
    if any(below):
        return _WAY
    if wants_two_people(piece.stock, cut.length, cut.width):
        return "to spare you a piece that two people lift"
    longer, shorter = max(cut.length, cut.width), min(cut.length, cut.width)
    if longer > LARGE_LONG and shorter > LARGE_SHORT:
        return "to spare you a cut in a large piece"
    return "to spare you a cut at home"


def _need(job: Job, piece: StockPiece, rack: Rack, cut: Cut) -> str:
    """Give why a cut cannot be left to the builder, "" where it could."""
    if job.carry is not None and not job.carry.takes(cut.length, cut.width, piece.stock.kind):
        return _CAR
    line = across(cut, cut.direction.other)
    first, second = holds_part(cut.first), holds_part(cut.second)
    place = Place(cut.direction, across(cut, cut.direction), cut.at, None, line, first, second)
    return _SAW if rack.choose(place).missing else ""


def _store_cuts(node: Node | None) -> Iterator[Cut]:
    """Yield the store's cuts in a piece; none is made after one at home."""
    if isinstance(node, Cut) and node.by is Maker.STORE:
        yield node
        yield from _store_cuts(node.first)
        yield from _store_cuts(node.second)
