"""What a shop's web-hook is sent, for the API's description."""
from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiWebhook

from intake.models import Case
from reports.services.hooks import EVENTS, TRIED

_TEXT = {"type": "string"}
_HEADERS = {
    "Farbench-Event": "What happened.",
    "Farbench-Delivery": "The message's id. The same one again is the same message again.",
    "Farbench-Time": "When it was signed, in seconds since 1970. Refuse what is older than five minutes.",
    "Farbench-Signature": "As hex: HMAC-SHA256, with the web-hook's secret, over the time, a full stop and the body.",
}
_BODY: dict[str, Any] = {
    "type": "object", "required": ["id", "event", "at"], "properties": {
        "id": _TEXT, "event": {"enum": [*EVENTS, TRIED]}, "at": {"type": "string", "format": "date-time"},
        "case": {**_TEXT, "description": "The case's number; left out in a test, as is what follows."},
        "job": _TEXT, "state": {"enum": Case.State.values}, "state_since": {"type": "string", "format": "date-time"},
        "question": {**_TEXT, "description": "What the tuner asked, while the case needs an answer."},
        "address": {**_TEXT, "description": "Where the case is read."}}}
MESSAGE = OpenApiWebhook("message", {"post": {
    "operationId": "message", "summary": "Something happened to a case",
    "description": "Posted to each of your web-hooks that wants the event. It says nothing of the rider.",
    "parameters": [{"name": name, "in": "header", "required": True, "schema": _TEXT, "description": words}
                   for name, words in _HEADERS.items()],
    "requestBody": {"required": True, "content": {"application/json": {"schema": _BODY}}},
    "responses": {
        "2XX": {"description": "Heard. Nothing of the answer is read but its number."},
        "default": {"description": "Tried again, for about four hours; 410 and every redirection end it at once."}},
}})
