"""A plan: the cut tree of every piece of stock, what it costs, and what is proven.

x runs along the stock piece's length (the grain of a sheet), y across it; the origin is
the reference corner: left end, near edge. All lengths are ticks.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from cutopt.model.job import Favour, Job, Material, Part, PlanWarning, Stock
from cutopt.model.layout import Direction, LimitPrice
from cutopt.units import Ticks


class Maker(StrEnum):
    """Who makes a cut."""

    STORE = "store"
    SHOP = "shop"


STORE_SAW = "store saw"
ANY_SAW = "any"


@dataclass(frozen=True, slots=True)
class PartPiece:
    """A blank, exactly to size. ``turned``: the part's length lies across the stock piece."""

    length: Ticks
    width: Ticks
    part: str
    copy: int
    turned: bool = False
    label: str = ""


@dataclass(frozen=True, slots=True)
class Offcut:
    """A leftover worth keeping."""

    length: Ticks
    width: Ticks
    id: str
    label: str = ""


@dataclass(frozen=True, slots=True)
class Waste:
    """A leftover not worth keeping."""

    length: Ticks
    width: Ticks


@dataclass(frozen=True, slots=True)
class Cut:
    """A straight edge-to-edge cut: first + kerf + second = this piece, to the tick.

    Attributes:
        at: measure of ``first`` from the reference edge.
        kerf: what the blade removes from this piece; less than the saw's kerf where the
            blade runs off an edge, and that side is then None.
        step: number of the cut on this stock piece, from 1.
    """

    length: Ticks
    width: Ticks
    direction: Direction
    at: Ticks
    kerf: Ticks
    by: Maker
    saw: str
    step: int
    first: Node | None
    second: Node | None


Node = Cut | PartPiece | Offcut | Waste


@dataclass(frozen=True, slots=True)
class Placed:
    """A node and where it lies on its stock piece (ticks from the reference corner)."""

    node: Node
    x: Ticks
    y: Ticks


def walk(node: Node, x: int = 0, y: int = 0) -> Iterator[Placed]:
    """Yield every node with its place, parents first, then ``first`` before ``second``."""
    waiting = [Placed(node, Ticks(x), Ticks(y))]
    while waiting:
        placed = waiting.pop()
        yield placed
        cut = placed.node
        if not isinstance(cut, Cut):
            continue
        if cut.second is not None:
            past = cut.at + cut.kerf
            right, up = (past, 0) if cut.direction is Direction.CROSSCUT else (0, past)
            waiting.append(Placed(cut.second, Ticks(placed.x + right), Ticks(placed.y + up)))
        if cut.first is not None:
            waiting.append(Placed(cut.first, placed.x, placed.y))


@dataclass(frozen=True, slots=True)
class StockPiece:
    """One sheet ("S1") or board ("L1") and its cut tree over the whole raw piece."""

    id: str
    stock: Stock
    layout: Node

    def cuts(self) -> tuple[Cut, ...]:
        """Give the cuts of this piece in the order of their steps."""
        found = [placed.node for placed in walk(self.layout) if isinstance(placed.node, Cut)]
        return tuple(sorted(found, key=lambda cut: cut.step))


class Measure(StrEnum):
    """What cost means: cents, square ticks, or ticks of length."""

    PRICE = "price"
    AREA = "area"
    LENGTH = "length"


@dataclass(frozen=True, slots=True)
class Shares:
    """Shares of the area of the pieces used; together 1."""

    parts: float
    offcuts: float
    kerf: float
    waste: float


@dataclass(frozen=True, slots=True)
class MaterialResult:
    """What one material costs, and how good that is. Cost and bound in ``measure``'s unit.

    ``limits`` says what each limit of the car, the store and the saws adds to the cost.
    """

    material: Material
    measure: Measure
    cost: int
    lower_bound: int
    bought: int
    owned_used: int
    shares: Shares
    why: str = ""
    next_best: str = ""
    limits: tuple[LimitPrice, ...] = ()

    @property
    def proven(self) -> bool:
        """True only where the cost equals the bound."""
        return self.cost == self.lower_bound


@dataclass(frozen=True, slots=True)
class Settings:
    """What the search was told."""

    effort: int = 1
    seed: int = 0
    favour: Favour = Favour.OFFCUTS


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums over the plan, money in cents."""

    stock_cents: int
    store_fees_cents: int
    extras_cents: int
    unpriced: bool
    store_cuts: int
    shop_cuts: int

    @property
    def grand_total_cents(self) -> int:
        """Stock, store fees and extras."""
        return self.stock_cents + self.store_fees_cents + self.extras_cents


@dataclass(frozen=True, slots=True)
class Offer:
    """What ripping narrower parts out of wider boards, or of sheets, saves, taken or not.

    Attributes:
        lumber: boards of any of its widths.
        swaps: (section, wider section it is ripped out of); "" where parts are as wide as no
            board.
        cost_cents: of the lumber without it.
        saving_cents: how much less it costs with it.
        more_rips: how many more rips that takes (fewer where negative).
        least_percent: of the cost that it has to save to be taken.
        taken: the plan does it.
        from_sheets: (part's name, copies) that come from sheets of the same material instead of
            boards; the saving is then on sheets and boards together.
    """

    lumber: Material
    swaps: tuple[tuple[str, str], ...]
    cost_cents: int
    saving_cents: int
    more_rips: int
    least_percent: int
    taken: bool
    from_sheets: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class CountedPart:
    """Copies of one part by their numbers in the first plan, which makes ``of`` of them."""

    part: str
    name: str
    of: int
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Replans:
    """What a plan made again goes on from.

    Attributes:
        plan: mark of the plan before.
        file: where that lies, as the builder named it.
        made: parts that are cut and good already.
        spoiled: parts that had been cut and are planned again.
        changed: ids of the pieces cut otherwise than the plan before says.
        sheets, boards: highest numbers that sheets and boards have had so far.
        fewest: it is proved that fewer pieces laid out again would not do for this money.
    """

    plan: str
    file: str
    made: tuple[CountedPart, ...]
    spoiled: tuple[CountedPart, ...]
    changed: tuple[str, ...]
    sheets: int
    boards: int
    fewest: bool = False


@dataclass(frozen=True, slots=True)
class Plan:
    """A job and how it is cut; everything drawn, listed or replanned starts here."""

    job: Job
    settings: Settings
    pieces: tuple[StockPiece, ...]
    materials: tuple[MaterialResult, ...]
    totals: Totals
    warnings: tuple[PlanWarning, ...] = ()
    offers: tuple[Offer, ...] = ()
    replans: Replans | None = None

    def part(self, part_id: str) -> Part:
        """Give the part of that id; raises KeyError where there is none."""
        for part in self.job.parts:
            if part.id == part_id:
                return part
        raise KeyError(part_id)
