"""Shop sheets: each distinct sheet as it lies at home, its parts, and the order of cuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import crowded, frame, marks
from cutopt.draw.crowded import KeyTable
from cutopt.draw.flags import flag_extent
from cutopt.draw.frame import Look
from cutopt.draw.lines import GAP, line_of, marked_size, wrap_line
from cutopt.draw.marks import Points
from cutopt.draw.part_text import PartText, TextBlock, lay_text, set_arrow, set_block
from cutopt.draw.regions import Spread, apart, draw_map, map_size, whole_sheet
from cutopt.draw.scene import DARK, MIDDLE, Drawing, Hatch, Style
from cutopt.draw.shop_drawing import (
    SheetView,
    draw_flags,
    draw_pieces,
    free_in_part,
    is_too_full,
    lay_sheet,
)
from cutopt.draw.space import Rect, free_rects
from cutopt.draw.typeset import Line, Piece, set_line, size_pieces, width_of
from cutopt.model.job import Grain, Part
from cutopt.model.plan import ANY_SAW, Offcut, PartPiece, Plan, Waste, walk
from cutopt.steps.phrase import counted, listed
from cutopt.steps.shop import ShopCut, ShopSheet, shop_sheets
from cutopt.units import Units

KIND = "shop sheet"
COLUMNS = 4
ROW = 14.6
MOST_ROWS = 7
"""Rows of the order of cuts that stand under the drawing; more go on the next page."""
HEADING = 30.0
KEY_ROW = 14.0
MOST_AROUND = 240.0
"""Height that head, title, cuts and key may take on a page with a drawing, points."""
MOST_KEY = 0.45
"""Share of a page that the key may take under the drawing."""
MOST_NUMBERED_KINDS = 4
"""Kinds too small for their names that are numbered while the rest keep theirs."""
LEGEND = 9.0
SAMPLE_GAP = 6.0


@dataclass(frozen=True, slots=True)
class _Said:
    """One part or offcut and the words found for it; ``part`` is the part's id, or ""."""

    block: TextBlock | None
    rooms: tuple[Rect, ...]
    arrow: bool
    part: str


def shop_sheet_pages(plan: Plan, look: Look) -> list[Drawing]:
    """Give the shop sheets: a page or more for each distinct layout."""
    parts = {part.id: part for part in plan.job.parts}
    pages: list[Drawing] = []
    for sheet in shop_sheets(plan):
        pages.extend(_SheetPages(sheet, plan, parts, look).draw())
    return pages


class _SheetPages:
    """The pages of one distinct sheet."""

    def __init__(self, sheet: ShopSheet, plan: Plan, parts: Mapping[str, Part], look: Look) -> None:
        self.sheet = sheet
        self.plan = plan
        self.parts = parts
        self.look = look
        self.units = plan.job.units
        self.pages: list[Drawing] = []
        self.rough = plan.job.store is not None and plan.job.store.rough
        self.grain = sheet.stock.grain is Grain.LENGTH

    def draw(self) -> list[Drawing]:
        """Give the pages, in the first of three ways that is readable."""
        spreads = self._spreads()
        if len(spreads) > 1:
            self._parted(spreads)
        elif self.sheet.parts > crowded.MOST_NAMED_PARTS or not self._named(spreads[0]):
            self._keyed(spreads[0])
        return self.pages

    # Head -------------------------------------------------------------------------------

    def _open(self, *, keyed: bool) -> float:
        """Open a page with head and title; give the y where content may begin."""
        number = len(self.pages) + 1
        name = f"shop-{self.sheet.ids[0]}" + (f"-{number}" if number > 1 else "")
        drawing = frame.start_page(self.look, KIND, name, landscape=True)
        self.pages.append(drawing)
        sheet, stock = self.sheet, self.sheet.stock
        many = len(sheet.ids) > 1
        kinds = f" of {sheet.kinds} kinds" if keyed and sheet.kinds > 1 else ""
        counts = (
            f"{counted(sheet.parts, 'part')}{kinds}{GAP}"
            f"{counted(len(sheet.cuts), 'cut') if sheet.cuts else 'no cuts'} "
            f"{'each' if many else 'here'}"
        )
        conditions: list[Piece] = [*marked_size(stock.length, stock.width, self.units), GAP]
        kerfs = self._kerfs()
        if kerfs:
            conditions += ["kerf ", *line_of(kerfs, self.units), GAP]
        conditions.append("all sizes in " + ("inches" if self.units is Units.INCH else "mm"))
        if keyed:
            conditions.append(f"{GAP}numbers: see the key")
        y = frame.title(
            drawing, material_line(sheet, self.units), self.units, tag=sheet.ids[0],
            counts=counts, conditions=tuple(conditions),
        )  # fmt: skip
        if many and number == 1:
            words = f"Cut {len(sheet.ids)} sheets alike: {listed(sheet.ids)}."
            field = frame.field_of(drawing)
            for line in wrap_line(words, 11.5, field.width, Style.BOLD):
                set_line(drawing, field.left, y - 8, line, 11.5, Style.BOLD)
                y -= 15
        return y

    def _kerfs(self) -> tuple[int | str, ...]:
        """Give the kerfs of the saws used here, smallest first, as words and ticks."""
        shop = self.plan.job.shop
        by_name = {saw.name: saw.kerf for saw in shop.saws}
        used = sorted(
            {
                shop.kerf if cut.cut.saw == ANY_SAW else by_name.get(cut.cut.saw, shop.kerf)
                for cut in self.sheet.cuts
            }
        )
        words: list[int | str] = []
        for number, kerf in enumerate(used):
            words += [" and ", kerf] if number else [kerf]
        return tuple(words)

    # Named ------------------------------------------------------------------------------

    def _named(self, spread: Spread) -> bool:
        """Draw the sheet with names in its parts; say whether it could be.

        A few kinds too small for their names get numbers and a line under the drawing; with
        more of them the whole sheet is numbered.
        """
        y = self._open(keyed=False)
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        y = self._legend(drawing, y)
        columns = _columns(self.sheet.cuts, MOST_ROWS)
        below = _order_height(columns) if self.sheet.cuts else 0.0
        room = Rect(field.left, field.bottom + below, field.right, y)
        keys: tuple[crowded.Key, ...] = ()
        lines: tuple[tuple[Line, ...], ...] = ()
        beside = 0.0
        while True:
            view = lay_sheet(self.sheet, spread, room, beside)
            said = self._say(view)
            nameless = frozenset(one.part for one in said if one.part and one.block is None)
            if len(nameless) > MOST_NUMBERED_KINDS:
                self.pages.clear()
                return False
            nameless |= {key.part.id for key in keys}
            keys_now = crowded.keys_of(self.sheet, self.parts, nameless)
            slivers = crowded.has_slivers(view, keys_now, self.parts)
            if keys_now == keys and (beside or not slivers):
                break
            keys = keys_now
            beside = crowded.LEADER if slivers else beside
            lines = crowded.key_lines(keys, field.width, self.units)
            room = Rect(room.x0, field.bottom + below + KEY_ROW * len(lines) + 6, room.x1, room.y1)
        self._draw(view, keys)
        self._key_lines(lines, view.lowest - 12)
        if self.sheet.cuts:
            self._order(view.lowest - 12 - KEY_ROW * len(lines))
        return True

    def _draw(self, view: SheetView, keys: Sequence[crowded.Key]) -> None:
        """Draw pieces, words, numbers of the kinds that have a key, and flags."""
        drawing = self.pages[-1]
        numbered = {key.part.id for key in keys}
        draw_pieces(drawing, view, self.parts, self.units, rough=self.rough)
        for one in self._say(view):
            if one.block is not None and one.part not in numbered:
                set_block(drawing, one.block, self.units)
                if one.arrow:
                    set_arrow(drawing, one.block, one.rooms)
        crowded.draw_numbers(drawing, view, keys, self.parts)
        draw_flags(drawing, view)

    def _key_lines(self, lines: Sequence[Sequence[Line]], y: float) -> None:
        """Write a short key under ``y``."""
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        for line in lines:
            y -= KEY_ROW
            x = field.left
            for entry in line:
                x += set_line(
                    drawing, x, y + 5, entry, crowded.NAME, Style.BOLD, self.units,
                    room=field.right - x,
                ) + 24  # fmt: skip

    def _say(self, view: SheetView) -> list[_Said]:
        """Find the words for every part and offcut."""
        said = []
        for piece, paper in view.pieces():
            flags = [flag.rect for flag in view.inner[piece.at]]
            for placed in piece.placed:
                node = placed.node
                if not isinstance(node, PartPiece | Offcut):
                    continue
                rect = paper.rect_of(placed.x, placed.y, node.length, node.width)
                part_id = short = ""
                if isinstance(node, PartPiece):
                    part_id = node.part
                    part = self.parts[node.part]
                    rooms = free_in_part(rect, node, part, flags)
                    size = size_pieces(part.blank_length, part.blank_width)
                    copy = f"{node.copy} of {part.qty}" if part.qty > 1 else ""
                    if len(self.sheet.ids) > 1:
                        copy = ""
                    text = PartText(part.name, size, copy)
                    arrow = self.grain and part.grain in (Grain.LENGTH, Grain.WIDTH)
                else:
                    rooms = free_rects(rect.grown(-5), [flag.grown(0.8) for flag in flags])
                    text = PartText(self._keep(node), size_pieces(node.length, node.width))
                    arrow = False
                    short = node.id
                block = lay_text(text, rect, rooms, self.units, arrow=arrow, short=short)
                said.append(_Said(block, rooms, arrow, part_id))
        return said

    def _keep(self, node: Offcut) -> str:
        """Give the name of an offcut; on sheets cut alike its last letter alone is the same."""
        if len(self.sheet.ids) == 1:
            return f"Keep {node.id}"
        return f"Keep -{node.id.rpartition('-')[2]} of each"

    # Legend -----------------------------------------------------------------------------

    def _legend(self, drawing: Drawing, y: float) -> float:
        """Draw samples of the signs used on this sheet, on one line; give the y under it."""
        sheet = self.sheet
        nodes = [placed.node for placed in walk(sheet.piece.layout)]
        own = [self.parts[node.part] for node in nodes if isinstance(node, PartPiece)]
        samples = [
            ("cut, in this order", _sample_flag, bool(sheet.cuts)),
            ("reference corner", _sample_corner, True),
            ("store edge, to be trimmed", _sample_rough, self.rough and sheet.store_cuts > 0),
            ("band this edge", _sample_band, any(part.band for part in own)),
            ("grain", _sample_grain, self.grain and any(_has_grain(part) for part in own)),
            ("waste", _sample_waste, any(isinstance(node, Waste) for node in nodes)),
            ("offcut to keep", _sample_offcut, any(isinstance(node, Offcut) for node in nodes)),
            ("cutout", _sample_cutout, any(part.cutouts for part in own)),
        ]
        field = frame.field_of(drawing)
        shown = [(words, draw) for words, draw, used in samples if used]
        widths = [
            draw(Drawing(0.0, 0.0, ""), 0.0, 0.0) + SAMPLE_GAP + width_of(words, LEGEND)
            for words, draw in shown
        ]
        gap = min(18.0, (field.width - sum(widths)) / max(1, len(widths) - 1))
        x = field.left
        y -= 9
        for (words, draw), width in zip(shown, widths, strict=True):
            set_line(drawing, draw(drawing, x, y) + SAMPLE_GAP, y, words, LEGEND, grey=DARK)
            x += width + gap
        return y - 7

    # Order of cuts ----------------------------------------------------------------------

    def _order(self, top: float) -> None:
        """Draw the order of cuts in columns, on further pages where it is long."""
        rest = list(self.sheet.cuts)
        y = top
        first = True
        while rest:
            drawing = self.pages[-1]
            field = frame.field_of(drawing)
            frame.rule(drawing, y, 0.6)
            rows = int((y - HEADING - field.bottom) // ROW) + 1
            columns = _columns(rest, min(rows, MOST_ROWS) if first else rows)
            here = [cut for column in columns for cut in column]
            more = len(here) < len(rest)
            self._order_head(drawing, y - 14, more=more, again=not first)
            width = field.width / COLUMNS
            for number, column in enumerate(columns):
                x = field.left + number * width + (4 if number == 0 else 0)
                baseline = y - HEADING
                for cut in column:
                    self._order_row(drawing, cut, x, baseline, width - 8)
                    baseline -= _row_height(cut)
            rest = rest[len(here) :]
            first = False
            if rest:
                y = self._open(keyed=False)

    def _order_head(self, drawing: Drawing, y: float, *, more: bool, again: bool) -> None:
        field = frame.field_of(drawing)
        head = "Order of cuts, continued" if again else "Order of cuts"
        x = field.left + set_line(drawing, field.left, y, head, 9.5, Style.BOLD) + 10
        store = self.sheet.store_cuts
        said = []
        if store and not again:
            said.append("cut 1 was made" if store == 1 else f"cuts 1 to {store} were made")
            said[-1] += " at the store"
        said.append("settings and tick boxes: on the saw pages")
        if any(self.parts[n.part].band for n in _part_pieces(self.sheet)):
            said.append("sizes are cut sizes, before banding")
        if more:
            said.append("goes on overleaf")
        set_line(drawing, x, y, GAP.join(said), 8, grey=MIDDLE, room=field.right - x)

    def _order_row(self, drawing: Drawing, cut: ShopCut, x: float, y: float, width: float) -> None:
        flag, _ = flag_extent(cut.step, 7.5, Points.RIGHT)
        right = x + 19
        marks.flag(drawing, max(right, x + flag), y + 3.4, cut.step, Points.RIGHT, 7.5)
        left = max(right, x + flag) + 5
        name = f"{cut.piece}  " if cut.piece else ""
        words = f"{name}{cut.action} to "
        taken = set_line(drawing, left, y, words, 9.5, room=width - (left - x) - 46)
        set_line(
            drawing, left + taken, y, line_of((cut.setting,), self.units, mark=False), 9.5,
            Style.BOLD, self.units, room=width - (left - x) - taken,
        )  # fmt: skip
        if cut.measure_first is not None:
            note = ("measure first: leaves ", *line_of((cut.measure_first,), self.units))
            set_line(drawing, left, y - 9.5, note, 8, units=self.units, grey=MIDDLE,
                     room=width - (left - x))  # fmt: skip

    # Keyed ------------------------------------------------------------------------------

    def _keyed(self, spread: Spread) -> None:
        """Draw the sheet with numbers in its parts and a key below."""
        y = self._open(keyed=True)
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        keys = crowded.keys_of(self.sheet, self.parts)
        table = KeyTable(keys, field.width, self.units, grain=self.grain)
        strips = (
            crowded.strips_height(self.sheet, field.width, self.units) if self.sheet.cuts else 0.0
        )
        height = y - field.bottom - strips - 14
        # A key that would crowd the drawing goes on the next page as a whole.
        key_height = table.height if table.height <= height * MOST_KEY else 0.0
        room = Rect(field.left, y - (height - key_height), field.right, y)
        view = lay_sheet(self.sheet, spread, room, inner=False)
        if crowded.has_slivers(view, keys, self.parts):
            view = lay_sheet(self.sheet, spread, room, crowded.LEADER, inner=False)
        self._draw(view, keys)
        y = self._strips(view.lowest - 16)
        self._table(table, y if key_height else self._open(keyed=True))

    def _strips(self, y: float) -> float:
        """Draw the cuts that make strips, and give the y under them."""
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        if not self.sheet.cuts:
            return y
        return crowded.draw_strips(drawing, self.sheet, field.left, field.right, y, self.units)

    def _table(self, table: KeyTable, y: float) -> None:
        """Draw the key from ``y`` down, on further pages where it is long."""
        while True:
            drawing = self.pages[-1]
            field = frame.field_of(drawing)
            frame.rule(drawing, y)
            table.draw(drawing, field.left, y, y - field.bottom)
            if table.done:
                return
            y = self._open(keyed=True)

    # Parted -----------------------------------------------------------------------------

    def _spreads(self) -> list[Spread]:
        """Give the drawings of this sheet: one, or several where one would be too full."""
        width, height = self.look.paper.size
        room = Rect(frame.MARGIN, 0.0, height - frame.MARGIN, width - MOST_AROUND)
        waiting = [whole_sheet(self.sheet)]
        found = []
        while waiting:
            spread = waiting.pop(0)
            view = lay_sheet(self.sheet, spread, room)
            parts = apart(spread) if not view.frames or is_too_full(view, room) else (spread,)
            if len(parts) == 1 and parts[0] is spread:
                found.append(spread)
            else:
                waiting = [*parts, *waiting]
        return found

    def _parted(self, spreads: Sequence[Spread]) -> None:
        """Draw a very full sheet in several drawings, each with a map; then cuts and key."""
        keyed = self.sheet.parts > crowded.MOST_NAMED_PARTS
        nameless: frozenset[str] = frozenset()
        for spread in spreads:
            view = lay_sheet(self.sheet, spread, self._parted_room(spread, 1, 1, keyed=keyed))
            nameless |= {one.part for one in self._say(view) if one.part and one.block is None}
        self.pages.clear()
        keys = crowded.keys_of(self.sheet, self.parts, None if keyed else nameless)
        for number, spread in enumerate(spreads, 1):
            room = self._parted_room(spread, number, len(spreads), keyed=keyed)
            view = lay_sheet(self.sheet, spread, room, inner=not keyed)
            if crowded.has_slivers(view, keys, self.parts):
                view = lay_sheet(self.sheet, spread, room, crowded.LEADER, inner=not keyed)
            self._draw(view, keys)
        y = self._open(keyed=keyed)
        field = frame.field_of(self.pages[-1])
        if keyed:
            table = KeyTable(keys, field.width, self.units, grain=self.grain)
            self._table(table, self._strips(y - 10))
        else:
            lines = crowded.key_lines(keys, field.width, self.units) if keys else ()
            self._key_lines(lines, y)
            self._order(y - KEY_ROW * len(lines))

    def _parted_room(self, spread: Spread, number: int, of: int, *, keyed: bool) -> Rect:
        """Open a page of a parted sheet with its map, and give the room left."""
        y = self._open(keyed=keyed)
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        if not keyed:
            y = self._legend(drawing, y)
        draw_map(drawing, self.sheet, spread, field.right, y - 4)
        letters = list(dict.fromkeys(region.letter for region in spread.regions))
        which = f": {'piece' if len(letters) == 1 else 'pieces'} {listed(letters)}"
        words = f"Drawing {number} of {of}{which if all(letters) else ''}"
        set_line(drawing, field.left, y - 14, words, 11.5, Style.BOLD, room=field.width - 110)
        _, height = map_size(self.sheet)
        return Rect(field.left, field.bottom, field.right, y - height - 6)


def material_line(sheet: ShopSheet, units: Units) -> Line:
    """Give what a sheet is made of, with its thickness."""
    material = sheet.stock.material
    name = material.name[:1].upper() + material.name[1:]
    return (f"{name} ", *line_of((material.thickness,), units))


def _part_pieces(sheet: ShopSheet) -> list[PartPiece]:
    return [p.node for p in walk(sheet.piece.layout) if isinstance(p.node, PartPiece)]


def _has_grain(part: Part) -> bool:
    return part.grain in (Grain.LENGTH, Grain.WIDTH)


def _row_height(cut: ShopCut) -> float:
    return ROW + (10.0 if cut.measure_first is not None else 0.0)


def _columns(cuts: Sequence[ShopCut], most_rows: int) -> list[list[ShopCut]]:
    """Share cuts out to four columns of at most so many plain rows, column by column."""
    total = sum(_row_height(cut) for cut in cuts)
    most = max(1, most_rows) * ROW
    height = min(most, max(total / COLUMNS, ROW))
    while height <= most:
        columns = _filled(cuts, height)
        if sum(map(len, columns)) == len(cuts):
            return columns
        height += 1.0
    return _filled(cuts, most)


def _filled(cuts: Sequence[ShopCut], height: float) -> list[list[ShopCut]]:
    columns: list[list[ShopCut]] = [[]]
    used = 0.0
    for cut in cuts:
        if columns[-1] and used + _row_height(cut) > height + 0.01:
            if len(columns) == COLUMNS:
                break
            columns.append([])
            used = 0.0
        columns[-1].append(cut)
        used += _row_height(cut)
    return columns


def _order_height(columns: Sequence[Sequence[ShopCut]]) -> float:
    """Give the height of the order of cuts with its heading, points."""
    return HEADING + max(sum(map(_row_height, column)) for column in columns) + 4


# Samples of the legend: each gives the x right of it.


def _sample_flag(drawing: Drawing, x: float, y: float) -> float:
    marks.flag(drawing, x + 15, y + 3, 3, Points.RIGHT, 7)
    return x + 15


def _sample_corner(drawing: Drawing, x: float, y: float) -> float:
    drawing.rectangle(x, y - 1, 11, 3, 0, fill=0.0)
    drawing.rectangle(x, y - 1, 3, 10, 0, fill=0.0)
    return x + 11


def _sample_rough(drawing: Drawing, x: float, y: float) -> float:
    drawing.line(x, y + 1, x + 20, y + 1, 1.1)
    marks.saw_tooth(drawing, x, y + 2, x + 20, y + 2, (0, 1))
    return x + 20


def _sample_band(drawing: Drawing, x: float, y: float) -> float:
    drawing.rectangle(x, y - 1, 20, 9, 1.1)
    drawing.rectangle(x + 2, y + 1, 16, 2.2, 0, fill=0.0)
    return x + 20


def _sample_grain(drawing: Drawing, x: float, y: float) -> float:
    marks.grain_arrow(drawing, x + 11, y + 3, 22, upright=False)
    return x + 22


def _sample_waste(drawing: Drawing, x: float, y: float) -> float:
    drawing.add(Hatch(x, y - 1, 20, 9))
    drawing.rectangle(x, y - 1, 20, 9, 0.4)
    return x + 20


def _sample_offcut(drawing: Drawing, x: float, y: float) -> float:
    drawing.rectangle(x, y - 1, 20, 9, 0.8, dash=(4.5, 2.2))
    return x + 20


def _sample_cutout(drawing: Drawing, x: float, y: float) -> float:
    drawing.rectangle(x, y - 1, 14, 9, 0.7, dash=(2.0, 1.5))
    return x + 14
