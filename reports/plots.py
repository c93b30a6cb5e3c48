"""The plotted figures.  Only the worker and the command line import this: the plotting library takes a second to load.

Margins are fixed in inches, for a layout engine would cost as much as the drawing.  ``Figure`` objects only: the
plotting library's global state would leak from one case into the next.
"""
from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib
import numpy as np
from django.utils.translation import gettext_noop
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import ScalarFormatter

from intake.words import digits
from reports.phrases import SET_TITLES, SETS, at, quantity
from reports.plain_svg import INK, STOP
from reports.tongue import tell

WIDTH = 5.0
LINES: dict[str, dict[str, Any]] = {
    "found": {"linewidth": 2.6, "linestyle": "-"},
    "book": {"linewidth": 1.8, "linestyle": (0, (1, 1.6)), "alpha": 0.75},
    "advised": {"linewidth": 1.9, "linestyle": (0, (5, 2))},
}
RC = {
    "svg.fonttype": "none", "svg.hashsalt": "farbench", "font.family": "DejaVu Sans", "font.size": 10,
    "axes.edgecolor": INK, "axes.labelcolor": INK, "xtick.color": INK, "ytick.color": INK, "text.color": INK,
    "axes.spines.top": False, "axes.spines.right": False, "axes.linewidth": 0.9, "axes.axisbelow": True,
    "axes.prop_cycle": matplotlib.cycler(color=[INK]), "lines.color": INK, "patch.edgecolor": INK,
    "legend.frameon": False, "legend.fontsize": 9, "legend.handlelength": 2.6, "legend.borderaxespad": 0.2,
    "hatch.linewidth": 0.7, "axes.unicode_minus": True,
}
BOTH = "both legs"
SAGS = (("free_sag_mm", gettext_noop("free sag {length}")), ("rider_sag_mm", gettext_noop("rider sag {length}")))
Findings = Mapping[str, Any]


class Ticks(ScalarFormatter):
    """Numbers along an axis with the language's decimal mark."""

    def __call__(self, x: float, pos: int | None = None) -> str:
        return digits(super().__call__(x, pos))


def _axes(figure: Figure, left: float, bottom: float, right: float, top: float) -> Axes:
    """Add axes with margins in inches."""
    width, height = figure.get_size_inches()
    axes = figure.add_axes((left / width, bottom / height, (width - left - right) / width,
                            (height - bottom - top) / height))
    axes.xaxis.set_major_formatter(Ticks())
    axes.yaxis.set_major_formatter(Ticks())
    return axes


def _svg(figure: Figure) -> str:
    out = io.StringIO()
    figure.savefig(out, format="svg", transparent=True, metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _numbers(values: Sequence[float | None]) -> np.ndarray:
    """Return a curve as an array; a locked stroke has no number and leaves a gap."""
    return np.array([np.nan if value is None else value for value in values], dtype=float)


def _curves(findings: Findings) -> dict[str, Mapping[str, Any]]:
    return {curve["name"]: curve for curve in findings.get("curves") or () if curve.get("stroke_mm")}


def _shown(curves: Mapping[str, Mapping[str, Any]], *keys: str) -> list[tuple[str, str]]:
    """Return the sets to draw with their titles; where advice is to go by the book, one line stands for both."""
    alike = {"book", "advised"} <= set(curves) and all(
        np.array_equal(_numbers(curves["book"][key]), _numbers(curves["advised"][key]), equal_nan=True) for key in keys)
    titles = SET_TITLES | ({"advised": tell("As advised, by the book")} if alike else {})
    return [(name, str(titles[name])) for name in SETS if name in curves and not (alike and name == "book")]


def _stroke_axis(axes: Axes, findings: Findings, curves: Mapping[str, Mapping[str, Any]]) -> float:
    stroke = at(findings, "marks", "stroke_mm") or max(curve["stroke_mm"][-1] for curve in curves.values())
    axes.set_xlim(0, stroke)
    axes.set_xlabel(tell("stroke, mm"))
    axes.grid(True, linewidth=0.4, alpha=0.25, color=INK)
    return float(stroke)


def _lock(axes: Axes, findings: Findings, stroke: float) -> None:
    """Mark where the first leg locks as found: beyond it nothing moves."""
    locks = [lock for side in ("left", "right") if (lock := at(findings, "fork", side, "lock_stroke_mm")) is not None]
    if not locks or min(locks) >= stroke:
        return
    lock = float(min(locks))
    axes.axvline(lock, color=STOP, linewidth=2)
    axes.axvspan(lock, stroke, facecolor="none", edgecolor=STOP, hatch="///", linewidth=0, alpha=0.6)
    axes.annotate(tell("air runs out {lock}", lock=quantity(lock, "mm")), (lock, 0.03),
                  xycoords=("data", "axes fraction"),
                  xytext=(-4, 0), textcoords="offset points", ha="right", va="bottom", rotation=90, color=STOP,
                  fontsize=9, fontweight="bold")


def force(findings: Findings) -> str:
    """Draw the fork's force against stroke: found, book, advised, with what ends the stroke."""
    curves = _curves(findings)
    figure = Figure(figsize=(WIDTH, 4.1))
    axes = _axes(figure, 0.78, 0.55, 0.2, 0.15)
    stroke = _stroke_axis(axes, findings, curves)
    axes.set_ylim(0, _force_top(findings, curves))
    axes.set_ylabel(tell("force along the fork, N"))
    for name, title in _shown(curves, "force_n"):
        axes.plot(curves[name]["stroke_mm"], _numbers(curves[name]["force_n"]), zorder=3, label=title, **LINES[name])
    _lock(axes, findings, stroke)
    _brake(axes, findings)
    _sags(axes, findings, curves)
    axes.legend(loc="upper left")
    return _svg(figure)


def _force_top(findings: Findings, curves: Mapping[str, Mapping[str, Any]]) -> float:
    """Return a height that holds the braking load and the healthy curves; a locking curve may leave through the top."""
    loads = [load for name in SETS if (load := at(findings, "fork", "brake_load_n", name)) is not None]
    ends = [float(np.nanmax(_numbers(curve["force_n"]))) for name, curve in curves.items()
            if name != "found" and not np.isnan(_numbers(curve["force_n"])).all()]
    found = [float(np.nanpercentile(_numbers(curve["force_n"]), 75)) for curve in curves.values()]
    return max([1.5 * load for load in loads] + [min(end, 2.2 * max(loads, default=end)) for end in ends]
               or [1.2 * value for value in found])


def _brake(axes: Axes, findings: Findings) -> None:
    """Mark the hard-braking load and how deep it takes the fork."""
    load = at(findings, "fork", "brake_load_n", "found") or at(findings, "fork", "brake_load_n", "advised")
    if load is None:
        return
    axes.axhline(load, linewidth=1, alpha=0.7)
    axes.annotate(tell("hard braking {load}", load=quantity(load, "N")), (0.01, load),
                  xycoords=("axes fraction", "data"),
                  xytext=(0, 3), textcoords="offset points", fontsize=9)
    shown: list[float] = []
    for name in ("found", "advised", "book"):
        usable = at(findings, "fork", "usable_stroke_mm", name)
        if usable is None or any(abs(usable - other) < 2 for other in shown):
            continue
        shown.append(usable)
        axes.plot([usable, usable], [0, load], linewidth=1, linestyle=LINES[name]["linestyle"], alpha=0.8)
        axes.plot([usable], [load], marker="o", markersize=6, color=INK, zorder=5)
        above = len(shown) == 1 or usable > 0.85 * axes.get_xlim()[1]
        axes.annotate(quantity(usable, "mm"), (usable, load), xytext=(-6, 6) if above else (6, -14), zorder=6,
                      textcoords="offset points", ha="right" if above else "left", fontsize=11, fontweight="bold")


def _sags(axes: Axes, findings: Findings, curves: Mapping[str, Mapping[str, Any]]) -> None:
    """Mark the computed sags on the curve they belong to."""
    if "found" not in curves:
        return
    x, y = _numbers(curves["found"]["stroke_mm"]), _numbers(curves["found"]["force_n"])
    for key, title in SAGS:
        sag = at(findings, "fork", key, "found")
        if sag is None:
            continue
        height = float(np.interp(sag, x, y))
        axes.plot([sag], [height], marker="|", markersize=13, markeredgewidth=2.2, color=INK, zorder=5)
        axes.annotate(tell(title, length=quantity(sag, "mm")), (sag, height), xytext=(4, -16),
                      textcoords="offset points", fontsize=9)


def shares(findings: Findings) -> str:
    """Draw how spring and air share the load, found beside advised on the same scale."""
    curves = {name: curve for name, curve in _curves(findings).items()
              if name in ("found", "advised") and curve.get("spring_n") and curve.get("air_n")}
    figure = Figure(figsize=(WIDTH, 3.2))
    top = _force_top(findings, curves)
    for place, (name, curve) in enumerate(curves.items()):
        axes = _axes(figure, 0.78 + place * 2.14, 0.55, 0.15 + (1 - place) * 2.14, 0.35)
        stroke = _stroke_axis(axes, findings, curves)
        axes.set_ylim(0, top)
        axes.set_title(SET_TITLES[name], fontsize=10, fontweight="bold", loc="left")
        if place:
            axes.tick_params(labelleft=False)
        else:
            axes.set_ylabel(tell("force, N"))
        _stack(axes, curve, top, stroke)
        if name == "found":
            _lock(axes, findings, stroke)
    return _svg(figure)


def _stack(axes: Axes, curve: Mapping[str, Any], top: float, stroke: float) -> None:
    x, spring, air = (_numbers(curve[key]) for key in ("stroke_mm", "spring_n", "air_n"))
    free = ~np.isnan(air)  # past the lock nothing carries anything
    x, spring, air = x[free], spring[free], air[free]
    total = np.minimum(spring + air, 1.5 * top)
    axes.fill_between(x, 0, np.minimum(spring, 1.5 * top), color=INK, alpha=0.16, linewidth=0)
    axes.fill_between(x, spring, total, where=total > spring, color=INK, alpha=0.5, linewidth=0)
    axes.plot(x, total, linewidth=2)
    middle = 0.45 * stroke
    axes.annotate(tell("spring"), (middle, float(np.interp(middle, x, spring)) * 0.45), ha="center", fontsize=9)
    axes.annotate(tell("air"), (middle, float(np.interp(middle, x, total))), xytext=(-5, 5),
                  textcoords="offset points", ha="right", fontsize=9)


def pressure(findings: Findings) -> str:
    """Draw the air pressure in each leg against stroke."""
    curves = _curves(findings)
    figure = Figure(figsize=(WIDTH, 3.4))
    axes = _axes(figure, 0.78, 0.55, 0.2, 0.15)
    stroke = _stroke_axis(axes, findings, curves)
    axes.set_ylabel(tell("pressure in each leg, bar"))
    tops = []
    for name, title in _shown(curves, "pressure_bar_left", "pressure_bar_right"):
        for side, values in _leg_pressures(curves[name]).items():
            tops.append(float(np.nanmax(values)) if name != "found" else float(np.nanpercentile(values, 70)))
            axes.plot(curves[name]["stroke_mm"], values, zorder=3,
                      label=str(title) if side == BOTH else f"{title}: {tell(side)}",
                      **LINES[name] | ({"linewidth": 1.1} if side == "right leg" else {}))
    axes.set_ylim(min(0.0, *tops), 1.6 * max(tops) or 1.0)
    _lock(axes, findings, stroke)
    axes.legend(loc="upper left")
    return _svg(figure)


def _leg_pressures(curve: Mapping[str, Any]) -> dict[str, np.ndarray]:
    """Return the curve's pressures by leg; legs that read alike become one line."""
    legs = {side: _numbers(curve.get(f"pressure_bar_{side}") or []) for side in ("left", "right")}
    legs = {side: values for side, values in legs.items() if values.size and not np.isnan(values).all()}
    if len(legs) == 2 and np.allclose(legs["left"], legs["right"], atol=0.02, equal_nan=True):
        return {BOTH: legs["left"]}
    return {f"{side} leg": values for side, values in legs.items()}
