"""How long reading takes against what ezdxf alone needs, and what hard files cost.

    python tests/benchmarks/reading/reading_benchmark.py

Seconds are of processor time. The ratio is the median over rounds in which the two take
turns. Peak memory is that of a process of its own for each file.
"""

from __future__ import annotations

import itertools
import math
import multiprocessing
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TextIO

import ezdxf
import numpy as np

from wirepath.drawing_file import read_survey
from wirepath.errors import WirepathError
from wirepath.model import Reading

ROUNDS = 3


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


def one_long_line(file: TextIO) -> None:
    """Write one closed polyline of 100 000 corners."""
    file.write("0\nPOLYLINE\n8\n0\n66\n1\n70\n1\n")
    for k in range(100_000):
        angle = math.tau * k / 100_000
        radius = 1000 + 50 * math.sin(400 * angle)
        x, y = radius * math.cos(angle), radius * math.sin(angle)
        file.write(f"0\nVERTEX\n8\n0\n10\n{x}\n20\n{y}\n")
    file.write("0\nSEQEND\n8\n0\n")


def inserts(file: TextIO) -> None:
    """Write 10 000 inserts of a block of ten lines."""
    for k in range(10_000):
        file.write(f"0\nINSERT\n8\n0\n2\nB\n10\n{12 * (k % 100)}\n20\n{12 * (k // 100)}\n")


def all_crossing(file: TextIO) -> None:
    """Write 20 000 lines right across each other."""
    for a, b, c, d in np.random.default_rng(2).uniform(0, 1000, (20_000, 4)).round(3).tolist():
        file.write(line(a, b, c, d))


def hatching(file: TextIO) -> None:
    """Write a square and 20 000 open strokes side by side."""
    square = [(0, 0), (2000, 0), (2000, 100), (0, 100), (0, 0)]
    for (a, b), (c, d) in itertools.pairwise(square):
        file.write(line(a, b, c, d))
    for k in range(20_000):
        file.write(line(1 + k * 0.0999, 1, 1 + k * 0.0999, 99))


def nested_rings(file: TextIO) -> None:
    """Write 3000 circles round one another."""
    for k in range(3000):
        file.write(f"0\nCIRCLE\n8\n0\n10\n0\n20\n0\n40\n{10 + k}\n")


def same_place(file: TextIO) -> None:
    """Write 30 000 short lines that all begin within a twentieth of a millimetre."""
    rng = np.random.default_rng(3)
    for x, y, angle in rng.uniform(0, (0.05, 0.05, 6.3), (30_000, 3)).tolist():
        file.write(line(x, y, x + 9 * math.cos(angle), y + 9 * math.sin(angle)))


def million_lines(file: TextIO) -> None:
    """Write a million lines."""
    for k in range(1_000_000):
        file.write(line(k, 0, k + 1, 0))


def line(a: float, b: float, c: float, d: float) -> str:
    """Return a LINE as it stands in a file."""
    return f"0\nLINE\n8\n0\n10\n{a}\n20\n{b}\n11\n{c}\n21\n{d}\n"


def write_hard(path: Path, entities: Callable[[TextIO], None]) -> None:
    """Write a bare DXF with a block B of ten lines and the entities given."""
    corners = [
        (5 * math.cos(k * math.tau / 10), 5 * math.sin(k * math.tau / 10)) for k in range(11)
    ]
    with path.open("w") as file:
        file.write("0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nB\n70\n0\n10\n0\n20\n0\n3\nB\n")
        for (a, b), (c, d) in itertools.pairwise(corners):
            file.write(line(a, b, c, d))
        file.write("0\nENDBLK\n8\n0\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n")
        entities(file)
        file.write("0\nENDSEC\n0\nEOF\n")


TIMED: dict[str, Callable[[Any, Any], None]] = {
    "100 000 lines, 1000 rings": circles,
    "the same, shuffled, every joint a gap": shuffled_gaps,
}

HARD: dict[str, Callable[[TextIO], None]] = {
    "a polyline of 100 000 corners": one_long_line,
    "10 000 inserts of 10 lines": inserts,
    "20 000 lines across each other": all_crossing,
    "20 000 open strokes in a square": hatching,
    "3000 circles round one another": nested_rings,
    "30 000 ends in one spot": same_place,
    "1 000 000 lines": million_lines,
}


def load_and_list(path: Path) -> float:
    """Return the seconds ezdxf takes to load a file and list its lines."""
    start = time.process_time()
    document = ezdxf.readfile(path)
    lines = [(e.dxftype(), e.dxf.start, e.dxf.end) for e in document.modelspace()]
    assert lines
    return time.process_time() - start


def read(path: Path) -> float:
    """Return the seconds the reader takes for a file."""
    start = time.process_time()
    read_survey(path, Reading(units="mm"))
    return time.process_time() - start


def _cost(path: Path, answer: Any) -> None:
    start = time.process_time()
    try:
        found = read_survey(path, Reading(units="mm"))
        outcome = f"{len(found.traced.outlines)} outlines, {len(found.faults)} faults"
        if found.faults:
            outcome += f": {found.faults[0].what}"
    except WirepathError as error:
        outcome = f"refused: {error.faults[0].what}"
    # Linux; what getrusage tells would be the parent's peak where that is higher.
    status = Path("/proc/self/status").read_text()
    memory_mb = int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024
    answer.put((time.process_time() - start, memory_mb, outcome))


def main() -> None:
    """Tell the ratio, then time, memory and outcome of each hard file."""
    tell = sys.stdout.write
    fresh = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "drawing.dxf"
        for name, draw in TIMED.items():
            document = ezdxf.new("R2010", units=4)
            draw(document.modelspace(), document)
            document.saveas(path)
            ratios, theirs = [], []
            for _ in range(ROUNDS):
                theirs.append(load_and_list(path))
                ratios.append(read(path) / theirs[-1])
            tell(f"{name}: ratio {statistics.median(ratios):.2f} ")
            tell(f"({min(ratios):.2f} to {max(ratios):.2f}), ")
            tell(f"ezdxf alone {statistics.median(theirs):.1f} s\n")
        for name, entities in HARD.items():
            write_hard(path, entities)
            answer = fresh.Queue()
            process = fresh.Process(target=_cost, args=(path, answer))
            process.start()
            seconds, memory_mb, outcome = answer.get()
            process.join()
            tell(f"{name}: {seconds:.1f} s, {memory_mb:.0f} MB, {outcome}\n")


if __name__ == "__main__":
    main()
