"""The page on which a shop's programmer reads how the API works: the API's own description, laid out for reading."""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from drf_spectacular.settings import spectacular_settings

Part = Mapping[str, Any]
Words = list[dict[str, str]]
WAYS = {"allOf": "and", "oneOf": "or", "anyOf": "or"}


@require_safe
def api_page(request: HttpRequest) -> HttpResponse:
    """Show every call, every message and every field, to anybody."""
    return render(request, "reports/shop/program.html", _laid_out())


@lru_cache(maxsize=1)
def _laid_out() -> dict[str, Any]:
    """Return the page's parts: they change only with the program."""
    return _Layout(spectacular_settings.DEFAULT_GENERATOR_CLASS().get_schema(request=None, public=True)).parts()


class _Layout:
    """An OpenAPI description as lists of calls, messages and kinds of things."""

    def __init__(self, described: Part) -> None:
        self.described, self.kinds = described, described["components"]["schemas"]

    def parts(self) -> dict[str, Any]:
        groups: dict[str, list[dict[str, Any]]] = {}
        for path, item in self.described["paths"].items():
            for method, call in item.items():
                groups.setdefault(call["tags"][0], []).append(self.call(method, path, call))
        return {
            "groups": groups,
            "sent": [self.call("post", "your own address", each["post"])
                         for each in self.described["webhooks"].values()],
            "kinds": [{"name": name, "what": kind.get("description", ""), "fields": list(self.fields(kind))}
                      for name, kind in self.kinds.items() if "properties" in kind],
            "token": self.described["components"]["securitySchemes"]["shopToken"]["description"],
        }

    def call(self, method: str, path: str, call: Part) -> dict[str, Any]:
        bodies = call.get("requestBody", {}).get("content", {})
        schema = next((body["schema"] for body in bodies.values()), {})
        return {
            "id": call["operationId"], "method": method.upper(), "path": path, "summary": call["summary"],
            "what": call.get("description", ""), "media": " or ".join(bodies), "body": self.words(schema),
            "fields": list(self.fields(schema)),
            "parameters": [{**each, "words": self.words(each["schema"])} for each in call.get("parameters", ())],
            "answers": [self.answer(status, answer) for status, answer in sorted(call.get("responses", {}).items())],
        }

    def answer(self, status: str, answer: Part) -> dict[str, Any]:
        content = next(iter(answer.get("content", {}).values()), {})
        return {"status": status, "what": answer.get("description") or HTTPStatus(int(status)).phrase,
                "media": " or ".join(answer.get("content", {})), "body": self.words(content.get("schema", {}))}

    def fields(self, kind: Part) -> Iterator[dict[str, Any]]:
        for name, field in kind.get("properties", {}).items():
            yield {"name": name, "needed": name in kind.get("required", ()), "words": self.words(field),
                   "what": field.get("description", "")}

    def words(self, schema: Part) -> Words:
        """Return a field's type in words; one that names a kind says so, for a link to it."""
        if "$ref" in schema:
            name = schema["$ref"].rsplit("/", 1)[-1]
            return [{"word": name, "kind": name}] if "properties" in self.kinds[name] else self.words(self.kinds[name])
        for way, between in WAYS.items():
            if way in schema:
                each = [self.words(one) for one in schema[way] if one.get("maxLength") != 0 and one.get("enum") != [""]]
                return [word for place, one in enumerate(each) for word in ([{"word": between}] if place else []) + one]
        if schema.get("type") == "array":
            return [{"word": "list of"}, *self.words(schema.get("items", {}))]
        return [{"word": _plain(schema)}]


def _plain(schema: Part) -> str:
    if "enum" in schema:
        return " or ".join(f"'{value}'" for value in schema["enum"])
    kinds = schema.get("type", "anything")
    word = schema.get("format") or (" or ".join(kinds) if isinstance(kinds, list) else str(kinds))
    return f"{word}, up to {schema['maxLength']} signs" if "maxLength" in schema else word
