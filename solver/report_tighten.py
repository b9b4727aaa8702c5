"""How far to turn the nut of a crush spacer next, in words and as JSON."""

from __future__ import annotations

import textwrap

from solver.crush import Crush, Tightening, Turn
from solver.palmgren import nut_advance_um
from solver.report_words import TRADE_WORDS, counts, risk_counts, sentence
from solver.torque_units import bare_torque, shown_torque

WIDTH = 88
SHOWN_TURNS_DEG = (2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0)
K95 = 1.96  # two-sided 95 % of the normal law
_NUT_UNIT = {"lbf.in": "lbf.ft", "ozf.in": "lbf.ft", "lbf.ft": "lbf.ft"}  # others: N·m


def degrees(turn_deg: float) -> str:
    """Say an angle. turn_deg. Returns text such as '20 degrees', '0.5 degrees', '1 degree'."""
    return f"{turn_deg:g} degree{'' if turn_deg == 1.0 else 's'}"


def both_torques(value_newton_m: float, unit: str) -> str:
    """Show a torque in the job's unit with N·m beside it. value_newton_m; unit. Returns text."""
    shown = shown_torque(value_newton_m, unit)
    return shown if unit == "N.m" else f"{shown} ({shown_torque(value_newton_m, 'N.m')})"


def torque_window(crush: Crush) -> str:
    """Show the window as its readings show it. crush. Returns text in both units."""
    ends = (crush.low_newton_m, crush.high_newton_m)
    texts = [
        f"{bare_torque(ends[0], unit)} to {shown_torque(ends[1], unit)}"
        for unit in dict.fromkeys((crush.unit, "N.m"))
    ]
    return texts[0] + "".join(f" ({text})" for text in texts[1:])


def tighten_headline(tightening: Tightening, words: str) -> str:
    """Say in a few words what to do. tightening; words: 'UK' or 'US'. Returns text."""
    if tightening.state == "stop":
        return "Stop: in the window"
    if tightening.state == "over":
        part = TRADE_WORDS[words].crush_spacer.split()[-1]
        return f"Over: fit a new {part}, never back off"
    advice = tightening.advice
    if tightening.state == "measure" or advice is None:
        return "Measure again first"
    if tightening.by_torque:
        return f"Creep {degrees(advice.turn_deg)} at most, then read again"
    return f"Turn the nut {degrees(advice.turn_deg)}, then read again"


def do_sentences(tightening: Tightening, words: str) -> tuple[str, ...]:
    """Say what to do at the bench. tightening; words: 'UK' or 'US'. Returns sentences."""
    spacer, advice = TRADE_WORDS[words].crush_spacer, tightening.advice
    if tightening.state == "stop":
        return (
            "Leave the nut where it is. Turn the bearings ten times both ways and read once more"
            " before you stake or lock it.",
        )
    if tightening.state == "over":
        return (
            f"Take the nut off and fit a new {spacer}: what is crushed does not spring back, and a"
            " nut that is backed off no longer holds it.",
            "Make sure of it first: turn the bearings ten times both ways and read again.",
        )
    if tightening.state == "measure" or advice is None:
        return (
            "Leave the nut where it is. Turn the bearings ten times both ways, read the torque"
            " again and add it to the job at the same angle.",
        )
    at = tightening.crush.pauses[-1].angle_deg + advice.turn_deg
    first = (
        "The window is only a few degrees wide: go by torque. Creep up, and read between."
        if tightening.by_torque
        else ""
    )
    return tuple(
        one
        for one in (
            first,
            f"Turn it {degrees(advice.turn_deg)} further, to {at:g} on your scale, and not beyond."
            f" That goes over the window in {risk_counts(advice.over)}.",
            "Then turn the bearings ten times both ways, read the torque, add it to the job as a"
            " pause and ask again.",
        )
        if one
    )


def now_sentences(tightening: Tightening) -> tuple[str, ...]:
    """Say what the torque is now and where it should be. tightening. Returns sentences."""
    crush, unit = tightening.crush, tightening.crush.unit
    wide = both_torques(K95 * tightening.u_newton_m, unit)
    return (
        f"{both_torques(tightening.torque_newton_m, unit)} with the bearings settled; 95 of 100 lie"
        f" within {wide} of it, standard uncertainty {both_torques(tightening.u_newton_m, unit)}.",
        f"Window: {torque_window(crush)}, {crush.wanted} torque, {crush.bearings} bearings, as the"
        " readings show it.",
        f"Inside it now: {counts(tightening.chance_in)}. Over it already:"
        f" {risk_counts(tightening.chance_over)}.",
    )


def shown_turns(tightening: Tightening) -> tuple[Turn, ...]:
    """Pick the turns that a person needs to see, the advised one among them.

    tightening: finished. Returns them in order; none where the nut is not to be turned any more.
    """
    if tightening.state in ("stop", "over"):
        return ()
    wanted = {turn for turn in tightening.turns if turn.turn_deg in SHOWN_TURNS_DEG}
    if tightening.advice is not None:
        wanted = {one for one in wanted if one.turn_deg != tightening.advice.turn_deg}
        wanted.add(tightening.advice)
    return tuple(sorted(wanted, key=lambda turn: turn.turn_deg))


def turn_rows(tightening: Tightening) -> tuple[str, ...]:
    """Lay the turns out as a table. tightening. Returns its rows, the head first."""
    rows = [f"{'turn':>12}   {'still under':20} {'inside':20} {'over':20}".rstrip()]
    advised = tightening.advice.turn_deg if tightening.advice else None
    for turn in shown_turns(tightening):
        chances = f"{counts(turn.under):20} {counts(turn.inside):20} {risk_counts(turn.over)}"
        mark = "  <- this" if turn.turn_deg == advised else ""
        rows.append(f"{degrees(turn.turn_deg):>12}   {chances}{mark}")
    return tuple(rows)


def nut_sentences(crush: Crush) -> tuple[str, ...]:
    """Say how the nut advances and what it takes. crush. Returns sentences; none where unknown."""
    found = []
    if crush.pitch_um is not None:
        step, turn = nut_advance_um(crush.pitch_um, 1.0), crush.pitch_um / 1000.0
        found.append(
            f"A degree of the nut advances it {step:.3f} µm ({step / 25.4:.3f} thou), a turn"
            f" {turn:.3f} mm."
        )
    unit = _NUT_UNIT.get(crush.unit, "N.m")
    last = [one.nut_newton_m for one in crush.pauses if one.nut_newton_m is not None]
    if last:
        found.append(f"Last torque on the nut: {both_torques(last[-1], unit)}.")
    if crush.ceiling_newton_m is not None:
        found.append(f"No more on the nut than {both_torques(crush.ceiling_newton_m, unit)}.")
    return tuple(found)


def crush_cautions(words: str) -> tuple[str, ...]:
    """Name what to beware of. words: 'UK' or 'US'. Returns short sentences.

    Source: common practice, no source.
    """
    spacer = TRADE_WORDS[words].crush_spacer
    return (
        f"Never use an impact wrench on a {spacer}: one burst may crush it past its window.",
        "Hold the flange with a bar made for it, never by the gear's teeth.",
        "The nut takes a high torque, 150 to 300 lbf·ft (203 to 407 N·m) as a rule (common"
        " practice): bar, flange and stand must bear it; keep hands out of the way of the bar.",
        "Turn the bearings ten times both ways before each reading: the torque falls by a tenth to"
        " a third as the rollers settle.",
        f"Never back the nut off to bring the torque down: over the window means a new {spacer}.",
        "Fit a new nut where the maker says so.",
        "With a line, measure the radius to the middle of the line, and pull slowly and steadily.",
        "Where the maker's manual says otherwise, the manual is right.",
    )


def crush_example(crush: Crush) -> str:
    """Warn of limits that are only an example. crush. Returns '' where they are not."""
    if not crush.example:
        return ""
    return (
        "EXAMPLE LIMITS, from no manual. Put in what the maker of your unit states before you"
        " tighten to this."
    )


def tightening_as_text(job_title: str, words: str, tightening: Tightening) -> str:
    """Write what to do with the nut for a person at the bench.

    job_title: blank where there is none; words: 'UK' or 'US'; tightening: finished. Returns text
    at most 88 wide, newline last.
    """
    crush = tightening.crush
    rows = [tighten_headline(tightening, words).upper()]
    rows += textwrap.wrap(_clean(job_title), WIDTH)
    if crush.example:
        rows += ["", *textwrap.wrap(crush_example(crush), WIDTH)]
    rows += ["", "Do this", *_wrapped(do_sentences(tightening, words))]
    rows += ["", "Rotating torque now", *_wrapped(now_sentences(tightening))]
    if shown_turns(tightening):
        rows += ["", "If the nut is turned further", *turn_rows(tightening)]
        rows += _wrapped(("Of a hundred spacers that would show these readings.",))
    _section(rows, "Why", tightening.reasons)
    _section(rows, "The nut", nut_sentences(crush))
    _section(rows, "How the readings compare", crush.remarks)
    _section(rows, "Assumed, not measured", crush.assumed, finished=False)
    _section(rows, "At the bench", crush_cautions(words))
    return "\n".join(rows) + "\n"


def _section(rows: list[str], title: str, lines: tuple[str, ...], *, finished: bool = True) -> None:
    """Add a list under a title, or nothing where there is none."""
    if not lines:
        return
    rows += ["", title]
    for line in lines:
        words = _clean(sentence(line) if finished else line)
        rows += textwrap.wrap(words, WIDTH, initial_indent="  - ", subsequent_indent="    ")


def _wrapped(lines: tuple[str, ...]) -> list[str]:
    return [
        row
        for line in lines
        for row in textwrap.wrap(_clean(line), WIDTH, initial_indent="  ", subsequent_indent="  ")
    ]


def _clean(words: str) -> str:
    return "".join(c if c.isprintable() else "?" for c in words)


def tightening_as_json(tightening: Tightening) -> dict[str, object]:
    """Put a tightening into plain dicts and lists. tightening: finished."""
    advice = tightening.advice
    return {
        "state": tightening.state,
        "now": {
            "torque_newton_m": float(tightening.torque_newton_m),
            "u_newton_m": float(tightening.u_newton_m),
            "chance_in": float(tightening.chance_in),
        },
        "turns": [
            {
                "turn_deg": float(turn.turn_deg),
                "under": float(turn.under),
                "in": float(turn.inside),
                "over": float(turn.over),
            }
            for turn in tightening.turns
        ],
        "advice": None
        if advice is None
        else {"turn_deg": float(advice.turn_deg), "over": float(advice.over)},
    }
