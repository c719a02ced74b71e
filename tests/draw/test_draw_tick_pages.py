"""Parts to tick off: each part once, a box a copy, cutouts measured, rows kept whole."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page_lists import (
    INCH_LETTER,
    LOOKS,
    MM_A4,
    PLY,
    cutout,
    many_parts,
    part,
    pegboard,
    side,
    tick_row,
    vent_panel,
)
from page_plans import locker, look
from scene_checks import all_words, assert_framed, assert_golden, squares, texts

from cutopt.draw.band_pages import band_list_pages
from cutopt.draw.part_sketch import FIGURES
from cutopt.draw.scene import Words
from cutopt.draw.tick_pages import BOX, cutout_letters, tick_group_pages, tick_pages
from cutopt.model.job import CutoutKind, Edge
from cutopt.steps.bands import BandNeed, BandRow
from cutopt.steps.ticks import TickGroup
from cutopt.units import Ticks, inches

CAUTIONS = ("These pages say how to cut.",)
LONG_NOTE = "measured on the wall twice, to be fitted after all the rest is in its place " * 3


def group(*rows, name="Case"):
    return TickGroup(name, tuple(rows))


CASE = group(
    tick_row(side()),
    tick_row(vent_panel()),
    tick_row(pegboard()),
    tick_row(part("Shelf", inches(30), inches(11), 3, band=(Edge.FRONT,)), note=LONG_NOTE,
             twins=["not the same as Divider, 1/8 shorter"]),
    tick_row(part("Slat", inches(14), inches(4), 12)),
    tick_row(part("Peg", inches(4), inches(1), 60)),
)  # fmt: skip


@pytest.mark.parametrize("look_of", LOOKS)
def test_parts_can_be_read(look_of):
    assert_framed(tick_group_pages([CASE], CAUTIONS, look_of))


@pytest.mark.parametrize("look_of", LOOKS)
def test_eighty_kinds_of_parts(look_of):
    parts = list(many_parts(80))
    groups = [
        group(*(tick_row(p) for p in parts if p.group == name), name=name)
        for name in dict.fromkeys(p.group for p in parts)
    ]
    pages = tick_group_pages(groups, CAUTIONS, look_of)
    assert_framed(pages)
    words = all_words(pages)
    assert all(word in words for p in parts for word in p.name.split() if len(word) < 20)
    assert sum(squares(page, BOX) for page in pages) == sum(p.qty for p in parts)


def test_one_part_makes_one_page():
    (page,) = tick_group_pages([group(tick_row(part("Shelf", inches(9), inches(4))), name="")], (),
                               INCH_LETTER)  # fmt: skip
    assert "1 part" in texts(page)
    assert squares(page, BOX) == 1


@pytest.mark.parametrize("first", range(10, 20))
def test_a_row_is_never_split_and_a_head_keeps_two_rows(first):
    rows = [tick_row(part(f"Part {n}", inches(20), inches(8))) for n in range(1, 41)]
    pages = tick_group_pages(
        [group(*rows[:first]), group(*rows[first:], name="Bench")], (), INCH_LETTER
    )
    for page in pages:
        found = texts(page)
        names = [t for t in found if t.startswith("Part ") and t[5:].isdigit()]
        assert squares(page, BOX) == len(names)
        heads = [n for n, t in enumerate(found) if t in {"Case", "Bench"}]
        assert all(sum(t.startswith("Part ") for t in found[at:]) >= 2 for at in heads)


@pytest.mark.parametrize("look_of", LOOKS)
def test_a_part_with_more_cutouts_than_a_page_has_lines_goes_on_overleaf(look_of):
    holes = tuple(cutout(CutoutKind.HOLE, 1, 1, 2 + 2 * n % 90, 3 + n // 45) for n in range(130))
    board = part("Pegboard", inches(96), inches(20), cutouts=holes)
    pages = tick_group_pages([group(tick_row(board))], CAUTIONS, look_of)
    assert_framed(pages)
    assert "Pegboard, continued" in texts(pages[1])
    assert all_words(pages).replace("\n", " ").count("from front") == 130


def test_copies_beyond_a_hundred_get_a_box_for_every_ten():
    pages = tick_group_pages([group(tick_row(part("Plug", inches(2), inches(2), 1200)))], (),
                             INCH_LETTER)  # fmt: skip
    assert squares(pages[0], BOX) == 120
    assert "a box for every 10 of 1200" in texts(pages[0])


def test_left_and_right_copies_are_told_apart():
    (page,) = tick_group_pages([group(tick_row(side()))], (), INCH_LETTER)
    assert [t for t in texts(page) if t in {"L", "R"}] == ["L", "R"]


def test_a_single_cutout_is_measured_from_left_and_front():
    (page,) = tick_group_pages([group(tick_row(vent_panel()))], (), INCH_LETTER)
    assert {"24 × 4", "17-1/4", "4-1/2"} <= set(texts(page))


def test_a_hole_is_measured_to_its_middle():
    board = part("Panel", inches(20), inches(12), cutouts=(pegboard().cutouts[0],))
    (page,) = tick_group_pages([group(tick_row(board))], (), INCH_LETTER)
    # 2 in across, 3 in from both edges to its rim: the middle lies at 4 in.
    assert {"dia 2"} <= set(texts(page))
    assert sum(m.size == FIGURES and m.text == "4" for m in page.marks if isinstance(m, Words)) == 2


def test_several_cutouts_carry_the_letters_of_their_lines():
    row = tick_row(pegboard())
    assert cutout_letters(row) == (*"abcdefg", "")
    (page,) = tick_group_pages([group(row)], (), INCH_LETTER)
    assert set("abcdefg") <= set(texts(page))
    assert "R 2" in texts(page)


def test_finished_size_and_cut_size_both_stand_in_the_row():
    words = all_words(tick_group_pages([CASE], (), MM_A4))
    # 15-1/4 in = 387.35 mm, printed to a tenth; the band of 256 ticks is 0.8 mm.
    assert "1981.2 × 387.4 mm" in words or "1981.2 × 387.3 mm" in words
    assert "then band" in words


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.text(st.characters(codec="utf-8", categories=("Lu", "Ll", "Nd")), min_size=1,
                    max_size=40),
            st.integers(1, 40), st.integers(1, 3000), st.integers(1, 1500),
        ),
        min_size=1, max_size=6,
    )
)  # fmt: skip
def test_any_names_and_sizes_can_be_read(rows):
    laid = [tick_row(part(name, Ticks(l * 320), Ticks(w * 320), q)) for name, q, l, w in rows]
    for look_of in LOOKS[:2]:
        assert_framed(tick_group_pages([group(*laid)], (), look_of))


def band_need(parts):
    rows = []
    for one in parts:
        edges = tuple(
            (edge, one.length if edge in (Edge.FRONT, Edge.BACK) else one.width)
            for edge in one.band
        )
        if edges:
            rows.append(BandRow(one, edges, Ticks(one.qty * sum(e[1] for e in edges))))
    count = sum(len(row.edges) * row.part.qty for row in rows)
    net = Ticks(sum(row.total for row in rows))
    allowance = Ticks(net + count * inches(2))
    return BandNeed(PLY, inches(0, 1, 32), tuple(rows), count, net, allowance)


@pytest.mark.parametrize("look_of", LOOKS)
def test_the_band_list_can_be_read(look_of):
    need = band_need([side(), *many_parts(80)])
    pages = band_list_pages([need], look_of)
    assert_framed(pages)
    assert f"{need.edges} edges" in texts(pages[0])


def test_nothing_banded_no_band_list():
    assert band_list_pages([], INCH_LETTER) == []


def test_all_parts_of_a_plan_are_on_its_pages():
    plan = locker()
    pages = tick_pages(plan, look(plan))
    assert_framed(pages)
    assert sum(squares(page, BOX) for page in pages) == sum(p.qty for p in plan.job.parts)
    assert any("Edges to band" in texts(page) for page in pages)


def test_golden_parts():
    assert_golden(tick_group_pages([CASE], CAUTIONS, INCH_LETTER)[0], "parts_inch")


def test_the_band_list_shares_the_page_of_the_parts_where_all_of_it_fits():
    needs = [band_need([part("Shelf", inches(30), inches(11), 3, band=(Edge.FRONT,))])]
    few = group(tick_row(part("Slat", inches(14), inches(4), 12)))
    pages = tick_group_pages([few], CAUTIONS, INCH_LETTER, needs)
    assert_framed(pages)
    assert len(pages) == 1
    assert "Edges to band" in texts(pages[0])
    full = group(*(tick_row(part(f"Slat {n}", inches(14), inches(4))) for n in range(15)))
    assert len(tick_group_pages([full], CAUTIONS, INCH_LETTER, needs)) == 2
