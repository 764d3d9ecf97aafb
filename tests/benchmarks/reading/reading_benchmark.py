"""How long reading takes against what ezdxf alone needs, and what hard files cost.

    python tests/benchmarks/reading/reading_benchmark.py

The ratio is the median over rounds in which the two take turns, so that what else the
machine does falls on both. Peak memory is that of a process of its own for each file.
"""

from __future__ import annotations

import itertools
import math
import multiprocessing
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np

from wirepath.drawing_file import read_survey
from wirepath.errors import WirepathError
from wirepath.model import Reading

ROUNDS = 5


def circles(msp: Any, _: Any) -> None:
    """Draw 1000 rings of 100 lines each."""
    for k in range(1000):
        x, y = 30 * (k % 40), 30 * (k // 40)
        corners = [
            (x + 10 * math.cos(math.tau * t / 100), y + 10 * math.sin(math.tau * t / 100))
            for t in range(100)
        ]
        for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
            msp.add_line(start, end)


def shuffled_gaps(msp: Any, _: Any) -> None:
    """Draw 1000 rings of 100 lines each, shuffled, half of them backwards, all with gaps."""
    rng = np.random.default_rng(1)
    lines = []
    for k in range(1000):
        x, y = 300 * (k % 40), 300 * (k // 40)
        for t in range(100):
            ends = [
                (x + 100 * math.cos(math.tau * s / 100), y + 100 * math.sin(math.tau * s / 100))
                for s in (t + 0.004, t + 0.996)
            ]
            lines.append(ends if rng.random() < 0.5 else ends[::-1])
    rng.shuffle(lines)
    for start, end in lines:
        msp.add_line(start, end)


def one_long_line(msp: Any, _: Any) -> None:
    """Draw one closed polyline of a million corners."""
    angle = np.linspace(0, math.tau, 1_000_000, endpoint=False)
    radius = 1000 + 50 * np.sin(400 * angle)
    corners = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    msp.add_lwpolyline(corners, format="xy", close=True)


def ten_thousand_inserts(msp: Any, document: Any) -> None:
    """Draw 10 000 inserts of a block of ten lines."""
    block = document.blocks.new("B")
    corners = [
        (5 * math.cos(k * math.tau / 10), 5 * math.sin(k * math.tau / 10)) for k in range(11)
    ]
    for start, end in itertools.pairwise(corners):
        block.add_line(start, end)
    for k in range(10_000):
        msp.add_blockref("B", (12 * (k % 100), 12 * (k // 100)))


def all_crossing(msp: Any, _: Any) -> None:
    """Draw 20 000 lines right across each other."""
    for start, end in np.random.default_rng(2).uniform(0, 1000, (20_000, 2, 2)).round(3).tolist():
        msp.add_line(start, end)


def hatching(msp: Any, _: Any) -> None:
    """Draw a square and 20 000 open strokes side by side."""
    msp.add_lwpolyline([(0, 0), (2000, 0), (2000, 100), (0, 100)], close=True)
    for k in range(20_000):
        msp.add_line((1 + k * 0.0999, 1), (1 + k * 0.0999, 99))


def nested_rings(msp: Any, _: Any) -> None:
    """Draw 3000 circles round one another."""
    for k in range(3000):
        msp.add_circle((0, 0), 10 + k)


def same_place(msp: Any, _: Any) -> None:
    """Draw 30 000 short lines that all begin within a tenth of a millimetre."""
    rng = np.random.default_rng(3)
    msp.add_lwpolyline([(-100, -100), (100, -100), (100, 100), (-100, 100)], close=True)
    for x, y, angle in rng.uniform(0, (0.05, 0.05, 6.3), (30_000, 3)).tolist():
        msp.add_line((x, y), (x + 9 * math.cos(angle), y + 9 * math.sin(angle)))


def too_many_lines(path: Path) -> None:
    """Write a million lines, straight to the file."""
    with path.open("w") as file:
        file.write("0\nSECTION\n2\nENTITIES\n")
        for k in range(1_000_000):
            file.write(f"0\nLINE\n8\n0\n10\n{k}\n20\n0\n11\n{k + 1}\n21\n0\n")
        file.write("0\nENDSEC\n0\nEOF\n")


DRAWN: dict[str, Callable[[Any, Any], None]] = {
    "100 000 lines, 1000 rings": circles,
    "the same, shuffled, every joint a gap": shuffled_gaps,
    "a polyline of 1 000 000 corners": one_long_line,
    "10 000 inserts of 10 lines": ten_thousand_inserts,
    "20 000 lines across each other": all_crossing,
    "20 000 open strokes in a square": hatching,
    "3000 circles round one another": nested_rings,
    "30 000 ends in one spot": same_place,
}


def load_and_list(path: Path) -> float:
    """Return the seconds ezdxf takes to load a file and list its lines."""
    start = time.perf_counter()
    document = ezdxf.readfile(path)
    lines = [(e.dxftype(), e.dxf.start, e.dxf.end) for e in document.modelspace()]
    assert lines
    return time.perf_counter() - start


def read(path: Path) -> float:
    """Return the seconds the reader takes for a file."""
    start = time.perf_counter()
    read_survey(path, Reading(units="mm"))
    return time.perf_counter() - start


def _cost(path: Path, answer: Any) -> None:
    start = time.perf_counter()
    try:
        found = read_survey(path, Reading(units="mm"))
        outcome = f"{len(found.traced.outlines)} outlines, {len(found.faults)} faults"
        if found.faults:
            outcome += f": {found.faults[0].what}"
    except WirepathError as error:
        outcome = f"refused: {error.faults[0].what}"
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    answer.put((time.perf_counter() - start, memory_mb, outcome))


def main() -> None:
    """Tell the ratio, then time, memory and outcome of each hard file."""
    tell = sys.stdout.write
    fresh = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as folder:
        paths = {}
        for number, (name, draw) in enumerate(DRAWN.items()):
            document = ezdxf.new("R2010", units=4)
            draw(document.modelspace(), document)
            paths[name] = Path(folder) / f"{number}.dxf"
            document.saveas(paths[name])
            del document
        paths["1 000 000 lines"] = Path(folder) / "million.dxf"
        too_many_lines(paths["1 000 000 lines"])

        for name in list(paths)[:2]:
            ratios, theirs = [], []
            for _ in range(ROUNDS):
                theirs.append(load_and_list(paths[name]))
                ratios.append(read(paths[name]) / theirs[-1])
            tell(f"{name}: ratio {statistics.median(ratios):.2f} ")
            tell(f"({min(ratios):.2f} to {max(ratios):.2f}), ")
            tell(f"ezdxf alone {statistics.median(theirs):.1f} s\n")
        for name, path in paths.items():
            answer = fresh.Queue()
            process = fresh.Process(target=_cost, args=(path, answer))
            process.start()
            seconds, memory_mb, outcome = answer.get()
            process.join()
            tell(f"{name}: {seconds:.1f} s, {memory_mb:.0f} MB, {outcome}\n")


if __name__ == "__main__":
    main()
