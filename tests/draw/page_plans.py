"""Plans built by hand for the tests of store and shop pages: trees written as they are sawn."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

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
            return PartPiece(
                Ticks(length), Ticks(width), found.id, self.copies[found.id], turned
            )

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
        self, direction: Direction, pieces: Iterable[tuple[float, Builder]], rest: Builder | None = None
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
        parts = tuple(
            replace(part, qty=self.copies[part.id]) for part in self.parts.values()
        )
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
        "cutouts": (Cutout(CutoutKind.NOTCH, b.ticks(5.5), b.ticks(0.75), b.ticks(0), b.ticks(14.5)),),
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
    supports = b.crosscut(14, b.row(Direction.RIP, [(4, b.part("Seat support"))] * 3, b.part("Seat support")))
    c = b.crosscut(0, None, b.rip(16.375, supports, b.keep("S1-a")))
    s1 = b.sheet("birch ply", "S1", 96, 48,
                 b.store_crosscut(78.25, b.store_rip(30.75, a, bb), c))  # fmt: skip
    shelf = b.row(Direction.RIP, [(14.5, b.part("Shelf"))] * 2)
    s2 = b.sheet("birch ply", "S2", 96, 48, b.store_crosscut(
        58.75,
        b.store_rip(30.75, b.crosscut(58, shelf), b.rip(16, b.part("Top"))),
        b.store_rip(30.75, b.store_crosscut(19.375, b.part("Door"), b.rip(30, b.part("Door, long"))),
                    b.keep("S2-a")),
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
    c = b.rip(409.6, b.crosscut(355, b.row(Direction.RIP, [(100, b.part("Seat support"))] * 3,
                                           b.part("Seat support", key="last"))), b.keep("S1-a"))  # fmt: skip
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
