"""The buy list: what to pay for, what to take from the shop, and whether it can be had cheaper."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Stock
from cutopt.steps.phrase import Phrase


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One line of the buy list.

    Attributes:
        item: name.
        size: a phrase: "96 × 48", "8 ft", "pack of 100".
        count: pieces to buy.
        each_cents, sum_cents: None where no price is given.
        notes: grade, store cuts, what is needed.
        stock: the row of the stock list, or None for other things.
    """

    item: str
    size: Phrase
    count: int
    each_cents: int | None
    sum_cents: int | None
    notes: tuple[Phrase, ...] = ()
    stock: Stock | None = None


@dataclass(frozen=True, slots=True)
class BuyGroup:
    """Rows under one head: sheets and panels, boards, other things."""

    head: str
    rows: tuple[BuyRow, ...]


@dataclass(frozen=True, slots=True)
class StoreCutsRow:
    """Store cuts as a line of the buy list: how many, how many over the free ones, the fee."""

    made: int
    paid: int
    sum_cents: int


@dataclass(frozen=True, slots=True)
class BudgetBar:
    """How the money lies against the budget, cents.

    Attributes:
        spent_cents: the total.
        low_cents, high_cents: the budget.
        left_cents: high less total; negative where over.
        scale_cents: right end of the bar.
        minor_cents, major_cents: ticks of its tape.
    """

    spent_cents: int
    low_cents: int
    high_cents: int
    scale_cents: int
    minor_cents: int
    major_cents: int

    @property
    def left_cents(self) -> int:
        """What is left of the budget, cents; negative where it is over."""
        return self.high_cents - self.spent_cents


@dataclass(frozen=True, slots=True)
class CheaperRow:
    """One line of "Can it be had cheaper?".

    Attributes:
        material: its name (and section or thickness where names repeat).
        answer: "No cheaper purchase exists." or what could be saved at best.
        reason: where the bound comes from and the next best mix, or "".
    """

    material: str
    answer: Phrase
    reason: str
    proven: bool


@dataclass(frozen=True, slots=True)
class BuyList:
    """The first page.

    Attributes:
        total_cents: of all that has a price.
        unpriced: something has none.
        budget: None where the job names none.
        owned: pieces to take from the shop.
    """

    currency: str
    groups: tuple[BuyGroup, ...]
    store_cuts: StoreCutsRow | None
    owned: tuple[BuyRow, ...]
    total_cents: int
    unpriced: bool
    budget: BudgetBar | None
    cheaper: tuple[CheaperRow, ...]
