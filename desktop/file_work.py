"""Opening and saving from the window: asks before anything could be lost, and asks in the window.

A file dialog is the only box there is; the questions are put by the notice.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

from desktop.desk import Desk, open_example
from desktop.disk import Stamp, stamp_of
from desktop.document import (
    ChangedOnDisk,
    Document,
    Saved,
    changed_on_disk,
    new_document,
    open_document,
    save_document,
    save_drawer_as,
)
from desktop.drafts import LeftBehind, discard, left_behind
from desktop.drawer_changes import both_together, differences, drawer_held
from desktop.edits import fresh_line_table
from desktop.inputs import unit_of
from desktop.notice import Notice, Question
from solver.plain_file import replace_bytes
from solver.trouble import Trouble

Then = Callable[[], object]
JOBS = (("Jobs", "*.toml"), ("All files", "*"))
DRAWERS = (("Drawers", "*.csv"), ("All files", "*"))
LISTS = (("Lists", "*.csv"), ("All files", "*"))
TEXTS = (("Text", "*.txt"), ("All files", "*"))


def nothing() -> None:
    """What happens where nothing is to happen."""


def ask_path(kind: str, types: tuple[tuple[str, str], ...], name: str, folder: Path) -> Path | None:
    """Ask for a file with the system's dialog.

    kind: 'open' or 'save'; types: (word, pattern) pairs; name: to begin with; folder: to begin in.
    Returns: its path, None where the user gave up.
    """
    from tkinter import filedialog

    if kind == "open":
        found = filedialog.askopenfilename(filetypes=types, initialdir=folder)
    else:
        # The notice asks before anything is overwritten, and asks better.
        found = filedialog.asksaveasfilename(
            filetypes=types, initialdir=folder, initialfile=name, confirmoverwrite=False,
            defaultextension=types[0][1].removeprefix("*"),
        )  # fmt: skip
    return Path(found) if found else None


class FileWork:
    """What the window does with files."""

    def __init__(
        self,
        desk: Desk,
        notice: Callable[[], Notice],
        shown: Callable[[bool], object],
        *,
        asked: Callable[..., Path | None] = ask_path,
        drafts: Path | None = None,
    ) -> None:
        """desk: the job in hand; notice: gives the window's strip; shown: shows the desk, with true
        where another job lies on it; asked: asks for a path; drafts: their folder."""
        self._desk, self._notice, self._shown = desk, notice, shown
        self._asked, self._drafts = asked, drafts
        self._let_be: tuple[Stamp | None, ...] | None = None

    # Other jobs

    def new(self) -> None:
        """Begin a new job, in the unit that is shown."""
        unit = unit_of(self._desk.document.table, self._desk.settings.shown_unit)
        self.when_saved(lambda: self._take(new_document(unit)))

    def new_line(self) -> None:
        """Begin a new job about a line of dimensions, in the unit that is shown."""
        unit = unit_of(self._desk.document.table, self._desk.settings.shown_unit)
        table = fresh_line_table(unit)
        self.when_saved(lambda: self._take(new_document(unit, table)))

    def open(self) -> None:
        """Ask for a job and open it."""

        def ask() -> None:
            path = self._asked("open", JOBS, "", self._folder)
            if path is not None:
                self.read(path)

        self.when_saved(ask)

    def reopen(self, path: Path) -> None:
        """Open a job that was open lately. path: of its file."""
        self.when_saved(lambda: self.read(path))

    def open_example(self) -> None:
        """Open the example."""
        self.when_saved(lambda: self._take(open_example(), example=True))

    def read(self, path: Path) -> bool:
        """Open a job file, whatever is on the desk. path. Returns whether it could be."""
        try:
            document = open_document(path)
        except Trouble as trouble:
            self._complain(str(trouble.faults[0]))
            if not path.exists():
                self._desk.settings = self._desk.settings.without_job(path)
                self._shown(False)
            return False
        self._take(document)
        return True

    def when_saved(self, then: Then) -> None:
        """Do something that gives up the job in hand, after asking where it is not saved. then."""
        if not self._desk.document.unsaved:
            then()
            return
        name = self._desk.document.name
        answers = (
            ("Save", lambda: self.save(then)),
            ("Do not save", then),
            ("Keep working", nothing),
        )
        self._ask(f"There is unsaved work in {name}.", answers, "unsaved")

    def _take(self, document: Document, *, example: bool = False) -> None:
        self._desk.take(document, example=example)
        if self._desk.keeper is not None:
            self._desk.keeper.drop()
        self._let_be = None
        self._notice().withdraw("changed")
        self._shown(True)

    # Saving

    def save(self, then: Then = nothing) -> None:
        """Save the job and its drawer; one without a file asks for its name. then: after it."""
        path = self._desk.document.path
        if path is None:
            self.save_as(then)
        else:
            self._save(None, then)

    def save_as(self, then: Then = nothing) -> None:
        """Save under a name that is asked for. then: after it."""
        document = self._desk.document
        name = document.path.name if document.path else "job.toml"
        path = self._asked("save", JOBS, name, self._folder)
        if path is not None:
            self._save(path, then)

    @property
    def _folder(self) -> Path:
        """Where to look for files first: by the job, else by the one open last, else at home."""
        path = self._desk.document.path or next(iter(self._desk.settings.recent), None)
        return Path(path).parent if path else Path.home()

    def _save(self, path: Path | None, then: Then, *, anyway: bool = False) -> None:
        document = self._desk.document
        try:
            with drawer_held(document):
                outcome = save_document(document, path, anyway=anyway)
        except Trouble as trouble:
            self._complain(str(trouble.faults[0]))
            return
        if isinstance(outcome, ChangedOnDisk):
            over = ("Save over it", lambda: self._save(path, then, anyway=True))
            elsewhere = ("Save under another name", lambda: self.save_as(then))
            if outcome.paths == (document.drawer_path,):
                elsewhere = ("Save the drawer elsewhere", lambda: self.save_drawer())
            answers = (
                *self._put_together(outcome, lambda: self._save(path, then)),
                elsewhere,
                over,
                *(() if outcome.strange else (("Read it again", self._read_again),)),
                ("Go on", nothing),
            )
            told = differences(document, outcome)
            self._ask(f"Not saved: {outcome.words}{told}.", answers, "changed")
            return
        self._after_save(outcome)
        then()

    def _put_together(self, outcome: ChangedOnDisk, then: Then) -> tuple[tuple[str, Then], ...]:
        """The answer that puts two changed drawers into one, where no lot is in both. then."""
        document = self._desk.document
        if outcome.paths != (document.drawer_path,) or not document.drawer_unsaved:
            return ()
        if both_together(document) is None:
            return ()

        def put() -> None:
            both = both_together(self._desk.document)  # it may have changed once more
            if both is not None:
                self._desk.put_together(both)
            then()

        return (("Put both together", put),)

    def _after_save(self, saved: Saved) -> None:
        self._desk.saved(saved.document)
        if self._desk.keeper is not None and not saved.document.unsaved:
            self._desk.keeper.drop()
        self._let_be = None
        self._notice().withdraw("changed")
        lost = "" if saved.comments_kept else " Comments in the file could not be kept."
        self._notice().tell(f"Saved {saved.document.name}.{lost}")
        self._shown(False)

    def save_text(self, text: str) -> None:
        """Save the answer as text. text: the whole answer."""
        data = text.encode("utf-8")
        self.ask_where("-answer.txt", TEXTS, lambda path: self.write(path, data))

    def ask_where(
        self, name_end: str, types: tuple[tuple[str, str], ...], then: Callable[[Path], object]
    ) -> None:
        """Ask where something made of the job is to go, and again before it goes over a file.

        name_end: of the name to begin with, behind the job's; types: (word, pattern) pairs; then:
        called with the path; not called where the user gives up.
        """
        document = self._desk.document
        stem = document.path.stem if document.path else ""
        path = self._asked("save", types, f"{stem}{name_end}".lstrip("-"), document.folder)
        if path is None:
            return
        if path.exists():
            over = ("Save over it", lambda: then(path))
            self._ask(f"{path.name} was there already.", (over, _GO_ON), "text")
        else:
            then(path)

    def write(self, path: Path, data: bytes) -> None:
        """Write a file and say where. path; data: its bytes."""
        try:
            replace_bytes(path, data)
        except Trouble as trouble:
            self._complain(str(trouble.faults[0]))
        else:
            self._notice().tell(f"Saved {path.name} in {path.parent}.")

    # Other lists

    def ask_list(self, kind: str, name: str) -> Path | None:
        """Ask for a list kept as CSV. kind: 'open' or 'save'; name: to begin with. Returns it."""
        return self._asked(kind, LISTS, name, self._folder)

    # The drawer alone

    def open_drawer(self) -> None:
        """Ask for another drawer file and take it."""
        path = self._asked("open", DRAWERS, "", self._desk.document.folder)
        if path is None:
            return

        def take() -> None:
            self._desk.put_drawer(path)
            self._shown(False)

        if self._desk.document.drawer_unsaved:
            words = "The drawer in hand has changes that are not saved; undo would bring them back."
            self._ask(words, (("Open the other one", take), _GO_ON), "drawer")
        else:
            take()

    def save_drawer(self, path: Path | None = None, *, anyway: bool = False) -> None:
        """Save the drawer alone. path: asked for where None; anyway: over what is there."""
        document = self._desk.document
        if document.sheet is None:
            self._notice().tell("There is no drawer to save yet.", "warn")
            return
        name = document.drawer_path.name if document.drawer_path else "drawer.csv"
        path = path or self._asked("save", DRAWERS, name, document.folder)
        if path is None:
            return
        try:
            outcome = save_drawer_as(document, path, anyway=anyway)
        except Trouble as trouble:
            self._complain(str(trouble.faults[0]))
            return
        if isinstance(outcome, ChangedOnDisk):
            answers = (("Save over it", lambda: self.save_drawer(path, anyway=True)), _GO_ON)
            self._ask(f"Not saved: {outcome.words}.", answers, "drawer")
            return
        self._desk.saved(outcome.document)
        self._notice().tell(f"Saved {path.name}.")
        self._shown(False)

    # What others did, and what was left behind

    def check_disk(self) -> None:
        """Notice what another program did to the files, once for each time it did."""
        changed = changed_on_disk(self._desk.document)
        seen = tuple(stamp_of(path) for path in changed.paths) if changed else ()
        if changed is None or seen == self._let_be:
            return
        self._let_be = seen
        together = self._put_together(changed, lambda: self._shown(False))
        answers = (*together, ("Read it again", self._read_again), ("Keep what is here", nothing))
        lost = " What you changed here would be lost by reading." if together else ""
        if self._desk.document.unsaved and not together:
            lost = " What you changed here would be lost."
        told = differences(self._desk.document, changed)
        self._ask(f"{changed.words}{told}.{lost}", answers, "changed")

    def _read_again(self) -> None:
        path = self._desk.document.path
        if path is not None:
            self.read(path)

    def offer_drafts(self) -> None:
        """Offer back what a window that crashed has left behind, the newest first."""
        for draft in left_behind(self._drafts):
            when = time.strftime("%d %b, %H:%M", time.localtime(draft.kept_at_s)).lstrip("0")
            answers = (
                ("Take it up again", lambda draft=draft: self._take_up(draft)),
                ("Throw it away", lambda draft=draft: discard(draft)),
                ("Later", nothing),
            )
            words = f"Unsaved work on {draft.name} was left behind on {when}."
            self._ask(words, answers, f"draft {draft.file.name}")

    def _take_up(self, draft: LeftBehind) -> None:
        def take() -> None:
            self._take(draft.document)
            if not self._desk.keep_draft():
                discard(draft)  # only once it is kept anew

        self.when_saved(take)

    def _ask(
        self, words: str, answers: tuple[tuple[str, Then], ...], name: str, tone: str = "warn"
    ) -> None:
        self._notice().ask(Question(words, answers, name=name, tone=tone))

    def _complain(self, words: str) -> None:
        self._ask(f"{words}.", (("All right", nothing),), "trouble", "bad")


_GO_ON: tuple[str, Then] = ("Go on", nothing)
