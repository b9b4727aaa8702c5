"""The pauses of the nut in a job file: angle, torque, and what of it compares with the limit.

A reading of the other kind than the limit's (starting, moving) is refused. Parts that turn along
(seal, carrier) must be alike in all pauses; where the limit counts others, `job_crush` moves it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.crush import Pause
from solver.job_table import FAULTY, Page
from solver.job_torque import WAYS, Bench, nut_torque, read_reading, way_of
from solver.units import said

MOST_PAUSES = 200
KINDS = ("moving", "starting")
PARTS = ("seal", "carrier")
_KEYS = (*WAYS, "angle", "kind", "with", "turned", "nut", "off", "note")

Parts = dict[str, bool]  # which of PARTS turn along


@dataclass(frozen=True, slots=True)
class PauseRead:
    """A pause as read, with what it says of itself."""

    pause: Pause
    page: Page
    kind: str  # blank where it does not say
    parts: Parts
    said_with: bool
    scattered: bool


def read_parts(page: Page, key: str, usual: Parts | None) -> Parts:
    """Read which parts turn along.

    page; key: of their table; usual: where it does not say, None where it must. Returns them.
    """
    nothing = dict.fromkeys(PARTS, False)
    wanted = "whether seal and carrier are counted"
    inner = page.page(key, wanted)
    if inner is None:
        if not page.has(key):
            page.missing(key, wanted, f"write {key} = {{ seal = true, carrier = false }}")
        return usual or nothing
    inner.only(PARTS, "part")
    for part in PARTS:
        if usual is None and not inner.has(part):
            inner.missing(part, "true or false", "ask the manual; nothing is taken for granted")
    return {
        part: inner.flag(part) if inner.has(part) else (usual or nothing)[part] for part in PARTS
    }


def pause_tables(page: Page, *, needed: bool) -> list[object]:
    """Take the pauses, unchecked.

    page: the table [crush]; needed: whether there must be one. Returns: none where there is none,
    or a fault.
    """
    tables = page.table.get("pauses", [])
    if not needed and tables == []:
        return []
    if not isinstance(tables, list) or not tables:
        found = (
            "one table" if isinstance(tables, dict) else "nothing" if tables == [] else said(tables)
        )
        page.fault("pauses", found, "a list of pauses", "start each one with [[crush.pauses]]")
        return []
    if len(tables) > MOST_PAUSES:
        page.fault("pauses", f"{len(tables)} pauses", f"at most {MOST_PAUSES}", "take some out")
        return []
    return tables


def kind_guessed(tables: list[object]) -> str:
    """Guess the kind of tool from the first pause that tells one. tables: of the pauses."""
    ways = (way_of(table) for table in tables if isinstance(table, dict))
    return WAYS[next((way for way in ways if way), "torque")]


def read_pauses(page: Page, tables: list[object], bench: Bench, usual: Parts) -> list[PauseRead]:
    """Read every pause that was not left out.

    page: the table [crush]; tables: of the pauses; bench: what they were read in and with; usual:
    parts that turn along where a pause does not say. Returns them in the file's order.
    """
    kept = []
    for number, table in enumerate(tables, 1):
        place = (*page.place, "pauses", number - 1)
        if not isinstance(table, dict):
            way_out = "start each one with [[crush.pauses]]"
            page.notes.fault(place, said(table), "a table", way_out)
            continue
        inner = Page(table, place, page.notes, page.unit)
        read = _read_pause(inner, number, bench, usual)
        if not inner.flag("off"):
            kept.append(read)
    if tables and not kept:
        page.fault("pauses", "every pause left out", "one that counts", "take an off = true away")
    return kept


def _read_pause(page: Page, number: int, bench: Bench, usual: Parts) -> PauseRead:
    page.only(_KEYS)
    angle = FAULTY
    if page.has("angle"):
        angle = page.angle("angle", -36000.0, 36000.0)
    else:
        page.missing("angle", "how far the nut was turned", "write degrees from any common start")
    found = read_reading(page, bench)
    if not page.has("turned"):
        way_out = "turn the bearings ten times both ways before you read, and write turned = true"
        page.missing("turned", "whether the bearings were turned before it", way_out)
    turned, nut = page.flag("turned"), nut_torque(page, "nut", bench.unit)
    kind = page.choice("kind", KINDS, None) if page.has("kind") else ""
    if page.table.get("kind") not in KINDS:
        kind = ""  # a word nobody knows is one fault, not two
    parts = read_parts(page, "with", usual) if page.has("with") else usual
    page.text("note")
    pause = Pause(number, angle, found.newton_m, found.u_newton_m, turned, nut)
    return PauseRead(pause, page, kind, parts, page.has("with"), found.scattered)


def check_kinds(kept: list[PauseRead], means: str) -> None:
    """Refuse readings of the other kind; one that does not say is taken as the limit is meant.

    kept: the pauses that count; means: kind of the limit.
    """
    for one in kept:
        if one.kind and one.kind != means:
            refuse_kind(one.page, one.kind, means)
    silent = [one for one in kept if not one.kind]
    if silent:
        words = f"{pauses_named(silent)} read as {means} torque, as the limit is meant"
        kept[0].page.notes.assumed.append(words)


def pauses_named(pauses: list[PauseRead]) -> str:
    """Name some pauses. pauses: at least one. Returns words such as 'pauses 1, 2'."""
    numbers = ", ".join(str(one.pause.number) for one in pauses)
    return f"pause{'s' if len(pauses) > 1 else ''} {numbers}"


def refuse_kind(page: Page, kind: str, means: str) -> None:
    """Note a reading of the other kind. page: of it; kind: its own; means: the limit's."""
    way_out = (
        f"read the {means} torque: a bearing takes more to start than to keep turning, and by how"
        " much nothing here can tell"
    )
    page.fault("kind", f"{kind} torque", f"{means} torque, as the limit means", way_out)


def common_parts(kept: list[PauseRead], usual: Parts) -> Parts:
    """Find what turned along in every pause; one that differs from the first is refused.

    kept: the pauses that count; usual: where there are none. Returns the parts.
    """
    if not kept:
        return usual
    first = kept[0]
    for one in kept[1:]:
        odd = [part for part in PARTS if one.parts[part] != first.parts[part]]
        if odd:
            words = " and ".join(in_or_out(part, one.parts[part]) for part in odd)
            wanted = f"the same as in pause {first.pause.number}"
            one.page.fault("with", words, wanted, "read all pauses alike, or set it off = true")
    return first.parts


def in_or_out(part: str, turns: bool) -> str:
    """Say whether a part turns along. part: its name; turns: whether. Returns words."""
    return f"the {part} {'in' if turns else 'out'}"


def scattered_remarks(kept: list[PauseRead]) -> tuple[str, ...]:
    """Say which repeats scatter too widely. kept: the pauses that count. Returns a line each."""
    return tuple(
        f"repeats of pause {one.pause.number} scatter more than this tool is said to"
        for one in kept
        if one.scattered
    )


def in_order(page: Page, kept: list[PauseRead]) -> tuple[Pause, ...]:
    """Sort the pauses by the nut's angle, those of one angle as they stand.

    page: the table [crush], for what is assumed; kept: those that count. Returns them.
    """
    pauses = [one.pause for one in kept]
    if any(math.isnan(one.angle_deg) for one in pauses):
        return tuple(pauses)
    ordered = sorted(pauses, key=lambda one: one.angle_deg)
    if ordered != pauses:
        words = "pauses put in the order of their angles: the nut was never turned back"
        page.notes.assumed.append(words)
    return tuple(ordered)
