"""What money and time are worth to a job, and where its offers and sheets lie."""

from __future__ import annotations

from pathlib import Path

from solver.job import Costs
from solver.job_table import Page

DEAREST = 999_999.0
_WAY_OUT = "write a number without a currency sign"


def read_costs(root: Page, folder: Path) -> Costs | None:
    """Read `[costs]` and the names of both files.

    root: the whole file; folder: that their paths start from. Returns: None where nothing is said.
    """
    offers, sheets = (_path(root, key, folder) for key in ("offers", "sheets"))
    page = root.page("costs")
    if page is None:
        if offers or sheets:
            way_out = "add [costs] with hour, redo and patience"
            root.missing("costs", "what an hour and a second strip-down are worth", way_out)
        return None
    page.only(("hour", "redo", "patience", "currency"))
    hour, redo = (_money(page, key, what) for key, what in _WANTED)
    patience = page.whole("patience", 0, 3650, 3650) if page.has("patience") else None
    return Costs(hour, redo, patience, page.text("currency"), offers, sheets)


_WANTED = (
    ("hour", "what an hour at the bench is worth"),
    ("redo", "what it costs to strip and build it again"),
)


def _money(page: Page, key: str, wanted: str) -> int:
    """An amount, in cents."""
    if not page.has(key):
        page.missing(key, wanted, f"{_WAY_OUT}; 0 if it is worth nothing to you")
        return 0
    amount = page.number(key, 0.0, DEAREST, _WAY_OUT)
    return round(100 * amount) if amount == amount else 0


def _path(root: Page, key: str, folder: Path) -> Path | None:
    text = root.text(key).strip()
    if "\0" in text:
        root.fault(key, "a name with a zero byte", "the path of a file", "check its name")
        return None
    return folder / text if text else None
