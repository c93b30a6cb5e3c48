"""What each spring on the shelf would give at the rear wheel, and how far its sag may be off."""
from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from analysis.case import Case
from analysis.estimates import MM
from analysis.rear import Rear
from analysis.rear_inputs import RearLoads, closes, preload_range
from analysis.spring_choice import (
    REAR_STEP,
    End,
    Offer,
    Wish,
    best_offer,
    offers,
    rate_for,
    rear_end,
    sag_with,
    shelf,
)
from analysis.sway import rider_load_ends


def rear_springs(case: Case, bare: Rear, loads: RearLoads, wanted: float, now: float | None,
                 stock: Sequence[float] = ()) -> list[dict[str, Any]]:
    """Return what each rate around the wanted one would give; empty without the preload's range or a load.

    ``bare`` is the rear without preload, ``wanted`` the rider sag (m at the wheel), ``now`` the preload as it is (m),
    ``stock`` the rates that can be had (N/m; empty: in the usual steps).
    """
    reach = None if now is None else preload_range(case, now)
    if reach is None or now is None or loads.free is None or loads.rider is None:
        return []
    end = rear_end(bare)
    rates = shelf(rate_for(end, loads.rider, wanted, max(now, MM)), REAR_STEP, stock=stock)
    found = offers(end, Wish(loads.free, loads.rider, wanted, reach, closes(case)), rates)
    best, ends = best_offer(found), rider_load_ends(case, loads.rider)
    return [_row(offer, offer is best, _sag_band(end, offer, ends)) for offer in found]


def _sag_band(end: End, offer: Offer, load_ends: tuple[float, float]) -> list[float | None]:
    """The spring's rider sag, 5 to 95 %: the preload stays, the load may be lighter or heavier."""
    return [_mm(sag_with(end, offer.rate, offer.preload, load)) for load in load_ends]


def _row(offer: Offer, best: bool, band: list[float | None]) -> dict[str, Any]:
    return {"rate_n_per_mm": round(offer.rate * MM, 1), "preload_needed_mm": _mm(offer.preload_needed),
            "preload_mm": _mm(offer.preload), "rider_sag_mm": _mm(offer.rider_sag), "free_sag_mm": _mm(offer.free_sag),
            "bind_margin_mm": _mm(offer.bind_margin), "fits": offer.fits, "best": best, "words": offer.words,
            "spread": {"rider_sag_mm": band}}


def _mm(value: float | None) -> float | None:
    return None if value is None else round(value / MM, 1) + 0.0
