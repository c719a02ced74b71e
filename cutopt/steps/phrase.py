"""Words with lengths in them: the lengths stay ticks, so that each page sets them its own way."""

from __future__ import annotations

from collections.abc import Callable, Sequence

Phrase = tuple[str | int, ...]
"""Text and lengths in turn; every int is a length in ticks."""


def plain(phrase: Phrase, say: Callable[[int], str]) -> str:
    """Give the phrase as one string, each length put into words by ``say``."""
    return "".join(word if isinstance(word, str) else say(word) for word in phrase)


def listed(words: Sequence[str]) -> str:
    """Give "A", "A and B", "A, B and C"."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def counted(count: int, one: str, many: str = "") -> str:
    """Give a count and its noun: "1 sheet", "3 sheets"; ``many`` where an s is not enough."""
    return f"{count} {one if count == 1 else many or one + 's'}"
