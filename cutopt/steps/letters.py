"""Names of pieces as they lie on the floor, so that wood, pages and labels agree.

What leaves the store saw is A, B, C ...; a piece still to be cut there carries the letters
it holds (ABC -> AB + C). At home a piece keeps its name while one side only goes on; where
both go on, B becomes B1 and B2, and B2 later B2 and B3. Boards go by their id alone, until
a ripped or crosscut board falls into several pieces. In a plan made again a piece that lies
there keeps its name, "S1 B2", and falls into B2a and B2b; the offcut S1-a into S1-a1 and S1-a2.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from cutopt.model.job import Kind
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, PartPiece, StockPiece, Waste, walk
from cutopt.steps.pieces import ids_words, made_by_store
from cutopt.units import Ticks

MOST_LETTERS = 6
"""Letters a piece is called by in full; more are named by the first and the last."""

ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

_LYING = re.compile(r"(?P<whole>[SL]\d+)(?P<mark>[ -])(?P<name>(?P<letters>[A-Za-z]+)\w*)")
"""What is left of a sheet or board: "S1 B2", the offcut "S1-a"."""


@dataclass(frozen=True, slots=True)
class Side:
    """Edges of a floor piece that the store's saw made (drawn as rough edges)."""

    left: bool = False
    right: bool = False
    bottom: bool = False
    top: bool = False


@dataclass(frozen=True, slots=True)
class FloorPiece:
    """A piece as it leaves the store: what lies on the floor at home.

    Attributes:
        letter: "A"; "" for an uncut board.
        node: its own tree.
        x, y: where it lay on the stock piece, ticks from the reference corner.
        store_edges: edges made by the store's saw.
    """

    letter: str
    node: Node
    x: Ticks
    y: Ticks
    store_edges: Side = Side()


@dataclass(frozen=True, slots=True)
class CutNames:
    """Names around one cut.

    Attributes:
        step: number of the cut on its stock piece.
        before: name of the piece that lies on the saw; "" for an uncut board.
        first, second: names of the sides that carry one: at the store all but waste, at
            home the sides that go on to another cut; None for the rest.
    """

    step: int
    before: str
    first: str | None
    second: str | None


@dataclass(frozen=True, slots=True)
class PieceNames:
    """All names on one stock piece.

    Attributes:
        id: of the stock piece.
        cuts: by step.
        floor: pieces that leave the store (the whole piece where it cuts nothing), waste
            apart, from the reference corner on.
        origin: letter of the floor piece each part comes from, by (part, copy).
    """

    id: str
    cuts: Mapping[int, CutNames] = field(hash=False)
    floor: tuple[FloorPiece, ...]
    origin: Mapping[tuple[str, int], str] = field(hash=False)

    def full(self, name: str) -> str:
        """Give the name with the id of the stock piece: "S1 B2", or "L3" alone."""
        return pencilled((self.id,), name)


def letter(number: int) -> str:
    """Give the letter of a number from 0: A, B ... Z, AA, AB ..."""
    name = ""
    number += 1
    while number:
        number, place = divmod(number - 1, len(ALPHABET))
        name = ALPHABET[place] + name
    return name


def pencilled(ids: Sequence[str], name: str) -> str:
    """Give what is pencilled on a piece of these sheets: "S1 B2", "S1-S6 B2", "L3" alone.

    A piece named "S1 B2" itself falls into "S1 B2a" and "S1 B2b".
    """
    found = _LYING.fullmatch(ids[0])
    if found is not None and name:
        return f"{found['whole']}{found['mark']}{name}"
    return f"{ids_words(ids)} {name}".rstrip()


def bought_as(piece_id: str) -> str:
    """Give the sheet or board that a piece was bought as: "S1" of "S1 B2" and "S1-a"."""
    found = _LYING.fullmatch(piece_id)
    return piece_id if found is None else found["whole"]


def offcut_before(piece_id: str) -> str:
    """Give the offcut that a piece was: "S1-a" of "S1-a2"; itself where it was none."""
    found = _LYING.fullmatch(piece_id)
    if found is None or found["mark"] == " ":
        return piece_id
    return f"{found['whole']}-{found['letters']}"


def name_pieces(piece: StockPiece) -> PieceNames:
    """Give the names of all pieces of one sheet or board, before and after each cut."""
    bare = piece.stock.kind is Kind.BOARD and not made_by_store(piece.layout)
    floor = _floor(piece.layout, bare=bare)
    if found := _LYING.fullmatch(piece.id):
        floor = tuple(replace(whole, letter=found["name"]) for whole in floor)
    cuts: dict[int, CutNames] = {}
    _name_store_cuts(piece.layout, iter([fp.letter for fp in floor]), len(floor), cuts)
    origin: dict[tuple[str, int], str] = {}
    for floor_piece in floor:
        _name_shop_cuts(floor_piece, cuts)
        for placed in walk(floor_piece.node):
            if isinstance(placed.node, PartPiece):
                origin[placed.node.part, placed.node.copy] = floor_piece.letter
    return PieceNames(piece.id, dict(sorted(cuts.items())), floor, origin)


def _floor(root: Node, *, bare: bool) -> tuple[FloorPiece, ...]:
    """Give what leaves the store, waste apart, lettered from the reference corner on."""
    found: list[FloorPiece] = []

    def gather(node: Node | None, x: int, y: int, edges: Side) -> None:
        if isinstance(node, Cut) and made_by_store(node):
            past = node.at + node.kerf
            if node.direction is Direction.CROSSCUT:
                gather(node.first, x, y, replace(edges, right=True))
                gather(node.second, x + past, y, replace(edges, left=True))
            else:
                gather(node.first, x, y, replace(edges, top=True))
                gather(node.second, x, y + past, replace(edges, bottom=True))
        elif node is not None and not isinstance(node, Waste):
            name = "" if bare else letter(len(found))
            found.append(FloorPiece(name, node, Ticks(x), Ticks(y), edges))

    gather(root, 0, 0, Side())
    return tuple(found)


def _name_store_cuts(
    node: Node | None, letters: Iterator[str], count: int, cuts: dict[int, CutNames]
) -> tuple[str, ...]:
    """Give the letters a piece holds, and note the names around each store cut in it."""
    if node is None or isinstance(node, Waste):
        return ()
    if not (isinstance(node, Cut) and made_by_store(node)):
        return (next(letters),)
    first = _name_store_cuts(node.first, letters, count, cuts)
    second = _name_store_cuts(node.second, letters, count, cuts)
    whole, one, other = (_together(held, count) for held in (first + second, first, second))
    cuts[node.step] = CutNames(node.step, whole, one or None, other or None)
    return first + second


def _together(held: tuple[str, ...], count: int) -> str:
    """Give the name of a piece that holds these letters: "AB", or "A-H" where that is long.

    Past Z the letter AB would look like A and B together: then every such name is a range.
    """
    if len(held) < 2 or (len(held) <= MOST_LETTERS and count <= len(ALPHABET)):
        return "".join(held)
    return f"{held[0]}-{held[-1]}"


def _name_shop_cuts(floor_piece: FloorPiece, cuts: dict[int, CutNames]) -> None:
    """Note the names around each cut made at home on one floor piece."""
    base = floor_piece.letter
    found = [p.node for p in walk(floor_piece.node) if isinstance(p.node, Cut)]
    if not found:
        return
    names = {found[0].step: base}
    used = 0
    for cut in sorted(found, key=lambda c: c.step):
        before = names[cut.step]
        first, second = (
            before if isinstance(side, Cut) else None for side in (cut.first, cut.second)
        )
        if first is not None and second is not None:
            if used == 0:
                used, first = 1, _numbered(base, 1)
            used += 1
            second = _numbered(base, used)
        for side, name in ((cut.first, first), (cut.second, second)):
            if isinstance(side, Cut) and name is not None:
                names[side.step] = name
        cuts[cut.step] = CutNames(cut.step, before, first, second)


def _numbered(base: str, number: int) -> str:
    """Give "B1", or "B2a" of B2; a board that has no letter yet falls into A, B ..."""
    if base[-1:].isdigit():
        return f"{base}{letter(number - 1).lower()}"
    return f"{base}{number}" if base else letter(number - 1)
