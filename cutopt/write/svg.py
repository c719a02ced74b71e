"""One scene -> one SVG."""

from __future__ import annotations

from xml.sax.saxutils import escape

from cutopt.draw.scene import Align, Circle, Hatch, Mark, Outline, Page, Rounded, Style, Words
from cutopt.draw.typeset import width_of
from cutopt.write.pdf import hatch_lines

_ANCHORS = {Align.LEFT: "start", Align.MIDDLE: "middle", Align.RIGHT: "end"}


def svg_text(page: Page, *, inline: bool = False) -> str:
    """Give the page as an SVG document, sizes in points; ``inline``: as wide as what it is in."""
    body = "\n".join(_element(mark, page.height) for mark in page.marks)
    width, height = _number(page.width), _number(page.height)
    size = 'role="img"' if inline else f'width="{width}pt" height="{height}pt"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" xml:space="preserve" {size} '
        f'viewBox="0 0 {width} {height}" '
        "font-family=\"Helvetica, Arial, 'DejaVu Sans', sans-serif\">\n"
        f"<title>{escape(page.name)}</title>\n"
        f'<rect width="{width}" height="{height}" fill="#fff"/>\n{body}\n</svg>\n'
    )


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _colour(grey: float) -> str:
    level = round(grey * 255)
    return f"#{level:02x}{level:02x}{level:02x}"


def _paint(weight: float, grey: float, fill: float | None, dash: tuple[float, ...] = ()) -> str:
    text = f'fill="{"none" if fill is None else _colour(fill)}"'
    if weight > 0:
        text += f' stroke="{_colour(grey)}" stroke-width="{_number(weight)}"'
    if dash:
        text += f' stroke-dasharray="{" ".join(_number(d) for d in dash)}"'
    return text


def _element(mark: Mark, height: float) -> str:
    if isinstance(mark, Words):
        return _words(mark, height)
    if isinstance(mark, Outline):
        points = " ".join(f"{_number(x)},{_number(height - y)}" for x, y in mark.points)
        kind = "polygon" if mark.closed else "polyline"
        paint = _paint(mark.weight, mark.grey, mark.fill, mark.dash)
        return f'<{kind} points="{points}" {paint}/>'
    if isinstance(mark, Circle):
        paint = _paint(mark.weight, mark.grey, mark.fill)
        x, y = _number(mark.x), _number(height - mark.y)
        return f'<circle cx="{x}" cy="{y}" r="{_number(mark.radius)}" {paint}/>'
    if isinstance(mark, Rounded):
        paint = _paint(mark.weight, 0.0, mark.fill)
        x, y = _number(mark.x), _number(height - mark.y - mark.height)
        return (
            f'<rect x="{x}" y="{y}" width="{_number(mark.width)}" '
            f'height="{_number(mark.height)}" rx="{_number(mark.radius)}" {paint}/>'
        )
    return _hatching(mark, height)


def _hatching(mark: Hatch, height: float) -> str:
    path = "".join(
        f"M{_number(x0)} {_number(height - y0)}L{_number(x1)} {_number(height - y1)}"
        for x0, y0, x1, y1 in hatch_lines(mark)
    )
    return f'<path d="{path}" {_paint(mark.weight, mark.grey, None)}/>'


def _words(mark: Words, height: float) -> str:
    x, y = _number(mark.x), _number(height - mark.y)
    condensed = mark.stretch != 1.0
    moved = f"translate({x} {y})" if condensed else ""
    if condensed:
        x = y = "0"
    text = f'<text x="{x}" y="{y}" font-size="{_number(mark.size)}" fill="{_colour(mark.grey)}"'
    if mark.style is Style.BOLD:
        text += ' font-weight="bold"'
    if mark.style is Style.ITALIC:
        text += ' font-style="italic"'
    if mark.align is not Align.LEFT:
        text += f' text-anchor="{_ANCHORS[mark.align]}"'
    turned = f"rotate({_number(-mark.angle)} {x} {y})" if mark.angle else ""
    if condensed:
        # Scaled, since not all that show SVG know textLength; that holds the width in any font.
        width = width_of(mark.text, mark.size, mark.style)
        text += f' textLength="{_number(width)}" lengthAdjust="spacingAndGlyphs"'
    squeezed = f"scale({mark.stretch:.4f} 1)" if condensed else ""
    transform = " ".join(step for step in (moved, turned, squeezed) if step)
    if transform:
        text += f' transform="{transform}"'
    return f"{text}>{escape(mark.text)}</text>"
