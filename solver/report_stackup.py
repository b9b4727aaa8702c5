"""Lines added up, and stocks for select fit, in words and as JSON."""

from __future__ import annotations

import textwrap

from solver.report_json import Table
from solver.report_words import (
    bare_length,
    counts,
    length,
    number_of,
    percent,
    wanted_counts,
    window,
)
from solver.select_fit import Stock
from solver.stackup import LOOSEST, Stackup, Stackups, Tighter, Window, per_million

WIDTH = 88
SOURCES = {
    "drawn": "as drawn",
    "measured": "measured",
    "both": "drawn and measured",
    "shims": "the pieces",
}
_NEEDS = "Everything else as it is; one at a time, by the first-order law."


def _wrapped(words: str, first: str = "  ", rest: str = "  ") -> list[str]:
    clean = "".join(c if c.isprintable() else "?" for c in words)
    return textwrap.wrap(clean, WIDTH, initial_indent=first, subsequent_indent=rest)


def stackups_as_text(found: Stackups, *, drawn: bool) -> str:
    """Write lines added up. found; drawn: as drawn, for a batch. Returns text, newline last."""
    job = found.job
    rows = _wrapped(job.title or "Lines of dimensions", "", "")
    who = "Any assembly made to these drawings" if drawn else "This assembly, as far as it was read"
    fitted = [
        f"{stack.seat} {length(stack.thickness_um, job.unit, True)}"
        for stack in found.plan.stacks
        if stack.pieces
    ]
    rows += _wrapped(f"{who}; fitted: {', '.join(fitted) or 'no shims'}.", "", "")
    for line in found.lines:
        rows += ["", *_line(line, job.unit)]
    rows += ["", "Yield, every limit together"]
    rows += _wrapped(
        f"simulated: {counts(found.chance)} inside, {_outside(found.chance, simulated=True)};"
        f" by the first-order law: {counts(found.chance_law)},"
        f" {_outside(found.chance_law)}; you asked for {wanted_counts(job.wanted_chance)}."
    )
    if found.tighter:
        met = found.chance_law >= job.wanted_chance
        rows += ["", "Which tolerance could be wider" if met else "Which tolerance to tighten"]
        for one in found.tighter:
            rows += _wrapped(tighter_sentence(one, job.unit, met=met), "  - ", "    ")
        rows += _wrapped(_NEEDS)
    return "\n".join(rows) + "\n"


def _outside(chance: float, *, simulated: bool = False) -> str:
    """Assemblies of a million outside; a simulation cannot tell fewer than some."""
    outside = per_million(chance)
    if simulated and outside < 10.0:
        return "fewer than 10 of a million outside"
    return f"{outside:,.0f} of a million outside".replace(",", " ")


def _line(line: Stackup, unit: str) -> list[str]:
    warm = "" if line.celsius == 20.0 else f", at {line.celsius:g} °C"
    rows = [f"{line.name}{warm}: wanted {window(line.low_um, line.high_um, unit)}"]
    heads = ("part", "+/-", "length", "off at most", "known from", "share")
    table = [heads]
    for part in line.parts:
        sign = f"{part.factor:+g}" if abs(part.factor) != 1.0 else ("+" if part.factor > 0 else "-")
        table.append((
            part.name, sign, bare_length(part.length_um, unit, True),
            bare_length(part.half_um, unit, True), SOURCES[part.source], percent(part.share),
        ))  # fmt: skip
    wide = [max(len(row[k]) for row in table) for k in range(len(heads))]
    for row in table:
        cells = [cell.ljust(w) for cell, w in zip(row, wide, strict=True)]
        rows.append(("  " + "  ".join(cells)).rstrip()[:WIDTH])
    rest = [f"{name} {percent(share)}" for name, share in line.rest if share >= 0.005]
    if rest:
        rows += _wrapped(f"and of the spread: {', '.join(rest)}")
    if any(name.partition(" (reading ")[0] == line.name for name, _ in line.rest):
        rows += _wrapped(
            f"worst case and root-sum-square are those of the parts; that the {line.name} itself"
            " was read counts in the law and the simulation only"
        )
    rows.append(f"  adds up to {length(line.middle_um, unit)}")
    for name, span in (
        ("worst case", line.worst_um), ("root-sum-square", line.squares_um),
        ("first-order law, 95 %", line.law_um), ("simulation, 95 %", line.simulated_um),
    ):  # fmt: skip
        within = _within(span, line)
        rows.append(f"    {name:22} {window(*span, unit)}{within}")
    return rows


def _within(span: Window, line: Stackup) -> str:
    inside = span[0] >= line.low_um - 1e-6 and span[1] <= line.high_um + 1e-6
    return "  inside its limits" if inside else "  passes its limits"


def tighter_sentence(one: Tighter, unit: str, *, met: bool) -> str:
    """Say what a tolerance would have to be. one; unit; met: whether the yield is what is wanted.

    Returns a sentence.
    """
    now = f"{one.name}: ±{length(one.within_um, unit, True)} now"
    if one.needed_um is None:
        best = counts(one.chance_if_perfect)
        return f"{now}; not enough by itself, even measured on every assembly ({best})"
    needed = length(one.needed_um, unit, True)
    if met:
        least = "at least " if one.needed_um >= LOOSEST * one.within_um * 0.999 else ""
        return f"{now}; could be {least}±{needed}"
    best = counts(one.chance_if_perfect)
    return f"{now}; ±{needed} would do, or measure it on every assembly ({best})"


def stackups_as_json(found: Stackups, *, drawn: bool) -> Table:
    """Put lines added up into plain dicts, lengths in µm. found; drawn: as drawn."""
    return {
        "as_drawn": drawn,
        "chance": found.chance,
        "chance_law": found.chance_law,
        "wanted": found.job.wanted_chance,
        "per_million": per_million(found.chance),
        "per_million_law": per_million(found.chance_law),
        "effective": found.effective,
        "seats": {stack.seat: {"thickness_um": stack.thickness_um} for stack in found.plan.stacks},
        "lines": {line.name: _line_json(line) for line in found.lines},
        "tolerances": [
            {
                "dimension": one.name,
                "within_um": one.within_um,
                "needed_um": one.needed_um,
                "chance_if_perfect": one.chance_if_perfect,
            }
            for one in found.tighter
        ],
    }


def _line_json(line: Stackup) -> Table:
    return {
        "middle_um": line.middle_um,
        "low_um": _end(line.low_um),
        "high_um": _end(line.high_um),
        "temperature": line.celsius,
        "worst_case_um": list(line.worst_um),
        "root_sum_square_um": list(line.squares_um),
        "law_95_um": list(line.law_um),
        "simulation_95_um": list(line.simulated_um),
        "chance": line.chance,
        "chance_law": line.chance_law,
        "parts": [
            {
                "name": part.name, "factor": part.factor, "length_um": part.length_um,
                "off_at_most_um": part.half_um, "u_um": part.u_um, "from": part.source,
                "share": part.share,
            }
            for part in line.parts
        ],
        "other_shares": dict(line.rest),
    }  # fmt: skip


def _end(value_um: float) -> float | None:
    return value_um if abs(value_um) < 1e12 else None


def stock_as_text(stock: Stock, title: str, unit: str) -> str:
    """Write a stock for select fit. stock; title: of the job; unit. Returns text, newline last."""
    rows = _wrapped(title or "Select fit", "", "")
    rows += _wrapped(
        f"{number_of(len(stock.sizes), 'size')}, {number_of(stock.pieces, 'piece')}, for"
        f" {stock.assemblies} assemblies ({stock.seat}, {stock.line}):",
        "",
        "",
    )
    rows += [f"  {size.count:5} x {length(size.thickness_um, unit, True)}" for size in stock.sizes]
    low, high = stock.needed_um
    tool = f" measured with the {stock.tool}" if stock.tool else ""
    rows += [
        "",
        *_wrapped(
            f"Serves {percent(stock.served)} of the assemblies on average (wanted"
            f" {percent(stock.wanted)}); some size suits {percent(stock.covered)} of them."
        ),
        *_wrapped(
            f"Needed are {window(low, high, unit)}, all but two in a thousand; each may be off by"
            f" {length(stock.window_um / 2.0, unit)} either way, its gap{tool} and the shim's own"
            " error allowed for."
        ),
        *_wrapped(
            "The number of sizes is the least for the simulated assemblies; pieces were taken away"
            " one by one while the share was kept, which is not proved the least."
        ),
    ]
    return "\n".join(rows) + "\n"


def stock_as_json(stock: Stock) -> Table:
    """Put a stock into plain dicts, lengths in µm. stock."""
    return {
        "line": stock.line,
        "seat": stock.seat,
        "assemblies": stock.assemblies,
        "wanted": stock.wanted,
        "covered": stock.covered,
        "served": stock.served,
        "window_um": stock.window_um,
        "needed_um": list(stock.needed_um),
        "tool": stock.tool or None,
        "sizes": [{"thickness_um": one.thickness_um, "count": one.count} for one in stock.sizes],
    }
