"""The whole program on one screen: job -> solve -> saw -> check -> draw -> write."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from cutopt.check.replay import check_plan
from cutopt.draw.documents import draw_documents
from cutopt.draw.dxf_drawings import dxf_drawings
from cutopt.draw.frame import Look, Paper
from cutopt.draw.label_pages import label_sheet
from cutopt.errors import CannotPlanError, PlanFaultError
from cutopt.grading import with_spares
from cutopt.model.job import Job, Material
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import Offer, Plan, Settings
from cutopt.model.progress import Event
from cutopt.progress import Recorded
from cutopt.read.plan_json import read_plan
from cutopt.solve.material import Room, check_fit, plan_material
from cutopt.solve.params import NO_RULES, CuttingRules, Search, Watch
from cutopt.solve.sheet_offcuts import Sources, choose_sources
from cutopt.solve.widths import Tried, choose_widths, settle_offers, share_bounds
from cutopt.steps.floor import Floor, lie_on_floor
from cutopt.steps.joint import SawnJob, saw_job
from cutopt.steps.replan import replan
from cutopt.steps.replan_kinds import from_boards, only_shared
from cutopt.steps.sawing_saws import kerfs
from cutopt.steps.summary import summarise
from cutopt.units import Ticks, Units
from cutopt.write.output import Output, write_output
from cutopt.write.plan_json import plan_mark, plan_to_json


@dataclass(frozen=True, slots=True)
class Printing:
    """How pages are printed.

    Attributes:
        units: None for the job's own.
        labels: name of the label stock; "plain" for paper to be cut.
        first_label: place of the first label on a sheet that is partly used, from 1.
        dxf: drawings for a CNC router or laser are wanted too.
        qr: a QR code on each part's label.
    """

    paper: Paper = Paper.LETTER
    units: Units | None = None
    labels: str = "plain"
    first_label: int = 1
    dxf: bool = False
    qr: bool = False


def make_plan(job: Job, search: Search, watch: Watch) -> Plan:
    """Give a checked plan for a job.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
        PlanFaultError: the independent replay found a fault; such a plan is never given out.
    """
    if job.confidence is not None:
        return with_spares(job, lambda bare: make_plan(bare, search, watch))
    sources = choose_sources(job, _room, search, watch)
    told, sawn, offers = _from(sources, search, watch)
    if any(_eaten_up(sources.tried, offers)):
        sources = choose_sources(job, _room, search, watch, sheets=False)
        told, sawn, offers = _from(sources, search, watch)
    settings = Settings(search.effort, search.seed, job.favour)
    plan = replace(summarise(told, settings, sawn), offers=offers)
    faults = check_plan(plan)
    if faults:
        raise PlanFaultError(faults)
    return plan


def _from(sources: Sources, search: Search, watch: Watch) -> tuple[Job, SawnJob, tuple[Offer, ...]]:
    """Give the job to be told of, sawn, and what is offered: widths of board are chosen yet.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
    """
    for rip in (True, False):
        chosen = choose_widths(sources.of_boards(), _room, search, watch, rip=rip)
        widths = sources.together(chosen)
        sawn = _sawn(widths.planned, search, watch)
        offers = settle_offers(widths, sawn.layouts)
        if not any(_eaten_up(widths.tried, offers)):
            break
    layouts = share_bounds(sawn.layouts, widths.bounds, offers)
    offers = (*offers, *sources.settle(layouts))
    sawn = replace(sawn, layouts=sources.share(layouts, offers))
    return widths.told, sawn, offers


def _eaten_up(tried: Iterable[Tried], offers: Sequence[Offer]) -> Iterator[bool]:
    """Say of each offer taken whether what the car or the saws ask for cost what it saved."""
    made = {(offer.lumber, bool(offer.from_sheets)) for offer in offers if offer.taken}
    for one in tried:
        if one.offer.taken:
            yield (one.offer.lumber, bool(one.offer.from_sheets)) not in made


def _sawn(job: Job, search: Search, watch: Watch) -> SawnJob:
    """Give a job laid out and sawn.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
    """
    rooms = {material: _room(job, material) for material in job.materials}
    check_fit(job, rooms)

    @cache
    def solve(
        material: Material,
        spare_length: Ticks,
        spare_width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        room = replace(
            rooms[material],
            spare_length=spare_length,
            spare_width=spare_width,
            without=without,
            rules=rules,
            enough=enough,
        )
        effort = max(0, search.effort - draft)
        return plan_material(job, material, room, replace(search, effort=effort), watch)

    return saw_job(job, solve, watch.stopped)


def _room(job: Job, material: Material) -> Room:
    """Give what the saws that may cut a material take from it."""
    return Room(*kerfs(job, material))


def draw_plan(plan: Plan, printing: Printing) -> Output:
    """Give every file of a plan but plan.json's place: pages, drawings, lists."""
    text = plan_to_json(plan)
    after = "" if plan.replans is None else plan.replans.plan
    units = printing.units or plan.job.units
    look = Look(plan.job.name, units, printing.paper, plan_mark(text), after)
    stock = replace(label_sheet(printing.labels, printing.paper), coded=printing.qr)
    pages = draw_documents(plan, look, stock, printing.first_label)
    drawings = dxf_drawings(plan, look.units) if printing.dxf else ()
    return Output(text, pages, plan, look, drawings)


def run_plan(
    job: Job, search: Search, watch: Watch, printing: Printing, folder: Path, *, force: bool
) -> Plan:
    """Plan a job, write everything into ``folder``, and give the plan."""
    plan = make_plan(job, search, watch)
    write_output(draw_plan(plan, printing), folder, force=force)
    return plan


def replan_plan(
    plan: Plan, events: Iterable[Event], search: Search, watch: Watch, mark: str, file: str
) -> Plan:
    """Give a checked plan of what is still to be made after these events.

    Raises:
        CannotPlanError: nothing is left to make, or a part fits nothing there is.
        PlanFaultError: the independent replay found a fault.
    """
    floor = lie_on_floor(plan, events)
    if not (floor.kept or floor.missing or floor.unbought):
        raise CannotPlanError("every part is made: there is nothing left to plan")

    def lay(job: Job, material: Material) -> MaterialLayout:
        if not any(row.material == material for row in job.stock):
            raise CannotPlanError(f"no {material.name} is left, and none can be bought")
        room = _room(job, material)
        check_fit(job, {material: room})
        return plan_material(job, material, room, replace(search, second_goals=False), watch)

    def plan_again(before: Plan, lies: Floor) -> Plan:
        return replan(before, lies, lay, lambda job: _sawn(job, search, watch), mark, file)

    again = only_shared(_cheaper_again(plan, floor, plan_again))
    faults = check_plan(again)
    if faults:
        raise PlanFaultError(faults)
    return again


def _cheaper_again(plan: Plan, floor: Floor, plan_again: Callable[[Plan, Floor], Plan]) -> Plan:
    """Give the plan made again, strips that are missing of sheets from boards if that is cheaper.

    Raises:
        CannotPlanError: a part fits nothing there is.
    """
    boards = from_boards(plan, floor)
    try:
        again = plan_again(plan, floor)
    except CannotPlanError:
        if boards is None:
            raise
        return plan_again(*boards)
    if boards is None or not again.totals.stock_cents:
        return again
    try:
        other = plan_again(*boards)
    except CannotPlanError:
        return again
    return min((again, other), key=lambda one: one.totals.grand_total_cents)


def run_replan(
    state: Recorded, search: Search, watch: Watch, printing: Printing, folder: Path, *, force: bool
) -> Plan:
    """Plan again from what is recorded, write everything into ``folder``, and give the plan."""
    file = f"{state.path.resolve().parent.name}/{state.path.name}"
    events = state.progress.in_force()
    again = replan_plan(state.plan, events, search, watch, state.progress.plan, file)
    write_output(draw_plan(again, printing), folder, force=force)
    return again


def run_draw(plan_file: Path, printing: Printing, folder: Path, *, force: bool) -> Plan:
    """Write the pages of an existing plan again, without solving, and give the plan."""
    plan = read_plan(plan_file)
    write_output(draw_plan(plan, printing), folder, force=force)
    return plan
