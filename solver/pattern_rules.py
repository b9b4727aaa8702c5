"""What marking compound shows on a tooth of the wheel, and how each move of a member shifts it.

     tip  +---------------------+       along:  toe -1 ... heel +1 (toe: near the wheel's axis)
    toe   |      pattern        |  heel   across: root -1 ... tip +1
     root +---------------------+       in steps: slight 1, clear 2, far 4

drive is the convex flank of the wheel's tooth, coast the concave one.
"""

from __future__ import annotations

from dataclasses import dataclass

MILLED, HOBBED, UNKNOWN = "face milled", "face hobbed", "not known"
TEETH = (MILLED, HOBBED, UNKNOWN)
GEARS = ("new", "used")
FLANKS = ("drive", "coast")
ALONG, ACROSS = ("toe", "middle", "heel"), ("root", "middle", "tip")
HOW_FAR = ("slight", "clear", "far")
STEPS = {"slight": 1.0, "clear": 2.0, "far": 4.0}
STEP_UM = 50.0  # move that a step asks for: 0.05, 0.10 and 0.20 mm. Common practice, no source
HALF, DOUBLE = 0.5, 2.0  # of that move, what it may really take. Common practice, no source
PINION, WHEEL = "pinion", "wheel"
IN, OUT = "in", "out"  # towards the other member, away from it

# Distribution unlimited; its chart says nothing of how the teeth were cut.
CHART = "US Army TM 10-3930-671-24, spiral bevel and hypoid tooth bearing contact chart"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Flank:
    """Where the pattern lies on one flank."""

    along: str  # one of `ALONG`
    across: str  # one of `ACROSS`
    how_far: str = "slight"  # one of `HOW_FAR`; means nothing in the middle

    @property
    def centred(self) -> bool:
        """Whether it lies in the middle both ways."""
        return self.along == self.across == "middle"

    @property
    def steps(self) -> tuple[float, float]:
        """How far it lies off the middle, along (heel +) and across (tip +) [steps]."""
        size = STEPS[self.how_far]
        return size * (ALONG.index(self.along) - 1), size * (ACROSS.index(self.across) - 1)


@dataclass(frozen=True, slots=True)
class Pattern:
    """What was seen after a trial fit; a flank that was not looked at is None."""

    teeth: str  # one of `TEETH`
    gears: str  # 'new' or 'used'
    drive: Flank | None = None
    coast: Flank | None = None


@dataclass(frozen=True, slots=True)
class Rule:
    """Where a member moved IN by a step takes the pattern on one flank; moved out, the other way.

    A pinion's rule holds with the backlash kept where it was, as the trade's charts have it.
    """

    teeth: str
    member: str
    flank: str
    along: str  # 'toe' or 'heel'
    across: str  # 'root' or 'tip'
    along_source: str
    across_source: str


RULES = (
    Rule(MILLED, PINION, "drive", "toe", "root", PRACTICE, CHART),
    Rule(MILLED, PINION, "coast", "heel", "root", PRACTICE, CHART),
    Rule(MILLED, WHEEL, "drive", "toe", "root", CHART, PRACTICE),
    Rule(MILLED, WHEEL, "coast", "toe", "root", CHART, PRACTICE),
    Rule(HOBBED, PINION, "drive", "heel", "root", PRACTICE, PRACTICE),
    Rule(HOBBED, PINION, "coast", "toe", "root", PRACTICE, PRACTICE),
    Rule(HOBBED, WHEEL, "drive", "toe", "root", PRACTICE, PRACTICE),
    Rule(HOBBED, WHEEL, "coast", "heel", "root", PRACTICE, PRACTICE),
)
MAIN_AXIS = {PINION: "across", WHEEL: "along"}  # what a member mostly shifts. Source: CHART
SIDEWAYS = 0.3  # of that, what it shifts the other way. An assumption of this program


def shift(teeth: str, member: str, flank: str) -> tuple[float, float]:
    """Say where a member moved in by one step takes the pattern.

    teeth: MILLED or HOBBED; member: PINION or WHEEL; flank: 'drive' or 'coast'.
    Returns: along (heel +) and across (tip +) [steps]. Source: that of each rule.
    """
    rule = next(
        one for one in RULES if (one.teeth, one.member, one.flank) == (teeth, member, flank)
    )
    along, across = ALONG.index(rule.along) - 1.0, ACROSS.index(rule.across) - 1.0
    if MAIN_AXIS[member] == "across":
        return SIDEWAYS * along, across
    return along, SIDEWAYS * across


def pattern_table(pattern: Pattern | None) -> dict[str, object]:
    """Put a pattern as a job file has it. pattern: or None. Returns: a new [pattern] table."""
    if pattern is None:
        return {}
    table: dict[str, object] = {"teeth": pattern.teeth, "gears": pattern.gears}
    for name, flank in (("drive", pattern.drive), ("coast", pattern.coast)):
        if flank is not None:
            words = {"along": flank.along, "across": flank.across}
            table[name] = words if flank.centred else {**words, "how_far": flank.how_far}
    return table
