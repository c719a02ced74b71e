"""Parts of one match word lie in one strip, in order, one saw cut apart, grain with grain."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from cutopt.check.tree import Lying, Replayed
from cutopt.errors import Fault
from cutopt.model.job import Grain, Job, Kind, Material
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, PartPiece


def run_faults(job: Job, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield what is wrong with the runs of a plan; parts that are missing are told elsewhere."""
    found = {
        (spot.node.part, spot.node.copy): (replayed, spot)
        for replayed in pieces
        for spot in replayed.lying
        if isinstance(spot.node, PartPiece)
    }
    words: dict[tuple[Material, str], list[tuple[Replayed, Lying]]] = {}
    for part in job.parts:
        if part.match and part.material.kind is Kind.SHEET:
            words.setdefault((part.material, part.match), []).extend(
                found[part.id, copy] for copy in range(1, part.qty + 1) if (part.id, copy) in found
            )
    for (_, word), members in words.items():
        ids = dict.fromkeys(replayed.piece.id for replayed, _ in members)
        if len(ids) > 1:
            yield Fault(f"the run {word!r} is cut from {', '.join(ids)}, not from one strip")
        elif members:
            spots = [spot for _, spot in members]
            cuts = [spot for spot in members[0][0].lying if isinstance(spot.node, Cut)]
            if not any(
                all(_neighbours(*pair, cuts, direction) for pair in pairwise(order))
                for order in (spots, spots[::-1])
                for direction in Direction
            ):
                yield Fault(
                    f"{next(iter(ids))}: the parts of the run {word!r} do not lie side by side "
                    "or end to end in one strip, in order, one saw cut apart"
                )
            grains = {part.id: part.grain for part in job.parts}
            lying = {
                (grains[spot.node.part] is Grain.WIDTH) is not spot.node.turned
                for spot in spots
                if isinstance(spot.node, PartPiece)
            }
            if len(lying) > 1:
                yield Fault(
                    f"{next(iter(ids))}: the grain of the parts of the run {word!r} does not "
                    "run one way"
                )


def _neighbours(one: Lying, other: Lying, cuts: Sequence[Lying], direction: Direction) -> bool:
    """Say whether ``other`` lies right behind ``one``, one cut of the direction apart."""
    start, end, near, far = _extent(one, direction)
    next_start, _, next_near, next_far = _extent(other, direction)
    if (near, far) != (next_near, next_far) or not start < end <= next_start:
        return False
    for spot in cuts:
        cut = spot.node
        if isinstance(cut, Cut) and cut.direction is direction:
            cut_start, _, cut_near, cut_far = _extent(spot, direction)
            if (
                (cut_start + cut.at, cut.kerf) == (end, next_start - end)
                and cut_near <= near
                and cut_far >= far
            ):
                return True
    return False


def _extent(spot: Lying, direction: Direction) -> tuple[int, int, int, int]:
    """Give (start, end) of a piece square to cuts of a direction, and (near, far) along them."""
    along = (spot.x, spot.x + spot.length)
    across = (spot.y, spot.y + spot.width)
    return (*along, *across) if direction is Direction.CROSSCUT else (*across, *along)
