"""What the window says of lines of dimensions."""

from __future__ import annotations

from desktop.line_table import ENDS, MIDDLE
from desktop.tokens import trade_name
from solver.units import in_unit

OFFER = (
    "A layshaft, a spindle or a swivel pin: lengths of parts that add up, one after the other, to "
    "one gap or one preload, and the shims among them."
)
BEGIN = "Add a line"
ALONE = "A line of dimensions instead"
ALONE_WHY = (
    "A job about lengths that add up to one gap, such as that of a layshaft, and no final drive: "
    "for any assembly that is shimmed."
)
ANOTHER = "Another line"
NOTE = (
    "More of a part that adds is more of the result; more of one that takes away is less. Leave "
    "low and high empty where a reading alone tells how long a part is."
)
RESULT_WHY = (
    "What all this adds up to: a gap, or a protrusion. A preload is a gap below nothing, with "
    "negative limits."
)
LIMITS_WHY = (
    "From the maker's manual for that very unit, and from nowhere else. Type 'no limit' for an end "
    "that it leaves open."
)
HEAT_WHY = (
    "Where the limits hold. Lengths as drawn, as read and of shims are those at 20 °C; each part "
    "grows by its metal."
)
PART_WHY = "The name of the part's length. One that another line has already is the same part."
SEAT_WHY = "A place where shims go. Several lines may share one."
SIGN_WHY = (
    "Go round the assembly from one side of the gap to the other: lengths that lead away from "
    "where you began add, those that lead back take away."
)
SEAT_SIGN_WHY = "Whether a thicker stack here is more of the result, or less."
WAY_WHY = "As the drawing says it: the two ends, or the middle and how far it may be off."
SHAPE_WHY = (
    "How parts are spread within their tolerance: evenly, more of them about the middle, or as a "
    "normal law, half the tolerance being k standard deviations."
)
FACTOR_WHY = "By what a lever or a wedge enlarges it; 1 for what lies in the line itself."
METAL_WHY = "What it is made of, where the limits hold warm or something was read warm."
COUNT_WHY = "The fewest and the most shims that go there; none to four where left empty."
ADD_PART, ADD_SEAT, DROP = "Add a part", "Add a seat", "Take this line out"
SIGNS = (("+", "adds"), ("-", "takes away"))
WAYS = (("ends", "low to high"), ("middle", "drawn, within"))
KEYS_OF = {"ends": ENDS, "middle": MIDDLE}
SHAPES = (("rectangular", "evenly"), ("triangular", "triangular"), ("normal", "normal"))
WALK = (
    "Arrow keys: along the line   Return: open   Delete: take out   + and −: its sign",
    "Arrow keys walk, Return opens, Delete takes out",
    "Arrow keys, Return, Delete",
)
TO_SCALE = ("Lengths to scale", "To scale")
NO_LENGTHS = ("Lengths still to come", "No lengths yet")
NOT_TO_SCALE = (
    "To scale, but for arrows with a break",
    "A break: not to scale",
    "Break: no scale",
)
UNKNOWN, NO_PLAN, NO_SHIM = "not known yet", "no plan yet", "no shim"


def heading(result: str, words: str) -> str:
    """Head a line's drawing. result: its name; words: 'UK' or 'US'. Returns text."""
    if not result:
        return "What adds up"
    name = trade_name(result, words)
    return f"How the {name[:1].lower()}{name[1:]} adds up"


def section_title(result: str, words: str) -> str:
    """Head a line's section of the set-up. result: its name; words: 'UK' or 'US'."""
    return f"Line: {trade_name(result, words)}" if result else "Line"


def off_by(half_um: float, unit: str) -> str:
    """Say half a tolerance in as few places as it has. half_um: [µm]; unit: shown. Returns text."""
    return f"{in_unit(half_um, unit):.4g}"
