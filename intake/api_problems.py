"""Every answer that is not a success, in one form: problem details (RFC 9457)."""
from __future__ import annotations

from http import HTTPStatus
from typing import Any

from django.http import Http404
from rest_framework.exceptions import (
    APIException,
    MethodNotAllowed,
    NotAcceptable,
    NotAuthenticated,
    UnsupportedMediaType,
    ValidationError,
)
from rest_framework.response import Response
from rest_framework.views import set_rollback

from analysis.document import CaseFaults, Fault
from intake.errors import Refused

MEDIA_TYPE = "application/problem+json"
ANSWERED = (CaseFaults, Refused, Http404, APIException)
"""What ``problem_handler`` has an answer to; anything else is a programming error."""


def problem_handler(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn what a view raised into a problem answer; None lets a programming error be one."""
    answer = _answer(error, context)
    if answer is not None:
        set_rollback()
    return answer


def problem_body(
    status: int, detail: str, *, mend: str = "", faults: tuple[Fault, ...] = (), **more: Any,
) -> dict[str, Any]:
    """Return a problem as JSON.  ``faults`` lists what is wrong where, and how to mend it."""
    body: dict[str, Any] = {"type": "about:blank", "title": HTTPStatus(status).phrase, "status": status,
                            "detail": detail}
    body |= {"mend": mend} if mend else {}
    body |= {"faults": [{"path": f.path, "problem": f.problem, "mend": f.mend} for f in faults]} if faults else {}
    return body | more


def problem(
    status: int, detail: str, *, mend: str = "", faults: tuple[Fault, ...] = (), headers: dict[str, str] | None = None,
    **more: Any,
) -> Response:
    """Return a problem answer."""
    return Response(problem_body(status, detail, mend=mend, faults=faults, **more), status=status, headers=headers,
                    content_type=MEDIA_TYPE)


def _answer(error: Exception, context: dict[str, Any]) -> Response | None:
    if isinstance(error, CaseFaults):
        count = len(error.faults)
        return problem(422, f"The document has {count} fault{'' if count == 1 else 's'}; nothing was stored.",
                       mend="Mend every fault in the list, then send the whole document again.", faults=error.faults)
    if isinstance(error, Refused):
        return problem(409, error.problem, mend=error.mend)
    if isinstance(error, Http404):
        return problem(404, str(error) or "There is nothing here.", mend="Look at the address; only what is your own "
                       "can be read.")
    if isinstance(error, ValidationError):
        return _body_faults(error)
    if isinstance(error, APIException):
        return _framework(error, context)
    return None


def _body_faults(error: ValidationError) -> Response:
    faults = tuple(_flat(error.detail))
    return problem(400, "The request is not as it should be; nothing was stored.",
                   mend="Mend every fault in the list and send it again.", faults=faults)


def _flat(detail: Any, path: str = "") -> list[Fault]:
    if isinstance(detail, dict):
        return [fault for key, inner in detail.items() for fault in _flat(inner, f"{path}.{key}".strip("."))]
    if isinstance(detail, list):
        return [fault for inner in detail for fault in _flat(inner, path)]
    return [Fault(path, str(detail), "See the API's description for what belongs here.")]


def _framework(error: APIException, context: dict[str, Any]) -> Response:
    headers = {}
    if getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = error.auth_header
    if getattr(error, "wait", None):
        headers["Retry-After"] = str(int(error.wait) + 1)
    status = 401 if isinstance(error, NotAuthenticated) else error.status_code
    return problem(status, str(error.detail), mend=_mend(error, context), headers=headers)


def _mend(error: APIException, context: dict[str, Any]) -> str:
    """Return what to do about a refusal that the framework words; blank where its own words say it."""
    if isinstance(error, UnsupportedMediaType):
        read = " or ".join(parser.media_type for parser in getattr(context.get("view"), "parser_classes", ()))
        return f"Send the body as it is, with the header 'Content-Type: {read}'."
    if isinstance(error, NotAcceptable):
        return "Ask for application/json, or for application/pdf where the answer is one."
    if isinstance(error, MethodNotAllowed):
        return "The header Allow names the methods that this address takes."
    return ""
