"""Parts of one match word come from one strip in order, the whole way from job to pages.

An invented hall chest: four drawer fronts with the figure running through, doors and shelves.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from cutopt.check.replay import check_plan
from cutopt.draw.frame import Look, Paper
from cutopt.draw.label_pages import label_pages
from cutopt.draw.scene import Circle, Drawing, Words
from cutopt.draw.shop_pages import shop_sheet_pages
from cutopt.errors import CannotPlanError
from cutopt.model.layout import Blank, Direction, Split
from cutopt.model.plan import Cut, Node, PartPiece, Placed, Plan, walk
from cutopt.pipeline import make_plan
from cutopt.read.job import read_job
from cutopt.solve.params import Search, Unwatched
from cutopt.steps.handling import NUMBER_THE_RUN
from cutopt.steps.labels import part_labels
from cutopt.steps.phrase import plain
from cutopt.steps.runs import laid_runs, run_places
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_pieces import Edges, Size
from cutopt.steps.setups import visits
from cutopt.steps.shop import shop_sheets
from cutopt.steps.ticks import tick_groups
from cutopt.units import Units, millimetres

HEAD = "part,qty,length,width,grain,match\n"
OTHERS = "Door,2,896,396,length,\nSide,2,900,360,length,\nShelf,3,372,320,,\n"
FRONTS = HEAD + "Drawer front,4,396,220,width,fronts\n" + OTHERS
GRADED = (
    HEAD
    + "Low front,2,396,260,width,fronts\nMiddle front,1,396,200,width,fronts\n"
    + OTHERS
    + "Top front,1,396,150,width,fronts\n"
)
SHEET = "ply 2500,sheet,birch ply,2500,1250,18,89,length,10\n"
SAWS = (
    '[[shop.saws]]\nkind = "table saw"\nkerf = 3.2\nrip_capacity = 620\n'
    '[[shop.saws]]\nkind = "track saw"\nkerf = 2.2\ncut_length = 2700\n'
)
STORE = "[store]\nkerf = 4\nrough = true\nfree_cuts = 4\n[carry]\nlength = 1500\nwidth = 1000\n"


def planned(
    folder: Path, parts: str, settings: str = "", stock: str = SHEET, *, effort: int = 0
) -> Plan:
    (folder / "job.toml").write_text(
        'name = "Hall chest"\nunits = "mm"\nparts = "parts.csv"\nstock = "stock.csv"\n' + settings
    )
    (folder / "parts.csv").write_text(parts)
    head = "stock,kind,material,length,width,thickness,price,grain,trim\n"
    (folder / "stock.csv").write_text(head + stock)
    return make_plan(read_job(folder), Search(effort), Unwatched())


def run_of(plan: Plan, word: str = "fronts") -> list[Placed]:
    """Give the places of a run's parts in the order of the bill; all on one piece."""
    wanted = [
        (part.id, copy)
        for part in plan.job.parts
        if part.match == word
        for copy in range(1, part.qty + 1)
    ]
    found = [
        {
            (placed.node.part, placed.node.copy): placed
            for placed in walk(piece.layout)
            if isinstance(placed.node, PartPiece) and (placed.node.part, placed.node.copy) in wanted
        }
        for piece in plan.pieces
    ]
    (run,) = [places for places in found if places]
    return [run[key] for key in wanted]


@pytest.mark.parametrize("settings", ["", SAWS, STORE, SAWS + STORE])
@pytest.mark.parametrize("parts", [FRONTS, GRADED], ids=["alike", "graded"])
def test_drawer_fronts_lie_side_by_side_in_order_a_saw_cut_apart(
    tmp_path: Path, parts: str, settings: str
) -> None:
    plan = planned(tmp_path, parts, settings)
    run = run_of(plan)
    assert len(run) == 4
    # Grain across the front, sheet grain along its length: the fronts lie turned.
    assert {placed.node.turned for placed in run} == {True}
    assert len({placed.y for placed in run}) == 1
    shop = plan.job.shop
    gaps = [other.x - one.x - one.node.length for one, other in pairwise(run)]
    assert set(gaps) <= {saw.kerf for saw in shop.saws} | {shop.kerf}
    assert check_plan(plan) == ()


def test_without_the_word_nothing_is_asked_of_the_fronts(tmp_path: Path) -> None:
    plan = planned(tmp_path, FRONTS.replace(",fronts", ","))
    assert len(plan.pieces) <= len(planned(tmp_path, FRONTS).pieces)


def exchanged(plan: Plan, one: PartPiece, other: PartPiece) -> Plan:
    """Give the plan with two parts in each other's place."""
    places = {(one.part, one.copy): other, (other.part, other.copy): one}

    def rebuilt(node: Node | None) -> Node | None:
        if isinstance(node, Cut):
            return replace(node, first=rebuilt(node.first), second=rebuilt(node.second))
        if isinstance(node, PartPiece) and (node.part, node.copy) in places:
            there = places[node.part, node.copy]
            return replace(node, part=there.part, copy=there.copy, label=there.label)
        return node

    pieces = tuple(replace(piece, layout=rebuilt(piece.layout)) for piece in plan.pieces)
    return replace(plan, pieces=pieces)


def test_two_fronts_in_each_others_place_are_caught(tmp_path: Path) -> None:
    plan = planned(tmp_path, FRONTS)
    first, second, *_ = (placed.node for placed in run_of(plan))
    (fault,) = check_plan(exchanged(plan, first, second))
    assert "the run 'fronts' do not lie side by side" in str(fault)


def test_parts_marked_later_are_caught_where_they_lie_apart(tmp_path: Path) -> None:
    plan = planned(tmp_path, FRONTS)
    words = {"Door": "other", "Side": "other"}
    parts = tuple(replace(p, match=words.get(p.name, p.match)) for p in plan.job.parts)
    faults = check_plan(replace(plan, job=replace(plan.job, parts=parts)))
    assert [fault for fault in faults if "the run 'other'" in str(fault)]
    assert not [fault for fault in faults if "fronts" in str(fault)]


def test_a_run_the_saws_may_make_with_a_finer_kerf_keeps_the_bound_of_its_parts(
    tmp_path: Path,
) -> None:
    plain = planned(tmp_path, FRONTS.replace(",fronts", ","), SAWS)
    plan = planned(tmp_path, FRONTS, SAWS)
    assert plan.materials[0].lower_bound <= plain.materials[0].cost


def test_what_is_proved_says_that_runs_count_as_one_part(tmp_path: Path) -> None:
    assert "each run counts as one part" in planned(tmp_path, FRONTS).materials[0].why
    loose = planned(tmp_path, FRONTS.replace(",fronts", ","))
    assert "run" not in loose.materials[0].why


def test_what_keeping_a_run_together_costs_is_said(tmp_path: Path) -> None:
    # Side by side the panels are 610 x 1206 mm, and what is left is too short for the tall one.
    parts = (
        HEAD + "Panel,3,610,400,length,panels\nTall,1,2400,400,length,\nDoor,2,1200,400,length,\n"
    )
    kept = planned(tmp_path, parts, "[shop]\nkerf = 3\n")
    loose = planned(tmp_path, parts.replace(",panels", ","), "[shop]\nkerf = 3\n")
    assert (len(kept.pieces), len(loose.pieces)) == (2, 1)
    (line,) = kept.materials
    assert "with their parts apart, 1 instead of 2 pieces of stock would do" in line.why
    assert "each run counts as one part" in line.why
    assert line.proven


@pytest.mark.parametrize("effort", [0, 1])
def test_a_run_stays_whole_beside_panels_of_its_own_size(tmp_path: Path, effort: int) -> None:
    # Two fronts and a cut of 3 mm make 443 x 396: as large as the panels, of another group.
    parts = HEAD + "Front,2,396,220,width,fronts\nPanel,6,443,396,length,\n"
    plan = planned(tmp_path, parts, "[shop]\nkerf = 3\n" + STORE, effort=effort)
    assert len(run_of(plan)) == 2
    assert check_plan(plan) == ()


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        (
            HEAD + "Front,1,396,220,width,fronts\nDoor,1,896,396,width,fronts\n",
            ("Front, Door", "neither along the grain", "nor across it"),
        ),
        (
            HEAD + "Front,1,396,220,width,fronts\nWide front,1,396,300,,fronts\n",
            ("Front, Wide front", "some have a grain and some may be turned"),
        ),
        (
            HEAD + "Front,12,396,220,width,fronts\n",
            # 12 x 220 mm and 11 cuts of 3.2 mm; 10 mm trimmed off both ends of 2500.
            (
                "the run 'fronts' (Front; 12 end to end along the grain)",
                "2675.2 mm long",
                "ply 2500, takes 2480",
                "the first 11 would fit",
            ),
        ),
        (
            HEAD + "Door,4,700,400,length,doors\n",
            (
                "(Door; 4 side by side across the grain)",
                "1609.6 mm long",
                "700 mm across",
                "takes 2480 x 1230 mm",
                "the first 3 would fit",
            ),
        ),
    ],
    ids=["sizes", "grain", "too long", "too wide"],
)
def test_what_cannot_be_a_run_is_said(tmp_path: Path, parts: str, said: tuple[str, ...]) -> None:
    with pytest.raises(CannotPlanError) as error:
        planned(tmp_path, parts, "[shop]\nkerf = 3.2\n")
    (fault,) = error.value.faults
    assert all(words in str(fault) for words in said), str(fault)


def test_parts_of_one_width_lie_end_to_end(tmp_path: Path) -> None:
    parts = HEAD + "Left rail,1,700,100,length,rails\nRight rail,1,500,100,length,rails\n" + OTHERS
    plan = planned(tmp_path, parts)
    left, right = run_of(plan, "rails")
    assert (left.y, right.x) == (right.y, left.x + left.node.length + plan.job.shop.kerf)


def test_a_door_above_drawer_fronts_lies_end_to_end_though_its_length_is_upright(
    tmp_path: Path,
) -> None:
    parts = HEAD + "Door,1,896,396,length,bay\nDrawer front,3,396,180,width,bay\n" + OTHERS
    plan = planned(tmp_path, parts, SAWS)
    run = run_of(plan, "bay")
    assert [placed.node.turned for placed in run] == [False, True, True, True]
    assert {(placed.y, placed.node.width) for placed in run} == {
        (run[0].y, millimetres(396)),
    }
    assert check_plan(plan) == ()


def test_parts_too_wide_side_by_side_lie_end_to_end_where_that_fits(tmp_path: Path) -> None:
    # 4 x 400 mm is more than the 1230 mm of the sheet; 4 x 600 mm is within its 2480.
    plan = planned(tmp_path, HEAD + "Door,4,600,400,length,doors\n" + OTHERS)
    run = run_of(plan, "doors")
    assert len({placed.y for placed in run}) == 1
    assert {placed.node.turned for placed in run} == {False}
    assert check_plan(plan) == ()


def test_a_part_of_a_run_turned_out_of_the_grain_is_caught(tmp_path: Path) -> None:
    # Squares: turned, one fills the same place.
    parts = HEAD + "Panel,3,300,300,,panels\n" + OTHERS
    plan = planned(tmp_path, parts)
    first = run_of(plan, "panels")[0].node

    def turn(node: Node | None) -> Node | None:
        if isinstance(node, Cut):
            return replace(node, first=turn(node.first), second=turn(node.second))
        return replace(node, turned=not first.turned) if node == first else node

    pieces = tuple(replace(piece, layout=turn(piece.layout)) for piece in plan.pieces)
    (fault,) = check_plan(replace(plan, pieces=pieces))
    assert "the grain of the parts of the run 'panels' does not run one way" in str(fault)


def test_one_part_alone_is_no_run(tmp_path: Path) -> None:
    plan = planned(tmp_path, HEAD + "Lid,1,900,396,length,lid\n" + OTHERS)
    assert all("run" not in fact for fact in facts(plan)["Lid"])


def facts(plan: Plan) -> dict[str, list[str]]:
    return {
        row.part.name: [plain(fact, str) for fact in row.facts]
        for group in tick_groups(plan)
        for row in group.rows
    }


def test_the_tick_list_says_what_runs_on_from_what(tmp_path: Path) -> None:
    said = facts(planned(tmp_path, GRADED))
    assert "run fronts, 1 to 2 of 4" in said["Low front"]
    assert "run fronts, 3 of 4, runs on from Low front" in said["Middle front"]
    assert "run fronts, 4 of 4, runs on from Middle front" in said["Top front"]
    assert not any("run" in fact for fact in said["Door"])


def words_of(drawings: list[Drawing]) -> str:
    """Give all words of pages, on one line; lines that were broken read on."""
    return " ".join(
        item.text for page in drawings for item in page.marks if isinstance(item, Words)
    )


@pytest.mark.parametrize("paper", list(Paper))
def test_the_shop_sheet_says_how_a_run_lies_and_links_its_joints(
    tmp_path: Path, paper: Paper
) -> None:
    plan = planned(tmp_path, GRADED, SAWS)
    look = Look("Hall chest", Units.MM, paper, "ABCDEF")
    (sheet,) = [sheet for sheet in shop_sheets(plan) if sheet.runs]
    (run,) = sheet.runs
    pages = [p for p in shop_sheet_pages(plan, look) if p.name == f"shop-{sheet.ids[0]}"]
    said = words_of(pages)
    assert f"Run fronts, {run.way}: 2 × Low front, Middle front, Top front." in said
    assert "Pencil a triangle across each run" in said
    assert all(f"run {number} of 4" in said for number in range(1, 5))
    dots = [item for page in pages for item in page.marks if isinstance(item, Circle)]
    # Two a joint, and two in the sample beside the words.
    assert len(dots) == 2 * 3 + 2


def test_a_run_that_lies_from_right_to_left_is_said_so(tmp_path: Path) -> None:
    plan = planned(tmp_path, GRADED)
    for piece in plan.pieces:
        for run in laid_runs(piece, run_places(plan.job)):
            assert run.way == "left to right"
            assert replace(run, parts=run.parts[::-1]).way == "right to left"
            assert replace(run, parts=run.parts[::-1]).joints == run.joints


def test_labels_say_the_place_in_the_run(tmp_path: Path) -> None:
    plan = planned(tmp_path, GRADED)
    said = [
        (label.part.name, label.copy, label.run.words)
        for label in part_labels(plan)
        if label.run is not None
    ]
    assert sorted(said, key=lambda one: one[2]) == [
        ("Low front", 1, "run fronts, 1 of 4"),
        ("Low front", 2, "run fronts, 2 of 4"),
        ("Middle front", 1, "run fronts, 3 of 4"),
        ("Top front", 1, "run fronts, 4 of 4"),
    ]
    look = Look("Hall chest", Units.MM, Paper.A4, "ABCDEF")
    printed = words_of(label_pages(plan, look))
    assert all(words in printed for _, _, words in said)


def test_the_saws_are_told_to_number_a_run(tmp_path: Path) -> None:
    plan = planned(tmp_path, GRADED, SAWS)
    told = {
        outcome.name
        for visit in visits(plan)
        for setup in visit.setups
        if NUMBER_THE_RUN in setup.capsules
        for line in setup.lines
        for outcome in line.outcomes
    }
    assert {"Low front", "Middle front", "Top front"} <= told
    plain = planned(tmp_path, GRADED.replace(",fronts", ","), SAWS)
    assert not any(
        NUMBER_THE_RUN in setup.capsules for visit in visits(plain) for setup in visit.setups
    )


def test_a_fence_out_of_reach_does_not_change_the_order_of_a_run(tmp_path: Path) -> None:
    plan = planned(tmp_path, GRADED)
    parts = [placed.node for placed in run_of(plan)]
    (piece,) = [
        piece
        for piece in plan.pieces
        if any(placed.node == parts[0] for placed in walk(piece.layout))
    ]
    layout = piece_layout(parts)
    size = Size(
        sum(part.length for part in parts) + 3 * plan.job.shop.kerf + millimetres(900),
        parts[0].width,
    )
    job = planned(tmp_path, GRADED, SAWS[: SAWS.index("620")] + "130\n").job
    sawn = Bench(job, piece.stock, plan.job.shop.kerf).saw(layout, size, Edges())
    found = [p.node.part for p in walk(sawn.node) if isinstance(p.node, PartPiece)]
    assert found == [part.part for part in parts]


def piece_layout(parts: list[PartPiece]) -> Split:
    blanks = tuple(Blank(part.part, part.length, part.width, part.turned) for part in parts)
    return Split(Direction.CROSSCUT, blanks, ordered=True)
