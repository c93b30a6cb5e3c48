"""Which closed cases the learning page looks at: a time, a kind of fork, a shop."""
from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from intake.errors import Refused
from intake.models import Shop
from intake.search import FORK_KINDS
from reports.models import Outcome

PERIODS = {"": "all the time", "30": "30 days", "90": "90 days", "365": "a year"}
SHOPS_LISTED = 200


@dataclass(frozen=True)
class Looked:
    """What is looked at; blank asks nothing."""

    period: str = ""
    fork: str = ""
    shop: str = ""

    def rows(self) -> QuerySet[Outcome]:
        """Return the outcomes that stand and are looked at."""
        rows = Outcome.objects.filter(stands=True)
        if self.period:
            rows = rows.filter(closed_at__gte=timezone.now() - timedelta(days=int(self.period)))
        equal = {"fork_kind": self.fork, "shop": self.shop}
        return rows.filter(**{name: value for name, value in equal.items() if value})

    def as_query(self) -> dict[str, str]:
        """Return it as an address says it."""
        said = {"period": self.period, "fork": self.fork, "shop": self.shop}
        return {name: value for name, value in said.items() if value}


def looked_from(typed: Mapping[str, Any]) -> Looked:
    """Return what an address asks for.  Raises ``Refused`` for a filter that the page never gave."""
    found = Looked(*(str(typed.get(name) or "") for name in ("period", "fork", "shop")))
    is_shop = not found.shop or (found.shop.isascii() and found.shop.isdigit() and len(found.shop) < 19)
    if found.period not in PERIODS or found.fork not in ("", *FORK_KINDS) or not is_shop:
        raise Refused("There is no such filter.", "Pick the filters from the list.")
    return found


def choices() -> dict[str, list[tuple[str, str]]]:
    """Return what each filter can be."""
    shops = Shop.objects.order_by("name").values_list("pk", "name")[:SHOPS_LISTED]
    return {"periods": list(PERIODS.items()), "forks": [("", "any fork"), *FORK_KINDS.items()],
            "shops": [("", "everybody"), *((str(pk), name) for pk, name in shops)]}
