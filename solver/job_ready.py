"""What a job says is done before its crush spacer is crushed: the stack as fitted, and ticks."""

from __future__ import annotations

from solver.job import PINION_HEAD, Ready
from solver.job_readings import read_stack
from solver.job_table import Page

TICKS = ("seated", "seal_in", "washer_under_nut", "marks_aligned", "spare_spacer")
TABLE = "before_crush"


def read_ready(root: Page) -> Ready | None:
    """Read the table of what is done. root: the whole file. Returns: it, None without a table."""
    page = root.page(TABLE)
    if page is None:
        return None
    page.only(("head", *TICKS))
    stack = read_stack(page, "head", PINION_HEAD) if page.has("head") else None
    return Ready(stack, tuple(tick for tick in TICKS if page.flag(tick)))
