"""The rear end and the tyres, as far as they help to judge the front."""
from __future__ import annotations

from analysis.catalogue.kinds import Question, Section, Spread

TYRES = Section(
    "tyres", "Tyres", "Cold, before riding. A soft tyre feels like a soft fork.",
    (
        Question("tyres.pressure_front_bar", "Front tyre pressure", unit="bar", possible=(0.1, 6), usual=(0.6, 3.2),
                 spread=Spread(0.1)),
        Question("tyres.pressure_rear_bar", "Rear tyre pressure", unit="bar", possible=(0.1, 6), usual=(0.6, 3.4),
                 spread=Spread(0.1)),
    ),
)

SHOCK = Section(
    "shock", "The rear", "A few numbers show whether the rear pushes load onto the fork.",
    (
        Question("shock.wheel_travel_mm", "Rear wheel travel", unit="mm", possible=(20, 450), usual=(60, 340),
                 spread=Spread(3)),
        Question("shock.stroke_mm", "Shock stroke", unit="mm", possible=(10, 250), usual=(25, 150), spread=Spread(1)),
        Question("shock.spring.rate_n_per_mm", "Shock spring rate", unit="N/mm", possible=(5, 500), usual=(10, 220),
                 spread=Spread(0, 0.04)),
        Question("shock.free_sag_mm", "Rear free sag at the axle", unit="mm", possible=(0, 200), usual=(0, 60),
                 spread=Spread(3)),
        Question("shock.rider_sag_mm", "Rear rider sag at the axle", unit="mm", possible=(0, 300), usual=(10, 130),
                 spread=Spread(3)),
    ),
)
