"""Going on after a mistake: parts that are missing are planned again at least extra money.

First they are sought on pieces that hold nothing, then with one other piece laid out again,
so that the rest stays as it is planned; only then is all planned together, and bought for.
Nothing costs less than no money, so what needs none is proven; else the bound is that of
all pieces planned together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError
from cutopt.model.cost import cost_of, measure_of
from cutopt.model.job import Budget, Job, Kind, Material, Part, PlanWarning, Stock
from cutopt.model.layout import MaterialLayout
from cutopt.model.plan import (
    CountedPart,
    Cut,
    Node,
    Offcut,
    PartPiece,
    Plan,
    Replans,
    StockPiece,
    walk,
)
from cutopt.steps.floor import Copy, Floor
from cutopt.steps.joint import SawnJob
from cutopt.steps.pieces import signature
from cutopt.steps.sawing_fees import store_fee
from cutopt.steps.sawing_numbers import offcut_letters
from cutopt.steps.sawing_warnings import sawing_warnings
from cutopt.steps.summary import summarise

MOST_SINGLE = 24
"""Pieces that are tried one at a time before all are planned together; our own choice."""

Lay = Callable[[Job, Material], MaterialLayout]
"""Lays one material of a job out; raises CannotPlanError."""

Saw = Callable[[Job], SawnJob]
"""Lays a whole job out and saws it; raises CannotPlanError."""


@dataclass(frozen=True, slots=True)
class _Chosen:
    """How a material goes on: a job for what is laid out again, the rest as it is.

    Attributes:
        job: None where nothing is laid out again.
        kept: pieces that stay as planned.
        copies: what each copy in ``job`` stands for, by part.
    """

    job: Job | None
    kept: tuple[StockPiece, ...]
    copies: Mapping[str, tuple[int, ...]]
    lower_bound: int
    why: str


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
        self.buyable = _buyable(plan, floor)

    def plan_again(self, mark: str, file: str) -> Plan:
        pieces = (*self.floor.kept, *self.floor.unbought)
        materials = dict.fromkeys(
            [piece.stock.material for piece in pieces]
            + [missing.material for missing in self.floor.missing]
        )
        layouts: list[MaterialLayout] = []
        found: list[StockPiece] = []
        changed: list[str] = []
        ids = _Names(self.plan, self.floor)
        for material in sorted(materials, key=lambda one: one.kind is Kind.BOARD):
            chosen = self._choose(material)
            found += chosen.kept
            if chosen.job is not None:
                for piece in self.saw(chosen.job).pieces:
                    again = ids.named(piece, chosen.copies)
                    same = self._as_before(again)
                    found.append(same or again)
                    if same is None:
                        changed.append(again.id)
            layouts.append(MaterialLayout(material, (), 0, chosen.lower_bound, chosen.why))
        found.sort(key=lambda piece: piece.stock.kind is Kind.BOARD)
        return self._put_together(found, layouts, changed, ids, mark, file)

    def _as_before(self, piece: StockPiece) -> StockPiece | None:
        """Give a piece as it was planned before where it is laid out no differently."""
        for kept in self.floor.kept:
            if kept.id == piece.id and signature(kept.layout) == signature(piece.layout):
                held = [_copies(one.layout) for one in (kept, piece)]
                if held[0] == held[1]:
                    return kept
        return None

    def _choose(self, material: Material) -> _Chosen:
        """Give the way to go on with a material at least money, fewest pieces changed."""
        missing = [one for one in self.floor.missing if one.material == material]
        kept = [piece for piece in self.floor.kept if piece.stock.material == material]
        unbought = [piece for piece in self.floor.unbought if piece.stock.material == material]
        free = [row for row in self.floor.free if row.material == material]
        buyable = [row for row in self.buyable if row.material == material]
        lost = [(one.part, one.copy) for one in missing]
        measure = measure_of(self.plan.job, material)
        planned = sum(cost_of(piece.stock, measure) for piece in unbought)
        stay = (*kept, *unbought)

        def attempt(opened: Sequence[StockPiece], rows: Sequence[Stock]) -> tuple[_Chosen, int]:
            copies = [*lost, *(copy for piece in opened for copy in _copies(piece.layout))]
            own = [piece.stock for piece in opened if piece.stock.owned]
            job, counted = self._job(material, copies, [*free, *own, *rows])
            layout = self.lay(job, material)
            left = tuple(piece for piece in stay if piece not in opened)
            cost = layout.cost + sum(cost_of(piece.stock, measure) for piece in left)
            return _Chosen(job, left, counted, layout.lower_bound, layout.why), cost

        if not missing and not unbought:
            return _Chosen(None, stay, {}, 0, "")
        if missing:
            smallest = sorted(kept, key=lambda p: (p.stock.length * p.stock.width, p.id))
            for opened in ([], *([piece] for piece in smallest[:MOST_SINGLE])):
                try:
                    chosen, cost = attempt(opened, [])
                except CannotPlanError:
                    continue
                if not unbought:
                    return replace(chosen, lower_bound=0, why="nothing is bought")
                break
            else:
                chosen, cost = None, None
        else:
            chosen, cost = _Chosen(None, stay, {}, 0, ""), planned
        whole, least = attempt(stay, buyable)
        tries: list[tuple[int, int, _Chosen]] = [(least, len(stay), whole)]
        if chosen is not None and cost is not None:
            tries.append((cost, 0, chosen))
        elif missing:
            for opened in ([], *([piece] for piece in smallest[:MOST_SINGLE])):
                try:
                    one, money = attempt(opened, buyable)
                except CannotPlanError:
                    continue
                tries.append((money, len(opened), one))
                if money <= least:
                    break
        money, _, best = min(tries, key=lambda tried: tried[:2])
        bound = min(whole.lower_bound, money)
        why = whole.why if bound == whole.lower_bound else ""
        return replace(best, lower_bound=bound, why=why)

    def _job(
        self, material: Material, copies: Iterable[Copy], rows: Sequence[Stock]
    ) -> tuple[Job, dict[str, tuple[int, ...]]]:
        """Give a job that makes these copies from these rows, and which copies it makes."""
        counted: dict[str, tuple[int, ...]] = {}
        for part, copy in sorted(copies):
            counted[part] = (*counted.get(part, ()), copy)
        parts = [
            replace(
                self.parts[part],
                qty=len(numbers),
                material=material,
                section_named=True,
                match=self.parts[part].match if self._run_is_whole(part, counted) else "",
                numbers=(),
                of=0,
            )
            for part, numbers in counted.items()
        ]
        stock = tuple(dict.fromkeys(rows))
        job = replace(self.plan.job, parts=tuple(parts), stock=stock, extras=(), confidence=None)
        return job, counted

    def _run_is_whole(self, part: str, counted: Mapping[str, Sequence[int]]) -> bool:
        """Say whether all parts that run through with this one are laid out together."""
        word, material = self.parts[part].match, self.parts[part].material
        return all(
            len(counted.get(other.id, ())) == other.qty
            for other in self.plan.job.parts
            if (other.match, other.material) == (word, material)
        )

    def _put_together(
        self,
        found: Sequence[StockPiece],
        layouts: Sequence[MaterialLayout],
        changed: Sequence[str],
        ids: _Names,
        mark: str,
        file: str,
    ) -> Plan:
        left: dict[str, list[int]] = {}
        for piece in found:
            for part, copy in _copies(piece.layout):
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
        )
        return replace(summarise(job, self.plan.settings, sawn), replans=replans)

    def _going_on(self, part: Part, open_copies: Mapping[str, Sequence[int]]) -> Part:
        copies = open_copies[part.id]
        whole = {
            other.id: len(open_copies.get(other.id, ())) == other.qty
            for other in self.plan.job.parts
            if (other.match, other.material) == (part.match, part.material)
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


class _Names:
    """Gives pieces and offcuts of a plan made again names that nothing else has."""

    def __init__(self, plan: Plan, floor: Floor) -> None:
        self.highest = {Kind.SHEET: 0, Kind.BOARD: 0}
        if plan.replans is not None:
            self.highest = {Kind.SHEET: plan.replans.sheets, Kind.BOARD: plan.replans.boards}
        for piece in plan.pieces:
            digits = piece.id[1:]
            if digits.isdigit():
                kind = piece.stock.kind
                self.highest[kind] = max(self.highest[kind], int(digits))
        self.taken = {row.name for row in floor.free}
        self.taken |= {
            placed.node.id
            for piece in (*floor.kept, *floor.unbought)
            for placed in walk(piece.layout)
            if isinstance(placed.node, Offcut)
        }

    def named(self, piece: StockPiece, copies: Mapping[str, tuple[int, ...]]) -> StockPiece:
        """Give a piece with its own name, and its parts as the copies they stand for."""
        kind = piece.stock.kind
        if piece.stock.owned and piece.stock.available == 1:
            name = piece.stock.name
        else:
            self.highest[kind] += 1
            name = f"{'S' if kind is Kind.SHEET else 'L'}{self.highest[kind]}"

        def rename(node: Node | None) -> Node | None:
            if isinstance(node, Cut):
                return replace(node, first=rename(node.first), second=rename(node.second))
            if isinstance(node, PartPiece):
                return replace(node, copy=copies[node.part][node.copy - 1])
            if isinstance(node, Offcut):
                number = 0
                while f"{name}-{offcut_letters(number)}" in self.taken:
                    number += 1
                own = f"{name}-{offcut_letters(number)}"
                self.taken.add(own)
                return replace(node, id=own, label=node.label.replace(node.id, own))
            return node

        return StockPiece(name, piece.stock, rename(piece.layout) or piece.layout)


def _buyable(plan: Plan, floor: Floor) -> tuple[Stock, ...]:
    """Give the rows that can still be bought, less what has been bought of them."""
    open_ids = {piece.id for piece in floor.unbought}
    bought = Counter(piece.stock.name for piece in plan.pieces if piece.id not in open_ids)
    rows = []
    for row in plan.job.stock:
        there = row.available
        if there is not None:
            there -= bought[row.name]
        if not row.owned and (there is None or there > 0):
            rows.append(replace(row, available=there))
    return tuple(rows)


def _copies(node: Node) -> list[Copy]:
    """Give the copies that come from a piece, in order."""
    return sorted(
        (placed.node.part, placed.node.copy)
        for placed in walk(node)
        if isinstance(placed.node, PartPiece)
    )


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
