"""The readings at the left: every way typed in, faults on their fields, the keyboard kept."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from desktop import edits
from desktop.form_chips import GROUP, Choice
from desktop.form_kinds import (
    shown_chance,
    shown_lengths,
    shown_stack,
    split_repeats,
    typed_chance,
    typed_stack,
)
from desktop.form_parts import Field
from desktop.reading_words import HINTS, choices_to_add, hint_of
from desktop.readings_panel import ReadingsPanel
from desktop.theme import apply_theme
from solver.job import READABLE
from solver.job_file import read_job
from solver.trouble import Fault, Trouble

LIMITS = {
    "backlash": {"low": 5, "high": 8},
    "pinch": {"low": 5, "high": 8, "counted": "total"},
}


class Bench:
    """Stands in for the window: keeps the job, judges it, shows it again after every edit."""

    def __init__(self, window: tk.Toplevel, *, mode: str = "light", large: bool = False) -> None:
        self.window, self.unit, self.words = window, "thou", "UK"
        self.table: edits.Table = {**edits.fresh_table("thou"), "limits": LIMITS}
        self.told: list[tuple[tuple[object, ...], bool]] = []
        self.lit: list[int | None] = []
        theme = apply_theme(window, mode, large)
        self.panel = ReadingsPanel(window, theme, on_edit=self.edited, on_focus=self.lit.append)
        self.panel.pack(side="left", fill="y")
        self.show()
        window.update()
        window.focus_force()

    def edited(self, edit: edits.Edit, place: tuple[Any, ...], typing: bool) -> None:
        """Take an edit as the window does."""
        self.table = edit(self.table)
        self.told.append((place, typing))
        self.show()

    def faults(self) -> tuple[Fault, ...]:
        """Everything wrong with the job now."""
        try:
            read_job(self.table, "job.toml", Path())
        except Trouble as trouble:
            return trouble.faults
        return ()

    def show(self) -> None:
        """Show the job as it is."""
        self.panel.show(self.table, self.faults(), unit=self.unit, words=self.words)

    def field(self, number: int, *keys: str) -> Field:
        """The field of a place in a reading."""
        found = self.panel.cards[number].fields[("readings", number, *keys)]
        assert isinstance(found, Field)
        return found

    def type(self, text: str) -> None:
        """Type where the keyboard is."""
        self.window.update()
        for one in text:
            where = self.window.focus_get()
            assert where is not None
            keys = {" ": "space", ".": "period", ",": "comma", "+": "plus", "/": "slash"}
            where.event_generate(f"<Key-{keys.get(one, one)}>")
            self.window.update()

    def press(self, key: str) -> None:
        """Press a key where the keyboard is."""
        where = self.window.focus_get()
        assert where is not None
        where.event_generate(f"<{key}>")
        self.window.update()

    def reading(self, number: int) -> edits.Table:
        """The table of a reading."""
        return edits.readings_of(self.table)[number]


@pytest.fixture
def bench(window: tk.Toplevel) -> Iterator[Bench]:
    """A new job in thou, with limits, on the bench."""
    yield Bench(window)


# Kinds of field


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("51.0 51,5  51.0", ["51.0", "51,5", "51.0"]),
        ("51; 52 ;53", ["51", "52", "53"]),
        ("51, 52", ["51", "52"]),
        ("36 1/2 0.93 mm 4", ["36 1/2", "0.93 mm", "4"]),
        ("1/2 3", ["1/2", "3"]),
        ("", []),
        ("51,", ["51,"]),
    ],
)
def test_repeats_are_parted(text: str, parts: list[str]) -> None:
    """Repeats part at spaces and semicolons; a unit and a fraction stay with their number."""
    assert split_repeats(text) == parts


def test_repeats_come_back_as_typed() -> None:
    """What repeats are shown as parts into the same values again, also with units among them."""
    for values in ([51.5, 52], ["36 1/2", 4], [36, "1/2"], [51.5, "1/2"], [7]):
        text = shown_lengths(values, "thou", "thou")
        assert split_repeats(text) == [str(one) for one in values]


def test_repeats_not_touched_keep_their_digits(bench: Bench) -> None:
    """A repeat added while another unit is shown leaves the others as they were typed."""
    bench.edited(edits.set_at(("readings", 0, "values"), ["36 1/2", 51.0]), ("readings",), False)
    bench.unit = "mm"
    bench.show()
    field = bench.field(0, "values")
    field.take_focus()
    bench.window.update()
    field.entry.selection_clear()
    field.entry.icursor("end")
    bench.type(" 1.3")
    assert bench.reading(0)["values"] == ["36 1/2", 51.0, "1.3 mm"]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("18", 18),
        ("A15 + A18", ["A15", "A18"]),
        ("A15, A18", ["A15", "A18"]),
        ("0,25", 0.25),
        ("18 ± 0.2", {"thickness": 18, "within": 0.2}),
        ("18 within 0.2", {"thickness": 18, "within": 0.2}),
        ("", None),
    ],
)
def test_what_was_fitted(text: str, value: object) -> None:
    """A seat takes a thickness, one with its spread, or lots, and shows the same again."""
    read = typed_stack(text, "thou", "thou")
    assert read == value
    assert typed_stack(shown_stack(read, "thou", "thou"), "thou", "thou") == read


def test_chance_is_so_many_of_100() -> None:
    """So many of 100 becomes a share without rounding, and is shown as typed."""
    for text, share in (("95", 0.95), ("97,5", 0.975), ("99.9", 0.999), ("100", 1.0)):
        assert typed_chance(text) == share
        assert shown_chance(typed_chance(text)) == text.replace(",", ".")
    assert typed_chance("many") == "many"


# Ways of taking a reading


def test_a_job_typed_by_keyboard(bench: Bench) -> None:
    """Two readings typed with Return between the fields give the job they should."""
    bench.panel.focus_place(("readings", 0, "goes"))
    bench.type("51")
    bench.press("Return")
    bench.type("52,5")
    bench.press("Return")
    bench.type("24.0")
    bench.press("Return")
    bench.type("25")
    job = read_job(bench.table, "job.toml", Path())
    assert [(r.of, r.goes_um, r.stops_um) for r in job.readings] == [
        ("total clearance", (51 * 25.4,), 52.5 * 25.4),
        ("mesh gap", (24 * 25.4,), 25 * 25.4),
    ]
    assert str(bench.reading(1)["goes"]) == "24.0"  # kept as typed
    assert all(typing for _, typing in bench.told)
    assert bench.lit[0] == 0 and bench.lit[-1] == 1


@pytest.mark.parametrize(
    ("way", "typed", "found"),
    [
        ("values", "51.0 51,5 36 1/2", {"values_um": (51 * 25.4, 51.5 * 25.4, 36.5 * 25.4)}),
        ("at_least", "40", {"at_least_um": 40 * 25.4}),
        ("at_most", "2", {"at_most_um": 2 * 25.4}),
        ("goes", "51", {"goes_um": (51 * 25.4,)}),
    ],
)
def test_every_way(bench: Bench, way: str, typed: str, found: dict[str, object]) -> None:
    """Every way of taking a reading can be chosen and typed, and is read as that."""
    bench.panel.cards[1].ways.pick(way)
    assert bench.panel.cards[1].way == way
    bench.field(1, way).take_focus()
    bench.type(typed)
    table = edits.set_at(("readings", 0, "value"), 51)(bench.table)
    table = edits.add_reading("mesh gap", "feelers")(table)
    job = read_job(edits.set_at(("readings", 2, "value"), 24)(table), "job.toml", Path())
    for key, value in found.items():
        assert getattr(job.readings[1], key) == value


def test_none_to_be_felt_is_zero_at_once(bench: Bench) -> None:
    """'None to be felt' says at most 0 by itself; going back leaves nothing of it."""
    bench.panel.cards[0].ways.pick("at_most")
    assert bench.reading(0)["at_most"] == 0
    bench.panel.cards[0].ways.pick("goes")
    assert "at_most" not in bench.reading(0)
    assert bench.panel.cards[0].way == "goes"


def test_a_trial_fit(bench: Bench) -> None:
    """A backlash takes repeats, what was in each seat, and where it was read."""
    bench.panel.add.pick("backlash")
    assert bench.reading(2) == {"of": "backlash", "tool": "dial"}
    bench.window.update()
    assert bench.lit[-1] == 2
    bench.type("5.6 5.9")
    bench.press("Return")
    bench.type("18.0")
    bench.press("Return")
    bench.type("A15 + A18")
    assert bench.reading(2)["fitted"] == {"wheel side": 18.0, "plain side": ["A15", "A18"]}
    assert [float(value) for value in bench.reading(2)["values"]] == [5.6, 5.9]
    card = bench.panel.cards[2]
    card.where.invoke()
    bench.window.update()
    read = card.fields[("readings", 2, "read")]
    assert isinstance(read, Choice)
    read.pick("square to the tooth")
    assert bench.reading(2)["read"] == "square to the tooth"
    assert not any(f.place[:2] == ("readings", 2) and f.place[-1] != "read" for f in bench.faults())
    read.pick("along the rotation")
    assert "read" not in bench.reading(2)


def test_tool_and_leaves(bench: Bench) -> None:
    """The tool and the leaves stacked are chosen; without a tool the reading says its within."""
    card = bench.panel.cards[0]
    leaves = card.fields[("readings", 0, "leaves")]
    assert isinstance(leaves, Choice)
    leaves.pick("3")
    assert bench.reading(0)["leaves"] == 3
    assert card.tools is not None
    card.tools.pick("")
    assert "tool" not in bench.reading(0)
    bench.field(0, "within").take_focus()
    bench.type("0.4")
    assert bench.reading(0)["within"] == 0.4


def test_repeat_leave_out_remove(bench: Bench) -> None:
    """A card can be repeated, left out and put back, and removed; the numbers follow."""
    bench.field(0, "goes").take_focus()
    bench.type("51")
    bench.panel.cards[0].more.pick("repeat")
    bench.window.update()
    assert [r["of"] for r in bench.table["readings"]] == ["total clearance"] * 2 + ["mesh gap"]
    assert bench.window.focus_get() == bench.field(1, "goes").entry
    bench.panel.cards[0].more.pick("off")
    assert bench.reading(0)["off"] is True
    assert "51" in bench.panel.cards[0].left_out.cget("text")
    bench.panel.cards[0].back.invoke()
    assert "off" not in bench.reading(0)
    assert bench.field(0, "goes").text.get() == "51"
    bench.panel.cards[0].more.pick("remove")
    assert [card.title.cget("text") for card in bench.panel.cards] == [
        "Total clearance",
        "Mesh gap",
    ]
    assert [card.badge["text"] for card in bench.panel.cards if card.badge] == ["1", "2"]


# Faults


def test_faults_land_on_their_fields(bench: Bench) -> None:
    """A faulty figure reddens its own field alone, with a line that says found, wanted, way out."""
    bench.field(1, "stops").take_focus()
    bench.type("2x")
    assert bench.field(1, "stops").entry.instate(["invalid"])
    assert not bench.field(1, "goes").entry.instate(["invalid"])
    assert bench.window.focus_get() == bench.field(1, "stops").entry
    line = bench.panel.cards[1].lines[("readings", 1, "stops")]
    assert line.winfo_ismapped()
    text = line.cget("text")
    assert text.startswith("found '2x'") and "wanted" in text
    bench.press("BackSpace")
    assert not bench.field(1, "stops").entry.instate(["invalid"])


def test_a_fault_of_the_whole_stands_under_the_card(bench: Bench) -> None:
    """Two ways in one reading are a fault of the card; choosing a way mends it."""
    both = edits.together(
        edits.set_at(("readings", 0, "goes"), 3), edits.set_at(("readings", 0, "at_least"), 3)
    )
    bench.edited(both, ("readings", 0), False)
    assert "exactly one" in bench.panel.cards[0].lines[("readings", 0)].cget("text")
    bench.panel.cards[0].ways.pick("at_least")
    assert bench.panel.cards[0].lines[("readings", 0)].cget("text") == ""


def test_what_is_missing_is_not_red(bench: Bench) -> None:
    """A new job has nothing red: an empty field is no slip."""
    for card in bench.panel.cards:
        for field in card.fields.values():
            if isinstance(field, Field):
                assert not field.entry.instate(["invalid"])
        assert all(line.cget("text") == "" for line in card.lines.values())


# The keyboard kept


def test_show_keeps_focus_caret_and_half_typed(bench: Bench) -> None:
    """Shown again, the field with the keyboard keeps it, its caret and what is half typed."""
    field = bench.field(0, "goes")
    field.take_focus()
    bench.type("24.")
    field.entry.icursor(1)
    bench.show()
    bench.window.update()
    assert field.text.get() == "24."
    assert field.entry.index("insert") == 1
    assert bench.window.focus_get() == field.entry
    assert bench.field(0, "goes") is field  # reused, not made anew


def test_undo_shows_in_the_field_with_the_keyboard(bench: Bench) -> None:
    """A value that changed elsewhere shows even where the keyboard is."""
    before = bench.table
    field = bench.field(0, "goes")
    field.take_focus()
    bench.type("24")
    bench.table = before
    bench.show()
    assert field.text.get() == ""


def test_unit_toggle_converts_and_comes_back(bench: Bench) -> None:
    """Shown in mm figures are converted; back in thou they have the digits that were typed.

    Source: 1 in = 25.4 mm exactly (NIST SP 811, B.8).
    """
    field = bench.field(0, "goes")
    field.take_focus()
    bench.type("24.50")
    bench.unit = "mm"
    bench.show()
    assert field.text.get() == "0.6223"
    assert bench.panel.cards[0].unit.cget("text") == "mm"
    bench.unit = "thou"
    bench.show()
    assert field.text.get() == "24.50"


def test_typed_in_the_other_unit(bench: Bench) -> None:
    """Typed while mm are shown, a figure is kept with that unit."""
    bench.unit = "mm"
    bench.show()
    bench.field(0, "goes").take_focus()
    bench.type("0,62")
    assert bench.reading(0)["goes"] == "0.62 mm"
    assert bench.field(0, "goes").text.get() == "0,62"


def test_removed_elsewhere_the_right_card_goes(bench: Bench) -> None:
    """Where a reading is taken away, the cards of the others stay the same widgets."""
    last = bench.panel.cards[1]
    bench.edited(edits.remove_reading(0), ("readings", 0), False)
    assert bench.panel.cards == [last]
    assert last.title.cget("text") == "Mesh gap"


def test_focus_place(bench: Bench) -> None:
    """A place anywhere in a reading finds its field, its card in sight."""
    bench.panel.focus_place(("readings", 1, "stops"))
    assert bench.window.focus_get() == bench.field(1, "stops").entry
    bench.panel.focus_place(("readings",))
    assert bench.window.focus_get() == bench.panel.add


# Words and room


def test_words_of_both_trades(bench: Bench) -> None:
    """US words rename what is read; the job keeps the names of the files."""
    assert dict(choices_to_add("US"))["end float"] == "End play"
    assert [of for of, _ in choices_to_add("UK") if of != GROUP] == list(READABLE)
    assert set(HINTS) == set(READABLE)


@pytest.mark.parametrize("large", [False, True])
def test_all_text_fits(window: tk.Toplevel, large: bool) -> None:
    """Every label and chip has the room it asks for, and hints are one line; large drops them."""
    bench = Bench(window, large=large)
    for of in READABLE[2:]:
        bench.edited(edits.add_reading(of, "dial"), ("readings",), False)
    bench.panel.cards[0].more.pick("off")
    window.geometry("800x1000")
    window.update()
    window.update()
    theme = bench.panel._theme
    room = bench.panel.wide - 2 * theme.space("card_x") - bench.panel.column.bar_room
    for of in READABLE:
        assert theme.wide("caption", hint_of(of)) <= room or large
    said: list[str] = []
    for widget in _all(bench.panel):
        if widget.winfo_class() in ("TLabel", "TButton", "TMenubutton") and widget.winfo_ismapped():
            assert widget.winfo_width() >= widget.winfo_reqwidth(), widget.cget("text")
            assert widget.winfo_height() >= widget.winfo_reqheight(), widget.cget("text")
            edge = bench.panel.winfo_rootx() + bench.panel.winfo_width()
            assert widget.winfo_rootx() + widget.winfo_width() <= edge, widget.cget("text")
            said.append(str(widget.cget("text")))
    assert (hint_of("backlash") in said) is not large


def test_tab_goes_down_the_cards(bench: Bench) -> None:
    """Tab visits the cards in their order, also after one was put among them."""
    bench.panel.cards[0].more.pick("repeat")
    bench.field(0, "goes").take_focus()
    bench.window.update()
    seen: list[int] = []
    where: Any = bench.field(0, "goes").entry
    while where != bench.panel.add:
        cards = enumerate(bench.panel.cards)
        inside = [n for n, card in cards if str(where).startswith(f"{card}.")]
        assert inside, where
        seen += inside
        where = where.tk_focusNext()
    assert seen == sorted(seen) and set(seen) == {0, 1, 2}


def test_chips_open_by_keyboard(bench: Bench, until: Callable[[Callable[[], bool]], None]) -> None:
    """Return opens the menu of a chip."""
    chip = bench.panel.cards[0].ways
    chip.take_focus()
    bench.window.update()
    chip.event_generate("<Return>")
    until(lambda: bool(chip.menu.winfo_ismapped()))
    chip.menu.unpost()
    chip.tk.call("tk::MenuUnpost", "")
    bench.window.update()


def _all(widget: Any) -> Iterator[Any]:
    yield widget
    for child in widget.winfo_children():
        yield from _all(child)
