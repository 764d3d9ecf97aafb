"""A small plot of what changes to a job would cost."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from wirepath.model import Job
from wirepath.varying import ChangeRow

ROW_INCH = 0.32
WIDTH_INCH = 8.27
"""A4 upright (ISO 216)."""


def change_figure(rows: Sequence[ChangeRow], *, job: Job, currency: str) -> Figure:
    """Return bars of the price of the job as it is (hatched) and after each change."""
    figure = Figure(figsize=(WIDTH_INCH, 1.3 + ROW_INCH * len(rows)), layout="constrained")
    axes = figure.add_subplot()
    places = range(len(rows))
    axes.barh(
        places,
        [row.price for row in rows],
        height=0.7,
        color=["white"] + ["0.8"] * (len(rows) - 1),
        edgecolor="black",
        hatch=["///"] + [""] * (len(rows) - 1),
    )
    for place, row in zip(places, rows, strict=True):
        blocks = f"{row.blocks} block{'s' if row.blocks != 1 else ''}"
        text = "no plan" if row.refused else f"{row.price:.0f}, {blocks}"
        # On white, for the line of the price as it is may run below.
        axes.annotate(
            text,
            (row.price, place),
            (5, 0),
            textcoords="offset points",
            va="center",
            fontsize=9,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 1.5},
        )
    axes.axvline(rows[0].price, color="black", linewidth=0.8, linestyle="--", zorder=1.5)
    axes.set_yticks(places, [row.name for row in rows])
    axes.invert_yaxis()
    axes.set_xlim(0, 1.25 * max(row.price for row in rows) or 1)
    axes.set_xlabel(f"price in {currency}: foam, delivery, labour")
    invented = " (invented demo data)" if job.invented else ""
    axes.set_title(f"{job.name}{invented}: what if", loc="left")
    axes.spines[["top", "right"]].set_visible(False)
    return figure
