"""The buy list: what to pay for, what to take from the shop, and whether it can be had cheaper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cutopt.model.job import Extra, Job, Kind, Stock
from cutopt.model.plan import Maker, MaterialResult, Measure, Plan, StockPiece
from cutopt.steps.bands import EXTRA_PER_EDGE, band_needs
from cutopt.steps.limits import limit_words
from cutopt.steps.materials import (
    area_words,
    board_length,
    material_name,
    material_words,
    run_words,
    written_on,
)
from cutopt.steps.money import format_money
from cutopt.steps.offers import offer_words
from cutopt.steps.openings import met_openings
from cutopt.steps.packs import cheapest_packs
from cutopt.steps.phrase import Phrase, counted
from cutopt.steps.replan_pages import summary_line

_AMOUNT = re.compile(r"(?<![\d.$€£])(\d+)\.(\d\d) more$")
_NUMBERS = ("no", "one", "two", "three", "four", "five", "six")


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One line of the buy list.

    Attributes:
        item: name.
        size: a phrase: "96 × 48", "8 ft", "pack of 100".
        count: pieces to buy.
        each_cents, sum_cents: None where no price is given.
        notes: store cuts, what is needed.
        stock: the row of the stock list, or None for other things.
        mark: what is written on a board that is measured, else "".
    """

    item: str
    size: Phrase
    count: int
    each_cents: int | None
    sum_cents: int | None
    notes: tuple[Phrase, ...] = ()
    stock: Stock | None = None
    mark: str = ""

    @property
    def grade(self) -> str:
        """Grade to ask for, or "" where the stock list names none."""
        return self.stock.grade if self.stock else ""


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
        material: its name with thickness or section.
        answer: "No cheaper purchase exists." or what could be saved at best.
        reason: where the bound comes from and the next best mix, or "".
    """

    material: Phrase
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
        bands: one line for each material that is banded: how much band it wants.
        offers: a sentence for each lumber that ripping makes cheaper, taken or not.
        openings: a sentence for each group whose openings let enough air through.
        goes_on: of a plan made again, which it goes on from and what is to buy; or "".
    """

    currency: str
    groups: tuple[BuyGroup, ...]
    store_cuts: StoreCutsRow | None
    owned: tuple[BuyRow, ...]
    total_cents: int
    unpriced: bool
    budget: BudgetBar | None
    cheaper: tuple[CheaperRow, ...]
    bands: tuple[Phrase, ...] = ()
    offers: tuple[str, ...] = ()
    openings: tuple[str, ...] = ()
    goes_on: str = ""

    @property
    def any_price(self) -> bool:
        """Something to pay for has a price, or nothing is to pay for."""
        rows = [row for group in self.groups for row in group.rows]
        priced = any(row.sum_cents is not None for row in rows)
        return priced or self.total_cents != 0 or not rows


def buy_list(plan: Plan) -> BuyList:
    """Give everything to pay for, sheets before boards, in the order of the stock list."""
    job = plan.job
    bought = [piece for piece in plan.pieces if not piece.stock.owned]
    groups = (
        BuyGroup("Sheets and panels", tuple(_stock_rows(job, bought, Kind.SHEET))),
        BuyGroup("Boards", tuple(_stock_rows(job, bought, Kind.BOARD))),
        BuyGroup(
            "Spare boards, not cut",
            tuple(_spare_row(job, extra) for extra in job.extras if extra.spare_of),
        ),
        BuyGroup(
            "Other things",
            tuple(row for extra in job.extras if not extra.spare_of for row in _extra_rows(extra)),
        ),
    )
    owned = [piece for piece in plan.pieces if piece.stock.owned]
    total = plan.totals.grand_total_cents
    return BuyList(
        currency=job.currency,
        groups=tuple(group for group in groups if group.rows),
        store_cuts=_store_cuts(plan),
        owned=tuple(row for kind in Kind for row in _stock_rows(job, owned, kind)),
        total_cents=total,
        unpriced=plan.totals.unpriced,
        budget=None
        if job.budget is None
        else budget_bar(total, job.budget.low_cents, job.budget.high_cents),
        cheaper=tuple(_cheaper(job, result) for result in plan.materials),
        bands=_band_lines(plan),
        offers=tuple(offer_words(offer, job.currency) for offer in plan.offers),
        openings=met_openings(plan),
        goes_on=summary_line(plan),
    )


def budget_words(listing: BuyList) -> str:
    """Give how the total stands to the budget: "of $330.00 budget: $20.03 left", or ""."""
    bar = listing.budget
    if bar is None:
        return ""

    def money(cents: int) -> str:
        return format_money(cents, listing.currency)

    low = f"{money(bar.low_cents)} to " if bar.low_cents else ""
    stands = f"{money(abs(bar.left_cents))} {'left' if bar.left_cents >= 0 else 'over'}"
    if not listing.any_price:
        return f"budget {low}{money(bar.high_cents)}"
    without = ", without what has no price" if listing.unpriced else ""
    return f"of {low}{money(bar.high_cents)} budget: {stands}{without}"


def _stock_rows(job: Job, pieces: Sequence[StockPiece], kind: Kind) -> Iterable[BuyRow]:
    """Give a row for each entry of the stock list that is used."""
    by_stock: dict[str, list[StockPiece]] = {}
    for piece in pieces:
        if piece.stock.kind is kind:
            by_stock.setdefault(piece.stock.name, []).append(piece)
    place = {stock.name: number for number, stock in enumerate(job.stock)}
    said: set[tuple[str, str, Phrase]] = set()
    for name, same in sorted(by_stock.items(), key=lambda found: place.get(found[0], len(place))):
        stock = same[0].stock
        item, size = material_name(stock.material), _size(stock, job)
        notes: list[Phrase] = [(stock.note,)] if stock.note else []
        mark = written_on(stock, job)
        if not mark and (stock.owned or (item, stock.grade, size) in said):
            notes.insert(0, (name,))
        said.add((item, stock.grade, size))
        cuts = sum(cut.by is Maker.STORE for piece in same for cut in piece.cuts())
        if cuts:
            notes.append((f"store saw: {counted(cuts, 'cut')}",))
        each = 0 if stock.owned else stock.price_cents
        yield BuyRow(
            item=item,
            size=size,
            count=len(same),
            each_cents=each,
            sum_cents=None if each is None else each * len(same),
            notes=tuple(notes),
            stock=stock,
            mark=mark,
        )


def _spare_row(job: Job, extra: Extra) -> BuyRow:
    """Give the row of boards that are bought to spare: named and sized as those that are cut."""
    stock = next(stock for stock in job.stock if stock.name == extra.spare_of)
    each = stock.price_cents
    return BuyRow(
        item=f"{material_name(stock.material)}, spare",
        size=_size(stock, job),
        count=extra.qty,
        each_cents=each,
        sum_cents=None if each is None else each * extra.qty,
        notes=((extra.note,),) if extra.note else (),
        stock=stock,
    )


def _size(stock: Stock, job: Job) -> Phrase:
    if stock.kind is Kind.SHEET:
        return (stock.length, " × ", stock.width, " × ", stock.thickness)
    return board_length(stock.length, job.units)


def _extra_rows(extra: Extra) -> Iterable[BuyRow]:
    """Give a row for each size of pack taken of one extra."""
    mix = cheapest_packs(extra)
    notes: list[Phrase] = [(note,) for note in (extra.group, extra.note) if note]
    if sum(pack.size * count for pack, count in mix.packs) != extra.qty:
        notes.append((f"needs {extra.qty}",))
    if not mix.packs:
        yield BuyRow(extra.item, (), extra.qty, None, None, tuple(notes))
    for pack, count in mix.packs:
        yield BuyRow(
            item=extra.item,
            size=(f"pack of {pack.size}",) if pack.size > 1 else (),
            count=count,
            each_cents=pack.price_cents,
            sum_cents=None if pack.price_cents is None else pack.price_cents * count,
            notes=tuple(notes),
        )


def _store_cuts(plan: Plan) -> StoreCutsRow | None:
    made = [sum(cut.by is Maker.STORE for cut in piece.cuts()) for piece in plan.pieces]
    if plan.job.store is None or not any(made):
        return None
    paid = sum(max(0, cuts - plan.job.store.free_cuts) for cuts in made)
    return StoreCutsRow(sum(made), paid, plan.totals.store_fees_cents)


def budget_bar(spent_cents: int, low_cents: int, high_cents: int) -> BudgetBar:
    """Give the bar and a tape that reads in round amounts, at most eight figures on it."""
    most = max(spent_cents, high_cents, 1)
    major = 100
    while most > 8 * major:
        major = major * 5 // 2 if str(major)[0] == "2" else major * 2
    minor = major // 5
    return BudgetBar(spent_cents, low_cents, high_cents, (most // minor + 1) * minor, minor, major)


def _cheaper(job: Job, result: MaterialResult) -> CheaperRow:
    # The search knows amounts, not the job's currency.
    after = _AMOUNT.sub(
        lambda found: f"{format_money(int(found[1] + found[2]), job.currency)} more",
        result.next_best,
    )
    limits = limit_words(job, result)
    next_best = after and f"next best: {after}"
    reason = "; ".join(word for word in (*limits, result.why, next_best) if word)
    return CheaperRow(
        material_words(result.material), cheaper_words(job, result), reason, result.proven
    )


def cheaper_words(job: Job, result: MaterialResult) -> Phrase:
    """Give what could at best be saved on one material."""
    measured = any(s.bad for s in job.stock if s.material == result.material)
    if result.proven and measured:
        if not result.bought:
            return ("No more boards needed.",)
        return (f"{counted(result.bought, 'more board')} needed, no cheaper will do.",)
    if result.proven:
        return ("Nothing to buy.",) if not result.bought else ("No cheaper purchase exists.",)
    gap = result.cost - result.lower_bound
    offered = [s for s in job.stock if s.material == result.material and not s.owned]
    fewer = gap // _cost_of(offered[0], result.measure) if len(offered) == 1 else 0
    if fewer:
        number = _NUMBERS[fewer] if fewer < len(_NUMBERS) else str(fewer)
        noun = result.material.kind.value
        return (f"At best {number} {noun if fewer == 1 else noun + 's'} less.",)
    if result.measure is Measure.PRICE:
        return (f"At best {format_money(gap, job.currency)} less.",)
    if result.measure is Measure.AREA:
        return (f"At best {area_words(gap, job.units)} less.",)
    return (f"At best {run_words(gap, job.units)} less.",)


def _cost_of(stock: Stock, measure: Measure) -> int:
    """Give what one piece costs in a measure's own unit; at least 1, to divide by."""
    if measure is Measure.PRICE:
        return max(1, stock.price_cents or 0)
    return stock.length * stock.width if measure is Measure.AREA else stock.length


def _band_lines(plan: Plan) -> tuple[Phrase, ...]:
    """Give how much band each material wants, a line each."""
    units = plan.job.units
    lines: list[Phrase] = []
    for need in band_needs(plan):
        run, edges = run_words(need.with_allowance, units), counted(need.edges, "edge")
        trim: Phrase = (EXTRA_PER_EDGE[units], " to trim on each (common practice)")
        lines.append((*material_words(need.material), f": {run} of band, {edges} with ", *trim))
    return tuple(lines)
