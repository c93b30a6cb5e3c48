"""What was done to the bike last."""
from __future__ import annotations

from analysis.catalogue.kinds import Question, Section, choices

SERVICE = Section(
    "service", "What was serviced", "How the oil went in matters more than anything else here.",
    (
        Question("service.done", "What was done?", "many", choices=choices(
            oil="Fork oil", seals="Fork seals", bushes="Fork bushes", springs="Fork springs",
            damper="Damper or valves", wheel_out="Front wheel out", tyres="Tyres", head_bearings="Head bearings",
            straightening="Straightening", shock="Shock")),
        Question("service.by", "Who did it?", "choice", choices=choices(
            rider="I did", friend="A friend", workshop="A workshop")),
        Question("service.when", "When, roughly?", "text"),
        Question("service.filled", "How was the oil filled?", "choice", choices=choices(
            dry="Into dry legs, fully taken apart", drained="The old oil was drained, then new oil poured in",
            level_set="The level was set with a ruler or syringe")),
        Question("service.pumped", "Were the legs pumped while they drained?", "yes_no",
                 help="Pumping drives out oil that stays behind otherwise."),
        Question("service.notes", "Anything else about the job?", "text",
                 help="Oil label as printed, parts in what order, bottles used."),
    ),
)
