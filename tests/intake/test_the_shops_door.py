"""The shop's API: hand in once however often it is sent, read your own, and clear answers to everything else."""
from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.management import call_command
from django.urls import reverse

from analysis.findings_schema import findings_schema
from analysis.schema import case_schema
from intake import services
from intake.models import Case, ShopToken, WorkOrder

pytestmark = pytest.mark.django_db
CASES = "/api/cases/"
DOCUMENT = {"schema": 1, "complaint": {"words": "Stops dead"},
            "bike": {"mass_kg": {"value": "210 kg", "known": "measured"}}}


def send(system: Any, job: str = "W-123", document: Any = None, **more: Any) -> Any:
    body = {"job": job, "document": DOCUMENT if document is None else document, **more}
    return system.client.post(CASES, json.dumps(body), content_type="application/json")


def put(system: Any, number: str, document: Any) -> Any:
    body = json.dumps({"document": document})
    return system.client.put(f"{CASES}{number}/document/", body, content_type="application/json")


def problem(answer: Any, status: int) -> dict[str, Any]:
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
    body = answer.json()
    assert body["status"] == status and body["title"] and body["detail"]
    return body


def test_a_handed_in_job_is_a_case_that_waits_for_its_draft(shop):
    answer = send(shop, rider_email="rider@riders.example", rider_name="Rider")
    assert answer.status_code == 201
    shown = answer.json()
    assert (shown["job"], shown["state"], shown["round"], shown["stop_riding"]) == ("W-123", "handed in", 1, False)
    assert answer["Location"] == shown["address"] == f"{CASES}{shown['number']}/"
    case = Case.objects.get(number=shown["number"])
    assert (case.shop, case.rider_email, case.current_round.document) == (
        shop.shop, "rider@riders.example", DOCUMENT)
    assert WorkOrder.objects.get().round == case.current_round


def test_the_same_job_with_the_same_content_is_the_same_case(shop):
    first, again = send(shop), send(shop, document=dict(reversed(DOCUMENT.items())))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert Case.objects.count() == WorkOrder.objects.count() == 1


def test_the_same_job_sent_again_after_the_case_moved_on_is_still_the_same_case(shop, tuner):
    number = send(shop).json()["number"]
    services.ask_rider(case=Case.objects.get(), question="Which oil?", user=tuner.user)
    again = send(shop)
    assert (again.status_code, again.json()["number"], again.json()["state"]) == (200, number, "needs an answer")


@pytest.mark.parametrize("change", [
    {"document": DOCUMENT | {"rider": {"mass_kg": 85}}}, {"rider_email": "other@riders.example"}])
def test_the_same_job_with_other_content_is_a_conflict_that_says_what_to_do(shop, change):
    number = send(shop).json()["number"]
    body = problem(send(shop, **change), 409)
    assert body["case"] == number and number in body["detail"] and "new job number" in body["mend"]
    assert Case.objects.get().current_round.document == DOCUMENT


def test_two_shops_may_use_the_same_job_number(shop, other_shop):
    assert send(shop).json()["number"] != send(other_shop).json()["number"]


def test_two_hand_ins_at_the_same_moment_are_one_case(shop, monkeypatch):
    from intake.services import handing_in

    real, first = handing_in._known_job, []

    def look_before_the_other_is_stored(*args: Any) -> Any:
        if first:
            return real(*args)
        first.append(1)
        assert send(shop).status_code == 201
        return None

    monkeypatch.setattr(handing_in, "_known_job", look_before_the_other_is_stored)
    assert send(shop).status_code == 200
    assert Case.objects.count() == 1


def test_a_document_with_fifty_faults_gets_all_fifty_and_nothing_is_stored(shop):
    wrong = {"complaint": {"words": "Stops dead"}, "bike": {f"strange_{n}": n for n in range(48)} | {
        "mass_kg": "heavy", "rake_deg": "700 degrees"}}
    body = problem(send(shop, document=wrong), 422)
    assert len(body["faults"]) == 50 and "50 faults" in body["detail"]
    assert {"path", "problem", "mend"} == set(body["faults"][0])
    assert "bike.mass_kg" in {fault["path"] for fault in body["faults"]}
    assert not Case.objects.exists()
    assert send(shop).status_code == 201


@pytest.mark.parametrize("document", [[], "text", 7, None, {"bike": [1]}, {"a": {"b": {"c": {}}}}])
def test_what_is_no_case_document_is_answered_with_its_faults(shop, document):
    body = problem(shop.client.post(CASES, json.dumps({"job": "W-1", "document": document}),
                                    content_type="application/json"), 400 if document is None else 422)
    assert body["faults"]


def test_a_document_nested_without_end_is_a_fault_and_no_crash(shop):
    deep: dict[str, Any] = {}
    for _ in range(200):
        deep = {"bike": deep}
    assert "nested" in problem(send(shop, document=deep), 400)["faults"][0]["problem"]
    bomb = '{"job": "W-1", "document": ' + '{"a":' * 100_000 + "1" + "}" * 100_000 + "}"
    problem(shop.client.post(CASES, bomb, content_type="application/json"), 400)


@pytest.mark.parametrize("body, status", [
    ("{", 400), ("", 400), ("[]", 400), ('{"job": "W-1"}', 400), ('{"job": "", "document": {}}', 400),
    ('{"job": "' + "x" * 41 + '", "document": {}}', 400), ('{"job": "W", "document": {}, "rider_email": "x"}', 400),
    ('{"job": "W-1", "document": {"bike": {"mass_kg": NaN}}}', 400),
    ("\ufeff\ud83d".encode("utf-8", "surrogatepass"), 400),
    (b"x" * 1_000_001, 413)])
def test_a_request_that_cannot_be_used_is_told_why(shop, body, status):
    problem(shop.client.post(CASES, body, content_type="application/json"), status)
    assert not Case.objects.exists()


def test_another_media_type_is_named_as_the_problem(shop):
    problem(shop.client.post(CASES, "job=1", content_type="application/x-www-form-urlencoded"), 415)


def test_a_nul_byte_in_job_or_words_does_not_reach_the_database(shop):
    body = json.dumps({"job": "W\x001", "document": DOCUMENT | {"notes": "a\x00b"}})
    assert shop.client.post(CASES, body, content_type="application/json").status_code in (201, 400, 422)
    assert shop.client.get(CASES, {"job": "W\x00"}).status_code == 200


def test_a_shop_reads_and_lists_its_own_cases_only(shop, other_shop, rider):
    mine, theirs = send(shop).json(), send(other_shop).json()
    assert shop.client.get(mine["address"]).json() == mine
    for foreign in (theirs["address"], f"{CASES}{rider.case.number}/", f"{CASES}FB-NOSUCH/"):
        assert problem(shop.client.get(foreign), 404)["detail"] == "There is no such case."
    assert [case["number"] for case in shop.client.get(CASES).json()["results"]] == [mine["number"]]
    problem(put(shop, theirs["number"], DOCUMENT), 404)


def test_the_list_goes_page_by_page_newest_first_with_a_constant_number_of_queries(shop, django_assert_num_queries):
    for n in range(7):
        Case.objects.create(shop=shop.shop, shop_job=f"W-{n}").rounds.create(number=1)
    shop.client.get(CASES)  # notes that the token was used, which is done once a minute
    address, seen = f"{CASES}?size=3", []
    while address:
        with django_assert_num_queries(2):
            page = shop.client.get(address).json()
        seen += [case["job"] for case in page["results"]]
        address = page["next"]
    assert seen == [f"W-{n}" for n in range(6, -1, -1)]


def test_the_list_is_narrowed_by_state_and_job(shop):
    send(shop)
    Case.objects.create(shop=shop.shop, shop_job="W-9").rounds.create(number=1)
    assert [c["job"] for c in shop.client.get(CASES, {"state": "handed in"}).json()["results"]] == ["W-123"]
    assert [c["job"] for c in shop.client.get(CASES, {"job": "W-9"}).json()["results"]] == ["W-9"]
    problem(shop.client.get(CASES, {"state": "lost"}), 400)
    problem(shop.client.get(CASES, {"cursor": "nonsense"}), 404)


def test_a_case_that_needs_an_answer_is_corrected_and_handed_in_again(shop, tuner):
    number = send(shop).json()["number"]
    services.ask_rider(case=Case.objects.get(), question="Which oil?", path="service", user=tuner.user)
    shown = shop.client.get(f"{CASES}{number}/").json()
    assert (shown["question"], shown["question_place"]) == ("Which oil?", "service")
    better = DOCUMENT | {"rider": {"mass_kg": 85}}
    for answer in (put(shop, number, better), put(shop, number, better)):
        assert (answer.status_code, answer.json()["state"], answer.json()["question"]) == (200, "handed in", "")
    assert Case.objects.get().current_round.document == better
    assert WorkOrder.objects.get().revision == Case.objects.get().current_round.revision


def test_a_bad_correction_leaves_what_was_there(shop, tuner):
    number = send(shop).json()["number"]
    services.ask_rider(case=Case.objects.get(), question="Which oil?", user=tuner.user)
    problem(put(shop, number, {"bike": {"mass_kg": "heavy"}}), 422)
    case = Case.objects.get()
    assert (case.state, case.current_round.document) == ("needs an answer", DOCUMENT)


def test_a_correction_out_of_its_time_is_a_conflict(shop):
    number = send(shop).json()["number"]
    body = problem(put(shop, number, DOCUMENT | {"rider": {"mass_kg": 85}}), 409)
    assert "handed in" in body["detail"] and body["mend"]


@pytest.mark.parametrize("header", [None, "", "Token", "Token ", "Token wrong", "Basic dXNlcjpwYXNz", "Bearer \u00e9"])
def test_without_a_good_token_nothing_is_shown(stranger, shop, header):
    headers = {} if header is None else {"authorization": header}
    answer = stranger.client.get(CASES, headers=headers)
    problem(answer, 401)
    assert answer["WWW-Authenticate"] == "Token"


def test_bearer_is_taken_too(stranger, shop):
    assert stranger.client.get(CASES, headers={"authorization": f"bearer {shop.token}"}).status_code == 200


def test_a_revoked_token_is_no_token(shop):
    services.revoke_shop_token(shop_name=shop.shop.name, name="counter")
    problem(shop.client.get(CASES), 401)


def test_a_token_that_may_read_cannot_hand_in(shop):
    ShopToken.objects.update(scope="read")
    assert shop.client.get(CASES).status_code == 200
    assert "hand in" in problem(send(shop), 403)["detail"]
    assert not Case.objects.exists()


def test_a_signed_in_tuner_has_no_way_in_here(tuner):
    problem(tuner.client.get(CASES), 401)


def test_too_many_requests_are_told_how_long_to_wait(shop, other_shop, monkeypatch):
    monkeypatch.setattr("intake.api_auth.TokenThrottle.rate", "2/min")
    assert [shop.client.get(CASES).status_code for _ in range(2)] == [200, 200]
    answer = shop.client.get(CASES)
    problem(answer, 429)
    assert 0 < int(answer["Retry-After"]) <= 61
    assert other_shop.client.get(CASES).status_code == 200


def test_the_description_is_valid_and_holds_the_case_documents_own_schema(capsys):
    from drf_spectacular.generators import SchemaGenerator
    from drf_spectacular.validation import validate_schema

    described = SchemaGenerator().get_schema(request=None, public=True)
    validate_schema(described)
    parts = described["components"]["schemas"]
    assert parts["CaseDocument"]["properties"].keys() == case_schema()["properties"].keys()
    assert parts["FindingsDocument"]["properties"].keys() == findings_schema()["properties"].keys()
    findings = parts["FindingsOut"]["properties"]["findings"]
    assert findings["allOf"] == [{"$ref": "#/components/schemas/FindingsDocument"}]
    hand_in = described["paths"][reverse("api-cases")]["post"]
    assert {"200", "201", "401", "409", "422"} <= set(hand_in["responses"])
    references = [part for part in json.dumps(described).split('"') if part.startswith("#/")]
    for reference in set(references):
        at: Any = described
        for key in reference[2:].split("/"):
            at = at[key]
    assert "#/components/schemas/CaseDocument" in references


def test_the_command_makes_a_shop_and_a_token_that_works_and_shows_it_once(stranger, capsys):
    call_command("shop-token", "New shop", "--scope", "read")
    token = capsys.readouterr().out.strip()
    assert stranger.client.get(CASES, headers={"authorization": f"Token {token}"}).status_code == 200
    assert token not in str(list(ShopToken.objects.values()))
    call_command("shop-token", "New shop", "--revoke")
    assert stranger.client.get(CASES, headers={"authorization": f"Token {token}"}).status_code == 401


def test_the_command_says_what_is_wrong(capsys):
    from django.core.management.base import CommandError

    call_command("shop-token", "New shop")
    with pytest.raises(CommandError, match="another name"):
        call_command("shop-token", "New shop")
    with pytest.raises(CommandError, match="no token"):
        call_command("shop-token", "New shop", "--name", "other", "--revoke")
