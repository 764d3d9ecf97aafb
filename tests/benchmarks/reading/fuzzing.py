"""Drawings with damaged bytes: each must end in an answer or a refusal, never in a traceback.

    python tests/benchmarks/reading/fuzzing.py 20000        (about 15 minutes)

The seeds are drawings made here, and real ones where ../shared/drawings is there; those
stay as they are. A trial changes a seed in one of six ways, reads it, and traces it.
"""

from __future__ import annotations

import argparse
import io
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf

from wirepath.drawing_file import read_survey
from wirepath.errors import WirepathError
from wirepath.model import Reading

REAL = Path(__file__).resolve().parents[4] / "shared" / "drawings"
LONGEST_S = 60
"""A trial that takes longer counts as a hang."""

MOST_BYTES = 30_000
"""Larger real drawings are left out: one trial should take a fraction of a second."""

NASTY = [
    b"nan",
    b"inf",
    b"-1e308",
    b"1e-320",
    b"0",
    b"-1",
    b"99999999999",
    b"",
    b"\xff\xfe",
    b"1.2.3",
]


@dataclass
class Outcome:
    """What the trials came to."""

    answers: int = 0
    refusals: int = 0
    tracebacks: list[str] = field(default_factory=list)
    hangs: list[str] = field(default_factory=list)
    slowest_s: float = 0.0
    wordings: Counter[str] = field(default_factory=Counter)


def seeds() -> list[bytes]:
    """Return small drawings with every kind of entity the reader knows."""
    return [
        _drawing(version, fmt) for version in ("R12", "R2000", "R2010") for fmt in ("asc", "bin")
    ]


def real_seeds() -> list[bytes]:
    """Return the small ones of the real drawings; none where they are not here."""
    paths = sorted(REAL.glob("*.[dD][xX][fF]"))
    return [data for path in paths if len(data := path.read_bytes()) <= MOST_BYTES]


def trials(drawings: list[bytes], count: int, seed: int) -> Outcome:
    """Return what `count` damaged drawings come to; the same for the same seed."""
    rng = random.Random(seed)
    outcome = Outcome()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "damaged.dxf"
        for number in range(count):
            data = damaged(rng.choice(drawings), rng)
            path.write_bytes(data)
            _try(path, f"trial {number} of seed {seed}", outcome)
    return outcome


def damaged(data: bytes, rng: random.Random) -> bytes:
    """Return `data` with one to eight changes."""
    for _ in range(rng.choice([1, 1, 1, 2, 3, 8])):
        data = rng.choice([_flip, _cut_out, _repeat, _cut_short, _swap_line, _swap_value])(
            data, rng
        )
    return data


def _flip(data: bytes, rng: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(rng.randint(1, 10)):
        if changed:
            changed[rng.randrange(len(changed))] = rng.randrange(256)
    return bytes(changed)


def _cut_out(data: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(data) + 1)
    return data[:start] + data[start + rng.randint(1, 400) :]


def _repeat(data: bytes, rng: random.Random) -> bytes:
    start = rng.randrange(len(data) + 1)
    part = data[start : start + rng.randint(1, 400)]
    return data[:start] + part * rng.randint(2, 5) + data[start:]


def _cut_short(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data) + 1)] if rng.random() < 0.3 else data


def _swap_line(data: bytes, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    a, b = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]
    return b"\n".join(lines)


def _swap_value(data: bytes, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    lines[rng.randrange(len(lines))] = rng.choice(NASTY)
    return b"\n".join(lines)


def _try(path: Path, name: str, outcome: Outcome) -> None:
    start = time.perf_counter()
    signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(LONGEST_S)
    try:
        found = read_survey(path, Reading())
        outcome.answers += 1
        for polygon in (o.polygon for o in found.traced.outlines):
            assert polygon.is_valid, "an outline is not valid"
        assert found.traced.outlines or found.faults, "neither outline nor fault"
        for count in found.traced.counts:
            assert count.found == count.read + count.ignored + count.refused, count
    except WirepathError as error:
        outcome.refusals += 1
        outcome.wordings[error.faults[0].what[:40]] += 1
    except TimeoutError:
        outcome.hangs.append(name)
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt):
            raise
        outcome.tracebacks.append(f"{name}\n{traceback.format_exc()}")
    finally:
        signal.alarm(0)
        outcome.slowest_s = max(outcome.slowest_s, time.perf_counter() - start)


def _give_up(*_: object) -> None:
    raise TimeoutError


def _drawing(version: str, fmt: str) -> bytes:
    document = ezdxf.new(version)
    if version != "R12":
        document.units = 4
    msp = document.modelspace()
    block = document.blocks.new("LEAF")
    block.add_line((0, 0), (10, 0))
    block.add_arc((0, 0), 10, 0, 90)
    block.add_line((0, 10), (0, 0))
    msp.add_blockref("LEAF", (300, 0), dxfattribs={"xscale": -2, "rotation": 30})
    msp.add_blockref("LEAF", (400, 0), dxfattribs={"row_count": 2, "column_count": 3})
    msp.add_circle((50, 50), 30)
    msp.add_polyline2d([(0, 0, 0.5), (100, 0, 0), (100, 100, 0)], format="xyb", close=True)
    msp.add_3dface([(0, 0), (1, 0), (1, 1)])
    msp.add_text("PEAR").set_placement((10, 10))
    for start, end in [((0, 200), (80, 200)), ((80, 200), (40, 280)), ((40, 280), (0, 200))]:
        msp.add_line(start, end)
    if version != "R12":
        msp.add_lwpolyline([(150, 0, 1), (200, 0, 1)], format="xyb", close=True)
        msp.add_spline([(0, 300), (50, 350), (100, 300)])
        msp.add_ellipse((200, 300), (40, 10), 0.5)
        msp.add_hatch().paths.add_polyline_path([(0, 0), (9, 0), (9, 9)])
        msp.add_mtext("12 pcs")
        with msp.add_mesh().edit_data() as mesh:
            mesh.vertices, mesh.faces = [(0, 0, 0), (1, 0, 0), (0, 1, 0)], [(0, 1, 2)]
    if fmt == "bin":
        stream = io.BytesIO()
        document.write(stream, fmt="bin")
        return stream.getvalue()
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode(document.output_encoding, errors="replace")


def main() -> None:
    """Run the trials asked for and tell what they came to."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    start = time.perf_counter()
    outcome = trials([*seeds(), *real_seeds()], asked.count, asked.seed)
    tell = sys.stdout.write
    tell(f"{asked.count} trials, seed {asked.seed}, {time.perf_counter() - start:.0f} s\n")
    tell(f"answers {outcome.answers}, refusals {outcome.refusals}\n")
    tell(f"tracebacks {len(outcome.tracebacks)}, hangs {len(outcome.hangs)}, ")
    tell(f"slowest {outcome.slowest_s:.1f} s\n")
    for wording, count in outcome.wordings.most_common():
        tell(f"  {count:6d}  {wording}\n")
    for text in outcome.tracebacks[:20] + outcome.hangs:
        tell(text + "\n")


if __name__ == "__main__":
    main()
