"""Who told what a letter quotes: the rider who reads it, or a shop that has the bike and wrote for its customer."""
from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_through_a_shop: ContextVar[bool] = ContextVar("through_a_shop", default=False)


@contextmanager
def told_by(*, a_shop: bool) -> Iterator[None]:
    """Word what is written inside for answers that a shop gave, or for the rider's own."""
    token = _through_a_shop.set(a_shop)
    try:
        yield
    finally:
        _through_a_shop.reset(token)


def a_shop_has_the_bike() -> bool:
    """Tell whether what is written now goes to a shop's customer, whose bike stands in that shop."""
    return _through_a_shop.get()
