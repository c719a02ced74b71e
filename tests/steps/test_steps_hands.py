"""Handed pairs: the right one is the mirror image of the left one, in words and in pictures."""

from __future__ import annotations

from dataclasses import replace

from cut_trees import bill, crosscut, inch, job, part, piece, plan

from cutopt.model.job import Cutout, CutoutKind, Edge
from cutopt.steps.cutouts import cutout_phrases
from cutopt.steps.hands import as_made, differs_mirrored, hand_of, mirror_image
from cutopt.steps.labels import part_labels
from cutopt.steps.phrase import plain
from cutopt.steps.shop import shop_sheets
from cutopt.units import Ticks, Units, format_length

NOTCH = Cutout(CutoutKind.NOTCH, inch(4), inch(3), inch(0), inch(0))
HOLE = Cutout(CutoutKind.HOLE, inch(2), inch(2), inch(40), inch(10))
GABLE = replace(
    bill("Gable", 2, 60, 16), handed=True, cutouts=(NOTCH, HOLE), band=(Edge.FRONT, Edge.LEFT)
)


def say(ticks):
    return format_length(Ticks(ticks), Units.INCH, unit_mark=True)


def test_left_and_right_take_turns_only_where_the_job_says_handed():
    assert [hand_of(GABLE, copy) for copy in (1, 2, 3)] == ["left", "right", "left"]
    assert hand_of(replace(GABLE, handed=None), 2) == ""
    assert as_made(replace(GABLE, handed=False), 2).cutouts == GABLE.cutouts


def test_the_mirror_image_measures_from_the_other_end():
    # 60 - 4 - 0 = 56; 60 - 2 - 40 = 18: the near edges seen from the other end.
    mirrored = mirror_image(GABLE)
    assert [cutout.from_left for cutout in mirrored.cutouts] == [inch(56), inch(18)]
    assert [cutout.from_front for cutout in mirrored.cutouts] == [inch(0), inch(10)]
    assert mirrored.band == (Edge.FRONT, Edge.RIGHT)
    assert mirror_image(mirrored) == GABLE


def test_the_label_of_a_right_hand_says_right_in_its_cutouts_and_bands():
    tree = crosscut(30, part("Gable", 1), part("Gable", 2))
    labels = part_labels(plan(job((GABLE,)), (piece("S1", tree),)))
    first, second = ([plain(p, say) for p in cutout_phrases(one.part)] for one in labels)
    assert first[0] == 'notch 4" × 3" at the front left corner'
    assert second[0] == 'notch 4" × 3" at the front right corner'
    assert second[1] == 'hole 2" across, middle 19" from left, 11" from front'
    assert [one.band for one in labels] == ["band front, left", "band front, right"]


def test_sheets_cut_alike_with_parts_of_different_hands_are_drawn_apart():
    pieces = [piece(f"S{n}", crosscut(60, part("Gable", n), part("Shelf", n))) for n in (1, 2, 3)]
    parts = (replace(GABLE, qty=3), bill("Shelf", 3, 20, 16))
    drawn = shop_sheets(plan(job(parts), pieces))
    assert [sheet.ids for sheet in drawn] == [("S1", "S3"), ("S2",)]


def test_cutouts_in_the_middle_are_their_own_mirror_image():
    disc = Cutout(CutoutKind.DISC, inch(12), inch(12), inch(24), inch(0))
    assert differs_mirrored(GABLE)
    assert not differs_mirrored(replace(GABLE, cutouts=(disc,)))
    corners = (NOTCH, replace(NOTCH, from_left=inch(56)))
    assert not differs_mirrored(replace(GABLE, cutouts=corners))
