"""Sheets that hold the same parts are cut alike, drawn once, and share every setting.

Invented lockers: four of them, each from one sheet.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from cutopt.errors import CannotPlanError
from cutopt.model.job import Favour, Grain, Job, Kind, Material, Part, Shop, Stock
from cutopt.model.layout import Blank, Direction, Split, blanks_of, least_size
from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.pipeline import make_plan
from cutopt.solve.alike import alike
from cutopt.solve.params import Answer, Item, Pattern, Problem, Search, StockType, Unwatched
from cutopt.solve.sheets import plan_sheets
from cutopt.steps.labels import part_labels
from cutopt.steps.setups import visits
from cutopt.steps.shop import shop_sheets
from cutopt.units import Ticks, Units, millimetres

KERF = millimetres(3)
PLY = Material("ply", Kind.SHEET, millimetres(18))
# Of each locker: (name, how many, length, width, group). Shelves and drawer bottoms are of one
# size, as are doors and seats.
LOCKER = (
    ("Side", 2, 1500, 400, "Case"),
    ("Shelf", 2, 800, 380, "Case"),
    ("Door", 1, 900, 410, "Case"),
    ("Drawer bottom", 1, 800, 380, "Drawers"),
    ("Seat", 1, 900, 410, "Bench"),
)


def lockers(count: int, favour: Favour = Favour.OFFCUTS) -> Job:
    parts = tuple(
        Part(
            f"P{number}", name, each * count, millimetres(length), millimetres(width),
            PLY.thickness, millimetres(length), millimetres(width), PLY, Grain.LENGTH, group=group,
        )
        for number, (name, each, length, width, group) in enumerate(LOCKER, start=1)
    )  # fmt: skip
    sheet = Stock("sheet", PLY, millimetres(2440), millimetres(1220), 6000, grain=Grain.LENGTH)
    return Job("Lockers", Units.MM, parts, (sheet,), Shop(kerf=KERF), favour=favour)


def planned(job: Job) -> Plan:
    return make_plan(job, Search(effort=1), Unwatched())


def parts_by_sheet(plan: Plan) -> list[list[str]]:
    names = {part.id: part.name for part in plan.job.parts}
    return [
        [names[p.node.part] for p in walk(piece.layout) if isinstance(p.node, PartPiece)]
        for piece in plan.pieces
    ]


def set_ups(plan: Plan) -> int:
    return sum(len(visit.setups) for visit in visits(plan))


@pytest.mark.parametrize("favour", list(Favour))
def test_four_equal_sheets_are_drawn_once_and_take_no_more_set_ups_than_one(
    favour: Favour,
) -> None:
    one, four = planned(lockers(1, favour)), planned(lockers(4, favour))
    assert (len(one.pieces), len(four.pieces)) == (1, 4)
    (sheet,) = shop_sheets(four)
    assert sheet.ids == ("S1", "S2", "S3", "S4")
    assert set_ups(four) == set_ups(one)
    assert len(part_labels(four)) == 4 * len(part_labels(one))


def test_parts_of_one_size_lie_in_the_same_place_of_all_sheets_cut_alike() -> None:
    first, *others = parts_by_sheet(planned(lockers(4)))
    assert others == [first] * 3
    assert Counter(first) == {name: each for name, each, *_ in LOCKER}


def problem(*items: tuple[str, int, int, int, Grain], sheets: int | None = None) -> Problem:
    made = tuple(
        Item(part, Ticks(length), Ticks(width), qty, grain)
        for part, length, width, qty, grain in items
    )
    stock = StockType("sheet", Ticks(1000), Ticks(500), 10, sheets, grain=True)
    return Problem(
        "ply", made, (stock,), Ticks(4), Ticks(4), smallest_offcut=(Ticks(50), Ticks(50))
    )


def no_more(_: Problem) -> Answer:
    raise CannotPlanError([])


def blank(part: str, length: int, width: int, *, turned: bool = False) -> Blank:
    return Blank(part, Ticks(length), Ticks(width), turned)


def test_equal_sets_of_parts_get_the_layout_that_leaves_most() -> None:
    asked = problem(("A", 400, 200, 2, Grain.LENGTH), ("B", 400, 200, 2, Grain.LENGTH))
    in_a_row = Split(Direction.CROSSCUT, (blank("A", 400, 200), blank("B", 400, 200)))
    stacked = Split(Direction.RIP, (blank("A", 400, 200), blank("B", 400, 200)))
    answer = Answer((Pattern(0, in_a_row), Pattern(0, stacked)), 20, 20)
    found = alike(asked, answer, no_more, {})
    # Stacked, 592 x 500 is left; in a row 1000 x 296. Both sheets hold the same part in the
    # same place.
    assert [pattern.layout for pattern in found.patterns] == [stacked, stacked]
    work = alike(replace(asked, favour=Favour.WORK), answer, no_more, {})
    assert len(set(work.patterns)) == 1


def test_parts_of_one_sub_assembly_stay_on_one_sheet() -> None:
    asked = problem(
        ("Case end", 400, 200, 1, Grain.LENGTH), ("Drawer end", 300, 100, 1, Grain.LENGTH),
        ("Drawer side", 400, 200, 1, Grain.LENGTH), ("Case foot", 300, 100, 1, Grain.LENGTH),
    )  # fmt: skip
    mixed = Split(Direction.RIP, (blank("Case end", 400, 200), blank("Drawer end", 300, 100)))
    other = Split(
        Direction.CROSSCUT, (blank("Drawer side", 400, 200), blank("Case foot", 300, 100))
    )
    groups = {"Case end": "Case", "Case foot": "Case", "Drawer end": "D", "Drawer side": "D"}
    answer = Answer((Pattern(0, mixed), Pattern(0, other)), 20, 20)
    found = alike(asked, answer, no_more, groups)
    sheets = [{groups[b.part] for b in blanks_of(p.layout)} for p in found.patterns]
    assert sheets == [{"Case"}, {"D"}]


def test_parts_that_change_places_lie_as_their_grain_asks() -> None:
    # The second part's grain runs across it: as it lies, it is of the first one's size.
    asked = problem(("A", 400, 200, 2, Grain.LENGTH), ("B", 200, 400, 2, Grain.WIDTH))
    rows = Split(Direction.RIP, (blank("A", 400, 200), blank("B", 400, 200, turned=True)))
    answer = Answer((Pattern(0, rows), Pattern(0, rows)), 20, 20)
    for pattern in alike(asked, answer, no_more, {}).patterns:
        for lying in blanks_of(pattern.layout):
            assert lying.turned is (lying.part == "B")


@pytest.mark.parametrize("favour", list(Favour))
@pytest.mark.parametrize("qty", [6, 8, 12])
def test_nothing_is_given_up_for_sheets_cut_alike(favour: Favour, qty: int) -> None:
    asked = replace(
        problem(
            ("A", 420, 210, qty, Grain.LENGTH), ("B", 330, 150, qty, Grain.ANY),
            ("C", 150, 330, qty, Grain.ANY), ("D", 610, 90, qty, Grain.LENGTH),
        ),
        favour=favour,
    )  # fmt: skip

    def plan(some: Problem) -> Answer:
        return plan_sheets(some, Search(effort=1), Unwatched())

    answer = plan(asked)
    found = alike(asked, answer, plan, {})
    assert (found.cost, len(found.patterns)) == (answer.cost, len(answer.patterns))
    assert Counter(b.part for p in found.patterns for b in blanks_of(p.layout)) == {
        item.part: item.qty for item in asked.items
    }
    for pattern in found.patterns:
        length, width = least_size(pattern.layout, asked.kerf)
        assert (length <= 1000, width <= 500) == (True, True)
    shapes = {pattern.layout for pattern in found.patterns}
    assert len(shapes) <= len({pattern.layout for pattern in answer.patterns})
