"""Each page suffices alone: the store's cuts from store.pdf, the rest from shop.pdf."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

import pytest
from page_person import Person, text_of

from cutopt.draw.frame import Paper
from cutopt.model.job import Job
from cutopt.pipeline import Printing, run_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched
from cutopt.units import TICKS_PER_INCH, Units

SAMPLES = Path(__file__).parent.parent / "sample_jobs"
JOBS = [
    SAMPLES / "charger_cabinet",
    SAMPLES / "mudroom_locker",
    SAMPLES / "potting_bench",
    SAMPLES / "potting_shelf",
    SAMPLES / "tool_tote" / "parts.csv",
]
NEAR = {Units.INCH: Fraction(1, 64), Units.MM: Fraction(1, 10)}
TICKS = {Units.INCH: TICKS_PER_INCH, Units.MM: 320}

pytestmark = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext")


def sawn(job: Job, folder: Path, units: Units) -> Person:
    """Let a person saw by the pages of a folder."""
    kerf = Fraction(job.store.kerf if job.store else 0, TICKS[units])
    person = Person(NEAR[units], kerf)
    if (folder / "store.pdf").exists():
        person.at_the_store(text_of(folder / "store.pdf"))
    person.at_home(text_of(folder / "shop.pdf"))
    return person


def expect_all_parts(job: Job, person: Person, units: Units) -> None:
    """Hold the parts that came out against the bill of parts."""
    came = list(person.parts)
    for part in job.parts:
        size = sorted((part.blank_length, part.blank_width), reverse=True)
        wanted = [Fraction(side, TICKS[units]) for side in size]
        near = [made for made in came if made[0] == part.name and _alike(made[1:], wanted, units)]
        assert len(near) >= part.qty, (part.name, wanted, [m for m in came if m[0] == part.name])
        for made in near[: part.qty]:
            came.remove(made)
    assert came == []


def _alike(one: Sequence[Fraction], other: Sequence[Fraction], units: Units) -> bool:
    """Say whether sizes are the same but for what printing rounds away."""
    return all(abs(a - b) <= 3 * NEAR[units] for a, b in zip(one, other, strict=True))


@pytest.mark.parametrize(
    ("units", "paper"), [(Units.INCH, Paper.LETTER), (Units.MM, Paper.A4)], ids=["inch", "mm"]
)
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_a_person_with_the_pages_alone_saws_all_parts(
    path: Path, units: Units, paper: Paper, tmp_path: Path
) -> None:
    job = read_job(path, units=Units.INCH)
    printing = Printing(paper, units=units)
    run_plan(job, Search(), Unwatched(), printing, tmp_path / "out", force=False)
    person = sawn(job, tmp_path / "out", units)
    expect_all_parts(job, person, units)
    assert person.unmarked == 0
