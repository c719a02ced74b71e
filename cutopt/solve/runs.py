"""Parts of one match word come from one strip in order, so that the figure runs through.

They lie side by side across the grain (doors in a row) or end to end along it (a door above
drawer fronts). To the engine a run is one blank, as large as its parts with a saw cut between
neighbours. Afterwards its place is given to its parts, in the order of the bill of parts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.errors import CannotPlanError, Fault
from cutopt.model.job import Grain, Kind, Part
from cutopt.model.layout import Blank, Direction, Layout, Split
from cutopt.solve.explain import fits, ways
from cutopt.solve.params import Item, Problem, StockType
from cutopt.units import Ticks, Units, format_length

_JOINED = {Direction.RIP: "side by side", Direction.CROSSCUT: "end to end"}


@dataclass(frozen=True, slots=True)
class Run:
    """Parts of one match word as one blank.

    Attributes:
        word: the word they share.
        names: of its parts, each once.
        blanks: each copy of each part, in order, the grain along their lengths.
        across: which cuts part the run: rips where it lies side by side across the grain,
            crosscuts where it lies end to end along it.
        kerf: between neighbours, ticks.
        grain: LENGTH, or ANY where its parts may be turned.
    """

    word: str
    names: tuple[str, ...]
    blanks: tuple[Blank, ...]
    across: Direction
    kerf: int
    grain: Grain

    @property
    def title(self) -> str:
        """What progress and faults call it."""
        return f"the run {self.word!r}"

    @property
    def along(self) -> Ticks:
        """From its first part to its last, with the cuts between them, ticks."""
        return Ticks(sum(map(self._measure, self.blanks)) + self.kerf * (len(self.blanks) - 1))

    @property
    def breadth(self) -> Ticks:
        """Of the strip it comes from, ticks."""
        first = self.blanks[0]
        return first.length if self.across is Direction.RIP else first.width

    @property
    def whole(self) -> Item:
        """All of it as one item."""
        length, width = self.along, self.breadth
        if self.across is Direction.RIP:
            length, width = width, length
        return Item(f"run {self.word}", length, width, 1, self.grain)

    def _measure(self, blank: Blank) -> Ticks:
        return blank.width if self.across is Direction.RIP else blank.length

    def fits_any(self, stock: Sequence[StockType]) -> bool:
        """Say whether some stock there is holds it."""
        return any(
            kind.available != 0 and any(fits(way, kind) for way in ways(self.whole, kind))
            for kind in stock
        )


def runs_of(parts: Sequence[Part], kerf: int, stock: Sequence[StockType]) -> tuple[Run, ...]:
    """Give the runs among the sheet parts of one material, ``kerf`` ticks between neighbours.

    A word that stands for one piece only makes no run. Where parts could lie both ways, the
    edges along the length of the first one meet, unless ``stock`` holds only the other way.

    Raises:
        CannotPlanError: parts of one word agree neither along the grain nor across it, or
            only some of them are bound to the grain.
    """
    sharing: dict[str, list[Part]] = {}
    for part in parts:
        if part.match and part.material.kind is Kind.SHEET:
            sharing.setdefault(part.match, []).append(part)
    sharing = {word: run for word, run in sharing.items() if sum(part.qty for part in run) > 1}
    faults = [fault for word, run in sharing.items() for fault in _faults(word, run)]
    if faults:
        raise CannotPlanError(faults)
    found = []
    for word, run in sharing.items():
        either = _ways(word, run, kerf)
        found.append(next((way for way in either if way.fits_any(stock)), either[0]))
    return tuple(found)


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
        blanks = tuple(replace(blank, start=layout.start) for blank in run.blanks)
        return Split(run.across, blanks, ordered=True)
    turned = tuple(blank.lying_across() for blank in run.blanks)
    return Split(run.across.other, turned, ordered=True)


def too_long(problem: Problem, runs: Sequence[Run], units: Units) -> list[Fault]:
    """Give a fault for each run that no piece of stock of the problem holds."""
    stock = [kind for kind in problem.stock if kind.available != 0]
    if not stock:
        return []
    return [_too_long(run, stock, units) for run in runs if not run.fits_any(stock)]


def _too_long(run: Run, stock: Sequence[StockType], units: Units) -> Fault:
    """Give why no stock holds a run, and how many of its parts would fit."""
    longest = max(stock, key=lambda kind: (kind.length, kind.width))
    held = next(
        (
            count
            for count in range(len(run.blanks) - 1, 0, -1)
            if replace(run, blanks=run.blanks[:count]).fits_any(stock)
        ),
        0,
    )
    how = _JOINED[run.across]
    if run.grain is not Grain.ANY:
        how += " across the grain" if run.across is Direction.RIP else " along the grain"
    helped = "give some of the parts another match word"
    if held > 1:
        helped = f"the first {held} would fit: give the others another match word"
    return Fault(
        f"{run.title} ({', '.join(run.names)}; {len(run.blanks)} {how}) is "
        f"{format_length(run.along, units, unit_mark=True)} long with its saw cuts and "
        f"{format_length(run.breadth, units, unit_mark=True)} across: no stock holds it; the "
        f"longest, {longest.name}, takes {format_length(longest.length, units)} x "
        f"{format_length(longest.width, units, unit_mark=True)}",
        help=f"add larger stock, or {helped}",
    )


def _faults(word: str, parts: Sequence[Part]) -> list[Fault]:
    named = ", ".join(dict.fromkeys(part.name for part in parts))
    bound = {part.grain in (Grain.LENGTH, Grain.WIDTH) for part in parts}
    if len(bound) > 1:
        return [
            Fault(
                f"{named}: marked match {word!r}, to come from one strip: some have a grain and "
                "some may be turned",
                help="give each of them a grain, or different match words",
            )
        ]
    if _ways(word, parts, 0):
        return []
    along = "along the grain" if True in bound else "in length"
    across = "across it" if True in bound else "in width"
    return [
        Fault(
            f"{named}: marked match {word!r}, to come from one strip: their cut sizes agree "
            f"neither {along} (to lie side by side) nor {across} (to lie end to end)",
            help="make one of their sizes equal, correct their grain, or give them different "
            "match words",
        )
    ]


def _ways(word: str, parts: Sequence[Part], kerf: int) -> list[Run]:
    """Give how parts may lie as a run, the way that suits them best first."""
    blanks = tuple(_along_grain(part) for part in parts for _ in range(part.qty))
    agree = {
        Direction.RIP: len({blank.length for blank in blanks}) == 1,
        Direction.CROSSCUT: len({blank.width for blank in blanks}) == 1,
    }
    # Along the length of a part is its longer edge, where the figure shows most.
    first = Direction.CROSSCUT if blanks[0].turned else Direction.RIP
    names = tuple(dict.fromkeys(part.name for part in parts))
    bound = parts[0].grain in (Grain.LENGTH, Grain.WIDTH)
    grain = Grain.LENGTH if bound else Grain.ANY
    return [
        Run(word, names, blanks, across, kerf, grain)
        for across in (first, first.other)
        if agree[across]
    ]


def _along_grain(part: Part) -> Blank:
    """Give a part's blank with the grain along its length."""
    if part.grain is Grain.WIDTH:
        return Blank(part.id, part.blank_width, part.blank_length, turned=True)
    return Blank(part.id, part.blank_length, part.blank_width)
