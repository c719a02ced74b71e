from __future__ import annotations

from dataclasses import replace

from cut_trees import PINE, SHEET, bill, inch, job, plan

from cutopt.model.job import Cutout, CutoutKind, Edge, Grain
from cutopt.steps.phrase import plain
from cutopt.steps.ticks import tick_groups
from cutopt.units import Units, format_length

SHELF = bill("Shelf", 3, 40, 11.25)


def say(ticks):
    return format_length(ticks, Units.INCH, unit_mark=True)


def words(phrases):
    return [plain(phrase, say) for phrase in phrases]


def row_of(part, *others):
    groups = tick_groups(plan(job((part, *others)), ()))
    return groups[0].rows[0]


def test_parts_come_by_group_in_the_order_of_the_bill():
    parts = (
        replace(bill("Side", 2, 78, 15.25), group="Case"),
        replace(bill("Seat", 1, 60, 16), group="Bench"),
        replace(bill("Top", 1, 58, 15.25), group="Case"),
    )
    groups = tick_groups(plan(job(parts), ()))
    assert [(g.name, g.count, [r.part.name for r in g.rows]) for g in groups] == [
        ("Case", 3, ["Side", "Top"]),
        ("Bench", 1, ["Seat"]),
    ]
    assert groups[0].rows[0].boxes == 2


def test_the_line_below_says_material_cut_size_bands_and_grain():
    banded = replace(
        bill("Side", 2, 78, 15.25),
        blank_width=inch(15.21875),
        band=(Edge.FRONT,),
        grain=Grain.LENGTH,
        last=True,
        note="good face out",
    )
    assert words(row_of(banded).facts) == [
        'Birch ply 3/4"',
        'cut 78" × 15-7/32", then band',
        "band front",
        "grain along",
        "cut after fitting",
        "good face out",
    ]


def test_stock_without_grain_says_nothing_of_it():
    plain_sheet = replace(SHEET, grain=Grain.NONE)
    a_plan = plan(job((SHELF,), stock=(plain_sheet,)), ())
    assert words(tick_groups(a_plan)[0].rows[0].facts) == ['Birch ply 3/4"']


def test_boards_say_nothing_of_grain():
    assert words(row_of(bill("Slat", 1, 38, 3.5, PINE)).facts) == ["Pine 1x4"]


def test_what_is_left_for_scribing_is_said():
    scribed = replace(SHELF, extra_width=inch(0.5), blank_width=inch(11.75))
    assert words(row_of(scribed).facts)[1:3] == [
        'cut 40" × 11-3/4"',
        '1/2" over along the back edge, to fit on site',
    ]


def cutouts(*found, part=SHELF):
    return words(row_of(replace(part, cutouts=found)).cutouts)


def test_a_notch_at_a_corner_names_the_corner():
    back_left = Cutout(
        CutoutKind.NOTCH, inch(5.5), inch(0.75), inch(0), inch(10.5), "clears the skirting"
    )
    front_right = Cutout(CutoutKind.NOTCH, inch(2), inch(1), inch(38), inch(0))
    assert cutouts(back_left, front_right) == [
        'notch 5-1/2" × 3/4" at the back left corner: clears the skirting',
        'notch 2" × 1" at the front right corner',
    ]


def test_openings_are_placed_from_left_and_front():
    opening = Cutout(CutoutKind.OPENING, inch(24), inch(4), inch(8), inch(4.5), "for the grille")
    assert cutouts(opening) == [
        'opening 24" × 4", 8" from left, 4-1/2" from front: for the grille',
    ]


def test_round_holes_are_placed_by_their_middle():
    # a 2 in hole whose near edges lie 3 in and 1 in off is drilled at 4 in and 2 in
    hole = Cutout(CutoutKind.HOLE, inch(2), inch(2), inch(3), inch(1))
    assert cutouts(hole) == ['hole 2" across, middle 4" from left, 2" from front']


def test_corners_rounded_alike_share_a_line():
    def corner(left, front):
        return Cutout(CutoutKind.ROUNDED_CORNER, inch(2), inch(2), inch(left), inch(front))

    assert cutouts(corner(0, 0), corner(38, 0)) == ['rounded: both front corners, 2" radius']
    assert cutouts(corner(0, 0)) == ['rounded: front left corner, 2" radius']
    four = [corner(left, front) for left in (0, 38) for front in (0, 9.25)]
    assert cutouts(*four) == ['rounded: all corners, 2" radius']
    assert cutouts(*four[:3]) == [
        'rounded: front left, back left and front right corners, 2" radius',
    ]


def twins(part, *others):
    return words(row_of(part, *others).twins)


def test_near_twins_are_told_apart():
    short = bill("Rack", 1, 39.875, 11.25)
    assert twins(SHELF, short) == ['not the same as Rack: this one is 1/8" longer']
    assert twins(short, SHELF) == ['not the same as Shelf: this one is 1/8" shorter']


def test_parts_further_apart_than_a_quarter_inch_either_way_are_no_twins():
    assert twins(SHELF, bill("Rack", 1, 39.71875, 11.25)) == []
    assert twins(SHELF, bill("Rack", 1, 39.75, 11.25)) != []
    assert twins(SHELF, bill("Rack", 1, 40, 11.53125)) == []
    assert twins(SHELF, bill("Rack", 1, 40, 11.25)) == []


def test_one_name_for_two_parts_is_always_told_apart():
    long = replace(bill("shelf", 1, 60, 12, part_id="P2"), group="Bench")
    assert twins(SHELF, long) == [
        'not the same as the other shelf in Bench: this one is 20" shorter and 3/4" narrower',
    ]
    twin = replace(SHELF, id="P2", band=(Edge.FRONT,))
    assert twins(SHELF, twin) == ["not the same as the other Shelf, though of one size"]


def test_only_the_nearest_twins_are_named():
    crowd = [bill("Shelf", 1, 40 + n, 11.25, part_id=f"P{n}") for n in range(1, 9)]
    assert len(twins(SHELF, *crowd)) == 3
    assert twins(SHELF, *crowd)[0].endswith('1" shorter')


def test_handed_copies_say_left_and_right():
    row = row_of(replace(SHELF, qty=4, handed=True))
    assert row.hands == ("left", "right", "left", "right")


def test_where_the_job_is_silent_an_even_count_with_a_cutout_asks():
    notch = Cutout(CutoutKind.NOTCH, inch(2), inch(1), inch(0), inch(0))
    pair = replace(SHELF, qty=2, cutouts=(notch,))
    assert words([row_of(pair).pair]) == [
        "one left, one right? turn one over before the notch",
    ]
    assert words([row_of(replace(pair, qty=4)).pair]) == [
        "left and right? turn half over before the notch",
    ]
    assert row_of(replace(pair, qty=3)).pair == ()
    assert row_of(replace(pair, handed=False)).pair == ()


def test_one_banded_long_edge_asks_too_and_two_do_not():
    assert row_of(replace(SHELF, qty=2, band=(Edge.FRONT,))).pair != ()
    assert row_of(replace(SHELF, qty=2, band=(Edge.FRONT, Edge.BACK))).pair == ()
    assert row_of(replace(SHELF, qty=2, band=(Edge.LEFT,))).pair == ()


def test_a_cutout_that_is_its_own_mirror_image_asks_nothing():
    middle = Cutout(CutoutKind.HOLE, inch(2), inch(2), inch(19), inch(4))
    assert row_of(replace(SHELF, qty=2, band=(), cutouts=(middle,))).pair == ()


def test_a_part_to_be_trimmed_on_site_is_trimmed_before_its_cutouts_are_marked():
    hole = Cutout(CutoutKind.HOLE, inch(2), inch(2), inch(3), inch(1))
    over = replace(SHELF, cutouts=(hole,), extra_length=inch(0.5))
    said = " ".join(words(row_of(over).facts))
    assert "trim before the cutouts are marked" in said
