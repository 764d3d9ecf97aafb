"""Jobs, shops and drawings with tapers, made without files."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from shapely import Polygon

from wirepath.model import (
    EntityCount,
    FormSettings,
    Job,
    LayoutSettings,
    Outline,
    TaperSettings,
    Traced,
)
from wirepath.workshop import Cutting, Foam, Rig, Stock, Wire, Workshop

KEYSTONE_FRONT = Polygon([(40, 0), (160, 0), (200, 180), (0, 180)])
KEYSTONE_BACK = Polygon([(55, 10), (145, 10), (180, 170), (20, 170)])


def outline(name: str, polygon: Polygon) -> Outline:
    return Outline(name=name, polygon=polygon)


def traced(outlines: Sequence[Outline], *, far: Sequence[Outline] = ()) -> Traced:
    count = len(outlines) + len(far)
    return Traced(
        outlines=tuple(outlines),
        far=tuple(far),
        counts=(EntityCount(kind="LWPOLYLINE", found=count, read=count, ignored=0, refused=0),),
    )


def job(
    *,
    thickness_mm: float = 300.0,
    allowance_mm: float = 0.0,
    tapers: tuple[TaperSettings, ...] = (),
    flip: bool = False,
) -> Job:
    return Job(
        name="Stones",
        drawing="stones.dxf",
        workshop="workshop.toml",
        invented=True,
        form=FormSettings(
            kind="flat", foam="EPS 15", thickness_mm=thickness_mm, allowance_mm=allowance_mm
        ),
        layout=LayoutSettings(turning="quarter", flip=flip),
        tapers=tapers,
    )


def shop(*, kerf_mm: float = 1.2, web_mm: float = 8.0, rig: Rig | None = None) -> Workshop:
    return Workshop(
        name="Paper workshop",
        wire=Wire(length_mm=1400.0),
        rig=rig or Rig(two_ended=True, ends_apart_mm=900.0, near_gap_mm=100.0),
        cutting=Cutting(kerf_mm=kerf_mm, web_mm=web_mm),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(
            Stock(
                name="block",
                foam="EPS 15",
                length_mm=1200.0,
                width_mm=600.0,
                thickness_mm=320.0,
                price=30.0,
                trim_mm=10.0,
            ),
        ),
    )


def star(rng: random.Random, corners: int, reach_mm: float, spread: float) -> Polygon:
    """A polygon round 0, 0 with corners between `reach_mm` and that less its `spread`."""
    turns = [2 * math.pi * k / corners for k in range(corners)]
    radii = [reach_mm * (1 - spread * rng.random()) for _ in turns]
    return Polygon([(r * math.cos(t), r * math.sin(t)) for r, t in zip(radii, turns, strict=True)])
