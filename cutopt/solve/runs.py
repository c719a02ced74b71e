"""Parts that come side by side from one strip, so that the figure of the wood runs through.

To the engine a run is one blank, as large as its parts with a saw cut between neighbours.
Afterwards its place is given to its parts, in the order of the bill of parts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError, Fault
from cutopt.model.job import Kind, Part
from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.solve.explain import fits, ways
from cutopt.solve.params import Item, Problem
from cutopt.units import Ticks, Units, format_length


@dataclass(frozen=True, slots=True)
class Run:
    """Parts of one match word as one blank.

    Attributes:
        word: the word they share.
        whole: all of them as one item.
        blanks: each copy of each part, in order, not turned.
        across: which cuts part the run where it is not turned.
        names: of its parts, each once.
    """

    word: str
    whole: Item
    blanks: tuple[Blank, ...]
    across: Direction
    names: tuple[str, ...]

    @property
    def title(self) -> str:
        """What progress and faults call it."""
        return f"the run {self.word!r}"


def runs_of(parts: Sequence[Part], kerf: int) -> tuple[Run, ...]:
    """Give the runs among the sheet parts of one material, ``kerf`` ticks between neighbours.

    A word that stands for one piece only makes no run.

    Raises:
        CannotPlanError: parts of one word agree neither in length nor in width, or not in grain.
    """
    sharing: dict[str, list[Part]] = {}
    for part in parts:
        if part.match and part.material.kind is Kind.SHEET:
            sharing.setdefault(part.match, []).append(part)
    sharing = {word: run for word, run in sharing.items() if sum(part.qty for part in run) > 1}
    faults = [fault for word, run in sharing.items() for fault in _faults(word, run)]
    if faults:
        raise CannotPlanError(faults)
    return tuple(_run(word, run, kerf) for word, run in sharing.items())


def join_runs(problem: Problem, runs: Sequence[Run]) -> Problem:
    """Give the problem with each run as one item, in the place of its first part."""
    run_by_part = {blank.part: run for run in runs for blank in run.blanks}
    items = {
        run_by_part[item.part].whole if item.part in run_by_part else item: None
        for item in problem.items
    }
    return replace(problem, items=tuple(items))


def part_runs(layout: Layout, runs: Mapping[str, Run]) -> Layout:
    """Give a layout with the parts of each run in its place; ``runs`` by the whole's name."""
    if isinstance(layout, Split):
        return replace(layout, children=tuple(part_runs(child, runs) for child in layout.children))
    run = runs.get(layout.part)
    if run is None:
        return layout
    if not layout.turned:
        return Split(run.across, run.blanks, ordered=True)
    turned = tuple(
        Blank(blank.part, blank.width, blank.length, turned=True) for blank in run.blanks
    )
    return Split(run.across.other, turned, ordered=True)


def too_long(problem: Problem, runs: Sequence[Run], units: Units) -> list[Fault]:
    """Give a fault for each run that no piece of stock of the problem holds."""
    stock = [kind for kind in problem.stock if kind.available != 0]
    faults = []
    for run in runs:
        if not stock or any(fits(way, kind) for kind in stock for way in ways(run.whole, kind)):
            continue
        longest = max(stock, key=lambda kind: (kind.length, kind.width))
        along, across = run.whole.length, run.whole.width
        if run.across is Direction.RIP:
            along, across = across, along
        faults.append(
            Fault(
                f"{run.title} ({', '.join(run.names)}; {len(run.blanks)} side by side) is "
                f"{format_length(along, units, unit_mark=True)} long with its saw cuts and "
                f"{format_length(across, units, unit_mark=True)} across: no stock holds it; the "
                f"longest, {longest.name}, takes {format_length(longest.length, units)} x "
                f"{format_length(longest.width, units, unit_mark=True)}",
                help="add larger stock, or give some of the parts another match word",
            )
        )
    return faults


def _faults(word: str, parts: Sequence[Part]) -> list[Fault]:
    named = ", ".join(dict.fromkeys(part.name for part in parts))
    faults = []
    lengths, widths = {p.blank_length for p in parts}, {p.blank_width for p in parts}
    if len(lengths) > 1 and len(widths) > 1:
        faults.append(
            Fault(
                f"{named}: marked match {word!r}, to come side by side from one strip: their "
                "lengths or their widths, as cut, must agree",
                help="give them one length or one width, or different match words",
            )
        )
    if len({part.grain for part in parts}) > 1:
        faults.append(
            Fault(
                f"{named}: marked match {word!r}, to come side by side from one strip: their "
                "grain must agree",
                help="give them one grain, or different match words",
            )
        )
    return faults


def _run(word: str, parts: Sequence[Part], kerf: int) -> Run:
    blanks = tuple(
        Blank(part.id, part.blank_length, part.blank_width)
        for part in parts
        for _ in range(part.qty)
    )
    cuts = kerf * (len(blanks) - 1)
    length, width = blanks[0].length, blanks[0].width
    if all(blank.length == length for blank in blanks):
        across = Direction.RIP
        width = Ticks(sum(blank.width for blank in blanks) + cuts)
    else:
        across = Direction.CROSSCUT
        length = Ticks(sum(blank.length for blank in blanks) + cuts)
    whole = Item(f"run {word}", length, width, 1, parts[0].grain)
    return Run(word, whole, blanks, across, tuple(dict.fromkeys(part.name for part in parts)))
