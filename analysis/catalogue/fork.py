"""The fork: both legs always, they may differ."""
from __future__ import annotations

from analysis.catalogue.kinds import Condition, Question, Section, Spread, choices

FORK = Section(
    "fork", "The fork", "The same for both legs.",
    (
        Question("fork.layout", "Which way round?", "choice", choices=choices(
            right_way_up="Thin shiny tubes above, thick sliders at the wheel",
            upside_down="Thick tubes above, thin shiny tubes at the wheel",
            other="No pair of tubes: links, a girder or a single arm")),
        Question("fork.damper", "What is inside?", "choice", choices=choices(
            damper_rod="Damper rod", open_cartridge="Open cartridge", sealed_cartridge="Sealed cartridge",
            separate_function="Spring in one leg, damper in the other")),
        Question("fork.springing", "What carries the load?", "choice", choices=choices(
            coil="Coil springs", air="Air under pressure, no coil spring")),
        Question("fork.travel_mm", "Full stroke", unit="mm", possible=(15, 400), usual=(60, 320), spread=Spread(2),
                 help="From fully extended to bottomed out, along the leg."),
        Question("fork.friction_n", "Friction of the fork", unit="N", possible=(0, 1500), usual=(10, 250),
                 spread=Spread(10, 0.15), help="Half of the difference between the forces going down and coming up."),
    ),
)

LEGS = Section(
    "legs", "Oil and tubes, leg by leg", "Left and right as you sit on the bike.",
    (
        Question("fork.{side}.stanchion_diameter_mm", "Outside diameter of the sliding tube", unit="mm",
                 possible=(15, 80), usual=(25, 60), spread=Spread(0.1),
                 help="The shiny tube that runs through the seal. A tape round it, divided by 3.1416, will do."),
        Question("fork.{side}.bore_diameter_mm", "Inside diameter of the tube the oil stands in", unit="mm",
                 possible=(10, 90), usual=(20, 60), spread=Spread(0.15)),
        Question("fork.{side}.inner_parts_area_mm2", "Area of the rod or cartridge standing in that bore",
                 unit="mm**2", possible=(0, 2500), usual=(0, 900), spread=Spread(15, 0.05),
                 shown_when=Condition("fork.damper", (
                     "open cartridge", "sealed cartridge", "separate function"))),
        Question("fork.{side}.oil_level_mm", "Oil level as it is now", repeats=3, unit="mm", possible=(0, 600),
                 usual=(40, 350), spread=Spread(2),
                 help="From the top of the tube down to the oil, leg pushed fully together, spring out."),
        Question("fork.{side}.oil_level_book_mm", "Oil level in the papers", unit="mm", possible=(0, 600),
                 usual=(50, 350), spread=Spread(1), help="Leg pushed fully together, spring out."),
        Question("fork.{side}.oil_volume_ml", "Oil poured in", unit="ml", possible=(0, 3000), usual=(100, 1300),
                 spread=Spread(3, 0.015)),
        Question("fork.{side}.oil_volume_book_ml", "Amount in the papers for a dry leg", unit="ml",
                 possible=(0, 3000), usual=(100, 1300), spread=Spread(2, 0.005)),
        Question("fork.{side}.drained_ml", "Oil that came out when drained", unit="ml", possible=(0, 3000),
                 usual=(50, 1300), spread=Spread(3, 0.02), help="Kitchen scale: grams divided by 0.86."),
        Question("fork.{side}.steel_volume_ml", "Volume of spring, spacer and washers", unit="ml",
                 possible=(0, 500), usual=(20, 160), spread=Spread(3, 0.05)),
        Question("fork.{side}.cap_intrusion_ml", "Volume of the cap inside the tube", unit="ml", possible=(0, 120),
                 usual=(0, 40), spread=Spread(2)),
        Question("fork.{side}.gauge_pressure_bar", "Air pressure set at full extension", unit="bar",
                 possible=(-0.9, 15), usual=(0, 1.2), spread=Spread(0.03, 0.02)),
    ),
)

SPRINGS = Section(
    "springs", "Springs and preload, leg by leg", "A leg without a spring is left empty.",
    (
        Question("fork.{side}.spring.rate_n_per_mm", "Spring rate", unit="N/mm", possible=(0.5, 60), usual=(3, 13),
                 spread=Spread(0, 0.03)),
        Question("fork.{side}.spring.kind", "How is it wound?", "choice", choices=choices(
            straight="Evenly: one rate", two_rates="Tight coils at one end, or two springs in a row",
            progressive="Closer and closer: the rate grows")),
        Question("fork.{side}.spring.second_rate_n_per_mm", "Rate at the end of the stroke", unit="N/mm",
                 possible=(0.5, 90), usual=(4, 16), spread=Spread(0, 0.04), help="Once the tight coils are closed.",
                 shown_when=Condition("fork.{side}.spring.kind", ("two rates", "progressive"))),
        Question("fork.{side}.spring.changes_at_mm", "Spring squeezed by how much when the tight coils are closed",
                 unit="mm", possible=(1, 400), usual=(20, 220), spread=Spread(3),
                 shown_when=Condition("fork.{side}.spring.kind", ("two rates",))),
        Question("fork.{side}.spring.free_length_mm", "Free length of the spring", unit="mm", possible=(30, 900),
                 usual=(180, 560), spread=Spread(1.5)),
        Question("fork.{side}.spring.wire_diameter_mm", "Wire diameter", repeats=3, unit="mm", possible=(1, 15),
                 usual=(3.2, 6.5), spread=Spread(0.04)),
        Question("fork.{side}.spring.coil_mean_diameter_mm", "Mean coil diameter", unit="mm", possible=(8, 90),
                 usual=(18, 45), spread=Spread(0.2), help="Outside diameter less one wire diameter."),
        Question("fork.{side}.spring.total_coils", "Coils, all counted", unit="", possible=(2, 150), usual=(15, 70),
                 spread=Spread(0.3)),
        Question("fork.{side}.spring.active_coils", "Coils that work", unit="", possible=(1, 150), usual=(13, 68),
                 spread=Spread(0.3), help="All but the closed ends: usually two fewer."),
        Question("fork.{side}.preload_fixed_mm", "Preload with the adjuster right out", unit="mm",
                 possible=(-30, 120), usual=(0, 40), spread=Spread(1.5),
                 help="How far the spring is squeezed at full extension."),
    ),
)

AIR_SPRUNG = Condition("fork.springing", ("air",))

MORE = Section(
    "more", "Air springs, top-out springs and bump rubbers", "Only what your fork has. The maker's data page has them.",
    (
        Question("fork.{side}.air_volume_ml", "Air chamber at full extension", unit="ml", possible=(20, 3000),
                 usual=(80, 900), spread=Spread(3, 0.02), shown_when=AIR_SPRUNG),
        Question("fork.{side}.air_piston_diameter_mm", "Diameter of the air piston", unit="mm", possible=(8, 80),
                 usual=(15, 50), spread=Spread(0.1), shown_when=AIR_SPRUNG),
        Question("fork.{side}.balance.volume_ml", "Balance chamber at full extension", unit="ml", possible=(1, 1000),
                 usual=(5, 200), spread=Spread(2, 0.03), shown_when=AIR_SPRUNG),
        Question("fork.{side}.balance.pressure_bar", "Pressure in the balance chamber at full extension", unit="bar",
                 possible=(0, 25), usual=(1, 15), spread=Spread(0.05, 0.02), shown_when=AIR_SPRUNG),
        Question("fork.{side}.balance.diameter_mm", "Diameter the balance chamber works on", unit="mm",
                 possible=(5, 80), usual=(10, 50), spread=Spread(0.1), shown_when=AIR_SPRUNG),
        Question("fork.{side}.top_out.rate_n_per_mm", "Top-out spring: rate", unit="N/mm", possible=(0.2, 80),
                 usual=(2, 30), spread=Spread(0, 0.06)),
        Question("fork.{side}.top_out.length_mm", "Top-out spring: stroke over which it works", unit="mm",
                 possible=(1, 150), usual=(5, 60), spread=Spread(1)),
        Question("fork.{side}.bump.rate_n_per_mm", "Bump rubber: rate at first touch", unit="N/mm",
                 possible=(0.2, 300), usual=(5, 120), spread=Spread(0, 0.15)),
        Question("fork.{side}.bump.length_mm", "Bump rubber: stroke over which it works", unit="mm",
                 possible=(1, 120), usual=(5, 50), spread=Spread(1)),
        Question("fork.leg_spacing_mm", "Distance between the legs, middle to middle", unit="mm", possible=(60, 500),
                 usual=(150, 260), spread=Spread(2)),
    ),
)

SETTINGS = Section(
    "settings", "Adjusters, leg by leg", "Count from fully in, and write down where they are before you turn anything.",
    (
        Question("fork.{side}.preload_turns_in", "Preload: turns in from right out", unit="", possible=(0, 60),
                 usual=(0, 20), spread=Spread(0.25)),
        Question("fork.{side}.preload_turns_range", "Preload: turns from right out to right in", unit="",
                 possible=(0, 60), usual=(0, 20), spread=Spread(0.25)),
        Question("fork.{side}.preload_pitch_mm_per_turn", "Preload: mm a turn", unit="mm", possible=(0.2, 8),
                 usual=(0.8, 2.0), spread=Spread(0.05)),
        Question("fork.{side}.rebound.clicks_out", "Rebound: clicks out", unit="", possible=(0, 80), usual=(0, 40),
                 spread=Spread(0.5)),
        Question("fork.{side}.rebound.clicks_range", "Rebound: clicks in all", unit="", possible=(0, 80),
                 usual=(4, 40), spread=Spread(0.5)),
        Question("fork.{side}.compression.clicks_out", "Compression: clicks out", unit="", possible=(0, 80),
                 usual=(0, 40), spread=Spread(0.5)),
        Question("fork.{side}.compression.clicks_range", "Compression: clicks in all", unit="", possible=(0, 80),
                 usual=(4, 40), spread=Spread(0.5)),
    ),
)
