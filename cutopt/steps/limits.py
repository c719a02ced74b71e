"""The limits of the car, the store and the saws: a job without one of them, and what it costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from cutopt.model.job import Carry, Job, Kind, Material, Saw, SawKind
from cutopt.model.layout import LimitPrice
from cutopt.model.plan import MaterialResult, Measure
from cutopt.steps.materials import cost_words
from cutopt.steps.money import format_money
from cutopt.steps.phrase import counted
from cutopt.steps.sawing_saws import store_may_cut
from cutopt.units import Ticks, format_length


def without_limits(job: Job, material: Material) -> Iterator[tuple[str, Job]]:
    """Yield each limit that bears on a material, in words, and the job without just that limit."""
    if job.carry is not None and job.carry != Carry():
        yield f"the car takes {_car_words(job, job.carry, material)}", replace(job, carry=None)
    store = job.store
    if store is not None and store_may_cut(job, material, owned=False):
        noun = material.kind.value
        if store.most_cuts is not None:
            most = f"the store makes at most {counted(store.most_cuts, 'cut')} in a {noun}"
            yield most, replace(job, store=replace(store, most_cuts=None))
        if store.smallest_piece:
            least = f"the store leaves no piece under {_say(job, store.smallest_piece)}"
            yield least, replace(job, store=replace(store, smallest_piece=Ticks(0)))
        if store.rough and store.allowance:
            rough = f"the store's edges are rough ({_say(job, store.allowance)} comes off each)"
            smooth = replace(store, rough=False, allowance=Ticks(0))
            yield rough, replace(job, store=smooth)
    for place, saw in enumerate(job.shop.saws):
        for words, free in _without_capacity(job, saw, material):
            saws = (*job.shop.saws[:place], free, *job.shop.saws[place + 1 :])
            yield words, replace(job, shop=replace(job.shop, saws=saws))


def limit_words(job: Job, result: MaterialResult) -> tuple[str, ...]:
    """Give what each limit adds to the cost of a material, a sentence each without its stop."""
    return tuple(_price_words(job, result, price) for price in result.limits)


def _price_words(job: Job, result: MaterialResult, price: LimitPrice) -> str:
    priced = result.measure is Measure.PRICE
    more = cost_words(
        price.cost + (price.fees_cents if priced else 0), result.measure, job.units, job.currency
    )
    if price.pieces > 0:
        does = f"{counted(price.pieces, result.material.kind.value)} more ({more})"
    elif price.cost > 0:
        does = f"dearer stock, {more} more"
    else:
        does = f"store cuts for {format_money(price.fees_cents, job.currency)} more"
    return f"because {price.limit}: {'' if price.exact else 'at least '}{does}"


def _without_capacity(job: Job, saw: Saw, material: Material) -> Iterator[tuple[str, Saw]]:
    name = f"your {saw.name}"
    if saw.kind is SawKind.TABLE and saw.rip_capacity is not None:
        yield f"{name} rips at most {_say(job, saw.rip_capacity)}", replace(saw, rip_capacity=None)
    # No mitre saw takes sheets, however far it reaches.
    of_boards = saw.kind is SawKind.MITRE and material.kind is Kind.BOARD
    if of_boards and saw.crosscut_capacity is not None:
        words = f"{name} crosscuts at most {_say(job, saw.crosscut_capacity)}"
        yield words, replace(saw, crosscut_capacity=None)
    if saw.kind in (SawKind.TRACK, SawKind.CIRCULAR) and saw.cut_length is not None:
        words = f"{name} cuts at most {_say(job, saw.cut_length)} long"
        yield words, replace(saw, cut_length=None)


def _car_words(job: Job, carry: Carry, material: Material) -> str:
    if material.kind is Kind.BOARD and carry.boards is not None:
        return f"boards of at most {_say(job, carry.boards)}"
    sides = [_say(job, side) for side in (carry.length, carry.width) if side is not None]
    return f"at most {' x '.join(sides)}"


def _say(job: Job, length: Ticks) -> str:
    return format_length(length, job.units, unit_mark=True)
