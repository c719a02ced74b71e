"""Shop sheets: each distinct sheet as it lies at home, its parts, and the order of cuts."""

from __future__ import annotations

from cutopt.draw import crowded
from cutopt.draw.frame import Look
from cutopt.draw.scene import Drawing
from cutopt.draw.shop_keyed import draw_keyed
from cutopt.draw.shop_named import draw_named
from cutopt.draw.shop_paper import ShopPaper
from cutopt.draw.shop_parted import draw_parted, spreads_of
from cutopt.model.plan import Plan
from cutopt.steps.shop import shop_sheets


def shop_sheet_pages(plan: Plan, look: Look) -> list[Drawing]:
    """Give the shop sheets: a page or more for each distinct layout."""
    parts = {part.id: part for part in plan.job.parts}
    pages: list[Drawing] = []
    for sheet in shop_sheets(plan):
        paper = ShopPaper(sheet, plan, parts, look)
        _draw(paper)
        pages.extend(paper.pages)
    return pages


def _draw(paper: ShopPaper) -> None:
    """Draw a sheet in the first of three ways that is readable."""
    spreads = spreads_of(paper)
    if len(spreads) > 1:
        draw_parted(paper, spreads)
    elif paper.sheet.parts > crowded.MOST_NAMED_PARTS or not draw_named(paper, spreads[0]):
        draw_keyed(paper, spreads[0])
