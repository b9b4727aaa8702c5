"""The text door: verbs typed at a terminal, an exit code for a script, never a traceback.

Exit codes: 0 the wanted chance is met and the readings do not disagree; 1 not so; 2 bad input.
Of `tighten`: 0 stop where the nut is; of `pattern`: 0 it is good.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from solver.terminal_books import BOOK_VERBS
from solver.terminal_inputs import Told, read_inputs
from solver.terminal_routes import add_arguments as routes_arguments
from solver.terminal_routes import routes_text
from solver.terminal_sheet import SHEET_VERBS
from solver.terminal_stack import STACK_VERBS
from solver.trouble import Fault, Trouble, shown

if TYPE_CHECKING:  # loaded late: help and bad arguments must not wait for the solver
    from solver.findings import Answer

MET, NOT_MET, BAD_INPUT, STOPPED = 0, 1, 2, 130  # 130: what a shell gives for Ctrl+C


@dataclass(frozen=True, slots=True)
class Verb:
    """Something to do from a terminal."""

    summary: str
    usage: str
    add_arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def main(arguments: list[str] | None = None) -> int:
    """Do what the arguments say and tell how it ended.

    arguments: words after the command's name; None takes the process's own. Returns an exit code:
    0 met, 1 not met or readings that disagree, 2 bad input (a line on stderr for each fault).
    """
    words = sys.argv[1:] if arguments is None else arguments
    for stream in (sys.stdout, sys.stderr):
        _never_refuse(stream)
    try:
        return _run(words)
    except Trouble as trouble:
        return _refuse(trouble.faults)
    except _MisusedError as misused:
        found, way_out = shown(" ".join(words)), str(misused)[:160]
        return _refuse((Fault("command line", found, _usage(words), way_out),))
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return STOPPED


def _usage(words: list[str]) -> str:
    """What was wanted: of the verb that was meant, or of the first with the others named."""
    if words and words[0] in VERBS:
        return f"'{VERBS[words[0]].usage}'"
    first, *others = VERBS
    return f"'{VERBS[first].usage}', or {', '.join(others)}"


def _run(words: list[str]) -> int:
    try:
        options = _parser().parse_args(words)
    except SystemExit:  # argparse has printed its help
        _write("")
        return MET
    return int(options.verb.run(options))


def _refuse(faults: tuple[Fault, ...]) -> int:
    for fault in faults:
        print(_one_line(str(fault)), file=sys.stderr)
    return BAD_INPUT


def choose(options: argparse.Namespace) -> int:
    """Choose the shims for a job and print the answer.

    options: with `job`, `drawer` and `json`; with `batch` and `out` it is a batch. Returns an exit
    code. Raises: Trouble.
    """
    if options.batch:
        from solver.terminal_batch import batch_text

        text, code = batch_text(options)
        _write(text)
        return code
    if not options.job or options.out:
        raise _MisusedError("name a job; --out goes with --batch JOBS")
    job, drawer = read_inputs(Path(options.job), Path(options.drawer) if options.drawer else None)
    from solver.answer import answer_job
    from solver.report import answer_as_json, answer_as_text

    answer = answer_job(job, drawer)
    if options.json:
        _write(json.dumps(answer_as_json(answer), indent=1, allow_nan=False) + "\n")
    else:
        _write(answer_as_text(answer))
    return exit_code(answer)


def remeasure(options: argparse.Namespace) -> int:
    """Weigh what another reading is worth before it is taken, and print it.

    options: with `job`, `drawer` and `json`. Returns an exit code, of the answer as it stands.
    Raises: Trouble.
    """
    job, drawer = read_inputs(Path(options.job), Path(options.drawer) if options.drawer else None)
    from solver.answer import answer_job
    from solver.report_worth import worth_as_json, worth_as_text
    from solver.worth import weigh_readings

    answer = answer_job(job, drawer)
    worth = weigh_readings(answer)
    if options.json:
        _write(json.dumps(worth_as_json(answer, worth), indent=1, allow_nan=False) + "\n")
    else:
        _write(worth_as_text(answer, worth))
    return exit_code(answer)


def pattern(options: argparse.Namespace) -> int:
    """Say what the contact pattern of a job advises.

    options: with `job` and `json`. Returns an exit code: 0 for a good pattern. Raises: Trouble.
    """
    from solver.job_file import load_table
    from solver.job_so_far import read_job_so_far

    path = Path(options.job)
    job = read_job_so_far(load_table(path), source=path.name, folder=path.parent)
    if job.pattern is None:
        wanted, way_out = "what the marking compound shows", "add [pattern] with teeth and gears"
        raise Trouble([Fault(f"{path.name}: pattern", "nothing", wanted, way_out, ("pattern",))])
    from solver.pattern import GOOD, judge_pattern
    from solver.report_pattern import pattern_as_json, pattern_as_text

    advice = judge_pattern(job.pattern, job)
    if options.json:
        shown = pattern_as_json(job.pattern, advice, job)
        _write(json.dumps(shown, indent=1, allow_nan=False) + "\n")
    else:
        _write(pattern_as_text(job.pattern, advice, job))
    return MET if advice.status == GOOD else NOT_MET


def routes(options: argparse.Namespace) -> int:
    """Weigh cutting, buying and what is there, and print it.

    options: with `job` (one or several), `drawer` and `json`. Returns an exit code.
    Raises: Trouble.
    """
    text, code = routes_text(options)
    _write(text)
    return code


def ready(options: argparse.Namespace) -> int:
    """Say whether a crush spacer may be crushed, and print it.

    options: with `job`, `drawer` and `json`. Returns an exit code: 0 to commit. Raises: Trouble.
    """
    path = Path(options.job)
    job, drawer = read_inputs(path, Path(options.drawer) if options.drawer else None)
    if job.pinion is None:
        wanted, way_out = "a job that tells of its pinion", "add [pinion], its limits and readings"
        raise Trouble([Fault(f"{path.name}: pinion", "nothing", wanted, way_out, ("pinion",))])
    from solver.ready import judge_ready
    from solver.report_ready import ready_as_json, ready_as_text

    readiness = judge_ready(job, drawer)
    if options.json:
        _write(json.dumps(ready_as_json(readiness), indent=1, allow_nan=False) + "\n")
    else:
        _write(ready_as_text(readiness))
    return MET if readiness.state == "commit" else NOT_MET


def tighten(options: argparse.Namespace) -> int:
    """Say how far the nut of a crush spacer may be turned next, and print it.

    options: with `job` and `json`. Nothing but the crush spacer has to be in the job yet. Returns
    an exit code: 0 to stop where the nut is, 1 for anything else. Raises: Trouble.
    """
    from solver.job_crush import read_crush_alone
    from solver.job_file import load_table

    path = Path(options.job)
    title, words, crush = read_crush_alone(load_table(path), path.name)
    from solver.report_tighten import tightening_as_json, tightening_as_text
    from solver.tighten import tighten as tighten_crush

    tightening = tighten_crush(crush)
    if options.json:
        _write(json.dumps(tightening_as_json(tightening), indent=1, allow_nan=False) + "\n")
    else:
        _write(tightening_as_text(title, words, tightening))
    return MET if tightening.state == "stop" else NOT_MET


def exit_code(answer: Answer) -> int:
    """Give the exit code of an answer. answer: the finished answer. Returns 0 or 1."""
    return MET if answer.status == "met" and answer.agreement.state != "disagree" else NOT_MET


def _job_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file")
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    _json_argument(parser)


def _choose_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", nargs="?", help="the job, a TOML file")
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    parser.add_argument("--batch", metavar="JOBS", help="many assemblies, a CSV file; one drawer")
    out = "results of a batch; where a run was broken, give it again and it goes on"
    parser.add_argument("--out", metavar="CSV", help=out)
    _json_argument(parser)


def _pattern_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file with [pattern]")
    _json_argument(parser)


def _json_argument(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON object, lengths in µm")


def _tighten_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file with [crush]")
    parser.add_argument("--json", action="store_true", help="one JSON object, N·m and degrees")


VERBS: dict[str, Verb] = {
    "choose": Verb(
        "choose the shims for a job",
        "choose JOB | --batch JOBS [--out CSV] [--drawer CSV] [--json]",
        _choose_arguments,
        choose,
    ),
    "remeasure": Verb(
        "measure again, or fit it: what another reading would be worth",
        "remeasure JOB [--drawer CSV] [--json]",
        _job_arguments,
        remeasure,
    ),
    "pattern": Verb(
        "what the contact pattern says to move, as guidance",
        "pattern JOB [--json]",
        _pattern_arguments,
        pattern,
    ),
    "ready": Verb(
        "before the crush spacer is crushed: may it be?",
        "ready JOB [--drawer CSV] [--json]",
        _job_arguments,
        ready,
    ),
    "routes": Verb(
        "cut it, buy it or use what is there: what each would cost, and how sure it makes it",
        "routes JOB [JOB …] [--drawer CSV] [--json]",
        routes_arguments,
        routes,
    ),
    "tighten": Verb(
        "the crush spacer: how far its nut may be turned next",
        "tighten JOB [--json]",
        _tighten_arguments,
        tighten,
    ),
}


def _printing(tell: Callable[[argparse.Namespace], Told]) -> Callable[[argparse.Namespace], int]:
    """A verb that prints what it tells."""

    def run(options: argparse.Namespace) -> int:
        text, code = tell(options)
        _write(text)
        return code

    return run


VERBS |= {
    name: Verb(verb.summary, verb.usage, verb.add_arguments, _printing(verb.tell))
    for name, verb in (BOOK_VERBS | SHEET_VERBS | STACK_VERBS).items()
}


class _MisusedError(Exception):
    """Arguments that the parser cannot use."""


class _Parser(argparse.ArgumentParser):
    """Bad arguments are a fault like any other: one line, exit 2."""

    def error(self, message: str) -> NoReturn:
        raise _MisusedError(message)


def _parser() -> _Parser:
    parser = _Parser(prog="shimwright", description="Proved choices of shims from bench readings.")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True)
    for name, verb in VERBS.items():
        below = verbs.add_parser(name, help=verb.summary, description=verb.summary)
        verb.add_arguments(below)
        below.set_defaults(verb=verb)
    return parser


def _never_refuse(stream: object) -> None:
    """Let a terminal that has no 'µ' show a '?' instead of ending in an error."""
    reconfigure = getattr(stream, "reconfigure", None)  # a test's stand-in may have none
    if reconfigure is not None:
        reconfigure(errors="replace")


def _one_line(words: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in words)


def _write(text: str) -> None:
    """Print to stdout. A reader that has gone away (`| head`) has seen what it wanted."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _let_go()
    except OSError as error:
        _let_go()
        way_out = "make room or print somewhere else"
        found = shown(error.strerror or str(error))
        raise Trouble([Fault("output", found, "somewhere to print to", way_out)]) from None


def _let_go() -> None:
    """Point stdout at nothing, or Python complains once more when it closes it at the end."""
    nothing = os.open(os.devnull, os.O_WRONLY)
    with contextlib.suppress(OSError, ValueError):
        os.dup2(nothing, sys.stdout.fileno())
