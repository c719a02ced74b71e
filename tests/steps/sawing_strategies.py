"""Random jobs for the sawing tests: layouts that fit their stock, saws, stores, cars."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import strategies as st

from cutopt.model.job import (
    Carry,
    Favour,
    Job,
    Kind,
    Material,
    Part,
    Saw,
    SawKind,
    Shop,
    Stock,
    Store,
)
from cutopt.model.layout import (
    Blank,
    Direction,
    LaidPiece,
    Layout,
    MaterialLayout,
    Split,
    blanks_of,
    least_size,
)
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.joint import Solve
from cutopt.steps.sawing_saws import kerfs
from cutopt.units import TICKS_PER_INCH, Ticks, Units

PLY = Material("ply", Kind.SHEET, Ticks(round(0.75 * TICKS_PER_INCH)))
PINE = Material("pine", Kind.BOARD, Ticks(round(0.75 * TICKS_PER_INCH)), "1x4")


def inch(value: float) -> Ticks:
    return Ticks(round(value * TICKS_PER_INCH))


@dataclass(frozen=True)
class Drawn:
    """A job and the layouts an engine might have answered."""

    job: Job
    layouts: dict[Material, tuple[LaidPiece, ...]]

    def solve(self) -> Solve:
        """The layouts, whatever reserve is asked for."""

        def answer(
            material: Material,
            length: Ticks,
            width: Ticks,
            without: frozenset[str] = frozenset(),
            draft: bool = False,
            rules: CuttingRules = NO_RULES,
            enough: int = 0,
        ) -> MaterialLayout:
            pieces = self.layouts[material]
            cost = sum(piece.stock.price_cents or 0 for piece in pieces)
            return MaterialLayout(material, pieces, cost, 0)

        return answer


SAW = st.sampled_from(
    [
        Saw("table saw", SawKind.TABLE, inch(3 / 32), rip_capacity=inch(30)),
        Saw("big table saw", SawKind.TABLE, inch(1 / 8), rip_capacity=inch(52)),
        Saw("small table saw", SawKind.TABLE, inch(1 / 8), rip_capacity=inch(12)),
        Saw("mitre saw", SawKind.MITRE, inch(1 / 8), crosscut_capacity=inch(12)),
        Saw("thin mitre saw", SawKind.MITRE, inch(1 / 16), crosscut_capacity=inch(8)),
        Saw("track saw", SawKind.TRACK, inch(5 / 64), cut_length=inch(55)),
        Saw("long track saw", SawKind.TRACK, inch(5 / 64)),
        Saw("circular saw", SawKind.CIRCULAR, inch(1 / 16), cut_length=inch(50)),
        Saw("panel saw", SawKind.PANEL, inch(1 / 8)),
        Saw("jigsaw", SawKind.JIGSAW, inch(1 / 16)),
        Saw("hand saw", SawKind.HAND, inch(1 / 32)),
    ]
)
SAWS = st.lists(SAW, max_size=4, unique_by=lambda saw: saw.name).map(tuple)


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    return Shop(
        kerf=draw(st.sampled_from([inch(1 / 8), inch(1 / 8), Ticks(0), Ticks(777)])),
        smallest_offcut=(inch(12), inch(4)),
        saws=draw(SAWS),
    )


@st.composite
def stores(draw: st.DrawFn) -> Store:
    rough = draw(st.booleans())
    return Store(
        kerf=draw(st.sampled_from([inch(1 / 8), inch(3 / 16)])),
        accuracy=draw(st.sampled_from([Ticks(0), inch(1 / 16)])),
        free_cuts=draw(st.integers(0, 4)),
        fee_per_cut_cents=draw(st.sampled_from([0, 50])),
        most_cuts=draw(st.sampled_from([None, 0, 1, 2, 4, 10])),
        smallest_piece=draw(st.sampled_from([Ticks(0), inch(6), inch(12)])),
        rough=rough,
        allowance=draw(st.sampled_from([inch(1 / 16), inch(1 / 8), inch(1 / 4)])),
        crosscuts_boards=draw(st.booleans()),
    )


def carries() -> st.SearchStrategy[Carry]:
    return st.builds(
        Carry,
        length=st.sampled_from([None, inch(40), inch(60), inch(80)]),
        width=st.sampled_from([None, inch(30), inch(44)]),
        boards=st.sampled_from([None, inch(50), inch(96)]),
    )


@st.composite
def layouts(
    draw: st.DrawFn, length: int, width: int, kerf: int, depth: int, names: list[str]
) -> Layout:
    """A slicing tree that fits length x width."""
    step = TICKS_PER_INCH // 16
    direction = draw(st.sampled_from([None, *Direction])) if depth else None
    across = length if direction is Direction.CROSSCUT else width
    pieces = draw(st.integers(2, 4))
    if direction is None or (across - kerf * (pieces - 1)) // pieces < TICKS_PER_INCH:
        full = [draw(st.booleans()) for _ in range(2)]
        names.append(f"P{len(names) + 1}")
        least = TICKS_PER_INCH // 2
        sizes = [
            size
            if flush
            else max(min(size, least), size - draw(st.integers(0, size // step)) * step)
            for size, flush in zip((length, width), full, strict=True)
        ]
        return Blank(names[-1], Ticks(sizes[0]), Ticks(sizes[1]), draw(st.booleans()))
    room = across - kerf * (pieces - 1)
    shares = [draw(st.integers(2, 8)) for _ in range(pieces)]
    total = sum(shares) + draw(st.sampled_from([0, 0, 1, 5]))
    children = []
    for share in shares:
        measure = room * share // total
        inner = (measure, width) if direction is Direction.CROSSCUT else (length, measure)
        children.append(draw(layouts(*inner, kerf, depth - 1, names)))
    return Split(direction, tuple(children))


@st.composite
def drawn_jobs(draw: st.DrawFn, *, store: bool) -> Drawn:
    """A sheet or two and a board, each with a layout that fits."""
    trim = draw(st.sampled_from([Ticks(0), inch(1 / 4), inch(1 / 16)]))
    sheet = Stock("ply 8x4", PLY, inch(96), inch(48), 5000, trim=trim)
    owned = Stock("own ply", PLY, inch(60), inch(30), 0, available=1, owned=True)
    ripped = draw(st.booleans())
    board = Stock(
        "pine 8", PINE, inch(96), inch(9.25 if ripped else 3.5), 700, trim=trim, rip=ripped
    )
    job = Job(
        "random",
        Units.INCH,
        (),
        (sheet, owned, board),
        draw(shops()),
        draw(stores()) if store else None,
        draw(carries()) if store else None,
        favour=draw(st.sampled_from(list(Favour))),
    )
    names: list[str] = []
    laid: dict[Material, tuple[LaidPiece, ...]] = {}
    kerf = kerfs(job, PLY)[0]
    laid[PLY] = tuple(
        LaidPiece(
            stock,
            draw(
                layouts(stock.length - 2 * stock.trim, stock.width - 2 * stock.trim, kerf, 3, names)
            ),
        )
        for stock in draw(st.sampled_from([(sheet,), (sheet, owned)]))
    )
    kerf = kerfs(job, PINE)[0]
    room = board.length - 2 * trim
    if board.rip:
        laid[PINE] = (LaidPiece(board, draw(layouts(room, board.width, kerf, 2, names))),)
    else:
        row: list[Blank] = []
        while room > inch(10) and len(row) < 6:
            names.append(f"P{len(names) + 1}")
            size = min(room, draw(st.sampled_from([inch(9), inch(17.5), inch(30), room])))
            row.append(Blank(names[-1], Ticks(size), board.width))
            room -= size + kerf
        laid[PINE] = (
            LaidPiece(board, row[0] if len(row) == 1 else Split(Direction.CROSSCUT, tuple(row))),
        )
    parts = []
    for material, pieces in laid.items():
        for piece in pieces:
            least = least_size(piece.layout, kerfs(job, material)[0])
            assert least[0] <= piece.stock.length - 2 * piece.stock.trim
            for blank in blanks_of(piece.layout):
                sides = (blank.length, blank.width)
                long, wide = sides[::-1] if blank.turned else sides
                parts.append(
                    Part(
                        blank.part, f"Part {blank.part}", 1, long, wide,
                        material.thickness, long, wide, material,
                    )
                )  # fmt: skip
    job = Job(
        job.name, job.units, tuple(parts), job.stock, job.shop, job.store, job.carry,
        favour=job.favour,
    )  # fmt: skip
    return Drawn(job, laid)
