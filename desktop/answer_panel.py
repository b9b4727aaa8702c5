"""The answer at the right of the window: what to fit, how sure it is, what would mend it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from tkinter import ttk

from desktop.answer_parts import MARKS, PlanRow, Strip, mark_font
from desktop.answer_words import COPY, Standing, standing, verdict_words
from desktop.column import ScrollColumn
from desktop.side_block import SideBlock
from desktop.theme import Theme
from desktop.tokens import trade_name
from desktop.widgets import draw_on_resize, filled_button, quiet_button
from solver.findings import Answer
from solver.job import CARRIER_SEATS, PINION_SEATS, Seat
from solver.plan import Plan, SeatStack
from solver.report import (
    counts,
    listed,
    sentence,
    under_words,
)
from solver.report_words import TRADE_WORDS

BOTH_SIDES = tuple(Seat(name, "bearing", 0, 4) for name in CARRIER_SEATS)
TAKE = "Take out"  # of the drawer, and into its books
STATES = ("empty", "half-filled", "solving", "done")


class AnswerPanel(ttk.Frame):
    """The answer, drawn anew from scratch at every `show`; goes into the body of a card."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        on_pick: Callable[[int], object],
        on_copy: Callable[[], object],
        on_take: Callable[[], object] | None = None,
    ) -> None:
        """parent: body of a card; theme: the look; on_pick: called with the place of another plan
        in the answer's others; on_copy: called by the one filled button; on_take: takes the plan
        out of the drawer, None where there are no books to write it in."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._on_pick = theme, on_pick
        self.heading = ttk.Label(self, style="Title.TLabel")
        self.heading.grid(row=0, column=0, sticky="w")
        self.column = ScrollColumn(self, theme, theme.colours.card)
        self.column.grid(
            row=1, column=0, columnspan=2, sticky="nsew", pady=(theme.px(8), theme.px(8))
        )
        foot = ttk.Frame(self, style="Inner.TFrame")
        foot.grid(row=2, column=0, sticky="ew")
        self.button = filled_button(foot, COPY, on_copy)
        self.button.pack(side="left", fill="x", expand=True)
        self.take = quiet_button(foot, TAKE, on_take or (lambda: None))
        if theme.large and theme.dense:  # two buttons side by side have little room
            self.take.configure(style="Tight.Quiet.TButton")
        self._takes = on_take is not None
        self.columnconfigure(0, weight=1)
        self.columnconfigure(1, minsize=self.column.bar_room)
        self.rowconfigure(1, weight=1)
        self._shown: tuple[Answer | None, str, str, str, tuple[str, ...]] | None = None
        self._seats: tuple[Seat, ...] = BOTH_SIDES
        self._optional: list[tk.Misc] = []
        self._compact = self._whole = self._plans_left_out = False
        self._drawn_at = (0, 0)
        self.rows: list[PlanRow] = []
        draw_on_resize(self, self._resized)

    def show(
        self,
        answer: Answer | None,
        state: str,
        unit: str,
        words: str,
        missing: tuple[str, ...] = (),
        seats: tuple[Seat, ...] = BOTH_SIDES,
    ) -> None:
        """Show an answer, or why there is none.

        answer: the newest, None before the first; state: 'empty', 'half-filled', 'solving' or
        'done'; unit: 'mm', 'um', 'in' or 'thou'; words: 'UK' or 'US'; missing: what is still to be
        read, in words, while half-filled; seats: of the job at hand, shown empty without an answer.
        """
        if state not in STATES or (state == "done" and answer is None):
            raise ValueError(f"no such state of the answer: {state!r}")
        if answer is not None:
            # The report's sentences speak the job's unit and words: the window's choice, here.
            answer = replace(answer, job=replace(answer.job, unit=unit, words=words))
        self._shown = (answer, state, unit, words, missing)
        self._seats = seats
        self._draw()

    def written(self) -> tuple[str, ...]:
        """Read everything written in the panel. Returns the texts from the top down."""
        texts: list[str] = []

        def read(widget: tk.Misc) -> None:
            if isinstance(widget, (SideBlock, Strip, PlanRow)):
                texts.extend(widget.written())
            elif isinstance(widget, ttk.Label | ttk.Button | tk.Label):
                texts.append(str(widget.cget("text")))
            for child in widget.winfo_children():
                read(child)

        read(self)
        return tuple(text for text in texts if text)

    def _resized(self) -> None:
        # Drawing anew takes the focus from a row: only where the room has changed.
        if (self.winfo_width(), self.winfo_height()) != self._drawn_at:
            self._draw()

    def _draw(self) -> None:
        if self._shown is None or self.winfo_width() < 40:
            return
        self._drawn_at = (self.winfo_width(), self.winfo_height())
        self._wide = self._drawn_at[0] - self.column.bar_room
        self._build(compact=False)
        if self._cramped():  # fewer figures, what is sure of before what is expected
            self._build(compact=True)
        if self._cramped():  # it scrolls all the same: with everything
            self._build(compact=True, whole=True)
        self.column.catch_wheel()

    def _build(self, *, compact: bool, whole: bool = False) -> None:
        """Make everything in the column, as wide as there is room; whole: and drop nothing."""
        assert self._shown is not None
        self._compact, self._whole = compact, whole
        self._plans_left_out = False
        answer, state, _, _, missing = self._shown
        for child in self.column.body.winfo_children():
            child.destroy()
        self._optional, self.rows = [], []
        if state == "solving":
            self._draw_solving(answer)
        elif state != "done" or answer is None:
            self._draw_waiting(state, missing)
        else:
            self._draw_answer(answer)
        if not whole:
            self._fit_height()

    def _draw_waiting(self, state: str, missing: tuple[str, ...]) -> None:
        """Nothing to show yet: say what to do next."""
        if state == "empty":
            self.heading.configure(text="Nothing to fit yet")
            self._say("Put in the readings at the left and the shims in your drawer.")
            place = "side" if _names_of(self._seats) == CARRIER_SEATS else "seat"
            words = f"The stack for each {place} will stand here, with how sure it is."
            self._say(words, soft=True)
        else:
            self.heading.configure(text="Nearly there")
            left = [name[:1].lower() + name[1:] for name in missing]
            self._say(sentence(f"still to read: {listed(left)}") if left else "Go on reading.")
            self._say("Every reading left out would have to be guessed.", soft=True)
        self._pending()
        self._button(COPY, False)

    def _pending(self) -> None:
        """The seats of the job at hand, nothing in them yet."""
        none = tuple(SeatStack(seat.name, ()) for seat in self._seats)
        self._sides(Plan(none), old=True, pending=True)

    def _draw_solving(self, old: Answer | None) -> None:
        self.heading.configure(text="Choosing…")
        same = old is not None and _names_of(old.job.seats) == _names_of(self._seats)
        if old is None or not same:
            self._say("Trying the stacks that your drawer can make.", soft=True)
            self._pending()
        else:
            self._say("Old answer, from before the last change:", soft=True)
            if old.verdict is not None:
                self._sides(old.verdict.plan, old=True)
                self._say(f"It stood at {counts(old.chance)} builds.", soft=True)
        self._button(COPY, False)

    def _draw_answer(self, answer: Answer) -> None:
        found = standing(answer)
        self.heading.configure(text=found.heading)
        verdict = answer.verdict
        if found.kind == "disagree":
            self._verdict(answer, found)
            if verdict is not None:
                self._say("Not to be built. If the readings stood:", soft=True)
                self._sides(verdict.plan, old=True)
        else:
            if verdict is not None:
                self._sides(verdict.plan)
            self._verdict(answer, found)
            if verdict is None and answer.mend is not None:
                self._say("With that piece:", soft=True)
                self._sides(answer.mend.plan)
            self._others(answer)
        take = verdict is not None and found.kind != "disagree"
        self._button(found.copy, True, take=take)

    def _button(self, text: str, on: bool, *, take: bool = False) -> None:
        if take and self._takes:
            self.take.pack(side="right", padx=(self._theme.px(8), 0))
        else:
            self.take.pack_forget()
        self.button.configure(text=text)
        self.button.state(["!disabled" if on else "disabled"])

    def _say(self, text: str, soft: bool = False) -> None:
        theme = self._theme
        style = "Soft.Card.TLabel" if soft else "Card.TLabel"
        label = ttk.Label(self.column.body, text=text, style=style, wraplength=self._wide)
        label.pack(anchor="w", pady=(0, theme.px(8)))

    def _sides(self, plan: Plan, old: bool = False, pending: bool = False) -> None:
        assert self._shown is not None
        theme = self._theme
        most_um = max((stack.thickness_um for stack in plan.stacks), default=0.0)
        answer = self._shown[0]
        seats = self._seats if pending or answer is None else answer.job.seats
        under = {seat.name: under_words(seat) for seat in seats if seat.under}
        for stack in plan.stacks:
            told = stack.seat in PINION_SEATS and not self._compact
            told |= stack.seat in PINION_SEATS and self._whole and len(plan.stacks) <= 2
            block = SideBlock(
                self.column.body,
                theme,
                stack,
                wide=self._wide,
                most_um=most_um,
                unit=self._shown[2],
                words=self._shown[3],
                old=old,
                pending=pending,
                under=under.get(stack.seat, "") if told else "",
            )
            block.pack(anchor="w", pady=(0, theme.px(8)))

    def _verdict(self, answer: Answer, found: Standing) -> None:
        """The box: mark and word, a strip for each result, sentences in counts."""
        theme, tone = self._theme, found.tone
        title = tone.title()
        box = ttk.Frame(self.column.body, style=f"{title}Card.TFrame")
        box.pack(fill="x", pady=(theme.px(4), theme.px(10)))
        inner = ttk.Frame(box, style=f"{title}.TFrame")
        pad = theme.space("card_x")
        inner.pack(fill="x", padx=pad, pady=(theme.space("card_y"), theme.space("card_y")))
        wide = self._wide - 2 * pad
        head = ttk.Frame(inner, style=f"{title}.TFrame")
        head.pack(anchor="w", pady=(0, theme.px(5)))
        mark = ttk.Label(head, text=MARKS[tone], style=f"{title}Word.TLabel", font=mark_font(theme))
        mark.pack(side="left", anchor="n", padx=(0, theme.px(7)))
        room = wide - mark.winfo_reqwidth() - theme.px(7)
        word = ttk.Label(head, text=found.word, style=f"{title}Word.TLabel", wraplength=room)
        word.pack(side="left")
        if self._compact:
            self._sentences(inner, answer, found, wide)
        if answer.verdict is not None and found.kind != "disagree":
            for result in answer.verdict.results:
                strip = Strip(
                    inner,
                    theme,
                    result,
                    wide=wide,
                    tone=tone,
                    names=_names(result.name, answer.job.words),
                    unit=answer.job.unit,
                    words=answer.job.words,
                    compact=self._compact,
                )
                strip.pack(anchor="w", pady=(0, theme.px(4)))
        if not self._compact:
            self._sentences(inner, answer, found, wide)

    def _sentences(self, inner: ttk.Frame, answer: Answer, found: Standing, wide: int) -> None:
        title = found.tone.title()
        for text, needed in verdict_words(answer, found):
            label = ttk.Label(inner, text=text, style=f"{title}.TLabel", wraplength=wide)
            label.pack(anchor="w", pady=(self._theme.px(3), 0))
            if not needed:
                self._optional.append(label)

    def _others(self, answer: Answer) -> None:
        if not answer.others:
            return
        theme = self._theme
        block = ttk.Frame(self.column.body, style="Inner.TFrame")
        block.pack(anchor="w", fill="x")
        # Bold like the side words, and their rows on the same left edge.
        ttk.Label(block, text="Also possible", style="Label.TLabel").pack(anchor="w")
        for place, other in enumerate(answer.others):
            row = PlanRow(
                block,
                theme,
                other,
                wide=self._wide,
                unit=answer.job.unit,
                picked=partial(self._on_pick, place),
            )
            row.pack(anchor="w")
            self.rows.append(row)
            if place:
                self._optional.append(row)

    def _cramped(self) -> bool:
        """Whether something is out of sight, or a plan that could be picked had to go."""
        return self._too_tall() or self._plans_left_out

    def _too_tall(self) -> bool:
        room = self.column.canvas.winfo_height()
        return self.column.body.winfo_reqheight() > room > 1

    def _fit_height(self) -> None:
        """Drop extras, last first, until the rest fits; what does not even then is scrolled to."""
        self.update_idletasks()
        while self._optional and self._too_tall():
            extra = self._optional.pop()
            if extra in self.rows:
                self.rows.remove(extra)
                self._plans_left_out = True
            extra.destroy()
            self.update_idletasks()


def _names(result: str, words: str) -> tuple[str, str]:
    """A result as the trade says it, whole and short."""
    short = TRADE_WORDS[words].result(result, short=True)
    return trade_name(result, words), short[:1].upper() + short[1:]


def _names_of(seats: tuple[Seat, ...]) -> tuple[str, ...]:
    return tuple(seat.name for seat in seats)
