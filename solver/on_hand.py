"""What a job can be fitted with: the drawer, and what its books say is out for the job already."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from solver.book_effects import after, counts_of
from solver.books import peek_books
from solver.drawer import Drawer
from solver.drawer_file import drawer_of
from solver.drawer_sheet import Sheet, read_sheet
from solver.ledger import COUNTED, Books, Line
from solver.trouble import Trouble


def load_for(drawer: Path, job: str) -> Drawer:
    """Read a drawer as a job can be fitted from it.

    drawer: its file; job: its name. Returns: what is there and what is out for the job already,
    noted where there is any. Raises: Trouble with every fault.
    """
    sheet = read_sheet(drawer)
    books = peek_books(drawer)
    return drawer_for(sheet, books, job)


def drawer_for(sheet: Sheet, books: Books, job: str) -> Drawer:
    """Read a sheet as a job can be fitted from it.

    sheet: of the drawer; books: its own; job: its name. Returns: as for `load_for`.
    Raises: Trouble with every fault.
    """
    drawer = drawer_of(on_hand(sheet, books, job))
    out = sum(count for count in books.fitted(job).values() if count > 0)
    if not out:
        return drawer
    words = f"{out} shim{'' if out == 1 else 's'} out for this job already, taken as on hand"
    return replace(drawer, assumed=(*drawer.assumed, words))


def on_hand(sheet: Sheet, books: Books, job: str) -> Sheet:
    """What a job can be fitted with: the drawer, and what is out for it already.

    sheet: the drawer; books; job: its name. Returns: the sheet with those counts raised; the same
    one where nothing is out. A lot that is no longer in the drawer is put back into it at 0.
    """
    out = {lot: count for lot, count in books.fitted(job).items() if count > 0}
    if not out or not sheet.rows:
        return sheet
    try:
        counts_of(sheet)
    except Trouble:
        return sheet  # whoever reads it says what is wrong with it
    raised = [Line(0, "", COUNTED, lot, count, said=books.said(lot)) for lot, count in out.items()]
    return after(sheet, raised)[0]
