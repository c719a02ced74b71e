"""The order of cuts on a shop sheet: in columns under or beside the drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cutopt.draw import marks
from cutopt.draw.flags import flag_extent
from cutopt.draw.lines import GAP, line_of
from cutopt.draw.marks import Points
from cutopt.draw.scene import MIDDLE, Drawing, Style
from cutopt.draw.space import Rect
from cutopt.draw.typeset import set_line
from cutopt.model.job import Part
from cutopt.model.plan import PartPiece, walk
from cutopt.steps.shop import ShopCut, ShopSheet
from cutopt.units import Units

ROW = 14.6
NOTE_ROW = 10.0
HEADING = 30.0
NOTE_PITCH = 10.0
BODY = 9.5
NOTE = 8.0
FLAG = 7.5


class OrderTable:
    """The cuts made at home in columns, as many as fit; the rest waits for the next page."""

    def __init__(self, sheet: ShopSheet, parts: Mapping[str, Part], units: Units) -> None:
        """Take the cuts of a sheet."""
        self._units = units
        self._rest = list(sheet.cuts)
        self._again = False
        store = sheet.store_cuts
        self._notes = []
        if store:
            made = "cut 1 was made" if store == 1 else f"cuts 1 to {store} were made"
            self._notes.append(f"{made} at the store")
        self._notes.append("settings and tick boxes: on the saw pages")
        nodes = (placed.node for placed in walk(sheet.piece.layout))
        if any(parts[node.part].band for node in nodes if isinstance(node, PartPiece)):
            self._notes.append("sizes are cut sizes, before banding")

    @property
    def done(self) -> bool:
        """Say whether all cuts are drawn."""
        return not self._rest

    def height_of_rows(self, rows: int) -> float:
        """Give the height of so many plain rows under the heading, points."""
        return HEADING + rows * ROW

    def height(self, columns: int) -> float:
        """Give the height of all cuts in so many columns with their heading, points."""
        heading = self._heading(columns)
        height = max(ROW, sum(map(_row_height, self._rest)) / columns)
        while sum(map(len, _filled(self._rest, height, columns))) < len(self._rest):
            height += 1.0
        return heading + height

    def _heading(self, columns: int) -> float:
        """Give the height of the heading: its notes stand one under the other if it is narrow."""
        return HEADING if columns > 2 else HEADING + len(self._notes) * NOTE_PITCH

    def draw(self, drawing: Drawing, room: Rect, columns: int) -> None:
        """Draw what fits the room, from its top."""
        drawing.line(room.x0, room.y1, room.x1, room.y1, 0.6)
        heading = self._heading(columns)
        height = min(self.height(columns), room.height) - heading
        shown = _filled(self._rest, height, columns)
        count = sum(map(len, shown))
        self._head(drawing, room, columns, more=count < len(self._rest))
        width = room.width / columns
        for number, column in enumerate(shown):
            baseline = room.y1 - heading
            for cut in column:
                self._row(drawing, cut, room.x0 + number * width, baseline, width - 8)
                baseline -= _row_height(cut)
        self._rest = self._rest[max(count, 1) :]
        self._again = True

    def _head(self, drawing: Drawing, room: Rect, columns: int, *, more: bool) -> None:
        words = "Order of cuts, continued" if self._again else "Order of cuts"
        y = room.y1 - 14
        taken = set_line(drawing, room.x0, y, words, BODY, Style.BOLD)
        notes = [*self._notes, *(("goes on overleaf",) if more else ())]
        if columns > 2:
            x = room.x0 + taken + 10
            set_line(drawing, x, y, GAP.join(notes), NOTE, grey=MIDDLE, room=room.x1 - x)
            return
        for note in notes:
            y -= NOTE_PITCH
            set_line(drawing, room.x0, y, note, NOTE, grey=MIDDLE, room=room.width)

    def _row(self, drawing: Drawing, cut: ShopCut, x: float, y: float, width: float) -> None:
        flag, _ = flag_extent(cut.step, FLAG, Points.RIGHT)
        tip = x + max(19.0, flag)
        marks.flag(drawing, tip, y + 3.4, cut.step, Points.RIGHT, FLAG)
        left, right = tip + 5, x + width
        name = f"{cut.piece}  " if cut.piece else ""
        setting = line_of((cut.setting,), self._units, mark=False)
        words = f"{name}{cut.action} to "
        taken = set_line(drawing, left, y, words, BODY, room=right - left - 40)
        set_line(
            drawing, left + taken, y, setting, BODY, Style.BOLD, self._units,
            room=right - left - taken,
        )  # fmt: skip
        if cut.measure_first is not None:
            note = ("measure first: other side ", *line_of((cut.measure_first,), self._units))
            set_line(
                drawing, left, y - NOTE_ROW + 0.5, note, NOTE, units=self._units, grey=MIDDLE,
                room=right - left,
            )  # fmt: skip


def _row_height(cut: ShopCut) -> float:
    return ROW + (NOTE_ROW if cut.measure_first is not None else 0.0)


def _filled(cuts: Sequence[ShopCut], height: float, columns: int) -> list[list[ShopCut]]:
    """Fill columns of that height one after another; what is left over is left out."""
    filled: list[list[ShopCut]] = [[]]
    used = 0.0
    for cut in cuts:
        if filled[-1] and used + _row_height(cut) > height + 0.01:
            if len(filled) == columns:
                break
            filled.append([])
            used = 0.0
        filled[-1].append(cut)
        used += _row_height(cut)
    return filled
