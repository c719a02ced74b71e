"""Going on after a mistake: what is made stays, what is spoiled is planned again."""

from __future__ import annotations

import random
import re
from collections import Counter
from dataclasses import replace
from functools import cache
from itertools import combinations, combinations_with_replacement
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from cutopt.check.replay import check_plan
from cutopt.draw.scene import Words
from cutopt.errors import CannotPlanError, InputError
from cutopt.model.job import Edge, Job, Kind, Material, Part, Shop, Stock
from cutopt.model.plan import Cut, PartPiece, Plan, walk
from cutopt.model.progress import CutsMade, Event, NotBought, PartSpoiled, PieceSpoiled
from cutopt.pipeline import Printing, draw_plan, make_plan, replan_plan
from cutopt.progress import record
from cutopt.read.plan_json import read_plan
from cutopt.read.progress_words import Said, events_said
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.boards import board_sections
from cutopt.steps.floor import lie_on_floor
from cutopt.steps.letters import name_pieces, pencilled
from cutopt.steps.replan_choice import copies_of
from cutopt.steps.replan_words import replan_words
from cutopt.steps.ticks import tick_groups
from cutopt.units import Ticks, Units, inches
from cutopt.write.output import write_output
from cutopt.write.plan_json import plan_to_json, write_plan

PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
PLY = Material("ply", Kind.SHEET, inches(0, 3, 4))
WIDE = inches(3, 1, 2)
KERF = inches(0, 1, 8)


def a_part(number: int, length: Ticks, width: Ticks, qty: int, material: Material) -> Part:
    name = f"Part {number}"
    size = (length, width, material.thickness)
    return Part(f"P{number}", name, qty, *size, length, width, material)


def boards_job(rng: random.Random) -> Job:
    parts = tuple(
        a_part(n, inches(rng.randint(8, 50)), WIDE, rng.randint(1, 3), PINE)
        for n in range(1, rng.randint(3, 6))
    )
    stock = tuple(
        Stock(f"{feet} ft", PINE, inches(12 * feet), WIDE, price)
        for feet, price in ((6, 399), (8, 498), (10, 712))
    )
    return Job("boards", Units.INCH, parts, stock, Shop(kerf=KERF))


def sheets_job(rng: random.Random) -> Job:
    parts = tuple(
        a_part(n, inches(rng.randint(10, 40)), inches(rng.randint(5, 22)), rng.randint(1, 3), PLY)
        for n in range(1, rng.randint(3, 6))
    )
    trim = inches(0, 1, 2)
    stock = (Stock("4x8", PLY, inches(96), inches(48), 6000, trim=trim),)
    return Job("sheets", Units.INCH, parts, stock, Shop(kerf=KERF))


def planned(job: Job, effort: int = 0) -> Plan:
    return make_plan(job, Search(effort), Unwatched())


def again(plan: Plan, events: tuple[Event, ...], effort: int = 0) -> Plan:
    return replan_plan(plan, events, Search(effort), Unwatched(), "ABCDEF", "bench/plan.json")


def some_mistake(rng: random.Random, plan: Plan) -> tuple[Event, ...]:
    """Some cuts of some pieces made, in their order; one to three of the parts spoiled."""
    events: list[Event] = [
        CutsMade(piece.id, tuple(range(1, cuts + 1)))
        for piece in plan.pieces
        if (cuts := rng.randint(0, len(piece.cuts())))
    ]
    copies = [(p.node.part, p.node.copy) for piece in plan.pieces for p in walk(piece.layout)
              if isinstance(p.node, PartPiece)]  # fmt: skip
    spoiled = rng.sample(copies, min(len(copies), rng.randint(1, 3)))
    return (*events, *(PartSpoiled(*copy) for copy in spoiled))


def area(plan: Plan) -> int:
    return sum(
        node.length * node.width
        for piece in plan.pieces
        for node in (placed.node for placed in walk(piece.layout))
        if isinstance(node, PartPiece)
    )


def least_extra(plan: Plan, events: tuple[Event, ...]) -> int:
    """Least cost of new boards, by listing every fill of every board: a method of its own."""
    floor = lie_on_floor(plan, events)
    needed: dict[int, int] = {}
    gone = {(part, copy) for part, copy in floor.made}
    for part in plan.job.parts:
        left = sum((part.id, copy) not in gone for copy in range(1, part.qty + 1))
        needed[part.blank_length] = needed.get(part.blank_length, 0) + left
    lengths = [length for length, count in needed.items() if count]
    own = [piece.stock for piece in floor.kept] + list(floor.free)
    bins = [(row.length, 0, row.available or 1) for row in own]
    bins += [(row.length, row.price_cents or 0, 50) for row in plan.job.stock if not row.owned]
    columns, costs, owner = [], [], []
    for number, (length, cost, _) in enumerate(bins):
        most = (length + KERF) // (min(lengths) + KERF)
        for count in range(1, most + 1):
            for fill in combinations_with_replacement(range(len(lengths)), count):
                if sum(lengths[i] + KERF for i in fill) <= length + KERF:
                    columns.append([fill.count(i) for i in range(len(lengths))])
                    costs.append(cost)
                    owner.append(number)
    supply = np.array([[one == number for one in owner] for number in range(len(bins))], float)
    answer = milp(
        np.array(costs, float),
        constraints=[
            LinearConstraint(np.array(columns, float).T, [needed[n] for n in lengths]),
            LinearConstraint(supply, 0, [there for _, _, there in bins]),
        ],
        integrality=np.ones(len(costs)),
        bounds=Bounds(0, np.inf),
    )
    return round(float(answer.fun))


@pytest.mark.parametrize("seed", range(40))
def test_boards_go_on_at_least_extra_money(seed: int) -> None:
    rng = random.Random(seed)
    plan = planned(boards_job(rng))
    events = some_mistake(rng, plan)
    new = again(plan, events)
    assert not check_plan(new)
    cost, bound = new.materials[0].cost, new.materials[0].lower_bound
    assert cost == least_extra(plan, events)
    assert bound == cost  # proven every time
    made = lie_on_floor(plan, events).made
    sizes = {part.id: part.blank_length * part.blank_width for part in plan.job.parts}
    assert area(new) == area(plan) - sum(sizes[part] for part, _ in made)


@pytest.mark.parametrize("seed", range(12))
def test_sheets_go_on_and_cost_no_more_than_stock_for_what_is_spoiled(seed: int) -> None:
    rng = random.Random(seed)
    plan = planned(sheets_job(rng))
    events = some_mistake(rng, plan)
    new = again(plan, events)
    assert not check_plan(new)
    floor = lie_on_floor(plan, events)
    lost: dict[str, int] = {}
    for one in floor.missing:
        lost[one.part] = lost.get(one.part, 0) + 1
    parts = tuple(replace(p, qty=lost[p.id]) for p in plan.job.parts if p.id in lost)
    alone = planned(replace(plan.job, parts=parts))
    assert new.totals.stock_cents <= alone.totals.stock_cents
    sizes = {part.id: part.blank_length * part.blank_width for part in plan.job.parts}
    assert area(new) == area(plan) - sum(sizes[part] for part, _ in floor.made)
    # and once more from there: the chain holds
    once = some_mistake(rng, new)
    assert not check_plan(again(new, once))


@cache
def rails() -> Plan:
    part = a_part(1, inches(20), WIDE, 4, PINE)
    stock = Stock("8 ft", PINE, inches(96), WIDE, 498)
    return planned(Job("rails", Units.INCH, (part,), (stock,), Shop(kerf=KERF)))


def test_a_board_already_cut_is_bought_again_and_good_parts_stay() -> None:
    # 4 x 20" and 3 kerfs leave 15-5/8" of 96": one 20" more needs a board.
    new = again(rails(), events_said(rails(), Said(cut=["L1"], spoiled=["Part 1:2"])))
    (part,) = new.job.parts
    assert (part.qty, part.numbers, part.of) == (1, (2,), 4)
    assert new.totals.stock_cents == 498
    assert new.materials[0].proven
    assert new.replans is not None
    assert new.replans.made[0].numbers == (1, 3, 4)
    assert new.pieces[0].id == "L2"
    (label,) = [p.node.label for p in walk(new.pieces[0].layout) if isinstance(p.node, PartPiece)]
    assert label == "Part 1 2 of 4"


def test_a_plan_made_again_reads_back(tmp_path: Path) -> None:
    new = again(rails(), events_said(rails(), Said(cut=["L1:1-2"], spoiled=["P1:2"])))
    (tmp_path / "plan.json").write_text(plan_to_json(new), encoding="utf-8")
    assert read_plan(tmp_path / "plan.json") == new


def test_a_cut_is_made_with_the_cuts_before_it() -> None:
    floor = lie_on_floor(rails(), (CutsMade("L1", (3,)),))
    assert len(floor.made) == 3
    assert not floor.missing


def test_a_split_board_not_yet_cut_is_planned_around() -> None:
    new = again(rails(), events_said(rails(), Said(bad=['L1:30" to 33"'])))
    assert not check_plan(new)
    assert new.job.stock[-1].bad or any(row.bad for row in new.job.stock)
    # 30" and 63" are clear: one and three of 20" lie on them; nothing is bought.
    assert new.totals.stock_cents == 0


def test_what_is_not_bought_is_still_paid_for() -> None:
    floor = lie_on_floor(rails(), (NotBought("L1"),))
    assert [piece.id for piece in floor.unbought] == ["L1"]
    assert again(rails(), (NotBought("L1"),)).totals.stock_cents == 498


def test_everything_made_leaves_nothing_to_plan() -> None:
    with pytest.raises(CannotPlanError, match="every part is made"):
        again(rails(), (CutsMade("L1", tuple(range(1, len(rails().pieces[0].cuts()) + 1))),))


def test_what_is_not_understood_is_told_all_at_once() -> None:
    with pytest.raises(InputError) as told:
        events_said(rails(), Said(cut=["L7", "L1:9"], spoiled=["Prt 1"], bad=["L1:5"]))
    text = str(told.value)
    assert len(told.value.faults) == 4
    for word in ("L1?", "cuts 1 to", "Part 1", "from where to where"):
        assert word in text


def test_a_part_made_is_named_by_its_number_where_there_are_several() -> None:
    with pytest.raises(InputError, match="which one of 1, 2, 3, 4"):
        events_said(rails(), Said(made=["Part 1"]))
    floor = lie_on_floor(rails(), events_said(rails(), Said(made=["Part 1:2"])))
    assert ("P1", 2) in floor.made


def test_a_sheet_in_pieces_is_told_by_what_is_left_of_it() -> None:
    plan = planned(sheets_job(random.Random(1)))
    sheet = plan.pieces[0]
    first = next(cut.step for cut in sheet.cuts() if cut.at > inches(1))
    new = again(plan, (CutsMade(sheet.id, tuple(range(1, first + 1))),))
    assert sheet.id not in [piece.id for piece in new.pieces]
    with pytest.raises(InputError, match=f"what is left of it: {sheet.id}"):
        events_said(new, Said(spoiled=[sheet.id]))


def test_records_add_up_are_taken_back_and_never_lost(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    write_plan(rails(), path)
    record(path, Said(cut=["L1:1"]), undo=False)
    record(path, Said(spoiled=["P1:1"]), undo=False)
    assert lie_on_floor(rails(), record(path, Said(), undo=False).progress.in_force()).spoiled
    last = record(path, Said(), undo=True).progress
    assert len(last.entries) == 3
    assert last.in_force() == (CutsMade("L1", (1,)),)
    path.write_text(plan_to_json(replace(rails(), warnings=())).replace("rails", "other"))
    with pytest.raises(InputError, match="records what was cut of the plan marked"):
        record(path, Said(), undo=False)


def test_pages_say_what_they_go_on_from_and_what_is_still_to_make() -> None:
    new = again(rails(), events_said(rails(), Said(cut=["L1:1-2"], spoiled=["P1:2"])))
    pages = [page for document in draw_plan(new, Printing()).documents for page in document.pages]
    heads = [str(page) for page in pages if "replan of plan ABCDEF" in str(page)]
    assert heads
    (facts,) = [row.facts for group in tick_groups(new) for row in group.rows]
    assert ("still to make: number 2, 3 and 4 of 4",) in facts


def words_on_pages(plan: Plan, name: str) -> str:
    (found,) = [one for one in draw_plan(plan, Printing()).documents if one.name == name]
    marks = [mark for page in found.pages for mark in page.marks]
    return " ".join(mark.text for mark in marks if isinstance(mark, Words))


def test_the_buy_list_says_first_what_the_mistake_costs() -> None:
    split = again(rails(), events_said(rails(), Said(bad=['L1:30" to 33"'])))
    words = words_on_pages(split, "buy-list")
    assert "Replan of plan ABCDEF: no need to buy anything." in words
    spoiled = again(rails(), events_said(rails(), Said(cut=["L1"], spoiled=["P1:2"])))
    assert "Replan of plan ABCDEF: buy 1 x 8 ft, $4.98." in words_on_pages(spoiled, "buy-list")
    assert "Replan" not in words_on_pages(rails(), "buy-list")


def test_parts_made_before_stand_ticked_and_boards_say_what_changed() -> None:
    spoiled = again(rails(), events_said(rails(), Said(cut=["L1"], spoiled=["P1:2"])))
    words = words_on_pages(spoiled, "shop")
    assert "Made already: Part 1 1, 3 and 4 of 4." in words
    (section,) = board_sections(spoiled)
    assert [row.change for row in section.rows] == ["new"]
    split = again(rails(), events_said(rails(), Said(bad=['L1:30" to 33"'])))
    (section,) = board_sections(split)
    assert [row.change for row in section.rows] == ["changed"]
    assert "changed" in words_on_pages(split, "shop")
    assert "Made already" not in words_on_pages(split, "shop")
    # All are still to make, and the board is named by its id alone.
    assert "still to make" not in words_on_pages(split, "shop")
    assert section.rows[0].mark == ""


def test_the_answer_says_where_the_parts_of_a_spoiled_board_come_from_now() -> None:
    lines = replan_words(again(rails(), events_said(rails(), Said(spoiled=["L1"]))))
    assert lines[0] == "Buy 1 x 8 ft, $4.98."
    labels = "Part 1 1 of 4, Part 1 2 of 4, Part 1 3 of 4 and Part 1 4 of 4"
    assert lines[1] == f"{labels}: cut from L2 (8 ft, to buy)."
    assert lines[2] == "Pine 1x4: nothing less would do."


def test_band_of_a_plan_made_again_comes_first_from_what_is_left() -> None:
    job = rails().job
    part = replace(job.parts[0], band=(Edge.FRONT,))
    plan = planned(replace(job, parts=(part,)))
    assert "Band of the parts still to make" not in words_on_pages(plan, "buy-list")
    new = again(plan, events_said(plan, Said(cut=["L1"], spoiled=["P1:2"])))
    assert "Band of the parts still to make: use what is left of it first" in words_on_pages(
        new, "buy-list"
    )


def test_what_lies_on_the_floor_keeps_its_name_in_a_second_replan() -> None:
    for seed in range(8):
        rng = random.Random(seed)
        first = planned(sheets_job(rng))
        second = again(first, some_mistake(rng, first))
        floor = lie_on_floor(second, some_mistake(rng, second))
        names = [*(piece.id for piece in floor.kept), *(row.name for row in floor.free)]
        assert len(set(names)) == len(names)
        third = again(second, some_mistake(rng, second))
        for piece in third.pieces:
            if piece.stock.owned and not piece.id.startswith("rest of"):
                # The sheet, its letter, and at most one sign more for each time it fell apart.
                assert re.fullmatch(r"S\d+( [A-Z]+\d*[a-z]?\d*|-[a-z]+\d*[a-z]?)?", piece.id)


def test_a_piece_goes_on_from_the_name_it_has() -> None:
    assert pencilled(("S1",), "B2") == "S1 B2"
    assert pencilled(("S1 B2",), "B2a") == "S1 B2a"
    assert pencilled(("S1-a",), "a1") == "S1-a1"
    plan = planned(sheets_job(random.Random(1)))
    sheet = plan.pieces[0]
    first = next(cut.step for cut in sheet.cuts() if isinstance(cut.second, Cut))
    new = again(plan, (CutsMade(sheet.id, tuple(range(1, first + 1))),))
    names = name_pieces(new.pieces[0])
    assert [names.full(floor.letter) for floor in names.floor] == [new.pieces[0].id]


def test_boards_not_bought_yet_keep_their_numbers() -> None:
    for seed in range(10):
        plan = planned(boards_job(random.Random(seed)))
        new = again(plan, tuple(NotBought(piece.id) for piece in plan.pieces))
        assert new.pieces == plan.pieces
        assert new.replans is not None
        assert not new.replans.changed


@pytest.mark.parametrize("seed", [0, 1, 6, 25])
def test_as_few_boards_as_will_do_are_laid_out_again(seed: int) -> None:
    rng = random.Random(100 + seed)
    parts = tuple(
        a_part(n, inches(rng.randint(8, 40)), WIDE, rng.randint(1, 3), PINE) for n in range(1, 8)
    )
    stock = Stock("8 ft", PINE, inches(96), WIDE, 498)
    plan = planned(Job("few", Units.INCH, parts, (stock,), Shop(kerf=KERF)))
    events = (*(PartSpoiled(part.id, 1) for part in parts[:2]),)
    new = again(plan, events)
    assert new.replans is not None
    kept = {piece.id for piece in lie_on_floor(plan, events).kept}
    changed = len(kept & set(new.replans.changed))
    least = least_opened(plan, events, new)
    assert changed == least or not new.replans.fewest
    assert changed >= least


def least_opened(plan: Plan, events: tuple[Event, ...], new: Plan) -> int:
    """Fewest boards laid out again at this money, by trying every choice on its own."""
    floor = lie_on_floor(plan, events)
    sizes = {part.id: part for part in plan.job.parts}
    for count in range(len(floor.kept) + 1):
        for opened in combinations(floor.kept, count):
            copies = Counter(one.part for one in floor.missing)
            copies.update(part for piece in opened for part, _ in copies_of(piece.layout))
            parts = tuple(replace(sizes[part], qty=many) for part, many in copies.items())
            own = (*floor.free, *(piece.stock for piece in opened))
            bought = tuple(row for row in plan.job.stock if not row.owned)
            job = replace(plan.job, parts=parts, stock=(*own, *bought))
            if planned(job).totals.stock_cents <= new.totals.stock_cents:
                return count
    raise AssertionError("all boards together do")


def test_drawings_of_a_piece_with_a_long_name_get_a_plain_file_name(tmp_path: Path) -> None:
    job = sheets_job(random.Random(3))
    parts = (a_part(1, inches(60), inches(40), 1, PLY), a_part(2, inches(20), inches(10), 1, PLY))
    plan = planned(replace(job, parts=parts))
    new = again(plan, (PieceSpoiled("S1", 0, ((inches(90), inches(44)),)),))
    assert new.pieces[0].id == "rest of S1"
    write_output(draw_plan(new, Printing()), tmp_path / "again", force=False)
    assert (tmp_path / "again" / "drawings" / "shop-rest_of_S1.svg").is_file()


def test_a_board_that_something_is_said_of_is_there() -> None:
    post = a_part(1, inches(96), WIDE, 2, PINE)
    stock = Stock("8 ft", PINE, inches(96), WIDE, 498)
    plan = planned(Job("posts", Units.INCH, (post,), (stock,), Shop(kerf=KERF)))
    events = (NotBought("L1"), NotBought("L2"), PartSpoiled("P1", 1))
    floor = lie_on_floor(plan, events)
    assert [piece.id for piece in floor.unbought] == ["L2"]
    assert [(one.part, one.copy) for one in floor.missing] == [("P1", 1)]
    # One to be bought as planned, which keeps its number, and one in place of the spoiled one.
    assert [piece.id for piece in again(plan, events).pieces] == ["L2", "L3"]
