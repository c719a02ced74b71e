"""Makes the README's pictures from the sample job: the terminal, a store sheet, a shop sheet."""

from __future__ import annotations

import io
from pathlib import Path

from rich.console import Console

from cutopt.draw.frame import Paper
from cutopt.pipeline import Printing, draw_plan, make_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.overview import overview
from cutopt.terminal import print_overview
from cutopt.write.svg import svg_text

HERE = Path(__file__).parent
PICTURES = HERE / "pictures"
COLUMNS = 78

# The library's own frame asks the web for a font; this one asks for nothing.
FRAME = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">
<style>{styles} .{unique_id}-matrix {{ font-family: monospace; font-size: {char_height}px;
line-height: {line_height}px; }}</style>
<rect width="100%" height="100%" fill="#111"/>
<g transform="translate(9, 9)" class="{unique_id}-matrix">{backgrounds}{matrix}</g>
</svg>
"""


def main() -> None:
    """Write the pictures."""
    job = read_job(HERE.parent / "sample_jobs" / "mudroom_locker")
    plan = make_plan(job, Search(), Unwatched())
    PICTURES.mkdir(exist_ok=True)
    console = Console(record=True, width=COLUMNS, file=io.StringIO(), highlight=False)
    print_overview(console, overview(plan), job.units)
    terminal = console.export_svg(code_format=FRAME, unique_id="terminal")
    (PICTURES / "terminal.svg").write_text(terminal, encoding="utf-8")
    output = draw_plan(plan, Printing(Paper.LETTER))
    for document in output.documents:
        if document.name in {"store", "shop"}:
            page = document.pages[0]
            (PICTURES / f"{document.name}-sheet.svg").write_text(svg_text(page), encoding="utf-8")


if __name__ == "__main__":
    main()
