"""A case may be erased while another request is at work on it: rows that it has just read are gone when it saves.

Whatever that request stumbles over then is nobody's fault, and its answer is the usual one, that there is no such case.
"""
from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from django.http import Http404, HttpRequest, HttpResponse

from intake.errors import Refused
from intake.services import erased

logger = logging.getLogger(__name__)


@contextmanager
def gone_is_not_here(number: str) -> Iterator[None]:
    """Raise ``Http404`` in the place of anything that fails within, where the case of this number has been erased."""
    try:
        yield
    except (Http404, Refused):
        raise
    except Exception as error:  # broad: what a vanished row breaks has no kind of its own, and all else is raised again
        _not_here(number, error)
        raise


def no_fault_of_an_erased_case(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Return the middleware: the same for every address that has a case's number in it."""

    def middleware(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    def process_exception(request: HttpRequest, error: Exception) -> None:
        if not isinstance(error, Http404):
            _not_here(request.resolver_match.kwargs.get("number", ""), error)

    middleware.process_exception = process_exception  # type: ignore[attr-defined]
    return middleware


def _not_here(number: str, error: Exception) -> None:
    if erased(number=number):
        logger.info("A case was erased while a request was at work on it: %s", type(error).__name__)
        raise Http404("The case has been erased.") from error
