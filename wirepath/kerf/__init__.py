"""Kerf: the width of the melted slot, and the line of the wire's centre that allows for it.

offsetting    finished outline -> wire line; what so wide a slot cannot follow
corners       where the wire goes slower, and where it loops out into the waste
taper         two faces that differ -> the line of each end of the wire
taper_misses  what the wire leaves on those faces, and between them
stations      numbered marks along it, for two people
law           how the width depends on the feed: fitted to test cuts, or estimated
settling      which kerf a job is cut with: stated, from test cuts, or an estimate
"""

from wirepath.kerf.corners import half_kerf_mm
from wirepath.kerf.law import (
    KerfEstimate,
    KerfFit,
    KerfLaw,
    dwell_widening_mm,
    estimate_kerf,
    feed_for_estimate_mm_per_s,
    fit_kerf,
)
from wirepath.kerf.offsetting import (
    Miss,
    largest_miss,
    misses,
    piece_misses,
    refuse_lost,
    wire_lines,
)
from wirepath.kerf.settling import KerfBasis, cuts_for, good_feeds, kerf_basis, settled
from wirepath.kerf.stations import Station, piece_stations, placed_stations, stations
from wirepath.kerf.taper import (
    TaperLine,
    law_of,
    standing_off,
    taper_line,
    with_room,
)

__all__ = [
    "KerfBasis",
    "KerfEstimate",
    "KerfFit",
    "KerfLaw",
    "Miss",
    "Station",
    "TaperLine",
    "cuts_for",
    "dwell_widening_mm",
    "estimate_kerf",
    "feed_for_estimate_mm_per_s",
    "fit_kerf",
    "good_feeds",
    "half_kerf_mm",
    "kerf_basis",
    "largest_miss",
    "law_of",
    "misses",
    "piece_misses",
    "piece_stations",
    "placed_stations",
    "refuse_lost",
    "settled",
    "standing_off",
    "stations",
    "taper_line",
    "wire_lines",
    "with_room",
]
