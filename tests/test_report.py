"""What a person sees: every state from answers built by hand, in words, width and JSON."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest

from solver import report
from solver.findings import Answer, Normal, Share
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Limit, Seat, Spot
from solver.report import answer_as_json, answer_as_text
from tests.answers import a_job, a_plan, a_verdict, against, met, none, short

BELOW_WANTED = 0.88
EXAMPLES = (
    Limit("backlash", 127.0, 203.2, example=True),
    Limit("pinch", 127.0, 203.2, counted="each side", example=True),
)
RUBBISH = a_job(title="x" * 300 + "\x1b[31m\n" + "words " * 60)
STATES = {
    "met": met(),
    "short": short(),
    "short, one piece not enough": short(enough=False),
    "short, no shim can": short(ceiling=BELOW_WANTED, enough=False),
    "none": none(),
    "none, mended": none(mend=short().mend),
    "disagree": met(agreement=against()),
    "disagree and short": short(agreement=against()),
    "look again": met(agreement=against("look again", 0.03)),
    "one-sided": met(agreement=against("disagree", None)),
    "US, mm, examples": met(job=a_job(words="US", unit="mm", limits=EXAMPLES, left_out=(3, 5))),
    "inches": short(job=a_job(unit="in")),
    "micrometres": short(job=a_job(unit="um")),
    "rubbish title": met(job=RUBBISH),
    "stopped": met(normal=Normal(a_plan(), 0.966, False)),
    "few builds": met(verdict=replace(a_verdict(), effective=40.0)),
}


def one_line(text: str) -> str:
    """Undo the wrapping."""
    return " ".join(text.split())


@pytest.mark.parametrize("answer", STATES.values(), ids=STATES.keys())
def test_every_state_fits_the_width_and_shows_nothing_unprintable(answer: Answer) -> None:
    """No line is wider than 88, none ends in a blank, no control character gets through."""
    text = answer_as_text(answer)
    assert max(len(line) for line in text.split("\n")) <= 88
    assert all(line == line.rstrip() and line.isprintable() for line in text.split("\n"))
    assert text.endswith("\n") and not text.endswith("\n\n")
    assert "\n\n\n" not in text
    assert "None" not in text and "nan" not in text.lower().split()


def test_a_met_answer_says_first_what_to_fit() -> None:
    """The first lines are the deed, then each seat with its total in both systems and pieces."""
    lines = answer_as_text(met()).split("\n")
    assert lines[0] == "FIT THESE 3 SHIMS"
    assert lines[3:7] == [
        "  wheel side, under the bearing: 16.0 thou (0.406 mm)",
        "      1 x A7, 16.0 thou (0.406 mm)",
        "  plain side, under the bearing: 30.5 thou (0.775 mm)",
        "      2 x B3, 15.25 thou (0.387 mm) each",
    ]


def test_a_met_answer_holds_every_part() -> None:
    """Verdict, limits, dial, jam, what it hangs on, readings, assumptions and others are there."""
    text = one_line(answer_as_text(met()))
    for said in (
        "MET: 96 of 100 builds like this would land inside every limit; you asked for 95 of 100.",
        "backlash 5.0 to 8.0 thou 6.4 thou 5.3 to 7.6 97 of 100",
        "dial gauge at the tooth edge along the rotation should show 6.4 thou (0.163 mm)",
        "5.3 to 7.6 thou (0.134 to 0.193 mm)",
        "Chance of a jam (no backlash at all): fewer than 1 of 1000 builds.",
        "hangs most on transfer ratio: 61 % of the spread of the backlash",
        "known perfectly: 99 of 100 builds. A trial fit settles it",
        "Nothing checks these; a slip in one of them would not be noticed: - total clearance",
        "Assumed, not measured - transfer ratio 0.72 within 0.12",
        "2 shims (1 fewer), 81 of 100: wheel side A7 = 16.0 thou; plain side B3 = 15.25 thou"
        " (backlash 5.9, end float 1.0)",
        "4 shims (1 more), 97 of 100",
    ):
        assert said in text


def test_readings_that_disagree_come_before_any_plan() -> None:
    """The headline and the suspects stand above the first piece, and nothing is to be cut."""
    for answer in (STATES["disagree"], STATES["disagree and short"]):
        text = answer_as_text(answer)
        assert text.startswith("MEASURE AGAIN FIRST\n")
        assert text.index("cannot all be right") < text.index("(reading 1) says 51.2 thou")
        assert text.index("(reading 1) says 51.2 thou") < text.index("Not to be built")
        assert text.index("Not to be built") < text.index("1 x A7")
        assert "cut or bought" not in text and "razor" not in text
    assert "MET, if the readings stood" in answer_as_text(STATES["disagree"])


def test_odds_are_only_told_where_they_are_what_speaks() -> None:
    """A one-sided reading can disagree where the chi-square has nothing to say."""
    assert report.agreement_sentence(STATES["disagree"]) == (
        "These readings cannot all be right: sound ones differ this much in 2 of 1000 jobs."
    )
    odds = "These readings cannot all be right."
    assert report.agreement_sentence(STATES["one-sided"]) == odds
    assert report.agreement_sentence(met(agreement=against("disagree", 0.6))) == odds
    assert report.agreement_sentence(met()) == ""


def test_an_answer_that_is_short_says_what_would_mend_it_before_the_plan() -> None:
    """The one thickness to cut or buy, with the plan it belongs to and the care in cutting."""
    text = answer_as_text(short())
    flat = one_line(text)
    assert text.startswith("SHORT OF WHAT YOU WANT\n")
    assert "SHORT: 81 of 100 builds" in flat
    assert "One piece of 16.25 thou (0.413 mm) for the plain side, cut or bought" in flat
    assert "96 of 100 builds (95 of 100 asked for)" in flat
    assert "plain side B3 + new = 31.5 thou" in flat
    assert text.index("cut or bought") < text.index("The best there is in this drawer:")
    assert "razor edges: wear gloves" in flat and "clamp it" in flat and "drill snags" in flat


def test_where_no_shim_can_mend_it_the_reading_to_improve_is_named() -> None:
    """A ceiling below what is wanted sends the user to the bench, not to the tin snips."""
    text = one_line(answer_as_text(STATES["short, no shim can"]))
    assert "No shim can mend this: with any thicknesses whatever, at most 88 of 100" in text
    assert "What falls short is the measuring. A trial fit settles it" in text
    assert "cut or bought" not in text and "razor" not in text and "With it:" not in text


def test_no_stack_at_all_names_the_limit_in_conflict() -> None:
    """Without a plan there is no dial, no jam and no piece, but the nearest and the limits."""
    text = answer_as_text(none())
    assert text.startswith("NO STACK FITS\n")
    flat = one_line(text)
    assert "The thickest stack leaves pinch at 1.0 thou, 4.0 thou below its limit." in flat
    assert "backlash 5.0 to 8.0 thou" in flat
    assert "jam" not in flat and "dial" not in flat and "A7" not in flat


def test_example_limits_are_said_loudly_before_the_plan() -> None:
    """The word stands in capitals above the first piece and again in each row."""
    text = answer_as_text(STATES["US, mm, examples"])
    assert text.index("EXAMPLE LIMITS, from no manual") < text.index("1 x A7")
    assert text.count("EXAMPLE\n") == 2
    assert "EXAMPLE" not in answer_as_text(met())


def test_each_trade_hears_its_own_words() -> None:
    """UK and US words never stand in one text; the files' own names in lists are kept."""
    uk, us = answer_as_text(met()), answer_as_text(STATES["US, mm, examples"])
    for word in ("crown wheel", "end float", "dial gauge"):
        assert word in uk and word not in us
    for word in ("ring gear", "end play", "dial indicator", "side-bearing preload"):
        assert word in us and word not in uk


def test_pinch_is_said_in_total_and_each_side() -> None:
    """Older texts count pinch each side, so both are always shown."""
    assert report.pinch_sentence(met()) == (
        "The job states pinch in total: 5.0 to 8.0 thou in total, 2.5 to 4.0 thou each side."
    )
    said = report.pinch_sentence(STATES["US, mm, examples"])
    assert "preload each side: 0.127 to 0.203 mm in total, 0.064 to 0.102 mm each side" in said


def test_readings_left_out_and_scattered_are_named() -> None:
    """Nothing is dropped in silence."""
    assert "Left out, as the job says: readings 3 and 5." in answer_as_text(
        STATES["US, mm, examples"]
    )
    text = one_line(answer_as_text(STATES["disagree"]))
    assert "scatter more than their tool is said to, or drift: - mesh gap (reading 2)" in text


def test_a_search_that_was_stopped_claims_no_proof() -> None:
    """'Proved' stands only where it is."""
    assert "Proved" not in answer_as_text(STATES["stopped"])
    assert "Not proved" in answer_as_text(STATES["stopped"])
    assert "Proved: fewer shims" in answer_as_text(met())
    passed = met(verdict=a_verdict(plan=a_plan(3)))  # the simulation asked for one more
    assert "3 shims would do by the normal law alone" in one_line(answer_as_text(passed))


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "fewer than 1 of 100"),
        (0.0099, "fewer than 1 of 100"),
        (0.29, "29 of 100"),
        (0.9299, "92 of 100"),
        (0.9499, "94 of 100"),
        (0.95, "95 of 100"),
        (0.9949, "99 of 100"),
        (0.995, "more than 99 of 100"),
        (1.0, "more than 99 of 100"),
    ],
)
def test_counts_are_never_certain_and_never_rounded_up(chance: float, said: str) -> None:
    """94.99 of 100 is not the 95 that was wanted; 0 and 100 of 100 are never promised."""
    assert report.counts(chance) == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "fewer than 1 of 1000"),
        (0.00099, "fewer than 1 of 1000"),
        (0.001, "1 of 1000"),
        (0.0012, "2 of 1000"),
        (0.01, "10 of 1000"),
        (0.0301, "4 of 100"),
        (1.0, "more than 99 of 100"),
    ],
)
def test_a_risk_is_never_rounded_down(chance: float, said: str) -> None:
    """A chance of something bad leans to the safe side."""
    assert report.risk_counts(chance) == said


@pytest.mark.parametrize(
    ("value_um", "unit", "fine", "said"),
    [
        (406.4, "thou", True, "16.0 thou (0.406 mm)"),
        (387.35, "thou", True, "15.25 thou (0.387 mm)"),
        (387.35, "in", True, "0.01525 in (0.387 mm)"),
        (127.0, "mm", True, "0.127 mm (5.0 thou)"),
        (127.0, "um", False, "127 µm (5.0 thou)"),
        (2000.0, "um", True, "2000 µm (78.7 thou)"),
        (-0.1, "thou", False, "0.0 thou (0.000 mm)"),
        (-25.4, "thou", False, "-1.0 thou (-0.025 mm)"),
    ],
)
def test_lengths_are_shown_in_both_systems(
    value_um: float, unit: str, fine: bool, said: str
) -> None:
    """The job's unit leads, the other system stands beside it. Source: 1 in = 25.4 mm, exact."""
    assert report.both_lengths(value_um, unit, fine) == said


def test_limits_open_on_one_side_are_said_so() -> None:
    """An infinite limit is 'no limit', never 'inf'."""
    assert report.window(127.0, math.inf, "thou") == "at least 5.0 thou"
    assert report.window(-math.inf, 203.2, "thou") == "at most 8.0 thou"
    assert report.window(-math.inf, math.inf, "thou") == "no limit"


MOVED = {  # what each wording does to (wheel side, plain side)
    "move shim from the wheel side to the plain side, the total kept": (-1, 1),
    "move shim from the plain side to the wheel side, the total kept": (1, -1),
    "take the same thickness out of both sides": (-1, -1),
    "add the same thickness to both sides": (1, 1),
}


@pytest.mark.parametrize("wheel", ["bearing", "cover"])
@pytest.mark.parametrize("plain", ["bearing", "cover"])
def test_the_move_advised_opens_the_backlash_and_keeps_the_pinch(wheel: str, plain: str) -> None:
    """By b = r(g − τw·Sw + φp) and p = τw·Sw + τp·Sp − C, whatever the seats are under."""
    seats = (Seat(WHEEL_SIDE, wheel, 0, 4), Seat(PLAIN_SIDE, plain, 0, 4))
    said = report.move_sentence(met(job=a_job(seats=seats)))
    advised = said.removeprefix("Backlash too small: ").split(";")[0]
    moved_wheel, moved_plain = MOVED[advised]
    sign = {"bearing": 1, "cover": -1}
    assert sign[wheel] * moved_wheel + sign[plain] * moved_plain == 0  # pinch
    assert -sign[wheel] * moved_wheel > 0  # backlash
    assert "For each 1.0 thou of backlash that takes about 1.4 thou" in said  # 1 / 0.72


def test_the_dial_stands_where_the_limit_is_stated() -> None:
    """A limit on a lever is not read at the tooth."""
    lever = Spot(read="square to the tooth", radius_um=79000.0, off_tooth=True)
    job = a_job(unit="mm", limits=(Limit("backlash", 120.0, 220.0, lever), a_job().limits[1]))
    said = report.expect_sentence(met(job=job))
    assert "on the lever or flange, 79.000 mm from the axis, square to the tooth" in said


@pytest.mark.parametrize(
    ("share", "said"),
    [
        (Share("transfer ratio", 0.6, 1.0, 0.99, None), "A trial fit settles it"),
        (Share("pinch share", 0.6, 1.0, 0.99, None), "two different totals of shim"),
        (Share("mesh gap (reading 2)", 0.6, 1.0, 0.99, 2), "Narrow reading 2 (mesh gap)"),
        (Share("total clearance (reading 1)", 0.6, 1.0, 0.99, 1), "Take reading 1"),
        (Share("feelers (common error)", 0.6, 1.0, 0.99, None), "Check the feelers against"),
        (Share("C1", 0.6, 1.0, 0.99, None), "Measure C1 with a micrometer"),
        (Share("A7", 0.6, 1.0, 0.99, None), "Measure A7 again"),
        (Share("something new", 0.6, 1.0, 0.99, None), "Pin down something new better"),
    ],
)
def test_what_to_do_fits_the_input_that_the_answer_hangs_on(share: Share, said: str) -> None:
    """A bracket is narrowed, repeats are repeated, a tool is checked, a shim is measured."""
    assert said in report.do_about(met(budget=(("backlash", (share,)),)))


def test_while_readings_disagree_those_come_first() -> None:
    """No other reading is advised before what disagrees has been read again."""
    share = Share("pinch share", 0.6, 1.0, 0.99, None)
    answer = met(budget=(("backlash", (share,)),), agreement=against())
    assert report.do_about(answer).startswith("First read again what disagrees")


def test_without_a_budget_nothing_is_advised() -> None:
    """No input to blame, no sentence."""
    assert report.do_about(none()) == "" and report.hangs_on_sentence(none()) == ""


@pytest.mark.parametrize(
    "said",
    [
        "ten times both ways before every reading",
        "marked, and torqued",
        "original races",
        "Never draw the caps down on a crown wheel that is hard in mesh",
        "Tap a shim in, never drive it",
        "no further than its maker allows",
        "preload the pinion before the mesh gap or any backlash is read",
        "several teeth round the wheel and the contact pattern decide",
        "manual is right",
        "differential case with its bearings, never the housing",
    ],
)
def test_every_caution_is_given(said: str) -> None:
    """Each caution of the job stands in the text."""
    assert said in one_line(answer_as_text(met()))


KEYS = {
    "status",
    "chance",
    "wanted",
    "shims",
    "seats",
    "results",
    "normal",
    "estimates",
    "agreement",
    "assumed",
    "others",
    "budget",
}
MORE_KEYS = {
    "jam_chance",
    "effective",
    "mend",
    "nearest",
    "round",
    "warm",
    "at_bench",
    "left_out",
    "title",
    "unit",
    "examples",
}


@pytest.mark.parametrize("answer", STATES.values(), ids=STATES.keys())
def test_the_json_has_the_same_keys_in_every_state_and_survives_a_strict_writer(
    answer: Answer,
) -> None:
    """Nothing infinite, nothing that is not JSON, no key that comes and goes."""
    told = answer_as_json(answer)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert set(told) == KEYS | MORE_KEYS
    assert set(told["seats"]) == {WHEEL_SIDE, PLAIN_SIDE}
    assert set(told["results"]) == {"backlash", "pinch"}
    for result in told["results"].values():
        assert set(result) == {
            "predicted_um", "u_um", "low_um", "high_um", "chance", "expect_um", "freedom",
            "expanded_um",
        }  # fmt: skip


def test_the_json_of_a_met_answer_is_as_the_contract_says() -> None:
    """Keys below the top and values, by hand."""
    told = answer_as_json(met())
    assert (told["status"], told["chance"], told["wanted"], told["shims"]) == (
        "met",
        0.962,
        0.95,
        3,
    )
    assert told["seats"][WHEEL_SIDE] == {
        "thickness_um": 406.4,
        "pieces": [{"id": "A7", "count": 1, "thickness_um": 406.4}],
    }
    assert told["seats"][PLAIN_SIDE]["thickness_um"] == 774.7
    assert told["results"]["backlash"]["expect_um"] == [134.1, 192.6]
    assert told["results"]["backlash"]["freedom"] == 40.0
    assert told["results"]["backlash"]["expanded_um"] == 30.5
    assert told["results"]["pinch"]["freedom"] is None  # infinite
    assert set(told["normal"]) == {"shims", "chance", "proved", "seats"}
    assert told["normal"]["proved"] is True
    assert told["estimates"]["mesh gap"] == {"value_um": 622.3, "u_um": 9.4}
    assert told["estimates"]["transfer ratio"] == {"value": 0.72, "u": 0.069}
    agreement = told["agreement"]
    assert agreement["p"] is None and agreement["state"] == "unchecked"
    assert agreement["unchecked"] == ["total clearance (reading 1)", "mesh gap (reading 2)"]
    assert {"chi_square", "freedom", "suspects"} <= set(agreement)
    assert told["others"][0]["shims"] == 2 and {"chance", "seats"} <= set(told["others"][0])
    first = told["budget"]["backlash"][0]
    assert (first["input"], first["share"], first["chance_if_perfect"]) == (
        "transfer ratio",
        0.61,
        0.991,
    )


def test_the_json_without_a_plan_has_empty_seats() -> None:
    """Status 'none': no piece anywhere, nulls where nothing is known."""
    told = answer_as_json(none())
    assert told["seats"][WHEEL_SIDE] == {"thickness_um": 0, "pieces": []}
    assert told["shims"] == 0 and told["normal"] is None
    assert told["results"]["backlash"]["predicted_um"] is None
    assert told["results"]["backlash"]["low_um"] == 127.0


def test_an_infinite_limit_is_null() -> None:
    """JSON has no infinity."""
    open_end = replace(a_verdict().results[0], high_um=math.inf)
    told = answer_as_json(met(verdict=replace(a_verdict(), results=(open_end,))))
    assert told["results"]["backlash"]["high_um"] is None
    suspects = answer_as_json(met(agreement=against()))["agreement"]["suspects"]
    assert suspects == ["total clearance (reading 1) says 51.2 thou, the others make it 46.9 thou"]
