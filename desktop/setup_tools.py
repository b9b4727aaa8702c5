"""The tools of a job in the set-up: what each may be off by, added and taken away."""

from __future__ import annotations

import tkinter as tk
from functools import partial
from tkinter import ttk
from typing import Any

from desktop import setup_words as say
from desktop.edits import Table, remove_tool, rename_tool, set_at, value_at
from desktop.form_chips import Choice, tip_on
from desktop.form_parts import Line
from desktop.reading_words import kind_of_tool
from desktop.setup_edits import add_tool
from desktop.setup_form import Form
from solver.job_tools import KINDS

_KEYS = ("within", "repeat", "step")


def build_tools(form: Form, names: tuple[str, ...], *, unit: str, words: str) -> None:
    """Build a row for each tool. form; names: of the tools; unit: shown; words: UK or US."""
    form.section("Tools", say.TOOLS_NOTE, ("tools",))
    form.usual = {}
    for name in names:
        _build_tool(form, name, names, words)
    row = form.named("")
    add = Choice(
        row, form.theme, lambda kind: form.told(add_tool(kind), ("tools",), False),
        style="Quiet.TMenubutton", marks=False,
    )  # fmt: skip
    add.offer(say.kind_choices(words), word="Add a tool")


def _build_tool(form: Form, name: str, names: tuple[str, ...], words: str) -> None:
    theme, place = form.theme, ("tools", name)
    text = tk.StringVar(form.body, name)
    entry = ttk.Entry(
        form.body, textvariable=text, style="Field.TEntry", font=theme.font("label"), width=13
    )
    entry.variable = text  # type: ignore[attr-defined]  # kept as long as its field
    row = form.beside(entry)

    def rename(_: Any) -> None:
        to = " ".join(text.get().split())
        if to == name:
            return
        if not to or to in names:
            text.set(name)
        else:
            form.told(rename_tool(name, to), place, False)

    for key in ("<Return>", "<KP_Enter>", "<FocusOut>"):
        entry.bind(key, rename, add="+")
    kind = Choice(row, theme, lambda kind: _set_kind(form, name, kind), place=(*place, "kind"))
    form.fields[kind.place_of] = kind
    for key in _KEYS:
        form.field(
            row, (*place, key), label=key, why=say.TOOL_WHYS[key],
            edit=partial(set_at, (*place, key)),
        )  # fmt: skip
    gone = ttk.Button(
        row, text="×", style="Chip.TButton", width=2,
        command=lambda: form.told(remove_tool(name), place, False),
    )  # fmt: skip
    gone.bind("<Return>", lambda _: gone.invoke())
    tip_on(gone, theme, f"Take {name} away. Readings that name it say so.")
    form.line(*((*place, key) for key in ("kind", *_KEYS)), place)
    usual = Line(form.body, theme, "Hint.TLabel")
    usual.at(row=form.row(), column=1, pady=(0, theme.px(4)))
    usual.keep_row()
    form.usual[name] = usual


def _set_kind(form: Form, name: str, kind: str) -> None:
    form.told(set_at(("tools", name, "kind"), kind), ("tools", name, "kind"), False)


def show_tools(form: Form, table: Table, unit: str, words: str) -> None:
    """Show the kinds of tools and what stands in for their blanks. form; table; unit; words."""
    for name, line in form.usual.items():
        tool = value_at(table, ("tools", name), {})
        tool = tool if isinstance(tool, dict) else {}
        kind = kind_of_tool(name, table) or "other"
        chip = form.fields[("tools", name, "kind")]
        if isinstance(chip, Choice):
            chip.offer(say.kind_choices(words), kind if kind in KINDS else str(kind))
        line.say(say.usual_words(tool, kind, unit))
