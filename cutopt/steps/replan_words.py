"""What is done of a plan, and where what was spoiled comes from now, in a line each."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cutopt.model.plan import PartPiece, Plan, walk
from cutopt.steps.floor import Copy, Floor
from cutopt.steps.materials import material_words
from cutopt.steps.money import format_money
from cutopt.steps.phrase import counted, listed, plain
from cutopt.steps.replan_pages import CHANGED, NEW, change_of, made_words, purchases
from cutopt.units import format_length


def floor_words(plan: Plan, floor: Floor) -> tuple[str, ...]:
    """Give what is made, spoiled, missing, and on which pieces there is still something to cut."""
    lines = []
    if plan.replans is not None and plan.replans.made:
        lines.append(f"made before this plan: {made_words(plan.replans.made)}")
    cut = [copy for copy in floor.made if copy not in floor.whole]
    if cut:
        lines.append(f"made: {_named(plan, cut)}")
    if floor.whole:
        lines.append(
            f"made as soon as they are bought, since nothing is cut: {_named(plan, floor.whole)}"
            " (else say --not-bought)"
        )
    if floor.spoiled:
        lines.append(f"spoiled: {_named(plan, floor.spoiled)}")
    missing = [(one.part, one.copy) for one in floor.missing]
    others = [copy for copy in missing if copy not in floor.spoiled]
    if others:
        lines.append(f"without wood now: {_named(plan, others)}")
    if floor.kept:
        cuts = sum(len(piece.cuts()) for piece in floor.kept)
        lines.append(
            f"{counted(cuts, 'cut')} to make on {listed(in_order(p.id for p in floor.kept))}"
        )
    if floor.unbought:
        lines.append(f"to buy: {listed([piece.id for piece in floor.unbought])}")
    if floor.free:
        lines.append(f"nothing planned on: {listed([row.name for row in floor.free])}")
    if missing:
        lines.append("next: cutopt replan finds where the missing parts come from")
    return tuple(lines)


def floor_as_json(plan: Plan, floor: Floor) -> dict[str, object]:
    """Give the state of a job between two cuts as JSON values: parts by label, pieces by name."""
    before = plan.replans.made if plan.replans is not None else ()
    missing = [(one.part, one.copy) for one in floor.missing]
    return {
        "made_before": [
            {"part": one.part, "name": one.name, "of": one.of, "numbers": list(one.numbers)}
            for one in before
        ],
        "made": _labels(plan, floor.made),
        "made_by_buying": _labels(plan, floor.whole),
        "spoiled": _labels(plan, floor.spoiled),
        "missing": _labels(plan, missing),
        "to_cut": in_order(piece.id for piece in floor.kept),
        "to_buy": in_order(piece.id for piece in floor.unbought),
        "free": in_order(row.name for row in floor.free),
    }


def replan_words(plan: Plan) -> tuple[str, ...]:
    """Give whether anything is to be bought, and what is cut otherwise than before."""
    replans = plan.replans
    if replans is None:
        return ()
    lines = [f"Buy {bought}." for bought in purchases(plan)]
    if not lines:
        lines.append("No need to buy anything.")
    if plan.totals.store_fees_cents:
        fee = format_money(plan.totals.store_fees_cents, plan.job.currency)
        lines.append(f"The store's cuts: {fee}.")
    spoiled = {(one.part, number) for one in replans.spoiled for number in one.numbers}
    parts = {part.id: part for part in plan.job.parts}
    for piece in plan.pieces:
        new = change_of(plan, piece) == NEW
        held = [
            placed.node.label
            for placed in walk(piece.layout)
            if isinstance(placed.node, PartPiece)
            and (
                new
                or (placed.node.part, parts[placed.node.part].number(placed.node.copy)) in spoiled
            )
        ]
        if held:
            source = piece.id if piece.stock.owned else f"{piece.id} ({piece.stock.name}, to buy)"
            lines.append(f"{listed(held)}: cut from {source}.")
    changed = [piece.id for piece in plan.pieces if change_of(plan, piece) == CHANGED]
    if changed:
        lines.append(f"Cut otherwise than before: {listed(changed)}. All else stays as planned.")
    if changed and not replans.fewest:
        lines.append("Whether fewer pieces cut otherwise would do is not settled.")
    elif not changed and replans.changed and any(piece.stock.owned for piece in plan.pieces):
        lines.append("What lies there stays as planned.")
    for result in plan.materials:
        name = plain(
            material_words(result.material),
            lambda size: format_length(size, plan.job.units, unit_mark=True),
        )
        if result.cost and not result.proven:
            lines.append(f"{name}: not proven to be the least money.")
        elif result.cost:
            lines.append(f"{name}: nothing less would do.")
    return tuple(lines)


def in_order(names: Iterable[str]) -> list[str]:
    """Give names in order, their numbers by size: "S2 A2" before "S2 A10"."""
    return sorted(
        names,
        key=lambda name: [
            (not word.isdigit(), int(word) if word.isdigit() else 0, word)
            for word in re.split(r"(\d+)", name)
        ],
    )


def _named(plan: Plan, copies: Iterable[Copy]) -> str:
    return listed(_labels(plan, copies))


def _labels(plan: Plan, copies: Iterable[Copy]) -> list[str]:
    """Give copies as their labels call them, in order of the labels."""
    labels = {
        (placed.node.part, placed.node.copy): placed.node.label
        for piece in plan.pieces
        for placed in walk(piece.layout)
        if isinstance(placed.node, PartPiece)
    }
    return in_order(labels[copy] for copy in copies)
