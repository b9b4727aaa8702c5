"""What the window does with the drawer's books: it books, undoes through them, and says so.

A booking is on the disk at once, so it wants a drawer that is saved; its step in the window's undo
is turned round by an entry in the books, never by an older drawer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from desktop.disk import stamp_of
from desktop.document import Document, changed_on_disk
from desktop.drawer_changes import job_name
from desktop.history import DRAWER
from desktop.middle import BOOKS
from desktop.notice import Question
from solver.book_moves import Measurement
from solver.books import Booked, Opened, adopt, measure, open_books, put_back, take
from solver.books import undo as undo_entry
from solver.drawer_sheet import Sheet
from solver.plan import Plan
from solver.report_books import entry_words
from solver.trouble import Place, Trouble

if TYPE_CHECKING:
    from desktop.window import Window

BOOKED = "booked"  # in the place of a step of undo: ('drawer sheet', 'booked', 12)
Deed = Callable[[Path, Sheet | None], Booked]


@dataclass(frozen=True, slots=True, eq=False)
class BooksShown:
    """All that the books' face shows."""

    opened: Opened | None  # None: no drawer on the disk yet, or books with faults
    fault: str  # why the books cannot be shown
    job: str  # as the books call it
    plan: Plan | None  # that could be taken
    saved: bool  # the drawer in the window is the one on the disk


def _nothing() -> None:
    """What happens where nothing is to happen."""


class BooksWork:
    """The books of the drawer in hand."""

    def __init__(self, window: Window) -> None:
        """window: theirs."""
        self._window = window

    def shown(self) -> BooksShown:
        """Read the books as they are on the disk; what was cut short is settled, and told."""
        document, asking = self._document, self._window.asking
        verdict = asking.shown.verdict if asking.shown and asking.state == "done" else None
        opened, fault = None, ""
        if document.drawer_path is not None and document.drawer_path.exists():
            try:
                opened = open_books(document.drawer_path)
                opened.balance  # noqa: B018  # a drawer with faults has none
            except Trouble as trouble:
                opened, fault = None, str(trouble.faults[0])
        if opened is not None and opened.settled:
            self._window.panels.notice.tell(f"Found in the books: {opened.settled}.", "warn")
        good = asking.shown is not None and asking.shown.agreement.state != "disagree"
        plan = verdict.plan if verdict is not None and good else None
        return BooksShown(opened, fault, self._job, plan, self._is_saved(document))

    # What can be booked

    def take(self) -> None:
        """Take the plan that is shown out of the drawer."""
        plan, job = self.shown().plan, self._job
        if plan is not None:
            self._book(lambda path, base: take(path, plan, job, base=base), "It is out already.")

    def put_back(self) -> None:
        """Put everything back that is out for the job in hand."""
        job = self._job
        self._book(lambda path, base: put_back(path, job, base=base))

    def measure(self, lot: str, found: Measurement, pieces: int) -> None:
        """Enter a measured thickness. lot: its id; found: by measuring; pieces: 0 for all."""
        self._book(lambda path, base: measure(path, lot, found, pieces, base=base))

    def adopt(self, what: str) -> None:
        """Take in what was done past the books. what: 'counted', 'bought', 'cut' or 'used up'."""
        self._book(lambda path, _: adopt(path, what), "There is nothing of that kind.")

    def undo_entry(self, number: int) -> None:
        """Turn an entry round. number: its own."""
        self._book(lambda path, base: undo_entry(path, number, base=base))

    # Undo and redo of the window

    def undo(self) -> bool:
        """Undo in the books where the window's next step back is a booking. Returns whether."""
        return self._step(self._window.desk.history.undo_place, forth=False)

    def redo(self) -> bool:
        """Book again where the window's next step forth is a booking. Returns whether."""
        return self._step(self._window.desk.history.redo_place, forth=True)

    def _step(self, place: Place, *, forth: bool) -> bool:
        if place[:2] != (DRAWER[0], BOOKED) or not isinstance(place[2], int):
            return False
        number = place[2]

        def deed(path: Path, base: Sheet | None) -> Booked:
            # To do a thing again is to undo the entry that undid it.
            entry = open_books(path).books.undone_by(number) if forth else number
            return undo_entry(path, entry, base=base)

        self._book(deed, back=not forth, forth=forth)
        return True

    # How it is booked

    @property
    def _document(self) -> Document:
        return self._window.desk.document

    @property
    def _job(self) -> str:
        return job_name(self._document.table)

    def _is_saved(self, document: Document) -> bool:
        return document.drawer_path is not None and not document.drawer_unsaved

    def _book(self, deed: Deed, idle: str = "", *, back: bool = False, forth: bool = False) -> None:
        """Book on the disk, and show the drawer as it is there afterwards."""
        document, files = self._document, self._window.files
        if document.sheet is None or not self._is_saved(document):
            words = "The books are kept beside a drawer that is saved; this one is not yet."

            def again() -> None:
                if self._document.sheet is not None and self._is_saved(self._document):
                    self._book(deed, idle, back=back, forth=forth)

            self._ask(words, (("Save", lambda: files.save(again)), ("Go on", _nothing)), "warn")
            return
        assert document.drawer_path is not None
        try:
            booked = deed(document.drawer_path, document.saved_sheet)
        except Trouble as trouble:
            self._refused(trouble)
            return
        if not booked.lines:
            self._window.panels.notice.tell(idle or "There is nothing to book.", "warn")
            return
        self._booked(booked, back=back, forth=forth)

    def _booked(self, booked: Booked, *, back: bool, forth: bool) -> None:
        window, after = self._window, booked.after
        stamp = stamp_of(after.path, after.data)
        document = replace(
            self._document, sheet=after.sheet, saved_sheet=after.sheet, drawer_stamp=stamp,
            drawer_faults=(),
        )  # fmt: skip
        if back or forth:
            window.desk.rebooked(document, forth=forth)
        else:
            window.desk.booked(document, booked.entry)
        window.read()
        if (back or forth) and window.face != BOOKS:
            window.go_to((DRAWER[0],))  # where something has changed
        window.show()
        words = entry_words(booked.lines)
        kept = " What another program changed in other lots is kept." if booked.merged else ""
        window.panels.notice.tell(f"Entry {booked.entry}: {words}.{kept}")

    def _refused(self, trouble: Trouble) -> None:
        """Nothing was booked: say why, and offer to look again where the drawer has changed."""
        faults = trouble.faults
        more = f" (and {len(faults) - 1} more)" if len(faults) > 1 else ""
        document = self._document
        answers: list[tuple[str, Callable[[], object]]] = [("All right", _nothing)]
        if changed_on_disk(document) is not None and document.path is not None:
            path = document.path
            answers.insert(0, ("Read it again", lambda: self._window.files.reopen(path)))
        self._ask(f"Nothing was booked. {faults[0]}{more}.", tuple(answers), "bad")

    def _ask(
        self, words: str, answers: tuple[tuple[str, Callable[[], object]], ...], tone: str
    ) -> None:
        self._window.panels.notice.ask(Question(words, answers, tone=tone, name="books"))
