"""The legend of shop sheets: samples of the signs they use, drawn as they are drawn there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cutopt.draw import marks
from cutopt.draw.frame import field_of
from cutopt.draw.marks import Points
from cutopt.draw.scene import DARK, Drawing, Hatch
from cutopt.draw.typeset import set_line, width_of
from cutopt.model.job import Grain, Part
from cutopt.model.plan import Offcut, PartPiece, Waste, walk
from cutopt.steps.shop import ShopSheet

LEGEND = 9.0
SAMPLE_GAP = 6.0
MOST_GAP = 18.0


def has_grain(part: Part) -> bool:
    """Say whether the grain of a part must run one way."""
    return part.grain in (Grain.LENGTH, Grain.WIDTH)


def draw_legend(
    drawing: Drawing,
    sheets: Sequence[ShopSheet],
    parts: Mapping[str, Part],
    y: float,
    *,
    rough: bool,
) -> float:
    """Draw samples of the signs used on these sheets, on one line; give the y under it."""
    nodes = [placed.node for sheet in sheets for placed in walk(sheet.piece.layout)]
    own = [parts[node.part] for node in nodes if isinstance(node, PartPiece)]
    grain = any(sheet.stock.grain is Grain.LENGTH for sheet in sheets)
    samples = [
        ("cut, in this order", _sample_flag, any(sheet.cuts for sheet in sheets)),
        ("reference corner", _sample_corner, True),
        (
            "store edge, to be trimmed",
            _sample_rough,
            rough and any(sheet.store_cuts for sheet in sheets),
        ),
        ("band this edge", _sample_band, any(part.band for part in own)),
        ("grain", _sample_grain, grain and any(has_grain(part) for part in own)),
        ("waste", _sample_waste, any(isinstance(node, Waste) for node in nodes)),
        ("offcut to keep", _sample_offcut, any(isinstance(node, Offcut) for node in nodes)),
        ("cutout", _sample_cutout, any(part.cutouts for part in own)),
    ]
    field = field_of(drawing)
    shown = [(words, draw) for words, draw, used in samples if used]
    widths = [
        draw(Drawing(0.0, 0.0, ""), 0.0, 0.0) + SAMPLE_GAP + width_of(words, LEGEND)
        for words, draw in shown
    ]
    gap = min(MOST_GAP, (field.width - sum(widths)) / max(1, len(widths) - 1))
    x = field.left
    y -= 9
    for (words, draw), width in zip(shown, widths, strict=True):
        set_line(drawing, draw(drawing, x, y) + SAMPLE_GAP, y, words, LEGEND, grey=DARK)
        x += width + gap
    return y - 7


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
