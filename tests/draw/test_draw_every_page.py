"""Every kind of page on both papers in both units: whole, apart, large enough, ink only."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from page_plans import (
    ALL,
    Bench,
    crowd,
    locker,
    locker_mm,
    look,
    random_plan,
    ripped_boards,
    store,
)
from scene_checks import assert_readable, texts, words_too_small_for_the_store

from cutopt.draw.documents import draw_documents
from cutopt.draw.frame import Paper
from cutopt.draw.label_pages import LABEL_STOCK, label_pages, plain_paper
from cutopt.model.plan import Offcut, PartPiece, Plan, walk
from cutopt.units import Units

ABROAD = "\N{GREEK CAPITAL LETTER RHO}άφι, Полка, półka, hylly"


def names_of_other_scripts() -> Plan:
    """A sheet and names in Greek and Cyrillic letters, in the job's name too."""
    b = Bench()
    tree = b.store_crosscut(
        50, b.rip(20, b.part(ABROAD), b.part("Полица")), b.rip(1, b.part(ABROAD), b.keep("S1-a"))
    )
    return b.plan("Πάγκος", b.sheet("фанера", "S1", 96, 48, tree), store=store(b))


def eighty_parts() -> Plan:
    """Eighty parts of thirty kinds on one sheet."""
    return crowd(10, 8)


def many_ripped_boards() -> Plan:
    """Two dozen boards, each ripped otherwise."""
    return ripped_boards(24)


def random_one() -> Plan:
    """Sheets cut at random, partly at the store."""
    return random_plan(1)


PLANS = (*(plan for plan in ALL if plan is not crowd), names_of_other_scripts, eighty_parts,
         many_ripped_boards, random_one)  # fmt: skip


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("plan", PLANS)
def test_every_page_can_be_read(plan, paper, units):
    plan = plan()
    documents = draw_documents(plan, replace(look(plan, paper), units=units), plain_paper(paper), 1)
    assert {document.name for document in documents} >= {"buy-list", "shop", "labels"}
    for document in documents:
        assert_readable(list(document.pages))
        if document.name == "store":
            assert [w for page in document.pages for w in words_too_small_for_the_store(page)] == []


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("plan", [locker, locker_mm, names_of_other_scripts])
def test_no_part_is_named_at_the_store(plan, units):
    plan = plan()
    documents = draw_documents(plan, replace(look(plan), units=units), plain_paper(Paper.LETTER), 1)
    said = [
        text
        for document in documents
        if document.name == "store"
        for page in document.pages
        for text in texts(page)
    ]
    assert said
    for part in plan.job.parts:
        assert [text for text in said if part.name in text] == []


@pytest.mark.parametrize("sheet", LABEL_STOCK, ids=lambda sheet: sheet.name)
@pytest.mark.parametrize("units", list(Units))
def test_labels_start_at_the_first_free_place_of_a_used_sheet(sheet, units):
    plan = locker()
    given = replace(look(plan, sheet.paper), units=units)
    fresh, used = (label_pages(plan, given, sheet, first) for first in (1, sheet.count))
    assert_readable(fresh)
    assert_readable(used)
    # Only the last place of the used sheet is free: nothing is printed left of it or above.
    x, y = sheet.corner(sheet.count - 1)
    assert all(mark.x >= x and mark.y <= y for mark in used[0].marks if hasattr(mark, "text"))
    labels = sum(
        isinstance(placed.node, PartPiece | Offcut)
        for piece in plan.pieces
        for placed in walk(piece.layout)
    )
    assert len(used) == 1 + math.ceil((labels - 1) / sheet.count)
