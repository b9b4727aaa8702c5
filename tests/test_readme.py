"""What the README shows and promises is what the program does."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from solver.terminal import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks_after(marker: str) -> list[str]:
    """The fenced block that follows each marker of that name."""
    return re.findall(rf"<!-- {marker} -->\n```[a-z]*\n(.*?)\n```\n", README, re.DOTALL)


def test_the_tour_shows_real_output(capsys: pytest.CaptureFixture[str]) -> None:
    """The output printed in the README is what the command prints, to the letter."""
    (shown,) = blocks_after("output")
    assert main(["choose", str(ROOT / "stock_lists" / "example.toml")]) == 0
    assert capsys.readouterr().out.rstrip() == shown


def test_what_a_further_reading_brings_is_real_output(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The same of the other verb."""
    (shown,) = blocks_after("worth")
    assert main(["remeasure", str(ROOT / "stock_lists" / "example.toml")]) == 0
    assert capsys.readouterr().out.rstrip() == shown


def test_there_are_two_commands() -> None:
    """One command runs the main job, one passes the tests; CI runs the second as it stands."""
    assert [len(blocks_after(marker)) for marker in ("run", "test")] == [1, 1]
    assert "README.md" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_every_file_it_names_is_there() -> None:
    """A path named in the README exists."""
    paths = re.findall(r"`((?:stock_lists|tests)/[\w./]*)`", README)
    pictures = re.findall(r"!\[[^]]*\]\(([^)]+)\)", README)
    assert paths
    for path in (*paths, *pictures):
        assert (ROOT / path).exists(), path
