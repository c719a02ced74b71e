"""How well chances of boards are kept, and how long they take: python -m benchmarks.run_grades.

Made-up jobs of 8 to 60 parts on two or three grades in one to three lengths. The purchase for
95 % is weighed again on 4,000 boards drawn afresh, with a hundred times the steps for
trying every way to pack them; so is the best that is left of it with one board fewer. What is
open counts as short. The last columns are the cost, what any purchase costs at least, and how
far the first can be over the cheapest.
"""

from __future__ import annotations

import sys
import time
from random import Random

import numpy as np

from cutopt.model.grade import grade_of
from cutopt.model.job import Kind, Material, Stock
from cutopt.model.plan import Measure
from cutopt.solve.grades import SCENARIOS
from cutopt.solve.grades_answer import answer
from cutopt.solve.grades_question import Boards, Offer, Question
from cutopt.solve.kernel.rough_boards import count_out
from cutopt.solve.warm import warm
from cutopt.units import inches

FRESH = 4000
PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")


def made_up(seed: int, parts: int) -> Question:
    """Give a question of so many parts; every third has long parts."""
    random = Random(seed)
    longest = 72 if seed % 3 == 0 else 44
    words = ("clear", "common") if seed % 2 else ("clear", "select", "common")
    cents = {"clear": 160, "select": 110, "common": 55}
    offers = []
    for word in words:
        grade = grade_of(word, ())
        if grade is None:
            raise ValueError(word)
        for feet in (8, 10, 6)[: 1 + seed % 3]:
            price = round(cents[word] * feet * (1 + 0.01 * (feet - 8)))
            stock = Stock(f"{word} {feet} ft", PINE, inches(12 * feet), inches(3), price)
            offers.append(Offer(stock, grade, price, described=True))
    # Six feet of board do not give the longest parts: such a row is dropped.
    offers = [offer for offer in offers if offer.stock.length >= inches(longest + 12)] or offers
    lengths = sorted(
        (random.randint(8 * 8, longest * 8) * inches(0, 1, 8) for _ in range(parts)), reverse=True
    )
    loose = {index for index in range(parts) if seed % 4 == 3 and random.random() < 0.3}
    return Question(
        PINE,
        Measure.PRICE,
        inches(0, 1, 8),
        tuple(offers),
        tuple(length for index, length in enumerate(lengths) if index not in loose),
        tuple(length for index, length in enumerate(lengths) if index in loose),
    )


def fresh_share(question: Question, counts: tuple[int, ...]) -> tuple[float, int]:
    """Give how often all parts come out of boards drawn afresh, and how often that is open."""
    boards = Boards(question)
    out, doubtful, _ = count_out(
        31_415_926, FRESH, FRESH, boards.rows, boards.odds, np.array(counts, np.int64),
        boards.first, boards.weights, boards.rest, boards.kerf, 6, 20_000,
    )  # fmt: skip
    return out / FRESH, int(doubtful)


def one_fewer(question: Question, counts: tuple[int, ...]) -> tuple[float, int]:
    """Give the greatest share of the purchases with one board fewer, and how often it is open."""
    fewer = [
        tuple(count - (index == gone) for index, count in enumerate(counts))
        for gone, had in enumerate(counts)
        if had
    ]
    return max(fresh_share(question, trial) for trial in fewer)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


def main() -> None:
    """Print a row for each job."""
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    warm()
    _say(
        "job parts rows  promised  counted  fresh  open  one fewer  open  seconds  "
        "cost  least  over %  purchase"
    )
    worst, slowest, proven, overs = 1.0, 0.0, 0, []
    for seed in range(jobs):
        question = made_up(seed, (8, 15, 25, 40, 60)[seed % 5])
        start = time.process_time()
        found = answer(question, 0.95, 1200)
        seconds = time.process_time() - start
        mix = found.usual_mix
        if mix is None:
            _say(f"{seed:3} {question.parts:5} {len(question.offers):4}  nothing found")
            continue
        fresh, doubtful = fresh_share(question, mix.counts)
        if any(
            count and not offer.grade.clean
            for count, offer in zip(mix.counts, question.offers, strict=True)
        ):
            worst = min(worst, fresh)
        slowest = max(slowest, seconds)
        floor = found.floors[found.chances.index(0.95)] or 0
        overs.append(100 * (mix.cost / floor - 1))
        proven += floor == mix.cost
        fewer, fewer_open = one_fewer(question, mix.counts)
        _say(
            f"{seed:3} {question.parts:5} {len(question.offers):4}  {0.95:8.3f}  "
            f"{mix.out / SCENARIOS:7.4f}  {fresh:.4f}  {doubtful:4}  {fewer:9.4f}  {fewer_open:4}  "
            f"{seconds:7.2f}  {mix.cost:5} {floor:6} {overs[-1]:7.1f}  {mix.counts}"
        )
    _say(f"least fresh share {worst:.4f}, slowest {slowest:.2f} s of processor time")
    _say(f"none cheaper in {proven} of {len(overs)}; at most {max(overs):.1f} % over the cheapest")


if __name__ == "__main__":
    main()
