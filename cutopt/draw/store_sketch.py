"""A store sheet's drawing on its own, where there is no paper around it."""

from __future__ import annotations

from cutopt.draw.scene import Drawing, Page
from cutopt.draw.store_dimensions import UNDER_DRAWING
from cutopt.draw.store_drawing import draw_store_cuts, frame_in, room_for_drawing
from cutopt.steps.store import StoreSheet
from cutopt.units import Units

WIDTH = 540.0
MOST_HEIGHT = 700.0
"""Points; a narrow sheet is drawn no higher."""


def store_sketch(sheet: StoreSheet, units: Units) -> Page:
    """Give the sheet with its cuts, flags, letters and dimensions, ``WIDTH`` points wide."""
    room = room_for_drawing(0.0, WIDTH, 0.0)
    sketched = frame_in(sheet, room, MOST_HEIGHT)
    height = UNDER_DRAWING - sketched.rect.y0
    room = room_for_drawing(0.0, WIDTH, height)
    drawing = Drawing(WIDTH, height, f"store-{sheet.ids[0]}")
    draw_store_cuts(drawing, sheet, frame_in(sheet, room, MOST_HEIGHT), units)
    return drawing.finish()
