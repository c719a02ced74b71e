"""The budget as a bar with a tape of money: spent, what is over, and the mark of the limit."""

from __future__ import annotations

from cutopt.draw import frame
from cutopt.draw.scene import BLACK, MIDDLE, WHITE, Align, Drawing, Hatch, Style, Words
from cutopt.draw.typeset import width_of
from cutopt.steps.buy import BudgetBar


def draw_budget(drawing: Drawing, budget: BudgetBar, top: float) -> float:
    """Draw the bar, what is over hatched, the budget a heavy mark; give the y under it."""
    field = frame.field_of(drawing)
    scale = field.width / max(budget.scale_cents, 1)
    high, low = 12.5, top - 12 - 12.5
    spent, limit = budget.spent_cents * scale, budget.high_cents * scale
    drawing.rectangle(field.left, low, max(spent, limit), high, 0.9, fill=WHITE)
    drawing.rectangle(field.left, low, min(spent, limit), high, 0, fill=BLACK)
    if spent > limit:
        drawing.add(Hatch(field.left + limit, low, spent - limit, high, 2.4, 0.5))
        drawing.rectangle(field.left + limit, low, spent - limit, high, 0.9)
        _over_bar(drawing, "over", field.left + (limit + spent) / 2, top - 8, limit, spent)
    drawing.line(field.left + limit, low - 6, field.left + limit, low + high + 4, 2.2)
    width = width_of("budget", 8, Style.BOLD)
    x = min(max(field.left + limit - width / 2, field.left), field.right - width)
    drawing.add(Words(x, top - 5, "budget", 8, Style.BOLD))
    if 0 < budget.low_cents < budget.high_cents:
        x = field.left + budget.low_cents * scale
        # White where the bar is black under it, so that it shows in both.
        drawing.line(x, low - 4, x, low, 1.1)
        drawing.line(x, low + high, x, low + high + 4, 1.1)
    _money_tape(drawing, budget, field, low - 3, scale)
    return low - 18


def _over_bar(drawing: Drawing, words: str, x: float, y: float, limit: float, spent: float) -> None:
    """Name the part of the bar that is over, where there is room beside the budget's name."""
    if spent - limit > 2 * (width_of("budget", 8, Style.BOLD) / 2 + width_of(words, 8) / 2 + 6):
        drawing.add(Words(x, y + 3, words, 8, Style.BOLD, align=Align.MIDDLE))


def _money_tape(
    drawing: Drawing, budget: BudgetBar, field: frame.Field, y: float, scale: float
) -> None:
    """Draw the ticks and figures under the bar."""
    if budget.minor_cents <= 0 or budget.major_cents <= 0:
        return
    every = budget.major_cents
    widest = width_of(str(budget.scale_cents // 100), 6.5)
    while every * scale < widest + 8:
        every += budget.major_cents
    for cents in range(0, budget.scale_cents + 1, budget.minor_cents):
        x = field.left + cents * scale
        drawing.line(x, y, x, y - (6 if cents % budget.major_cents == 0 else 2.5), 0.4)
        figure = str(cents // 100)
        half = width_of(figure, 6.5) / 2
        if cents and cents % every == 0 and x + half <= field.right:
            drawing.add(Words(x, y - 12, figure, 6.5, grey=MIDDLE, align=Align.MIDDLE))
