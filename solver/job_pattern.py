"""What a job says of the contact pattern: how the teeth were cut, and what the compound shows."""

from __future__ import annotations

from solver.job_table import Page
from solver.pattern_rules import ACROSS, ALONG, FLANKS, GEARS, HOW_FAR, TEETH, Flank, Pattern

HOW_TO_TELL = (
    "look at one tooth of the wheel: face-milled teeth are less deep at the toe than at the heel,"
    " face-hobbed teeth are as deep all along"
)


def read_pattern(root: Page) -> Pattern | None:
    """Read the contact pattern.

    root: the whole file. Returns: the pattern; None where the file says nothing of it. A flank that
    is not there was not looked at. Faults go into the page.
    """
    page = root.page("pattern")
    if page is None:
        return None
    page.only(("teeth", "gears", *FLANKS))
    if page.has("teeth"):
        teeth = page.choice("teeth", TEETH, None)
    else:
        teeth = TEETH[-1]
        page.missing("teeth", '"face milled", "face hobbed" or "not known"', HOW_TO_TELL)
    if page.has("gears"):
        gears = page.choice("gears", GEARS, None)
    else:
        gears = GEARS[0]
        way_out = "used gears are not judged by their pattern"
        page.missing("gears", '"new" or "used"', way_out)
    drive, coast = (_read_flank(page, name) for name in FLANKS)
    return Pattern(teeth, gears, drive, coast)


def _read_flank(page: Page, name: str) -> Flank | None:
    """One flank; nothing stands in for how far off the middle its pattern is."""
    inner = page.page(name, "a table for this flank")
    if inner is None:
        return None
    inner.only(("along", "across", "how_far"))
    along, across = inner.choice("along", ALONG, None), inner.choice("across", ACROSS, None)
    if along == across == "middle" and not inner.has("how_far"):
        return Flank(along, across)
    return Flank(along, across, inner.choice("how_far", HOW_FAR, None))
