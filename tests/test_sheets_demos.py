"""The sheets of the demo: every label of every page, measured."""

from pathlib import Path

import pytest
from label_checks import faults

from wirepath.drawing_file import read_traced
from wirepath.job_file import drawing_path, read_job
from wirepath.planning import make_plan
from wirepath.sheets import sheet_pages
from wirepath.wording import ENGLISH

DEMO = Path(__file__).parent.parent / "demo_shapes"


@pytest.mark.parametrize("name", ["arch", "cornice", "letters", "pear"])
def test_no_label_of_the_demo_meets_another_or_a_line_or_leaves_the_page(name):
    path = DEMO / f"{name}.toml"
    job, workshop = read_job(path)
    traced = read_traced(drawing_path(path, job), job.read)
    plan = make_plan(job, workshop, traced, seconds=0.0)
    pages = sheet_pages(plan, ENGLISH)
    assert [fault for page in pages for fault in faults(page)] == []
