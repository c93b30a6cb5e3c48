"""What to do about the leading cause: one change at a time, small, safe and reversible.

Steps and limits are common practice, no source.  Tightening figures are never given: the bike's own manual has them.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from analysis.amounts import LegSheet
from analysis.causes import BY_NAME
from analysis.estimates import ML, MM
from analysis.inputs import Inputs
from analysis.oil_part import FELT
from analysis.preload import FIRST_STEP, PreloadCheck
from analysis.say import LEGS, say
from analysis.service import LOOK_INSIDE_FIRST, ServiceSheet
from analysis.setups import Change

RATE_STEP = 500.0
"""Springs come in steps of 0.5 N/mm: common practice, no source."""
FAR_RATE = 0.3
"""A spring further than this from the fitted one is rather a wrong number than a wrong spring: common practice."""


@dataclass(frozen=True)
class Facts:
    """What advice draws on; lengths m, rates N/m."""

    inputs: Inputs
    preload: PreloadCheck
    sheet: ServiceSheet | None
    suits_rate: float | None
    rate: float | None
    opening_barred: bool
    oil_known: bool
    own_rate: float | None = None
    own_levels: bool = False
    """A tuner has put a rate, or oil levels, of their own in place of the engine's."""
    own_work: bool = False
    """Each leg has its own work: an adjuster stands on one of them only."""
    inside_known: bool = True
    """What is inside the legs is known and not only guessed."""
    oil_times: float | None = None
    """How many times as thick the oil is as the papers ask for."""


@dataclass(frozen=True)
class Advice:
    """One piece of advice: what, and how step by step.  ``expect`` is filled in from the advised set of numbers."""

    title: str
    steps: tuple[str, ...]
    by_workshop: bool = False
    """Where the rider's own adjusters would do for the cause, but not this time."""


def change_for(cause: str | None, facts: Facts) -> Change:
    """Return what the advised set changes: one thing at a time, by the cause.

    The oil goes to the book's level where oil is the cause, where no cause is named yet, and where nobody knows how
    much is in there: something has to be reckoned with.
    """
    level = facts.sheet is not None and (cause is None or not facts.oil_known or BY_NAME[cause].remedy == "oil")
    if cause in ("too much preload", "too little preload") and facts.preload.to_target is not None:
        step = min(max(facts.preload.to_target, -FIRST_STEP), FIRST_STEP)
        return Change(level=level, preload=facts.inputs.sprung_leg.preload.value + step)
    if cause in ("spring too stiff", "spring too soft"):
        return Change(level=level, rate=_rate_to_set(facts))
    return Change(level=level)


def advice_for(cause: str | None, facts: Facts) -> tuple[Advice, ...]:
    """Return the advice for a cause; empty where there is none to give from afar."""
    make = _BY_CAUSE.get(cause or "")
    if make is None:
        return ()
    advice = make(facts)
    if facts.own_work and cause in _TURNED and not advice.by_workshop:
        advice = replace(advice, steps=(*advice.steps, _ONE_ADJUSTER))
    return (advice,)


_TURNED = ("too much preload", "too little preload", "too much compression damping", "too little compression damping",
           "rebound too slow", "rebound too fast", "top-out fault")
_ONE_ADJUSTER = say("On your fork each leg has its own work: turn only the leg that has the adjuster which is meant "
                    "here, and leave the other as it is.")


def _oil(facts: Facts) -> Advice:
    if facts.opening_barred:
        return Advice(say("Have the oil set by a workshop"), (
            say("Take the bike to a licensed workshop: these legs are not to be opened at home."),
            say("Hand over the service sheet: it has the amounts for each leg.")))
    guessed = not facts.own_levels and any(leg.level_book is not None and leg.level_book.known == "guessed"
                  for leg in (facts.inputs.left, facts.inputs.right))
    if facts.sheet is None or guessed or all(
            leg.level_to_set is None for leg in (facts.sheet.left, facts.sheet.right)):
        return Advice(say("Find out the right oil level first"), (
            say("Look up the oil level in the bike's own manual, and how the leg must be when it is read."),
            say("Tell us that number before any oil is moved.")))
    legs = {"left": facts.sheet.left, "right": facts.sheet.right}
    if any(leg.would_lock for leg in legs.values()):
        return Advice(say("Check the oil level in the papers first"), (
            say("With that level no air is left at full stroke: the fork would stop dead before it."),
            say("Look it up again in the bike's own manual, and how the leg must be when it is read. Tell us before "
                "any oil is moved.")))
    return Advice(say("Set the oil level in both legs"), (
        *(_move(side, leg) for side, leg in legs.items()),
        _how_equal(facts.sheet),
        say("Keep the oil you took out clean and labelled, and write down what you added, so that the change can be "
            "undone.")))


def _how_equal(sheet: ServiceSheet) -> str:
    """Legs that have each their own work have each their own level."""
    alike = sheet.left.level_to_set == sheet.right.level_to_set
    if alike:
        return say("Both legs within 2 mm of each other. Change nothing else at the same time.")
    return say("Each leg to its own level, within 2 mm. Change nothing else at the same time.")


_OFF_TO = ("{leg}: draw off {amount} until it stands {level} mm below the top of the tube, leg fully together, spring "
           "out.")
_ADD_TO = ("{leg}: add {amount} until it stands {level} mm below the top of the tube, leg fully together, spring out.")


def _move(side: str, leg: LegSheet) -> str:
    if leg.is_right:
        return say("{leg}: the oil already stands right. Leave it.", leg=LEGS[side])
    draw_off, level = leg.draw_off, leg.level_to_set
    if draw_off is None:  # whether there is too much or too little in this leg, nobody knows
        return _bring_to(side, level)
    amount = say("about {amount} ml", amount=f"{abs(draw_off) / ML:.0f}")
    if level is None:
        template = ("{leg}: draw off {amount} as the papers say, leg fully together, spring out." if draw_off > 0 else
                    "{leg}: add {amount} as the papers say, leg fully together, spring out.")
        return say(template, leg=LEGS[side], amount=amount)
    return say(_OFF_TO if draw_off > 0 else _ADD_TO, leg=LEGS[side], amount=amount, level=f"{level / MM:.0f}")


def _bring_to(side: str, level: float | None) -> str:
    if level is None:
        return say("{leg}: bring the oil to this leg's own level in the papers, leg fully together, spring out.",
                   leg=LEGS[side])
    return say("{leg}: bring the oil to {level} mm below the top of the tube, leg fully together, spring out.",
               leg=LEGS[side], level=f"{level / MM:.0f}")


def _preload(way: str) -> Callable[[Facts], Advice]:
    def make(facts: Facts) -> Advice:
        check = facts.preload
        if check.turns == 0 and check.out_of_range:
            return _spacers(check.to_target or 0.0)
        if not check.turns:
            out = way == "out" if check.to_target is None else check.to_target < 0
            return _one_turn(facts, out)
        return _turns(facts, check.turns)
    return make


def _one_turn(facts: Facts, out: bool) -> Advice:
    """The sag speaks of no number of turns: a first one, or a first step of the spacers where no turn is left."""
    leg = facts.inputs.sprung_leg
    end = 0.0 if out else leg.turns_range
    if leg.turns_range == 0 or (leg.turns_in is not None and leg.turns_in == end):
        return _spacers(-FIRST_STEP if out else FIRST_STEP)
    return _with_sag(
        say("Write down where the preload adjusters are, then back them out by one turn, both legs alike.") if out else
        say("Write down where the preload adjusters are, then wind them in by one turn, both legs alike."))


def _turns(facts: Facts, wanted: float) -> Advice:
    pitch = facts.inputs.sprung_leg.pitch.value
    most = max(round(FIRST_STEP / pitch), 1)
    turns = min(abs(wanted), most)
    more = () if turns == abs(wanted) else (
        say("That is only a first step: about {turns} turns in all would be needed. Tell us the sag before you do "
            "more.",
            turns=f"{abs(wanted):g}"),)
    last = (say("The adjuster's range is not enough: spacers or springs have to be changed by a workshop."),
            ) if facts.preload.out_of_range else ()
    return _with_sag(say(_turned("out" if wanted < 0 else "in", turns), turns=f"{turns:g}",
                         length=_half_mm(turns * pitch)), *more, *last)


def _with_sag(*steps: str) -> Advice:
    return Advice(say("Change the preload"), (*steps, say("Measure the rider sag again, from below and from above.")))


def _half_mm(length: float) -> str:
    """Return a length of preload to half a millimetre, as it is set: three turns of 1.5 mm are not 4 mm."""
    return f"{round(2.0 * length / MM) / 2.0:g}"


def _spacers(to_target: float) -> Advice:
    """The adjusters are at their end: the spacers have to make up for ``to_target``, m, in steps like any preload."""
    shorter, step = to_target < 0, _half_mm(min(abs(to_target), FIRST_STEP))
    more = () if abs(to_target) <= FIRST_STEP else (
        say("That is only a first step: about {length} mm in all would be needed. Tell us the sag before more is "
            "done.",
            length=_half_mm(abs(to_target))),)
    fitted = say("A workshop fits spacers that are {length} mm shorter in each leg that has a spring, and "
                 "keeps the old ones.",
                 length=step) if shorter else say(
        "A workshop fits spacers that are {length} mm longer in each leg that has a spring, and keeps the old ones. "
        "First it makes sure that the coils keep 5 mm of room at full stroke.", length=step)
    return Advice(say("Have the spacers shortened") if shorter else say("Have the spacers lengthened"), (
        say("The adjusters cannot be turned any further that way: leave them where they are."), fitted, *more,
        say("Measure the rider sag again, from below and from above.")), by_workshop=True)


def _turned(way: str, turns: float) -> str:
    if turns == 1:
        return ("Turn the preload 1 turn out on both legs: about {length} mm." if way == "out" else
                "Turn the preload 1 turn in on both legs: about {length} mm.")
    return ("Turn the preload {turns} turns out on both legs: about {length} mm." if way == "out" else
            "Turn the preload {turns} turns in on both legs: about {length} mm.")


def _rate_to_set(facts: Facts) -> float | None:
    """The rate that suits in the steps in which springs come; None where the numbers speak of none, or of the same."""
    if facts.own_rate is not None:
        return facts.own_rate
    if facts.suits_rate is None:
        return None
    suits = round(facts.suits_rate / RATE_STEP) * RATE_STEP
    return suits if suits >= RATE_STEP and suits != facts.rate else None


def _spring(facts: Facts) -> Advice:
    if facts.rate is None or _rate_to_set(facts) is None:
        return Advice(say("Have the springs measured"), (
            say("Have both springs measured: wire, coil diameter, coils, free length, or on a spring tester."),))
    suits = (_rate_to_set(facts) or 0.0) / 1000
    return Advice(say("Springs that suit the load"), (
        say("The springs are {rate} N/mm; about {suits} N/mm suits this rider and bike.",
            rate=f"{facts.rate / 1000:.1f}", suits=f"{suits:.1f}"),
        *((say("That is far from what is in there. Before any springs are bought, have the old ones measured on a "
               "spring tester, and bike and rider weighed."),)
          if abs(suits * 1000 / facts.rate - 1) > FAR_RATE and facts.own_rate is None else ()),
        *((say("Those are the rates at the start of springs that grow stiffer alike on the way."),)
          if facts.inputs.sprung_leg.parts.second_rate else ()),
        say("Springs are changed as a matched pair, one step at a time where in doubt. Keep the old ones."),
        say("Less preload gives more sag, but it does not make a spring softer: it is no cure.")))


def _friction(_: Facts) -> Advice:
    return Advice(say("Find what holds the legs"), (
        say("Check the order in which axle and pinch bolts were tightened: nut first, then bounce the fork, then "
            "the pinch bolts. The figures are in your own manual."),
        say("Loosen mudguard and brace bolts, bounce, tighten without strain."),
        say("If the gap between the two sag readings stays as it was, a workshop has to look at seals, bushes and "
            "tubes.")))


def _with_the_oil(facts: Facts, out: bool) -> tuple[str, ...]:
    """Thick oil holds a fork back whatever the clicks, and thin oil lets it go: named where it may be the reason."""
    times = facts.oil_times
    if times is None or (times < FELT if out else times > 1 / FELT):
        return ()
    return (say("The oil inside is {times} times as thick as the papers ask for. Where the clicks are not enough, a "
                "workshop changes it for the oil in the papers, both legs alike.", times=f"{times:.1f}"),)


def _damping(facts: Facts) -> Advice:
    return Advice(say("Open the compression damping"), (
        say("Write down the clicks, counted from fully in."),
        say("Turn the compression out by 2 clicks on both legs and feel; then by 2 more, 4 in all, and feel again. "
            "Compare only at the same temperature."),
        *_with_the_oil(facts, out=True),
        say("If that changes nothing, the oil or the valves have to be looked at by a workshop.")))


def _assembly(_: Facts) -> Advice:
    return Advice(say("Have the legs taken apart and checked"), (
        say("A workshop compares every part with the exploded drawing: order, direction, none missing, none doubled."),
        say("The stroke with the springs out, cap off, must be the full stroke on both legs.")))


def _bind(_: Facts) -> Advice:
    return Advice(say("Have the springs checked for coil bind"), (
        say("A workshop measures free length, wire and coils: free length less solid length must exceed preload and "
            "full stroke by 5 mm or more."),
        say("Until then: no hard braking and no passenger. A spring that goes solid can break.")))


def _nothing(_: Facts) -> Advice:
    return Advice(say("Measure once more, from the right place"), (
        say("The last 8 to 20 mm of the stroke are kept for the hardest hits: a fork in order does not use them "
            "every day."),
        say("Measure the travel from the fully extended leg, not from the leg standing on its wheels."),
        say("Leave the settings as they are.")))


def _bent(_: Facts) -> Advice:
    return Advice(say("Have tubes, yokes and axle checked for straightness"), (
        say("A licensed workshop measures the run-out of both tubes and the axle on V-blocks, against the manual's "
            "limits."),
        say("Do not straighten anything yourself, and do not ride hard until it has been measured.")))


def _trapped(facts: Facts) -> Advice:
    if facts.opening_barred:
        return Advice(say("Have the pressure let off by a workshop"), (
            say("These legs are not to be opened at home. A workshop lets the pressure off at the height where you "
                "ride."),))
    return Advice(say("Let the trapped pressure off"), (
        *(() if facts.inside_known else (LOOK_INSIDE_FIRST,)),
        say("Front wheel off the floor, legs fully extended, preload right out, face to the side."),
        say("Open the bleed screws, or loosen each cap by a turn with a rag over it, until the hissing ends; close "
            "them with the legs still fully extended."),
        say("Do it where you ride: the air outside is thinner high up.")))


def _air_pressure(way: str) -> Callable[[Facts], Advice]:
    def make(_: Facts) -> Advice:
        return Advice(say("Correct the air pressure"), (
            say("Cold, wheel off the floor, with a gauge made for it. Write down what is there first."),
            say("Let it down by 0.3 bar, both legs alike where both hold air; then measure the rider sag again.")
            if way == "out" else
            say("Pump it up by 0.3 bar, both legs alike where both hold air; then measure the rider sag again."),
            say("Never open or unscrew an air-sprung leg: only its valve. If the pressure does not hold, it is work "
                "for a workshop.")))
    return make


def _damping_in(facts: Facts) -> Advice:
    return Advice(say("Close the compression damping a little"), (
        say("Write down the clicks, counted from fully in."),
        say("Turn the compression in by 2 clicks on both legs, 3 at the most, and ride the same road again."),
        *_with_the_oil(facts, out=False),
        say("If the clicks change nothing, the damper or its oil has to be looked at by a workshop.")))


def _rebound(way: str) -> Callable[[Facts], Advice]:
    def make(facts: Facts) -> Advice:
        out = way == "out"
        return Advice(say("Turn the rebound out") if out else say("Turn the rebound in"), (
            say("Write down the clicks, counted from fully in."),
            say("Turn the rebound out by 2 clicks on both legs and feel; then by 2 more, 4 in all, and feel again. "
                "Compare only at the same temperature.") if out else
            say("Turn the rebound in by 2 clicks on both legs and feel; then by 2 more, 4 in all, and feel again. "
                "Compare only at the same temperature."),
            say("Push the front down by a third and let go: it should come back in under a second, with one small "
                "swing or none."),
            *_with_the_oil(facts, out)))
    return make


def _worn(_: Facts) -> Advice:
    return Advice(say("Have the dampers looked at by a workshop"), (
        say("A damper that has air in it, leaks inside or is worn out is bled or rebuilt by a workshop, both legs "
            "alike."),
        say("A sealed unit holds gas: it is never opened at home.")))


def _leak(_: Facts) -> Advice:
    return Advice(say("Clean the seal, then have it replaced"), (
        say("Wipe tube and seal lip clean and look for a nick or dirt. Wipe dry, ride 20 km, look again."),
        say("If a ring comes back, a workshop replaces both seals and sets the oil."),
        say("Look at disc and pads every time: with oil on them, do not ride.")))


def _tops_out(_: Facts) -> Advice:
    return Advice(say("Find out why it knocks at the top"), (
        say("Turn the rebound in by 2 clicks on both legs, and ride the same road again."),
        say("No better: turn it back, and where there is hardly any free sag take out 1 turn of preload on both legs."),
        say("If the knock stays, a workshop checks the top-out springs.")))


def _rear(_: Facts) -> Advice:
    return Advice(say("Put the rear right first"), (
        say("Measure the rear sag with the rider, from above and from below, and set it with the preload, 2 mm or "
            "one step at a time."),
        say("Only then judge the fork again.")))


def _linkage(_: Facts) -> Advice:
    return Advice(say("Have the rear linkage cleaned and its bearings checked"), (
        say("A workshop takes links and swinging arm apart, cleans, greases, replaces what is worn."),
        say("Fingers stay out of the links: they nip.")))


def _shock(_: Facts) -> Advice:
    return Advice(say("Have the shock rebuilt or replaced by a workshop"), (
        say("A shock holds gas under high pressure. It is never opened or heated at home."),))


def _rolling(_: Facts) -> Advice:
    return Advice(say("Put tyre, bearings and brake right first"), (
        say("Set the tyre pressures cold, to the figures in the papers."),
        say("Spin the wheel: a brake that drags or a rough bearing is work for a workshop, before any further ride."),
        say("Ride the same road again before anything else is changed.")))


def _load(_: Facts) -> Advice:
    return Advice(say("Take load off, or place it better"), (
        say("Stay within the load in the bike's papers. Heavy things low and forward, nothing heavy behind the axle."),
        say("Set the rear preload for the load you really carry, then measure both sags again.")))


_BY_CAUSE: Mapping[str, Callable[[Facts], Advice]] = {
    "over-filled": _oil, "too little oil": _oil, "unequal oil": _oil,
    "too much preload": _preload("out"), "too little preload": _preload("in"),
    "spring too stiff": _spring, "spring too soft": _spring,
    "friction or misalignment": _friction, "too much compression damping": _damping,
    "wrong assembly": _assembly, "coil bind": _bind, "nothing wrong or measured badly": _nothing,
    "bent part": _bent, "trapped air pressure": _trapped, "too much air pressure": _air_pressure("out"),
    "too little air pressure": _air_pressure("in"), "too little compression damping": _damping_in,
    "rebound too slow": _rebound("out"), "rebound too fast": _rebound("in"), "worn damper": _worn,
    "leaking seal": _leak, "top-out fault": _tops_out, "rear spring or height": _rear, "rear linkage stuck": _linkage,
    "worn shock": _shock, "tyre, bearing or brake": _rolling, "overloaded": _load,
}
