"""Drawers as spreadsheets save them, good and bad, read and written back."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.drawer import Drawer, Lot
from solver.drawer_file import check_drawer, drawer_faults, drawer_of, load_drawer
from solver.drawer_sheet import bytes_of, new_sheet, read_sheet, sheet_of, write_sheet
from solver.job import Job, Reading, Stack, Tool
from solver.job_file import read_job
from solver.strip import strip_within_um
from solver.trouble import Fault, Trouble
from tests.test_job_file import example

HEAD = "id,thickness,unit,count,within,tool,fits,note\n"


def read(text: str | bytes) -> Drawer:
    """A drawer from text, called d.csv."""
    return drawer_of(sheet_of(text.encode() if isinstance(text, str) else text, "d.csv"))


def faults_of(text: str | bytes) -> tuple[Fault, ...]:
    """The faults of a drawer that is refused."""
    with pytest.raises(Trouble) as trouble:
        read(text)
    return trouble.value.faults


@pytest.mark.parametrize(
    "data",
    [
        b"id,thickness,unit,count,within\nA,0.93,mm,2,0.004\n",
        b"id;thickness;unit;count;within\r\nA;0,93;mm;2;0,004\r\n",
        b"\xef\xbb\xbfid;thickness;unit;count;within\r\nA;0,930;mm;2,0;0,004\r\n",
        b"id\tthickness\tunit\tcount\twithin\nA\t0,93\tmm\t2\t0,004",
        b'id,thickness,unit,count,within\nA,"0,93",mm,2,"0,004"\n',
        b"\n\nCount,ID,shelf, Unit ,thickness,within\n\n2,A,top,MM,0.93,0.004\n,,,,,\n\n",
        b"id,thickness,count,within\nA,0.93 mm,2,4 um\n",
        b"sep=;\nid;thickness;unit;count;within\nA;930;\xb5m;2;4\n",
        "id\tthickness\tunit\tcount\twithin\r\nA\t930\tµm\t2\t4\r\n".encode("utf-16"),
    ],
)
def test_one_drawer_in_the_shapes_people_have(data: bytes) -> None:
    """Delimiters, decimal signs, marks, line ends, extra columns and blank lines change nothing."""
    (lot,) = read(data).lots
    assert (lot.id, lot.count, lot.within_assumed) == ("A", 2, False)
    assert (lot.thickness_um, lot.within_um) == pytest.approx((930.0, 4.0), rel=1e-12)
    assert bytes_of(sheet_of(data, "d.csv")) == data


def test_decimal_comma_of_three_places() -> None:
    """Between semicolons '1,250' is one and a quarter; between commas it is asked."""
    (lot,) = read("id;thickness;unit;count\nA;1,250;mm;1\n").lots
    assert lot.thickness_um == 1250.0
    (fault,) = faults_of('id,thickness,unit,count\nA,"1,250",mm,1\n')
    assert fault.wanted == "one meaning for the comma"


BAD = [
    ("A,nan,mm,1,,,,", "d.csv: line 2: thickness", "'nan'", "a length", "thickness"),
    ("A,inf,mm,1,,,,", "d.csv: line 2: thickness", "'inf'", "a length", "thickness"),
    ("A,-0.5,mm,1,,,,", "d.csv: line 2: thickness", "'-0.5'", "a length above 0", "thickness"),
    ("A,0,mm,1,,,,", "d.csv: line 2: thickness", "'0'", "a length above 0", "thickness"),
    ("A,,mm,1,,,,", "d.csv: line 2: thickness", "nothing", "a length", "thickness"),
    (
        "A,3 kg,mm,1,,,,", "d.csv: line 2: thickness", "'3 kg', which is no length", "a length",
        "thickness",
    ),
    ("A,1,mm,-1,,,,", "d.csv: line 2: count", "'-1'", "a whole number from 0 to 100000", "count"),
    ("A,1,mm,1.5,,,,", "d.csv: line 2: count", "'1.5'", "a whole number from 0 to 100000", "count"),
    ("A,1,mm,,,,,", "d.csv: line 2: count", "nothing", "a whole number from 0 to 100000", "count"),
    ("A,1,,1,,,,", "d.csv: line 2: unit", "nothing", "one of mm, um, in, thou", "unit"),
    ("A,1,ell,1,,,,", "d.csv: line 2: unit", "'ell'", "one of mm, um, in, thou", "unit"),
    ("A,1,mm,1,0,,,", "d.csv: line 2: within", "'0'", "a length above 0", "within"),
    ("A,1,mm,1,1,,,", "d.csv: line 2: within", "'1'", "less than the thickness", "within"),
    (",1,mm,1,,,,", "d.csv: line 2: id", "nothing", "an id", "id"),
    (
        "A,1,mm,1,,,wheal side,", "d.csv: line 2: fits", "the unknown seat 'wheal side'",
        '"wheel side", "plain side", "pinion head", "pinion spacer" or a seat of a line', "fits",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("row", "where", "found", "wanted", "column"), BAD)
def test_a_bad_cell_is_one_fault(
    row: str, where: str, found: str, wanted: str, column: str
) -> None:
    """Each bad cell is one fault with its line, what was found and wanted, a way out, a place."""
    (fault,) = faults_of(HEAD + row + "\n")
    assert (fault.where, fault.found, fault.wanted) == (where, found, wanted)
    assert fault.place == ("rows", 0, column)
    assert fault.way_out


def test_a_decimal_comma_between_commas() -> None:
    """A decimal comma that splits a cell is named, not read as something else."""
    faults = faults_of(HEAD + "A,0,93,mm,1,,,,note\n")
    assert str(faults[0]) == (
        "d.csv: line 2: cells: found 9, wanted 8, as in the header;"
        ' put quotes round a cell with a comma: "0,93"; or save with semicolons'
    )


def test_every_fault_at_once() -> None:
    """Faults of all rows come together, and a shared id names the row that has it already."""
    faults = faults_of(HEAD + "A,nan,mm,-1,,,,\nB,1,mm,1,,,,\nB,1,mm,1,,,,\n")
    assert [fault.where for fault in faults] == [
        "d.csv: line 2: thickness", "d.csv: line 2: count", "d.csv: line 4: id",
    ]  # fmt: skip
    assert str(faults[2]) == (
        "d.csv: line 4: id: found 'B', as in line 3, wanted an id of its own;"
        " rename one, or add the counts"
    )


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "an empty file"),
        (b"\n \r\n", "an empty file"),
        (b"\x00\x01\x02", "bytes that are not text"),
        (b"\x81\x8d\xff", "bytes that are not text"),
        (b";;;\n", "no header"),
        (HEAD.encode(), "no rows"),
        (HEAD.encode() + b"A,1,mm,0,,,,\n", "no piece at all"),
        (b"thickness,unit,count\n1,mm,1\n", "no column id"),
        (b"id,thickness,count\nA,0.93,1\n", "no column unit"),
        (b"id,id,thickness,unit,count\nA,B,1,mm,1\n", "the column id twice"),
        (HEAD.encode() + b'A,"1,mm,1,,,,\nB,1,mm,1,,,,\n', None),
        (HEAD.encode() + b'"' + b"x" * 140_000 + b'"\n', "a cell past any use"),
        (b"\n" + HEAD.encode() + b"A,1,mm,1,,,,\n" * 20_001, "more than 20000 rows"),
    ],
)
def test_a_file_that_is_no_drawer(data: bytes, found: str | None) -> None:
    """A file that is no drawer is refused as a whole, with one fault."""
    (fault,) = faults_of(data)
    assert fault.where.startswith("d.csv") and fault.way_out and fault.wanted
    assert fault.found == found if found else fault.found.endswith("never closed")


def test_a_misspelt_column_is_named() -> None:
    """A column that is nearly one of ours is named in the way out."""
    (fault,) = faults_of(b"id,thicknes,unit,count\nA,1,mm,1\n")
    assert (fault.found, fault.way_out) == ("no column thickness", "rename 'thicknes'")


def test_thousands_of_bad_rows_do_not_flood_the_screen() -> None:
    """Past a hundred faults the rest are counted."""
    faults = faults_of(HEAD + "".join(f"A{n},x,mm,1,,,,\n" for n in range(500)))
    assert len(faults) == 101
    assert faults[-1].found == "400 more faults"


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """Missing, a folder, or too large: refused, the large one unread."""
    large = tmp_path / "large.csv"
    with large.open("wb") as file:
        os.truncate(file.fileno(), 10**9)
    for path, found in [
        (tmp_path / "none.csv", "no such file"),
        (tmp_path, "no plain file"),
        (large, "1000 MB"),
    ]:
        with pytest.raises(Trouble) as trouble:
            load_drawer(path)
        (fault,) = trouble.value.faults
        assert (fault.where, fault.found) == (path.name, found)


def test_blank_within_is_the_strip_tolerance() -> None:
    """A blank `within` takes the strip tolerance, and one line says for how many lots."""
    rows = "".join(f"A{t},0.{t},mm,1,,,,\n" for t in (12, 17, 22, 27, 35, 50)) + "B,30,um,1,,,,\n"
    drawer = read(HEAD + rows + "C,0.3,mm,1,0.001,,,\n")
    assert [lot.within_um for lot in drawer.lots] == pytest.approx(
        [10.0, 15.0, 15.0, 17.0, 20.0, 25.0, 3.0, 1.0]
    )
    assert [lot.within_assumed for lot in drawer.lots] == [True] * 7 + [False]
    assert drawer.assumed == (
        "strip tolerance (ISO 9445-1, normal) taken for 5 lots",
        "tolerance of a tenth, thinner than the strip table, taken for 1 lot",
        "tolerance of a twentieth, thicker than the strip table, taken for 1 lot",
    )


def test_strip_table() -> None:
    """Normal tolerances by thickness, ± mm. Source: ISO 9445-1, stainless narrow strip, normal."""
    table = {
        0.05: 0.005, 0.08: 0.008, 0.12: 0.010, 0.17: 0.015, 0.22: 0.015, 0.27: 0.017, 0.35: 0.020,
        0.40: 0.020,
    }  # fmt: skip
    for thickness_mm, within_mm in table.items():
        assert strip_within_um(1000 * thickness_mm) == pytest.approx(1000 * within_mm)


def test_an_edit_leaves_the_other_rows_alone(tmp_path: Path) -> None:
    """Only the edited row changes in the file; delimiter, mark, line ends and columns stay."""
    data = b'\xef\xbb\xbfid;thickness;unit;count;shelf\r\n"A";0,93;mm;2;"a;b"\r\n\r\nB;1;mm;1;top'
    path = tmp_path / "d.csv"
    path.write_bytes(data)
    sheet = read_sheet(path)
    assert sheet.dialect.decimal == ","
    write_sheet(sheet.edited(1, "count", "4"), path)
    assert path.read_bytes() == data.replace(b"B;1;mm;1;top", b"B;1;mm;4;top\r\n")
    write_sheet(sheet.edited(0, "count", "4"), path)
    assert path.read_bytes() == data.replace(b'"A";0,93;mm;2;"a;b"', b'A;0,93;mm;4;"a;b"')
    write_sheet(sheet.with_row({"id": "C", "count": "1"}).without_row(0), path)
    assert path.read_bytes() == (
        b"\xef\xbb\xbfid;thickness;unit;count;shelf\r\n\r\nB;1;mm;1;top\r\nC;;;1;\r\n"
    )
    assert [p.name for p in tmp_path.iterdir()] == ["d.csv"]


def test_a_sign_that_the_old_code_lacks() -> None:
    """A sheet in the old Windows code goes over to UTF-8 when a cell needs it."""
    sheet = sheet_of("id,thickness,unit,count,note\nA,93,µm,1,\n".encode("cp1252"), "d.csv")
    data = bytes_of(sheet.edited(0, "note", "Ω"))
    assert data == "\ufeffid,thickness,unit,count,note\nA,93,µm,1,Ω\n".encode()


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    """A sheet that cannot be written is a fault, not a traceback."""
    with pytest.raises(Trouble) as trouble:
        write_sheet(new_sheet(), tmp_path / "none" / "d.csv")
    assert trouble.value.faults[0].found == "no way to write it (no such file or directory)"


def trial_job(*ids: str, tool: str = "feelers") -> Job:
    """The example job with one more reading, with lots fitted."""
    job = read_job(example(), "job.toml", Path())
    stack = Stack("wheel side", lots=tuple((lot_id, ids.count(lot_id)) for lot_id in set(ids)))
    reading = Reading(9, "plain gap", Tool(tool, 1, 1, 1, 1, "feelers"), (5.0,), fitted=(stack,))
    return Job(**{f: getattr(job, f) for f in Job.__slots__} | {"readings": (reading,)})


def test_a_drawer_that_goes_with_its_job() -> None:
    """Tools and lots that the job has, in the number it has, are no fault."""
    drawer = Drawer((Lot("A", 100.0, 2, 1.0, "feelers"),))
    check_drawer(drawer, trial_job("A", "A"))


def test_a_drawer_that_does_not() -> None:
    """An unknown tool, an unknown lot, and more pieces than there are: three faults, one time."""
    drawer = Drawer((Lot("A1", 100.0, 2, 1.0, "feeler"),))
    faults = drawer_faults(drawer, trial_job("A1", "A1", "A1", "B7"), "d.csv")
    assert [(f.where, f.found) for f in faults[:1]] == [("d.csv: lot A1: tool", "'feeler'")]
    assert faults[0].way_out == 'did you mean "feelers"'
    assert {f.found for f in faults[1:]} == {"3 pieces of 'A1'", "'B7'"}
    assert {f.place for f in faults} == {("rows", 0, "tool"), ("readings", 8, "fitted")}
    with pytest.raises(Trouble):
        check_drawer(drawer, trial_job("A1"))


@given(st.binary(max_size=300))
def test_rubbish_is_read_or_refused(data: bytes) -> None:
    """Any bytes are a drawer or a Trouble; a sheet goes back byte for byte."""
    read_or_refused(data)


def read_or_refused(data: bytes) -> None:
    """Fail unless bytes are a drawer or a Trouble."""
    try:
        sheet = sheet_of(data, "d.csv")
        assert bytes_of(sheet) == data
        drawer_of(sheet)
    except Trouble as trouble:
        assert all(str(fault).isprintable() for fault in trouble.faults)


CELL = st.text(st.sampled_from("A1.,;\t\"'\r\n µ-/nmthou½0"), max_size=8)


@given(st.lists(st.lists(CELL, min_size=1, max_size=9), max_size=6), st.sampled_from(",;\t"))
def test_rows_of_rubbish_are_read_or_refused(rows: list[list[str]], delimiter: str) -> None:
    """Rubbish under a good header is a drawer or a Trouble, and goes back byte for byte."""
    text = HEAD.replace(",", delimiter) + "\n".join(delimiter.join(row) for row in rows)
    read_or_refused(text.encode())


@given(st.floats(0.01, 500.0), st.floats(0.1, 90.0))
def test_thou_and_millimetres_are_one_drawer(thou: float, share: float) -> None:
    """A drawer written in thou and in millimetres is the same drawer."""
    lots = []
    for unit, factor in (("thou", 1.0), ("mm", 0.0254)):
        row = f"A,{thou * factor:.15f},{unit},1,{thou * factor * share / 100:.15f},,,\n"
        lots.append(read(HEAD + row).lots[0])
    assert lots[0].thickness_um == pytest.approx(lots[1].thickness_um, rel=1e-9, abs=1e-9)
    assert lots[0].within_um == pytest.approx(lots[1].within_um, rel=1e-9, abs=1e-9)
