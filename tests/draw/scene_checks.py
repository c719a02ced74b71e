"""Checks that hold for every page: words inside, apart and large enough; golden texts."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from cutopt.draw.frame import FOOT, field_of
from cutopt.draw.scene import (
    BLACK,
    DARK,
    LIGHT,
    MIDDLE,
    WHITE,
    Align,
    Circle,
    Drawing,
    Hatch,
    Outline,
    Page,
    Rounded,
    Words,
)
from cutopt.draw.store_letters import LEAST
from cutopt.draw.typeset import SMALLEST, width_of

SMALLEST_TYPE = 6.5
GOLDEN = Path(__file__).parent.parent / "golden"

# Of the size: what capitals and figures reach above the baseline, what descenders hang below.
# Helvetica's own metrics: cap height 0.718, descender 0.207.
ABOVE = 0.718
BELOW = 0.207
WITH_DESCENDERS = set("gjpqy,;()Qçµ|/@[]{}")

# Runs of one line touch; rounding must not count as an overlap.
TOUCH = 0.4


@dataclass(frozen=True)
class WordBox:
    """The ink of one run of words: its four corners, anticlockwise."""

    text: str
    size: float
    corners: tuple[tuple[float, float], ...]


def word_box(words: Words) -> WordBox:
    width = width_of(words.text, words.size, words.style, words.stretch)
    start = {Align.LEFT: 0.0, Align.MIDDLE: -width / 2, Align.RIGHT: -width}[words.align]
    low = -BELOW * words.size if WITH_DESCENDERS & set(words.text) else 0.0
    high = ABOVE * words.size
    angle = math.radians(words.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    corners = tuple(
        (words.x + px * cos - py * sin, words.y + px * sin + py * cos)
        for px, py in ((start, low), (start + width, low), (start + width, high), (start, high))
    )
    return WordBox(words.text, words.size, corners)


def word_boxes(page: Page | Drawing) -> list[WordBox]:
    return [word_box(mark) for mark in page.marks if isinstance(mark, Words) and mark.text.strip()]


def overlap(one: WordBox, other: WordBox) -> float:
    """Give how deep two boxes overlap in points, 0 or less where they are apart.

    Separating axes of convex shapes: boxes are apart where one axis shows a gap.
    """
    depth = math.inf
    for shape in (one, other):
        for (x0, y0), (x1, y1) in zip(
            shape.corners, shape.corners[1:] + shape.corners[:1], strict=True
        ):
            span = math.hypot(x1 - x0, y1 - y0)
            if span == 0:
                continue
            nx, ny = (y0 - y1) / span, (x1 - x0) / span
            first = [x * nx + y * ny for x, y in one.corners]
            second = [x * nx + y * ny for x, y in other.corners]
            depth = min(depth, min(max(first), max(second)) - max(min(first), min(second)))
            if depth <= 0:
                return depth
    return depth


def overlapping_words(page: Page | Drawing) -> list[tuple[str, str]]:
    boxes = sorted(word_boxes(page), key=lambda b: min(y for _, y in b.corners))
    found = []
    for number, one in enumerate(boxes):
        top = max(y for _, y in one.corners)
        for other in boxes[number + 1 :]:
            if min(y for _, y in other.corners) > top:
                break
            if overlap(one, other) > TOUCH:
                found.append((one.text, other.text))
    return found


def words_outside(page: Page | Drawing, margin: float = 4.0) -> list[str]:
    return [
        box.text
        for box in word_boxes(page)
        if any(
            not (margin <= x <= page.width - margin and margin <= y <= page.height - margin)
            for x, y in box.corners
        )
    ]


def words_too_small(page: Page | Drawing) -> list[str]:
    """Give words under the smallest type; the figures of a diagonal fraction are exempt."""
    return [
        box.text
        for box in word_boxes(page)
        if box.size < SMALLEST_TYPE - 1e-6 and not box.text.isdigit()
    ] + [box.text for box in word_boxes(page) if box.size < 9.0 * 0.68 - 1e-6]


def marks_outside(page: Page | Drawing) -> list[object]:
    """Give strokes, circles, tags and hatches that leave the paper."""
    found: list[object] = []
    for mark in page.marks:
        match mark:
            case Outline():
                corners = mark.points
            case Circle():
                corners = (
                    (mark.x - mark.radius, mark.y - mark.radius),
                    (mark.x + mark.radius, mark.y + mark.radius),
                )
            case Rounded() | Hatch():
                corners = (
                    (mark.x, mark.y),
                    (mark.x + mark.width, mark.y + mark.height),
                )
            case _:
                continue
        if any(not (0 <= x <= page.width and 0 <= y <= page.height) for x, y in corners):
            found.append(mark)
    return found


def other_greys(page: Page | Drawing) -> set[float]:
    """Give greys that are not black, white or one of the three greys of ink."""
    used = {getattr(mark, side, None) for mark in page.marks for side in ("grey", "fill")}
    return {grey for grey in used if grey is not None} - {BLACK, DARK, MIDDLE, LIGHT, WHITE}


def words_too_small_for_the_store(page: Page | Drawing) -> list[str]:
    """Words under the store's least size; tape figures, foot, head and fractions are apart."""
    head = page.height - 60
    return [
        mark.text
        for mark in page.marks
        if isinstance(mark, Words)
        and mark.size != SMALLEST
        and mark.y < head
        and mark.size < (LEAST * 0.68 if mark.text.isdigit() else LEAST * 0.9) - 1e-6
    ]


def assert_readable(pages: list[Drawing] | list[Page]) -> None:
    """Fail where words leave the page, lie on one another or are too small to read."""
    assert pages
    names = [page.name for page in pages]
    assert len(set(names)) == len(names), names
    for page in pages:
        assert words_outside(page) == [], page.name
        assert overlapping_words(page) == [], page.name
        assert words_too_small(page) == [], page.name
        assert marks_outside(page) == [], page.name
        assert other_greys(page) == set(), page.name


def assert_framed(pages: list[Drawing]) -> None:
    """Fail where content of a framed page hangs into its foot, or words cannot be read."""
    assert_readable(pages)
    for page in pages:
        bottom = field_of(page).bottom
        hanging = [
            mark.text
            for mark in page.marks
            if isinstance(mark, Words) and mark.y < bottom - 2 and mark.y != FOOT
        ]
        assert hanging == [], page.name
        low = [
            mark.points
            for mark in page.marks
            if isinstance(mark, Outline) and any(FOOT + 8 < y < bottom - 6 for _, y in mark.points)
        ]
        assert low == [], page.name


def texts(page: Page | Drawing) -> list[str]:
    return [mark.text for mark in page.marks if isinstance(mark, Words)]


def words_in_order(page: Page | Drawing) -> str:
    """Give a page's words line by line, runs of one line joined, as a reader meets them."""
    lines: dict[int, list[tuple[float, str]]] = {}
    for mark in page.marks:
        if isinstance(mark, Words):
            left = min(x for x, _ in word_box(mark).corners)
            lines.setdefault(round(-mark.y), []).append((left, mark.text))
    return "\n".join(" ".join(text for _, text in sorted(lines[at])) for at in sorted(lines))


def golden_text(page: Page | Drawing) -> str:
    """Give one line a run of words, from the top, positions rounded to a point."""
    rows = sorted(
        (round(page.height - mark.y), round(mark.x), mark.text, mark.size)
        for mark in page.marks
        if isinstance(mark, Words)
    )
    return "".join(f"{y:4d} {x:4d} {size:5.1f}  {text}\n" for y, x, text, size in rows)


def assert_golden(page: Page | Drawing, name: str) -> None:
    """Compare a page with its golden text; CUTOPT_WRITE_GOLDEN=1 writes it anew."""
    path = GOLDEN / f"{name}.txt"
    found = golden_text(page)
    if os.environ.get("CUTOPT_WRITE_GOLDEN") == "1":
        path.parent.mkdir(exist_ok=True)
        path.write_text(found, encoding="utf-8")
    assert path.read_text(encoding="utf-8") == found


def squares(page: Page | Drawing, side: float) -> int:
    """Count the boxes of that side: closed squares with a white inside."""
    count = 0
    for mark in page.marks:
        if isinstance(mark, Outline) and mark.closed and mark.fill == 1.0 and len(mark.points) == 4:
            (x0, y0), _, (x1, y1), _ = mark.points
            count += abs(x1 - x0 - side) < 1e-6 and abs(y1 - y0 - side) < 1e-6
    return count


def lines_as_set(page: Page | Drawing) -> list[str]:
    """Give the lines of a page as they were set: runs that touch make one line.

    The raised figures of a fraction follow their whole number with a hyphen: ``93-1/8``.
    """
    lines: list[str] = []
    end, baseline = -1e9, -1e9
    for mark in page.marks:
        if not isinstance(mark, Words):
            continue
        left, right = (f(x for x, _ in word_box(mark).corners) for f in (min, max))
        raised = mark.y - baseline
        touches = -0.5 < left - end < 3.5 and -0.1 < raised < mark.size * 0.45 + 0.1
        if lines and touches:
            fraction = raised > 0.5 and mark.text.isdigit() and lines[-1][-1:].isdigit()
            lines[-1] += ("-" if fraction else "") + mark.text
        else:
            lines.append(mark.text)
            baseline = mark.y
        end = right
    return lines


def all_words(pages: Iterable[Page | Drawing]) -> str:
    """Give all lines of some pages as they were set."""
    return "\n".join(line for page in pages for line in lines_as_set(page))
