"""Labels: one for each part and each offcut to keep, on label stock or on plain paper.

Label stock is named by its paper and how many labels are on a sheet; sizes are those in
general trade. Nothing is drawn on it but the labels. Plain paper gets dashed lines to cut
along.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from cutopt.draw.frame import Look, Paper
from cutopt.draw.label_code import code_width, draw_code
from cutopt.draw.lines import line_of, name_lines, set_lines, wrap_facts, wrap_line
from cutopt.draw.part_sketch import draw_part, picture_size
from cutopt.draw.scene import MIDDLE, Align, Drawing, Style, Words
from cutopt.draw.typeset import SMALLEST, Line, as_text, set_line, size_pieces, width_of
from cutopt.errors import InputError
from cutopt.model.job import Kind, Part
from cutopt.model.plan import Plan
from cutopt.steps.cutouts import cutout_phrases
from cutopt.steps.labels import OffcutLabel, PartLabel, offcut_labels, part_labels
from cutopt.steps.ticks import LAST
from cutopt.units import Units, format_length

INSIDE = 8.5
"""Text stays this far inside a label, for printers that draw the sheet askew."""
POINTS_PER_MM = 72 / 25.4
PLAIN_MARGIN = 36.0
DASHED = 0.35
HINT = "Cut along the dashed lines. Tape to the part before the next cut."
TAPE_HINT_SIZE = 8.0
PICTURE_SHARE = 0.3
GAP = 6.0
SHRINK = tuple(1.0 - step * 0.04 for step in range(17))


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A sheet of labels, in points; labels are counted along the rows from the top left.

    Attributes:
        name: what it is asked for by.
        left, top: from the paper's edges to the first label.
        pitch_x, pitch_y: from one label to the next.
        dashed: plain paper: draw the lines to cut along.
        coded: each part's label carries a QR code.
    """

    name: str
    paper: Paper
    columns: int
    rows: int
    left: float
    top: float
    pitch_x: float
    pitch_y: float
    width: float
    height: float
    dashed: bool = False
    coded: bool = False

    @property
    def count(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Give the upper left corner of a label (places from 0), y from the paper's foot."""
        row, column = divmod(place, self.columns)
        height = self.paper.size[1]
        return self.left + column * self.pitch_x, height - self.top - row * self.pitch_y


def _metric(name: str, rows: int, top_mm: float, height_mm: float) -> LabelSheet:
    """Give an A4 sheet with three columns of labels 63.5 mm wide."""
    mm = POINTS_PER_MM
    return LabelSheet(
        name, Paper.A4, 3, rows, 7.2 * mm, top_mm * mm,
        66.0 * mm, height_mm * mm, 63.5 * mm, height_mm * mm,
    )  # fmt: skip


LETTER_30 = LabelSheet("letter 30", Paper.LETTER, 3, 10, 13.5, 36.0, 198.0, 72.0, 189.0, 72.0)
"""Letter, 30 labels of 2-5/8 x 1 in."""
A4_21 = _metric("a4 21", 7, 15.1, 38.1)
"""A4, 21 labels of 63.5 x 38.1 mm."""
A4_24 = _metric("a4 24", 8, 12.9, 33.9)
"""A4, 24 labels of 63.5 x 33.9 mm."""
LABEL_STOCK = (LETTER_30, A4_21, A4_24)


def plain_paper(paper: Paper) -> LabelSheet:
    """Give plain paper with 2 x 6 labels between dashed lines."""
    width, height = paper.size
    wide, high = (width - 2 * PLAIN_MARGIN) / 2, (height - 2 * PLAIN_MARGIN - 14) / 6
    return LabelSheet(
        "plain", paper, 2, 6, PLAIN_MARGIN, PLAIN_MARGIN, wide, high, wide, high, dashed=True
    )


def label_sheet(name: str, paper: Paper) -> LabelSheet:
    """Give the sheet of that name: "plain" (on this paper), "letter 30", "a4 21", "a4 24".

    Raises:
        InputError: no sheet has that name.
    """
    wanted = " ".join(name.lower().replace("-", " ").split())
    sheets = {sheet.name: sheet for sheet in (plain_paper(paper), *LABEL_STOCK)}
    if wanted not in sheets:
        raise InputError(f'no label sheet is named "{name}"; there are {", ".join(sheets)}')
    return sheets[wanted]


def label_pages(
    plan: Plan, look: Look, sheet: LabelSheet | None = None, start: int = 1
) -> list[Drawing]:
    """Give the sheets of labels, in the order of cutting, offcuts last.

    Args:
        plan: the plan.
        look: what all pages of a plan share.
        sheet: label stock; plain paper of the look's size where None.
        start: place of the first label on a sheet that is partly used, from 1.

    Raises:
        InputError: there is no such place on the sheet.
    """
    labels: list[PartLabel | OffcutLabel] = [*part_labels(plan), *offcut_labels(plan)]
    return label_sheet_pages(labels, look, sheet or plain_paper(look.paper), start)


def label_sheet_pages(
    labels: Sequence[PartLabel | OffcutLabel], look: Look, sheet: LabelSheet, start: int = 1
) -> list[Drawing]:
    """Give the sheets for these labels, the first label at place ``start`` (from 1).

    Raises:
        InputError: there is no such place on the sheet.
    """
    if not 1 <= start <= sheet.count:
        raise InputError(f"labels start at place 1 to {sheet.count} of this sheet, not {start}")
    pages: list[Drawing] = []
    for number, label in enumerate(labels, start=start - 1):
        page, place = divmod(number, sheet.count)
        if page == len(pages):
            pages.append(_blank_sheet(sheet, page + 1))
        x, top = sheet.corner(place)
        if isinstance(label, PartLabel):
            content = _part_content(label, look)
        else:
            content = _offcut_content(label, look)
        room = sheet
        if sheet.coded and isinstance(label, PartLabel):
            lines = _code_lines(label, look)
            room = replace(sheet, width=sheet.width - code_width(lines, sheet.height))
            draw_code(pages[page], lines, x + sheet.width, top, sheet.height)
        _label(pages[page], content, x, top, room, look.units)
    return pages


def _code_lines(label: PartLabel, look: Look) -> tuple[str, ...]:
    """Give what a label's code says: part, finished size, group, which copy, plan."""
    part = label.part
    length, width = (
        format_length(size, look.units, unit_mark=True) for size in (part.length, part.width)
    )
    count = f"{label.count} {label.hand}".strip()
    return part.name, f"{length} x {width}", part.group, count, f"plan {look.mark}"


def _blank_sheet(sheet: LabelSheet, number: int) -> Drawing:
    width, height = sheet.paper.size
    drawing = Drawing(width, height, f"labels-{number}")
    if sheet.dashed:
        right, low = sheet.left + sheet.columns * sheet.pitch_x, sheet.corner(sheet.count)[1]
        top = height - sheet.top
        for column in range(sheet.columns + 1):
            x = sheet.left + column * sheet.pitch_x
            drawing.line(x, low, x, top, DASHED, dash=(3.0, 2.4))
        for row in range(sheet.rows + 1):
            y = top - row * sheet.pitch_y
            drawing.line(sheet.left, y, right, y, DASHED, dash=(3.0, 2.4))
        drawing.add(Words(sheet.left, low - 14, HINT, TAPE_HINT_SIZE, grey=MIDDLE))
    return drawing


@dataclass(frozen=True, slots=True)
class _Content:
    """What stands on one label.

    Attributes:
        more: lines for labels with room to spare: cutouts, note.
        strong: bold words at the foot: group, count, hand, place in a run.
    """

    name: str
    size: Line
    cut: Line
    more: tuple[Line, ...]
    strong: tuple[str, ...]
    job: str
    right: tuple[str, ...]
    part: Part | None
    shape: tuple[int, int]


def _part_content(label: PartLabel, look: Look) -> _Content:
    part, units = label.part, look.units
    cut: Line = ""
    if label.cut_differs:
        cut = ("cut ", *line_of((label.cut_length, " \N{MULTIPLICATION SIGN} ", label.cut_width),
                                units, mark=False))  # fmt: skip
    more: list[Line] = [line_of(phrase, units) for phrase in cutout_phrases(part)]
    if part.last:
        more.append(LAST)
    if part.note:
        more.append(part.note)
    says_band = part.band or part.material.kind is Kind.SHEET
    source = f"from {label.source}"
    count = f"{label.count}   {label.hand}" if label.hand else label.count
    run = label.run.words if label.run is not None else ""
    if label.run is not None and part.qty in (1, label.run.count) and not label.hand:
        count = ""  # its place in the run says it
    return _Content(
        name=part.name,
        size=_size(part.length, part.width, units),
        cut=cut,
        more=tuple(more),
        strong=tuple(word for word in (part.group, count, run) if word),
        job=look.job,
        right=(label.band, source) if says_band else (source,),
        part=part,
        shape=(part.length, part.width),
    )


def _size(length: int, width: int, units: Units) -> Line:
    """Give a size as it stands on a label: inches have their sign, millimetres need none."""
    return size_pieces(length, width, mark=units is Units.INCH)


def _offcut_content(label: OffcutLabel, look: Look) -> _Content:
    offcut, material = label.offcut, label.stock.material
    board = material.kind is Kind.BOARD and material.section
    words: Line = (
        f"{material.name} {material.section}"
        if board
        else line_of((f"{material.name} ", material.thickness), look.units)
    )
    return _Content(
        name=f"Keep {offcut.id}",
        size=_size(offcut.length, offcut.width, look.units),
        cut=words,
        more=tuple(
            line_of(("bad ", start, " to ", end, " from its left end"), look.units)
            for start, end in label.bad
        ),
        strong=("offcut, not all clear",) if label.bad else ("offcut",),
        job=look.job,
        right=(f"from {label.source}",),
        part=None,
        shape=(offcut.length, offcut.width),
    )


@dataclass(frozen=True, slots=True)
class _Laid:
    """A label's text broken to its room at one scale of its type."""

    names: tuple[Line, ...]
    name_size: float
    size_size: float
    cuts: tuple[Line, ...]
    note_size: float
    strong: tuple[Line, ...]
    strong_size: float
    job_size: float

    @property
    def top_height(self) -> float:
        """From the label's inner top to under its size and cut size."""
        return (
            self.name_size * (0.75 + 1.08 * (len(self.names) - 1))
            + self.size_size * 1.15
            + self.note_size * 1.25 * len(self.cuts)
            + self.note_size * 0.3
        )

    @property
    def foot_height(self) -> float:
        return (self.strong_size * 1.2) * len(self.strong) + self.job_size * 0.95


def _lay(
    content: _Content, left: float, foot: float, whole: float, scale: float, units: Units
) -> _Laid:
    """Break a label's text: the name beside the picture, the foot left of its right words."""
    large = max(SMALLEST, 14.0 * scale)
    names, name_size = name_lines(content.name, large, max(SMALLEST, min(9.0 * scale, large)), left)
    note = max(SMALLEST, 7.0 * min(scale, 1.3))
    small = max(SMALLEST, 7.2 * min(scale, 1.3))
    beside = max(width_of(words, small) for words in content.right)
    strong = wrap_facts(content.strong, small, max(foot, whole - beside - GAP), Style.BOLD)
    cuts = wrap_line(content.cut, note, left, units=units) if content.cut else ()
    return _Laid(
        names, name_size, max(SMALLEST + 1, 12.5 * scale), cuts, note, strong, small, small
    )


def _cut_short(laid: _Laid, height: float, room: float) -> _Laid:
    """Give a label whose name is cut short: not even the smallest type holds all of it."""
    over = laid.top_height + laid.foot_height - height
    kept = max(1, len(laid.names) - math.ceil(over / (laid.name_size * 1.08)))
    last = as_text(laid.names[kept - 1], Units.INCH)
    while last and width_of(f"{last}...", laid.name_size, Style.BOLD) > room:
        last = last[:-1]
    return replace(laid, names=(*laid.names[: kept - 1], f"{last}..."))


def _label(
    drawing: Drawing, content: _Content, x: float, top: float, sheet: LabelSheet, units: Units
) -> None:
    """Set one label, its type as large as the words allow."""
    inner_left, inner_right = x + INSIDE, x + sheet.width - INSIDE
    inner_top, inner_low = top - INSIDE, top - sheet.height + INSIDE
    width, height = inner_right - inner_left, inner_top - inner_low
    picture_width = width * PICTURE_SHARE
    full = min(1.45, sheet.height / 72.0)
    left_room = width - picture_width - GAP
    for shrink in SHRINK:
        laid = _lay(content, left_room, width * 0.5, width, full * shrink, units)
        if laid.top_height + laid.foot_height <= height:
            break
    else:
        laid = _cut_short(laid, height, left_room)
    picture_height = min(height * 0.44, picture_width)
    _picture(drawing, content, inner_right, inner_top, picture_width, picture_height)
    y = inner_top - laid.name_size * 0.75
    y = set_lines(
        drawing, inner_left, y, laid.names, laid.name_size, Style.BOLD, units,
        room=left_room, pitch=laid.name_size * 1.08,
    )  # fmt: skip
    y += laid.name_size * 1.08 - laid.size_size * 1.15
    set_line(drawing, inner_left, y, content.size, laid.size_size, units=units, room=left_room)
    y -= laid.note_size * 1.4
    y = set_lines(
        drawing, inner_left, y, laid.cuts, laid.note_size, units=units,
        room=left_room, pitch=laid.note_size * 1.25,
    )  # fmt: skip
    _foot(drawing, content, laid, inner_left, inner_right, inner_low)
    room = min(y + laid.note_size, inner_top - picture_height - 4) - inner_low - laid.foot_height
    _more(drawing, content, laid, inner_left, width, inner_low + laid.foot_height, room, units)


def _foot(
    drawing: Drawing, content: _Content, laid: _Laid, left: float, right: float, low: float
) -> None:
    """Set group, count and job at the left, bands and where it comes from at the right."""
    beside = 0.0
    for up, words in enumerate(reversed(content.right)):
        y = low + up * laid.strong_size * 1.2
        room = (right - left) * 0.48
        beside = max(
            beside,
            set_line(drawing, right, y, words, laid.strong_size, align=Align.RIGHT, room=room),
        )
    room = right - left - beside - GAP
    set_line(drawing, left, low, content.job, laid.job_size, grey=MIDDLE, room=room)
    for up, line in enumerate(reversed(laid.strong), start=1):
        y = low + up * laid.strong_size * 1.2
        set_line(drawing, left, y, line, laid.strong_size, Style.BOLD, room=room)


def _picture(
    drawing: Drawing, content: _Content, right: float, top: float, width: float, height: float
) -> None:
    """Draw the part, or the offcut dashed, in the upper right corner."""
    if content.part is not None:
        wide, high = picture_size(content.part, width, height)
        # A strip keeps a picture that can show its band.
        high = max(high, min(height, wide * 0.22))
        draw_part(drawing, content.part, right - wide, top - high, wide, high)
        return
    scale = min(width / content.shape[0], height / content.shape[1])
    wide, high = content.shape[0] * scale, max(content.shape[1] * scale, 8.0)
    drawing.rectangle(right - wide, top - high, wide, high, 0.8, dash=(4.5, 2.2))


def _more(
    drawing: Drawing,
    content: _Content,
    laid: _Laid,
    left: float,
    width: float,
    low: float,
    room: float,
    units: Units,
) -> None:
    """Set cutouts and notes between head and foot, where a whole note has room."""
    pitch = laid.note_size * 1.25
    y = low + room
    for words in content.more:
        lines = wrap_line(words, laid.note_size, width, units=units)
        if len(lines) * pitch > y - low - 2:
            continue
        set_lines(
            drawing, left, y - laid.note_size, lines, laid.note_size, units=units, pitch=pitch
        )
        y -= len(lines) * pitch
