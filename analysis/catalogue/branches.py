"""Which answers make later questions and tests unnecessary, and what is best asked next.

A question that is skipped keeps what was typed.  Common practice, no source.
"""
from __future__ import annotations

from dataclasses import dataclass

from analysis.catalogue.fork import FORK, LEGS, MORE, SETTINGS, SPRINGS
from analysis.catalogue.oil import FORK_OIL

ANY = ("*",)
"""Any answer will do."""
FORK_WORK = ("oil", "seals", "bushes", "springs", "damper", "straightening")
ENDS_HARD = ("stops hard", "clanks at the end")
_RIGHT_LEVEL = "compressed spring out"


@dataclass(frozen=True)
class When:
    """True where the answer at ``path`` is one of ``values`` (``ANY``: any answer).  ``{side}`` is filled in.

    With ``known`` the answer has to be known in one of these ways, where that was said.
    """

    path: str
    values: tuple[str, ...] = ANY
    known: tuple[str, ...] = ()


@dataclass(frozen=True)
class Branch:
    """Where all of ``when`` and none of ``unless`` are true, the questions and tests in ``skips`` tell nothing more.

    ``skips`` holds paths of questions, with ``{side}`` where a leg is meant, and names of bench tests.
    """

    skips: tuple[str, ...]
    when: tuple[When, ...]
    reason: str
    unless: tuple[When, ...] = ()


@dataclass(frozen=True)
class Lead:
    """Where ``when`` is true, the page or test ``place`` is best looked at first, for ``reason``."""

    when: When
    place: str
    reason: str


def _both(path: str, values: tuple[str, ...] = ANY, known: tuple[str, ...] = ()) -> tuple[When, ...]:
    return tuple(When(path.format(side=side), values, known) for side in ("left", "right"))


_AIR = When("fork.springing", ("air",))
_HARD_END = When("complaint.symptoms", ENDS_HARD)
_READ = ("measured", "documented")
_COIL = ("rate_n_per_mm", "kind", "second_rate_n_per_mm", "changes_at_mm", "free_length_mm", "wire_diameter_mm",
         "coil_mean_diameter_mm", "total_coils", "active_coils")
_WOUND = ("wire_diameter_mm", "coil_mean_diameter_mm", "total_coils", "active_coils")


def _spring(names: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"fork.{{side}}.spring.{name}" for name in names)


OF_TWO_TUBES = ("sag", "travel", "push", "preload", "alignment", "oil", "springs_out", "clicks", "bottoming", "drain",
                "known_load", "twins", "cap", "springs_measured", "run_out")
"""Tests that are done on the tubes of a fork, or inside them."""
_KEPT = ("fork.layout", "fork.travel_mm")
_ASKED_OF_TUBES = tuple(question.path for section in (FORK, LEGS, SPRINGS, MORE, SETTINGS, FORK_OIL)
                        for question in section.questions if question.path not in _KEPT)

BRANCHES: tuple[Branch, ...] = (
    Branch((*_ASKED_OF_TUBES, *OF_TWO_TUBES), (When("fork.layout", ("other",)),),
           "This front has no pair of tubes: our tuner asks by hand for what is needed of it."),
    Branch((*_spring(_COIL), "fork.{side}.preload_fixed_mm", "fork.{side}.preload_turns_in",
            "fork.{side}.preload_turns_range", "fork.{side}.preload_pitch_mm_per_turn", "fork.{side}.steel_volume_ml",
            "springs_measured", "springs_out", "preload"), (_AIR,),
           "Air carries the load: this fork has no coil springs to ask about."),
    Branch(("fork.{side}.drained_ml", "service.pumped"), (When("fork.damper", ("sealed cartridge",)),),
           "A sealed cartridge is not drained and not opened at home."),
    Branch(("service.filled", "service.pumped", "fork.{side}.oil_volume_ml", "fork.{side}.drained_ml"),
           (*_both("fork.{side}.oil_level_mm", known=_READ), When("bench.oil.condition", (_RIGHT_LEVEL,))),
           "Both levels were measured with the legs together and the springs out. What was poured in tells no more."),
    Branch(("fork.{side}.drained_ml",), (When("service.filled", ("dry",)), *_both("fork.{side}.oil_volume_ml")),
           "The legs were dry and the amount is known: draining them would tell no more."),
    Branch(("service.filled", "service.pumped", "fork.{side}.drained_ml"), (When("service.done"),),
           "The fork was not opened in that work.", unless=(When("service.done", (*FORK_WORK, "unknown")),)),
    Branch(("service.pumped",), (When("service.filled", ("dry", "level set")),),
           "Pumping matters only where the old oil was drained."),
    Branch(_spring(_WOUND), (When("fork.{side}.spring.rate_n_per_mm", known=_READ),),
           "The spring's rate is known. The coils matter only where the fork ends hard.", unless=(_HARD_END,)),
    Branch(("springs_measured",), _both("fork.{side}.spring.rate_n_per_mm", known=_READ),
           "Both spring rates are known. The coils matter only where the fork ends hard.", unless=(_HARD_END,)),
    Branch(("twins",), (When("fork.damper", ("separate function",)),),
           "Each leg of this fork has its own work, so a difference between them is normal."),
    Branch(("fork.{side}.preload_turns_in", "fork.{side}.preload_pitch_mm_per_turn"),
           (When("fork.{side}.preload_turns_range", ("0",)),), "There is no preload adjuster to count."),
    Branch(("preload",), _both("fork.{side}.preload_turns_range", ("0",)), "There is no preload adjuster to turn."),
    Branch(("fork.{side}.rebound.clicks_out",), (When("fork.{side}.rebound.clicks_range", ("0",)),),
           "There is no rebound adjuster to count."),
    Branch(("fork.{side}.compression.clicks_out",), (When("fork.{side}.compression.clicks_range", ("0",)),),
           "There is no compression adjuster to count."),
    Branch(("clicks",), _both("fork.{side}.compression.clicks_range", ("0",)),
           "There is no compression adjuster to turn."),
    Branch(("bike.front_share",), (When("bike.front_load_kg", known=_READ),), "The load on the front wheel is known."),
    Branch(("bench.rear_sag.two_up_mm",), (When("use.pillion_kg", ("0",)),), "You never ride with a passenger."),
    Branch(("bench.rear_sag.loaded_mm",), (When("use.luggage_kg", ("0",)),), "You never carry luggage."),
    Branch(("bench.sag.free_sag_mm",),
           tuple(When(f"bench.sag.{name}_mm") for name in ("extended", "free_from_below", "free_from_above")),
           "Free sag is worked out from the readings."),
    Branch(("bench.sag.rider_sag_mm",),
           tuple(When(f"bench.sag.{name}_mm") for name in ("extended", "rider_from_below", "rider_from_above")),
           "Rider sag is worked out from the readings."),
    Branch(("shock.free_sag_mm",),
           tuple(When(f"bench.rear_sag.{name}_mm") for name in ("extended", "free_from_below", "free_from_above")),
           "Rear sag was measured in the guided test."),
    Branch(("shock.rider_sag_mm",),
           tuple(When(f"bench.rear_sag.{name}_mm") for name in ("extended", "rider_from_below", "rider_from_above")),
           "Rear sag was measured in the guided test."),
    Branch(("shock.preload_mm",),
           (When("shock.spring.free_length_mm"), When("shock.spring.installed_length_mm")),
           "The two lengths of the spring tell the rear preload."),
    Branch(("shock.preload_turns_in", "shock.preload_turns_range", "shock.preload_pitch_mm_per_turn"),
           (When("shock.preload_kind", ("fixed",)),), "The rear preload cannot be set."),
)
"""Each saves somebody time in a cold garage."""

LEADS: tuple[Lead, ...] = (
    Lead(When("complaint.since", ("same day as a job",)), "service",
         "It began with the work, so how the work was done tells most."),
    Lead(When("complaint.since", ("after a knock",)), "look", "After a knock, straightness comes before all else."),
    Lead(When("complaint.since", ("slowly",)), "look", "It crept in, so wear and leaks come first."),
    Lead(When("complaint.since", ("after new tyres",)), "tyres",
         "It began with new tyres, so their pressures come first."),
    Lead(When("bench.warmth.change", ("freer",)), "fork_oil",
         "It frees up with warmth, so what oil is in it comes first."),
    Lead(When("bench.warmth.change", ("earlier stop",)), "use",
         "It stops sooner when hot, so warmth and height above the sea come first."),
    Lead(When("complaint.symptoms", ("rear trouble",)), "shock",
         "The trouble is at the rear, so the rear comes first."),
)
"""The first that holds and is still open leads the way."""
