"""The rows of a store sheet: one for each cut, with a picture of the piece on the saw."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.draw import marks
from cutopt.draw.flags import flag_extent
from cutopt.draw.lines import line_of, marked_size
from cutopt.draw.marks import Points
from cutopt.draw.scene import MIDDLE, Align, Drawing, Hatch, Style, Words
from cutopt.draw.space import Rect
from cutopt.draw.typeset import NARROWEST, set_line, width_of
from cutopt.model.layout import Direction
from cutopt.steps.store import StoreCut, StoreResult
from cutopt.units import Units

LEAST_ROW = 50.0
TIGHT_ROW = 45.0
"""Height of a row where that saves a page."""
MOST_ROW = 72.0
FLAG = 19.0
PICTURE_LEFT = 44.0
PICTURE_WIDTH = 108.0
WORDS_LEFT = 166.0
RESULTS_LEFT = 360.0
BOX = 14.0
BOXES_A_LINE = 2
SIDE_LETTERS = 12.0
LEAST_LETTERS = 11.0


@dataclass(frozen=True, slots=True)
class RowRoom:
    """Where a row stands: from margin to margin, from its top down."""

    left: float
    right: float
    top: float
    height: float

    @property
    def middle(self) -> float:
        """Height of the row's middle on the page."""
        return self.top - self.height / 2


def least_row(boxes: int) -> float:
    """Give the least height of a row with so many boxes, points."""
    lines = -(-boxes // BOXES_A_LINE)
    return max(LEAST_ROW, lines * (BOX + 4.5) + 8)


def draw_row(drawing: Drawing, cut: StoreCut, room: RowRoom, boxes: int, units: Units) -> None:
    """Draw the row of one cut: flag, picture, setting, what comes of it, boxes."""
    width, _ = flag_extent(cut.step, FLAG, Points.RIGHT)
    marks.flag(drawing, room.left + width, room.middle, cut.step, Points.RIGHT, FLAG)
    picture = Rect(
        room.left + PICTURE_LEFT,
        room.middle - (room.height - 17) / 2,
        room.left + PICTURE_LEFT + PICTURE_WIDTH,
        room.middle + (room.height - 17) / 2,
    )
    draw_piece_on_saw(drawing, cut, picture)

    x = room.left + WORDS_LEFT
    column = RESULTS_LEFT - WORDS_LEFT - 14
    verb = f"{cut.verb.capitalize()} "
    taken = set_line(drawing, x, room.middle + 4, verb, 16)
    set_line(
        drawing, x + taken, room.middle + 4, line_of((cut.setting,), units), 22, Style.BOLD, units,
        room=column - taken,
    )  # fmt: skip
    set_line(drawing, x, room.middle - 14, cut.where, 11.5, room=column)

    results = [side for side in (cut.first, cut.second) if side is not None]
    in_line = min(boxes, BOXES_A_LINE)
    x = room.left + RESULTS_LEFT
    space = room.right - in_line * (BOX + 4.5) - 6 - x
    baseline = room.middle + (4.0 if len(results) == 2 else -5.0)
    for result in results:
        _draw_result(drawing, x, baseline, result, space, units)
        baseline -= 19.0
    lines = -(-boxes // BOXES_A_LINE)
    marks.boxes(
        drawing, room.right, room.middle + (lines - 1) * (BOX + 4.5) / 2 - BOX / 2, boxes, BOX,
        BOXES_A_LINE,
    )  # fmt: skip


def _draw_result(
    drawing: Drawing, x: float, y: float, result: StoreResult, space: float, units: Units
) -> None:
    if result.waste:
        set_line(drawing, x, y, "waste", 11.5, Style.ITALIC, grey=MIDDLE)
        return
    taken = set_line(drawing, x, y, result.letters, 14, Style.BOLD) + 10
    if result.cut_again:
        set_line(
            drawing, x + taken, y, "is cut again", 11.5, Style.ITALIC, grey=MIDDLE,
            room=space - taken,
        )  # fmt: skip
    else:
        size = marked_size(result.length, result.width, units)
        set_line(drawing, x + taken, y, size, 11.5, units=units, room=space - taken)


def draw_piece_on_saw(drawing: Drawing, cut: StoreCut, room: Rect) -> None:
    """Draw the piece that lies on the saw: bar on its reference edge, the cut right through."""
    crosscut = cut.direction is Direction.CROSSCUT
    piece = _picture(cut, room, 7.0, 7.0)
    if _beside(piece, cut):
        widest = max(
            width_of(result.letters, LEAST_LETTERS, Style.BOLD)
            for result in (cut.first, cut.second)
            if result is not None
        )
        # Only the first side of a crosscut has its letters at the left.
        piece = _picture(cut, room, widest + 9 if crosscut else 7.0, widest + 9)
    beside = _beside(piece, cut)
    sides = _sides(piece, cut)
    for side, result in zip(sides, (cut.first, cut.second), strict=True):
        if result is not None and result.waste:
            drawing.add(Hatch(side.x0, side.y0, side.width, side.height))
    drawing.rectangle(piece.x0, piece.y0, piece.width, piece.height, 1.1)
    _bar(drawing, cut, piece)
    if crosscut:
        x = sides[0].x1
        drawing.line(x, piece.y0 - 5, x, piece.y1 + 5, marks.STORE_CUT)
    else:
        y = sides[0].y1
        drawing.line(piece.x0 - 5, y, piece.x1 + 5, y, marks.STORE_CUT)
    # Letters of two thin strips stand one over the other beside them.
    shift = LEAST_LETTERS * 0.5 if not crosscut and len(beside) > 1 else 0.0
    for number, (side, result) in enumerate(zip(sides, (cut.first, cut.second), strict=True)):
        if result is not None and not result.waste:
            lift = shift if number else -shift
            _letters(drawing, result.letters, side, piece, lift, left=crosscut and not number)


def _beside(piece: Rect, cut: StoreCut) -> list[float]:
    """Give the widths of the letters that do not fit their side of the picture."""
    return [
        width_of(result.letters, LEAST_LETTERS, Style.BOLD)
        for side, result in zip(_sides(piece, cut), (cut.first, cut.second), strict=True)
        if result is not None and not result.waste and _setting(result.letters, side) is None
    ]


def _picture(cut: StoreCut, room: Rect, before: float, after: float) -> Rect:
    """Give the piece in the middle of a room, so many points before and after it left free."""
    own = Rect(room.x0 + before, room.y0, room.x1 - after, room.y1)
    scale = min(own.width / cut.length, own.height / cut.width)
    width, height = max(cut.length * scale, 16.0), max(cut.width * scale, 12.0)
    mx, my = own.middle
    return Rect(mx - width / 2, my - height / 2, mx + width / 2, my + height / 2)


def _sides(piece: Rect, cut: StoreCut) -> tuple[Rect, Rect]:
    """Give the two sides of the cut in its picture."""
    crosscut = cut.direction is Direction.CROSSCUT
    whole = cut.length if crosscut else cut.width
    share = min(max((cut.line + cut.kerf / 2) / whole, 0.02), 0.98)
    if crosscut:
        x = piece.x0 + piece.width * share
        return Rect(piece.x0, piece.y0, x, piece.y1), Rect(x, piece.y0, piece.x1, piece.y1)
    y = piece.y0 + piece.height * share
    return Rect(piece.x0, piece.y0, piece.x1, y), Rect(piece.x0, y, piece.x1, piece.y1)


def _setting(letters: str, side: Rect) -> tuple[float, float] | None:
    """Give the size and stretch at which letters fit a side, None where they do not."""
    for size in (SIDE_LETTERS, LEAST_LETTERS):
        width = width_of(letters, size, Style.BOLD)
        for stretch in (1.0, NARROWEST):
            if width * stretch <= side.width - 5 and side.height >= size * 0.72 + 3.5:
                return size, stretch
    return None


def _bar(drawing: Drawing, cut: StoreCut, piece: Rect) -> None:
    half = marks.BAR / 2
    if cut.edge == "left end":
        marks.heavy_bar(drawing, piece.x0 - half, piece.y0, piece.x0 - half, piece.y1)
    elif cut.edge == "right end":
        marks.heavy_bar(drawing, piece.x1 + half, piece.y0, piece.x1 + half, piece.y1)
    elif cut.edge == "bottom edge":
        marks.heavy_bar(drawing, piece.x0, piece.y0 - half, piece.x1, piece.y0 - half)
    else:
        marks.heavy_bar(drawing, piece.x0, piece.y1 + half, piece.x1, piece.y1 + half)


def _letters(
    drawing: Drawing, letters: str, side: Rect, piece: Rect, lift: float, *, left: bool
) -> None:
    """Write the letters of one side in it, else beside the picture."""
    mx, my = side.middle
    setting = _setting(letters, side)
    if setting is not None:
        size, stretch = setting
        drawing.add(
            Words(
                mx, my - size * 0.36, letters, size, Style.BOLD,
                align=Align.MIDDLE, stretch=stretch,
            )
        )  # fmt: skip
        return
    y = my - LEAST_LETTERS * 0.36 + lift
    if left:
        # Before the bar.
        drawing.add(Words(piece.x0 - 6, y, letters, LEAST_LETTERS, Style.BOLD, align=Align.RIGHT))
    else:
        drawing.add(Words(piece.x1 + 7, y, letters, LEAST_LETTERS, Style.BOLD))
