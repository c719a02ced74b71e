"""How many boxes to tick stand for a count: one each, or one for every ten, hundred ..."""

from __future__ import annotations


def box_every(count: int, most: int) -> int:
    """Give 1, 10, 100 ...: for how many pieces a box stands, so that ``most`` boxes do."""
    every = 1
    while -(-count // every) > most:
        every *= 10
    return every


def box_words(every: int, count: int) -> str:
    """Give what is said beside boxes that stand for several pieces, or ""."""
    return f"a box for every {every} of {count}" if every > 1 else ""
