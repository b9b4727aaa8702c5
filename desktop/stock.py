"""The ready-made lists of shim stock that come with the program."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib.resources import files

from solver.drawer_sheet import Sheet, sheet_of

PREFIX = "shim_stock_"


def stock_lists() -> Mapping[str, Callable[[], Sheet]]:
    """Find the ready-made lists.

    Returns: for each its name for people and what reads it, in the order of the names.
    """
    found = {}
    for file in sorted(files("stock_lists").iterdir(), key=lambda file: file.name):
        if file.name.startswith(PREFIX) and file.name.endswith(".csv"):
            words = file.name.removeprefix(PREFIX).removesuffix(".csv").replace("_", " ")
            found[f"Shim stock, {words}"] = lambda file=file: sheet_of(file.read_bytes(), file.name)
    return found
