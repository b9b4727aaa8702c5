"""Undo and redo."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from desktop.drawer_edits import add_row, count_by, remove_rows, set_cell
from desktop.edits import Table, set_at
from desktop.history import DRAWER, History, Snapshot
from desktop.typed import Number
from solver.drawer_sheet import Sheet, new_sheet
from solver.trouble import Place

GOES: Place = ("readings", 0, "goes")
STOPS: Place = ("readings", 0, "stops")


def start() -> History:
    """A history with nothing done."""
    return History(Snapshot({"title": "a", "readings": [{"of": "mesh gap"}]}, new_sheet()))


def typed(history: History, place: Place, value: object) -> History:
    """The history after one key in a field."""
    table = set_at(place, value)(history.now.table)
    return history.edited(Snapshot(table, history.now.sheet), place, typing=True)


def test_typing_in_one_field_is_one_step() -> None:
    """Keys typed in one field are undone at once, those in the next field apart."""
    history = start()
    for text in ("2", "24", "24."):
        history = typed(history, GOES, text)
    history = typed(history, STOPS, "25")
    assert len(history.past) == 2
    assert history.undone().now.table["readings"][0] == {"of": "mesh gap", "goes": "24."}
    assert history.undone().undone().now.same(start().now)


def test_leaving_the_field_ends_the_step() -> None:
    """Typing in a field again after leaving it is a step of its own."""
    history = typed(typed(start(), GOES, "2").settled(), GOES, "3")
    assert len(history.past) == 2
    assert history.undo_place == GOES


def test_typed_back_is_no_step() -> None:
    """Typing a field back to what it said leaves nothing to undo."""
    history = typed(typed(start(), GOES, "2"), GOES, None)
    assert not history.can_undo
    assert history.now.same(start().now)


def test_nothing_changed_is_no_step() -> None:
    """An edit that changes nothing keeps what was undone."""
    history = typed(start(), GOES, 2).undone()
    assert history.edited(history.now, GOES) is history
    assert history.can_redo


def test_digits_are_a_step() -> None:
    """24.5 typed over as 24.50 can be undone."""
    history = typed(start(), GOES, Number("24.5")).settled()
    history = typed(history, GOES, Number("24.50"))
    assert str(history.undone().now.table["readings"][0]["goes"]) == "24.5"


def test_an_edit_ends_what_was_undone() -> None:
    """After an edit there is nothing to redo."""
    history = typed(start(), GOES, 1).undone()
    assert history.redo_place == GOES
    assert not typed(history, STOPS, 2).can_redo


def test_typing_after_undo_is_a_step() -> None:
    """Typing after an undo never joins a step from before it."""
    history = typed(typed(start(), STOPS, 1), GOES, 2).undone()
    history = typed(history, STOPS, 3)
    assert history.undone().now.table["readings"][0]["stops"] == 1


def test_ends() -> None:
    """Undo at the start and redo at the end change nothing."""
    history = start()
    assert history.undone() is history
    assert history.redone() is history
    assert history.undo_place == ()
    assert history.redo_place == ()


def test_restated() -> None:
    """A present put otherwise adds no step and keeps those there are."""
    history = typed(start(), GOES, 1)
    named = Snapshot({**history.now.table, "drawer": "drawer.csv"}, history.now.sheet)
    history = history.restated(named)
    assert history.now is named
    assert len(history.past) == 1


def test_drawer_edits_are_undone() -> None:
    """An edit of the drawer is undone like any other."""
    history = start()
    assert history.now.sheet is not None
    sheet, _ = add_row(history.now.sheet)
    history = history.edited(Snapshot(history.now.table, sheet), DRAWER)
    assert history.undone().now.same(start().now)
    assert history.undone().redone().now.sheet is sheet


def drawer_edit(sheet: Sheet, kind: int, row: int, text: str) -> Sheet:
    """One of the drawer's edits, for a row if there is one."""
    if kind == 0 or not sheet.rows:
        return add_row(sheet)[0]
    row %= len(sheet.rows)
    if kind == 1:
        return remove_rows(sheet, [row])
    return set_cell(sheet, row, 1, text) if kind == 2 else count_by(sheet, [row], 1)


table_edits = st.tuples(
    st.just("table"),
    st.sampled_from([GOES, STOPS, ("title",), ("limits", "pinch", "low")]),
    st.one_of(st.none(), st.integers(0, 3), st.sampled_from(["1", "1 mm"])),
    st.booleans(),
)
sheet_edits = st.tuples(
    st.just("sheet"), st.integers(0, 3), st.integers(0, 9), st.sampled_from(["0.1", "0.2"])
)
steps = st.lists(
    st.one_of(table_edits, sheet_edits, st.sampled_from(["undo", "redo", "leave"])), max_size=25
)


def follow(history: History, step: object) -> History:
    """The history after one step of any kind."""
    match step:
        case "undo":
            return history.undone()
        case "redo":
            return history.redone()
        case "leave":
            return history.settled()
        case ("table", place, value, typing):
            table: Table = set_at(place, value)(history.now.table)
            return history.edited(Snapshot(table, history.now.sheet), place, typing=typing)
        case ("sheet", kind, row, text):
            assert history.now.sheet is not None
            sheet = drawer_edit(history.now.sheet, kind, row, text)
            return history.edited(Snapshot(history.now.table, sheet), DRAWER)
    raise AssertionError(step)


@settings(max_examples=150, deadline=None)
@given(steps)
@example([("table", GOES, 1, True), "undo", ("table", GOES, 2, True), ("table", GOES, None, True)])
def test_undone_gives_the_start(taken: list[object]) -> None:
    """Any sequence of edits, undone, gives the start; redone, the end."""
    history = start()
    for step in taken:
        history = follow(history, step)
    while history.can_redo:
        history = history.redone()
    end, count = history.now, len(history.past)
    for _ in range(count):
        assert not history.undone().now.same(history.now)
        history = history.undone()
    assert not history.can_undo
    assert history.now.same(start().now)
    for _ in range(count):
        history = history.redone()
    assert not history.can_redo
    assert history.now.same(end)
