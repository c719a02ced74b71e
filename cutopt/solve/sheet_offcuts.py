"""Which parts that boards give come from sheets of their wood: ways tried, the cheapest taken.

None from sheets, all of them, and as many as find room on the sheets that must be bought
anyway, or on one more: those first whose boards cost most, or the longest, or the smallest.
Each way is planned, sheets and boards, and only money is compared. Ripping is work, so it has
to save a share of what the boards cost without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import measure_of
from cutopt.model.job import Grain, Job, Kind, Material, Part, Stock
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import Measure, Offer
from cutopt.model.sources import (
    board_gives,
    boards_among,
    from_either,
    same_wood,
    sheets_among,
)
from cutopt.solve.boards_search import Quiet
from cutopt.solve.material import plan_material, problem_of
from cutopt.solve.offcut_bounds import bound_of_wood
from cutopt.solve.params import Search, Watch
from cutopt.solve.widths import (
    NOT_PROVED,
    PROVED,
    Bound,
    RoomOf,
    Tried,
    Widths,
    choose_widths,
    count_rips,
    share_bounds,
)
from cutopt.units import Ticks

SHEETS_PROVED = "no other sharing out among sheets and boards is cheaper"
SHEETS_NOT_PROVED = "not proved: what is cheapest for sheets and boards together"
CHEAPER_FROM_SHEETS = "narrow parts from sheets are cheaper and were not taken"

Moved = Mapping[str, int]
"""How many copies of each part come from sheets instead of boards, by id."""

_MOST_FITS = 12
"""Times that a sheet is tried for more parts, in one order of them."""
_MOST_RETURNS = 12
"""Parts of the cheapest way that are tried on boards again, at no more cost."""


@dataclass(frozen=True, slots=True)
class Sources:
    """What comes from sheets, and what is known of that.

    Attributes:
        job: as read.
        moved: copies from sheets of parts that boards give.
        tried: wood that is cheaper with parts from sheets, whether that is taken or not.
        bounds: of each wood, its sheets and boards together.
    """

    job: Job
    moved: Moved = field(default_factory=dict)
    tried: tuple[Tried, ...] = ()
    bounds: tuple[Bound, ...] = ()

    def of_boards(self) -> Job:
        """Give the job without what comes from sheets instead of boards."""
        return _without(self.job, self.moved)

    def together(self, widths: Widths) -> Widths:
        """Give the widths of board chosen, with what comes from sheets and bounds for those."""
        if not (self.moved or self.bounds):
            return widths
        planned: list[Part] = []
        told: list[Part] = []
        here = {part.id: part for part in widths.told.parts}
        for part in self.job.parts:
            rest = [kept for kept in widths.planned.parts if kept.id == part.id]
            count = self.moved.get(part.id, 0)
            if not count:
                planned += rest
                told.append(here[part.id])
                continue
            on_sheet = on_sheets(self.job, part, count)
            planned += [on_sheet, *rest]
            where = here[part.id].material if rest else on_sheet.material
            told.append(replace(on_sheet, material=where, qty=part.qty))
        shared = frozenset(material for bound in self.bounds for material in bound.materials)
        return replace(
            widths,
            planned=replace(widths.planned, parts=tuple(planned)),
            told=replace(widths.told, parts=tuple(told)),
            bounds=tuple(bound for bound in widths.bounds if not bound.materials & shared),
        )

    def settle(self, layouts: Sequence[MaterialLayout]) -> tuple[Offer, ...]:
        """Give the offers with what the plan really costs; those that save nothing are gone."""
        settled = []
        for tried in self.tried:
            offer = tried.offer
            wood = [held for held in layouts if same_wood(held.material, offer.lumber)]
            cost, rips = sum(held.cost for held in wood), count_rips(wood, tried.kerf)
            saving, more = tried.cost - cost, rips - tried.rips
            if not offer.taken:
                saving, more = -saving, -more
            if saving > 0:
                settled.append(replace(offer, saving_cents=saving, more_rips=more))
        return tuple(settled)

    def share(
        self, layouts: Sequence[MaterialLayout], offers: Sequence[Offer]
    ) -> tuple[MaterialLayout, ...]:
        """Give the layouts with the bound of each wood shared out among its sheets and boards."""
        passed = [offer.lumber for offer in offers if offer.from_sheets and not offer.taken]
        woods = frozenset(material for bound in self.bounds for material in bound.materials)
        words = {PROVED: SHEETS_PROVED, NOT_PROVED: SHEETS_NOT_PROVED}
        shared = []
        for before, after in zip(layouts, share_bounds(layouts, self.bounds), strict=True):
            layout = after
            if after.material in woods and before.lower_bound < before.cost:
                cheaper = any(same_wood(after.material, lumber) for lumber in passed)
                why = CHEAPER_FROM_SHEETS if cheaper else words[after.why]
                layout = replace(after, why=why)
            shared.append(layout)
        return tuple(shared)


def on_sheets(job: Job, part: Part, count: int) -> Part:
    """Give a part that boards give as it comes from sheets: along their grain, where they have it.

    Grain is asked for where any sheet of the wood has it.
    """
    material = Material(part.material.name, Kind.SHEET, part.material.thickness)
    grained = any(row.material == material and row.grain is Grain.LENGTH for row in job.stock)
    grain = Grain.LENGTH if grained else part.grain
    return replace(part, material=material, qty=count, grain=grain)


def choose_sources(
    job: Job, room_of: RoomOf, search: Search, watch: Watch, *, sheets: bool = True
) -> Sources:
    """Give which copies of parts that boards give come from sheets.

    Args:
        job: with each part on sheets or on boards.
        room_of: gives what cuts take from a material of a job.
        search: how hard to try.
        watch: may end the search; hears nothing.
        sheets: take sheets where that saves enough; else only where there is no other way.
    """
    chosen = Sources(job)
    quick = replace(search, effort=min(search.effort, 1), second_goals=False)
    done: list[Material] = []
    for part in job.parts:
        material = part.material
        if any(same_wood(material, one) for one in done) or not from_either(job.stock, part):
            continue
        done.append(material)
        wood = [row for row in job.stock if same_wood(row.material, material)]
        priced = all(measure_of(job, row.material) is Measure.PRICE for row in wood)
        if priced and not any(row.bad for row in wood):
            choice = _Choice(job, wood, room_of, quick, Quiet(watch))
            chosen = choice.add_to(chosen, sheets=sheets)
    return chosen


def _without(job: Job, moved: Moved) -> Job:
    """Give a job without copies that come from elsewhere."""
    left = (replace(part, qty=part.qty - moved.get(part.id, 0)) for part in job.parts)
    return replace(job, parts=tuple(part for part in left if part.qty > 0))


def _kept_there(part: Part) -> Part:
    """Give a part that comes from no other stock: what is proved of the rest is not asked for."""
    return replace(part, section_named=True)


@dataclass(frozen=True, slots=True)
class _Way:
    """One way planned: what comes from sheets, and the layouts of the wood."""

    moved: Moved
    layouts: tuple[MaterialLayout, ...]

    @property
    def cost(self) -> int:
        """Of sheets and boards together, cents."""
        return sum(layout.cost for layout in self.layouts)

    @property
    def worth(self) -> tuple[int, int]:
        """What two ways are compared by: cost, then copies from sheets."""
        return self.cost, sum(self.moved.values())


class _Choice:
    """One wood of a job: its sheets and its boards."""

    def __init__(
        self, job: Job, wood: Sequence[Stock], room_of: RoomOf, search: Search, watch: Watch
    ) -> None:
        """Take the rows of the wood, what cuts take from it, and how hard to try."""
        parts = tuple(part for part in job.parts if same_wood(part.material, wood[0].material))
        self._job = replace(job, parts=parts)
        self._wood = wood
        self._room_of = room_of
        self._search = search
        self._watch = watch
        self._free = [part for part in parts if from_either(job.stock, part)]
        self._planned: dict[tuple[tuple[tuple[str, int], ...], int], _Way | None] = {}

    def add_to(self, chosen: Sources, *, sheets: bool) -> Sources:
        """Give what was chosen so far, with what comes from the sheets of this wood."""
        draft = self._fewest(self._ways())
        alone = self._plan({}, self._search)
        best = self._plan(draft, self._search) if draft is not None else None
        if best is None or (alone is not None and alone.worth <= best.worth):
            best = alone
        if best is None:
            return chosen
        bound = self._bound(best.cost)
        chosen = replace(chosen, bounds=(*chosen.bounds, bound))
        if alone is None:
            return replace(chosen, moved={**chosen.moved, **best.moved})
        saving = alone.cost - best.cost
        if saving <= 0:
            return chosen
        boards = sum(one.cost for one in alone.layouts if one.material.kind is Kind.BOARD)
        least = self._job.shop.rip_saving
        taken = sheets and 100 * saving >= least * boards
        rips = {way: count_rips(layouts, self._kerf) for way, layouts in
                (("alone", alone.layouts), ("best", best.layouts))}  # fmt: skip
        offer = Offer(
            boards_among(self._wood)[0].material,
            (),
            boards,
            saving,
            rips["best"] - rips["alone"],
            least,
            taken,
            tuple((part.name, best.moved[part.id]) for part in self._free if part.id in best.moved),
        )
        other = (alone.cost, rips["alone"]) if taken else (best.cost, rips["best"])
        tried = (*chosen.tried, Tried(offer, *other, self._kerf))
        moved = {**chosen.moved, **best.moved} if taken else chosen.moved
        return replace(chosen, tried=tried, moved=moved)

    @property
    def _kerf(self) -> Ticks:
        return max(self._room_of(self._job, row.material).kerf for row in self._wood)

    def _ways(self) -> Iterator[Moved]:
        """Give what may come from sheets, way by way."""
        yield {}
        yield {part.id: part.qty for part in self._free}
        sheet = self._sheet_cost({}, 0)
        if sheet is None:
            return
        prices = [row.price_cents or 0 for row in sheets_among(self._wood) if row.available != 0]
        budgets = [sheet, sheet + min((price for price in prices if price), default=0)]
        orders: list[Callable[[Part], tuple[float, ...]]] = [
            lambda part: (-self._price_on_boards(part),),
            lambda part: (-part.blank_length, -part.blank_width),
            lambda part: (part.blank_length * part.blank_width,),
        ]
        for budget in dict.fromkeys(budgets):
            for order in orders:
                if not self._watch.stopped():
                    yield self._filled(sorted(self._free, key=order), budget)

    def _fewest(self, ways: Iterable[Moved]) -> Moved | None:
        """Give the way that costs least, with as few copies from sheets as do for it.

        Parts that cost no more on boards go back to them, those of the last rows first.
        """
        quick = replace(self._search, effort=0)
        drafts = [draft for way in ways if (draft := self._plan(way, quick)) is not None]
        best = min(drafts, key=lambda draft: draft.worth, default=None)
        if best is None:
            return None
        moved = [part for part in reversed(self._free) if part.id in best.moved]
        for part in moved[:_MOST_RETURNS]:
            less = {name: count for name, count in best.moved.items() if name != part.id}
            draft = self._plan(less, quick)
            if draft is not None and draft.cost <= best.cost:
                best = draft
        return best.moved

    def _price_on_boards(self, part: Part) -> float:
        """Give what the length of board that a part takes costs at least, cents."""
        kerf = self._kerf
        return min(
            (row.price_cents or 0)
            * (part.blank_length + kerf)
            / row.length
            / max(1, (row.width + kerf) // (part.blank_width + kerf))
            for row in boards_among(self._wood)
            if board_gives(row, part.blank_length, part.blank_width)
        )

    def _filled(self, order: Sequence[Part], budget: int) -> Moved:
        """Give as many copies as sheets of a cost hold beside what must come from sheets."""
        moved: dict[str, int] = {}
        fits = 0
        for part in order:
            low, high = 0, part.qty
            while low < high and fits < _MOST_FITS:
                # All first: most often all find room, or the half of them.
                count = high if high == part.qty else (low + high + 1) // 2
                fits += 1
                cost = self._sheet_cost({**moved, part.id: count}, budget)
                if cost is not None and cost <= budget:
                    low = count
                else:
                    high = count - 1
            if low:
                moved[part.id] = low
        return moved

    def _sheet_cost(self, moved: Moved, enough: int) -> int | None:
        """Give what the sheets cost with copies from them, or None where they do not do."""
        own = (
            part
            for part in self._job.parts
            if part.material.kind is Kind.SHEET and part not in self._free
        )
        more = (
            on_sheets(self._job, part, moved[part.id]) for part in self._free if part.id in moved
        )
        job = replace(self._job, parts=tuple(_kept_there(part) for part in (*own, *more)))
        quick = replace(self._search, effort=0)
        try:
            return sum(self._laid(job, material, quick, enough).cost for material in job.materials)
        except CannotPlanError:
            return None

    def _plan(self, moved: Moved, search: Search) -> _Way | None:
        """Give a way planned, sheets and boards; None where the stock does not do for it."""
        key = tuple(sorted(moved.items())), search.effort
        if key not in self._planned:
            self._planned[key] = self._lay(moved, search)
        return self._planned[key]

    def _lay(self, moved: Moved, search: Search) -> _Way | None:
        sources = Sources(self._job, moved)
        try:
            widths = choose_widths(sources.of_boards(), self._room_of, search, self._watch)
            planned = sources.together(widths).planned
            job = replace(planned, parts=tuple(_kept_there(part) for part in planned.parts))
            layouts = [self._laid(job, material, search) for material in job.materials]
        except CannotPlanError:
            return None
        return _Way(moved, tuple(layouts))

    def _laid(
        self, job: Job, material: Material, search: Search, enough: int = 0
    ) -> MaterialLayout:
        room = replace(self._room_of(job, material), enough=enough)
        return plan_material(job, material, room, search, self._watch)

    def _bound(self, cost: int) -> Bound:
        """Give what no purchase of the wood costs less than."""
        job = self._job
        materials = tuple(dict.fromkeys(row.material for row in self._wood))
        rooms = [self._room_of(job, material) for material in materials]
        problems = [problem_of(job, m, room) for m, room in zip(materials, rooms, strict=True)]
        together = replace(
            problems[0][0],
            items=tuple(item for problem, _ in problems for item in problem.items),
            stock=tuple(
                replace(held, grain=held.grain or m.kind is Kind.BOARD)
                for m, (problem, _) in zip(materials, problems, strict=True)
                for held in problem.stock
            ),
            kerf=max(room.kerf for room in rooms),
            kerf_bound=min(room.kerf_bound for room in rooms),
        )
        own = self._own_bounds()
        parts = tuple(part for m in materials for part in job.parts if part.material == m)
        rows = tuple(row for _, held in problems for row in held)
        quick = replace(self._search, effort=0)
        bound = bound_of_wood(together, rows, parts, own, cost, quick, self._watch)
        return Bound(frozenset(materials), max(bound, sum(own)))

    def _own_bounds(self) -> tuple[int, int]:
        """Give what parts from nothing but sheets, and nothing but boards, cost at least."""
        found = {Kind.SHEET: 0, Kind.BOARD: 0}
        own = tuple(part for part in self._job.parts if part not in self._free)
        job = replace(self._job, parts=own)
        for material in job.materials:
            found[material.kind] += self._laid(job, material, self._search).lower_bound
        return found[Kind.SHEET], found[Kind.BOARD]
