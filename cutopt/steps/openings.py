"""What a plan's openings come to, for the pages: not of a plan that lacks parts already made."""

from __future__ import annotations

from cutopt.model.opening_words import opening_words
from cutopt.model.openings import OpeningCheck, check_openings
from cutopt.model.plan import Plan


def opening_checks(plan: Plan) -> tuple[OpeningCheck, ...]:
    """Give what each group asked about comes to."""
    if plan.replans is not None:
        return ()
    return check_openings(plan.job.openings, plan.job.parts, plan.job.units)


def met_openings(plan: Plan) -> tuple[str, ...]:
    """Give a sentence for each group whose openings do; the others are warned of."""
    return tuple(
        opening_words(check, plan.job.units) for check in opening_checks(plan) if check.met
    )
