"""Going on after a mistake: parts that are missing are planned again at least extra money.

What lies on the floor keeps its name, and what can stay as it is planned does.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from cutopt.model.job import Budget, Job, Kind, Part, PlanWarning
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import CountedPart, Cut, Node, PartPiece, Plan, Replans, StockPiece
from cutopt.steps.floor import Copy, Floor
from cutopt.steps.joint import SawnJob
from cutopt.steps.letters import bought_as
from cutopt.steps.pieces import signature
from cutopt.steps.replan_choice import Chosen, Lay, buyable, choose, copies_of, same_run
from cutopt.steps.replan_names import Names
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_warnings import sawing_warnings
from cutopt.steps.summary import summarise

Saw = Callable[[Job], SawnJob]
"""Lays a whole job out and saws it; raises CannotPlanError."""


def replan(plan: Plan, floor: Floor, lay: Lay, saw: Saw, mark: str, file: str) -> Plan:
    """Give the plan that makes all parts that are not made yet.

    Args:
        plan: the plan before.
        floor: what lies there now.
        lay: lays one material out.
        saw: lays a job out and saws it.
        mark: of the plan before.
        file: where that is.

    Raises:
        CannotPlanError: a missing part fits nothing that is there or can be bought.
    """
    return _Replanning(plan, floor, lay, saw).plan_again(mark, file)


class _Replanning:
    """One replanning: the floor by material, and what comes of it."""

    def __init__(self, plan: Plan, floor: Floor, lay: Lay, saw: Saw) -> None:
        self.plan = plan
        self.floor = floor
        self.lay = lay
        self.saw = saw
        self.parts = {part.id: part for part in plan.job.parts}
        self.buyable = buyable(plan, floor)

    def plan_again(self, mark: str, file: str) -> Plan:
        pieces = (*self.floor.kept, *self.floor.unbought)
        materials = dict.fromkeys(
            [piece.stock.material for piece in pieces]
            + [missing.material for missing in self.floor.missing]
        )
        layouts: list[MaterialLayout] = []
        found: list[StockPiece] = []
        changed: list[str] = []
        settled = True
        before = set(self.floor.kept) | set(self.floor.unbought)
        ids = Names(self.plan, self.floor)
        for material in sorted(materials, key=lambda one: one.kind is Kind.BOARD):
            chosen = choose(self.plan, self.floor, self.lay, material)
            ids.stay(chosen.kept)
            settled = settled and chosen.fewest
            found += chosen.kept
            if chosen.job is not None:
                for piece in self._cut(chosen, chosen.job, ids):
                    found.append(piece)
                    if piece not in before:
                        changed.append(piece.id)
            layouts.append(MaterialLayout(material, (), 0, chosen.lower_bound, chosen.why))
        found.sort(key=self._place)
        return self._put_together(found, layouts, changed, ids, mark, file, settled)

    def _place(self, piece: StockPiece) -> tuple[bool, int, bool, int, str]:
        """Give what pieces are sorted by: sheets first, as in the plan before, then new ones."""
        is_board, material = piece.stock.kind is Kind.BOARD, piece.stock.material
        came_from = [
            (len(old.id) if piece.id.startswith(old.id) else 0, -place)
            for place, old in enumerate(self.plan.pieces)
            if bought_as(old.id) == bought_as(piece.id)
        ]
        if came_from:
            return is_board, -max(came_from)[1], False, len(piece.id), piece.id
        alike = [n for n, old in enumerate(self.plan.pieces) if old.stock.material == material]
        place = max(alike, default=len(self.plan.pieces))
        return is_board, place, True, len(piece.id), piece.id

    def _cut(self, chosen: Chosen, job: Job, ids: Names) -> list[StockPiece]:
        """Give the pieces laid out again; one cut no differently is as it was planned before.

        The copies of those stay; the others come from the pieces that are cut otherwise.
        """
        before = {piece.id: piece for piece in (*self.floor.kept, *self.floor.unbought)}
        pieces = [ids.named(piece) for piece in self.saw(job).pieces]
        for place, piece in enumerate(pieces):
            old = before.get(piece.id)
            if old is not None and signature(old.layout) == signature(piece.layout):
                pieces[place] = old
        stay = [piece for piece in pieces if before.get(piece.id) is piece]
        ids.stay(stay)
        taken = {copy for piece in stay for copy in copies_of(piece.layout)}
        others = [piece for piece in pieces if piece not in stay]
        places = sorted(copy for piece in others for copy in copies_of(piece.layout))
        left = ((part, n) for part, numbers in chosen.copies.items() for n in numbers)
        stands_for = dict(zip(places, sorted(one for one in left if one not in taken), strict=True))
        return [
            piece
            if piece in stay
            else ids.offcuts_named(replace(piece, layout=_recounted(piece.layout, stands_for)))
            for piece in pieces
        ]

    def _put_together(
        self,
        found: Sequence[StockPiece],
        layouts: Sequence[MaterialLayout],
        changed: Sequence[str],
        ids: Names,
        mark: str,
        file: str,
        settled: bool,
    ) -> Plan:
        left: dict[str, list[int]] = {}
        for piece in found:
            for part, copy in copies_of(piece.layout):
                left.setdefault(part, []).append(copy)
        open_copies = {part: sorted(copies) for part, copies in left.items()}
        parts = tuple(
            self._going_on(part, open_copies)
            for part in self.plan.job.parts
            if part.id in open_copies
        )
        rows = {row.name: row for row in self.buyable}
        pieces = tuple(
            replace(
                piece,
                stock=piece.stock if piece.stock.owned else rows[piece.stock.name],
                layout=_renumbered(piece.layout, self.parts, open_copies),
            )
            for piece in found
        )
        used = [piece.stock for piece in pieces]
        stock = tuple(dict.fromkeys([*self.buyable, *self.floor.free, *used]))
        job = replace(
            self.plan.job,
            parts=parts,
            stock=stock,
            extras=self.plan.job.extras if self._nothing_bought else (),
            budget=self._budget(),
            confidence=None,
            warnings=(*self.plan.job.warnings, *self._broken_runs(parts)),
        )
        sawn = SawnJob(tuple(layouts), pieces, tuple(sawing_warnings(job, pieces, {})))
        replans = Replans(
            mark,
            file,
            self._counted(self.floor.made, known=self.plan.replans),
            self._counted(self.floor.spoiled),
            tuple(changed),
            ids.highest[Kind.SHEET],
            ids.highest[Kind.BOARD],
            settled,
        )
        return replace(summarise(job, self.plan.settings, sawn), replans=replans)

    def _going_on(self, part: Part, open_copies: Mapping[str, Sequence[int]]) -> Part:
        copies = open_copies[part.id]
        whole = {
            other.id: len(open_copies.get(other.id, ())) == other.qty
            for other in same_run(self.plan.job, part)
        }
        lost = {one.part for one in self.floor.missing}
        broken = not all(whole.values()) or any(other in lost for other in whole)
        return replace(
            part,
            qty=len(copies),
            numbers=tuple(part.number(copy) for copy in copies),
            of=part.of or part.qty,
            match="" if broken else part.match,
        )

    def _broken_runs(self, parts: Sequence[Part]) -> Iterator[PlanWarning]:
        """Warn of each run whose figure no longer runs through all its parts."""
        words = [self.parts[part.id].match for part in parts if not part.match]
        for word in dict.fromkeys(word for word in words if word):
            yield PlanWarning(
                "match", f"the figure of the run {word} cannot run through all its parts any more"
            )

    @property
    def _nothing_bought(self) -> bool:
        """Nothing of the plan is bought yet, so its extras are not either."""
        bought = [piece for piece in self.plan.pieces if not piece.stock.owned]
        return bool(bought) and len(self.floor.unbought) == len(bought)

    def _budget(self) -> Budget | None:
        """Give what is left of the budget once all that is bought is paid."""
        budget = self.plan.job.budget
        if budget is None:
            return None
        open_money = sum(
            (piece.stock.price_cents or 0)
            + store_fee(self.plan.job, sum(cut.by.value == "store" for cut in piece.cuts()))
            for piece in self.floor.unbought
        )
        if self._nothing_bought:
            open_money += self.plan.totals.extras_cents
        spent = self.plan.totals.grand_total_cents - open_money
        return Budget(0, max(0, budget.high_cents - spent))

    def _counted(
        self, copies: Iterable[Copy], known: Replans | None = None
    ) -> tuple[CountedPart, ...]:
        """Give copies by part, together with those made before."""
        numbers: dict[tuple[str, str, int], set[int]] = {}
        for one in known.made if known is not None else ():
            numbers.setdefault((one.part, one.name, one.of), set()).update(one.numbers)
        for part_id, copy in copies:
            part = self.parts[part_id]
            key = (part_id, part.name, part.of or part.qty)
            numbers.setdefault(key, set()).add(part.number(copy))
        return tuple(CountedPart(*key, tuple(sorted(held))) for key, held in numbers.items())


def _recounted(node: Node, stands_for: Mapping[Copy, Copy]) -> Node:
    """Give a tree with each copy put in place of the one it stands for."""

    def again(one: Node | None) -> Node | None:
        if isinstance(one, Cut):
            return replace(one, first=again(one.first), second=again(one.second))
        if isinstance(one, PartPiece):
            return replace(one, copy=stands_for[one.part, one.copy][1])
        return one

    return again(node) or node


def _renumbered(
    node: Node, parts: Mapping[str, Part], open_copies: Mapping[str, Sequence[int]]
) -> Node:
    """Give a tree with its copies counted anew and labelled as they were first planned."""

    def again(one: Node | None) -> Node | None:
        if isinstance(one, Cut):
            return replace(one, first=again(one.first), second=again(one.second))
        if isinstance(one, PartPiece):
            part = parts[one.part]
            label = part.name
            if (part.of or part.qty) > 1:
                label = f"{part.name} {part.count_words(one.copy)}"
            copy = open_copies[one.part].index(one.copy) + 1
            return replace(one, copy=copy, label=label)
        return one

    return again(node) or node
