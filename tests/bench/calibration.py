"""How honest the odds are: causes drawn by their base rates, their evidence simulated, the engine asked blind.

    python tests/bench/calibration.py --cases 1000 --out fixtures/pictures/calibration.png

Writes the reliability picture, and a table beside it (.md).  Every case is a fork drawn from one cause's story; a
random part of the tests is done on it, read with their noise and their slips, and typed into a case document.
"""
from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy.stats import binom

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from analysis import parse_case
from analysis.case import Case
from analysis.catalogue import BENCH_TESTS, QUESTIONS
from analysis.causes import Cause, causes_for
from analysis.inputs import read_inputs
from analysis.labels import DOUBT
from analysis.observations import ANSWERS, READINGS, SYMPTOMS
from analysis.observing import SLIP, Answered, Reading
from analysis.posterior import FEW, Posterior, assess
from analysis.quantities import FACTORS
from analysis.units import from_si, to_si
from analysis.world import World
from tests.bench.plain_table import odds

MINUTES = {test.name: test.minutes for test in BENCH_TESTS}
DONE = {"sag": 0.7, "push": 0.6, "travel": 0.6, "preload": 0.45, "look": 0.5, "rebound": 0.4, "oil": 0.3,
        "known_load": 0.2, "top_out": 0.25, "warmth": 0.2, "rolling": 0.25, "alignment": 0.2, "twins": 0.1,
        "cap": 0.15, "springs_out": 0.1, "springs_measured": 0.1, "clicks": 0.2, "rear_play": 0.15, "rear_bounce": 0.15}
"""How often each test is done, in a shop's ordinary run of cases."""
KNOWN = ("measured", "remembered", "guessed")
SINCE = {"same day as a job": 0.45, "slowly": 0.2, "always": 0.15, "after a knock": 0.08, "after new tyres": 0.05,
         "unknown": 0.07}
"""How often each answer is given of a cause that may start at any time."""
AIM = 0.01
"""Sampling error that is small beside what a thousand cases can show."""
EDGES = (0.0, 0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 1.0)


@dataclass
class Judged:
    """What was said of each simulated case, one row a case, and what was true."""

    causes: Sequence[Cause]
    truth: np.ndarray
    engine: np.ndarray
    table: np.ndarray
    no_numbers: np.ndarray
    no_answers: np.ndarray
    tests: dict[str, list[float]]
    """Bits that each test brought for the true cause, each time it was done."""

    @property
    def rates(self) -> np.ndarray:
        base = np.array([cause.base_rate for cause in self.causes])
        return np.tile(base / base.sum(), (len(self.truth), 1))

    def brier(self, said: np.ndarray) -> float:
        """Return the Brier score over all causes: 0 is perfect."""
        hit = np.eye(len(self.causes))[self.truth]
        return float(np.square(said - hit).sum(axis=1).mean())

    def bits(self, said: np.ndarray) -> float:
        """Return how much the true cause's odds were raised over its base rate, bits a case."""
        rows = np.arange(len(self.truth))
        return float(np.mean(np.log2(np.maximum(said[rows, self.truth], 1e-6) / self.rates[rows, self.truth])))

    def reliability(self, said: np.ndarray) -> list[tuple[float, float, int, float, float, bool]]:
        """Return for each bin: mean said, share true, how many, the 99 % band of that share, and whether inside."""
        hit, rows = np.eye(len(self.causes))[self.truth], []
        for low, high in zip(EDGES, EDGES[1:], strict=False):
            chosen = (said >= low) & ((said < high) | (high == 1.0))
            count = int(chosen.sum())
            if count < 8:
                continue
            mean, hits = float(said[chosen].mean()), float(hit[chosen].sum())
            band = binom.ppf((0.005, 0.995), count, mean) / count
            rows.append((mean, hits / count, count, *band, bool(band[0] <= hits / count <= band[1])))
        return rows


# --- simulated cases -------------------------------------------------------------------------------------------

def papers(rng: np.random.Generator) -> dict[str, Any]:
    """Return what is known of an invented bike before anything is wrong with it."""
    kind = str(rng.choice(["road", "touring", "sport", "adventure", "classic", "supermoto"]))
    usual = {"road": (200, 135, 41), "touring": (260, 135, 43), "sport": (195, 120, 43), "adventure": (225, 200, 43),
             "classic": (190, 130, 37), "supermoto": (125, 260, 47)}[kind]
    tube = round(usual[2] + rng.normal(0, 1), 1)
    leg = {"stanchion_diameter_mm": {"value": tube, "known": "measured"}, "bore_diameter_mm": round(tube - 5, 1),
           "inner_parts_area_mm2": 0, "oil_level_book_mm": round(rng.normal(130, 10)), "cap_intrusion_ml": 0,
           "steel_volume_ml": round(0.45 * usual[1] + rng.normal(0, 4), 1)}
    return {"bike": {"kind": kind, "mass_kg": round(usual[0] * rng.normal(1, 0.05)), "rake_deg": 25,
                     "unsprung_front_kg": 16},
            "rider": {"mass_kg": {"value": round(rng.normal(84, 10)), "known": "measured"}},
            "fork": {"damper": "damper rod", "travel_mm": usual[1], "left": dict(leg), "right": dict(leg)}}


def drawn_world(document: dict[str, Any], cause: Cause, rng: np.random.Generator) -> World:
    """Return one fork of a cause's story, drawn from it whole: what lies outside its bounds is drawn again."""
    case = parse_case(document)
    world = World(case, read_inputs(case), (cause,), 64, rng)
    return world.taken(np.flatnonzero(np.isfinite(world.log_prior))[:1])


def put(document: dict[str, Any], path: str, value: object) -> None:
    """Write an answer at its path."""
    *parts, last = path.split(".")
    for part in parts:
        document = document.setdefault(part, {})
    document[last] = value


def put_number(document: dict[str, Any], path: str, true: float, off: float, width: float, rng: np.random.Generator,
               known: str) -> None:
    """Write a number as it would be read: true, off by model and reading, and now and then plainly wrong (SI)."""
    question = QUESTIONS[path]
    one = to_si(1.0, question.unit) - to_si(0.0, question.unit)
    spread = question.spread
    sd = np.hypot(spread.absolute * one, spread.relative * true) * FACTORS[known]
    value = true + np.hypot(sd, off) * rng.standard_normal()
    if rng.random() < DOUBT[known]:
        value = rng.uniform(0, width)
    shown = from_si(value, question.unit)
    low, high = question.possible or (-np.inf, np.inf)
    put(document, path, {"value": round(float(np.clip(shown, low, high)), 3), "known": known})


def how_known(rng: np.random.Generator) -> str:
    return str(rng.choice(KNOWN, p=(0.8, 0.15, 0.05)))


def told(document: dict[str, Any], world: World, cause: Cause, rng: np.random.Generator) -> dict[str, Any]:
    """Return the document with a random part of what this fork would show."""
    done = {name for name, share in DONE.items() if rng.random() < share}
    for entry in READINGS:
        if entry.test in done and entry.path in READ and rng.random() < 0.85:
            _read(document, world, entry, rng)
    seen: set[str] = set()
    for answer in ANSWERS:
        if answer.test in done and rng.random() < 0.85:
            _answer(document, world, answer, seen, rng)
    if "oil" in done:
        for side in ("left", "right"):
            level = world.book_level[side] - world.excess[side] / world.gas_area[side]
            put_number(document, f"fork.{side}.oil_level_mm", float(level[0]), 0.001, 0.3, rng, "measured")
    if rng.random() < 0.4:
        put_number(document, "fork.left.spring.rate_n_per_mm", float(world.rate[0]), 0.0, 2e4, rng, "documented")
        document["fork"]["right"]["spring"] = dict(document["fork"]["left"]["spring"])
    if rng.random() < 0.8:
        _complain(document, world, cause, rng)
    return document


READ = {"bench.sag.free_sag_mm", "bench.sag.rider_sag_mm", "bench.push.slow_stroke_mm", "bench.push.quick_stroke_mm",
        "bench.preload.rider_sag_mm", "bench.travel.used_mm", "bench.springs_out.left_stroke_mm",
        "bench.rebound.return_s", "bench.known_load.light_mm", "bench.known_load.middle_mm",
        "bench.known_load.heavy_mm", "bench.clicks.stroke_in_mm", "bench.clicks.stroke_out_mm"}


def _read(document: dict[str, Any], world: World, entry: Reading, rng: np.random.Generator) -> None:
    off = float(np.ravel(np.asarray(entry.off_by(world)))[0])
    put_number(document, entry.path, float(np.ravel(entry.predict(world))[0]), off, entry.width, rng, how_known(rng))


def _answer(document: dict[str, Any], world: World, entry: Answered, seen: set[str], rng: np.random.Generator) -> None:
    """Pick an answer by its chances; one that sees what another saw before, or is only remembered, tells less."""
    chances = {name: float(np.ravel(p)[0]) for name, p in entry.probabilities(world).items()}
    known = how_known(rng)
    power = {"measured": 1.0, "remembered": 0.5, "guessed": 0.25}[known] * (0.5 if entry.sees in seen else 1.0)
    seen.add(entry.sees)
    weight = np.maximum(np.array(list(chances.values())), SLIP / len(chances)) ** power
    put(document, entry.path, {"value": str(rng.choice(list(chances), p=weight / weight.sum())), "known": known})


def _complain(document: dict[str, Any], world: World, cause: Cause, rng: np.random.Generator) -> None:
    """Name up to three of the symptoms that are there, and when it started."""
    there = [name for name, chance in SYMPTOMS.items() if rng.random() < float(np.ravel(chance(world))[0])]
    if there:
        picked = rng.permutation(there)[:3].tolist()
        put(document, "complaint.symptoms", {"value": picked, "known": "measured"})
    weight = np.array([share * cause.onset.get(name, 1.0) for name, share in SINCE.items()])
    since = str(rng.choice(list(SINCE), p=weight / weight.sum()))
    put(document, "complaint.since", None if since == "unknown" else since)


# --- judging ---------------------------------------------------------------------------------------------------

def judged(cases: int, draws: int, seed: int = 1) -> Judged:
    """Simulate and assess so many cases."""
    rng = np.random.default_rng(seed)
    causes = causes_for("coil", "damper rod")
    rates = np.array([cause.base_rate for cause in causes])
    truth = rng.choice(len(causes), cases, p=rates / rates.sum())
    rows: dict[str, list[Any]] = {name: [] for name in ("engine", "table", "no_numbers", "no_answers")}
    tests: dict[str, list[float]] = {}
    for true in truth:
        document = papers(rng)
        case = parse_case(told(document, drawn_world(document, causes[true], rng), causes[true], rng))
        posterior = assess(case, read_inputs(case), rng, draws, aim=AIM)
        rows["engine"].append(posterior.probabilities())
        rows["table"].append(odds(case, [c.name for c in causes], list(rates)))
        numbers = tuple(e.path for e in posterior.evidence if e.reading is not None or e.is_label)
        rows["no_numbers"].append(left_out(case, posterior, numbers, rng, draws))
        rows["no_answers"].append(posterior.probabilities([e.path for e in posterior.evidence
                                                           if e.path not in numbers]))
        for name, paths in by_test(posterior).items():
            without = left_out(case, posterior, paths, rng, draws)
            gain = np.log2(max(rows["engine"][-1][true], 1e-6) / max(without[true], 1e-6))
            tests.setdefault(name, []).append(float(gain))
    return Judged(causes, truth, *(np.array(row) for row in rows.values()), tests)


def left_out(case: Case, posterior: Posterior, paths: Sequence[str], rng: np.random.Generator,
             draws: int) -> np.ndarray:
    """Return the probabilities without some answers; what shaped the draws needs new ones."""
    if any(e.is_label and e.path in paths for e in posterior.evidence):
        rest = case.without(*paths)
        return assess(rest, read_inputs(rest), rng, draws, aim=AIM).probabilities()
    return posterior.probabilities(paths)


def by_test(posterior: Posterior) -> dict[str, list[str]]:
    """Return the evidence's paths by the test they come from."""
    of = {entry.path: entry.test for entry in (*READINGS, *ANSWERS) if entry.test}
    found: dict[str, list[str]] = {}
    for piece in posterior.evidence:
        name = of.get(piece.path)
        if name:
            found.setdefault(name, []).append(piece.path)
    return found


# --- what is shown ---------------------------------------------------------------------------------------------

def table(result: Judged) -> str:
    """Return reliability, scores and what each test earns, as Markdown."""
    lines = [f"Simulated cases: {len(result.truth)}, every one assessed blind.", "",
             "| said | came true | times | 99 % band | inside |", "| --- | --- | --- | --- | --- |"]
    lines += [f"| {said:.3f} | {true:.3f} | {count} | {low:.3f} to {high:.3f} | {'yes' if ok else 'no'} |"
              for said, true, count, low, high, ok in result.reliability(result.engine)]
    lines += ["", "| told by | Brier score | bits a case |", "| --- | --- | --- |"]
    for name, said in (("everything", result.engine), ("numbers only", result.no_answers),
                       ("answers only", result.no_numbers), ("a plain table of likelihood ratios", result.table),
                       ("base rates", result.rates)):
        lines.append(f"| {name} | {result.brier(said):.3f} | {result.bits(said):.2f} |")
    lines += ["", "| test | done | bits | minutes | bits an hour |", "| --- | --- | --- | --- | --- |"]
    earned = {name: float(np.mean(bits)) for name, bits in result.tests.items()}
    for name in sorted(earned, key=lambda test: -earned[test] / MINUTES[test]):
        lines.append(f"| {name.replace('_', ' ')} | {len(result.tests[name])} | {earned[name]:.2f} | {MINUTES[name]} | "
                     f"{60 * earned[name] / MINUTES[name]:.2f} |")
    return "\n".join(lines) + "\n"


def picture(result: Judged, path: Path) -> None:
    """Draw said against came true, with the 99 % band, and how often each was said."""
    from matplotlib.figure import Figure

    rows = result.reliability(result.engine)
    said, true, count = (np.array([row[i] for row in rows]) for i in (0, 1, 2))
    low, high = (np.array([row[i] for row in rows]) for i in (3, 4))
    figure = Figure(figsize=(4.6, 4.2), dpi=90)
    axes = figure.add_axes((0.13, 0.12, 0.83, 0.84))
    axes.plot((0, 1), (0, 1), color="0.6", linewidth=1)
    axes.fill_between(said, low, high, color="0.85", label="99 % of honest odds")
    axes.plot(said, true, "o-", color="#1f4e79", markersize=4, label="came true")
    for x, y, n in zip(said, true, count, strict=True):
        axes.annotate(str(n), (x, y), textcoords="offset points", xytext=(5, -9), fontsize=7)
    axes.set(xlabel="probability said", ylabel="share that came true", xlim=(0, 1), ylim=(0, 1))
    axes.legend(frameon=False, loc="upper left")
    figure.savefig(path)


def main() -> None:
    """Run the command."""
    parser = argparse.ArgumentParser(description="How honest the odds are.")
    parser.add_argument("--cases", type=int, default=1000)
    parser.add_argument("--draws", type=int, default=400, help="draws for each cause")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=None, help="the picture; the table goes beside it")
    chosen = parser.parse_args()
    result = judged(chosen.cases, chosen.draws, chosen.seed)
    print(table(result))
    if chosen.out:
        picture(result, chosen.out)
        how = "led round by round" if chosen.draws >= FEW else "not led: a full assessment has more, and leads them"
        chosen.out.with_suffix(".md").write_text(
            f"# How honest the odds are\n\nDraws for each cause: {chosen.draws}, {how}. Seed: {chosen.seed}.\n\n"
            + table(result), encoding="utf-8")


if __name__ == "__main__":
    main()
