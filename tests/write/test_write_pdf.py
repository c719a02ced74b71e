"""PDF: the same bytes from run to run, every page and word in it, no date or path."""

from __future__ import annotations

import io
import re
import subprocess
import sys

import pytest
from pypdf import PdfReader

from cutopt.draw.scene import Align, Drawing, Hatch, Style, Words
from cutopt.write.pdf import hatch_lines, pdf_bytes

SCRIPT = """
import hashlib
from cutopt.draw.scene import Drawing, Style, Words
from cutopt.write.pdf import pdf_bytes
page = Drawing(612, 792, "one")
page.add(Words(50, 700, "Side, größer", 12), Words(50, 600, "Półka", 12, Style.BOLD))
page.rectangle(50, 400, 100, 50, 1.1, fill=0.85)
print(hashlib.sha256(pdf_bytes([page.finish()], "Job: pages")).hexdigest())
"""


def page(name: str = "one") -> Drawing:
    drawing = Drawing(612, 792, name)
    drawing.add(
        Words(50, 700, "Side panel", 12),
        Words(300, 650, 'Rip 30-3/4"', 14, Style.BOLD, align=Align.MIDDLE, stretch=0.9),
        Words(500, 500, "Półka", 12),
        Words(100, 100, "on end", 8, angle=90),
        Hatch(50, 300, 100, 60),
    )
    drawing.rectangle(50, 400, 100, 50, 1.1, dash=(4.5, 2.2))
    return drawing


def test_two_runs_give_the_same_bytes():
    pages = [page().finish(), page("two").finish()]
    assert pdf_bytes(pages, "Job") == pdf_bytes(pages, "Job")


def test_two_processes_give_the_same_bytes():
    outputs = [
        subprocess.run([sys.executable, "-c", SCRIPT], capture_output=True, check=True).stdout
        for _ in range(2)
    ]
    assert outputs[0] == outputs[1] != b""


def test_pages_words_and_sizes_are_in_the_file():
    reader = PdfReader(io.BytesIO(pdf_bytes([page().finish(), page("two").finish()], "Job: cuts")))
    assert len(reader.pages) == 2
    assert [float(side) for side in reader.pages[0].mediabox[2:]] == [612, 792]
    text = reader.pages[0].extract_text()
    for words in ("Side panel", 'Rip 30-3/4"', "Półka"):
        assert words in text
    assert reader.metadata is not None
    assert reader.metadata.title == "Job: cuts"


def test_no_day_of_making_and_no_user_is_in_the_file():
    data = pdf_bytes([page().finish()], "Job")
    dates = set(re.findall(rb"D:(\d{4})", data))
    assert dates <= {b"2000"}
    assert b"/home" not in data
    assert b"/root" not in data


def test_only_ink_in_greys_is_used():
    reader = PdfReader(io.BytesIO(pdf_bytes([page().finish()], "Job")))
    content = reader.pages[0].get_contents()
    assert content is not None
    operators = set(re.findall(rb"\b(rg|RG|k|K|g|G)\b", content.get_data()))
    assert operators <= {b"g", b"G"}


def test_hatches_of_neighbours_join():
    left, right = Hatch(50, 300, 40, 60), Hatch(90, 300, 40, 60)
    both = Hatch(50, 300, 80, 60)

    def intercepts(*hatches: Hatch) -> set[float]:
        return {round(y0 - x0, 3) for h in hatches for x0, y0, _, _ in hatch_lines(h)}

    assert intercepts(left, right) == intercepts(both)


@pytest.mark.parametrize("hatch", [Hatch(50, 300, 40, 60), Hatch(3, 2, 200, 1), Hatch(0, 0, 2, 90)])
def test_hatch_lines_stay_within(hatch):
    for x0, y0, x1, y1 in hatch_lines(hatch):
        assert hatch.x - 1e-6 <= x0 < x1 <= hatch.x + hatch.width + 1e-6
        assert hatch.y - 1e-6 <= y0 < y1 <= hatch.y + hatch.height + 1e-6
        assert y1 - y0 == pytest.approx(x1 - x0)
