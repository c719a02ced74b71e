"""What a builder sees on the terminal: notes, warnings, what was understood, the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import asdict

from rich.console import Console
from rich.table import Table
from rich.text import Text

from cutopt.grading import GradesFound
from cutopt.model.cost import measure_of
from cutopt.model.job import Edge, Job, PlanWarning
from cutopt.model.plan import Measure
from cutopt.read.understood import Understood, UnderstoodPart
from cutopt.solve.grades import SCENARIOS
from cutopt.solve.material import problem_name
from cutopt.steps.grades import ASSUMED, chance_words, expected_words
from cutopt.steps.materials import area_words, run_words
from cutopt.steps.money import format_amount, format_money
from cutopt.steps.overview import Overview
from cutopt.steps.phrase import Phrase, counted, plain
from cutopt.units import TICKS_PER_MM, Ticks, Units, format_length

_SQUARE_FEET = 10.763910416709722  # in a square metre
_POUNDS = 2.2046226218487757  # in a kilogram


def stdout() -> Console:
    """Give the console for results."""
    return Console(highlight=False, soft_wrap=False)


def stderr() -> Console:
    """Give the console for progress, notes and warnings."""
    return Console(stderr=True, highlight=False)


def print_notes(console: Console, job: Job) -> None:
    """Print what the reader understood that may surprise."""
    for note in job.notes:
        console.print(Text(f"note: {note}"))


def print_warnings(console: Console, warnings: Iterable[PlanWarning]) -> None:
    """Print what must be known before cutting."""
    for warning in warnings:
        console.print(Text(f"warning ({warning.about}): {warning.text}", style="bold"))


def cost_words(job: Job) -> Callable[[str, int], str]:
    """Give what puts a cost of a material, called as the engines call it, into words."""
    measures = {problem_name(material): measure_of(job, material) for material in job.materials}

    def say(what: str, cost: int) -> str:
        measure = measures.get(what, Measure.PRICE)
        if measure is Measure.PRICE:
            return format_money(cost, job.currency)
        return (
            area_words(cost, job.units) if measure is Measure.AREA else run_words(cost, job.units)
        )

    return say


def _table(
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    right: Collection[str] = (),
    folding: Collection[str] = (),
) -> Table:
    """Give a table without the columns that are blank in every row.

    Only the ``folding`` columns are broken over lines where the terminal is narrow.
    """
    table = Table(box=None, pad_edge=False, header_style="dim")
    kept = [number for number in range(len(columns)) if any(row[number] for row in rows)]
    for number in kept:
        column = columns[number]
        table.add_column(
            column,
            justify="right" if column in right else "left",
            overflow="fold",
            no_wrap=column not in folding,
            min_width=9 if column in folding else None,
        )
    for row in rows:
        table.add_row(*(Text(row[number]) for number in kept))
    return table


def _head(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style="bold"))


def print_overview(console: Console, facts: Overview, units: Units) -> None:
    """Print the plan at a glance: what to buy, cost against budget, how good, how many cuts."""

    def say(phrase: Phrase) -> str:
        return plain(phrase, lambda ticks: format_length(Ticks(ticks), units, unit_mark=True))

    buy = facts.buy
    _head(console, f"{facts.job}: what to buy")
    every = [row for group in buy.groups for row in group.rows]
    lines = Counter((row.item, say(row.size)) for row in every)
    # Boards alike in size, or of one grade of several, go by their row of the stock list.
    rows = [
        (
            str(row.count),
            f"{row.item} ({row.stock.name})"
            if row.stock is not None and (row.stock.grade or lines[row.item, say(row.size)] > 1)
            else row.item,
            say(row.size),
            "-" if row.each_cents is None else format_amount(row.each_cents),
            "-" if row.sum_cents is None else format_amount(row.sum_cents),
        )
        for row in every
    ]
    if buy.store_cuts is not None and buy.store_cuts.sum_cents:
        cuts = buy.store_cuts
        fee = format_amount(cuts.sum_cents)
        rows.append((str(cuts.paid), "store cuts to pay", "", "", fee))
    columns: tuple[str, ...] = ("pieces", "item", "size", "each", "sum")
    console.print(_table(columns, rows, right=("pieces", "each", "sum"), folding=("item",)))
    measured = any(row.stock is not None and row.stock.bad for row in buy.owned)
    for row in buy.owned:
        mark = f" ({row.stock.name})" if measured and row.stock is not None else ""
        console.print(Text(f"from the shop: {row.count} x {row.item}, {say(row.size)}{mark}"))
    total = format_money(buy.total_cents, buy.currency)
    if buy.budget is not None:
        left = buy.budget.left_cents
        money = format_money(abs(left), buy.currency)
        ceiling = format_money(buy.budget.high_cents, buy.currency)
        total += f" of {ceiling} budget: {money} {'left' if left >= 0 else 'over'}"
    if buy.unpriced:
        total += ", without the things that have no price"
    console.print(Text(f"together {total}" if buy.any_price else "no prices given", style="bold"))

    _head(console, "can it be had cheaper?")
    answers = [
        (say(line.material), line.cost, say(line.answer), "proven" if line.proven else "")
        for line in facts.materials
    ]
    columns = ("material", "cost", "answer", "")
    console.print(_table(columns, answers, right=("cost",), folding=("material", "answer")))
    for line in facts.materials:
        if line.why and not line.proven:
            console.print(Text(f"{say(line.material)}: {line.why}", style="dim"))
        for limit in line.limits:
            console.print(Text(f"{say(line.material)}: {limit}"))
    for sentence in (*buy.offers, *buy.openings):
        console.print(Text(sentence))

    console.print()
    store = f"{counted(facts.store_cuts, 'cut')} at the store, " if facts.store_cuts else ""
    console.print(Text(f"{store}{counted(facts.shop_cuts, 'cut')} at home"))
    if facts.store_reasons:
        console.print(Text("why at the store:", style="dim"))
    for reason in facts.store_reasons:
        console.print(Text(f"  {reason}", style="dim"))
    if facts.largest_offcut is not None:
        offcut = facts.largest_offcut
        size, material = say(offcut.size), say(offcut.material)
        console.print(Text(f"largest offcut to keep: {offcut.id}, {size} of {material}"))


def _part_notes(part: UnderstoodPart) -> str:
    """Give what else was understood of a part: grain, bands, group."""
    bands = "all edges" if len(part.band) == len(Edge) else " ".join(part.band)
    words = (
        f"grain along its {part.grain}" if part.grain else "",
        f"band {bands}" if bands else "",
        part.group,
    )
    return "; ".join(word for word in words if word)


def print_understood(console: Console, facts: Understood, units: Units) -> None:
    """Print what was understood of a job: parts, stock, amounts."""
    inch = units is Units.INCH

    def size(*measures: int) -> str:
        return " x ".join(format_length(measure, units) for measure in measures)

    def spans(measured: Iterable[tuple[int, int]]) -> str:
        ends = ((format_length(a, units), format_length(b, units)) for a, b in measured)
        return ", ".join(f"{first} to {last}" for first, last in ends)

    def area(square_metres: float | None) -> str:
        if square_metres is None:
            return ""
        return f"{square_metres * _SQUARE_FEET:.1f} sq ft" if inch else f"{square_metres:.2f} m2"

    def weight(kilograms: float | None) -> str:
        if kilograms is None:
            return ""
        return f"{kilograms * _POUNDS:.0f} lb" if inch else f"{kilograms:.1f} kg"

    def run(ticks: int) -> str:
        millimetres = ticks / TICKS_PER_MM
        return f"{millimetres / 304.8:.1f} ft" if inch else f"{millimetres / 1000:.2f} m"

    parts, kinds = counted(facts.pieces, "part"), counted(len(facts.parts), "kind")
    _head(console, f"{facts.name}: {parts} of {kinds}")
    mark = "in" if inch else "mm"
    columns: tuple[str, ...] = ("qty", "part", f"size, {mark}", "cut to", "material", "notes")
    console.print(
        _table(
            columns,
            [
                (
                    str(part.qty),
                    part.name,
                    size(*part.finished[:2]),
                    size(*part.blank) if part.blank != part.finished[:2] else "",
                    f"{part.material} {part.section or size(part.finished[2])}",
                    _part_notes(part),
                )
                for part in facts.parts
            ],
            right=("qty",),
            folding=("part", "material", "notes"),
        )
    )

    _head(console, "stock to cut from")
    columns = ("stock", "kind", f"size, {mark}", "grade", "price", "available", "weight")
    console.print(
        _table(
            columns,
            [
                (
                    row.name,
                    row.kind,
                    size(*row.size),
                    "" if row.grade.casefold() in row.name.casefold() else row.grade,
                    "owned"
                    if row.owned
                    else "-"
                    if row.price_cents is None
                    else format_amount(row.price_cents),
                    "any number" if row.available is None else str(row.available),
                    weight(row.weight_kg) + (", two people" if row.two_people else ""),
                )
                for row in facts.stock
                if row.used
            ],
            right=("price",),
            folding=("stock", "grade", "weight"),
        )
    )

    measured = [row for row in facts.stock if row.used and row.bad]
    if measured:
        _head(console, "boards measured, from the left end")
        columns = ("board", f"length, {mark}", "bad", "clear")
        console.print(
            _table(
                columns,
                [
                    (row.name, size(row.size[0]), spans(row.bad), spans(row.clear))
                    for row in measured
                ],
                right=(),
                folding=("bad", "clear"),
            )
        )

    if facts.grades:
        _head(console, "what is expected of boards to buy")
        expected = [
            (grade.word or "no grade", expected_words(grade.expected, units))
            for grade in facts.grades
        ]
        console.print(
            _table(("grade", "bad spans and ends"), expected, folding=("bad spans and ends",))
        )
        if facts.confidence is not None:
            chance = chance_words(facts.confidence)
            console.print(Text(f"Spares are bought so that all parts come out with {chance}."))

    if facts.openings:
        _head(console, "openings for air")
        for sentence in facts.openings:
            console.print(Text(sentence))

    _head(console, "what the parts come to, before any cut")
    columns = ("material", "pieces", "area or length", "lumber", "weight")
    console.print(
        _table(
            columns,
            [
                (
                    f"{row.material} {row.section or size(row.thickness)}",
                    str(row.pieces),
                    area(row.area_m2) if row.board_feet is None else run(row.length),
                    "" if row.board_feet is None else f"{row.board_feet:.2f} bd ft",
                    weight(row.weight_kg),
                )
                for row in facts.materials
            ],
            right=("pieces", "weight"),
            folding=("material",),
        )
    )
    console.print(Text("Weights are approximate; nothing was planned.", style="dim"))


def print_grades(console: Console, found: GradesFound) -> None:
    """Print which grade of boards to buy, and what is assumed."""
    for report in found.reports:
        _head(console, report.title)
        columns = ("what to buy", *report.chances)
        rows = [(row.what, *row.cells) for row in report.rows]
        console.print(_table(columns, rows, right=report.chances, folding=("what to buy",)))
        for fact in report.facts:
            console.print(Text(fact))
        for grade in report.grades:
            console.print(Text(grade, style="dim"))
    for reason in found.passed_over:
        console.print(Text(reason))
    if found.reports:
        console.print()
        for assumed in ASSUMED:
            console.print(Text(assumed, style="dim"))


def grades_as_json(found: GradesFound) -> dict[str, object]:
    """Give what was found of grades as plain data; costs in cents, or ticks without prices."""
    return {
        "materials": [
            {
                "material": question.material.name,
                "section": question.material.section,
                "parts": question.parts,
                "measure": str(question.measure),
                "boards": [offer.stock.name for offer in question.offers],
                "alone": [
                    {
                        "stock": question.offers[one.offer].stock.name,
                        "out_of_scenarios": list(one.out),
                        "boards": [one.boards(chance) for chance in answer.chances],
                    }
                    for one in answer.alone
                ],
                "chances": list(answer.chances),
                "cheapest": [None if mix is None else asdict(mix) for mix in answer.mixes],
                "no_purchase_under": list(answer.floors),
                "clear": answer.clean,
                "if_all_were_clear": answer.unspared,
                "twice_as_bad": None if answer.twice is None else asdict(answer.twice),
                "usual_if_twice_as_bad": answer.twice_out,
                "returning": None if answer.returning is None else asdict(answer.returning),
                "scenarios": SCENARIOS,
                "facts": list(report.facts),
                "grades": list(report.grades),
            }
            for answer, report in zip(found.answers, found.reports, strict=True)
            for question in (answer.question,)
        ],
        "passed_over": list(found.passed_over),
        "assumed": list(ASSUMED),
    }


def understood_as_json(facts: Understood) -> dict[str, object]:
    """Give what was understood as plain data; lengths in ticks of 1/320 mm."""
    return asdict(facts)
