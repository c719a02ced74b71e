"""Spare boards: bought so that all parts come out with the chance a job asks for, not cut."""

from __future__ import annotations

from collections.abc import Mapping

from cutopt.model.job import Extra, Material, Pack, PlanWarning
from cutopt.solve.grades_answer import GradeAnswer
from cutopt.steps.grades import chance_words
from cutopt.steps.materials import material_name
from cutopt.steps.phrase import counted


def spare_boards(answer: GradeAnswer, cut: Mapping[str, int]) -> tuple[Extra, ...]:
    """Give the boards of the purchase for the usual chance that no plan cuts, as extras.

    Args:
        answer: of one material.
        cut: boards of each row of the stock list that the plan buys and cuts.
    """
    mix = answer.usual_mix
    if mix is None:
        return ()
    offers = answer.question.offers
    spares = [
        (offer.stock, max(0, count - cut.get(offer.stock.name, 0)))
        for count, offer in zip(mix.counts, offers, strict=True)
    ]
    together = sum(cut.get(offer.stock.name, 0) for offer in offers)
    together += sum(count for _, count in spares)
    chance = chance_words(answer.usual)
    note = f"{chance} chance that all parts come out of {counted(together, 'board')}; a model"
    return tuple(
        Extra(f"{stock.name}, spare", count, (Pack(1, stock.price_cents),), "", note, stock.name)
        for stock, count in spares
        if count
    )


def no_purchase(answer: GradeAnswer) -> PlanWarning:
    """Give the warning that no boards on offer reach the usual chance."""
    name = material_name(answer.question.material)
    chance = chance_words(answer.usual)
    return PlanWarning(
        "grade",
        f"{name}: no purchase was found from which all parts come out with a chance of {chance}; "
        "no spares are bought. A better grade or longer boards would help.",
    )


def no_chance(material: Material, reason: str) -> PlanWarning:
    """Give the warning that no spares are bought of a material, and why."""
    return PlanWarning("grade", f"{material_name(material)}: no spares are bought: {reason}.")
