"""What the set-up says of fasteners, marks and rings."""

from __future__ import annotations

NOTE = "Printed there; no sum needs them."
FASTENERS_NOTE = "Fasteners, with their torques from the maker's manual and from nowhere else:"
MARKS_NOTE = "Assembly marks, and how each is marked:"
WHAT_WHY = "What is tightened, in your own words."
TORQUE_WHY = (
    "With its unit: N.m, lbf.ft, lbf.in, kgf.m. It is printed as you type it. Figures that are "
    "easily taken for one another are pointed out on the sheet."
)
CHECKED = "checked in the manual"
CHECKED_WHY = "Tick it once you have looked this torque up in the manual for this very unit."
NOTE_WHY = "Printed beside the torque: new bolts, threads dry, in which order."
ADD_FASTENER = "Add a fastener"
ADD_MARK = "Add a mark"
MARK_WHY = "What goes together in one way only: a flange and its shaft, a cap and its side."
HOW_WHY = "How you marked it. Left empty, the sheet has a blank to fill in at the bench."
RING_NOTE = (
    "For the template of a ring to cut. Outside and inside: of what the shim bears on. Clearance: "
    "on the diameter, that much less outside and more inside. Nothing is assumed."
)
EVERY_SEAT = "Every seat"
ANOTHER_RING = "A ring of its own for…"
CUT = "Template"
CUT_WHY = "The thickness of the piece to cut: what the answer advises, or any that you type."
CUT_SEAT_WHY = "The seat it is for: it stands on the template, and a ring of its own is drawn."
ANY_SEAT = "any seat"
WRITE = "Template…"
BY_HAND = "Asked for, not chosen: no answer stands behind it."


def full_words(most: int) -> str:
    """Say that there can be no more. most: as many as there are. Returns text."""
    return f"{most} of them: as many as a sheet holds"


def gone_words(name: str) -> str:
    """Say what a button takes away. name: of it, or ''. Returns text."""
    return f"Take {name or 'this row'} away."
