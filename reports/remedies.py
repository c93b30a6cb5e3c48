"""What belongs to each remedy in a letter: tools, tolerance, what to report, what another result means, how to undo it.

The amounts are common practice, no source: the first step is small, and the largest is what a rider should do without
hearing back.  The keys are the remedies of ``analysis.causes``; ``reports.remedies_by_cause`` says where one cause
turns its remedy another way.
"""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Remedy:
    """The fixed part of one remedy's advice.

    opens_the_fork: it is done inside the legs.  for_workshop: nobody does it at home.  at_the_fork: False where the
    fork is left as it is and only judged again afterwards.  see: what should be seen afterwards where the fork's own
    numbers do not say it.
    """

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
    for_workshop: bool = False
    at_the_fork: bool = True
    see: tuple[str, ...] = ()
    photo: str = "One photo of the tie or the tape against the tube."


TRAVEL = "Travel used on the same road as before, in mm, three runs."
SAG = "Rider sag, read from below and from above, in mm."
FRONT_SAG = "Rider sag at the front, read from below and from above, in mm."
REAR_SAG = "Rear sag with the rider on, read from below and from above, in mm."
_FEEL = "How much the trouble still bothers you, from 0 to 10, and how much it did before."

REMEDIES: dict[str, Remedy] = {
    "oil": Remedy(
        "Set the oil level", "60 to 90 minutes",
        ("a stand that lifts the front by the frame", "a syringe with a ring, or a tape", "a tray and clean bottles",
         "gloves and eye protection", "your own manual"),
        "Cover disc, pads and tyre. Oil on them means: do not ride.",
        ("Bring the oil to the level on the service sheet, leg by leg.",),
        "Within 2 mm of the level, and the two legs within 2 mm of each other.",
        ("The level you found in each leg before you changed anything, in mm.",
         "The millilitres that you took out of each leg, or put in.", TRAVEL, SAG),
        (("The travel used stays where it was",
          "then the oil is not what ends it. Leave it as it is and write to us; touching coils or a part in the wrong "
          "place come next."),
         ("It now goes right to the end, or ends with a clank",
          "then too much has come out. Raise the level by 5 mm in both legs, once, and tell us.")),
        "Keep the oil you took out clean and labelled by leg. Put the same amount back, or draw off what you added.",
        opens_the_fork=True),
    "preload": Remedy(
        "Change the preload", "10 minutes", ("the adjuster's key", "a tape", "paper and pen"),
        "Turn only the adjuster. The caps stay shut.",
        ("Change the preload by 1 turn, or 1.5 mm, on both legs alike.", "Measure rider sag again, as before.",
         "Go on in steps of 1 turn, no more than 5 mm in all without hearing from us."),
        "Both legs within 0.5 mm of each other.",
        ("Turns changed, left and right.", SAG, TRAVEL),
        (("Rider sag does not move", "then it is not the preload. Turn back and write to us."),
         ("The fork knocks when it comes back up", "then it has gone too far. Turn back by half.")),
        "Turn the same number of turns back."),
    "spring": Remedy(
        "Change the springs", "about 90 minutes",
        ("a matched pair of springs", "a stand that lifts the front by the frame", "a tray", "eye protection",
         "your own manual"),
        "A spring can throw the cap. Preload right out first.",
        ("Have a matched pair of springs fitted, in steps of 0.5 N/mm, at most 1.0 N/mm without hearing from us.",
         "Set the oil level again: another spring takes another volume."),
        "The pair alike within 2 %.",
        ("Rate and free length of the springs that came out, and their coils and wire.", SAG, TRAVEL),
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
        "Nothing to undo: the bolts end as your manual wants them.",
        see=("The gap between the two readings of the rider sag should be half of what it was, or less.",)),
    "damping": Remedy(
        "Open the compression damping", "10 minutes", ("the adjuster's key", "paper and pen"),
        "Count the clicks to fully in first, and write them down.",
        ("Turn compression out by 2 clicks.", "Ride the same road again.",
         "Go on in steps of 2 clicks, no more than 6 in all without hearing from us."),
        "The same on both legs where both do the same job.",
        ("Clicks out, before and after.", TRAVEL, "Slow lean and quick push, in mm."),
        (("No click makes a difference",
          "then it is not the clicks: a valve or the oil comes next. Turn back and write to us."),
         ("It dives or bottoms out", "then turn 2 clicks back in.")),
        "Turn back to the clicks you wrote down.",
        see=("A quick push should go nearly as deep as a slow lean: within about 8 mm.",
             "The rider sag stays as it was; damping does not change it.")),
    "air pressure": Remedy(
        "Correct the air pressure", "15 minutes",
        ("a pump and a gauge made for forks", "a stand that lifts the front by the frame", "paper and pen"),
        "Only the valve is touched. A leg with air in it is never unscrewed. Face to the side of the valve.",
        ("Write down the pressure of each leg, cold, with the wheel off the floor.",
         "Change it by a small step, both legs alike where both hold air, then measure the rider sag again."),
        "Both legs within 0.02 bar in a fork with springs, within 0.1 bar in an air-sprung one.",
        ("The pressure of each leg before and after, in bar, cold.", SAG, TRAVEL),
        (("The rider sag does not move", "then it is not the pressure. Set it back and write to us."),
         ("The pressure is gone the next day", "then it leaks. Have a workshop look at it before you ride far.")),
        "Set the pressure that you wrote down, cold, with the wheel off the floor.",
        see=("The rider sag should grow towards a quarter to a third of the full stroke.",)),
    "seals": Remedy(
        "Clean the seal, then have it replaced", "20 minutes, and a workshop where the oil comes back",
        ("clean rags", "a torch", "a thin plastic strip without sharp edges"),
        "Oil on disc, pads or tyre: do not ride. No blade and no screwdriver at the seal.",
        ("Wipe tube and seal lip clean, and look for a nick or dirt.", "Ride 20 km gently and look again.",
         "Where a ring comes back, have both seals replaced."),
        "Dry for 200 km.",
        ("Whether the ring came back, on which leg, and after how many km.", "The oil that came out of each leg, if a "
         "workshop renewed the seals, in ml."),
        (("The tube has a nick or a rough spot", "then a new seal will not last. Ask a workshop about the tube first."),
         ("Drops run down, or oil nears the brake", "then do not ride. Go to a licensed workshop.")),
        "Nothing to undo.", photo="One photo of the tube and the seal, wiped dry and after the ride.",
        see=("The tube should stay dry. After new seals the fork may be a little stiff for the first 300 to 500 km.",)),
    "rear": Remedy(
        "Put the rear right first", "30 minutes",
        ("someone to help", "the key for the rear preload", "a tape", "paper and pen"),
        "The helper holds the bike upright the whole time. The shock itself stays closed: it holds gas under pressure.",
        ("Measure the rear sag with the rider on, from below and from above.",
         "Change the rear preload by 2 mm or one step, and measure again.",
         "No more than 8 mm in all without hearing from us."),
        "Rear preload within 0.5 mm, or on the same step.",
        ("Rear preload before and after, in mm, turns or steps.", REAR_SAG, FRONT_SAG),
        (("The rear sag does not move, or jumps", "then links or bearings hold it. Turn back and write to us."),
         ("The fork is no better although the rear stands right",
          "then the rear was not the cause. Leave it and tell us; the fork comes next.")),
        "Set the rear preload back to what you wrote down.", at_the_fork=False,
        see=("The rear should sag by a quarter to a third of its wheel travel with the rider on.",
             "The fork should then turn in and dive as it did before the trouble began; nothing in it was changed."),
        photo="One photo of the tape at the rear, rider on."),
    "rolling": Remedy(
        "Put tyre, bearings and brake right first", "20 minutes", ("a tyre gauge", "a stand that lifts the front"),
        "Front lifted under the frame, rear tied down. A rough bearing or a notch in the steering: do not ride.",
        ("Set both tyre pressures cold, to the figures in the papers.",
         "Spin the front wheel by hand: a brake that drags or a rough bearing is work for a workshop.",
         "Ride the same road again before anything else is changed."),
        "Tyre pressures within 0.1 bar.",
        ("Both tyre pressures before and after, cold, in bar.", "Turns of the front wheel after one firm spin.", _FEEL),
        (("Nothing changes with the right pressure", "then tyre and brake are not it. Write to us; the fork comes "
          "next."),
         ("The steering has a notch or play, or the wheel does not spin freely",
          "then do not ride. Go to a licensed workshop.")),
        "Write down the pressures you found; nothing else was changed.", at_the_fork=False,
        see=("The same road should feel clearly better with nothing changed in the fork.",),
        photo="One photo of the gauge on the front tyre."),
    "load": Remedy(
        "Take load off, or place it better", "30 minutes",
        ("someone to help", "a bathroom scale", "a tape", "the bike's papers"),
        "Over the load or the axle load in the papers: do not ride like that. A helper holds the bike while you "
        "measure.",
        ("Weigh what you carry, and compare it with the papers.",
         "Heavy things low and forward, nothing heavy behind the rear axle.",
         "Measure both rider sags again, loaded as you ride."),
        "Within the load and the axle loads in the papers.",
        ("What you carry and where, in kg.", FRONT_SAG, REAR_SAG),
        (("It is right when you ride alone, and wrong again when loaded",
          "then springs or preload for the load come next. Tell us both sags."),
         ("It is the same without any load", "then the load was not the cause. Write to us.")),
        "Put the load back where it was; nothing on the bike was changed.", at_the_fork=False,
        see=("Without the load the trouble should be gone, or clearly smaller.",),
        photo="One photo of the bike from the side, loaded as you ride."),
    "strip": Remedy(
        "Have the fork taken apart and put together by the book", "about 2 hours in a workshop",
        ("a workshop", "your own manual"),
        "Ask for a photo of all parts laid out in order.",
        ("Take the bike and this letter to a workshop.",
         "Ask for every part to be compared with the parts list of the manual: number, order and which way up.",
         "Ask for the stroke of each leg with the spring out."),
        "The stroke with the spring out is the book's within 3 mm.",
        ("The photo of the parts in order.", "The stroke of each leg, spring out, in mm."),
        (("All parts are right", "then tell us the stroke and the oil level found; we look again."),
         ("A part is worn or bent", "then ask the workshop whether it is safe to ride.")),
        "Nothing to undo.", opens_the_fork=True, for_workshop=True),
    "none": Remedy(
        "Change nothing; measure once more", "15 minutes", ("a zip tie", "a tape"),
        "Only on a bike that is safe to ride.",
        ("Front unloaded: push the tie against the dust seal.",
         "Ride a road you know, with one firm stop. Come to rest gently.",
         "Front unloaded again: measure from the dust seal to the tie."),
        "Three runs within 3 mm of each other.",
        (TRAVEL, SAG),
        (("It stops short of the end by the same amount each time",
          "then something does end the stroke. Send us the numbers; we look again."),
         ("It uses all but the last 10 to 20 mm",
          "then it works as it should: the last of the stroke is kept for the worst bump.")),
        "Nothing was changed.",
        see=("Three readings close together, with all but the last 10 to 20 mm used after a hard stop.",)),
}
"""The remedies by their names."""
