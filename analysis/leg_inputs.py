"""From a case's answers to what is known of one fork leg."""
from __future__ import annotations

import math
from dataclasses import dataclass

from analysis import oil, typical
from analysis.air import circle_area
from analysis.catalogue import SIDES
from analysis.estimates import ML, MM, MM2, Estimate, Reader
from analysis.say import say
from analysis.spring import STEEL_G, rate_spread, solid_length, spring_rate, steel_volume


@dataclass(frozen=True)
class PartInputs:
    """What a leg has beside a straight spring and one air column; None where it is not known to have it."""

    second_rate: Estimate | None = None
    changes_at: Estimate | None = None
    progressive: bool = False
    top_out: tuple[Estimate, ...] | None = None
    bump: tuple[Estimate, ...] | None = None
    """Rate and working stroke of each."""
    balance: tuple[Estimate, ...] | None = None
    """Diameter, gauge pressure and volume at full extension of the balance chamber."""
    air_extended: Estimate | None = None
    """Main air at full extension, where it is known by itself and not from an oil level."""


@dataclass(frozen=True)
class Drained:
    """Oil that came out of a leg, m³; whether it was pumped through, None: not known; and the question that says so."""

    amount: Estimate
    pumped: bool | None
    path: str


@dataclass(frozen=True)
class LegInputs:
    """What is known of one leg.  None: not known and not to be made up."""

    seal_diameter: Estimate
    bore_diameter: Estimate
    inner_area: Estimate
    steel: Estimate
    cap: Estimate
    gauge: Estimate
    level: Estimate | None
    level_book: Estimate | None
    poured: Estimate | None
    volume_book: Estimate | None
    drained: Drained | None
    rate: Estimate | None
    preload: Estimate
    preload_known: bool
    pitch: Estimate
    turns_in: float | None
    turns_range: float | None
    parts: PartInputs
    closes: Estimate | None
    """How far the spring can be squeezed before its coils touch, L_free − N_t d."""

    @property
    def gas_area(self) -> float:
        """Area of the oil surface, A_g = π D_b²/4 − A_parts, m²."""
        return float(circle_area(self.bore_diameter.value)) - self.inner_area.value


def read_leg(read: Reader, side: str, usual: typical.Typical, stroke: Estimate) -> LegInputs:
    """Return what is known of one leg, typical values filled in and listed; ``usual`` is what its kind of bike has."""
    path = f"fork.{side}."
    piston = read.leg_maybe(side, "air_piston_diameter_mm") if read.known(path + "air_volume_ml") else None
    seal = piston or read.leg_value(side, "stanchion_diameter_mm", lambda: read.assume(
        path + "stanchion_diameter_mm", (usual.stanchion_mm, typical.SPREAD.stanchion_mm), "mm", MM,
        say("Usual tube for this kind of bike. Measuring it helps most of all.")))
    bore = read.leg_value(side, "bore_diameter_mm", lambda: read.assume(
        path + "bore_diameter_mm", (seal.value / MM - typical.WALL_MM[0], math.hypot(typical.WALL_MM[1], seal.sd / MM)),
        "mm", MM, say("Usual wall for a tube of this size.")))
    steel = _steel(read, side, stroke)
    level = read.known(path + "oil_level_mm")
    inner = _inner_area(read, side)
    pitch, preload, known = _preload(read, side)
    leg = LegInputs(
        seal_diameter=seal, bore_diameter=bore, inner_area=inner, steel=steel,
        cap=read.leg_maybe(side, "cap_intrusion_ml") or read.assume(
            path + "cap_intrusion_ml", typical.CAP_ML, "ml", ML, say("Counted as nothing: the papers' level met the "
                                                                     "same cap.")),
        gauge=read.known(path + "gauge_pressure_bar") or read.assume(
            path + "gauge_pressure_bar", (0.0, 0.0), "bar", 1.0, say("Closed without pressure, unless you say "
                                                                     "otherwise.")),
        level=level and _standard(read, level, seal, bore, inner, steel, stroke),
        level_book=read.leg_maybe(side, "oil_level_book_mm"),
        poured=read.known(path + "oil_volume_ml"), volume_book=read.leg_maybe(side, "oil_volume_book_ml"),
        drained=_drained(read, side), rate=_rate(read, side), preload=preload, preload_known=known,
        pitch=pitch, turns_in=_number(read, path + "preload_turns_in"),
        turns_range=_number(read, path + "preload_turns_range"), parts=_parts(read, side),
        closes=_closes(read, side),
    )
    if leg.parts.air_extended is not None:
        read.forget(path + name for name in OF_A_LEVEL)
    return leg


OF_A_LEVEL = ("bore_diameter_mm", "inner_parts_area_mm2", "steel_volume_ml", "cap_intrusion_ml")
"""What turns an oil level into air: of no use where the air itself is given."""
RELATIVE_DENSITY = (0.86, 0.01)
"""Of fork oil, where its sheet does not say: common practice, no source."""
WATER = 1000.0
PUMPED_STROKES = 10.0
"""So many strokes pump a leg through: common practice, no source."""


def _drained(read: Reader, side: str) -> Drained | None:
    """Oil that came out when it was drained and measured as a test, by jug or scale; else at the last service."""
    strokes = _number(read, f"bench.drain.{side}_strokes")
    pumped = None if strokes is None or 0 < strokes < PUMPED_STROKES else strokes > 0
    out, weight = (read.known(f"bench.drain.{side}_out_{unit}") for unit in ("ml", "kg"))
    if out is not None:
        return Drained(out, pumped, f"bench.drain.{side}_out_ml")
    if weight is not None:
        density = read.or_typical("bench.drain.relative_density", RELATIVE_DENSITY, "", 1.0, say(
            "Usual for fork oil; the oil's own sheet says it better."))
        amount = weight.value / (density.value * WATER)
        sd = amount * math.hypot(weight.sd / max(weight.value, 1e-6), density.sd / density.value)
        return Drained(Estimate(amount, sd, weight.known), pumped, f"bench.drain.{side}_out_kg")
    before, told = read.known(f"fork.{side}.drained_ml"), read.case.told("service.pumped")
    if before is None:
        return None
    return Drained(before, told if isinstance(told, bool) else None, f"fork.{side}.drained_ml")


def _parts(read: Reader, side: str) -> PartInputs:
    def all_of(*names: str) -> tuple[Estimate, ...] | None:
        found = tuple(e for name in names if (e := read.leg_maybe(side, name)) is not None)
        return found if len(found) == len(names) else None

    top_out, bump = (all_of(f"{name}.rate_n_per_mm", f"{name}.length_mm") for name in ("top_out", "bump"))
    # A chamber beside the main air: a leg without air of its own has none, whatever the other one has.
    own = any(read.known(f"fork.{side}.{name}") for name in ("balance.volume_ml", "air_volume_ml"))
    balance = all_of("balance.diameter_mm", "balance.pressure_bar", "balance.volume_ml") if own else None
    kind = read.case.value(f"fork.{side}.spring.kind")
    wound = kind in ("two rates", "progressive")
    return PartInputs(
        second_rate=read.leg_maybe(side, "spring.second_rate_n_per_mm") if wound else None,
        changes_at=read.leg_maybe(side, "spring.changes_at_mm") if kind == "two rates" else None,
        progressive=kind == "progressive", top_out=top_out, bump=bump, balance=balance,
        air_extended=read.known(f"fork.{side}.air_volume_ml"))


def _number(read: Reader, path: str) -> float | None:
    found = read.known(path)
    return None if found is None else found.value


def _inner_area(read: Reader, side: str) -> Estimate:
    found = read.leg_maybe(side, "inner_parts_area_mm2")
    if found is not None:
        return found
    damper = read.case.value("fork.damper")
    mean_sd = typical.INNER_AREA_MM2.get(str(damper), (60.0, 80.0))
    return read.assume(f"fork.{side}.inner_parts_area_mm2", mean_sd, "mm**2", MM2,
                       say("Usual for this damper.") if damper else say("The damper is not known."))


def _steel(read: Reader, side: str, stroke: Estimate) -> Estimate:
    """Steel in the leg: as told, from the spring's own measures and a usual spacer, or from the fork's size.

    What one leg tells counts for the other one only where both have a spring or neither has.
    """
    path = f"fork.{side}.steel_volume_ml"
    own = read.known(path)
    if own is not None:
        return own
    if not _has_spring(read, side):
        return read.assume(path, typical.FITTINGS_ML, "ml", ML, say("No spring stands in this leg."))
    shared = read.leg_maybe(side, "steel_volume_ml")
    if shared is not None:
        return shared
    names = ("wire_diameter_mm", "coil_mean_diameter_mm", "total_coils")
    parts = [read.leg_maybe(side, f"spring.{name}") for name in names]
    if all(part is not None for part in parts):
        wire, coil, coils = (part.value for part in parts if part is not None)
        spring = float(steel_volume(wire, coil, coils))
        sd = math.hypot(typical.SPACER_ML[1], 0.03 * spring / ML)
        return read.assume(path, (spring / ML + typical.SPACER_ML[0], sd), "ml", ML,
                           say("From the spring's wire and coils, with a usual spacer."))
    mean, sd = (stroke.value / MM * share for share in typical.STEEL_ML_PER_MM_TRAVEL)
    return read.assume(path, (mean, sd), "ml", ML, say("Usual spring and spacer for this stroke."))


def _standard(read: Reader, level: Estimate, seal: Estimate, bore: Estimate, inner: Estimate, steel: Estimate,
              stroke: Estimate) -> Estimate | None:
    """Turn a level read in any condition into the level of the compressed leg with the spring out."""
    condition = str(read.case.value("bench.oil.condition") or "compressed spring out")
    gas_area = float(circle_area(bore.value)) - inner.value
    found = oil.standard_level(level.value, condition, gas_area, float(circle_area(seal.value)), stroke.value,
                               steel.value)
    return found and Estimate(found[0], math.hypot(level.sd, found[1]), level.known)


def _has_spring(read: Reader, side: str) -> bool:
    """An air-sprung leg has none; nor has one of a separate-function fork that tells of none where the other does."""
    if read.case.value("fork.springing") == "air":
        return False
    if read.case.value("fork.damper") != "separate function":
        return True
    own, other = (any(path.startswith(f"fork.{s}.spring.") for path in read.case.answers)
                  for s in (side, SIDES[1 - SIDES.index(side)]))
    return own or not other


def _rate(read: Reader, side: str) -> Estimate | None:
    if not _has_spring(read, side):
        return Estimate(0.0, 0.0, "documented")
    own = read.known(f"fork.{side}.spring.rate_n_per_mm")
    return own or _rate_from_wire(read, side) or read.leg_maybe(side, "spring.rate_n_per_mm")


def _rate_from_wire(read: Reader, side: str) -> Estimate | None:
    """Rate from wire, coil and working coils, k = G d⁴ / (8 D³ N_a), where the spring was measured."""
    wire, coil, active = (read.known(f"fork.{side}.spring.{name}") for name in (
        "wire_diameter_mm", "coil_mean_diameter_mm", "active_coils"))
    if wire is None or coil is None or active is None:
        return None
    rate = spring_rate(STEEL_G, wire.value, coil.value, active.value)
    sd = rate_spread(rate, wire.value, coil.value, active.value, sd_d=wire.sd, sd_D=coil.sd, sd_n=active.sd)
    return Estimate(float(rate), float(sd), wire.known)


def _preload(read: Reader, side: str) -> tuple[Estimate, Estimate, bool]:
    """Return the adjuster's pitch, the preload with the turns in, and whether the preload is known at all."""
    path = f"fork.{side}."
    turns = read.known(path + "preload_turns_in")
    pitch = read.leg_maybe(side, "preload_pitch_mm_per_turn")
    if pitch is None:
        usual = typical.PITCH_MM
        pitch = (read.assume(path + "preload_pitch_mm_per_turn", usual, "mm", MM, say("Usual thread of an adjuster."))
                 if turns is not None else Estimate(usual[0] * MM, usual[1] * MM, "assumed"))
    fixed = read.leg_maybe(side, "preload_fixed_mm")
    if fixed is None and not _has_spring(read, side):
        return pitch, Estimate(0.0, 0.0, "assumed"), False
    base = fixed or read.assume(path + "preload_fixed_mm", typical.PRELOAD_MM, "mm", MM,
                                say("Usual preload with the adjuster right out."))
    if turns is None:
        return pitch, base, fixed is not None
    total = base.value + turns.value * pitch.value
    sd = math.hypot(base.sd, turns.sd * pitch.value, turns.value * pitch.sd)
    return pitch, Estimate(total, sd, base.known), fixed is not None


def _closes(read: Reader, side: str) -> Estimate | None:
    free, wire, coils = (read.leg_maybe(side, f"spring.{name}") for name in (
        "free_length_mm", "wire_diameter_mm", "total_coils"))
    if free is None or wire is None or coils is None:
        return None
    solid = float(solid_length(wire.value, coils.value))
    return Estimate(free.value - solid, math.hypot(free.sd, wire.sd * coils.value, coils.sd * wire.value), free.known)
