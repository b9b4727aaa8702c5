"""The drawer's books as a face of the middle: whether they balance, what is out, their history."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Mapping
from functools import partial
from tkinter import ttk

from desktop.books_work import BooksShown
from desktop.drawer_tree import style_tree
from desktop.form_chips import Flow
from desktop.theme import Theme
from desktop.widgets import BenchField, quiet_button
from solver.book_moves import Measurement
from solver.ledger import Books
from solver.plan import Plan
from solver.report_books import balance_words, difference_words, entry_words

NO_BOOKS = (
    "No books yet. They begin with the first shims that are taken out, or measured here, "
    "in a file beside the drawer that any spreadsheet opens."
)
NO_FILE = "The books are kept beside a drawer that is saved. Save the job first."
MOST_DIFFERENCES = 3  # that are said; the file tells all
NARROW = 60  # digits that the table is wide, under which it leaves the times out
ADOPT = (("Counted", "counted"), ("Bought", "bought"), ("Cut", "cut"), ("Used up", "used up"))


class BooksPanel(ttk.Frame):
    """The books. `show` draws them; what is asked for is told by name."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, told: Mapping[str, Callable[..., object]]
    ) -> None:
        """parent: any widget on a card; theme: the look; told: what is called by name: 'take',
        'put back', 'measure', 'adopt', 'undo entry'."""
        super().__init__(parent, style="Inner.TFrame")
        self._theme, self._told = theme, told
        gap = theme.px(6)
        self._build_bar(gap)
        self.balance = ttk.Label(self, style="Card.TLabel")
        self.balance.grid(row=1, column=0, sticky="ew")
        self.fault = ttk.Label(self, style="Fault.TLabel")
        self.fault.grid(row=2, column=0, sticky="ew", pady=(0, gap))
        self._build_adopt(gap)
        self._build_history()
        self._build_measure(gap)
        self.columnconfigure(0, weight=1)
        self.rowconfigure(4, weight=1)
        self._rows: tuple[tuple[str, str, str], ...] | None = None  # before the first show
        self._narrow = False
        self.bind("<Configure>", self._fit)

    def show(self, shown: BooksShown, lot: str = "") -> None:
        """Show the books. shown: all of them; lot: in hand in the drawer, to be measured."""
        opened = shown.opened
        books = opened.books if opened is not None else Books()
        out = books.fitted(shown.job)
        wanted = shown.plan is not None and pieces_of(shown.plan) != out
        self.buttons["take"].state(["!disabled" if wanted else "disabled"])
        self.buttons["put back"].state(["!disabled" if out else "disabled"])
        faults: tuple[str, ...] = (shown.fault,) if shown.fault else ()
        words = NO_FILE if opened is None and not shown.fault else ""
        if opened is not None:
            found = opened.balance
            words = balance_words(found) if books.lines else ""
            if self._theme.large:  # the verdict without its sum
                words = words.partition(":")[0] + "." if words else ""
            faults = difference_words(found)
            if not shown.saved:
                words = f"{words} What is not saved in the drawer yet is not counted.".strip()
        more = len(faults) - MOST_DIFFERENCES
        self.balance.configure(text=words)
        said = "; ".join(faults[:MOST_DIFFERENCES])
        self.fault.configure(text=said + (f"; and {more} lots more" if more > 0 else ""))
        differs = opened is not None and bool(faults)
        for part, wanted in ((self.fault, bool(faults)), (self.adopt, differs)):
            if wanted:
                part.grid()
            else:
                part.grid_remove()
        self._fill(books)
        if lot and not self.fields["lot"].text.get():
            self.fields["lot"].text.set(lot)

    def written(self) -> tuple[str, ...]:
        """Read everything written here. Returns the texts from the top down."""
        rows = (" ".join(row) for row in self._rows or ())
        texts = (str(part.cget("text")) for part in (self.balance, self.fault, self.empty))
        return tuple(text for text in (*texts, *rows) if text)

    def undo_chosen(self) -> None:
        """Turn the chosen entry round, or the last that stands where none is chosen."""
        chosen = self.tree.selection()
        self._told["undo entry"](int(chosen[0]) if chosen else 0)

    def measure(self) -> None:
        """Enter what stands in the fields."""
        said = {name: field.text.get().strip() for name, field in self.fields.items()}
        missing = [name for name in ("lot", "thickness") if not said[name]]
        pieces = said["pieces"]
        for name, field in self.fields.items():
            field.show_fault("missing" if name in missing else "")
        if pieces and (not pieces.isdecimal() or len(pieces) > 6):
            self.fields["pieces"].show_fault("a number")
        elif not missing:
            found = Measurement(said["thickness"], said["within"])
            self._told["measure"](said["lot"], found, int(pieces or 0))

    def _build_bar(self, gap: int) -> None:
        bar = Flow(self, self._theme, 6)
        bar.grid(row=0, column=0, sticky="ew", pady=(0, gap))
        self.buttons = {
            "take": quiet_button(bar, "Take out", lambda: self._told["take"]()),
            "put back": quiet_button(bar, "Put back", lambda: self._told["put back"]()),
            "undo": quiet_button(bar, "Undo", self.undo_chosen),
        }

    def _build_adopt(self, gap: int) -> None:
        self.adopt = Flow(self, self._theme, 6)
        self.adopt.grid(row=3, column=0, sticky="ew", pady=(0, gap))
        if not self._theme.large:
            ttk.Label(self.adopt, text="Take it into the books as", style="Hint.TLabel")
        for word, what in ADOPT:
            self.buttons[what] = quiet_button(self.adopt, word, partial(self._adopted, what))

    def _adopted(self, what: str) -> None:
        self._told["adopt"](what)

    def _build_history(self) -> None:
        theme = self._theme
        frame = ttk.Frame(self, style="Inner.TFrame")
        frame.grid(row=4, column=0, sticky="nsew")
        frame.rowconfigure(0, weight=1)
        frame.columnconfigure(0, weight=1)
        self.tree = ttk.Treeview(
            frame, columns=("entry", "when", "what"), show="headings", selectmode="browse", height=4
        )
        style_tree(theme, self.tree)
        widths = {"entry": "Entry 00", "when": "2026-11-25 18:02 0", "what": ""}
        for name, sample in widths.items():
            self.tree.heading(name, text=name.capitalize(), anchor="w")
            wide = theme.wide("body", sample) or theme.px(200)
            self.tree.column(name, width=wide, stretch=name == "what", anchor="w")
        bar = ttk.Scrollbar(
            frame, orient="vertical", command=self.tree.yview, style="Slim.Vertical.TScrollbar"
        )
        self.tree.configure(yscrollcommand=bar.set)
        self.tree.grid(row=0, column=0, sticky="nsew")
        bar.grid(row=0, column=1, sticky="ns")
        self.tree.bind("<<TreeviewSelect>>", lambda _: self._say_chosen())
        self.empty = ttk.Label(self.tree, style="Hint.TLabel", justify="center")

    def _build_measure(self, gap: int) -> None:
        row = Flow(self, self._theme, 6)
        row.grid(row=5, column=0, sticky="ew", pady=(gap, 0))
        if not self._theme.large:
            ttk.Label(row, text="Measured", style="Label.TLabel")
        widths = {"lot": 5, "thickness": 7, "within": 5, "pieces": 3}
        labels = {"within": "within ±"}
        if self._theme.large:  # short, so that it stays on two lines
            labels = {"thickness": "is", "within": "±"}
        self.fields = {
            name: BenchField(row, self._theme, label=labels.get(name, name), width=wide)
            for name, wide in widths.items()
        }
        self.buttons["measure"] = quiet_button(row, "Enter", self.measure)

    def _fill(self, books: Books) -> None:
        """The history, the latest first."""
        entries: dict[int, list[int]] = {}
        for place, line in enumerate(books.lines):
            entries.setdefault(line.entry, []).append(place)
        rows = tuple(
            (
                str(number),
                books.lines[places[0]].when[:16],
                entry_words(tuple(books.lines[place] for place in places)),
            )
            for number, places in reversed(entries.items())
        )
        if rows != self._rows:
            if self._rows is not None and rows and rows[0][2].startswith("measured"):
                for field in self.fields.values():
                    field.text.set("")  # it is in the books now
            self._rows = rows
            self.tree.delete(*self.tree.get_children())
            for row in rows:
                self.tree.insert("", "end", iid=row[0], values=row)
        self.buttons["undo"].state(["!disabled" if books.last_to_undo() else "disabled"])
        self.empty.configure(text="" if rows else NO_BOOKS)
        if rows:
            self.empty.place_forget()
        else:
            self.empty.place(relx=0.5, rely=0.5, anchor="center")

    def _say_chosen(self) -> None:
        """Where the table is too narrow for an entry's words, say those of the chosen one."""
        chosen = self.tree.selection()
        if chosen and self._narrow:
            self.balance.configure(text=str(self.tree.set(chosen[0], "what")))

    def _fit(self, event: tk.Event[tk.Misc]) -> None:
        if event.widget is self:
            for label in (self.balance, self.fault, self.empty):
                label.configure(wraplength=max(event.width - self._theme.px(24), 1))
            self._narrow = event.width < self._theme.wide("body", "0") * NARROW
            self.tree.configure(displaycolumns=("entry", "what") if self._narrow else "#all")


def pieces_of(plan: Plan) -> dict[str, int]:
    """Pieces of a plan. plan. Returns: number by lot id."""
    found: dict[str, int] = {}
    for stack in plan.stacks:
        for piece in stack.pieces:
            found[piece.id] = found.get(piece.id, 0) + piece.count
    return found
