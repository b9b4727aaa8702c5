"""A job file as a table that is read key by key; every fault is noted and none stops the reading.

A faulty number stands as not-a-number until the faults are raised: every comparison with it is
false, so one fault never breeds another.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from solver.trouble import Fault, Place, Trouble, shown
from solver.units import NotAQuantity, angle_deg, bare_number, length_um, said, shown_length

MOST_FAULTS = 100  # past these a file is not a job with slips in it
FAULTY = math.nan


def where_words(source: str, place: Place) -> str:
    """Say a place in the file for people.

    source: name of the file; place: path into its table. Returns: 'job.toml: reading 2: goes'.
    """
    words, rest = [source], list(place)
    if len(rest) > 1 and rest[0] == "readings" and isinstance(rest[1], int):
        words, rest = [source, f"reading {rest[1] + 1}"], rest[2:]
    for part in rest:
        words.append(f"number {part + 1}" if isinstance(part, int) else shown(part, 40)[1:-1])
    return ": ".join(words)


@dataclass(slots=True)
class Notes:
    """What reading a file brings up: faults, and what had to be assumed."""

    source: str
    faults: list[Fault] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)

    def fault(self, place: Place, found: str, wanted: str, way_out: str) -> None:
        """Note a fault. place: path into the table; found, wanted, way_out: for people."""
        where = where_words(self.source, place)
        self.faults.append(Fault(where, found, wanted, way_out, place))

    def raise_faults(self) -> None:
        """Raise what was noted. Raises: Trouble, unless there was no fault."""
        more = len(self.faults) - MOST_FAULTS
        if more > 0:
            most = Fault(
                self.source, f"{more} more faults", "none", "mend these first, then look again"
            )
            raise Trouble([*self.faults[:MOST_FAULTS], most])
        if self.faults:
            raise Trouble(self.faults)


@dataclass(frozen=True, slots=True)
class Page:
    """One table of the file, with its place; reading a key notes what is wrong with it."""

    table: dict[str, object]
    place: Place
    notes: Notes
    unit: str  # blank where the file's own is faulty: then every length in it is faulty, unsaid

    def has(self, key: str) -> bool:
        """Whether a key is there. key: its name."""
        return key in self.table

    def fault(self, key: str | None, found: str, wanted: str, way_out: str) -> None:
        """Note a fault at a key, or of the whole table. key: its name, or None."""
        place = self.place if key is None else (*self.place, key)
        self.notes.fault(place, found, wanted, way_out)

    def missing(self, key: str, wanted: str, way_out: str) -> None:
        """Note that a key is missing. key: its name; wanted, way_out: for people."""
        self.fault(key, "nothing", wanted, way_out)

    def only(self, words: Iterable[str], what: str = "word") -> None:
        """Note every key that is none of the known ones. words: those; what: to call them."""
        known = tuple(words)
        for key in self.table:
            if key not in known:
                found = f"the unknown {what} {shown(key)}"
                self.fault(key, found, f"one of {quoted(known)}", meant(key, known))

    def page(self, key: str, wanted: str = "a table") -> Page | None:
        """Open a table inside this one. key: its name; wanted: what it is. Returns it, or None."""
        value = self.table.get(key)
        if isinstance(value, dict):
            return Page(value, (*self.place, key), self.notes, self.unit)
        if value is not None:
            self.fault(key, said(value), wanted, f"write [{key}] or {{ … }}")
        return None

    def text(self, key: str, default: str = "") -> str:
        """Read a text. key: its name; default: where there is none. Returns it."""
        value = self.table.get(key, default)
        if isinstance(value, str):
            return value
        self.fault(key, said(value), "a text", "put it in quotes")
        return default

    def choice(self, key: str, words: tuple[str, ...], default: str | None) -> str:
        """Read one of some words. key; words: those; default: None where it must be there."""
        if not self.has(key) and default is not None:
            return default
        value = self.table.get(key)
        if isinstance(value, str) and value in words:
            return value
        way_out = meant(value, words) if isinstance(value, str) else f'write {key} = "{words[0]}"'
        found = shown(value) if isinstance(value, str) else said(value)
        self.fault(key, found, f"one of {quoted(words)}", way_out)
        return words[0]

    def flag(self, key: str) -> bool:
        """Read a true or false. key: its name. Returns it; false where there is none."""
        value = self.table.get(key, False)
        if isinstance(value, bool):
            return value
        self.fault(key, said(value), "true or false", f"write {key} = true or leave it out")
        return False

    def whole(self, key: str, low: int, high: int, default: int) -> int:
        """Read a whole number from low to high. key; default: where there is none. Returns it."""
        value = self.table.get(key, default)
        if isinstance(value, int) and not isinstance(value, bool) and low <= value <= high:
            return value
        found = said(self.table.get(key))
        self.fault(key, found, f"a whole number from {low} to {high}", _PLAIN_WHOLE)
        return default

    def number(self, key: str, low: float, high: float, way_out: str, open_: bool = False) -> float:
        """Read a number without unit from low to high.

        key; way_out: for people; open_: the ends do not count. Returns it, FAULTY where there is
        none or a bad one.
        """
        wanted = f"a number {'above' if open_ else 'from'} {low:g} {'and below' if open_ else 'to'}"
        wanted += f" {high:g}"
        try:
            value = bare_number(self.table.get(key), wanted)
        except NotAQuantity as bad:
            self.fault(key, bad.found, wanted, way_out)
            return FAULTY
        if (low < value < high) if open_ else (low <= value <= high):
            return value
        self.fault(key, said(self.table[key]), wanted, way_out)
        return FAULTY

    def angle(self, key: str, low: float, high: float, default: float | None = None) -> float:
        """Read an angle from low to high [degrees]. key; default: where there is none."""
        if not self.has(key) and default is not None:
            return default
        wanted, way_out = f"an angle from {low:g} to {high:g} degrees", "write it in degrees"
        try:
            value = angle_deg(self.table.get(key))
        except NotAQuantity as bad:
            self.fault(key, bad.found, wanted, way_out)
            return FAULTY
        if low <= value <= high:
            return value
        self.fault(key, said(self.table[key]), wanted, way_out)
        return FAULTY

    def length(
        self,
        key: str,
        default: float | None = None,
        *,
        low_um: float = -math.inf,
        above: bool = False,
    ) -> float:
        """Read a length.

        key; default: where there is none [µm], None where it must be there; low_um: the least
        there may be [µm]; above: it must be above that. Returns it [µm], or FAULTY.
        """
        if not self.has(key) and default is not None:
            return default
        return self.length_of(self.table.get(key), (key,), low_um=low_um, above=above)

    def length_of(
        self, value: object, inside: Place, *, low_um: float = -math.inf, above: bool = False
    ) -> float:
        """Read a length from a value that stands at a place inside this table [µm]."""
        place = (*self.place, *inside)
        try:
            found_um = length_um(value, self.unit or "mm")
        except NotAQuantity as bad:
            self.notes.fault(place, bad.found, bad.wanted, bad.way_out)
            return FAULTY
        if found_um > low_um or (found_um == low_um and not above):
            return found_um if self.unit else FAULTY
        least = shown_length(low_um, self.unit or "mm") if low_um else "0"
        wanted = f"a length above {least}" if above else f"{least} or more"
        self.notes.fault(place, said(value), wanted, "check its sign and its unit")
        return FAULTY

    def lengths(self, key: str, *, low_um: float = -math.inf) -> tuple[float, ...]:
        """Read a length or a list of lengths [µm]. key; low_um: the least there may be [µm]."""
        value = self.table.get(key)
        if not isinstance(value, list):
            return (self.length_of(value, (key,), low_um=low_um),)
        if not value:
            self.fault(key, "an empty list", "at least one length", "write what was read")
        if len(value) > 1000:
            self.fault(key, f"{len(value)} numbers", "at most 1000", "write fewer")
            return (FAULTY,)
        places = ((key, number) for number in range(len(value)))
        return tuple(
            self.length_of(one, place, low_um=low_um)
            for one, place in zip(value, places, strict=True)
        )


_PLAIN_WHOLE = "write a whole number without quotes"


def quoted(words: Iterable[str]) -> str:
    """List words in quotes for a message. words: any number. Returns text."""
    return ", ".join(f'"{shown(word, 30)[1:-1]}"' for word in words)


def meant(word: str, known: tuple[str, ...]) -> str:
    """Suggest the nearest known word. word: as found; known: the words there are. Returns text."""
    near = difflib.get_close_matches(word[:60].lower(), known, 1, 0.6)
    return f'did you mean "{near[0]}"' if near else "take it out or correct it"
