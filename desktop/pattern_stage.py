"""The contact pattern: what the compound shows, asked by clicking on a tooth; what it advises."""

from __future__ import annotations

import tkinter as tk
from collections.abc import Callable
from functools import partial
from tkinter import ttk
from typing import Any

from desktop.column import ScrollColumn
from desktop.form_chips import Choice, Flow, prepare_chips, tip_on
from desktop.form_parts import Line
from desktop.theme import Theme
from desktop.tooth import Tooth
from desktop.widgets import Card, Segments
from solver.job_pattern import HOW_TO_TELL
from solver.pattern import ASK, CONFLICT, GOOD, MOVE, USED, PatternAdvice
from solver.pattern_rules import (
    ACROSS,
    ALONG,
    FLANKS,
    GEARS,
    HOW_FAR,
    TEETH,
    UNKNOWN,
    Flank,
    Pattern,
    pattern_table,
)
from solver.report_pattern import pattern_cautions, pattern_headline, pattern_sentences
from solver.report_words import sentence

ADVICE_PX, DENSE_PX = 320, 270  # at 96 dpi, on a wide screen and on a narrow one
EMPTY = "What does the compound show?"
HOW = (
    "Paint a few teeth of the wheel, turn it both ways against a drag, and click on each flank"
    " where the compound was rubbed off."
)
NEW_WHY = "Used gears are not judged by their pattern: it shows wear, not where they stand."
FAR_WHY = "How far from the middle, by eye. It sets how much to move: about 0.05, 0.1 or 0.2 mm."
TONES = {GOOD: "good", MOVE: "accent", CONFLICT: "bad", ASK: "warn", USED: "warn"}
MARKS = {GOOD: "✓", MOVE: "→", CONFLICT: "!", ASK: "?", USED: "–"}


class PatternStage(ttk.Frame):
    """Answers and tooth at the left, the advice in large words at the right."""

    def __init__(
        self, parent: tk.Misc, theme: Theme, edit: Callable[[dict[str, Any]], object]
    ) -> None:
        """parent: the window's body; theme: the look; edit: called with a new [pattern] table."""
        super().__init__(parent, style="TFrame")
        prepare_chips(self, theme)
        self._theme, self._edit = theme, edit
        self._pattern: Pattern | None = None
        self._far = dict.fromkeys(FLANKS, HOW_FAR[0])  # kept while a pattern is in the middle
        self.columnconfigure(0, weight=1)
        self.rowconfigure(0, weight=1)
        left, right = Card(self, theme, "panel"), Card(self, theme, "panel")
        left.grid(row=0, column=0, sticky="nsew", padx=(0, theme.space("gutter")))
        right.grid(row=0, column=1, sticky="nsew")
        self._ask(left.body)
        self.tooth = Tooth(left.body, theme, self._zone)
        self.tooth.grid(row=2, column=0, sticky="nsew", pady=(theme.px(8), theme.px(4)))
        self.chips: dict[tuple[str, str], Choice] = {}
        self.far: dict[str, Segments] = {}
        self._off: dict[str, ttk.Label] = {}
        answers = ttk.Frame(left.body, style="Inner.TFrame")
        answers.grid(row=3, column=0, sticky="ew")
        for place, name in enumerate(FLANKS):
            self._flank_row(answers, name, place)
        left.body.columnconfigure(0, weight=1)
        left.body.rowconfigure(2, weight=1)
        self.column = ScrollColumn(right.body, theme, theme.colours.card)
        self.column.canvas.configure(
            width=theme.px(DENSE_PX if theme.dense else ADVICE_PX * theme.type_scale)
        )
        self.column.pack(fill="both", expand=True)
        self.column.body.columnconfigure(0, weight=1)
        self._lines: list[Line] = []
        self.show(None, None)

    def show(
        self,
        pattern: Pattern | None,
        advice: PatternAdvice | None,
        unit: str = "mm",
        words: str = "UK",
    ) -> None:
        """Show what was seen and what it advises.

        pattern: None where nothing was said yet; advice: on it; unit: of
        lengths; words: the trade's.
        """
        self._pattern = pattern
        self.teeth.value.set(pattern.teeth if pattern else "")
        self.gears.value.set(pattern.gears if pattern else "")
        for name in FLANKS:
            flank: Flank | None = getattr(pattern, name, None)
            if flank is not None and not flank.centred:
                self._far[name] = flank.how_far
            for axis, offered in (("along", ALONG), ("across", ACROSS)):
                chosen = getattr(flank, axis, "")
                self.chips[name, axis].offer(
                    [(word, word) for word in offered], chosen, chosen or f"{axis}?"
                )
            off = flank is not None and not flank.centred
            self.far[name].value.set(self._far[name] if off else "")
            for part in (self.far[name], self._off[name]):
                part.grid() if off else part.grid_remove()
        self.tooth.show(pattern, advice)
        self._advise(advice, unit, words)

    def written(self) -> tuple[str, ...]:
        """Read the advice as shown. Returns its lines in order."""
        return tuple(str(line.cget("text")) for line in self._lines)

    def _ask(self, body: ttk.Frame) -> None:
        """Teeth and gears, with how to tell them."""
        theme = self._theme
        row = Flow(body, theme, gap=18)
        row.grid(row=0, column=0, sticky="ew")
        self.teeth = self._question(row, "Teeth", TEETH)
        self.gears = self._question(row, "Gears", GEARS)
        for asked, why in ((self.teeth, f"To tell: {HOW_TO_TELL}."), (self.gears, NEW_WHY)):
            for button in asked.buttons.values():
                tip_on(button, theme, why)
        if not theme.large:
            hint = Line(body, theme, "Hint.TLabel").at(row=1, column=0, pady=(theme.px(6), 0))
            hint.say(f"To tell: {HOW_TO_TELL}.", soft=True)

    def _question(self, row: Flow, word: str, answers: tuple[str, ...]) -> Segments:
        """A word with its answers, on one line."""
        group = ttk.Frame(row, style="Inner.TFrame")
        ttk.Label(group, text=word, style="Label.TLabel").pack(
            side="left", padx=(0, self._theme.px(8))
        )
        choices = [(one, one) for one in answers]
        told = partial(self._tell, word.lower())
        made = Segments(group, self._theme, choices, "", told, ground="")
        made.pack(side="left")
        return made

    def _flank_row(self, body: ttk.Frame, name: str, row: int) -> None:
        """The answers of one flank, for the keyboard: along, across, how far off."""
        theme = self._theme
        ttk.Label(body, text=f"{name.title()} flank", style="Label.TLabel").grid(
            row=row, column=0, sticky="w", padx=(0, theme.px(8)), pady=theme.px(3)
        )
        for place, axis in enumerate(("along", "across"), 1):
            told = partial(self._axis, name, axis)
            chip = self.chips[name, axis] = Choice(body, theme, told, place=("pattern", name, axis))
            chip.grid(row=row, column=place, sticky="ew", padx=(0, theme.px(6)))
        self._off[name] = ttk.Label(body, text="off the middle", style="Hint.TLabel")
        self._off[name].grid(row=row, column=3, padx=theme.px(6))
        choices = [(one, one) for one in HOW_FAR]
        self.far[name] = Segments(body, theme, choices, "", partial(self._how_far, name), ground="")
        self.far[name].grid(row=row, column=4, sticky="w")
        for button in self.far[name].buttons.values():
            tip_on(button, theme, FAR_WHY)

    def _advise(self, advice: PatternAdvice | None, unit: str, words: str) -> None:
        """The advice in large words, its sentences, its cautions."""
        c = self._theme.colours
        for child in self.column.body.winfo_children():
            child.destroy()
        self._lines = []
        if advice is None:
            self._say(EMPTY, "Heading.TLabel", c.soft, 0)
            self._say(HOW, "Body.TLabel", c.ink, 8)
        else:
            tone = getattr(c, TONES[advice.status])
            headline = f"{MARKS[advice.status]} {pattern_headline(advice, unit, words)}"
            self._say(headline, "Display.TLabel", tone, 0)
            for said in pattern_sentences(advice, unit, words):
                self._say(said, "Body.TLabel", c.ink, 8)
        self._say("Mind", "Label.TLabel", c.ink, 14)
        cautions = pattern_cautions(advice, words) if advice is not None else _always(words)
        for said in cautions:
            self._say(said, "Hint.TLabel", c.soft, 4)
        if advice is not None and advice.assumed:
            self._say("Assumed", "Label.TLabel", c.ink, 14)
            for said in advice.assumed:
                self._say(sentence(said), "Hint.TLabel", c.soft, 4)
        self.column.catch_wheel()

    def _say(self, words: str, style: str, colour: str, above: int) -> None:
        line = Line(self.column.body, self._theme, style)
        line.at(row=len(self._lines), column=0, pady=(self._theme.px(above) if above else 0, 0))
        line.say(words)
        line.configure(foreground=colour)
        self._lines.append(line)

    def _tell(self, key: str, value: object) -> None:
        """Hand on the table with one answer changed."""
        whole = {"teeth": UNKNOWN, "gears": GEARS[0], **pattern_table(self._pattern)}
        self._edit({**whole, key: value})

    def _zone(self, name: str, along: str, across: str) -> None:
        flank = Flank(along, across, self._far[name])
        table: dict[str, object] = {"along": along, "across": across}
        self._tell(name, table if flank.centred else {**table, "how_far": flank.how_far})

    def _axis(self, name: str, axis: str, value: str) -> None:
        flank = getattr(self._pattern, name, None) or Flank("middle", "middle")
        places = {"along": flank.along, "across": flank.across, axis: value}
        self._zone(name, **places)

    def _how_far(self, name: str, value: str) -> None:
        self._far[name] = value
        flank = getattr(self._pattern, name, None)
        if flank is not None:
            self._zone(name, flank.along, flank.across)


def _always(words: str) -> tuple[str, ...]:
    """What is to be minded whatever the pattern. words: 'UK' or 'US'."""
    return pattern_cautions(PatternAdvice(ASK), words)
