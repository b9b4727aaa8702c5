"""The sections of the set-up but its tools: the job, limits, seats, mesh, layout."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from tkinter import ttk

from desktop import pinion_words
from desktop import setup_words as say
from desktop.edits import Table, remove_at, value_at
from desktop.form_chips import Choice, tip_on
from desktop.form_kinds import CHANCE, NUMBER, WORDS
from desktop.setup_edits import own_limit, set_of_seat, set_pruned, set_teeth
from desktop.setup_form import Form
from desktop.setup_pinion import Scope
from desktop.widgets import Segments
from solver.job import CARRIER_SEATS, DIRECTIONS, PINION_HEAD, PINION_SPACER
from solver.metals import EXPANSIONS
from solver.report_words import TRADE_WORDS, UNIT_SHOWN
from solver.units import UNITS

METALS = (("", "not said"), *((metal, metal) for metal in EXPANSIONS))
WHERE_WORDS = (("tightest", "tightest"), ("mean", "mean"), ("all round", "every"))
ON = (("tooth", "on a tooth"), ("lever", "on a lever or flange"))


def build_job(form: Form) -> None:
    """Build the job's title, unit, wanted chance. form: to build into."""
    form.section("The job")
    row = form.named("Title")
    form.field(row, ("title",), WORDS, width=30, left=True)
    form.line(("title",))
    row = form.named("Unit", why=say.UNIT_WHY)
    form.pick(row, ("unit",), [(u, UNIT_SHOWN[u]) for u in UNITS], why=say.UNIT_WHY)
    form.line(("unit",))
    row = form.named("Wanted chance", why=say.CHANCE_WHY)
    form.field(row, ("wanted", "chance"), CHANCE, why=say.CHANCE_WHY)
    form.after(row, say.CHANCE_NOTE)
    form.line(("wanted", "chance"))
    row = form.named("At most")
    form.field(row, ("wanted", "most_shims"), NUMBER)
    form.after(row, say.MOST_NOTE)
    form.line(("wanted", "most_shims"), ("wanted",))


def pinch_kind(table: Table) -> str:
    """Tell what the carrier is held to. table: the job's. Returns a key of the limits, or ''."""
    kinds = (key for key in ("pinch", "end_float") if value_at(table, ("limits", key)) is not None)
    return next(kinds, "")


def build_limits(
    form: Form, pinch: str, swap: Callable[[str], object], scope: Scope, *, unit: str, words: str
) -> None:
    """Build the limits of what the job is about. form; pinch: 'pinch' or 'end_float'; swap: called
    with the other when it is chosen; scope: what it is about; unit: shown; words: UK or US."""
    form.section("Limits", say.LIMITS_NOTE, ("limits",))
    if scope.carrier:
        _build_carrier_limits(form, pinch, swap, unit, words)
    loose = f"pinion {TRADE_WORDS[words].end_float}".capitalize()
    for key, label in (("depth", "Pinion depth"), ("pinion_end_float", loose)):
        if scope.pinion if key == "depth" else scope.solid:
            _window(form, key, label, unit, pinion_words.SIGNS[key], pinion_words.PINION_WHYS[key])


def _build_carrier_limits(
    form: Form, pinch: str, swap: Callable[[str], object], unit: str, words: str
) -> None:
    """Backlash and pinch."""
    trade = TRADE_WORDS[words]
    _window(form, "backlash", "Backlash", unit)
    row = form.named("Stated", why=say.SPOT_WHY)
    for key, choices in (("read", [(d, d) for d in DIRECTIONS]), ("on", list(ON))):
        place = ("limits", "backlash", key)
        usual = choices[0][0]

        def chosen(value: str, place: tuple[str, ...] = place, usual: str = usual) -> None:
            form.told(set_pruned(place, None if value == usual else value), place, False)

        chip = Choice(row, form.theme, chosen, place=place)
        chip.offer(choices, usual)
        tip_on(chip, form.theme, say.SPOT_WHY)
        form.fields[place] = chip
    place = ("limits", "backlash", "radius")
    form.field(row, place, label="at radius", why=say.SPOT_WHY)
    form.line(("limits", "backlash", "read"), ("limits", "backlash", "on"), place)
    row = form.named("Held by", why=say.WHERE_WHY)
    place = ("limits", "backlash", "where")
    form.pick(row, place, WHERE_WORDS, default="all round", why=say.WHERE_WHY)
    form.after(row, "tooth")
    form.line(place)
    row = form.named("Spread", why=say.SPREAD_WHY)
    place = ("limits", "backlash_spread", "high")
    form.field(row, place, label="at most", width=7, why=say.SPREAD_WHY)
    form.after(row, f"{UNIT_SHOWN[unit]} round the wheel, loosest less tightest")
    form.line(place, ("limits", "backlash_spread"))
    kinds = (("pinch", trade.pinch.capitalize()), ("end_float", trade.end_float.capitalize()))
    row = form.named("Carrier held to")
    Segments(row, form.theme, kinds, pinch, swap, ground="")
    _window(form, pinch, dict(kinds)[pinch], unit)
    if pinch == "pinch":
        row = form.named("Counted", why=say.COUNTED_WHY)
        counted = (("total", "in total"), ("each side", "each side"))
        form.pick(row, ("limits", "pinch", "counted"), counted, why=say.COUNTED_WHY)
        form.line(("limits", "pinch", "counted"))


def _window(form: Form, key: str, label: str, unit: str, signs: str = "", why: str = "") -> None:
    """A low and a high, what their signs mean, and the EXAMPLE mark with its way out."""
    row = form.named(label, why=why)
    places = [("limits", key, end) for end in ("low", "high")]
    for place in places:
        form.field(row, place, label=place[-1], width=7, font="value", why=why)
    form.after(row, f"{UNIT_SHOWN[unit]}, {signs}" if signs else UNIT_SHOWN[unit])
    form.line(*places, ("limits", key))
    mark = form.named("")
    badge = ttk.Frame(mark, style="WarnCard.TFrame")
    ttk.Label(badge, text=say.EXAMPLE_NOTE, style="WarnWord.TLabel").pack(
        padx=form.theme.px(10), pady=form.theme.px(4)
    )
    place = ("limits", key, "example")
    own = ttk.Button(
        mark, text=say.OWN_WORDS, style="Chip.TButton",
        command=lambda: form.told(own_limit(key), place, False),
    )  # fmt: skip
    own.bind("<Return>", lambda _: own.invoke())
    mark.grid_remove()
    form.marks[key] = mark


def show_warmth(form: Form, table: Table) -> None:
    """Show what the fields of the metals do not. form; table: the job's."""
    for key in ("housing", "carrier"):
        chip, value = form.fields.get(("warmth", key)), value_at(table, ("warmth", key), "")
        if isinstance(chip, Choice):
            known = str(value) in EXPANSIONS or value == ""
            chip.offer(METALS, str(value) if known else "", "" if known else f"{value} per K, 1e-6")


def show_limits(form: Form, table: Table) -> None:
    """Show what the fields of the limits do not. form; table: the job's."""
    for key, mark in form.marks.items():
        if value_at(table, ("limits", key, "example")) is True:
            mark.grid()
        else:
            mark.grid_remove()
    for key, choices in (("read", [(d, d) for d in DIRECTIONS]), ("on", list(ON))):
        chip = form.fields.get(("limits", "backlash", key))
        if isinstance(chip, Choice):
            chip.offer(choices, str(value_at(table, chip.place_of, choices[0][0])))


def build_seats(form: Form, scope: Scope) -> None:
    """Build the seats. form: to build into; scope: what the job is about."""
    note = say.SEATS_NOTE if scope.carrier else say.PINION_SEATS_NOTE
    form.section("Seats", note, ("seats",))
    for seat in CARRIER_SEATS if scope.carrier else ():
        row = form.named(seat.capitalize(), form.theme.side(seat), say.UNDER_WHY)
        place = ("seats", seat, "under")
        form.pick(
            row, place, (("bearing", "bearing"), ("cover", "cover")), default="bearing",
            edit=partial(set_of_seat, seat, "under"), why=say.UNDER_WHY,
        )  # fmt: skip
        for key in ("least", "most"):
            form.field(
                row, ("seats", seat, key), NUMBER, label=key, width=3,
                edit=partial(set_of_seat, seat, key),
            )  # fmt: skip
        form.line(*(("seats", seat, key) for key in ("under", "least", "most")), ("seats", seat))
    for seat, there in ((PINION_HEAD, scope.pinion), (PINION_SPACER, scope.solid)):
        if there:
            row = form.named(seat.capitalize(), form.theme.side(seat))
            places = [("seats", seat, key) for key in ("least", "most")]
            for place in places:
                form.field(row, place, NUMBER, label=place[-1], width=3)
            form.line(*places, ("seats", seat))


def build_mesh(form: Form, table: Table, unit: str) -> None:
    """Build the mesh. form; table: the job's; unit: shown."""
    form.section("Mesh", "", ("mesh",))
    _pair(form, "transfer_ratio", "Transfer ratio", say.RATIO_WHY)
    form.note(say.RATIO_NOTE)
    teeth = (
        ("pressure angle", ("pressure_angle", "drive"), ("coast_pressure_angle", "coast")),
        ("", ("spiral_angle", "spiral"), ("shaft_angle", "shafts")),
        ("teeth", ("pinion_teeth", "pinion"), ("wheel_teeth", "wheel")),
    )
    pitched = value_at(table, ("mesh", "teeth", "pitch_angle")) is not None
    for label, *keys in teeth:
        row = form.named({"": "Angles"}.get(label, label.capitalize()), why=say.TEETH_WHY)
        if label == "teeth" and pitched:
            keys.append(("pitch_angle", "pitch angle"))
        for key, said in keys:
            form.field(
                row, ("mesh", "teeth", key), NUMBER, label=said, why=say.TEETH_WHY,
                edit=partial(set_teeth, key),
            )  # fmt: skip
        if label != "teeth":
            form.after(row, "degrees")
        form.line(*(("mesh", "teeth", key) for key, _ in keys))
    form.line(("mesh", "teeth"))
    row = form.named("Gear ratio")
    form.field(row, ("mesh", "ratio"), NUMBER)
    form.after(row, "wheel over pinion, where not counted above")
    form.line(("mesh", "ratio"))
    row = form.named("Tooth edge", why=say.EDGE_WHY)
    form.field(row, ("mesh", "edge_radius"), width=7, why=say.EDGE_WHY)
    form.after(row, f"{UNIT_SHOWN[unit]} from the axis, for a dial elsewhere")
    form.line(("mesh", "edge_radius"))
    _pair(form, "pinch_share", "Pinch share", say.SHARE_WHY)
    form.note(say.SHARE_NOTE)


def _pair(form: Form, key: str, label: str, why: str) -> None:
    row = form.named(label, why=why)
    places = [("mesh", key, end) for end in ("value", "within")]
    form.field(row, places[0], NUMBER, why=why)
    form.field(row, places[1], NUMBER, label="within", why=why)
    form.line(*places, ("mesh", key))


def build_warmth(form: Form, unit: str) -> None:
    """Build metals and temperatures. form; unit: shown."""
    form.section("Warmth", say.WARMTH_NOTE, ("warmth",))
    for key in ("housing", "carrier"):
        row = form.named(key.capitalize(), why=say.METAL_WHY)
        place = ("warmth", key)

        def chosen(value: str, place: tuple[str, ...] = place) -> None:
            form.told(set_pruned(place, value or None), place, False)

        chip = Choice(row, form.theme, chosen, place=place)
        chip.offer(METALS)
        tip_on(chip, form.theme, say.METAL_WHY)
        form.fields[place] = chip
        form.line(place)
    row = form.named("Width", why=say.WIDTH_WHY)
    form.field(row, ("warmth", "width"), width=7, why=say.WIDTH_WHY)
    form.after(row, f"{UNIT_SHOWN[unit]} between the bearing seats")
    form.line(("warmth", "width"))
    row = form.named("At work")
    form.field(row, ("warmth", "working"), NUMBER)
    form.after(row, "°C, as the oil gets")
    form.line(("warmth", "working"), ("warmth",))
    row = form.named("")
    away = ttk.Button(
        row, text=say.ONE_METAL, style="Chip.TButton",
        command=lambda: form.told(remove_at(("warmth",)), ("warmth",), False),
    )  # fmt: skip
    away.bind("<Return>", lambda _: away.invoke())


def build_layout(form: Form) -> None:
    """Build how the axle is drawn. form: to build into."""
    form.section("Drawing", say.LAYOUT_NOTE, ("layout",))
    row = form.named("Wheel on the")
    form.pick(row, ("layout", "wheel"), (("left", "left"), ("right", "right")), default="left")
    row = form.named("Shims")
    choices = (("outside", "outside"), ("inside", "inside"))
    form.pick(row, ("layout", "shims"), choices, default="outside")
    form.after(row, "the bearings")
