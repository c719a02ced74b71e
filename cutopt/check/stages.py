"""How many levels of parallel cuts part a sheet, counted on the cut tree."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutopt.check.tree import Replayed
from cutopt.errors import Fault
from cutopt.model.job import Job, Kind
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, PartPiece


def stage_faults(job: Job, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield each sheet that takes more levels of cuts than the shop allows."""
    limit = job.shop.stages
    if limit is None:
        return
    runs = {part.id: part.match for part in job.parts if part.match}
    for replayed in pieces:
        if replayed.piece.stock.kind is not Kind.SHEET:
            continue
        levels = levels_of(replayed, runs)
        if levels > limit:
            yield Fault(
                f"{replayed.piece.id}: cuts change direction so often that there are {levels} "
                f"levels of them, the job allows {limit}"
            )


def levels_of(replayed: Replayed, runs: dict[str, str]) -> int:
    """Give the most levels of cuts that lead to a part.

    A cut counts where parts come from both its sides: what trims a part or takes off a
    leftover does not, nor do cuts within parts kept together (``runs``: their word by part).
    Cuts of one direction, one after the other, are one level.
    """
    held: dict[int, set[str]] = {}
    for spot in reversed(replayed.lying):
        node = spot.node
        if isinstance(node, PartPiece):
            word = runs.get(node.part)
            held[id(node)] = {f"{node.part} {node.copy}" if word is None else f"run {word}"}
        elif isinstance(node, Cut):
            held[id(node)] = _of(held, node.first) | _of(held, node.second)
    most = 0
    waiting: list[tuple[Node, Direction | None, int]] = [(replayed.piece.layout, None, 0)]
    while waiting:
        node, last, levels = waiting.pop()
        most = max(most, levels)
        if not isinstance(node, Cut):
            continue
        first, second = _of(held, node.first), _of(held, node.second)
        if first and second and len(first | second) > 1 and node.direction is not last:
            last, levels = node.direction, levels + 1
        waiting += [(side, last, levels) for side in (node.first, node.second) if side is not None]
    return most


def _of(held: dict[int, set[str]], node: Node | None) -> set[str]:
    return set() if node is None else held.get(id(node), set())
