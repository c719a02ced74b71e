"""What the store cuts: the car, the counter's rules, rough edges, fees; planning again."""

from __future__ import annotations

from dataclasses import replace

import pytest
from helpers import serialize
from sawing_cases import (
    BOARD,
    FIR,
    HAND,
    MDF,
    SHEET,
    TABLE,
    TRACK,
    blank,
    columns,
    job_of,
    mm,
    plan_of,
    store,
    strips,
)

from cutopt.check.replay import check_plan
from cutopt.errors import CannotPlanError
from cutopt.model.job import Budget, Carry, Job, Material
from cutopt.model.layout import Direction, LaidPiece, Layout, MaterialLayout, Split
from cutopt.model.plan import Cut, Maker, Node, Plan, Settings
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.joint import saw_job
from cutopt.steps.sawing import Bench
from cutopt.steps.sawing_pieces import raw_edges
from cutopt.steps.sawing_saws import Place, Rack, kerfs
from cutopt.steps.sawing_store import MOST_WORK, store_visit
from cutopt.steps.summary import summarise
from cutopt.units import Ticks

SMALL_CAR = Carry(mm(1300), mm(1250))
PANELS = columns(blank("A", 1100, 1200), blank("B", 1100, 1200))


def store_cuts(plan: Plan) -> list[Cut]:
    return [cut for piece in plan.pieces for cut in piece.cuts() if cut.by is Maker.STORE]


def about(plan: Plan) -> list[str]:
    return [warning.about for warning in plan.warnings]


def taken_home(node: Node) -> list[tuple[float, float]]:
    if isinstance(node, Cut) and node.by is Maker.STORE:
        sides = [side for side in (node.first, node.second) if side is not None]
        return [size for side in sides for size in taken_home(side)]
    return [(node.length / 320, node.width / 320)]


def test_a_sheet_is_halved_to_get_it_into_the_car() -> None:
    plan = plan_of([(SHEET, PANELS)], store=store(), carry=SMALL_CAR)
    assert len(store_cuts(plan)) == 1
    assert all(max(size) <= 1300 for size in taken_home(plan.pieces[0].layout))
    assert about(plan) == []
    assert check_plan(plan) == ()


def test_a_sheet_that_fits_the_car_is_not_cut_for_money() -> None:
    plan = plan_of(
        [(SHEET, PANELS)], store=store(fee_per_cut_cents=50), carry=Carry(mm(2500), mm(1250))
    )
    assert store_cuts(plan) == []
    assert plan.totals.store_fees_cents == 0


def test_without_a_store_the_car_is_warned_of() -> None:
    plan = plan_of([(SHEET, PANELS)], carry=SMALL_CAR)
    assert about(plan) == ["carry"]
    assert "S1" in plan.warnings[0].text
    does = "it all fits with a car that takes 2440 mm x 1250 mm or delivered"
    assert plan.warnings[0].text.endswith(f"does not fit the car; {does}")
    assert check_plan(plan) == ()


def test_owned_stock_is_at_home_already() -> None:
    owned = replace(SHEET, owned=True, price_cents=0)
    plan = plan_of([(owned, PANELS)], store=store(free_cuts=9), carry=SMALL_CAR)
    assert store_cuts(plan) == []
    assert about(plan) == []


def test_a_part_too_large_for_the_car_is_named() -> None:
    plan = plan_of([(SHEET, blank("Bench top", 2200, 700))], store=store(), carry=SMALL_CAR)
    assert about(plan) == ["carry"]
    assert "Bench top" in plan.warnings[0].text
    assert check_plan(plan) == ()


def test_more_cuts_than_the_store_makes_are_not_asked_for() -> None:
    three = columns(*[blank(name, 750, 1200) for name in "ABC"])
    car = Carry(mm(1000), mm(1250))
    assert about(plan_of([(SHEET, three)], store=store(most_cuts=1), carry=car)) == ["carry"]
    plan = plan_of([(SHEET, three)], store=store(most_cuts=2), carry=Carry(mm(1250), mm(1000)))
    assert about(plan) == []
    assert len(store_cuts(plan)) == 2


def test_no_store_cut_leaves_a_side_under_the_smallest_piece() -> None:
    # The 240 beyond the part would have to come off at the store for the car to take it.
    layout = blank("Top", 2200, 1200)
    car = Carry(mm(2300), mm(1250))
    assert about(plan_of([(SHEET, layout)], store=store(), carry=car)) == []
    strict = store(smallest_piece=mm(300))
    plan = plan_of([(SHEET, layout)], store=strict, carry=car)
    assert store_cuts(plan) == []
    assert about(plan) == ["carry"]


def test_a_rough_edge_is_cut_again_at_home() -> None:
    rough = store(rough=True, allowance=mm(4))
    plan = plan_of([(SHEET, PANELS)], store=rough, carry=SMALL_CAR)
    (piece,) = plan.pieces
    # 1104 would do for A, but then 1333 stay behind it: the cut is moved out to 1137, so
    # that the rest just fits the car. Each store edge loses at least 4, kerf included.
    assert serialize(piece.layout) == (
        "crosscut", 1137.0, 3.0, "store saw", 1,
        ("rip", 1200.0, 3.0, "any", 2,
         ("crosscut", 1100.0, 3.0, "any", 3,
          ("A", 1, 1100.0, 1200.0), ("waste", 34.0, 1200.0)),
         ("waste", 1137.0, 17.0)),
        ("crosscut", 1.0, 3.0, "any", 4,
         ("waste", 1.0, 1220.0),
         ("crosscut", 1100.0, 3.0, "any", 5,
          ("rip", 1200.0, 3.0, "any", 6,
           ("B", 1, 1100.0, 1200.0), ("waste", 1100.0, 17.0)),
          ("offcut", "S1-a", 193.0, 1220.0))),
    )  # fmt: skip
    assert check_plan(plan) == ()


@pytest.mark.parametrize("allowance", [1, 3, 7])
def test_the_allowance_comes_off_whatever_the_kerf(allowance: float) -> None:
    rough = store(rough=True, allowance=mm(allowance))
    plan = plan_of([(SHEET, PANELS)], store=rough, carry=SMALL_CAR)
    assert about(plan) == []
    assert check_plan(plan) == ()


def test_store_cuts_lie_on_whole_millimetres_where_there_is_room() -> None:
    layout = columns(blank("A", 1100.3, 1200), blank("B", 1100.3, 1200))
    rough = store(rough=True, allowance=mm(4))
    car = Carry(mm(1340), mm(1250))
    (cut,) = store_cuts(plan_of([(SHEET, layout)], store=rough, carry=car))
    assert cut.at == mm(1105)
    # 1104.3 is where it must lie if the sheet is just long enough for that.
    tight = replace(SHEET, length=mm(1104.3 + 3 + 4 + 1100.3))
    (cut,) = store_cuts(plan_of([(tight, layout)], store=rough, carry=car))
    assert cut.at == mm(1104.3)


def test_the_store_makes_a_cut_no_saw_at_home_can() -> None:
    wide = store(fee_per_cut_cents=100)
    plan = plan_of([(SHEET, blank("Wide", 2440, 900))], [TABLE], store=wide)
    assert [cut.at for cut in store_cuts(plan)] == [mm(900)]
    assert about(plan) == []
    assert plan.totals.store_fees_cents == 100


def test_a_cut_is_not_paid_for_to_spare_a_hand_saw() -> None:
    half = blank("Half", 1200, 1220)
    paid = plan_of([(SHEET, half)], [HAND], store=store(fee_per_cut_cents=100))
    assert store_cuts(paid) == []
    free = plan_of([(SHEET, half)], [HAND], store=store(fee_per_cut_cents=100, free_cuts=1))
    assert len(store_cuts(free)) == 1
    assert free.totals.store_fees_cents == 0


def test_free_cuts_go_to_what_is_hardest_at_home() -> None:
    # The long rip of the whole sheet is the store's; crosscuts of the strips stay at home.
    small = blank("Small", 600, 580)
    layout = strips(columns(small, small), columns(small, small))
    plan = plan_of(
        [(SHEET, layout)], [TABLE, TRACK], store=store(free_cuts=1, fee_per_cut_cents=100)
    )
    (cut,) = store_cuts(plan)
    assert cut.length == SHEET.length
    assert cut.width == SHEET.width


def test_a_free_cut_leaves_pieces_that_one_can_lift() -> None:
    # 18.75 kg a metre at 750 kg/m3: behind 900 lie 28 kg, on both sides of 1253 under 25.
    thick = replace(MDF, thickness=mm(25))
    sheet = replace(SHEET, length=mm(2400), width=mm(1000), material=thick)
    layout = columns(*[blank(f"P{n}", n, 1000) for n in (900, 350, 1100)])
    (cut,) = store_cuts(plan_of([(sheet, layout)], store=store(free_cuts=1, fee_per_cut_cents=100)))
    assert cut.at == mm(1253)


@pytest.mark.parametrize(("width", "harder"), [(540, 0), (541, 1)])
def test_the_last_tenth_of_a_fence_is_hard_to_work_at(width: float, harder: int) -> None:
    rack = Rack(job_of([(SHEET, PANELS)], [TABLE]).shop, SHEET.material.kind)
    place = Place(Direction.RIP, mm(1220), mm(width), None, mm(1000), True, False)
    assert rack.choose(place).weight == harder


def test_a_part_edge_left_as_the_store_sawed_it_is_warned_of() -> None:
    exact = store(accuracy=mm(2))
    plan = plan_of([(SHEET, PANELS)], store=exact, carry=SMALL_CAR)
    assert set(about(plan)) == {"store"}
    assert plan.warnings[0].text.startswith("B: 1 end")
    assert about(plan_of([(SHEET, PANELS)], store=store(), carry=SMALL_CAR)) == []


def test_boards_are_crosscut_at_the_store_only_where_it_does_that() -> None:
    legs = columns(blank("Leg", 1400, 90), blank("Rail", 1400, 90))
    car = Carry(boards=mm(2000))
    plain = plan_of([(BOARD, legs)], store=store(), carry=car)
    assert store_cuts(plain) == []
    assert about(plain) == ["carry"]
    plan = plan_of([(BOARD, legs)], store=store(crosscuts_boards=True), carry=car)
    assert len(store_cuts(plan)) == 1
    assert about(plan) == []
    assert check_plan(plan) == ()


def test_boards_are_not_crosscut_to_spare_a_hand_saw() -> None:
    legs = columns(blank("Leg", 1400, 90), blank("Rail", 1400, 90))
    plan = plan_of([(BOARD, legs)], [HAND], store=store(crosscuts_boards=True, free_cuts=5))
    assert store_cuts(plan) == []


def test_a_leftover_is_cut_up_for_the_car_too() -> None:
    plan = plan_of(
        [(SHEET, blank("Shelf", 400, 1200))],
        store=store(),
        carry=Carry(mm(1250), mm(1250)),
    )
    assert about(plan) == []
    assert all(max(size) <= 1250 for size in taken_home(plan.pieces[0].layout))


def test_kerfs_are_the_widest_and_the_finest_that_may_cut_a_material() -> None:
    layouts = [(SHEET, PANELS), (BOARD, blank("Leg", 700, 90))]
    assert kerfs(job_of(layouts, kerf=4), MDF) == (mm(4), mm(4))
    # A track saw of 1400 does not cut a sheet lengthwise: some cut may be "any", 4 mm.
    assert kerfs(job_of(layouts, [TABLE, TRACK], kerf=4), MDF) == (mm(4), mm(2))
    long_guide = replace(TRACK, cut_length=mm(2500))
    assert kerfs(job_of(layouts, [TABLE, long_guide], kerf=4), MDF) == (mm(3), mm(2))
    with_store = job_of(layouts, [long_guide], kerf=4, store=store(kerf=mm(5)))
    assert kerfs(with_store, MDF) == (mm(5), mm(2))
    assert kerfs(with_store, FIR) == (mm(2), mm(2))


class Engine:
    """Stands for the engines: gives the layouts told, by the room for store edges asked for.

    That is what is to be left free of a piece, or what each of the first cuts is to take.
    """

    def __init__(self, answers: dict[tuple[int, int], list[Layout]], bound: int) -> None:
        self.answers = answers
        self.bound = bound
        self.asked: list[tuple[int, int]] = []

    def __call__(
        self,
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        if rules.first is Direction.CROSSCUT:
            length = rules.edge
        elif rules.first is Direction.RIP:
            width = rules.edge
        self.asked.append((length, width))
        layouts = self.answers.get((length, width))
        if layouts is None:
            raise CannotPlanError("no room")
        cost = 4000 * len(layouts)
        return MaterialLayout(
            material, tuple(LaidPiece(SHEET, layout) for layout in layouts), cost,
            self.bound if (length, width) == (0, 0) else cost,
        )  # fmt: skip


def planned(engine: Engine, **keys: object) -> Plan:
    first = engine.answers[0, 0]
    job = job_of([(SHEET, layout) for layout in first], **keys)  # type: ignore[arg-type]
    return summarise(job, Settings(), saw_job(job, engine))


def test_nothing_is_planned_again_where_nothing_is_amiss() -> None:
    engine = Engine({(0, 0): [PANELS]}, 4000)
    planned(engine, store=store(), carry=SMALL_CAR)
    assert engine.asked == [(0, 0)]


def test_a_layout_without_room_for_store_edges_is_planned_again() -> None:
    # Two panels and a kerf fill the sheet: no room for two rough edges.
    full = columns(blank("A", 1217, 1220), blank("B", 1220, 1220))
    rough = store(rough=True, allowance=mm(4))
    room = [blank("A", 1217, 1220), blank("B", 1220, 1220)]
    engine = Engine({(0, 0): [full], (mm(8), 0): room}, 4000)
    plan = planned(engine, store=rough, carry=SMALL_CAR)
    (result,) = plan.materials
    assert len(plan.pieces) == 2
    assert (result.cost, result.lower_bound) == (8000, 4000)
    assert "$40.00 would do" in result.why
    assert about(plan) == []
    assert len(set(engine.asked)) <= 8  # asked again without each limit: the pipeline knows them
    assert check_plan(plan) == ()


def test_layouts_for_half_a_sheet_are_laid_two_to_a_sheet() -> None:
    # As first laid the strips are a run, through which the store does not cut.
    panel = blank("Panel", 1000, 600)
    first = Split(Direction.RIP, (columns(panel, panel), columns(panel, panel)), ordered=True)
    half = strips(panel, panel)
    rough = store(rough=True, allowance=mm(4), most_cuts=1)
    job = job_of([(SHEET, first)], store=rough, carry=SMALL_CAR)
    asked: list[tuple[int, int]] = []

    def solve(
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        asked.append((length, width))
        layouts = [first] if not length else [half, half]
        pieces = tuple(LaidPiece(SHEET, layout) for layout in layouts)
        return MaterialLayout(material, pieces, 4000 * len(layouts), 4000)

    plan = summarise(job, Settings(), saw_job(job, solve))
    assert mm(0) < max(length for length, _ in asked) <= SHEET.length - mm(1000)
    assert len(plan.pieces) == 1
    assert plan.materials[0].cost == 4000
    assert plan.materials[0].proven
    assert about(plan) == []
    assert len(store_cuts(plan)) == 1
    assert check_plan(plan) == ()


# --- children in other orders -------------------------------------------------------------------


def test_one_cut_goes_through_all_strips_to_halve_a_sheet() -> None:
    # The long panels change sides, so that both strips have a gap at the same place.
    rows = strips(
        columns(blank("A", 1230, 600), blank("B", 1195, 600)),
        columns(blank("C", 1190, 600), blank("D", 1235, 600)),
    )
    plan = plan_of(
        [(SHEET, rows)], store=store(fee_per_cut_cents=100), carry=Carry(mm(1240), mm(1240))
    )
    assert len(store_cuts(plan)) == 1
    assert sorted(size[0] for size in taken_home(plan.pieces[0].layout)) == [1202, 1235]
    assert about(plan) == []
    assert check_plan(plan) == ()


def test_children_go_to_the_car_together_that_were_not_neighbours() -> None:
    # Two loads of 800 and 400, and one cut; as they lie it would take two.
    four = columns(*[blank(f"P{n}", n, 1200) for n in (800, 801, 400, 401)])
    plan = plan_of(
        [(SHEET, four)], store=store(fee_per_cut_cents=100), carry=Carry(mm(1250), mm(1250))
    )
    assert plan.totals.store_fees_cents == 100
    assert about(plan) == []
    assert check_plan(plan) == ()


def test_a_run_keeps_its_order_whatever_that_costs() -> None:
    panels = tuple(blank(f"P{n}", n, 1200) for n in (800, 801, 400, 401))
    run = Split(Direction.CROSSCUT, panels, ordered=True)
    plan = plan_of([(SHEET, run)], store=store(), carry=Carry(mm(1250), mm(1250)))
    assert about(plan) == ["carry"]
    assert check_plan(plan) == ()


def test_nothing_is_tried_in_other_orders_where_nothing_is_amiss() -> None:
    job = job_of([(SHEET, PANELS)], store=store(), carry=SMALL_CAR)
    bench = Bench(job, SHEET, mm(3))
    visit = store_visit(job, bench)
    assert visit is not None
    visit.part(PANELS, raw_edges(SHEET))
    assert bench.rack.asked < 50


# --- leftovers and the car ----------------------------------------------------------------------


def cuts_of_one_shelf(car: Carry, **keys: object) -> Plan:
    long = replace(SHEET, length=mm(2800))
    return plan_of([(long, blank("Shelf", 400, 1220))], store=store(**keys), carry=car)


def test_a_leftover_is_cut_only_as_far_as_the_car_needs() -> None:
    # Behind the shelf 2397 x 1220 are left: one cut more, and both pieces fit.
    plan = cuts_of_one_shelf(Carry(mm(1250), mm(1250)))
    assert len(store_cuts(plan)) == 2
    assert about(plan) == []


def test_a_leftover_that_wants_more_than_two_cuts_stays_at_the_store() -> None:
    plan = plan_of(
        [(SHEET, blank("Shelf", 400, 300))], store=store(), carry=Carry(mm(410), mm(310))
    )
    assert about(plan) == ["carry"]
    assert "leave" in plan.warnings[0].text
    assert "delivered" not in plan.warnings[0].text
    assert len(store_cuts(plan)) <= 4
    assert check_plan(plan) == ()


def test_no_cut_is_paid_for_to_take_a_leftover_home() -> None:
    fee = {"fee_per_cut_cents": 50}
    car = Carry(mm(1250), mm(1250))
    paid = cuts_of_one_shelf(car, free_cuts=1, **fee)
    assert paid.totals.store_fees_cents == 0
    assert about(paid) == ["carry"]
    assert "leave it at the store" in paid.warnings[0].text
    free = cuts_of_one_shelf(car, free_cuts=2, **fee)
    assert free.totals.store_fees_cents == 0
    assert about(free) == []


SMALL_PARTS = columns(*[strips(*[blank("Bit", 195, 95)] * 12)] * 12)
FEW_PARTS = strips(*[columns(*[blank("Bit", 254, 229)] * 4)] * 2)


@pytest.mark.parametrize("layout", [SMALL_PARTS, FEW_PARTS])
@pytest.mark.parametrize("car", [Carry(mm(305)), Carry(mm(510), mm(510)), Carry(mm(1300), mm(900))])
def test_the_work_on_one_sheet_is_limited(layout: Layout, car: Carry) -> None:
    # Dozens of small parts, or long leftovers in a small car: not every way is tried.
    rough = store(rough=True, allowance=mm(4))
    job = job_of([(SHEET, layout)], [TABLE, TRACK], store=rough, carry=car)
    bench = Bench(job, SHEET, mm(3))
    visit = store_visit(job, bench)
    assert visit is not None
    visit.part(layout, raw_edges(SHEET))
    assert bench.rack.asked < 8 * MOST_WORK


def test_a_sheet_of_many_small_parts_is_still_halved_for_the_car() -> None:
    plan = plan_of(
        [(SHEET, SMALL_PARTS)],
        [TABLE, TRACK],
        store=store(rough=True, allowance=mm(1)),
        carry=Carry(mm(1300), mm(1250)),
    )
    assert about(plan) == []
    assert check_plan(plan) == ()


# --- planning again -----------------------------------------------------------------------------

LONG = replace(BOARD, name="long board", length=mm(3600), price_cents=1000)
SHORT = replace(BOARD, name="short board", length=mm(2400), price_cents=900)
SHORT_CAR = Carry(boards=mm(2500))


class Lumberyard:
    """Gives so many long boards, or short ones where the long are not to be used."""

    def __init__(self, long: int, short: int) -> None:
        self.long = long
        self.short = short
        self.asked = 0

    def job(self, **keys: object) -> Job:
        rails = [blank("Rail", 1000, 90)]
        job = job_of([(LONG, rails[0]), (SHORT, rails[0])], carry=SHORT_CAR)
        count = max(self.long, self.short)
        parts = tuple(replace(part, qty=count) for part in job.parts)
        return replace(job, parts=parts, **keys)  # type: ignore[arg-type]

    def __call__(
        self,
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        self.asked += 1
        stock, count = (SHORT, self.short) if without else (LONG, self.long)
        total = max(self.long, self.short)
        share = -(-total // count)
        pieces = []
        for start in range(0, total, share):
            rails = [blank("Rail", 1000, 90)] * min(share, total - start)
            pieces.append(LaidPiece(stock, columns(*rails) if len(rails) > 1 else rails[0]))
        cost = (stock.price_cents or 0) * len(pieces)
        return MaterialLayout(material, tuple(pieces), cost, cost if not without else 0)


def bought(plan: Plan) -> list[str]:
    return [piece.stock.name for piece in plan.pieces]


def bought_at(yard: Lumberyard, **keys: object) -> Plan:
    job = yard.job(**keys)
    plan = summarise(job, Settings(), saw_job(job, yard))
    assert check_plan(plan) == ()
    return plan


def test_what_the_car_takes_may_cost_one_dearest_piece_more() -> None:
    # 2 x 9.00 against 10.00: 8.00 more, under the 10.00 of one long board.
    plan = bought_at(Lumberyard(1, 2))
    assert bought(plan) == ["short board"] * 2
    assert about(plan) == []
    assert (
        plan.materials[0].why == "$10.00 would do without the limits of the car, and nothing less"
    )


def test_what_the_car_takes_is_left_where_it_costs_too_much() -> None:
    # 3 x 9.00 against 10.00: 17.00 more, over a quarter of it and over a long board.
    plan = bought_at(Lumberyard(1, 3))
    assert bought(plan) == ["long board"]
    assert plan.materials[0].proven
    (warning,) = plan.warnings
    assert warning.about == "carry"
    does = "with 3 x short board ($17.00 more), with a car that takes boards of 3600 mm"
    assert warning.text.endswith(f"does not fit the car; it all fits {does} or delivered")


@pytest.mark.parametrize(
    ("high", "stock"),
    [(1799, "long board"), (1800, "short board"), (999, "short board")],
    ids=["over with short boards", "within with either", "over with either"],
)
def test_the_car_does_not_push_a_plan_over_its_budget(high: int, stock: str) -> None:
    plan = bought_at(Lumberyard(1, 2), budget=Budget(0, high))
    assert set(bought(plan)) == {stock}


def test_nothing_is_planned_again_once_stopped() -> None:
    yard = Lumberyard(1, 2)
    sawn = saw_job(yard.job(), yard, lambda: True)
    assert yard.asked == 1
    assert [piece.stock.name for piece in sawn.pieces] == ["long board"]


def test_another_layout_that_cannot_be_sawn_is_dropped() -> None:
    engine = Engine({(0, 0): [strips(blank("A", 2440, 600), blank("B", 2440, 600))]}, 4000)
    wrong = columns(blank("A", 2440, 600), blank("B", 2440, 600))

    def solve(
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        layout = engine(material, Ticks(0), Ticks(0))
        if not (length or width):
            return layout
        return replace(layout, pieces=(LaidPiece(SHEET, wrong),))

    rough = store(rough=True, allowance=mm(4))
    job = job_of([(SHEET, engine.answers[0, 0][0])], store=rough, carry=SMALL_CAR)
    plan = summarise(job, Settings(), saw_job(job, solve))
    assert len(engine.asked) > 1
    assert about(plan) == ["carry"]
    assert check_plan(plan) == ()
