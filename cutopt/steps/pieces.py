"""Plain questions about a cut tree, asked by every list: which sides go on, what is alike."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass

from cutopt.model.job import Kind
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Node, Offcut, PartPiece, StockPiece, walk
from cutopt.units import Ticks


def made_by_store(node: Node | None) -> bool:
    """Say whether this node is cut by the store."""
    return isinstance(node, Cut) and node.by is Maker.STORE


def holds_part(node: Node | None) -> bool:
    """Say whether any part comes out of this node."""
    return node is not None and any(isinstance(p.node, PartPiece) for p in walk(node))


def across(node: Node, direction: Direction) -> Ticks:
    """Give the size (ticks) of a node that a cut in this direction parts."""
    return node.length if direction is Direction.CROSSCUT else node.width


def parts_of(node: Node) -> tuple[PartPiece, ...]:
    """Give the part pieces of a tree from the reference corner on."""
    return tuple(p.node for p in walk(node) if isinstance(p.node, PartPiece))


def is_crosscut_only(piece: StockPiece) -> bool:
    """Say whether this is a board cut to length only: one line of marks says it all."""
    return piece.stock.kind is Kind.BOARD and all(
        cut.direction is Direction.CROSSCUT for cut in piece.cuts()
    )


def signature(node: Node | None) -> Hashable:
    """Give a key that is equal for trees that are cut alike: copies, labels and ids aside."""
    if isinstance(node, Cut):
        return (
            "cut", node.length, node.width, node.direction, node.at, node.kerf, node.by,
            node.saw, node.step, signature(node.first), signature(node.second),
        )  # fmt: skip
    if isinstance(node, PartPiece):
        return ("part", node.length, node.width, node.part, node.turned)
    if isinstance(node, Offcut):
        return ("offcut", node.length, node.width)
    return "waste" if node is not None else None


@dataclass(frozen=True, slots=True)
class Alike:
    """Stock pieces cut alike: the first stands for all."""

    pieces: tuple[StockPiece, ...]

    @property
    def first(self) -> StockPiece:
        """The piece that is drawn."""
        return self.pieces[0]

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of all of them, in the order of the plan."""
        return tuple(piece.id for piece in self.pieces)


def alike(
    pieces: Iterable[StockPiece], key: Callable[[Node], Hashable] = signature
) -> tuple[Alike, ...]:
    """Group pieces of one stock that are cut alike, in the order of the plan."""
    groups: dict[Hashable, list[StockPiece]] = {}
    for piece in pieces:
        groups.setdefault((piece.stock.name, key(piece.layout)), []).append(piece)
    return tuple(Alike(tuple(group)) for group in groups.values())


def ids_words(ids: Sequence[str]) -> str:
    """Give ids in few words, runs of three and more as "S1-S4": "S1 S3", "S1-S4 S7"."""
    runs: list[list[str]] = []
    for one in ids:
        if runs and _follows(runs[-1][-1], one):
            runs[-1].append(one)
        else:
            runs.append([one])
    return " ".join(f"{run[0]}-{run[-1]}" if len(run) > 2 else " ".join(run) for run in runs)


def _follows(one: str, other: str) -> bool:
    """Say whether an id is the next one of its letter."""
    same = one[:1] == other[:1] and one[1:].isdigit() and other[1:].isdigit()
    return same and int(other[1:]) == int(one[1:]) + 1
