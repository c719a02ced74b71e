"""A sheet problem in the sizes the search works with: kerf added, equal parts merged.

One kerf added to every part and to every sheet, each way, lets sizes add up with no gaps:
n parts side by side use n - 1 kerfs, and a part as long as the sheet fits it.
"""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Grain
from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.solve.cutting_rules import keeps_rules, needed_size
from cutopt.solve.params import NO_RULES, CuttingRules, Pattern, Problem
from cutopt.solve.slicing import ALONG, PART, Block, keep_only, parts_in
from cutopt.units import Ticks

_MARK_STEP = 0x9E3779B97F4A7C15
_MARK_RANGE = (1 << 61) - 1

Laid = list[tuple[int, Block]]
"""Sheets that hold something: (type, block)."""

Lay = tuple[int, int, bool]
"""One way a part may lie on a sheet: length and width with kerf, and whether it is turned."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Parts of one size that may lie the same ways.

    Attributes:
        length, width: kerf included; for bound parts as they lie on stock with grain, else
            the longer side first.
        bound: may not be turned on stock with grain.
        qty: how many, over all items.
        sources: (index of the item, how many, whether its sides are swapped here).
    """

    length: int
    width: int
    bound: bool
    qty: int
    sources: tuple[tuple[int, int, bool], ...]

    @property
    def area(self) -> int:
        """Area with kerf, square ticks."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class SheetType:
    """One type of stock: size with kerf, cost each, how many may be used (never None)."""

    index: int
    length: int
    width: int
    cost: int
    available: int
    grain: bool

    @property
    def area(self) -> int:
        """Area with kerf, square ticks."""
        return self.length * self.width


@dataclass(frozen=True, slots=True)
class Sizes:
    """The problem to search: kinds of parts, types of sheet, and how each lies on each.

    Attributes:
        lays: by sheet type, by kind: the ways a part may lie, none where it does not fit.
        marks: one number a kind; sums of them tell sets of parts apart.
        kerf: added to every size.
        rules: that layouts keep to.
    """

    kinds: tuple[Kind, ...]
    types: tuple[SheetType, ...]
    lays: tuple[tuple[tuple[Lay, ...], ...], ...]
    marks: tuple[int, ...]
    kerf: int
    rules: CuttingRules = NO_RULES

    @property
    def area(self) -> int:
        """Area of all parts, kerf included."""
        return sum(kind.area * kind.qty for kind in self.kinds)

    @property
    def count(self) -> int:
        """Number of parts."""
        return sum(kind.qty for kind in self.kinds)

    def all_parts(self) -> list[int]:
        """Give the kind of every part."""
        return [k for k, kind in enumerate(self.kinds) for _ in range(kind.qty)]

    def part(self, kind: int, lay: Lay) -> Block:
        """Give a part as a block."""
        length, width, turned = lay
        return Block(PART, length, width, (), kind, turned, length * width, self.marks[kind])

    def extent(self, block: Block) -> tuple[int, int]:
        """Give the length and width a block takes with its cuts by the rules, kerf included."""
        if self.rules == NO_RULES:
            return block.length, block.width
        length, width = needed_size(outline(block, self.kerf), self.rules, self.kerf)
        return length + self.kerf, width + self.kerf

    def legal(self, block: Block, sheet: int) -> bool:
        """Say whether a block fits a type of sheet, by the rules, every part as it may lie."""
        kind_of_sheet = self.types[sheet]
        if block.length > kind_of_sheet.length or block.width > kind_of_sheet.width:
            return False
        if self.rules != NO_RULES and not keeps_rules(
            outline(block, self.kerf),
            self.rules,
            self.kerf,
            kind_of_sheet.length - self.kerf,
            kind_of_sheet.width - self.kerf,
        ):
            return False
        return not kind_of_sheet.grain or not any(
            part.turned and self.kinds[part.kind].bound for part in parts_in(block)
        )


def outline(block: Block, kerf: int) -> Layout:
    """Give a block as a layout of nameless blanks."""
    if not block.children:
        return Blank("", Ticks(block.length - kerf), Ticks(block.width - kerf))
    direction = Direction.CROSSCUT if block.way == ALONG else Direction.RIP
    return Split(direction, tuple(outline(child, kerf) for child in block.children))


def sizes_of(problem: Problem, kerf: int) -> Sizes:
    """Give a problem in sizes to search with, planned at a kerf (ticks)."""
    found: dict[tuple[int, int, bool], list[tuple[int, int, bool]]] = {}
    for index, item in enumerate(problem.items):
        bound = item.grain in (Grain.LENGTH, Grain.WIDTH)
        swapped = item.grain is Grain.WIDTH if bound else item.width > item.length
        along, across = (item.width, item.length) if swapped else (item.length, item.width)
        key = (along + kerf, across + kerf, bound)
        found.setdefault(key, []).append((index, item.qty, swapped))
    keys = sorted(found, key=lambda k: (-k[0] * k[1], -max(k[0], k[1]), k))
    kinds = tuple(
        Kind(length, width, bound, sum(s[1] for s in sources), tuple(sources))
        for length, width, bound in keys
        for sources in (found[length, width, bound],)
    )
    count = sum(kind.qty for kind in kinds)
    types = tuple(
        SheetType(
            index,
            stock.length + kerf,
            stock.width + kerf,
            stock.cost,
            count if stock.available is None else min(count, stock.available),
            stock.grain,
        )
        for index, stock in enumerate(problem.stock)
        if stock.available is None or stock.available > 0
    )
    lays = tuple(tuple(_lays(kind, sheet) for kind in kinds) for sheet in types)
    marks = tuple((_MARK_STEP * (k + 1) ** 3 + k) % _MARK_RANGE for k in range(len(kinds)))
    return Sizes(kinds, types, lays, marks, kerf, problem.rules)


def _lays(kind: Kind, sheet: SheetType) -> tuple[Lay, ...]:
    lays: list[Lay] = [(kind.length, kind.width, False)]
    if kind.length != kind.width and not (kind.bound and sheet.grain):
        lays.append((kind.width, kind.length, True))
    return tuple(lay for lay in lays if lay[0] <= sheet.length and lay[1] <= sheet.width)


def cost_of(sizes: Sizes, laid: Laid) -> int:
    """Give what the sheets cost."""
    return sum(sizes.types[sheet].cost for sheet, _ in laid)


def keeps_to(sizes: Sizes, laid: Laid) -> bool:
    """Say whether a plan keeps the rules there are, and makes every part by them."""
    if sizes.rules == NO_RULES:
        return True
    made = [0] * len(sizes.kinds)
    for _, root in laid:
        for part in parts_in(root):
            made[part.kind] += 1
    return all(many >= kind.qty for many, kind in zip(made, sizes.kinds, strict=True)) and all(
        sizes.legal(root, sheet) for sheet, root in laid
    )


def without_extra(sizes: Sizes, laid: Laid) -> Laid:
    """Give the sheets with every part that is made too often taken out; none are left empty."""
    left = [kind.qty for kind in sizes.kinds]
    kept = [(sheet, keep_only(root, left)) for sheet, root in laid]
    return [(sheet, root) for sheet, root in kept if root is not None]


def patterns_of(problem: Problem, sizes: Sizes, laid: Laid) -> tuple[Pattern, ...]:
    """Give the patterns of laid sheets (type, root), copies dealt to the items in order."""
    dealt = [
        [(index, swapped) for index, qty, swapped in kind.sources for _ in range(qty)][::-1]
        for kind in sizes.kinds
    ]

    def layout(block: Block) -> Layout:
        if block.children:
            along = block.way == ALONG
            # Equal sizes next to each other, the largest first: one setting, many cuts.
            ordered = sorted(
                block.children,
                key=lambda c: (-c.length, -c.width) if along else (-c.width, -c.length),
            )
            direction = Direction.CROSSCUT if along else Direction.RIP
            return Split(direction, tuple(layout(child) for child in ordered))
        index, swapped = dealt[block.kind].pop()
        return Blank(
            problem.items[index].part,
            Ticks(block.length - sizes.kerf),
            Ticks(block.width - sizes.kerf),
            block.turned != swapped,
        )

    return tuple(Pattern(sizes.types[sheet].index, layout(root)) for sheet, root in laid)
