"""Plans of the demo, each made once and shared: planning takes seconds, reading a plan does not."""

from __future__ import annotations

import fcntl
from functools import cache
from pathlib import Path

from wirepath.drawing_file import read_traced
from wirepath.job_file import drawing_path, read_job
from wirepath.model import Plan
from wirepath.plan_file import read_plan, write_plan
from wirepath.planning import make_plan

DEMO = Path(__file__).parent.parent / "demo_shapes"
NAMES = ("arch", "cornice", "letters", "pear")
"""Not the big pear: it takes as long as all of them."""


@cache
def demo_plan(name: str, shared: Path) -> Plan:
    """Return the plan of a demo job as its file holds it; whoever asks first plans it.

    `shared` is a folder that all workers of one test run see.
    """
    path = shared / f"{name}-plan.json"
    with (shared / f"{name}.lock").open("w", encoding="utf-8") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not path.exists():
            job, workshop = read_job(DEMO / f"{name}.toml")
            traced = read_traced(drawing_path(DEMO / f"{name}.toml", job), job.read)
            write_plan(make_plan(job, workshop, traced, seconds=0.0), path)
        return read_plan(path)
