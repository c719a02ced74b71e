"""The kernel in the terms of a sheet problem: floors, blocks and kinds in and out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray

from cutopt.model.layout import Direction
from cutopt.solve.kernel.chance import chance_from
from cutopt.solve.kernel.pool import CLOSE, Pool, keep_only, lay_words, write_words
from cutopt.solve.kernel.search import Desk, anneal
from cutopt.solve.kernel.spots import no_spots
from cutopt.solve.kernel.tidy import START, judge_trees, tidy, work_of
from cutopt.solve.kernel.trees import (
    ACROSS,
    ALONG,
    ANY_RULE,
    COLUMNS,
    EDGE,
    EDGE_STAGES,
    FIRST_WAY,
    SPARE,
    STAGES,
    WAY,
    WIDEST,
    Parts,
    Sheets,
    Trees,
    empty_trees,
    outgrows,
    take,
)
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.solve.sheets_sizes import Laid, Sizes
from cutopt.solve.slicing import Block, side_by_side

_SLICE = 4_000_000
_ANY_STAGES = 1 << 20
_MOST_PATTERNS = 40_000
_MOST_WORDS = 2_000_000
_PLACES = 1 << 18
_MARK_RANGE = 1 << 40
_MARK_STEP = 0x9E3779B97F4A7C15


@dataclass(frozen=True, slots=True)
class Taste:
    """What a spot costs beside the waste it makes, and how much is taken out at a time.

    Attributes:
        noise: random share of the part's area added.
        ground: share of the area for laying a part where its block had not reached.
        residual: for the smaller side left over, times the root of the area.
        blink: chance to overlook a spot.
        empty: share of the area for an empty sheet.
        whole_sheet: chance to clear a sheet.
        stop_early: chance to take a block, at each step down to a part.
        jitter: random share added to what parts are ordered by.
        taken: parts or blocks taken out at a time, on average.
    """

    noise: float = 0.05
    ground: float = 0.3
    residual: float = 0.1
    blink: float = 0.01
    empty: float = 1.5
    whole_sheet: float = 0.05
    stop_early: float = 0.25
    jitter: float = 0.3
    taken: float = 4.0

    def numbers(self) -> NDArray[np.float64]:
        """Give the taste as the kernel reads it."""
        return np.array(astuple(self), np.float64)


@dataclass(frozen=True, slots=True)
class Goal:
    """What complete plans are compared by, less being better.

    Attributes:
        largest: weight of the largest leftover, in mean part areas.
        gathered: weight of all leftovers, large ones counting more.
        work: weight of the settings of the saw, a cut counting a little, too.
        hot, cold: first and last heat of the search.
    """

    largest: float
    gathered: float
    work: float
    hot: float
    cold: float


@dataclass(frozen=True, slots=True)
class Judged:
    """What a plan leaves and takes.

    Attributes:
        largest: leftover, square ticks.
        settings: distinct ones of the saw.
        cuts: in all.
        work: of settings and cuts together, in settings.
    """

    largest: float
    settings: int
    cuts: int
    work: float


def _rule_record(rules: CuttingRules, kerf: int) -> NDArray[np.int32]:
    """Give the rules as the kernel's last record."""
    record = np.full(COLUMNS, -1, np.int32)
    record[WAY] = SPARE
    record[[ANY_RULE, FIRST_WAY, EDGE, EDGE_STAGES, WIDEST]] = 0
    if rules != NO_RULES:
        record[ANY_RULE] = 1
        record[STAGES] = _ANY_STAGES if rules.stages is None else rules.stages
        if rules.first is not None:
            record[FIRST_WAY] = ALONG if rules.first is Direction.CROSSCUT else ACROSS
        record[EDGE], record[EDGE_STAGES] = rules.edge, rules.edge_stages
        if rules.widest is not None:
            record[WIDEST] = rules.widest + kerf
    return record


@dataclass(slots=True)
class Floor:
    """Sheets (their types) with what lies on them, as the kernel holds them."""

    types: list[int]
    sheets: Sheets
    trees: Trees
    desk: Desk


class Kernel:
    """One problem's parts, pool and chance, for as many searches as wanted.

    Attributes:
        sizes: the problem.
        parts: numbered kind by kind.
        pool: good sheets seen.
        work: looks spent so far (some 300 million a second).
        limit: of the work in all; whoever is in the middle of something longer ends there.
        pace: looks a round in the last search.
    """

    def __init__(self, sizes: Sizes, seed: int, stopped: Callable[[], bool]) -> None:
        """Take a problem; the parts' worth is their area."""
        self.sizes = sizes
        self.stopped = stopped
        self.chance = chance_from(seed)
        self.work = 0
        self.limit = 1 << 62
        self.pace = 0.0
        kinds = sizes.kinds
        every = sizes.all_parts()
        self.count = len(every)
        self.first = np.zeros(len(kinds) + 1, np.int64)
        self.first[1:] = np.cumsum([kind.qty for kind in kinds])
        self.area = np.array([kind.area for kind in kinds], np.float64)
        kind_of = np.array(every, np.int64)
        self.parts = Parts(
            np.array([kinds[k].length for k in every], np.int64),
            np.array([kinds[k].width for k in every], np.int64),
            np.array([kinds[k].bound for k in every], np.bool_),
            kind_of,
            self.area[kind_of],
        )
        order = sorted(
            range(len(sizes.types)), key=lambda t: (sizes.types[t].cost, sizes.types[t].area, t)
        )
        cheapest = [sizes.types[t] for t in order]
        self.pool = Pool(
            np.zeros(_MOST_WORDS, np.int32),
            np.zeros(_MOST_PATTERNS + 1, np.int64),
            np.zeros(_MOST_PATTERNS, np.int64),
            np.zeros(_MOST_PATTERNS, np.int64),
            np.zeros(1, np.int64),
            np.zeros(_PLACES, np.int64),
            np.array(
                [(_MARK_STEP * (k + 1) ** 3 + k) % _MARK_RANGE for k in range(len(kinds))], np.int64
            ),
            np.zeros(len(order), np.float64),
            np.array([t.length for t in cheapest], np.int64),
            np.array([t.width for t in cheapest], np.int64),
            np.array([t.grain for t in cheapest], np.bool_),
            np.array([t.available < self.count for t in cheapest], np.bool_),
            np.array(order, np.int64),
        )
        self._rules = _rule_record(sizes.rules, sizes.kerf)
        self._stack = np.zeros(4 * self.count + 16, np.int32)
        self._measures = np.zeros(4 * self.count + 16, np.int32)

    @property
    def spent(self) -> bool:
        """Say whether to end now: all work allowed is done, or the search is stopped."""
        return self.work >= self.limit or self.stopped()

    def floor(
        self,
        types: Sequence[int],
        laid: Sequence[NDArray[np.int32]] = (),
        left: Sequence[int] | None = None,
        extents: Mapping[int, tuple[int, int]] | None = None,
    ) -> Floor:
        """Give sheets with patterns laid on the first of them, and the other parts left.

        Args:
            types: of the sheets.
            laid: patterns in words, empty for none; a part made once too often is left out, and
                so is a pattern that takes more than the sheet without it.
            left: how many parts of each kind there are in all; None for all.
            extents: by sheet, length and width it may be used up to, where less than all.
        """
        sheets = Sheets(
            np.array([self.sizes.types[t].length for t in types], np.int64),
            np.array([self.sizes.types[t].width for t in types], np.int64),
            np.array([self.sizes.types[t].grain for t in types], np.bool_),
            np.array(types, np.int64),
        )
        for sheet, (length, width) in (extents or {}).items():
            sheets.length[sheet], sheets.width[sheet] = length, width
        count = len(types)
        trees = empty_trees(self.count, count, self._rules)
        left_of = np.zeros(2 * len(self.sizes.kinds), np.int64)
        left_of[::2] = [kind.qty for kind in self.sizes.kinds] if left is None else left
        left_of[1::2] = self.first[:-1]
        for sheet, words in enumerate(laid):
            if len(words):
                lay_words(trees, self.parts, sheets, words, sheet, left_of, self._stack)
        rest = [
            part
            for kind, (many, first) in enumerate(
                zip(left_of[::2].tolist(), left_of[1::2].tolist(), strict=True)
            )
            for part in range(first, first + many)
        ]
        trees.left[: len(rest)] = rest
        trees.counts[1] = len(rest)
        for sheet in range(len(laid)):
            if outgrows(trees, sheets, sheet):
                take(trees, int(trees.roots[sheet]), self._stack)
        desk = Desk(
            empty_trees(self.count, count, self._rules),
            empty_trees(self.count, count, self._rules),
            self._stack,
            np.zeros(5, np.int32),
            no_spots(self.count),
            np.zeros(self.count, np.float64),
            np.zeros(count, np.bool_),
            np.zeros(len(self.sizes.kinds), np.bool_),
        )
        return Floor(list(types), sheets, trees, desk)

    def fill(
        self,
        floor: Floor,
        taste: Taste,
        heats: tuple[float, float],
        rounds: int,
        *,
        keep: float | None = None,
    ) -> float:
        """Lay as much as possible; give the area still left, and leave the floor at its best.

        Args:
            floor: changed in place.
            taste: of the search.
            heats: first and last, in mean part areas.
            rounds: of ruin and recreate.
            keep: least fill of sheets that go to the pool, or None to keep none.
        """
        if keep is not None:
            for number, sheet in enumerate(self.sizes.types):
                self.pool.needed[number] = keep * sheet.area
        mean = self.sizes.area / self.count
        return self._anneal(floor, self.parts, taste, heats, mean, rounds, keep is not None)

    def _anneal(
        self,
        floor: Floor,
        parts: Parts,
        taste: Taste,
        heats: tuple[float, float],
        mean: float,
        rounds: int,
        keep: bool,
    ) -> float:
        fall = round((heats[1] / heats[0]) ** (1.0 / max(1, rounds)), 15)
        course = np.array([heats[0] * mean, fall, -1.0, 0.0], np.float64)
        numbers = taste.numbers()
        done = 0
        while done < rounds:
            some, work = anneal(
                floor.trees,
                parts,
                floor.sheets,
                numbers,
                course,
                self.chance,
                self.pool,
                keep,
                rounds - done,
                _SLICE,
                floor.desk,
            )
            done += some
            self.work += work
            self.pace = work / max(1, some)
            if course[3] <= 0.0 or self.stopped():
                break
        self._take_best(floor)
        return float(course[3])

    def _take_best(self, floor: Floor) -> None:
        floor.trees, best = floor.desk.best, floor.trees
        floor.desk = floor.desk._replace(best=best)

    def judge(self, floor: Floor, worth_keeping: tuple[int, int, int]) -> Judged:
        """Give what a plan leaves and takes.

        Args:
            floor: with all parts laid.
            worth_keeping: kerf, and the least long and short side of a leftover that counts.
        """
        found = np.zeros(4)
        judge_trees(
            floor.trees,
            floor.sheets,
            np.array(worth_keeping, np.int64),
            self.sizes.area / self.count,
            found,
            self._measures,
            self._stack,
        )
        return Judged(found[0], int(found[2]), int(found[3]), work_of(found[2], found[3]))

    def tidy(
        self,
        floor: Floor,
        goal: Goal,
        worth_keeping: tuple[int, int, int],
        taste: Taste,
        rounds: int,
        *,
        least_largest: float = 0.0,
        most_work: float = math.inf,
    ) -> None:
        """Improve a plan on the same sheets by a goal.

        Args:
            floor: with all parts laid; changed in place.
            goal: what counts.
            worth_keeping: as for ``judge``.
            taste: of the search.
            rounds: of ruin and recreate.
            least_largest: leftover a plan must have to be taken.
            most_work: a plan may take.
        """
        fall = round((goal.cold / goal.hot) ** (1.0 / max(1, rounds)), 15)
        course = np.array([goal.hot, fall, START, START], np.float64)
        weights = np.array([goal.largest, goal.gathered, goal.work])
        found = np.zeros(4)
        numbers = taste.numbers()
        keeping = np.array(worth_keeping, np.int64)
        done = 0
        while done < rounds and not self.stopped():
            some, work = tidy(
                floor.trees,
                self.parts,
                floor.sheets,
                weights,
                least_largest,
                most_work,
                keeping,
                self.sizes.area / self.count,
                numbers,
                course,
                self.chance,
                rounds - done,
                _SLICE,
                found,
                self._measures,
                floor.desk,
            )
            done += some
            self.work += work
        if done:
            self._take_best(floor)

    def price_patterns(
        self,
        sheet: int,
        price: NDArray[np.float64],
        dual: NDArray[np.float64],
        rounds: int,
        taste: Taste,
    ) -> int:
        """Fill one sheet with what is worth most at dual prices; give how many patterns are new.

        Args:
            sheet: its type.
            price: of each type; only patterns worth more go to the pool.
            dual: worth of a part of each kind.
            rounds: of ruin and recreate.
            taste: of the search.
        """
        before = int(self.pool.counts[0])
        self.pool.needed[:] = price * (1.0 + 1e-6)
        worth = self.parts._replace(worth=dual[self.parts.kind])
        # Copies past what a sheet has the area for would only be ordered and left each round.
        whole = self.sizes.types[sheet].area
        wanted = [
            min(kind.qty, whole // kind.area) if dual[k] > 0.0 and self.sizes.lays[sheet][k] else 0
            for k, kind in enumerate(self.sizes.kinds)
        ]
        if any(wanted):
            floor = self.floor([sheet], left=wanted)
            some = worth.worth[floor.trees.left[: floor.trees.counts[1]]]
            self._anneal(floor, worth, taste, (0.3, 0.02), float(some.mean()), rounds, keep=True)
        return int(self.pool.counts[0]) - before

    def pattern(self, number: int) -> NDArray[np.int32]:
        """Give a pattern of the pool in words."""
        return self.pool.words[self.pool.starts[number] : self.pool.starts[number + 1]]

    def keep_patterns(self, kept: NDArray[np.int64]) -> None:
        """Let go of all patterns of the pool but these."""
        keep_only(self.pool, kept)

    def words_on(self, floor: Floor) -> list[tuple[int, NDArray[np.int32]]]:
        """Give (type, pattern in words) of each sheet that holds anything."""
        return [
            (sheet, words)
            for sheet, words in zip(floor.types, self.words_by_sheet(floor), strict=True)
            if len(words)
        ]

    def words_by_sheet(self, floor: Floor) -> list[NDArray[np.int32]]:
        """Give the pattern of each sheet in words, empty where it holds nothing."""
        found = []
        for root in floor.trees.roots.tolist():
            words = np.zeros(3 * self.count + 3, np.int32)
            end = 0
            if root >= 0:
                end = write_words(floor.trees.nodes, self.parts.kind, root, words, 0, self._stack)
            found.append(words[:end].copy())
        return found

    def laid(self, patterns: Sequence[tuple[int, NDArray[np.int32]]]) -> Laid:
        """Give patterns in words as blocks."""
        return [(sheet, self.block(words, sheet)) for sheet, words in patterns]

    def block(self, words: NDArray[np.int32], sheet: int) -> Block:
        """Give a pattern in words as a block on a type of sheet."""
        open_blocks: list[tuple[int, list[Block]]] = [(0, [])]
        for word in words.tolist():
            if word >= 0:
                lay = next(
                    lay for lay in self.sizes.lays[sheet][word >> 1] if lay[2] is bool(word & 1)
                )
                open_blocks[-1][1].append(self.sizes.part(word >> 1, lay))
            elif word == CLOSE:
                way, children = open_blocks.pop()
                open_blocks[-1][1].append(side_by_side(way, tuple(children)))
            else:
                open_blocks.append((-word, []))
        return open_blocks[0][1][0]

    def words_of(self, root: Block) -> NDArray[np.int32]:
        """Give a block as a pattern in words."""
        words: list[int] = []

        def write(block: Block) -> None:
            if not block.children:
                words.append(2 * block.kind + block.turned)
                return
            words.append(-block.way)
            for child in block.children:
                write(child)
            words.append(CLOSE)

        write(root)
        return np.array(words, np.int32)
