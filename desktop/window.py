"""The window: one direction round, from an edit over the worker to panels that are shown anew."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from desktop import edits
from desktop.asking import PAUSE_MS, Asking
from desktop.books_work import BooksWork
from desktop.calls import calls_of
from desktop.desk import Desk
from desktop.file_work import FileWork, ask_path
from desktop.frame import Frame
from desktop.history import DRAWER
from desktop.inputs import read_document, unit_of, words_of
from desktop.keys import bind_keys, first_stop
from desktop.notice import Question
from desktop.stages import AXLE, Stages, stage_of
from desktop.theme import Theme, apply_theme
from desktop.timers import Timers
from desktop.tokens import DENSE_BELOW_PX
from desktop.waking import CHART, PANELS, SOLVER, Waking
from solver.drawer_sheet import Sheet
from solver.trouble import Place

DRAFT_MS = 400  # after the last edit
LEAST_PX = (900, 600)
OWNED = (
    "The list is in the drawer as if you had every piece of it, at nominal sizes. Take out what "
    "you do not have, and measure the rest."
)


def unheard(_what: str) -> None:
    """Whom nobody told to listen."""


class Window:
    """Everything in one toplevel; made once, its panels built again for every change of look."""

    def __init__(
        self,
        top: tk.Tk | tk.Toplevel,
        desk: Desk,
        *,
        asked: Callable[..., Path | None] = ask_path,
        drafts: Path | None = None,
        told: Callable[[str], object] = unheard,
        ended: Callable[[], object] | None = None,
    ) -> None:
        """top: the toplevel; desk: the job in hand; asked: asks for a path; drafts: their folder;
        told: of every step of waking up, by its name; ended: called when the window has closed."""
        self.top, self.desk = top, desk
        self._tell, self._ended = told, ended
        self.questions: list[Question] = []
        self.map: Any = None  # BuildMap, once numpy is there
        self.frame: Frame | None = None
        self._lit: int | None = None
        self._face = "axle"
        self.ended = False
        self.awake = False  # painted once, so that large parts may be drawn
        self.timers = Timers(top)
        clock = top.nametowidget(".")  # answers still on their way must find Tk alive
        self.asking = Asking(clock, self._answered)
        self.stages = Stages(self)
        self.files = FileWork(
            desk, lambda: self.panels.notice, self._other_desk, asked=asked, drafts=drafts
        )
        self.books = BooksWork(self)
        self.inputs = read_document(desk.document, self.words)
        self.calls = calls_of(self)
        self.build()
        bind_keys(top, self.calls)
        top.protocol("WM_DELETE_WINDOW", self.close)
        top.bind("<Configure>", self._resized, add="+")
        top.bind("<FocusIn>", self._focused, add="+")
        self._waking = Waking(
            clock,
            ((PANELS, self._panels_loaded), (CHART, self._chart_loaded), (SOLVER, self._ready)),
        )
        self.asking.ask(self.inputs)

    # How things are shown

    @property
    def panels(self) -> Frame:
        """The parts of the window as they are now."""
        assert self.frame is not None
        return self.frame

    @property
    def unit(self) -> str:
        """The unit that lengths are shown in."""
        return unit_of(self.desk.document.table, self.desk.settings.shown_unit)

    @property
    def words(self) -> str:
        """The trade's words that are shown."""
        return words_of(self.desk.document.table, self.desk.settings.words)

    @property
    def mode(self) -> str:
        """Light or dark; nobody can be asked what the system wants, so light unless chosen."""
        return "dark" if self.desk.settings.theme == "dark" else "light"

    def build(self) -> None:
        """Build the panels in the look that is chosen, in place of those before."""
        top = self.top
        held = self._place_held()
        self._dense = self._wide() < DENSE_BELOW_PX
        theme = apply_theme(top, self.mode, self.desk.settings.large, self._dense)
        if self.map is not None:
            self.map.pack_forget()
        if self.frame is not None:
            self.frame.destroy()
            self.stages.forget()
        self.frame = Frame(top, theme, self.calls, self)
        self.frame.pack(fill="both", expand=True)
        self.stages.put_in()
        if self.map is not None:
            self._fill(theme)
        self.frame.notice.draw()
        self.show()
        if held:
            top.update_idletasks()
            self.go_to(held)

    def start(self) -> None:
        """Begin to load what is loaded late; call when the window has been painted."""
        self._tell("paint")
        self.awake = True
        self.panels.wake()
        self._waking.go_on()

    def show(self) -> None:
        """Show everything as it stands now; panels leave alone what has not changed."""
        self.panels.show(self)

    def _fill(self, theme: Theme) -> None:
        self.panels.fill(self.map, self.calls)

    def _panels_loaded(self) -> None:
        from desktop.build_map import BuildMap

        self.map = BuildMap(self.top, self.panels.theme, self.asking.pick)
        self._fill(self.panels.theme)
        self.show()
        self._tell("panels")

    def _chart_loaded(self) -> None:
        self.map.wake()
        self.top.after_idle(self._tell, "chart")

    def _ready(self) -> None:
        self._tell("solver")
        self.asking.release()

    def _answered(self) -> None:
        if self.frame is not None and not self.ended:
            self.show()
            if self.asking.fresh and self.asking.picked is None:
                self._tell("worth" if self.asking.worth else "answer")

    # Edits

    def edited(self, edit: edits.Edit, place: Place, typing: bool) -> None:
        """Take an edit of the job. edit; place: of it; typing: keys are typed in one field."""
        self.desk.edit(edit, place, typing)
        stage = stage_of(place)
        if typing:
            self.timers.later(
                f"read {stage}", PAUSE_MS, lambda: self.read(at_once=True, stage=stage)
            )
            self.timers.later("draft", DRAFT_MS, self._keep_draft)
            self.panels.show_bar(self)
        else:
            self._changed(stage)

    def sheet_edited(self, sheet: Sheet) -> None:
        """Take an edited drawer. sheet: the new one."""
        self.desk.put_sheet(sheet)
        self._changed()

    def stock_added(self) -> None:
        """Ask whether what a ready-made list says is really in the drawer."""
        answers = (("I have these", lambda: None), ("Take them out", self.undo))
        self.panels.notice.ask(
            Question(OWNED, answers, tone="warn", name="stock", takes_focus=False)
        )

    def undo(self) -> None:
        """Take the last edit back and show where it was; of a list where the keyboard is in one."""
        if not self.stages.list_step(back=True) and not self.books.undo():
            self._step(self.desk.undo)

    def redo(self) -> None:
        """Do an edit again and show where it was."""
        if not self.stages.list_step(back=False) and not self.books.redo():
            self._step(self.desk.redo)

    def read(self, *, at_once: bool = False, stage: str = AXLE) -> None:
        """Read what stands in the window and ask for its answer.

        at_once: without a pause; stage: that has changed: another one's tables are nothing to the
        axle's answer, which stays.
        """
        self.timers.never(f"read {stage}")
        if stage == AXLE:
            self.inputs = read_document(self.desk.document, self.words, self.inputs)
            self.asking.ask(self.inputs, at_once=at_once)
        else:
            self.stages.read(at_once=at_once)
            self.show()

    def choose(self) -> None:
        """Choose now, on the stage in sight."""
        self.read(at_once=True, stage=self.stages.name)

    def go_to(self, place: Place) -> None:
        """Put the keyboard where a place of the job or the drawer is shown. place."""
        if stage_of(place) != AXLE:
            self.stages.focus_place(place)
            return
        self.stages.turn_to(AXLE)
        if place[:1] == ("readings",):
            self.panels.readings.focus_place(place)
        elif place[:1] in ((DRAWER[0],), ("rows",), ("header",)):
            row = place[1] if len(place) > 1 and place[0] == "rows" else None
            self.panels.middle.focus_drawer(row if isinstance(row, int) else None)
        elif place:
            self.panels.middle.focus_place(place)

    def _step(self, step: Callable[[], Place]) -> None:
        place = step()
        if place:
            self._changed(stage_of(place))
            if self.stages.name != AXLE or not self.panels.middle.draws(place):
                self.go_to(place)

    def _changed(self, stage: str = AXLE) -> None:
        self.timers.later("draft", DRAFT_MS, self._keep_draft)
        self.read(stage=stage)

    def _other_desk(self, another: bool) -> None:
        if another:
            self.asking.drop()
            self.timers.never("draft")
            self.panels.forget_focus()
            self.stages.read(at_once=True)
            self.read(at_once=True)
            new = self.desk.document.path is None and not self.desk.example
            if new and self.stages.name == AXLE:
                self.go_to(("readings", 0))  # a new job: its first reading can be typed at once
        elif self.inputs.sheet is not self.desk.document.sheet:
            self._changed()
        else:
            self.show()

    def _keep_draft(self) -> None:
        trouble = self.desk.keep_draft()
        if trouble:
            self.panels.notice.tell(f"No draft could be kept: {trouble}.", "warn")

    # Choices of look

    def set_unit(self, unit: str) -> None:
        """Show lengths in a unit. unit: 'mm' or 'thou'."""
        if edits.is_bare(self.desk.document.table):
            self.edited(edits.set_at(("unit",), unit), ("unit",), False)
        own = unit_of(self.desk.document.table, "")
        self._choose_look(shown_unit="" if unit == own else unit)
        self.show()

    def set_words(self, words: str) -> None:
        """Show the trade's words. words: 'UK' or 'US'."""
        self._choose_look(words=words)
        self.inputs = read_document(self.desk.document, self.words, self.inputs)
        self.show()

    def set_mode(self, mode: str) -> None:
        """Turn light or dark. mode: which."""
        self._choose_look(theme=mode)
        self.build()

    def set_large(self, large: bool) -> None:
        """Make type large or usual. large: which."""
        if large != self.desk.settings.large:
            self._choose_look(large=large)
            self.build()

    def _choose_look(self, **changes: Any) -> None:
        self.desk.settings = replace(self.desk.settings, **changes)

    def turned(self, face: str) -> None:
        """The middle shows another face. face: which."""
        self._face = face

    def lit(self, number: int | None) -> None:
        """The keyboard is in a reading's card. number: from 0, or None."""
        self._lit = None if number is None else number + 1
        self.panels.middle.light(self._lit)

    # The answer as text

    def answer_text(self) -> str:
        """Write the answer of the stage in sight, as it is shown. Returns text."""
        return self.stages.answer_text()

    def copy(self) -> None:
        """Put the answer on the clipboard as text."""
        text = self.answer_text()
        if text:
            self.top.clipboard_clear()
            self.top.clipboard_append(text)
            self.panels.notice.tell("The whole answer is on the clipboard, as text.")

    def save_text(self) -> None:
        """Save the answer as text."""
        text = self.answer_text()
        if text:
            self.files.save_text(text)

    # Keys, size, end

    def escape(self) -> None:
        """Answer a question, stop choosing, or go back to the chosen plan, whichever is first."""
        if not self.panels.notice.escape():
            if self.stages.name != AXLE:
                self.stages.escape()
                return
            if self.asking.solving:
                self.asking.stop()
            else:
                self.asking.unpick()

    def cycle(self, step: int) -> None:
        """Put the keyboard on the next part of the window. step: 1 forth, -1 back."""
        parts = self.panels.parts
        at = str(self.top.tk.call("focus"))
        here = next((k for k, part in enumerate(parts) if at.startswith(str(part))), -step)
        for tried in range(1, len(parts) + 1):
            stop = first_stop(parts[(here + step * tried) % len(parts)])
            if stop is not None:
                stop.focus_set()
                return

    def close(self) -> None:
        """Close, after asking where work is not saved."""
        self.files.when_saved(self.end)

    def end(self) -> None:
        """Close without asking; what is not saved is given up."""
        if self.ended:
            return
        self.ended = True
        self.timers.close()
        self._waking.close()
        self.asking.close()
        self.stages.close()
        self._choose_look(**self._size())
        if self.desk.keeper is not None:
            self.desk.keeper.close()
        self.top.destroy()
        if self._ended is not None:
            self._ended()

    def _size(self) -> dict[str, int]:
        wide, tall = self.top.winfo_width(), self.top.winfo_height()
        return {"width_px": wide, "height_px": tall} if wide > 1 else {}

    def _wide(self) -> int:
        wide = self.top.winfo_width()
        return wide if wide > 1 else self.desk.settings.width_px

    def _resized(self, event: tk.Event[Any]) -> None:
        if event.widget is self.top and (event.width < DENSE_BELOW_PX) != self._dense:
            self.timers.later("dense", 120, self._rebuild_dense)

    def _rebuild_dense(self) -> None:
        if (self._wide() < DENSE_BELOW_PX) != self._dense:
            self.build()

    def _focused(self, event: tk.Event[Any]) -> None:
        self.desk.settle()
        if event.widget is self.top:
            self.timers.later("disk", 50, self.files.check_disk)

    def _place_held(self) -> Place:
        if self.frame is None:
            return ()
        focus = str(self.top.tk.call("focus"))
        if self.stages.name != AXLE:
            return self.stages.held if focus else ()
        return ("readings", self._lit - 1) if self._lit and focus else ()

    @property
    def face(self) -> str:
        """The face that the middle shows."""
        return self._face
