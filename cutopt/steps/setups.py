"""Set-ups: the cuts of all sheets in the order of walking from saw to saw."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Kind, SawKind
from cutopt.model.layout import Direction
from cutopt.model.plan import ANY_SAW, Cut, Maker, Node, Offcut, PartPiece, Plan, walk
from cutopt.steps.handling import (
    CLAMP,
    NUMBER_THE_RUN,
    PUSH_STICK,
    SLED,
    SLED_OR_HAND_SAW,
    THIN_STRIP,
    TWO_PEOPLE,
    capsules,
)
from cutopt.steps.letters import PieceNames, name_pieces, pencilled
from cutopt.steps.phrase import Phrase
from cutopt.steps.pieces import Alike, across, alike, is_crosscut_only
from cutopt.steps.runs import RunPlace, run_places
from cutopt.steps.setting_order import setting_order
from cutopt.steps.settings import CutSetting, setting_of
from cutopt.steps.shop import saws_by_name
from cutopt.steps.true_edges import face_words, waits_for_fitting
from cutopt.steps.visits import visit_order
from cutopt.units import Ticks

_HOW = {
    SawKind.TABLE: "fence to blade",
    SawKind.BAND: "fence to blade",
    SawKind.MITRE: "stop block at the setting",
    SawKind.PANEL: "stop at the setting",
    SawKind.TRACK: "mark, guide on the side you keep",
    SawKind.CIRCULAR: "mark, guide on the side you keep",
}
_BY_MARK = "mark, blade on the side you do not keep"
_KEPT = ("part", "piece", "offcut")
_CAPSULES = (TWO_PEOPLE, PUSH_STICK, THIN_STRIP, SLED, CLAMP, SLED_OR_HAND_SAW, NUMBER_THE_RUN)


@dataclass(frozen=True, slots=True)
class Outcome:
    """Something that comes off a cut: a part, a piece that goes on, or an offcut to keep.

    Attributes:
        kind: "part", "piece" or "offcut".
        name: "Cleat", "S1 B2", "keep S1-a".
        count: how many come off the passes of the line.
    """

    kind: str
    name: str
    count: int = 1

    @property
    def words(self) -> str:
        """Give "4 × Cleat" or "S1 B2"."""
        return self.name if self.count == 1 else f"{self.count} × {self.name}"


@dataclass(frozen=True, slots=True)
class SetupLine:
    """One line of a set-up: a piece, what is done, what comes out.

    Attributes:
        ids: stock pieces cut alike.
        piece: name of the piece that lies on the saw, without ids: "B2".
        action: "rip", "crosscut" or "trim".
        outcomes: what is kept; waste is not listed.
        done: "edge clean", "to length", "to width", or "" where a part comes off.
        steps: numbers of the cuts on each stock piece.
        measure_first: what the other side must come out where the fence rests on waste.
        parted: the side of the piece that the cut parts, before the first pass, ticks: it
            tells which way the piece lies on the saw; None where that is not said.
        direction: of the cut on the sheet as it was bought; None where that is not said.
    """

    ids: tuple[str, ...]
    piece: str
    action: str
    outcomes: tuple[Outcome, ...]
    done: str
    steps: tuple[int, ...]
    measure_first: Ticks | None = None
    parted: Ticks | None = None
    direction: Direction | None = None

    @property
    def boxes(self) -> int:
        """Passes of the saw, one box each."""
        return len(self.steps) * len(self.ids)

    @property
    def source(self) -> str:
        """Give what lies on the saw: "S1 B2", "S1 S4 B2", "S1-S6 B2", "L3"."""
        return pencilled(self.ids, self.piece)

    @property
    def result(self) -> str:
        """Give what comes out: "4 × Cleat + S1 B2", "S1 B, edge clean"."""
        kept = " + ".join(outcome.words for outcome in self.outcomes)
        return f"{kept}, {self.done}" if self.done else kept

    @property
    def action_words(self) -> Phrase:
        """Give "rip", or "rip of 48-5/8": the side that is parted says how the piece lies."""
        return (self.action,) if self.parted is None else (f"{self.action} of ", self.parted)

    @property
    def cut_numbers(self) -> str:
        """Give "cut 5", "cuts 11-14", "cuts 4, 7"."""
        if len(self.steps) == 1:
            return f"cut {self.steps[0]}"
        if self.steps[-1] - self.steps[0] == len(self.steps) - 1:
            return f"cuts {self.steps[0]}-{self.steps[-1]}"
        return f"cuts {', '.join(map(str, self.steps))}"


@dataclass(frozen=True, slots=True)
class Setup:
    """One setting of one saw and everything cut with it.

    Attributes:
        number: 1..n through the job.
        setting: ticks.
        kind: "fence", "stop", "mark" or "sled stop".
        capsules: saw flags in words.
    """

    number: int
    setting: Ticks
    kind: str
    lines: tuple[SetupLine, ...]
    capsules: tuple[str, ...]

    @property
    def cuts(self) -> int:
        """Passes of the saw."""
        return sum(line.boxes for line in self.lines)


@dataclass(frozen=True, slots=True)
class Visit:
    """All that is done at one saw before walking on.

    Attributes:
        title: "Table saw", "Any saw".
        saw: the saw's name in the job, or "any".
        how: what the settings mean: "fence to blade".
        kerf: ticks.
        face: which way the good face lies; "" where no sheet is cut or the saw is not known.
        last: only parts cut after fitting, each measured on site first.
    """

    saw: str
    title: str
    how: str
    kerf: Ticks
    setups: tuple[Setup, ...]
    face: str = ""
    last: bool = False


@dataclass(frozen=True, slots=True)
class _Task:
    """One cut of one distinct layout, and the cut that must be made before it."""

    place: tuple[int, int]
    before: tuple[int, int] | None
    saw: str
    setting: CutSetting
    line: SetupLine
    flags: tuple[str, ...]
    of_sheet: bool
    last: bool

    @property
    def key(self) -> tuple[Ticks, str]:
        """What the saw is set to."""
        return self.setting.size, self.setting.kind


def visits(plan: Plan) -> tuple[Visit, ...]:
    """Give the visits to the saws at home, in order; boards cut to length only are not in it.

    The order walks least between saws; within a visit settings go from large to small, a
    setting waits where more cuts with it become ready in the same visit, and no cut comes
    before the cut that frees its piece. What only gives parts cut after fitting comes in
    visits of its own at the end, and nothing else waits for it.
    """
    tasks = tuple(_tasks(plan))
    found = _walk(plan, [task for task in tasks if not task.last], 1)
    number = 1 + sum(len(visit.setups) for visit in found)
    return (*found, *_walk(plan, [task for task in tasks if task.last], number))


def _walk(plan: Plan, tasks: Sequence[_Task], number: int) -> list[Visit]:
    """Give the visits for some of the cuts, all that they wait for among them or made before."""
    saws = saws_by_name(plan)
    todo = {task.place: task for task in tasks}
    found: list[Visit] = []
    for name in visit_order(_routes(todo), (*saws, ANY_SAW)):
        saw = saws.get(name)
        ready = _ready(todo, name)
        setups = tuple(_setups(ready, number))
        number += len(setups)
        for task in ready:
            del todo[task.place]
        title = f"{name[:1].upper()}{name[1:]}" if saw is not None else "Any saw"
        last = any(task.last for task in ready)
        found.append(
            Visit(
                saw=name,
                title=f"{title}, after fitting" if last else title,
                how=_HOW.get(saw.kind, _BY_MARK) if saw is not None else _BY_MARK,
                kerf=saw.kerf if saw is not None else plan.job.shop.kerf,
                setups=setups,
                face=face_words(saw.kind if saw is not None else None)
                if any(task.of_sheet for task in ready)
                else "",
                last=last,
            )
        )
    return found


def _tasks(plan: Plan) -> Iterator[_Task]:
    saws = saws_by_name(plan)
    part_names = {part.id: part.name for part in plan.job.parts}
    last = {part.id for part in plan.job.parts if part.last}
    places = run_places(plan.job)
    groups = alike(piece for piece in plan.pieces if not is_crosscut_only(piece))
    for index, group in enumerate(groups):
        names = name_pieces(group.first)
        keeps = _offcut_names(group)
        parents = _parents(group.first.layout)
        for cut in group.first.cuts():
            if cut.by is Maker.STORE:
                continue
            saw = saws.get(cut.saw)
            setting = setting_of(cut, saw)
            parent = parents.get(cut.step)
            yield _Task(
                place=(index, cut.step),
                before=None if parent is None else (index, parent),
                saw=cut.saw if saw is not None else ANY_SAW,
                setting=setting,
                line=SetupLine(
                    ids=group.ids,
                    piece=names.cuts[cut.step].before,
                    action=setting.action,
                    outcomes=_outcomes(cut, setting, group.ids, names, part_names, keeps),
                    done=setting.done,
                    steps=(cut.step,),
                    measure_first=setting.measure_first,
                    parted=across(cut, cut.direction),
                    direction=cut.direction,
                ),
                flags=(
                    *capsules(
                        group.first.stock,
                        saw.kind if saw is not None else None,
                        (cut.length, cut.width),
                        setting.size,
                        setting.other,
                        across(cut, cut.direction.other),
                    ),
                    *((NUMBER_THE_RUN,) if _frees_part_of_run(cut, places) else ()),
                ),
                of_sheet=group.first.stock.kind is Kind.SHEET,
                last=waits_for_fitting(cut, last),
            )


def _frees_part_of_run(cut: Cut, places: Mapping[tuple[str, int], RunPlace]) -> bool:
    """Say whether a part that belongs to a run comes off a cut."""
    return any(
        isinstance(side, PartPiece) and (side.part, side.copy) in places
        for side in (cut.first, cut.second)
    )


def _parents(root: Node) -> dict[int, int]:
    """Give, for each cut at home, the step of the cut at home that frees its piece."""
    return {
        side.step: placed.node.step
        for placed in walk(root)
        if isinstance(placed.node, Cut) and placed.node.by is Maker.SHOP
        for side in (placed.node.first, placed.node.second)
        if isinstance(side, Cut)
    }


def _offcut_names(group: Alike) -> dict[str, str]:
    """Give how the offcuts of sheets cut alike are named together, by the first one's id."""
    ids = [
        [p.node.id for p in walk(piece.layout) if isinstance(p.node, Offcut)]
        for piece in group.pieces
    ]
    return {same[0]: f"keep {', '.join(same)}" for same in zip(*ids, strict=True)}


def _outcomes(
    cut: Cut,
    setting: CutSetting,
    ids: Sequence[str],
    names: PieceNames,
    part_names: dict[str, str],
    keeps: dict[str, str],
) -> tuple[Outcome, ...]:
    """Give what is kept of a cut: first what the setting measures, then the other side."""
    around = names.cuts[cut.step]
    found: list[Outcome] = []
    sides = [(cut.first, around.first), (cut.second, around.second)]
    if cut.at != setting.size:
        sides.reverse()
    for side, name in sides:
        if isinstance(side, PartPiece):
            found.append(Outcome("part", part_names[side.part]))
        elif isinstance(side, Cut):
            found.append(Outcome("piece", pencilled(ids, name or "")))
        elif isinstance(side, Offcut):
            found.append(Outcome("offcut", keeps[side.id]))
    return _together(found)


def _together(outcomes: Iterable[Outcome]) -> tuple[Outcome, ...]:
    """Give the outcomes with equal parts counted; a piece that goes on stays one piece."""
    found: dict[tuple[str, str], Outcome] = {}
    for outcome in outcomes:
        key = outcome.kind, outcome.name
        if key in found and outcome.kind == "part":
            found[key] = replace(outcome, count=found[key].count + outcome.count)
        else:
            found[key] = outcome
    return tuple(found.values())


def _routes(tasks: dict[tuple[int, int], _Task]) -> Iterator[tuple[str, ...]]:
    """Give the saws each piece sees, from the first cut down to each cut, repeats dropped."""
    routes: dict[tuple[int, int], tuple[str, ...]] = {}
    for place, task in sorted(tasks.items()):
        so_far = routes[task.before] if task.before in routes else ()  # noqa: SIM401
        routes[place] = so_far if so_far[-1:] == (task.saw,) else (*so_far, task.saw)
    yield from routes.values()


def _ready(todo: Mapping[tuple[int, int], _Task], saw: str) -> list[_Task]:
    """Give all cuts still to be made that can be made at this saw before walking on."""
    free: set[tuple[int, int]] = set()
    found = []
    for place, task in sorted(todo.items()):
        if task.saw == saw and (task.before not in todo or task.before in free):
            free.add(place)
            found.append(task)
    return found


def _setups(tasks: Sequence[_Task], number: int) -> Iterator[Setup]:
    """Give the set-ups of one visit, numbered on from ``number``."""
    of = {task.place: task for task in tasks}
    order = setting_order({place: (task.key, task.before) for place, task in of.items()})
    for at, ((size, kind), places) in enumerate(order, start=number):
        flags = {flag for place in places for flag in of[place].flags}
        yield Setup(
            number=at,
            setting=size,
            kind=kind,
            lines=_merged(of[place].line for place in places),
            capsules=tuple(flag for flag in _CAPSULES if flag in flags),
        )


def _merged(lines: Iterable[SetupLine]) -> tuple[SetupLine, ...]:
    """Give the lines with equal ones merged: "4 × Cleat + S1 B2"."""
    found: dict[SetupLine, list[SetupLine]] = {}
    for line in lines:
        found.setdefault(replace(line, steps=(), parted=None), []).append(line)
    return tuple(
        replace(
            same[0],
            steps=tuple(sorted(step for line in same for step in line.steps)),
            outcomes=_together(outcome for line in same for outcome in line.outcomes),
            parted=max((line.parted for line in same if line.parted is not None), default=None),
        )
        for same in found.values()
    )
