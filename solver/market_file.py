"""Offers and sheets of shim stock, as CSV files that a person keeps in a spreadsheet.

offers.csv  id,seller,pack,thickness,unit,count,within,price,delivery,days (fits)
sheets.csv  id,thickness,unit,within,lift,price_per_piece,minutes,left     (fits)
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from pathlib import Path

from solver.drawer import Lot
from solver.drawer_file import SEAT_NAMES, seat_meant, slip_of_seat
from solver.drawer_sheet import Sheet, read_sheet
from solver.job_table import meant, quoted
from solver.market import CutSheet, Market, Pack
from solver.strip import strip_within_um
from solver.trouble import Fault, Trouble, shown
from solver.units import UNITS, NotAQuantity, length_um, unit_named

OFFER_COLUMNS = ("id", "seller", "pack", "thickness", "unit", "count", "price")
SHEET_COLUMNS = ("id", "thickness", "unit", "price_per_piece", "minutes", "left")
BOUGHT, CUT = "buy ", "cut "  # before the id, so that no lot of the drawer is meant
MOST_OFFERS = 2_000
USUAL_LIFT_UM = 20.0  # burr and curl of a hand-cut piece; common practice, no source


def load_market(offers: Path | None, sheets: Path | None) -> Market:
    """Read what can be bought and cut.

    offers, sheets: CSV files, None where there is none. Returns: the Market; lengths [µm], money in
    cents. Raises: Trouble with every fault of both.
    """
    faults: list[Fault] = []
    packs: tuple[Pack, ...] = ()
    delivery: tuple[tuple[str, int], ...] = ()
    cut: tuple[CutSheet, ...] = ()
    assumed: list[str] = []
    for path, needed in ((offers, OFFER_COLUMNS), (sheets, SHEET_COLUMNS)):
        if path is None:
            continue
        try:
            rows = _Rows(read_sheet(path, "a list as CSV text", needed), assumed=assumed)
        except Trouble as trouble:
            faults.extend(trouble.faults)
            continue
        rows.check_header(needed)
        if not rows.faults and needed is OFFER_COLUMNS:
            packs, delivery = rows.packs()
        elif not rows.faults:
            cut = rows.sheets()
        faults.extend(rows.faults)
    if faults:
        raise Trouble(faults[:100])
    return Market(packs, delivery, cut, tuple(dict.fromkeys(assumed)))


@dataclass(slots=True)
class _Rows:
    """Reads row by row and notes what is wrong; a faulty number stands as zero until raised."""

    sheet: Sheet
    assumed: list[str]
    faults: list[Fault] = field(default_factory=list)

    def fault(self, row: int, name: str, found: str, wanted: str, way_out: str) -> None:
        where = f"{self.sheet.source}: line {self.sheet.rows[row].line}: {name}"
        self.faults.append(Fault(where, found, wanted, way_out, ("rows", row, name)))

    def check_header(self, needed: tuple[str, ...]) -> None:
        """Note missing columns, ids that are blank or shared, and too many rows."""
        where = f"{self.sheet.source}: header"
        for name in needed:
            if self.sheet.column(name) is None:
                way_out = f"add a column called {name}"
                self.faults.append(Fault(where, f"no column {name}", ", ".join(needed), way_out))
        if len(self.sheet.rows) > MOST_OFFERS:
            found, wanted = f"{len(self.sheet.rows)} rows", f"at most {MOST_OFFERS}"
            self.faults.append(Fault(self.sheet.source, found, wanted, "take some out"))
        if self.faults:
            return
        seen: set[str] = set()
        for row in range(len(self.sheet.rows)):
            name = self.sheet.cell(row, "id")
            if not name:
                self.fault(row, "id", "nothing", "an id", "write a name for this row")
            elif name in seen:
                self.fault(row, "id", f"{shown(name)} again", "an id of its own", "rename one")
            seen.add(name)

    def packs(self) -> tuple[tuple[Pack, ...], tuple[tuple[str, int], ...]]:
        """Every pack, with what its seller asks for delivery."""
        found: dict[tuple[str, str], Pack] = {}
        told: dict[tuple[str, str, str], str] = {}
        delivery: dict[str, int] = {}
        first: dict[tuple[str, str], int] = {}
        for row in range(len(self.sheet.rows)):
            seller = self.sheet.cell(row, "seller")
            own = self.sheet.cell(row, "id")
            key = (seller, self.sheet.cell(row, "pack") or f"row {own}")
            lot = self._lot(row, BOUGHT, self._whole(row, "count", 1))
            price = self._once(row, "price", key, told)
            days = self._once(row, "days", key, told)
            carriage = self._once(row, "delivery", (seller, ""), told)
            if carriage is not None:
                delivery[seller] = round(100 * carriage)
            pack = found.get(key) or Pack(key[1].removeprefix("row "), seller, (), 0, 0)
            found[key] = replace(
                pack,
                lots=(*pack.lots, lot),
                price_cents=pack.price_cents if price is None else round(100 * price),
                days=pack.days if days is None else round(days),
            )
            first.setdefault(key, row)
        for key, row in first.items():
            if (*key, "price") not in told:
                self.fault(row, "price", "nothing", "the price of the pack", "write it once")
        return tuple(found.values()), tuple(delivery.items())

    def sheets(self) -> tuple[CutSheet, ...]:
        """Every sheet, a piece of it as it would lie in the drawer."""
        found = []
        for row in range(len(self.sheet.rows)):
            lot = self._lot(row, CUT, self._whole(row, "left", 0))
            lift = USUAL_LIFT_UM
            if self.sheet.cell(row, "lift"):
                unit = unit_named(self.sheet.cell(row, "unit")) or "mm"
                lift = self._length(row, "lift", unit, least_um=0.0)
            else:
                self.assumed.append("burr and curl of a cut piece add up to 0.02 mm")
            lot = replace(lot, lift_um=lift, thickness_um=lot.thickness_um + lift / 2.0)
            price, minutes = self._number(row, "price_per_piece"), self._number(row, "minutes")
            found.append(CutSheet(lot, round(100 * (price or 0.0)), minutes or 0.0))
        return tuple(found)

    def _lot(self, row: int, kind: str, count: int) -> Lot:
        unit = self._unit(row)
        thickness = self._length(row, "thickness", unit)
        assumed = not self.sheet.cell(row, "within")
        if assumed:
            within = strip_within_um(thickness) if thickness > 0 else 0.0
            self.assumed.append("strip tolerance taken for pieces on offer that state none")
        else:
            within = self._length(row, "within", unit)
        lot_id = kind + self.sheet.cell(row, "id")
        return Lot(lot_id, thickness, count, within, "", self._fits(row), "", assumed)

    def _fits(self, row: int) -> tuple[str, ...]:
        words = [w.strip() for w in re.split("[;,|]", self.sheet.cell(row, "fits"))]
        for word in words:
            if word and slip_of_seat(word, SEAT_NAMES):
                wanted = f"{quoted(SEAT_NAMES)} or a seat of a line"
                found = f"the unknown seat {shown(word)}"
                self.fault(row, "fits", found, wanted, meant(word, SEAT_NAMES))
        return tuple(dict.fromkeys(seat_meant(word) for word in words if word))

    def _once(
        self, row: int, name: str, key: tuple[str, str], told: dict[tuple[str, str, str], str]
    ) -> float | None:
        """A number that rows of one pack (or seller) share: said once, or alike in each."""
        text, place = self.sheet.cell(row, name), (*key, name)
        if not text:
            return None
        before = told.setdefault(place, text)
        if before != text:
            way_out = "write it in one row, or the same in all"
            self.fault(row, name, shown(text), f"{before}, as in the row before", way_out)
        return self._number(row, name)

    def _number(self, row: int, name: str) -> float | None:
        text = self.sheet.cell(row, name).replace(" ", "")
        match = re.fullmatch(r"\+?([0-9]{1,7})(?:[.,]([0-9]{0,4}))?", text)
        if match:
            return float(f"{match[1]}.{match[2] or '0'}")
        found = shown(text) if text else "nothing"
        self.fault(row, name, found, "a number from 0", "write it without a currency sign")
        return None

    def _whole(self, row: int, name: str, least: int) -> int:
        text = self.sheet.cell(row, name)
        if re.fullmatch("[0-9]{1,6}", text) and int(text) >= least:
            return int(text)
        found = shown(text) if text else "nothing"
        self.fault(row, name, found, f"a whole number from {least}", "write how many pieces")
        return 0

    def _unit(self, row: int) -> str:
        text = self.sheet.cell(row, "unit")
        unit = unit_named(text)
        if unit is None:
            found = shown(text) if text else "nothing"
            way_out = "write the unit of this row's thickness"
            self.fault(row, "unit", found, f"one of {', '.join(UNITS)}", way_out)
        return unit or "mm"

    def _length(self, row: int, name: str, unit: str, least_um: float = 1e-6) -> float:
        text = self.sheet.cell(row, name)
        try:
            value = length_um(text, unit, decimal_comma=self.sheet.dialect.delimiter != ",")
        except NotAQuantity as bad:
            self.fault(row, name, bad.found, bad.wanted, bad.way_out)
            return 0.0
        if value >= least_um:
            return value
        self.fault(row, name, shown(text), "a length above 0", "check its sign")
        return 0.0
