"""The readings at the left of the window: a card for each, and a way to add more."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

from desktop import edits
from desktop.column import ScrollColumn
from desktop.form_chips import Choice, prepare_chips, stop_at_fields, tip_on
from desktop.form_parts import Told
from desktop.line_edits import begin_line_alone
from desktop.line_words import ALONE as LINE_ALONE
from desktop.line_words import ALONE_WHY as LINE_WHY
from desktop.pinion_edits import begin_alone, begin_pinion, can_be_alone
from desktop.pinion_words import ALONE, ALONE_WHY
from desktop.reading_card import ReadingCard
from desktop.reading_words import choices_to_add, usual_tool
from desktop.theme import Theme
from desktop.widgets import quiet_button
from solver.job import PINION_READABLE
from solver.trouble import Fault, Place

ADD_WHY = (
    "Two readings settle an axle: its total clearance and the mesh gap, or others in their place. "
    "Every reading more checks the rest, and a trial fit's backlash is worth most. A pinion wants "
    "its mounting distance, or axis to seat and head height."
)


class ReadingsPanel(ttk.Frame):
    """The readings of a job; told of every edit, it knows no file and no solver."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_focus: Callable[[int | None], object],
    ) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field; on_focus: called with the number of the reading
        whose card has the keyboard, from 0, or None."""
        super().__init__(parent)
        prepare_chips(self, theme)
        self._theme, self._on_edit, self._on_focus = theme, on_edit, on_focus
        self.cards: list[ReadingCard] = []
        self._shown: list[edits.Table] = []
        self._last: tuple[edits.Table, tuple[Fault, ...], str, str] | None = None
        self._lit: int | None = None  # as last told
        self._wants: Place | None = None  # where the keyboard goes once it is shown
        self.column = ScrollColumn(self, theme)
        self.column.canvas.configure(width=self.wide)
        self.column.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        self.column.body.columnconfigure(0, weight=1)
        self._empty = ttk.Label(
            self.column.body, style="Soft.TLabel", text="No readings yet.", justify="left"
        )
        self.add = Choice(
            self.column.body, theme, self._add, style="Bg.Quiet.TMenubutton", marks=False
        )
        tip_on(self.add, theme, ADD_WHY)
        self.alone = quiet_button(self.column.body, ALONE, self._begin_alone, ground="Bg.")
        tip_on(self.alone, theme, ALONE_WHY)
        self.line = quiet_button(self.column.body, LINE_ALONE, self._begin_line, ground="Bg.")
        tip_on(self.line, theme, LINE_WHY)

    @property
    def wide(self) -> int:
        """How wide the panel would like to be [px], measured from its type."""
        theme = self._theme
        half = theme.wide("caption", "stops") + theme.wide("value", "000.00")
        half += 2 * theme.space("field_x") + theme.px(12)
        return max(theme.px(288), 2 * (half + theme.space("card_x")) + theme.px(14))

    def show(self, table: edits.Table, faults: tuple[Fault, ...], *, unit: str, words: str) -> None:
        """Show the readings of a job; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of the job; unit: that lengths are shown in; words: UK or US.
        """
        readings = edits.readings_of(table)
        self._last = (table, faults, unit, words)
        self._match(readings)
        for number, card in enumerate(self.cards):
            card.show(number, table, faults, unit=unit, words=words)
            card.grid(row=number, column=0, sticky="ew", pady=(0, self._theme.space("between")))
        self._shown = readings
        self.add.offer(choices_to_add(words, table), word="Add a reading")
        self.add.grid(row=len(self.cards) + 1, column=0, sticky="w")
        free = "pinion" not in table and "lines" not in table and can_be_alone(table)
        for row, button in enumerate((self.alone, self.line), len(self.cards) + 2):
            if free:
                button.grid(row=row, column=0, sticky="w", pady=(self._theme.px(6), 0))
            else:
                button.grid_remove()
        if readings:
            self._empty.grid_remove()
        else:
            self._empty.grid(row=0, column=0, sticky="w", pady=(0, self._theme.px(8)))
        self.column.catch_wheel()
        stop_at_fields(self.column.body)
        if self._wants is not None:
            wanted, self._wants = self._wants, None
            self.focus_place(wanted)

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on the field of a place, its card in sight. place: into the job."""
        if len(place) > 1 and place[0] == "readings" and isinstance(place[1], int):
            if place[1] < len(self.cards):
                card = self.cards[place[1]]
                card.take_focus(place)
                self.update_idletasks()
                self.column.see(card)
        elif place[:1] == ("readings",):
            self.add.focus_set()

    def light(self, number: int | None) -> None:
        """Light the badge of a card and put the others out. number: which one, from 0, or None."""
        for at, card in enumerate(self.cards):
            if card.badge is not None:
                card.badge.light(at == number or card.ringed)

    def _match(self, readings: list[edits.Table]) -> None:
        """Keep each card with its reading where some were added or taken away."""
        old, more = self._shown, len(readings) - len(self.cards)
        same = 0
        while same < min(len(old), len(readings)) and edits.alike(old[same], readings[same]):
            same += 1
        for _ in range(more):
            card = ReadingCard(
                self.column.body, self._theme, on_edit=self._told, on_focus=self._focused
            )
            self.cards.insert(min(same, len(self.cards)), card)
        for _ in range(-more):
            self.cards.pop(min(same, len(self.cards) - 1)).destroy()
        for card in self.cards if more else ():
            card.lift()  # Tab follows the order of stacking
        if more:
            self.add.lift()
            self.alone.lift()
            self.line.lift()

    def _focused(self, card: ReadingCard, on: bool) -> None:
        now = self.cards.index(card) if on and card in self.cards else None
        for other in self.cards if on else ():
            if other is not card:  # a field that goes while it has the keyboard does not say so
                other.ring(False)
        if now != self._lit:
            self._lit = now
            self._on_focus(now)

    def _told(self, edit: edits.Edit, place: Place, typing: bool) -> None:
        if not typing and len(place) == 2:
            before = len(self._shown)
            self._on_edit(edit, place, False)
            if len(self._shown) > before:
                self.focus_place(place)  # a card made by repeating
        else:
            self._on_edit(edit, place, typing)
        if not typing and self._last is not None:
            table, faults, unit, words = self._last
            self.show(table, faults, unit=unit, words=words)

    def _add(self, of: str) -> None:
        table = self._last[0] if self._last else {}
        place = ("readings", len(self.cards))
        self._wants = place
        edit = edits.add_reading(of, usual_tool(of, table))
        if of in PINION_READABLE:  # read of a job that tells of its pinion
            edit = edits.together(begin_pinion(), edit)
        self._on_edit(edit, place, False)
        if self._wants is not None and len(self.cards) > place[1]:
            self._wants = None
            self.focus_place(place)

    def _begin_alone(self) -> None:
        self._wants = ("readings", 0)
        self._on_edit(begin_alone(), ("pinion",), False)

    def _begin_line(self) -> None:
        self._wants = ("readings", 0)
        self._on_edit(begin_line_alone(), ("readings", 0), False)
