"""What belongs to each remedy in a letter: tools, tolerance, what to report, what another result means, how to undo it.

The amounts are common practice, no source: the first step is small, and the largest is what a rider should do without
hearing back.  The keys are the remedies of ``analysis.causes``.
"""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Remedy:
    """The fixed part of one remedy's advice."""

    title: str
    minutes: str
    tools: tuple[str, ...]
    protect: str
    steps: tuple[str, ...]
    tolerance: str
    send_back: tuple[str, ...]
    otherwise: tuple[tuple[str, str], ...]
    undo: str
    opens_the_fork: bool = False


_TRAVEL = "Travel used on the same road as before, in mm, three runs."
_SAG = "Rider sag, read from below and from above, in mm."

REMEDIES: dict[str, Remedy] = {
    "oil": Remedy(
        "Set the oil level", "60 to 90 minutes",
        ("a stand that lifts the front by the frame", "a syringe with a ring, or a tape", "a tray and clean bottles",
         "gloves and eye protection", "your own manual"),
        "Cover disc, pads and tyre. Oil on them means: do not ride.",
        ("Bring the oil to the level on the service sheet, leg by leg.",),
        "Within 2 mm of the level, and the two legs within 2 mm of each other.",
        ("The level you found in each leg before you changed anything, in mm.",
         "The millilitres that you took out of each leg, or put in.", _TRAVEL, _SAG),
        (("The travel used stays where it was",
          "then the oil is not what ends it. Leave it as it is and write to us; touching coils or a part in the wrong "
          "place come next."),
         ("It now goes right to the end, or ends with a clank",
          "then too much has come out. Raise the level by 5 mm in both legs, once, and tell us.")),
        "Keep the oil you took out clean and labelled by leg. Put the same amount back.", opens_the_fork=True),
    "preload": Remedy(
        "Change the preload", "10 minutes", ("the adjuster's key", "a tape", "paper and pen"),
        "Turn only the adjuster. The caps stay shut.",
        ("Change the preload by 1 turn, or 1.5 mm, on both legs alike.", "Measure rider sag again, as before.",
         "Go on in steps of 1 turn, no more than 5 mm in all without hearing from us."),
        "Both legs within 0.5 mm of each other.",
        ("Turns changed, left and right.", _SAG, _TRAVEL),
        (("Rider sag does not move", "then it is not the preload. Turn back and write to us."),
         ("The fork knocks when it comes back up", "then it has gone too far. Turn back by half.")),
        "Turn the same number of turns back."),
    "spring": Remedy(
        "Change the springs", "90 minutes, or a workshop",
        ("a matched pair of springs", "a stand that lifts the front by the frame", "a tray", "eye protection",
         "your own manual"),
        "A spring can throw the cap. Preload right out first.",
        ("Have a matched pair of springs fitted, in steps of 0.5 N/mm, at most 1.0 N/mm without hearing from us.",
         "Set the oil level again: another spring takes another volume."),
        "The pair alike within 2 %.",
        ("Rate and free length of the springs that came out, and their coils and wire.", _SAG, _TRAVEL),
        (("Rider sag is right but the travel used stays short", "then the spring was not what ended it. Write to us."),
         ("It now goes right to the end often",
          "then the new spring is too soft for your load. Tell us your mass, dressed to ride.")),
        "Keep the old springs and spacers together, labelled.", opens_the_fork=True),
    "friction": Remedy(
        "Let the legs find their place", "20 minutes",
        ("the axle's keys", "a stand that lifts the front by the frame", "a torque wrench", "your own manual"),
        "Never ride with a loose axle or pinch bolt.",
        ("Loosen the pinch bolts of the floating side only; the axle itself stays tight.",
         "With the front brake held, push the front down five times.",
         "Tighten the pinch bolts to the figure in your own manual."),
        "The gap between the two sag readings should halve at least.",
        ("Whether the foot of the leg moved along the axle.", "Both rider sag readings, before and after."),
        (("Nothing changes", "then the seals or bushes rub, or a tube is bent. A workshop can see that; write to us "
          "first."),
         ("A tube looks bent or the bars are off-centre", "then do not ride. Go to a licensed workshop.")),
        "Nothing to undo: the bolts end as your manual wants them."),
    "damping": Remedy(
        "Open the compression damping", "10 minutes", ("the adjuster's key", "paper and pen"),
        "Count the clicks to fully in first, and write them down.",
        ("Turn compression out by 2 clicks.", "Ride the same road again.",
         "Go on in steps of 2 clicks, no more than 6 in all without hearing from us."),
        "The same on both legs where both do the same job.",
        ("Clicks out, before and after.", _TRAVEL, "Slow lean and quick push, in mm."),
        (("No click makes a difference",
          "then it is not the clicks: a valve or the oil comes next. Turn back and write to us."),
         ("It dives or bottoms out", "then turn 2 clicks back in.")),
        "Turn back to the clicks you wrote down."),
    "strip": Remedy(
        "Have the fork taken apart and put together by the book", "about 2 hours in a workshop",
        ("a workshop", "your own manual"),
        "Ask for a photo of all parts laid out in order.",
        ("Take the bike and the service sheet to a workshop.",
         "Ask for every part to be compared with the parts list of the manual: number, order and which way up.",
         "Ask for the stroke of each leg with the spring out."),
        "The stroke with the spring out is the book's within 3 mm.",
        ("The photo of the parts in order.", "The stroke of each leg, spring out, in mm."),
        (("All parts are right", "then tell us the stroke and the oil level found; we look again."),
         ("A part is worn or bent", "then ask the workshop whether it is safe to ride.")),
        "Nothing to undo.", opens_the_fork=True),
    "none": Remedy(
        "Change nothing; measure once more", "15 minutes", ("a zip tie", "a tape"),
        "Only on a bike that is safe to ride.",
        ("Front unloaded: push the tie against the dust seal.",
         "Ride a road you know, with one firm stop. Come to rest gently.",
         "Front unloaded again: measure from the dust seal to the tie."),
        "Three runs within 3 mm of each other.",
        (_TRAVEL, _SAG),
        (("It stops short by the same amount each time",
          "then something does end the stroke. Send us the numbers; we look again."),
         ("It uses all but the last 10 to 20 mm",
          "then it works as it should: the last of the stroke is kept for the worst bump.")),
        "Nothing was changed."),
}

BY_CAUSE: dict[str, tuple[tuple[str, str], ...]] = {
    "too little oil": (
        ("It still goes right to the end", "then tell us before you add more: spring or preload come next."),
        ("It now stops short, or ends hard", "then too much is in. Take 5 mm of level out of both legs.")),
    "too little preload": (
        ("Rider sag does not move", "then it is not the preload. Turn back and write to us."),
        ("It gets hard at the start of the stroke", "then it has gone too far. Turn back by half.")),
}
"""Another result's meaning, where the cause turns the remedy round."""
