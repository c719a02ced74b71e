"""Edges to band, part by part, and how much band each material wants."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Edge, Job, Material, Part
from cutopt.model.plan import Plan
from cutopt.units import Ticks, Units, inches, millimetres

EXTRA_PER_EDGE = {Units.INCH: inches(2), Units.MM: millimetres(50)}
"""Band added for each edge, to be trimmed off at both ends: 1-2 in (25-50 mm), the larger
taken. Common practice, no published source."""


@dataclass(frozen=True, slots=True)
class BandRow:
    """The banded edges of one part.

    Attributes:
        edges: edge and its length, ticks, in the order front, back, left, right.
        total: over all copies, without allowance.
    """

    part: Part
    edges: tuple[tuple[Edge, Ticks], ...]
    total: Ticks


@dataclass(frozen=True, slots=True)
class BandNeed:
    """Band of one material.

    Attributes:
        thickness: of the band, ticks; 0 where the stock list does not say.
        net: sum of the edges, ticks.
        with_allowance: net and what each edge loses at its ends.
        edges: how many edges.
    """

    material: Material
    thickness: Ticks
    rows: tuple[BandRow, ...]
    edges: int
    net: Ticks
    with_allowance: Ticks


def band_words(part: Part) -> str:
    """Give the banded edges of a part: "band front", "band all edges", "no band"."""
    if not part.band:
        return "no band"
    if len(part.band) == len(Edge):
        return "band all edges"
    return f"band {', '.join(edge.value for edge in part.band)}"


def band_needs(plan: Plan) -> tuple[BandNeed, ...]:
    """Give the edges to band and the length of band, one entry for each material banded."""
    needs = (_need(plan.job, material) for material in plan.job.materials)
    return tuple(need for need in needs if need.edges)


def _need(job: Job, material: Material) -> BandNeed:
    rows = tuple(_row(part) for part in job.parts if part.material == material and part.band)
    edges = sum(len(row.edges) * row.part.qty for row in rows)
    net = sum(row.total for row in rows)
    thickness = max((s.band for s in job.stock if s.material == material), default=Ticks(0))
    return BandNeed(
        material=material,
        thickness=thickness,
        rows=rows,
        edges=edges,
        net=Ticks(net),
        with_allowance=Ticks(net + edges * EXTRA_PER_EDGE[job.units]),
    )


def _row(part: Part) -> BandRow:
    along_length = (Edge.FRONT, Edge.BACK)
    edges = tuple((edge, part.length if edge in along_length else part.width) for edge in part.band)
    return BandRow(part, edges, Ticks(part.qty * sum(length for _, length in edges)))
