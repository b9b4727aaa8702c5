"""A batch as a shop keeps it: a row an assembly, its readings in cells, every fault at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from solver.batch_file import Batch, load_batch
from solver.trouble import Trouble

LINE = """title = "Layshaft"
unit = "mm"
drawer = "drawer.csv"
[wanted]
chance = 0.9
[dimensions]
"case depth" = {}
"shaft" = {}
[[lines]]
result = "end float"
low = 0.05
high = 0.15
terms = { "case depth" = 1, "shaft" = -1 }
seats = { "cover" = -1 }
[tools.micrometer]
within = 0.002
repeat = 0.002
step = 0.001
[[readings]]
of = "case depth"
tool = "micrometer"
values = [62.0, 62.0]
[[readings]]
of = "shaft"
tool = "micrometer"
value = 60.0
"""
TWICE = (
    LINE
    + """[[readings]]
of = "shaft"
tool = "micrometer"
goes = 59.9
stops = 60.1
"""
)
DRAWER = "id,thickness,unit,count,within,tool\nA,1.9,mm,2,0.003,micrometer\nB,1.85,mm,1,0.003,\n"
JOBS = "id,job,shaft,case depth\n1,line.toml,60.02,62.01;62.02\n2,line.toml,,\n"


def write(folder: Path, jobs: str = JOBS, line: str = LINE, drawer: str = DRAWER) -> Path:
    """Write a batch. folder; jobs, line, drawer: their text. Returns: the batch's path."""
    (folder / "line.toml").write_text(line, encoding="utf-8")
    (folder / "drawer.csv").write_text(drawer, encoding="utf-8")
    (folder / "jobs.csv").write_text(jobs, encoding="utf-8")
    return folder / "jobs.csv"


def values(batch: Batch, at: int) -> list[tuple[float, ...]]:
    """What an assembly's readings say [µm]. at: its place."""
    return [reading.values_um for reading in batch.assemblies[at].job.readings]


def test_cells_stand_in_place_of_the_pattern(tmp_path: Path) -> None:
    """Values of a row are its own, a blank leaves the pattern's; the drawer is the pattern's."""
    batch = load_batch(write(tmp_path))
    assert [one.id for one in batch.assemblies] == ["1", "2"]
    assert values(batch, 0) == [pytest.approx((62_010.0, 62_020.0)), pytest.approx((60_020.0,))]
    assert values(batch, 1) == [pytest.approx((62_000.0, 62_000.0)), pytest.approx((60_000.0,))]
    assert [lot.id for lot in batch.drawer.lots] == ["A", "B"]


@pytest.mark.parametrize(
    "cell", ["60.02", "60.02 mm", "60020 um", '"60,02 mm"', "60.02;60.02", "60.02 | 60.02"]
)
def test_a_cell_is_a_number_or_a_text_with_its_unit(tmp_path: Path, cell: str) -> None:
    """However it is written it is the same length, once or several times."""
    batch = load_batch(write(tmp_path, f"id,job,shaft\n1,line.toml,{cell}\n"))
    many = 2 if ";" in cell or "|" in cell else 1
    assert values(batch, 0)[1] == pytest.approx((60_020.0,) * many)


def test_semicolons_and_decimal_commas(tmp_path: Path) -> None:
    """A file as a European spreadsheet saves it says the same."""
    jobs = 'id;job;shaft\n1;line.toml;"60,02;60,03"\n2;line.toml;60,02|60,03\n'
    batch = load_batch(write(tmp_path, jobs))
    for at in range(2):
        assert values(batch, at)[1] == pytest.approx((60_020.0, 60_030.0))


def test_a_reading_by_its_number_keeps_its_way(tmp_path: Path) -> None:
    """Two readings of one thing are told apart by number; two leaves stay two leaves."""
    jobs = "id,job,reading 2,reading 3\n1,line.toml,60.02,59.95;60.05\n"
    batch = load_batch(write(tmp_path, jobs, TWICE))
    _, value, bracket = batch.assemblies[0].job.readings
    assert value.values_um == pytest.approx((60_020.0,))
    assert bracket.goes_um == pytest.approx((59_950.0,))
    assert bracket.stops_um == pytest.approx(60_050.0)


SLIPS = [
    ("id,job,shaft\n1,line.toml,wide\n", "jobs.csv: line 2: shaft", "'wide'"),
    ("id,job,shaft\n1,line.toml,60 kg\n", "jobs.csv: line 2: shaft", "'60 kg', which is no length"),
    ("id,job\n1,line.toml\n1,line.toml\n", "jobs.csv: line 3: id", "'1', as in line 2"),
    ("id,job\n,line.toml\n", "jobs.csv: line 2: id", "nothing"),
    ("id,job\n1,\n", "jobs.csv: line 2: job", "nothing"),
    ("id,job\n1,other.toml\n", "jobs.csv: line 2: job: other.toml", "no such file"),
    ("id,job,shift\n1,line.toml,\n", "jobs.csv: header", "the column 'shift'"),
    ("id,job,shaft,shaft\n1,line.toml,,\n", "jobs.csv: header", "the column shaft twice"),
    ("id,shaft\n1,60\n", "jobs.csv: header", "no column job"),
    ("id,job\n", "jobs.csv", "no rows"),
    ("id,job,shaft\n1,line.toml,60,02\n", "jobs.csv: line 2: cells", "4"),
    (
        "id,job,shaft,reading 2\n1,line.toml,60,60\n",
        "jobs.csv: line 2: reading 2",
        "'shaft' and 'reading 2'",
    ),
]


@pytest.mark.parametrize(("jobs", "where", "found"), SLIPS)
def test_one_slip_is_one_fault(tmp_path: Path, jobs: str, where: str, found: str) -> None:
    """Each slip is one fault with its line, what was found, what was wanted, a way out."""
    with pytest.raises(Trouble) as caught:
        load_batch(write(tmp_path, jobs))
    (fault,) = caught.value.faults
    assert (fault.where, fault.found) == (where, found)
    assert fault.wanted and fault.way_out


def test_an_ambiguous_column_names_its_way_out(tmp_path: Path) -> None:
    """Where a pattern reads a thing twice, its name alone does not say which is meant."""
    with pytest.raises(Trouble) as caught:
        load_batch(write(tmp_path, "id,job,shaft\n1,line.toml,60.02\n", TWICE))
    (fault,) = caught.value.faults
    assert fault.way_out == "name the column reading 2 or reading 3"


def test_a_fault_of_a_pattern_is_said_once(tmp_path: Path) -> None:
    """However many rows are after it; a fault in a cell is its row's."""
    rows = "".join(f"{at},line.toml,60.02\n" for at in range(30))
    with pytest.raises(Trouble) as caught:
        load_batch(write(tmp_path, f"id,job,shaft\n{rows}", LINE.replace("low = 0.05", "low = 1")))
    assert len(caught.value.faults) == 1
    assert caught.value.faults[0].where.startswith("line.toml: lines")


def test_every_fault_at_once(tmp_path: Path) -> None:
    """Rows do not wait for each other; a tool that the pattern lacks is told with its lot."""
    jobs = "id,job,shaft\n1,line.toml,x\n1,line.toml,y\n"
    with pytest.raises(Trouble) as caught:
        load_batch(write(tmp_path, jobs))
    assert len(caught.value.faults) == 3
    with pytest.raises(Trouble) as caught:
        load_batch(write(tmp_path, drawer=DRAWER.replace("micrometer", "dial")))
    assert [fault.where for fault in caught.value.faults] == ["drawer.csv: lot A: tool"]


def test_one_drawer_for_all(tmp_path: Path) -> None:
    """A batch whose pattern names none wants one on the command line, and takes it from there."""
    path = write(tmp_path, line=LINE.replace('drawer = "drawer.csv"\n', ""))
    with pytest.raises(Trouble, match="found no drawer, wanted one drawer for the whole batch"):
        load_batch(path)
    assert len(load_batch(path, tmp_path / "drawer.csv").drawer.lots) == 2
