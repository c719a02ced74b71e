"""Every part as often as asked, at blank size, the grain its way, clear of raw edges."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from cutopt.check.tree import Lying, Replayed
from cutopt.check.words import copy_text, length_text, size_text
from cutopt.errors import Fault
from cutopt.model.job import Edge, Grain, Job, Kind, Material, Part, Stock
from cutopt.model.plan import PartPiece, StockPiece


def part_faults(job: Job, pieces: Sequence[Replayed]) -> Iterator[Fault]:
    """Yield what is wrong with the parts of a plan."""
    known = {part.id: part for part in job.parts}
    if len(known) < len(job.parts):
        yield Fault("two parts of the job have one id")
    cut: Counter[tuple[str, int]] = Counter()
    for replayed in pieces:
        for spot in replayed.lying:
            node = spot.node
            if not isinstance(node, PartPiece):
                continue
            part = known.get(node.part)
            if part is None:
                yield Fault(f"{replayed.piece.id} holds a part {node.part!r} the job has not")
                continue
            cut[node.part, node.copy] += 1
            yield from _piece_faults(job, replayed.piece, spot, node, part)
    for part in known.values():
        yield from _count_faults(part, cut)
        yield from _blank_faults(job, part)


def _count_faults(part: Part, cut: Counter[tuple[str, int]]) -> Iterator[Fault]:
    copies = range(1, part.qty + 1)
    missing = [str(copy) for copy in copies if not cut[part.id, copy]]
    if missing:
        yield Fault(f"{part.name}: of {part.qty} wanted, number {', '.join(missing)} is not cut")
    for copy in copies:
        if cut[part.id, copy] > 1:
            yield Fault(f"{copy_text(part, copy)} is cut {cut[part.id, copy]} times")
    for part_id, copy in cut:
        if part_id == part.id and copy not in copies:
            yield Fault(f"{part.name}: {part.qty} wanted, but a number {copy} is cut")


def _piece_faults(
    job: Job, piece: StockPiece, spot: Lying, node: PartPiece, part: Part
) -> Iterator[Fault]:
    name, stock = f"{piece.id}: {copy_text(part, node.copy)}", piece.stock
    blank = (part.blank_length, part.blank_width)
    lies = blank[::-1] if node.turned else blank
    if (node.length, node.width) != lies:
        yield Fault(
            f"{name} is cut {size_text(node.length, node.width, job.units)}, "
            f"its blank {'lies turned' if node.turned else 'is'} {size_text(*lies, job.units)}"
        )
    if not _is_of_its_material(part.material, stock):
        yield Fault(f"{name} is cut from {stock.name}, which is not its material")
    if stock.grain is Grain.LENGTH and part.grain is (Grain.LENGTH if node.turned else Grain.WIDTH):
        yield Fault(f"{name} lies with its grain the wrong way")
    elif (
        (part.material.kind, stock.kind) == (Kind.BOARD, Kind.SHEET)
        and stock.grain is Grain.LENGTH
        and node.turned
    ):
        yield Fault(f"{name} lies across the sheet's grain, a board's grain runs along it")
    gaps = (
        spot.x,
        stock.length - spot.x - node.length,
        spot.y,
        stock.width - spot.y - node.width,
    )
    for gap, least in zip(gaps, stock.clean_up, strict=True):
        if gap < least:
            yield Fault(
                f"{name} lies {length_text(gap, job.units)} from a raw edge, "
                f"{length_text(least, job.units)} is to be trimmed"
            )
            break


def _is_of_its_material(wanted: Material, stock: Stock) -> bool:
    """Say whether a part may come from a stock.

    What boards give comes from any section of their lumber, and from sheets of the same material
    and thickness that may be ripped.
    """
    used = stock.material
    if wanted.kind is Kind.BOARD:
        kind = used.kind if stock.rip else Kind.BOARD
        wanted = replace(wanted, kind=kind, section=used.section)
    return wanted == used


def _blank_faults(job: Job, part: Part) -> Iterator[Fault]:
    """Work the blank out again: finished size, less the bands, plus what is left for fitting."""
    bands = {row.band for row in job.stock if row.material == part.material and row.band}
    if len(bands) > 1:
        yield Fault(f"{part.material.name}: its stock names bands of several thicknesses")
        return
    band = max(bands, default=0)
    ends = sum(edge in part.band for edge in (Edge.LEFT, Edge.RIGHT))
    sides = sum(edge in part.band for edge in (Edge.FRONT, Edge.BACK))
    blank = (
        part.length - ends * band + part.extra_length,
        part.width - sides * band + part.extra_width,
    )
    if (part.blank_length, part.blank_width) != blank:
        said = size_text(part.blank_length, part.blank_width, job.units)
        yield Fault(
            f"{part.name}: its blank should be {size_text(*blank, job.units)}, the plan says {said}"
        )
