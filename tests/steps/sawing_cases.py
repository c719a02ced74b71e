"""Small jobs in millimetres for the sawing tests, and their trees in words."""

from __future__ import annotations

from collections.abc import Sequence

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
from cutopt.model.layout import Blank, Direction, LaidPiece, Layout, MaterialLayout, Split
from cutopt.model.plan import Plan, Settings
from cutopt.solve.params import NO_RULES, CuttingRules
from cutopt.steps.joint import saw_job
from cutopt.steps.summary import summarise
from cutopt.units import Ticks, Units, millimetres

MDF = Material("mdf", Kind.SHEET, millimetres(18))
FIR = Material("fir", Kind.BOARD, millimetres(38), "2x4")
SHEET = Stock("mdf sheet", MDF, millimetres(2440), millimetres(1220), 4000)
BOARD = Stock("fir board", FIR, millimetres(3000), millimetres(90), 600)

TABLE = Saw("table saw", SawKind.TABLE, millimetres(3), rip_capacity=millimetres(600))
MITRE = Saw("mitre saw", SawKind.MITRE, millimetres(2), crosscut_capacity=millimetres(300))
TRACK = Saw("track saw", SawKind.TRACK, millimetres(2), cut_length=millimetres(1400))
HAND = Saw("hand saw", SawKind.HAND, millimetres(1))


def mm(value: float) -> Ticks:
    return millimetres(value)


def blank(name: str, length: float, width: float, *, turned: bool = False) -> Blank:
    return Blank(name, mm(length), mm(width), turned)


def columns(*children: Layout) -> Split:
    """Side by side along the length of the stock, parted by crosscuts."""
    return Split(Direction.CROSSCUT, children)


def strips(*children: Layout) -> Split:
    """Side by side across the stock, parted by rips."""
    return Split(Direction.RIP, children)


def store(**keys: object) -> Store:
    """A store with a kerf of 3 mm that asks nothing unless told otherwise."""
    return Store(**({"kerf": mm(3)} | keys))  # type: ignore[arg-type]


def job_of(
    layouts: Sequence[tuple[Stock, Layout]],
    saws: Sequence[Saw] = (),
    *,
    kerf: float = 3,
    store: Store | None = None,
    carry: Carry | None = None,
    favour: Favour = Favour.OFFCUTS,
) -> Job:
    """A job whose parts are just the blanks of these layouts, one name one part."""
    sizes: dict[str, tuple[Ticks, Ticks, Material]] = {}
    count: dict[str, int] = {}

    def gather(layout: Layout, material: Material) -> None:
        if isinstance(layout, Split):
            for child in layout.children:
                gather(child, material)
            return
        lies = (layout.length, layout.width)
        sizes[layout.part] = (*(lies[::-1] if layout.turned else lies), material)
        count[layout.part] = count.get(layout.part, 0) + 1

    for stock, layout in layouts:
        gather(layout, stock.material)
    parts = tuple(
        Part(name, name, count[name], length, width, material.thickness, length, width, material)
        for name, (length, width, material) in sizes.items()
    )
    rows = tuple(dict.fromkeys(stock for stock, _ in layouts))
    shop = Shop(mm(kerf), (mm(300), mm(100)), tuple(saws))
    return Job("case", Units.MM, parts, rows, shop, store, carry, favour=favour)


def plan_of(
    layouts: Sequence[tuple[Stock, Layout]], saws: Sequence[Saw] = (), **keys: object
) -> Plan:
    """The job of ``job_of`` sawn, whatever room the layouts are asked to leave."""
    job = job_of(layouts, saws, **keys)  # type: ignore[arg-type]

    def solve(
        material: Material,
        length: Ticks,
        width: Ticks,
        without: frozenset[str] = frozenset(),
        draft: bool = False,
        rules: CuttingRules = NO_RULES,
        enough: int = 0,
    ) -> MaterialLayout:
        pieces = tuple(LaidPiece(*laid) for laid in layouts if laid[0].material == material)
        return MaterialLayout(material, pieces, sum(p.stock.price_cents or 0 for p in pieces), 0)

    return summarise(job, Settings(favour=job.favour), saw_job(job, solve))
