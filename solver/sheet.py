"""The bench sheet: what stands on it, as one frozen type; `sheet_text` and `sheet_page` show it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from solver.bench_notes import Mark, taken_for
from solver.findings import Answer
from solver.fitting_order import fitting_order, lies_between
from solver.job import PINION_SPACER, Layout, Pinion, Seat
from solver.plan import Piece
from solver.report_advice import mend_sentence
from solver.report_cautions import cautions
from solver.report_pinion import under_words
from solver.report_text import (
    agreement_sentence,
    example_sentence,
    headline,
    seat_total,
    table_rows,
    trade_words,
    uneven_sentence,
    verdict_sentence,
)
from solver.report_words import UNIT_SHOWN, both_lengths, listed, sentence, window
from solver.sheet_readings import ReadingRow, reading_rows
from solver.torque_units import bare_torque, shown_torque, torque_unit_shown
from solver.trouble import shown

MOST_ALIKE = 3  # torques that are named as alike
PLACES = 4  # of the backlash round the wheel, at the end
LONGEST_NAME = 42  # of a file, quotes counted
DIGEST_LONG = 12  # characters of a file's sha256: enough to tell two files apart
USUAL_MARKS = ("flange to shaft", "caps: which on which side", "thrust bearing: which way round")


@dataclass(frozen=True, slots=True)
class Bar:
    """One piece as it is fitted."""

    id: str
    thickness_um: float
    size: str  # in both systems


@dataclass(frozen=True, slots=True)
class SeatDrawn:
    """A seat with its pieces in fitting order."""

    seat: str
    under: str  # where it sits, in words
    total: str
    between: tuple[str, str]  # what the first piece lies against, and the last
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class FastenerRow:
    """A torque that the user entered."""

    what: str
    torque: str
    checked: bool
    note: str
    doubt: str  # whose torque it is easily taken for, '' for nobody's


@dataclass(frozen=True, slots=True)
class Blank:
    """Something to be written down at the end."""

    what: str
    places: int
    unit: str
    wanted: str  # '' where the job states no limit


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on the sheet."""

    title: str
    headline: str
    alarms: tuple[str, ...]  # what nobody may miss; empty on a sheet to be built to
    tag: str  # the alarms in a few words, '' without any
    chance: str
    seats: tuple[SeatDrawn, ...]
    seats_note: str  # '' or why the stacks are not to be built
    results: tuple[tuple[str, ...], ...]  # headed
    readings: tuple[ReadingRow, ...]
    left_out: str
    fasteners: tuple[FastenerRow, ...]
    fasteners_note: str
    marks: tuple[Mark, ...]
    blanks: tuple[Blank, ...]
    cautions: tuple[str, ...]
    trace: str
    layout: Layout
    carrier: tuple[Seat, ...]  # of the drawing; empty for a job without a carrier
    pinion: Pinion | None
    solid: bool  # whether the pinion has a solid spacer


def make_sheet(answer: Answer, trace: str) -> Sheet:
    """Gather what stands on the bench sheet.

    answer: finished; trace: of the files it came from, by `trace_of`. Returns: the Sheet.
    """
    job = answer.job
    alarms = _alarms(answer)
    return Sheet(
        title=job.title,
        headline=headline(answer),
        alarms=tuple(words for words, _ in alarms),
        tag=" · ".join(dict.fromkeys(tag for _, tag in alarms if tag)),
        chance=_chance(answer),
        seats=_seats(answer),
        seats_note=_seats_note(answer),
        results=table_rows(answer),
        readings=reading_rows(job),
        left_out=_left_out(answer),
        fasteners=_fasteners(answer),
        fasteners_note=FASTENERS_NOTE if job.bench.fasteners else NO_FASTENERS,
        marks=job.bench.marks or tuple(Mark(what, "") for what in USUAL_MARKS),
        blanks=_blanks(answer),
        cautions=cautions(answer),
        trace=trace,
        layout=job.layout,
        carrier=tuple(seat for seat in job.seats if seat.under in ("bearing", "cover")),
        pinion=job.pinion,
        solid=any(seat.name == PINION_SPACER for seat in job.seats),
    )


FASTENERS_NOTE = (
    "Tick each figure when you have checked it in the maker's manual: two that are alike are easily"
    " swapped."
)
NO_FASTENERS = (
    "None in the job. Write them in from the maker's manual, and tick what you have checked."
)


def trace_of(files: tuple[tuple[str, bytes], ...], *, saved: bool = True) -> str:
    """Say which files a sheet came from, so that it can be traced.

    files: (name, bytes) of job and drawer; saved: whether they are so on the disk. Returns text
    with the first characters of each file's sha256, as `sha256sum` prints it.
    """
    told = [f"{shown(name, LONGEST_NAME)[1:-1]} sha256 {digest_of(data)}" for name, data in files]
    return f"{'; '.join(told)}{'' if saved else '; NOT SAVED when this was made'}"


def digest_of(data: bytes) -> str:
    """Give the short digest of a file. data: its bytes. Returns 12 hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()[:DIGEST_LONG]


def alarms_of(answer: Answer, *, of_status: bool = True) -> tuple[str, ...]:
    """Say what nobody may miss.

    answer: finished; of_status: also that it is not met. Returns sentences, none where all is well.
    """
    left = [] if of_status else [words for words, _ in _of_status(answer)]
    return tuple(words for words, _ in _alarms(answer) if words not in left)


def _alarms(answer: Answer) -> list[tuple[str, str]]:
    """What stands against building to this, each with a few words for the foot."""
    found: list[tuple[str, str]] = []
    state, unit = answer.agreement.state, answer.job.unit
    if said := agreement_sentence(answer):
        suspects = [sentence(one.words(unit)) for one in answer.agreement.suspects]
        tag = "NOT TO BE BUILT" if state == "disagree" else "LOOK AGAIN FIRST"
        found.append((" ".join([f"{tag}: {said}", *suspects]), tag))
    found += _of_status(answer)
    if said := uneven_sentence(answer):
        found.append((said, ""))
    if said := example_sentence(answer):
        found.append((said, "EXAMPLE LIMITS"))
    crush = answer.job.crush
    if crush is not None and crush.example:
        found.append(("EXAMPLE WINDOW of the rotating torque, from no manual.", "EXAMPLE LIMITS"))
    if answer.picked:
        found.append(("This plan was PICKED; it is not the one that was chosen.", "PICKED PLAN"))
    return found


def _of_status(answer: Answer) -> list[tuple[str, str]]:
    if answer.verdict is None:
        nearest = sentence(answer.nearest)
        said = f"NO STACK FITS: {verdict_sentence(answer)} {nearest}".strip()
        return [(said, "NOT MET (NO STACK)")]
    if answer.status == "met":
        return []
    return [(f"SHORT OF WHAT YOU WANT: {verdict_sentence(answer)}", "NOT MET (SHORT)")]


def _chance(answer: Answer) -> str:
    """The chance, where no alarm has said it; and what would mend it."""
    if answer.status == "met":
        stood = "If the readings stood: " if answer.agreement.state == "disagree" else "MET: "
        return stood + verdict_sentence(answer)
    return "" if answer.agreement.state == "disagree" else mend_sentence(answer)


def _seats(answer: Answer) -> tuple[SeatDrawn, ...]:
    if answer.verdict is None:
        return ()
    job, drawn = answer.job, []
    for seat in job.seats:
        stack = answer.verdict.plan.stack(seat.name)
        bars = tuple(_bar(piece, job.unit) for piece in fitting_order(stack))
        between = lies_between(seat, job.layout)
        total = seat_total(stack, job.unit)
        drawn.append(SeatDrawn(seat.name, under_words(seat), total, between, bars))
    return tuple(drawn)


def _bar(piece: Piece, unit: str) -> Bar:
    return Bar(piece.id, piece.thickness_um, both_lengths(piece.thickness_um, unit, True))


def _seats_note(answer: Answer) -> str:
    if answer.verdict is None:
        return "No stack from this drawer fits: nothing is drawn."
    if answer.agreement.state == "disagree":
        return "NOT TO BE BUILT. If the readings stood, it would be:"
    return (
        ""
        if answer.status == "met"
        else "The best there is in this drawer, short of what you want:"
    )


def _left_out(answer: Answer) -> str:
    numbers = answer.job.left_out
    if not numbers:
        return ""
    noun = "reading" if len(numbers) == 1 else "readings"
    return f"Left out, as the job says: {noun} {listed([str(number) for number in numbers])}."


def _fasteners(answer: Answer) -> tuple[FastenerRow, ...]:
    rows, fasteners = [], answer.job.bench.fasteners
    for place, one in enumerate(fasteners):
        alike = [f"{other.what} {other.written}" for other in taken_for(fasteners, place)]
        more = len(alike) - MOST_ALIKE
        others = listed([*alike[:MOST_ALIKE], *([f"{more} more"] if more > 0 else [])])
        doubt = f"easily taken for {others}: which is which?" if others else ""
        rows.append(FastenerRow(one.what, one.written, one.checked, one.note, doubt))
    return tuple(rows)


def _blanks(answer: Answer) -> tuple[Blank, ...]:
    """What is read last, in the order of the work."""
    job, words, unit = answer.job, trade_words(answer), UNIT_SHOWN[answer.job.unit]
    wanted = {
        one.result: window(one.low_um, one.high_um, job.unit) + (", EXAMPLE" if one.example else "")
        for one in job.limits
    }
    blanks = []
    if job.pinion is not None:
        depth = wanted.get("depth", "")
        blanks.append(Blank("depth of the pinion, off by", 1, unit, depth))
    if "pinion end float" in wanted:
        name = words.result("pinion end float")
        blanks.append(Blank(name, 1, unit, wanted["pinion end float"]))
    if job.carrier:
        blanks.append(Blank("backlash at four places", PLACES, unit, wanted["backlash"]))
        name = f"{words.pinch} or spread of the housing"
        blanks.append(Blank(name, 1, unit, wanted["pinch"]))
    for line in job.lines:
        name = f"{line.name} as built"
        blanks.append(Blank(name, 1, unit, wanted.get(line.name, "")))
    if not job.axle:
        return tuple(blanks)
    blanks.append(_torque_blank(answer))
    blanks.append(Blank("contact pattern, drive", 1, "", ""))
    blanks.append(Blank("contact pattern, coast", 1, "", ""))
    return tuple(blanks)


def _torque_blank(answer: Answer) -> Blank:
    crush = answer.job.crush
    if crush is None:
        return Blank("rotating torque", 1, "", "as the manual states")
    low = bare_torque(crush.low_newton_m, crush.unit)
    span = f"{low} to {shown_torque(crush.high_newton_m, crush.unit)}, {crush.wanted}"
    unit = torque_unit_shown(crush.unit)
    return Blank("rotating torque", 1, unit, span + (", EXAMPLE" if crush.example else ""))
