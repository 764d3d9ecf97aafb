"""`Plan` <-> plan.json, `RoughedForms` <-> roughing.json: everything, in mm, with a version."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, TypeVar

from wirepath.errors import Fault, FileError
from wirepath.model import PLAN_VERSION, Plan, RoughedForms
from wirepath.plain_data import from_plain, to_plain

Written = TypeVar("Written", Plan, RoughedForms)


def write_plan(plan: Plan | RoughedForms, path: Path) -> None:
    """Write `plan` to `path` as JSON; the same plan gives the same bytes."""
    text = json.dumps(to_plain(plan), ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")


def read_plan(path: Path) -> Plan:
    """Return the plan written at `path`. Raises FileError where it is missing or damaged."""
    return _read(path, Plan, mend="make the plan again")


def read_roughed_forms(path: Path) -> RoughedForms:
    """Return the roughing written at `path`. Raises FileError where it is missing or damaged."""
    return _read(path, RoughedForms, mend="make the roughing again: wirepath rough JOB --replace")


def _read(path: Path, kind: type[Written], *, mend: str) -> Written:
    try:
        data: Any = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise FileError(
            Fault(
                f"there is no {path.name}",
                str(path.parent),
                "give a folder that plan or rough wrote",
            )
        ) from None
    except (OSError, ValueError) as error:
        raise FileError(Fault(f"cannot be read: {error}", str(path), mend)) from None
    version = data.get("version") if isinstance(data, dict) else None
    if version != PLAN_VERSION:
        raise FileError(
            Fault(
                f"is a plan file of version {version!r}; this program reads version {PLAN_VERSION}",
                str(path),
                mend,
            )
        )
    plan, faults = from_plain(data, kind)
    if plan is None:
        raise FileError([Fault(f.what, f"{path}, {f.where}", mend) for f in faults])
    return plan
