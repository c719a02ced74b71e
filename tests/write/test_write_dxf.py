"""DXF drawings read back with ezdxf: sound files, true sizes, every part in its place."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import ezdxf
import pytest
from ezdxf import bbox, path
from handmade import crosscut, finish, grow, part, rip
from shapely.geometry import Polygon

from cutopt.draw.dxf_drawings import CUTOUT_LAYERS, dxf_drawings
from cutopt.draw.true_shapes import area, contour, cutout_shape
from cutopt.model.job import Cutout, CutoutKind, Edge, Grain, Job, Kind, Material, Part, Shop, Stock
from cutopt.model.plan import PartPiece, walk
from cutopt.pipeline import Printing, draw_plan
from cutopt.units import Ticks, Units, to_mm
from cutopt.write.dxf import dxf_bytes
from cutopt.write.output import files_written, foreign_files, write_output

PLY = Material("birch ply", Kind.SHEET, Ticks(18 * 320))
SHEET = Stock("birch 8x4", PLY, Ticks(2440 * 320), Ticks(1220 * 320), 6000, trim=Ticks(10 * 320))


def mm(value):
    return Ticks(round(value * 320))


def cut(kind, length, width, left, front):
    return Cutout(kind, mm(length), mm(width), mm(left), mm(front))


CUTOUTS = (
    cut(CutoutKind.NOTCH, 140, 19, 0, 381),  # back left corner
    cut(CutoutKind.NOTCH, 60, 25.5, 300, 0),  # front edge
    cut(CutoutKind.NOTCH, 30, 80, 770, 100),  # right edge
    cut(CutoutKind.ROUNDED_CORNER, 40, 40, 760, 360),  # back right corner
    cut(CutoutKind.OPENING, 200, 100, 400, 150),
    cut(CutoutKind.HOLE, 35, 35, 100, 100),
    cut(CutoutKind.DISC, 120, 120, 200, 200),
)


def side(**more):
    return Part(
        "P1", "Side", 2, mm(800), mm(400), PLY.thickness, mm(800), mm(400), PLY, Grain.LENGTH,
        cutouts=CUTOUTS, **more,
    )  # fmt: skip


SHELF = Part(
    "P2", "Shelf", 1, mm(500), mm(300), PLY.thickness, mm(520), mm(299.2), PLY,
    band=(Edge.FRONT,), extra_length=mm(20), cutouts=(cut(CutoutKind.HOLE, 50, 50, 20, 30),),
    note="scribe to the wall",
)  # fmt: skip


@pytest.fixture
def plan():
    job = Job(
        "Locker", Units.MM, (side(handed=True), SHELF), (SHEET,), Shop(kerf=mm(3.2)), currency="EUR"
    )
    sides = rip(mm(10), None, rip(mm(400), crosscut(mm(10), None, crosscut(
        mm(800), part("P1", 1), crosscut(mm(800), part("P1", 2), None))), crosscut(
            mm(20), None, crosscut(mm(299.2), rip(mm(520), part("P2", 1, turned=True), None), None),
        )))  # fmt: skip
    return finish(job, [grow(job, SHEET, sides)])


def read(drawing):
    document = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode()))
    assert document.audit().errors == []
    return document


def on(document, layer):
    return [entity for entity in document.modelspace() if entity.dxf.layer == layer]


def extents(entities):
    room = bbox.extents(entities, fast=False)
    return tuple(v for point in (room.extmin, room.extmax) for v in (point.x, point.y))


def test_files_are_metric_and_the_same_every_time(plan):
    for drawing in dxf_drawings(plan, Units.MM):
        document = read(drawing)
        assert (document.dxfversion, document.units) == ("AC1024", 4)
        assert document.header["$MEASUREMENT"] == 1
        assert dxf_bytes(drawing) == dxf_bytes(drawing)
        for entity in document.modelspace().query("LWPOLYLINE"):
            assert entity.closed or entity.dxf.layer in {"Grain", "Banded edges"}


def test_one_file_for_each_kind_of_part_and_each_sheet(plan):
    names = [drawing.name for drawing in dxf_drawings(plan, Units.MM)]
    assert names == ["P1_Side_left", "P1_Side_right", "P2_Shelf", "S1"]


def test_a_part_is_drawn_at_its_finished_and_its_blank_size(plan):
    shelf = read(dxf_drawings(plan, Units.MM)[2])
    assert extents(on(shelf, "Part outline")) == pytest.approx((0, 0, 500, 300), abs=1e-6)
    # The band comes on later, in front; what is left for scribing lies at the right end.
    assert extents(on(shelf, "Blank")) == pytest.approx((0, 0.8, 520, 300), abs=1e-6)
    words = [entity.dxf.text for entity in on(shelf, "Words")]
    assert words[0] == "P2 Shelf: 1 to make"
    assert "20 mm over at the right end, to fit on site" in words
    assert "birch ply, 18 mm thick, band front" in words
    assert len(on(shelf, "Banded edges")) == 1


def test_cutouts_have_their_true_shapes_and_areas(plan):
    document = read(dxf_drawings(plan, Units.MM)[0])
    (hole,) = on(document, "Holes")
    assert (hole.dxf.center.x, hole.dxf.center.y, hole.dxf.radius) == (117.5, 117.5, 17.5)
    (corner,) = on(document, "Rounded corners")
    points = path.make_path(corner).flattening(0.0005)
    # What rounding takes off a square corner.
    assert Polygon([(p.x, p.y) for p in points]).area == pytest.approx(
        40**2 * (1 - math.pi / 4), rel=2e-3
    )
    assert len(on(document, "Notches")) == 3
    for cutout in CUTOUTS:
        made = area(cutout_shape(cutout, side()))
        length, width = to_mm(cutout.length), to_mm(cutout.width)
        share = {"hole": math.pi / 4, "disc": math.pi / 4, "rounded corner": 1 - math.pi / 4}
        assert made == pytest.approx(length * width * share.get(cutout.kind.value, 1), rel=1e-12)


def test_the_outline_goes_round_notches_and_corners(plan):
    document = read(dxf_drawings(plan, Units.MM)[0])
    (outline,) = on(document, "Part outline")
    assert extents([outline]) == pytest.approx((0, 0, 800, 400), abs=1e-6)
    drawn = Polygon([(p.x, p.y) for p in path.make_path(outline).flattening(0.0005)])
    assert drawn.is_valid
    taken = 140 * 19 + 60 * 25.5 + 30 * 80 + 40**2 * (1 - math.pi / 4)
    assert drawn.area == pytest.approx(800 * 400 - taken, abs=1)
    assert area(contour(side())) == pytest.approx(800 * 400 - taken, rel=1e-12)


def test_notches_that_meet_leave_the_outline_to_the_maker():
    both = (cut(CutoutKind.NOTCH, 50, 50, 0, 0), cut(CutoutKind.NOTCH, 40, 20, 50, 0))
    assert contour(replace(side(), cutouts=both)) is None


def test_the_right_one_of_a_pair_is_the_mirror_image(plan):
    left, right = (read(drawing) for drawing in dxf_drawings(plan, Units.MM)[:2])
    (one,), (other,) = on(left, "Holes"), on(right, "Holes")
    assert other.dxf.center.x == pytest.approx(800 - one.dxf.center.x, abs=1e-6)
    shapes = [
        Polygon([(p.x, p.y) for p in path.make_path(on(d, "Part outline")[0]).flattening(0.001)])
        for d in (left, right)
    ]
    mirrored = Polygon([(800 - x, y) for x, y in shapes[0].exterior.coords])
    assert mirrored.symmetric_difference(shapes[1]).area < 1e-3


def test_every_part_of_a_sheet_lies_where_the_tree_has_it(plan):
    document = read(dxf_drawings(plan, Units.MM)[-1])
    assert extents(on(document, "Sheet outline")) == pytest.approx((0, 0, 2440, 1220), abs=1e-6)
    assert extents(on(document, "Trim")) == pytest.approx((10, 10, 2430, 1210), abs=1e-6)
    blanks = sorted(extents([blank]) for blank in on(document, "Blank"))
    (piece,) = plan.pieces
    wanted = sorted(
        (to_mm(p.x), to_mm(p.y), to_mm(p.x + p.node.length), to_mm(p.y + p.node.width))
        for p in walk(piece.layout)
        if isinstance(p.node, PartPiece)
    )
    assert len(blanks) == len(wanted) == 3
    for blank, place in zip(blanks, wanted, strict=True):
        assert blank == pytest.approx(place, abs=1e-6)
    assert len(on(document, "Shop cuts")) == len(piece.cuts())
    names = {entity.dxf.text for entity in on(document, "Words")}
    assert {"Side 1 of 2", "Side 2 of 2", "Shelf 1 of 1"} <= names
    steps = sorted(int(entity.dxf.text.split(":")[0]) for entity in on(document, "Cut numbers"))
    assert steps == [cut.step for cut in piece.cuts()]
    # Turned anticlockwise, the front of the shelf lies to the right.
    _, y0, x1, _ = extents([max(on(document, "Blank"), key=lambda b: extents([b])[1])])
    (hole,) = [h for h in on(document, "Holes") if h.dxf.radius == pytest.approx(25)]
    assert hole.dxf.center.x == pytest.approx(x1 - 55 + 0.8, abs=1e-6)
    assert hole.dxf.center.y == pytest.approx(y0 + 45, abs=1e-6)


def test_they_are_written_only_where_asked_for_and_go_when_stale(plan, tmp_path):
    folder = tmp_path / "out"
    write_output(draw_plan(plan, Printing(dxf=True)), folder, force=False)
    names = sorted(file.name for file in (folder / "dxf").iterdir())
    assert names == ["P1_Side_left.dxf", "P1_Side_right.dxf", "P2_Shelf.dxf", "S1.dxf"]
    assert files_written(folder)[-1] == "dxf"
    assert foreign_files(folder) == ()
    (folder / "dxf" / "mine.dxf").write_text("mine")
    assert foreign_files(folder) == ("dxf/mine.dxf",)
    write_output(draw_plan(plan, Printing()), folder, force=True)
    assert [file.name for file in (folder / "dxf").iterdir()] == ["mine.dxf"]


def test_long_and_broken_names_make_sound_files(plan):
    odd = replace(SHELF, name="Shelf\nfor \u201call\u201d " + "x" * 300, note="50\t%\r\nßλ")
    job = replace(plan.job, parts=(side(handed=True), odd))
    drawing = dxf_drawings(replace(plan, job=job), Units.INCH)[2]
    assert len(drawing.name) < 70
    words = [entity.dxf.text for entity in on(read(drawing), "Words")]
    assert words[0].startswith("P2 Shelf for \u201call\u201d xxx")
    assert words[-1] == "50 % ßλ"


def test_every_layer_of_a_cutout_has_a_plain_name():
    assert set(CUTOUT_LAYERS) == set(CutoutKind)
