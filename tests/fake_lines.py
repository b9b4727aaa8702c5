"""Jobs about lines of dimensions for the window's tests, as files. Every figure is invented."""

from __future__ import annotations

from pathlib import Path

LAYSHAFT = """
title = "Layshaft of a garden tractor"
unit = "mm"
drawer = "shims.csv"
[dimensions]
"case depth" = { low = 83.95, high = 84.05, metal = "aluminium" }
"shaft" = { drawn = 60.0, within = 0.02, metal = "steel" }
"front bearing" = { low = 10.88, high = 11.00, shape = "normal", k = 3, metal = "steel" }
"rear bearing" = { low = 10.88, high = 11.00, metal = "steel" }
[[lines]]
result = "end float"
low = 0.05
high = 0.20
temperature = 60
terms = { "case depth" = 1, "shaft" = -1, "front bearing" = -1, "rear bearing" = -1 }
seats = { "front cover" = -1, "rear cover" = -1 }
[tools.micrometer]
within = 0.004
repeat = 0.003
step = 0.01
[[readings]]
of = "shaft"
tool = "micrometer"
values = [60.01, 60.01, 60.02]
[[readings]]
of = "case depth"
tool = "micrometer"
values = [84.01, 84.02]
"""
WINCH = """
title = "Drum of a hand winch"
unit = "mm"
drawer = "shims.csv"
[wanted]
chance = 0.9
[dimensions]
"frame" = { low = 119.95, high = 120.05 }
"drum" = { low = 117.00, high = 117.05 }
"washer" = { low = 0.09, high = 0.11 }
"ratchet" = { low = 4.0, high = 4.2 }
[[lines]]
result = "end float"
low = 0.05
high = 0.35
terms = { "frame" = 1, "drum" = -1, "washer" = -1 }
seats = { "brake side" = -1, "ratchet side" = -1 }
[[lines]]
result = "pawl offset"
low = "no limit"
high = 0.6
example = true
terms = { "ratchet" = 0.5, "washer" = -1 }
seats = { "ratchet side" = -1 }
[tools.dial]
kind = "dial"
[tools.micrometer]
[[readings]]
of = "end float"
tool = "dial"
values = [0.81, 0.82]
fitted = { "brake side" = 1.0, "ratchet side" = 1.0 }
"""
SHIMS = """id,thickness,unit,count,within,tool,fits,note
A,0.5,mm,2,0.01,micrometer,,
B,0.8,mm,2,0.01,micrometer,,
C,1.0,mm,2,0.01,,,
D,0.65,mm,2,0.01,micrometer,,
E,0.3,mm,3,0.01,micrometer,,
F,0.1,mm,3,0.01,micrometer,,
"""


def lines_in(folder: Path, text: str = LAYSHAFT, *changes: tuple[str, str]) -> Path:
    """Put a job about lines and its drawer into a folder. folder; text: TOML; changes: of it, as
    (old, new) pairs. Returns the job's path."""
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "shims.csv").write_text(SHIMS, encoding="utf-8")
    path = folder / "lines.toml"
    path.write_text(text, encoding="utf-8")
    return path
