"""Tables of what was measured, beside what is published."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from benchmarks.cases import published_sums
from benchmarks.measuring import Row

_COMPLETE = 10


def table(rows: Sequence[Row], variant: str) -> str:
    """Give a table in Markdown of the rows of one variant, a line a group and one for all."""
    chosen = [row for row in rows if row.variant == variant]
    if not chosen:
        return ""
    groups: dict[str, list[Row]] = {}
    for row in chosen:
        groups.setdefault(row.group, []).append(row)
    algorithms = _algorithms(chosen, groups, variant)
    library = any(row.library is not None for row in chosen)
    head = [
        "group",
        "cases",
        "cutopt",
        "bound",
        "proven",
        "published best",
        "published bound",
        "published proven",
        *(["rectpack"] if library else []),
        *algorithms,
        "median s",
        "longest s",
        "peak MB",
    ]
    lines = [head, ["---"] * len(head)]
    for group, of_group in groups.items():
        beside = [str(algorithms[name].get(group, "")) for name in algorithms]
        lines.append(_line(group, of_group, beside, library=library))
    totals = [str(sum(sums.values())) for sums in algorithms.values()]
    lines.append(_line("all", chosen, totals, library=library))
    return "\n".join("| " + " | ".join(line) + " |" for line in lines) + "\n"


def _line(group: str, rows: Sequence[Row], beside: list[str], *, library: bool) -> list[str]:
    return [
        group,
        str(len(rows)),
        str(sum(row.cost for row in rows)),
        str(sum(row.bound for row in rows)),
        str(sum(row.cost == row.bound for row in rows)),
        _sum([row.published_best for row in rows]),
        _sum([row.published_bound for row in rows]),
        str(
            sum(
                row.published_best is not None and row.published_best == row.published_bound
                for row in rows
            )
        ),
        *([_sum([row.library for row in rows])] if library else []),
        *beside,
        f"{median(row.seconds for row in rows):.2f}",
        f"{max(row.seconds for row in rows):.1f}",
        str(max(row.peak_mb for row in rows)),
    ]


def _sum(values: Sequence[int | None]) -> str:
    """Give a sum, empty where a value is missing: a sum of some says nothing."""
    return "" if None in values else str(sum(value or 0 for value in values))


def _algorithms(
    rows: Sequence[Row], groups: dict[str, list[Row]], variant: str
) -> dict[str, dict[str, int]]:
    """Give published totals by algorithm and group, where every group is complete."""
    if rows[0].of != "class" or any(len(of_group) < _COMPLETE for of_group in groups.values()):
        return {}
    found: dict[str, dict[str, int]] = {}
    for (number, count), sums in published_sums(variant).items():
        group = f"{number} {count}"
        if group in groups:
            for algorithm, value in sums.items():
                found.setdefault(algorithm, {})[group] = value
    return found
