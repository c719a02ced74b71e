"""One material of a job as a question of grades: which boards are offered, what they must give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cutopt.model.cost import cost_of, measure_of
from cutopt.model.grade import Grade, grade_of
from cutopt.model.job import Job, Kind, Material, Stock
from cutopt.model.plan import Measure
from cutopt.solve.kernel import clear_runs as kernel

_CLEAR = Grade("")
_NO_LIMIT = 10**12


@dataclass(frozen=True, slots=True)
class Offer:
    """A row of the stock list that may be bought, and what is expected of its boards.

    Attributes:
        cost: of one board, in the measure's unit.
        described: the job or a shipped default says what its grade is like; else it is taken
            as clear.
    """

    stock: Stock
    grade: Grade
    cost: int
    described: bool


@dataclass(frozen=True, slots=True)
class Question:
    """Boards of one material; lengths in ticks, longest first.

    Attributes:
        clear: blanks that no bad span may touch.
        loose: blanks that may hold bad spans (not bad ends).
        owned: clear runs of boards in the shop: start, end, and which board of them.
    """

    material: Material
    measure: Measure
    kerf: int
    offers: tuple[Offer, ...]
    clear: tuple[int, ...]
    loose: tuple[int, ...]
    owned: tuple[tuple[int, int, int], ...] = ()

    @property
    def parts(self) -> int:
        """How many blanks there are."""
        return len(self.clear) + len(self.loose)

    @property
    def grades(self) -> tuple[str, ...]:
        """The grades on offer, in the order of the stock list."""
        return tuple(dict.fromkeys(offer.stock.grade for offer in self.offers))

    @property
    def uncertain(self) -> bool:
        """Some board on offer may have something wrong with it."""
        return any(not offer.grade.clean for offer in self.offers)

    def cost(self, counts: Sequence[int]) -> int:
        """Give what so many boards of each offer cost, in the measure's unit."""
        return sum(count * offer.cost for count, offer in zip(counts, self.offers, strict=True))

    def twice_as_bad(self) -> Question:
        """Give the same question with twice the bad spans and twice the bad ends."""
        return replace(
            self,
            offers=tuple(
                replace(
                    offer,
                    grade=replace(
                        offer.grade,
                        bad_per_metre=2 * offer.grade.bad_per_metre,
                        end_chance=min(1.0, 2 * offer.grade.end_chance),
                    ),
                )
                for offer in self.offers
            ),
        )


def question_of(job: Job, material: Material, kerf: int) -> Question | str:
    """Give the question of grades of a material, or why there is none.

    Args:
        job: with each part on the boards it comes from.
        material: boards of one section.
        kerf: largest of any saw that may cut them, ticks.
    """
    if material.kind is not Kind.BOARD:
        return "sheets have no grades here"
    parts = [part for part in job.parts if part.material == material]
    rows = [row for row in job.stock if row.material == material and row.length > 2 * row.trim]
    if any(part.blank_width < row.width for part in parts for row in rows):
        return "parts are ripped from wider boards, and the chance is known for crosscuts only"
    measure = measure_of(job, material)
    offers = []
    for row in rows:
        if row.owned or row.available == 0:
            continue
        grade = grade_of(row.grade, job.grades) if row.grade else None
        offers.append(Offer(row, grade or _CLEAR, cost_of(row, measure), grade is not None))
    if not offers:
        return "there are no boards to buy"
    if any(offer.cost <= 0 for offer in offers):
        return "boards that cost nothing are bought in any number"
    blanks = sorted(
        ((part.blank_length, part.knots_ok) for part in parts for _ in range(part.qty)),
        reverse=True,
    )
    return Question(
        material,
        measure,
        kerf,
        tuple(offers),
        tuple(length for length, loose in blanks if not loose),
        tuple(length for length, loose in blanks if loose),
        tuple(_owned(rows, kerf)),
    )


def _owned(rows: Sequence[Stock], kerf: int) -> list[tuple[int, int, int]]:
    """Give the clear runs of boards in the shop; what nobody measured is taken as clear."""
    runs: list[tuple[int, int, int]] = []
    board = 0
    for row in rows:
        for _ in range((row.available or 0) if row.owned else 0):
            start, last = int(row.trim), row.length - row.trim
            for bad_from, bad_to in (*row.bad, (last, last)):
                stop = min(bad_from, last)
                if stop > start:
                    runs.append((start, stop, board))
                    start = stop + kerf
                start = max(start, bad_to)
            board += 1
    return runs


class Boards:
    """A question in the arrays the kernel takes."""

    def __init__(self, question: Question) -> None:
        """Take the question."""
        kerf, offers = question.kerf, question.offers
        self.kerf = kerf
        self.rows = np.array([_row(offer) for offer in offers], np.int64)
        self.odds = np.array(
            [(o.grade.bad_per_metre / (1000 * 320), o.grade.end_chance) for o in offers],
            np.float64,
        )
        self.weights = np.array([length + kerf for length in question.clear], np.int64)
        self.rest = np.array([length + kerf for length in question.loose], np.int64)
        ends: dict[int, tuple[int, int]] = {}
        for start, stop, board in question.owned:
            ends[board] = (ends.get(board, (start, stop))[0], stop)
        self.first = np.array(
            [
                (start, stop, board, *ends[board], _NO_LIMIT)
                for start, stop, board in question.owned
            ],
            np.int64,
        ).reshape(len(question.owned), 6)


def _row(offer: Offer) -> tuple[int, ...]:
    stock, grade = offer.stock, offer.grade
    row = [0] * 7
    row[kernel.LENGTH], row[kernel.TRIM] = stock.length, stock.trim
    row[kernel.SPAN_FROM], row[kernel.SPAN_TO] = grade.span_from, grade.span_to
    row[kernel.END_FROM], row[kernel.END_TO] = grade.end_from, grade.end_to
    row[kernel.STRAIGHT] = _NO_LIMIT if grade.straight is None else grade.straight
    return tuple(row)
