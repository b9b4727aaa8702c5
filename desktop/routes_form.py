"""The left of the stage: what time and money are worth, and the lists of what is on offer."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from tkinter import ttk

from desktop.column import ScrollColumn
from desktop.edits import Table, value_at
from desktop.form_chips import stop_at_fields, tip_on
from desktop.form_kinds import NUMBER, WORDS
from desktop.form_parts import Field, Line, Told, next_field
from desktop.reading_faults import NOTHING
from desktop.routes_asking import COSTS
from desktop.routes_files import LISTS, PriceList
from desktop.routes_words import (
    COST_ROWS,
    LIST_NAMES,
    NONE_YET,
    fault_words,
    rows_words,
)
from desktop.theme import Theme
from desktop.widgets import Card, quiet_button
from solver.report_words import sentence
from solver.trouble import Fault, Place

DAYS = "days"


class CostsCard(Card):
    """An hour, doing it again, the longest wait, the currency."""

    def __init__(self, parent: tk.Misc, theme: Theme, on_edit: Told) -> None:
        """parent: any widget; theme: the look; on_edit: called with every edit."""
        super().__init__(parent, theme)
        body, self._theme = self.body, theme
        ttk.Label(body, text="What it is worth to you", style="Title.TLabel").grid(
            row=0, column=0, columnspan=3, sticky="w", pady=(0, theme.px(6))
        )
        self.fields: dict[str, Field] = {}
        self._lines: dict[str, Line] = {}
        self._units: dict[str, ttk.Label] = {}
        self._names: list[ttk.Label] = []
        for at, (key, label, why) in enumerate(COST_ROWS):
            self._row(2 * at + 1, key, label, why, on_edit)
        body.columnconfigure(0, weight=1)
        body.bind("<Configure>", lambda _: self._wrap_names())
        self.ring_on_focus()

    def show(self, table: Table, faults: tuple[Fault, ...]) -> None:
        """Show what the job says. table: the job's; faults: of its costs."""
        currency = value_at(table, (COSTS, "currency"))
        money = currency if isinstance(currency, str) else ""
        for key, field in self.fields.items():
            field.show_value(value_at(table, (COSTS, key)), "mm", "mm")
            own = [fault for fault in faults if fault.place == (COSTS, key)]
            red = next((fault for fault in own if fault.found != NOTHING), None)
            field.mark(red is not None)
            self._lines[key].say(fault_words(red) if red else "")
            unit = {"patience": DAYS, "currency": ""}.get(key, money)
            room = self._theme.px(76)
            while unit and self._theme.wide("caption", unit) > room:
                unit = unit[:-2].rstrip() + "…" if len(unit) > 2 else ""
            self._units[key].configure(text=unit)
        self._wrap_names()
        whole = [fault for fault in faults if len(fault.place) < 2 and fault.found != NOTHING]
        if whole:
            self._lines["hour"].say(fault_words(whole[0]))

    def _wrap_names(self) -> None:
        """Give a name two lines where field and unit leave it no room for one."""
        theme, wide = self._theme, self.body.winfo_width()
        units = max(unit.winfo_reqwidth() for unit in self._units.values())
        room = wide - self.fields["hour"].winfo_reqwidth() - units - theme.px(6) - theme.px(8)
        for name in self._names:
            if room > theme.px(20) and str(name.cget("wraplength")) != str(room):
                name.configure(wraplength=room)

    def _row(self, row: int, key: str, label: str, why: str, on_edit: Told) -> None:
        theme, body = self._theme, self.body
        name = ttk.Label(body, text=label, style="Card.TLabel")
        name.grid(row=row, column=0, sticky="w", padx=(0, theme.px(8)))
        self._names.append(name)
        words = key == "currency"
        field = Field(
            body, theme, (COSTS, key), WORDS if words else NUMBER, on_edit,
            width=9 if words else 6, left=words, font="label" if words else "value",
        )  # fmt: skip
        field.grid(
            row=row, column=1, columnspan=2 if words else 1, sticky="ew" if words else "e",
            pady=theme.px(3),
        )  # fmt: skip
        for sequence in ("<Return>", "<KP_Enter>"):
            field.entry.bind(sequence, next_field)
        unit = ttk.Label(body, style="Hint.TLabel")
        if not words:
            unit.grid(row=row, column=2, sticky="w", padx=(theme.px(6), 0))
        tip_on(field.entry, theme, why)
        self.fields[key], self._units[key] = field, unit
        self._lines[key] = Line(body, theme).at(row=row + 1, column=0, columnspan=3)
        self._lines[key].keep_row()


class ListCard(Card):
    """One list: its file, how long it is, what is wrong; the way to its rows."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        key: str,
        calls: dict[str, Callable[[str], object]],
    ) -> None:
        """parent: any widget; theme: the look; key: of the list; calls: what its buttons ask for by
        name, each with the key: 'rows', 'begin', 'pick'."""
        super().__init__(parent, theme)
        self.key, body = key, self.body
        body.columnconfigure(0, weight=1)
        ttk.Label(body, text=LIST_NAMES[key], style="Title.TLabel").grid(
            row=0, column=0, sticky="w"
        )
        self.said = Line(body, theme, "Soft.Card.TLabel").at(row=1, column=0, pady=(theme.px(2), 0))
        self.fault = Line(body, theme).at(row=2, column=0, pady=(theme.px(2), 0))
        row = ttk.Frame(body, style="Inner.TFrame")
        row.grid(row=3, column=0, sticky="w", pady=(theme.px(7), 0))
        self.buttons = {
            "rows": quiet_button(row, "Rows…", lambda: calls["rows"](key)),
            "begin": quiet_button(row, "Begin a list", lambda: calls["begin"](key)),
            "pick": quiet_button(row, "Pick a file…", lambda: calls["pick"](key)),
        }
        for at, button in enumerate(self.buttons.values()):
            button.grid(row=0, column=at, padx=(0, theme.px(6)))
        self._theme = theme

    def show(self, one: PriceList) -> None:
        """Show how the list stands. one: it."""
        none = one.path is None or one.missing
        for name, on in (("rows", not none), ("begin", none)):
            if on:
                self.buttons[name].grid()
            else:
                self.buttons[name].grid_remove()
        self.buttons["pick"].configure(text="Pick a file…" if none else "Another…")
        name = one.path.name if one.path is not None else ""
        said = NONE_YET[self.key] if none else f"{name}: {rows_words(one.rows, self.key)}"
        self.said.say(said)
        if one.missing:
            self.fault.say(f"{name} is not there.")
        elif one.red:
            more = f" (and {len(one.red) - 1} more)" if len(one.red) > 1 else ""
            self.fault.say(f"{one.red[0]}{more}")
        else:
            names = one.wish_names
            self.fault.say(sentence(f"still to come: {names[0]}") if names else "", soft=True)


class RoutesForm(ttk.Frame):
    """The column of cards."""

    def __init__(
        self,
        parent: tk.Misc,
        theme: Theme,
        *,
        on_edit: Told,
        calls: dict[str, Callable[[str], object]],
    ) -> None:
        """parent: the stage; theme: the look; on_edit: called with every edit; calls: what the
        lists ask for, by name."""
        super().__init__(parent)
        self.column = ScrollColumn(self, theme)
        self.column.pack(fill="both", expand=True)
        self.costs = CostsCard(self.column.body, theme, on_edit)
        self.cards = {key: ListCard(self.column.body, theme, key, calls) for key in LISTS}
        for card in (self.costs, *self.cards.values()):
            card.pack(fill="x", pady=(0, theme.space("between")))
        stop_at_fields(self)
        self.column.catch_wheel()

    def show(self, table: Table, faults: tuple[Fault, ...], lists: dict[str, PriceList]) -> None:
        """Show everything. table: the job's; faults: of its costs; lists: by key."""
        self.costs.show(table, faults)
        for key, card in self.cards.items():
            card.show(lists[key])

    def focus_place(self, place: Place) -> None:
        """Put the keyboard where a place of the job is shown. place: into the job."""
        if place[:1] == (COSTS,):
            key = str(place[1]) if len(place) > 1 else "hour"
            self.costs.fields.get(key, self.costs.fields["hour"]).take_focus()
        elif place and place[0] in self.cards:
            buttons = self.cards[str(place[0])].buttons.values()
            next(one for one in buttons if one.winfo_manager()).focus_set()

    @property
    def held(self) -> Place:
        """The place of the field that the keyboard is on, () for none."""
        for field in self.costs.fields.values():
            if field.entry == field.focus_now():
                return field.place_of
        return ()
