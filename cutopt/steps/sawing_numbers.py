"""Number what was sawn: steps of the cuts, copies of the parts, ids of the offcuts.

Cuts are numbered in the order to make them: the store's first, all parallel cuts of one
line before the pieces they leave; then at home one piece after the other, its trims and
long cuts first, larger pieces before smaller ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from string import ascii_lowercase

from cutopt.model.plan import Cut, Maker, Node, Offcut, PartPiece

_Path = tuple[int, ...]


@dataclass(slots=True)
class Counts:
    """How many copies of each part have been cut so far, and how many there will be.

    Attributes:
        as_they_lie: parts of a run: their copies are numbered as they lie, not as they are cut.
    """

    qty: Mapping[str, int]
    names: Mapping[str, str]
    cut: dict[str, int]
    as_they_lie: frozenset[str] = frozenset()

    def take(self, part: str) -> tuple[int, str]:
        """Give the number and label of the next copy of a part."""
        copy = self.cut.get(part, 0) + 1
        self.cut[part] = copy
        name, qty = self.names[part], self.qty[part]
        return copy, name if qty == 1 else f"{name} {copy} of {qty}"


def number(piece_id: str, layout: Node, counts: Counts) -> Node:
    """Give the tree with steps, copies, ids and labels filled in; counts move on."""
    cuts = sorted(_cuts(layout), key=lambda found: found.key)
    steps = {found.path: step for step, found in enumerate(cuts, start=1)}
    leaves = [(path, node) for path, node in _nodes(layout) if not isinstance(node, Cut)]
    lying = {
        path: counts.take(node.part)
        for path, node in leaves
        if isinstance(node, PartPiece) and node.part in counts.as_they_lie
    }
    leaves.sort(key=lambda leaf: (steps.get(leaf[0][:-1], 0), leaf[0]))
    named: dict[_Path, Node] = {}
    offcuts = 0
    for path, node in leaves:
        if isinstance(node, PartPiece):
            copy, label = lying.get(path) or counts.take(node.part)
            named[path] = replace(node, copy=copy, label=label)
        elif isinstance(node, Offcut):
            offcut_id = f"{piece_id}-{offcut_letters(offcuts)}"
            named[path] = replace(node, id=offcut_id, label=f"Keep {offcut_id}")
            offcuts += 1
    return _rebuild(layout, (), steps, named)


@dataclass(frozen=True, slots=True)
class _Found:
    path: _Path
    key: tuple[int, int, int, int, _Path]


def _nodes(node: Node, path: _Path = ()) -> Iterator[tuple[_Path, Node]]:
    yield path, node
    if isinstance(node, Cut):
        for side, child in enumerate((node.first, node.second)):
            if child is not None:
                yield from _nodes(child, (*path, side))


def _cuts(
    node: Node,
    path: _Path = (),
    above: Cut | None = None,
    level: int = 0,
    home_piece: int = 0,
    seen: list[int] | None = None,
) -> Iterator[_Found]:
    """Yield the cuts with what they are ordered by.

    The key is (at home, which piece the store left, level, less the area, path). A level
    is a run of parallel cuts; cuts of a lower level and a larger piece come first, so a
    cut never comes before its parent.
    """
    seen = [0] if seen is None else seen
    if not isinstance(node, Cut):
        return
    at_home = int(node.by is Maker.SHOP)
    if at_home and (above is None or above.by is Maker.STORE):
        seen[0] += 1
        home_piece, level = seen[0], 0
    elif above is not None and above.direction is not node.direction:
        level += 1
    area = 0 if not at_home else -node.length * node.width
    yield _Found(path, (at_home, home_piece, level, area, path))
    for side, child in enumerate((node.first, node.second)):
        if child is not None:
            yield from _cuts(child, (*path, side), node, level, home_piece, seen)


def offcut_letters(index: int) -> str:
    """Give a, b ... z, aa, ab ... for 0, 1 ..."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, len(ascii_lowercase))
        letters = ascii_lowercase[rest] + letters
    return letters


def _rebuild(
    node: Node, path: _Path, steps: Mapping[_Path, int], named: Mapping[_Path, Node]
) -> Node:
    if not isinstance(node, Cut):
        return named.get(path, node)
    first, second = (
        None if child is None else _rebuild(child, (*path, side), steps, named)
        for side, child in enumerate((node.first, node.second))
    )
    return replace(node, step=steps[path], first=first, second=second)
