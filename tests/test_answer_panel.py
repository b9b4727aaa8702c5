"""What the answer panel says and offers in every state; fields, cards and tips beside it."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from dataclasses import replace
from tkinter import ttk

import fake_answer
import pytest

from desktop.answer_panel import AnswerPanel
from desktop.answer_parts import MARKS, Strip
from desktop.answer_words import STANDINGS, standing, verdict_words
from desktop.side_block import SideBlock
from desktop.theme import apply_theme
from desktop.widgets import Badge, BenchField, Card, Segments

HEADINGS = {
    "empty": "Nothing to fit yet",
    "half-filled": "Nearly there",
    "solving": "Choosing…",
    "met": "Fit these",
    "short": "The best there is",
    "measure-better": "The best there is",
    "nothing-fits": "Nothing fits",
    "disagree": "Measure again first",
    "look-again": "Look again first",
}


class Bench:
    """A panel in a window, and what was asked of it."""

    def __init__(self, window: tk.Toplevel, mode: str = "light", large: bool = False) -> None:
        self.picked: list[int] = []
        self.copied: list[bool] = []
        self.theme = apply_theme(window, mode, large)
        self.card = Card(window, self.theme, "panel")
        self.card.place(x=0, y=0, width=300, height=620)
        self.panel = AnswerPanel(
            self.card.body, self.theme, self.picked.append, lambda: self.copied.append(True)
        )
        self.panel.pack(fill="both", expand=True)
        window.update()

    def show(self, name: str, unit: str = "thou", words: str = "UK") -> str:
        """Show a state. Returns everything written."""
        answer, state, missing = fake_answer.states()[name]
        self.panel.show(answer, state, unit, words, missing)
        return "\n".join(self.panel.written())


def found(widget: tk.Misc, kind: type) -> list[tk.Misc]:
    """Every widget of a kind beneath one. Returns them from the top down."""
    own = [widget] if isinstance(widget, kind) else []
    return own + [hit for child in widget.winfo_children() for hit in found(child, kind)]


@pytest.mark.parametrize("name", HEADINGS)
def test_heading_changes_with_the_state(window: tk.Toplevel, name: str) -> None:
    """Every state has its own heading, and the first thing written is that heading."""
    assert Bench(window).show(name).startswith(HEADINGS[name])


@pytest.mark.parametrize("name", [name for name in HEADINGS if name not in ("empty", "solving")])
@pytest.mark.parametrize("large", [False, True])
def test_nothing_runs_over_the_edge(window: tk.Toplevel, name: str, large: bool) -> None:
    """No text in the panel is wider than the panel, in usual and in large type."""
    bench = Bench(window, "dark", large)
    bench.show(name)
    window.update()
    room = bench.panel.column.canvas.winfo_width()
    for widget in found(bench.panel.column.body, tk.Canvas):
        for item in widget.find_all():
            if widget.itemcget(item, "state") != "hidden":
                left, _, right, _ = widget.bbox(item)
                assert left >= -2 and right <= room + 2, (name, widget.type(item))
    for label in found(bench.panel.column.body, ttk.Label):
        assert label.winfo_reqwidth() <= room, label.cget("text")


def test_met_says_counts_not_sigmas(window: tk.Toplevel) -> None:
    """A good answer says totals, pieces to take, and its chance in builds of a hundred."""
    text = Bench(window).show("met")
    for part in ("16.0", "30.5", "A7", "2 x B3", "96 of 100 builds", "Good to assemble"):
        assert part in text
    assert "sigma" not in text and "±" not in text


def test_words_follow_the_trade_and_the_unit(window: tk.Toplevel) -> None:
    """Shown in millimetres and in US words, no thou and no pinch is left."""
    text = Bench(window).show("met", "mm", "US")
    assert "Side-bearing preload" in text and "0.406" in text
    assert "thou" not in text and "Pinch" not in text


def test_verdict_words_are_few() -> None:
    """The verdict's own words are at most four; a mark stands beside them for every tone."""
    for stand in STANDINGS.values():
        assert len(stand.word.split()) <= 4
        assert stand.tone in MARKS
    assert len(set(MARKS.values())) == len(MARKS)


def test_bad_states_say_what_would_mend_them() -> None:
    """Short and impossible answers name the piece that mends them, or what to measure better."""
    for answer, part in (
        (fake_answer.short(), "16.25 thou"),
        (fake_answer.nothing_fits(), "16.25 thou"),
        (fake_answer.measure_better(), "No shim can mend this"),
    ):
        assert any(part in text for text, _ in verdict_words(answer, standing(answer)))


def test_disagreement_comes_before_any_plan() -> None:
    """Readings that disagree are said first, whatever the chance; nothing is advised to be cut."""
    answer = replace(fake_answer.short(), agreement=fake_answer.disagree().agreement)
    assert standing(answer).kind == "disagree"
    said = " ".join(text for text, _ in verdict_words(answer, standing(answer)))
    assert "cannot all be right" in said and "cut or bought" not in said


def test_old_answer_is_marked_old(window: tk.Toplevel) -> None:
    """While choosing the last answer stands faint, said to be old, and cannot be copied."""
    bench = Bench(window)
    text = bench.show("solving")
    assert "Old answer" in text and "16.0" in text
    assert bench.panel.button.instate(["disabled"])
    bench.panel.button.invoke()
    assert not bench.copied


def test_bars_share_one_scale(window: tk.Toplevel) -> None:
    """A bar is as long as its piece is thick, on one scale for both sides."""
    bench = Bench(window)
    bench.show("met")
    wheel, plain = found(bench.panel, SideBlock)
    lengths = [
        [block.coords(item) for item in block.find_withtag("piece")] for block in (wheel, plain)
    ]
    whole = float(plain.cget("width"))
    assert lengths[0][0][2] == pytest.approx(whole * 406.4 / 774.7, abs=3)
    assert lengths[1][1][2] == pytest.approx(whole, abs=3)


def test_strip_puts_the_dot_in_its_place(window: tk.Toplevel) -> None:
    """The dot lies on the line and the line in the band, as the figures do."""
    bench = Bench(window)
    bench.show("met")
    strips = found(bench.panel, Strip)
    assert len(strips) == 2
    for strip in strips:
        band, line = strip.coords("band"), strip.coords("line")
        dot = strip.coords("dot")[0]
        assert band[0] < line[0] < dot < line[2] < band[2]


def test_other_plans_are_picked_by_pointer_and_key(window: tk.Toplevel) -> None:
    """A row of another plan can be reached by the keyboard and picks its own place."""
    bench = Bench(window)
    bench.show("met")
    rows = bench.panel.rows
    assert len(rows) >= 2
    rows[0].invoke()
    rows[1].focus_force()
    window.update()
    rows[1].event_generate("<Return>")
    window.update()
    assert bench.picked == [0, 1]
    assert str(rows[0].cget("takefocus")) == "1"


def test_one_button_copies(window: tk.Toplevel) -> None:
    """The one filled button copies."""
    bench = Bench(window)
    bench.show("met")
    bench.panel.button.invoke()
    assert bench.copied == [True]


def test_unknown_state_is_loud(window: tk.Toplevel) -> None:
    """A state that does not exist, or 'done' without an answer, is our own mistake."""
    panel = Bench(window).panel
    with pytest.raises(ValueError, match="no such state"):
        panel.show(None, "finished", "mm", "UK")
    with pytest.raises(ValueError, match="no such state"):
        panel.show(None, "done", "mm", "UK")


def test_field_shows_its_fault_and_takes_it_back(window: tk.Toplevel) -> None:
    """A fault stands in one line under the field with a red edge, and goes when it is mended."""
    told: list[str] = []
    field = BenchField(window, apply_theme(window, "light", False), told=told.append)
    field.pack()
    field.text.set("0,25")
    field.show_fault("not a length")
    window.update()
    assert field.entry.instate(["invalid"]) and field.fault.winfo_ismapped()
    field.show_fault("")
    window.update()
    assert not field.entry.instate(["invalid"]) and not field.fault.winfo_ismapped()
    assert told == ["0,25"]


def test_return_goes_to_the_next_field(window: tk.Toplevel) -> None:
    """Return in a field goes on to the next one."""
    theme = apply_theme(window, "light", False)
    first, second = BenchField(window, theme), BenchField(window, theme)
    first.pack()
    second.pack()
    window.update()
    first.entry.focus_force()
    window.update()
    first.entry.event_generate("<Return>")
    window.update()
    assert window.focus_get() is second.entry


def test_focus_rings_the_card(window: tk.Toplevel) -> None:
    """Focus in a field rings its card and tells who asked; leaving takes the ring away."""
    theme = apply_theme(window, "light", False)
    told: list[bool] = []
    card, other = Card(window, theme), BenchField(window, theme)
    field = BenchField(card.body, theme)
    for part in (card, field, other):
        part.pack()
    card.ring_on_focus(told.append)
    window.update()
    field.entry.focus_force()
    window.update()
    assert card.ringed and told == [True]
    other.entry.focus_force()
    window.update()
    assert not card.ringed and told == [True, False]


def test_segments_tell_their_choice(window: tk.Toplevel) -> None:
    """A toggle holds one value and tells a new one."""
    told: list[str] = []
    theme = apply_theme(window, "light", False)
    toggle = Segments(window, theme, (("mm", "mm"), ("thou", "inch")), "mm", told.append)
    toggle.buttons["thou"].invoke()
    assert told == ["thou"] and toggle.value.get() == "thou"


def test_badge_lights(window: tk.Toplevel) -> None:
    """A lit badge changes its picture and back."""
    badge = Badge(window, apply_theme(window, "light", False), 4)
    plain = badge.cget("image")
    badge.light(True)
    assert badge.lit and badge.cget("image") != plain
    badge.light(False)
    assert badge.cget("image") == plain


def test_tip_opens_and_dies_with_its_widget(
    window: tk.Toplevel, until: Callable[[Callable[[], bool]], None]
) -> None:
    """A tip opens on the screen, hides on Escape, and does not outlive its widget."""
    from desktop.tips import Tip

    button = ttk.Button(window, text="why")
    button.place(x=1200, y=760)
    window.update()
    tip = Tip(button, apply_theme(window, "light", False), "Because a curled shim reads thick.")
    where = {"rootx": button.winfo_rootx() + 3, "rooty": button.winfo_rooty() + 3}
    button.event_generate("<Enter>", x=3, y=3, **where)
    until(lambda: bool(tip.winfo_viewable()))
    window.update()
    assert tip.winfo_rootx() + tip.winfo_width() <= window.winfo_screenwidth()
    tip.on_leave()
    assert not tip.winfo_viewable()
    button.destroy()
    assert not tip.winfo_exists()


def test_large_type_is_larger(window: tk.Toplevel) -> None:
    """Large type is 1.35 times the usual; a dense screen never shrinks it."""
    usual = int(apply_theme(window, "light", False).font("body").cget("size"))
    large = int(apply_theme(window, "light", True).font("body").cget("size"))
    dense = int(apply_theme(window, "light", True, dense=True).font("body").cget("size"))
    assert large == pytest.approx(1.35 * usual, abs=1) and dense == large
