"""The stage of cutting and buying in the window: its frame, and what it does with its files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from desktop.document import named_beside
from desktop.edits import set_at
from desktop.routes_asking import RoutesAsking
from desktop.routes_files import begin_list
from desktop.routes_shared_jobs import ask_jobs
from desktop.routes_stage import Calls, RoutesStage
from solver.drawer_sheet import Sheet
from solver.report_words import listed

if TYPE_CHECKING:
    from desktop.window import Window


class RoutesPlace:
    """What the stage asks the window for."""

    def __init__(self, window: Window, asking: RoutesAsking) -> None:
        """window: the stage's; asking: what is known of cutting and buying."""
        self._window, self._asking = window, asking

    def frame(self) -> RoutesStage:
        """Make the stage in the look of now. Returns it."""
        window = self._window
        calls: Calls = {
            "copy": window.copy,
            "axle": lambda: window.stages.turn_to("axle", keyboard=True),
            "again": window.choose,
            "add": self.add_jobs,
            "begin": self.begin,
            "pick": self.pick,
            "list": self.put,
            "shown": window.show,
        }
        panels = window.panels
        return RoutesStage(panels, panels.theme, self._asking, on_edit=window.edited, calls=calls)

    def begin(self, key: str) -> None:
        """Begin a list beside the job, and show its rows. key: of it.

        A file of that name is taken as it is; a job that has no place yet asks for one.
        """
        window, one = self._window, self._asking.lists[key]
        document = window.desk.document
        if one.missing and one.path is not None:
            self._take(key, one.path, named=True)
            return
        if document.path is None:
            path = window.files.ask_list("save", f"{key}.csv")
        else:
            path = document.folder / f"{key}.csv"
            if path.exists():
                path = document.folder / f"{document.path.stem}_{key}.csv"
        if path is not None:
            self._take(key, path)

    def pick(self, key: str) -> None:
        """Ask for a file and take it as a list. key: of the list."""
        path = self._window.files.ask_list("open", "")
        if path is not None:
            self._take(key, path)

    def add_jobs(self) -> None:
        """Ask for jobs that share one order with the open one, and put them on the list."""
        window = self._window
        document = window.desk.document
        there = self._asking.order.add(ask_jobs(document.folder), document.path)
        if there:
            verb = "is" if len(there) == 1 else "are"
            window.panels.notice.tell(f"{listed(there)} {verb} on the list already.", "warn")

    def put(self, key: str, sheet: Sheet) -> None:
        """Write a changed list. key: of it; sheet: the new one."""
        self._tell(self._asking.lists[key].put(sheet))

    def step(self, key: str, *, back: bool) -> bool:
        """Take the last change of a list back, or make it again. key: of the list in hand, '' for
        none; back: which. Returns whether there was one."""
        one: Any = self._asking.lists.get(key)
        if one is None or not (one.can_undo if back else one.can_redo):
            return False
        self._tell(one.undo() if back else one.redo())
        return True

    def _take(self, key: str, path: Path, *, named: bool = False) -> None:
        trouble = begin_list(key, path)
        window = self._window
        if trouble:
            self._tell(trouble)
            return
        if not named:
            name = named_beside(path, window.desk.document.path)
            window.edited(set_at((key,), name), (key,), False)
        window.show()
        window.stages.frame.turn_to(key)
        window.stages.frame.lists[key].focus_row(None)

    def _tell(self, trouble: str) -> None:
        if trouble:
            self._window.panels.notice.tell(f"{trouble[:1].upper()}{trouble[1:]}.", "warn")
        self._window.show()
