"""The further parts of the findings in words: damping, the rear, how the bike stands, and more about the fork.

Each is a titled table of a label and what is to be said; the desk, the terminal and the printed report show the same.
A part that the findings do not have, or of which nothing is known, has no table.
"""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.words import digits
from reports.phrases import SET_TITLES, SETS, UNKNOWN, at, exact, limit_words, listed, number, quantity, sentence
from reports.tongue import in_language, tell

Part = Mapping[str, Any]
Rows = list[list[str]]

LOADS = {"free": _("Free sag"), "rider": _("Rider sag"), "two_up": _("Sag with passenger"),
         "loaded": _("Sag with all the load")}
FOR_WHOM = {"rider": _("Rear preload for the rider"), "two_up": _("Rear preload with a passenger"),
            "loaded": _("Rear preload with all the load")}
STEERING = (("rake_deg", _("rake {size}"), "°"), ("trail_mm", _("trail {size}"), "mm"),
            ("normal_trail_mm", _("trail square to the steering axis {size}"), "mm"),
            ("wheelbase_mm", _("wheelbase {size}"), "mm"))
ENDS = {"full travel": _("{travel}, ended by its full travel"), "coil bind": _("{travel}, ended by touching coils"),
        "shock stroke": _("{travel}, ended by the stroke of the shock")}


@dataclass(frozen=True)
class Table:
    """A titled table in words."""

    name: str
    title: str
    rows: tuple[tuple[str, str], ...]


def more_tables(findings: Part) -> tuple[Table, ...]:
    """Return the tables of all further parts that say anything, in the order of the report."""
    findings = in_language(findings)
    made: tuple[tuple[str, str, Rows], ...] = (
        ("damping", tell("Damping"), damping_rows(findings.get("damping"), advised=not findings.get("stop_riding"))),
        ("oil", tell("The fork oil"), oil_rows(at(findings, "damping", "oil"))),
        ("fork-more", tell("Springs to choose from, unequal legs and warmth"), fork_rows(findings.get("fork"))),
        ("rear", tell("The rear"), rear_rows(findings.get("shock"))),
        ("stance", tell("How the bike stands and steers"),
         stance_rows(findings.get("chassis") or findings.get("attitude"))),
    )
    return tuple(Table(name, title, tuple((str(label), str(words)) for label, words in rows))
                 for name, title, rows in made if rows)


def damping_rows(part: Any, *, advised: bool = True) -> Rows:
    """Return what the bounce and the clicks say; without ``advised``, nothing of what to do about it."""
    if not isinstance(part, Mapping):
        return []
    bounce = part.get("rebound") or {}
    rows: Rows = []
    if bounce:
        rows = [[tell("Bounce"), f"{sentence(bounce['words'])} {bounce.get('remark') or ''}".strip()]]
    rows += [[title, _interval(bounce[key], unit, digits)] for key, title, unit, digits in (
        ("friction_mm", tell("Friction in the bounce"), "mm", 1), ("damped_hz", tell("Swings a second"), "", 2))
        if bounce.get(key)]
    rows += [[tell("Could not be used"), sentence(one["words"])] for one in bounce.get("refused") or ()
             if one["words"] != bounce.get("words")]
    return rows + [[_adjuster_title(one), f"{sentence(one['words'])} {one['do'] if advised else ''}".strip()]
                   for one in part.get("adjusters") or ()]


def _adjuster_title(one: Part) -> str:
    return tell("Clicks") if one["circuit"] in ("rebound", "compression") else tell("Left and right")


def _interval(found: Part, unit: str, digits: int) -> str:
    ends = [number(found.get(end), digits) for end in ("low", "high")]
    middle = quantity(found.get("value"), unit, digits)
    return middle if UNKNOWN in ends else tell("{middle} ({low} to {high})", middle=middle, low=ends[0], high=ends[1])


def oil_rows(part: Any) -> Rows:
    """Return what is known of the oil, its thickness over temperature included."""
    if not isinstance(part, Mapping):
        return []
    rows: Rows = [[tell("Oil"), sentence(words)] for words in part.get("words") or ()]
    if part.get("viscosity_40_cst") is not None:
        thickness = f"{_plain(part['viscosity_40_cst'])} mm²/s"
        rows.append([tell("Thickness at 40 °C"), tell("{thickness}, grade {grade}", thickness=thickness,
                                                      grade=part["grade"]) if part.get("grade") else thickness])
    points = [tell("{thickness} at {temperature} °C", thickness=_plain(one["viscosity_cst"]),
                   temperature=number(one["temperature_c"])) for one in part.get("at") or ()
              if one.get("viscosity_cst") is not None]
    return rows + ([[tell("Thickness, mm²/s"), listed(points)]] if points else [])


def _plain(value: float) -> str:
    return digits(f"{value:g}")


def fork_rows(fork: Any) -> Rows:
    """Return springs on the shelf, the twist of unequal legs and what warmth does."""
    if not isinstance(fork, Mapping):
        return []
    rows = _spring_rows(fork.get("springs") or ())
    twist, hot = fork.get("twist"), fork.get("when_hot")
    if twist:
        template = ("At {stroke} the left leg pushes {force} harder: {moment} twist axle and yokes."
                    if twist["harder"] == "left" else
                    "At {stroke} the right leg pushes {force} harder: {moment} twist axle and yokes.")
        rows.append([tell("Legs pull unequally"), tell(
            template, stroke=quantity(twist["at_mm"], "mm"), force=quantity(twist["difference_n"], "N"),
            moment=quantity(twist["moment_nm"], "N·m", 1))])
    if hot:
        rows.append([tell("With the oil at {degrees} °C", degrees=number(hot["oil_c"])), _hot_words(hot)])
    return rows


def _hot_words(hot: Part) -> str:
    said = [tell("usable stroke {stroke}: {limit}", stroke=quantity(hot["usable_stroke_mm"], "mm"),
                 limit=limit_words(hot["limited_by"]))]
    if hot.get("lock_stroke_mm") is not None:
        said.append(tell("the air runs out at {stroke}", stroke=quantity(hot["lock_stroke_mm"], "mm")))
    return sentence("; ".join([*said, tell("rider sag {sag}", sag=quantity(hot["rider_sag_mm"], "mm"))]))


def _spring_rows(springs: Sequence[Part]) -> Rows:
    """Return the springs that fit, or all where none does."""
    shown = [one for one in springs if one.get("fits")] or springs
    return [[tell("Spring {rate}, the best fit" if one.get("best") else "Spring {rate}",
                  rate=exact(one["rate_n_per_mm"], "N/mm")),
             tell("Rider sag {sag}. {words}", sag=quantity(one["rider_sag_mm"], "mm"),
                  words=sentence(str(one.get("words") or ""))).strip()]
            for one in shown]


def rear_rows(part: Any) -> Rows:
    """Return what can be said of the rear; lengths are at the wheel."""
    if not isinstance(part, Mapping):
        return []
    sags = part.get("sag") or {}
    rows = [[title, words] for which, title in LOADS.items() if (words := _sag_words(sags.get(which) or {}))]
    ratio = part.get("motion_ratio")
    if ratio:
        rows.append([tell("Wheel travel to shock stroke"),
                     tell("{ratio} to 1 over all", ratio=number(ratio["wheel_over_shock"], 2))])
    rates = part.get("wheel_rate_n_per_mm") or {}
    if any(rates.values()):
        rows.append([tell("Rate at the wheel"), listed([
            tell(template, rate=quantity(rates[key], "N/mm")) for key, template in (
                ("start", "{rate} at the start"), ("rider_sag", "{rate} at rider sag"), ("end", "{rate} at the end"))
            if rates.get(key)])])
    if part.get("usable_travel_mm") is not None:
        ended = str(part.get("ended_by") or "")
        travel = quantity(part["usable_travel_mm"], "mm")
        rows.append([tell("Usable travel"), str(ENDS.get(ended, "{travel}")).format(travel=travel)])
    rows += [[title, quantity(part[key], unit)] for key, title, unit in (
        ("bind_margin_mm", tell("Room before the coils touch"), "mm"),
        ("friction_n", tell("Friction at the wheel"), "N"),
        ("gas_force_n", tell("Push of the gas in the shock"), "N")) if part.get(key) is not None]
    return [*rows, *_rear_preload(part.get("preload")), *_spring_rows(part.get("springs") or ()), *_gaps(part)]


def _sag_words(sag: Part) -> str:
    return listed([tell(template, sag=quantity(sag[key], "mm")) for key, template in (
        ("measured_mm", "{sag} measured"), ("predicted_mm", "{sag} by our reckoning")) if sag.get(key) is not None])


def _rear_preload(preload: Any) -> Rows:
    if not isinstance(preload, Mapping):
        return []
    rows = [[tell("Rear preload now"), quantity(preload.get("now_mm"), "mm")]]
    return rows + [[FOR_WHOM[which], f"{quantity(one['needed_mm'], 'mm')}. {sentence(one['words'])}"]
                   for which, one in (preload.get("for") or {}).items() if which in FOR_WHOM]


def _gaps(part: Part) -> Rows:
    said = [f"{one['title']}: {sentence(one['why'])}" for one in part.get("missing") or ()]
    said += [str(one) for one in part.get("troubles") or ()]
    return [[tell("Would help"), sentence(words)] for words in said]


def stance_rows(part: Any) -> Rows:
    """Return rake, trail and wheelbase as the bike stands, what a first step changes, and what braking does."""
    if not isinstance(part, Mapping):
        return []
    sets: Sequence[tuple[str, Any]] = [
        (tell("In the papers"), part), *((SET_TITLES[name], part.get(name)) for name in SETS)]
    rows = [[title, _steering(figures)] for title, figures in sets if figures]
    rows += [[one["change"], _changed(one)] for one in part.get("changes") or ()]
    braking = part.get("braking")
    return rows + ([[tell("Hard braking"), _braking(braking)]] if braking else [])


def _steering(figures: Part) -> str:
    return sentence(listed([str(name).format(size=quantity(figures[key], unit)) for key, name, unit in STEERING]))


def _changed(one: Part) -> str:
    said = [str(name).format(size=f"{'+' if one[key] > 0 else ''}{quantity(one[key], unit, 1)}")
            for key, name, unit in STEERING if abs(one[key]) >= 0.05]
    return sentence(listed(said)) if said else tell("Hardly anything.")


def _braking(braking: Part) -> str:
    template = ("At {now} g about {mass} move to the front. Braking harder and harder, the rear wheel lifts first, at "
                "{limit} g." if braking["limited_by"] == "rear lifts" else
                "At {now} g about {mass} move to the front. Braking harder and harder, the front tyre slides first, at "
                "{limit} g.")
    return tell(template, now=number(min(braking["at_g"], braking["limit_g"]), 2),
                mass=quantity(braking["moved_kg"], "kg"), limit=number(braking["limit_g"], 2))
