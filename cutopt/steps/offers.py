"""Ripping offered in words: what it saves, what work it is, and why it is done or not."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cutopt.model.plan import Offer
from cutopt.steps.money import format_money
from cutopt.steps.phrase import counted, listed

_MOST_NAMED = 3
"""Parts that a sentence names; the buy list is no place for all of a large job."""


def offer_words(offer: Offer, currency: str) -> str:
    """Give an offer in a sentence, with what would make the plan do otherwise."""
    by_width: dict[str, list[str]] = {}
    for narrow, wide in offer.swaps:
        by_width.setdefault(wide, []).append(_many(narrow))
    swaps = [f"{listed(narrow)} out of {_many(wide)}" for wide, narrow in by_width.items()]
    what = "; ".join(swaps) if swaps else "narrower parts out of wider boards"
    if offer.from_sheets:
        parts = _some([f"{part} ({qty})" for part, qty in offer.from_sheets])
        what = f"{listed(parts)} from sheets instead of boards"
    money = format_money(offer.saving_cents, currency)
    more = abs(offer.more_rips)
    rips = counted(more, "more rip" if offer.more_rips > 0 else "fewer rip") if more else "no more"
    said = f"{offer.lumber.name}: ripping {what} saves {money}, {rips}"
    if not more:
        said += " rips"
    percent = 100 * offer.saving_cents // max(1, offer.cost_cents)
    if offer.taken:
        whose = "the boards'" if offer.from_sheets else "the lumber's"
        return f"{said}: taken, it is {percent} % of {whose} cost"
    if percent >= offer.least_percent:
        return f"{said}: not taken, what else is asked for costs more then"
    share = f"only {percent} %" if percent else "less than 1 %"
    return f"{said}: not taken, it saves {share}; set rip_saving = {percent} to take it"


def _some(names: Sequence[str]) -> tuple[str, ...]:
    """Give the first names, and how many more there are as the last one."""
    named = tuple(names[:_MOST_NAMED])
    rest = len(names) - len(named)
    return (*named, f"{rest} more") if rest else named


def _many(section: str) -> str:
    """Give boards of a section in words: "1x2s"; "" are parts as wide as no board."""
    if not section:
        return "narrow parts"
    return f"{section}s" if re.fullmatch(r"\d+x\d+", section) else f"boards of {section}"
