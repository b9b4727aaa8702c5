"""The verbs about lines of dimensions alone: `stack` adds them up, `sizes` finds a stock."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from solver.terminal_inputs import Told, ToldVerb, read_inputs
from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded late: help and bad arguments must not wait for the solver
    from solver.job import Job
    from solver.plan import Plan

MET, NOT_MET = 0, 1
MOST_ASSEMBLIES = 5000


def stack(options: argparse.Namespace) -> Told:
    """Add up the lines of a job with the shims that `choose` would fit.

    options: with `job`, `drawer`, `as_drawn` and `json`. Returns: (text, 0 where the simulated
    yield is the wanted one). Raises: Trouble.
    """
    from solver.drawer import Drawer
    from solver.stackup import add_up, as_drawn

    path = Path(options.job)
    job = _job(path)
    drawer, plan = Drawer(()), None
    if options.as_drawn:
        job = as_drawn(job)
    if job.seats and (options.drawer or job.drawer_path):
        _, drawer = read_inputs(path, Path(options.drawer) if options.drawer else None)
        plan = _plan(job, drawer)
    found = add_up(job, drawer, plan)
    from solver.report_stackup import stackups_as_json, stackups_as_text

    if options.json:
        text = _json(stackups_as_json(found, drawn=options.as_drawn))
    else:
        text = stackups_as_text(found, drawn=options.as_drawn)
    return text, MET if found.chance >= job.wanted_chance else NOT_MET


def sizes(options: argparse.Namespace) -> Told:
    """Find the smallest stock of sizes that serves a batch made to a job's drawings.

    options: with `job`, `assemblies`, `share`, `step`, `seat` and `json`. Returns: (text, 0).
    Raises: Trouble.
    """
    from solver.select_fit import find_stock
    from solver.stackup import as_drawn
    from solver.units import NotAQuantity, length_um

    job = as_drawn(_job(Path(options.job)))
    if not job.lines:
        wanted, way_out = "a job with lines of dimensions", "add [[lines]]"
        raise Trouble([Fault(f"{Path(options.job).name}: lines", "no line", wanted, way_out)])
    if not 1 <= options.assemblies <= MOST_ASSEMBLIES:
        wanted = f"from 1 to {MOST_ASSEMBLIES}"
        raise _misused("--assemblies", str(options.assemblies), wanted, "give how many there are")
    if not 0.0 < options.share < 1.0:
        raise _misused("--share", f"{options.share:g}", "above 0 and below 1", "such as 0.95")
    try:
        step_um = length_um(_number(options.step), job.unit)
    except NotAQuantity as bad:
        raise _misused("--step", bad.found, bad.wanted, bad.way_out) from None
    if step_um <= 0.0:
        raise _misused("--step", options.step, "a length above 0", "such as 0.05mm")
    stock = find_stock(job, options.assemblies, options.share, step_um, options.seat or "")
    from solver.report_stackup import stock_as_json, stock_as_text

    text = (
        _json(stock_as_json(stock)) if options.json else stock_as_text(stock, job.title, job.unit)
    )
    return text, MET


def _number(text: str) -> object:
    """A bare number is one, in the job's unit; anything else is text with a unit."""
    try:
        return float(text)
    except ValueError:
        return text


def _misused(option: str, found: str, wanted: str, way_out: str) -> Trouble:
    return Trouble([Fault(f"command line: {option}", found, wanted, way_out)])


def _job(path: Path) -> Job:
    from solver.job_file import load_table, read_job

    return read_job(load_table(path), source=path.name, folder=path.parent)


def _plan(job: Job, drawer: object) -> Plan | None:
    """What `choose` would fit; None where nothing has a chance."""
    from solver.answer import answer_job
    from solver.drawer import Drawer

    assert isinstance(drawer, Drawer)
    answer = answer_job(job, drawer)
    return answer.verdict.plan if answer.verdict else None


def _json(table: dict[str, object]) -> str:
    return json.dumps(table, indent=1, allow_nan=False) + "\n"


def _stack_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file with [[lines]]")
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    words = "a batch made to the drawings: leave aside what was read of one assembly"
    parser.add_argument("--as-drawn", action="store_true", help=words)
    parser.add_argument("--json", action="store_true", help="one JSON object, lengths in µm")


def _sizes_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file with [[lines]]")
    parser.add_argument("--assemblies", type=int, required=True, metavar="N", help="in a batch")
    words = "of the assemblies that are to find a shim in the stock; 0.95 unless said"
    parser.add_argument("--share", type=float, default=0.95, help=words)
    parser.add_argument("--step", required=True, help="between sizes, such as 0.05mm")
    parser.add_argument("--seat", help="where the shim goes; the first of the line unless said")
    parser.add_argument("--json", action="store_true", help="one JSON object, lengths in µm")


STACK_VERBS = {
    "stack": ToldVerb(
        "a line of dimensions added up: worst case, root-sum-square, law and simulation",
        "stack JOB [--drawer CSV] [--as-drawn] [--json]",
        _stack_arguments,
        stack,
    ),
    "sizes": ToldVerb(
        "select fit: the smallest stock of sizes for a batch",
        "sizes JOB --assemblies N --step LENGTH [--share 0.95] [--seat SEAT] [--json]",
        _sizes_arguments,
        sizes,
    ),
}
