"""What bothers the rider, the bike, the rider and the use."""
from __future__ import annotations

from analysis.catalogue.kinds import Question, Section, Spread, choices

SYMPTOMS = choices(
    will_not_use_travel="It will not use its travel",
    stops_hard="It stops hard on the way down",
    clanks_at_the_end="It ends with a metal clank",
    too_stiff="It is too stiff everywhere",
    harsh_on_small_bumps="It is harsh on small bumps",
    sticks_then_jumps="It sticks, then jumps",
    dives="It dives under braking",
    bottoms_out="It bottoms out",
    rides_high="It rides high and will not sag",
    rides_low="It rides low",
    bounces="It bounces after a bump",
    packs_down="It gets lower and harder over ripples",
    tops_out="It knocks when it comes back up",
    legs_differ="The legs do not feel the same",
    leaks="It leaks oil",
    rear_trouble="The trouble is at the rear",
)

COMPLAINT = Section(
    "complaint", "What bothers you", "In your own words first. There are no wrong answers.",
    (
        Question("complaint.words", "What does the bike do, or not do?", "text",
                 help="Say when it happens, and how it was before."),
        Question("complaint.symptoms", "What fits? Pick any that do", "many", choices=SYMPTOMS),
        Question("complaint.since", "When did it start?", "choice", choices=choices(
            same_day_as_a_job="The day work was done on the bike", slowly="It crept in",
            always="It was always so", after_a_knock="After a crash, a kerb or a pothole",
            after_new_tyres="After new tyres")),
    ),
)

BIKE = Section(
    "bike", "The bike", "Papers or the maker's data page have most of this. Leave out what you do not know.",
    (
        Question("bike.description", "Which bike is it, in your words?", "text",
                 help="Kind and year are enough. Nothing is calculated from this."),
        Question("bike.kind", "What kind of bike?", "choice", choices=choices(
            road="Road or naked", sport="Sport", touring="Touring", heavyweight="Heavyweight", scooter="Scooter",
            adventure="Adventure", off_road="Enduro, trail or motocross", trials="Trials", supermoto="Supermoto",
            classic="Classic", outfit="With a sidecar", other="Something else")),
        Question("bike.mass_kg", "Mass, ready to ride", unit="kg", possible=(20, 700), usual=(60, 480),
                 spread=Spread(1, 0.015), help="With fuel and oil, without rider and luggage."),
        Question("bike.front_load_kg", "Load on the front wheel, without rider", unit="kg", possible=(8, 350),
                 usual=(25, 230), spread=Spread(1.5), help="A bathroom scale under the front wheel, bike upright."),
        Question("bike.front_share", "Share of the bike's mass on the front wheel", unit="", possible=(0.2, 0.7),
                 usual=(0.38, 0.56), spread=Spread(0.01),
                 help="For example 0.49 or 49 %. Not needed with the load above."),
        Question("bike.unsprung_front_kg", "Front unsprung mass", unit="kg", possible=(2, 50), usual=(8, 26),
                 spread=Spread(1.5), help="Wheel, tyre, brakes and the part of the fork that moves with the wheel."),
        Question("bike.unsprung_rear_kg", "Rear unsprung mass", unit="kg", possible=(2, 80), usual=(8, 40),
                 spread=Spread(2)),
        Question("bike.wheelbase_mm", "Wheelbase", unit="mm", possible=(600, 2600), usual=(1100, 1800),
                 spread=Spread(5)),
        Question("bike.rake_deg", "Rake (steering head angle from upright)", unit="degree", possible=(5, 50),
                 usual=(18, 35), spread=Spread(0.3)),
        Question("bike.fork_offset_mm", "Fork offset", unit="mm", possible=(-50, 120), usual=(15, 70),
                 spread=Spread(1), help="From the steering axis to the middle of the axle."),
        Question("bike.wheel_radius_front_mm", "Front wheel radius with tyre", unit="mm", possible=(120, 450),
                 usual=(180, 360), spread=Spread(4), help="From the ground to the middle of the axle."),
    ),
)

RIDER = Section(
    "rider", "The rider", "Weigh yourself in the gear you ride in: most people guess 5 to 12 kg too low.",
    (
        Question("rider.mass_kg", "Mass, dressed to ride", unit="kg", possible=(20, 250), usual=(40, 160),
                 spread=Spread(1.5)),
        Question("rider.front_share", "Share of the rider on the front wheel", unit="", possible=(0.1, 0.7),
                 usual=(0.3, 0.55), spread=Spread(0.03), help="Upright about 0.40, low over the bars about 0.48."),
        Question("rider.can", "What can you do where the bike is?", "many", choices=choices(
            helper="Someone can help", stand="I have a stand that lifts the front",
            rear_stand="I have a stand that lifts the rear", tape="I have a tape or ruler",
            caps="I have opened fork caps before", ride="I can ride it on a quiet road",
            workshop="It is in a workshop with V-blocks and a dial gauge"),
            help="Only tests that you can do safely are offered."),
    ),
)

USE = Section(
    "use", "How it is used", "Load, place and weather change how a fork behaves.",
    (
        Question("use.riding", "Mostly", "many", choices=choices(
            commuting="Commuting", touring="Touring", brisk_road="Brisk road", track="Track", gravel="Gravel",
            off_road="Off-road", jumps="Jumps")),
        Question("use.pillion_kg", "Passenger, dressed to ride", unit="kg", possible=(0, 250), usual=(0, 150),
                 spread=Spread(2)),
        Question("use.luggage_kg", "Luggage", unit="kg", possible=(0, 200), usual=(0, 80), spread=Spread(2, 0.05)),
        Question("use.braking_g", "Hard braking to plan for, in g", unit="", possible=(0.2, 1.6), usual=(0.5, 1.2),
                 spread=Spread(0.05), help="1.0 unless you know better."),
        Question("use.altitude_m", "Height above the sea where it is ridden", unit="m", possible=(-430, 6000),
                 usual=(0, 4000), spread=Spread(100)),
        Question("use.closed_altitude_m", "Height above the sea where the fork was last closed", unit="m",
                 possible=(-430, 6000), usual=(0, 4000), spread=Spread(100)),
        Question("use.oil_temperature_c", "Warmth of the fork's oil on a long ride", unit="degC", possible=(-30, 120),
                 usual=(5, 80), spread=Spread(5), help="A tube that is hand-warm has about 40 °C inside."),
        Question("use.temperature_c", "Air temperature at the tests", unit="degC", possible=(-40, 60),
                 usual=(-20, 45), spread=Spread(3)),
    ),
)
