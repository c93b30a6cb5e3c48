"""The rear end and the tyres."""
from __future__ import annotations

from analysis.catalogue.kinds import Condition, Question, Section, Spread, choices

TYRES = Section(
    "tyres", "Tyres", "Cold, before riding. A soft tyre feels like a soft fork.",
    (
        Question("tyres.pressure_front_bar", "Front tyre pressure", unit="bar", possible=(0.1, 6), usual=(0.6, 3.2),
                 spread=Spread(0.1)),
        Question("tyres.pressure_rear_bar", "Rear tyre pressure", unit="bar", possible=(0.1, 6), usual=(0.6, 3.4),
                 spread=Spread(0.1)),
    ),
)

_DIRECT = Condition("shock.layout", ("direct", "twin"))
_LINKS = Condition("shock.layout", ("linkage",))
_FORMULA = ("Only where a data sheet gives the linkage as s = a z + b z² + c z³: wheel travel z and shock stroke s in "
            "mm.")

_TRAVEL = (
    Question("shock.layout", "How is the shock mounted?", "choice", choices=choices(
        linkage="One shock, through links", direct="One shock, straight onto the swinging arm",
        twin="Two shocks, one each side", other="Some other way")),
    Question("shock.wheel_travel_mm", "Rear wheel travel", unit="mm", possible=(20, 450), usual=(60, 340),
             spread=Spread(3)),
    Question("shock.stroke_mm", "Shock stroke", unit="mm", possible=(10, 250), usual=(25, 150), spread=Spread(1)),
    Question("shock.linkage_table_mm", "Wheel travel and shock stroke, place by place", "table", unit="mm",
             help="If you have it: pairs in mm, wheel first, from the wheel hanging on, such as "
                  "0:0 20:9.8 40:19.9 60:30.4. Without it the whole stroke against the whole travel is used."),
    Question("shock.curve.a", "Linkage formula: a", possible=(0.05, 2), usual=(0.25, 1), spread=Spread(0, 0.01),
             shown_when=_LINKS, help=_FORMULA),
    Question("shock.curve.b_per_mm", "Linkage formula: b", possible=(-0.02, 0.02), usual=(-0.004, 0.004),
             spread=Spread(0, 0.02), shown_when=_LINKS, help=_FORMULA),
    Question("shock.curve.c_per_mm2", "Linkage formula: c", possible=(-2e-4, 2e-4), usual=(-4e-5, 4e-5),
             spread=Spread(0, 0.02), shown_when=_LINKS, help=_FORMULA),
    Question("shock.arm.length_mm", "Swinging arm, pivot to axle", unit="mm", possible=(150, 1000), usual=(380, 720),
             spread=Spread(3), shown_when=_DIRECT),
    Question("shock.arm.along_mm", "Lower shock mount: from the pivot, along the arm", unit="mm", possible=(20, 900),
             usual=(100, 600), spread=Spread(2), shown_when=_DIRECT),
    Question("shock.arm.above_mm", "Lower shock mount: above the line from pivot to axle", unit="mm",
             possible=(-300, 300), usual=(-120, 120), spread=Spread(2), shown_when=_DIRECT,
             help="Below that line: a minus in front."),
    Question("shock.arm.top_forward_mm", "Upper shock mount: ahead of the pivot", unit="mm", possible=(-800, 500),
             usual=(-500, 200), spread=Spread(3), shown_when=_DIRECT, help="Behind the pivot: a minus in front."),
    Question("shock.arm.top_up_mm", "Upper shock mount: above the pivot", unit="mm", possible=(-300, 900),
             usual=(50, 600), spread=Spread(3), shown_when=_DIRECT),
    Question("shock.arm.droop_deg", "How far the arm hangs below level, wheel hanging", unit="degree",
             possible=(-20, 50), usual=(5, 30), spread=Spread(0.5), shown_when=_DIRECT),
)

_SPRING = (
    Question("shock.spring.rate_n_per_mm", "Shock spring rate", unit="N/mm", possible=(5, 500), usual=(10, 220),
             spread=Spread(0, 0.04), help="Of one spring, where there are two shocks."),
    Question("shock.spring.free_length_mm", "Free length of the shock spring", unit="mm", possible=(50, 600),
             usual=(120, 320), spread=Spread(1.5), help="Off the shock. From papers: taking it off needs a press."),
    Question("shock.spring.installed_length_mm", "Length of the spring on the shock, as it is set now", unit="mm",
             possible=(40, 600), usual=(110, 310), spread=Spread(1), help="Wheel hanging."),
    Question("shock.spring.wire_diameter_mm", "Wire diameter of the shock spring", unit="mm", possible=(3, 30),
             usual=(6, 16), spread=Spread(0.05)),
    Question("shock.spring.total_coils", "Coils of the shock spring, all counted", unit="", possible=(2, 40),
             usual=(5, 22), spread=Spread(0.2)),
    Question("shock.bump_length_mm", "Length of the bump rubber on the rod", unit="mm", possible=(0, 150),
             usual=(5, 60), spread=Spread(2)),
    Question("shock.bump_rate_n_per_mm", "Mean rate of the bump rubber", unit="N/mm", possible=(0, 2000),
             usual=(20, 600), spread=Spread(0, 0.3)),
    Question("shock.rod_diameter_mm", "Shock rod diameter", unit="mm", possible=(5, 40), usual=(9, 22),
             spread=Spread(0.1)),
    Question("shock.gas_pressure_bar", "Gas pressure in the shock, from papers", unit="bar", possible=(0, 40),
             usual=(5, 20), spread=Spread(0.5),
             help="Never measure it: a gauge lets gas out, and only a workshop can put it back."),
)

_PRELOAD = (
    Question("shock.preload_kind", "How is the rear preload set?", "choice", choices=choices(
        collar="A threaded collar", ramp="A stepped ramp", knob="A knob", fixed="It cannot be set")),
    Question("shock.preload_mm", "Rear preload as it is set now", unit="mm", possible=(-20, 120), usual=(0, 40),
             spread=Spread(1.5), help="Not needed with the two lengths of the spring."),
    Question("shock.preload_turns_in", "Rear preload: turns or steps in from right out", unit="", possible=(0, 60),
             usual=(0, 30), spread=Spread(0.25)),
    Question("shock.preload_turns_range", "Rear preload: turns or steps in all", unit="", possible=(0, 80),
             usual=(3, 40), spread=Spread(0.25)),
    Question("shock.preload_pitch_mm_per_turn", "Rear preload: mm a turn or step", unit="mm", possible=(0.1, 12),
             usual=(0.5, 4), spread=Spread(0.05)),
)

_LOADS = (
    Question("bike.rear_load_kg", "Load on the rear wheel, without rider", unit="kg", possible=(8, 400),
             usual=(30, 260), spread=Spread(1.5),
             help="A scale under the rear wheel, front wheel as high, bike upright."),
    Question("bike.gravity_height_mm", "Height of the centre of gravity, bike with rider", unit="mm",
             possible=(200, 1300), usual=(450, 800), spread=Spread(30), help="Leave it out unless it was measured."),
    Question("shock.free_sag_mm", "Rear free sag at the axle", unit="mm", possible=(0, 200), usual=(0, 60),
             spread=Spread(3), help="Not needed with the guided test 'Rear sag'."),
    Question("shock.rider_sag_mm", "Rear rider sag at the axle", unit="mm", possible=(0, 300), usual=(10, 130),
             spread=Spread(3), help="Not needed with the guided test 'Rear sag'."),
)

SHOCK = Section(
    "shock", "The rear", "A few numbers show whether the rear pushes load onto the fork.",
    (*_TRAVEL, *_SPRING, *_PRELOAD, *_LOADS),
)
