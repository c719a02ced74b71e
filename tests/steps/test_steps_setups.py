from __future__ import annotations

from dataclasses import replace

import pytest
from cut_trees import (
    ANY,
    BOARD,
    KERF,
    SHEET,
    bill,
    crosscut,
    inch,
    job,
    keep,
    part,
    piece,
    plan,
    rip,
    store_crosscut,
    store_rip,
)

from cutopt.model.job import Kind, Material, Saw, SawKind, Shop
from cutopt.steps.handling import wants_two_people
from cutopt.steps.pieces import ids_words
from cutopt.steps.setups import visits
from cutopt.steps.shop import shop_sheets
from cutopt.steps.visits import visit_order

TABLE = Saw("table saw", SawKind.TABLE, KERF, rip_capacity=inch(30))
MITRE = Saw("mitre saw", SawKind.MITRE, KERF, crosscut_capacity=inch(12))
TRACK = Saw("track saw", SawKind.TRACK, KERF)
SHOP = Shop(kerf=KERF, saws=(TABLE, MITRE, TRACK))
PARTS = (
    bill("Side", 2, 78, 15.25),
    bill("Divider", 2, 38, 15.25),
    bill("Cleat", 5, 14, 1.5),
    bill("Kick", 1, 58, 3.5),
)


def planned(*pieces, parts=PARTS, shop=SHOP):
    return plan(job(parts, shop=shop), pieces)


def told(a_plan):
    """The saw pages as plain words."""
    return [
        (
            visit.title,
            [
                (
                    setup.setting / 8128,
                    setup.kind,
                    [f"{line.source}: {line.result}" for line in setup.lines],
                )
                for setup in visit.setups
            ],
        )
        for visit in visits(a_plan)
    ]


def cleats(count):
    if count == 1:
        return crosscut(14, part("Cleat", count))
    return crosscut(14, part("Cleat", count), cleats(count - 1))


MOCK = store_crosscut(
    78.25,
    store_rip(
        30.75,
        crosscut(78, rip(15.25, part("Side", 1), rip(15.25, part("Side", 2))), saw="track saw"),
        rip(
            0,
            None,
            rip(
                15.25,
                crosscut(
                    38,
                    part("Divider", 1),
                    crosscut(38, part("Divider", 2), saw="track saw"),
                    saw="track saw",
                ),
                rip(1.5, cleats(5)),
            ),
        ),
    ),
    keep("S1-a"),
)


def test_shop_sheet_lists_each_cut_with_its_piece_and_setting():
    (sheet,) = shop_sheets(planned(piece("S1", MOCK)))
    assert sheet.store_cuts == 2
    assert (sheet.parts, sheet.kinds) == (9, 3)
    assert [(c.step, c.piece, c.action, c.setting / 8128) for c in sheet.cuts] == [
        (3, "A", "crosscut", 78),
        (4, "A", "rip", 15.25),
        (5, "A", "rip", 15.25),
        (6, "B", "trim", 17),
        (7, "B", "rip", 15.25),
        (8, "B1", "crosscut", 38),
        (9, "B1", "crosscut", 38),
        (10, "B2", "rip", 1.5),
        (11, "B2", "crosscut", 14),
        (12, "B2", "crosscut", 14),
        (13, "B2", "crosscut", 14),
        (14, "B2", "crosscut", 14),
        (15, "B2", "crosscut", 14),
    ]


def test_the_job_is_walked_saw_by_saw_with_equal_lines_merged():
    assert told(planned(piece("S1", MOCK))) == [
        (
            "Table saw",
            [
                (17, "fence", ["S1 B: S1 B, edge clean"]),
                (15.25, "fence", ["S1 B: S1 B1 + S1 B2"]),
                (1.5, "fence", ["S1 B2: S1 B2, to width"]),
            ],
        ),
        ("Mitre saw", [(14, "stop", ["S1 B2: 4 × Cleat + S1 B2", "S1 B2: Cleat"])]),
        (
            "Track saw",
            [
                (78, "mark", ["S1 A: S1 A, to length"]),
                (38, "mark", ["S1 B1: Divider + S1 B1", "S1 B1: Divider"]),
            ],
        ),
        ("Table saw", [(15.25, "fence", ["S1 A: Side + S1 A", "S1 A: Side"])]),
    ]
    walked = visits(planned(piece("S1", MOCK)))
    assert [setup.number for visit in walked for setup in visit.setups] == [1, 2, 3, 4, 5, 6, 7]
    (mitre,) = walked[1].setups
    assert [(line.cut_numbers, line.boxes) for line in mitre.lines] == [
        ("cuts 11-14", 4),
        ("cut 15", 1),
    ]
    assert [visit.how for visit in walked[:3]] == [
        "fence to blade",
        "stop block at the setting",
        "mark, guide on the side you keep",
    ]


def test_sheets_cut_alike_are_one_line_with_boxes_for_each():
    tree = rip(15.25, part("Side", 1), rip(15.25, part("Side", 2), keep("S1-a")))
    other = rip(15.25, part("Side", 3), rip(15.25, part("Side", 4), keep("S4-a")))
    a_plan = planned(piece("S1", tree), piece("S4", other), parts=(bill("Side", 4, 96, 15.25),))
    (sheet,) = shop_sheets(a_plan)
    assert sheet.ids == ("S1", "S4")
    ((setup,),) = [visit.setups for visit in visits(a_plan)]
    assert [(line.source, line.result, line.boxes) for line in setup.lines] == [
        ("S1 S4 A", "Side + S1 S4 A", 2),
        ("S1 S4 A", "Side + keep S1-a, S4-a", 2),
    ]


def test_a_large_setting_waits_where_more_cuts_with_it_become_ready():
    # the divider strip must come off first before its 12 in rip; the other sheet's waits for it
    first = piece("S1", rip(20, rip(12, part("Side", 1)), keep("S1-a")))
    second = piece("S2", rip(12, part("Side", 2), keep("S2-a")))
    parts = (bill("Side", 2, 96, 12),)
    assert told(planned(second, first, parts=parts)) == [
        (
            "Table saw",
            [
                (20, "fence", ["S1 A: S1 A + keep S1-a"]),
                (12, "fence", ["S2 A: Side + keep S2-a", "S1 A: Side"]),
            ],
        )
    ]


def test_no_cut_comes_before_the_cut_that_frees_its_piece():
    a_plan = planned(piece("S1", MOCK))
    frees = {
        3: None,
        4: 3,
        5: 4,
        6: None,
        7: 6,
        8: 7,
        9: 8,
        10: 7,
        **{n: n - 1 for n in range(11, 16)},
    }
    made: set[int] = set()
    for visit in visits(a_plan):
        for setup in visit.setups:
            for step in sorted(step for line in setup.lines for step in line.steps):
                assert frees[step] is None or frees[step] in made
                made.add(step)
    assert made == set(frees)


def test_with_no_saws_named_every_cut_is_at_any_saw():
    tree = rip(15.25, part("Side"), saw=ANY)
    (visit,) = visits(planned(piece("S1", tree), shop=Shop(kerf=KERF)))
    assert (visit.title, visit.setups[0].kind, visit.kerf) == ("Any saw", "mark", KERF)


def test_boards_cut_to_length_only_are_not_in_the_set_ups_and_ripped_ones_are():
    slat = bill("Slat", 1, 38, 1.5)
    cut_only = piece("L1", crosscut(38, part("Slat")), BOARD)
    ripped = piece("L2", crosscut(38, rip(1.5, part("Slat")), keep("L2-a")), BOARD)
    a_plan = planned(cut_only, ripped, parts=(slat,))
    assert [line for _, setups in told(a_plan) for *_, lines in setups for line in lines] == [
        "L2: L2 + keep L2-a",
        "L2: Slat",
    ]
    assert [sheet.ids for sheet in shop_sheets(a_plan)] == [("L2",)]


def setup_of(tree, **more):
    ((setup,),) = [visit.setups for visit in visits(planned(piece("S1", tree), **more))]
    return setup


def test_a_setting_is_measured_on_the_side_that_holds_a_part():
    # 18 in of waste lie at the reference edge: the fence goes to the far side
    setup = setup_of(rip(17.875, None, part("Side")))
    assert setup.setting == inch(30)
    assert setup.lines[0].measure_first is None


def test_where_only_waste_can_lie_against_the_fence_the_stock_is_measured_first():
    # the part is wider than blade and fence can be apart
    setup = setup_of(rip(40, part("Side"), keep("S1-a")))
    assert setup.setting == inch(7.875)
    assert setup.lines[0].measure_first == inch(40)


def test_a_part_too_long_for_the_fence_is_only_as_true_as_its_stock():
    # the 46 in part lies beyond the fence: what is left of it, two more parts, is measured
    rest = rip(20, part("Side"), part("Side"))
    tree = crosscut(46, part("Kick"), crosscut(10, rest), saw="table saw")
    strip = replace(SHEET, length=inch(66.125))
    first = next(iter(visits(planned(piece("S1", tree, strip))))).setups[0]
    assert (first.setting, first.lines[0].measure_first) == (inch(20), inch(46))


def test_a_narrow_rip_wants_a_push_stick_under_four_inches():
    # check value: push stick under 4 in, a cabinetmaking textbook of 2016, page 405
    assert "push stick" in setup_of(rip(3.875, part("Kick"), keep("S1-a"))).capsules
    assert "push stick" not in setup_of(rip(4, part("Kick"), keep("S1-a"))).capsules


def test_a_strip_under_half_an_inch_stays_off_the_fence():
    # check value: 1/2 in, same textbook
    flagged = "thin strip: keep it off the fence side"
    strip = replace(SHEET, width=inch(18))
    for width, flags in ((17.5, (flagged,)), (17.25, ()), (17.875, ())):
        # 3/8 in falls off, then 5/8 in, then nothing but sawdust
        (visit,) = visits(planned(piece("S1", rip(width, part("Kick")), strip)))
        assert visit.setups[0].capsules == flags


@pytest.mark.parametrize(("length", "clamped"), [(7, True), (20, False)])
def test_a_short_piece_is_clamped_at_the_mitre_saw(length, clamped):
    # common practice, no published source: nothing under 8 in is held by hand
    stub = replace(SHEET, length=inch(length), width=inch(3))
    tree = crosscut(5, part("Kick"))
    (visit,) = visits(planned(piece("S1", tree, stub)))
    assert ("short piece: clamp" in visit.setups[0].capsules) is clamped


def test_a_piece_longer_across_the_fence_than_along_it_goes_on_the_sled():
    # 20 in setting, but only 15 in of edge would lie on the fence
    strip = replace(SHEET, length=inch(48), width=inch(15))
    tree = crosscut(20, part("Kick"), keep("S1-a"), saw="table saw")
    (visit,) = visits(planned(piece("S1", tree, strip)))
    assert visit.setups[0].kind == "sled stop"
    assert "crosscut sled" in visit.setups[0].capsules


def test_two_people_for_a_heavy_or_large_piece():
    # 3/4 in MDF 4 x 8 weighs 97 lb = 44 kg (published sheet weight); the 25 kg line is
    # common practice, no published source
    mdf = replace(SHEET, material=Material("MDF", Kind.SHEET, inch(0.75)))
    assert wants_two_people(mdf, inch(48), inch(48)) is False
    assert wants_two_people(mdf, inch(59), inch(48)) is True
    assert wants_two_people(SHEET, inch(61), inch(25)) is True
    assert wants_two_people(SHEET, inch(60), inch(24)) is False


def test_the_shortest_walk_serves_every_route():
    # shortest common supersequence of abcbdab and bdcaba has length 9 (7 + 6 - longest
    # common subsequence 4): Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms,
    # section on the longest common subsequence
    order = visit_order([tuple("abcbdab"), tuple("bdcaba")], tuple("abcd"))
    assert len(order) == 9
    for word in ("abcbdab", "bdcaba"):
        rest = iter(order)
        assert all(saw in rest for saw in word)


def test_a_walk_looks_ahead():
    # table first would mean coming back to it after the track saw
    assert visit_order(
        [("table",), ("track", "table"), ("table", "mitre")], ("table", "mitre", "track")
    ) == (
        "track",
        "table",
        "mitre",
    )
    assert visit_order([], ("table",)) == ()


def test_a_strip_across_the_sheet_is_crosscut_at_the_mitre_saw_and_on_the_sled():
    # The strip lies across the sheet, so the tree calls its cut a rip; no mitre saw rips.
    for saw, kind in (("mitre saw", "stop"), ("table saw", "sled stop")):
        tree = crosscut(6, rip(14, part("Cleat"), rip(14, part("Cleat", 2), saw=saw), saw=saw))
        setups = [s for visit in visits(planned(piece("S1", tree))) for s in visit.setups]
        to_length = [s for s in setups if s.setting == inch(14)]
        assert {s.kind for s in to_length} == {kind}
        assert {line.action for s in to_length for line in s.lines} == {"crosscut"}


def test_ids_of_sheets_cut_alike_are_said_as_runs():
    assert ids_words(("S1", "S2", "S3", "S4")) == "S1-S4"
    assert ids_words(("S1", "S2", "S4", "S5", "S6", "L1")) == "S1 S2 S4-S6 L1"
