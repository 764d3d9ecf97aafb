"""The proof of a whole plan: every promise in turn."""

from __future__ import annotations

from wirepath.checking.assembled import check_assembled
from wirepath.checking.balance import check_balance
from wirepath.checking.blanks import check_blanks
from wirepath.checking.bowed import check_bowed
from wirepath.checking.clamped import check_clamped
from wirepath.checking.costs import check_costs
from wirepath.checking.dropped import check_nothing_dropped
from wirepath.checking.fenced import check_fenced
from wirepath.checking.finding import Finding
from wirepath.checking.kerfs import check_kerf
from wirepath.checking.laying import check_laying
from wirepath.checking.loaded import check_loaded
from wirepath.checking.meshes import check_meshes
from wirepath.checking.misses import check_misses
from wirepath.checking.parted import check_parted
from wirepath.checking.passes import check_passes
from wirepath.checking.record import check_agreement, check_numbers
from wirepath.checking.roughed import check_roughed
from wirepath.checking.safety import check_safety
from wirepath.checking.scars import check_scars
from wirepath.checking.scene import scenes
from wirepath.checking.setups import check_setups
from wirepath.checking.slot import check_slot
from wirepath.checking.standing import check_standing
from wirepath.checking.thin import check_thin
from wirepath.checking.views import check_views
from wirepath.checking.waiting import check_waiting
from wirepath.checking.waste import check_waste
from wirepath.checking.ways import check_ways
from wirepath.model import Plan


def check_plan(plan: Plan) -> tuple[Finding, ...]:
    """Return what was found of promises 1 to 5 and 8 to 11, and of the plan's agreement.

    The plan holds what it promises when every finding passed. Where its numbers point
    at nothing, that is the only finding: nothing else can be measured then.
    """
    whole = plan.with_blanks()
    numbers = check_numbers(whole)
    if not numbers.passed:
        return (numbers,)
    cutting = plan.workshop.cutting
    ready = scenes(whole)
    web_mm = 0.0 if plan.workshop.rig.kind == "fence" else cutting.web_mm
    return (
        numbers,
        check_agreement(whole),
        check_safety(plan),
        check_kerf(plan),
        check_laying(ready, cutting.kerf_mm + web_mm, cutting.kerf_mm),
        *check_slot(
            ready, cutting.feed_mm_per_s, cutting.corner_feed_mm_per_s, cutting.slot_feed_mm_per_s
        ),
        check_misses(plan, ready),
        *([check_waste(plan, ready)] if cutting.waste != "whole" else []),
        check_thin(ready, web_mm),
        check_passes(ready, cutting.holes),
        check_scars(plan, ready),
        *([check_clamped(plan, ready)] if plan.workshop.rig.clamps else []),
        *([check_setups(whole, ready)] if any(one.setups for one in whole.layouts) else []),
        *([check_waiting(plan, ready)] if plan.workshop.rig.waits_at is not None else []),
        *([check_bowed(whole)] if plan.workshop.rig.kind == "bow" else []),
        *([check_fenced(plan, ready)] if plan.workshop.rig.kind == "fence" else []),
        *([check_standing(ready)] if plan.workshop.rig.wire_lies == "level" else []),
        check_balance(plan, ready),
        check_costs(plan),
        check_nothing_dropped(plan),
        check_parted(plan),
        *check_meshes(plan.job, plan.traced),
        *check_views(plan.job, plan.traced),
        *check_roughed(plan),
        check_assembled(plan),
        check_loaded(plan),
        *check_blanks(plan, ready),
        *check_ways(plan),
    )
