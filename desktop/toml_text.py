"""A job's table back into the text it came from: comments, order and untouched lines stay.

tomlkit alone knows how to change a TOML text in place; it is loaded at the first save or draft.
"""

from __future__ import annotations

import tomllib
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Any

from desktop.edits import Table, alike
from desktop.typed import Number

if TYPE_CHECKING:
    from tomlkit.items import Item

MARK = "\ufeff"  # some editors put it at a file's head
MANY = (("readings",), ("lines",), ("fasteners",), ("crush", "pauses"))  # of tables, a heading each


def table_of(text: str) -> Table:
    """Read TOML into a table whose numbers remember their digits.

    text: of a job file, with or without a mark at its head. Returns: the table.
    Raises: tomllib.TOMLDecodeError, ValueError, RecursionError.
    """
    return tomllib.loads(text.removeprefix(MARK), parse_float=Number)


def toml_with(source: str, table: Table) -> tuple[str, bool]:
    """Write a table over the text it came from.

    source: that text, empty for a new file; table: as it is now.
    Returns: (the new text, whether the comments were kept). The text reads back as the table, or it
    is not returned: where the text cannot be changed in place the table is written afresh.
    """
    if source and alike(table_of(source), table):
        return source, True
    # Newlines of one kind are set aside, or new lines would come out of another kind.
    carriage = "\r\n" in source and source.count("\n") == source.count("\r\n")
    mark = MARK if source.startswith(MARK) else ""
    plain = source.removeprefix(MARK)
    plain = plain.replace("\r\n", "\n") if carriage else plain
    for finely in (True, False):
        text = _changed(plain, table, finely)
        if text is not None:
            return mark + (text.replace("\n", "\r\n") if carriage else text), True
    text = _afresh(table)
    if not alike(table_of(text), table):
        raise ValueError("a table that TOML cannot hold")
    return mark + (text.replace("\n", "\r\n") if carriage else text), not source


def _changed(source: str, table: Table, finely: bool) -> str | None:
    """The source with the differences put in; None where that does not read back as the table."""
    import tomlkit

    try:
        document = tomlkit.parse(source)
        _change_table(document, table_of(source), table, (), finely)
        text = tomlkit.dumps(document)
        return text if alike(table_of(text), table) else None
    except Exception:
        # tomlkit gives up in many ways on tables written out of order; what it cannot do is done
        # more coarsely, and every result is read back before it is believed.
        return None


def _change_table(
    inside: Any, old: Table, new: Table, place: tuple[str, ...], finely: bool
) -> None:
    if place == ("marks",) and finely:
        old = _renamed(inside, old, new)
    for key in old:
        if key not in new:
            del inside[key]
    for key, value in new.items():
        if key not in old:
            inside[key] = _item(value, (*place, key))
        elif not alike(old[key], value):
            _change_value(inside, key, old[key], value, (*place, key), finely)


def _renamed(inside: Any, old: Table, new: Table) -> Table:
    """Rename keys where they stand, so that their order and their comments stay. Returns old so."""
    again = dict(zip(old, new, strict=False))
    again = {was: to for was, to in again.items() if was not in new and to not in old}
    for was, to in again.items():
        inside.value._replace(was, to, inside[was])  # tomlkit has no other way to it
    return {again.get(key, key): value for key, value in old.items()}


def _change_value(
    inside: Any, key: Any, old: object, new: object, place: tuple[str, ...], finely: bool
) -> None:
    ordered = place[:1] == ("lines",) and place[-1] in ("terms", "seats")  # as they are drawn
    if ordered and isinstance(old, dict) and isinstance(new, dict):
        kept = [key for key in old if key in new]
        finely = finely and [*kept, *(key for key in new if key not in old)] == list(new)
    if finely and isinstance(old, dict) and isinstance(new, dict):
        _change_table(inside[key], old, new, place, finely)
    elif finely and isinstance(old, list) and isinstance(new, list) and old and new:
        _change_list(inside[key], old, new, place, finely)
    else:
        item = _item(new, place)
        trivia = getattr(inside[key], "trivia", None)
        if trivia is not None and not isinstance(new, dict | list):
            item.trivia.comment_ws, item.trivia.comment = trivia.comment_ws, trivia.comment
        inside[key] = item


def _change_list(
    inside: Any, old: list[Any], new: list[Any], place: tuple[str, ...], finely: bool
) -> None:
    """Change a list where it differs, so that a reading taken out leaves the others' comments."""
    pairs = SequenceMatcher(None, [_print(one) for one in old], [_print(one) for one in new], False)
    for kind, low, high, start, end in reversed(pairs.get_opcodes()):
        if kind == "equal":
            continue
        both = min(high - low, end - start)
        for number in range(high - 1, low + both - 1, -1):
            _leave_comments(inside, number)
            del inside[number]
        for number in range(start + both, end):
            inside.insert(low + number - start, _item(new[number], (*place, "")))
        for number in range(both):
            _change_value(
                inside, low + number, old[low + number], new[start + number], place, finely
            )


def _leave_comments(inside: Any, number: int) -> None:
    """Hand the comments at the end of a table on to the next: they stand over its heading."""
    from tomlkit.items import AoT, Comment, Whitespace

    if not isinstance(inside, AoT) or number + 1 >= len(inside):
        return
    ends = []
    for _, item in reversed(inside[number].value.body):
        if not isinstance(item, Comment | Whitespace):
            break
        ends.append(item.as_string())
    comments = "".join(reversed(ends))
    if "#" in comments:
        trivia = inside[number + 1].trivia
        trivia.indent = comments + trivia.indent


def _print(value: object) -> str:
    """A value as a text that is equal where the values are alike."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{key!r}:{_print(value[key])}" for key in sorted(value)) + "}"
    if isinstance(value, list):
        return "[" + ",".join(map(_print, value)) + "]"
    return f"{type(value).__name__} {value!r}"


def _afresh(table: Table) -> str:
    """The whole table as new text."""
    import tomlkit

    document = tomlkit.document()
    _change_table(document, {}, table, (), True)
    return tomlkit.dumps(document)


def _item(value: object, place: tuple[str, ...]) -> Item:
    """A value as tomlkit has it: tables of their own at the top and for tools, else in one line."""
    import tomlkit
    from tomlkit.items import Float, Trivia

    if isinstance(value, Number):
        return Float(float(value), Trivia(), value.text)
    if isinstance(value, dict):
        own = len(place) == 1 or (len(place) == 2 and place[0] == "tools") or place[:-1] in MANY
        table: Any = tomlkit.table() if own else tomlkit.inline_table()
        for key, below in value.items():
            table.append(key, _item(below, (*place, key)))
        return table  # type: ignore[no-any-return]  # tomlkit types no items
    if isinstance(value, list):
        if place in MANY and value and all(isinstance(one, dict) for one in value):
            many = tomlkit.aot()
            for one in value:
                many.append(_item(one, (*place, "")))
            return many
        row = tomlkit.array()
        for one in value:
            row.append(_item(one, (*place, "", "")))
        return row
    return tomlkit.item(value)
