"""A plan as one page for the phone: lists with ticks that stay, drawings, no network.

Everything that comes from a job is escaped where it enters the page, and the page allows
itself nothing but its own style and script, by their fingerprints.

Source: Content Security Policy Level 3, W3C, section 2.3 (hash sources).
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup, escape

from cutopt.draw.documents import Document
from cutopt.draw.frame import Look, in_units
from cutopt.draw.lines import line_of
from cutopt.draw.scene import Page
from cutopt.draw.store_sketch import store_sketch
from cutopt.draw.tally import box_every, box_words
from cutopt.draw.typeset import Length
from cutopt.model.job import Kind
from cutopt.model.plan import Plan
from cutopt.steps.boards import board_sections
from cutopt.steps.buy import budget_words, buy_list
from cutopt.steps.cautions import board_cautions, buy_cautions, saw_cautions, tick_cautions
from cutopt.steps.materials import material_words
from cutopt.steps.money import format_amount, format_money
from cutopt.steps.phrase import Phrase, plain
from cutopt.steps.setups import visits
from cutopt.steps.store import StoreCut, fee_words, store_sheets, uncut_words
from cutopt.steps.ticks import tick_groups
from cutopt.units import Units, format_length, split_inches
from cutopt.write.svg import svg_text

MOST_BOXES = 24
"""Boxes of one line of a set-up; where it has more passes, a box stands for ten or more."""


def phone_html(plan: Plan, look: Look, documents: Iterable[Document]) -> str:
    """Give the page of a plan as HTML.

    Args:
        plan: what to show.
        look: its units and the mark that ticks are kept under.
        documents: the printed pages, whose drawings of sheets and boards are shown too.
    """
    plan = in_units(plan, look)
    job, units = plan.job, look.units
    shop = [page for document in documents if document.name == "shop" for page in document.pages]
    buy, walk = buy_list(plan), visits(plan)
    page = _environment(units, job.currency).from_string(_asset("phone.html.jinja"))
    return page.render(
        job=job,
        mark=look.mark,
        buy=buy,
        budget=budget_words(buy),
        warnings=[warning.text for warning in plan.warnings],
        store=[
            (sheet, store_sketch(sheet, units) if sheet.stock.kind is Kind.SHEET else None)
            for sheet in store_sheets(plan)
        ],
        uncut=uncut_words(plan),
        visits=walk,
        boards=board_sections(plan),
        groups=tick_groups(plan),
        shop_pages=[page for page in shop if page.name.startswith("shop")],
        board_pages=[page for page in shop if page.name.startswith("boards")],
        cautions_buy=buy_cautions(plan),
        cautions_saws=saw_cautions(walk) if walk else (),
        cautions_boards=board_cautions(),
        cautions_parts=tick_cautions(),
        style=_asset("phone.css"),
        script=_asset("phone.js"),
    )


def _asset(name: str) -> str:
    return (files("cutopt") / "data" / name).read_text(encoding="utf-8")


def _environment(units: Units, currency: str) -> Environment:
    """Give the template language with our words for lengths, money and drawings."""
    environment = Environment(
        autoescape=True, trim_blocks=True, lstrip_blocks=True, undefined=StrictUndefined
    )

    def say(phrase: Phrase | str) -> Markup:
        line = line_of((phrase,) if isinstance(phrase, str) else phrase, units)
        return Markup("").join(_piece(piece, units) for piece in _pieces(line))

    def text(phrase: Phrase) -> str:
        return plain(phrase, lambda length: format_length(length, units))

    environment.filters.update(
        say=say,
        text=text,
        money=lambda cents: format_money(cents, currency),
        amount=format_amount,
        material=lambda material: say(material_words(material)),
        fee=fee_words,
        results=_results,
        every=lambda count: box_every(count, MOST_BOXES),
        box_words=box_words,
        svg=_svg,
        fingerprint=_fingerprint,
    )
    return environment


def _pieces(line: str | tuple[str | Length, ...]) -> tuple[str | Length, ...]:
    return (line,) if isinstance(line, str) else line


def _piece(piece: str | Length, units: Units) -> Markup:
    """Give a word escaped, or a length with its fraction set small."""
    if isinstance(piece, str):
        return escape(piece)
    if units is Units.MM or piece.ticks < 0:
        return escape(format_length(piece.ticks, units, unit_mark=piece.mark))
    whole, top, bottom = split_inches(piece.ticks)
    mark = '"' if piece.mark else ""
    if not top:
        return escape(f"{whole}{mark}")
    before = f"{whole}\N{NARROW NO-BREAK SPACE}" if whole else ""
    return Markup(
        '{}<span class="numerator">{}</span>\N{FRACTION SLASH}<span class="denominator">{}</span>{}'
    ).format(before, top, bottom, mark)


def _results(cut: StoreCut) -> str:
    """Give what comes of a store cut: "AB + C"."""
    sides = [side for side in (cut.first, cut.second) if side is not None]
    return " + ".join(side.letters or "waste" for side in sides)


def _svg(page: Page) -> Markup:
    """Give a drawing as an element of the page; ``svg_text`` has escaped its words."""
    return Markup(svg_text(page, inline=True))  # noqa: S704


def _fingerprint(text: str) -> str:
    digest = hashlib.sha256(text.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"
