"""Plan.json back to the very plan it was written from."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from cutopt.errors import Fault, InputError
from cutopt.model.grade import Grade
from cutopt.model.job import (
    RIP_SAVING,
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
from cutopt.model.layout import Direction, LimitPrice
from cutopt.model.plan import (
    CountedPart,
    Cut,
    Maker,
    MaterialResult,
    Measure,
    Node,
    Offcut,
    Offer,
    PartPiece,
    Plan,
    Replans,
    Settings,
    Shares,
    StockPiece,
    Totals,
    Waste,
)
from cutopt.read.json_value import Document, Value, load_document
from cutopt.read.plan_openings import check_open_area, read_openings
from cutopt.units import TICKS_PER_MM, Ticks, Units

FORMAT = "cutopt-plan"
VERSION = 1
_MOST_RIPS = 1_000_000


def read_plan(path: Path) -> Plan:
    """Give the plan in a plan.json.

    Raises:
        InputError: the file cannot be read or is no plan; carries every fault with its path,
            and also what the file says twice in two ways.
    """
    document = load_document(path)
    _check_format(document)
    try:
        plan = _plan(document.top)
    except RecursionError as error:
        raise InputError([Fault("is nested too deeply", document.file)]) from error
    document.raise_faults()
    return plan


def _check_format(document: Document) -> None:
    value = document.value
    if not isinstance(value, dict) or value.get("format") != FORMAT:
        raise InputError([Fault(f'is not a plan: no "format": "{FORMAT}"', document.file)])
    if value.get("version") != VERSION:
        raise InputError(
            [
                Fault(
                    f"is a plan of version {value.get('version')}, this program reads {VERSION}",
                    document.file,
                )
            ]
        )


def _plan(top: Value) -> Plan:
    top["format"].text()
    top["version"].whole()
    job = _job(top)
    settings = top["settings"]
    read = Plan(
        job=job,
        settings=Settings(
            effort=settings["effort"].whole(),
            seed=settings["seed"].whole(),
            favour=settings["favour"].word(Favour),
        ),
        pieces=tuple(_piece(piece, job) for piece in top["pieces"].items()),
        materials=tuple(_result(result) for result in top["materials"].items()),
        totals=_totals(top["totals"]),
        warnings=_warnings(top["warnings"]),
        offers=tuple(_offer(offer) for offer in top["offers"].items()) if top.has("offers") else (),
    )
    if top.has("replans"):
        read = replace(read, replans=_replans(top["replans"]))
    settings.no_more_keys()
    top.no_more_keys()
    return read


def _replans(value: Value) -> Replans:
    replans = Replans(
        plan=value["plan"].text(),
        file=value["file"].text(),
        made=tuple(_counted(one) for one in value["made"].items()),
        spoiled=tuple(_counted(one) for one in value["spoiled"].items()),
        changed=tuple(piece.text() for piece in value["changed"].items()),
        sheets=value["sheets"].whole(),
        boards=value["boards"].whole(),
        fewest=value["fewest"].flag() if value.has("fewest") else False,
    )
    value.no_more_keys()
    return replans


def _counted(value: Value) -> CountedPart:
    counted = CountedPart(
        part=value["part"].text(),
        name=value["name"].text(),
        of=value["of"].whole(1),
        numbers=tuple(number.whole(1) for number in value["numbers"].items()),
    )
    value.no_more_keys()
    return counted


def _job(top: Value) -> Job:
    head = top["job"]
    job = Job(
        name=head["name"].text(),
        units=head["units"].word(Units),
        parts=tuple(_part(part) for part in top["parts"].items()),
        stock=tuple(_stock(row) for row in top["stock"].items()),
        shop=_shop(top["shop"]),
        store=top["store"].or_none(_store),
        carry=top["carry"].or_none(_carry),
        budget=head["budget"].or_none(_budget),
        currency=head["currency"].text(),
        favour=head["favour"].word(Favour),
        extras=tuple(_extra(extra) for extra in top["extras"].items()),
        notes=tuple(note.text() for note in head["notes"].items()),
        warnings=_warnings(head["warnings"]),
        confidence=float(head["confidence"].number()) if head.has("confidence") else None,
        openings=read_openings(top["openings"]) if top.has("openings") else (),
        trip_cents=head["trip"].money() if head.has("trip") else None,
        grades=tuple(_grade(grade) for grade in head["grades"].items())
        if head.has("grades")
        else (),
    )
    head.no_more_keys()
    return job


def _grade(value: Value) -> Grade:
    def measures(key: str) -> tuple[Ticks, Ticks]:
        pair = value[key].pair()
        return (Ticks(0), Ticks(0)) if pair is None else (pair[0].length(), pair[1].length())

    span, end = measures("span"), measures("end")
    grade = Grade(
        name=value["grade"].text(),
        bad_per_metre=float(value["per_metre"].number()),
        span_from=span[0],
        span_to=span[1],
        end_chance=value["end_chance"].share(),
        end_from=end[0],
        end_to=end[1],
        straight=value["straight"].or_none(Value.length),
        note=value["note"].text(),
    )
    value.no_more_keys()
    return grade


def _warnings(values: Value) -> tuple[PlanWarning, ...]:
    warnings = []
    for value in values.items():
        warnings.append(PlanWarning(value["about"].text(), value["text"].text()))
        value.no_more_keys()
    return tuple(warnings)


def _offer(value: Value) -> Offer:
    value["text"].text()  # says what the others hold
    offer = Offer(
        Material(
            value["material"].text(),
            Kind.BOARD,
            value["thickness"].length(),
            value["section"].or_none(Value.text),
        ),
        tuple(_swap(swap) for swap in value["swaps"].items()),
        value["cost"].money(),
        value["saving"].money(),
        value["more_rips"].whole(least=-_MOST_RIPS),
        value["least_percent"].whole(),
        taken=value["taken"].flag(),
        from_sheets=tuple(_copies_of(one) for one in value["from_sheets"].items())
        if value.has("from_sheets")
        else (),
    )
    value.no_more_keys()
    return offer


def _copies_of(value: Value) -> tuple[str, int]:
    copies = (value["part"].text(), value["qty"].whole(1))
    value.no_more_keys()
    return copies


def _swap(value: Value) -> tuple[str, str]:
    swap = (value["section"].text(), value["out_of"].text())
    value.no_more_keys()
    return swap


def _budget(value: Value) -> Budget | None:
    pair = value.pair()
    return None if pair is None else Budget(pair[0].money(), pair[1].money())


def _shop(value: Value) -> Shop:
    kerf = value["kerf"].length()
    sizes = value["smallest_offcut"].pair()
    saws = tuple(_saw(saw) for saw in value["saws"].items())
    stages = value["stages"].whole(least=1) if value.has("stages") else None
    rip_saving = value["rip_saving"].whole() if value.has("rip_saving") else RIP_SAVING
    value.no_more_keys()
    smallest = (Ticks(0), Ticks(0)) if sizes is None else (sizes[0].length(), sizes[1].length())
    return Shop(kerf, smallest, saws, stages, rip_saving)


def _saw(value: Value) -> Saw:
    saw = Saw(
        name=value["name"].text(),
        kind=value["kind"].word(SawKind),
        kerf=value["kerf"].length(),
        rip_capacity=value["rip_capacity"].or_none(Value.length),
        crosscut_capacity=value["crosscut_capacity"].or_none(Value.length),
        cut_length=value["cut_length"].or_none(Value.length),
    )
    value.no_more_keys()
    return saw


def _store(value: Value) -> Store:
    store = Store(
        kerf=value["kerf"].length(),
        accuracy=value["accuracy"].length(),
        free_cuts=value["free_cuts"].whole(),
        fee_per_cut_cents=value["fee_per_cut"].money(),
        most_cuts=value["most_cuts"].or_none(Value.whole),
        smallest_piece=value["smallest_piece"].length(),
        rough=value["rough"].flag(),
        allowance=value["allowance"].length(),
        crosscuts_boards=value["crosscuts_boards"].flag(),
    )
    value.no_more_keys()
    return store


def _carry(value: Value) -> Carry:
    carry = Carry(
        length=value["length"].or_none(Value.length),
        width=value["width"].or_none(Value.length),
        boards=value["boards"].or_none(Value.length),
    )
    value.no_more_keys()
    return carry


def _material(value: Value, thickness_key: str) -> Material:
    return Material(
        name=value["material"].text(),
        kind=value["kind"].word(Kind),
        thickness=value[thickness_key].length(),
        section=value["section"].or_none(Value.text),
    )


def _stock(value: Value) -> Stock:
    row = Stock(
        name=value["stock"].text(),
        material=_material(value, "thickness"),
        length=value["length"].length(),
        width=value["width"].length(),
        price_cents=value["price"].or_none(Value.money),
        available=value["available"].or_none(Value.whole),
        owned=value["owned"].flag(),
        grain=value["grain"].word(Grain),
        trim=value["trim"].length(),
        rip=value["rip"].flag(),
        grade=value["grade"].text(),
        band=value["band"].length(),
        note=value["note"].text(),
    )
    if value.has("bad"):
        row = replace(row, bad=_bad(value["bad"], row.length))
    if value.has("edges"):
        edges = [edge.length() for edge in value["edges"].items()]
        if value["edges"].should_be("four lengths", len(edges) == 4):
            row = replace(row, edges=(edges[0], edges[1], edges[2], edges[3]))
    value.no_more_keys()
    return row


def _bad(value: Value, length: Ticks) -> tuple[tuple[Ticks, Ticks], ...]:
    """Give the bad spans of a board so long."""
    spans = []
    past = -1
    for item in value.items():
        pair = item.pair()
        if pair is None:
            continue
        start, end = pair[0].length(), pair[1].length()
        wanted = "from-to, after the one before and inside the board"
        if item.should_be(wanted, past < start < end <= length):
            spans.append((start, end))
            past = end
    return tuple(spans)


def _part(value: Value) -> Part:
    part = Part(
        id=value["id"].text(),
        name=value["name"].text(),
        qty=value["qty"].whole(1),
        length=value["length"].length(),
        width=value["width"].length(),
        thickness=value["thickness"].length(),
        blank_length=value["blank_length"].length(),
        blank_width=value["blank_width"].length(),
        material=_material(value, "stock_thickness"),
        grain=value["grain"].word(Grain),
        band=tuple(edge.word(Edge) for edge in value["band"].items()),
        group=value["group"].text(),
        extra_length=value["extra_length"].length(),
        extra_width=value["extra_width"].length(),
        last=value["last"].flag(),
        handed=value["handed"].or_none(Value.flag),
        match=value["match"].text(),
        knots_ok=value["knots_ok"].flag(),
        cutouts=tuple(_cutout(cutout) for cutout in value["cutouts"].items()),
        note=value["note"].text(),
        row=value["row"].or_none(Value.whole),
        numbers=tuple(number.whole(1) for number in value["numbers"].items())
        if value.has("numbers")
        else (),
        of=value["of"].whole(1) if value.has("of") else 0,
    )
    check_open_area(value, part)
    if part.numbers:
        value["numbers"].should_be("a number for each copy", len(part.numbers) == part.qty)
    value.no_more_keys()
    return part


def _cutout(value: Value) -> Cutout:
    cutout = Cutout(
        kind=value["kind"].word(CutoutKind),
        length=value["length"].length(),
        width=value["width"].length(),
        from_left=value["from_left"].length(),
        from_front=value["from_front"].length(),
        note=value["note"].text(),
    )
    value.no_more_keys()
    return cutout


def _extra(value: Value) -> Extra:
    packs = []
    for pack in value["packs"].items():
        packs.append(Pack(pack["size"].whole(1), pack["price"].or_none(Value.money)))
        pack.no_more_keys()
    extra = Extra(
        item=value["item"].text(),
        qty=value["qty"].whole(),
        packs=tuple(packs),
        group=value["group"].text(),
        note=value["note"].text(),
        spare_of=value["spare_of"].text() if value.has("spare_of") else "",
    )
    value.no_more_keys()
    return extra


def _piece(value: Value, job: Job) -> StockPiece:
    name = value["stock"]
    rows = [row for row in job.stock if row.name == name.text()]
    name.should_be("the name of one row of the stock list", len(rows) == 1)
    row = rows[0] if rows else _NO_STOCK
    repeated: tuple[tuple[str, object, object], ...] = (
        ("kind", value["kind"].word(Kind), row.kind),
        ("material", value["material"].text(), row.material.name),
        ("length", value["length"].length(), row.length),
        ("width", value["width"].length(), row.width),
        ("thickness", value["thickness"].length(), row.thickness),
        ("price", value["price"].or_none(Value.money), row.price_cents),
        ("owned", value["owned"].flag(), row.owned),
        ("grain", value["grain"].word(Grain), row.grain),
    )
    if rows:
        for key, said, listed in repeated:
            value[key].agrees(said, listed, f"{row.name} in the stock list")
    piece = StockPiece(value["id"].text(), row, _node(value["layout"]))
    value.no_more_keys()
    return piece


_NO_STOCK = Stock("", Material("", Kind.SHEET, Ticks(0)), Ticks(0), Ticks(0))


def _node(value: Value) -> Node:
    """Give a cut, a part or a leftover."""
    kind = value["kind"]
    length, width = value["length"].length(), value["width"].length()
    node: Node = Waste(length, width)
    match kind.text():
        case "cut":
            node = Cut(
                length=length,
                width=width,
                direction=value["direction"].word(Direction),
                at=value["at"].length(),
                kerf=value["kerf"].length(),
                by=value["by"].word(Maker),
                saw=value["saw"].text(),
                step=value["step"].whole(1),
                first=value["first"].or_none(_node),
                second=value["second"].or_none(_node),
            )
        case "part":
            node = PartPiece(
                length=length,
                width=width,
                part=value["part"].text(),
                copy=value["copy"].whole(1),
                turned=value["turned"].flag(),
                label=value["label"].text(),
            )
        case "offcut":
            node = Offcut(length, width, value["id"].text(), value["label"].text())
        case "waste":
            pass
        case _:
            kind.fault("should be one of cut, part, offcut, waste")
            return node
    value.no_more_keys()
    return node


def _result(value: Value) -> MaterialResult:
    shares, exact, measure = value["shares"], value["exact"], value["measure"].word(Measure)
    result = MaterialResult(
        material=_material(value, "thickness"),
        measure=measure,
        cost=exact["cost"].whole(),
        lower_bound=exact["lower_bound"].whole(),
        bought=value["bought"].whole(),
        owned_used=value["owned_used"].whole(),
        shares=Shares(
            parts=shares["parts"].share(),
            offcuts=shares["offcuts"].share(),
            kerf=shares["kerf"].share(),
            waste=shares["waste"].share(),
        ),
        why=value["why"].text(),
        next_best=value["next_best"].text(),
        limits=tuple(_limit(one, measure) for one in value["limits"].items())
        if value.has("limits")
        else (),
    )
    for key, cost in (("cost", result.cost), ("lower_bound", result.lower_bound)):
        stated, said = value[key], value[key].number()
        stated.agrees(abs(said - _cost(cost, measure)) <= _SIX_DECIMALS, True, f"exact.{key}")
    value["proven"].agrees(value["proven"].flag(), result.proven, "cost and bound")
    for inner in (shares, exact, value):
        inner.no_more_keys()
    return result


def _limit(value: Value, measure: Measure) -> LimitPrice:
    value["text"].text()  # says what the others hold
    exact = value["exact"]
    price = LimitPrice(
        limit=value["limit"].text(),
        pieces=value["pieces"].whole(least=-_MOST),
        cost=exact["cost"].whole(least=-_MOST),
        fees_cents=exact["store_fees"].whole(least=-_MOST),
        exact=not value["at_least"].flag(),
    )
    costs = (
        ("cost", _cost(price.cost, measure)),
        ("store_fees", _cost(price.fees_cents, Measure.PRICE)),
    )
    for key, cost in costs:
        stated = value[key]
        stated.agrees(abs(stated.number() - cost) <= _SIX_DECIMALS, True, f"exact.{key}")
    for inner in (exact, value):
        inner.no_more_keys()
    return price


_SIX_DECIMALS = Decimal("0.000001")

_MOST = 10**18
"""More than a limit can save or add, in any measure."""


def _cost(cost: int, measure: Measure) -> Decimal:
    """Give a cost in currency, square metres or metres."""
    ticks_per_metre = 1000 * TICKS_PER_MM
    match measure:
        case Measure.PRICE:
            return Decimal(cost) / 100
        case Measure.AREA:
            return Decimal(cost) / ticks_per_metre**2
        case Measure.LENGTH:
            return Decimal(cost) / ticks_per_metre


def _totals(value: Value) -> Totals:
    totals = Totals(
        stock_cents=value["stock"].money(),
        store_fees_cents=value["store_fees"].money(),
        extras_cents=value["extras"].money(),
        unpriced=value["unpriced"].flag(),
        store_cuts=value["store_cuts"].whole(),
        shop_cuts=value["shop_cuts"].whole(),
    )
    together = value["grand_total"]
    together.agrees(together.money(), totals.grand_total_cents, "stock, store fees and extras")
    value.no_more_keys()
    return totals
