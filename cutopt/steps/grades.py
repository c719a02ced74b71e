"""Which grade to buy, in words: purchases for each chance, what moves them, what is assumed."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from cutopt.model.grade import INVENTED, Grade
from cutopt.model.job import Job
from cutopt.model.plan import Measure
from cutopt.read.grades import FEET_IN_A_METRE
from cutopt.solve.grades import SCENARIOS
from cutopt.solve.grades_answer import GradeAnswer
from cutopt.solve.grades_question import Question
from cutopt.steps.materials import material_name, run_words
from cutopt.steps.money import format_money
from cutopt.steps.phrase import counted
from cutopt.units import Units, format_length

ASSUMED = (
    (
        "This is a model, no measurement. Bad spans begin anywhere along a board, at one rate for "
        "all boards of a grade."
    ),
    (
        f"Counted over {SCENARIOS:,} drawn purchases; within the model the chance named holds "
        "with 95 % confidence. Where parts were not shown to come out, they count as short."
    ),
    (
        "Mark the bad spans on the boards you have bought, measure them and plan around them "
        "(boards.csv) before you cut."
    ),
)


@dataclass(frozen=True, slots=True)
class GradeRow:
    """One way to buy: what it is called, and for each chance what it takes."""

    what: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GradeReport:
    """The answer for one material.

    Attributes:
        title: the boards and how many parts they are for.
        chances: in words, "95 %".
        rows: ways to buy.
        facts: what else is known, a sentence each.
        grades: what each grade was taken for, a line each.
    """

    title: str
    chances: tuple[str, ...]
    rows: tuple[GradeRow, ...]
    facts: tuple[str, ...]
    grades: tuple[str, ...]


def chance_words(share: float) -> str:
    """Give a chance as builders say it: "95 %", "99.5 %"."""
    return f"{100 * share:.1f}".removesuffix(".0") + " %"


def purchase_words(question: Question, counts: Sequence[int]) -> str:
    """Give a purchase in words: "9 of 1x4 common 8 ft and 2 of 1x4 clear 6 ft"."""
    bought = [
        f"{count} of {offer.stock.name}"
        for count, offer in zip(counts, question.offers, strict=True)
        if count
    ]
    if not bought:
        return "nothing"
    return " and ".join([", ".join(bought[:-1]), bought[-1]] if bought[1:] else bought)


def grade_report(job: Job, answer: GradeAnswer, units: Units) -> GradeReport:
    """Give the answer for one material in words."""
    question = answer.question

    def money(cost: float) -> str:
        if question.measure is Measure.PRICE:
            return format_money(round(cost), job.currency)
        return run_words(round(cost), units)

    rows = []
    for one in answer.alone:
        stock = question.offers[one.offer].stock
        cells = []
        for chance in answer.chances:
            count = one.boards(chance)
            cells.append("-" if count is None else f"{count}, {money(count * one.cost_each)}")
        rows.append(GradeRow(f"{stock.name} alone", tuple(cells)))
    for mix in dict.fromkeys(answer.mixes):
        cost = "-" if mix is None else money(mix.cost)
        what = "none found" if mix is None else purchase_words(question, mix.counts)
        cells = [cost if other == mix else "" for other in answer.mixes]
        rows.append(GradeRow(f"cheapest found: {what}", tuple(cells)))
    least = tuple("-" if floor is None else money(floor) for floor in answer.floors)
    rows.append(GradeRow("no purchase does under", least))
    return GradeReport(
        f"{material_name(question.material)}: boards for {counted(question.parts, 'part')}",
        tuple(map(chance_words, answer.chances)),
        tuple(rows),
        tuple(_facts(job, answer, money)),
        tuple(_grades(question, units)),
    )


def _facts(job: Job, answer: GradeAnswer, say: Callable[[float], str]) -> list[str]:
    question, mix = answer.question, answer.usual_mix
    usual = chance_words(answer.usual)
    facts = []
    if mix is None:
        facts.append(
            f"No purchase found gives all parts with a chance of {usual}: another grade, longer "
            "boards or parts with knots = ok would help."
        )
    floor = answer.floors[answer.chances.index(answer.usual)]
    if mix is not None and floor is not None:
        over = (
            f"at most {math.ceil(100 * (mix.cost - floor) / max(1, floor))} % dearer than need be"
        )
        facts.append(
            f"The purchase for {usual} is {over if floor < mix.cost else 'as cheap as can be'}: "
            f"none under {say(floor)} gives that chance, within the model and with 95 % confidence."
        )
    if answer.clean is not None:
        counts, cost = answer.clean
        words = f"All clear boards: {purchase_words(question, counts)}, {say(cost)}"
        if mix is not None and mix.cost < cost:
            words += (
                f"; the purchase for {usual} costs {say(cost - mix.cost)} less "
                f"({round(100 * (cost - mix.cost) / cost)} %)"
            )
        facts.append(words + ".")
    else:
        facts.append("No boards without faults are on offer to compare with.")
    if answer.unspared is not None and mix is not None:
        counts, cost = answer.unspared
        facts.append(
            f"If no board had anything wrong, {purchase_words(question, counts)} would do, "
            f"{say(cost)}."
        )
    if mix is not None and question.uncertain:
        share = chance_words(answer.twice_out / SCENARIOS)
        words = f"If boards are twice as bad, the purchase for {usual} does with {share}"
        if answer.twice is None:
            words += f", and none found does with {usual}"
        elif answer.twice.counts != mix.counts:
            counts, cost = answer.twice.counts, answer.twice.cost
            words += f"; {usual} would take {purchase_words(question, counts)}, {say(cost)}"
        facts.append(words + ".")
    back = answer.returning
    if back is not None and job.trip_cents is not None:
        name = question.offers[back.more].stock.name
        trip = format_money(job.trip_cents, job.currency)
        words = f"With {trip} for going back, on average it costs least to buy "
        words += f"{purchase_words(question, back.counts)} first"
        if back.again:
            words += (
                f" and {back.each_trip} of {name} more on each trip: {say(back.cost)} with "
                f"trips, which {chance_words(back.again)} of purchases ask for"
            )
        else:
            words += f": {say(back.cost)}, and no trip is needed"
        facts.append(words + ".")
    elif job.trip_cents is None and question.uncertain:
        facts.append("Say what a trip costs (trip = 12.00 in job.toml) to weigh going back.")
    if question.owned:
        facts.append(
            "Boards in the shop are counted with their bad spans as given; those without are "
            "taken as clear."
        )
    return facts


def _grades(question: Question, units: Units) -> list[str]:
    described = {
        offer.stock.grade: offer.grade if offer.described else None for offer in question.offers
    }
    return [
        f"{word or 'no grade'}: {expected_words(grade, units)}" for word, grade in described.items()
    ]


def expected_words(grade: Grade | None, units: Units) -> str:
    """Say what is expected of the boards of a grade, None for one that nothing is said of."""
    if grade is None:
        return "nothing says how bad they are; taken as clear"
    return _grade_words(grade, units) + (f" ({INVENTED})" if grade.invented else "")


def _grade_words(grade: Grade, units: Units) -> str:
    def measures(low: int, high: int) -> str:
        first = format_length(low, units)
        return f"{first} to {format_length(high, units, unit_mark=True)}"

    words = []
    if grade.bad_per_metre:
        inch = units is Units.INCH
        rate = grade.bad_per_metre / FEET_IN_A_METRE if inch else grade.bad_per_metre
        each = "foot" if inch else "metre"
        words.append(
            f"{rate:.2g} bad spans a {each}, {measures(grade.span_from, grade.span_to)} long"
        )
    if grade.end_chance:
        words.append(
            f"an end is bad in {chance_words(grade.end_chance)} of cases, over "
            f"{measures(grade.end_from, grade.end_to)}"
        )
    if grade.straight is not None:
        straight = format_length(grade.straight, units, unit_mark=True)
        words.append(f"no part longer than {straight} comes out straight")
    return "; ".join(words) or "nothing wrong"
