"""The drawer as a table, and the edits behind it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from desktop import drawer_edits as edits
from desktop.drawer_table import DrawerTable
from desktop.stock import stock_lists
from desktop.theme import apply_theme
from solver.drawer_file import drawer_of
from solver.drawer_sheet import Sheet, bytes_of, new_sheet, read_sheet, sheet_of, write_sheet
from solver.trouble import Trouble

DRAWER = b"""id,thickness,unit,count,within,maker's bin
A10,0.50,mm,2,,left
A2,19.5,thou,1,,right
B1,0.0200,in,0,,
"""


def sheet() -> Sheet:
    """Three lots within half a thou of each other, with a column that is not ours."""
    return sheet_of(DRAWER, "drawer.csv")


# Edits


def test_counts() -> None:
    """Counts go up and down, never below nothing, and words stay as they are."""
    one = edits.count_by(sheet(), [0, 2], 1)
    assert [one.cell(row, "count") for row in range(3)] == ["3", "1", "1"]
    assert edits.count_by(sheet(), [2], -1).cell(2, "count") == "0"
    odd = sheet().edited(1, "count", "two")
    assert edits.count_by(odd, [1], 1) == odd


def test_nearest() -> None:
    """The nearest thickness is found across units, whatever unit it is typed in.

    Source: 0.50 mm is 19.685 thou, 0.0200 in is 20 thou (1 in = 25.4 mm, NIST SP 811, B.8).
    """
    for text, row in (("19.55", 1), ("19.7", 0), ("0.501 mm", 0), ("30", 2), ("1", 1)):
        assert edits.nearest_row(sheet(), text, "thou") == row
    assert edits.nearest_row(sheet(), "x", "thou") is None
    assert edits.nearest_row(new_sheet(), "1", "thou") is None


def test_sorting() -> None:
    """Thickness sorts by size, ids with their numbers counted, blanks come last both ways."""
    names = edits.columns_of(sheet())
    assert edits.sorted_rows(sheet(), names.index("thickness")) == (1, 0, 2)
    assert edits.sorted_rows(sheet(), names.index("id")) == (1, 0, 2)
    assert edits.sorted_rows(sheet(), names.index("count"), down=True) == (0, 1, 2)
    assert edits.sorted_rows(sheet(), names.index("maker's bin"), down=True) == (1, 0, 2)


@given(st.integers(0, 5), st.booleans())
def test_sorting_keeps_every_row(column: int, down: bool) -> None:
    """However it is sorted, every row is there once."""
    assert sorted(edits.sorted_rows(sheet(), column, down=down)) == [0, 1, 2]


def test_add_and_remove() -> None:
    """A new row has an id of its own and the unit of the row before; removed it is as before."""
    more, row = edits.add_row(sheet())
    assert row == 3
    assert (more.cell(3, "id"), more.cell(3, "unit"), more.cell(3, "count")) == ("B2", "in", "1")
    assert edits.same_sheet(edits.remove_rows(more, [3]), sheet())


def test_paste_with_names() -> None:
    """Pasted rows with a line of names go where the names say, whatever their order."""
    text = "Thickness\tMaker's Bin\tid\n0.6\ttop\tN1\n25 thou\t\t\n"
    pasted, rows = edits.paste_rows(sheet(), text)
    assert rows == (3, 4)
    assert pasted.rows[3].cells == ("N1", "0.6", "mm", "1", "", "top")
    assert pasted.rows[4].cells == ("N2", "25 thou", "", "1", "", "")


def test_paste_two_columns() -> None:
    """Two bare columns are thickness and count, one is thickness."""
    pasted, _ = edits.paste_rows(new_sheet(), "0.5\t3\r\n0.6\t1\r\n", "mm")
    drawer = drawer_of(pasted)
    assert [(lot.thickness_um, lot.count) for lot in drawer.lots] == [(500.0, 3), (600.0, 1)]
    assert len({lot.id for lot in drawer.lots}) == 2
    assert len(edits.paste_rows(new_sheet(), "12\n13", "thou")[0].rows) == 2
    assert edits.paste_rows(sheet(), "\n \n")[1] == ()


def test_copy_and_paste() -> None:
    """Rows copied and pasted come back cell for cell."""
    pasted, rows = edits.paste_rows(
        edits.remove_rows(sheet(), [0, 1, 2]), edits.text_of(sheet(), [0])
    )
    assert pasted.rows[rows[0]].cells == sheet().rows[0].cells


@given(st.text(max_size=12))
def test_any_text_can_be_saved(text: str) -> None:
    """Whatever is typed or pasted into a cell, the drawer saves and opens again with it."""
    edited = edits.set_cell(sheet(), 0, 5, text)
    again = sheet_of(bytes_of(edited), "drawer.csv")
    assert [row.cells for row in again.rows] == [row.cells for row in edited.rows]
    pasted, _ = edits.paste_rows(sheet(), f"0.1\t1\n{text}\t1")
    sheet_of(bytes_of(pasted), "drawer.csv")


def test_unknown_columns_stay(tmp_path: Path) -> None:
    """Edited, counted and saved, the drawer keeps the columns it does not know."""
    path = tmp_path / "drawer.csv"
    path.write_bytes(DRAWER)
    write_sheet(edits.count_by(read_sheet(path), [0], 5), path)
    assert path.read_bytes() == DRAWER.replace(b"mm,2", b"mm,7")


def test_stock_lists() -> None:
    """Every ready-made list is a sound drawer, and adds to one that has rows without a clash."""
    lists = stock_lists()
    assert len(lists) >= 2
    for read in lists.values():
        assert drawer_of(read()).lots
        full, rows = edits.with_stock(edits.with_stock(new_sheet(), read())[0], read())
        assert len(drawer_of(full).lots) == 2 * len(rows)


def test_summary() -> None:
    """What is on hand is said in pieces and in thicknesses that differ; nothing counts as none."""
    assert edits.summary_of(sheet()) == "3 shims, 2 thicknesses"
    assert edits.summary_of(None) == "0 shims, 0 thicknesses"


# The table


@dataclass
class Owner:
    """Stands in for the window: judges the drawer and shows it again, as the window does."""

    table: DrawerTable | None = None
    told: list[Sheet] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def changed(self, now: Sheet) -> None:
        """Take note of an edit and show what it leads to."""
        self.told.append(now)
        self.show(now)

    def show(self, now: Sheet | None, used: dict[str, int] | None = None) -> None:
        """Show a drawer with its faults."""
        faults: tuple[object, ...] = ()
        if now is not None and now.rows:
            try:
                drawer_of(now)
            except Trouble as trouble:
                faults = trouble.faults
        assert self.table is not None
        self.table.show(now, faults=faults, used=used or {}, unit="thou")  # type: ignore[arg-type]
        self.table.update()


@pytest.fixture(scope="module")
def hidden() -> Iterator[tk.Tk]:
    """The one root of the process: that of other tests, where they have made one."""
    standing = getattr(tk, "_default_root", None)
    root = standing or tk.Tk()
    root.withdraw()
    yield root
    if standing is None:
        root.destroy()


@pytest.fixture
def owner(hidden: tk.Tk, monkeypatch: pytest.MonkeyPatch) -> Iterator[Owner]:
    """A table in a window of its own, and its owner; a callback that raises fails the test."""
    raised: list[BaseException] = []
    monkeypatch.setattr(
        hidden, "report_callback_exception", lambda _, error, __: raised.append(error)
    )
    theme = apply_theme(hidden, "light", large=False)
    window = tk.Toplevel(hidden)
    window.geometry("900x420+0+0")
    owner = Owner()
    owner.table = DrawerTable(
        window, theme, on_change=owner.changed, stocks=stock_lists(),
        on_open=lambda: owner.asked.append("open"), on_save=lambda: owner.asked.append("save"),
    )  # fmt: skip
    owner.table.pack(fill="both", expand=True)
    window.update()
    yield owner
    window.destroy()
    hidden.update()
    assert raised == []


@pytest.fixture
def table(owner: Owner) -> DrawerTable:
    """A table that shows three lots and has the keyboard."""
    assert owner.table is not None
    owner.show(sheet())
    owner.table.cells.tree.focus_force()
    owner.table.update()
    return owner.table


def press(table: DrawerTable, *keys: str) -> None:
    """Press keys where the keyboard is."""
    for key in keys:
        where = table.focus_get()
        assert where is not None
        where.event_generate(f"<{key}>")
        table.update()


def type_in(table: DrawerTable, text: str) -> None:
    """Type a text where the keyboard is."""
    names = {".": "period", " ": "space", "/": "slash", "-": "minus"}
    press(table, *(f"Key-{names.get(character, character)}" for character in text))


def shown(table: DrawerTable, row: int) -> tuple[str, ...]:
    """The texts of a row on the screen, without its mark."""
    return tuple(str(one) for one in table.cells.tree.item(str(row), "values"))[1:]


def test_rows_are_shown_as_typed(table: DrawerTable) -> None:
    """Every cell shows its text as the file has it, the unknown column too."""
    assert shown(table, 0) == ("A10", "0.50", "mm", "2", "", "left")
    assert table.cells.tree.heading("c5", "text") == "maker's bin"
    assert table.summary.cget("text") == "3 shims, 2 thicknesses"


def test_typing_into_a_cell(table: DrawerTable, owner: Owner) -> None:
    """Typing begins an edit over the ringed cell, Return takes it in and goes to the count."""
    press(table, "Key-0")
    assert table.cells.editing
    type_in(table, ".55")
    press(table, "Return")
    assert owner.told[-1].cell(0, "thickness") == "0.55"
    assert table.cells.cell.cell == ("0", "c3")
    type_in(table, "7")
    press(table, "Return")
    assert owner.told[-1].cell(0, "count") == "7"
    assert table.cells.cell.cell == ("1", "c1")
    press(table, "Escape")
    assert not table.cells.editing
    assert len(owner.told) == 2


def test_tab_goes_through_every_cell(table: DrawerTable) -> None:
    """Tab goes right and on to the next row, Shift-Tab back."""
    press(table, "F2")
    press(table, *["Tab"] * 5)
    assert table.cells.cell.cell == ("1", "c0")
    press(table, "Shift-Tab")
    assert table.cells.cell.cell == ("0", "c5")


def test_escape_gives_up(table: DrawerTable, owner: Owner) -> None:
    """Escape leaves the cell as it was, and the keyboard in the table."""
    press(table, "F2")
    assert table.cells.editing
    type_in(table, "9")
    press(table, "Escape")
    assert owner.told == []
    assert shown(table, 0)[1] == "0.50"
    assert table.focus_get() is table.cells.tree


def test_clicking_away_takes_the_text_in(table: DrawerTable, owner: Owner) -> None:
    """What was typed is taken in when the keyboard goes elsewhere."""
    press(table, "F2")
    type_in(table, "9")
    table.finder.entry.focus_force()
    table.update()
    assert owner.told[-1].cell(0, "thickness") == "9"
    assert not table.cells.editing


def test_double_click_edits(table: DrawerTable) -> None:
    """A double click edits the cell under it."""
    tree = table.cells.tree
    x, y, wide, tall = tree.bbox("1", "c3")
    for sequence in ("<Button-1>", "<ButtonRelease-1>", "<Button-1>", "<ButtonRelease-1>"):
        tree.event_generate(sequence, x=x + wide // 2, y=y + tall // 2)
    table.update()
    assert table.cells.cell.cell == ("1", "c3")


def test_a_drawer_typed_in(owner: Owner) -> None:
    """From nothing, a drawer is typed in: thickness, Return, count, Return; a last Return ends."""
    table = owner.table
    assert table is not None
    owner.show(None)
    assert table.empty.winfo_ismapped()
    table.cells.tree.focus_force()
    table.update()
    press(table, "Insert")
    for thickness, count in (("18", "2"), ("19.5", "1"), ("20", "3")):
        type_in(table, thickness)
        press(table, "Return")
        type_in(table, count)
        press(table, "Return")
    press(table, "Return")
    assert not table.cells.editing
    drawer = drawer_of(owner.told[-1])
    assert [lot.count for lot in drawer.lots] == [2, 1, 3]
    assert [round(lot.thickness_um / 25.4, 6) for lot in drawer.lots] == [18.0, 19.5, 20.0]
    assert not table.empty.winfo_ismapped()
    for told in owner.told:
        drawer_of(told)  # a row half typed was never told of


def test_a_new_row_given_up(table: DrawerTable, owner: Owner) -> None:
    """A new row given up before it has a thickness was never there."""
    table.buttons["add"].invoke()
    table.update()
    owner.show(sheet(), {"A10": 1})  # an answer that comes in meanwhile leaves it alone
    assert table.cells.editing
    assert table.cells.tree.exists("3")
    press(table, "Escape")
    assert not table.cells.tree.exists("3")
    assert owner.told == []


def test_plus_and_minus(table: DrawerTable, owner: Owner) -> None:
    """The keys + and − count the selected lots up and down."""
    table.cells.select([0, 1])
    press(table, "plus", "plus", "KP_Subtract")
    assert [owner.told[-1].cell(row, "count") for row in range(3)] == ["3", "2", "0"]
    assert len(owner.told) == 3
    table.cells.select([2])
    press(table, "minus")
    assert len(owner.told) == 3


def test_remove(table: DrawerTable, owner: Owner) -> None:
    """Delete takes the selected rows away and selects the next."""
    table.cells.select([1])
    press(table, "Delete")
    assert [owner.told[-1].cell(row, "id") for row in range(2)] == ["A10", "B1"]
    assert table.cells.selected == (1,)
    table.buttons["remove"].invoke()
    table.buttons["remove"].invoke()
    table.buttons["remove"].invoke()
    assert owner.told[-1].rows == ()
    assert table.cells.tree.get_children() == ()


def test_find(table: DrawerTable) -> None:
    """Typing a thickness selects the nearest row; what is none reddens the field."""
    press(table, "Control-f")
    assert table.focus_get() is table.finder.entry
    type_in(table, "20")
    assert table.cells.selected == (2,)
    press(table, "Return")
    assert table.focus_get() is table.cells.tree
    table.finder.text.set("x")
    assert table.finder.entry.instate(["invalid"])
    table.finder.text.set("")
    assert not table.finder.entry.instate(["invalid"])


def test_sort_by_heading(table: DrawerTable, owner: Owner) -> None:
    """A heading sorts up, then down, then back; the file's order never changes."""
    tree = table.cells.tree
    orders = []
    for _ in range(3):
        tree.tk.call(tree.heading("c1", "command"))
        orders.append(tree.get_children())
    assert orders == [("1", "0", "2"), ("2", "0", "1"), ("0", "1", "2")]
    table.cells.sort(1)
    assert tree.heading("c1", "text").endswith("▲")
    table.cells.select([1])
    press(table, "F2")
    type_in(table, "30")
    press(table, "Return")
    assert tree.get_children() == ("0", "2", "1")
    assert [row.cells[0] for row in owner.told[-1].rows] == ["A10", "A2", "B1"]


def test_paste_and_copy(table: DrawerTable, owner: Owner) -> None:
    """Rows on the clipboard are pasted and selected; selected rows are copied as lines of tabs."""
    table.clipboard_clear()
    table.clipboard_append("21\t2\n22\t1\n")
    table.cells.tree.event_generate("<<Paste>>")
    table.update()
    assert [owner.told[-1].cell(row, "thickness") for row in (3, 4)] == ["21", "22"]
    assert table.cells.selected == (3, 4)
    table.cells.tree.event_generate("<<Copy>>")
    table.update()
    assert table.clipboard_get().split("\n")[0].split("\t")[1:4] == ["21", "thou", "2"]


def test_stock_list(table: DrawerTable, owner: Owner) -> None:
    """A ready-made list is one choice in the menu, and adds its rows."""
    assert table.menu.index("end") == len(stock_lists()) - 1
    table.menu.invoke(0)
    assert len(owner.told[-1].rows) > 10
    assert owner.told[-1].cell(0, "id") == "A10"


def test_open_and_save_are_asked_for(table: DrawerTable, owner: Owner) -> None:
    """Opening and saving a file are asked of the owner."""
    table.buttons["open"].invoke()
    table.buttons["save"].invoke()
    assert owner.asked == ["open", "save"]


def test_pieces_in_use(table: DrawerTable, owner: Owner) -> None:
    """Lots that the plan takes are marked with the count, in words and not in colour alone."""
    owner.show(sheet(), {"A10": 2})
    assert table.cells.tree.set("0", "mark") == "● 2"
    assert table.cells.tree.item("0", "tags") == ("used",)
    assert table.cells.tree.set("1", "mark") == ""
    owner.show(sheet(), {})
    assert table.cells.tree.set("0", "mark") == ""


def test_faults(table: DrawerTable, owner: Owner) -> None:
    """A fault reddens its row and cell, with one line under the table; mended, it is gone."""
    owner.show(sheet().edited(1, "count", "two").edited(2, "thickness", "wide"))
    tree = table.cells.tree
    assert tree.item("1", "tags") == ("faulty",)
    assert tree.set("1", "mark") == "!"
    assert set(table.cells.marks.red) == {("1", "c3"), ("2", "c1")}
    reds = [one for one in tree.winfo_children() if isinstance(one, tk.Label)]
    assert {str(one.cget("text")) for one in reds if one.winfo_ismapped()} == {"two", "wide"}
    table.cells.select([2])
    line = table.fault.cget("text")
    assert line.startswith("B1: thickness: found 'wide', wanted a length;")
    assert line.endswith("(and 1 more)")
    table.cells.select([1])
    assert table.fault.cget("text").startswith("A2: count: found 'two'")
    owner.show(sheet())
    assert table.fault.cget("text") == ""
    assert not any(one.winfo_ismapped() for one in reds)


def test_faults_of_a_sheet_that_has_moved(table: DrawerTable, owner: Owner) -> None:
    """When the row above a faulty one goes, the red goes with its row."""
    owner.show(sheet().edited(1, "count", "two"))
    table.cells.select([0])
    press(table, "Delete")
    assert table.cells.marks.red == (("0", "c3"),)
    assert table.cells.tree.item("1", "tags") in ((), ("none",), "")


def test_undo_ends_an_edit(table: DrawerTable, owner: Owner) -> None:
    """Another sheet shown while a cell is edited, as undo does, ends the edit and loses nothing."""
    press(table, "F2")
    type_in(table, "9")
    owner.show(edits.count_by(sheet(), [0], 4))
    assert not table.cells.editing
    assert shown(table, 0)[1:4] == ("0.50", "mm", "6")
    assert owner.told == []


def test_columns_of_another_file(table: DrawerTable, owner: Owner) -> None:
    """A file with other columns shows those."""
    owner.show(sheet_of(b"thickness;id;count;unit\n0,5;Q;1;mm\n", "other.csv"))
    assert shown(table, 0) == ("0,5", "Q", "1", "mm")
    assert len(table.cells.tree.get_children()) == 1


def test_many_rows_are_counted_quickly(table: DrawerTable, owner: Owner) -> None:
    """In a drawer of 500 rows a count draws one row again, not all."""
    lines = "".join(f"L{n},{n + 1},thou,1\n" for n in range(500))
    owner.show(sheet_of(f"id,thickness,unit,count\n{lines}".encode(), "drawer.csv"))
    tree, drawn = table.cells.tree, []
    plain = tree.item

    def item(name: str, *rest: object, **keys: object) -> object:
        if keys:
            drawn.append(name)
        return plain(name, *rest, **keys)  # type: ignore[call-overload]

    tree.item = item  # type: ignore[method-assign, assignment]
    table.cells.select([250])
    table.count(1)
    assert set(drawn) == {"250"}
