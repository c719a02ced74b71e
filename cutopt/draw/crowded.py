"""Sheets too full for names: numbers in the parts, dots in slivers, and a key."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.flags import flag_extent, kept_within, spread
from cutopt.draw.lines import wrap_line
from cutopt.draw.marks import Points
from cutopt.draw.part_on_stock import free_in_part
from cutopt.draw.regions import Corner
from cutopt.draw.scene import BLACK, Align, Circle, Drawing, Style, Words
from cutopt.draw.shop_layout import LEAST_LEADER_PITCH, SheetView
from cutopt.draw.space import Rect, meets_any
from cutopt.draw.typeset import Length, Line, line_width, set_line, size_pieces, width_of
from cutopt.model.job import Grain, Part
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Node, PartPiece, Waste, walk
from cutopt.steps.hands import as_made
from cutopt.steps.phrase import counted
from cutopt.steps.shop import ShopCut, ShopSheet
from cutopt.units import Units

MOST_NAMED_PARTS = 24
"""Parts on one sheet that are named in the drawing; more are numbered."""
NUMBER_SIZES = (11.0, 10.0, 9.0, 8.0, 7.0, 6.5)
LEADER_PITCH = 10.5
COLUMNS = 4
COLUMN_GAP = 20.0
NUMBER = 14.0
NAME = 9.5
KEY_PITCH = 11.5


@dataclass(frozen=True, slots=True)
class Key:
    """One kind of part on a sheet: its number, how many there are."""

    number: int
    part: Part
    count: int


@dataclass(frozen=True, slots=True)
class Leader:
    """Slivers of one kind in one row: drawn as dots, named once at the right."""

    number: int
    count: int
    y: float


def keys_of(
    sheet: ShopSheet, parts: Mapping[str, Part], only: frozenset[str] | None = None
) -> tuple[Key, ...]:
    """Give the kinds of a sheet (or some of them), numbered by area, largest first."""
    counts: dict[str, int] = {}
    for placed in walk(sheet.piece.layout):
        if isinstance(placed.node, PartPiece):
            counts[placed.node.part] = counts.get(placed.node.part, 0) + 1
    order = list(parts)
    kinds = sorted(
        (kind for kind in counts if only is None or kind in only),
        key=lambda kind: (
            -parts[kind].blank_length * parts[kind].blank_width,
            order.index(kind),
        ),
    )
    return tuple(Key(n, parts[kind], counts[kind]) for n, kind in enumerate(kinds, 1))


def draw_numbers(
    drawing: Drawing, view: SheetView, keys: Sequence[Key], parts: Mapping[str, Part]
) -> None:
    """Write the number of each part that has a key; slivers get a dot.

    Each row of slivers of one kind has one leader, at the right of its piece.
    """
    for (piece, paper), slivers in zip(
        view.pieces(), _slivers(drawing, view, keys, parts), strict=True
    ):
        leaders = [
            Leader(number, len(rects), row) for (row, number), rects in sorted(slivers.items())
        ]
        flags = [flag.rect for flag in view.rim[piece.at] if flag.points is Points.LEFT]
        start = max((flag.x1 for flag in flags), default=paper.rect.x1 + 2)
        _draw_leaders(drawing, leaders, paper.rect, start, flags)


def leaders_of(
    view: SheetView, keys: Sequence[Key], parts: Mapping[str, Part]
) -> dict[Corner, int]:
    """Give how many leaders each piece needs for parts too thin for their number."""
    found = _slivers(Drawing(0.0, 0.0, ""), view, keys, parts)
    return {
        piece.at: len(slivers)
        for (piece, _), slivers in zip(view.pieces(), found, strict=True)
        if slivers
    }


def _slivers(
    drawing: Drawing, view: SheetView, keys: Sequence[Key], parts: Mapping[str, Part]
) -> list[dict[tuple[float, int], list[Rect]]]:
    """Write what numbers fit, dots in the rest, and give those by piece, row and number."""
    number_of = {key.part.id: key.number for key in keys}
    found = []
    for piece, paper in view.pieces():
        slivers: dict[tuple[float, int], list[Rect]] = {}
        flags = view.marks_in(piece.at)
        for placed in piece.placed:
            node = placed.node
            if not isinstance(node, PartPiece) or node.part not in number_of:
                continue
            rect = paper.rect_of(placed.x, placed.y, node.length, node.width)
            number = number_of[node.part]
            part = as_made(parts[node.part], node.copy)
            if not _number(drawing, free_in_part(rect, node, part, flags), number):
                radius = min(1.1, min(rect.width, rect.height) / 3)
                drawing.add(Circle(*rect.middle, radius, 0, BLACK))
                slivers.setdefault((round(rect.middle[1], 1), number), []).append(rect)
        found.append(slivers)
    return found


def _number(drawing: Drawing, rooms: Sequence[Rect], number: int) -> bool:
    """Write a number in a free room of a part, level or on end; say whether it fits."""
    text = str(number)
    for size in NUMBER_SIZES:
        width, height = width_of(text, size, Style.BOLD) + 2.0, size * 0.72 + 0.8
        for room in rooms:
            mx, my = room.middle
            if width <= room.width and height <= room.height:
                drawing.add(Words(mx, my - size * 0.36, text, size, Style.BOLD, align=Align.MIDDLE))
                return True
            if width <= room.height and height <= room.width:
                drawing.add(
                    Words(
                        mx + size * 0.36, my, text, size, Style.BOLD,
                        align=Align.MIDDLE, angle=90.0,
                    )
                )  # fmt: skip
                return True
    return False


def _draw_leaders(
    drawing: Drawing, leaders: Sequence[Leader], piece: Rect, start: float, flags: Sequence[Rect]
) -> None:
    """Draw the leaders of one piece, sorted by height so that none crosses another."""
    rim = piece.x1
    tight = (piece.height + 12) / max(1, len(leaders))
    pitch = [max(LEAST_LEADER_PITCH, min(LEADER_PITCH, tight))] * len(leaders)
    places = spread([leader.y for leader in leaders], pitch)
    # Over the piece stands its name: what does not fit beside it stands lower.
    top = piece.y1 - 2
    places = kept_within(places, pitch, (min(piece.y0 - 2, top - sum(pitch[1:])), top))
    for leader, y in zip(leaders, places, strict=True):
        clear = not meets_any(Rect(rim, leader.y - 1, start, leader.y + 1), flags)
        if clear:
            drawing.line(rim + 1, leader.y, start, leader.y, marks.DIMENSION)
        drawing.line(start, leader.y, start + 7, y, marks.DIMENSION)
        drawing.line(start + 7, y, start + 11, y, marks.DIMENSION)
        text = str(leader.number)
        drawing.add(Words(start + 13, y - 3, text, 8, Style.BOLD))
        drawing.add(
            Words(
                start + 15 + width_of(text, 8, Style.BOLD), y - 3,
                f"\N{MULTIPLICATION SIGN}{leader.count}", 6.5,
            )
        )  # fmt: skip


# Strips -----------------------------------------------------------------------------------


def strip_cuts(sheet: ShopSheet) -> tuple[ShopCut, ...]:
    """Give the cuts that part each piece on the floor into its strips, trims before them."""
    steps: set[int] = set()
    for piece in sheet.names.floor:
        _gather(piece.node, None, steps)
    return tuple(cut for cut in sheet.cuts if cut.step in steps)


def _gather(node: Node | None, direction: Direction | None, steps: set[int]) -> None:
    """Follow cuts of one direction from the root; a trim does not set the direction."""
    if not isinstance(node, Cut):
        return
    trims = any(side is None or isinstance(side, Waste) for side in (node.first, node.second))
    if direction is not None and node.direction is not direction:
        return
    steps.add(node.step)
    onwards = direction if trims else node.direction
    for side in (node.first, node.second):
        _gather(side, onwards, steps)


def draw_strips(
    drawing: Drawing, sheet: ShopSheet, left: float, right: float, y: float, units: Units
) -> float:
    """Draw "First the strips" as one run of flags and settings; give the y under it."""
    head = "First the strips"
    set_line(drawing, left, y, head, NAME, Style.BOLD)
    indent = left + width_of(head, NAME, Style.BOLD) + 20
    x = indent
    many = len(sheet.names.floor) > 1
    before = ""
    for cut in strip_cuts(sheet):
        words: Line = (Length(cut.setting),)
        flag, _ = flag_extent(cut.step, 7.0, Points.RIGHT)
        name = f"{cut.piece} " if many and cut.piece != before else ""
        before = cut.piece
        named = width_of(name, NAME)
        width = flag + 4 + named + line_width(words, NAME, Style.BOLD, units)
        if x + width > right:
            x = indent
            y -= 15
        marks.flag(drawing, x + flag, y + 3.2, cut.step, Points.RIGHT, 7.0)
        set_line(drawing, x + flag + 4, y, name, NAME)
        set_line(drawing, x + flag + 4 + named, y, words, NAME, Style.BOLD, units)
        x += width + 16
    return y - 12


def strips_height(sheet: ShopSheet, width: float, units: Units) -> float:
    """Give the height ``draw_strips`` takes, points."""
    canvas = Drawing(width, 0.0, "")
    return 4 - draw_strips(canvas, sheet, 0.0, width, 0.0, units)


def key_lines(keys: Sequence[Key], width: float, units: Units) -> tuple[tuple[Line, ...], ...]:
    """Give a short key as lines of entries that fit ``width`` points: number, name, size."""
    lines: list[list[Line]] = [[]]
    used = 0.0
    for key in keys:
        size = size_pieces(key.part.blank_length, key.part.blank_width)
        entry: Line = (f"{key.number}  {key.part.name}  ", *size, f"  {counted(key.count, 'pc')}")
        taken = line_width(entry, NAME, Style.BOLD, units) + 24
        if lines[-1] and used + taken > width:
            lines.append([])
            used = 0.0
        lines[-1].append(entry)
        used += taken
    return tuple(tuple(line) for line in lines)


# Key --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Entry:
    key: Key
    lines: tuple[Line, ...]

    @property
    def height(self) -> float:
        return (len(self.lines) + 1) * KEY_PITCH + 6


class KeyTable:
    """The key in four columns, filled column by column, over as many pages as it takes."""

    def __init__(self, keys: Sequence[Key], width: float, units: Units, *, grain: bool) -> None:
        """Break the names to the columns; ``grain``: the stock has one."""
        self._units = units
        self._grain = grain
        self._column = (width - (COLUMNS - 1) * COLUMN_GAP) / COLUMNS
        self._entries = [_Entry(key, self._lines(key)) for key in keys]

    def _lines(self, key: Key) -> tuple[Line, ...]:
        room = self._column - self._indent(key) - width_of(counted(key.count, "pc"), NAME) - 8
        return wrap_line(key.part.name, NAME, room, Style.BOLD, self._units)

    def _indent(self, key: Key) -> float:
        return max(22.0, width_of(str(key.number), NUMBER, Style.BOLD) + 8)

    @property
    def height(self) -> float:
        """Height of the whole key on one page, points."""
        low = max((entry.height for entry in self._entries), default=0.0)
        high = sum(entry.height for entry in self._entries)
        while high - low > 0.5:
            middle = (low + high) / 2
            if self._fitting(middle) == len(self._entries):
                high = middle
            else:
                low = middle
        return high + 1

    def _fitting(self, height: float) -> int:
        """Give how many entries four columns of that height take."""
        column, used, taken = 0, 0.0, 0
        for entry in self._entries:
            if used + entry.height > height:
                column, used = column + 1, 0.0
                if column == COLUMNS or entry.height > height:
                    break
            used += entry.height
            taken += 1
        return taken

    def draw(self, drawing: Drawing, left: float, top: float, height: float) -> float:
        """Draw what fits in four columns of that height, and keep the rest for the next call.

        Gives the y under what was drawn.
        """
        if self._fitting(height) == len(self._entries):
            height = min(height, self.height)
        column, y, lowest = 0, top, top
        while self._entries:
            entry = self._entries[0]
            if top - (y - entry.height) > height:
                column, y = column + 1, top
                if column == COLUMNS or entry.height > height:
                    break
            x = left + column * (self._column + COLUMN_GAP)
            if y < top:
                drawing.line(x, y, x + self._column, y, marks.THIN_RULE)
            self._draw_entry(drawing, entry, x, y)
            y -= entry.height
            lowest = min(lowest, y)
            self._entries.pop(0)
        return lowest

    @property
    def done(self) -> bool:
        """Say whether all entries are drawn."""
        return not self._entries

    def _draw_entry(self, drawing: Drawing, entry: _Entry, x: float, top: float) -> None:
        key = entry.key
        indent = self._indent(key)
        y = top - KEY_PITCH
        number = str(key.number)
        set_line(drawing, x + indent - 8, y - 4, number, NUMBER, Style.BOLD, align=Align.RIGHT)
        right = x + self._column
        set_line(drawing, right, y, counted(key.count, "pc"), NAME, align=Align.RIGHT)
        for line in entry.lines:
            set_line(drawing, x + indent, y, line, NAME, Style.BOLD, self._units)
            y -= KEY_PITCH
        size = size_pieces(key.part.blank_length, key.part.blank_width)
        set_line(
            drawing, x + indent, y, size, NAME, units=self._units, room=self._column - indent - 32
        )
        if self._grain and key.part.grain in (Grain.LENGTH, Grain.WIDTH):
            marks.grain_arrow(drawing, right - 12, y + 3, 22, upright=False)
