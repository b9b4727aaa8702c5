"""The verb `routes`: cut it, buy it or use what is there."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import TYPE_CHECKING

from solver.trouble import Fault, Trouble

if TYPE_CHECKING:  # loaded late: help must not wait for the solver
    from solver.job import Job
    from solver.market import Market

MET, NOT_MET = 0, 1


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add what `routes` takes. parser: of the verb."""
    parser.add_argument("job", metavar="JOB", nargs="+", help="a job, or several with one drawer")
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    parser.add_argument("--json", action="store_true", help="one JSON object")


def routes_text(options: argparse.Namespace) -> tuple[str, int]:
    """Find the routes of a job, or one order for several.

    options: with `job` (paths), `drawer` and `json`. Returns: what to print, and an exit code: 0
    where the recommended plan meets the wanted chance. Raises: Trouble.
    """
    from solver.answer import answer_job
    from solver.report_routes import (
        routes_as_json,
        routes_as_text,
        shopping_as_json,
        shopping_as_text,
    )
    from solver.routes import find_routes, find_shopping
    from solver.terminal_inputs import read_inputs

    drawer_path = Path(options.drawer) if options.drawer else None
    inputs = [read_inputs(Path(path), drawer_path) for path in options.job]
    job, drawer = inputs[0]
    market = _market(job, Path(options.job[0]).name)
    if len(inputs) == 1:
        found = find_routes(answer_job(job, drawer), market)
        best = found.best.best if found.best else None
        met = best is not None and best.chance >= job.wanted_chance
        met &= found.answer.agreement.state != "disagree"
        text = _json(routes_as_json(found)) if options.json else routes_as_text(found)
        return text, MET if met else NOT_MET
    if any(other.lots != drawer.lots for _, other in inputs):
        wanted, way_out = "one drawer for all of these jobs", "give it with --drawer CSV"
        raise Trouble([Fault("command line", "jobs with different drawers", wanted, way_out)])
    answers = tuple(answer_job(one, drawer) for one, _ in inputs)
    shopping = find_shopping(answers, market)
    text = (
        _json(shopping_as_json(shopping, answers))
        if options.json
        else shopping_as_text(shopping, answers)
    )
    wanted_met = shopping is not None and all(
        chance >= answer.job.wanted_chance
        for chance, answer in zip(shopping.chances, answers, strict=True)
    )
    return text, MET if wanted_met else NOT_MET


def _market(job: Job, source: str) -> Market:
    """What is on offer to a job. Raises: Trouble where it says nothing of it."""
    from solver.market_file import load_market

    if job.costs is None or not (job.costs.offers_path or job.costs.sheets_path):
        wanted = "offers or sheets, and [costs]"
        way_out = 'write offers = "offers.csv" or sheets = "sheets.csv" at the top, and add [costs]'
        raise Trouble([Fault(f"{source}: costs", "nothing on offer", wanted, way_out, ("costs",))])
    return load_market(job.costs.offers_path, job.costs.sheets_path)


def _json(table: dict[str, object]) -> str:
    return json.dumps(table, indent=1, allow_nan=False) + "\n"
