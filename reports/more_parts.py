"""The further parts of the findings in words: damping, the rear, how the bike stands, and more about the fork.

Each is a titled table of a label and what is to be said; the desk, the terminal and the printed report show the same.
A part that the findings do not have, or of which nothing is known, has no table.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from reports.phrases import SET_TITLES, SETS, UNKNOWN, at, exact, limit_words, listed, number, quantity, sentence

Part = Mapping[str, Any]
Rows = list[list[str]]

LOADS = {"free": "Free sag", "rider": "Rider sag", "two_up": "Sag with passenger", "loaded": "Sag with all the load"}
FOR_WHOM = {"rider": "for the rider", "two_up": "with a passenger", "loaded": "with all the load"}
STEERING = (("rake_deg", "rake", "°"), ("trail_mm", "trail", "mm"), ("normal_trail_mm", "trail square to the steering "
            "axis", "mm"), ("wheelbase_mm", "wheelbase", "mm"))
ENDS = {"full travel": "its full travel", "coil bind": "touching coils", "shock stroke": "the stroke of the shock"}


@dataclass(frozen=True)
class Table:
    """A titled table in words."""

    name: str
    title: str
    rows: tuple[tuple[str, str], ...]


def more_tables(findings: Part) -> tuple[Table, ...]:
    """Return the tables of all further parts that say anything, in the order of the report."""
    made: tuple[tuple[str, str, Rows], ...] = (
        ("damping", "Damping", damping_rows(findings.get("damping"), advised=not findings.get("stop_riding"))),
        ("oil", "The fork oil", oil_rows(at(findings, "damping", "oil"))),
        ("fork-more", "Springs to choose from, unequal legs and warmth", fork_rows(findings.get("fork"))),
        ("rear", "The rear", rear_rows(findings.get("shock"))),
        ("stance", "How the bike stands and steers", stance_rows(findings.get("chassis") or findings.get("attitude"))),
    )
    return tuple(Table(name, title, tuple((label, words) for label, words in rows))
                 for name, title, rows in made if rows)


def damping_rows(part: Any, *, advised: bool = True) -> Rows:
    """Return what the bounce and the clicks say; without ``advised``, nothing of what to do about it."""
    if not isinstance(part, Mapping):
        return []
    bounce = part.get("rebound") or {}
    rows: Rows = [["Bounce", f"{sentence(bounce['words'])} {bounce.get('remark') or ''}".strip()]] if bounce else []
    rows += [[title, _interval(bounce[key], unit, digits)] for key, title, unit, digits in (
        ("friction_mm", "Friction in the bounce", "mm", 1), ("damped_hz", "Swings a second", "", 2)) if bounce.get(key)]
    rows += [["Could not be used", sentence(one["words"])] for one in bounce.get("refused") or ()
             if one["words"] != bounce.get("words")]
    return rows + [["Clicks", f"{sentence(one['words'])} {one['do'] if advised else ''}".strip()]
                   for one in part.get("adjusters") or ()]


def _interval(found: Part, unit: str, digits: int) -> str:
    ends = [number(found.get(end), digits) for end in ("low", "high")]
    middle = quantity(found.get("value"), unit, digits)
    return middle if UNKNOWN in ends else f"{middle} ({ends[0]} to {ends[1]})"


def oil_rows(part: Any) -> Rows:
    """Return what is known of the oil, its thickness over temperature included."""
    if not isinstance(part, Mapping):
        return []
    rows: Rows = [["Oil", sentence(words)] for words in part.get("words") or ()]
    if part.get("viscosity_40_cst") is not None:
        grade = f", grade {part['grade']}" if part.get("grade") else ""
        rows.append(["Thickness at 40 °C", f"{_plain(part['viscosity_40_cst'])} mm²/s{grade}"])
    points = [f"{_plain(one['viscosity_cst'])} at {number(one['temperature_c'])} °C" for one in part.get("at") or ()
              if one.get("viscosity_cst") is not None]
    return rows + ([["Thickness, mm²/s", listed(points)]] if points else [])


def _plain(value: float) -> str:
    return f"{value:g}"


def fork_rows(fork: Any) -> Rows:
    """Return springs on the shelf, the twist of unequal legs and what warmth does."""
    if not isinstance(fork, Mapping):
        return []
    rows = _spring_rows(fork.get("springs") or ())
    twist, hot = fork.get("twist"), fork.get("when_hot")
    if twist:
        rows.append(["Legs pull unequally", f"At {quantity(twist['at_mm'], 'mm')} the {twist['harder']} leg pushes "
                     f"{quantity(twist['difference_n'], 'N')} harder: {quantity(twist['moment_nm'], 'N·m', 1)} twist "
                     "axle and yokes."])
    if hot:
        rows.append([f"With the oil at {number(hot['oil_c'])} °C", _hot_words(hot)])
    return rows


def _hot_words(hot: Part) -> str:
    said = [f"usable stroke {quantity(hot['usable_stroke_mm'], 'mm')}: {limit_words(hot['limited_by'])}"]
    if hot.get("lock_stroke_mm") is not None:
        said.append(f"the air runs out at {quantity(hot['lock_stroke_mm'], 'mm')}")
    return sentence("; ".join([*said, f"rider sag {quantity(hot['rider_sag_mm'], 'mm')}"]))


def _spring_rows(springs: Sequence[Part]) -> Rows:
    """Return the springs that fit, or all where none does."""
    shown = [one for one in springs if one.get("fits")] or springs
    return [[f"Spring {exact(one['rate_n_per_mm'], 'N/mm')}{', the best fit' if one.get('best') else ''}",
             f"Rider sag {quantity(one['rider_sag_mm'], 'mm')}. {sentence(str(one.get('words') or ''))}".strip()]
            for one in shown]


def rear_rows(part: Any) -> Rows:
    """Return what can be said of the rear; lengths are at the wheel."""
    if not isinstance(part, Mapping):
        return []
    sags = part.get("sag") or {}
    rows = [[title, words] for which, title in LOADS.items() if (words := _sag_words(sags.get(which) or {}))]
    ratio = part.get("motion_ratio")
    if ratio:
        rows.append(["Wheel travel to shock stroke", f"{number(ratio['wheel_over_shock'], 2)} to 1 over all"])
    rates = part.get("wheel_rate_n_per_mm") or {}
    if any(rates.values()):
        rows.append(["Rate at the wheel", listed([f"{quantity(rates[key], 'N/mm')} {where}" for key, where in (
            ("start", "at the start"), ("rider_sag", "at rider sag"), ("end", "at the end")) if rates.get(key)])])
    if part.get("usable_travel_mm") is not None:
        ended = str(part.get("ended_by") or "")
        rows.append(["Usable travel", quantity(part["usable_travel_mm"], "mm") + (f", ended by {ENDS.get(ended, ended)}"
                                                                                  if ended else "")])
    rows += [[title, quantity(part[key], unit)] for key, title, unit in (
        ("bind_margin_mm", "Room before the coils touch", "mm"), ("friction_n", "Friction at the wheel", "N"),
        ("gas_force_n", "Push of the gas in the shock", "N")) if part.get(key) is not None]
    return [*rows, *_rear_preload(part.get("preload")), *_spring_rows(part.get("springs") or ()), *_gaps(part)]


def _sag_words(sag: Part) -> str:
    return listed([f"{quantity(sag[key], 'mm')} {how}" for key, how in (
        ("measured_mm", "measured"), ("predicted_mm", "by our reckoning")) if sag.get(key) is not None])


def _rear_preload(preload: Any) -> Rows:
    if not isinstance(preload, Mapping):
        return []
    rows = [["Rear preload now", quantity(preload.get("now_mm"), "mm")]]
    return rows + [[f"Rear preload {FOR_WHOM[which]}", f"{quantity(one['needed_mm'], 'mm')}. {sentence(one['words'])}"]
                   for which, one in (preload.get("for") or {}).items() if which in FOR_WHOM]


def _gaps(part: Part) -> Rows:
    said = [f"{one['title']}: {sentence(one['why'])}" for one in part.get("missing") or ()]
    said += [str(one) for one in part.get("troubles") or ()]
    return [["Would help", sentence(words)] for words in said]


def stance_rows(part: Any) -> Rows:
    """Return rake, trail and wheelbase as the bike stands, what a first step changes, and what braking does."""
    if not isinstance(part, Mapping):
        return []
    sets: Sequence[tuple[str, Any]] = [("In the papers", part), *((SET_TITLES[name], part.get(name)) for name in SETS)]
    rows = [[title, _steering(figures)] for title, figures in sets if figures]
    rows += [[one["change"], _changed(one)] for one in part.get("changes") or ()]
    braking = part.get("braking")
    return rows + ([["Hard braking", _braking(braking)]] if braking else [])


def _steering(figures: Part) -> str:
    return sentence(listed([f"{name} {quantity(figures[key], unit)}" for key, name, unit in STEERING]))


def _changed(one: Part) -> str:
    said = [f"{name} {'+' if one[key] > 0 else ''}{quantity(one[key], unit, 1)}" for key, name, unit in STEERING
            if abs(one[key]) >= 0.05]
    return sentence(listed(said)) if said else "Hardly anything."


def _braking(braking: Part) -> str:
    first = "the rear wheel lifts" if braking["limited_by"] == "rear lifts" else "the front tyre slides"
    at_g = min(braking["at_g"], braking["limit_g"])
    return (f"At {number(at_g, 2)} g about {quantity(braking['moved_kg'], 'kg')} move to the front. Braking "
            f"harder and harder, {first} first, at {number(braking['limit_g'], 2)} g.")
