"""Sheets against the published records of the classic two-dimensional bin packing instances.

Source: Berkey and Wang, "Two-dimensional finite bin-packing algorithms", 1987,
doi:10.1057/jors.1987.70 (classes 1-6); Martello and Vigo, "Exact solution of the
two-dimensional finite bin packing problem", 1998, doi:10.1287/mnsc.44.3.388 (classes 7-10).
The table of records names the source of each bound and each best known value.
"""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest
from sheet_jobs import plan, sheets_of

from cutopt.model.job import Grain

FOLDER = Path(
    os.environ.get("CUTOPT_BENCHMARKS", Path(__file__).parents[3] / "shared" / "benchmarks")
)
# Class, number of parts, number of the instance; each small enough for a quick test.
CHOSEN = ((1, 20, 1), (3, 20, 1), (5, 20, 1), (8, 20, 1), (9, 40, 1), (10, 20, 1), (4, 40, 1))


def instance(number, count, which):
    lines = (FOLDER / "class" / f"Class_{number:02d}.2bp").read_text().splitlines()
    rows = [[int(word) for word in line.split()[:2] if word.isdigit()] for line in lines]
    for start, line in enumerate(lines):
        head = rows[start : start + 4]
        if "PROBLEM CLASS" in line and (head[1][0], head[2][0]) == (count, which):
            return head[3], rows[start + 4 : start + 4 + count]
    raise LookupError(which)


def record(number, count, which, variant):
    with (FOLDER / "best_known.csv").open(newline="") as table:
        for row in csv.DictReader(table):
            name = f"cl_{number:02d}_{count:03d}_{which:02d}"
            if (row["set"], row["instance"], row["variant"]) == ("class", name, variant):
                return int(row["lower_bound"]), int(row["best_known"])
    raise LookupError(which)


@pytest.mark.skipif(not FOLDER.is_dir(), reason="benchmark sets are not here: CUTOPT_BENCHMARKS")
@pytest.mark.parametrize(("variant", "grain"), [("O|G", Grain.LENGTH), ("R|G", Grain.ANY)])
@pytest.mark.parametrize("chosen", CHOSEN)
def test_small_classic_instances_reach_the_record(chosen, variant, grain):
    (length, width), parts = instance(*chosen)
    proved, best = record(*chosen, variant)
    turns = grain is Grain.LENGTH
    answer = plan(sheets_of(length, width, [(*p, 1, grain) for p in parts], grain=turns))
    assert answer.cost == 100 * best
    assert answer.lower_bound <= 100 * best
    assert answer.cost >= 100 * proved
