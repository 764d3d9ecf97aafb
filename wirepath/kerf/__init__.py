"""Kerf: the width of the melted slot, and the line of the wire's centre that allows for it.

offsetting    finished outline -> wire line; what so wide a slot cannot follow
corners       where the wire goes slower, and where it loops out into the waste
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
from wirepath.kerf.taper import (
    Ruled,
    Station,
    TaperLine,
    at_carriages,
    paired,
    stations,
    taper_line,
)

__all__ = [
    "KerfBasis",
    "KerfEstimate",
    "KerfFit",
    "KerfLaw",
    "Miss",
    "Ruled",
    "Station",
    "TaperLine",
    "at_carriages",
    "cuts_for",
    "dwell_widening_mm",
    "estimate_kerf",
    "feed_for_estimate_mm_per_s",
    "fit_kerf",
    "good_feeds",
    "half_kerf_mm",
    "kerf_basis",
    "largest_miss",
    "misses",
    "paired",
    "piece_misses",
    "refuse_lost",
    "settled",
    "stations",
    "taper_line",
    "wire_lines",
]
