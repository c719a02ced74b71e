from __future__ import annotations

from dataclasses import replace
from math import hypot

from cut_trees import KERF, bill, crosscut, inch, job, part, piece, plan, rip

from cutopt.model.job import Saw, SawKind, Shop
from cutopt.steps.setups import visits
from cutopt.steps.true_edges import ALIKE, CLEAN, before_sawing, diagonal, face_words
from cutopt.units import inches, millimetres

TABLE = Saw("table saw", SawKind.TABLE, KERF, rip_capacity=inch(50))
TRACK = Saw("track saw", SawKind.TRACK, KERF)
SHOP = Shop(kerf=KERF, saws=(TABLE, TRACK))


def planned(*trees, last=()):
    parts = [bill("Side", 4, 96, 15), bill("Filler", 2, 96, 10)]
    parts = [replace(one, last=one.id in last) for one in parts]
    pieces = tuple(piece(f"S{number}", tree) for number, tree in enumerate(trees, 1))
    return plan(job(parts, shop=SHOP), pieces)


def test_diagonals_are_those_of_a_right_angle_as_a_tape_reads_them():
    for length, width in ((96, 48), (60, 60), (48, 24)):
        read = diagonal(inches(length), inches(width), inches(0, 1, 16))
        assert abs(read - hypot(length, width) * inches(1)) <= inches(0, 1, 32)
    # 2440 x 1220 mm: 2727.999... mm.
    assert diagonal(millimetres(2440), millimetres(1220), millimetres(1)) == millimetres(2728)


def test_a_four_by_eight_may_have_diagonals_an_eighth_apart():
    """PS 1: diagonals of a 4 x 8 ft panel within 1/8 in."""
    (read, *_) = before_sawing(planned(rip(15, part("Side"))), [1], trims=False)
    lengths = [word for word in read if isinstance(word, int)]
    assert lengths == [inches(96), inches(48), inch(107.3125), inches(0, 1, 8)]


def test_stacking_is_spoken_of_where_sheets_are_cut_alike_only():
    a_plan = planned(rip(15, part("Side")))
    assert (ALIKE,) not in before_sawing(a_plan, [1, 1], trims=False)
    assert (ALIKE,) in before_sawing(a_plan, [1, 2], trims=False)


def test_the_clean_edge_becomes_the_reference_where_an_edge_is_made_clean():
    a_plan = planned(rip(15, part("Side")))
    assert (CLEAN,) in before_sawing(a_plan, [1], trims=True)
    assert (CLEAN,) not in before_sawing(a_plan, [1], trims=False)


def test_nothing_is_read_where_no_sheet_is_sawn_at_home():
    assert before_sawing(planned(part("Side")), [], trims=True) == ()


def test_every_saw_says_how_the_good_face_lies():
    assert all(face_words(kind) for kind in SawKind)
    assert face_words(None) == ""
    (visit,) = visits(planned(rip(15, part("Side"))))
    assert visit.face == "good face up"


def test_parts_cut_after_fitting_come_last_and_nothing_waits_for_them():
    fillers = crosscut(90, part("Filler", 1), part("Filler", 2), saw="track saw")
    trees = (rip(15, part("Side"), rip(10, fillers)), rip(15, part("Side", 2), part("Side", 3)))
    walked = visits(planned(*trees, last=("Filler",)))
    assert [(visit.title, visit.last) for visit in walked] == [
        ("Table saw", False),
        ("Table saw, after fitting", True),
        ("Track saw, after fitting", True),
    ]
    assert [setup.number for visit in walked for setup in visit.setups] == [1, 2, 3]
    early = [
        outcome.name
        for setup in walked[0].setups
        for line in setup.lines
        for outcome in line.outcomes
        if outcome.kind == "part"
    ]
    assert sorted(set(early)) == ["Side"]
    assert not any(visit.last for visit in visits(planned(*trees)))
