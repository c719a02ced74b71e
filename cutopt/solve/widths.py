"""Which widths of board the parts of a lumber come from: two purchases, and the better taken.

In one every part comes from the boards as wide as it is; in the other narrower parts are
ripped from wider boards wherever that is cheaper, copies of one part from several widths if
need be. Only money is compared. Ripping is work, so it has to save a share of the money.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import measure_of
from cutopt.model.job import Grain, Job, Material, Part, Stock
from cutopt.model.layout import Blank, Direction, Layout, MaterialLayout, blanks_of, least_size
from cutopt.model.plan import Measure, Offer
from cutopt.solve.boards_search import Quiet
from cutopt.solve.lumber import Lumber
from cutopt.solve.lumber_plan import plan_lumber
from cutopt.solve.material import Room, plan_material, problem_of
from cutopt.solve.params import Answer, Item, Problem, Search, Watch
from cutopt.solve.sections import gives, is_kin, other_sections
from cutopt.units import Ticks

PROVED = "no other widths of board are cheaper for all parts together"
NOT_PROVED = "not proved: which widths of board are cheapest for all parts together"

CHEAPER_RIPPED = "ripping narrower parts from wider boards is cheaper and was not taken"

RoomOf = Callable[[Job, Material], Room]


@dataclass(frozen=True, slots=True)
class Bound:
    """What no purchase of a lumber costs less than, all its widths together."""

    materials: frozenset[Material]
    cost: int


@dataclass(frozen=True, slots=True)
class Tried:
    """An offer, and the purchase that it leaves for the other one.

    Attributes:
        offer: figures as first planned.
        cost: of the purchase that is not taken, cents.
        rips: that one takes.
        kerf: that both were planned with.
    """

    offer: Offer
    cost: int
    rips: int
    kerf: Ticks


@dataclass(frozen=True, slots=True)
class Widths:
    """The widths chosen.

    Attributes:
        planned: the job to plan: a part whose copies come from several widths of board stands
            there once for each, under one id.
        told: the job with every part once, to be told of.
        tried: lumber that is cheaper with ripping, whether that is taken or not.
        bounds: for each lumber with several widths to choose from.
    """

    planned: Job
    told: Job
    tried: tuple[Tried, ...] = ()
    bounds: tuple[Bound, ...] = ()


def choose_widths(
    job: Job, room_of: RoomOf, search: Search, watch: Watch, *, rip: bool = True
) -> Widths:
    """Give the widths of board that the parts come from.

    Args:
        job: with each part on the boards that suit it alone.
        room_of: gives what cuts take from a material of a job.
        search: how hard to try.
        watch: may end the search; hears nothing.
        rip: take ripping that saves enough; else only where there is no other way.
    """
    chosen = Widths(job, job)
    quick = replace(search, effort=min(search.effort, 1), second_goals=False)
    done: set[Material] = set()
    for part in job.parts:
        if part.material in done or not other_sections(job, part):
            continue
        lumber = tuple(
            dict.fromkeys(row.material for row in job.stock if is_kin(row.material, part.material))
        )
        done.update(lumber)
        priced = all(measure_of(job, material) is Measure.PRICE for material in lumber)
        if priced and not any(row.bad for row in job.stock if row.material in lumber):
            chosen = _Choice(job, lumber, room_of, quick, Quiet(watch)).add_to(chosen, rip)
    return chosen


@dataclass(frozen=True, slots=True)
class _Choice:
    """One lumber of a job: all its widths, planned both ways."""

    job: Job
    lumber: tuple[Material, ...]
    room_of: RoomOf
    search: Search
    watch: Watch

    def add_to(self, chosen: Widths, rip: bool) -> Widths:
        """Give the widths chosen so far with those of this lumber."""
        alone = self._alone()
        cost = None if alone is None else sum(layout.cost for layout in alone)
        problem, rows = self._problem()
        suits = tuple(tuple(self._gives(row, part) for part in self._parts()) for row in rows)
        mixed = plan_lumber(Lumber(problem, suits), self.search, self.watch, cost)
        if mixed is None:
            return chosen
        bound = Bound(frozenset(self.lumber), mixed.lower_bound)
        chosen = replace(chosen, bounds=(*chosen.bounds, bound))
        offer = None if alone is None else self._offer(alone, mixed, rows, problem, rip=rip)
        if offer is not None:
            chosen = replace(chosen, tried=(*chosen.tried, offer))
        if cost is None or (offer is not None and offer.offer.taken):
            return self._moved(chosen, _copies(mixed, rows))
        return chosen

    def _parts(self) -> tuple[Part, ...]:
        return tuple(part for part in self.job.parts if part.material in self.lumber)

    def _gives(self, row: Stock, part: Part) -> bool:
        if row.material == part.material:
            return row.width == part.blank_width or (row.rip and row.width > part.blank_width)
        return not part.section_named and gives(self.job.shop, row, part)

    def _alone(self) -> tuple[MaterialLayout, ...] | None:
        """Give layouts with every part on the boards that suit it alone; None where none do."""
        job = self.job
        try:
            return tuple(
                plan_material(job, material, self.room_of(job, material), self.search, self.watch)
                for material in job.materials
                if material in self.lumber
            )
        except CannotPlanError:
            return None

    def _problem(self) -> tuple[Problem, tuple[Stock, ...]]:
        """Give the problem of all widths together and the rows its stock stands for."""
        rooms = [self.room_of(self.job, material) for material in self.lumber]
        problems = [
            problem_of(self.job, material, room)
            for material, room in zip(self.lumber, rooms, strict=True)
        ]
        items = tuple(
            Item(part.id, part.blank_length, part.blank_width, part.qty, Grain.LENGTH)
            for part in self._parts()
        )
        together = replace(
            problems[0][0],
            what=self.lumber[0].name,
            items=items,
            stock=tuple(
                replace(held, grain=True) for problem, _ in problems for held in problem.stock
            ),
            kerf=max(room.kerf for room in rooms),
            kerf_bound=min(room.kerf_bound for room in rooms),
        )
        return together, tuple(row for _, rows in problems for row in rows)

    def _offer(
        self,
        alone: Sequence[MaterialLayout],
        mixed: Answer,
        rows: Sequence[Stock],
        problem: Problem,
        *,
        rip: bool,
    ) -> Tried | None:
        """Give what ripping saves, or None where it saves nothing."""
        cost = sum(layout.cost for layout in alone)
        saving = cost - mixed.cost
        if saving <= 0:
            return None
        least = self.job.shop.rip_saving
        taken = rip and 100 * saving >= least * cost
        ripped = sum(
            _rips(pattern.layout, rows[pattern.stock].width, problem.kerf)
            for pattern in mixed.patterns
        )
        rips = count_rips(alone, problem.kerf)
        swaps = self._swaps(_copies(mixed, rows))
        offer = Offer(self.lumber[0], swaps, cost, saving, ripped - rips, least, taken)
        other = (cost, rips) if taken else (mixed.cost, ripped)
        return Tried(offer, *other, problem.kerf)

    def _swaps(self, copies: Mapping[tuple[str, Material], int]) -> tuple[tuple[str, str], ...]:
        """Give which sections are ripped out of which that would not be without."""
        sections = {row.width: row.material.section or "" for row in self.job.stock
                    if row.material in self.lumber}  # fmt: skip
        swaps = {
            (width, max(row.width for row in self.job.stock if row.material == material)): material
            for part in self._parts()
            for (part_id, material), count in copies.items()
            if part_id == part.id and count and material != part.material
            for width in (part.blank_width,)
        }
        return tuple(
            (sections.get(narrow, ""), material.section or "")
            for (narrow, wide), material in sorted(swaps.items(), key=lambda swap: swap[0])
            if narrow < wide
        )

    def _moved(self, chosen: Widths, copies: Mapping[tuple[str, Material], int]) -> Widths:
        """Give the widths with every copy of this lumber's parts where it was cut from."""
        planned: list[Part] = []
        told: list[Part] = []
        for part in chosen.told.parts:
            if part.material not in self.lumber:
                planned.extend(p for p in chosen.planned.parts if p.id == part.id)
                told.append(part)
                continue
            places = {
                material: count
                for material in (part.material, *self.lumber)
                if (count := copies.get((part.id, material), 0))
            }
            planned.extend(
                replace(part, material=material, qty=count) for material, count in places.items()
            )
            told.append(replace(part, material=next(iter(places))))
        return replace(
            chosen,
            planned=replace(chosen.planned, parts=tuple(planned)),
            told=replace(chosen.told, parts=tuple(told)),
        )


def _copies(answer: Answer, rows: Sequence[Stock]) -> dict[tuple[str, Material], int]:
    """Give how many copies of each part come from each width of board."""
    return Counter(
        (blank.part, rows[pattern.stock].material)
        for pattern in answer.patterns
        for blank in blanks_of(pattern.layout)
    )


def count_rips(layouts: Sequence[MaterialLayout], kerf: int) -> int:
    """Give how many rips it takes to cut boards by their layouts."""
    return sum(
        _rips(piece.layout, piece.stock.width, kerf)
        for layout in layouts
        for piece in layout.pieces
    )


def _rips(layout: Layout, width: int, kerf: int) -> int:
    """Give how many rips a layout takes in a piece of some width."""
    if isinstance(layout, Blank):
        return int(layout.width < width)
    if layout.direction is Direction.CROSSCUT:
        return sum(_rips(child, width, kerf) for child in layout.children)
    across = [least_size(child, kerf)[1] for child in layout.children]
    inner = sum(
        _rips(child, wide, kerf) for child, wide in zip(layout.children, across, strict=True)
    )
    left = width - sum(across) - kerf * (len(across) - 1)
    return inner + len(across) - 1 + int(left > 0)


def settle_offers(widths: Widths, layouts: Sequence[MaterialLayout]) -> tuple[Offer, ...]:
    """Give the offers with what the plan really costs; those that save nothing are gone."""
    settled = []
    for tried in widths.tried:
        offer = tried.offer
        of_lumber = [held for held in layouts if is_kin(held.material, offer.lumber)]
        cost = sum(held.cost for held in of_lumber)
        rips = count_rips(of_lumber, tried.kerf)
        if offer.taken:
            saving, more = tried.cost - cost, rips - tried.rips
        else:
            saving, more = cost - tried.cost, tried.rips - rips
        whole = tried.cost if offer.taken else cost
        if saving > 0:
            offer = replace(offer, cost_cents=whole, saving_cents=saving, more_rips=more)
            settled.append(offer)
    return tuple(settled)


def share_bounds(
    layouts: Sequence[MaterialLayout], bounds: Sequence[Bound], offers: Sequence[Offer] = ()
) -> tuple[MaterialLayout, ...]:
    """Give the layouts with the bound of each lumber shared out among its widths.

    Each keeps what its parts that come from no other width prove. What the bound of all
    together is above their sum is shared in proportion to what each costs above its own, so
    that the shares add up to no more than that bound.

    Args:
        layouts: of all materials.
        bounds: for each lumber with several widths to choose from.
        offers: that were made; where one is not taken, a cheaper purchase is known.
    """
    passed = {offer.lumber for offer in offers if not offer.taken}
    shared = list(layouts)
    for bound in bounds:
        places = [n for n, layout in enumerate(shared) if layout.material in bound.materials]
        gaps = [shared[n].cost - shared[n].lower_bound for n in places]
        least = sum(shared[n].lower_bound for n in places)
        more = min(bound.cost - least, sum(gaps))
        for n, gap in zip(places, gaps, strict=True):
            if not gap:
                continue
            share = max(0, more) * gap // sum(gaps)
            why = PROVED if more >= sum(gaps) else NOT_PROVED
            shared[n] = replace(
                shared[n],
                lower_bound=shared[n].lower_bound + share,
                why=CHEAPER_RIPPED if passed & bound.materials else why,
            )
    return tuple(shared)
