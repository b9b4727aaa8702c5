"""The bench sheet and the template from the window: drawn beside it, written where it is asked."""

from __future__ import annotations

import tkinter as tk
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from desktop.document import Document
from desktop.worker import Halt, Worker
from solver.trouble import Trouble

if TYPE_CHECKING:  # loaded late: numpy must not hold up the first paint
    from desktop.window import Window
    from solver.findings import Answer

SHEETS = (("PDF", "*.pdf"), ("Text", "*.txt"))
TEMPLATES = (("PDF", "*.pdf"),)
NO_ANSWER = "There is no answer to print yet: wait until one stands at the right."
ENDING = "A bench sheet is a .pdf or a .txt, a template a .pdf: give it such a name."


class SheetAction:
    """Both, of one window."""

    def __init__(self, window: Window) -> None:
        """window: theirs."""
        self._window = window
        self._worker: Worker | None = None

    @property
    def busy(self) -> bool:
        """Whether one is being drawn."""
        return self._worker is not None and self._worker.busy

    def bench_sheet(self) -> None:
        """Ask where to, and write the bench sheet of the answer in sight."""
        answer = self._answer()
        if answer is not None:
            made = partial(_sheet, answer, trace_in(self._window.desk.document))
            self._ask("-sheet.pdf", SHEETS, made)

    def template(self) -> None:
        """Ask where to, and write the template of the piece that the answer advises to cut."""
        answer = self._answer()
        if answer is None:
            return
        from solver.template import template_of_mend

        document = self._window.desk.document
        try:
            made = template_of_mend(answer, document.name, trace_in(document))
        except Trouble as trouble:
            fault = trouble.faults[0]
            way_out = f"; {fault.way_out}" if fault.place else ""
            self._tell(f"No template: found {fault.found}, wanted {fault.wanted}{way_out}.", "warn")
            return
        self._ask("-ring.pdf", TEMPLATES, partial(_template, made, answer))

    def _answer(self) -> Answer | None:
        """The answer to what stands in the window, in the unit and the words that are shown."""
        window = self._window
        answer = window.asking.shown if window.asking.fresh else None
        if answer is None:
            self._tell(NO_ANSWER, "warn")
            return None
        return replace(answer, job=replace(answer.job, unit=window.unit, words=window.words))

    def _ask(self, name_end: str, types: tuple[tuple[str, str], ...], made: Any) -> None:
        def begin(path: Path) -> None:
            if f"*{path.suffix.lower()}" not in [pattern for _, pattern in types]:
                self._tell(ENDING, "warn")
                return
            self._tell(f"Drawing {path.name}…")
            self._run(path, made)

        self._window.files.ask_where(name_end, types, begin)

    def _run(self, path: Path, made: Any) -> None:
        """Draw in a thread: it takes longer than a window may stand still."""
        window = self._window
        if self._worker is None:
            self._worker = Worker(window.top.nametowidget(".").after)
            window.top.bind("<Destroy>", self._gone, add="+")

        def failed(error: BaseException) -> None:
            if not isinstance(error, Trouble):
                raise error
            self._tell(f"{error.faults[0]}.", "bad")

        def work(_: Halt) -> bytes:
            data: bytes = made(path.suffix)
            return data

        self._worker.run(work, lambda data: window.files.write(path, data), failed)

    def _gone(self, event: tk.Event[tk.Misc]) -> None:
        if event.widget is self._window.top and self._worker is not None:
            self._worker.close()

    def _tell(self, words: str, tone: str = "") -> None:
        notice = self._window.panels.notice
        if tone:
            notice.tell(words, tone)
        else:
            notice.tell(words)


def trace_in(document: Document) -> str:
    """Say which files a document stands for, by what they say or would say if it were saved now.

    document: in hand. Returns text.
    """
    from desktop.document import DRAWER_NAME
    from desktop.toml_text import toml_with
    from solver.drawer_sheet import bytes_of
    from solver.sheet import trace_of

    source = document.source
    if document.job_unsaved or document.path is None:
        source, _ = toml_with(document.source, document.table)
    files = [(document.name, source.encode("utf-8"))]
    if document.sheet is not None:
        drawer = document.drawer_path.name if document.drawer_path else DRAWER_NAME
        files.append((drawer, bytes_of(document.sheet)))
    saved = document.path is not None and not document.unsaved
    return trace_of(tuple(files), saved=saved)


def _sheet(answer: Answer, trace: str, ending: str) -> bytes:
    from solver.terminal_sheet import sheet_bytes

    return sheet_bytes(answer, trace, ending, None)


def _template(made: Any, answer: Answer, _ending: str) -> bytes:
    from solver.sheet_pdf import pdf_of, words_wide_mm
    from solver.template_page import lay_template_out
    from solver.terminal_sheet import paper_for

    paper = lay_template_out(made, paper_for(answer.job, None), words_wide_mm)
    return pdf_of((paper,), made.headline)
