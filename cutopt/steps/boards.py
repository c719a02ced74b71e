"""Boards cut to length: stop-block groups, and one set of marks from the left end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Job, Material, Stock
from cutopt.model.plan import Cut, Maker, Offcut, PartPiece, Plan, StockPiece, walk
from cutopt.steps.letters import letter
from cutopt.steps.materials import written_on
from cutopt.steps.pieces import Alike, alike, is_crosscut_only, parts_of
from cutopt.steps.replan_pages import CHANGED, NEW, change_of
from cutopt.units import Ticks

MOST_SINGLE_ROWS = 20
"""Boards drawn one by one; where a section has more, equal ones share a row."""


@dataclass(frozen=True, slots=True)
class StopGroup:
    """Parts cut with the stop at one length.

    Attributes:
        letter: "a" for the longest.
        setting: length to cut, ticks.
        names: of the parts, each once.
        count: pieces, a box each.
    """

    letter: str
    setting: Ticks
    names: tuple[str, ...]
    count: int


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of a board that is not sawdust.

    Attributes:
        kind: "part", "offcut" or "waste".
        x: ticks from the left end.
        name: of the part, or "keep L1-a".
        letter: of its stop-block group, or "".
        part, copy: which part, or "" and 0.
    """

    kind: str
    x: Ticks
    length: Ticks
    name: str = ""
    letter: str = ""
    part: str = ""
    copy: int = 0


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark on the tape.

    Attributes:
        at: ticks from the left end.
        start: a part begins here, the blade goes left of it; else the blade goes right.
        step: number of the cut.
        store: made by the store's saw: ``at`` is where the next piece begins, and the tape
            is hooked there for the marks that follow.
    """

    at: Ticks
    step: int
    start: bool = False
    store: bool = False


@dataclass(frozen=True, slots=True)
class BoardRow:
    """One bar: a board, or several equal in everything.

    Attributes:
        ids: boards cut alike, a box each.
        mark: what tells the board from its kin: what is written on it where boards are
            measured, its grade where the section has several; else "".
        change: "changed" or "new" in a plan made again, where that is so; else "".
    """

    ids: tuple[str, ...]
    stock: Stock
    segments: tuple[Segment, ...]
    marks: tuple[Mark, ...]
    mark: str = ""
    change: str = ""


@dataclass(frozen=True, slots=True)
class SpareBoards:
    """Boards bought but not cut: how many, of what length and grade."""

    count: int
    length: Ticks
    grade: str


@dataclass(frozen=True, slots=True)
class BoardSection:
    """All boards of one material and section that are cut to length only.

    Attributes:
        width: of the boards, ticks.
        count, parts: boards and parts in all.
        by_length: (length of board as bought, how many), longest first.
        kerfs: of the saws that cut them at home, ticks, each once.
        longest: length of the longest board: the tape's length.
        spares: boards of the section that are bought and not cut.
    """

    material: Material
    width: Ticks
    groups: tuple[StopGroup, ...]
    rows: tuple[BoardRow, ...]
    count: int
    parts: int
    by_length: tuple[tuple[Ticks, int], ...]
    kerfs: tuple[Ticks, ...]
    longest: Ticks
    spares: tuple[SpareBoards, ...] = ()


def board_sections(plan: Plan) -> tuple[BoardSection, ...]:
    """Give the boards that are cut to length only, a section for each material.

    Sections come in the order of the bill of parts, boards in the order of the plan.
    """
    boards = [piece for piece in plan.pieces if is_crosscut_only(piece)]
    order = dict.fromkeys((*plan.job.materials, *(board.stock.material for board in boards)))
    sections = []
    for material in order:
        of_section = [board for board in boards if board.stock.material == material]
        if of_section:
            sections.append(_section(plan, material, of_section))
    return tuple(sections)


def _section(plan: Plan, material: Material, boards: Sequence[StockPiece]) -> BoardSection:
    job = plan.job
    names = {part.id: part.name for part in job.parts}
    groups = _stop_groups(boards, names)
    letters = {group.setting: group.letter for group in groups}
    if len(boards) > MOST_SINGLE_ROWS:
        rows = [
            row
            for change in ("", CHANGED, NEW)
            for row in alike(board for board in boards if change_of(plan, board) == change)
        ]
    else:
        rows = [Alike((board,)) for board in boards]
    spares = _spares(job, material)
    grades = {board.stock.grade for board in boards} | {spare.grade for spare in spares}
    lengths = Counter(board.stock.length for board in boards)
    return BoardSection(
        material=material,
        width=boards[0].stock.width,
        groups=groups,
        rows=tuple(
            _marked(
                _row(row, names, letters, change_of(plan, row.first)),
                written=written_on(row.first.stock, job),
                graded=len(grades) > 1,
            )
            for row in rows
        ),
        count=len(boards),
        parts=sum(group.count for group in groups),
        by_length=tuple(sorted(lengths.items(), reverse=True)),
        kerfs=tuple(sorted(_kerfs(job, boards))),
        longest=max(lengths),
        spares=spares,
    )


def _spares(job: Job, material: Material) -> tuple[SpareBoards, ...]:
    """Give the spare boards of a material, in the order of the job."""
    by_name = {stock.name: stock for stock in job.stock if stock.material == material}
    return tuple(
        SpareBoards(extra.qty, stock.length, stock.grade)
        for extra in job.extras
        if (stock := by_name.get(extra.spare_of)) is not None
    )


def _kerfs(job: Job, boards: Sequence[StockPiece]) -> set[Ticks]:
    """Give the kerfs of the saws at home, also where a blade only runs off an edge."""
    by_saw = {saw.name: saw.kerf for saw in job.shop.saws}
    return {
        by_saw.get(cut.saw, job.shop.kerf)
        for board in boards
        for cut in board.cuts()
        if cut.by is Maker.SHOP
    }


def _stop_groups(boards: Sequence[StockPiece], names: Mapping[str, str]) -> tuple[StopGroup, ...]:
    by_length: dict[Ticks, list[str]] = {}
    for board in boards:
        for part in parts_of(board.layout):
            by_length.setdefault(part.length, []).append(names[part.part])
    return tuple(
        StopGroup(letter(number).lower(), length, tuple(dict.fromkeys(found)), len(found))
        for number, (length, found) in enumerate(sorted(by_length.items(), reverse=True))
    )


def _row(
    row: Alike, names: Mapping[str, str], letters: Mapping[Ticks, str], change: str
) -> BoardRow:
    segments = []
    cuts: list[tuple[Cut, Ticks]] = []
    for placed in walk(row.first.layout):
        node = placed.node
        if isinstance(node, Cut):
            cuts.append((node, placed.x))
        elif isinstance(node, PartPiece):
            name, ring = names[node.part], letters[node.length]
            segments.append(
                Segment("part", placed.x, node.length, name, ring, node.part, node.copy)
            )
        elif isinstance(node, Offcut):
            segments.append(Segment("offcut", placed.x, node.length, f"keep {node.id}"))
        else:
            segments.append(Segment("waste", placed.x, node.length))
    parts = [segment for segment in segments if segment.kind == "part"]
    ends = {part.x + part.length for part in parts}
    starts = {int(part.x) for part in parts}
    return BoardRow(
        ids=row.ids,
        stock=row.first.stock,
        segments=tuple(sorted(segments, key=lambda segment: segment.x)),
        marks=tuple(
            sorted((_mark(cut, x, ends, starts) for cut, x in cuts), key=lambda mark: mark.at)
        ),
        change=change,
    )


def _marked(row: BoardRow, *, written: str, graded: bool) -> BoardRow:
    """Give a row with what tells its board from the others of the section."""
    if written:
        return row if written in row.ids else replace(row, mark=written)
    return replace(row, mark=row.stock.grade) if graded else row


def _mark(cut: Cut, x: Ticks, ends: set[int], starts: set[int]) -> Mark:
    """Give the mark of a cut: at the end of the part left of it, else where a part begins."""
    near, far = x + cut.at, x + cut.at + cut.kerf
    if cut.by is Maker.STORE:
        return Mark(Ticks(far), cut.step, store=True)
    start = near not in ends and far in starts
    return Mark(Ticks(far if start else near), cut.step, start)
