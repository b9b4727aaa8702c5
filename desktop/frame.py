"""The parts of the window in their places, and what each of them is shown."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk
from typing import TYPE_CHECKING, Any

from desktop.inputs import badges_of, drawn_as
from desktop.line_said import known_of
from desktop.line_table import LINES, lines_alone
from desktop.middle import DRAWER, SETUP, Content, Middle
from desktop.notice import Answers, Notice, Strip
from desktop.readings_panel import ReadingsPanel
from desktop.theme import Theme
from desktop.top_bar import Shown, TopBar
from desktop.widgets import Card, drawn_within
from solver.trouble import Fault

if TYPE_CHECKING:
    from desktop.window import Window

ANSWER_PART = 0.235  # of the window's width: the most that look good
ANSWER_MOST = 0.27
STAGE_MS = 1  # between one large part and the next, so that the window stays awake
RED = "what is marked red"
Calls = dict[str, Callable[..., object]]


class Frame(ttk.Frame):
    """All parts in one look; built anew for another."""

    def __init__(self, top: tk.Misc, theme: Theme, calls: Calls, window: Window) -> None:
        """top: the toplevel; theme: the look; calls: what parts ask for, by name; window."""
        super().__init__(top)
        self.theme, self._calls, self._window = theme, calls, window
        gut = theme.space("gutter")
        self.bar = TopBar(self, theme, calls, unit=window.unit, words=window.words)
        self.bar.grid(row=0, column=0, columnspan=3, sticky="ew", padx=gut, pady=theme.px(9))
        self.notice = Notice(self, theme, window.questions)
        self.notice.grid(
            row=1, column=0, columnspan=3, sticky="ew", padx=gut, pady=(0, theme.px(9))
        )
        self.notice.grid_remove()
        self.readings = ReadingsPanel(self, theme, on_edit=calls["edit"], on_focus=calls["lit"])
        self.readings.grid(row=2, column=0, sticky="nsew", padx=(gut, 0))
        self.middle = Middle(self, theme, {**calls, "face": self._turned}, window.face)
        self.middle.grid(row=2, column=1, sticky="nsew", padx=(0, gut))
        self.status = Strip(self.middle.body, theme, style="Inner.TFrame")
        self.status.grid(row=2, column=0, sticky="ew", pady=(theme.px(8), 0))
        self.status.grid_remove()
        self.right = Card(self, theme, "panel")
        self.right.grid(row=2, column=2, sticky="nsew", padx=(0, gut))
        self.right.body.pack_propagate(False)
        self.foot = Card(self, theme, "panel")
        self.foot.grid(row=3, column=0, columnspan=3, sticky="ew", padx=gut, pady=gut)
        self.foot.body.pack_propagate(False)
        # Scroll bars stand in the gutter and in the padding of the answer's card.
        bar = self.readings.column.bar_room
        self.columnconfigure(0, minsize=gut + self.readings.wide + bar)
        inside = theme.space("panel_x")
        self._beside = inside + max(inside - bar, 0)
        self.right.body.pack_configure(padx=(inside, self._beside - inside))
        self.columnconfigure(1, weight=1)
        self.rowconfigure(2, weight=1)
        self.stage: Any = None  # the frame of a stage that stands in the place of the axle's parts
        self.answer: Any = None  # AnswerPanel, once numpy is there
        self.charts: Any = None
        self._stages: dict[str, Callable[[], object]] = {}
        self._last: dict[str, tuple[Any, ...]] = {}
        self._timer: str | None = None
        self._awake = window.awake
        self._give_room()
        self._wait_words()
        self.bind("<Configure>", lambda _: self._give_room())
        self.bind("<Destroy>", self._gone)

    @property
    def parts(self) -> tuple[tk.Misc, ...]:
        """The parts that F6 goes through."""
        if self.stage is not None:
            return (*self.stage.parts, self.bar)
        return (self.readings, self.middle, self.right, self.bar)

    def put_stage(self, stage: Any) -> None:
        """Put a stage in the place of the axle's parts. stage: its frame, None for the axle."""
        if self.stage is not None:
            self.stage.grid_remove()
        self.stage = stage
        for part in (self.readings, self.middle, self.right, self.foot):
            if stage is None:
                part.grid()
            else:
                part.grid_remove()
        if stage is not None:
            stage.grid(row=2, column=0, columnspan=3, rowspan=2, sticky="nsew")

    def fill(self, build_map: Any, calls: Calls) -> None:
        """Put in the parts that need numpy. build_map: the window's one map; calls: by name."""
        from desktop.answer_panel import AnswerPanel
        from desktop.charts import Charts

        for place in (self.right.body, self.foot.body):
            for child in place.winfo_children():
                child.destroy()
        self.answer = AnswerPanel(
            self.right.body, self.theme, calls["pick"], calls["copy"], calls["take"]
        )
        self.answer.pack(fill="both", expand=True)
        self.charts = Charts(self.foot.body, self.theme, build_map)
        self.charts.pack(fill="both", expand=True)
        self.charts.grid_propagate(False)
        self.foot.body.configure(height=self.charts.least_height)

    def forget_focus(self) -> None:
        """Take the keyboard off fields of a job that is no longer there."""
        self.winfo_toplevel().focus_set()

    def show(self, window: Window) -> None:
        """Show how everything stands: the fields at once, what is drawn on the next turns."""
        inputs, table = window.inputs, window.desk.document.table
        self.theme.name_seats(tuple(seat.name for seat in drawn_as(table)[1]))
        self.show_bar(window)
        if self.stage is not None:  # the axle is shown when it is in sight again
            window.stages.show()
            return
        if self._news("readings", (table, inputs.faults, window.unit, window.words)):
            self.readings.show(table, inputs.faults, unit=window.unit, words=window.words)
        self._show_status(window)
        self._stage("middle", lambda: self.middle.show(_content(window)))
        if self.answer is not None:
            self._stage("answer", lambda: self._show_answer(window))
            self._stage("charts", lambda: self._show_charts(window))

    def _turned(self, face: str) -> None:
        self._calls["face"](face)
        self._show_status(self._window)  # what it points at may be in sight now

    def show_bar(self, window: Window) -> None:
        """Show the bar alone, as after each key. window: theirs."""
        desk, asking = window.desk, window.asking
        document = desk.document
        title = document.table.get("title")
        file = document.path.name if document.path else "the example" if desk.example else "new job"
        self.bar.show(
            Shown(
                title=" ".join(title.split()) if isinstance(title, str) else "",
                file=file,
                unsaved=document.unsaved,
                unit=window.unit,
                words=window.words,
                large=desk.settings.large,
                mode=window.mode,
                can_undo=desk.history.can_undo,
                can_redo=desk.history.can_redo,
                solving=asking.solving,
                can_choose=window.inputs.state == "ready",
                has_answer=window.stages.has_answer,
                recent=desk.settings.recent,
                stage=window.stages.name,
                lines=lines_alone(document.table),
            )
        )

    def _show_answer(self, window: Window) -> None:
        asking = window.asking
        state, answer = asking.state, asking.shown
        missing = window.inputs.missing
        if state == "faulty":
            missing = (RED,)
        seats = drawn_as(window.desk.document.table)[1]
        now = (answer, state, window.unit, window.words, missing, seats)
        if not self._news("answer", now):
            return
        if state == "stopped":
            self.answer.show(answer, "solving", window.unit, window.words, seats=seats)
            self.answer.heading.configure(text="Stopped")
        else:
            plain = "half-filled" if state == "faulty" else state
            self.answer.show(answer, plain, window.unit, window.words, missing, seats)

    def _show_charts(self, window: Window) -> None:
        state = window.asking.state
        answer = window.asking.shown if state in ("done", "solving", "stopped") else None
        worth = window.asking.worth
        now = (answer, window.unit, window.words, state != "done", worth)
        if self._news("charts", now):
            self.charts.show(
                answer, window.unit, window.words, old=state != "done", worth=worth
            )  # fmt: skip

    def _show_status(self, window: Window) -> None:
        """One line under the drawing: what stands in the way, or which plan is looked at."""
        words, tone, answers = _status(window)
        if not self._news("status", (words, tone, tuple(label for label, _ in answers))):
            return
        if words:
            self.status.say(words, tone, answers)
        else:
            self.status.clear()

    def _news(self, name: str, now: tuple[Any, ...]) -> bool:
        """Whether a part would be shown anything new; large things are told apart by identity."""
        before = self._last.get(name)
        self._last[name] = now
        return before is None or len(before) != len(now) or not all(map(_same, before, now))

    def _stage(self, name: str, show: Callable[[], object]) -> None:
        self._stages[name] = show
        if self._timer is None and self._awake:
            self._timer = self.after(STAGE_MS, self._next_stage)

    def wake(self) -> None:
        """Let large parts be drawn, once the window has been painted without them."""
        self._awake = True
        if self._stages and self._timer is None:
            self._timer = self.after(STAGE_MS, self._next_stage)

    def _next_stage(self) -> None:
        self._timer = None
        name = next(iter(self._stages))
        show = self._stages.pop(name)
        if self._stages:
            self._timer = self.after(STAGE_MS, self._next_stage)
        show()

    @property
    def settled(self) -> bool:
        """Whether everything that was to be shown is shown, at the size that it has."""
        return self._timer is None and drawn_within(self)

    def _give_room(self) -> None:
        """The answer's share of the width; the foot as tall as it needs to be."""
        theme, wide = self.theme, self.winfo_width()
        if wide < 60:
            wide = self.winfo_toplevel().winfo_width()
        part = ANSWER_MOST if theme.large else ANSWER_PART
        inner = int(wide * part) - self._beside
        if wide > 60 and inner != self.right.body.cget("width"):
            self.right.body.configure(width=inner)

    def _wait_words(self) -> None:
        """Until numpy is there: the cards with their headings, so that nothing jumps later."""
        theme = self.theme
        row = max(theme.tall("body"), theme.space("badge"))
        self.foot.body.configure(height=theme.tall("title") + theme.px(7) + 4 * (row + theme.px(3)))
        for body, words in ((self.right.body, "Waking up…"), (self.foot.body, "")):
            ttk.Label(body, text=words, style="Title.TLabel").pack(anchor="w")

    def _gone(self, event: tk.Event[Any]) -> None:
        if event.widget is self and self._timer is not None:
            self.after_cancel(self._timer)
            self._timer = None


def _same(one: object, other: object) -> bool:
    if isinstance(one, str | bool | tuple):
        return one == other
    return one is other


def _content(window: Window) -> Content:
    inputs, asking = window.inputs, window.asking
    table, sheet = window.desk.document.table, window.desk.document.sheet
    answer = asking.shown if asking.state in ("done", "solving", "stopped") else None
    good = answer is not None and answer.agreement.state != "disagree"
    verdict = answer.verdict if answer is not None and good else None
    job, drawer = inputs.job, inputs.drawer
    assumed = (*(job.assumed if job else ()), *(drawer.assumed if drawer else ()))
    return Content(
        table=table, sheet=sheet, faults=inputs.faults, drawer_faults=inputs.drawer_faults,
        assumed=assumed, drawn=drawn_as(table, job), badges=badges_of(table),
        plan=verdict.plan if verdict else None, unit=window.unit,
        words=window.words, known=known_of(answer, table),
    )  # fmt: skip


def _status(window: Window) -> tuple[str, str, Answers]:
    """Words, tone and buttons of the line under the drawing; no words where none are wanted."""
    asking, inputs = window.asking, window.inputs
    if asking.picked is not None:
        back: Answers = (("Back to the chosen one", window.asking.unpick),)
        return "Another plan than the chosen one.", "warn", back
    if asking.state == "stopped":
        return "Stopped before any plan was found.", "warn", (("Choose", window.choose),)
    fault = _first_fault(window)
    if asking.state == "faulty" and fault is not None:
        more = len(inputs.faults) + len(inputs.drawer_faults) + len(asking.faults) - 1
        words = str(fault) + (f" (and {more} more)" if more > 0 else "")
        show: Answers = (("Show it", lambda: window.go_to(fault.place)),)
        return f"{words}.", "bad", show if fault.place else ()
    if asking.state in ("half-filled", "empty"):
        return _wished(window)
    return "", "good", ()


def _first_fault(window: Window) -> Fault | None:
    """The first fault; those that stand under a field in sight come last."""
    inputs = window.inputs
    red = [fault for fault in inputs.faults if not fault.found.startswith("nothing")]
    faults = [*red, *inputs.drawer_faults, *window.asking.faults]
    faults.sort(key=lambda fault: len(fault.place) > 2 and fault.place[0] == "readings")
    return faults[0] if faults else None


def _wished(window: Window) -> tuple[str, str, Answers]:
    """What is missing that no card at the left would show."""
    middle, inputs = window.panels.middle, window.inputs
    limits = [fault.place for fault in inputs.faults if _of_limits(fault)]
    pinion = next((f.place for f in inputs.faults if f.place[:1] == ("pinion",)), ())
    if (limits or pinion) and middle.face != SETUP:
        words = f"The set-up asks about the pinion{', and for limits' if limits else ''}."
        if not pinion:
            words = "The limits are still to come: they stand in the maker's manual for this unit."
        if not (inputs.sheet and inputs.sheet.rows):
            words += " Then say what is in your drawer."
        return words, "warn", (("Set-up", lambda: window.go_to(pinion or limits[0])),)
    if not (inputs.sheet and inputs.sheet.rows) and middle.face != DRAWER:
        words = "No shims yet: say what is in your drawer."
        if limits:
            words = "Besides these limits, say what is in your drawer: no shims yet."
        return words, "warn", (("Drawer", lambda: middle.focus_drawer(None)),)
    return "", "good", ()


def _of_limits(fault: Fault) -> bool:
    """Whether a limit is still to come, of an axle or of a line."""
    of_line = fault.place[:1] == (LINES,) and fault.place[-1] in ("low", "high")
    return fault.place[:1] == ("limits",) or of_line
