"""What lies on the desk: the job in hand, what was done to it, its draft; no window needed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from importlib.resources import as_file, files
from pathlib import Path

from desktop.disk import Stamp
from desktop.document import Document, new_document, open_document, open_drawer
from desktop.drafts import DraftKeeper
from desktop.edits import Edit
from desktop.history import DRAWER, History, Snapshot
from desktop.settings import Settings
from solver.drawer_sheet import Sheet
from solver.trouble import Fault, Place

EXAMPLE = "example.toml"
_Kept = tuple[Path | None, Sheet | None, Stamp | None, tuple[Fault, ...]]


def open_example() -> Document:
    """Open the example that comes with the program, as a job that has no file of its own yet.

    Returns: its document; saving it asks for a name, so the shipped one is never written to.
    """
    with as_file(files("stock_lists")) as folder:
        document = open_document(folder / EXAMPLE)
    return replace(document, path=None, drawer_path=None, job_stamp=None, drawer_stamp=None)


@dataclass(slots=True)
class Desk:
    """The job in hand."""

    settings: Settings = field(default_factory=Settings)
    keeper: DraftKeeper | None = None  # None: no drafts are kept
    document: Document = field(default_factory=new_document)
    history: History = field(init=False)
    example: bool = False  # the job in hand is the example, not yet saved under a name
    _drawers: dict[str, _Kept] = field(default_factory=dict)  # files by what the job calls them

    def __post_init__(self) -> None:
        self.history = History(self._snapshot())

    def take(self, document: Document, *, example: bool = False) -> None:
        """Take another job in hand. document; example: it is the program's own."""
        self.document, self.example = document, example
        self.history = History(self._snapshot())
        self._drawers = {}
        if document.path is not None:
            self.settings = self.settings.with_job(document.path)
        elif example:
            self.settings = replace(self.settings, last_job="")

    def edit(self, edit: Edit, place: Place, typing: bool = False) -> None:
        """Edit the job's table. edit; place: of it; typing: keys are being typed in one field."""
        self.document = self.document.edited(edit)
        self._step(place, typing=typing)

    def put_sheet(self, sheet: Sheet) -> None:
        """Put an edited drawer in place of the one before. sheet: the new one."""
        self.document = replace(self.document, sheet=sheet)
        self._step((DRAWER[0],))

    def put_drawer(self, path: Path) -> None:
        """Take another drawer file for the job, which can be undone. path: of a CSV file."""
        self._remember()
        self.document = open_drawer(self.document, path)
        self._remember()
        self._step((DRAWER[0],))

    def booked(self, document: Document, entry: int) -> None:
        """Go on after a booking in the drawer's books. document: with the drawer as it is on the
        disk now; entry: its number, by which undo finds it."""
        self.document = document
        self._step((DRAWER[0], "booked", entry))

    def rebooked(self, document: Document, *, forth: bool) -> None:
        """Go a step of a booking back or forth, the books having done so. document: as for
        `booked`; forth: it was booked again."""
        self._go(self.history.redone() if forth else self.history.undone())
        self.document = replace(
            self.document, sheet=document.sheet, saved_sheet=document.saved_sheet,
            drawer_stamp=document.drawer_stamp, drawer_faults=(),
        )  # fmt: skip
        self.history = self.history.restated(self._snapshot())

    def put_together(self, document: Document) -> None:
        """Go on with a drawer that has the changes of another program too, which can be undone.

        document: with both.
        """
        self.document = document
        self._step((DRAWER[0],))

    def undo(self) -> Place:
        """Go one step back. Returns the place that changed, () where there was no step."""
        place = self.history.undo_place
        self._go(self.history.undone())
        return place

    def redo(self) -> Place:
        """Go one step forth again. Returns the place that changed, () where there was none."""
        place = self.history.redo_place
        self._go(self.history.redone())
        return place

    def settle(self) -> None:
        """A field was left: what is typed there next is a step of its own."""
        self.history = self.history.settled()

    def saved(self, document: Document) -> None:
        """Go on after a save. document: as it was saved."""
        self.document, self.example = document, self.example and document.path is None
        self.history = self.history.restated(self._snapshot())
        if document.path is not None:
            self.settings = self.settings.with_job(document.path)

    def keep_draft(self) -> str:
        """Keep the work as it is now. Returns '' or why that is not possible."""
        return self.keeper.keep(self.document) if self.keeper is not None else ""

    def _snapshot(self) -> Snapshot:
        return Snapshot(self.document.table, self.document.sheet)

    def _step(self, place: Place, *, typing: bool = False) -> None:
        self.history = self.history.edited(self._snapshot(), place, typing=typing)

    def _go(self, history: History) -> None:
        self.history, now = history, history.now
        document, name = self.document, str(now.table.get("drawer"))
        if name != str(document.table.get("drawer")) and name in self._drawers:
            # The sheet goes back to the file it came from, or saving would put it into another.
            path, saved, stamp, faults = self._drawers[name]
            document = replace(
                document, drawer_path=path, saved_sheet=saved, drawer_stamp=stamp,
                drawer_faults=faults,
            )  # fmt: skip
        self.document = document.at(now.table, now.sheet)

    def _remember(self) -> None:
        one = self.document
        self._drawers[str(one.table.get("drawer"))] = (
            one.drawer_path, one.saved_sheet, one.drawer_stamp, one.drawer_faults,
        )  # fmt: skip
