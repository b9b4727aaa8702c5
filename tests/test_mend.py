"""The mend: one thickness that, put in the drawer, brings the wanted chance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver.answer import answer_job
from solver.drawer import Drawer, Lot
from solver.estimate import estimate_job
from solver.findings import Mend
from solver.job import PLAIN_SIDE, WHEEL_SIDE, Job, Mesh, Reading, Seat
from solver.law import law_of
from solver.mend import GRID_UM, NEW
from tests.brute import every_plan
from tests.jobs import GAUGE, THOU_UM, TOOLS, a_job


def planted(wanted: float = 0.9, unit: str = "thou", **changes: object) -> Job:
    """An axle that wants 19 thou on the wheel side and 38.7 on the plain side. Returns its job."""
    readings = (
        Reading(1, "total clearance", GAUGE, values_um=(51.2 * THOU_UM,) * 3),
        Reading(2, "mesh gap", GAUGE, values_um=(24.5 * THOU_UM,) * 3),
    )
    job = a_job(
        wanted=wanted,
        readings=readings,
        mesh=Mesh(0.72, 0.03, 0.5, 0.1),
        tools=(*TOOLS, GAUGE),
        seats=(Seat(WHEEL_SIDE, "bearing", 1, 2), Seat(PLAIN_SIDE, "bearing", 1, 2)),
    )
    return replace(job, unit=unit, **changes)


def lot(lot_id: str, thou: float, count: int = 1) -> Lot:
    """A measured lot. thou: its thickness. Returns it."""
    return Lot(lot_id, thou * THOU_UM, count, 1.0, "micrometer")


WHEEL_LEFT = Drawer((lot("A", 38.7), lot("B", 4.0, 2), lot("C", 60.0)))  # 19 is missing
PLAIN_LEFT = Drawer((lot("A", 19.0), lot("B", 4.0, 2), lot("C", 60.0)))  # 38.7 is missing


def mended(job: Job, drawer: Drawer, mend: Mend) -> Drawer:
    """The drawer with the mend's piece in it, known as well as its best-known piece."""
    return replace(drawer, lots=(*drawer.lots, lot(NEW, mend.thickness_um / THOU_UM)))


@pytest.mark.parametrize("drawer", [WHEEL_LEFT, PLAIN_LEFT], ids=["wheel side", "plain side"])
def test_the_missing_thickness_is_found_and_mends(drawer: Drawer) -> None:
    """Short without it; with the mend's piece added to the drawer the same job is met."""
    job = planted()
    short = answer_job(job, drawer)
    assert short.status in ("short", "none")
    assert short.mend is not None and short.mend.enough
    assert short.mend.chance >= 0.9
    after = answer_job(job, mended(job, drawer, short.mend))
    assert after.status == "met"
    assert after.mend is None
    assert after.verdict is not None and after.normal is not None
    assert after.normal.plan.shims <= short.mend.plan.shims
    used = {piece.id for stack in after.normal.plan.stacks for piece in stack.pieces}
    assert NEW in used


MENDABLE = {
    "wheel side missing": WHEEL_LEFT,
    "plain side missing": PLAIN_LEFT,
    "either would do": Drawer((lot("A", 38.7), lot("B", 4.0, 2), lot("C", 12.0), lot("D", 21.5))),
    "only beside another": Drawer((lot("A", 10.0), lot("B", 28.5), lot("C", 15.2, 2))),
}


@pytest.mark.parametrize("wanted", [0.9, 0.9999999])
@pytest.mark.parametrize("drawer", MENDABLE.values(), ids=MENDABLE.keys())
def test_no_other_thickness_mends_better(drawer: Drawer, wanted: float) -> None:
    """Against every plan with every thickness on the grid: as few pieces, or as high a chance."""
    job = planted(wanted)
    answer = answer_job(job, drawer)
    if answer.status == "met":
        pytest.fail("this drawer needs no mend: the test compares nothing")
    assert answer.mend is not None
    fewest, top = 99, 0.0
    for step in range(4, 90):  # 2 to 45 thou: more than either seat wants
        wider = replace(drawer, lots=(*drawer.lots, lot(NEW, step / 2.0)))
        estimate = estimate_job(job, wider)
        every = every_plan(job, wider, estimate, law_of(job, estimate))
        with_new = np.array([wheel[-1] + plain[-1] > 0 for wheel, plain in every.counts])
        top = max(top, float(every.chance[with_new].max()))
        reached = every.pieces[with_new & (every.chance >= wanted)]
        fewest = min(fewest, int(reached.min(initial=99)))
    assert answer.mend.enough == (fewest < 99)
    if answer.mend.enough:
        assert answer.mend.plan.shims == fewest
    else:
        assert answer.mend.chance >= top - 0.005


@pytest.mark.parametrize("unit", ["mm", "thou"])
def test_the_mend_is_a_thickness_that_a_shop_can_be_asked_for(unit: str) -> None:
    """On the grid of the unit, with the new piece in the plan of the seat that is named."""
    mend = answer_job(planted(unit=unit), WHEEL_LEFT).mend
    assert mend is not None
    steps = mend.thickness_um / GRID_UM[unit]
    assert steps == pytest.approx(round(steps), abs=1e-9)
    pieces = [piece for piece in mend.plan.stack(mend.seat).pieces if piece.id == NEW]
    assert [(piece.count, piece.thickness_um) for piece in pieces] == [(1, mend.thickness_um)]


def test_the_mend_takes_no_more_than_the_drawer_holds() -> None:
    """Beside the new piece, each lot is used no more often than it is there."""
    mend = answer_job(planted(), WHEEL_LEFT).mend
    assert mend is not None
    for one in WHEEL_LEFT.lots:
        used = sum(
            piece.count
            for stack in mend.plan.stacks
            for piece in stack.pieces
            if piece.id == one.id
        )
        assert used <= one.count


def test_where_no_thickness_is_enough_that_is_said() -> None:
    """A ratio known to a third of itself: no piece reaches 0.99, and the ceiling says so."""
    job = planted(0.99, mesh=Mesh(0.72, 0.36, 0.5, 0.25))
    answer = answer_job(job, WHEEL_LEFT)
    assert answer.mend is not None
    assert not answer.mend.enough
    assert answer.mend.chance < 0.99
    assert answer.mend.ceiling < 0.99


def test_a_lot_that_is_called_new_already_is_not_mistaken_for_the_mend() -> None:
    """The user may call a lot what they like: the mend is the same as under any other name."""
    plain = answer_job(planted(), WHEEL_LEFT).mend
    named = Drawer(
        tuple(
            replace(one, id=NEW, within_um=40.0) if one.id == "C" else one
            for one in WHEEL_LEFT.lots
        )
    )
    other = answer_job(planted(), named).mend
    assert plain is not None and other is not None
    assert (other.seat, other.thickness_um) == (plain.seat, plain.thickness_um)
    assert other.chance == pytest.approx(plain.chance, abs=1e-9)


def test_where_nothing_fits_the_nearest_is_told_in_words() -> None:
    """Pieces far too thin: no plan has a chance; the nearest and the missed limit are told."""
    answer = answer_job(planted(), Drawer((lot("A", 4.0, 2), lot("B", 5.0, 2))))
    assert answer.status == "none"
    assert answer.verdict is None and answer.budget == () and answer.others == ()
    assert answer.nearest.startswith("The nearest that fits in the seats is wheel side")
    assert "pinch" in answer.nearest
