"""One piece of stock cut again, cut by cut: what each cut leaves, to the tick."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from cutopt.check.words import cut_text, length_text, size_text
from cutopt.errors import Fault
from cutopt.model.job import Job
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW, STORE_SAW, Cut, Maker, Node, StockPiece
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class Rims:
    """Who made each edge of a piece; None for a raw edge of the stock."""

    left: Maker | None = None
    right: Maker | None = None
    near: Maker | None = None
    far: Maker | None = None


@dataclass(frozen=True, slots=True)
class Lying:
    """A node where the cuts above put it, with the size (ticks) they leave for it.

    What the node says of its own size is not used here, so that the two can be compared.
    """

    node: Node
    parent: Cut | None
    x: int
    y: int
    length: int
    width: int
    rims: Rims


@dataclass(frozen=True, slots=True)
class Replayed:
    """A piece of stock and everything that lies on it, parents first."""

    piece: StockPiece
    lying: tuple[Lying, ...]

    @property
    def nodes(self) -> tuple[Node, ...]:
        """Cuts, parts and leftovers, parents first."""
        return tuple(spot.node for spot in self.lying)

    @property
    def cuts(self) -> tuple[Cut, ...]:
        """Cuts, parents first."""
        return tuple(spot.node for spot in self.lying if isinstance(spot.node, Cut))


def replay(piece: StockPiece) -> Replayed:
    """Cut a piece of stock again from its raw size."""
    stock = piece.stock
    waiting = [Lying(piece.layout, None, 0, 0, stock.length, stock.width, Rims())]
    found: list[Lying] = []
    while waiting:
        spot = waiting.pop()
        found.append(spot)
        if isinstance(spot.node, Cut):
            waiting.extend(reversed(_sides(spot, spot.node)))
    return Replayed(piece, tuple(found))


def _sides(spot: Lying, cut: Cut) -> list[Lying]:
    """Give what lies on either side of a cut.

    The cut's own stated size is taken from here on: a size that is off is told once, where
    it first differs, and not again for everything below.
    """
    x, y, rims, past = spot.x, spot.y, spot.rims, cut.at + cut.kerf
    sides: list[Lying] = []
    if cut.direction is Direction.CROSSCUT:
        if cut.first is not None:
            own = replace(rims, right=cut.by)
            sides.append(Lying(cut.first, cut, x, y, cut.at, cut.width, own))
        if cut.second is not None:
            own = replace(rims, left=cut.by)
            sides.append(Lying(cut.second, cut, x + past, y, cut.length - past, cut.width, own))
    else:
        if cut.first is not None:
            own = replace(rims, far=cut.by)
            sides.append(Lying(cut.first, cut, x, y, cut.length, cut.at, own))
        if cut.second is not None:
            own = replace(rims, near=cut.by)
            sides.append(Lying(cut.second, cut, x, y + past, cut.length, cut.width - past, own))
    return sides


def kerf_of(cut: Cut, job: Job) -> Ticks | None:
    """Give the kerf (ticks) of the saw a cut names, or None where there is no such saw."""
    if cut.by is Maker.STORE:
        return job.store.kerf if job.store is not None and cut.saw == STORE_SAW else None
    if cut.saw == ANY_SAW:
        return job.shop.kerf
    return next((saw.kerf for saw in job.shop.saws if saw.name == cut.saw), None)


def tree_faults(replayed: Replayed, job: Job) -> Iterator[Fault]:
    """Yield what is wrong with the sizes, kerfs and steps of one piece of stock."""
    piece = replayed.piece
    for spot in replayed.lying:
        node, units = spot.node, job.units
        where = piece.id if spot.parent is None else f"what {cut_text(piece, spot.parent)} leaves"
        if (node.length, node.width) != (spot.length, spot.width):
            yield Fault(
                f"{where} should measure {size_text(spot.length, spot.width, units)}, "
                f"the plan says {size_text(node.length, node.width, units)}"
            )
        if min(node.length, node.width) <= 0:
            yield Fault(f"{where} has a side of nothing")
        if isinstance(node, Cut):
            yield from _cut_faults(piece, node, job)
    yield from _step_faults(replayed)


def _cut_faults(piece: StockPiece, cut: Cut, job: Job) -> Iterator[Fault]:
    name, units = cut_text(piece, cut), job.units
    along = cut.length if cut.direction is Direction.CROSSCUT else cut.width
    left_over = along - cut.at - cut.kerf
    if cut.at < 0 or cut.kerf < 0 or left_over < 0:
        yield Fault(
            f"{name} is measured {length_text(cut.at, units)} and removes "
            f"{length_text(cut.kerf, units)}: more than the piece's {length_text(along, units)}"
        )
        return
    if (cut.first is None) != (cut.at == 0):
        yield Fault(f"{name}: a first side of {length_text(cut.at, units)} is said wrongly")
    if (cut.second is None) != (left_over == 0):
        yield Fault(f"{name}: a second side of {length_text(left_over, units)} is said wrongly")
    runs_off = cut.first is None or cut.second is None
    if cut.first is None and cut.second is None:
        yield Fault(f"{name} leaves nothing but sawdust")
    elif runs_off and cut.kerf == 0:
        yield Fault(f"{name} takes nothing off")
    kerf = kerf_of(cut, job)
    if kerf is None:
        yield Fault(f"{name}: there is no {cut.by} saw named {cut.saw!r}")
    elif cut.kerf > kerf or (cut.kerf < kerf and not runs_off):
        yield Fault(
            f"{name} removes {length_text(cut.kerf, units)}, "
            f"but the kerf of the {_saw_text(cut)} is {length_text(kerf, units)}"
        )


def _saw_text(cut: Cut) -> str:
    return "saws at the shop" if cut.saw == ANY_SAW else cut.saw


def _step_faults(replayed: Replayed) -> Iterator[Fault]:
    piece, cuts = replayed.piece, replayed.cuts
    if sorted(cut.step for cut in cuts) != list(range(1, len(cuts) + 1)):
        yield Fault(f"{piece.id}: its {len(cuts)} cuts are not numbered 1 to {len(cuts)}")
    for spot in replayed.lying:
        cut, parent = spot.node, spot.parent
        if not isinstance(cut, Cut) or parent is None:
            continue
        if cut.step <= parent.step:
            yield Fault(
                f"{cut_text(piece, cut)} is made in a piece that only cut {parent.step} sets free"
            )
        if cut.by is Maker.STORE and parent.by is Maker.SHOP:
            yield Fault(
                f"{cut_text(piece, cut)} is the store's, in a piece cut {parent.step} makes at home"
            )
    last_at_store = max((cut.step for cut in cuts if cut.by is Maker.STORE), default=0)
    early = [cut.step for cut in cuts if cut.by is Maker.SHOP and cut.step < last_at_store]
    if early:
        yield Fault(
            f"{piece.id}, cut {min(early)} is made at home before the store's cut {last_at_store}"
        )
