"""What would put right what does not fit the car or no saw cuts: changes that are tried out.

A change is made to the job: more cuts at the store, a car or a saw that takes more; and the
pieces of stock where something is amiss are sawn again. The least change that does is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from cutopt.model.job import Carry, Job, Kind, Saw, SawKind, Stock
from cutopt.model.layout import LaidPiece
from cutopt.model.plan import StockPiece
from cutopt.steps.money import format_money
from cutopt.steps.sawing_pieces import MisfitError
from cutopt.steps.sawing_rounds import saw_piece
from cutopt.steps.sawing_saws import kerfs, store_may_cut
from cutopt.steps.sawing_warnings import Trouble, trouble_with
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, Units, format_length

MOST_MORE_CUTS = 3
"""More cuts than that are not asked of a store beyond what it makes; our own choice."""

_STEP = {Units.INCH: TICKS_PER_INCH, Units.MM: 10 * TICKS_PER_MM}
_ROLE = {SawKind.TABLE: "rip_capacity", SawKind.MITRE: "crosscut_capacity"}


@dataclass(frozen=True, slots=True)
class Change:
    """A change of the job by more or less.

    Attributes:
        amounts: to try, from the least to the greatest.
        made: gives what is changed, in words, and the job with it, for an amount.
        last: worth trying only where nothing before it does.
    """

    amounts: Sequence[int]
    made: Callable[[int], tuple[str, Job]]
    last: bool = False


@dataclass(frozen=True, slots=True)
class Remedy:
    """What puts it right, and what that costs more, in words; "" where no price is known."""

    words: str
    more_words: str = ""
    order: tuple[int, int] = (1, 0)


def changes(job: Job, stock: Sequence[Stock], *, for_car: bool) -> Iterator[Change]:
    """Yield the changes that may get pieces of stock into the car, or all their cuts made."""
    store, material = job.store, stock[0].material
    most = None if store is None else store.most_cuts
    if store is not None and most is not None and store_may_cut(job, material, owned=False):
        yield Change(
            range(most + 1, most + 1 + MOST_MORE_CUTS),
            lambda cuts: (
                f"{cuts} cuts at the store instead of {most}",
                replace(job, store=replace(store, most_cuts=cuts)),
            ),
        )
    longest = max(max(row.length, row.width) for row in stock)
    shortest = max(min(row.length, row.width) for row in stock)
    if for_car:
        if job.carry is not None:
            yield from _cars(job, job.carry, material.kind, longest, shortest)
    else:
        yield from _saws(job, longest)


def least_that_does(
    change: Change, does: Callable[[Job], int | None]
) -> tuple[str, Job, int] | None:
    """Give the least change that does, its job and what ``does`` says of it; None where none.

    ``does`` gives what a job costs more, in cents, or None where it does not do. More of a
    change is taken to do wherever less of it does.
    """
    low, high = 0, len(change.amounts) - 1
    found = None
    while low <= high:
        # The greatest first: where that does not do, nothing does.
        middle = high if found is None else (low + high) // 2
        words, job = change.made(change.amounts[middle])
        cents = does(job)
        if cents is not None:
            found, high = (words, job, cents), middle - 1
        elif found is None:
            return None
        else:
            low = middle + 1
    return found


def changes_that_do(
    job: Job,
    amiss: Sequence[tuple[LaidPiece, Trouble]],
    kind: int,
    stopped: Callable[[], bool],
) -> list[Remedy]:
    """Give each change that puts it right, the least of its kind, layouts left as they are.

    Args:
        job: as it is.
        amiss: layouts of a material with which something is amiss, and what.
        kind: 0 where they do not fit the car, 1 where no saw makes a cut.
        stopped: says whether to try no more.
    """
    stock = [laid.stock for laid, _ in amiss]
    kerf = kerfs(job, stock[0].material)[0]

    def does(changed: Job) -> int | None:
        more = 0
        sawn: dict[LaidPiece, Trouble] = {}
        for laid, before in amiss:
            if stopped():
                return None
            if laid not in sawn:
                try:
                    tree = saw_piece(changed, laid, kerf).node
                    sawn[laid] = trouble_with(changed, StockPiece("", laid.stock, tree))
                except MisfitError:
                    return None
            after = sawn[laid]
            if after[kind] or after[1 - kind] > before[1 - kind]:
                return None
            more += after[2] - before[2]
        return more

    remedies: list[Remedy] = []
    for change in changes(job, stock, for_car=kind == 0):
        if change.last and remedies:
            continue
        found = least_that_does(change, does)
        if found is None:
            continue
        words, changed, cents = found
        if changed.store == job.store:  # nobody says what a car or a saw costs
            remedies.append(Remedy(words))
        else:
            more = f"{format_money(cents, job.currency)} more" if cents > 0 else "at no fee"
            remedies.append(Remedy(words, more, (0, cents)))
    return remedies


def remedies_in_words(remedies: Sequence[Remedy], *, for_car: bool) -> str:
    """Give what would put it right, the cheapest first, those without a known price last."""
    ordered = sorted(remedies, key=lambda remedy: remedy.order)
    ways = [
        f"with {remedy.words}" + (f" ({remedy.more_words})" if remedy.more_words else "")
        for remedy in ordered
    ]
    if for_car:
        ways.append("delivered")
    does = "it all fits" if for_car else "every cut can be made"
    return f"{does} {', '.join(ways[:-1])}{' or ' if ways[1:] else ''}{ways[-1]}"


def _cars(job: Job, carry: Carry, kind: Kind, longest: int, shortest: int) -> Iterator[Change]:
    if kind is Kind.BOARD and carry.boards is not None:
        yield Change(
            _amounts(job, carry.boards, longest),
            lambda size: (
                f"a car that takes boards of {_say(job, size)}",
                replace(job, carry=replace(carry, boards=Ticks(size))),
            ),
        )
        return
    if carry.length is not None:
        yield Change(
            _amounts(job, carry.length, longest),
            lambda size: _car(job, replace(carry, length=Ticks(size))),
        )
    if carry.width is not None:
        yield Change(
            _amounts(job, carry.width, shortest),
            lambda size: _car(job, replace(carry, width=Ticks(size))),
        )
    if carry.length is not None and carry.width is not None:
        wide = replace(carry, width=Ticks(shortest))
        yield Change(
            _amounts(job, carry.length, longest),
            lambda size: _car(job, replace(wide, length=Ticks(size))),
            last=True,
        )


def _car(job: Job, carry: Carry) -> tuple[str, Job]:
    sides = [_say(job, side) for side in (carry.length, carry.width) if side is not None]
    return f"a car that takes {' x '.join(sides)}", replace(job, carry=carry)


def _saws(job: Job, longest: int) -> Iterator[Change]:
    """Yield saws of the shop that take more, and a track saw where there is none."""
    saws = job.shop.saws
    for place, saw in enumerate(saws):
        role = _ROLE.get(saw.kind, "cut_length")
        reach: Ticks | None = getattr(saw, role)
        if reach is not None:
            yield _longer_reach(job, place, saw, role, _amounts(job, reach, longest))
    if not any(saw.kind in (SawKind.TRACK, SawKind.CIRCULAR) for saw in saws):
        track = Saw("track saw", SawKind.TRACK, job.shop.kerf)
        amounts = _amounts(job, 0, longest)
        yield _longer_reach(job, len(saws), track, "cut_length", amounts)


def _longer_reach(job: Job, place: int, saw: Saw, role: str, amounts: Sequence[int]) -> Change:
    does = {"rip_capacity": "rips", "crosscut_capacity": "crosscuts", "cut_length": "cuts"}[role]
    long = " long" if role == "cut_length" else ""

    def made(size: int) -> tuple[str, Job]:
        longer = Saw(saw.name, saw.kind, saw.kerf, **{role: Ticks(size)})
        saws = (*job.shop.saws[:place], longer, *job.shop.saws[place + 1 :])
        words = f"a {saw.kind} that {does} {_say(job, size)}{long}"
        return words, replace(job, shop=replace(job.shop, saws=saws))

    return Change(amounts, made)


def _amounts(job: Job, least: int, most: int) -> range:
    """Give whole inches, or centimetres, beyond ``least`` until ``most`` is reached."""
    step = _STEP[job.units]
    return range((least // step + 1) * step, -(-most // step) * step + 1, step)


def _say(job: Job, length: int) -> str:
    return format_length(Ticks(length), job.units, unit_mark=True)
