"""Wire lines -> passes: entries, links, slits, and the order in which they are cut.

A hot wire cannot lift. Between two lines it cuts its way (a link, or a slit where it
leads through a piece to its hole) and comes back through its own slot. The links form
a tree; a depth-first tour cuts every line once, turns aside into each child where its
link leaves, and so frees what lies inside and behind before it closes the line.

    linking    which lines are joined, and by which shortest segments
    junctions  where three links meet in the waste, to shorten the tree
    slitting   where a piece is slit to reach its holes
    standing   which lines are joined where the wire is level, so that foam rests on foam
    sparing    seams and finished sides, on which no line is to begin
    landing    links led to where a line is to begin
    webs       links led off waste so thin that it would break
    parting    cuts that part the waste, so that it can be drawn off and lifted
    threading  where the wire is put through the foam instead
    cornering  stretches at the corner feed, and loops into the waste
    sharing    lines that run on top of each other, cut once
    postman    shared edges walked as a net, as little as can be run twice
    touring    the tree walked as one unbroken line: moves
    clamped    sides to enter from, so that the wire keeps out of clamps
    tables     a table's travel and clamps as they lie round a block that is moved
    covering   the fewest setups in which a table reaches every piece
    setups     each of them led as a layout of its own
    walls      pieces cut in other setups, which links keep off
    tapered    where the wire's two ends part, and come together again
"""

from wirepath.routing.parting import drawn_out
from wirepath.routing.setups import led_on_table
from wirepath.routing.sparing import good_edges, scarred
from wirepath.routing.standing import held
from wirepath.routing.tables import is_within_travel
from wirepath.routing.tapered import in_depth, lean
from wirepath.routing.touring import route
from wirepath.routing.waiting import from_waiting_place
from wirepath.routing.webs import thin_places

__all__ = [
    "drawn_out",
    "from_waiting_place",
    "good_edges",
    "held",
    "in_depth",
    "is_within_travel",
    "lean",
    "led_on_table",
    "route",
    "scarred",
    "thin_places",
]
