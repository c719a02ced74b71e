"""First layouts from a packing library: many quick rules, each recovered as straight cuts.

The library places rectangles and says nothing of cuts; those of its layouts that straight
cuts can part again are kept, the others dropped.

Source: Jylänki, "A thousand ways to pack the bin", 2010 (the guillotine rules).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import rectpack
from rectpack.packer import (
    SORT_AREA,
    SORT_LSIDE,
    SORT_PERI,
    SORT_SSIDE,
    PackerBBF,
    newPacker,
)

from cutopt.solve.sheets_sizes import Laid, Sizes
from cutopt.solve.slicing import from_rectangles

RULES = tuple(
    getattr(rectpack, f"Guillotine{fit}{split}")
    for fit in ("Bssf", "Baf", "Blsf")
    for split in ("Sas", "Maxas", "Slas", "Minas", "Las", "Llas")
)
"""Best short side, area or long side fit; six ways to split what is left beside a part."""

ORDERS = (SORT_AREA, SORT_LSIDE, SORT_SSIDE, SORT_PERI)


def packed_layouts(sizes: Sizes, sheet: int, rules: Sequence[type]) -> Iterator[Laid]:
    """Yield plans on one type of sheet, one for each rule and order that gives straight cuts.

    Nothing is yielded where a part does not fit that type. Where any part may not be turned
    there, none is.
    """
    lays = sizes.lays[sheet]
    if not all(lays):
        return
    kind_of_sheet = sizes.types[sheet]
    may_turn = all(len(lay) == 2 or lay[0][0] == lay[0][1] for lay in lays)
    for rule in rules:
        for order in ORDERS:
            packer = newPacker(  # type: ignore[no-untyped-call]
                pack_algo=rule, sort_algo=order, rotation=may_turn
            )
            for kind in sizes.all_parts():
                packer.add_rect(lays[kind][0][0], lays[kind][0][1], rid=kind)
            packer.add_bin(kind_of_sheet.length, kind_of_sheet.width, kind_of_sheet.available)
            packer.pack()
            laid = _recovered(sizes, sheet, packer)
            if laid is not None:
                yield laid


def _recovered(sizes: Sizes, sheet: int, packer: PackerBBF) -> Laid | None:
    """Give the sheets of a packing, or None where parts are missing or no cuts part them."""
    laid: Laid = []
    count = 0
    for packed in packer:
        placed = []
        for part in packed:
            lay = next(
                (
                    lay
                    for lay in sizes.lays[sheet][part.rid]
                    if (lay[0], lay[1]) == (part.width, part.height)
                ),
                None,
            )
            if lay is None:
                return None
            placed.append((part.x, part.y, sizes.part(part.rid, lay)))
        block = from_rectangles(placed)
        if block is None or not sizes.legal(block, sheet):
            return None
        count += len(placed)
        laid.append((sheet, block))
    return laid if count == sizes.count else None
