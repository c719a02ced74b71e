"""Drawings as DXF (R2010, millimetres): the same drawing always gives the same bytes.

Source: DXF Reference for R2010, header variables $INSUNITS (4 is millimetres) and $MEASUREMENT
(1 is metric); bulges of lightweight polylines.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing as DxfDocument
from ezdxf.layouts import Modelspace

from cutopt.draw.dxf_drawings import LAYERS, DxfDrawing, Entry
from cutopt.draw.true_shapes import Path, Ring

VERSION = "R2010"
MILLIMETRES = 4
METRIC = 1
_COLOURS = (7, 8, 1, 3, 5, 6, 30, 40, 9, 7, 7, 8, 1, 5, 5, 3)
"""Colour numbers of the layers as the DXF Reference counts them, in the order of ``LAYERS``."""


def dxf_bytes(drawing: DxfDrawing) -> bytes:
    """Give a drawing as a DXF file, one layer for each kind of thing that is in it."""
    with _no_clock():
        document = ezdxf.new(VERSION, units=MILLIMETRES)
        document.header["$MEASUREMENT"] = METRIC
        used = {entry.layer for entry in drawing.entries}
        for layer, colour in zip(LAYERS, _COLOURS, strict=True):
            if layer in used:
                document.layers.add(layer, color=colour)
        space = document.modelspace()
        for entry in drawing.entries:
            _add(space, entry)
        return _encoded(document)


def _encoded(document: DxfDocument) -> bytes:
    text = io.StringIO()
    document.write(text)
    return document.encode(text.getvalue())


@contextmanager
def _no_clock() -> Iterator[None]:
    """Keep times and random marks out of what is written meanwhile."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _add(space: Modelspace, entry: Entry) -> None:
    layer = {"layer": entry.layer}
    what = entry.what
    if isinstance(what, Ring):
        space.add_circle((what.x, what.y), what.radius, dxfattribs=layer)
    elif isinstance(what, Path):
        space.add_lwpolyline(what.corners, format="xyb", close=what.closed, dxfattribs=layer)
    else:
        turn = {"rotation": 90.0} if what.upright else {}
        # A line break or another control sign would end the line of the file, too.
        line = " ".join("".join(c if c.isprintable() else " " for c in what.text).split())
        text = space.add_text(line, height=what.height, dxfattribs={**layer, **turn})
        text.set_placement((what.x, what.y))
