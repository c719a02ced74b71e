"""Parts as they lie on the stock: cutouts sit at the finished part within its blank."""

from __future__ import annotations

from dataclasses import replace

import pytest
from page_lists import cutout, part

from cutopt.draw.part_on_stock import cutout_rect
from cutopt.draw.space import Rect
from cutopt.model.job import CutoutKind, Edge
from cutopt.model.plan import PartPiece
from cutopt.steps.blanks import extra_phrase, finished_in_blank
from cutopt.steps.hands import as_made
from cutopt.steps.phrase import plain
from cutopt.units import Ticks, Units, format_length, inches

SCRIBED = replace(
    part("Panel", inches(40), inches(10), cutouts=(cutout(CutoutKind.OPENING, 10, 4, 0, 2),)),
    extra_length=inches(10), blank_length=inches(50), handed=True, qty=2,
)  # fmt: skip
RECT = Rect(100, 200, 150, 210)
"""A blank of 50 x 10 in at a point an inch."""


def place(of, copy=1, rect=RECT, *, turned=False):
    made = as_made(of, copy)
    piece = PartPiece(of.blank_length, of.blank_width, of.id, copy, turned)
    found = cutout_rect(rect, piece, made, made.cutouts[0])
    return tuple(round(v, 9) for v in (found.x0, found.y0, found.x1, found.y1))


def test_what_is_left_for_fitting_lies_at_the_right_end():
    assert place(SCRIBED) == (100, 202, 110, 206)
    # Turned anticlockwise the left end lies below, the front to the right.
    assert place(SCRIBED, rect=Rect(0, 0, 10, 50), turned=True) == (4, 0, 8, 10)


def test_the_right_hand_is_the_mirror_image_of_the_whole_blank():
    assert place(SCRIBED, 2) == (140, 202, 150, 206)
    words = plain(extra_phrase(SCRIBED), lambda t: format_length(Ticks(t), Units.INCH))
    assert words == "10 over at the right end (left end of right ones), to fit on site"


def test_bands_come_on_outside_the_blank():
    banded = replace(
        SCRIBED, band=(Edge.FRONT, Edge.LEFT), handed=None, extra_length=Ticks(0),
        blank_length=inches(39), blank_width=inches(9),
    )  # fmt: skip
    assert finished_in_blank(banded) == (-inches(1), -inches(1))
    # 10 in long on the finished part, an inch of that is band.
    x0, y0, x1, y1 = place(banded, rect=Rect(0, 0, 39, 9))
    assert (x0, y0, x1, y1) == pytest.approx((0, 1, 9, 5))
