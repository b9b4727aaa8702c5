"""What is wrong with an input, as data: where, what was found, what was wanted, the way out."""

from __future__ import annotations

from dataclasses import dataclass

Place = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input, in the words that a person at the bench needs."""

    where: str  # for people: 'job.toml: reading 2: goes'
    found: str
    wanted: str
    way_out: str
    place: Place = ()  # for programs: ('readings', 1, 'goes'), a path into the file's table

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}, wanted {self.wanted}; {self.way_out}"


class Trouble(Exception):
    """A bad input: every fault found in it, at once, never just the first."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        if not faults:
            raise ValueError("Trouble without a fault")
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def shown(value: object, most: int = 60) -> str:
    """Show a found value on one line, shortened, so that rubbish cannot flood the screen.

    value: anything; most: longest text wanted [characters]. Returns text.
    """
    text = repr(value) if not isinstance(value, str) else f"'{value}'"
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= most else text[: most - 1] + "…"
