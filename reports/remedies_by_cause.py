"""Where one cause turns its remedy another way: other tools, other signs, another hand to do it."""
from __future__ import annotations

from dataclasses import replace
from typing import Any

from reports.remedies import REAR_SAG, REMEDIES, SAG, TRAVEL, Remedy

_OIL, _PRELOAD, _SPRING, _STRIP = (REMEDIES[name] for name in ("oil", "preload", "spring", "strip"))
_DAMPING, _AIR, _REAR = (REMEDIES[name] for name in ("damping", "air pressure", "rear"))
_BOUNCE = "How the front comes back after a push: how fast, and how often it swings past."

BY_CAUSE: dict[str, Remedy] = {
    "too little oil": replace(_OIL, otherwise=(
        ("It still goes right to the end", "then tell us before you add more: spring or preload come next."),
        ("It now stops short, or ends hard", "then too much is in. Take 5 mm of level out of both legs."))),
    "unequal oil": replace(_OIL, otherwise=(
        ("It still twists, or one side's tie stands lower",
         "then something else differs: springs, spacers or a damper. Leave the oil as it is and write to us."),
        ("It now goes right to the end, or ends with a clank",
         "then too little is in. Raise the level by 5 mm in both legs, once, and tell us."))),
    "too little preload": replace(_PRELOAD, otherwise=(
        ("Rider sag does not move", "then it is not the preload. Turn back and write to us."),
        ("It gets hard at the start of the stroke", "then it has gone too far. Turn back by half."))),
    "spring too soft": replace(_SPRING, otherwise=(
        ("Rider sag is right but it still goes right to the end",
         "then the air space is too big. Tell us the oil levels found; no more spring yet."),
        ("It is now harsh, and uses little of its travel",
         "then the new spring is too stiff for your load. Tell us your mass, dressed to ride."))),
    "coil bind": replace(
        _SPRING, title="Have the springs checked for touching coils", minutes="about 90 minutes in a workshop",
        for_workshop=True, tolerance="At least 5 mm left between the coils, all together, at full stroke.",
        steps=("Take the bike to a workshop and ask for both springs to be measured.",),
        protect="A spring that goes solid can break. No hard braking and no passenger until it is checked.",
        otherwise=(
            ("The springs have room to spare", "then coils are not what ends it. Tell us the figures; we look again."),
            ("The coils are polished where they touch", "then they do touch. These springs do not go back in."))),
    "trapped air pressure": replace(
        _AIR, title="Let the trapped pressure off", minutes="20 minutes", opens_the_fork=True,
        tools=("a stand that lifts the front by the frame", "the cap's key", "a rag", "eye protection",
               "your own manual"),
        protect="Preload right out first: the spring can throw the cap. Rag over it, face to the side.",
        tolerance="No hiss is left, in either leg.",
        send_back=("Whether it hissed out or was sucked in, left and right.", SAG, TRAVEL),
        otherwise=(
            ("Nothing hisses", "then no pressure was trapped. Close it again with the legs fully extended and write to "
             "us."),
            ("The pressure is back after some rides", "then air is pumped in past a seal. Tell us; that is work for a "
             "workshop.")),
        undo="Nothing to undo: the caps end as your manual wants them.",
        see=("The front should stand a little lower: a few millimetres more sag with the rider on.",
             "It should not rise again from ride to ride.")),
    "too little air pressure": replace(_AIR, otherwise=(
        ("The pressure falls again within a day", "then it leaks. Have a workshop look at it before you ride far."),
        ("It gets hard at the start, and sags too little", "then it has gone too far. Let off half of the pressure "
                                                           "that you added.")),
        see=("The rider sag should shrink towards a quarter to a third of the full stroke.",)),
    "too little compression damping": replace(
        _DAMPING, title="Close the compression damping a little",
        steps=("Turn compression in by 2 clicks.", "Ride the same road again.",
               "No more than 3 clicks in all without hearing from us."),
        otherwise=(
            ("No click makes a difference", "then the damper or its oil comes next. Turn back and write to us."),
            ("It now jolts over sharp bumps", "then it has gone too far. Turn 1 click back out.")),
        see=("It should dive more slowly when you brake, and go as deep in the end.",
             "The rider sag stays as it was; damping does not change it.")),
    "rebound too slow": replace(
        _DAMPING, title="Turn the rebound out",
        steps=("Turn the rebound out by 2 clicks.", "Feel again, at the same temperature.",
               "No more than 4 clicks in all without hearing from us."),
        send_back=("Clicks out, before and after.", _BOUNCE, TRAVEL),
        otherwise=(
            ("No click makes a difference", "then the damper or its oil comes next. Turn back and write to us."),
            ("It now swings or knocks at the top", "then it has gone too far. Turn 1 click back in.")),
        see=("After a push the front should come back in under a second, with one small swing or none.",
             "Over a row of bumps it should no longer sink lower and lower.")),
    "rebound too fast": replace(
        _DAMPING, title="Turn the rebound in",
        steps=("Turn the rebound in by 2 clicks.", "Feel again, at the same temperature.",
               "No more than 4 clicks in all without hearing from us."),
        send_back=("Clicks out, before and after.", _BOUNCE, TRAVEL),
        otherwise=(
            ("No click makes a difference", "then the damper or its oil comes next. Turn back and write to us."),
            ("It sinks lower over a row of bumps", "then it has gone too far. Turn 1 click back out.")),
        see=("After a push the front should come back in under a second, with one small swing or none.",)),
    "bent part": replace(
        _STRIP, title="Have tubes, yokes and axle checked for straightness",
        protect="A bent part can break. Do not straighten anything, and do not ride hard until it has been measured.",
        steps=("Take the bike to a licensed workshop and ask for the run-out of both tubes and the axle, in mm.",),
        tolerance="Within the limits in the bike's own manual.",
        send_back=("The run-out of each tube and of the axle, in mm.", "Whether the yokes were found straight."),
        otherwise=(
            ("Everything is straight", "then tell us the figures, and how each leg moved by hand; we look again."),
            ("A tube is creased or cracked", "then do not ride. It is replaced, not straightened.")),
        see=("With straight parts the fork should move freely, and the gap between the two sag readings halve.",),
        photo="One photo of the part on the workshop's blocks."),
    "worn damper": replace(
        _STRIP, title="Have the dampers looked at by a workshop",
        protect="A sealed damper holds gas under pressure: it stays closed at home, and is not heated.",
        steps=("Take the bike to a workshop and ask for both dampers to be looked at.",),
        tolerance="Both legs come back alike, in the same time.",
        send_back=("What the workshop found in each leg, in writing.", _BOUNCE),
        otherwise=(
            ("Both dampers are in order", "then tell us what oil was in them, and how much; we look again."),
            ("The damping fades again when warm", "then it still takes in air, or is worn. Back to the workshop.")),
        see=("After a push both legs should come back alike, in under a second, without a squelch or a dead patch.",),
        photo="One photo of the parts the workshop replaced."),
    "top-out fault": replace(
        _STRIP, title="Find out why it knocks at the top", minutes="10 minutes, then a workshop", for_workshop=False,
        opens_the_fork=False, tools=("the adjusters' keys", "paper and pen"),
        protect="Turn only the adjusters. The caps stay shut. A loud knock with loose parts: do not ride.",
        steps=("Turn the rebound in by 2 clicks on both legs.", "If it stays, have the top-out springs checked."),
        tolerance="The same on both legs where both do the same job.",
        send_back=("Clicks and turns, before and after.", "Whether the knock is gone, and from which side it came.",
                   "Free sag, in mm."),
        otherwise=(
            ("The knock stays", "then a top-out spring is broken, missing or upside down. A workshop opens the legs."),
            ("It knocks with the front brake held, too, without moving the fork",
             "then it can be the head bearing or a pad. Do not ride until a workshop has looked.")),
        undo="Turn back to the clicks and turns you wrote down.",
        see=("When the front comes up it should end softly, without a knock.",)),
    "rear linkage stuck": replace(
        _REAR, title="Have the rear linkage cleaned and its bearings checked", minutes="2 to 3 hours in a workshop",
        for_workshop=True, protect="Fingers stay out of the links. Play at the rear wheel: do not ride.",
        steps=("Take the bike to a workshop, and this letter with it.",),
        tolerance="The arm swings freely by hand with the shock off, without play.",
        send_back=("What the workshop found, in writing.", REAR_SAG, TRAVEL),
        otherwise=(
            ("Links and bearings are in order", "then the shock comes next. Tell us both rear sag readings."),
            ("The wheel still has play", "then do not ride. It goes back to the workshop.")),
        undo="Nothing to undo.",
        see=("The two readings of the rear sag should come close together: within a few millimetres.",),
        photo="One photo of the bearings or bushes that came out."),
    "worn shock": replace(
        _REAR, title="Have the shock rebuilt or replaced by a workshop", minutes="a few days at a workshop",
        for_workshop=True,
        protect="The shock holds gas under high pressure. It stays closed at home, and is not heated.",
        steps=("Take the bike, or the shock, to a workshop that rebuilds shocks.",),
        tolerance="No oil on the shock, and the rear comes back in under a second.",
        send_back=("What the workshop found, in writing.", "Time for the rear to come back after a push, in seconds.",
                   "Rear sag with the rider on, in mm."),
        otherwise=(
            ("The workshop finds the shock in order", "then links and bearings come next. Tell us what it measured."),
            ("The rear is right, and the front is no better",
             "then the fork has a trouble of its own. Tell us; it comes next.")),
        undo="Nothing to undo. Ask for the old parts.",
        see=("After a push the rear should come back in under a second, with one small swing or none.",),
        photo="One photo of the shock, and of any oil on it."),
}
"""The remedy of a cause that does not simply have its group's."""


SPACERS = replace(
    _PRELOAD, title="Have the spacers changed", minutes="about 90 minutes in a workshop", for_workshop=True,
    opens_the_fork=True, protect="A spring can throw the cap. Preload right out first.",
    steps=("Take the bike to a workshop, and this letter with it.",),
    send_back=("Length of the spacers that came out and of those that went in, left and right, in mm.", SAG, TRAVEL),
    otherwise=(
        ("Rider sag does not move", "then it is not the preload. The old spacers go back in, and you write to us."),
        ("It knocks at the top, or gets hard at the start of the stroke",
         "then the step was too long. The old spacers go back in, and you write to us.")),
    undo="Keep the old spacers, labelled by leg. They go back in.")
"""The remedy of a preload that its adjusters cannot give."""


def remedy_for(cause: str, remedy: str, by_workshop: bool = False) -> Remedy:
    """Return what a letter says about a cause's remedy; for an unknown one, what to do where nothing is changed.

    ``by_workshop``: the rider's own adjusters are at their end.
    """
    if by_workshop and remedy == "preload":
        return SPACERS
    return BY_CAUSE.get(cause) or REMEDIES.get(remedy, REMEDIES["none"])


KEPT_CLOSED: dict[str, Any] = {
    "send_back": ("What the workshop found and did in each leg, in writing.", SAG, TRAVEL),
    "otherwise": (
        ("Nothing has changed", "then write to us with what the workshop found; we look again."),
        ("Something is worse than before", "then go back to the workshop with this letter. Nothing is opened at home."),
    ),
    "undo": "The workshop can put back what it took out.",
}
"""What takes the place of a remedy's own words in a fork that only a workshop opens."""


def by_a_workshop(remedy: Remedy) -> Remedy:
    """Return a remedy as a letter says it where the fork stays closed at home: nothing in it asks to open one."""
    return replace(remedy, **KEPT_CLOSED)
