"""Lines of dimensions: published stacks, laws against closed forms, choice against every plan."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.answer import answer_job
from solver.choice import begin_search, choose
from solver.drawer import Drawer, Lot
from solver.estimate import Estimate, estimate_job
from solver.freedom import effective_freedom, student_quantile
from solver.job import IN_LINE, Job, Limit, Reading, Seat, Stack, Tool
from solver.job_file import read_job
from solver.job_mesh import UNUSED_MESH
from solver.law import law_of
from solver.line import Dimension, Line, bare_name
from solver.line_fit import at_bench
from solver.normal import normal_cdf
from solver.plan import Plan, SeatStack
from solver.report_line import line_sentences
from solver.simulation import Builds, log_density, simulate_builds
from solver.verdict import judge, normal_chance, predict_plan, quantiles
from solver.warmth import at_work
from tests.brute import every_plan
from tests.jobs import MICROMETER, repeatable

MM = 1000.0
CALLIPER = Tool("calliper", 20.0, 10.0, 10.0, 0.0, "calliper")
EXACT = Tool("exact", 0.0, 1e-3, 0.0, 0.0, "micrometer")


def a_line_job(
    dimensions: tuple[Dimension, ...],
    lines: tuple[Line, ...],
    windows_um: tuple[tuple[float, float], ...],
    readings: tuple[Reading, ...] = (),
    *,
    wanted: float = 0.8,
    most: int = 2,
) -> Job:
    """A job of lines alone; its seats are those of the lines."""
    names = dict.fromkeys(seat for line in lines for seat, _ in line.seats)
    tools = tuple({one.tool.name: one.tool for one in readings if one.tool}.values())
    return Job(
        title="", unit="mm", drawer_path=None, wanted_chance=wanted,
        seats=tuple(Seat(name, IN_LINE, 0, most) for name in names),
        limits=tuple(
            Limit(line.name, low, high)
            for line, (low, high) in zip(lines, windows_um, strict=True)
        ),
        mesh=UNUSED_MESH, tools=tools, readings=readings, dimensions=dimensions, lines=lines,
    )  # fmt: skip


def nothing_in(job: Job) -> Plan:
    """The plan with no shims."""
    return Plan(tuple(SeatStack(seat.name, ()) for seat in job.seats))


def standing(job: Job) -> tuple[Estimate, np.ndarray, np.ndarray]:
    """Estimate of a job, its results with no shims and their covariance."""
    estimate = estimate_job(job, Drawer(()))
    mean, cov = predict_plan(job, Drawer(()), estimate, nothing_in(job))
    return estimate, mean, cov


def results_of(job: Job, builds: Builds) -> np.ndarray:
    """The first line's result in every build, by plain arithmetic; names as in the job."""
    names = [one.name for one in job.dimensions]
    places = {name: at for at, name in enumerate(names)}
    factors = np.array([[places[name], factor] for name, factor in job.lines[0].terms])
    return np.asarray(builds.x[:, factors[:, 0].astype(int)] @ factors[:, 1])


def rectangular(*sds: float) -> tuple[tuple[Dimension, ...], Line]:
    """Dimensions of these standard deviations, rectangular, and the line of their sum."""
    parts = tuple(Dimension(f"part {at}", 0.0, sd * math.sqrt(3.0)) for at, sd in enumerate(sds))
    return parts, Line("sum", tuple((one.name, 1.0) for one in parts), (("seat", -1.0),))


@pytest.mark.parametrize(
    ("values", "signs", "nominal"),
    [
        # outboard bevel gears, drive shaft end play; printed arithmetic of workshop texts
        ((82.00, 0.05, 50.75, 30.52), (1, -1, -1, -1), 0.68),
        ((26.50, 0.01, 26.00), (1, -1, -1), 0.49),
        ((28.60, 0.05, 28.08), (1, 1, -1), 0.57),
        ((98.00, 96.79, 0.01), (1, -1, -1), 1.20),
        ((28.30, 27.0, 0.05), (1, -1, -1), 1.25),
        # spread of a case: 389.230 - 389.000
        ((389.230, 389.000), (1, -1), 0.230),
    ],
)
def test_printed_arithmetic(
    values: tuple[float, ...], signs: tuple[int, ...], nominal: float
) -> None:
    """The shim that a workshop text prints closes the line to nothing.

    Source: check values, printed workshop arithmetic of outboard and lift-truck texts.
    """
    parts = tuple(Dimension(f"m{at}", value * MM, 1.0) for at, value in enumerate(values))
    terms = tuple((one.name, float(sign)) for one, sign in zip(parts, signs, strict=True))
    job = a_line_job(parts, (Line("left", terms, (("seat", -1.0),)),), ((-5.0, 5.0),))
    drawer = Drawer((Lot("right", nominal * MM, 1, 1.0), Lot("thick", nominal * MM + 40.0, 1, 1.0)))
    answer = answer_job(job, drawer)
    assert answer.status == "met" and answer.verdict is not None
    assert answer.verdict.plan.stacks[0].pieces[0].id == "right"
    assert answer.verdict.results[0].predicted_um == pytest.approx(0.0, abs=1e-6)


def test_two_shims_of_a_differential() -> None:
    """The sum of two shims lies between B - A + 0.110 and B - A + 0.200 mm, two at most each.

    Source: check values, a rear differential's printed rule; A and B invented.
    """
    a, b = Dimension("A", 150.00 * MM, 1.0), Dimension("B", 151.40 * MM, 1.0)
    line = Line("squeeze", (("A", 1.0), ("B", -1.0)), (("left", 1.0), ("right", 1.0)))
    job = a_line_job((a, b), (line,), ((110.0, 200.0),), wanted=0.99)
    lots = tuple(Lot(f"L{t}", float(t), 1, 2.0) for t in (500, 600, 700, 850, 930))
    answer = answer_job(job, Drawer(lots))
    assert answer.status == "met" and answer.verdict is not None
    total = sum(stack.thickness_um for stack in answer.verdict.plan.stacks)
    assert 1.400 * MM + 110.0 <= total <= 1.400 * MM + 200.0
    assert answer.verdict.plan.shims == 2


@pytest.mark.parametrize(("sds", "half"), [((1.0,) * 4, 3.8794), ((1.0, 1.0, 1.0, 10.0), 17.0)])
def test_gum_supplement_9_2(sds: tuple[float, ...], half: float) -> None:
    """95 % of a sum of rectangulars, drawn by this program's simulation.

    Source: JCGM 101 9.2.3 (3.8794 exact) and 9.2.4 (17.0; the normal law would say 19.9).
    """
    parts, line = rectangular(*sds)
    job = a_line_job(parts, (line,), ((-100.0, 100.0),))
    estimate, mean, cov = standing(job)
    assert mean[0] == pytest.approx(0.0, abs=1e-9)
    assert math.sqrt(cov[0, 0]) == pytest.approx(math.hypot(*sds), rel=1e-6)
    builds = simulate_builds(job, estimate, 1_000_000)
    low, high = quantiles(builds, results_of(job, builds), (0.025, 0.975))
    assert (high - low) / 2.0 == pytest.approx(half, rel=0.004)
    assert builds.effective == pytest.approx(1_000_000)


def test_gum_supplement_9_2_normal() -> None:
    """Four normal inputs: 95 % within 3.92. Source: JCGM 101 9.2.2; k = 3, half a tolerance 3."""
    parts = tuple(Dimension(f"part {at}", 0.0, 3.0, "normal", 3.0) for at in range(4))
    line = Line("sum", tuple((one.name, 1.0) for one in parts), (("seat", -1.0),))
    job = a_line_job(parts, (line,), ((-100.0, 100.0),))
    estimate, _, cov = standing(job)
    assert math.sqrt(cov[0, 0]) == pytest.approx(2.0, rel=1e-9)
    builds = simulate_builds(job, estimate, 1_000_000)
    low, high = quantiles(builds, results_of(job, builds), (0.025, 0.975))
    assert (high - low) / 2.0 == pytest.approx(3.92, abs=0.01)


def irwin_hall(x: float, halves: tuple[float, ...]) -> float:
    """Chance that a sum of rectangulars of these half-widths is below x, exactly.

    Source: the convolution of uniforms, by inclusion and exclusion over the corners of their box.
    """
    n, total = len(halves), 0.0
    for corner in range(2**n):
        signs = [1 if corner >> at & 1 else -1 for at in range(n)]
        edge = x + sum(s * h for s, h in zip(signs, halves, strict=True))
        parity = math.prod(signs)
        total += parity * max(edge, 0.0) ** n
    return total / (math.factorial(n) * math.prod(2.0 * h for h in halves))


@pytest.mark.parametrize("halves", [(10.0, 10.0), (10.0, 25.0), (10.0, 20.0, 35.0)])
@pytest.mark.parametrize("measured", [False, True])
def test_simulation_against_the_exact_convolution(
    halves: tuple[float, ...], measured: bool
) -> None:
    """The simulated chance of a sum of two or three rectangulars, as drawn or as read."""
    terms = tuple((f"p{at}", 1.0) for at in range(len(halves)))
    parts = tuple(
        Dimension(name) if measured else Dimension(name, 100.0, half)
        for (name, _), half in zip(terms, halves, strict=True)
    )
    readings = tuple(
        Reading(at + 1, name, None, values_um=(100.0,), within_um=half)
        for at, ((name, _), half) in enumerate(zip(terms, halves, strict=True))
    )
    middle = 100.0 * len(halves)
    low, high = middle - 0.7 * max(halves), middle + 0.9 * max(halves)
    line = Line("sum", terms, (("seat", -1.0),))
    job = a_line_job(parts, (line,), ((low, high),), readings if measured else ())
    estimate = estimate_job(job, Drawer(()))
    builds = simulate_builds(job, estimate, 400_000)
    verdict = judge(job, Drawer(()), estimate, nothing_in(job), builds)
    exact = irwin_hall(high - middle, halves) - irwin_hall(low - middle, halves)
    assert verdict.chance == pytest.approx(exact, abs=0.003)


@pytest.mark.parametrize("sd", [0.0, 1.5])
def test_density_of_two_uniforms(sd: float) -> None:
    """The density of two uniforms and a normal, against adding it up numerically."""
    x = np.linspace(-40.0, 40.0, 16_001)
    dense = np.exp(log_density(x, 6.0, 2.0, sd))
    assert np.trapezoid(dense, x) == pytest.approx(1.0, abs=1e-5)
    assert np.trapezoid(dense * x**2, x) == pytest.approx(12.0 + 4.0 / 3.0 + sd**2, rel=1e-4)
    first, second = (np.where(np.abs(x) <= h, 1.0 / (2.0 * h), 0.0) for h in (6.0, 2.0))
    both = np.convolve(first, second, "same") * (x[1] - x[0])
    if sd:
        both = np.convolve(both, np.exp(-((x / sd) ** 2) / 2) / (sd * math.sqrt(math.tau)), "same")
        both *= x[1] - x[0]
    assert dense == pytest.approx(both, abs=2e-4)


def test_triangular_and_normal_tolerances() -> None:
    """a / sqrt 6 and a / k. Source: GUM 4.3.9 and 4.3.4."""
    for shape, k, u in (("triangular", 3.0, 12.0 / 6.0**0.5), ("normal", 2.0, 6.0)):
        part = Dimension("part", 100.0, 12.0, shape, k)
        line = Line("left", (("part", 1.0),), (("seat", -1.0),))
        job = a_line_job((part,), (line,), ((-1e3, 1e3),))
        estimate, _, cov = standing(job)
        assert math.sqrt(cov[0, 0]) == pytest.approx(u, rel=1e-9)
        builds = simulate_builds(job, estimate, 400_000)
        assert float(np.std(builds.x[:, 0])) == pytest.approx(u, rel=0.01)
        if shape == "triangular":
            assert np.abs(builds.x[:, 0] - 100.0).max() <= 12.0


def read(number: int, of: str, *values_mm: float, tool: Tool = CALLIPER) -> Reading:
    """A reading in mm."""
    return Reading(number, of, tool, values_um=tuple(value * MM for value in values_mm))


def test_one_tool_for_both_ends() -> None:
    """The common error of a tool leaves a difference and doubles in a sum.

    Source: check values: two readings with one fully shared error, the difference has u 0.
    """
    parts = (Dimension("outer"), Dimension("inner"))
    exact = replace(CALLIPER, repeat_um=1e-3, step_um=0.0)
    both = (read(1, "outer", 50.0, tool=exact), read(2, "inner", 49.0, tool=exact))
    for sign, u in ((-1.0, 0.0), (1.0, 2.0 * 20.0 / 3.0**0.5)):
        line = Line("left", (("outer", 1.0), ("inner", sign)), (("seat", -1.0),))
        job = a_line_job(parts, (line,), ((-1e9, 1e9),), both)
        _, _, cov = standing(job)
        assert math.sqrt(cov[0, 0]) == pytest.approx(u, abs=0.01)


@repeatable(100)
@given(
    within=st.floats(1.0, 200.0), read_within=st.floats(1.0, 200.0), off=st.floats(-0.5, 0.5),
    shape=st.sampled_from(["rectangular", "triangular", "normal"]),
)  # fmt: skip
def test_a_reading_beside_the_drawing_is_never_wider(
    within: float, read_within: float, off: float, shape: str
) -> None:
    """Known both ways a part is known at least as well as either way alone."""
    part = Dimension("part", 100.0, within, shape)
    shown = Reading(1, "part", None, values_um=(100.0 + off * within,), within_um=read_within)
    line = Line("left", (("part", 1.0),), (("seat", -1.0),))
    both, drawn, alone = (
        math.sqrt(standing(a_line_job((one,), (line,), ((-1e9, 1e9),), readings))[2][0, 0])
        for one, readings in (
            (part, (shown,)), (part, ()), (Dimension("part"), (shown,)),
        )
    )  # fmt: skip
    assert both <= min(drawn, alone) * (1.0 + 1e-9)


@repeatable(100)
@given(st.lists(st.tuples(st.floats(-50.0, 50.0), st.floats(0.5, 40.0)), min_size=1, max_size=5))
def test_a_line_turned_round(parts: list[tuple[float, float]]) -> None:
    """All signs turned and the window mirrored: the same chance, the result mirrored."""
    dimensions = tuple(
        Dimension(f"p{at}", value, within) for at, (value, within) in enumerate(parts)
    )
    found = []
    for turn in (1.0, -1.0):
        terms = tuple((one.name, turn * (-1.0) ** at) for at, one in enumerate(dimensions))
        line = Line("left", terms, (("seat", -turn),))
        window = (-30.0, 60.0) if turn > 0 else (-60.0, 30.0)
        job = a_line_job(dimensions, (line,), (window,))
        estimate, mean, cov = standing(job)
        chance = normal_chance(job, Drawer(()), estimate, nothing_in(job))
        found.append((turn * mean[0], cov[0, 0], chance))
    assert found[0] == pytest.approx(found[1], rel=1e-9, abs=1e-9)


def test_warm_line() -> None:
    """Aluminium of 150 mm on steel, 60 K: the free length grows by 0.1035 mm (4.1 thou).

    Source: linear expansion, 23 and 11.5 millionths per kelvin (handbook values, from memory).
    """
    case = Dimension("case", 150.0 * MM, 1.0, metal="aluminium", per_k=23e-6, about_um=150.0 * MM)
    shaft = Dimension("shaft", 150.0 * MM, 1.0, metal="steel", per_k=11.5e-6, about_um=150.0 * MM)
    line = Line("float", (("case", 1.0), ("shaft", -1.0)), (("seat", -1.0),), celsius=80.0)
    job = a_line_job((case, shaft), (line,), ((-1e9, 1e9),))
    _, mean, cov = standing(job)
    assert mean[0] == pytest.approx(103.5, abs=0.01)
    alloys = math.hypot(207.0, 103.5) * 0.1 / 3.0**0.5  # either known within a tenth
    assert cov[0, 0] == pytest.approx(2.0 / 3.0 + alloys**2, rel=1e-6)
    cold = a_line_job((case, shaft), (replace(line, celsius=20.0),), ((-1e9, 1e9),))
    assert standing(cold)[1][0] == pytest.approx(0.0, abs=1e-9)


def test_read_while_warm() -> None:
    """A float read at 80 degrees with a trial shim in says what it is at 20 degrees."""
    case = Dimension("case", 150.0 * MM, 5e3, metal="aluminium", per_k=23e-6, about_um=150.0 * MM)
    shaft = Dimension("shaft", 150.0 * MM, 5e3, metal="steel", per_k=11.5e-6, about_um=150.0 * MM)
    line = Line("float", (("case", 1.0), ("shaft", -1.0)), (("seat", -1.0),))
    shown = Reading(
        1, "float", EXACT, values_um=(203.5,), fitted=(Stack("seat", 400.0),), celsius=80.0
    )
    job = a_line_job((case, shaft), (line,), ((-1e9, 1e9),), (shown,))
    _, mean, _ = standing(job)
    assert mean[0] == pytest.approx(100.0 + 400.0 * (1.0 + 11.5e-6 * 60.0), abs=0.3)


def test_a_line_of_which_only_the_gap_is_read() -> None:
    """No part is told: the gap with a trial shim in is enough."""
    line = Line("float", ((bare_name("float"), 1.0),), (("seat", -1.0),))
    shown = Reading(1, "float", MICROMETER, values_um=(150.0,), fitted=(Stack("seat", 400.0),))
    job = a_line_job((Dimension(bare_name("float")),), (line,), ((40.0, 60.0),), (shown,))
    drawer = Drawer((Lot("A", 400.0, 1, 2.0), Lot("B", 500.0, 1, 2.0), Lot("C", 600.0, 1, 2.0)))
    answer = answer_job(job, drawer)
    assert answer.verdict is not None and answer.verdict.plan.stacks[0].pieces[0].id == "B"
    assert answer.verdict.results[0].predicted_um == pytest.approx(50.0, abs=1e-6)


@st.composite
def jobs_with_drawers(draw: st.DrawFn) -> tuple[Job, Drawer]:
    """One to three seats in one or two lines that share parts and seats, with a small drawer."""
    seats = [f"seat {at}" for at in range(draw(st.integers(1, 3)))]
    parts = tuple(
        Dimension(f"p{at}", draw(st.floats(400.0, 900.0)), draw(st.floats(2.0, 15.0)),
                  draw(st.sampled_from(["rectangular", "normal"])))
        for at in range(3)
    )  # fmt: skip
    lines, windows = [], []
    for at in range(draw(st.integers(1, 2))):
        mine = draw(st.lists(st.sampled_from(seats), min_size=1, max_size=3, unique=True))
        signs = tuple((name, draw(st.sampled_from([-1.0, 1.0]))) for name in mine)
        factors = tuple((one.name, draw(st.sampled_from([-1.0, 1.0]))) for one in parts[at:])
        lines.append(Line(f"line {at}", factors, signs))
        middle = sum(f * (p.drawn_um or 0.0) for (_, f), p in zip(factors, parts[at:], strict=True))
        middle += sum(sign * draw(st.sampled_from([200.0, 300.0, 520.0])) for _, sign in signs)
        half = draw(st.floats(10.0, 60.0))
        windows.append((middle - half, middle + half))
    lots = tuple(
        Lot(f"L{at}", draw(st.sampled_from([100.0, 200.0, 305.0, 410.0, 520.0])) + at,
            draw(st.integers(1, 2)), draw(st.floats(0.5, 6.0)),
            draw(st.sampled_from(["micrometer", ""])))
        for at in range(draw(st.integers(2, 4)))
    )  # fmt: skip
    readings = (Reading(1, "p2", MICROMETER, values_um=(parts[2].drawn_um or 0.0,)),)
    job = a_line_job(parts, tuple(lines), tuple(windows), readings,
                     wanted=draw(st.sampled_from([0.5, 0.8, 0.95])))  # fmt: skip
    used = {seat.name for seat in job.seats}
    assert used
    return job, Drawer(lots)


@repeatable(60)
@given(jobs_with_drawers())
def test_choice_against_every_plan(case: tuple[Job, Drawer]) -> None:
    """Fewest pieces and best chance, whatever lines share."""
    job, drawer = case
    estimate = estimate_job(job, drawer)
    law = law_of(job, estimate)
    every = every_plan(job, drawer, estimate, law)
    found = choose(begin_search(job, drawer, estimate), job.wanted_chance)
    right = every.rightful(job.wanted_chance)
    if right is None:
        assert found is None
        return
    fewest, best = right
    assert found is not None
    assert found.plan.shims == fewest or (
        abs(found.chance - best) <= 0.0006 and found.chance < job.wanted_chance
    )
    assert found.chance == pytest.approx(best, abs=0.0055 if not found.proved else 0.0051)


def text_job(text: str, folder: Path = Path()) -> Job:
    """Read a job of lines from TOML."""
    import tomllib

    return read_job(tomllib.loads(text), "job.toml", folder)


LAYSHAFT = """
title = "Layshaft"
unit = "mm"
[dimensions]
"case depth" = { low = 83.95, high = 84.05, metal = "aluminium" }
"shaft" = { drawn = 82.0, within = 0.02, metal = "steel" }
[[lines]]
result = "end float"
low = 0.05
high = 0.20
temperature = 60
terms = { "case depth" = 1, "shaft" = -1 }
seats = { "front cover" = -1, "rear cover" = -1 }
[tools.micrometer]
within = 0.004
repeat = 0.003
step = 0.01
[[readings]]
of = "shaft"
tool = "micrometer"
values = [82.01, 82.01, 82.02]
[[readings]]
of = "end float"
tool = "micrometer"
fitted = { "front cover" = 1.0, "rear cover" = 0.4 }
value = 0.55
temperature = 24
"""


def test_a_file_of_lines() -> None:
    """Everything that a file says of its lines arrives."""
    job = text_job(LAYSHAFT)
    assert not job.carrier and not job.axle and job.trial_of == "end float"
    assert [one.name for one in job.dimensions] == ["case depth", "shaft"]
    depth = job.dimensions[0]
    assert (depth.drawn_um, depth.within_um) == pytest.approx((84_000.0, 50.0))
    assert depth.metal == "aluminium" and depth.per_k == pytest.approx(23e-6)
    assert job.lines[0].celsius == 60.0
    assert job.lines[0].terms == (("case depth", 1.0), ("shaft", -1.0))
    assert [seat.name for seat in job.seats] == ["front cover", "rear cover"]
    assert job.seats[0].effect == "more shim, less end float"
    limit = job.limit("end float")
    assert (limit.low_um, limit.high_um) == pytest.approx((50.0, 200.0))
    assert job.readings[1].fitted[0] == Stack("front cover", 1000.0)
    assert job.seats_read("end float") == ("front cover", "rear cover")
    assert job.seats_read("shaft") == ()


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('high = 0.20', 'high = 0.01', "low below high"),
        ('result = "end float"', 'result = "backlash"', "a name of its own"),
        ('"shaft" = -1 }', '"shaft" = 0 }', "1 or -1"),
        ('"shaft" = { drawn = 82.0, within = 0.02', '"shaft" = { drawn = 82.0', "within"),
        ('low = 83.95, high = 84.05', 'low = 84.05, high = 83.95', "low below high"),
        ('low = 83.95, high = 84.05', 'low = 83.95, drawn = 84', "one of the two ways"),
        ('metal = "steel"', 'metal = "stee"', "steel"),
        ('of = "shaft"', 'of = "shafts"', "shaft"),
        ('"rear cover" = 0.4', '"rear lid" = 0.4', "rear cover"),
        ('"shaft" = { drawn', '"shaf" = { drawn', "dimension"),
        ('temperature = 60', 'temperature = "hot"', "degrees Celsius"),
        ('metal = "aluminium" }', 'metal = "aluminium", k = 2 }', 'shape = "normal"'),
        ('[[lines]]', '[lines]', "a list of lines"),
    ],
)  # fmt: skip
def test_faults_of_a_file(old: str, new: str, said: str) -> None:
    """What is wrong with a line is said with its place and a way out."""
    from solver.trouble import Trouble

    assert old in LAYSHAFT
    with pytest.raises(Trouble) as caught:
        text_job(LAYSHAFT.replace(old, new, 1))
    assert said in str(caught.value)


def test_a_part_that_nothing_tells_of() -> None:
    """A part with neither drawing nor reading is named; a reading of the line is not enough for
    two of them, and is enough for the sum."""
    from solver.trouble import Trouble

    none = LAYSHAFT.replace('"case depth" = { low = 83.95, high = 84.05, metal = "aluminium" }', "")
    job = text_job(none)  # the float that was read settles it
    assert estimate_job(job, Drawer(())).fit.x[0] == pytest.approx(82_013.0 + 1950.0, abs=15.0)
    apart = (
        none.replace('of = "end float"', 'of = "shaft"')
        .replace('fitted = { "front cover" = 1.0, "rear cover" = 0.4 }', "")
        .replace("value = 0.55", "value = 82.01")
    )
    with pytest.raises(Trouble, match="nothing that settles the case depth"):
        text_job(apart)


def test_no_place_for_shims() -> None:
    """A line without a seat can be read and added up, but nothing can be chosen for it."""
    from solver.trouble import Trouble

    part = Dimension("part", 100.0, 10.0)
    job = a_line_job((part,), (Line("left", (("part", 1.0),), ()),), ((-1e3, 1e3),))
    assert standing(job)[1][0] == pytest.approx(100.0)
    with pytest.raises(Trouble, match="a place for shims"):
        answer_job(job, Drawer(()))


JUNK: tuple[object, ...] = (
    0, 1, -1, 1e9, -5.0, math.nan, math.inf, "", "x", "0.1 mm", [], {}, [1], {"a": 1}, True,
    "steel", "no limit", 1e-9, "end float", {"low": 1, "high": 2},
)  # fmt: skip


def places_of(table: object, before: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Every place in a table."""
    inner: list[tuple[str | int, object]] = []
    if isinstance(table, dict):
        inner = list(table.items())
    elif isinstance(table, list):
        inner = list(enumerate(table))
    found = [before] if before else []
    for key, value in inner:
        found += places_of(value, (*before, key))
    return found


@repeatable(150)
@given(st.data())
def test_rubbish_is_a_job_or_a_trouble(data: st.DataObject) -> None:
    """Whatever is put wherever in a file of lines: a job that adds up, or faults of one line."""
    import copy
    import tomllib
    from typing import Any

    from solver.stackup import add_up
    from solver.trouble import Trouble

    table: dict[str, Any] = tomllib.loads(LAYSHAFT)
    for _ in range(data.draw(st.integers(1, 3))):
        *way, last = data.draw(st.sampled_from(places_of(table)))
        inner: Any = table
        for part in way:
            inner = inner[part]
        if data.draw(st.booleans()):
            inner[last] = copy.deepcopy(data.draw(st.sampled_from(JUNK)))
        else:
            del inner[last]
        if not table:
            break
    try:
        job = read_job(table, "job.toml", Path())
        if job.lines:
            add_up(job, Drawer(()), None, 500)
    except Trouble as trouble:
        assert all(str(fault).isprintable() for fault in trouble.faults)


def test_a_line_beside_a_carrier() -> None:
    """A carrier with a line of its own: one plan, one joint chance, warm figures of the carrier."""
    from importlib.resources import files

    from solver.terminal_inputs import read_inputs

    folder = Path(str(files("stock_lists")))
    text = (folder / "example.toml").read_text("utf-8")
    text += """
[warmth]
housing = "aluminium"
carrier = "steel"
width = "150 mm"
working = 60
[dimensions]
"flange face" = { drawn = "31.00 mm", within = "0.02 mm" }
"seal depth" = { drawn = "30.20 mm", within = "0.02 mm" }
[[lines]]
result = "seal squeeze"
low = "-0.1 mm"
high = "0.1 mm"
terms = { "flange face" = 1, "seal depth" = -1 }
seats = { "seal spacer" = -1 }
"""
    drawer = read_inputs(folder / "example.toml", None)[1]
    alone = answer_job(read_inputs(folder / "example.toml", None)[0], drawer)
    job = text_job(text, folder)
    assert job.carrier and [seat.name for seat in job.seats][2:] == ["seal spacer"]
    answer = answer_job(job, drawer)
    assert answer.verdict is not None and alone.verdict is not None
    names = [one.name for one in answer.verdict.results]
    assert names == ["backlash", "pinch", "seal squeeze"]
    assert answer.chance <= min(one.chance for one in answer.verdict.results) + 1e-9
    assert answer.verdict.plan.stacks[2].pieces
    assert answer.verdict.plan.shims >= alone.verdict.plan.shims + 1
    warm = at_work(answer)
    assert warm is not None and warm.celsius == 60.0


def test_gum_supplement_9_5_to_first_order() -> None:
    """The gauge block as a line: 838 nm over 50 mm, u 32, 99 % from 745 to 931.

    Source: JCGM 101 9.5, first-order part (inputs and u as printed, the band from memory); the two
    products of small differences stand with their slopes, 50 000 623 nm times 11.5e-6 for the
    blocks' difference in temperature, and -0.1 K for that in expansion. Nanometres throughout.
    """
    u = {
        "standard": 25.0, "difference": 6.0, "comparator, random": 4.0,
        "comparator, systematic": 7.0,
        "apart in temperature": math.sqrt(0.050**2 / 3.0 + 0.025**2 / 9.0),
        "apart in expansion": math.sqrt(1.0**2 / 3.0 + 0.1**2 / 9.0),  # millionths per kelvin
    }  # fmt: skip
    freedoms = [18.0, 24.0, 5.0, 8.0, 2.0, 50.0]  # of the last two as in GUM table H.1
    values = {"standard": 623.0, "difference": 215.0}
    slopes = {"apart in temperature": -50_000_623.0 * 11.5e-6, "apart in expansion": 50.0 * 0.1}
    parts = tuple(
        Dimension(name, values.get(name, 0.0), one, "normal", 1.0) for name, one in u.items()
    )
    terms = tuple((name, slopes.get(name, 1.0)) for name in u)
    job = a_line_job(parts, (Line("length", terms, ()),), ((-1e9, 1e9),))
    _, mean, cov = standing(job)
    total = math.sqrt(cov[0, 0])
    assert mean[0] == pytest.approx(838.0) and round(total) == 32
    shares = [abs(factor) * u[name] for name, factor in terms]
    t = student_quantile(0.99, math.floor(effective_freedom(shares, freedoms)))
    assert (mean[0] - t * total, mean[0] + t * total) == pytest.approx((745.0, 931.0), abs=1.5)


def test_builds_agree_with_the_law_where_a_line_was_read() -> None:
    """Drawn, read, and the whole line read warm: the builds are what they have to be."""
    parts = (
        Dimension("case", 84.0 * MM, 20.0, metal="aluminium", per_k=23e-6, about_um=84.0 * MM),
        Dimension("shaft", 82.0 * MM, 40.0, "triangular"),
    )
    line = Line("float", (("case", 1.0), ("shaft", -1.0)), (("seat", -1.0),))
    readings = (
        Reading(1, "shaft", None, values_um=(82.0 * MM + 12.0,), within_um=30.0),
        Reading(2, "float", MICROMETER, values_um=(1560.0,), fitted=(Stack("seat", 500.0, 4.0),),
                celsius=50.0),
    )  # fmt: skip
    job = a_line_job(parts, (line,), ((-1e9, 1e9),), readings)
    estimate, mean, cov = standing(job)
    builds = simulate_builds(job, estimate, 200_000)
    assert builds.effective > 20_000
    floats = results_of(job, builds)
    middle = float(builds.weight @ floats)
    assert middle == pytest.approx(mean[0], abs=0.5)
    spread = math.sqrt(float(builds.weight @ (floats - middle) ** 2))
    assert spread == pytest.approx(math.sqrt(cov[0, 0]), rel=0.05)
    # the shaft: its triangle cut off by its reading, and by the case through the line
    off = np.linspace(-18.0, 40.0, 5801)
    beside = [normal_cdf((end - off - (middle - 2.0 * MM)) / spread) for end in (20.0, -20.0)]
    weight = (40.0 - np.abs(off)) * (beside[0] - beside[1])
    centre = float(weight @ off / weight.sum())
    exact = math.sqrt(float(weight @ (off - centre) ** 2 / weight.sum()))
    shafts = builds.x[:, 1] - 82.0 * MM
    assert float(builds.weight @ shafts) == pytest.approx(centre, abs=0.3)
    found = math.sqrt(float(builds.weight @ (shafts - builds.weight @ shafts) ** 2))
    assert found == pytest.approx(exact, rel=0.02)


def test_what_to_measure_cold() -> None:
    """A line whose limits hold at 80 degrees is told as it will be at the bench, at 20."""
    case = Dimension("case", 150.4 * MM, 1.0, metal="aluminium", per_k=23e-6, about_um=150.4 * MM)
    shaft = Dimension("shaft", 150.0 * MM, 1.0, metal="steel", per_k=11.5e-6, about_um=150.0 * MM)
    line = Line("float", (("case", 1.0), ("shaft", -1.0)), (("seat", -1.0),), celsius=80.0)
    job = a_line_job((case, shaft), (line,), ((50.0, 150.0),))
    answer = answer_job(job, Drawer((Lot("A", 400.0, 1, 2.0),)))
    (shown,) = at_bench(answer)
    assert answer.verdict is not None and shown.working_c == 80.0
    assert shown.predicted_um == pytest.approx(0.0, abs=1e-6)
    warm = answer.verdict.results[0].predicted_um
    assert warm == pytest.approx(207.552 - 103.5 - 400.0 * 11.5e-6 * 60.0, abs=0.01)
    assert shown.low_um < 0.0 < shown.high_um < 10.0
    assert "(its limits hold at 80 °C)" in " ".join(line_sentences(answer))
