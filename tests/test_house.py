"""The house: rooms in a row, heavy libraries each behind one door, docstrings that do not lie."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# An import points only up this list: each room knows those above it, and nothing below.
CORRIDOR = (
    "__init__",
    "trouble",
    # what is read: lengths, files, frozen types
    "units",
    "torque_units",
    "plain_file",
    "file_lock",
    "crush",
    "bench_notes",
    "pattern_rules",
    "metals",
    "line",
    "job",
    "wheel_round",
    "spread",
    "torque_reading",
    "drawer",
    "strip",
    "teeth",
    "job_table",
    "job_tools",
    "job_mesh",
    "job_limits",
    "job_lines",
    "job_readings",
    "job_pinion",
    "job_ready",
    "job_costs",
    "job_sheet",
    "job_pattern",
    "job_torque",
    "job_pauses",
    "job_crush",
    "job_file",
    "job_so_far",
    "pattern",
    "drawer_sheet",
    "drawer_file",
    "drawer_merge",
    "market",
    "market_file",
    # what the readings say
    "plan",
    # the drawer's books
    "ledger",
    "books_file",
    "book_effects",
    "book_moves",
    "books",
    "on_hand",
    "findings",
    "normal",
    "freedom",
    "mechanics",
    "least_squares",
    "warmth",
    "pieces",
    "axle",
    "rows",
    "estimate",
    "agreement",
    # what to fit
    "box",
    "law",
    "region",
    "columns",
    "stacking",
    "tangents",
    "master",
    "search",
    "choice",
    # what it is worth
    "simulation",
    "verdict",
    "budget",
    "mend",
    "answer",
    "line_fit",
    "stackup",
    "select_fit",
    "another",
    "purse",
    "routes",
    "plan_pool",
    "worth",
    # how far to turn the nut of a crush spacer
    "palmgren",
    "sleeve",
    "turning",
    "tighten",
    # what a person sees
    "report_words",
    "report_json",
    "report_text",
    "report_pinion",
    "report_line",
    "report_advice",
    "report_cautions",
    "report",
    "report_worth",
    "ready",
    "report_ready",
    "report_tooth",
    "report_pattern",
    "report_tighten",
    # what is printed for the bench
    "fitting_order",
    "sheet_readings",
    "sheet",
    "sheet_text",
    "paper",
    "pen",
    "sheet_outline",
    "sheet_stacks",
    "sheet_page",
    "sheet_pdf",
    "template",
    "template_page",
    "report_routes",
    "report_stackup",
    "report_books",
    # many assemblies at once
    "batch_file",
    "batch_shelves",
    "batch_pool",
    "batch_fill",
    "batch_program",
    "batch_keep",
    "batch",
    "report_batch",
    "terminal_inputs",
    "book_arguments",
    "terminal_books",
    "terminal_sheet",
    "terminal_routes",
    "terminal_stack",
    "terminal_batch",
    "terminal",
    "__main__",
)
HOMES = {  # heavy library -> the only rooms that may import it
    "ortools": {"master"},
    "pint": {"units"},
    "tomllib": {"job_file"},
    "csv": {"drawer_sheet"},
    "matplotlib": {"sheet_pdf"},
}
KEPT_OUT = {"tkinter", "tktooltip", "scipy", "tomlkit", "desktop", "tests"}
SHARED_NOTHING = {
    "verdict": {"law", "region", "columns", "stacking", "tangents", "master", "search", "choice"}
}


@cache
def tree(room: str) -> ast.Module:
    """The source of a room, parsed. room: its name."""
    return ast.parse((ROOT / "solver" / f"{room}.py").read_text(encoding="utf-8"))


def rooms() -> list[str]:
    """Every room there is."""
    return sorted(path.stem for path in (ROOT / "solver").glob("*.py"))


def imports(room: str) -> set[str]:
    """Full names of every module that a room imports, wherever in the file it does so."""
    found = set()
    for node in ast.walk(tree(room)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{room} imports relatively"
            assert node.module is not None
            if node.module == "solver":
                found |= {f"solver.{alias.name}" for alias in node.names}
            else:
                found.add(node.module)
    return found


def test_the_corridor_lists_every_room() -> None:
    """A new room has its place in the corridor, a room that is gone has none."""
    assert sorted(CORRIDOR) == rooms()
    assert len(set(CORRIDOR)) == len(CORRIDOR)


@pytest.mark.parametrize("room", rooms())
def test_a_room_imports_only_rooms_above_it(room: str) -> None:
    """Reading imports, late ones and those for types included."""
    above = set(CORRIDOR[: CORRIDOR.index(room)])
    known = {name.split(".")[1] for name in imports(room) if name.startswith("solver.")}
    assert known <= above


@pytest.mark.parametrize("room", rooms())
def test_heavy_libraries_stay_at_home(room: str) -> None:
    """OR-Tools, Pint, TOML and CSV each have one door; nothing of a screen is in the solver."""
    heavy = {name.split(".")[0] for name in imports(room)}
    assert not heavy & KEPT_OUT
    for library, homes in HOMES.items():
        assert library not in heavy or room in homes


@pytest.mark.parametrize("library", HOMES)
def test_every_home_is_lived_in(library: str) -> None:
    """The list of homes is true: each library is imported where it is said to be."""
    for home in HOMES[library]:
        assert library in {name.split(".")[0] for name in imports(home)}


def test_the_verdict_shares_no_code_with_the_search() -> None:
    """Nor does anything that the verdict imports, however far up."""
    for room, strangers in SHARED_NOTHING.items():
        seen, open_rooms = set(), [room]
        while open_rooms:
            for name in imports(open_rooms.pop()):
                if name.startswith("solver.") and name not in seen:
                    seen.add(name)
                    open_rooms.append(name.split(".")[1])
        assert not {name.split(".")[1] for name in seen} & strangers


@pytest.mark.parametrize("room", ["estimate", "verdict", "master", "drawer_file", "report"])
def test_a_room_opens_alone(room: str) -> None:
    """Imported first in a fresh process, without a warning and without a screen's libraries."""
    code = (
        f"import sys, solver.{room}; "
        f"sys.exit(bool(set(sys.modules) & {{'tkinter', 'matplotlib', 'scipy'}}))"
    )
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], cwd=ROOT, capture_output=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")


def test_the_terminal_opens_without_the_solver() -> None:
    """Help must be quick: neither OR-Tools nor NumPy are loaded before they are needed."""
    code = "import sys, solver.terminal; print(sorted({'numpy', 'ortools'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, check=True, text=True
    )
    assert done.stdout.strip() == "[]"


def doors() -> list[tuple[str, ast.FunctionDef]]:
    """Every public function of a room, with the room's name."""
    return [
        (room, node)
        for room in rooms()
        for node in tree(room).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def numbers(node: ast.FunctionDef) -> list[str]:
    """Parameters of a function that are floats or arrays."""
    every = [*node.args.args, *node.args.kwonlyargs]
    return [
        arg.arg
        for arg in every
        if arg.annotation is not None
        and re.search(r"\b(float|ndarray)\b", ast.unparse(arg.annotation))
    ]


DOORS = doors()
BARE = {  # numbers without a unit, whose docstring says what they are
    "z",
    "x",
    "chance",
    "wanted",
    "share",
    "ratio",
    "chi_square",
    "freedom",
    "signs",
    "settled",
    "follows",
}


@pytest.mark.parametrize(("room", "node"), DOORS, ids=[f"{r}.{n.name}" for r, n in DOORS])
def test_a_docstring_speaks_of_every_parameter(room: str, node: ast.FunctionDef) -> None:
    """Each parameter of a public function is named in its docstring."""
    words = ast.get_docstring(node) or ""
    assert words, f"{room}.{node.name} has no docstring"
    for arg in (*node.args.args, *node.args.kwonlyargs):
        assert re.search(rf"\b{arg.arg}\b", words), f"{room}.{node.name} says nothing of {arg.arg}"


@pytest.mark.parametrize(("room", "node"), DOORS, ids=[f"{r}.{n.name}" for r, n in DOORS])
def test_every_number_has_a_unit(room: str, node: ast.FunctionDef) -> None:
    """A float or array carries its unit in its name, in brackets behind it, or is a bare number."""
    words = ast.get_docstring(node) or ""
    for name in numbers(node):
        elsewhere = re.search(rf"\b{name}\b[^.;:]*: as for `", words)
        named = re.search(r"_(um|um2|mm|deg|ticks|s|newton_m)$", name)
        bracketed = re.search(rf"\b{name}\b[^.;]*\[[^\]]+\]", words.replace("\n", " "))
        said = named or bracketed or elsewhere or name in BARE
        assert said, f"{room}.{node.name}: {name} has no unit"
