"""Drawings for makers with a CNC router or laser: each part, each sheet, in true size.

Everything is in millimetres, whatever the job's units; words use the job's units.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cutopt.draw.file_names import file_name
from cutopt.draw.true_shapes import Path, Ring, Shape, box, contour, cutout_shape, moved, turned
from cutopt.model.job import CutoutKind, Edge, Grain, Kind, Part
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Offcut, PartPiece, Placed, Plan, StockPiece, walk
from cutopt.steps.bands import band_words
from cutopt.steps.blanks import extra_phrase, finished_in_blank
from cutopt.steps.cutouts import cutout_phrases
from cutopt.steps.hands import as_made, hand_of, mirror_image
from cutopt.steps.phrase import counted, plain
from cutopt.units import Units, format_length, to_mm

PART_OUTLINE = "Part outline"
BLANK = "Blank"
CUTOUT_LAYERS = {
    CutoutKind.NOTCH: "Notches",
    CutoutKind.OPENING: "Openings",
    CutoutKind.HOLE: "Holes",
    CutoutKind.ROUNDED_CORNER: "Rounded corners",
    CutoutKind.DISC: "Discs",
}
BANDED_EDGES = "Banded edges"
GRAIN = "Grain"
WORDS = "Words"
SHEET_OUTLINE = "Sheet outline"
TRIM = "Trim"
STORE_CUTS = "Store cuts"
SHOP_CUTS = "Shop cuts"
CUT_WORDS = "Cut numbers"
OFFCUTS = "Offcuts"

LAYERS = (
    PART_OUTLINE, BLANK, *CUTOUT_LAYERS.values(), BANDED_EDGES, GRAIN, WORDS, SHEET_OUTLINE, TRIM,
    STORE_CUTS, SHOP_CUTS, CUT_WORDS, OFFCUTS,
)  # fmt: skip
"""Every layer there may be, in plain words, always in this order."""

TALLEST, LOWEST = 14.0, 1.5
"""Heights of letters, mm."""
LETTER = 0.95
"""Width of a wide letter as a share of its height: with it words keep inside their room."""
MARGIN = 0.4
"""Room around words and between lines, as a share of the height of letters."""
LONGEST_NAME = 60
"""Characters of a part's name in the name of its file."""


@dataclass(frozen=True, slots=True)
class Note:
    """A line of words: lower left corner and height in mm; ``upright`` reads from the right."""

    x: float
    y: float
    height: float
    text: str
    upright: bool = False


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing drawn, and its layer."""

    layer: str
    what: Shape | Note


@dataclass(frozen=True, slots=True)
class DxfDrawing:
    """One file: its name without ending, and what is drawn in millimetres."""

    name: str
    entries: tuple[Entry, ...]


def dxf_drawings(plan: Plan, units: Units) -> tuple[DxfDrawing, ...]:
    """Give a drawing for each kind of part, then for each sheet.

    A pair that is handed gets one for its left and one for its right ones where they differ.
    """
    parts = [drawing for part in plan.job.parts for drawing in _part_drawings(part, units)]
    sheets = [
        DxfDrawing(file_name(piece.id), tuple(_sheet(plan, piece, units)))
        for piece in plan.pieces
        if piece.stock.kind is Kind.SHEET
    ]
    return (*parts, *sheets)


def _part_drawings(part: Part, units: Units) -> Iterator[DxfDrawing]:
    copies: dict[str, list[int]] = {}
    for copy in range(1, part.qty + 1):
        hand = hand_of(part, copy) if mirror_image(part) != part else ""
        copies.setdefault(hand, []).append(copy)
    for hand, own in copies.items():
        name = file_name(part.id, part.name[:LONGEST_NAME], hand)
        yield DxfDrawing(name, tuple(_part(part, own, hand, units)))


def _part(part: Part, copies: Sequence[int], hand: str, units: Units) -> Iterator[Entry]:
    """Yield one part, its finished left front corner at 0, 0, its words below it."""
    made = as_made(part, copies[0])
    yield from _finished(made)
    left, front = (-to_mm(place) for place in finished_in_blank(made, copies[0]))
    blank = box(left, front, to_mm(part.blank_length), to_mm(part.blank_width))
    yield Entry(BLANK, blank)
    yield from (Entry(BANDED_EDGES, _edge(made, edge)) for edge in made.band)
    yield from (Entry(GRAIN, arrow) for arrow in _grain(made))
    lines = _part_words(made, len(copies), hand, units)
    height = min(TALLEST, max(LOWEST, to_mm(part.length) / 30))
    for number, line in enumerate(lines, start=1):
        y = min(0.0, front) - number * height * (1 + MARGIN) - height
        yield Entry(WORDS, Note(0.0, y, height, line))


def _finished(made: Part) -> Iterator[Entry]:
    """Yield a part's outline and its cutouts, its left front corner at 0, 0."""
    outline = contour(made) or box(0.0, 0.0, to_mm(made.length), to_mm(made.width))
    yield Entry(PART_OUTLINE, outline)
    for cutout in made.cutouts:
        yield Entry(CUTOUT_LAYERS[cutout.kind], cutout_shape(cutout, made))


def _part_words(made: Part, count: int, hand: str, units: Units) -> list[str]:
    def say(ticks: int) -> str:
        return format_length(ticks, units, unit_mark=True)

    material = made.material
    stock = f"{material.name} {material.section}" if material.section else material.name
    lines = [
        f"{made.id} {made.name}{f', {hand}' if hand else ''}: {count} to make",
        f"finished {say(made.length)} x {say(made.width)}",
        f"blank {say(made.blank_length)} x {say(made.blank_width)}",
        f"{stock}, {say(made.thickness)} thick, {band_words(made)}",
    ]
    extra = extra_phrase(made)
    lines += [plain(extra, say)] if extra else []
    lines += [plain(phrase, say).replace("×", "x") for phrase in cutout_phrases(made)]
    lines += [made.note] if made.note else []
    return lines


def _edge(made: Part, edge: Edge) -> Path:
    length, width = to_mm(made.length), to_mm(made.width)
    ends = {
        Edge.FRONT: ((0.0, 0.0, 0), (length, 0.0, 0)),
        Edge.BACK: ((0.0, width, 0), (length, width, 0)),
        Edge.LEFT: ((0.0, 0.0, 0), (0.0, width, 0)),
        Edge.RIGHT: ((length, 0.0, 0), (length, width, 0)),
    }
    return Path(ends[edge], closed=False)


def _grain(made: Part) -> Iterator[Path]:
    """Yield the shaft and both heads of the grain arrow, clear of cutouts where there is room."""
    if made.grain not in {Grain.LENGTH, Grain.WIDTH}:
        return
    length, width = to_mm(made.length), to_mm(made.width)
    along = made.grain is Grain.LENGTH
    half = (length if along else width) / 4
    head = min(half / 4, min(length, width) / 6)
    lines = (
        ((-half, 0.0), (half, 0.0)),
        ((-half + head, head / 2), (-half, 0.0), (-half + head, -head / 2)),
        ((half - head, head / 2), (half, 0.0), (half - head, -head / 2)),
    )
    reach_x, reach_y = (half, head / 2) if along else (head / 2, half)
    places = [(length * a / 8, width * b / 8) for b in (4, 3, 5, 2, 6) for a in (4, 3, 5)]
    clear = [at for at in places if not _on_cutout(made, *at, reach_x, reach_y)]
    middle_x, middle_y = (clear or places)[0]
    for line in lines:
        points = line if along else [(y, x) for x, y in line]
        yield Path(tuple((middle_x + x, middle_y + y, 0) for x, y in points), closed=False)


def _on_cutout(made: Part, x: float, y: float, reach_x: float, reach_y: float) -> bool:
    """Say whether something that reaches so far each way from a place meets a cutout."""
    return any(
        abs(to_mm(2 * c.from_left + c.length) / 2 - x) < reach_x + to_mm(c.length) / 2
        and abs(to_mm(2 * c.from_front + c.width) / 2 - y) < reach_y + to_mm(c.width) / 2
        for c in made.cutouts
    )


def _sheet(plan: Plan, piece: StockPiece, units: Units) -> Iterator[Entry]:
    """Yield one sheet, its reference corner at 0, 0."""
    stock = piece.stock
    length, width = to_mm(stock.length), to_mm(stock.width)
    yield Entry(SHEET_OUTLINE, box(0.0, 0.0, length, width))
    left, right, near, far = (to_mm(edge) for edge in stock.clean_up)
    if left or right or near or far:
        yield Entry(TRIM, box(left, near, length - left - right, width - near - far))
    size = " x ".join(
        format_length(side, units, unit_mark=True)
        for side in (stock.length, stock.width, stock.thickness)
    )
    cuts = counted(len(piece.cuts()), "cut")
    words = f"{piece.id} {stock.name}: {size}, {stock.material.name}, {cuts}"
    yield Entry(WORDS, Note(0.0, -2 * TALLEST, TALLEST, words))
    for placed in walk(piece.layout):
        node = placed.node
        if isinstance(node, PartPiece):
            yield from _placed_part(plan.part(node.part), node, placed)
        elif isinstance(node, Cut):
            yield from _cut(node, placed, units)
        elif isinstance(node, Offcut):
            room = box(*_room(placed))
            yield Entry(OFFCUTS, room)
            yield Entry(WORDS, _note(f"offcut {node.id}", placed))


def _room(placed: Placed) -> tuple[float, float, float, float]:
    node = placed.node
    return to_mm(placed.x), to_mm(placed.y), to_mm(node.length), to_mm(node.width)


def _placed_part(part: Part, node: PartPiece, placed: Placed) -> Iterator[Entry]:
    """Yield a part as it lies on its sheet; a turned one lies turned anticlockwise."""
    made = as_made(part, node.copy)
    x, y, length, width = _room(placed)
    yield Entry(BLANK, box(x, y, length, width))
    left, front = (to_mm(place) for place in finished_in_blank(made, node.copy))
    for entry in _finished(made):
        if isinstance(entry.what, (Path, Ring)):
            shape = moved(entry.what, left, front)
            shape = turned(shape, to_mm(part.blank_width)) if node.turned else shape
            yield Entry(entry.layer, moved(shape, x, y))
    yield Entry(WORDS, _note(f"{part.name} {part.count_words(node.copy)}", placed))


def _note(text: str, placed: Placed) -> Note:
    """Give words inside a piece, along its longer side."""
    x, y, length, width = _room(placed)
    upright = width > length
    along, across = (width, length) if upright else (length, width)
    height = min(TALLEST, across / (1 + 2 * MARGIN), along / (LETTER * len(text) + 2 * MARGIN))
    gap = height * MARGIN
    return Note(x + gap + (height if upright else 0.0), y + gap, height, text, upright)


def _cut(cut: Cut, placed: Placed, units: Units) -> Iterator[Entry]:
    """Yield what the blade takes away, and beside it the number of the cut, its saw and kerf."""
    x, y, length, width = _room(placed)
    crosscut = cut.direction is Direction.CROSSCUT
    at, kerf = to_mm(cut.at), to_mm(cut.kerf)
    strip = box(x + at, y, kerf, width) if crosscut else box(x, y + at, length, kerf)
    yield Entry(STORE_CUTS if cut.by is Maker.STORE else SHOP_CUTS, strip)
    blade = format_length(cut.kerf, units, unit_mark=True)
    text = f"{cut.step}: {cut.saw}, kerf {blade}"
    line = width if crosscut else length
    height = min(TALLEST / 2, line / (LETTER * len(text) + 2 * MARGIN))
    gap = height * MARGIN
    # They start in the middle of the line: the corners hold the names of parts.
    if crosscut:
        start = y + (width - LETTER * height * len(text)) / 2
        yield Entry(CUT_WORDS, Note(x + at - gap, start, height, text, upright=True))
    else:
        start = x + (length - LETTER * height * len(text)) / 2
        yield Entry(CUT_WORDS, Note(start, y + at + kerf + gap, height, text))
