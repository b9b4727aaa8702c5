"""The bench sheet and the template from the window: drawn beside it, written where it is asked."""

from __future__ import annotations

import tkinter as tk
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from desktop.document import Document
from desktop.reading_faults import fault_words
from desktop.stages import OWN_KEYS
from desktop.typed import shown_value
from desktop.worker import Halt, Worker
from solver.trouble import Trouble

if TYPE_CHECKING:  # loaded late: numpy must not hold up the first paint
    from desktop.window import Window
    from solver.findings import Answer
    from solver.job import Job

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
        """Turn to where the thickness and the seat of a ring to cut are said."""
        self._window.go_to(("ring", "cut"))

    def advised(self) -> tuple[str, str, str]:
        """Tell what the answer advises to cut.

        Returns: its thickness in the unit that is shown, its seat, and a sentence about it; '' for
        each that there is none of.
        """
        answer = self._fresh()
        if answer is None:
            return "", "", ""
        from solver.report_cautions import advises_cutting
        from solver.report_words import counts
        from solver.template import template_of_mend

        mend = answer.mend
        if mend is not None and advises_cutting(answer):
            text = shown_value(f"{mend.thickness_um:.1f} um", "um", self._window.unit)
            return text, mend.seat, f"As the answer advises: with it {counts(mend.chance)} builds."
        try:
            template_of_mend(answer, "", "")
        except Trouble as trouble:
            return "", "", f"Nothing is advised to be cut: found {trouble.faults[0].found}."
        raise AssertionError("a template of nothing")

    def cut(self, text: str, seat: str) -> str:
        """Ask where to, and write the template of a ring to cut.

        text: its thickness as typed, in the unit that is shown unless it says one; seat: its name,
        '' for any. Returns: why not, in the terminal's words; '' where it could be asked.
        """
        from solver.job_so_far import read_job_so_far
        from solver.template import template_of_mend, template_of_thickness
        from solver.terminal_sheet import thickness_to_cut_um

        window, document = self._window, self._window.desk.document
        trace, name = trace_in(document), document.name
        offered, answer = self.advised()[:2], self._fresh()
        table = {key: value for key, value in document.table.items() if key not in OWN_KEYS}
        try:
            job = read_job_so_far(table, name, document.folder)
        except Trouble as trouble:
            return f"{trouble.faults[0]}"
        job = replace(job, unit=window.unit, words=window.words)
        try:
            if answer is not None and offered[0] and (text.strip(), seat) == offered:
                made = template_of_mend(replace(answer, job=job), name, trace)
            else:
                thickness_um = thickness_to_cut_um(text, window.unit)
                made = template_of_thickness(job, seat, thickness_um, name, trace)
        except Trouble as trouble:
            return fault_words(trouble.faults[0])
        self._ask("-ring.pdf", TEMPLATES, partial(_template, made, job))
        return ""

    def _fresh(self) -> Answer | None:
        """The answer to what stands in the window, in its unit and words; None for an older one."""
        window = self._window
        late = window.timers.waits("read") or not window.asking.fresh
        answer = None if late else window.asking.shown
        if answer is None:
            return None
        return replace(answer, job=replace(answer.job, unit=window.unit, words=window.words))

    def _answer(self) -> Answer | None:
        """The answer to print, or a word that there is none."""
        answer = self._fresh()
        if answer is None:
            self._tell(NO_ANSWER, "warn")
        return answer

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


def _template(made: Any, job: Job, _ending: str) -> bytes:
    from solver.sheet_pdf import pdf_of, words_wide_mm
    from solver.template_page import lay_template_out
    from solver.terminal_sheet import paper_for

    paper = lay_template_out(made, paper_for(job, None), words_wide_mm)
    return pdf_of((paper,), made.headline)
