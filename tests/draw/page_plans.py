"""Plans built by hand for the tests of store and shop pages: trees written as they are sawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from random import Random

from cutopt.draw.frame import Look, Paper
from cutopt.model.job import (
    Cutout,
    CutoutKind,
    Edge,
    Grain,
    Job,
    Kind,
    Material,
    Part,
    Shop,
    Stock,
    Store,
)
from cutopt.model.layout import Direction
from cutopt.model.plan import (
    ANY_SAW,
    STORE_SAW,
    Cut,
    Maker,
    Node,
    Offcut,
    PartPiece,
    Plan,
    Settings,
    StockPiece,
    Totals,
    Waste,
)
from cutopt.units import TICKS_PER_INCH, TICKS_PER_MM, Ticks, Units

Builder = Callable[[int, int], Node]


@dataclass
class Bench:
    """Builds trees in one unit, and notes the parts that come out of them."""

    units: Units = Units.INCH
    kerf: float = 0.125
    parts: dict[str, Part] = field(default_factory=dict)
    copies: dict[str, int] = field(default_factory=dict)
    offcuts: int = 0
    more: dict[str, dict[str, object]] = field(default_factory=dict)
    material: Material | None = None

    def ticks(self, value: float) -> Ticks:
        per = TICKS_PER_INCH if self.units is Units.INCH else TICKS_PER_MM
        return Ticks(round(value * per))

    def part(self, name: str, *, turned: bool = False, key: str = "") -> Builder:
        """A blank as large as the piece it comes from."""

        def build(length: int, width: int) -> Node:
            own, across = (width, length) if turned else (length, width)
            name_key = f"{key or name}/{own}x{across}"
            if name_key not in self.parts:
                assert self.material is not None
                self.parts[name_key] = replace(
                    Part(
                        f"P{len(self.parts) + 1}", name, 1, Ticks(own), Ticks(across),
                        self.material.thickness, Ticks(own), Ticks(across), self.material,
                    ),
                    **self.more.get(name, {}),
                )  # fmt: skip
            found = self.parts[name_key]
            self.copies[found.id] = self.copies.get(found.id, 0) + 1
            return PartPiece(Ticks(length), Ticks(width), found.id, self.copies[found.id], turned)

        return build

    def keep(self, name: str) -> Builder:
        return lambda length, width: Offcut(Ticks(length), Ticks(width), name)

    def cut(
        self,
        direction: Direction,
        at: float,
        first: Builder | None,
        second: Builder | None = None,
        *,
        store: bool = False,
    ) -> Builder:
        def build(length: int, width: int) -> Node:
            whole = length if direction is Direction.CROSSCUT else width
            near = self.ticks(at)
            removed = min(self.ticks(self.kerf), whole - near)
            far = whole - near - removed
            assert near >= 0
            assert removed >= 0, (at, whole)

            def side(builder: Builder | None, size: int) -> Node | None:
                if size <= 0:
                    return None
                piece = (size, width) if direction is Direction.CROSSCUT else (length, size)
                return builder(*piece) if builder else Waste(Ticks(piece[0]), Ticks(piece[1]))

            return Cut(
                Ticks(length), Ticks(width), direction, near, Ticks(removed),
                Maker.STORE if store else Maker.SHOP, STORE_SAW if store else ANY_SAW, 0,
                side(first, near), side(second, far),
            )  # fmt: skip

        return build

    def rip(self, at: float, first: Builder | None, second: Builder | None = None) -> Builder:
        return self.cut(Direction.RIP, at, first, second)

    def crosscut(self, at: float, first: Builder | None, second: Builder | None = None) -> Builder:
        return self.cut(Direction.CROSSCUT, at, first, second)

    def store_rip(self, at: float, first: Builder | None, second: Builder | None = None) -> Builder:
        return self.cut(Direction.RIP, at, first, second, store=True)

    def store_crosscut(
        self, at: float, first: Builder | None, second: Builder | None = None
    ) -> Builder:
        return self.cut(Direction.CROSSCUT, at, first, second, store=True)

    def row(
        self,
        direction: Direction,
        pieces: Iterable[tuple[float, Builder]],
        rest: Builder | None = None,
    ) -> Builder:
        """Cut pieces one after another from the reference edge."""
        builder = rest
        for at, piece in reversed(list(pieces)):
            builder = self.cut(direction, at, piece, builder)
        assert builder is not None
        return builder

    def sheet(self, name: str, piece_id: str, length: float, width: float, tree: Builder,
              **more: object) -> StockPiece:  # fmt: skip
        thick = self.ticks(0.75 if self.units is Units.INCH else 18)
        kind = more.pop("kind", Kind.SHEET)
        section = more.pop("section", None)
        self.material = Material(name, kind, thick, section)  # type: ignore[arg-type]
        stock = replace(
            Stock(name, self.material, self.ticks(length), self.ticks(width), 6800,
                  grain=Grain.LENGTH),
            **more,
        )  # fmt: skip
        return StockPiece(piece_id, stock, _numbered(tree(stock.length, stock.width)))

    def plan(self, name: str, *pieces: StockPiece, store: Store | None = None) -> Plan:
        parts = tuple(replace(part, qty=self.copies[part.id]) for part in self.parts.values())
        stock = tuple(dict.fromkeys(piece.stock for piece in pieces))
        job = Job(name, self.units, parts, stock, Shop(kerf=self.ticks(self.kerf)), store)
        cuts = [cut for piece in pieces for cut in piece.cuts()]
        made = sum(cut.by is Maker.STORE for cut in cuts)
        return Plan(job, Settings(), pieces, (), Totals(0, 0, 0, False, made, len(cuts) - made))


def _numbered(root: Node) -> Node:
    """Number the cuts: the store's before all others, parents before what they part."""
    order: list[tuple[bool, tuple[int, ...]]] = []

    def gather(node: Node | None, path: tuple[int, ...]) -> None:
        if isinstance(node, Cut):
            order.append((node.by is not Maker.STORE, path))
            gather(node.first, (*path, 0))
            gather(node.second, (*path, 1))

    gather(root, ())
    step = {path: number for number, (_, path) in enumerate(sorted(order, key=lambda o: o[0]), 1)}

    def renumber(node: Node | None, path: tuple[int, ...]) -> Node | None:
        if not isinstance(node, Cut):
            return node
        return replace(
            node, step=step[path],
            first=renumber(node.first, (*path, 0)), second=renumber(node.second, (*path, 1)),
        )  # fmt: skip

    numbered = renumber(root, ())
    assert numbered is not None
    return numbered


def look(plan: Plan, paper: Paper = Paper.LETTER) -> Look:
    return Look(plan.job.name, plan.job.units, paper, "K7QF3M")


def store(bench: Bench, **more: object) -> Store:
    eighth = bench.ticks(0.125 if bench.units is Units.INCH else 3)
    return replace(
        Store(eighth, accuracy=eighth, free_cuts=3, fee_per_cut_cents=100, rough=True,
              allowance=eighth), **more,
    )  # fmt: skip


def locker() -> Plan:
    """A mudroom locker (invented): two sheets cut at the store and a panel cut at home."""
    b = Bench()
    b.more["Side"] = {
        "band": (Edge.FRONT,), "grain": Grain.LENGTH,
        "cutouts": (
            Cutout(CutoutKind.NOTCH, b.ticks(5.5), b.ticks(0.75), Ticks(0), b.ticks(14.5)),
        ),
    }  # fmt: skip
    b.more["Divider"] = {"band": (Edge.FRONT,), "grain": Grain.LENGTH}
    b.more["Seat"] = {
        "grain": Grain.LENGTH,
        "cutouts": (
            Cutout(CutoutKind.ROUNDED_CORNER, b.ticks(2), b.ticks(2), b.ticks(0), b.ticks(0)),
            Cutout(CutoutKind.ROUNDED_CORNER, b.ticks(2), b.ticks(2), b.ticks(58), b.ticks(0)),
            Cutout(CutoutKind.OPENING, b.ticks(12), b.ticks(4), b.ticks(24), b.ticks(6)),
        ),
    }  # fmt: skip
    side = 15 + 7 / 32
    a = b.crosscut(78, b.rip(side, b.part("Side"), b.rip(side, b.part("Side"))))
    cleats = b.row(Direction.CROSSCUT, [(14, b.part("Cleat"))] * 5)
    dividers = b.row(Direction.CROSSCUT, [(38, b.part("Divider"))] * 2)
    bb = b.rip(0, None, b.rip(side, dividers, b.rip(1.5, cleats)))
    supports = b.crosscut(
        14, b.row(Direction.RIP, [(4, b.part("Seat support"))] * 3, b.part("Seat support"))
    )
    c = b.crosscut(0, None, b.rip(16.375, supports, b.keep("S1-a")))
    s1 = b.sheet("birch ply", "S1", 96, 48,
                 b.store_crosscut(78.25, b.store_rip(30.75, a, bb), c))  # fmt: skip
    shelf = b.row(Direction.RIP, [(14.5, b.part("Shelf"))] * 2)
    s2 = b.sheet("birch ply", "S2", 96, 48, b.store_crosscut(
        58.75,
        b.store_rip(30.75, b.crosscut(58, shelf), b.rip(16, b.part("Top"))),
        b.store_rip(
            30.75,
            b.store_crosscut(19.375, b.part("Door"), b.rip(30, b.part("Door, long"))),
            b.keep("S2-a"),
        ),
    ))  # fmt: skip
    g1 = b.sheet("pine panel", "G1", 72, 20,
                 b.crosscut(60, b.rip(16.5, b.part("Seat")), b.keep("G1-a")))  # fmt: skip
    return b.plan("Mudroom locker (invented)", s1, s2, g1, store=store(b))


def locker_mm() -> Plan:
    """The same kind of job in millimetres, with exact store edges and halves of millimetres."""
    b = Bench(Units.MM, 3.2)
    b.more["Side panel of the tall left cupboard unit"] = {"band": (Edge.FRONT, Edge.BACK)}
    side = "Side panel of the tall left cupboard unit"
    a = b.crosscut(1980, b.rip(387.5, b.part(side), b.rip(387.5, b.part(side))))
    strip = b.row(Direction.CROSSCUT, [(355, b.part("Cleat"))] * 5)
    bb = b.rip(387.5, b.row(Direction.CROSSCUT, [(965, b.part("Divider"))] * 2), b.rip(35, strip))
    supports = b.row(
        Direction.RIP, [(100, b.part("Seat support"))] * 3, b.part("Seat support", key="last")
    )
    c = b.rip(409.6, b.crosscut(355, supports), b.keep("S1-a"))
    s1 = b.sheet("Birch ply", "S1", 2440, 1220,
                 b.store_crosscut(1986, b.store_rip(785.5, a, bb), c))  # fmt: skip
    return b.plan("Mudroom locker (invented)", s1, store=store(b, rough=False))


def chest() -> Plan:
    """A parts chest (invented): 71 small parts on one sheet, slivers among them."""
    b = Bench()
    b.more["Top"] = {"band": (Edge.FRONT,), "grain": Grain.LENGTH}
    b.more["Drawer front"] = {"band": (Edge.FRONT,), "grain": Grain.LENGTH}
    cross = Direction.CROSSCUT
    low = b.rip(7.875, b.part("Divider, tall"))
    divider = b.crosscut(11.25, low)
    _ = divider
    first = b.row(cross, [(42, b.part("Top"))] + [(11.25, low)] * 3)
    end = b.rip(5, b.part("Divider, short"))
    second = b.row(cross, [(11.25, b.part("Divider, tall"))] * 5 + [(7.875, end)] * 3)
    pull = b.row(Direction.RIP, [(1.5, b.part("Pull blank"))] * 3)
    third = b.row(cross, [(11.75, b.part("Drawer front"))] * 6 + [(4, pull)] * 2)
    fourth = b.row(cross, [(7.875, b.part("Divider, short"))] * 5
                   + [(9.5, b.rip(3, b.part("Tray end")))] * 4)  # fmt: skip
    fifth = b.row(cross, [(17.5, b.part("Drawer side"))] * 5)
    sixth = b.row(cross, [(17.5, b.part("Drawer side"))] * 2 + [(11, b.part("Drawer back"))] * 5)
    seventh = b.row(cross, [(42, b.part("Plinth"))] + [(4, b.rip(1.5, b.part("Pull blank")))] * 3)
    runners = b.row(cross, [(17, b.part("Runner"))] * 5)
    stops = b.row(cross, [(17, b.part("Runner"))] * 2 + [(3, b.part("Stop"))] * 10)
    tree = b.row(Direction.RIP, [
        (11.25, first), (7.875, second), (5.5, third), (5, fourth), (4.75, fifth), (4.75, sixth),
        (2.5, seventh), (0.75, runners), (0.75, runners), (0.75, stops),
    ])  # fmt: skip
    return b.plan("Parts chest (invented)", b.sheet("birch ply", "S3", 96, 48, tree))


LONG = "Left hand upper drawer front, 2nd of two"


def one_part() -> Plan:
    """A single part as large as its sheet."""
    b = Bench()
    return b.plan("One (invented)", b.sheet("hardboard", "S1", 48, 24, b.part("Back")))


def long_names() -> Plan:
    """Names of forty letters in wide, narrow and thin parts."""
    b = Bench()
    assert len(LONG) == 40
    cross, rip = Direction.CROSSCUT, Direction.RIP
    tree = b.row(rip, [
        (11, b.row(cross, [(wide, b.part(LONG)) for wide in (20, 6, 3, 30)])),
        (2, b.row(cross, [(40, b.part(LONG)), (10, b.part(LONG))])),
        (0.75, b.row(cross, [(40, b.part(LONG)), (10, b.part(LONG))])),
        (20, b.row(cross, [(3, b.part(LONG, turned=True)), (30, b.part(LONG)), (1, b.part(LONG))],
                   b.keep("S1-a"))),
    ])  # fmt: skip
    stock = f"{LONG} plywood"
    return b.plan(f"{LONG} (invented job)", b.sheet(stock, "S1", 96, 48, tree))


def crowd(columns: int = 8, rows: int = 9, *, units: Units = Units.INCH, kinds: int = 30,
          varied: bool = True) -> Plan:  # fmt: skip
    """A sheet with many small parts of many kinds, cut in columns."""
    b = Bench(units, 0.125 if units is Units.INCH else 3.2)
    unit = 1.0 if units is Units.INCH else 25.4
    wide, high = (96 * unit - 1) / columns - b.kerf, (48 * unit - 1) / rows - b.kerf
    number = 0
    stacks = []
    for column in range(columns):
        rips = []
        for row in range(rows):
            number += 1
            cut = high - (row % 3) * unit * 0.25 * varied
            rips.append(
                (cut, b.part(f"Piece {number % kinds} of the set", key=str(number % kinds)))
            )
        stacks.append((wide, b.row(Direction.RIP, rips)))
        _ = column
    tree = b.row(Direction.CROSSCUT, stacks)
    return b.plan("Many (invented)", b.sheet("birch ply", "S1", 96 * unit, 48 * unit, tree))


def strips(count: int = 30) -> Plan:
    """Nothing but thin strips, ripped from the full length."""
    b = Bench()
    tree = b.row(Direction.RIP, [(1.25, b.part("Slat"))] * count)
    turned = b.row(Direction.CROSSCUT, [(0.75, b.part("Lath", turned=True))] * 20, b.keep("S2-a"))
    return b.plan("Slats (invented)", b.sheet("poplar ply", "S1", 96, 48, tree),
                  b.sheet("poplar ply", "S2", 60, 60, turned))  # fmt: skip


def alike() -> Plan:
    """Four sheets cut alike, three cut alike at the store only, and a board each way."""
    b = Bench()

    def tree(keep: str) -> Builder:
        return b.store_crosscut(
            48, b.store_rip(23.9375, b.rip(20, b.part("Shelf")), b.part("Back")), b.keep(keep)
        )

    sheets = [b.sheet("birch ply", f"S{n}", 96, 48, tree(f"S{n}-a")) for n in range(1, 5)]
    others = [
        b.sheet("birch ply", f"S{n}", 96, 48, b.store_rip(
            24, b.crosscut(40 + n, b.part(f"Door {n}")), b.keep(f"S{n}-a")))
        for n in range(5, 8)
    ]  # fmt: skip
    boards = [
        b.sheet("pine", f"L{n}", 120, 3.5, b.store_crosscut(
            70 + n // 3, b.crosscut(60, b.part("Rail")), b.part(f"Stile {n // 3}")),
            kind=Kind.BOARD, section="1x4")
        for n in range(1, 6)
    ]  # fmt: skip
    left = b.sheet("pine", "L9", 120, 3.5, b.crosscut(60, b.part("Rail")), kind=Kind.BOARD,
                   section="1x4")  # fmt: skip
    return b.plan("Alike (invented)", *sheets, *others, *boards, left,
                  store=store(b, crosscuts_boards=True))  # fmt: skip


def ripped_boards(count: int = 5, *, units: Units = Units.INCH) -> Plan:
    """Boards that are ripped, each otherwise, and a sheet before them."""
    b = Bench(units=units, kerf=0.125 if units is Units.INCH else 3.2)
    size = 1.0 if units is Units.INCH else 25.0
    sheet = b.sheet("ply", "S1", 96 * size, 48 * size, b.rip(20 * size, b.part("Shelf")))
    boards = [
        b.sheet("pine", f"L{n}", 96 * size, 7.25 * size, b.crosscut(
            (40 + n) * size, b.rip(3.5 * size, b.part(f"Rail {n}"), b.part(f"Slat {n}")),
            b.keep(f"L{n}-a")), kind=Kind.BOARD, section="1x8")
        for n in range(1, count + 1)
    ]  # fmt: skip
    return b.plan("Ripped (invented)", sheet, *boards)


def many_store_cuts() -> Plan:
    """Ten cuts at the store, nested, with a strip too thin for its letter and waste."""
    b = Bench()
    p = b.part
    tree = b.store_crosscut(
        60,
        b.store_rip(
            30,
            b.store_crosscut(30, b.store_rip(14, p("A"), p("B")), b.store_rip(8, p("C"), p("D"))),
            b.store_crosscut(20, p("E"), b.store_rip(2, p("F"), b.store_rip(1, p("G"), p("H")))),
        ),
        b.store_rip(12, b.store_crosscut(12, p("I"), p("J")), b.store_rip(30, p("K"))),
    )
    square = b.store_rip(
        30, b.store_crosscut(20, p("L"), p("M")), b.store_crosscut(45, p("N"), p("O"))
    )
    return b.plan(
        "Panels (invented)",
        b.sheet("birch ply", "S1", 96, 48, tree),
        b.sheet("baltic birch", "S2", 60, 60, square),
        b.sheet(
            "tall one", "S3", 48, 96, b.store_rip(50, b.store_crosscut(20, p("P"), p("Q")), p("R"))
        ),
        store=store(b, rough=False, free_cuts=0),
    )


def random_plan(seed: int, *, units: Units = Units.INCH) -> Plan:
    """Two sheets cut at random, to the store's saw down to some depth, some of it waste."""
    random = Random(seed)
    b = Bench(units, 0.125 if units is Units.INCH else 3.2)
    unit = 1.0 if units is Units.INCH else 25.4
    names = ("Side", "Top", "Drawer front, wide", LONG, "Rail", "Back of the upper cabinet")
    b.more[LONG] = {"band": (Edge.FRONT, Edge.LEFT)}
    least = random.choice((0.75, 3.0, 6.0)) * unit

    store_depth = 4

    def tree(length: float, width: float, depth: int, *, store: bool) -> Builder | None:
        """Build for a piece a little over this size; leaves take what is left."""
        crosscut = random.random() < length / (length + width)
        whole = length if crosscut else width
        if depth == 0 or whole < 2.5 * least or random.random() < 0.12:
            kind = random.random()
            if kind < 0.12 and not store:
                return None
            if kind < 0.2:
                return b.keep(f"S{random.randrange(1, 3)}-{random.choice('abc')}")
            return b.part(random.choice(names), turned=random.random() < 0.3)
        at = round(random.uniform(least, whole - least) * 8) / 8
        goes_on = store and depth > store_depth and random.random() < 0.8
        rest = whole - at - b.kerf
        sizes = ((at, width), (rest, width)) if crosscut else ((length, at), (length, rest))
        first, second = (tree(*size, depth - 1, store=goes_on) for size in sizes)
        direction = Direction.CROSSCUT if crosscut else Direction.RIP
        return b.cut(direction, at, first, second, store=store)

    sheets = []
    for number in (1, 2):
        size = random.choice(((96, 48), (60, 60), (48, 96), (72, 20)))
        length, width = size[0] * unit, size[1] * unit
        depth = random.randrange(2, 8)
        at_store = random.random() < 0.8
        built = tree(length, width, depth, store=at_store) or b.part("Top")
        sheets.append(b.sheet("birch ply", f"S{number}", length, width, built))
    return b.plan("Random (invented)", *sheets, store=store(b, rough=bool(seed % 2)))


ALL = (
    locker,
    locker_mm,
    chest,
    one_part,
    long_names,
    crowd,
    strips,
    alike,
    many_store_cuts,
    ripped_boards,
)
