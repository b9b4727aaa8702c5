"""Published shim arithmetic and shim-to-backlash charts, through job files as a person writes them.

Where a workshop text leaves open what this program has to know (a spread, a side), the job's own
figure is invented and marked so.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from solver.answer import answer_job
from solver.drawer import Drawer
from solver.drawer_file import load_drawer
from solver.estimate import estimate_job
from solver.findings import Answer, ResultFound
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Spot, Teeth
from solver.job_file import load_table, read_job
from solver.job_mesh import USUAL_RATIO
from solver.least_squares import fit
from solver.mechanics import RATIO
from solver.rows import list_rows
from solver.teeth import spot_factor, transfer_ratio_from_teeth, wheel_pitch_deg

MICROMETER = """
[tools.micrometer]
within = "1 um"
repeat = "1 um"
step = "1 um"
"""
DIAL = """
[tools.dial]
within = "2 um"
repeat = "5 um"
step = "10 um"
"""
LADDER_Y = (0.10, 0.12, 0.15, 0.18, 0.30, 0.40, 0.50)  # mm, outboard lower units


def read(folder: Path, text: str) -> Job:
    """Write a job file and read it back. folder: for it; text: TOML. Returns the job."""
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return read_job(load_table(path), path.name, folder)


def answered(folder: Path, text: str, sizes: tuple[float, ...], unit: str, count: int) -> Answer:
    """Answer a job out of a drawer written as a CSV file.

    folder; text: the job; sizes: thicknesses [unit], measured to 1 µm; count: of each.
    """
    rows = [f"N{size:g},{size},{unit},{count},{WITHIN[unit]},micrometer" for size in sizes]
    header = "id,thickness,unit,count,within,tool"
    (folder / "drawer.csv").write_text("\n".join([header, *rows, ""]), encoding="utf-8")
    job = read(folder, f'drawer = "drawer.csv"\n{text}')
    assert job.drawer_path is not None
    return answer_job(job, load_drawer(job.drawer_path))


WITHIN = {"mm": 0.001, "thou": 0.04}  # one micrometre


def stacks_mm(answer: Answer) -> tuple[float, float]:
    """Wheel side and plain side of the answer's plan [mm], to 0.1 µm."""
    assert answer.verdict is not None
    plan = answer.verdict.plan
    wheel, plain = (plan.stack(name).thickness_um / 1000.0 for name in (WHEEL_SIDE, PLAIN_SIDE))
    return round(wheel, 4), round(plain, 4)


def result(answer: Answer, name: str) -> ResultFound:
    """One result of the answer's plan. name: 'backlash' or 'pinch'."""
    assert answer.verdict is not None
    return next(found for found in answer.verdict.results if found.name == name)


# --- shim-to-backlash charts ------------------------------------------------------------------

# Service manual charts of outboard lower units: backlash on the arm of the drive shaft against the
# change of shim that it asks for [mm]; the seat's shim opens the mesh. Then, from fits apart from
# this program: slope, backlash that asks for no change (None: not noted), transfer ratio.
CHARTS = {
    "Yamaha F150A, p. 351": (
        (0.0, 0.05, 0.10, 0.70, 0.75, 0.80, 0.85),
        (0.34, 0.30, 0.27, -0.14, -0.17, -0.21, -0.24),
        (-0.6806, 0.496, 1.469),
    ),
    "Yamaha F150B, p. 322": (
        (0.0, 0.05, 0.10, 0.75, 0.80),
        (0.36, 0.33, 0.29, -0.15, -0.18),
        (None, None, 1.475),
    ),
    "Yamaha F200B, p. 466": (
        (0.0, 0.05, 0.80, 0.85),
        (0.18, 0.15, -0.42, -0.45),
        (None, 0.245, 1.334),
    ),
}
Chart = tuple[tuple[float, ...], tuple[float, ...], tuple[float | None, ...]]


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS.keys())
def test_charts_are_lines(chart: Chart) -> None:
    """A line through a chart has the slope, zero and ratio noted, residuals under 0.005 mm.

    Source: the manuals named above; figures of the lines recomputed.
    """
    lash, change = np.array(chart[0]), np.array(chart[1])
    slope_by = np.column_stack([np.ones(len(lash)), lash])
    found = fit(lambda x: (slope_by @ x, slope_by), change, np.full(len(lash), 0.005), np.zeros(2))
    slope, zero, ratio = chart[2]
    assert -1.0 / found.x[1] == pytest.approx(ratio, abs=5.1e-4)
    assert np.abs(found.residual).max() < 0.005
    if slope is not None:
        assert found.x[1] == pytest.approx(slope, abs=5.1e-5)
    if zero is not None:
        assert -found.x[0] / found.x[1] == pytest.approx(zero, abs=5.1e-4)


@pytest.mark.parametrize("chart", CHARTS.values(), ids=CHARTS.keys())
def test_charts_as_trial_fits(chart: Chart, tmp_path: Path) -> None:
    """Read as trial fits, a chart's rows teach the transfer ratio that its line has.

    Source: as above. Shim that opens the mesh sits under a cover; a backlash of 0 is jammed, so a
    bound. Invented: a stack of 1.00 mm at no change, and preload held by the other side.
    """
    trials = "".join(
        f"""
[[readings]]
of = "backlash"
tool = "dial"
{"at_most = 0" if lash == 0 else f"value = {lash}"}
fitted = {{ "wheel side" = {1.0 - change:.2f}, "plain side" = 0 }}
"""
        for lash, change in zip(chart[0], chart[1], strict=True)
    )
    job = read(
        tmp_path,
        f"""
unit = "mm"
[seats]
"wheel side" = {{ under = "cover" }}
"plain side" = {{ under = "bearing" }}
[limits]
backlash = {{ low = 0.2, high = 0.6 }}
pinch = {{ low = "no limit", high = "no limit", counted = "total" }}
[mesh]
transfer_ratio = {{ value = 1.0, within = 0.9 }}
pinch_share = {{ value = 0.0, within = 0.0001 }}
{DIAL}
[[readings]]
of = "total clearance"
value = -5.0
within = 0.01
{trials}""",
    )
    estimate = estimate_job(job, Drawer(()))
    ratio = chart[2][2]
    assert ratio is not None
    assert estimate.fit.x[RATIO] == pytest.approx(ratio, abs=0.02)
    assert abs(estimate.fit.x[RATIO] - ratio) < 2 * estimate.fit.cov[RATIO, RATIO] ** 0.5
    assert estimate.fit.cov[RATIO, RATIO] ** 0.5 < 0.03  # where 0.52 was known before


def printed_range(shim: float, lash: float, digit: float) -> tuple[float, float]:
    """Between what a ratio lies whose shim and backlash are printed to a digit."""
    half = digit / 2
    return (lash - half) / (shim + half), (lash + half) / (shim - half)


def test_published_rules_of_thumb_lie_where_the_usual_ratio_is_put() -> None:
    """0.05 mm for 0.03 mm is 0.45 to 0.78; 3 for 2 thou and 10 for 7 lie in the usual 0.5 to 1.

    Source: GM axle text 2005 and car text 1998; GM 1996; the rule of 7 in 10 is common practice, no
    source. The transaxle text 01E takes 1.0, the upper end.
    """
    light_truck = printed_range(0.05, 0.03, 0.01)
    assert light_truck == pytest.approx((0.45, 0.78), abs=0.0051)
    low, high = USUAL_RATIO[0] - USUAL_RATIO[1], USUAL_RATIO[0] + USUAL_RATIO[1]
    for value in (2.0 / 3.0, 0.7, 1.0, 0.03 / 0.05):
        assert low <= value <= high
    assert light_truck[0] < USUAL_RATIO[0] < light_truck[1]


def test_the_teeth_of_a_car_axle_agree_with_the_published_range() -> None:
    """A 20 degree, 10/41 wheel at spiral 35, square to the flank, lies in GM's 0.45 to 0.78.

    Source: GM axle text 2005; the formula is own algebra.
    """
    teeth = Teeth(20.0, 20.0, wheel_pitch_deg(10, 41), 35.0)
    read_at = transfer_ratio_from_teeth(teeth) * spot_factor(
        Spot("square to the flank"), teeth, None
    )
    low, high = printed_range(0.05, 0.03, 0.01)
    assert low < read_at < high


def test_preload_shim_of_gmc_and_isuzu(tmp_path: Path) -> None:
    """S_w = mesh travel, S_p = C - g + 0.015 in: backlash is then ratio x share x 0.015 in.

    Source: GMC 1995 and Isuzu 1997 texts, which then want 0.004 to 0.009 in, so ratio x share lies
    in 0.27 to 0.60; the usual 0.75 and 0.5 put it at 5.6 thou, inside. C and g are invented.
    """
    answer = answered(
        tmp_path,
        f"""
unit = "thou"
[wanted]
chance = 0.5
[seats]
"wheel side" = {{ under = "bearing", least = 1, most = 1 }}
"plain side" = {{ under = "bearing", least = 1, most = 1 }}
[limits]
backlash = {{ low = 4, high = 9 }}
pinch = {{ low = 14, high = 16, counted = "total" }}
[mesh]
ratio = 4.1
{MICROMETER}
[[readings]]
of = "total clearance"
value = 100
within = 0.1
[[readings]]
of = "mesh gap"
value = 40
within = 0.1
""",
        (40.0, 75.0, 30.0, 50.0, 65.0, 85.0),
        "thou",
        1,
    )
    assert stacks_mm(answer) == (40 * 0.0254, 75 * 0.0254)
    assert result(answer, "pinch").predicted_um / 25.4 == pytest.approx(15.0, abs=1e-3)
    lash = result(answer, "backlash").predicted_um / 25.4
    assert lash == pytest.approx(0.75 * 0.5 * 15.0, abs=0.01)
    assert pytest.approx(0.27, abs=0.0051) == 4.0 / 15.0 and 9.0 / 15.0 == 0.60
    assert 4.0 < lash < 9.0


# --- worked arithmetic ------------------------------------------------------------------------


def transaxle(lash_low: float = 0.12, lash_high: float = 0.22) -> str:
    """The 01E job: trial shim 1.20 mm, end play 0.62, mean backlash 0.49 read towards the shim.

    That text's ratio is 1.0 and its preload moves the wheel by all of itself, since the wheel is
    set by the plain side's shim; invented: spreads, and a window of 0.02 mm about the preload.
    """
    return f"""
unit = "mm"
[seats]
"wheel side" = {{ under = "bearing", least = 1, most = 1 }}
"plain side" = {{ under = "bearing", least = 1, most = 1 }}
[limits]
backlash = {{ low = {lash_low}, high = {lash_high} }}
pinch = {{ low = 0.23, high = 0.27, counted = "total" }}
[mesh]
transfer_ratio = {{ value = 1.0, within = 0.02 }}
pinch_share = {{ value = 1.0, within = 0.01 }}
{MICROMETER}{DIAL}
[[readings]]
of = "end float"
tool = "dial"
value = 0.62
fitted = {{ "wheel side" = 0, "plain side" = 1.20 }}
[[readings]]                        # the trial shim less the backlash that it leaves
of = "far gap in mesh"
tool = "dial"
value = 0.71
"""


def test_transaxle_01e(tmp_path: Path) -> None:
    """S_total 2.07, S2 = 1.20 - 0.49 + 0.15 = 0.86 and S1 = 2.07 - 0.86 = 1.21, found in a drawer.

    Source: transaxle 01E workshop text, 1999: S_total = 1.20 + 0.62 + 0.25; accept 0.12 to 0.22.
    """
    assert round(1.20 + 0.62 + 0.25, 2) == 2.07 and round(1.20 - 0.49 + 0.15, 2) == 0.86
    sizes = (0.80, 0.86, 0.93, 1.14, 1.21, 1.27)
    answer = answered(tmp_path, transaxle(0.10, 0.20), sizes, "mm", 2)
    s1, s2 = stacks_mm(answer)
    assert (s1, s2, round(s1 + s2, 4)) == (1.21, 0.86, 2.07)
    assert result(answer, "backlash").predicted_um == pytest.approx(150.0, abs=1.0)
    assert result(answer, "pinch").predicted_um == pytest.approx(250.0, abs=1.0)
    assert answer.status == "met"


def test_transaxle_01e_total_stays_fixed(tmp_path: Path) -> None:
    """At a re-shim the total stays: a drawer that swaps 0.05 mm over still keeps 2.07 mm.

    Source: the same text, whose window of 0.12 to 0.22 has its middle at 0.17.
    """
    answer = answered(tmp_path, transaxle(), (0.83, 0.88, 1.19, 1.24), "mm", 1)
    assert stacks_mm(answer) == (1.19, 0.88)
    assert result(answer, "backlash").predicted_um == pytest.approx(170.0, abs=1.0)


def test_transaxle_01e_mean_of_four(tmp_path: Path) -> None:
    """Backlash readings of 0.28 0.30 0.30 0.28 have the mean 0.29.

    Source: the same text. They are of four places round the wheel, which may differ by 0.06 mm.
    """
    job = read(
        tmp_path,
        transaxle()
        + """
[[readings]]
of = "backlash"
tool = "dial"
values = [0.28, 0.30, 0.30, 0.28]
fitted = { "wheel side" = 1.07, "plain side" = 1.00 }
""",
    )
    estimate = estimate_job(job, Drawer(()))
    row = next(
        r
        for r in list_rows(job, Drawer(()), estimate.unknowns, estimate.axle)
        if r.of == "backlash"
    )
    assert row.spread.centre_um == pytest.approx(290.0, abs=1e-9)


def one_stack(clearance: str, low: str, high: str, most: int) -> str:
    """A job of one stack: a clearance to fill, with a window of pinch. Lengths with their units."""
    return f"""
unit = "mm"
[seats]
"wheel side" = {{ under = "bearing", least = 0, most = {most} }}
"plain side" = {{ under = "bearing", least = 0, most = 0 }}
[limits]
backlash = {{ low = "no limit", high = "no limit" }}
pinch = {{ low = "{low}", high = "{high}", counted = "total" }}
[mesh]
ratio = 4.1
{MICROMETER}
[[readings]]
of = "total clearance"
value = "{clearance}"
within = "2 um"
[[readings]]
of = "mesh gap"
value = "1 mm"
within = "10 um"
"""


# Outboard bevel gears (Yamaha texts): printed arithmetic, its result, the stack picked [mm].
OUTBOARD = [
    (82.00 - 0.05 - 50.75 - 30.52, 0.68, 0.68),
    (26.50 - 0.01 - 26.00, 0.49, 0.48),
    (28.60 + 0.05 - 28.08, 0.57, 0.55),
    (98.00 - 96.79 - 0.01, 1.20, 1.20),
    (28.30 - 27.00 - 0.05, 1.25, 1.25),
]


@pytest.mark.parametrize(("worked", "printed", "picked"), OUTBOARD)
def test_outboard(worked: float, printed: float, picked: float, tmp_path: Path) -> None:
    """The stack out of ladder Y is the printed one, or the one picked up to 0.02 mm below it.

    Source: outboard workshop texts (Yamaha); 8 µm either way is ours, for the pieces' errors.
    """
    assert round(worked, 2) == printed
    low = "-0.008 mm" if picked == printed else "-0.028 mm"
    job = one_stack(f"{worked:.3f} mm", low, "0.008 mm", 4)
    answer = answered(tmp_path, job, LADDER_Y, "mm", 4)
    assert answer.status == "met"
    assert stacks_mm(answer) == (picked, 0.0)


def differential(low_mm: float, high_mm: float, sizes: tuple[float, ...], folder: Path) -> Answer:
    """A rear differential with an invented gap of 2.500 mm (B - A, L1 - L2): a sum of two shims."""
    text = one_stack("2.500 mm", f"{low_mm} mm", f"{high_mm} mm", 2)
    text = text.replace("least = 0, most = 2", "least = 1, most = 1", 1)
    text = text.replace("least = 0, most = 0", "least = 1, most = 1", 1)
    return answered(folder, text, sizes, "mm", 1)


@pytest.mark.parametrize(
    ("low", "high", "inside", "outside"),
    [
        (0.110, 0.200, (1.310, 1.380), (1.200, 1.400)),  # Mazda: 2.610 to 2.700
        (0.110, 0.200, (1.305, 1.310), (1.295, 1.420)),  # its lower end
        (0.15, 0.21, (1.300, 1.355), (1.290, 1.425)),  # Nissan: 2.650 to 2.710
    ],
)
def test_differential_windows(
    low: float,
    high: float,
    inside: tuple[float, float],
    outside: tuple[float, float],
    tmp_path: Path,
) -> None:
    """Two shims whose sum lies in the window are found among those whose sums do not.

    Source: Mazda rear differential, B - A + 0.110 to B - A + 0.200 mm; Nissan, (L1 - L2) + 0.15 to
    0.21 mm, at most two shims.
    """
    answer = differential(low, high, (*inside, *outside), tmp_path)
    assert answer.status == "met"
    total = sum(stacks_mm(answer))
    assert 2.5 + low <= total <= 2.5 + high
    assert answer.verdict is not None and answer.verdict.plan.shims == 2


@pytest.mark.parametrize(("low", "high"), [(0.110, 0.200), (0.15, 0.21)])
def test_differential_windows_refuse_what_lies_outside(
    low: float, high: float, tmp_path: Path
) -> None:
    """Pairs 0.01 mm short of the window's ends are not taken for good. Source: as above."""
    for sum_mm in (2.5 + low - 0.01, 2.5 + high + 0.01):
        half = round(sum_mm / 2, 4)
        answer = differential(low, high, (half, half + 0.0002), tmp_path)
        assert answer.status != "met" and answer.chance < 0.01


# --- common practice, no source ---------------------------------------------------------------


def bench(total_thou: float) -> str:
    """A bench's readings: 8 thou fitted, 24.5 left, and a total that may not go with them."""
    return f"""
unit = "thou"
[limits]
backlash = {{ low = 3, high = 5 }}
pinch = {{ low = 1, high = 3, counted = "total" }}
[mesh]
ratio = 4.1
[tools.feelers]
{MICROMETER}
[[readings]]
of = "total clearance"
tool = "feelers"
value = {total_thou}
[[readings]]
of = "plain gap"
tool = "feelers"
value = 24.5
fitted = {{ "wheel side" = 8 }}
[[readings]]
of = "mesh gap"
tool = "feelers"
value = 10
"""


def test_readings_four_thou_apart_disagree(tmp_path: Path) -> None:
    """A total of 36.5 thou against 8 fitted and 24.5 left does not close, by 4 thou.

    Source: common practice, no source.
    """
    answer = answered(tmp_path, bench(36.5), (8.0, 12.0, 15.0, 20.0, 26.0), "thou", 2)
    assert answer.agreement.state == "disagree"
    words = " ".join(suspect.words("thou") for suspect in answer.agreement.suspects)
    assert "total clearance" in words and "plain gap" in words
    assert "4.0 thou apart" in words


def test_readings_that_close_agree(tmp_path: Path) -> None:
    """A total of 32.5 thou is what 8 fitted and 24.5 left make. Source: common practice."""
    answer = answered(tmp_path, bench(32.5), (8.0, 12.0, 15.0, 20.0, 26.0), "thou", 2)
    assert answer.agreement.state == "agree"
    assert answer.agreement.chi_square == pytest.approx(0.0, abs=1e-9)


def test_fifteen_and_twelve_make_twenty_seven(tmp_path: Path) -> None:
    """A clearance of 25 thou with a pinch of 2 takes 15 and 12 thou, 27 in all.

    Source: common practice, no source.
    """
    text = one_stack("25 thou", "1.5 thou", "2.5 thou", 2)
    answer = answered(tmp_path, text, (8.0, 12.0, 15.0, 20.0), "thou", 1)
    assert answer.verdict is not None
    stack = answer.verdict.plan.stack(WHEEL_SIDE)
    assert sorted(piece.thickness_um / 25.4 for piece in stack.pieces) == pytest.approx([12, 15])
    assert stack.thickness_um / 25.4 == pytest.approx(27.0)
    assert answer.status == "met"
