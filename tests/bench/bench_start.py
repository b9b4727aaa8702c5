"""How long the window takes: first paint, chart, first answer, and the longest stall.

PYTHONPATH=. python tests/bench/bench_start.py [RUNS]: needs a display. Every run is a process of
its own with an empty home, timed from just before it is started [s]; the first warms the disk and
is not counted.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

TARGETS_S = {"paint": 0.35, "chart": 1.0, "answer": 1.5, "stall after paint": 0.1}
TICK_MS = 2
LONGEST_S = 60.0


def run_window(began_s: float) -> None:
    """Open the window in this process and print its times as JSON. began_s: seconds since the
    epoch when the process was started."""
    import tkinter as tk

    from desktop import start

    times: dict[str, float] = {}
    stalls: list[float] = []

    def told(step: str) -> None:
        times.setdefault(step, time.time() - began_s)
        if step == "answer":
            top.after(300, end)

    def end() -> None:
        window.end()

    top = tk.Tk(className="shimwright")
    window = start.open_window(top, None, told)
    top.after(round(LONGEST_S * 1000), end)
    last = time.perf_counter()

    def tick() -> None:
        nonlocal last
        now = time.perf_counter()
        stalls.append(now - last)
        last = now
        top.after(TICK_MS, tick)

    tick()
    top.mainloop()
    times["stall after paint"] = max(stalls)
    print(json.dumps(times))


def time_once() -> dict[str, float]:
    """Run the window once in a new process. Returns its times [s] by step."""
    with tempfile.TemporaryDirectory() as home:
        given = os.environ | {"HOME": home, "XDG_CONFIG_HOME": "", "XDG_STATE_HOME": ""}
        given.setdefault("MPLCONFIGDIR", str(Path.home() / ".cache" / "matplotlib"))
        words = [sys.executable, __file__, "--window", repr(time.time())]
        done = subprocess.run(words, env=given, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(done.stderr)
    return {name: float(found) for name, found in json.loads(done.stdout).items()}


def main(runs: int) -> int:
    """Print the median of each time beside its target. runs: how many. Returns 1 for a miss."""
    time_once()
    found = [time_once() for _ in range(runs)]
    missed = 0
    print(f"median of {runs} runs, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    for name in found[0]:
        middle = statistics.median(one[name] for one in found)
        target = TARGETS_S.get(name)
        missed += target is not None and middle > target
        print(f"{name:18s} {middle:6.3f} s" + (f"   wanted {target} s" if target else ""))
    return int(bool(missed))


if __name__ == "__main__":
    if sys.argv[1:2] == ["--window"]:
        run_window(float(sys.argv[2]))
    else:
        sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 5))
