"""What an engine is told: the problem in plain integers, how hard to try, whom to tell.

Engines know nothing of files, saws or pages. A problem is one material: items to make,
stock types to make them from, one kerf.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, runtime_checkable

from cutopt.model.job import Favour, Grain
from cutopt.model.layout import Direction, Layout
from cutopt.units import Ticks


@dataclass(frozen=True, slots=True)
class Search:
    """How hard to try. The same search on the same problem gives the same answer anywhere.

    Attributes:
        effort: 0 first good plan, 1 default (seconds), 2 thorough, 3 as long as it helps.
        seed: of the engines' own generators.
        second_goals: spend work on what comes after cost too: leftovers in one piece and
            fewer settings of the saw. The bound does not depend on it.
    """

    effort: int = 1
    seed: int = 0
    second_goals: bool = True

    def __post_init__(self) -> None:
        """Raise ValueError where effort is not 0 to 3."""
        if not 0 <= self.effort <= 3:
            raise ValueError("effort is 0, 1, 2 or 3")


class Watch(Protocol):
    """Who follows a search: hears of progress and may ask it to stop."""

    def report(self, what: str, best: int | None, bound: int | None) -> None:
        """Take the best cost and the bound so far for one material (either may be None)."""

    def stopped(self) -> bool:
        """Say whether the search should end now with the best it has."""


@runtime_checkable
class Preparing(Protocol):
    """A watch that also hears when something slow must be made ready first."""

    def preparing(self, what: str) -> None:
        """Take what is being made ready, in words."""


class Unwatched:
    """A watch that hears nothing and never stops a search."""

    def report(self, what: str, best: int | None, bound: int | None) -> None:
        """Ignore."""

    def stopped(self) -> bool:
        """Never."""
        return False


@dataclass(frozen=True, slots=True)
class Item:
    """A blank to cut, ``qty`` times; grain LENGTH or WIDTH bind it on stock with grain.

    ``knots_ok``: it may contain a board's bad spans.
    """

    part: str
    length: Ticks
    width: Ticks
    qty: int
    grain: Grain = Grain.ANY
    knots_ok: bool = False


@dataclass(frozen=True, slots=True)
class StockType:
    """Stock to cut from: clean size (trim already off), cost each, how many at most.

    Attributes:
        cost: non-negative integer in the measure's unit; 0 for owned stock.
        available: None for as many as wanted.
        bad: bad spans of a board, from its clean left end, in order and apart from each other.
    """

    name: str
    length: Ticks
    width: Ticks
    cost: int
    available: int | None = None
    grain: bool = False
    bad: tuple[tuple[Ticks, Ticks], ...] = ()


@dataclass(frozen=True, slots=True)
class CuttingRules:
    """What layouts of sheets must keep to, beyond fitting; none by default.

    A level of cuts is all parallel cuts that part what the level before left. What cuts one part
    free of the rest of its strip (trimming) is no level. Rules only ask for more: a bound on
    the cost without them holds with them, too.

    Attributes:
        stages: most levels of cuts; None for any number.
        first: direction of the first level; None for either. Where all comes from one strip of
            that level, the cuts start with the second.
        edge: ticks that each cut of the first ``edge_stages`` levels takes beyond the kerf.
        edge_stages: levels whose cuts do.
        widest: most that a strip of the first level may measure across it, with what the cuts
            within it take; None for any. Only with ``first``.
    """

    stages: int | None = None
    first: Direction | None = None
    edge: Ticks = Ticks(0)
    edge_stages: int = 0
    widest: Ticks | None = None

    def __post_init__(self) -> None:
        """Raise ValueError where a number makes no sense."""
        if self.stages is not None and self.stages < 1:
            raise ValueError("there is at least one level of cuts")
        if self.widest is not None and (self.first is None or self.widest < 1):
            raise ValueError("the widest strip is a measure across cuts of a known direction")
        if min(self.edge, self.edge_stages) < 0:
            raise ValueError("a cut takes nothing or more")

    def edge_at(self, depth: int) -> int:
        """Give what a cut takes beyond the kerf, by how many levels of cuts come before it."""
        return self.edge if depth < self.edge_stages else 0


NO_RULES = CuttingRules()


@dataclass(frozen=True, slots=True)
class Problem:
    """One material: cut all items from stock at least cost, ``kerf`` between neighbours.

    Attributes:
        kerf: of every cut the layouts must allow for.
        kerf_bound: smallest kerf any allowed saw has; bounds are proved with this one.
        priced: costs are cents; else amounts of stock.
        smallest_offcut: least long and short side of a leftover that counts.
        favour: what comes after cost.
        rules: that layouts of sheets keep to.
        enough: cost below which no plan need be sought: more would be asked for the same money.
    """

    what: str
    items: tuple[Item, ...]
    stock: tuple[StockType, ...]
    kerf: Ticks
    kerf_bound: Ticks
    priced: bool = True
    smallest_offcut: tuple[Ticks, Ticks] = (Ticks(0), Ticks(0))
    favour: Favour = Favour.OFFCUTS
    rules: CuttingRules = NO_RULES
    enough: int = 0


@dataclass(frozen=True, slots=True)
class Pattern:
    """One piece of stock and what is cut from it; ``stock`` indexes ``Problem.stock``.

    The layout's least size at ``Problem.kerf`` fits the stock type's clean size.
    """

    stock: int
    layout: Layout


@dataclass(frozen=True, slots=True)
class Answer:
    """What an engine found: patterns that make every item exactly ``qty`` times.

    Attributes:
        lower_bound: no purchase costs less with any saw (kerf ``kerf_bound``); integer.
        why: where the bound comes from, in a builder's words ("1 sheet is too small by area").
        next_best: the next best purchase in words, or "".
        limit_hit: a clock, not a work limit, ended the search.
    """

    patterns: tuple[Pattern, ...]
    cost: int
    lower_bound: int
    why: str = ""
    next_best: str = ""
    limit_hit: bool = False
