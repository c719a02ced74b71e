"""What the pages of a plan made again say: what is to buy now, what is made, what changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from cutopt.model.plan import CountedPart, Plan, StockPiece
from cutopt.steps.money import format_money
from cutopt.steps.phrase import listed

CHANGED = "changed"
NEW = "new"


def purchases(plan: Plan) -> tuple[str, ...]:
    """Give what a plan buys: "2 x 1x4 x 8 ft, $12.20", in order of the plan, then other things."""
    bought = Counter(piece.stock.name for piece in plan.pieces if not piece.stock.owned)
    prices = {row.name: row.price_cents for row in plan.job.stock}
    words = []
    for name, count in bought.items():
        price = prices[name]
        money = "" if price is None else f", {format_money(price * count, plan.job.currency)}"
        words.append(f"{count} x {name}{money}")
    if plan.job.extras:
        extras = plan.totals.extras_cents
        money = f", {format_money(extras, plan.job.currency)}" if extras else ""
        words.append(f"the other things on the buy list{money}")
    return tuple(words)


def summary_line(plan: Plan) -> str:
    """Give the line at the head of the buy list of a plan made again, or ""."""
    if plan.replans is None:
        return ""
    bought = purchases(plan)
    what = f"buy {'; '.join(bought)}" if bought else "no need to buy anything"
    return f"Replan of plan {plan.replans.plan}: {what}."


def made_line(plan: Plan) -> str:
    """Give the parts that were made before: "Made already: Shelf 1 and 3 of 3; Door", or ""."""
    if plan.replans is None or not plan.replans.made:
        return ""
    return f"Made already: {made_words(plan.replans.made)}."


def made_words(made: Iterable[CountedPart]) -> str:
    """Give parts by their numbers: "Shelf 1 and 3 of 3; Door"."""
    names = []
    for one in made:
        numbers = listed([str(number) for number in one.numbers])
        names.append(f"{one.name} {numbers} of {one.of}" if one.of > 1 else one.name)
    return "; ".join(names)


def change_of(plan: Plan, piece: StockPiece) -> str:
    """Give whether a piece is cut otherwise than the plan before says, is new stock, or ""."""
    if plan.replans is None or piece.id not in plan.replans.changed:
        return ""
    return CHANGED if piece.stock.owned else NEW
