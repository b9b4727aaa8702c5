"""Offers and sheets as a person keeps them: packs whole, deliveries once, every fault at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.market import Market
from solver.market_file import load_market
from solver.trouble import Trouble

OFFERS = """id,seller,pack,thickness,unit,count,within,price,delivery,days
K1,North,tin,0.40,mm,2,0.004,18,6,5
K2,North,tin,0.43,mm,1,0.004,,,
M1,Mill,,20,thou,1,,"4,50",5,3
"""
SHEETS = """id,thickness,unit,within,lift,price_per_piece,minutes,left
S1,0.10,mm,0.006,0.010,0.60,30,5
S2,0.25,mm,,,0.80,35,4
"""


def market(tmp_path: Path, offers: str = OFFERS, sheets: str = SHEETS) -> Market:
    """Both files read. Returns the market."""
    (tmp_path / "o.csv").write_text(offers, encoding="utf-8")
    (tmp_path / "s.csv").write_text(sheets, encoding="utf-8")
    return load_market(tmp_path / "o.csv", tmp_path / "s.csv")


def test_packs_deliveries_and_sheets(tmp_path: Path) -> None:
    """Rows of one pack are one, its price said once; cents, µm, days; half the lift counted in."""
    found = market(tmp_path)
    tin, single = found.packs
    assert (tin.name, tin.seller, tin.price_cents, tin.days) == ("tin", "North", 1800, 5)
    assert [(lot.id, lot.count) for lot in tin.lots] == [("buy K1", 2), ("buy K2", 1)]
    assert tin.lots[1].thickness_um == pytest.approx(430.0)
    assert (single.price_cents, single.lots[0].thickness_um) == (450, pytest.approx(508.0))
    assert single.lots[0].within_assumed
    assert found.delivery("North") == 600 and found.delivery("Mill") == 500
    first, second = found.sheets
    assert first.lot.thickness_um == pytest.approx(105.0) and first.bare_um == pytest.approx(100.0)
    assert first.lot.lift_um == pytest.approx(10.0) and first.lot.count == 5
    assert second.lot.lift_um == pytest.approx(20.0)
    assert any("burr and curl" in line for line in found.assumed)
    assert any("strip tolerance" in line for line in found.assumed)


def test_a_price_may_stand_in_any_row_of_its_pack(tmp_path: Path) -> None:
    """Said once is enough, wherever; said nowhere is one fault at the pack's first row."""
    moved = OFFERS.replace("0.004,18,6,5", "0.004,,6,5").replace("0.004,,,", "0.004,18,,")
    assert market(tmp_path, moved).packs[0].price_cents == 1800


def test_nothing_is_on_offer_without_files() -> None:
    """No file, no offer."""
    assert load_market(None, None) == Market()


SLIPS = [
    ("offers", "0.40,mm,2,0.004,18", "0.40,mm,2,0.004,x", "o.csv: line 2: price", "'x'"),
    ("offers", "K2,North,tin,0.43", "K1,North,tin,0.43", "o.csv: line 3: id", "'K1' again"),
    ("offers", "0.43,mm,1", "0.43,mm,none", "o.csv: line 3: count", "'none'"),
    ("offers", "0.43,mm,1", "0.43,cm,1", "o.csv: line 3: unit", "'cm'"),
    ("offers", "0.43,mm,1", "wide,mm,1", "o.csv: line 3: thickness", "'wide'"),
    ("offers", "0.004,,,", "0.004,19,,", "o.csv: line 3: price", "'19'"),
    ("offers", "18,6,5", ",6,5", "o.csv: line 2: price", "nothing"),
    ("sheets", ",30,5", ",half,5", "s.csv: line 2: minutes", "'half'"),
    ("sheets", ",30,5", ",30,-1", "s.csv: line 2: left", "'-1'"),
    ("sheets", "minutes,left", "minutes,more", "s.csv: header", "no column left"),
]


@pytest.mark.parametrize(("which", "old", "new", "where", "found"), SLIPS)
def test_one_slip_is_one_fault(
    tmp_path: Path, which: str, old: str, new: str, where: str, found: str
) -> None:
    """Each slip is one fault with its line, what was found, what was wanted, a way out."""
    files = {"offers": OFFERS, "sheets": SHEETS}
    assert old in files[which]
    files[which] = files[which].replace(old, new)
    with pytest.raises(Trouble) as caught:
        market(tmp_path, **files)
    (fault,) = caught.value.faults
    assert fault.where == where and found in fault.found
    assert fault.wanted and fault.way_out


def test_faults_of_both_files_come_together(tmp_path: Path) -> None:
    """One slip in each file: both are said."""
    with pytest.raises(Trouble) as caught:
        market(tmp_path, OFFERS.replace("18,6", "x,6"), SHEETS.replace(",30,5", ",30,x"))
    assert len(caught.value.faults) == 2
