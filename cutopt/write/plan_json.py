"""A plan as plan.json: all that drawings, labels, lists and a later replanning need.

Lengths are millimetres (1 tick = 0.003125 mm, so six decimals are exact), money is in whole
currency units. The format is fixed by ``cutopt/data/plan.schema.json``.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from cutopt.model.grade import Grade
from cutopt.model.job import (
    RIP_SAVING,
    Budget,
    Carry,
    Cutout,
    Extra,
    Job,
    Material,
    Part,
    PlanWarning,
    Saw,
    Shop,
    Stock,
    Store,
)
from cutopt.model.plan import (
    CountedPart,
    Cut,
    MaterialResult,
    Measure,
    Node,
    Offcut,
    Offer,
    PartPiece,
    Plan,
    Replans,
    StockPiece,
    Totals,
)
from cutopt.read.plan_json import FORMAT, VERSION
from cutopt.steps.limits import limit_words
from cutopt.steps.offers import offer_words
from cutopt.units import TICKS_PER_MM, to_mm
from cutopt.write.atomic import write_text
from cutopt.write.plan_openings import open_area_of, openings_of

_LINE = 100

Json = str | int | float | bool | None | list["Json"] | dict[str, "Json"]


def write_plan(plan: Plan, path: Path) -> None:
    """Write a plan's plan.json in one step.

    Raises:
        OSError: the place cannot be written.
    """
    write_text(path, plan_to_json(plan))


def plan_to_json(plan: Plan) -> str:
    """Give the text of plan.json; equal plans give equal texts."""
    job = plan.job
    data: dict[str, Json] = {
        "format": FORMAT,
        "version": VERSION,
        "job": _job(job),
        "settings": {
            "effort": plan.settings.effort,
            "seed": plan.settings.seed,
            "favour": plan.settings.favour.value,
        },
        "warnings": [_warning(warning) for warning in plan.warnings],
        "shop": _shop(job.shop),
        "store": None if job.store is None else _store(job.store),
        "carry": None if job.carry is None else _carry(job.carry),
        "stock": [_stock(row) for row in job.stock],
        "parts": [_part(part) for part in job.parts],
        "extras": [_extra(extra) for extra in job.extras],
        "pieces": [_piece(piece) for piece in plan.pieces],
        "materials": [_result(plan.job, result) for result in plan.materials],
        "totals": _totals(plan.totals),
    }
    if job.openings:
        data["openings"] = openings_of(plan)
    if plan.offers:
        data["offers"] = [_offer(offer, job.currency) for offer in plan.offers]
    if plan.replans is not None:
        data["replans"] = _replans(plan.replans)
    return _lay_out(data, "") + "\n"


def plan_mark(text: str) -> str:
    """Give the mark of a plan.json text: six letters that tell pages of two plans apart."""
    number = int.from_bytes(hashlib.sha256(text.encode()).digest())
    letters = ""
    for _ in range(6):
        number, letter = divmod(number, 26)
        letters += chr(ord("A") + letter)
    return letters


def _lay_out(value: Json, margin: str) -> str:
    """Give a value on one line where it is short, else an entry a line."""
    line = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if len(margin) + len(line) <= _LINE or not isinstance(value, (dict, list)):
        return line
    inner = margin + " "
    if isinstance(value, dict):
        entries = [
            f"{json.dumps(key, ensure_ascii=False)}: {_lay_out(item, inner)}"
            for key, item in value.items()
        ]
        opening, closing = "{", "}"
    else:
        entries = [_lay_out(item, inner) for item in value]
        opening, closing = "[", "]"
    return f"{opening}\n{inner}" + f",\n{inner}".join(entries) + f"\n{margin}{closing}"


def _length(ticks: int | None) -> float | None:
    return None if ticks is None else to_mm(ticks)


def _money(cents: int | None) -> float | None:
    return None if cents is None else cents / 100


def _warning(warning: PlanWarning) -> dict[str, Json]:
    return {"about": warning.about, "text": warning.text}


def _job(job: Job) -> dict[str, Json]:
    return {
        "name": job.name,
        "units": job.units.value,
        "currency": job.currency,
        "budget": _budget(job.budget),
        "favour": job.favour.value,
        "notes": list(job.notes),
        "warnings": [_warning(warning) for warning in job.warnings],
        **({} if job.confidence is None else {"confidence": job.confidence}),
        **({} if job.trip_cents is None else {"trip": _money(job.trip_cents)}),
        **({} if not job.grades else {"grades": [_grade(grade) for grade in job.grades]}),
    }


def _grade(grade: Grade) -> dict[str, Json]:
    return {
        "grade": grade.name,
        "per_metre": grade.bad_per_metre,
        "span": [_length(grade.span_from), _length(grade.span_to)],
        "end_chance": grade.end_chance,
        "end": [_length(grade.end_from), _length(grade.end_to)],
        "straight": _length(grade.straight),
        "note": grade.note,
    }


def _budget(budget: Budget | None) -> Json:
    return None if budget is None else [_money(budget.low_cents), _money(budget.high_cents)]


def _shop(shop: Shop) -> dict[str, Json]:
    stages: dict[str, Json] = {} if shop.stages is None else {"stages": shop.stages}
    if shop.rip_saving != RIP_SAVING:
        stages["rip_saving"] = shop.rip_saving
    return {
        "kerf": _length(shop.kerf),
        "smallest_offcut": [_length(size) for size in shop.smallest_offcut],
        **stages,
        "saws": [_saw(saw) for saw in shop.saws],
    }


def _saw(saw: Saw) -> dict[str, Json]:
    return {
        "name": saw.name,
        "kind": saw.kind.value,
        "kerf": _length(saw.kerf),
        "rip_capacity": _length(saw.rip_capacity),
        "crosscut_capacity": _length(saw.crosscut_capacity),
        "cut_length": _length(saw.cut_length),
    }


def _store(store: Store) -> dict[str, Json]:
    return {
        "kerf": _length(store.kerf),
        "accuracy": _length(store.accuracy),
        "free_cuts": store.free_cuts,
        "fee_per_cut": _money(store.fee_per_cut_cents),
        "most_cuts": store.most_cuts,
        "smallest_piece": _length(store.smallest_piece),
        "rough": store.rough,
        "allowance": _length(store.allowance),
        "crosscuts_boards": store.crosscuts_boards,
    }


def _carry(carry: Carry) -> dict[str, Json]:
    return {
        "length": _length(carry.length),
        "width": _length(carry.width),
        "boards": _length(carry.boards),
    }


def _stock(row: Stock) -> dict[str, Json]:
    spans: list[Json] = [[_length(start), _length(end)] for start, end in row.bad]
    bad: dict[str, Json] = {"bad": spans} if spans else {}
    if row.edges is not None:
        bad["edges"] = [_length(edge) for edge in row.edges]
    return {
        "stock": row.name,
        "kind": row.kind.value,
        "material": row.material.name,
        "length": _length(row.length),
        "width": _length(row.width),
        "thickness": _length(row.thickness),
        "section": row.material.section,
        "price": _money(row.price_cents),
        "available": row.available,
        "owned": row.owned,
        "grain": row.grain.value,
        "trim": _length(row.trim),
        "rip": row.rip,
        "grade": row.grade,
        "band": _length(row.band),
        "note": row.note,
        **bad,
    }


def _part(part: Part) -> dict[str, Json]:
    return {
        "id": part.id,
        "name": part.name,
        "qty": part.qty,
        "length": _length(part.length),
        "width": _length(part.width),
        "thickness": _length(part.thickness),
        "blank_length": _length(part.blank_length),
        "blank_width": _length(part.blank_width),
        **_material(part.material, "stock_thickness"),
        "grain": part.grain.value,
        "band": [edge.value for edge in part.band],
        "group": part.group,
        "extra_length": _length(part.extra_length),
        "extra_width": _length(part.extra_width),
        "last": part.last,
        "handed": part.handed,
        "match": part.match,
        "knots_ok": part.knots_ok,
        "cutouts": [_cutout(cutout) for cutout in part.cutouts],
        **open_area_of(part),
        "note": part.note,
        "row": part.row,
        **({"numbers": list(part.numbers), "of": part.of} if part.numbers else {}),
    }


def _material(material: Material, thickness_key: str) -> dict[str, Json]:
    return {
        "material": material.name,
        "kind": material.kind.value,
        thickness_key: _length(material.thickness),
        "section": material.section,
    }


def _cutout(cutout: Cutout) -> dict[str, Json]:
    return {
        "kind": cutout.kind.value,
        "length": _length(cutout.length),
        "width": _length(cutout.width),
        "from_left": _length(cutout.from_left),
        "from_front": _length(cutout.from_front),
        "note": cutout.note,
    }


def _extra(extra: Extra) -> dict[str, Json]:
    return {
        "item": extra.item,
        "qty": extra.qty,
        "packs": [{"size": pack.size, "price": _money(pack.price_cents)} for pack in extra.packs],
        "group": extra.group,
        "note": extra.note,
        **({"spare_of": extra.spare_of} if extra.spare_of else {}),
    }


def _piece(piece: StockPiece) -> dict[str, Json]:
    stock = piece.stock
    return {
        "id": piece.id,
        "stock": stock.name,
        "kind": stock.kind.value,
        "material": stock.material.name,
        "length": _length(stock.length),
        "width": _length(stock.width),
        "thickness": _length(stock.thickness),
        "price": _money(stock.price_cents),
        "owned": stock.owned,
        "grain": stock.grain.value,
        "layout": _node(piece.layout),
    }


def _node(node: Node) -> dict[str, Json]:
    size: dict[str, Json] = {"length": _length(node.length), "width": _length(node.width)}
    if isinstance(node, Cut):
        return {
            "kind": "cut",
            **size,
            "direction": node.direction.value,
            "at": _length(node.at),
            "kerf": _length(node.kerf),
            "by": node.by.value,
            "saw": node.saw,
            "step": node.step,
            "first": None if node.first is None else _node(node.first),
            "second": None if node.second is None else _node(node.second),
        }
    if isinstance(node, PartPiece):
        return {
            "kind": "part",
            **size,
            "part": node.part,
            "copy": node.copy,
            "turned": node.turned,
            "label": node.label,
        }
    if isinstance(node, Offcut):
        return {"kind": "offcut", **size, "id": node.id, "label": node.label}
    return {"kind": "waste", **size}


def _result(job: Job, result: MaterialResult) -> dict[str, Json]:
    data: dict[str, Json] = {
        **_material(result.material, "thickness"),
        "measure": result.measure.value,
        "cost": _cost(result.cost, result.measure),
        "lower_bound": _cost(result.lower_bound, result.measure),
        # Cents, square ticks or ticks: six decimals of a square metre are not exact.
        "exact": {"cost": result.cost, "lower_bound": result.lower_bound},
        "proven": result.proven,
        "bought": result.bought,
        "owned_used": result.owned_used,
        "shares": {
            "parts": result.shares.parts,
            "offcuts": result.shares.offcuts,
            "kerf": result.shares.kerf,
            "waste": result.shares.waste,
        },
        "why": result.why,
        "next_best": result.next_best,
    }
    if result.limits:
        data["limits"] = [
            {
                "limit": price.limit,
                "text": text,
                "pieces": price.pieces,
                "cost": _cost(price.cost, result.measure),
                "store_fees": _money(price.fees_cents),
                "exact": {"cost": price.cost, "store_fees": price.fees_cents},
                "at_least": not price.exact,
            }
            for price, text in zip(result.limits, limit_words(job, result), strict=True)
        ]
    return data


def _offer(offer: Offer, currency: str) -> dict[str, Json]:
    data: dict[str, Json] = {
        "text": offer_words(offer, currency),
        "material": offer.lumber.name,
        "thickness": _length(offer.lumber.thickness),
        "section": offer.lumber.section,
        "swaps": [{"section": narrow, "out_of": wide} for narrow, wide in offer.swaps],
        "cost": _money(offer.cost_cents),
        "saving": _money(offer.saving_cents),
        "more_rips": offer.more_rips,
        "least_percent": offer.least_percent,
        "taken": offer.taken,
    }
    if offer.from_sheets:
        data["from_sheets"] = [{"part": part, "qty": qty} for part, qty in offer.from_sheets]
    return data


def _replans(replans: Replans) -> dict[str, Json]:
    return {
        "plan": replans.plan,
        "file": replans.file,
        "made": [_counted(one) for one in replans.made],
        "spoiled": [_counted(one) for one in replans.spoiled],
        "changed": list(replans.changed),
        "sheets": replans.sheets,
        "boards": replans.boards,
        "fewest": replans.fewest,
    }


def _counted(one: CountedPart) -> dict[str, Json]:
    return {"part": one.part, "name": one.name, "of": one.of, "numbers": list(one.numbers)}


def _cost(cost: int, measure: Measure) -> float:
    """Give a cost in currency, square metres or metres, to six decimals."""
    if measure is Measure.PRICE:
        return cost / 100
    ticks_per_metre = 1000 * TICKS_PER_MM
    if measure is Measure.LENGTH:
        return round(cost / ticks_per_metre, 6)
    return round(cost / ticks_per_metre**2, 6)


def _totals(totals: Totals) -> dict[str, Json]:
    return {
        "stock": _money(totals.stock_cents),
        "store_fees": _money(totals.store_fees_cents),
        "extras": _money(totals.extras_cents),
        "grand_total": _money(totals.grand_total_cents),
        "unpriced": totals.unpriced,
        "store_cuts": totals.store_cuts,
        "shop_cuts": totals.shop_cuts,
    }
