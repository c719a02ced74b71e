"""One material of a job -> a problem in plain integers -> the engine's answer as layouts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError, Fault
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Grain, Job, Kind, Material, Stock
from cutopt.model.layout import LaidPiece, MaterialLayout
from cutopt.model.plan import Measure
from cutopt.model.sources import from_either
from cutopt.solve.alike import alike
from cutopt.solve.boards import plan_boards
from cutopt.solve.boards_search import Quiet
from cutopt.solve.explain import what_does_not_fit
from cutopt.solve.measured import plan_measured
from cutopt.solve.params import (
    NO_RULES,
    Answer,
    CuttingRules,
    Item,
    Problem,
    Search,
    StockType,
    Unwatched,
    Watch,
)
from cutopt.solve.ripping import rip_boards
from cutopt.solve.ripping_measured import rip_measured
from cutopt.solve.runs import Run, join_runs, part_runs, runs_of, too_long
from cutopt.solve.sections import other_sections
from cutopt.solve.sheets import plan_sheets
from cutopt.solve.shortfall import explain_shortfall
from cutopt.units import Ticks, Units


@dataclass(frozen=True, slots=True)
class Room:
    """What cuts take from a material, ticks.

    Attributes:
        kerf: widest of any saw that may make a cut; layouts allow for it everywhere.
        kerf_bound: finest of any saw that may make a cut; bounds are proved with it.
        spare_length, spare_width: left free of every bought piece, for the store's edges to
            be cut clean at home.
        without: names of stock not to be used.
        rules: that layouts of sheets keep to.
        enough: cost below which no layouts of sheets need be sought.
    """

    kerf: Ticks
    kerf_bound: Ticks
    spare_length: Ticks = Ticks(0)
    spare_width: Ticks = Ticks(0)
    without: frozenset[str] = frozenset()
    rules: CuttingRules = NO_RULES
    enough: int = 0


def problem_name(material: Material) -> str:
    """Give what progress and faults call a material."""
    return material.name if material.section is None else f"{material.name} {material.section}"


def problem_of(job: Job, material: Material, room: Room) -> tuple[Problem, tuple[Stock, ...]]:
    """Give the problem of one material and the stock rows its types stand for.

    Stock whose clean size is nothing once trim and spare room are off is left out.
    """
    measure = measure_of(job, material)
    rows: list[Stock] = []
    types: list[StockType] = []
    for stock in job.stock:
        if stock.material != material or stock.name in room.without:
            continue
        # The store cuts bought stock only, so only that has store edges to clean up.
        spare = (0, 0) if stock.owned else (room.spare_length, room.spare_width)
        left, right, near, far = stock.clean_up
        length = stock.length - left - right - spare[0]
        width = stock.width - near - far - spare[1]
        if length <= 0 or width <= 0:
            continue
        rows.append(stock)
        types.append(
            StockType(
                stock.name,
                Ticks(length),
                Ticks(width),
                cost_of(stock, measure),
                stock.available,
                stock.grain is Grain.LENGTH,
                _clean(stock.bad, left, length),
            )
        )
    items = tuple(
        Item(
            part.id,
            part.blank_length,
            part.blank_width,
            part.qty,
            part.grain,
            part.knots_ok and material.kind is Kind.BOARD,
        )
        for part in job.parts
        if part.material == material
    )
    problem = Problem(
        problem_name(material),
        items,
        tuple(types),
        room.kerf,
        room.kerf_bound,
        priced=measure is Measure.PRICE,
        smallest_offcut=job.shop.smallest_offcut,
        favour=job.favour,
        rules=room.rules if material.kind is Kind.SHEET else NO_RULES,
        enough=room.enough,
    )
    return problem, tuple(rows)


def _clean(
    bad: Sequence[tuple[Ticks, Ticks]], trim: int, length: int
) -> tuple[tuple[Ticks, Ticks], ...]:
    """Give bad spans measured from the clean left end; those within what is trimmed are gone."""
    moved = ((max(0, start - trim), min(length, end - trim)) for start, end in bad)
    return tuple((Ticks(start), Ticks(end)) for start, end in moved if start < end)


def check_fit(job: Job, rooms: Mapping[Material, Room]) -> None:
    """Raise CannotPlanError with a fault for every part or run of the job that no stock holds."""
    names = {part.id: part.name for part in job.parts}
    faults: list[Fault] = []
    for material, room in rooms.items():
        problem = problem_of(job, material, room)[0]
        faults += what_does_not_fit(problem, names, job.units) or too_long(
            problem, _runs(job, material, problem), job.units
        )
    if faults:
        raise CannotPlanError(faults)


def plan_material(
    job: Job, material: Material, room: Room, search: Search, watch: Watch
) -> MaterialLayout:
    """Give the cheapest layouts found for one material.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
    """
    problem, rows = problem_of(job, material, room)
    runs = {run.whole.part: run for run in _runs(job, material, problem)}
    joined = join_runs(problem, list(runs.values()))
    names = {part.id: part.name for part in job.parts}
    names |= {whole: run.title for whole, run in runs.items()}
    engine = _Engine(material.kind, names, job.units)
    try:
        answer = engine.plan(joined, rows, search, watch)
    except CannotPlanError as error:
        asked = replace(room.rules, stages=None) != NO_RULES
        if room.spare_length or room.spare_width or room.without or asked:
            raise  # more is asked for than the job needs: there are other ways to plan it
        raise CannotPlanError(engine.explain(joined, rows, error.faults)) from error
    if material.kind is Kind.SHEET and search.effort and search.second_goals:
        groups = {part.id: part.group for part in job.parts}
        answer = alike(
            joined, answer, lambda batch: engine.plan(batch, rows, search, Quiet(watch)), groups
        )
    if runs and room.kerf_bound < room.kerf:
        # How large a run is hangs on the kerf: what is proved with the finest holds for any saw.
        finest = [replace(run, kerf=room.kerf_bound) for run in runs.values()]
        least = engine.plan(join_runs(problem, finest), rows, Search(effort=0), Quiet(watch))
        answer = replace(answer, lower_bound=min(least.lower_bound, answer.cost), why=least.why)
    if runs:
        answer = replace(answer, why=_with_runs(answer, problem, engine, rows, watch))
    freed = {
        part.id
        for part in job.parts
        if part.material == material and (from_either(job.stock, part) or other_sections(job, part))
    }
    own = tuple(item for item in problem.items if item.part not in freed)
    if len(own) < len(problem.items):
        apart = (
            engine.plan(replace(problem, items=own), rows, search, Quiet(watch)) if own else None
        )
        answer = _bounded_by(answer, apart.lower_bound if apart is not None else 0)
    return MaterialLayout(
        material,
        tuple(
            LaidPiece(rows[pattern.stock], part_runs(pattern.layout, runs))
            for pattern in answer.patterns
        ),
        answer.cost,
        answer.lower_bound,
        answer.why,
        answer.next_best,
        answer.limit_hit,
    )


def _runs(job: Job, material: Material, problem: Problem) -> tuple[Run, ...]:
    parts = [part for part in job.parts if part.material == material]
    return runs_of(parts, problem.kerf, problem.stock)


def _with_runs(
    answer: Answer, problem: Problem, engine: _Engine, rows: Sequence[Stock], watch: Watch
) -> str:
    """Give where the bound comes from, with what it takes for granted and what that costs."""
    words = [answer.why] if answer.why else []
    words.append("each run counts as one part")
    try:
        loose = engine.plan(problem, rows, Search(effort=0), Quiet(watch))
    except CannotPlanError:  # stock that suffices with the runs may take more search without
        return "; ".join(words)
    if loose.cost < answer.cost and len(loose.patterns) < len(answer.patterns):
        few, many = len(loose.patterns), len(answer.patterns)
        words.append(f"with their parts apart, {few} instead of {many} pieces of stock would do")
    return "; ".join(words)


def _bounded_by(answer: Answer, lower_bound: int) -> Answer:
    """Give the answer with the bound of the parts that can come from no other boards."""
    if lower_bound >= answer.cost:
        return answer
    return replace(
        answer,
        lower_bound=min(lower_bound, answer.lower_bound),
        why="not proved: which widths of board are cheapest for all parts together",
    )


@dataclass(frozen=True, slots=True)
class _Engine:
    """Plans problems of one kind of material with what is made for them."""

    kind: Kind
    names: Mapping[str, str]
    units: Units

    def plan(self, problem: Problem, rows: Sequence[Stock], search: Search, watch: Watch) -> Answer:
        """Give the answer to a problem; ``rows`` are the stock its types stand for."""
        if self.kind is Kind.SHEET:
            return plan_sheets(problem, search, watch, names=self.names, units=self.units)
        if all(item.width == held.width for item in problem.items for held in problem.stock):
            if any(held.bad for held in problem.stock):
                return plan_measured(problem, search, watch, names=self.names, units=self.units)
            return plan_boards(problem, search, watch, names=self.names, units=self.units)
        rips = [row.rip for row in rows]
        ripped = rip_measured if any(held.bad for held in problem.stock) else rip_boards
        return ripped(problem, rips, search, watch, names=self.names, units=self.units)

    def explain(
        self, problem: Problem, rows: Sequence[Stock], known: Sequence[Fault]
    ) -> list[Fault]:
        """Give why a problem that cannot be planned cannot, and what would do."""

        def plan_again(changed: Problem, origin: Sequence[int]) -> Answer:
            held = [rows[number] for number in origin]
            return self.plan(changed, held, Search(effort=0), Unwatched())

        return explain_shortfall(problem, self.kind, known, plan_again, self.names, self.units)
