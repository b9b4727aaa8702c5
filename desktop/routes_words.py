"""What the stage of cutting and buying says: its labels, its figures, the ways one by one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from desktop.routes_files import OFFERS, SHEETS
from solver.market_file import CUT
from solver.report_cautions import CUTTING
from solver.report_words import counts, length, number_of
from solver.trouble import Fault

if TYPE_CHECKING:  # loaded with the first answer
    from solver.job import Costs
    from solver.market import CutSheet
    from solver.routes import Point, Routes

NAME, SHORT = "Cut or buy", "Cut/buy"
LIST_NAMES = {OFFERS: "What can be bought", SHEETS: "What can be cut"}
COMPARE, TOGETHER = "compare", "together"
FACES = {COMPARE: "Compare", OFFERS: "Offers", SHEETS: "Sheets", TOGETHER: "One order"}
LIST_HINTS = {
    OFFERS: "Rows of one pack are bought together: write its price once. Delivery is paid once"
    " a seller.",
    SHEETS: "Lift is the most that burr and curl add to a hand-cut piece; left is how many pieces"
    " the sheet still gives.",
}
NONE_YET = {
    OFFERS: "No list yet. Begin one and write in what sellers ask, or pick a CSV file.",
    SHEETS: "No list yet. Begin one and write in the shim stock you have, or pick a CSV file.",
}
COST_ROWS = (  # key, label, why
    ("hour", "An hour of yours", "What an hour at the bench is worth to you; 0 if nothing."),
    ("redo", "To do it again", "What it costs to strip it and build it once more."),
    ("patience", "Longest wait", "The latest day that a parcel may come; empty: any."),
    ("currency", "Money in", "Any word: crowns, £, EUR. Prices are written without it."),
)
WAYS = {"drawer": "Use what is there", "cut": "Cut", "buy": "Buy", "any": "Cut and buy"}
RISK = "risk of doing it again"
WAY_HINTS = {
    "drawer": "What the drawer can make today: nothing to pay, only the risk of doing it again.",
    "cut": "A piece from your own sheets: its metal, your time, and the burr it may keep.",
    "buy": "Packs whole, delivery once a seller, and some days to wait.",
    "any": "Both together, where that comes to less.",
}
FOUR_PLACES = "Measure the cut piece at four places where it will bear, once the burr is off."
CUT_CAUTIONS = (*(one for one in CUTTING if not one.startswith("Measure")), FOUR_PLACES)
COST_NAMES = {
    "hour": "what an hour is worth",
    "redo": "what doing it again costs",
    "costs": "what an hour and doing it again cost",
}


@dataclass(frozen=True, slots=True)
class Parts:
    """What a point's expected cost is made of, in cents."""

    paid: int
    time: int
    risk: int

    @property
    def whole(self) -> int:
        """All of it."""
        return self.paid + self.time + self.risk


def parts_of(point: Point, costs: Costs) -> Parts:
    """Part what a point costs as the solver put it together. point; costs. Returns its parts."""
    time = time_cents(point.cut, costs)
    return Parts(point.cents - time, time, point.expected_cents - point.cents)


def time_cents(cut: tuple[tuple[CutSheet, int], ...], costs: Costs) -> int:
    """Say what the time for cutting is worth as the solver put it together [cents].

    cut: sheets with pieces; costs. Returns it.
    """
    minute = costs.hour_cents / 60.0
    return sum(round(sheet.minutes * minute) * count for sheet, count in cut)


def done_by(point: Point) -> str:
    """Say what a point really does. point. Returns a key of WAYS."""
    if point.packs:
        return "any" if point.cut else "buy"
    return "cut" if point.cut else "drawer"


def bare_money(cents: int) -> str:
    """Show an amount without its currency. cents. Returns text."""
    return f"{cents / 100:.2f}"


def short_counts(chance: float) -> str:
    """Say a chance in builds of a hundred where room is scarce. chance: 0 to 1. Returns text."""
    return counts(chance).replace("more than ", "> ").replace("fewer than ", "< ")


def figure_words(point: Point, costs: Costs) -> tuple[str, str, str]:
    """Say the three parts of a cost. point; costs. Returns words of what is paid, time and risk."""
    parts = parts_of(point, costs)
    time = f"{bare_money(parts.time)} time"
    if point.minutes:
        time += f", {point.minutes:.0f} min"
    return f"{bare_money(parts.paid)} to pay", time, f"{bare_money(parts.risk)} {RISK}"


def wait_words(point: Point) -> str:
    """Say how sure a point is and how long it takes. point. Returns words."""
    wait = f"{number_of(point.days, 'day')} to wait" if point.days else "no wait"
    return f"{counts(point.chance)} builds   ·   {wait}"


def no_gain(kind: str, point: Point) -> str:
    """Say why a way comes to the same as another. kind: of the way; point: its best.

    Returns '' where it is a way of its own.
    """
    does = done_by(point)
    if does == kind:
        return ""
    if does == "drawer":
        word = {"cut": "Cutting", "buy": "Buying"}.get(kind, "Either")
        return f"{word} is not worth it at these prices."
    return f"No better than to {does} alone."


def one_piece_lines(routes: Routes) -> tuple[str, ...]:
    """Say which one piece would raise the chance most. routes: in the words shown. Returns
    sentences."""
    unit, lines = routes.answer.job.unit, []
    cut = routes.one_cut
    if cut is not None and cut.cut:
        sheet = cut.cut[0][0]
        lines.append(
            f"From the sheets: one piece of {length(sheet.bare_um, unit, True)}"
            f" ({sheet.lot.id.removeprefix(CUT)}), to {counts(cut.chance)} builds."
        )
    mend = routes.one_any
    if mend is not None:
        lines.append(
            f"Of any thickness: one of {length(mend.thickness_um, unit, True)} for the {mend.seat},"
            f" to {counts(mend.chance)}, known as well as your best-known piece."
        )
    return tuple(lines)


def fault_words(fault: Fault) -> str:
    """Say a fault under its own field. fault. Returns words with no full stop."""
    return f"found {fault.found}, wanted {fault.wanted}; {fault.way_out}"


def missing_cost(fault: Fault) -> str:
    """Name what a fault of the costs misses. fault: found nothing. Returns words."""
    return COST_NAMES.get(str(fault.place[-1]), fault.wanted)


def rows_words(rows: int, key: str) -> str:
    """Say how many rows a list has. rows; key: of the list. Returns words."""
    return number_of(rows, "row" if key == OFFERS else "sheet")
