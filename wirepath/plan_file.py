"""`Plan` <-> plan.json: everything, in mm, with a version."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from wirepath.errors import Fault, FileError
from wirepath.model import PLAN_VERSION, Plan
from wirepath.plain_data import from_plain, to_plain


def write_plan(plan: Plan, path: Path) -> None:
    """Write `plan` to `path` as JSON; the same plan gives the same bytes."""
    text = json.dumps(to_plain(plan), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")


def read_plan(path: Path) -> Plan:
    """Return the plan written at `path`. Raises FileError where it is missing or damaged."""
    try:
        data: Any = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise FileError(
            Fault("there is no plan.json", str(path.parent), "give a folder that plan wrote")
        ) from None
    except (OSError, ValueError) as error:
        raise FileError(
            Fault(f"cannot be read: {error}", str(path), "make the plan again")
        ) from None
    version = data.get("version") if isinstance(data, dict) else None
    if version != PLAN_VERSION:
        raise FileError(
            Fault(
                f"is a plan file of version {version!r}; this program reads version {PLAN_VERSION}",
                str(path),
                "make the plan again",
            )
        )
    plan, faults = from_plain(data, Plan)
    if plan is None:
        raise FileError(
            [Fault(f.what, f"{path}, {f.where}", "make the plan again") for f in faults]
        )
    return plan
