"""Which grade of boards to buy: job -> questions -> answers -> words, plot, spares."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from cutopt.draw.frame import Look, Paper
from cutopt.draw.grade_plot import grade_pages
from cutopt.model.job import Job, Kind
from cutopt.solve.grades_answer import USUAL, GradeAnswer, answer
from cutopt.solve.grades_question import Question, question_of
from cutopt.steps.grades import GradeReport, grade_report
from cutopt.steps.materials import material_name
from cutopt.steps.sawing_saws import kerfs
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
