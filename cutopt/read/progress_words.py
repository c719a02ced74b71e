"""What a builder says was done, in the words of the command line, as events of a plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from cutopt.errors import Fault, InputError
from cutopt.model.job import Kind
from cutopt.model.plan import Maker, PartPiece, Plan, StockPiece, walk
from cutopt.model.progress import (
    BadSpan,
    CutsMade,
    Event,
    NotBought,
    PartMade,
    PartSpoiled,
    PieceSpoiled,
)
from cutopt.units import LengthError, Ticks, parse_length

_STEPS = re.compile(r"(\d+)(?:\s*-\s*(\d+))?")
_NUMBERED = re.compile(r"(?P<name>.+?)(?:\s*:\s*|\s+)(?P<number>\d+)(?:\s+of\s+\d+)?")


def _bare(name: str) -> str:
    return "".join(name.split()).casefold()


@dataclass(frozen=True, slots=True)
class Said:
    """The options of one call, as they were typed."""

    cut: Sequence[str] = ()
    made: Sequence[str] = ()
    spoiled: Sequence[str] = ()
    left: Sequence[str] = ()
    bad: Sequence[str] = ()
    not_bought: Sequence[str] = ()


def events_said(plan: Plan, said: Said, before: Iterable[Event] = ()) -> tuple[Event, ...]:
    """Give the events that the options say.

    Args:
        plan: that is being cut.
        said: options as typed.
        before: what is recorded already; a part spoiled before is not meant again.

    Raises:
        InputError: carries everything that is not understood.
    """
    reading = _Reading(plan, tuple(before))
    for text in said.not_bought:
        reading.not_bought(text)
    for text in said.cut:
        reading.cut(text)
    for text in said.made:
        reading.made(text)
    lefts = reading.sizes(said.left)
    if lefts and len(said.spoiled) != 1:
        reading.faults.append(
            Fault("--left says what is left of one spoiled part", help="give one --spoiled with it")
        )
    for text in said.spoiled:
        reading.spoiled(text, lefts)
    for text in said.bad:
        reading.bad(text)
    if reading.faults:
        raise InputError(reading.faults)
    return tuple(reading.events)


class _Reading:
    """One call's options being read against the plan."""

    def __init__(self, plan: Plan, before: tuple[Event, ...]) -> None:
        self.plan = plan
        self.faults: list[Fault] = []
        self.events: list[Event] = []
        self.before = before
        self.pieces = {piece.id: piece for piece in plan.pieces}

    def _fault(self, option: str, found: str, text: str, does: str = "") -> None:
        self.faults.append(Fault(text, f"--{option}", found=found, help=does))

    def _called(self, name: str) -> StockPiece | None:
        """Give the piece of this name; case and spaces do not count."""
        said = _bare(name)
        return next((piece for piece in self.plan.pieces if _bare(piece.id) == said), None)

    def _piece(self, option: str, text: str) -> tuple[StockPiece, str] | None:
        """Give the piece of "S1:1-4" and what stands behind its colon."""
        name, _, rest = (word.strip() for word in text.partition(":"))
        piece = self._called(name)
        if piece is not None:
            return piece, rest
        near = get_close_matches(name, list(self.pieces), 1, 0.4)
        shown = ", ".join(list(self.pieces)[:12])
        does = f"did you mean {near[0]}?" if near else f"its pieces are {shown}"
        self._fault(option, text, "the plan has no such sheet or board", does)
        return None

    def _steps(self, text: str, piece: StockPiece, rest: str) -> tuple[int, ...]:
        cuts = piece.cuts()
        if not rest:
            return tuple(cut.step for cut in cuts)
        if rest.lower() == "store":
            return tuple(cut.step for cut in cuts if cut.by is Maker.STORE)
        steps: set[int] = set()
        for word in rest.split(","):
            found = _STEPS.fullmatch(word.strip())
            if found is None:
                self._fault("cut", text, "these are no cuts", f"say {piece.id}:1-4 or {piece.id}:3")
                return ()
            first, last = int(found[1]), int(found[2] or found[1])
            if not 1 <= first <= last <= len(cuts):
                self._fault("cut", text, f"{piece.id} has cuts 1 to {len(cuts)}")
                return ()
            steps.update(range(first, last + 1))
        return tuple(sorted(steps))

    def cut(self, text: str) -> None:
        found = self._piece("cut", text)
        if found is not None:
            steps = self._steps(text, *found)
            if steps:
                self.events.append(CutsMade(found[0].id, steps))

    def not_bought(self, text: str) -> None:
        if text.strip().lower() == "all":
            self.events += [NotBought(p.id) for p in self.plan.pieces if not p.stock.owned]
            return
        found = self._piece("not-bought", text)
        if found is None:
            return
        if found[0].stock.owned:
            self._fault("not-bought", text, f"{found[0].id} is your own already")
        self.events.append(NotBought(found[0].id))

    def _part(self, option: str, text: str) -> tuple[str, int] | None:
        """Give the part and copy that "Shelf", "Shelf:2", "P3:2" or "Shelf 2 of 3" names."""
        wanted = " ".join(text.split()).lower()
        parts = {part.id: part for part in self.plan.job.parts}

        def named(name: str) -> list[str]:
            return [
                part.id
                for part in parts.values()
                if name in {part.id.lower(), " ".join(part.name.split()).lower()}
            ]

        ids, number = list(dict.fromkeys(named(wanted))), None
        if not ids and (found := _NUMBERED.fullmatch(wanted)):
            ids, number = list(dict.fromkeys(named(found["name"].strip()))), int(found["number"])
        if not ids:
            names = sorted({part.name for part in parts.values()})
            near = get_close_matches(text, names, 1, 0.5)
            # A sheet that is cut by now lies there in pieces with names of their own.
            of_it = re.compile(re.escape(wanted) + r"(?!\d)", re.IGNORECASE)
            pieces = [name for name in self.pieces if of_it.match(name)]
            if option == "spoiled" and pieces:
                what, does = (
                    "no such whole piece is left",
                    f"what is left of it: {', '.join(pieces)}",
                )
            elif near:
                what, does = "the plan has no such part", f"did you mean {near[0]!r}?"
            else:
                what, does = "the plan has no such part", "its parts are on the tick list"
            self._fault(option, text, what, does)
            return None
        if len(ids) > 1:
            self._fault(option, text, "several parts have this name", f"say {' or '.join(ids)}")
            return None
        part = parts[ids[0]]
        cuts = {(p.node.part, p.node.copy) for q in self.plan.pieces for p in walk(q.layout)
                if isinstance(p.node, PartPiece)}  # fmt: skip
        copies = sorted(copy for part_id, copy in cuts if part_id == part.id)
        if number is None:
            gone = {
                event.copy
                for event in (*self.before, *self.events)
                if isinstance(event, (PartMade, PartSpoiled)) and event.part == part.id
                if option == "made" or isinstance(event, PartSpoiled)
            }
            open_copies = [copy for copy in copies if copy not in gone]
            if not open_copies:
                self._fault(option, text, "every copy of it is recorded already")
                return None
            if len(copies) > 1:
                made = self._known_made(part.id) if option == "spoiled" else set()
                open_copies = [copy for copy in open_copies if copy in made] or open_copies
                if len(open_copies) > 1 and not made:
                    words = ", ".join(str(part.number(copy)) for copy in open_copies)
                    self._fault(
                        option,
                        text,
                        f"which one of {words}?",
                        f"say {part.name}:{part.number(open_copies[0])}",
                    )
                    return None
            return part.id, open_copies[0]
        for copy in copies:
            if part.number(copy) == number:
                return part.id, copy
        words = ", ".join(str(part.number(copy)) for copy in copies)
        self._fault(option, text, f"{part.name} has number {words}")
        return None

    def _known_made(self, part: str) -> set[int]:
        """Give the copies of a part that recorded cuts or parts say are cut."""
        events = (*self.before, *self.events)
        made = {e.copy for e in events if isinstance(e, PartMade) and e.part == part}
        done = {(e.piece, step) for e in events if isinstance(e, CutsMade) for step in e.steps}
        for piece in self.plan.pieces:
            for cut in piece.cuts():
                if (piece.id, cut.step) in done:
                    made |= {
                        side.copy
                        for side in (cut.first, cut.second)
                        if isinstance(side, PartPiece) and side.part == part
                    }
        return made

    def made(self, text: str) -> None:
        found = self._part("made", text)
        if found is not None:
            self.events.append(PartMade(*found))

    def spoiled(self, text: str, left: tuple[tuple[Ticks, Ticks], ...]) -> None:
        name, _, rest = (word.strip() for word in text.partition(":"))
        piece = self._called(name)
        if piece is None:
            found = self._part("spoiled", text)
            if found is not None:
                self.events.append(PartSpoiled(*found, left))
            return
        if rest and not (rest.isdigit() and 1 <= int(rest) <= len(piece.cuts())):
            last = len(piece.cuts())
            self._fault("spoiled", text, f"{piece.id} has cuts 1 to {last}", f"say {piece.id}:1")
            return
        self.events.append(PieceSpoiled(piece.id, int(rest or 0), left))

    def _length(self, option: str, text: str, word: str) -> Ticks | None:
        try:
            return parse_length(word, self.plan.job.units, zero=True)
        except LengthError as error:
            self._fault(option, text, str(error), getattr(error, "help", ""))
            return None

    def sizes(self, texts: Sequence[str]) -> tuple[tuple[Ticks, Ticks], ...]:
        """Give the sizes of --left: length along the stock's length, then width."""
        found = []
        for text in texts:
            words = re.split(r"\s*[x×]\s*", text.strip(), flags=re.IGNORECASE)
            if len(words) != 2:
                self._fault("left", text, "this is not a length and a width", 'say 20" x 8"')
                continue
            length, width = (self._length("left", text, word) for word in words)
            if length and width:
                found.append((length, width))
        return tuple(found)

    def bad(self, text: str) -> None:
        found = self._piece("bad", text)
        if found is None:
            return
        piece, rest = found
        if piece.stock.kind is not Kind.BOARD:
            self._fault("bad", text, "bad spans are of boards", "say --spoiled for a sheet")
            return
        words = re.split(r"\s+to\s+|\s*[-–]\s*(?=\d)", rest)
        if len(words) != 2:  # a dash of 3-1/2" is one of the length's own
            words = re.split(r"\s+to\s+|\s+[-–]\s+|(?<=[\"m'])\s*[-–]\s*", rest)
        if len(words) != 2:
            self._fault("bad", text, "from where to where?", f'say {piece.id}:20" - 26"')
            return
        start, end = (self._length("bad", text, word) for word in words)
        if start is None or end is None:
            return
        if not start < end <= piece.stock.length:
            self._fault(
                "bad", text, f"this does not lie on {piece.id}", "from its left end, in order"
            )
            return
        self.events.append(BadSpan(piece.id, start, end))
