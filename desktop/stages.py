"""The stages of a rebuild: which one is in sight, and the frames of those that were wanted.

A stage takes the place of the window's body. The job, its file, undo and the look are the
window's own and the same on every stage. Stages are imported and built when first shown, so that
the window opens as fast as without them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from desktop.keys import first_stop
from solver.report_words import TRADE_WORDS
from solver.trouble import Place

if TYPE_CHECKING:
    from desktop.crush_asking import CrushAsking
    from desktop.pattern_place import PatternAsking
    from desktop.ready_asking import ReadyAsking
    from desktop.routes_asking import RoutesAsking
    from desktop.window import Window

AXLE, CRUSH, PATTERN, ROUTES = "axle", "crush", "pattern", "routes"
STAGES = (AXLE, CRUSH, PATTERN, ROUTES)
KEYBOARD_MS, KEYBOARD_TRIES = 30, 40  # until something of a stage is in sight
_STAGES = {CRUSH: CRUSH, "before_crush": CRUSH, PATTERN: PATTERN}
_STAGES |= {"costs": ROUTES, "offers": ROUTES, "sheets": ROUTES}
OF_AXLES = (CRUSH, PATTERN)  # stages that only an axle has
OWN_KEYS = tuple(_STAGES)  # of a job's table that belong to a stage of their own


def stage_of(place: Place) -> str:
    """Tell on which stage a place is shown. place: into the job or drawer. Returns its name."""
    return _STAGES.get(str(place[0]), AXLE) if place else AXLE


def stage_words(words: str, *, lines: bool = False) -> tuple[tuple[str, str, str], ...]:
    """Name the stages. words: 'UK' or 'US'; lines: of a job about lines of dimensions and no axle.

    Returns (stage, name, short name), in order.
    """
    crush = TRADE_WORDS[words].crush_spacer
    first = "Lines" if lines else "Axle"
    return (
        (AXLE, first, first),
        (CRUSH, crush[:1].upper() + crush[1:], "Crush"),
        (PATTERN, "Contact pattern", "Pattern"),
        (ROUTES, "Cut or buy", "Cut/buy"),
    )


class Stages:
    """The stages of one window."""

    def __init__(self, window: Window) -> None:
        """window: theirs."""
        self._window = window
        self.name = AXLE
        self.made: dict[str, Any] = {}  # frames in the look of now
        self.crush: CrushAsking | None = None  # once that stage was wanted
        self.ready: ReadyAsking | None = None  # as that of the crush spacer
        self.pattern: PatternAsking | None = None
        self.routes: RoutesAsking | None = None
        self._place: Any = None  # RoutesPlace

    @property
    def frame(self) -> Any:
        """The frame of the stage in sight; None for the axle, which is the window's own body."""
        return self.made.get(self.name)

    @property
    def busy(self) -> bool:
        """Whether an answer of a stage is on its way."""
        askings = (self.crush, self.ready, self.routes)
        return any(one is not None and one.busy for one in askings)

    def turn_to(self, name: str, *, keyboard: bool = False) -> None:
        """Show another stage. name: of STAGES; keyboard: put it on the stage's first field."""
        if name != self.name:
            if self.routes is not None:
                self.routes.rest()  # it takes long, and only what is in sight is worth it
            self.name = name
            self.put_in()
            self._window.show()
        if keyboard:  # what lies in a column is not to be seen before that has been drawn
            self._take_keyboard(KEYBOARD_TRIES)

    def _take_keyboard(self, tries: int) -> None:
        panels = self._window.panels
        stop = first_stop(panels.readings if self.frame is None else self.frame)
        if stop is not None:
            stop.focus_set()
        elif tries:
            self._window.timers.later(
                "keyboard", KEYBOARD_MS, lambda: self._take_keyboard(tries - 1)
            )

    def forget(self) -> None:
        """The frames are gone with the look they were made in."""
        self.made = {}

    def put_in(self) -> None:
        """Put the stage in sight into the window's body, made now where it was not yet."""
        if self.name != AXLE and self.name not in self.made:
            self.made[self.name] = self._make(self.name)
        self._window.panels.put_stage(self.frame)

    def read(self, *, at_once: bool = False) -> None:
        """Read the tables of the stages that were wanted. at_once: answer without a pause."""
        if self.crush is not None:
            self.crush.ask(self._window.desk.document, at_once=at_once)
        if self.ready is not None and self.name == CRUSH:
            self.ready.ask(self._window.desk.document, self._window.inputs, at_once=at_once)
        if self.routes is not None and self.name == ROUTES:
            self.routes.ask(self._window.desk.document, self._window.asking, at_once=at_once)

    def show(self) -> None:
        """Show the stage in sight as everything stands now."""
        window = self._window
        if self.name == CRUSH and self.crush is not None and self.ready is not None:
            self.crush.ask(window.desk.document)  # nothing where nothing has changed
            self.ready.ask(window.desk.document, window.inputs)
            table = window.desk.document.table
            self.frame.show(table, self.crush, self.ready, window.unit, window.words)
        elif self.name == PATTERN and self.pattern is not None:
            self.pattern.ask(window.desk.document)
            self.frame.show(self.pattern, window.unit, window.words)
        elif self.name == ROUTES and self.routes is not None:
            self.routes.ask(window.desk.document, window.asking)
            self.frame.show(window.desk.document.table, window.unit, window.words)

    def focus_place(self, place: Place) -> None:
        """Put the keyboard on a place of a stage's own table. place: into the job."""
        self.turn_to(stage_of(place))
        self._window.top.update_idletasks()
        if hasattr(self.frame, "focus_place"):
            self.frame.focus_place(place)

    @property
    def held(self) -> Place:
        """The place of the stage in sight that the keyboard is on, () for none."""
        return getattr(self.frame, "held", ())

    @property
    def has_answer(self) -> bool:
        """Whether the stage in sight has an answer to write down."""
        if self.name == AXLE:
            return self._window.asking.shown is not None
        if self.name == PATTERN:
            return self.pattern is not None and self.pattern.writable
        if self.name == ROUTES:
            return self.routes is not None and self.routes.state == "done"
        both = [one for one in (self.crush, self.ready) if one is not None]
        states = [one.state for one in both]
        return "solving" not in states and any(one.fresh for one in both)

    def answer_text(self) -> str:
        """Write the answer of the stage in sight, as it is shown. Returns text, '' for none."""
        window = self._window
        if not self.has_answer:
            return ""
        if self.name == CRUSH and self.crush is not None and self.ready is not None:
            texts = (
                self.ready.as_text(window.unit, window.words),
                self.crush.as_text(window.words),
            )
            return "\n".join(text for text in texts if text)
        if self.name == PATTERN and self.pattern is not None:
            return self.pattern.as_text()
        if self.name == ROUTES and self.routes is not None:
            return self.routes.as_text(window.unit, window.words)
        from dataclasses import replace

        from solver.report import answer_as_text

        answer = window.asking.shown
        assert answer is not None
        job = replace(answer.job, unit=window.unit, words=window.words)
        return answer_as_text(replace(answer, job=job))

    def escape(self) -> None:
        """Stop what the stage in sight is waiting for, or go back to what it advises."""
        if self.name == ROUTES and self.routes is not None:
            if self.routes.busy:
                self.routes.stop()
            else:
                self.routes.pick(None)

    def list_step(self, *, back: bool) -> bool:
        """Undo or redo in the list that the keyboard is in. back: which. Returns whether it is in
        one that has such a step."""
        if self.name != ROUTES or self._place is None:
            return False
        return bool(self._place.step(self.frame.list_in_hand, back=back))

    def close(self) -> None:
        """Let the threads end."""
        for one in (self.crush, self.ready, self.routes):
            if one is not None:
                one.close()

    def _make(self, name: str) -> Any:
        window = self._window
        panels = window.panels
        if name == PATTERN:
            from desktop.pattern_place import PatternAsking, PatternPlace

            self.pattern = self.pattern or PatternAsking()
            return PatternPlace(panels, panels.theme, on_edit=window.edited)
        if name == ROUTES:
            return self._make_routes()
        from desktop.crush_asking import CrushAsking
        from desktop.crush_stage import CrushStage
        from desktop.ready_asking import ReadyAsking

        if self.crush is None or self.ready is None:
            clock = window.top.nametowidget(".")
            self.crush = CrushAsking(clock, self._told)
            self.ready = ReadyAsking(clock, self._told)
        return CrushStage(panels, panels.theme, on_edit=window.edited, on_copy=window.copy)

    def _told(self) -> None:
        if not self._window.ended and self.name in (CRUSH, ROUTES):
            self._window.show()

    def _make_routes(self) -> Any:
        from desktop.routes_asking import RoutesAsking
        from desktop.routes_place import RoutesPlace

        if self.routes is None:
            self.routes = RoutesAsking(self._window.top.nametowidget("."), self._told)
        self._place = RoutesPlace(self._window, self.routes)
        return self._place.frame()
