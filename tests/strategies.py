"""Random jobs and random plans that can be sawn as they stand."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from handmade import REST, Sawn, Spec, Wanted, finish, grow, saw_kerf
from hypothesis import strategies as st

from cutopt.model.grade import Grade
from cutopt.model.job import (
    Budget,
    Carry,
    Cutout,
    CutoutKind,
    Edge,
    Extra,
    Favour,
    Grain,
    Job,
    Kind,
    Material,
    Pack,
    Part,
    PlanWarning,
    Saw,
    SawKind,
    Shop,
    Stock,
    Store,
)
from cutopt.model.layout import Direction
from cutopt.model.plan import (
    ANY_SAW,
    STORE_SAW,
    Cut,
    Node,
    Offer,
    PartPiece,
    Plan,
    Settings,
    StockPiece,
)
from cutopt.units import Ticks, Units, inches, millimetres

lengths = st.integers(1, 5000 * 320).map(Ticks)
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=12)
cents = st.integers(0, 10**7)
kerfs = st.sampled_from([Ticks(0), millimetres(1.6), inches(0, 3, 32), inches(0, 1, 8)])


def materials(kind: st.SearchStrategy[Kind]) -> st.SearchStrategy[Material]:
    """Give materials; only boards have a section."""
    return kind.flatmap(
        lambda kind: st.builds(
            Material,
            names,
            st.just(kind),
            lengths,
            st.none() if kind is Kind.SHEET else st.none() | names,
        )
    )


cutouts = st.builds(Cutout, st.sampled_from(CutoutKind), lengths, lengths, lengths, lengths, names)
packs = st.builds(Pack, st.integers(1, 200), st.none() | cents)
extras = st.builds(
    Extra, names, st.integers(0, 300), st.tuples(packs, packs), names, names, st.just("") | names
)
chances = st.floats(0, 1)
grades = st.builds(
    Grade, names, st.floats(0, 50), lengths, lengths, chances, lengths, lengths,
    st.none() | lengths, names,
)  # fmt: skip
saws = st.builds(Saw, names, st.sampled_from(SawKind), kerfs, *[st.none() | lengths] * 3)
shops = st.builds(Shop, kerfs, st.tuples(lengths, lengths), st.lists(saws, max_size=3).map(tuple))
stores = st.builds(
    Store,
    kerf=kerfs,
    accuracy=lengths,
    free_cuts=st.integers(0, 5),
    fee_per_cut_cents=cents,
    most_cuts=st.none() | st.integers(0, 20),
    smallest_piece=lengths,
    rough=st.booleans(),
    allowance=lengths,
    crosscuts_boards=st.booleans(),
)
cars = st.builds(Carry, *[st.none() | lengths] * 3)
bands = st.sets(st.sampled_from(Edge)).map(
    lambda edges: tuple(edge for edge in Edge if edge in edges)
)


def parts(material: st.SearchStrategy[Material]) -> st.SearchStrategy[Part]:
    """Give parts of any size and every kind of remark."""
    return st.builds(
        Part,
        id=names,
        name=names,
        qty=st.integers(1, 9),
        length=lengths,
        width=lengths,
        thickness=lengths,
        blank_length=lengths,
        blank_width=lengths,
        material=material,
        grain=st.sampled_from([Grain.LENGTH, Grain.WIDTH, Grain.ANY]),
        band=bands,
        group=names,
        extra_length=lengths,
        extra_width=lengths,
        last=st.booleans(),
        handed=st.none() | st.booleans(),
        match=names,
        knots_ok=st.booleans(),
        cutouts=st.lists(cutouts, max_size=2).map(tuple),
        note=names,
        row=st.none() | st.integers(2, 500),
    )


def stock_rows(material: st.SearchStrategy[Material]) -> st.SearchStrategy[Stock]:
    """Give stock rows of any size."""
    return st.builds(
        Stock,
        name=names,
        material=material,
        length=lengths,
        width=lengths,
        price_cents=st.none() | cents,
        available=st.none() | st.integers(0, 99),
        owned=st.booleans(),
        grain=st.sampled_from([Grain.LENGTH, Grain.NONE]),
        trim=lengths,
        rip=st.booleans(),
        grade=names,
        band=lengths,
        note=names,
    ).flatmap(lambda row: bad_spans(row.length).map(lambda bad: replace(row, bad=bad)))


def bad_spans(length: Ticks) -> st.SearchStrategy[tuple[tuple[Ticks, Ticks], ...]]:
    """Give bad spans of a board so long, apart from each other."""
    marks = st.lists(st.integers(0, length).map(Ticks), unique=True, max_size=6).map(sorted)
    return marks.map(lambda at: tuple(zip(at[::2], at[1::2], strict=False)))


warnings = st.builds(PlanWarning, st.sampled_from(["kerf", "thickness"]), names)


offers = st.builds(
    Offer,
    lumber=materials(st.just(Kind.BOARD)),
    swaps=st.lists(st.tuples(names, names), max_size=2).map(tuple),
    cost_cents=st.integers(1, 10**6),
    saving_cents=cents,
    more_rips=st.integers(-50, 50),
    least_percent=st.integers(0, 100),
    taken=st.booleans(),
)


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    """Give jobs with every field filled one way or another; not all of them can be planned."""
    kinds = materials(st.sampled_from(Kind))
    return draw(
        st.builds(
            Job,
            name=names,
            units=st.sampled_from(Units),
            parts=st.lists(parts(kinds), max_size=3).map(tuple),
            stock=st.lists(stock_rows(kinds), max_size=3, unique_by=lambda row: row.name).map(
                tuple
            ),
            shop=shops,
            store=st.none() | stores,
            carry=st.none() | cars,
            budget=st.none() | st.builds(Budget, cents, cents),
            currency=st.sampled_from(["USD", "EUR", "CHF"]),
            favour=st.sampled_from(Favour),
            extras=st.lists(extras, max_size=2).map(tuple),
            grades=st.lists(grades, max_size=2).map(tuple),
            confidence=st.none() | st.sampled_from([0.5, 0.9, 0.95, 0.999]),
            trip_cents=st.none() | cents,
            notes=st.lists(names, max_size=2).map(tuple),
            warnings=st.lists(warnings, max_size=2).map(tuple),
        )
    )


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Give plans that pass the check: random cuts first, then the parts they make.

    One to three sheets or boards; with and without trim, grain, bands, a store (rough or
    not), a car, and several saws of different kerf.
    """
    random = draw(st.randoms(use_true_random=False))
    kind = draw(st.sampled_from([Kind.SHEET, Kind.SHEET, Kind.BOARD]))
    trim = draw(st.sampled_from([Ticks(0), millimetres(5), inches(0, 1, 2)]))
    width = millimetres(random.randint(300, 1300))
    price = draw(st.none() | cents)
    stock = Stock(
        "stock",
        Material("wood", kind, millimetres(18)),
        millimetres(random.randint(1200, 2800)),
        width if kind is Kind.SHEET else Ticks(width // 5),
        price,
        grain=draw(st.sampled_from([Grain.LENGTH, Grain.NONE])),
        trim=trim,
        rip=draw(st.booleans()),
        band=draw(st.sampled_from([Ticks(0), millimetres(1)])),
    )
    named = (
        Saw("panel saw", SawKind.PANEL, millimetres(2.5)),
        Saw("track saw", SawKind.TRACK, millimetres(1.8)),
    )
    store = Store(
        inches(0, 1, 8),
        free_cuts=1,
        fee_per_cut_cents=50,
        rough=draw(st.booleans()),
        allowance=draw(st.sampled_from([inches(0, 1, 16), inches(0, 1, 4)])),
        crosscuts_boards=draw(st.booleans()),
    )
    job = replace(
        draw(jobs()),
        parts=(),
        stock=(stock,),
        shop=Shop(
            draw(kerfs),
            draw(st.sampled_from([(inches(12), inches(4)), (millimetres(60), millimetres(30))])),
            draw(st.sampled_from([(), named])),
            rip_saving=draw(st.integers(0, 100)),
        ),
        store=draw(st.sampled_from([None, store, store])),
        extras=(),
    )
    prefix = "S" if kind is Kind.SHEET else "L"
    ids = [f"{prefix}{number + 1}" for number in range(draw(st.integers(1, 3)))]
    pieces = [grow(job, stock, _RandomCuts(random, job, stock).spec(), name) for name in ids]
    job, pieces = _with_parts(random, job, pieces)
    too_large = tuple(PlanWarning("carry", f"{name} may not fit the car") for name in ids)
    plan = finish(job, pieces, warnings=too_large if job.carry else ())
    settings = Settings(draw(st.integers(0, 3)), draw(st.integers(0, 99)), job.favour)
    return replace(plan, settings=settings, offers=draw(st.lists(offers, max_size=2).map(tuple)))


class _RandomCuts:
    """Draws the cuts of one piece: the store's, then clean-up, then the rest.

    Every part is a placeholder, named for what it is once its size is known.
    """

    def __init__(self, random: Random, job: Job, stock: Stock) -> None:
        self.random, self.job, self.stock = random, job, stock
        self.has_part = False

    def spec(self) -> Spec:
        size = (self.stock.length, self.stock.width)
        raw = dict.fromkeys(("left", "right", "near", "far"), self.stock.trim)
        if self.stock.kind is Kind.BOARD:
            raw["near"] = raw["far"] = 0
        return self._at_store(size, raw, 2)

    def _at_store(self, size: tuple[int, int], take: dict[str, int], depth: int) -> Spec:
        store, board = self.job.store, self.stock.kind is Kind.BOARD
        refuses = store is None or (board and not store.crosscuts_boards)
        if refuses or depth == 0 or self.random.random() < 0.3:
            return self._cleaned(size, take)
        direction = self._direction(rips=not board)
        allowance = max(store.allowance, 1) if store.rough else 0
        crosscuts = direction is Direction.CROSSCUT
        along = size[0] if crosscuts else size[1]
        at = self.random.randint(along // 3, along // 2)
        sizes = self._halves(direction, size, at, store.kerf)
        ends = ("right", "left") if crosscuts else ("far", "near")
        sides = [
            self._at_store(half, take | {end: allowance}, depth - 1)
            for half, end in zip(sizes, ends, strict=True)
        ]
        return Sawn(direction, at, *sides, STORE_SAW)

    def _cleaned(self, size: tuple[int, int], take: dict[str, int]) -> Spec:
        """Cut what has to come off each edge, then make parts of the rest."""
        for edge, amount in take.items():
            if not amount:
                continue
            saw = self._saw()
            kerf = saw_kerf(self.job, saw)
            direction = Direction.CROSSCUT if edge in {"left", "right"} else Direction.RIP
            along = size[0] if direction is Direction.CROSSCUT else size[1]
            off = max(amount, kerf)
            inner = self._halves(direction, size, off, 0)[1]
            rest = self._cleaned(inner, take | {edge: 0})
            if edge in {"left", "near"}:
                return Sawn(direction, off - kerf, REST, rest, saw)
            return Sawn(direction, along - off, rest, REST, saw)
        return self._parted(size, 4)

    def _parted(self, size: tuple[int, int], depth: int) -> Spec:
        rips = self.stock.kind is Kind.SHEET or self.stock.rip
        direction = self._direction(rips=rips)
        along = size[0] if direction is Direction.CROSSCUT else size[1]
        if depth == 0 or along < millimetres(40) or self.random.random() < 0.25:
            return REST if self.has_part and self.random.random() < 0.2 else self._wanted()
        saw = self._saw()
        at = self.random.choice([along // 4, along // 3, along // 2])
        sizes = self._halves(direction, size, at, saw_kerf(self.job, saw))
        if self.random.random() < 0.2 and sizes[1] > sizes[0]:  # the same part twice
            return Sawn(direction, at, self._wanted(), self._twin(direction, sizes, saw), saw)
        sides = [self._parted(half, depth - 1) for half in sizes]
        return Sawn(direction, at, *sides, saw)

    def _twin(
        self, direction: Direction, sizes: tuple[tuple[int, int], tuple[int, int]], saw: str
    ) -> Spec:
        """Cut from the second side what the first is."""
        measure = sizes[0][0] if direction is Direction.CROSSCUT else sizes[0][1]
        return Sawn(direction, measure, self._wanted(), REST, saw)

    def _wanted(self) -> Spec:
        self.has_part = True
        return Wanted("", 1, turned=False)

    def _halves(
        self, direction: Direction, size: tuple[int, int], at: int, kerf: int
    ) -> tuple[tuple[int, int], tuple[int, int]]:
        length, width = size
        if direction is Direction.CROSSCUT:
            return (at, width), (length - at - kerf, width)
        return (length, at), (length, width - at - kerf)

    def _direction(self, *, rips: bool) -> Direction:
        return self.random.choice(list(Direction)) if rips else Direction.CROSSCUT

    def _saw(self) -> str:
        return self.random.choice([saw.name for saw in self.job.shop.saws] or [ANY_SAW])


def _with_parts(random: Random, job: Job, pieces: list[StockPiece]) -> tuple[Job, list[StockPiece]]:
    """Name every placeholder: equal blanks are copies of one part."""
    made: dict[tuple[int, int, bool], Part] = {}

    def named(node: Node | None) -> Node | None:
        if isinstance(node, Cut):
            return replace(node, first=named(node.first), second=named(node.second))
        if not isinstance(node, PartPiece):
            return node
        turned = random.random() < 0.3
        key = (node.length, node.width, turned)
        known = made.get(key)
        if known is None:
            known = _part(random, job.stock[0], f"P{len(made) + 1}", *key)
        made[key] = replace(known, qty=known.qty + 1)
        return replace(node, part=known.id, copy=known.qty + 1, turned=turned)

    pieces = [replace(piece, layout=named(piece.layout)) for piece in pieces]
    return replace(job, parts=tuple(made.values())), pieces


def _part(
    random: Random, stock: Stock, part_id: str, length: int, width: int, turned: bool
) -> Part:
    blank_length, blank_width = (width, length) if turned else (length, width)
    band = tuple(edge for edge in Edge if random.random() < 0.3)
    ends = sum(edge in {Edge.LEFT, Edge.RIGHT} for edge in band)
    extra = random.choice([0, 1])
    return Part(
        part_id,
        f"Part {part_id}",
        0,
        Ticks(blank_length + ends * stock.band - extra),
        Ticks(blank_width + (len(band) - ends) * stock.band),
        stock.thickness,
        Ticks(blank_length),
        Ticks(blank_width),
        stock.material,
        random.choice([Grain.ANY, Grain.WIDTH if turned else Grain.LENGTH]),
        band,
        extra_length=Ticks(extra),
    )
