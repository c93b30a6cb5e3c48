"""The API does what its own description says: made-up requests, good and bad, get described answers and never a 5xx."""
from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.db import connections
from hypothesis import HealthCheck, Phase, given, settings
from schemathesis import GenerationMode
from schemathesis.specs.openapi.checks import ignored_auth, positive_data_acceptance

from deploy.wsgi import application
from intake.api_auth import TokenThrottle
from intake.models import Case
from tests.intake.test_the_shops_door import DOCUMENT, send

pytestmark = pytest.mark.django_db
EXAMPLES, OF_A_DOCUMENT = 4, 2
LEFT_OUT = [ignored_auth, positive_data_acceptance]
"""The first has its own test here; a document of the right form may still say nothing, which the engine tells."""
AWKWARD = ("%00", "9" * 40, "-1", "..%2F..", "%F0%9F%94%A7", "' OR 1=1 --", "%0D%0AX: y", "{{7*7}}")


@pytest.fixture(autouse=True)
def no_limit(monkeypatch: Any) -> None:
    monkeypatch.setattr(TokenThrottle, "rate", "100000/min")


@pytest.fixture
def api(db: None, monkeypatch: Any) -> Any:
    """The application as a server calls it; only the test's own connection outlives each request."""
    monkeypatch.setattr(connections["default"], "close_if_unusable_or_obsolete", lambda: None)
    return schemathesis.openapi.from_wsgi("/api/schema/?format=json", application)


def operations(api: Any) -> Iterator[Any]:
    """Those that end tokens come last."""
    yield from sorted((found.ok() for found in api.get_all_operations()), key=lambda one: "token" in one.path)


def ask_about(operation: Any, mode: GenerationMode, headers: dict[str, str], number: str = "") -> Counter[int]:
    most, seen = OF_A_DOCUMENT if "Document" in json.dumps(operation.definition.raw) else EXAMPLES, Counter[int]()

    @settings(max_examples=most, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
              suppress_health_check=list(HealthCheck))
    @given(case=operation.as_strategy(generation_mode=mode))
    def asked(case: Any) -> None:
        if number and "number" in case.path_parameters:
            case.path_parameters["number"] = number
        answer = case.call(headers=headers)
        case.validate_response(answer, excluded_checks=LEFT_OUT)
        seen[answer.status_code] += 1

    asked()
    return seen


def test_made_up_requests_get_described_answers_and_without_a_token_none_is_let_in(api, shop):
    number = send(shop).json()["number"]
    Case.objects.update(state="advised")
    mine, seen, shut_out = {"Authorization": f"Token {shop.token}"}, Counter[int](), Counter[int]()
    for operation in operations(api):
        shut_out += ask_about(operation, GenerationMode.POSITIVE, {"Authorization": "Token made-up"})
        seen += ask_about(operation, GenerationMode.POSITIVE, mine, number)
        seen += ask_about(operation, GenerationMode.NEGATIVE, mine, number)
    assert set(shut_out) <= {401, 404} and shut_out[401] > 4 * shut_out[404]  # where the address itself can be none
    assert seen.total() > 100 and seen[200] > 10 and seen[404] and max(seen) < 500


def test_awkward_parts_of_addresses_are_answered_politely(api, shop):
    shop.client.raise_request_exception = False
    for operation in operations(api):
        for part in AWKWARD:
            address = "/".join(part if "{" in one else one for one in operation.path.split("/"))
            names = [one["name"] for one in operation.definition.raw.get("parameters", ()) if one["in"] == "query"]
            query = "&".join(f"{name}={part}" for name in names)
            answer = getattr(shop.client, operation.method)(f"{address}?{query}")
            assert answer.status_code < 500, address
            assert answer.status_code < 400 or answer["Content-Type"] == "application/problem+json"


@pytest.mark.parametrize("document", [
    {"bike": {"mass_kg": 10**400}}, {"bike": {"mass_kg": -1e308}}, {"title": "\x00"}, {"bike": None},
    {"complaint": {"words": "\ud800"}},
    {"bike": {"year": 2**63}}, {"complaint": {"symptoms": [[]]}}])
def test_numbers_and_words_that_no_database_keeps_are_faults_or_made_harmless(shop, document):
    assert send(shop, document=DOCUMENT | document).status_code in (201, 400, 422)
