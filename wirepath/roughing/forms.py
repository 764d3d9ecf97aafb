"""The reliefs of a job, roughed: one plan for each part."""

from __future__ import annotations

from wirepath.forming import form_levels
from wirepath.model import Job, RoughingPlan, Traced
from wirepath.roughing.planning import plan_roughing, snug_blank
from wirepath.roughing.tools import tools_of
from wirepath.workshop import Workshop

MARGIN_MM = 10.0
"""Foam outside form and allowance on the four sides, so that the outline's way stays in foam."""


def rough_forms(
    job: Job, workshop: Workshop, traced: Traced, *, way: str | None = None
) -> tuple[RoughingPlan, ...]:
    """Return the roughing of each relief of the job, in the order of the outlines; nothing for
    flat forms and profiles, which the wire cuts to size.

    Each is roughed out of the smallest block that holds it with its allowance and
    `MARGIN_MM` on the sides. Raises FitError as `plan_roughing` does.
    """
    if job.form.kind != "relief":
        return ()
    tools = tools_of(workshop, job.form.foam)
    allowance = job.form.allowance_mm
    return tuple(
        plan_roughing(
            levels,
            snug_blank(levels, margin_mm=allowance + MARGIN_MM, front_mm=allowance),
            tools,
            allowance_mm=allowance,
            name=name,
            way=way,
        )
        for name, levels in form_levels(job, traced).items()
    )
