"""The books of a drawer as data: what came, what went where, and what should therefore be there.

A line moves like pieces of one lot. Nothing is ever erased: what was wrong is undone by lines of
the same kind with the count turned round. So sums over the lines are always the books.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

START, BOUGHT, CUT, COUNTED = "start", "bought", "cut", "counted"
TAKEN, PUT_BACK, USED_UP, MEASURED = "taken", "put back", "used up", "measured"
KINDS = (START, BOUGHT, CUT, COUNTED, TAKEN, PUT_BACK, USED_UP, MEASURED)
CAME = (START, BOUGHT, CUT, COUNTED)  # into the house; counted may be less than nothing
BEGUN, DONE, NOT_DONE = "begun", "done", "not done"


@dataclass(frozen=True, slots=True)
class Said:
    """What the drawer says of a lot besides its count, in its own words."""

    thickness: str = ""
    unit: str = ""
    within: str = ""
    tool: str = ""
    fits: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """Like pieces of one lot that went one way; lines of one entry were booked together."""

    entry: int
    when: str  # as the clock of the bench said, such as '2026-03-05 18:02:58'
    what: str  # of KINDS
    lot: str
    count: int  # pieces; negative in lines that undo others, and in 'measured' for the old ones
    job: str = ""  # that they were taken for
    left: int = 0  # in the drawer afterwards
    said: Said = field(default=Said())  # of the lot: after 'measured' with a count above 0, anew
    note: str = ""
    undoes: int = 0  # the entry that this one turns round
    state: str = DONE
    seals: str = ""  # while begun: digests of the drawer before and after

    @property
    def into_drawer(self) -> int:
        """By how much the drawer's count changes."""
        if self.what == TAKEN:
            return -self.count
        if self.what == USED_UP:
            return 0 if self.job else -self.count  # with a job: it was fitted, not in the drawer
        return self.count

    @property
    def into_fitted(self) -> int:
        """By how much the number of fitted pieces changes."""
        if self.what == TAKEN:
            return self.count
        if self.what == PUT_BACK or (self.what == USED_UP and self.job):
            return -self.count
        return 0


@dataclass(frozen=True, slots=True)
class Books:
    """All lines in the order in which they were booked."""

    lines: tuple[Line, ...] = ()

    @property
    def counted(self) -> tuple[Line, ...]:
        """The lines that count: those whose booking came about."""
        return tuple(line for line in self.lines if line.state == DONE)

    @property
    def next_entry(self) -> int:
        """A number that no entry has."""
        return max((line.entry for line in self.lines), default=0) + 1

    def entry(self, number: int) -> tuple[Line, ...]:
        """Lines of an entry. number: its own. Returns: them, none where there is no such entry."""
        return tuple(line for line in self.lines if line.entry == number)

    def out(self) -> dict[tuple[str, str], int]:
        """Pieces that are out. Returns: number by (job, lot id), none of 0, the latest job last."""
        found: dict[tuple[str, str], int] = {}
        for line in self.counted:
            if line.job:
                count = found.pop((line.job, line.lot), 0)
                found[line.job, line.lot] = count + line.into_fitted
        return {key: count for key, count in found.items() if count}

    def fitted(self, job: str) -> dict[str, int]:
        """Pieces that are out for a job. job: its name. Returns: number by lot id, none of 0."""
        return {lot: count for (name, lot), count in self.out().items() if name == job}

    @property
    def jobs(self) -> tuple[str, ...]:
        """The jobs that pieces are out for, the latest first."""
        return tuple(dict.fromkeys(name for name, _ in reversed(self.out())))

    def expected(self) -> dict[str, int]:
        """What should be in the drawer. Returns: number by lot id."""
        found: dict[str, int] = {}
        for line in self.counted:
            found[line.lot] = found.get(line.lot, 0) + line.into_drawer
        return found

    def said(self, lot: str) -> Said:
        """What was last said of a lot. lot: its id. Returns: blanks where nothing was."""
        return next((line.said for line in reversed(self.counted) if line.lot == lot), Said())

    def undone_by(self, number: int) -> int:
        """The entry that undoes another and still stands. number: of the other. Returns 0: none."""
        for line in self.counted:
            if line.undoes == number and not self.undone_by(line.entry):
                return line.entry
        return 0

    def last_to_undo(self) -> int:
        """The newest entry that undo would turn round. Returns: its number, 0 where none is."""
        for line in reversed(self.counted):
            if line.what != START and not line.undoes and not self.undone_by(line.entry):
                return line.entry
        return 0

    def with_state(self, state: str) -> Books:
        """The books with what is only begun settled. state: DONE or NOT_DONE. Returns them."""
        return Books(
            tuple(
                replace(line, state=state, seals="") if line.state == BEGUN else line
                for line in self.lines
            )
        )


@dataclass(frozen=True, slots=True)
class Difference:
    """A lot whose count in the drawer is not what the books say."""

    lot: str
    there: int
    expected: int


@dataclass(frozen=True, slots=True)
class Balance:
    """Whether drawer + fitted + used up = start + bought + cut + counted, in pieces."""

    drawer: int
    fitted: int
    used_up: int
    start: int
    bought: int
    cut: int
    counted: int
    differences: tuple[Difference, ...]  # lot by lot

    @property
    def holds(self) -> bool:
        """Whether every lot is there in the number that the books say."""
        return not self.differences


def balance(books: Books, there: dict[str, int]) -> Balance:
    """Hold the books against the drawer.

    books; there: number in the drawer by lot id. Returns: the balance, its differences in the order
    of the drawer, lots that are no longer in it last; books not yet begun say nothing against it.
    """
    sums = dict.fromkeys(KINDS, 0)
    fitted = 0
    for line in books.counted:
        sums[line.what] += line.count
        fitted += line.into_fitted
    expected = books.expected()
    differences = tuple(
        Difference(lot, there.get(lot, 0), expected.get(lot, 0))
        for lot in dict.fromkeys((*there, *expected))
        if books.lines and there.get(lot, 0) != expected.get(lot, 0)
    )
    return Balance(
        sum(there.values()), fitted, sums[USED_UP], sums[START], sums[BOUGHT], sums[CUT],
        sums[COUNTED], differences,
    )  # fmt: skip
