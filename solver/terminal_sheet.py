"""The verbs that write something to print: the bench sheet, and the template of a ring to cut."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from solver.paper import PAPERS
from solver.plain_file import read_bytes, replace_bytes
from solver.terminal_inputs import Told, ToldVerb, read_inputs
from solver.trouble import Fault, Trouble, shown

if TYPE_CHECKING:  # loaded late: help and bad arguments must not wait for the solver
    from solver.findings import Answer
    from solver.job import Job

MET, NOT_MET = 0, 1
LARGEST_BYTES = 50_000_000  # both files have been read by now, within limits of their own


def sheet(options: argparse.Namespace) -> Told:
    """Choose the shims of a job and write its bench sheet.

    options: with `job`, `drawer`, `output` and `paper`. Returns: (text, exit code of the answer).
    Raises: Trouble.
    """
    output = _output(options.output, (".pdf", ".txt"))
    path = Path(options.job)
    given = Path(options.drawer) if options.drawer else None
    job, drawer = read_inputs(path, given)
    trace = _trace(path, given or job.drawer_path)
    from solver.answer import answer_job

    answer = answer_job(job, drawer)
    replace_bytes(output, sheet_bytes(answer, trace, output.suffix, options.paper))
    met = answer.status == "met" and answer.agreement.state != "disagree"
    return f"Wrote {output}.\n", MET if met else NOT_MET


def template(options: argparse.Namespace) -> Told:
    """Write the template of the piece to cut: the one that the answer advises, or any.

    options: with `job`, `drawer`, `output`, `paper`, `thickness` and `seat`. Returns: (text, 0).
    Raises: Trouble.
    """
    output = _output(options.output, (".pdf",))
    path = Path(options.job)
    given = Path(options.drawer) if options.drawer else None
    if options.thickness is None:
        if options.seat:
            wanted, way_out = "the thickness to cut too", "add --thickness '0.41 mm'"
            raise Trouble([Fault("command line", "--seat alone", wanted, way_out)])
        job, drawer = read_inputs(path, given)
        from solver.answer import answer_job
        from solver.template import template_of_mend

        answer = answer_job(job, drawer)
        trace = _trace(path, given or job.drawer_path)
        made = template_of_mend(answer, path.name, trace)
    else:
        from solver.job_file import load_table
        from solver.job_so_far import read_job_so_far
        from solver.template import template_of_thickness

        job = read_job_so_far(load_table(path), path.name, path.parent)
        thickness_um = thickness_to_cut_um(options.thickness, job.unit)
        trace = _trace(path, None)
        made = template_of_thickness(job, options.seat or "", thickness_um, path.name, trace)
    from solver.sheet_pdf import pdf_of, words_wide_mm
    from solver.template_page import lay_template_out

    paper = lay_template_out(made, paper_for(job, options.paper), words_wide_mm)
    replace_bytes(output, pdf_of((paper,), made.headline))
    return f"Wrote {output}. {made.printing[0]}\n", MET


def sheet_bytes(answer: Answer, trace: str, ending: str, paper: str | None) -> bytes:
    """Write the bench sheet of an answer.

    answer: finished; trace: of its files; ending: '.pdf' or '.txt'; paper: of PAPERS, None for the
    trade's own. Returns: the file.
    """
    from solver.sheet import make_sheet

    made = make_sheet(answer, trace)
    if ending.lower() == ".txt":
        from solver.sheet_text import sheet_as_text

        return sheet_as_text(made).encode("utf-8")
    from solver.sheet_page import lay_out
    from solver.sheet_pdf import pdf_of, words_wide_mm

    pages = lay_out(made, paper_for(answer.job, paper), words_wide_mm)
    return pdf_of(pages, f"Bench sheet: {answer.job.title}" if answer.job.title else "Bench sheet")


def paper_for(job: Job, asked: str | None) -> str:
    """Settle the paper. job; asked: of PAPERS, or None. Returns: of PAPERS, by the job's words."""
    return asked or ("Letter" if job.words == "US" else "A4")


def _trace(job: Path, drawer: Path | None) -> str:
    from solver.sheet import trace_of

    files = [job, drawer] if drawer is not None else [job]
    told = [(path.name, read_bytes(path, LARGEST_BYTES, "a file")) for path in files]
    return trace_of(tuple(told))


def _output(name: str, endings: tuple[str, ...]) -> Path:
    path = Path(name)
    if path.suffix.lower() in endings:
        return path
    wanted = f"a name that ends in {' or '.join(endings)}"
    raise Trouble([Fault("command line", shown(name), wanted, f"write -o FILE{endings[0]}")])


def thickness_to_cut_um(text: str, unit: str) -> float:
    """Read the thickness of a piece to cut.

    text: as typed; unit: of a bare number. Returns: it [µm]. Raises: Trouble.
    """
    from solver.units import NotAQuantity, length_um

    try:
        found_um = length_um(text, unit)
    except NotAQuantity as bad:
        raise Trouble([Fault("--thickness", bad.found, bad.wanted, bad.way_out)]) from None
    if found_um <= 0.0:
        raise Trouble([Fault("--thickness", shown(text), "a length above 0", "check its sign")])
    return found_um


def _sheet_arguments(parser: argparse.ArgumentParser) -> None:
    _common(parser, "FILE", "where to write it: a .pdf, or a .txt")


def _template_arguments(parser: argparse.ArgumentParser) -> None:
    _common(parser, "FILE.pdf", "where to write it: a .pdf")
    parser.add_argument("--thickness", help="of the piece, in place of what the answer advises")
    parser.add_argument("--seat", help="that the piece is for, where seats have rings of their own")


def _common(parser: argparse.ArgumentParser, name: str, words: str) -> None:
    parser.add_argument("job", metavar="JOB", help="the job, a TOML file")
    parser.add_argument("-o", "--output", metavar=name, required=True, help=words)
    parser.add_argument("--drawer", metavar="CSV", help="in place of the drawer the job names")
    parser.add_argument(
        "--paper", choices=tuple(PAPERS), help="A4 unless the job speaks US words: then Letter"
    )


SHEET_VERBS = {
    "sheet": ToldVerb(
        "one page for the bench: stacks in fitting order, limits, torques, blanks",
        "sheet JOB -o FILE.pdf [--paper A4|Letter] [--drawer CSV]",
        _sheet_arguments,
        sheet,
    ),
    "template": ToldVerb(
        "a ring to cut, 1:1 on paper",
        "template JOB -o FILE.pdf [--thickness T] [--seat SEAT] [--paper A4|Letter]",
        _template_arguments,
        template,
    ),
}
