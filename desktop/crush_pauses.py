"""The left of the crush spacer's stage: limits and tool, a card a pause, a way to add one."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

from desktop.column import ScrollColumn
from desktop.crush_edits import add_pause, pauses_of
from desktop.crush_form import CrushForm
from desktop.crush_pause import PauseCard
from desktop.edits import Table, alike
from desktop.form_chips import prepare_chips, stop_at_fields, tip_on
from desktop.form_parts import Told
from desktop.theme import Theme
from desktop.timers import Timers
from desktop.widgets import quiet_button
from solver.trouble import Fault, Place

SEE_MS = 60  # between two looks at how tall the column is
ADD_WHY = (
    "Every time the nut has been turned and the bearings ten times each way: read, and put it here."
)
NONE_YET = "No pause yet. Take up the play, turn the bearings ten times each way, read the torque."


class PausesPanel(ttk.Frame):
    """Limits, tool and pauses of a job; told of every edit, it knows no file and no solver."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        on_focus: Callable[[int | None], object],
    ) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit, its place and
        whether keys are being typed in one field; on_focus: called with the number of the pause
        whose card has the keyboard, from 0, or None."""
        super().__init__(parent)
        prepare_chips(self, theme)
        self._theme, self._on_edit, self._on_focus = theme, on_edit, on_focus
        self.cards: list[PauseCard] = []
        self._shown: list[Table] = []
        self._wants: Place | None = None  # where the keyboard goes once it is shown
        self._seen, self._timers = False, Timers(self)
        self.bind("<Destroy>", self._gone)
        self.column = ScrollColumn(self, theme)
        self.column.canvas.configure(width=1)
        self.column.grid(row=0, column=0, sticky="nsew")
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        body = self.column.body
        body.columnconfigure(0, weight=1)
        between = theme.space("between")
        self.form = CrushForm(body, theme, on_edit=on_edit)
        self.form.grid(row=0, column=0, sticky="ew", pady=(0, between))
        self._empty = ttk.Label(body, style="Soft.TLabel", text=NONE_YET, justify="left")
        self._empty.bind("<Configure>", self._wrap)
        self.add = quiet_button(body, "Add a pause", self.begin, ground="Bg.")
        tip_on(self.add, theme, ADD_WHY)

    def show(self, table: Table, faults: tuple[Fault, ...], words: str) -> None:
        """Show limits, tool and pauses; what is being typed, and the caret, stay where they are.

        table: the job's; faults: of its crush spacer; words: UK or US.
        """
        pauses = pauses_of(table)
        quiet = tuple(fault for fault in faults if fault.place != ("crush", "pauses"))
        self.form.show(table, quiet, words)
        self._match(pauses)
        for number, card in enumerate(self.cards):
            card.show(number, table, faults, words)
            card.grid(row=number + 1, column=0, sticky="ew", pady=(0, self._theme.space("between")))
        self._shown = pauses
        self.add.grid(row=len(pauses) + 2, column=0, sticky="w")
        if pauses:
            self._empty.grid_remove()
        else:
            between = self._theme.space("between")
            self._empty.grid(row=1, column=0, sticky="ew", pady=(0, between))
        self.column.catch_wheel()
        stop_at_fields(self.column.body)
        if self._wants is not None:
            wanted, self._wants = self._wants, None
            self.focus_place(wanted)
        elif not self._seen and pauses:
            self._seen = True
            self._see_last()

    def _see_last(self, tall: int = 0) -> None:
        """Of more pauses than fit, the newest is the one to go on from; once all are laid out."""
        now = self.column.body.winfo_reqheight()
        if now == tall and self.column.canvas.winfo_height() > 1:
            self.column.see(self.add)
        else:
            self._timers.later("see", SEE_MS, lambda: self._see_last(now))

    def _gone(self, event: tk.Event[tk.Misc]) -> None:
        if event.widget is self:
            self._timers.close()

    def begin(self, angle_deg: float | None = None) -> None:
        """Add a pause and go to it. angle_deg: of the nut, where it is known [degrees]."""
        place = ("crush", "pauses", len(self.cards))
        self._wants = place
        self._on_edit(add_pause(angle_deg), place, False)

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on the field of a place, in sight. place: into the job."""
        if place[:2] == ("crush", "pauses") and len(place) > 2 and isinstance(place[2], int):
            if place[2] < len(self.cards):
                card = self.cards[place[2]]
                card.take_focus(place)
                self.update_idletasks()
                self.column.see(card)
        elif place[:2] == ("crush", "pauses"):
            self.add.focus_set()
        else:
            self.form.focus_place(place)

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        held = (card.held for card in self.cards)
        return next((place for place in held if place), self.form.held)

    def _match(self, pauses: list[Table]) -> None:
        """Keep each card with its pause where some were added or taken away."""
        old, more = self._shown, len(pauses) - len(self.cards)
        same = 0
        while same < min(len(old), len(pauses)) and alike(old[same], pauses[same]):
            same += 1
        for _ in range(more):
            card = PauseCard(
                self.column.body, self._theme, on_edit=self._on_edit, on_focus=self._focused
            )
            self.cards.insert(min(same, len(self.cards)), card)
        for _ in range(-more):
            self.cards.pop(min(same, len(self.cards) - 1)).destroy()
        for card in self.cards if more else ():
            card.lift()  # Tab follows the order of stacking
        if more:
            self.add.lift()

    def _focused(self, card: PauseCard, on: bool) -> None:
        for other in self.cards if on else ():
            if other is not card:  # a field that goes while it has the keyboard does not say so
                other.ring(False)
        self._on_focus(self.cards.index(card) if on and card in self.cards else None)

    def _wrap(self, event: tk.Event[tk.Misc]) -> None:
        self._empty.configure(wraplength=max(event.width, 120))
