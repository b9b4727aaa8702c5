"""Any sequence of bookings, each of them killed anywhere: the books balance all the same."""

from __future__ import annotations

import os
import shutil
import signal
import stat
import sys
import tempfile
import warnings
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from solver import books
from solver.book_moves import Measurement
from solver.books import Opened, open_books
from solver.drawer_sheet import bytes_of, path_of_books, read_sheet
from solver.ledger import Said
from tests.test_books import DRAWER, JOB, counts, plan_of

FORKS = pytest.mark.skipif(not hasattr(os, "fork"), reason="a process is killed otherwise there")
PURE = ("_line", "_cells", "number", "fault", "<genexpr>", "<listcomp>")  # touch no file
OURS = ("books.py", "books_file.py", "plain_file.py", "file_lock.py")
LOTS = ("A1", "A2", "B1")
JOBS = (JOB, "Another")


@pytest.fixture(autouse=True)
def quick(monkeypatch) -> None:
    """What the system has been given outlives a process that is killed: no need to wait for disks.
    What a power cut leaves is `test_the_disk_keeps_the_order`."""
    monkeypatch.setattr("os.fsync", lambda _: None)


def killed_at(step: int, deed: Callable[[], object]) -> bool:
    """Do a deed in a process of its own that is killed at the nth line of ours that it runs.

    Returns whether it was killed: False where it had ended before.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of threads: the child does this one thing and is gone
        child = os.fork()
    if child == 0:
        left = step

        def trace(frame, event, _arg):
            nonlocal left
            name = os.path.basename(frame.f_code.co_filename)
            if name not in OURS or frame.f_code.co_name in PURE:
                return None
            if event == "line":
                left -= 1
                if left <= 0:
                    os.kill(os.getpid(), signal.SIGKILL)
            return trace

        sys.settrace(trace)
        try:
            deed()
        except BaseException:
            os._exit(1)
        os._exit(0)
    status = os.waitpid(child, 0)[1]
    assert os.WIFSIGNALED(status) or os.waitstatus_to_exitcode(status) == 0
    return os.WIFSIGNALED(status)


class BooksBalance(RuleBasedStateMachine):
    """Books against a model that knows only how many pieces are where."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.path = Path(self.folder.name) / "drawer.csv"
        self.path.write_text(DRAWER, encoding="utf-8")
        self.inside: Counter[str] = Counter({"A1": 2, "A2": 3, "B1": 1})
        self.out: Counter[tuple[str, str]] = Counter()
        self.gone = 0
        self.came = 6
        self.past: list[tuple[int, Counter, Counter, int, int]] = []

    def teardown(self) -> None:
        self.folder.cleanup()

    def do(self, deed: Callable[[], object], kill: int) -> bool:
        """Do it, perhaps with an attempt before that is killed. Returns whether it came about."""
        if kill and hasattr(os, "fork"):
            before = self.path.read_bytes()
            entries = self.entries()
            if not killed_at(kill, deed) or self.entries() > entries:
                return True
            assert self.path.read_bytes() == before
        deed()
        return True

    def entries(self) -> int:
        """How many entries stand, once what was cut short is settled."""
        return len(
            {line.entry for line in open_books(self.path).books.counted if line.what != "start"}
        )

    def keep(self) -> None:
        """Remember how it was before the entry that comes next."""
        self.past.append((0, self.inside.copy(), self.out.copy(), self.gone, self.came))

    KILL = st.one_of(st.just(0), st.integers(1, 130))

    @rule(
        job=st.sampled_from(JOBS),
        wanted=st.dictionaries(st.sampled_from(LOTS), st.integers(1, 3), min_size=1),
        kill=KILL,
    )
    def take(self, job, wanted, kill) -> None:
        """A plan that is there, with what is out for the job already."""
        out = {lot: self.out[job, lot] for lot in self.inside if self.out[job, lot]}
        plan = {lot: min(n, self.inside[lot] + out.get(lot, 0)) for lot, n in wanted.items()}
        plan = {lot: n for lot, n in plan.items() if n}
        if not plan or plan == out:
            return
        self.keep()
        self.do(lambda: books.take(self.path, plan_of(plan), job), kill)
        for lot in {*plan, *out}:
            more = plan.get(lot, 0) - out.get(lot, 0)
            self.inside[lot] -= more
            self.out[job, lot] += more

    @rule(job=st.sampled_from(JOBS), kill=KILL)
    def put_back(self, job, kill) -> None:
        """Everything that is out for a job."""
        out = {lot: n for (name, lot), n in self.out.items() if name == job and n}
        if not out:
            return
        self.keep()
        self.do(lambda: books.put_back(self.path, job), kill)
        for lot, n in out.items():
            self.inside[lot] += n
            self.out[job, lot] = 0

    @rule(
        what=st.sampled_from(("bought", "cut")),
        lot=st.sampled_from((*LOTS, "N")),
        n=st.integers(1, 4),
        kill=KILL,
    )
    def add(self, what, lot, n, kill) -> None:
        """More of a lot, or the first of a new one."""
        said = None if lot in self.inside else Said("0.3 mm", "", "0.01 mm")
        self.keep()
        self.do(lambda: books.add(self.path, what, lot, n, said), kill)
        self.inside[lot] += n
        self.came += n

    @rule(data=st.data(), kill=KILL)
    def use_up(self, data, kill) -> None:
        """Out of the drawer, or while out for a job."""
        places = [("", lot) for lot, n in self.inside.items() if n]
        places += [key for key, n in self.out.items() if n]
        if not places:
            return
        job, lot = data.draw(st.sampled_from(sorted(places)))
        self.keep()
        self.do(lambda: books.use_up(self.path, lot, 1, job), kill)
        if job:
            self.out[job, lot] -= 1
        else:
            self.inside[lot] -= 1
        self.gone += 1

    @rule(data=st.data(), part=st.booleans(), kill=KILL)
    def measure(self, data, part, kill) -> None:
        """All of a lot, or one piece of it that gets a name of its own."""
        lot = data.draw(st.sampled_from(sorted(self.inside)))
        part = part and self.inside[lot] > 1
        self.keep()
        found = Measurement(f"0.4{len(self.past)} mm", "0.002 mm")
        self.do(lambda: books.measure(self.path, lot, found, int(part)), kill)
        if part:
            new = open_books(self.path).books.lines[-1].lot
            assert new not in self.inside
            self.inside[lot] -= 1
            self.inside[new] += 1

    @precondition(lambda self: self.past)
    @rule(kill=KILL)
    def undo(self, kill) -> None:
        """The last entry that stands: everything is where it was before it."""
        self.do(lambda: books.undo(self.path), kill)
        _, inside, self.out, self.gone, self.came = self.past.pop()
        self.inside = Counter({lot: inside[lot] for lot in {*inside, *self.inside}})

    @rule(lot=st.sampled_from(LOTS), n=st.integers(0, 5), kill=KILL)
    def by_hand(self, lot, n, kill) -> None:
        """Somebody edits the drawer; it is told, and taken in as counted."""
        if n == self.inside[lot]:
            return
        sheet = read_sheet(self.path)
        row = next(k for k in range(len(sheet.rows)) if sheet.cell(k, "id") == lot)
        self.path.write_bytes(bytes_of(sheet.edited(row, "count", str(n))))
        opened = open_books(self.path)
        if opened.books.lines:
            told = [(one.lot, one.there, one.expected) for one in opened.balance.differences]
            assert told == [(lot, n, self.inside[lot])]
            self.keep()
            self.do(lambda: books.adopt(self.path), kill)
        self.came += n - self.inside[lot]
        self.inside[lot] = n

    @invariant()
    def balance(self) -> None:
        """drawer + fitted + used up = bought + cut + start, in the files as in the model."""
        opened: Opened = open_books(self.path)
        there = counts(self.path)
        assert there == {lot: self.inside[lot] for lot in there}
        assert sum(there.values()) == sum(self.inside.values())
        if not opened.books.lines:
            return
        found = opened.balance
        assert found.holds
        assert found.drawer + found.fitted + found.used_up == (
            found.start + found.bought + found.cut + found.counted
        )
        assert (found.drawer, found.used_up) == (sum(self.inside.values()), self.gone)
        assert found.start + found.bought + found.cut + found.counted == self.came
        assert opened.books.out() == {key: n for key, n in self.out.items() if n}
        names = {path.name for path in self.path.parent.iterdir()}
        assert names <= {"drawer.csv", "drawer.books.csv", ".drawer.csv.lock"} | BESIDE


BooksBalance.TestCase.settings = settings(max_examples=25, stateful_step_count=20, deadline=None)
TestBooksBalance = BooksBalance.TestCase


def taken(path: Path) -> object:
    """Two lots for a job that has another one out already: the one goes back, the others out."""
    return books.take(path, plan_of({"A1": 1, "B1": 1}), JOB)


DEEDS: dict[str, Callable[[Path], object]] = {
    "take": taken,
    "put back": lambda path: books.put_back(path, JOB),
    "add": lambda path: books.add(path, "cut", "N", 2, Said("0.3 mm", "", "0.01 mm")),
    "measure": lambda path: books.measure(path, "A2", Measurement("19.2", "0.05"), 1),
    "use up": lambda path: books.use_up(path, "A2", 1),
    "undo": lambda path: books.undo(path),
}


def state_of(path: Path) -> tuple[bytes, int]:
    """The drawer, and how many lines of its books count, once they are settled."""
    opened = open_books(path)
    assert opened.balance.holds
    names = {one.name for one in path.parent.iterdir()}
    assert not any(",begun " in one.read_text("utf-8") for one in path.parent.glob("*.books.csv"))
    assert names <= {"drawer.csv", "drawer.books.csv", ".drawer.csv.lock"} | BESIDE
    return path.read_bytes(), len(opened.books.counted)


BESIDE = {".drawer.csv.new", ".drawer.books.csv.new"}  # gone with the next booking
FIRST = ("take",)  # what can be the first booking of a drawer


@FORKS
@pytest.mark.parametrize(
    ("name", "first"), [*((name, False) for name in DEEDS), *((name, True) for name in FIRST)]
)
def test_a_booking_killed_at_any_line_is_whole_or_not_at_all(name, first, tmp_path) -> None:
    """After every single line of it: before or after, never between, and the next one goes on."""
    start, work, step = tmp_path / "start", tmp_path / "work", 0
    start.mkdir()
    (start / "drawer.csv").write_text(DRAWER, encoding="utf-8")
    if not first:
        books.take(start / "drawer.csv", plan_of({"A2": 1}), JOB)
    path = work / "drawer.csv"
    shutil.copytree(start, work)
    DEEDS[name](path)
    whole, before = state_of(path), (start / "drawer.csv").read_bytes()
    ends, settled = set(), 0
    while True:
        step += 1
        shutil.rmtree(work)
        shutil.copytree(start, work)
        if not killed_at(step, lambda: DEEDS[name](path)):
            break
        books_path = path_of_books(path)
        settled += books_path.exists() and ",begun " in books_path.read_text("utf-8")
        found = state_of(path)
        done = found == whole
        assert done or found[0] == before
        ends.add(done)
        if not done:  # the next start finds nothing in its way
            DEEDS[name](path)
            assert state_of(path)[0] == whole[0]
            assert not BESIDE & {one.name for one in work.iterdir()}
    assert ends == {False, True} and step > 60 and settled > 15


@FORKS
def test_settling_can_be_killed_too(tmp_path) -> None:
    """What was cut short is settled at the next start, or at the one after that."""
    path, step, killed = tmp_path / "drawer.csv", 1, 0
    books_path = path_of_books(path)
    while not books_path.exists() or ",begun " not in books_path.read_text("utf-8"):
        books_path.unlink(missing_ok=True)
        path.write_text(DRAWER, encoding="utf-8")
        assert killed_at(step, lambda: taken(path))
        step += 5
    begun, drawer = books_path.read_bytes(), path.read_bytes()
    while True:
        books_path.write_bytes(begun)
        path.write_bytes(drawer)
        if not killed_at(killed + 1, lambda: open_books(path)):
            break
        killed += 1
        state_of(path)
    assert killed > 15
    books_path.write_bytes(begun)
    words = "entry 2 (taken) was cut short, and is not done: the drawer is as it was before it"
    assert open_books(path).settled == words and path.read_text("utf-8") == DRAWER
    assert ",not done" in books_path.read_text("utf-8")


@FORKS
def test_a_hand_at_the_drawer_after_a_kill_does_not_mislead(tmp_path) -> None:
    """The lots of the booking tell whether it came about, where the file as a whole cannot."""
    path, seen, step = tmp_path / "drawer.csv", set(), 0
    books_path = path_of_books(path)
    while seen != {False, True}:
        step += 3
        books_path.unlink(missing_ok=True)
        path.write_text(DRAWER, encoding="utf-8")
        assert killed_at(step, lambda: taken(path))
        if not books_path.exists() or ",begun " not in books_path.read_text("utf-8"):
            continue
        done = counts(path)["A1"] == 1
        by_hand = path.read_text("utf-8").replace("A2,19.0,thou,3", "A2,19.0,thou,9")
        path.write_text(by_hand, encoding="utf-8")
        opened = open_books(path)
        assert (opened.books.fitted(JOB) == {"A1": 1, "B1": 1}) is done
        assert [one.lot for one in opened.balance.differences] == ["A2"]
        seen.add(done)


def test_the_disk_keeps_the_order(tmp_path, monkeypatch) -> None:
    """Each file is on the disk before its name is, each name before the next file is begun."""
    path, told = tmp_path / "drawer.csv", []
    path.write_text(DRAWER, encoding="utf-8")
    replace = os.replace

    def renamed(source, target) -> None:
        told.append(Path(target).name)
        replace(source, target)

    monkeypatch.setattr(
        "os.fsync", lambda handle: told.append(stat.S_ISDIR(os.fstat(handle).st_mode))
    )
    monkeypatch.setattr("os.replace", renamed)
    taken(path)
    steps = [[False, name, True] for name in ("drawer.books.csv", "drawer.csv", "drawer.books.csv")]
    assert told == [one for step in steps for one in step]
