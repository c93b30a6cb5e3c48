"""The reliability picture: what was said of the leading cause against how often it was so.

Only the view that draws it imports this: the plotting library takes a second to load.
"""
from __future__ import annotations

from collections.abc import Sequence

from matplotlib import rc_context
from matplotlib.figure import Figure

from reports.learnt import ENOUGH, Band
from reports.plain_svg import page_svg
from reports.plots import RC, WIDTH, _axes, _svg

TITLE = "What we said against what it was"


def reliability_svg(bands: Sequence[Band]) -> str:
    """Return the picture as SVG; bands with fewer than ten cases are hollow."""
    known = [band for band in bands if band.n]
    with rc_context(RC):
        figure = Figure((WIDTH, WIDTH * 0.8))
        axes = _axes(figure, 0.6, 0.55, 0.15, 0.15)
        axes.plot((0, 100), (0, 100), linewidth=0.9, linestyle=(0, (4, 3)))
        for band in known:
            axes.plot([100 * band.said], [100 * band.share], marker="o", markersize=9, linestyle="",
                      markerfacecolor="#000000" if band.n >= ENOUGH else "none", markeredgecolor="#000000")
            axes.annotate(f"n = {band.n}", (100 * band.said, 100 * band.share), xytext=(0, -18), ha="center",
                          textcoords="offset points", fontsize=9)
        axes.set(xlim=(0, 105), ylim=(-15, 105), xlabel="said of the leading cause, %", ylabel="it was so, %")
        told = " ".join(f"Said {100 * band.said:.0f} %: it was so in {band.right} of {band.n}." for band in known)
        return page_svg(_svg(figure), "reliability", TITLE, told or "No confirmed case yet.")
