"""Scenes -> one PDF, byte for byte the same from run to run."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from cutopt.draw.scene import Align, Circle, Hatch, Mark, Outline, Page, Words
from cutopt.draw.typeset import face_of, width_of


def pdf_bytes(pages: Sequence[Page], title: str) -> bytes:
    """Give the PDF of these pages. No date, path or user is in it."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setCreator("cutopt")
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        for mark in page.marks:
            _draw(canvas, mark)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Canvas, mark: Mark) -> None:
    if isinstance(mark, Words):
        _set(canvas, mark)
    elif isinstance(mark, Outline):
        _stroke(canvas, mark)
    elif isinstance(mark, Hatch):
        _hatch(canvas, mark)
    elif isinstance(mark, Circle):
        _style(canvas, mark.weight, mark.grey, mark.fill)
        canvas.circle(mark.x, mark.y, mark.radius, int(mark.weight > 0), int(mark.fill is not None))
    else:
        _style(canvas, mark.weight, 0.0, mark.fill)
        canvas.roundRect(
            mark.x, mark.y, mark.width, mark.height, mark.radius,
            int(mark.weight > 0), int(mark.fill is not None),
        )  # fmt: skip


def _style(canvas: Canvas, weight: float, grey: float, fill: float | None) -> None:
    canvas.setDash()
    canvas.setLineWidth(weight)
    canvas.setStrokeGray(grey)
    if fill is not None:
        canvas.setFillGray(fill)


def _stroke(canvas: Canvas, mark: Outline) -> None:
    _style(canvas, mark.weight, mark.grey, mark.fill)
    if mark.dash:
        canvas.setDash(list(mark.dash))
    path = canvas.beginPath()
    path.moveTo(*mark.points[0])
    for point in mark.points[1:]:
        path.lineTo(*point)
    if mark.closed:
        path.close()
    canvas.drawPath(path, stroke=int(mark.weight > 0), fill=int(mark.fill is not None))


def _hatch(canvas: Canvas, mark: Hatch) -> None:
    _style(canvas, mark.weight, mark.grey, None)
    for x0, y0, x1, y1 in hatch_lines(mark):
        canvas.line(x0, y0, x1, y1)


def hatch_lines(mark: Hatch) -> list[tuple[float, float, float, float]]:
    """Give the lines of a hatch clipped to its rectangle, anchored to the page's origin."""
    step = mark.pitch * math.sqrt(2)
    left, right, low, high = mark.x, mark.x + mark.width, mark.y, mark.y + mark.height
    lines = []
    # A line of the hatch is y = x + c with c a multiple of the step.
    for number in range(math.ceil((low - right) / step), math.floor((high - left) / step) + 1):
        c = number * step
        x0, x1 = max(left, low - c), min(right, high - c)
        if x1 - x0 > 0.05:
            lines.append((x0, x0 + c, x1, x1 + c))
    return lines


def _set(canvas: Canvas, words: Words) -> None:
    width = width_of(words.text, words.size, words.style, words.stretch)
    back = {Align.LEFT: 0.0, Align.MIDDLE: width / 2, Align.RIGHT: width}[words.align]
    canvas.setFillGray(words.grey)
    turned = words.angle != 0.0
    x, y = words.x - back, words.y
    if turned:
        canvas.saveState()
        canvas.translate(words.x, words.y)
        canvas.rotate(words.angle)
        x, y = -back, 0.0
    text = canvas.beginText(x, y)
    text.setFont(face_of(words.text, words.style), words.size)
    text.setHorizScale(100 * words.stretch)
    text.textOut(words.text)
    text.setHorizScale(100)
    canvas.drawText(text)
    if turned:
        canvas.restoreState()
