"""Set-ups: the cuts of all sheets in the order of walking from saw to saw."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import SawKind
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
from cutopt.steps.pieces import Alike, across, alike, is_crosscut_only
from cutopt.steps.runs import RunPlace, run_places
from cutopt.steps.settings import CutSetting, setting_of
from cutopt.steps.shop import saws_by_name
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
    """

    ids: tuple[str, ...]
    piece: str
    action: str
    outcomes: tuple[Outcome, ...]
    done: str
    steps: tuple[int, ...]
    measure_first: Ticks | None = None

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
    """

    saw: str
    title: str
    how: str
    kerf: Ticks
    setups: tuple[Setup, ...]


@dataclass(frozen=True, slots=True)
class _Task:
    """One cut of one distinct layout, and the cut that must be made before it."""

    place: tuple[int, int]
    before: tuple[int, int] | None
    saw: str
    setting: CutSetting
    line: SetupLine
    flags: tuple[str, ...]

    @property
    def key(self) -> tuple[Ticks, str]:
        """What the saw is set to."""
        return self.setting.size, self.setting.kind


def visits(plan: Plan) -> tuple[Visit, ...]:
    """Give the visits to the saws at home, in order; boards cut to length only are not in it.

    The order walks least between saws; within a visit settings go from large to small, a
    setting waits where more cuts with it become ready in the same visit, and no cut comes
    before the cut that frees its piece.
    """
    tasks = tuple(_tasks(plan))
    saws = saws_by_name(plan)
    by_place = {task.place: task for task in tasks}
    order = visit_order(_routes(by_place), (*saws, ANY_SAW))
    done: set[tuple[int, int]] = set()
    found: list[Visit] = []
    number = 1
    for name in order:
        saw = saws.get(name)
        setups = tuple(_setups(_ready(tasks, done, name), number))
        number += len(setups)
        done.update(task.place for task in _ready(tasks, done, name))
        found.append(
            Visit(
                saw=name,
                title=f"{name[:1].upper()}{name[1:]}" if saw is not None else "Any saw",
                how=_HOW.get(saw.kind, _BY_MARK) if saw is not None else _BY_MARK,
                kerf=saw.kerf if saw is not None else plan.job.shop.kerf,
                setups=setups,
            )
        )
    return tuple(found)


def _tasks(plan: Plan) -> Iterator[_Task]:
    saws = saws_by_name(plan)
    part_names = {part.id: part.name for part in plan.job.parts}
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
                    outcomes=_outcomes(cut, group.ids, names, part_names, keeps),
                    done=setting.done,
                    steps=(cut.step,),
                    measure_first=setting.measure_first,
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
    ids: Sequence[str],
    names: PieceNames,
    part_names: dict[str, str],
    keeps: dict[str, str],
) -> tuple[Outcome, ...]:
    """Give what is kept of a cut: parts first, then pieces that go on, then offcuts."""
    around = names.cuts[cut.step]
    found: list[Outcome] = []
    for side, name in ((cut.first, around.first), (cut.second, around.second)):
        if isinstance(side, PartPiece):
            found.append(Outcome("part", part_names[side.part]))
        elif isinstance(side, Cut):
            found.append(Outcome("piece", pencilled(ids, name or "")))
        elif isinstance(side, Offcut):
            found.append(Outcome("offcut", keeps[side.id]))
    return _together(
        sorted(found, key=lambda outcome: ("part", "piece", "offcut").index(outcome.kind))
    )


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
        so_far = routes[task.before] if task.before is not None else ()
        routes[place] = so_far if so_far[-1:] == (task.saw,) else (*so_far, task.saw)
    yield from routes.values()


def _ready(tasks: Sequence[_Task], done: set[tuple[int, int]], saw: str) -> list[_Task]:
    """Give all cuts that can be made at this saw before walking on."""
    free = set(done)
    found = []
    for task in sorted(tasks, key=lambda t: t.place):
        may = task.before is None or task.before in free
        if may and task.saw == saw and task.place not in done:
            free.add(task.place)
            found.append(task)
    return found


def _setups(tasks: Sequence[_Task], number: int) -> Iterator[Setup]:
    """Give the set-ups of one visit, numbered on from ``number``."""
    todo = {task.place: task for task in tasks}
    while todo:
        size, kind = _next_setting(todo)
        cuts = list(_cut_with((size, kind), todo))
        flags = {flag for task in cuts for flag in task.flags}
        yield Setup(
            number=number,
            setting=size,
            kind=kind,
            lines=_merged(task.line for task in cuts),
            capsules=tuple(flag for flag in _CAPSULES if flag in flags),
        )
        number += 1


def _next_setting(todo: dict[tuple[int, int], _Task]) -> tuple[Ticks, str]:
    """Give the largest setting whose cuts wait for no other setting, else the largest ready."""
    ready = {task.key for task in todo.values() if task.before not in todo}
    waiting = {task.key for task in todo.values() if _waits(task, todo)}
    return max(ready - waiting or ready)


def _waits(task: _Task, todo: dict[tuple[int, int], _Task]) -> bool:
    """Say whether a cut with another setting must come first."""
    before = task.before
    while before is not None and before in todo:
        if todo[before].key != task.key:
            return True
        before = todo[before].before
    return False


def _cut_with(key: tuple[Ticks, str], todo: dict[tuple[int, int], _Task]) -> Iterator[_Task]:
    """Take all cuts of one setting out of ``todo``, in rounds: what is ready, then what follows."""
    while True:
        now = [task for task in todo.values() if task.key == key and task.before not in todo]
        if not now:
            return
        for task in now:
            del todo[task.place]
        yield from now


def _merged(lines: Iterable[SetupLine]) -> tuple[SetupLine, ...]:
    """Give the lines with equal ones merged: "4 × Cleat + S1 B2"."""
    found: dict[SetupLine, list[SetupLine]] = {}
    for line in lines:
        found.setdefault(replace(line, steps=()), []).append(line)
    return tuple(
        replace(
            same[0],
            steps=tuple(sorted(step for line in same for step in line.steps)),
            outcomes=_together(outcome for line in same for outcome in line.outcomes),
        )
        for same in found.values()
    )
