"""One way to run CP-SAT: repeatable, bounded by work and never by the clock."""

from __future__ import annotations

from ortools.sat.python import cp_model


def repeatable_solver(work: float, *, linearization: int = 1) -> cp_model.CpSolver:
    """Give a solver that stops after ``work`` deterministic seconds at the same place anywhere.

    It leaves Ctrl-C alone: the library's own handler would take it from the program, and put
    the system's in its place when a solve ends.
    """
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = linearization
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False
    return solver
