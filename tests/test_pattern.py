"""The contact pattern: the rules as data, the judgement, the shims that keep the backlash."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from solver import terminal
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Seat
from solver.mechanics import backlash, pinch
from solver.pattern import (
    ASK,
    CONFLICT,
    GOOD,
    MOVE,
    USED,
    PatternAdvice,
    drawn_at,
    judge_pattern,
)
from solver.pattern_rules import (
    ACROSS,
    ALONG,
    CHART,
    HOBBED,
    HOW_FAR,
    MILLED,
    PINION,
    PRACTICE,
    RULES,
    STEP_UM,
    TEETH,
    UNKNOWN,
    WHEEL,
    Flank,
    Pattern,
    shift,
)
from solver.report_pattern import pattern_as_text, pattern_headline, pattern_sentences, rough
from tests.jobs import a_job, repeatable

EXAMPLE = Path(__file__).parent.parent / "stock_lists" / "contact_pattern.toml"
FLANK = st.builds(Flank, st.sampled_from(ALONG), st.sampled_from(ACROSS), st.sampled_from(HOW_FAR))
CENTRE = Flank("middle", "middle")


def seen(teeth: str, drive: str, coast: str, how_far: str = "slight") -> Pattern:
    """A pattern of new gears. drive, coast: such as 'toe root'. Returns it."""
    flanks = (Flank(*flank.split(), how_far) for flank in (drive, coast))
    return Pattern(teeth, "new", *flanks)


def moves(advice: PatternAdvice) -> list[tuple[str, str, float]]:
    """What is moved, where to, by about how much [mm]."""
    return [(one.member, one.direction, one.about_um / 1000.0) for one in advice.moves]


# In a step, member IN. The chart: TM 10-3930-671-24 p. 569, which has it from the pattern to the
# cure ('toe bearing on both sides: move gear away', 'low bearing on gear: pull pinion away') and
# says nothing of how the teeth were cut. The rest: common practice, no source.
TABLE = (
    (MILLED, PINION, "drive", "toe", "root"),
    (MILLED, PINION, "coast", "heel", "root"),
    (MILLED, WHEEL, "drive", "toe", "root"),
    (MILLED, WHEEL, "coast", "toe", "root"),
    (HOBBED, PINION, "drive", "heel", "root"),
    (HOBBED, PINION, "coast", "toe", "root"),
    (HOBBED, WHEEL, "drive", "toe", "root"),
    (HOBBED, WHEEL, "coast", "heel", "root"),
)


@pytest.mark.parametrize(("teeth", "member", "flank", "along", "across"), TABLE)
def test_a_rule_is_as_the_table_has_it(
    teeth: str, member: str, flank: str, along: str, across: str
) -> None:
    """Direction by direction; the pinion mostly moves the depth, the wheel the length."""
    lengthwise, deep = shift(teeth, member, flank)
    assert math.copysign(1.0, lengthwise) == {"toe": -1.0, "heel": 1.0}[along]
    assert math.copysign(1.0, deep) == {"root": -1.0, "tip": 1.0}[across]
    assert (abs(deep) > abs(lengthwise)) == (member == PINION)


def test_the_table_has_every_rule_once_with_its_source() -> None:
    """Two kinds of teeth, two members, two flanks; the chart speaks of tapered teeth alone."""
    named = [(rule.teeth, rule.member, rule.flank) for rule in RULES]
    assert sorted(named) == sorted(product((MILLED, HOBBED), (PINION, WHEEL), ("drive", "coast")))
    for rule in RULES:
        assert {rule.along_source, rule.across_source} <= {CHART, PRACTICE}
        assert rule.teeth == MILLED or CHART not in (rule.along_source, rule.across_source)


@pytest.mark.parametrize("flank", ["drive", "coast"])
def test_a_pinion_moves_hobbed_teeth_the_other_way_lengthwise_only(flank: str) -> None:
    """One move, opposite lengthwise, alike in depth."""
    milled, hobbed = (shift(teeth, PINION, flank) for teeth in (MILLED, HOBBED))
    assert hobbed == (-milled[0], milled[1])


# Both flanks in one depth, or in one place: what the charts show a cure for.
CURES = (
    ("middle root", "middle root", TEETH, [(PINION, "out", 0.05)]),
    ("middle tip", "middle tip", TEETH, [(PINION, "in", 0.05)]),
    ("toe root", "heel root", (MILLED,), [(PINION, "out", 0.05)]),
    ("heel root", "toe root", (HOBBED,), [(PINION, "out", 0.05)]),
    ("heel tip", "toe tip", (MILLED,), [(PINION, "in", 0.05)]),
    ("toe tip", "heel tip", (HOBBED,), [(PINION, "in", 0.05)]),
    ("heel middle", "heel middle", (MILLED,), [(WHEEL, "in", 0.05)]),
    ("heel middle", "toe middle", (HOBBED,), [(WHEEL, "in", 0.05)]),
)


@pytest.mark.parametrize(("drive", "coast", "kinds", "wanted"), CURES)
@pytest.mark.parametrize(("how_far", "times"), [("slight", 1), ("clear", 2), ("far", 4)])
def test_the_cure_of_the_charts(
    drive: str, coast: str, kinds: tuple[str, ...], wanted: list[tuple[str, str, float]],
    how_far: str, times: int,
) -> None:  # fmt: skip
    """Member, direction and amount: 0.05, 0.10 and 0.20 mm, from half to double."""
    for teeth in kinds:
        advice = judge_pattern(seen(teeth, drive, coast, how_far), None)
        member, direction, about = wanted[0]
        assert moves(advice) == [(member, direction, pytest.approx(about * times))]
        assert advice.moves[0].low_um == pytest.approx(advice.moves[0].about_um / 2.0)
        assert advice.moves[0].high_um == pytest.approx(advice.moves[0].about_um * 2.0)


def test_toe_on_both_flanks_of_tapered_teeth() -> None:
    """Clear of the middle the wheel goes away; slightly so it is what most makers want."""
    assert moves(judge_pattern(seen(MILLED, "toe middle", "toe middle", "clear"), None)) == [
        (WHEEL, "out", 0.1)
    ]
    advice = judge_pattern(seen(MILLED, "toe middle", "toe middle"), None)
    assert advice.status == GOOD and advice.toe_wanted
    assert judge_pattern(seen(MILLED, "heel middle", "heel middle"), None).status == MOVE


@pytest.mark.parametrize("teeth", TEETH)
def test_a_centred_pattern_is_good(teeth: str) -> None:
    """Both flanks in the middle: nothing to move, whatever the teeth."""
    advice = judge_pattern(Pattern(teeth, "new", CENTRE, CENTRE), None)
    assert (advice.status, advice.moves, advice.toe_wanted) == (GOOD, (), False)


@given(drive=FLANK, coast=FLANK, teeth=st.sampled_from(TEETH))
@repeatable(200)
def test_flanks_of_opposite_depth_contradict_every_move(
    drive: Flank, coast: Flank, teeth: str
) -> None:
    """Each move takes both flanks to one side in depth, so one of them would be worse."""
    drive, coast = replace(drive, across="tip"), replace(coast, across="root")
    for pair in ((drive, coast), (coast, drive)):
        advice = judge_pattern(Pattern(teeth, "new", *pair), None)
        assert (advice.status, advice.conflict, advice.moves) == (CONFLICT, "depth", ())


def test_other_contradictions_are_named() -> None:
    """Lengthwise against the rules, one flank alone, both ways at once."""
    assert judge_pattern(seen(MILLED, "heel middle", "toe middle"), None).conflict == "length"
    assert judge_pattern(seen(HOBBED, "heel middle", "heel middle"), None).conflict == "length"
    alone = Pattern(MILLED, "new", CENTRE, Flank("middle", "tip", "clear"))
    assert judge_pattern(alone, None).conflict == "one flank"
    assert judge_pattern(seen(MILLED, "heel middle", "toe root"), None).conflict == "both ways"


def test_a_mixed_cure_goes_pinion_first() -> None:
    """Root and heel on both flanks of tapered teeth: depth first, then the backlash."""
    advice = judge_pattern(seen(MILLED, "heel root", "heel root", "clear"), None)
    assert moves(advice) == [(PINION, "out", 0.1), (WHEEL, "in", 0.1)]


def test_used_gears_are_not_judged() -> None:
    """However it lies, and whether or not it was looked at; the reason is said."""
    for flanks in ((CENTRE, CENTRE), (Flank("toe", "root", "far"), None), (None, None)):
        advice = judge_pattern(Pattern(MILLED, "used", *flanks), None)
        assert (advice.status, advice.moves) == (USED, ())
    assert "worn" in pattern_sentences(advice)[0]


def test_one_flank_is_not_enough() -> None:
    """The flank that was not looked at is asked for."""
    advice = judge_pattern(Pattern(MILLED, "new", CENTRE, None), None)
    assert (advice.status, advice.asks) == (ASK, ("coast",))
    assert "coast" in pattern_sentences(advice)[0]


@given(drive=FLANK, coast=FLANK)
@repeatable(300)
@example(drive=Flank("toe", "root"), coast=Flank("heel", "root"))
def test_unknown_teeth_are_asked_for_where_it_matters(drive: Flank, coast: Flank) -> None:
    """Advice without knowing the teeth is the first of either kind, or the question which."""
    unknown, milled, hobbed = (
        judge_pattern(Pattern(teeth, "new", drive, coast), None)
        for teeth in (UNKNOWN, MILLED, HOBBED)
    )
    if unknown.status == MOVE:
        (found,) = unknown.moves
        for other in (milled, hobbed):
            first = other.moves[0]
            assert (found.member, found.direction) == (first.member, first.direction)
            assert found.about_um <= first.about_um
        assert unknown.confidence == "low" and unknown.asks == ("teeth",)
    elif unknown.status == ASK:
        assert unknown.asks == ("teeth",) and (milled.moves or hobbed.moves)
    else:
        assert unknown.status == milled.status == hobbed.status
        assert unknown.status in (GOOD, CONFLICT)


def moved_by_hand(teeth: str, flank: str, spot: tuple[float, float], advice: PatternAdvice):
    """Where a pattern lies after the moves, from TABLE and not from the judgement's own code."""
    along, across = spot
    for one in advice.moves:
        _, _, _, toward, deep = next(row for row in TABLE if row[:3] == (teeth, one.member, flank))
        by = one.about_um / STEP_UM * (1.0 if one.direction == "in" else -1.0)
        main = (0.3, 1.0) if one.member == PINION else (1.0, 0.3)
        along += by * main[0] * (1.0 if toward == "heel" else -1.0)
        across += by * main[1] * (1.0 if deep == "tip" else -1.0)
    return along, across


def off(spot: tuple[float, float]) -> float:
    """How bad a pattern is: depth counts double."""
    return 0.5 * spot[0] ** 2 + spot[1] ** 2


@given(drive=FLANK, coast=FLANK, teeth=st.sampled_from((MILLED, HOBBED)))
@repeatable(400)
@example(drive=Flank("toe", "root"), coast=Flank("heel", "root"), teeth=MILLED)
@example(drive=Flank("heel", "tip", "far"), coast=Flank("heel", "tip", "far"), teeth=MILLED)
def test_the_advised_moves_bring_the_pattern_nearer(drive: Flank, coast: Flank, teeth: str) -> None:
    """In a simulated shift: both flanks together at least two fifths, the drive flank never worse.

    Only that of the coast flank which is said to lose may lose.
    """
    advice = judge_pattern(Pattern(teeth, "new", drive, coast), None)
    if advice.status != MOVE:
        assert advice.moves == ()
        return
    spots = (drive.steps, coast.steps)
    after = [
        moved_by_hand(teeth, name, spot, advice)
        for name, spot in zip(("drive", "coast"), spots, strict=True)
    ]
    assert off(after[0]) <= off(spots[0]) + 1e-9
    assert (off(after[1]) > off(spots[1]) + 1e-9) == (advice.losing == "coast")
    before, left = (off(pair[0]) + 0.5 * off(pair[1]) for pair in (spots, after))
    assert left <= 0.6 * before + 1e-9
    assert advice.explained == pytest.approx(1.0 - left / before)
    for told, found in zip(advice.after, after, strict=True):
        assert told == pytest.approx(found)


SIDES = ("bearing", "cover")


@pytest.mark.parametrize("under", list(product(SIDES, SIDES)))
@pytest.mark.parametrize("teeth_seen", ["middle root", "middle tip"])
def test_the_wheels_shims_keep_the_backlash(under: tuple[str, str], teeth_seen: str) -> None:
    """By the carrier's own mechanics: what the pinion takes, the shims give back; pinch stays."""
    job = carrier(under)
    closes = (0.3, 0.1)
    advice = judge_pattern(seen(MILLED, teeth_seen, teeth_seen, "far"), job, closes)
    (move,) = advice.moves
    quantities = np.array([1300.0, 620.0, job.mesh.ratio, 0.4])
    before = np.array([[500.0, 900.0]]) * np.array([[seat.sign for seat in job.seats]])
    signs = tuple(seat.sign for seat in job.seats)
    change = np.array([[one.about_um for one in move.shims]])
    lash, squeeze = (
        [float(f.value[0]) for f in (kind(before + by) for by in (0.0 * change, change))]
        for kind in (
            lambda stacks: backlash(quantities, stacks, signs, None),
            lambda stacks: pinch(quantities, stacks, signs),
        )
    )
    pinion_in_um = move.about_um * (1.0 if move.direction == "in" else -1.0)
    assert lash[1] - closes[0] * pinion_in_um == pytest.approx(lash[0])
    assert squeeze[1] == pytest.approx(squeeze[0])
    assert [one.seat for one in move.shims] == [WHEEL_SIDE, PLAIN_SIDE]
    for one in move.shims:
        assert abs(one.low_um) < abs(one.about_um) < abs(one.high_um)


@pytest.mark.parametrize("under", list(product(SIDES, SIDES)))
def test_a_move_of_the_wheel_says_what_it_does_to_the_backlash(under: tuple[str, str]) -> None:
    """Wheel in by the move, pinch kept, backlash less by ratio times the move."""
    job = carrier(under)
    (move,) = judge_pattern(seen(MILLED, "heel middle", "heel middle"), job).moves
    signs = tuple(seat.sign for seat in job.seats)
    quantities = np.array([1300.0, 620.0, job.mesh.ratio, 0.4])
    before = np.array([[500.0, 900.0]]) * np.array([signs])
    after = before + np.array([[one.about_um for one in move.shims]])
    lash = [float(backlash(quantities, one, signs, None).value[0]) for one in (before, after)]
    assert lash[1] - lash[0] == pytest.approx(move.backlash_um)
    assert move.backlash_um == pytest.approx(-job.mesh.ratio * move.about_um)
    assert pinch(quantities, after, signs).value[0] == pytest.approx(
        pinch(quantities, before, signs).value[0]
    )


def carrier(under: tuple[str, str]) -> Job:
    """A job whose shims sit so. under: 'bearing' or 'cover', of both sides. Returns it."""
    seats = tuple(
        Seat(name, kind, 0, 3) for name, kind in zip((WHEEL_SIDE, PLAIN_SIDE), under, strict=True)
    )
    return a_job(seats=seats, mesh=Mesh(0.8, 0.1, 0.4, 0.2))


def test_without_a_job_what_stands_in_is_listed() -> None:
    """Usual ratio and seats; with a job its own, and only what it assumed itself."""
    pattern = seen(MILLED, "middle root", "middle root")
    usual = judge_pattern(pattern, None)
    assert any("transfer ratio 0.75" in said for said in usual.assumed)
    assert any("under the bearing" in said for said in usual.assumed)
    own = judge_pattern(pattern, carrier(("cover", "bearing")))
    assert own.assumed == ("backlash closes by 0.2 of a pinion's move, within 0.15",)
    assert own.moves[0].shims[0].about_um == pytest.approx(-50.0 * 0.2 / 0.8)
    assert usual.moves[0].shims[0].about_um == pytest.approx(50.0 * 0.2 / 0.75)


def test_a_drawing_keeps_order_and_sides() -> None:
    """Further off is further out, and never off the tooth."""
    placed = [drawn_at(steps) for steps in (-8.0, -4.0, -1.0, 0.0, 1.0, 2.0, 4.0, 8.0)]
    assert placed == sorted(placed) and placed[3] == 0.0
    assert len(set(placed)) == len(placed) and max(map(abs, placed)) < 1.0
    assert placed[4] == -placed[2]


@given(
    drive=FLANK, coast=FLANK, teeth=st.sampled_from(TEETH), gears=st.sampled_from(("new", "used"))
)
@repeatable(150)
def test_every_pattern_has_its_words(drive: Flank, coast: Flank, teeth: str, gears: str) -> None:
    """Text at most 88 wide; a move says guidance, band and shims; trade words as wanted."""
    pattern = Pattern(teeth, gears, drive, coast)
    job = replace(a_job(), pattern=pattern, words="US")
    advice = judge_pattern(pattern, job)
    text = pattern_as_text(pattern, advice, job)
    flat = " ".join(text.split())
    assert max(map(len, text.split("\n"))) <= 88
    assert "crown wheel" not in text and "manual is right" in flat
    assert ("not a measurement" in flat) == (advice.status == MOVE)
    assert pattern_headline(advice, job.unit, job.words).upper() in text
    if advice.moves:
        assert "wheel side about" in flat and "it may take" in flat


def test_a_guess_is_shown_without_idle_noughts() -> None:
    """0.05 mm, not 0.050; two thou, not 1.97."""
    assert [rough(50.0, unit) for unit in ("mm", "um", "thou", "in")] == [
        "0.05 mm", "50 µm", "2 thou", "0.002 in"
    ]  # fmt: skip
    assert rough(-100.0, "mm") == "0.1 mm" and rough(0.0, "um") == "0 µm"


def test_the_example_in_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    """The verb on the example: pinion out, about 0.05 mm, drawn; exit 1, for it is not good yet."""
    assert terminal.main(["pattern", str(EXAMPLE)]) == 1
    text = capsys.readouterr().out
    assert text.startswith("MOVE THE PINION OUT, ABOUT 0.05 MM\n")
    rows = text.split("\n")
    blot = [at for at, row in enumerate(rows) if "###" in row]
    tip, root = (
        next(at for at, row in enumerate(rows) if row.strip().startswith(end))
        for end in ("tip", "root")
    )
    assert blot and blot[0] - tip > root - blot[-1]  # nearer the root
    assert terminal.main(["pattern", str(EXAMPLE), "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["status"] == "move" and told["asks"] == []
    (move,) = told["moves"]
    assert (move["member"], move["direction"], move["about_um"]) == ("pinion", "out", 50.0)
    assert move["shims"]["wheel side"]["about_um"] == pytest.approx(50.0 * 0.2 / 0.72)
    assert move["shims"]["plain side"]["about_um"] == pytest.approx(-50.0 * 0.2 / 0.72)


def test_exit_codes_of_the_verb(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """0 for a good pattern, 2 for none at all and for slips, each with a line."""
    text, path = EXAMPLE.read_text("utf-8"), tmp_path / "job.toml"
    centred = 'along = "middle", across = "middle"'
    good = text.replace('along = "toe", across = "root"', centred)
    path.write_text(good.replace('along = "heel", across = "root"', centred), "utf-8")
    assert terminal.main(["pattern", str(path)]) == 0
    assert capsys.readouterr().out.startswith("GOOD PATTERN")
    path.write_text(text[: text.index("[pattern]\n")], "utf-8")
    assert terminal.main(["pattern", str(path)]) == 2
    assert "pattern: found nothing" in capsys.readouterr().err
    path.write_text(text.replace("face milled", "cast").replace('"slight"', '"much"'), "utf-8")
    assert terminal.main(["pattern", str(path)]) == 2
    assert capsys.readouterr().err.count("\n") == 3
