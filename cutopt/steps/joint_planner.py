"""Layouts of a material sawn, and laid out again where store, car and saws ask for it.

A layout knows nothing of rough edges and cars. It is planned, parted at the store and sawn;
where that leaves a piece that does not fit the car, or a cut no saw makes, layouts are asked
for again by rules: which way the first cuts go, what their rough edges take, how wide a strip
they may leave; or that fit the pieces a car takes, two or three to a sheet. The cheapest that
leaves least amiss is kept, unless it costs much more than the first: then that is kept, and
what the other would cost is said. Of ways as cheap as each other the one with fewer thin and
narrow rips at home is taken. What the first layouts prove about the least cost stays
true, since more is asked of the others.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Job, Kind, Material
from cutopt.model.layout import LaidPiece, LimitPrice, MaterialLayout
from cutopt.model.plan import Measure, Node, StockPiece
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.few_parts import other_layouts
from cutopt.steps.joint_ways import Solve, Way, side_by_side, ways, ways_for_saws
from cutopt.steps.materials import cost_words
from cutopt.steps.money import format_money
from cutopt.steps.narrow_rips import narrow_rips
from cutopt.steps.phrase import listed
from cutopt.steps.remedies import Remedy, changes_that_do, remedies_in_words
from cutopt.steps.sawing_pieces import MisfitError
from cutopt.steps.sawing_rounds import saw_piece
from cutopt.steps.sawing_saws import kerfs, store_may_cut
from cutopt.steps.sawing_warnings import Trouble, trouble_with
from cutopt.units import Ticks

MOST_PROMISING = 2
"""Drafts that are made again with full effort."""

MOST_EXTRA_PERCENT = 25
"""What the car and the saws at home may add to the cost of a material, in percent of the
cheapest plan, or the price of its dearest piece where that is more; our own choice."""


@dataclass(frozen=True, slots=True)
class SawnMaterial:
    """The layouts of a material and their trees, not numbered yet.

    Attributes:
        amiss: pieces that do not fit the car, cuts that no saw makes.
        cost: stock and the store's fees: together, or one after the other where stock has
            no price.
        money: what of the cost is known in money, cents.
        fees: what the store asks for its cuts, cents.
        narrow: rips at home that leave thin strips with parts in them, and narrow ones.
    """

    layout: MaterialLayout
    pieces: tuple[StockPiece, ...]
    amiss: tuple[int, int]
    cost: tuple[int, int]
    money: int
    fees: int
    narrow: tuple[int, int]

    @property
    def worth(self) -> tuple[tuple[int, int], tuple[int, int], tuple[int, int]]:
        """What two ways are compared by: the lesser is the better."""
        return self.amiss, self.cost, self.narrow


class Planner:
    """Lays materials out and saws them, first as cheaply as can be, then otherwise."""

    def __init__(
        self, job: Job, solve: Solve, stopped: Callable[[], bool], most_promising: int
    ) -> None:
        self._job = job
        self._solve = solve
        self._stopped = stopped
        self._most_promising = most_promising
        self._trees: dict[LaidPiece, Node] = {}

    def first(self, material: Material) -> SawnMaterial:
        """Give the cheapest layouts sawn, with what the limit on levels of cuts costs in words."""
        rules = self._rules(material)
        if rules == NO_RULES:
            return self._saw(self._solve(material, Ticks(0), Ticks(0)))
        layout = self._solve(material, Ticks(0), Ticks(0), rules=rules)
        if not (layout.proven or self._stopped()):
            free = self._solve(material, Ticks(0), Ticks(0), draft=True)
            bound = max(layout.lower_bound, min(free.lower_bound, layout.cost))
            layout = replace(layout, lower_bound=bound)
            if free.cost < layout.cost:
                less = f"{self._say(material, free.cost)} would do with more levels of cuts"
                layout = replace(layout, why=f"{layout.why}; {less}" if layout.why else less)
        return self._saw(layout)

    def _rules(self, material: Material) -> CuttingRules:
        """Give what every layout of a material keeps to."""
        stages = self._job.shop.stages
        if stages is None or material.kind is Kind.BOARD:
            return NO_RULES
        return CuttingRules(stages)

    def improved(
        self, first: SawnMaterial, left: int | None
    ) -> tuple[SawnMaterial, list[SawnMaterial]]:
        """Give the best way found to lay out and saw a material, and all ways that were tried.

        Args:
            first: the cheapest layouts of it, sawn.
            left: money that may be spent beyond the first plan, cents; None for no limit.
        """
        if not any(first.amiss) and not first.fees:
            return self._without_thin_strips(first), []
        moved = self._rearranged(first)
        if not any(moved.amiss) and moved.cost[0] == first.layout.cost:
            return self._explained(first, moved), []
        tried = [moved, *self._tried(first, left)]
        allowed = [sawn for sawn in tried if self._affordable(first, sawn, left)]
        best = min([first, *allowed], key=lambda sawn: sawn.worth)
        if best is not first and best is not moved:
            best = min(best, self._rearranged(best), key=lambda sawn: sawn.worth)
        return self._explained(first, best), tried

    def _rearranged(self, sawn: SawnMaterial) -> SawnMaterial:
        """Give the layouts with what is amiss or asks a fee mended by moving parts about.

        Only within a piece of stock that holds few parts.
        """
        kerf = kerfs(self._job, sawn.layout.material)[0]
        pieces = []
        for laid in sawn.layout.pieces:
            best, least = laid, self._trouble(laid, self._trees[laid])
            if any(least):
                job = self._asking_less(least)
                for other in other_layouts(self._job, laid, kerf):
                    if self._stopped() or not any(least):
                        break
                    with suppress(MisfitError):
                        # Other orders of its parts are among the other layouts.
                        tree = saw_piece(job, other, kerf, regroup=False).node
                        trouble = self._trouble(other, tree)
                        if trouble < least:
                            best, least, job = other, trouble, self._asking_less(trouble)
            pieces.append(best)
        return self._saw(replace(sawn.layout, pieces=tuple(pieces)))

    def _asking_less(self, trouble: Trouble) -> Job:
        """Give the job with a store that makes fewer paid cuts, where just its fee is amiss."""
        job, store = self._job, self._job.store
        too_large, unsawn, fee = trouble
        if store is None or too_large or unsawn or not fee:
            return job
        paid = fee // store.fee_per_cut_cents
        return replace(job, store=replace(store, most_cuts=store.free_cuts + paid - 1))

    def _trouble(self, laid: LaidPiece, tree: Node) -> Trouble:
        return trouble_with(self._job, StockPiece("", laid.stock, tree))

    def _tried(self, first: SawnMaterial, left: int | None) -> list[SawnMaterial]:
        """Give the material laid out and sawn in other ways.

        Drafts come quickly and mostly do; full effort is for the most promising of them where
        something stays amiss, or takes dearer stock.
        """
        material = first.layout.material
        used = [piece.stock for piece in first.pieces]
        drafts: list[tuple[SawnMaterial, Way]] = []
        for way in ways(self._job, material, used, first.amiss):
            sawn = self._lay_and_saw(first.layout, way, draft=True)
            if sawn is not None:
                drafts.append((sawn, way))
                if not any(sawn.amiss) and sawn.cost <= first.cost and sawn.worth < first.worth:
                    return [sawn]
        tried = [sawn for sawn, _ in drafts]
        allowed = [first, *(sawn for sawn in tried if self._affordable(first, sawn, left))]
        best = min(allowed, key=lambda sawn: sawn.worth)
        if not any(best.amiss) and best.layout.cost <= first.layout.cost:
            return tried
        drafts.sort(key=lambda draft: draft[0].worth)
        for _, way in drafts[: self._most_promising]:
            sawn = self._lay_and_saw(first.layout, way, draft=False)
            if sawn is not None:
                tried.append(sawn)
                if not any(sawn.amiss) and sawn.layout.cost <= first.layout.cost:
                    break
        return tried

    def _without_thin_strips(self, first: SawnMaterial) -> SawnMaterial:
        """Give the layouts that leave fewest thin strips at the saw among those that cost no more.

        Nothing is amiss with the first ones.
        """
        material = first.layout.material
        if not first.narrow[0] or material.kind is Kind.BOARD:
            return first
        best, best_way = first, None
        at_store = store_may_cut(self._job, material, owned=False)
        for way in ways_for_saws(self._job, material, at_store=at_store):
            sawn = self._lay_and_saw(first.layout, way, draft=True)
            if sawn is not None and sawn.narrow[0] < best.narrow[0] and sawn.worth < best.worth:
                best, best_way = sawn, way
        if best_way is not None:
            tidier = self._lay_and_saw(first.layout, best_way, draft=False)
            if tidier is not None and tidier.worth <= best.worth:
                best = tidier
        return self._explained(first, best)

    def _lay_and_saw(self, first: MaterialLayout, way: Way, *, draft: bool) -> SawnMaterial | None:
        """Give a material laid out and sawn that way, or None where that cannot be done.

        Layouts that cost what the first ones do need be no cheaper: more is asked of them.
        """
        if self._stopped():
            return None
        material = first.material
        enough = first.cost if way.parting is None else 0
        try:
            stages = self._rules(material).stages
            rules = replace(way.rules, stages=stages)
            if stages is not None and way.parting is not None:
                # The cuts that part the whole piece are the first level, or belong to it.
                rules = CuttingRules(stages, way.parting.direction)
            layout = self._solve(material, way.length, way.width, way.without, draft, rules, enough)
            if self._stopped():
                return None
            if way.parting is not None:
                pieces = side_by_side(layout.pieces, way.parting)
                measure = measure_of(self._job, material)
                cost = sum(cost_of(laid.stock, measure) for laid in pieces)
                layout = replace(layout, pieces=pieces, cost=cost)
            return self._saw(layout)
        except (CannotPlanError, MisfitError):
            return None

    def _saw(self, layout: MaterialLayout) -> SawnMaterial:
        job = self._job
        kerf = kerfs(job, layout.material)[0]
        for laid in layout.pieces:
            if laid not in self._trees:
                self._trees[laid] = saw_piece(job, laid, kerf).node
        pieces = tuple(StockPiece("", laid.stock, self._trees[laid]) for laid in layout.pieces)
        troubles = [trouble_with(job, piece) for piece in pieces]
        fees = sum(fee for _, _, fee in troubles)
        priced = measure_of(job, layout.material) is Measure.PRICE
        narrow = [narrow_rips(job, piece.layout) for piece in pieces]
        return SawnMaterial(
            layout,
            pieces,
            (sum(large for large, _, _ in troubles), sum(unsawn for _, unsawn, _ in troubles)),
            (layout.cost + fees, 0) if priced else (layout.cost, fees),
            layout.cost + fees if priced else fees,
            fees,
            (sum(thin for thin, _ in narrow), sum(many for _, many in narrow)),
        )

    def _affordable(self, first: SawnMaterial, other: SawnMaterial, left: int | None) -> bool:
        """Say whether what other layouts add to the cost is worth it, and can be spent."""
        measure = measure_of(self._job, first.layout.material)
        dearest = max(cost_of(piece.stock, measure) for piece in first.pieces)
        extra = other.cost[0] - first.cost[0]
        if left is not None and other.money - first.money > left:
            return False
        return 100 * extra <= max(MOST_EXTRA_PERCENT * first.cost[0], 100 * dearest)

    def _explained(self, first: SawnMaterial, best: SawnMaterial) -> SawnMaterial:
        """Give the best way with the bound of the first, and what its limits cost in words."""
        if best is first:
            return first
        job, least = self._job, first.layout
        kept = replace(best.layout, lower_bound=least.lower_bound, why=least.why)
        if kept.cost > least.cost:
            by = " and ".join(
                word
                for word, sets in (
                    ("the car", job.carry),
                    ("the store", job.store),
                    ("your saws", first.amiss[1]),
                )
                if sets
            )
            limits = f"{self._say(least.material, least.cost)} would do without the limits of {by}"
            if least.proven:
                kept = replace(kept, why=f"{limits}, and nothing less")
            else:
                kept = replace(kept, why=f"{kept.why}; {limits}" if kept.why else limits)
        return replace(best, layout=kept)

    def priced(
        self, first: SawnMaterial, sawn: SawnMaterial, without: Iterable[tuple[str, Job]]
    ) -> SawnMaterial:
        """Give a material with what each limit adds to its cost, the dearest first.

        Where planning without a limit comes upon a better plan that keeps to it, that is given.

        Args:
            first: the cheapest layouts, sawn.
            sawn: what is done instead.
            without: each limit in words, and the job without it. Drafts do: what they cost
                more than need be makes the price of the limit less, which is said.
        """
        if any(sawn.amiss) or sawn.cost <= (first.layout.cost, 0):
            return sawn
        least = (first.layout.lower_bound, 0)
        found: list[tuple[str, SawnMaterial]] = []
        for limit, job in without:
            if self._stopped():
                break
            planner = Planner(job, self._solve, self._stopped, 0)
            free, _ = planner.improved(planner.first(first.layout.material), None)
            if not any(free.amiss) and free.cost < sawn.cost:
                found.append((limit, free))
        # What was found without a limit may keep to it: then it is the better plan.
        best = sawn
        for _, free in found:
            with suppress(MisfitError):
                kept = self._explained(first, self._saw(free.layout))
                best = min(best, kept, key=lambda one: one.worth)
        prices = tuple(
            LimitPrice(
                limit,
                _count_bought(best) - _count_bought(free),
                best.layout.cost - free.layout.cost,
                best.fees - free.fees,
                free.cost == least,
            )
            for limit, free in sorted(found, key=lambda one: one[1].cost)
            if free.cost < best.cost
        )
        return replace(best, layout=replace(best.layout, limits=prices))

    def remedies(
        self, first: SawnMaterial, best: SawnMaterial, tried: Sequence[SawnMaterial]
    ) -> dict[tuple[Material, str], str]:
        """Give what would put right what is amiss, by the kind of warning it belongs to."""
        return {
            (first.layout.material, about): remedies_in_words(found, for_car=about == "carry")
            for kind, about in enumerate(("carry", "saw"))
            if best.amiss[kind]
            for found in [[*self._changes(best, kind), *self._dearer(first, best, tried, kind)]]
            if found
        }

    def _changes(self, best: SawnMaterial, kind: int) -> list[Remedy]:
        """Give the changes of the job that put right what is amiss with the layouts as they are."""
        amiss = [
            (laid, trouble)
            for laid in best.layout.pieces
            for trouble in [self._trouble(laid, self._trees[laid])]
            if trouble[kind]
        ]
        return changes_that_do(self._job, amiss, kind, self._stopped)

    def _dearer(
        self, first: SawnMaterial, best: SawnMaterial, tried: Sequence[SawnMaterial], kind: int
    ) -> list[Remedy]:
        """Give the cheapest layouts with which nothing is amiss, though they cost more."""
        cures = [sawn for sawn in tried if not any(sawn.amiss[: kind + 1])]
        if not cures:
            return []
        cure = min(cures, key=lambda sawn: sawn.worth)
        bought = Counter(piece.stock.name for piece in cure.pieces if not piece.stock.owned)
        names = listed([f"{count} x {name}" for name, count in bought.items()])
        # A cure that takes no more stock, where stock has no price, asks more in fees.
        extra, cents = cure.cost[0] - best.cost[0], cure.money - best.money
        more = (
            self._say(first.layout.material, extra)
            if extra > 0
            else format_money(cents, self._job.currency)
        )
        return [Remedy(names, f"{more} more", (0, cents))]

    def _say(self, material: Material, cost: int) -> str:
        job = self._job
        return cost_words(cost, measure_of(job, material), job.units, job.currency)


def _count_bought(sawn: SawnMaterial) -> int:
    return sum(not piece.stock.owned for piece in sawn.pieces)
