"""Pieces into the van: what travels as one, how many ways, and where each thing lies.

    parcel   what travels as one: a piece, or a glued group
    load     one way of the van
    wall     parcels side by side and on shelves, from one side of the van to the other

`plan_loads` does it all.
"""

from wirepath.loading.loading import Travel, plan_loads, refuse_no_van

__all__ = ["Travel", "plan_loads", "refuse_no_van"]
