"""All documents of a plan: numbered through, and in one unit whatever the job was written in."""

from __future__ import annotations

import re
from dataclasses import replace

from page_plans import locker, look
from scene_checks import texts

from cutopt.draw.documents import draw_documents
from cutopt.draw.frame import Paper
from cutopt.draw.label_pages import label_sheet
from cutopt.units import Units


def pages_by_document(units: Units, paper: Paper):
    stickers = label_sheet("plain", paper)
    plan = locker()
    documents = draw_documents(plan, replace(look(plan, paper), units=units), stickers, 1)
    return {document.name: document.pages for document in documents}


def test_pages_are_numbered_through_from_the_buy_list_to_the_last_shop_page():
    found = pages_by_document(Units.INCH, Paper.LETTER)
    pages = [page for name in ("buy-list", "store", "shop") for page in found[name]]
    said = [t for page in pages for t in texts(page) if re.fullmatch(r"page \d+ of \d+", t)]
    assert said == [f"page {n} of {len(pages)}" for n in range(1, len(pages) + 1)]


def test_an_inch_job_printed_in_millimetres_speaks_of_no_feet_and_no_inches():
    found = pages_by_document(Units.MM, Paper.A4)
    words = "  ".join(t for pages in found.values() for page in pages for t in texts(page))
    assert not re.search(r"\d ft\b", words)
    assert '"' not in words
    assert re.search(r"\d m of band", words)
