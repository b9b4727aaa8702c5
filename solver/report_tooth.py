"""Both flanks of a tooth drawn in letters, with the pattern on them."""

from __future__ import annotations

from solver.pattern import PatternAdvice, Spot, drawn_at
from solver.pattern_rules import FLANKS, GEARS, Flank, Pattern

WIDE, TALL = 25, 7  # letters of a flank as drawn, inside its frame
CURVE = {"drive": "convex", "coast": "concave"}


def drawn_teeth(pattern: Pattern, advice: PatternAdvice) -> tuple[str, ...]:
    """Draw both flanks of a tooth in letters.

    pattern: as seen; advice: on it. Returns: lines; '#' as found, '+' where it should be, 'o' where
    the moves would take it.
    """
    blocks = []
    flanks = (pattern.drive, pattern.coast)
    for name, flank, after in zip(FLANKS, flanks, advice.after, strict=True):
        spots = (None if flank is None else flank.steps, after if advice.moves else None)
        worn = pattern.gears == GEARS[1]
        blocks.append(_drawn_flank(name, flank, *spots, toe_left=name == "drive", worn=worn))
    rows = [f"  {left:40} {right}".rstrip() for left, right in zip(*blocks, strict=True)]
    key = "  # as found" + ("" if pattern.gears == GEARS[1] else "   + where it should be")
    shows = advice.moves and any(spot is not None for spot in advice.after)
    return *rows, key + ("   o where the move would take it" if shows else "")


def _drawn_flank(
    name: str,
    flank: Flank | None,
    found: Spot | None,
    after: Spot | None,
    *,
    toe_left: bool,
    worn: bool,
) -> list[str]:
    """One flank: its name, its frame, the pattern in it. The two are seen from opposite sides."""
    cells = [[" "] * WIDE for _ in range(TALL)]

    def put(spot: Spot, mark: str, half: int) -> None:
        along, across = drawn_at(spot[0]), drawn_at(spot[1])
        column = round((WIDE - 1) / 2 * (1 + (along if toe_left else -along)))
        row = round((TALL - 1) / 2 * (1 - across))
        for at in range(max(column - half, 0), min(column + half, WIDE - 1) + 1):
            cells[row][at] = mark

    if found is not None:
        for deep in (-0.35, 0.0, 0.35):
            put((found[0], found[1] + deep), "#", 3 if deep == 0.0 else 2)
    if not worn:
        put((0.0, 0.0), "+", 0)
    if after is not None:
        put(after, "o", 0)
    ends = ("toe", "heel") if toe_left else ("heel", "toe")
    shown = "not looked at" if flank is None else flank_words(flank)
    rows = [f"{name} flank ({CURVE[name]})", shown, f"tip  .{'-' * WIDE}."]
    for at, row in enumerate(cells):
        left, right = ends if at == TALL // 2 else ("", "")
        rows.append(f"{left:5}|{''.join(row)}| {right}")
    return [*rows, f"root '{'-' * WIDE}'"]


def flank_words(flank: Flank) -> str:
    """Say where a pattern lies. flank: seen. Returns text such as 'clear, toe and root'."""
    if flank.centred:
        return "centred"
    ends = [end for end in (flank.along, flank.across) if end != "middle"]
    return f"{flank.how_far}, {' and '.join(ends)}"
