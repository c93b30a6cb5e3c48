"""The outermost edge of the API: whatever goes wrong below /api/ is answered as problem details, not as a page."""
from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse, JsonResponse

from intake.api_problems import MEDIA_TYPE, problem_body

PREFIX = "/api/"
WORDS = {
    400: ("The request cannot be read.", "Look at its address, its headers and its size."),
    404: ("There is nothing at this address.", "Every address of the API is listed at /api/docs/."),
    405: ("This address does not take that method.", "The header Allow names the ones it takes."),
    500: ("Something went wrong on our side.", "Send the request again in a minute, with the same Idempotency-Key."),
}
OTHER = ("The request cannot be answered.", "See /api/docs/ for what can be asked.")
KEPT_HEADERS = ("Allow", "Retry-After", "WWW-Authenticate")


def problems_under_api(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Return the middleware; it stands first, so that it sees what every other one answers."""

    def middleware(request: HttpRequest) -> HttpResponse:
        answer = get_response(request)
        if not request.path_info.startswith(PREFIX):
            return answer
        if answer.status_code in (301, 302) and request.method not in ("GET", "HEAD"):
            return _problem(404, "There is nothing at this address.", "Every address of the API ends with '/'.")
        if answer.status_code < 400 or _is_problem(answer):
            return answer
        made = _problem(answer.status_code, *WORDS.get(answer.status_code, OTHER))
        for name in KEPT_HEADERS:
            if name in answer.headers:
                made.headers[name] = answer.headers[name]
        return made

    return middleware


def _is_problem(answer: HttpResponse) -> bool:
    """Tell whether it is worded already; the API's description words its own refusals in its own form."""
    return answer.headers.get("Content-Type", "").startswith(MEDIA_TYPE) and answer.content[:1] == b"{"


def _problem(status: int, detail: str, mend: str) -> JsonResponse:
    return JsonResponse(problem_body(status, detail, mend=mend), status=status, content_type=MEDIA_TYPE)
