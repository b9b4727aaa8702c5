"""The stage of the contact pattern in the window: read, judged, its faults in a strip above it."""

from __future__ import annotations

import tkinter as tk
from tkinter import ttk
from typing import Any

from desktop.document import Document
from desktop.edits import Table, alike, set_at
from desktop.form_parts import Told
from desktop.notice import Strip
from desktop.pattern_stage import PatternStage
from desktop.stages import OWN_KEYS, PATTERN
from desktop.theme import Theme
from solver.job import Job
from solver.job_pattern import read_pattern
from solver.job_so_far import read_job_so_far
from solver.job_table import Notes, Page
from solver.pattern import PatternAdvice, judge_pattern
from solver.pattern_rules import Pattern
from solver.trouble import Fault, Trouble


class PatternAsking:
    """Keeps what the job says of its pattern and what that advises; quick, so asked at once."""

    def __init__(self) -> None:
        self._asked: Table | None = None
        self.pattern: Pattern | None = None
        self.advice: PatternAdvice | None = None
        self.job: Job | None = None  # whose mesh and seats turn moves into shims, where it is sound
        self.faults: tuple[Fault, ...] = ()

    def ask(self, document: Document) -> None:
        """Read and judge the pattern, unless the job is as it was. document: the job."""
        if self._asked is not None and alike(document.table, self._asked):
            return
        self._asked = document.table
        notes = Notes(document.name)
        self.pattern = read_pattern(Page(document.table, (), notes, "mm"))
        self.faults = tuple(notes.faults)
        self.advice, self.job = None, None
        if self.pattern is None or self.faults:
            self.pattern = None
            return
        apart = [key for key in OWN_KEYS if key != PATTERN]
        rest = {key: value for key, value in document.table.items() if key not in apart}
        try:
            self.job = read_job_so_far(rest, document.name, document.folder)
        except Trouble:
            self.job = None  # what is usual stands in, and is listed
        self.advice = judge_pattern(self.pattern, self.job)

    @property
    def writable(self) -> bool:
        """Whether the advice can be written down: that wants the job's unit and words."""
        return self.advice is not None and self.job is not None

    def as_text(self) -> str:
        """Write the advice. Returns text, '' where there is none."""
        if self.pattern is None or self.advice is None or self.job is None:
            return ""
        from solver.report_pattern import pattern_as_text

        return pattern_as_text(self.pattern, self.advice, self.job)


class PatternPlace(ttk.Frame):
    """The stage with its margins."""

    def __init__(self, parent: tk.Misc, theme: Theme, *, on_edit: Told) -> None:
        """parent: the window's frame; theme: the look; on_edit: called with every edit, its place
        and whether keys are being typed in one field."""
        super().__init__(parent)
        gut = theme.space("gutter")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(1, weight=1)
        self.strip = Strip(self, theme)
        self.strip.grid(row=0, column=0, sticky="ew", padx=gut, pady=(0, theme.px(8)))
        self.strip.grid_remove()

        def edited(table: dict[str, Any]) -> None:
            on_edit(set_at(("pattern",), table), ("pattern",), False)

        self.stage = PatternStage(self, theme, edited)
        self.stage.grid(row=1, column=0, sticky="nsew", padx=gut, pady=(0, gut))

    def show(self, asking: PatternAsking, unit: str, words: str) -> None:
        """Show how everything stands. asking: its pattern; unit: of lengths; words: UK or US."""
        self.stage.show(asking.pattern, asking.advice, unit, words)
        if asking.faults:
            more = f" And {len(asking.faults) - 1} more." if len(asking.faults) > 1 else ""
            self.strip.say(f"{asking.faults[0]}.{more}", "bad", ())
        else:
            self.strip.clear()

    @property
    def parts(self) -> tuple[tk.Misc, ...]:
        """The parts that F6 goes through."""
        return (self,)
