"""A ring to cut, and its template: what stands on it, as one frozen type."""

from __future__ import annotations

from dataclasses import dataclass

from solver.bench_notes import Ring
from solver.findings import Answer
from solver.job import Job
from solver.report_cautions import advises_cutting
from solver.report_text import plan_line
from solver.report_words import both_lengths, counts, wanted_counts
from solver.sheet import alarms_of
from solver.trouble import Fault, Trouble, shown

PRINTER_MM = 0.5  # what a bar of 100 mm may be off before the print is thrown away


@dataclass(frozen=True, slots=True)
class Template:
    """One ring, drawn at its own size."""

    title: str
    alarms: tuple[str, ...]
    headline: str
    why: str
    thickness: str
    diameters: str  # to cut, in words
    worked_out: str  # from what they were
    outside_um: float  # diameters to cut
    inside_um: float
    printing: tuple[str, ...]
    cutting: tuple[str, ...]
    cautions: tuple[str, ...]
    trace: str


PRINTING = (
    "Print at 100 %, 'actual size', with no fitting to the page. Then measure both bars with a"
    f" steel rule: where either is off by more than {PRINTER_MM:g} mm, throw the print away.",
    "The line's middle is the size. Glue it on flat, or prick through it.",
)
CUTTING = (  # common practice, no source
    "Grain: strip curls along the way it was rolled. Mark that with an arrow on the blank, cut from"
    " its flattest part, and look at the ring for curl on a flat plate.",
    "Burr: it adds to the thickness that you measure. Take it off both faces, flat on a fine stone"
    " or on abrasive paper on a plate, never with a file along the edge alone.",
    "Cut a ring that is not round or not flat again: it reads as backlash that wanders.",
)
CUTTING_CAUTIONS = (  # common practice, no source
    "Edges like razors: gloves while you handle sheet, blank and ring; eyes covered. Gloves off at"
    " anything that turns: it takes the hand with them.",
    "Clamp the blank flat between scrap before you drill or bore it: thin stock snags the drill and"
    " spins. Never hold it by hand.",
    "Deburr flat, both faces. No splinter may get into the bearing: wash the ring.",
    "Measure after deburring, at four places round the ring, and write that into the drawer: what"
    " was cut is as thick as it measures, not as its sheet was sold.",
    "Where the maker's manual says otherwise, or allows no shim of your own, the manual is right.",
)


def template_of_mend(answer: Answer, source: str, trace: str) -> Template:
    """Make the template of the one piece that an answer advises to cut.

    answer: finished; source: name of the job's file, for messages; trace: of the files. Returns:
    the Template. Raises: Trouble where nothing is to be cut, or the job does not say of what size.
    """
    if not advises_cutting(answer) or answer.mend is None:
        found, way_out = _nothing_to_cut(answer)
        wanted = "an answer that one cut piece would mend"
        raise Trouble([Fault(f"{source}: answer", found, wanted, way_out)])
    mend, wanted = answer.mend, wanted_counts(answer.job.wanted_chance)
    why = (
        f"With it, {plan_line(mend.plan, answer.job.unit)}: {counts(mend.chance)} builds inside"
        f" every limit; you asked for {wanted}."
    )
    alarms = alarms_of(answer, of_status=False)
    if not mend.enough:
        short = f"SHORT EVEN WITH IT: {counts(mend.chance)} builds; you asked for {wanted}."
        alarms = (short, *alarms)
    ring = ring_for(answer.job, mend.seat, source)
    return _template(answer.job, ring, mend.seat, mend.thickness_um, why, alarms, trace)


def template_of_thickness(
    job: Job, seat: str, thickness_um: float, source: str, trace: str
) -> Template:
    """Make the template of a piece of a thickness that was asked for.

    job; seat: its name, '' where it does not matter; thickness_um; source: name of the job's file,
    for messages; trace: of the files. Returns: the Template. Raises: Trouble.
    """
    ring = ring_for(job, seat, source)
    why = "The thickness was asked for, not chosen: no answer stands behind it."
    return _template(job, ring, seat, thickness_um, why, (), trace)


def ring_for(job: Job, seat: str, source: str) -> Ring:
    """Find the ring that a seat takes. job; seat: its name or ''; source: of the job.

    Returns: the Ring. Raises: Trouble where the job does not say: no diameter is ever assumed.
    """
    ring = job.bench.ring(seat)
    if ring is not None:
        return ring
    if seat or not job.bench.rings:
        found, wanted = "nothing", f"the size of the ring{f' for the {seat}' if seat else ''}"
        way_out = 'add [ring] with outside = "68 mm", inside = "52 mm" and clearance = "0.5 mm"'
    else:
        found, wanted = "rings of single seats only", "which of them to cut"
        way_out = f"add --seat {shown(job.bench.rings[0].seat)}"
    raise Trouble([Fault(f"{source}: ring", found, wanted, way_out, ("ring",))])


def _nothing_to_cut(answer: Answer) -> tuple[str, str]:
    if answer.agreement.state == "disagree":
        return "readings that disagree", "read again what disagrees before anything is cut"
    by_hand = "to cut one all the same, add --thickness '0.41 mm'"
    if answer.status == "met":
        return "a drawer that meets it as it is", by_hand
    return "no one thickness that would mend it", f"measure better; {by_hand}"


def _template(
    job: Job,
    ring: Ring,
    seat: str,
    thickness_um: float,
    why: str,
    alarms: tuple[str, ...],
    trace: str,
) -> Template:
    outside_um, inside_um = ring.cut_um
    size, off = both_lengths(thickness_um, job.unit, True), _across(ring.clearance_um, job.unit)
    told = [_across(one, job.unit) for one in (outside_um, inside_um)]
    stated = [_across(one, job.unit) for one in (ring.outside_um, ring.inside_um)]
    return Template(
        title=job.title,
        alarms=alarms,
        headline=f"Cut one of {size}" + (f" for the {seat}" if seat else ""),
        why=why,
        thickness=size,
        diameters=f"outside {told[0]}, inside {told[1]}",
        worked_out=(
            f"From the job: bears on {stated[0]} outside, {stated[1]} inside; clearance {off} on"
            " the diameter, taken off outside and added inside."
        ),
        outside_um=outside_um,
        inside_um=inside_um,
        printing=PRINTING,
        cutting=CUTTING,
        cautions=CUTTING_CAUTIONS,
        trace=trace,
    )


def _across(value_um: float, unit: str) -> str:
    """A diameter, as a calliper shows it in either system."""
    metric, inches = f"{value_um / 1e3:.2f} mm", f"{value_um / 25.4e3:.3f} in"
    return f"{metric} ({inches})" if unit in ("mm", "um") else f"{inches} ({metric})"
