"""What the findings say about the oil itself: how thick it is, how that changes with warmth, and what a label says."""
from __future__ import annotations

import math
from typing import Any

from analysis.case import Case
from analysis.oil_label import Label, grade_of, read_label
from analysis.say import say
from analysis.viscosity import (
    CST,
    T_40,
    T_100,
    Line,
    blend,
    damping_change,
    line_from_index,
    line_through,
    viscosity_index,
)

SHOWN_AT = (-5.0, 5.0, 20.0, 40.0, 60.0)
"""Temperatures of the table in °C."""
ZERO_C = 273.15
FELT = 1.25
"""Ratio of two viscosities from which a rider feels the difference: common practice, no source."""


def oil_part(case: Case) -> dict[str, Any] | None:
    """Return viscosity, index, grade, table over temperature, change in the cold and words; None where nothing is said.

    Viscosities in mm²/s.  A label that names no viscosity gives none.
    """
    text = case.value("fork.oil.label")
    label = read_label(text) if isinstance(text, str) and text.strip() else None
    nu_40 = case.number("fork.oil.viscosity_40_cst")
    nu_40 = label.nu_40 if nu_40 is None and label is not None else nu_40
    if nu_40 is None and label is None:
        return None
    mixed = _mixed(case, nu_40)
    line = None if nu_40 is None or mixed is not None else _line(case, nu_40)
    return {"label": None if label is None else {"text": label.text, "words": label.words,
                                                "viscosity_cst": _cst(label.nu_40)},
            "viscosity_40_cst": _cst(nu_40), "grade": None if nu_40 is None else grade_of(nu_40),
            "viscosity_index": _index(line), "mixed_40_cst": _cst(mixed),
            "at": [] if line is None else [{"temperature_c": t, "viscosity_cst": _cst(line.at(t + ZERO_C))}
                                           for t in SHOWN_AT],
            "cold": _cold(case, line), "words": _words(case, label, nu_40, mixed, line)}


def _line(case: Case, nu_40: float) -> Line | None:
    nu_100, index = case.number("fork.oil.viscosity_100_cst"), case.number("fork.oil.viscosity_index")
    if nu_100 is not None:
        line = line_through(nu_40, T_40, nu_100, T_100)
    elif index is not None:
        line = line_from_index(nu_40, index)
    else:
        return None
    return line if math.isfinite(float(line.b)) else None


def thickness(case: Case) -> float | None:
    """Return how many times as thick at 40 °C the oil inside is as the papers ask for; None where one is not known."""
    inside, book = case.number("fork.oil.viscosity_40_cst"), case.number("fork.oil.viscosity_book_cst")
    return None if inside is None or book is None else (_mixed(case, inside) or inside) / book


def _mixed(case: Case, nu_40: float | None) -> float | None:
    second, share = case.number("fork.oil.second_viscosity_cst"), case.number("fork.oil.second_share")
    if nu_40 is None or second is None or share is None:
        return None
    return float(blend(second, nu_40, share))


def _cold(case: Case, line: Line | None) -> dict[str, Any] | None:
    """How much stronger an oil-bound damper is at the tests' temperature than at 40 °C, at most."""
    at = case.number("use.temperature_c")
    if line is None or at is None:
        return None
    return {"temperature_c": round(at - ZERO_C, 1), "against_c": 40.0,
            "most_times": _figures(float(damping_change(line, T_40, at)))}


def _words(case: Case, label: Label | None, nu_40: float | None, mixed: float | None, line: Line | None) -> list[str]:
    words = [label.words] if label is not None else []
    book = case.number("fork.oil.viscosity_book_cst")
    inside = mixed if mixed is not None else nu_40
    if mixed is not None:
        words.append(say("The two oils together have about {mixed} mm²/s at 40 °C; a mix is always thinner than the "
                         "plain mean.", mixed=f"{mixed / CST:.0f}"))
    if inside is not None and book is not None and max(inside / book, book / inside) > FELT:
        words.append(say("The oil is {inside} times as thick as the papers ask for ({now} against {book} mm²/s at "
                         "40 °C).", inside=f"{inside / book:.1f}", now=f"{inside / CST:.0f}",
                         book=f"{book / CST:.0f}"))
    cold = _cold(case, line)
    if cold is not None and cold["most_times"] is not None and cold["most_times"] > FELT:
        words.append(say("At {temperature_c} °C slow damping is up to {most_times} times that at 40 °C; clicks "
                         "compare only at the same temperature.", temperature_c=f'{cold["temperature_c"]:g}',
                         most_times=f'{cold["most_times"]:g}'))
    if nu_40 is not None and mixed is None and line is None:
        words.append(say("Without the viscosity index, or the viscosity at 100 °C, nothing can be said about cold "
                         "and heat. The oil's data sheet has it."))
    return words


def _index(line: Line | None) -> float | None:
    if line is None:
        return None
    index = float(viscosity_index(line.at(T_40), line.at(T_100)))
    return round(index) if math.isfinite(index) else None


def _cst(nu: Any) -> float | None:
    return None if nu is None else _figures(float(nu) / CST)


def _figures(value: float) -> float | None:
    """Return three figures; None where there is no number."""
    return float(f"{value:.3g}") if math.isfinite(value) else None
