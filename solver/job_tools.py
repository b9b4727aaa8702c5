"""The tools of a job, and what stands in for what their makers were not asked."""

from __future__ import annotations

from dataclasses import dataclass

from solver.job import Tool
from solver.job_table import FAULTY, Page
from solver.units import shown_length

KINDS = ("feelers", "dial", "micrometer", "calliper", "other")
JOINT_UM = 0.3 * 25.4  # trade article on the build-up of leaves: 0.17 to 0.28 thou a joint
_KEYS = ("within", "repeat", "step", "joint", "kind")
_CALLED = {  # parts of names people give their tools
    "feeler": "feelers",
    "dial": "dial",
    "mic": "micrometer",
    "calliper": "calliper",
    "caliper": "calliper",
}


@dataclass(frozen=True, slots=True)
class Usual:
    """What a kind of tool does as a rule, and where that is said."""

    within_um: float
    repeat_um: float
    step_um: float
    said_by: str


USUAL = {
    "feelers": Usual(0.2 * 25.4, 0.4 * 25.4, 0.5 * 25.4, "common practice, no source"),
    "dial": Usual(8.0, 5.0, 10.0, "within: JIS B 7503, range 1 mm; else common practice"),
    "micrometer": Usual(4.0, 2.0, 10.0, "within: ISO 3611; else common practice"),
    "calliper": Usual(20.0, 15.0, 20.0, "within: DIN 862; else common practice"),
}


def read_tools(page: Page | None) -> tuple[Tool, ...]:
    """Read the table of tools.

    page: the table, or None where there is none. Returns: tools, in the file's order; what stands
    in for missing keys is noted as assumed.
    """
    if page is None:
        return ()
    tools = []
    for name in page.table:
        tool = page.page(name, "a table for this tool")
        faulty = Tool(name, FAULTY, FAULTY, FAULTY, FAULTY, "other")  # so that readings find it
        tools.append(faulty if tool is None else _read_tool(name, tool))
    return tuple(tools)


def _read_tool(name: str, page: Page) -> Tool:
    page.only(_KEYS)
    if not name.strip() or not name.isprintable() or len(name) > 60:
        page.fault(None, "a name that cannot be shown", "a short name", "call it feelers, say")
    guess = next((kind for part, kind in _CALLED.items() if part in name.lower()), "other")
    kind = page.choice("kind", KINDS, guess)
    usual = USUAL.get(kind)
    stood_in: list[str] = []

    def value(key: str, usual_um: float | None, above: bool = False) -> float:
        if page.has(key):
            return page.length(key, low_um=0.0, above=above)
        if usual_um is None:
            page.missing(key, "a length", f'write {key} = …, or a kind such as "{KINDS[0]}"')
            return FAULTY
        stood_in.append(f"{key} {shown_length(usual_um, page.unit or 'mm')}")
        return usual_um

    within_um = value("within", usual.within_um if usual else None)
    repeat_um = value("repeat", usual.repeat_um if usual else None, above=True)
    step_um = value("step", usual.step_um if usual else None)
    if stood_in:
        said_by = usual.said_by if usual else ""
        page.notes.assumed.append(f"{name}: {', '.join(stood_in)} (usual for {kind}; {said_by})")
    joint_um = page.length("joint", JOINT_UM, low_um=0.0)
    return Tool(name, within_um, repeat_um, step_um, joint_um, kind)
