"""Runs on the wood: each part's place in its run, and how a run lies on its sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby, pairwise

from cutopt.model.job import Job, Kind, Material
from cutopt.model.plan import PartPiece, Placed, StockPiece, walk


@dataclass(frozen=True, slots=True)
class RunPlace:
    """A part's place in its run.

    Attributes:
        word: the match word.
        number: from 1, in the order of the bill of parts.
        count: parts in the run.
    """

    word: str
    number: int
    count: int

    @property
    def counted(self) -> str:
        """Give "run 2 of 4"."""
        return f"run {self.number} of {self.count}"

    @property
    def words(self) -> str:
        """Give "run fronts, 2 of 4"."""
        return f"run {self.word}, {self.number} of {self.count}"


@dataclass(frozen=True, slots=True)
class LaidRun:
    """A run as it lies on a piece of stock, its parts in order."""

    word: str
    parts: tuple[Placed, ...]

    @property
    def level(self) -> bool:
        """Its parts lie along the stock."""
        return self.parts[0].y == self.parts[1].y

    @property
    def way(self) -> str:
        """Give which way it counts on a drawing: "left to right"."""
        first, second = self.parts[:2]
        if self.level:
            return "left to right" if first.x < second.x else "right to left"
        return "from the bottom up" if first.y < second.y else "from the top down"

    @property
    def joints(self) -> tuple[tuple[Placed, Placed], ...]:
        """Give the neighbours, the one nearer the reference corner first."""
        order = sorted(self.parts, key=lambda placed: (placed.x, placed.y))
        return tuple(pairwise(order))

    def listed(self, names: Mapping[str, str]) -> str:
        """Give its parts in order by their names: "2 × Low front, Top front"."""
        found = groupby(
            names[placed.node.part] for placed in self.parts if isinstance(placed.node, PartPiece)
        )
        counts = [(name, len(list(same))) for name, same in found]
        return ", ".join(name if n == 1 else f"{n} × {name}" for name, n in counts)


def run_places(job: Job) -> Mapping[tuple[str, int], RunPlace]:
    """Give the place of each part that belongs to a run, by part and copy."""
    runs: dict[tuple[Material, str], list[tuple[str, int]]] = {}
    for part in job.parts:
        if part.match and part.material.kind is Kind.SHEET:
            runs.setdefault((part.material, part.match), []).extend(
                (part.id, copy) for copy in range(1, part.qty + 1)
            )
    return {
        member: RunPlace(word, number, len(members))
        for (_, word), members in runs.items()
        if len(members) > 1
        for number, member in enumerate(members, start=1)
    }


def laid_runs(piece: StockPiece, places: Mapping[tuple[str, int], RunPlace]) -> tuple[LaidRun, ...]:
    """Give the runs on a piece of stock, in the order of the bill of parts."""
    found: dict[str, list[tuple[int, Placed]]] = {}
    for placed in walk(piece.layout):
        node = placed.node
        if isinstance(node, PartPiece) and (node.part, node.copy) in places:
            place = places[node.part, node.copy]
            found.setdefault(place.word, []).append((place.number, placed))
    order = list(dict.fromkeys(place.word for place in places.values()))
    return tuple(
        LaidRun(word, tuple(placed for _, placed in sorted(members, key=lambda m: m[0])))
        for word, members in sorted(found.items(), key=lambda item: order.index(item[0]))
        if len(members) > 1
    )
