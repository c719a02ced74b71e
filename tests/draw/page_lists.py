"""Lists as the steps give them, for the tests of the pages that print them. All invented."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cutopt.draw.frame import Look, Paper
from cutopt.model.job import Cutout, CutoutKind, Edge, Grain, Kind, Material, Part, Stock
from cutopt.steps.bands import band_words
from cutopt.steps.boards import BoardRow, BoardSection, Mark, Segment, StopGroup
from cutopt.steps.cutouts import cutout_phrases
from cutopt.steps.hands import as_made, hand_of
from cutopt.steps.labels import PartLabel
from cutopt.steps.setups import Outcome, Setup, SetupLine, Visit
from cutopt.steps.ticks import TickRow
from cutopt.units import Ticks, Units, inches

PLY = Material("birch ply", Kind.SHEET, inches(0, 3, 4))
PINE = Material("pine", Kind.BOARD, inches(0, 3, 4), "1x4")
KERF = inches(0, 1, 8)

INCH_LETTER = Look("Mudroom locker", Units.INCH, Paper.LETTER, "K7QF3M")
MM_A4 = Look("Mudroom locker", Units.MM, Paper.A4, "K7QF3M")
LOOKS = (INCH_LETTER, MM_A4, Look("Ντουλάπι χολ", Units.INCH, Paper.A4, "K7QF3M"))

LONG_NAMES = (
    "Drawer side of the tall left-hand cabinet",
    "Полка за левата страна на шкафа в хола..",
    "Ράφι για τα παπούτσια στο χολ του σπιτιού",
    "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW",
)


def part(name: str, length: Ticks, width: Ticks, qty: int = 1, **more: object) -> Part:
    band = more.get("band", ())
    loss = 256 * sum(edge in (Edge.FRONT, Edge.BACK) for edge in band)  # type: ignore[attr-defined]
    return Part(
        id=f"P-{name}-{length}-{width}", name=name, qty=qty, length=length, width=width,
        thickness=PLY.thickness, blank_length=length, blank_width=Ticks(width - loss),
        **{"material": PLY, **more},  # type: ignore[arg-type]
    )  # fmt: skip


def cutout(kind: CutoutKind, length: int, width: int, left: int, front: int) -> Cutout:
    return Cutout(kind, inches(length), inches(width), inches(left), inches(front))


def side() -> Part:
    notch = Cutout(CutoutKind.NOTCH, inches(5, 1, 2), inches(0, 3, 4), inches(0), inches(14, 1, 2))
    return part(
        "Side", inches(78), inches(15, 1, 4), 2, band=(Edge.FRONT,), grain=Grain.LENGTH,
        cutouts=(notch,), handed=True, group="Case",
    )  # fmt: skip


def vent_panel() -> Part:
    opening = Cutout(CutoutKind.OPENING, inches(24), inches(4), inches(17, 1, 4), inches(4, 1, 2))
    return part("Vent panel", inches(58, 1, 2), inches(13), grain=Grain.LENGTH, cutouts=(opening,))


def pegboard() -> Part:
    holes = [cutout(CutoutKind.HOLE, 2, 2, 3 + 7 * n, 3) for n in range(5)]
    others = [
        cutout(CutoutKind.NOTCH, 4, 2, 12, 0),
        cutout(CutoutKind.OPENING, 4, 3, 22, 9),
        cutout(CutoutKind.ROUNDED_CORNER, 2, 2, 38, 14),
    ]
    return part(
        "Pegboard", inches(40), inches(16), band=(Edge.FRONT,), cutouts=tuple(holes + others)
    )


def tick_row(of: Part, *, note: str = "", twins: Sequence[str] = ()) -> TickRow:
    facts: list[tuple[str | int, ...]] = [("Birch ply ", of.thickness)]
    if of.blank_width != of.width:
        facts.append(("cut ", of.blank_length, " × ", of.blank_width, ", then band"))
    facts.append((band_words(of),))
    if note:
        facts.append((note,))
    hands = tuple(hand_of(of, copy) for copy in range(1, of.qty + 1)) if of.handed else ()
    return TickRow(of, tuple(facts), cutout_phrases(of), tuple((t,) for t in twins), (), hands)


def many_parts(count: int) -> Iterator[Part]:
    """Parts of many kinds, some with long names, some banded, some thin."""
    for number in range(count):
        name = LONG_NAMES[number % 8] if number % 8 < len(LONG_NAMES) else f"Part {number}"
        yield part(
            name, inches(10 + number, number % 64, 64), inches(1 + number % 9, number % 16, 16),
            1 + number % 7, band=(Edge.FRONT, Edge.LEFT)[: number % 3], grain=Grain.LENGTH,
            group="Case" if number % 2 else "A sub-assembly with a long name indeed",
        )  # fmt: skip


def label(of: Part, copy: int = 1, source: str = "S1 A") -> PartLabel:
    of = as_made(of, copy)
    return PartLabel(
        of, copy, of.blank_length, of.blank_width, source, hand_of(of, copy), band_words(of)
    )


def setup_line(
    ids: str, piece: str, action: str, result: Sequence[tuple[str, str, int]],
    steps: Sequence[int], *, done: str = "", measure_first: Ticks | None = None,
) -> SetupLine:  # fmt: skip
    outcomes = tuple(Outcome(kind, name, count) for kind, name, count in result)
    return SetupLine(tuple(ids.split()), piece, action, outcomes, done, tuple(steps), measure_first)


def visits() -> tuple[Visit, ...]:
    """A walk from saw to saw: a trim, rips with capsules, a stop used often."""
    table = (
        Setup(2, inches(15, 7, 32), "fence", (
            setup_line("S1", "A", "rip", [("part", "Side", 1), ("piece", "S1 A", 1)], [4]),
            setup_line("S1 S4", "A", "rip", [("part", "Side", 1)], [5]),
        ), ("thin strip: keep it off the fence side", "two people")),
        Setup(3, inches(58, 31, 32), "sled stop", (
            setup_line("S2", "E", "crosscut", [("piece", "S2 E", 1)], [20], done="to length",
                       measure_first=inches(60)),
        ), ("crosscut sled",)),
        Setup(4, inches(3, 1, 2), "fence", (
            setup_line("S1 S2 S3 S4 S5 S6 S7", "B", "rip", [("part", LONG_NAMES[0], 3)],
                       [11, 12, 13]),
        ), ("push stick",)),
    )  # fmt: skip
    return (
        Visit("track saw", "Track saw", "mark, guide on the side you keep", KERF, (
            Setup(1, inches(37), "mark",
                  (setup_line("S2", "E", "trim", [("piece", "S2 E", 1)], [17],
                              done="edge clean"),), ()),
        )),
        Visit("table saw", "Table saw", "fence to blade", KERF, table),
        Visit("mitre saw", "Mitre saw", "stop block at the setting", KERF, (
            Setup(5, inches(14), "stop", (
                setup_line("S1", "B2", "crosscut", [("part", "Cleat", 4), ("piece", "S1 B2", 1)],
                           [11, 12, 13, 14]),
                setup_line("S1", "B2", "crosscut", [("part", "Cleat", 1)], [15]),
            ), ()),
        )),
    )  # fmt: skip


def long_setup(lines: int) -> tuple[Visit, ...]:
    """One stop setting with a line for each of many pieces."""
    found = tuple(
        setup_line(f"S{n}", "B2", "crosscut", [("part", LONG_NAMES[n % 4], 1)], [n])
        for n in range(1, lines + 1)
    )
    setup = Setup(1, inches(14), "stop", found, ("push stick",))
    return (Visit("mitre saw", "Mitre saw", "stop block at the setting", KERF, (setup,)),)


Cut = tuple[str, Ticks, str]


def board(
    ids: str, feet: int, cuts: Sequence[Cut], *, trim: Ticks = Ticks(0), store_after: int = 0
) -> BoardRow:
    """A board cut into parts (name, length, group letter) from its left end."""
    stock = Stock(f"pine {feet} ft", PINE, inches(12 * feet), inches(3, 1, 2), 648)
    segments: list[Segment] = []
    found: list[Mark] = []
    x = 0
    if trim:
        segments.append(Segment("waste", Ticks(0), Ticks(trim - KERF)))
        found.append(Mark(trim, 1, start=True))
        x = trim
    for number, (name, length, letter) in enumerate(cuts, start=1):
        segments.append(Segment("part", Ticks(x), length, name, letter, "P1", number))
        x += length
        if x < stock.length:
            store = number == store_after
            found.append(Mark(Ticks(x + KERF if store else x), len(found) + 1, store=store))
            x += KERF
    rest = Ticks(stock.length - x)
    if rest >= inches(12):
        segments.append(Segment("offcut", Ticks(x), rest, f"keep {ids.split(maxsplit=1)[0]}-a"))
    elif rest > 0:
        segments.append(Segment("waste", Ticks(x), rest))
    return BoardRow(tuple(ids.split()), stock, tuple(segments), tuple(found))


def section(*rows: BoardRow) -> BoardSection:
    """The boards of one section, with the stop-block groups that come out of them."""
    groups: dict[str, tuple[Ticks, dict[str, None], list[int]]] = {}
    for row in rows:
        for segment in row.segments:
            if segment.kind == "part":
                found = groups.setdefault(segment.letter, (segment.length, {}, []))
                found[1][segment.name] = None
                found[2].append(len(row.ids))
    stops = tuple(
        StopGroup(letter, length, tuple(names), sum(counts))
        for letter, (length, names, counts) in sorted(groups.items(), key=lambda g: -g[1][0])
    )
    lengths: dict[Ticks, int] = {}
    for row in rows:
        lengths[row.stock.length] = lengths.get(row.stock.length, 0) + len(row.ids)
    return BoardSection(
        PINE, inches(3, 1, 2), stops, rows, sum(len(row.ids) for row in rows),
        sum(stop.count for stop in stops), tuple(sorted(lengths.items(), reverse=True)),
        (KERF,), max(lengths),
    )  # fmt: skip
