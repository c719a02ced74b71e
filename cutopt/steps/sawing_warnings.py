"""What the builder must know of a sawn job: cuts no saw makes, pieces no car takes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from cutopt.model.job import Job, Kind, Material, PlanWarning, SawKind
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW, Cut, Maker, Node, Offcut, PartPiece, StockPiece, Waste, walk
from cutopt.steps.phrase import counted, listed
from cutopt.steps.sawing_fees import fee_of
from cutopt.units import Units, format_length

Trouble = tuple[int, int, int]
"""Pieces that do not fit the car, cuts that no saw makes, cents for the store's cuts."""


def sawing_warnings(
    job: Job, pieces: Sequence[StockPiece], remedies: Mapping[tuple[Material, str], str]
) -> Iterator[PlanWarning]:
    """Yield warnings about saws, the car and the store's edges, piece by piece.

    ``remedies`` gives what would do for all of a material, by what the warning is about; the
    first such warning says it, and the others only what is amiss.
    """
    untold = dict(remedies)
    for piece in pieces:
        material = piece.stock.material
        for warning, otherwise in (*_saw_warnings(job, piece), *_carry_warnings(job, piece)):
            about = material, warning.about
            remedy = untold.pop(about, "") or ("" if about in remedies else otherwise)
            yield replace(warning, text=f"{warning.text}; {remedy}") if remedy else warning
        yield from _left_warnings(job, piece)
    yield from _store_edge_warnings(job, pieces)


def cuts_without_saw(job: Job, layout: Node) -> list[Cut]:
    """Give the cuts that are left to "any" saw although saws are named."""
    if not job.shop.saws:
        return []
    nodes = (placed.node for placed in walk(layout))
    return [
        node
        for node in nodes
        if isinstance(node, Cut) and node.by is Maker.SHOP and node.saw == ANY_SAW
    ]


def trouble_with(job: Job, piece: StockPiece) -> Trouble:
    """Give what is amiss with a piece of stock as it is sawn, and what the store asks for it."""
    too_large = len(too_large_for_car(job, piece))
    return too_large, len(cuts_without_saw(job, piece.layout)), fee_of(job, piece)


def leaving_store(layout: Node) -> Iterator[Node]:
    """Yield the pieces that leave the store, the whole where it cuts nothing."""
    if isinstance(layout, Cut) and layout.by is Maker.STORE:
        for side in (layout.first, layout.second):
            if side is not None:
                yield from leaving_store(side)
    else:
        yield layout


def too_large_for_car(job: Job, piece: StockPiece) -> list[Node]:
    """Give what has to go home from the store and does not fit the car: all with parts in it."""
    return [node for node in _not_in_car(job, piece) if not isinstance(node, (Offcut, Waste))]


def left_at_store(job: Job, piece: StockPiece) -> list[Node]:
    """Give the offcuts that do not fit the car and are not worth a cut."""
    return [node for node in _not_in_car(job, piece) if isinstance(node, Offcut)]


def _not_in_car(job: Job, piece: StockPiece) -> list[Node]:
    carry, kind = job.carry, piece.stock.kind
    if carry is None or piece.stock.owned:
        return []
    return [
        node
        for node in leaving_store(piece.layout)
        if not carry.takes(node.length, node.width, kind)
    ]


def _saw_warnings(job: Job, piece: StockPiece) -> Iterator[tuple[PlanWarning, str]]:
    """Yield the warning of cuts that no saw makes, and what would help where nothing was tried."""
    cuts = sorted(cuts_without_saw(job, piece.layout), key=lambda cut: cut.step)
    if not cuts:
        return
    steps = listed([str(cut.step) for cut in cuts])
    longest = max(cut.width if cut.direction is Direction.CROSSCUT else cut.length for cut in cuts)
    kinds = {saw.kind for saw in job.shop.saws}
    remedy = "a wider rip capacity" if kinds == {SawKind.TABLE} else "a longer guide"
    if not kinds & {SawKind.TRACK, SawKind.CIRCULAR}:
        remedy = "a circular saw along a straight edge"
    length = format_length(longest, job.units, unit_mark=True)
    one = len(cuts) == 1
    warning = PlanWarning(
        "saw",
        f"{piece.id}, {'cut' if one else 'cuts'} {steps}: none of your saws can make "
        f"{'it' if one else 'them'}",
    )
    yield warning, f"{remedy} would do; the {'' if one else 'longest '}cut is {length} long"


def _carry_warnings(job: Job, piece: StockPiece) -> Iterator[tuple[PlanWarning, str]]:
    """Yield the warning of what does not fit, and what would help where nothing was tried."""
    large = too_large_for_car(job, piece)
    if not large or job.carry is None:
        return
    sizes = listed([_size(job, node) for node in large])
    held = [
        placed.node.label
        for node in large
        for placed in walk(node)
        if isinstance(placed.node, PartPiece)
    ]
    if len(held) > 3:
        with_parts = f" with {counted(len(held), 'part')}"
    else:
        with_parts = f" with {listed(held)}" if held else ""
    warning = PlanWarning(
        "carry",
        f"{piece.id} ({piece.stock.name}): {sizes}{with_parts} "
        f"{'does' if len(large) == 1 else 'do'} not fit the car",
    )
    yield warning, f"have it delivered{_or_else(job, piece, large)}"


def _left_warnings(job: Job, piece: StockPiece) -> Iterator[PlanWarning]:
    left = left_at_store(job, piece)
    if left:
        sizes = listed([_size(job, node) for node in left])
        yield PlanWarning(
            "carry",
            f"{piece.id} ({piece.stock.name}): {sizes} left over without a part, too large for "
            f"the car; leave {'it' if len(left) == 1 else 'them'} at the store",
        )


def _or_else(job: Job, piece: StockPiece, large: Sequence[Node]) -> str:
    """Give what would help besides delivery."""
    store = job.store
    blanks = [
        placed.node for node in large for placed in walk(node) if isinstance(placed.node, PartPiece)
    ]
    carry, kind = job.carry, piece.stock.kind
    edges = store.allowance if store is not None and store.rough else 0
    if carry is not None and any(
        not carry.takes(part.length + edges, part.width + edges, kind) for part in blanks
    ):
        return " or take a larger car: a part alone is too large"
    if store is None:
        return ", take a larger car, or have the store cut it"
    if piece.stock.kind is Kind.BOARD and not store.crosscuts_boards:
        return ", take a larger car, or buy shorter boards"
    if store.most_cuts is not None and len(_store_cuts(piece)) >= store.most_cuts:
        return ", take a larger car, or ask for more cuts"
    return " or take a larger car"


def _store_cuts(piece: StockPiece) -> list[Cut]:
    return [cut for cut in piece.cuts() if cut.by is Maker.STORE]


def _size(job: Job, node: Node) -> str:
    length, width = (format_length(side, job.units) for side in (node.length, node.width))
    mark = '"' if job.units is Units.INCH else " mm"
    return f"{length} x {width}{mark}"


def _store_edge_warnings(job: Job, pieces: Sequence[StockPiece]) -> Iterator[PlanWarning]:
    """Yield one warning for each part that keeps an edge as the store sawed it."""
    if job.store is None or job.store.rough or not job.store.accuracy:
        return
    kept: Counter[tuple[str, str]] = Counter()
    for piece in pieces:
        for blank, direction in _store_edges(piece.layout, {}):
            long_edge = blank.turned == (direction is Direction.CROSSCUT)
            kept[blank.part, "long edge" if long_edge else "end"] += 1
    accuracy = format_length(job.store.accuracy, job.units, unit_mark=True)
    for part in job.parts:
        for edge in ("long edge", "end"):
            count = kept[part.id, edge]
            if count:
                yield PlanWarning(
                    "store",
                    f"{part.name}: {counted(count, edge)} {'is' if count == 1 else 'are'} made "
                    f"at the store, true within {accuracy} only",
                )


def _store_edges(
    node: Node, made: dict[tuple[Direction, int], Maker]
) -> Iterator[tuple[PartPiece, Direction]]:
    """Yield (part, direction of the cut) for every part edge a store cut made."""
    if isinstance(node, PartPiece):
        for (direction, _), maker in sorted(made.items()):
            if maker is Maker.STORE:
                yield node, direction
    elif isinstance(node, Cut):
        if node.first is not None:
            yield from _store_edges(node.first, made | {(node.direction, 1): node.by})
        if node.second is not None:
            yield from _store_edges(node.second, made | {(node.direction, 0): node.by})
