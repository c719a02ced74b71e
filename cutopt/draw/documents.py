"""A plan's documents: which pages belong to which file, numbered through."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.draw.board_pages import board_pages
from cutopt.draw.buy_pages import buy_pages
from cutopt.draw.frame import Look, in_units, number_pages
from cutopt.draw.label_pages import LabelSheet, label_pages
from cutopt.draw.saw_pages import saw_pages
from cutopt.draw.scene import Page
from cutopt.draw.shop_pages import shop_sheet_pages
from cutopt.draw.store_pages import store_pages
from cutopt.draw.tick_pages import tick_pages
from cutopt.draw.typeset import signs_without_face
from cutopt.model.plan import Plan


@dataclass(frozen=True, slots=True)
class Document:
    """One file of pages. ``name`` is its file name without the ending."""

    name: str
    title: str
    pages: tuple[Page, ...]


def draw_documents(
    plan: Plan, look: Look, labels: LabelSheet, first_label: int
) -> tuple[Document, ...]:
    """Give the buy list, store sheets (where the store cuts), shop pages and labels.

    Pages are numbered through the first three, so a pile of them can be put in order. All of
    them speak in the units of ``look``, amounts of band and board too.
    """
    plan = in_units(plan, look)
    buy = buy_pages(plan, look)
    store = store_pages(plan, look)
    shop = [
        *shop_sheet_pages(plan, look),
        *saw_pages(plan, look),
        *board_pages(plan, look),
        *tick_pages(plan, look),
    ]
    number_pages([*buy, *store, *shop])
    stickers = label_pages(plan, look, labels, first_label)
    documents = (
        ("buy-list", "Buy list", buy),
        ("store", "Store cuts", store),
        ("shop", "Shop pages", shop),
        ("labels", "Labels", stickers),
    )
    return tuple(
        Document(name, f"{look.job}: {title}", tuple(page.finish() for page in pages))
        for name, title, pages in documents
        if pages
    )


def unprintable_names(plan: Plan) -> tuple[str, ...]:
    """Give the names that hold signs no shipped face has, in the order of the job."""
    job = plan.job
    names = [job.name, *(part.name for part in job.parts), *(part.group for part in job.parts)]
    names += [row.material.name for row in job.stock] + [extra.item for extra in job.extras]
    return tuple(dict.fromkeys(name for name in names if signs_without_face(name)))
