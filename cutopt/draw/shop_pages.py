"""Shop sheets: each distinct sheet as it lies at home, its parts, and the order of cuts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from cutopt.draw import crowded, frame
from cutopt.draw.crowded import KeyTable
from cutopt.draw.frame import Look
from cutopt.draw.lines import GAP, line_of, marked_size, wrap_line
from cutopt.draw.part_on_stock import free_in_part
from cutopt.draw.part_text import PartText, TextBlock, lay_text, set_arrow, set_block
from cutopt.draw.regions import Corner, Spread, apart, draw_map, map_size, whole_sheet
from cutopt.draw.scene import Drawing, Style
from cutopt.draw.shop_drawing import draw_flags, draw_pieces
from cutopt.draw.shop_layout import SheetView, is_too_full, lay_sheet
from cutopt.draw.shop_legend import draw_legend
from cutopt.draw.shop_order import OrderTable
from cutopt.draw.shop_runs import draw_run_notes
from cutopt.draw.space import Rect, free_rects
from cutopt.draw.typeset import Line, Piece, set_line, size_pieces
from cutopt.model.job import Grain, Part
from cutopt.model.plan import ANY_SAW, Offcut, PartPiece, Plan
from cutopt.steps.hands import as_made, hand_of
from cutopt.steps.materials import material_words
from cutopt.steps.phrase import counted, listed
from cutopt.steps.runs import run_places
from cutopt.steps.shop import ShopSheet, shop_sheets
from cutopt.units import Units

KIND = "shop sheet"
COLUMNS = 4
CLOSE_COLUMNS = 5
"""Columns of the order of cuts where one more saves a page, and beside a drawing."""
MOST_ROWS = 7
"""Rows of the order of cuts that stand under the drawing; more go on the next page."""
SPARE_ROWS = 2
"""Rows more where they save that page."""
BESIDE_GAP = 18.0
OVER_ORDER = 14.0
"""Points between the drawing and the order of cuts under it."""
KEY_ROW = 14.0
MOST_AROUND = 240.0
"""Height that head, title, cuts and key may take on a page with a drawing, points."""
MOST_KEY = 0.45
"""Share of a page that the key may take under the drawing."""
MOST_NUMBERED_KINDS = 4
"""Kinds too small for their names that are numbered while the rest keep theirs."""


@dataclass(frozen=True, slots=True)
class _Said:
    """One part or offcut and the words found for it; ``part`` is the part's id, or ""."""

    block: TextBlock | None
    rooms: tuple[Rect, ...]
    arrow: bool
    part: str


@dataclass(frozen=True, slots=True)
class _Place:
    """Where the drawing and the order of cuts stand on a page."""

    drawing: Rect
    cuts: Rect
    columns: int
    beside: bool


@dataclass(frozen=True, slots=True)
class _Named:
    """A sheet laid out with names: the kinds that need a key, and the key's lines."""

    view: SheetView
    keys: tuple[crowded.Key, ...]
    lines: tuple[tuple[Line, ...], ...]
    place: _Place


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
        self.units = look.units
        self.pages: list[Drawing] = []
        self.rough = plan.job.store is not None and plan.job.store.rough
        self.grain = sheet.stock.grain is Grain.LENGTH
        self.places = run_places(plan.job)

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
        if self.plan.replans is not None and set(sheet.ids) & set(self.plan.replans.changed):
            old = stock.owned
            conditions.append(GAP + ("changed: not as on the page before" if old else "new"))
        y = frame.title(
            drawing, line_of(material_words(stock.material), self.units), self.units,
            tag=sheet.ids[0],
            counts=counts, conditions=tuple(conditions),
        )  # fmt: skip
        if many and number == 1:
            words = f"Cut {len(sheet.ids)} {stock.kind}s alike: {listed(sheet.ids)}."
            field = frame.field_of(drawing)
            for line in wrap_line(words, 11.5, field.width, Style.BOLD):
                set_line(drawing, field.left, y - 8, line, 11.5, Style.BOLD)
                y -= 15
        return draw_run_notes(drawing, sheet, self.parts, y) if number == 1 else y

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
        y = draw_legend(drawing, self.sheet, self.parts, y, rough=self.rough)
        table = OrderTable(self.sheet, self.parts, self.units)
        whole = Rect(field.left, field.bottom, field.right, y)
        tries = [
            found
            for place in self._places(whole, table)
            if (found := self._try(spread, place)) is not None
        ]
        if not tries:
            self.pages.clear()
            return False
        best = max(tries, key=lambda found: (-len(found.keys), found.view.scale))
        self._draw(best.view, best.keys)
        y = best.view.lowest - 12
        self._key_lines(best.lines, y)
        y -= KEY_ROW * len(best.lines)
        place = best.place
        room = place.cuts if place.beside else Rect(whole.x0, whole.y0, whole.x1, y)
        if self.sheet.cuts:
            self._order(table, room, place.columns)
        return True

    def _places(self, whole: Rect, table: OrderTable) -> list[_Place]:
        """Give where drawing and order of cuts may stand: one under the other, side by side."""
        if not self.sheet.cuts:
            return [_Place(whole, whole, 0, beside=False)]
        most = table.height_of_rows(MOST_ROWS + SPARE_ROWS)
        across = next((n for n in (COLUMNS, CLOSE_COLUMNS) if table.height(n) <= most), COLUMNS)
        below = table.height(across)
        if below > most:
            below = table.height_of_rows(MOST_ROWS)
        under = Rect(whole.x0, whole.y0 + below + OVER_ORDER, whole.x1, whole.y1)
        places = [_Place(under, whole, across, beside=False)]
        for columns in (1, 2):
            if table.height(columns) <= whole.height:
                left = whole.x1 - columns * whole.width / CLOSE_COLUMNS
                places.append(
                    _Place(
                        Rect(whole.x0, whole.y0, left - BESIDE_GAP, whole.y1),
                        Rect(left, whole.y0, whole.x1, whole.y1),
                        columns,
                        beside=True,
                    )
                )
        return places

    def _try(self, spread: Spread, place: _Place) -> _Named | None:
        """Lay the sheet out in a place, None where too many kinds have no room for a name."""
        keys: tuple[crowded.Key, ...] = ()
        lines: tuple[tuple[Line, ...], ...] = ()
        room = place.drawing
        leaders: dict[Corner, int] = {}
        while True:
            view = lay_sheet(self.sheet, spread, room, self.units, leaders)
            said = self._say(view)
            nameless = frozenset(one.part for one in said if one.part and one.block is None)
            nameless |= {key.part.id for key in keys}
            if len(nameless) > MOST_NUMBERED_KINDS:
                return None
            keys_now = crowded.keys_of(self.sheet, self.parts, nameless)
            wanted = crowded.leaders_of(view, keys_now, self.parts)
            if keys_now == keys and all(leaders.get(at, 0) >= n for at, n in wanted.items()):
                return _Named(view, keys, lines, place)
            keys = keys_now
            leaders = _at_least(leaders, wanted)
            lines = crowded.key_lines(keys, place.drawing.width, self.units)
            under = place.drawing.y0 + KEY_ROW * len(lines) + 6
            room = Rect(room.x0, under, room.x1, room.y1)

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

    def _lay(
        self, spread: Spread, room: Rect, keys: Sequence[crowded.Key], *, inner: bool
    ) -> SheetView:
        """Lay a drawing out with the leaders its slivers need."""
        leaders: dict[Corner, int] = {}
        while True:
            view = lay_sheet(self.sheet, spread, room, self.units, leaders, inner=inner)
            wanted = crowded.leaders_of(view, keys, self.parts)
            if all(leaders.get(at, 0) >= n for at, n in wanted.items()):
                return view
            leaders = _at_least(leaders, wanted)

    def _say(self, view: SheetView) -> list[_Said]:
        """Find the words for every part and offcut."""
        said = []
        for piece, paper in view.pieces():
            flags = view.marks_in(piece.at)
            for placed in piece.placed:
                node = placed.node
                if not isinstance(node, PartPiece | Offcut):
                    continue
                rect = paper.rect_of(placed.x, placed.y, node.length, node.width)
                part_id = short = ""
                if isinstance(node, PartPiece):
                    part_id = node.part
                    part = as_made(self.parts[node.part], node.copy)
                    rooms = free_in_part(rect, node, part, flags)
                    size = size_pieces(part.blank_length, part.blank_width)
                    copy = part.count_words(node.copy) if (part.of or part.qty) > 1 else ""
                    hand = hand_of(part, node.copy)
                    if len(self.sheet.ids) > 1:
                        copy = hand
                    elif hand:
                        copy = f"{copy} {hand}"
                    place = self.places.get((node.part, node.copy))
                    if place is not None:
                        copy = f"{place.counted} {hand}".rstrip()
                    text = PartText(part.name, size, copy, placed=place is not None)
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

    def _order(self, table: OrderTable, room: Rect, columns: int) -> None:
        """Draw the order of cuts in a room, on further pages where it is long."""
        table.draw(self.pages[-1], room, columns)
        while not table.done:
            y = self._open(keyed=False)
            field = frame.field_of(self.pages[-1])
            table.draw(self.pages[-1], Rect(field.left, field.bottom, field.right, y), COLUMNS)

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
        view = self._lay(spread, room, keys, inner=False)
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
            view = lay_sheet(self.sheet, spread, room, self.units)
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
            room = self._parted_room(spread, 1, 1, keyed=keyed)
            view = lay_sheet(self.sheet, spread, room, self.units)
            nameless |= {one.part for one in self._say(view) if one.part and one.block is None}
        self.pages.clear()
        keys = crowded.keys_of(self.sheet, self.parts, None if keyed else nameless)
        for number, spread in enumerate(spreads, 1):
            room = self._parted_room(spread, number, len(spreads), keyed=keyed)
            view = self._lay(spread, room, keys, inner=not keyed)
            self._draw(view, keys)
        y = self._open(keyed=keyed)
        field = frame.field_of(self.pages[-1])
        if keyed:
            table = KeyTable(keys, field.width, self.units, grain=self.grain)
            self._table(table, self._strips(y - 10))
        else:
            lines = crowded.key_lines(keys, field.width, self.units) if keys else ()
            self._key_lines(lines, y)
            y -= KEY_ROW * len(lines)
            if self.sheet.cuts:
                self._order(
                    OrderTable(self.sheet, self.parts, self.units),
                    Rect(field.left, field.bottom, field.right, y), COLUMNS,
                )  # fmt: skip

    def _parted_room(self, spread: Spread, number: int, of: int, *, keyed: bool) -> Rect:
        """Open a page of a parted sheet with its map, and give the room left."""
        y = self._open(keyed=keyed)
        drawing = self.pages[-1]
        field = frame.field_of(drawing)
        if not keyed:
            y = draw_legend(drawing, self.sheet, self.parts, y, rough=self.rough)
        draw_map(drawing, self.sheet, spread, field.right, y - 4)
        letters = list(dict.fromkeys(region.letter for region in spread.regions))
        which = f": {'piece' if len(letters) == 1 else 'pieces'} {listed(letters)}"
        words = f"Drawing {number} of {of}{which if all(letters) else ''}"
        set_line(drawing, field.left, y - 14, words, 11.5, Style.BOLD, room=field.width - 110)
        _, height = map_size(self.sheet)
        return Rect(field.left, field.bottom, field.right, y - height - 6)


def _at_least(leaders: dict[Corner, int], wanted: dict[Corner, int]) -> dict[Corner, int]:
    """Give the greater count for each piece: counts only grow, so that laying out ends."""
    return {at: max(leaders.get(at, 0), wanted.get(at, 0)) for at in {**leaders, **wanted}}
