"""``job.toml``: what is made, what may be spent, the store's saw, the car, the saws at home."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from cutopt.errors import Fault
from cutopt.model.job import RIP_SAVING, Budget, Carry, Favour, Saw, SawKind, Shop, Store
from cutopt.read.cells import ValueFault, cents_of, count_of, length_of, nearest, one_of, yes_of
from cutopt.read.document import KEYS, Document, Source, nearest_key
from cutopt.read.table import tidy
from cutopt.units import EIGHTH, Ticks, Units, inches, millimetres

T = TypeVar("T")

_BETWEEN = re.compile(r"\s*[,;×]\s*|(?<=\S)\s*x\s*(?=[\d.])")

UNIT_WORDS: Mapping[str, Units] = {
    **dict.fromkeys(("inch", "inches", "in"), Units.INCH),
    **dict.fromkeys(("mm", "millimetres", "millimeters"), Units.MM),
}
_FAVOURS: Mapping[str, Favour] = {str(favour): favour for favour in Favour}
_SAWS: Mapping[str, SawKind] = {
    **{str(kind): kind for kind in SawKind},
    "tablesaw": SawKind.TABLE,
    "miter saw": SawKind.MITRE,
    "chop saw": SawKind.MITRE,
    "bandsaw": SawKind.BAND,
    "jig saw": SawKind.JIGSAW,
    "handsaw": SawKind.HAND,
}
_WHOLE = 100  # percent
_CAPACITIES: Mapping[str, tuple[SawKind, ...]] = {
    "rip_capacity": (SawKind.TABLE,),
    "crosscut_capacity": (SawKind.MITRE,),
    "cut_length": (SawKind.TRACK, SawKind.CIRCULAR),
}


def _chance_of(text: str) -> float:
    """Give a chance, ``0.95`` or ``95 %``, as a share of 1.

    Raises:
        ValueFault: it is none, or none that makes sense to buy by.
    """
    helps = "write a chance from 0.5 to 0.999, like 0.95"
    found = re.fullmatch(r"(\d{1,3}(?:\.\d{1,6})?|\.\d{1,6}) ?(%?)", text.strip())
    if found is None:
        raise ValueFault("this is not a chance", helps)
    chance = float(found[1]) / (100 if found[2] else 1)
    if not 0.5 <= chance <= 0.999:
        raise ValueFault("no boards can be bought by such a chance", helps)
    return chance


@dataclass(frozen=True, slots=True)
class JobSettings:
    """What the settings of a job say, defaults filled in."""

    name: str
    currency: str
    favour: Favour
    budget: Budget | None
    shop: Shop
    store: Store | None
    carry: Carry | None
    confidence: float | None = None
    trip_cents: int | None = None
    notes: tuple[str, ...] = ()


class SettingsReader:
    """Reads values out of the settings; gathers what is wrong instead of stopping."""

    def __init__(
        self, document: Document, source: Source, units: Units | None, like: Units
    ) -> None:
        """Take the settings, where they stand, what bare numbers mean, whose defaults to use."""
        self.document = document
        self.source = source
        self.units = units
        self.like = like
        self.faults: list[Fault] = []
        self.notes: list[str] = []
        self.currency = "USD"

    def read(self, fallback_name: str) -> JobSettings:
        """Give the job's settings; ``faults`` holds what is wrong with them."""
        self._unknown("", self.document, KEYS[""])
        self.currency = self._currency()
        shop = self._shop()
        return JobSettings(
            name=self._text("name") or fallback_name,
            currency=self.currency,
            favour=self._word("favour", _FAVOURS, Favour.OFFCUTS),
            budget=self._budget(),
            shop=shop,
            store=self._store(),
            carry=self._carry(),
            confidence=self._value("confidence", self.document.get("confidence"), _chance_of),
            trip_cents=self._cents("trip", self.document.get("trip")),
            notes=tuple(self.notes),
        )

    def _fault(self, key: str, text: str, found: object = "", help: str = "") -> None:  # noqa: A002
        self.faults.append(self.source.fault(key, text, found, help))

    def _unknown(self, table: str, held: Mapping[str, object], known: Sequence[str]) -> None:
        """Note each key that is not known in a table."""
        for key in held:
            if key in known:
                continue
            dotted = f"{table}.{key}" if table else key
            near = nearest(key, known, cutoff=0.6)
            what = "table" if isinstance(held[key], dict) else "key"
            self._fault(
                dotted,
                f"this {what} is not known",
                help=(f"did you mean {near}? " if near else nearest_key(dotted) + " ").lstrip()
                + f"known here are {', '.join(known)}",
            )

    def _table(self, name: str) -> Mapping[str, object] | None:
        """Give a table of settings, or None where the job has none."""
        held = self.document.get(name)
        if held is None:
            return None
        if not isinstance(held, dict):
            self._fault(
                name, "this is a table of settings", held, help=f"write [{name}] above them"
            )
            return None
        self._unknown(name, held, KEYS[name])
        return held

    def _text(self, key: str) -> str:
        """Give a text at the top of the settings, "" where there is none."""
        held = self.document.get(key, "")
        if isinstance(held, str):
            return tidy(held)
        self._fault(key, "this is a text", held, help=f'write {key} = "..."')
        return ""

    def _currency(self) -> str:
        text = self._text("currency").upper() or "USD"
        if not re.fullmatch(r"[A-Z]{3}", text):
            self._fault(
                "currency",
                "this is not a currency",
                text,
                help="write three letters, like USD or EUR",
            )
            return "USD"
        return text

    def _word(self, key: str, words: Mapping[str, T], default: T) -> T:
        text = self._text(key)
        if not text:
            return default
        try:
            return one_of(text, words, list(words))
        except ValueFault as fault:
            self._fault(key, fault.problem, text, fault.help)
            return default

    def _value(self, key: str, held: object, read: Callable[[str], T]) -> T | None:
        """Give one value read from a text or number, or None where it is missing or wrong."""
        if held is None:
            return None
        if isinstance(held, list | dict) or (isinstance(held, bool) and read is not yes_of):
            self._fault(key, "this takes one value", held)
            return None
        text = f"{held:.12g}" if isinstance(held, float) else str(held)
        try:
            return read(text)
        except ValueFault as fault:
            self._fault(key, fault.problem, text, fault.help)
            return None

    def _length(self, key: str, held: object, *, zero: bool = True) -> Ticks | None:
        return self._value(key, held, lambda text: length_of(text, self.units, zero=zero))

    def _cents(self, key: str, held: object) -> int | None:
        return self._value(key, held, lambda text: cents_of(text, self.currency))

    def _list(self, held: object) -> list[object]:
        """Give a list as it is, a text as its parts (``[150, 180]``, ``12" x 4"``)."""
        if isinstance(held, str):
            return list(_BETWEEN.split(held.strip("[] ")))
        return held if isinstance(held, list) else [held]

    def _budget(self) -> Budget | None:
        held = self.document.get("budget")
        if held is None:
            return None
        sums = [self._cents("budget", value) for value in self._list(held)]
        if len(sums) > 2 or not sums:
            self._fault("budget", "this is one amount or two", held, "write 180.00 or [150, 180]")
            return None
        low, high = (0 if len(sums) == 1 else sums[0]), sums[-1]
        if low is None or high is None:
            return None
        if low > high:
            self._fault("budget", "the first amount is the larger one", held, "write [150, 180]")
            return None
        return Budget(low, high)

    def _shop(self) -> Shop:
        table = self._table("shop") or {}
        kerf = self._length("shop.kerf", table.get("kerf"))
        metric = self.like is Units.MM
        if kerf is None:
            kerf = millimetres(3.2) if metric else EIGHTH
        keeps = (millimetres(300), millimetres(100)) if metric else (inches(12), inches(4))
        held = table.get("smallest_offcut")
        if held is not None:
            key = "shop.smallest_offcut"
            sizes = [self._length(key, value) for value in self._list(held)]
            if len(sizes) != 2:
                self._fault(key, "this is two measures", held, "write ['12\"', '4\"']")
            elif sizes[0] is not None and sizes[1] is not None:
                keeps = (sizes[0], sizes[1])
        stages = self._value("shop.stages", table.get("stages"), count_of)
        return Shop(
            kerf, keeps, self._saws(table.get("saws"), kerf), stages, self._rip_saving(table)
        )

    def _rip_saving(self, table: Mapping[str, object]) -> int:
        key = "shop.rip_saving"
        share = self._value(key, table.get("rip_saving"), lambda text: count_of(text, least=0))
        if share is None:
            return RIP_SAVING
        if share > _WHOLE:
            self._fault(key, "ripping cannot save more than 100 percent", share, "write 0 to 100")
        return share

    def _saws(self, held: object, shop_kerf: Ticks) -> tuple[Saw, ...]:
        if held is None:
            return ()
        if not isinstance(held, list) or not all(isinstance(saw, dict) for saw in held):
            self._fault(
                "shop.saws", "this is a list of tables", held, "write [[shop.saws]] for each"
            )
            return ()
        saws: list[Saw] = []
        for number, entry in enumerate(held, start=1):
            saw = self._saw(f"shop.saws.{number}", entry, shop_kerf)
            if saw is None:
                continue
            if saw.name.casefold() in {other.name.casefold() for other in saws}:
                self._fault(
                    f"shop.saws.{number}", "two saws have one name", saw.name, "give each a name"
                )
            saws.append(saw)
        return tuple(saws)

    def _saw(self, key: str, table: Mapping[str, object], shop_kerf: Ticks) -> Saw | None:
        self._unknown(key, table, KEYS["saw"])
        named = table.get("kind")
        kinds = [str(kind) for kind in SawKind]
        if named is None:
            self._fault(key, "a saw needs a kind", help=f"known are {', '.join(kinds)}")
            return None
        kind = self._value(f"{key}.kind", named, lambda text: one_of(text, _SAWS, kinds))
        capacities = {
            name: self._length(f"{key}.{name}", table.get(name), zero=False) for name in _CAPACITIES
        }
        if kind is None:
            return None
        for name, kinds_with in _CAPACITIES.items():
            if capacities[name] is not None and kind not in kinds_with:
                self.notes.append(f"{name} is not used for a {kind}")
                capacities[name] = None
        kerf = self._length(f"{key}.kerf", table.get("kerf"))
        name = tidy(str(table.get("name", "")))
        return Saw(name or str(kind), kind, shop_kerf if kerf is None else kerf, **capacities)

    def _store(self) -> Store | None:
        table = self._table("store")
        if table is None:
            return None

        def length(key: str, default: Ticks) -> Ticks:
            found = self._length(f"store.{key}", table.get(key))
            return default if found is None else found

        def count(key: str) -> int | None:
            return self._value(f"store.{key}", table.get(key), lambda text: count_of(text, least=0))

        def yes(key: str) -> bool:
            return bool(self._value(f"store.{key}", table.get(key), yes_of))

        usual = millimetres(3.2) if self.like is Units.MM else EIGHTH
        store = Store(
            kerf=length("kerf", usual),
            accuracy=length("accuracy", Ticks(0)),
            free_cuts=count("free_cuts") or 0,
            fee_per_cut_cents=self._cents("store.fee_per_cut", table.get("fee_per_cut")) or 0,
            most_cuts=count("most_cuts"),
            smallest_piece=length("smallest_piece", Ticks(0)),
            rough=yes("rough"),
            allowance=length("allowance", usual),
            crosscuts_boards=yes("crosscuts_boards"),
        )
        if store.rough and store.allowance < store.accuracy:
            self._fault(
                "store.allowance" if "allowance" in table else "store.accuracy",
                "the allowance is less than the accuracy: a store cut may leave a part too small",
                table.get("allowance", table.get("accuracy")),
                "set allowance to the accuracy or more",
            )
        return store

    def _carry(self) -> Carry | None:
        table = self._table("carry")
        if table is None:
            return None
        sizes = {
            key: self._length(f"carry.{key}", table.get(key), zero=False) for key in KEYS["carry"]
        }
        return Carry(**sizes)
