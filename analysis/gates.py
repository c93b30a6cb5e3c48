"""Signs that mean: do not ride.  They are looked at first and no number outvotes them."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from analysis.case import Case
from analysis.catalogue import SIDES
from analysis.catalogue.safety import SAFETY
from analysis.say import one_after_another, say
from analysis.units import format_quantity, to_si

End = Literal["front", "rear", "both"]

HIGHEST_PRESSURE_BAR = 2.0
"""Above it a leg is opened by a workshop only.  Common practice, no source."""

SIDE_PLAY = 3e-3
"""More side play than this at the rear rim, m, is worn bearings of arm or wheel.  Common practice, no source."""

_GAS = say("It can hold gas under high pressure.")
_OPENED_BY = say("A licensed workshop opens it.")
_WORKSHOP = say("Have a licensed workshop look at it before it is ridden again.")
_DO_NOT_RIDE = one_after_another([say("Do not ride the bike."), _WORKSHOP])
_BRAKES_FIRST = say("Do not ride the bike. Oil has to be off disc and tyre and oily pads replaced before it moves; if "
                    "you are not sure how, leave it to a licensed workshop.")


@dataclass(frozen=True)
class Gate:
    """A reason not to ride: its name, which end of the bike it stops, why, and what to do."""

    name: str
    end: End
    reason: str
    do: str


SIGNS: dict[str, Gate] = {
    "safety.oil_on_brake": Gate(
        "oil on the brake", "both", say("There is oil on a disc, pads or a tyre: the brake or the grip can fail."),
        _BRAKES_FIRST),
    "safety.crack_or_crease": Gate(
        "crack or crease", "both", say("A cracked, creased or bulged part can break without warning."), _DO_NOT_RIDE),
    "safety.bent_or_off_centre": Gate(
        "bent or off-centre", "front", say("A bent tube or axle, or bars that are not straight to the wheel, can "
                                           "lock the fork or break."), _DO_NOT_RIDE),
    "safety.cap_damaged": Gate(
        "damaged fork cap", "front", say("A loose, lifting or damaged cap can fly off under the spring."),
        one_after_another([say("Keep your face away from it and do not try to tighten or open it."), _DO_NOT_RIDE])),
    "safety.clamping_doubtful": Gate(
        "doubtful clamping", "front", say("An axle, pinch or yoke bolt is stripped, missing or of unknown tightness."),
        say("Do not ride the bike. Have the bolts and threads checked by a licensed workshop and tightened to the "
            "figures in the manual.")),
    "safety.head_bearing_play": Gate(
        "head bearing play", "front", say("Play or a notch in the head bearings makes the steering unsafe."),
        _DO_NOT_RIDE),
    "safety.wheel_bearing_play": Gate(
        "wheel bearing play", "both", say("A wheel bearing with play can fail."), _DO_NOT_RIDE),
    "safety.stuck_down": Gate(
        "fork stuck down", "front", say("A fork that stays down cannot carry a bump or a brake."), _DO_NOT_RIDE),
    "safety.tyre_touches": Gate(
        "tyre touches", "both", say("At full stroke the tyre touches a part of the bike: the wheel can lock."),
        one_after_another([_DO_NOT_RIDE, say("If the bike was lowered, say so there.")])),
    "safety.brake_weak": Gate(
        "weak brake", "both", say("A brake is weak or spongy."), _DO_NOT_RIDE),
    "safety.loose_parts_knock": Gate(
        "loose parts inside", "front", say("A loud knock with parts loose inside the fork: they can jam it."),
        _DO_NOT_RIDE),
    "safety.shock_damaged": Gate(
        "damaged shock", "rear", one_after_another([
            say("The shock is bulged, its rod bent, or a spring broken."), _GAS]),
        one_after_another([say("Do not touch or open the shock."), _DO_NOT_RIDE])),
    "safety.over_rated_load": Gate(
        "overloaded", "both", say("The bike is loaded beyond its rating: brakes, tyres and frame are not made for "
                                  "it."),
        say("Do not ride it so loaded. Take load off until it is within the figures in the papers; no setting makes "
            "up for it.")),
    "safety.pressure_unknown": Gate(
        "unknown gas pressure", "both", say("There is gas pressure in a sealed part that nobody has measured."),
        one_after_another([say("Do not open, heat or loosen it."), _DO_NOT_RIDE])),
}
"""What each "yes" on the safety page means."""

STUCK = Gate("fork stuck down", "front", say("In the push test the fork stayed down. It cannot carry a bump or a "
                                             "brake."),
             _DO_NOT_RIDE)
RUNS_OUT = Gate("bent or off-centre", "front", say("On the V-blocks a tube or the axle runs out by more than the "
                                                   "manual allows: it is bent."), _DO_NOT_RIDE)
TWISTED = Gate("twisted after a knock", "front", say("The tubes look twisted against each other after a crash, kerb "
                                                     "or pothole: tubes, axle or yokes may be bent."), _DO_NOT_RIDE)


SHOCK_SIGNS = {"oil": say("There is oil on the shock."), "scored": say("The shock's rod is scored."),
               "bulge": say("The shock bulges.")}
"""What is seen on the shock in the rear bounce test, and stops the rear."""


def safety_gates(case: Case) -> tuple[Gate, ...]:
    """Return every reason in ``case`` not to ride, once each, in the order of the safety page.

    An answer counts however it is known: a guessed "yes" stops as well as a measured one.
    """
    found = [SIGNS[question.path] for question in SAFETY.questions if case.value(question.path) is True]
    if case.value("bench.push.came_back") == "no":
        found.append(STUCK)
    if (case.value("bench.look.tubes_parallel") == "twisted"
            and case.value("complaint.since") == "after a knock"):
        found.append(TWISTED)
    if _runs_out(case):
        found.append(RUNS_OUT)
    seen = case.value("bench.rear_bounce.signs")
    if isinstance(seen, str) and seen in SHOCK_SIGNS:
        damaged = SIGNS["safety.shock_damaged"]
        found.append(Gate(damaged.name, damaged.end, one_after_another([SHOCK_SIGNS[seen], _GAS]), damaged.do))
    return tuple({gate.name: gate for gate in reversed(found)}.values())[::-1]


def _runs_out(case: Case) -> bool:
    """A tube over its limit is bent, whatever is said of it beside the number; the axle has a limit of its own."""
    limit = case.number("bench.run_out.limit_mm")
    tubes = [case.number(f"bench.run_out.{side}_tube_mm") for side in SIDES]
    over = limit is not None and any(tube is not None and tube > limit for tube in tubes)
    return over or case.value("bench.run_out.result") == "over"


def gentle_signs(case: Case) -> tuple[str, ...]:
    """Return the signs that do not stop the bike, but ask for gentle, short, dry rides without a passenger."""
    oil = case.value("bench.look.oil_on_tube")
    signs = {"ring": say("A ring of oil stays on a tube: a seal leaks."),
             "drops": say("Drops of oil run down a tube: a seal leaks. Look at disc, pads and tyre before every "
                          "ride.")}
    found = [signs[oil]] if isinstance(oil, str) and oil in signs else []
    if case.value("bench.look.tubes_parallel") == "twisted" and case.value("complaint.since") != "after a knock":
        found.append(say("The tubes look twisted against each other. Have them set straight before longer rides."))
    if case.value("bench.twins.result") == "changes as it turns":
        found.append(say("A leg drags differently as its tube is turned: the tube may be bent. Have it measured on "
                         "V-blocks before longer rides."))
    if (case.number("bench.rear_play.side_mm") or 0.0) > SIDE_PLAY:
        found.append(say("The rear wheel has side play. Have a workshop find out where before the next ride."))
    return tuple(found)


def opening_is_workshop_only(case: Case) -> tuple[str, ...]:
    """Return why the fork must not be opened at home; empty where nothing in ``case`` speaks against it."""
    reasons: list[str] = []
    if case.value("fork.damper") == "sealed cartridge":
        reasons.append(say("A sealed cartridge holds gas and oil under pressure: a licensed workshop opens it."))
    limit = to_si(HIGHEST_PRESSURE_BAR, "bar")
    for side in SIDES:
        pressure = case.number(f"fork.{side}.gauge_pressure_bar")
        if pressure is not None and pressure > limit:
            reasons.append(say("The {side} leg holds {pressure}: above {most} bar a licensed workshop opens it.",
                               side=side, pressure=format_quantity(pressure, "bar"), most=f"{HIGHEST_PRESSURE_BAR:g}"))
    for path, words in (("safety.pressure_unknown", say("There is gas pressure that nobody has measured.")),
                        ("safety.cap_damaged", say("A fork cap is loose, lifting or damaged."))):
        if case.value(path) is True:
            reasons.append(one_after_another([words, _OPENED_BY]))
    return tuple(reasons)
