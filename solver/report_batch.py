"""A batch's results as a person and a spreadsheet read them."""

from __future__ import annotations

from solver.batch import BatchAnswer, Fitted
from solver.drawer_sheet import Sheet, SheetRow, bytes_of
from solver.plan import Piece
from solver.report_words import UNIT_SHOWN, bare_length, number_of
from solver.units import in_unit

STATUSES = ("met", "short", "none", "unserved")
MEANT = {
    "short": "no plan out of this drawer reaches the wanted chance; the best is given",
    "none": "no plan out of this drawer has a chance",
    "unserved": "it could be met, but others have the lots it needs",
}
MOST_SHOWN = 20


def batch_as_csv(answer: BatchAnswer) -> str:
    """Write a batch's results as CSV, a row an assembly.

    answer. Returns text: chances as shares, lengths in the unit of each row; columns for a seat or
    a result that an assembly does not have stay blank.
    """
    seats = dict.fromkeys(seat.name for one in answer.fitted for seat in one.assembly.job.seats)
    results = dict.fromkeys(part.result for one in answer.fitted for part in one.predicted)
    header = ["id", "job", "status", "chance", "pieces", "readings", "unit"]
    for seat in seats:
        header += [f"{seat}: lots", f"{seat}: thickness"]
    for result in results:
        header += [f"{result}: predicted", f"{result}: standard uncertainty"]
    rows = tuple(SheetRow(tuple(_cells(one, list(seats), list(results)))) for one in answer.fitted)
    return bytes_of(Sheet("results", SheetRow(tuple(header)), rows)).decode()


def _cells(one: Fitted, seats: list[str], results: list[str]) -> list[str]:
    unit, plan = one.assembly.job.unit, one.plan
    chance, pieces = ("", "") if plan is None else (f"{one.chance:.4f}", str(plan.shims))
    own = [one.assembly.id, one.assembly.pattern, one.status, chance, pieces, one.readings, unit]
    stacks = {} if plan is None else {stack.seat: stack for stack in plan.stacks}
    for seat in seats:
        stack = stacks.get(seat)
        lots = " + ".join(map(_piece_words, stack.pieces)) if stack else ""
        own += [lots, bare_length(stack.thickness_um, unit, fine=True) if stack else ""]
    predicted = {part.result: part for part in one.predicted}
    for result in results:
        part = predicted.get(result)
        own += [
            bare_length(part.value_um, unit, fine=True) if part else "",
            f"{in_unit(part.u_um, unit):.2g}" if part else "",
        ]
    return own


def _piece_words(piece: Piece) -> str:
    return piece.id if piece.count == 1 else f"{piece.count} × {piece.id}"


def batch_as_text(answer: BatchAnswer) -> str:
    """Sum a batch up for a person. answer. Returns lines of text."""
    count = len(answer.fitted)
    many = [(sum(one.status == status for one in answer.fitted), status) for status in STATUSES]
    told = ", ".join(f"{n} {status}" for n, status in many if n)
    noun = "assembly" if count == 1 else "assemblies"
    lines = [f"{count} {noun}, one drawer: {told}.", pieces_sentence(answer)]
    if answer.unserved:
        lines.append(unserved_sentence(answer))
    disagree = [one for one in answer.fitted if one.readings == "disagree"]
    if disagree:
        lines.append(f"NOT TO BE BUILT, their readings disagree: {_ids(disagree)}.")
    examples = [one for one in answer.fitted if any(x.example for x in one.assembly.job.limits)]
    if examples:
        lines.append(
            f"EXAMPLE LIMITS, from no manual: {_ids(examples)}. Put in what the maker states before"
            " you build to them."
        )
    for status, words in MEANT.items():
        some = [one for one in answer.fitted if one.status == status]
        if some:
            lines.append(f"{status.capitalize()}: {_ids(some)}: {words}.")
    return "\n".join(lines) + "\n"


def _ids(some: list[Fitted]) -> str:
    ids = [one.assembly.id for one in some[:MOST_SHOWN]]
    left = len(some) - len(ids)
    return ", ".join(ids) + (f" and {left} more" if left else "")


def pieces_sentence(answer: BatchAnswer) -> str:
    """Say how many shims a batch takes, and how far that is from the fewest.

    answer. Returns a sentence, with the gap in pieces and in per cent.
    """
    shims = number_of(answer.pieces, "shim")
    if answer.least_pieces is None or answer.gap is None:
        return f"{shims} in all; how many fewer would do is not known."
    if answer.pieces <= answer.least_pieces:
        return f"{shims} in all, and no way to serve as many takes fewer (gap 0, 0 %){_BY_LAW}."
    gap = answer.pieces - answer.least_pieces
    return (
        f"{shims} in all; at least {answer.least_pieces} are needed to serve as many"
        f" (gap at most {gap}, {100.0 * answer.gap:.1f} %){_BY_LAW}."
    )


_BY_LAW = ", by the normal law with 0.02 of chance to spare"


def unserved_sentence(answer: BatchAnswer) -> str:
    """Say how many go without a plan, and whether that is proved. answer. Returns a sentence."""
    if answer.unserved == answer.least_unserved:
        return f"{answer.unserved} without a plan, and no way to serve more: proved."
    return (
        f"{answer.unserved} without a plan; at least {answer.least_unserved} are proved to be:"
        " more lots, or another look, may serve more."
    )


def batch_as_json(answer: BatchAnswer) -> dict[str, object]:
    """A batch for programs. answer. Returns an object; lengths in µm."""
    return {
        "assemblies": [
            {
                "id": one.assembly.id,
                "job": one.assembly.pattern,
                "status": one.status,
                "chance": one.chance if one.plan else None,
                "pieces": one.plan.shims if one.plan else None,
                "readings": one.readings,
                "unit": UNIT_SHOWN[one.assembly.job.unit],
                "seats": [
                    {
                        "seat": stack.seat,
                        "lots": [{"id": p.id, "count": p.count} for p in stack.pieces],
                        "thickness_um": stack.thickness_um,
                    }
                    for stack in (one.plan.stacks if one.plan else ())
                ],
                "predicted": [
                    {"result": part.result, "value_um": part.value_um, "u_um": part.u_um}
                    for part in one.predicted
                ],
            }
            for one in answer.fitted
        ],
        "pieces": answer.pieces,
        "least_pieces": answer.least_pieces,
        "gap": answer.gap,
        "unserved": answer.unserved,
        "least_unserved": answer.least_unserved,
        "rounds": answer.rounds,
    }
