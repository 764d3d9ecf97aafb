"""Specimens that several test files share: small nouns with numbers one can check on paper."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from wirepath.model import FormSettings, Job
from wirepath.workshop import Cutting, Foam, Order, Rig, Stock, Wire, Workshop


@pytest.fixture
def workshop() -> Workshop:
    """Blocks of 1000 x 500 x 200 mm without trim, 15 kg/m3, a kerf of 2 mm."""
    return Workshop(
        name="Paper workshop",
        wire=Wire(length_mm=1200.0),
        rig=Rig(acceleration_mm_per_s2=1e9),  # times are lengths over feeds
        cutting=Cutting(kerf_mm=2.0, web_mm=8.0, feed_mm_per_s=5.0, setup_min=10.0),
        foams=(Foam(name="EPS 15", kind="EPS", density_kg_per_m3=15.0),),
        stock=(
            Stock(
                name="block",
                foam="EPS 15",
                length_mm=1000.0,
                width_mm=500.0,
                thickness_mm=200.0,
                price=30.0,
            ),
        ),
        order=Order(currency="crowns", delivery_price=12.0, hour_price=60.0),
    )


@pytest.fixture
def job() -> Job:
    """A flat job, 200 mm thick."""
    return Job(
        name="Paper job",
        drawing="paper.dxf",
        workshop="workshop.toml",
        invented=True,
        form=FormSettings(kind="flat", foam="EPS 15", thickness_mm=200.0),
    )


@pytest.fixture(scope="session")
def shared_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that all workers of this test run share."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
