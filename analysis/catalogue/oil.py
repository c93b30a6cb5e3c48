"""The oil itself: what it is called, and what it is."""
from __future__ import annotations

from typing import Any

from analysis.catalogue.kinds import Question, Section, Spread

_VISCOSITY: dict[str, Any] = dict(unit="mm**2/s", possible=(2, 1000), usual=(8, 70), spread=Spread(0, 0.03))

FORK_OIL = Section(
    "fork_oil", "The fork oil",
    "A W number is the maker's own name and no viscosity. The data sheet of the oil has the numbers in mm²/s (cSt).",
    (
        Question("fork.oil.label", "What stands on the bottle?", "text", help="As printed, every word and number."),
        Question("fork.oil.viscosity_40_cst", "Viscosity at 40 °C", **_VISCOSITY),
        Question("fork.oil.viscosity_100_cst", "Viscosity at 100 °C", unit="mm**2/s", possible=(2, 200),
                 usual=(2.5, 20), spread=Spread(0, 0.03)),
        Question("fork.oil.viscosity_index", "Viscosity index", unit="", possible=(-50, 600), usual=(80, 400),
                 spread=Spread(5), help="Printed as VI. Either this or the viscosity at 100 °C will do."),
        Question("fork.oil.viscosity_book_cst", "Viscosity at 40 °C that the papers ask for", **_VISCOSITY),
        Question("fork.oil.second_viscosity_cst", "If two oils were mixed: the second one at 40 °C", **_VISCOSITY),
        Question("fork.oil.second_share", "Share of the second oil in the mix", unit="", possible=(0, 1), usual=(0, 1),
                 spread=Spread(0.05)),
    ),
)
