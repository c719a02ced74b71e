"""Sawing at home: cut trees rule by rule, and any layout with any saws."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers import serialize
from hypothesis import given, settings
from sawing_cases import (
    BOARD,
    HAND,
    MITRE,
    SHEET,
    TABLE,
    TRACK,
    blank,
    columns,
    job_of,
    mm,
    plan_of,
    strips,
)
from sawing_strategies import Drawn, drawn_jobs

from cutopt.check.replay import check_plan
from cutopt.model.job import Favour, Job
from cutopt.model.layout import Direction
from cutopt.model.plan import Cut, Maker, Offcut, PartPiece, Plan, Settings, Waste, walk
from cutopt.steps.joint import saw_job
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_pieces import Edges, Size
from cutopt.steps.summary import summarise


def only_tree(plan: Plan) -> object:
    assert check_plan(plan) == ()
    (piece,) = plan.pieces
    return serialize(piece.layout)


def test_a_part_as_large_as_the_sheet_needs_no_cut() -> None:
    plan = plan_of([(SHEET, blank("Top", 2440, 1220))])
    assert only_tree(plan) == ("Top", 1, 2440.0, 1220.0)


def test_a_remainder_no_wider_than_the_kerf_is_sawdust() -> None:
    plan = plan_of([(SHEET, blank("Top", 2438, 1220))])
    assert only_tree(plan) == (
        "crosscut", 2438.0, 2.0, "any", 1, ("Top", 1, 2438.0, 1220.0), None,
    )  # fmt: skip


def test_trim_is_taken_off_every_edge_kerf_included() -> None:
    trimmed = replace(SHEET, trim=mm(10))
    plan = plan_of([(trimmed, blank("Top", 2420, 1200))])
    assert only_tree(plan) == (
        "rip", 7.0, 3.0, "any", 1,
        ("waste", 2440.0, 7.0),
        ("rip", 1200.0, 3.0, "any", 2,
         ("crosscut", 7.0, 3.0, "any", 3,
          ("waste", 7.0, 1200.0),
          ("crosscut", 2420.0, 3.0, "any", 4, ("Top", 1, 2420.0, 1200.0), ("waste", 7.0, 1200.0))),
         ("waste", 2440.0, 7.0)),
    )  # fmt: skip


def test_trim_under_the_kerf_runs_off_the_edge() -> None:
    plan = plan_of([(replace(BOARD, trim=mm(2)), blank("Leg", 2900, 90))])
    assert only_tree(plan) == (
        "crosscut", 0.0, 2.0, "any", 1,
        None,
        ("crosscut", 2900.0, 3.0, "any", 2, ("Leg", 1, 2900.0, 90.0), ("waste", 95.0, 90.0)),
    )  # fmt: skip


def test_each_cut_takes_the_kerf_of_its_own_saw() -> None:
    shelf = blank("Shelf", 1000, 200)
    plan = plan_of([(SHEET, strips(*[columns(shelf, shelf)] * 3))], [TABLE, MITRE])
    cuts = {(cut.direction, cut.saw, cut.kerf) for cut in plan.pieces[0].cuts()}
    assert cuts == {
        (Direction.RIP, "table saw", mm(3)),
        (Direction.CROSSCUT, "mitre saw", mm(2)),
    }
    # Twice 1000 and a kerf of 2 each: 436 stay of every strip, none lost to the wider kerf.
    assert [
        (placed.node.length, placed.node.width)
        for placed in walk(plan.pieces[0].layout)
        if isinstance(placed.node, Offcut)
    ] == [(mm(436), mm(200))] * 3 + [(mm(2440), mm(611))]
    assert check_plan(plan) == ()


def test_a_fence_is_set_on_the_side_that_holds_parts() -> None:
    # 900 is beyond the fence, but the other side with 500 and the rest measures 537.
    layout = strips(blank("Wide", 2440, 900), blank("Slim", 2440, 500))
    plan = plan_of([(replace(SHEET, width=mm(1440)), layout)], [TABLE])
    cuts = plan.pieces[0].cuts()
    assert [(cut.at, cut.saw) for cut in cuts] == [(mm(900), "table saw"), (mm(500), "table saw")]
    assert plan.warnings == ()


def test_waste_against_the_fence_is_no_setting() -> None:
    plan = plan_of([(SHEET, blank("Wide", 2440, 900))], [TABLE, MITRE])
    (cut,) = plan.pieces[0].cuts()
    assert cut.saw == "any"
    assert [warning.about for warning in plan.warnings] == ["saw"]
    assert "S1" in plan.warnings[0].text
    assert check_plan(plan) == ()


def test_parallel_cuts_are_made_in_the_order_the_saws_can() -> None:
    # From the left, 610 would have to lie on the fence, or 1187 behind it: neither fits 600.
    # Once the 583 at the far end are off, the fence is set on the 590 in the middle.
    layout = columns(blank("A", 610, 1220), blank("B", 590, 1220), blank("C", 583, 1220))
    plan = plan_of([(replace(SHEET, length=mm(1789)), layout)], [TABLE])
    assert [(cut.at, cut.saw) for cut in plan.pieces[0].cuts()] == [
        (mm(1203), "table saw"),
        (mm(610), "table saw"),
    ]
    assert plan.warnings == ()
    assert check_plan(plan) == ()


def test_children_change_places_where_a_saw_wants_it() -> None:
    # As laid, the 500 lies on the fence, but then the 700 has nothing but waste beside it.
    # With the 700 first, the fence is set on the 500 and the rest behind it.
    layout = columns(blank("A", 500, 1220), blank("B", 700, 1220))
    plan = plan_of([(replace(SHEET, length=mm(1260)), layout)], [TABLE])
    assert [cut.at for cut in plan.pieces[0].cuts()] == [mm(700), mm(500)]
    assert plan.warnings == ()
    assert check_plan(plan) == ()


def test_small_strips_lie_at_both_ends_where_both_are_trimmed() -> None:
    # The fence reaches 600: neither trim comes off beside the strip of 750.
    short = replace(SHEET, length=mm(500))
    layout = strips(blank("Wide", 500, 750), blank("Slim", 500, 200), blank("Slimmer", 500, 190))
    bench = Bench(job_of([(short, layout)], [TABLE]), short, mm(3))
    size = Size(mm(500), mm(1220))
    assert bench.saw(layout, size, Edges(near=mm(10), far=mm(10))).tally.missing == 0


def test_columns_are_ripped_across_where_no_saw_parts_them() -> None:
    # No fence reaches across 600 to part the columns; it does after a rip through all of them.
    narrow = replace(SHEET, length=mm(1303), width=mm(1203))
    column = strips(blank("A", 650, 600), blank("B", 650, 600))
    mitre = replace(MITRE, kerf=mm(3), crosscut_capacity=mm(600))
    plan = plan_of([(narrow, columns(column, column))], [TABLE, mitre])
    assert [cut.saw for cut in plan.pieces[0].cuts()] == ["table saw", "mitre saw", "mitre saw"]
    assert plan.warnings == ()
    assert check_plan(plan) == ()


@pytest.mark.parametrize(
    ("saws", "name"),
    [
        ([], "any"),
        ([HAND, TRACK], "track saw"),
        ([HAND], "hand saw"),
        ([MITRE], "any"),
        ([HAND, MITRE], "hand saw"),
    ],
)
def test_a_last_resort_saw_cuts_only_where_no_other_can(saws: list[object], name: str) -> None:
    plan = plan_of([(SHEET, blank("Half", 1000, 1220))], saws)  # type: ignore[arg-type]
    assert [cut.saw for cut in plan.pieces[0].cuts()] == [name]
    assert check_plan(plan) == ()


def test_a_common_strip_comes_off_in_one_piece() -> None:
    # Two panels 800 wide: the 417 beyond them stays one long offcut, larger than any other.
    plan = plan_of([(SHEET, columns(blank("A", 1200, 800), blank("B", 1200, 800)))])
    offcuts = [
        placed.node for placed in walk(plan.pieces[0].layout) if isinstance(placed.node, Offcut)
    ]
    assert [(cut.length, cut.width, cut.label) for cut in offcuts] == [
        (mm(2440), mm(417), "Keep S1-a")
    ]


def test_favour_decides_between_a_larger_offcut_and_fewer_cuts() -> None:
    layout = columns(blank("A", 1000, 1220), blank("B", 800, 700), blank("C", 600, 700))
    goals = {}
    for favour in Favour:
        plan = plan_of([(SHEET, layout)], favour=favour)
        goals[favour] = (
            max(
                placed.node.length * placed.node.width
                for placed in walk(plan.pieces[0].layout)
                if isinstance(placed.node, Offcut)
            ),
            plan.totals.shop_cuts,
        )
    assert goals[Favour.OFFCUTS][0] >= goals[Favour.WORK][0]
    assert goals[Favour.OFFCUTS][1] >= goals[Favour.WORK][1]


def test_copies_are_numbered_and_named_as_they_are_cut() -> None:
    leg, rail = blank("Leg", 700, 90), blank("Rail", 400, 90)
    plan = plan_of([(BOARD, columns(leg, leg, rail)), (BOARD, columns(leg, leg))])
    labels = [
        placed.node.label
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, PartPiece)
    ]
    assert labels == ["Leg 1 of 4", "Leg 2 of 4", "Rail", "Leg 3 of 4", "Leg 4 of 4"]
    assert [piece.id for piece in plan.pieces] == ["L1", "L2"]


def test_sheets_come_before_boards_whatever_the_bill_says() -> None:
    plan = plan_of([(BOARD, blank("Leg", 700, 90)), (SHEET, blank("Top", 700, 500))])
    assert [piece.id for piece in plan.pieces] == ["S1", "L1"]


def test_boards_go_to_the_mitre_saw() -> None:
    plan = plan_of([(BOARD, blank("Leg", 500, 90))], [TABLE, MITRE])
    assert [cut.saw for cut in plan.pieces[0].cuts()] == ["mitre saw"]


def test_all_rips_of_a_sheet_come_before_its_strips_are_crosscut() -> None:
    # The wide strip is larger than what is left to rip behind it, and still waits.
    shelf, cleat = blank("Shelf", 1000, 700), blank("Cleat", 1000, 100)
    layout = strips(columns(shelf, shelf), *[columns(cleat, cleat)] * 2)
    plan = plan_of([(SHEET, layout)])
    ways = [cut.direction for cut in plan.pieces[0].cuts()]
    assert ways == [Direction.RIP] * 3 + [Direction.CROSSCUT] * 6


def test_under_half_an_inch_no_fence_is_set() -> None:
    # 1/2 in = 12.7 mm; the 700 on the other side are beyond the fence.
    slim = columns(blank("Slip", 12.6, 1220), blank("Panel", 700, 1220))
    plan = plan_of([(replace(SHEET, length=mm(715.6)), slim)], [TABLE, TRACK])
    assert plan.pieces[0].cuts()[0].saw == "track saw"
    wider = columns(blank("Slip", 12.7, 1220), blank("Panel", 700, 1220))
    plan = plan_of([(replace(SHEET, length=mm(715.7)), wider)], [TABLE, TRACK])
    assert plan.pieces[0].cuts()[0].saw == "table saw"


def test_no_sliver_is_cut_where_a_thinner_blade_leaves_one() -> None:
    # Room was kept for 3 mm between the blanks of a row; the mitre saw takes 2. The rows
    # are measured for that, so that nothing but the common rests is cut off.
    row = columns(blank("A", 500, 200), blank("B", 400, 200))
    plan = plan_of(
        [(SHEET, columns(strips(row, row, row, row), blank("C", 550, 1220)))], [TABLE, MITRE]
    )
    cuts = plan.pieces[0].cuts()
    assert [cut.step for cut in cuts if cut.second is None] == []
    # Two between the three and what is left, four rips of rows, a crosscut in each.
    assert len(cuts) == 2 + 4 + 4
    assert check_plan(plan) == ()


def replayed(job: Job, plan: Plan) -> None:
    """Every rule of a cut tree, worked out apart from the code that made it."""
    kerf_of = {saw.name: saw.kerf for saw in job.shop.saws} | {"any": job.shop.kerf}
    if job.store is not None:
        kerf_of["store saw"] = job.store.kerf
    made: list[tuple[str, int]] = []
    for piece in plan.pieces:
        stock = piece.stock
        assert (piece.layout.length, piece.layout.width) == (stock.length, stock.width)
        area = 0
        steps = []
        for placed in walk(piece.layout):
            node = placed.node
            if not isinstance(node, Cut):
                area += node.length * node.width
                assert min(node.length, node.width) > 0
                if isinstance(node, PartPiece):
                    made.append((node.part, node.copy))
                else:
                    keep = job.shop.keeps(node.length, node.width, stock)
                    assert isinstance(node, Offcut if keep else Waste)
                continue
            along = node.direction is Direction.CROSSCUT
            across, line = (node.length, node.width) if along else (node.width, node.length)
            area += node.kerf * line
            steps.append(node.step)
            sizes = [0 if side is None else (side.length if along else side.width)
                     for side in (node.first, node.second)]  # fmt: skip
            lines = [line if side is None else (side.width if along else side.length)
                     for side in (node.first, node.second)]  # fmt: skip
            assert sizes[0] == node.at
            assert sizes[0] + node.kerf + sizes[1] == across
            assert lines == [line, line]
            if 0 in sizes:
                assert 0 < node.kerf <= kerf_of[node.saw]
            else:
                assert node.kerf == kerf_of[node.saw]
            for side in (node.first, node.second):
                if isinstance(side, Cut):
                    assert side.step > node.step
                    assert not (node.by is Maker.SHOP and side.by is Maker.STORE)
        assert area == stock.length * stock.width
        assert sorted(steps) == list(range(1, len(steps) + 1))
    assert sorted(made) == sorted(
        (part.id, copy) for part in job.parts for copy in range(1, part.qty + 1)
    )


@settings(max_examples=80)
@given(drawn_jobs(store=False))
def test_any_layout_that_fits_can_be_sawn_with_any_saws(drawn: Drawn) -> None:
    job = drawn.job
    plan = summarise(job, Settings(favour=job.favour), saw_job(job, drawn.solve()))
    replayed(job, plan)
    assert check_plan(plan) == ()


@settings(max_examples=50)
@given(drawn_jobs(store=True))
def test_any_layout_can_be_parted_at_any_store(drawn: Drawn) -> None:
    job = drawn.job
    plan = summarise(job, Settings(favour=job.favour), saw_job(job, drawn.solve()))
    replayed(job, plan)
    assert check_plan(plan) == ()


def test_no_cut_is_left_to_a_worse_saw_by_its_kerf_alone() -> None:
    # Behind the 700 lie the 500 and a leftover, 602 with the table saw's kerf and 599 with
    # the hand saw's: as the hand saw leaves it, the table saw's fence of 600 would reach it.
    hand = replace(HAND, kerf=mm(6))
    sheet = replace(SHEET, length=mm(1608), width=mm(600), owned=True, price_cents=0)
    row = columns(blank("A", 300, 600), blank("B", 700, 600), blank("C", 500, 600))
    plan = plan_of([(sheet, row)], [TABLE, hand], kerf=3)
    assert check_plan(plan) == ()
