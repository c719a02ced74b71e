"""Edges to band, part by part, and how much band each material wants."""

from __future__ import annotations

from dataclasses import dataclass

from cutopt.model.job import Edge, Material, Part
from cutopt.units import Ticks


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
