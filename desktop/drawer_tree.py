"""The rows and columns of the drawer as ttk shows them: styles, widths, texts, marks."""

from __future__ import annotations

from collections.abc import Mapping
from tkinter import ttk
from typing import Literal, NamedTuple

from desktop.drawer_edits import cell_at, columns_of
from desktop.theme import Theme
from solver.drawer_sheet import Sheet, SheetRow
from solver.trouble import Fault

MARK = "mark"  # the first column: what is wrong, what is in use
_HEADINGS = {
    "id": "Id",
    "thickness": "Thickness",
    "unit": "Unit",
    "count": "Count",
    "within": "Within ±",
    "tool": "Measured with",
    "fits": "Fits",
    "note": "Note",
    # lists of what can be bought and cut
    "seller": "Seller",
    "pack": "Pack",
    "price": "Price",
    "delivery": "Delivery",
    "days": "Days",
    "lift": "Lift",
    "price_per_piece": "Price a piece",
    "minutes": "Minutes",
    "left": "Left",
}
_SAMPLES = {  # the widest text that a column usually holds
    "id": "M0.05–12",
    "thickness": "36 1/2 thou",
    "unit": "thou",
    "count": "1000",
    "within": "0.0150",
    "tool": "micrometer",
    "fits": "pinion spacer",
    "note": "nominal, not measured",
    "seller": "Northern Shim",
    "pack": "tin of twelve",
    "price": "1000.00",
    "delivery": "100.00",
    "days": "100",
    "lift": "0.0150",
    "price_per_piece": "100.00",
    "minutes": "100",
    "left": "100",
}
NUMBERS = (
    "thickness", "count", "within", "price", "delivery", "days", "lift", "price_per_piece",
    "minutes", "left",
)  # fmt: skip
_OTHER_SAMPLE = "some words"
_ARROWS = {False: " ▲", True: " ▼"}
IN_USE = "●"
FAULTY = "!"


class RowLook(NamedTuple):
    """What decides how a row looks; a row is drawn again only where this has changed."""

    row: SheetRow
    used: int
    faulty: bool


def style_tree(theme: Theme, tree: ttk.Treeview) -> None:
    """Put the look on a table and on the field that edits its cells. theme; tree."""
    c, style = theme.colours, ttk.Style(tree)
    tall = theme.tall("body") + 2 * theme.space("field_y")
    style.configure(
        "Drawer.Treeview",
        background=c.card, fieldbackground=c.card, foreground=c.ink, bordercolor=c.line,
        lightcolor=c.card, darkcolor=c.card, font=theme.font("body"), rowheight=tall,
    )  # fmt: skip
    chosen = [("selected", c.tint)]
    style.map("Drawer.Treeview", background=chosen, foreground=[("selected", c.ink)])
    style.configure(
        "Drawer.Treeview.Heading",
        background=c.sunk, foreground=c.soft, font=theme.font("caption"), relief="flat",
        bordercolor=c.hair, lightcolor=c.sunk, darkcolor=c.sunk,
        padding=(theme.px(4), theme.px(4)),
    )  # fmt: skip
    style.map("Drawer.Treeview.Heading", background=[("active", c.tint)])
    style.configure(
        "Cell.TEntry",
        fieldbackground=c.card, foreground=c.ink, insertcolor=c.ink, bordercolor=c.accent,
        lightcolor=c.accent, darkcolor=c.accent, selectbackground=c.accent,
        selectforeground=c.on_accent, padding=(theme.px(2), 0),
    )  # fmt: skip
    style.map("Cell.TEntry", bordercolor=[("focus", c.accent)], lightcolor=[("focus", c.accent)])
    tree.configure(style="Drawer.Treeview")
    tree.tag_configure("used", foreground=c.accent, font=theme.font("label"))
    tree.tag_configure("none", foreground=c.soft)
    tree.tag_configure("faulty", foreground=c.ink, background=c.bad_tint)


def column_keys(sheet: Sheet | None) -> tuple[str, ...]:
    """The tree's own names of a sheet's columns, which may share a name among themselves."""
    count = len(sheet.header.cells) if sheet else 0
    return tuple(f"c{number}" for number in range(count))


def set_columns(theme: Theme, tree: ttk.Treeview, sheet: Sheet | None) -> None:
    """Give the tree a sheet's columns and their widths. theme; tree; sheet: or None for none."""
    keys = column_keys(sheet)
    tree.configure(columns=(MARK, *keys), displaycolumns=(MARK, *keys))
    tree.configure(show="headings" if keys else "")
    tree.column(MARK, width=_wide(theme, "In use", f"{FAULTY} {IN_USE} 12"), stretch=False)
    names = columns_of(sheet) if sheet else ()
    for key, name in zip(keys, names, strict=True):
        heading = _HEADINGS.get(name, name)
        wide = _wide(theme, heading + _ARROWS[True], _SAMPLES.get(name, _OTHER_SAMPLE))
        last = name == "note" or (key == keys[-1] and "note" not in names)
        tree.column(key, width=wide, minwidth=wide // 2, stretch=last, anchor=_anchor(name))


def _wide(theme: Theme, heading: str, sample: str) -> int:
    return max(theme.wide("caption", heading), theme.wide("label", sample)) + theme.px(14)


def set_headings(tree: ttk.Treeview, sheet: Sheet | None, sort: tuple[int, bool] | None) -> None:
    """Write the headings. tree; sheet; sort: (column from 0, largest first), or None."""
    tree.heading(MARK, text="In use")
    for number, name in enumerate(columns_of(sheet) if sheet else ()):
        arrow = _ARROWS[sort[1]] if sort and sort[0] == number else ""
        text = _HEADINGS.get(name, name) + arrow
        tree.heading(f"c{number}", text=text, anchor=_anchor(name))


def _anchor(name: str) -> Literal["e", "w"]:
    return "e" if name in NUMBERS else "w"


def looks_of(
    sheet: Sheet, used: Mapping[str, int], faults: tuple[Fault, ...]
) -> tuple[RowLook, ...]:
    """Find how each row is to look. sheet; used: pieces by lot id; faults: of the sheet."""
    faulty = {fault.place[1] for fault in faults if fault.place[:1] == ("rows",)}
    return tuple(
        RowLook(row, used.get(sheet.cell(number, "id"), 0), number in faulty)
        for number, row in enumerate(sheet.rows)
    )


def draw_row(tree: ttk.Treeview, sheet: Sheet, number: int, look: RowLook) -> None:
    """Write one row into the tree, new or again. number: from 0; look: of the row."""
    mark = " ".join(
        part for part in (FAULTY * look.faulty, f"{IN_USE} {look.used}" * bool(look.used)) if part
    )
    values = (mark, *(cell_at(sheet, number, at) for at in range(len(sheet.header.cells))))
    none = sheet.cell(number, "count") in ("0", "")
    tag = "faulty" if look.faulty else "used" if look.used else "none" if none else ""
    item = str(number)
    if tree.exists(item):
        tree.item(item, values=values, tags=(tag,))
    else:
        tree.insert("", "end", item, values=values, tags=(tag,))


def red_cells(sheet: Sheet, faults: tuple[Fault, ...]) -> tuple[tuple[str, str], ...]:
    """The cells that have a fault, as (item, column) of the tree. sheet; faults."""
    names = columns_of(sheet)
    cells = []
    for fault in faults:
        match fault.place:
            case ("rows", int(row), str(name)) if name in names:
                cells.append((str(row), f"c{names.index(name)}"))
    return tuple(dict.fromkeys(cells))
