"""One reading as a card: what was read, the way it was taken, what was fitted."""

from __future__ import annotations

from typing import Any

from desktop import edits
from desktop.form_chips import Choice, Flow
from desktop.form_kinds import LEAVES
from desktop.form_parts import Field
from desktop.line_table import readable_in, seats_read
from desktop.reading_faults import sort_faults
from desktop.reading_fields import ON_TOOTH, CardFields
from desktop.reading_words import (
    CIRCUMSTANCES,
    LOADED,
    kind_of_tool,
    usual_way,
    way_in,
    where_words,
)
from solver.job import DIRECTIONS
from solver.report_words import UNIT_SHOWN
from solver.trouble import Fault, Place
from solver.units import NotAQuantity, length_um

NO_TOOL = ""  # among the choices of a tool: the reading says its own within
MOST_LEAVES = 8  # offered; a file may say more
_WHERE = ("read", "radius", "radius_within", "on", "lever_angle", "out_of_line")


class ReadingCard(CardFields):
    """A card that shows one reading; its fields stay while what is read and how stay."""

    _built: tuple[object, ...] = ()

    def show(
        self,
        number: int,
        table: edits.Table,
        faults: tuple[Fault, ...],
        *,
        unit: str,
        words: str,
    ) -> None:
        """Show a reading.

        number: which one, from 0; table: the job's; faults: of it; unit: shown; words: UK or US.
        """
        reading = edits.readings_of(table)[number]
        if reading.get("of") != self.reading.get("of"):
            self.way, self.where_open, self.own_within = "", False, False
            self.around_open = False
        self.way = way_in(reading) or self.way or usual_way(reading, table)
        self.own_within = self.own_within or "within" in reading
        self.table, self.reading = table, reading
        of = str(reading.get("of", ""))
        feelers = kind_of_tool(reading.get("tool"), table) == "feelers" or "leaves" in reading
        needs = (
            number, of, self.way, bool(reading.get("off") is True), self.where_open, words,
            feelers, self.own_within or "tool" not in reading, self.around_open,
            *(key in reading for key in CIRCUMSTANCES), seats_read(table, of),
            of in readable_in(table),
        )  # fmt: skip
        if needs != self._built:
            held = self._held()
            self.number, self._built = number, needs
            self.build(of, words, feelers)
            self._hold(held)
        self._fill(unit, words)
        self._mark(faults)

    def take_focus(self, place: Place) -> bool:
        """Put the keyboard on the field of a place. place. Returns whether there is one."""
        if len(place) > 2 and place[2] in _WHERE:
            self.open_where(True)
        if len(place) > 2 and place[2] in CIRCUMSTANCES and not self.around_open:
            self._do("around")
        near = _nearest(place, self.fields)
        field = self.fields[near] if near else next(iter(self.fields.values()), None)
        if field is not None:
            field.take_focus()
        return near is not None

    def _fill(self, unit: str, words: str) -> None:
        reading, own = self.reading, str(self.table.get("unit", "mm"))
        self.unit.configure(text="" if self._theme.large else UNIT_SHOWN.get(unit, unit))
        if reading.get("off") is True:
            found = " ".join(self._texts(own, unit))
            self.left_out.configure(text=f"Left out: {found}" if found else "Left out")
            return
        for place, field in self.fields.items():
            if isinstance(field, Field):
                value = edits.value_at(self.table, place)
                if place[-1] == "values":
                    value = edits.found_of(reading) or None
                field.show_value(value, own, unit)
        if self.polar is not None:
            self.polar.show(_lengths_um(reading.get("around"), own), unit)
        self._fill_chips()

    def _fill_chips(self) -> None:
        reading = self.reading
        names = self.table.get("tools", {})
        names = [str(name) for name in names] if isinstance(names, dict) else []
        tool = reading.get("tool", NO_TOOL)
        assert self.tools is not None
        choices = [*((name, name) for name in names), (NO_TOOL, "no tool")]
        self.tools.offer(choices, str(tool))
        leaves = self.fields.get(self.place_at("leaves"))
        if isinstance(leaves, Choice):
            many = reading.get("leaves", 1)
            counts = [(str(n), f"{n} {'leaf' if n == 1 else 'leaves'}") for n in _counts(many)]
            leaves.offer(counts, str(many))
        loaded = self.fields.get(self.place_at("loaded"))
        if isinstance(loaded, Choice):
            loaded.offer(LOADED, "loaded" if reading.get("loaded") is True else "")
        if reading.get("of") == "backlash":
            arrow = "▴" if self.where_open else "▾"
            self.where.configure(text=f"{where_words(reading)} {arrow}")
        for key, choices in (("read", [(d, d) for d in DIRECTIONS]), ("on", list(ON_TOOTH))):
            chip = self.fields.get(self.place_at(key))
            if isinstance(chip, Choice):
                chip.offer(choices, str(reading.get(key, choices[0][0])))
        for child in self.inside.winfo_children():
            for flow in (child, *child.winfo_children()):
                if isinstance(flow, Flow):
                    flow.settle()

    def _texts(self, own: str, unit: str) -> list[str]:
        found = edits.found_of(self.reading) or self.reading.get("around") or [
            self.reading[key] for key in ("goes", "stops", "at_least", "at_most")
            if key in self.reading
        ]  # fmt: skip
        return [LEAVES.shown(one, own, unit) for one in found]

    def _mark(self, faults: tuple[Fault, ...]) -> None:
        said = sort_faults(faults, tuple(self.fields), self.place_at())
        for place, field in self.fields.items():
            words, soft = said.get(place, ("", False))
            field.mark(bool(words) and not soft)
        for place, line in self.lines.items():
            line.say(*said.get(place, ("", False)))

    # The keyboard across a rebuild

    def _held(self) -> tuple[Place, int] | None:
        try:
            focus = self.focus_lastfor()
        except KeyError:
            return None
        for place, field in self.fields.items():
            if isinstance(field, Field) and field.entry == focus:
                return place, field.entry.index("insert")
            if field == focus:
                return place, 0
        return None

    def _hold(self, held: tuple[Place, int] | None) -> None:
        if held is None:
            return
        field = self.fields.get((*self.place_at(), *held[0][2:]))
        if field is not None:
            field.take_focus()
            if isinstance(field, Field):
                field.entry.icursor(held[1])


def _lengths_um(values: object, unit: str) -> tuple[float, ...]:
    """Lengths as typed [µm]; none where one of them is no length."""
    try:
        return tuple(length_um(one, unit) for one in values) if isinstance(values, list) else ()
    except NotAQuantity:
        return ()


def _counts(many: object) -> list[object]:
    offered: list[object] = list(range(1, MOST_LEAVES + 1))
    return offered if many in offered else [*offered, many]


def _nearest(place: Place, known: Any) -> Place | None:
    return next((place[:k] for k in range(len(place), 2, -1) if place[:k] in known), None)
