"""Proofs by listing: every set of the largest parts that one sheet can give.

Sets are listed by size, each with all the least boxes that hold it: a set's boxes come from
parting it in two in every way, side by side along or across. What must be cut is then a
choice among complete lists, and a cost none of them reaches is proved too low. Leaving
small parts out keeps such a bound valid.

Sets of parts are sets of kinds with counts, written as one number each (a digit a kind), so
that the number of a set is the sum of the numbers of any two sets it parts into.

Source: Wang, "Two algorithms for constrained two-dimensional cutting stock problems", 1983,
doi:10.1287/opre.31.3.573 (building cut sets from two smaller ones); the complete listing
with all least boxes, and the cover over it, are this project's own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

from cutopt.solve.bounds import Weighing
from cutopt.solve.choosing import repeatable_solver
from cutopt.solve.sheets_sizes import Laid, Sizes, without_extra
from cutopt.solve.slicing import ACROSS, ALONG, Block, joined

Box = tuple[int, int]
"""Length and width that hold a set, kerf included."""

_SHARES = (4, 5, 6, 7, 8, 9, 10)
_MOST_CHOICES = 10_000
_BOXES_A_SPLIT = 4


@dataclass(frozen=True, slots=True)
class Listing:
    """All sets of the chosen parts that fit one sheet of any type of one grain.

    Attributes:
        counts: how many parts of each kind were chosen.
        steps: the number a part of each kind adds to its set's number.
        boxes: least boxes by the number of the set, shortest first.
        lays: by kind, how one part may lie: (length, width, turned).
        types: the sheet types listed for.
    """

    counts: tuple[int, ...]
    steps: tuple[int, ...]
    boxes: dict[int, tuple[Box, ...]]
    lays: tuple[tuple[tuple[int, int, bool], ...], ...]
    types: tuple[int, ...]

    def counts_of(self, number: int) -> list[int]:
        """Give how many of each kind are in a set."""
        return [
            number // step % (count + 1)
            for step, count in zip(self.steps, self.counts, strict=True)
        ]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a listing shows.

    Attributes:
        low: no purchase costs less; None where the stock available can never be enough.
        laid: sheets that make all parts for less than the cost to beat, or None.
        work: splits looked at.
    """

    low: int | None
    laid: Laid | None
    work: int


def judge(
    sizes: Sizes,
    weighings: Sequence[Weighing],
    low: int,
    below: int | None,
    limit: int,
    cover: float,
    stopped: Callable[[], bool],
) -> Verdict:
    """Give the best bound that listing the largest parts proves within the work allowed.

    Args:
        sizes: the problem.
        weighings: what the sheets bought must meet besides.
        low: the bound so far.
        below: cost of the best plan so far, or None where there is none.
        limit: splits to look at in all.
        cover: work of each choice among the sets, in the solver's own units.
        stopped: says whether to end now with what is proved.
    """
    parts = sizes.all_parts()
    work = 0
    for share in _SHARES:
        chosen = parts[: -(-len(parts) * share // 10)]
        counts = tuple(chosen.count(kind) for kind in range(len(sizes.kinds)))
        listings = []
        for group in _groups(sizes):
            listing, spent = list_sets(sizes, group, counts, limit - work, stopped)
            work += spent
            if listing is None:
                return Verdict(low, None, work)
            listings.append(listing)
        proved, laid = _choose(sizes, listings, weighings, low, below, cover)
        if proved is None:
            return Verdict(None, None, work)
        low = max(low, proved)
        if len(chosen) == len(parts):
            return Verdict(low, laid, work)
        if low == below:
            break
    return Verdict(low, None, work)


def _groups(sizes: Sizes) -> list[tuple[int, ...]]:
    """Give the sheet types in groups on which parts may lie the same ways."""
    if not any(kind.bound for kind in sizes.kinds):
        return [tuple(range(len(sizes.types)))]
    groups = [
        tuple(n for n, t in enumerate(sizes.types) if t.grain is grain) for grain in (True, False)
    ]
    return [group for group in groups if group]


def list_sets(
    sizes: Sizes,
    types: tuple[int, ...],
    counts: tuple[int, ...],
    limit: int,
    stopped: Callable[[], bool],
) -> tuple[Listing | None, int]:
    """Give all sets that fit a sheet of these types, or None past ``limit`` splits; and the work.

    Args:
        sizes: the problem.
        types: sheet types on which parts may lie the same ways.
        counts: how many parts of each kind to list sets of.
        limit: splits to look at.
        stopped: says whether to give up now.
    """
    longest = max(sizes.types[t].length for t in types)
    widest = max(sizes.types[t].width for t in types)
    largest = max(sizes.types[t].area for t in types)
    steps = []
    step = 1
    for count in counts:
        steps.append(step)
        step *= count + 1
    lays = tuple(
        tuple(sorted({lay for t in types for lay in sizes.lays[t][kind]}))
        for kind in range(len(counts))
    )
    chosen = [lay for kind, count in enumerate(counts) if count for lay in lays[kind]]
    if not chosen:
        return Listing(counts, tuple(steps), {}, lays, types), 0
    reach_length = _reach([sizes.types[t].length for t in types], min(lay[0] for lay in chosen))
    reach_width = _reach([sizes.types[t].width for t in types], min(lay[1] for lay in chosen))
    listing = Listing(counts, tuple(steps), {}, lays, types)
    boxes = listing.boxes
    areas = [kind.area for kind in sizes.kinds]
    level: list[tuple[int, tuple[tuple[int, int], ...], int]] = []
    for kind, count in enumerate(counts):
        if count and lays[kind]:
            boxes[steps[kind]] = _least([(lay[0], lay[1]) for lay in lays[kind]])
            level.append((steps[kind], ((kind, 1),), areas[kind]))
    kinds = [kind for kind, count in enumerate(counts) if count and lays[kind]]
    work = 0
    while level and not stopped():
        larger: list[tuple[int, tuple[tuple[int, int], ...], int]] = []
        for number, held, area in level:
            last, many = held[-1]
            for kind in kinds:
                if kind < last or area + areas[kind] > largest:
                    continue
                if kind == last:
                    if many == counts[kind]:
                        continue
                    grown = (*held[:-1], (kind, many + 1))
                else:
                    grown = (*held, (kind, 1))
                whole = number + steps[kind]
                if any(whole - steps[k] not in boxes for k, _ in grown):
                    continue
                inside = [0]
                for k, many_of_it in grown:
                    inside = [n + j * steps[k] for n in inside for j in range(many_of_it + 1)]
                half = (len(inside) + 1) // 2
                work += half
                if work > limit or (not len(boxes) & 255 and stopped()):
                    return None, work
                found = _boxes(boxes, whole, inside[1:half], (longest, widest))
                work += len(found) // _BOXES_A_SPLIT
                if found:
                    boxes[whole] = _least(
                        [
                            (longest if a > reach_length else a, widest if b > reach_width else b)
                            for a, b in found
                        ]
                    )
                    larger.append((whole, grown, area + areas[kind]))
        level = larger
    return (None if level else listing), work


def _boxes(
    boxes: dict[int, tuple[Box, ...]], whole: int, inside: list[int], most: Box
) -> list[Box]:
    """Give boxes of a set from those of every two sets it parts into, none over ``most``."""
    longest, widest = most
    found: list[Box] = []
    for one in inside:
        first, second = boxes[one], boxes[whole - one]
        if first[0][0] + second[0][0] <= longest:
            for a, b in first:
                for c, d in second:
                    if a + c > longest:
                        break
                    found.append((a + c, max(b, d)))
        if first[-1][1] + second[-1][1] <= widest:
            for a, b in first:
                for c, d in second:
                    if b + d <= widest:
                        found.append((max(a, c), b + d))
    return found


def _reach(sides: Sequence[int], least: int) -> int:
    """Give the size past which a box is as good as the largest sheet: nothing fits beside it.

    Boxes that fit a smaller sheet keep their size.
    """
    longest = max(sides)
    return max([longest - least, *(side for side in sides if side < longest)])


def _least(found: list[Box]) -> tuple[Box, ...]:
    """Give the boxes that no other is inside of, shortest first."""
    kept: list[Box] = []
    for box in sorted(found):
        if not kept or box[1] < kept[-1][1]:
            kept.append(box)
    return tuple(kept)


def _choose(
    sizes: Sizes,
    listings: Sequence[Listing],
    weighings: Sequence[Weighing],
    low: int,
    below: int | None,
    cover: float,
) -> tuple[int | None, Laid | None]:
    """Give the least cost over complete lists (or a bound on it), and sheets below the best."""
    choices = [
        (sheet, listing, number)
        for listing in listings
        for sheet in listing.types
        for number in _fullest(sizes, listing, sheet)
    ]
    if len(choices) > _MOST_CHOICES:
        return low, None
    counts = listings[0].counts
    model = cp_model.CpModel()
    bought = [model.new_int_var(0, t.available, "") for t in sizes.types]
    made = [listing.counts_of(number) for _, listing, number in choices]
    uses = []
    once = []
    for (sheet, _, _), held in zip(choices, made, strict=True):
        most = max(-(-counts[kind] // many) for kind, many in enumerate(held) if many)
        most = min(most, sizes.types[sheet].available)
        once.append(most == 1)
        uses.append(model.new_bool_var("") if most == 1 else model.new_int_var(0, most, ""))
    for kind, count in enumerate(counts):
        if not count:
            continue
        having = [(held[kind], use) for held, use in zip(made, uses, strict=True) if held[kind]]
        if count == 1 and all(one for one, held in zip(once, made, strict=True) if held[kind]):
            # A clause, which the solver reasons on best.
            model.add_bool_or([use for _, use in having])
        else:
            model.add(sum(many * use for many, use in having) >= count)
    for sheet, count_of_sheet in enumerate(bought):
        model.add(
            sum(use for use, (t, _, _) in zip(uses, choices, strict=True) if t == sheet)
            <= count_of_sheet
        )
    for weighing in weighings:
        model.add(
            sum(c * n for c, n in zip(weighing.capacities, bought, strict=True)) >= weighing.demand
        )
    cost = sum(t.cost * n for t, n in zip(sizes.types, bought, strict=True))
    model.add(cost >= low)
    if below is not None:
        model.add(cost <= below - 1)
    model.minimize(cost)
    solver = repeatable_solver(cover, linearization=2)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return below, None
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return low, None
    laid = [
        (
            sheet,
            lay_set(listing, number, sizes.types[sheet].length, sizes.types[sheet].width, sizes),
        )
        for (sheet, listing, number), use in zip(choices, uses, strict=True)
        for _ in range(solver.value(use))
    ]
    least = sum(t.cost * solver.value(n) for t, n in zip(sizes.types, bought, strict=True))
    return (least if status == cp_model.OPTIMAL else low), without_extra(sizes, laid)


def _fullest(sizes: Sizes, listing: Listing, sheet: int) -> list[int]:
    """Give the sets that fit a type of sheet and that no further part fits beside."""
    length, width = sizes.types[sheet].length, sizes.types[sheet].width
    fit = {
        number
        for number, boxes in listing.boxes.items()
        if any(a <= length and b <= width for a, b in boxes)
    }
    full = []
    for number in listing.boxes:
        if number not in fit:
            continue
        held = listing.counts_of(number)
        if not any(
            held[kind] < count and number + listing.steps[kind] in fit
            for kind, count in enumerate(listing.counts)
        ):
            full.append(number)
    return full


def lay_set(listing: Listing, number: int, length: int, width: int, sizes: Sizes) -> Block:
    """Give a block that holds a listed set within a length and width its boxes fit."""
    held = [(kind, many) for kind, many in enumerate(listing.counts_of(number)) if many]
    kind, many = held[0]
    if len(held) == 1 and many == 1:
        lay = next(lay for lay in listing.lays[kind] if lay[0] <= length and lay[1] <= width)
        return sizes.part(kind, lay)
    inside = [0]
    for kind, many in held:
        inside = [n + j * listing.steps[kind] for n in inside for j in range(many + 1)]
    for one in inside[1:-1]:
        for a, b in listing.boxes[one]:
            if a > length or b > width:
                continue
            for c, d in listing.boxes[number - one]:
                if a + c <= length and d <= width:
                    parts = (
                        lay_set(listing, one, a, width, sizes),
                        lay_set(listing, number - one, length - a, width, sizes),
                    )
                    return joined(ALONG, parts)
                if b + d <= width and c <= length:
                    parts = (
                        lay_set(listing, one, length, b, sizes),
                        lay_set(listing, number - one, length, width - b, sizes),
                    )
                    return joined(ACROSS, parts)
    raise LookupError("the set was not listed for this size")
