"""What two states of a drawer differ in, lot by lot, and one drawer out of changes made to two."""

from __future__ import annotations

from dataclasses import dataclass, replace

from solver.drawer_sheet import Sheet, SheetRow
from solver.trouble import shown

MOST_SAID = 4  # differences in one sentence


@dataclass(frozen=True, slots=True)
class Change:
    """What became of a lot: cells that differ, or the whole lot come or gone."""

    lot: str
    cells: tuple[tuple[str, str, str], ...] = ()  # (column, before, after)
    way: str = "changed"  # or 'added', 'gone'

    @property
    def words(self) -> str:
        """Say it, such as 'A1: count 4, now 2'."""
        if self.way != "changed":
            return f"{self.lot}: {self.way}"
        cells = (
            f"{name} {shown(old)[1:-1] or 'blank'}, now {shown(new)[1:-1] or 'blank'}"
            for name, old, new in self.cells
        )
        return f"{self.lot}: {'; '.join(cells)}"


def changes(before: Sheet, after: Sheet) -> tuple[Change, ...]:
    """Tell what became of a drawer.

    before, after: two states of it. Returns: a change for every lot that differs in what its cells
    say, in the order of the drawer before, lots that are new last; a column that only one state has
    counts as blank in the other.
    """
    old, new = _rows_of(before), _rows_of(after)
    found = []
    for lot in dict.fromkeys((*old, *new)):
        if lot not in new:
            found.append(Change(lot, way="gone"))
        elif lot not in old:
            found.append(Change(lot, way="added"))
        else:
            names = dict.fromkeys((*old[lot], *new[lot]))
            cells = tuple(
                (name, old[lot].get(name, ""), new[lot].get(name, ""))
                for name in names
                if old[lot].get(name, "") != new[lot].get(name, "")
            )
            if cells:
                found.append(Change(lot, cells))
    return tuple(found)


def said_changes(found: tuple[Change, ...]) -> str:
    """Say changes in one sentence without a full stop. found: them. Returns it."""
    words = [change.words for change in found[:MOST_SAID]]
    if len(found) > MOST_SAID:
        words.append(f"and {len(found) - MOST_SAID} more lots")
    return "; ".join(words)


def merged(base: Sheet, mine: Sheet, theirs: Sheet) -> tuple[Sheet | None, tuple[Change, ...]]:
    """Put two changed drawers together.

    base: what both started from; mine, theirs: what became of it. Returns: (the drawer with the
    changes of both, none in conflict), or (None, their changes of lots that both changed, and
    not alike). The form is theirs: their order, their dialect, rows of theirs to the letter.
    """
    ours = {change.lot: change for change in changes(base, mine)}
    others = {change.lot: change for change in changes(base, theirs)}
    alike = {change.lot for change in changes(mine, theirs)}
    conflicts = tuple(change for lot, change in others.items() if lot in ours and lot in alike)
    headed = [cell.strip().lower() for cell in mine.header.cells]
    doubled = any(len(_rows_of(sheet)) != len(sheet.rows) for sheet in (base, mine, theirs))
    if conflicts or doubled:  # where two rows share an id, nobody can tell whose change is whose
        return None, conflicts or tuple(others.values())
    sheet = _with_header(theirs, mine)
    places = {sheet.cell(row, "id"): row for row in range(len(sheet.rows))}
    gone = set()
    for lot in ours:
        if lot in others:
            continue  # both did the same
        row = _row_named(mine, lot)
        if row is None:
            gone.add(lot)
            continue
        cells = dict(zip(headed, row.cells, strict=False))
        if lot in places:
            for name, text in cells.items():
                if sheet.column(name) is not None:
                    sheet = sheet.edited(places[lot], name, text)
        else:
            sheet = sheet.with_row(cells)
    kept = tuple(row for place, row in enumerate(sheet.rows) if sheet.cell(place, "id") not in gone)
    return replace(sheet, rows=kept), ()


def _rows_of(sheet: Sheet) -> dict[str, dict[str, str]]:
    """Cells by lot and column, blanks left out."""
    names = [cell.strip().lower() for cell in sheet.header.cells]
    return {
        sheet.cell(place, "id"): {
            name: cell.strip() for name, cell in zip(names, row.cells, strict=False) if cell.strip()
        }
        for place, row in enumerate(sheet.rows)
    }


def _row_named(sheet: Sheet, lot: str) -> SheetRow | None:
    for place, row in enumerate(sheet.rows):
        if sheet.cell(place, "id") == lot:
            return row
    return None


def _with_header(sheet: Sheet, other: Sheet) -> Sheet:
    """A sheet with the columns that another one has besides its own."""
    known = {cell.strip().lower() for cell in sheet.header.cells}
    return sheet.with_columns(
        cell for cell in other.header.cells if cell.strip().lower() not in known
    )
