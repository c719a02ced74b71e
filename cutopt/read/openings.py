"""``[[openings]]`` in ``job.toml``: how much of a group's openings has to let air through."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from cutopt.errors import Fault
from cutopt.model.job import OpeningNeed, Part
from cutopt.model.openings import FREE_SHARES
from cutopt.read.areas import area_of
from cutopt.read.cells import ValueFault, nearest, one_of, quoted
from cutopt.read.document import KEYS, Document, Source
from cutopt.read.table import tidy

T = TypeVar("T")

_KINDS: Mapping[str, str] = {
    **{kind: kind for kind in FREE_SHARES},
    "none": "open",
    "wooden louvre": "wood louvre",
    "wood louver": "wood louvre",
    "metal louver": "metal louvre",
    "wood louver with mesh": "wood louvre with mesh",
    "1/4 mesh": "1/4 in mesh",
    "1/8 mesh": "1/8 in mesh",
}


def share_of(text: str) -> float:
    """Give a share, ``0.6`` or ``60 %``, more than 0 and at most 1.

    Raises:
        ValueFault: it is none.
    """
    helps = "write what the grille's maker says, like 0.6 or 60 %"
    found = re.fullmatch(r"(\d{1,3}(?:\.\d{1,6})?|\.\d{1,6}) ?(%?)", text.strip())
    if found is None:
        raise ValueFault("this is not a share", helps)
    share = float(found[1]) / (100 if found[2] else 1)
    if not 0 < share <= 1:
        raise ValueFault("a share is more than 0 and at most 1", helps)
    return share


def read_openings(
    document: Document, source: Source, parts: Sequence[Part], faults: list[Fault]
) -> tuple[OpeningNeed, ...]:
    """Give what a job asks of its openings; what is wrong is added to ``faults``."""
    held = document.get("openings")
    if held is None:
        return ()
    if not isinstance(held, list) or not all(isinstance(entry, dict) for entry in held):
        helps = "write [[openings]] above each"
        faults.append(source.fault("openings", "this is a list of tables", held, helps))
        return ()
    needs = [
        _need(f"openings.{number}", entry, source, parts, faults)
        for number, entry in enumerate(held, start=1)
    ]
    return tuple(need for need in needs if need is not None)


def _need(
    key: str,
    entry: Mapping[str, object],
    source: Source,
    parts: Sequence[Part],
    faults: list[Fault],
) -> OpeningNeed | None:
    before = len(faults)
    known = KEYS["opening"]
    for name in entry:
        if name not in known:
            near = nearest(name, known, cutoff=0.6)
            helps = f"did you mean {near}? " if near else ""
            helps += f"known here are {', '.join(known)}"
            faults.append(source.fault(f"{key}.{name}", "this key is not known", help=helps))

    def value(name: str, read: Callable[[str], T]) -> T | None:
        held = entry.get(name)
        if held is None:
            return None
        if isinstance(held, bool | list | dict):
            faults.append(source.fault(f"{key}.{name}", "this takes one value", held))
            return None
        text = f"{held:.12g}" if isinstance(held, float) else str(held)
        try:
            return read(text)
        except ValueFault as fault:
            faults.append(source.fault(f"{key}.{name}", fault.problem, text, fault.help))
            return None

    share = value("free_share", share_of)
    own_words = "free_share" in entry
    grille = value(
        "grille", lambda text: tidy(text) if own_words else one_of(text, _KINDS, list(FREE_SHARES))
    )
    least = value("free_area", area_of)
    group = _group(key, entry, source, parts, faults)
    if "free_area" not in entry:
        helps = 'write free_area = "40 sq in" or "250 cm2"'
        faults.append(source.fault(key, "how much has to be free is missing", help=helps))
    if "grille" not in entry and not own_words:
        helps = f"known for grille are {', '.join(FREE_SHARES)}; or write its maker's free_share"
        faults.append(source.fault(key, "what covers the openings is missing", help=helps))
    if len(faults) > before or least is None:
        return None
    return OpeningNeed(group, tidy(str(entry["free_area"])), least, grille or "", share)


def _group(
    key: str,
    entry: Mapping[str, object],
    source: Source,
    parts: Sequence[Part],
    faults: list[Fault],
) -> str:
    """Give the group as the bill of parts spells it."""
    named = entry.get("group")
    groups = list(dict.fromkeys(part.group for part in parts if part.group))
    known = f"the bill of parts has {quoted(groups)}" if groups else "no part has a group"
    if not isinstance(named, str) or not tidy(named):
        faults.append(source.fault(key, "the group is missing", help=known))
        return ""
    for group in groups:
        if group.casefold() == tidy(named).casefold():
            return group
    if parts:
        near = nearest(tidy(named), groups)
        helps = f'did you mean "{near}"?' if near else known
        faults.append(source.fault(f"{key}.group", "no part is of this group", named, helps))
    return ""
