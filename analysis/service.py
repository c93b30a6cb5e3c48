"""The service sheet: both legs' amounts, the order of work in words, and what to look at afterwards."""
from __future__ import annotations

import math
from dataclasses import dataclass

from analysis.amounts import LEVEL_TOLERANCE, LegSheet, leg_sheet
from analysis.say import LEGS, in_a_row, one_after_another, say

__all__ = ["LEVEL_TOLERANCE", "LegSheet", "ServiceSheet", "leg_sheet", "service_sheet"]


@dataclass(frozen=True)
class ServiceSheet:
    """Both legs, and the work in words.

    ``difference`` is the oil the left leg holds too much, less the oil the right leg holds too much, in m³.
    """

    left: LegSheet
    right: LegSheet
    difference: float | None
    difference_sd: float | None
    order: tuple[str, ...]
    check_after: tuple[str, ...]
    workshop_only: bool


def service_sheet(
    left: LegSheet, right: LegSheet, damper: str | None, *, pressurised: bool | None = None, guessed: bool = False,
) -> ServiceSheet:
    """Return the sheet for both legs.

    ``damper`` is ``damper rod``, ``open cartridge``, ``sealed cartridge``, ``separate function`` or None (not known),
    ``guessed`` where nobody looked; ``pressurised`` tells of gas pressure in a leg.  A sealed or pressurised leg is
    opened by a workshop only.
    """
    workshop_only = damper == "sealed cartridge" or pressurised is True
    difference, difference_sd = None, None
    if left.draw_off is not None and right.draw_off is not None:
        difference = left.draw_off - right.draw_off
        difference_sd = math.hypot(left.spread.get("draw_off", 0.0), right.spread.get("draw_off", 0.0))
    legs = {"left": left, "right": right}
    order = _for_the_workshop(legs) if workshop_only else _order_of_work(legs, damper, guessed or not damper)
    return ServiceSheet(left, right, difference, difference_sd, order, _CHECK_AFTER, workshop_only)


_BEFORE_OPENING = (
    say("This is work for a workshop, or for someone who has opened fork caps before. If a step is not clear, stop "
        "there."),
    say("Write down every setting before you change it: clicks from fully in, preload turns, tube heights in the "
        "yokes. Take photos."),
    say("Stand the bike upright on a firm stand under the frame, front wheel just off the floor, so that the frame "
        "carries it and it cannot tip even with the fork empty. If you have no such stand, leave this to a workshop."),
    say("Cover the brake disc and the caliper. Wear gloves and eye protection. Work on a cold bike only."),
    say("Back the preload adjusters right out and count the turns: the spring pushes on the cap and can throw it."),
    say("One leg at a time: slacken only this leg's upper yoke clamp, the lower one keeps holding. Unscrew the cap "
        "with your hand pressing on it and your face to the side."),
    say("Lift spacer, washers and spring out slowly over a tray, if this leg has them. Lay them down in order, take "
        "a photo."),
    say("Do the same on the other leg. Both springs must be out before the legs are pushed together: from here on "
        "the front drops, and the frame alone carries the bike."),
    say("Raise the wheel gently until both legs are fully together."),
)

_RUNS_OVER = ("{leg}: by our reckoning the oil reaches the rim before the leg is fully together, and would run over "
              "disc and tyre. Raise the wheel in small steps and draw oil off as it rises; it counts towards the "
              "amount below.")

_CLOSING = (
    say("Read each level three times, along the tube's middle, leg upright."),
    say("Keep what you drew off clean, labelled and by leg, and write down what you added, so that the change can "
        "be undone. Old oil goes to a collecting point."),
    say("Let the legs out fully. Springs, washers and spacers go back in the order of the photo. Start each cap by "
        "hand, and close it with the leg fully extended, so that no pressure or vacuum is shut in."),
    say("Tighten caps, clamps and axle to the torque in the bike's own manual; without it, let a workshop do it. "
        "Preload and clicks back to what you wrote down."),
)

_CHECK_AFTER = (
    say("Before riding: disc, pads and tyre free of oil, front brake lever pumped until it is firm, every cap, "
        "clamp and axle tightened."),
    say("Push the front down five times with the front brake held: it moves smoothly, comes back, and does not "
        "knock or leak."),
    say("First ride slow, alone, on a dry road without traffic; try the brakes at walking speed first."),
    say("After 20 km: wipe the tubes and look for a ring of oil; check the fasteners again."),
    say("Read free sag and rider sag again, from below and from above, and the travel used on the same road as "
        "before."),
    say("Stop riding and go to a licensed workshop if the fork sticks, stops dead, knocks or leaks, or if oil "
        "reaches the brake."),
)

_PUMP = {
    "damper rod": say("Move each leg through its stroke ten times, slowly, until it feels even; wait five minutes, "
                      "and push it fully together again."),
    "open cartridge": say("Pump each damper rod ten full strokes, until it feels even; wait five minutes for the "
                          "bubbles. Legs fully together again."),
}
_PUMP_ANY = (say("Move the leg, or its damper rod where it has one, through ten full strokes, until it feels even; "
                 "wait five minutes, and push it fully together again."))


LOOK_INSIDE_FIRST = say("Find out from the manual what is inside the legs. With a sealed cartridge or gas pressure, "
                        "leave them closed and take them to a licensed workshop.")


def _order_of_work(legs: dict[str, LegSheet], damper: str | None, unsure: bool) -> tuple[str, ...]:
    """Return the steps for legs that may be opened by someone skilled."""
    first = (LOOK_INSIDE_FIRST,) if unsure else ()
    oil = tuple(step for side, leg in legs.items() for step in _oil_steps(side, leg))
    full = tuple(say(_RUNS_OVER, leg=LEGS[side]) for side, leg in legs.items() if leg.runs_over)
    return (*first, *_BEFORE_OPENING[:-1], *full, _BEFORE_OPENING[-1], _PUMP.get(damper or "", _PUMP_ANY), *oil,
            _how_equal(legs, damper), *_CLOSING)


def _how_equal(legs: dict[str, LegSheet], damper: str | None) -> str:
    left, right = legs.values()
    if damper == "separate function" or left.level_to_set != right.level_to_set:
        return say("The two legs do not have the same number: set each to its own, do not make them equal.")
    return say("Both legs must end within {level_tolerance} of each other: equal first, exact second.",
               level_tolerance=_mm(LEVEL_TOLERANCE))


def _oil_steps(side: str, leg: LegSheet) -> tuple[str, ...]:
    """Return what to do to the oil of one leg."""
    name = LEGS[side]
    if leg.would_lock and leg.level_to_set is not None:
        return (say("{leg}: do not set {level} yet. It leaves no air at full stroke, and the leg would stop dead "
                    "before it. Check that level, and how it is to be read, in the manual.", leg=name,
                    level=_mm(leg.level_to_set)),)
    steps = tuple(filter(None, (_level_step(leg), _fill_step(leg))))
    return tuple(say("{leg}: {step}", leg=name, step=step) for step in steps) or (
        say("{leg}: no amount can be given yet. Look up the oil level or the amount in the bike's own manual.",
            leg=name),)


def _level_step(leg: LegSheet) -> str:
    if leg.is_right:
        return say("the oil already stands right. Leave it.")
    if leg.level_to_set is None:
        return "" if leg.draw_off is None else one_after_another([
            _draw(leg), say("Read the level before and after, and write both down.")])
    goal = say("{level_to_set} (within {level_tolerance}) below the top of the tube",
               level_to_set=_mm(leg.level_to_set), level_tolerance=_mm(leg.level_tolerance))
    if leg.draw_off is None:
        return say("bring the oil to {goal}: a little too much first, then draw off down to that depth.", goal=goal)
    return one_after_another([
        _draw(leg), say("Stop when the oil stands {goal}: the level decides, not the millilitres.", goal=goal)])


def _draw(leg: LegSheet) -> str:
    amount = leg.draw_off or 0.0
    give_or_take = leg.spread.get("draw_off")
    if not give_or_take:
        return say("draw off about {amount}." if amount >= 0 else "add about {amount}.", amount=_ml(abs(amount)))
    template = ("draw off about {amount}, give or take {spread}." if amount >= 0 else
                "add about {amount}, give or take {spread}.")
    return say(template, amount=_ml(abs(amount)), spread=_ml(give_or_take))


def _fill_step(leg: LegSheet) -> str:
    if leg.dry_fill is None or leg.drained_fill is None or leg.not_pumped_fill is None:
        return ""
    last = "" if leg.level_to_set is None else say("Then set the level.")
    return one_after_another([
        say("if all of the oil is changed, pour {dry} into a dry leg that was fully apart, {drained} after draining "
            "and pumping, {not_pumped} after draining only: what stays inside counts.", dry=_ml(leg.dry_fill),
            drained=_ml(leg.drained_fill), not_pumped=_ml(leg.not_pumped_fill)), last])


def _for_the_workshop(legs: dict[str, LegSheet]) -> tuple[str, ...]:
    """Return the steps for legs that must stay closed at home, with the numbers to hand over."""
    said = {side: _hand_over(leg) for side, leg in legs.items()}
    numbers = tuple(say("For the workshop, left leg: {words}." if side == "left" else
                        "For the workshop, right leg: {words}.", words=words) for side, words in said.items() if words)
    return (
        say("Do not open these legs, valves or cartridges at home: gas pressure or a sealed cartridge can throw "
            "parts hard enough to injure."),
        say("Take the bike, or the legs, to a licensed workshop that knows this kind of fork. It works by the "
            "maker's manual, and that comes before every number here."),
        *numbers,
        say("Ask for both legs to be filled by measured amounts, and for the amounts on paper."),
    )


def _hand_over(leg: LegSheet) -> str:
    parts = []
    if leg.dry_fill is not None:
        parts.append(say("{dry_fill} into a dry outer chamber", dry_fill=_ml(leg.dry_fill)))
    if leg.level_to_set is not None and not leg.would_lock:
        parts.append(say("level {level_to_set}, leg together, spring out, where the manual sets it by level",
                         level_to_set=_mm(leg.level_to_set)))
    if leg.draw_off is not None:
        template = "about {amount} too much in it now" if leg.draw_off >= 0 else "about {amount} too little in it now"
        parts.append(say(template, amount=_ml(abs(leg.draw_off))))
    return in_a_row(parts)


def _mm(length: float) -> str:
    return f"{1e3 * length:.0f} mm"


def _ml(volume: float) -> str:
    return f"{1e6 * volume:.0f} ml"
