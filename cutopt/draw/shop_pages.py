"""Shop sheets: each distinct sheet as it lies at home, its parts, and the order of cuts."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from cutopt.draw import crowded, frame
from cutopt.draw.frame import Look
from cutopt.draw.scene import Drawing
from cutopt.draw.shop_keyed import draw_keyed
from cutopt.draw.shop_legend import draw_legend
from cutopt.draw.shop_named import draw_named
from cutopt.draw.shop_paper import KIND, ShopPaper
from cutopt.draw.shop_parted import draw_parted, spreads_of
from cutopt.draw.stacked import fill, lowest_ink, move_onto
from cutopt.model.job import Kind
from cutopt.model.plan import Plan
from cutopt.steps.shop import shop_sheets

LEGEND = 16.0
"""Height of the legend over boards that share a page, points."""
BETWEEN = 14.0
"""Points between two boards that share a page."""


def shop_sheet_pages(plan: Plan, look: Look) -> list[Drawing]:
    """Give the shop sheets: a page or more for each distinct layout; boards share pages."""
    parts = {part.id: part for part in plan.job.parts}
    pages: list[Drawing] = []
    for kind, sheets in groupby(shop_sheets(plan), key=lambda sheet: sheet.stock.kind):
        shared = kind is Kind.BOARD
        papers = [ShopPaper(sheet, plan, parts, look, shared=shared) for sheet in sheets]
        for paper in papers:
            _draw(paper)
        pages.extend(
            _on_shared_pages(papers) if shared else [page for one in papers for page in one.pages]
        )
    return pages


def _draw(paper: ShopPaper) -> None:
    """Draw a sheet in the first of three ways that is readable."""
    spreads = spreads_of(paper)
    if len(spreads) > 1:
        draw_parted(paper, spreads)
    elif paper.sheet.parts > crowded.MOST_NAMED_PARTS or not draw_named(paper, spreads[0]):
        draw_keyed(paper, spreads[0])


def _on_shared_pages(papers: Sequence[ShopPaper]) -> list[Drawing]:
    """Give pages with as many boards each as fit, under one legend: a ripped board is low."""
    blocks = [(paper, drawing) for paper in papers for drawing in paper.pages]
    first, look = papers[0], papers[0].look
    field = frame.field_of(blocks[0][1])
    room = field.top - LEGEND - field.bottom
    heights = [field.top - lowest_ink(drawing) for _, drawing in blocks]
    pages = []
    for numbers in fill(heights, room, BETWEEN):
        name = blocks[numbers.start][1].name
        page = frame.start_page(look, KIND, name, landscape=True)
        sheets = list({blocks[n][0].sheet.ids: blocks[n][0].sheet for n in numbers}.values())
        y = draw_legend(page, sheets, first.parts, field.top, rough=first.rough)
        for number in numbers:
            if number > numbers.start:
                frame.rule(page, y - BETWEEN / 2, 0.8)
                y -= BETWEEN
            move_onto(page, blocks[number][1], y - field.top)
            y -= heights[number]
        pages.append(page)
    return pages
