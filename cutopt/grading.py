"""Which grade of boards to buy: job -> questions -> answers -> words, plot, spares."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from cutopt.check.replay import check_plan
from cutopt.draw.frame import Look, Paper
from cutopt.draw.grade_plot import grade_pages
from cutopt.errors import CannotPlanError, PlanFaultError
from cutopt.model.grade import grade_of
from cutopt.model.job import Job, Kind, PlanWarning
from cutopt.model.plan import Plan
from cutopt.model.sources import boards_alone
from cutopt.solve.grades_answer import USUAL, GradeAnswer, answer
from cutopt.solve.grades_question import Question, question_of
from cutopt.steps.grades import GradeReport, chance_words, grade_report
from cutopt.steps.materials import material_name
from cutopt.steps.sawing_saws import kerfs
from cutopt.steps.spares import no_chance, no_purchase, spare_boards
from cutopt.units import Units
from cutopt.write.grades import write_grades
from cutopt.write.plan_json import plan_mark


@dataclass(frozen=True, slots=True)
class GradesFound:
    """What is known of the grades of a job's boards.

    Attributes:
        reports: one for each material that there is something to say about.
        passed_over: why nothing is said of the other boards, a sentence each.
    """

    answers: tuple[GradeAnswer, ...]
    reports: tuple[GradeReport, ...]
    passed_over: tuple[str, ...]


def find_grades(job: Job, units: Units) -> GradesFound:
    """Give which grade of boards to buy, for each material of a job."""
    answers, passed_over = [], []
    for material in job.materials:
        question = question_of(job, material, kerfs(job, material)[0])
        if isinstance(question, Question) and question.uncertain:
            answers.append(answer(question, job.confidence or USUAL, job.trip_cents))
        elif material.kind is Kind.BOARD:
            reason = question if isinstance(question, str) else "no grade has anything wrong"
            passed_over.append(f"{material_name(material)}: {reason}.")
    if not answers and not passed_over:
        passed_over.append("There are no boards in this job.")
    reports = tuple(grade_report(job, found, units) for found in answers)
    return GradesFound(tuple(answers), reports, tuple(passed_over))


def run_grades(job: Job, paper: Paper, units: Units, folder: Path, *, force: bool) -> GradesFound:
    """Say which grade to buy, write the plots into ``folder``, and give what was found."""
    found = find_grades(job, units)
    if found.reports:
        look = Look(job.name, units, paper, plan_mark(repr(found.reports)))
        pages = grade_pages(found.answers, found.reports, look)
        finished = tuple(page.finish() for page in pages)
        write_grades(finished, f"{job.name}: Grades of boards", folder, force=force)
    return found


def with_spares(job: Job, plan_job: Callable[[Job], Plan]) -> Plan:
    """Give the plan of a job with spare boards for the chance the job asks for.

    Where the purchase for the chance holds the boards of the plan, the rest of it are spares;
    else the plan is made again from that purchase alone. The bound stays that of all the stock.

    Args:
        job: with a chance.
        plan_job: gives the checked plan of a job without one.

    Raises:
        CannotPlanError: a part fits no stock, or stock runs out.
        PlanFaultError: the independent replay found a fault.
    """
    others = tuple(extra for extra in job.extras if not extra.spare_of)
    # Spares of an earlier plan are worked out again; chances are worked out for boards alone.
    job = replace(job, extras=others, stock=boards_alone(job.stock))
    plan = plan_job(replace(job, confidence=None))
    found = find_grades(replace(plan.job, confidence=job.confidence), job.units)
    wanted = {
        offer.stock.name: 0 if answer.usual_mix is None else answer.usual_mix.counts[index]
        for answer in found.answers
        for index, offer in enumerate(answer.question.offers)
        if answer.usual_mix is not None
    }
    if any(count > wanted.get(name, count) for name, count in _bought(plan).items()):
        plan = _from(plan, wanted, job, plan_job)
    spares = [
        spare
        for answer in found.answers
        if answer.usual_mix is not None
        for spare in spare_boards(answer, _bought(plan))
    ]
    without = [answer for answer in found.answers if answer.usual_mix is None]
    plan = replace(
        plan,
        job=replace(plan.job, confidence=job.confidence, extras=(*plan.job.extras, *spares)),
        totals=replace(
            plan.totals,
            extras_cents=plan.totals.extras_cents
            + sum(spare.qty * (spare.packs[0].price_cents or 0) for spare in spares),
            unpriced=plan.totals.unpriced
            or any(spare.packs[0].price_cents is None for spare in spares),
        ),
        warnings=(*plan.warnings, *map(no_purchase, without), *_unasked(plan.job)),
    )
    faults = check_plan(plan)
    if faults:
        raise PlanFaultError(faults)
    return plan


def _unasked(job: Job) -> Iterator[PlanWarning]:
    """Give a warning for each material of which spares are wanted and no chance is known."""
    for material in job.materials:
        reason = question_of(job, material, kerfs(job, material)[0])
        grades = [
            grade_of(row.grade, job.grades)
            for row in job.stock
            if row.material == material and not row.owned
        ]
        if isinstance(reason, str) and any(grade and not grade.clean for grade in grades):
            yield no_chance(material, reason)


def _bought(plan: Plan) -> Counter[str]:
    return Counter(piece.stock.name for piece in plan.pieces if not piece.stock.owned)


def _from(plan: Plan, wanted: Mapping[str, int], job: Job, plan_job: Callable[[Job], Plan]) -> Plan:
    """Give the plan made again from the boards wanted, or as it is where that cannot be."""
    stock = tuple(
        replace(row, available=wanted[row.name]) if row.name in wanted else row for row in job.stock
    )
    try:
        again = plan_job(replace(job, confidence=None, stock=stock))
    except CannotPlanError:
        return plan
    listed = {row.name: row for row in plan.job.stock}
    bounds = {result.material: result.lower_bound for result in plan.materials}
    chance = chance_words(job.confidence or USUAL)
    return replace(
        again,
        job=replace(again.job, stock=plan.job.stock),
        pieces=tuple(replace(piece, stock=listed[piece.stock.name]) for piece in again.pieces),
        materials=tuple(
            result
            if bounds.get(result.material, result.lower_bound) == result.lower_bound
            else replace(
                result,
                lower_bound=min(result.cost, bounds[result.material]),
                why=f"the boards bought are those for a chance of {chance}",
                next_best="",
            )
            for result in again.materials
        ),
    )
