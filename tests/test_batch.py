"""A batch dealt out: most served, fewest pieces, best chances, no lot used twice."""

from __future__ import annotations

import copy
import itertools
import os
import signal
import subprocess
import sys
import time
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.batch import BatchAnswer, answer_batch
from solver.batch_file import Assembly, Batch
from solver.batch_keep import Kept, load_kept, path_beside
from solver.batch_pool import NONE, Offer, Option
from solver.batch_program import CHANCE_UNIT, deal
from solver.batch_shelves import put_on_shelves, take_from
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.job import Job
from solver.job_file import read_job
from solver.law import law_of
from solver.master import Halt
from solver.plan import Piece, Plan, SeatStack
from solver.report_batch import batch_as_csv, batch_as_text
from solver.simulation import simulate_builds
from solver.terminal import main
from solver.trouble import Trouble
from solver.verdict import simulated_chance
from tests.brute import as_plan, every_plan
from tests.jobs import a_job, clearance_reading
from tests.test_batch_file import LINE, write

TOOL = "micrometer"
FAINTEST = 0.5  # chance by the normal law, far below all that could be met here


def line_job(shaft_mm: float, *, wanted: float = 0.9, most: int = 2) -> Job:
    """A line of two measured parts and a seat. shaft_mm: its length; wanted; most: pieces."""
    table = copy.deepcopy(tomllib.loads(LINE))
    table["readings"][1]["value"] = shaft_mm
    table["wanted"] = {"chance": wanted, "most_shims": most}
    return read_job(table, "line.toml", Path())


def lot(name: str, mm: float, count: int, tool: str = TOOL) -> Lot:
    """A lot. name; mm: thickness; count. Returns it."""
    return Lot(name, 1000.0 * mm, count, 3.0, tool)


def a_batch(shafts: tuple[float, ...], lots: tuple[Lot, ...], wanted: float = 0.9) -> Batch:
    """A batch of lines. shafts: their lengths [mm]; lots; wanted. Returns it."""
    found = enumerate(line_job(shaft, wanted=wanted) for shaft in shafts)
    return Batch(tuple(Assembly(str(n), "line.toml", n, job) for n, job in found), Drawer(lots))


# each wants about 62 - shaft - 0.1 of shims, and most could use the same few
CONTESTED = [
    ((60.0, 60.0, 60.0), (lot("A", 1.9, 1), lot("B", 1.0, 2), lot("C", 0.9, 2), lot("D", 1.5, 1))),
    (
        (60.0, 60.01, 60.5),
        (lot("A", 1.9, 1), lot("B", 1.4, 2), lot("C", 0.5, 2), lot("D", 1.39, 1)),
    ),
    ((60.0, 60.02, 59.98), (lot("A", 1.9, 1), lot("B", 1.89, 1), lot("C", 0.95, 1))),
    ((60.0, 60.0, 60.0), (lot("A", 1.9, 1), lot("B", 0.95, 3, ""), lot("C", 0.94, 1))),
    ((60.0, 60.044), (lot("A", 1.9, 1), lot("B", 1.856, 1))),  # either way about, one better
    ((60.9, 60.9, 60.0), (lot("A", 1.0, 2), lot("B", 0.9, 1), lot("C", 0.5, 3))),
]


@cache
def every_met(job: Job, drawer: Drawer) -> list[tuple[int, int, tuple[int, ...]]]:
    """Every plan that meets a job by simulation: pieces, chance, pieces of each lot."""
    estimate = estimate_job(job, drawer)
    every = every_plan(job, drawer, estimate, law_of(job, estimate))
    builds, found = simulate_builds(job, estimate), []
    for counts, pieces, normal in zip(every.counts, every.pieces, every.chance, strict=True):
        if normal >= FAINTEST:
            plan = as_plan(job, drawer, counts)
            chance = simulated_chance(job, drawer, estimate, plan, builds)
            if chance >= job.wanted_chance:
                used = tuple(sum(of) for of in zip(*counts, strict=True))
                found.append((int(pieces), round(chance * CHANCE_UNIT), used))
    return found


def rightful(batch: Batch) -> tuple[int, int, int]:
    """Unserved, pieces and the sum of chances of the best deal, by trying every combination."""
    plans = [[None, *every_met(one.job, batch.drawer)] for one in batch.assemblies]
    able = sum(len(some) > 1 for some in plans)
    stock = [lot.count for lot in batch.drawer.lots]
    best = (able, 0, 0)
    for deal_ in itertools.product(*plans):
        taken = [one for one in deal_ if one is not None]
        used = [sum(one[2][at] for one in taken) for at in range(len(stock))]
        if all(some <= most for some, most in zip(used, stock, strict=True)):
            pieces, chance = sum(one[0] for one in taken), sum(one[1] for one in taken)
            best = min(best, (able - len(taken), pieces, -chance))
    return best


def used_of(answer: BatchAnswer) -> Counter[str]:
    """Pieces that an answer takes of each lot."""
    stacks = [stack for one in answer.fitted if one.plan for stack in one.plan.stacks]
    found: Counter[str] = Counter()
    for stack in stacks:
        for piece in stack.pieces:
            found[piece.id] += piece.count
    return found


@pytest.mark.parametrize(("shafts", "lots"), CONTESTED)
def test_a_contested_drawer_is_dealt_as_well_as_can_be(
    shafts: tuple[float, ...], lots: tuple[Lot, ...]
) -> None:
    """Against every combination of every plan: as many served, as few pieces, as good chances."""
    batch = a_batch(shafts, lots)
    answer = answer_batch(batch, Kept(None))
    chances = sum(round(one.chance * CHANCE_UNIT) for one in answer.fitted if one.status == "met")
    assert (answer.unserved, answer.pieces, -chances) == rightful(batch)
    assert answer.unserved == answer.least_unserved and answer.pieces == answer.least_pieces
    used = used_of(answer)
    assert all(used[one.id] <= one.count for one in lots)


def test_the_cases_are_contested() -> None:
    """Somebody goes without in one case at least, and in another somebody takes more pieces than
    alone, so that the comparison above is of something."""
    unserved, more = [], []
    for shafts, lots in CONTESTED:
        batch = a_batch(shafts, lots)
        alone = [every_met(one.job, batch.drawer) for one in batch.assemblies]
        best = rightful(batch)
        unserved.append(best[0])
        more.append(best[1] - sum(min(some)[0] for some in alone if some))
    assert any(unserved) and any(pieces > 0 for pieces in more)


def test_each_status(tmp_path: Path) -> None:
    """Met; short where no plan is enough, the best given; none; unserved where others took it."""
    lots = (lot("A", 1.9, 1), lot("B", 0.849, 1))
    shafts = (60.0, 60.0, 61.0, 55.0)
    answer = answer_batch(a_batch(shafts, lots), Kept(None))
    statuses = sorted(one.status for one in answer.fitted[:2])
    assert statuses == ["met", "unserved"]
    assert [one.status for one in answer.fitted[2:]] == ["short", "none"]
    short = answer.fitted[2]
    assert short.plan is not None and 0.0 < short.chance < 0.9
    assert not answer.good and answer.unserved == 1
    text = batch_as_text(answer)
    assert "4 assemblies, one drawer: 1 met, 1 short, 1 none, 1 unserved." in text
    assert "1 without a plan, and no way to serve more: proved." in text
    rows = batch_as_csv(answer).splitlines()
    assert rows[0].startswith("id,job,status,chance,pieces,readings,unit,cover: lots")
    assert len(rows) == 5 and rows[4].startswith("3,line.toml,none,,,")


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_no_lot_is_taken_twice(data: st.DataObject) -> None:
    """Whatever is offered, no lot is used beyond its stock, and the bounds hold."""
    stock = tuple(data.draw(st.lists(st.integers(1, 3), min_size=2, max_size=4)))
    uses = st.dictionaries(
        st.integers(0, len(stock) - 1), st.integers(1, 2), min_size=1, max_size=2
    )
    offers = []
    for _ in range(data.draw(st.integers(1, 5))):
        kind = data.draw(st.sampled_from(("met", "met", "short", "none")))
        options = []
        for used in data.draw(st.lists(uses, min_size=1, max_size=4)) if kind != NONE else []:
            if all(count <= stock[at] for at, count in used.items()):
                chance = data.draw(st.integers(0, 10)) / 10.0
                options.append(Option(sum(used.values()), chance, (tuple(used.items()),)))
        kind = kind if options else NONE
        least = min((one.pieces for one in options), default=0)
        unlisted = data.draw(st.sampled_from((None, least, least + 1))) if options else None
        offers.append(Offer(kind, tuple(options), unlisted, "agree"))
    found = deal(tuple(offers), stock, None, Halt())
    used: Counter[int] = Counter()
    for offer, pick in zip(offers, found.picks, strict=True):
        if pick is not None:
            used.update(offer.options[pick].uses)
    assert all(used[at] <= most for at, most in enumerate(stock))
    assert found.unserved == sum(
        pick is None and offer.kind != NONE for offer, pick in zip(offers, found.picks, strict=True)
    )
    assert found.least_unserved <= found.unserved
    assert found.least_pieces is not None and found.least_pieces <= found.pieces


def test_like_lots_are_one_shelf_and_parted_again() -> None:
    """What nothing tells apart is shared; never-measured lots stay alone; nothing is lost."""
    lots = (lot("A", 1.0, 1), lot("B", 1.0, 2), lot("C", 1.0, 2, ""), lot("D", 1.1, 1))
    shelves = put_on_shelves(Drawer(lots), ())
    assert [(one.id, one.count) for one in shelves.drawer.lots] == [("A", 3), ("C", 2), ("D", 1)]

    def takes(count: int) -> Plan:
        return Plan((SeatStack("cover", (Piece("A", count, 1000.0),)),))

    first, none, second = take_from(shelves, (takes(2), None, takes(1)))
    assert none is None and first is not None and second is not None
    assert [(p.id, p.count) for p in first.stacks[0].pieces] == [("B", 2)]
    assert [(p.id, p.count) for p in second.stacks[0].pieces] == [("A", 1)]
    with pytest.raises(ValueError, match="1 more than there are"):
        take_from(shelves, (takes(2), takes(2)))


def many(folder: Path, rows: int) -> Path:
    """A batch of many lines with a drawer that is just enough. Returns its path."""
    shafts = [60.0 + 0.013 * (at % 40) for at in range(rows)]
    jobs = "id,job,shaft\n" + "".join(f"{n},line.toml,{s:.3f}\n" for n, s in enumerate(shafts))
    lots = [f"L{n},{0.3 + 0.021 * n:.3f},mm,2,0.003,micrometer\n" for n in range(75)]
    return write(folder, jobs, drawer="id,thickness,unit,count,within,tool\n" + "".join(lots))


def test_a_killed_run_goes_on_and_ends_the_same(tmp_path: Path) -> None:
    """SIGKILL in the middle: what was kept is used, and the results are those of a whole run."""
    (tmp_path / "whole").mkdir()
    (tmp_path / "broken").mkdir()
    whole, broken = (many(tmp_path / one, 40) for one in ("whole", "broken"))
    code = main(["choose", "--batch", str(whole), "--out", str(whole.with_name("out.csv"))])
    out = broken.with_name("out.csv")
    command = [sys.executable, "-m", "solver", "choose", "--batch", str(broken), "--out", str(out)]
    run = subprocess.Popen(command, cwd=Path(__file__).parents[1], stderr=subprocess.DEVNULL)
    part, end = path_beside(out), time.monotonic() + 120.0
    while not part.exists() and run.poll() is None and time.monotonic() < end:
        time.sleep(0.01)
    assert run.poll() is None, "it was done before it could be killed"
    os.kill(run.pid, signal.SIGKILL)
    run.wait()
    kept = load_kept(part)
    assert not out.exists() and 0 < len(kept.lines) < 40
    again = main(["choose", "--batch", str(broken), "--out", str(out)])
    assert again == code
    assert out.read_bytes() == whole.with_name("out.csv").read_bytes()
    assert not part.exists()


def test_what_was_kept_is_used_until_its_row_changes(tmp_path: Path) -> None:
    """Kept offers stand for working them out; a changed row is worked out anew, the rest is not."""
    lots = (lot("A", 1.9, 2), lot("B", 1.0, 3), lot("C", 0.9, 3))
    path = tmp_path / "part"
    kept = load_kept(path)
    first = answer_batch(a_batch((60.0, 60.01), lots), kept)
    assert len(load_kept(path).lines) == len(kept.lines) >= 2
    again = load_kept(path)
    before = set(again.lines)
    assert answer_batch(a_batch((60.0, 60.01), lots), again) == first
    assert set(again.lines) == before
    changed = load_kept(path)
    assert answer_batch(a_batch((60.0, 60.03), lots), changed) == answer_batch(
        a_batch((60.0, 60.03), lots), Kept(None)
    )
    assert 0 < len(set(changed.lines) - before) <= len(before)


def test_a_torn_or_foreign_file_is_worked_out_anew(tmp_path: Path) -> None:
    """Rubbish in the kept file is passed over, not believed."""
    lots = (lot("A", 1.9, 2),)
    path = tmp_path / "part"
    whole = answer_batch(a_batch((60.0,), lots), load_kept(path))
    text = path.read_text()
    for torn in (text[:-30], text.replace("met", "mad"), "something else\n", "", "\x00"):
        path.write_text(torn)
        assert answer_batch(a_batch((60.0,), lots), load_kept(path)) == whole


def test_ctrl_c_keeps_what_was_worked_out(tmp_path: Path) -> None:
    """A run that is stopped leaves its offers, however short the time since the last writing."""

    class Stop(Exception):
        """Stands for the key."""

    def tell(words: str) -> None:
        if words.startswith("plans for 2"):
            raise Stop

    kept = load_kept(tmp_path / "part")
    with pytest.raises(Stop):
        answer_batch(a_batch((60.0, 60.01, 60.02), (lot("A", 1.9, 3),)), kept, tell)
    assert len(load_kept(tmp_path / "part").lines) == 2


def test_readings_that_settle_nothing_are_refused_by_row() -> None:
    """All such rows at once, each with its line, before any work is done."""
    bare = a_job(readings=(clearance_reading(51.2),))
    rows = tuple(Assembly(name, "x.toml", line, bare) for line, name in ((2, "P"), (4, "Q")))
    with pytest.raises(Trouble) as caught:
        answer_batch(Batch(rows, Drawer((lot("A", 1.0, 1),))), Kept(None))
    told = [(fault.where, fault.found) for fault in caught.value.faults]
    found = "no reading that settles the mesh gap"
    assert told == [("line 2: P: readings", found), ("line 4: Q: readings", found)]


def test_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --out the CSV is what is printed; a batch and a job are not both; exit codes."""
    path = write(tmp_path)
    assert main(["choose", "--batch", str(path)]) == 0
    printed = capsys.readouterr()
    assert printed.out.splitlines()[1].startswith("1,line.toml,met,1.0000,1,")
    assert "2 assemblies, one drawer: 2 met." in printed.err
    assert "plans for 1 of 2 assemblies" in printed.err
    assert main(["choose", "--batch", str(path), "--json"]) == 0
    assert '"least_pieces": 2' in capsys.readouterr().out
    for words in (["x.toml", "--batch", str(path)], ["x.toml", "--out", "y.csv"], []):
        assert main(["choose", *words]) == 2
        assert capsys.readouterr().err.startswith("command line: found ")
    assert main(["choose", "--batch", str(path), "--out", str(tmp_path / "no" / "x.csv")]) == 2
    assert "x.csv: found no folder no" in capsys.readouterr().err


def test_limits_from_no_manual_are_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Assemblies whose pattern is marked EXAMPLE are named before anybody builds to it."""
    lists = Path(__file__).parent.parent / "stock_lists"
    jobs = tmp_path / "jobs.csv"
    jobs.write_text(f"id,job\nm1,{lists / 'winch_drum.toml'}\n", encoding="utf-8")
    words = ["choose", "--batch", str(jobs), "--drawer", str(lists / "lines_drawer.csv")]
    assert main([*words, "--out", str(tmp_path / "out.csv")]) == 0
    assert "EXAMPLE LIMITS, from no manual: m1." in capsys.readouterr().out
