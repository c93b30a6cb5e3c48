"""At the counter a shop forwards a job on one page, sees its own jobs alone, and gets the technical sheet back."""
from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from intake import services
from intake.models import Case, PhotoUpload, ShopToken, WorkOrder
from reports.models import Draft
from tests.intake.test_a_shop_sends_rounds_and_photos import picture
from tests.letter_cases import approved_letter, drafted_letter, handed_in, use_fake_engine
from tests.reports.test_pdf import SERVICE

pytestmark = pytest.mark.django_db
JOB = {
    "job": "W-12", "rider_name": "Blue helmet", "complaint.words": "Rock hard since the oil change",
    "fork.damper": "damper rod", "fork.springing": "coil", "service.done": ["oil"], "service.by": "workshop",
    "service.filled": "level set", "fork.left.oil_level_mm": "130", "fork.left.oil_level_mm~unit": "mm",
    "fork.left.oil_level_mm~known": "measured", "bench.oil.condition": "extended spring out",
    "bench.run_out.left_tube_mm": "0.04", "bench.run_out.result": "within", "same_as_left": "1", "hand_in": "1",
}


def forward(person: Any, **changes: Any) -> Any:
    return person.client.post(reverse("shop-new"), JOB | changes)


def page(person: Any, name: str, case: Case, **query: str) -> Any:
    return person.client.get(reverse(name, args=[case.number]), query)


def test_a_job_is_forwarded_with_how_it_was_filled_and_what_was_measured(counter):
    assert counter.client.get(reverse("shop-new")).status_code == 200
    answer = forward(counter)
    case = Case.objects.get()
    assert answer["Location"] == reverse("shop-case", args=[case.number])
    assert (case.shop, case.shop_job, case.state, case.rider_name) == (counter.shop, "W-12", "handed in", "Blue helmet")
    document = case.current_round.document
    assert document["fork"]["left"]["oil_level_mm"] == document["fork"]["right"]["oil_level_mm"]
    assert document["bench"]["oil"]["condition"] == "extended spring out" and "workshop" in document["rider"]["can"]
    assert document["bench"]["run_out"]["result"] == "within"
    assert WorkOrder.objects.count() == 1


def test_a_doubled_click_is_one_job_and_the_same_number_with_other_words_is_named(counter):
    forward(counter), forward(counter)
    case = Case.objects.get()
    again = forward(counter, **{"complaint.words": "Something else"})
    assert again.status_code == 409 and case.number in again.content.decode()
    assert "Something else" in again.content.decode()


def test_what_is_wrong_is_named_at_its_field_and_nothing_typed_is_lost(counter):
    answer = forward(counter, **{"fork.left.oil_level_mm": "very low", "job": "W-13"})
    words = answer.content.decode()
    assert answer.status_code == 422 and not Case.objects.exists()
    assert 'value="very low"' in words and 'value="W-13"' in words and 'href="#fork-left-oil_level_mm"' in words
    assert "Rock hard since the oil change" in words


@pytest.mark.parametrize("changes", [{"job": ""}, {"job": "x" * 41}, {"rider_email": "no address"},
                                     {"complaint.words": ""}, {"job": "a\x00"}, {"bench.oil.condition": "\x00"}])
def test_a_job_that_cannot_be_is_refused_kindly(counter, changes):
    assert forward(counter, **changes).status_code in (302, 422)


def test_a_job_kept_open_is_handed_in_when_its_card_is_sent_once_more_to_be_handed_in(counter):
    forward(counter, wait="1")
    assert Case.objects.get().state == "collecting"
    answer = forward(counter)  # back in the browser, and the other button
    case = Case.objects.get()
    assert answer["Location"] == reverse("shop-case", args=[case.number])
    assert case.state == "handed in" and WorkOrder.objects.count() == 1


def test_a_job_can_be_kept_open_for_photos_and_handed_in_later(counter):
    sent = {name: value for name, value in JOB.items() if name != "hand_in"}
    answer = counter.client.post(reverse("shop-new"), sent | {"wait": "1"})
    case = Case.objects.get()
    assert answer["Location"].startswith(reverse("shop-answers", args=[case.number])) and case.state == "collecting"
    shown = page(counter, "shop-answers", case)
    assert shown.status_code == 200 and "Rock hard" in shown.content.decode()
    revision = case.current_round.revision
    done = counter.client.post(reverse("shop-answers", args=[case.number]), {
        "revision": revision, "bike.mass_kg": "210", "hand_in": "1"})
    assert done.status_code == 302
    case.refresh_from_db()
    assert case.state == "handed in" and case.current_round.document["bike"]["mass_kg"]


def test_a_page_left_open_since_another_round_is_asked_about_and_not_taken_for_this_one(counter):
    forward(counter, wait="1")
    case = Case.objects.get()
    shown = page(counter, "shop-answers", case).content.decode()
    assert shown.count('name="round" value="1"') == 2  # the answers and the photos
    services.hand_in(round=case.current_round, who="shop")
    Case.objects.update(state="advised")
    services.open_next_round(case=Case.objects.get(), who="rider")
    before = case.current_round.document
    late = {"round": "1", "revision": "1", "bench.run_out.left_tube_mm": "0.31", "hand_in": "1"}
    answer = counter.client.post(reverse("shop-answers", args=[case.number]), late)
    words = answer.content.decode()
    assert answer.status_code == 409 and 'value="0.31"' in words and "another round" in words
    photo = SimpleUploadedFile("x.jpg", picture())
    answer = counter.client.post(reverse("shop-photo-add", args=[case.number]), {
        "round": "1", "place": "look", "photo": photo})
    assert answer.status_code == 409 and "another round" in answer.content.decode()
    case.refresh_from_db()
    assert (case.state, case.current_round.document) == ("collecting", before)
    assert not PhotoUpload.objects.exists()


def test_a_file_that_is_no_photo_does_not_keep_out_those_that_came_with_it(counter):
    forward(counter, wait="1")
    case = Case.objects.get()
    files = [SimpleUploadedFile("x.jpg", data) for data in (picture(), b"no picture", picture(), picture())]
    answer = counter.client.post(reverse("shop-photo-add", args=[case.number]), {"place": "look", "photo": files})
    words = answer.content.decode()
    assert answer.status_code == 409 and "not a photo" in words and "3 of 4 photos are here" in words
    assert PhotoUpload.objects.filter(whole_since__isnull=False).count() == 3


def test_the_tuners_question_is_answered_on_its_own_page(counter, tuner):
    forward(counter)
    case = Case.objects.get()
    services.ask_rider(case=case, question="How was the leg when you measured?", path="oil", user=tuner.user)
    shown = page(counter, "shop-case", case).content.decode()
    assert "How was the leg" in shown and "?page=oil" in shown
    form = page(counter, "shop-answers", case, page="oil").content.decode()
    assert "bench.oil.condition" in form and "service.filled" not in form
    counter.client.post(reverse("shop-answers", args=[case.number]) + "?page=oil", {
        "revision": case.current_round.revision, "bench.oil.condition": "compressed spring out", "hand_in": "1"})
    case.refresh_from_db()
    assert case.state == "handed in"
    assert case.current_round.document["bench"]["oil"]["condition"] == "compressed spring out"
    assert str(case.events.filter(what="Answers saved.").last().who) == f"shop: {counter.shop}, anna"


def test_the_queue_shows_the_shops_own_jobs_alone(counter, other_counter, rider):
    forward(counter), forward(other_counter, job="W-99")
    for person, own, foreign in ((counter, "W-12", "W-99"), (other_counter, "W-99", "W-12")):
        shown = person.client.get(reverse("shop-queue")).content.decode()
        assert own in shown and foreign not in shown and rider.case.number not in shown
    assert "W-12" in counter.client.get(reverse("shop-queue"), {"job": "12"}).content.decode()
    assert "No job fits" in counter.client.get(reverse("shop-queue"), {"state": "closed"}).content.decode()


def test_the_queue_goes_page_by_page_with_few_queries(counter, django_assert_max_num_queries):
    for number in range(53):
        Case.objects.create(shop=counter.shop, shop_job=f"J-{number}")
    with django_assert_max_num_queries(6):
        first = counter.client.get(reverse("shop-queue")).content.decode()
    older = re.search(r'href="\?([^"]*after=\d+)"', first)
    assert older and "J-52" in first and "J-2<" not in first
    assert "J-2<" in counter.client.get(f"{reverse('shop-queue')}?{older[1].replace('&amp;', '&')}").content.decode()


def test_after_approval_the_case_shows_the_numbers_the_sheet_and_the_riders_letter(monkeypatch, counter, other_counter):
    use_fake_engine(monkeypatch, service=SERVICE)
    case = approved_letter(handed_in(shop=counter.shop, shop_job="W-5")).round.case
    shown = page(counter, "shop-case", case).content.decode()
    assert "Level to set" in shown and "What the rider reads" in shown and "too much oil" in shown
    for name in ("shop-sheet-pdf", "shop-letter-pdf"):
        assert page(counter, name, case)["Content-Type"] == "application/pdf"
        assert page(other_counter, name, case).status_code == 404


def test_before_approval_no_findings_leave_the_house_but_a_stop_sign_does(monkeypatch, counter):
    use_fake_engine(monkeypatch, service=SERVICE, stop_riding=True, stop_reasons=[
        {"name": "crack", "end": "front", "reason": "There is a crack.", "do": "Do not ride."}])
    case = drafted_letter(handed_in(shop=counter.shop)).round.case
    shown = page(counter, "shop-case", case).content.decode()
    assert "There is a crack." in shown and "Level to set" not in shown and "Too much oil" not in shown
    approved = approved_letter(handed_in(shop=counter.shop, shop_job="W-6")).round.case
    shown = page(counter, "shop-case", approved).content.decode()
    assert "Stop: do not ride" in shown and "Level to set" not in shown and "How likely" not in shown


def test_a_stop_sign_that_comes_after_the_letter_takes_its_advice_away(monkeypatch, counter, shop):
    use_fake_engine(monkeypatch, service=SERVICE)
    case = approved_letter(handed_in(shop=counter.shop)).round.case
    Case.objects.update(stop=True)
    shown = page(counter, "shop-case", case).content.decode()
    assert "Stop: do not ride" in shown and "Level to set" not in shown and "What the rider reads" not in shown
    for name in ("shop-sheet-pdf", "shop-letter-pdf"):
        assert page(counter, name, case).status_code == 404
    for name in ("api-service-sheet", "api-service-sheet-pdf", "api-letter", "api-letter-pdf"):
        assert "do not ride" in shop.client.get(reverse(name, args=[case.number])).json()["detail"]


def test_without_the_stop_the_draft_stays_inside(monkeypatch, counter):
    use_fake_engine(monkeypatch, service=SERVICE)
    case = drafted_letter(handed_in(shop=counter.shop)).round.case
    assert "too much oil" not in page(counter, "shop-case", case).content.decode().lower()
    assert page(counter, "shop-sheet-pdf", case).status_code == 404 and Draft.objects.exists()


def test_after_the_work_the_next_round_opens_with_what_was_done(monkeypatch, counter):
    use_fake_engine(monkeypatch)
    case = approved_letter(handed_in(shop=counter.shop)).round.case
    counter.client.post(reverse("shop-next-round", args=[case.number]), {"done": "exactly", "changes": "78 to 140 mm"})
    case.refresh_from_db()
    assert case.state == "collecting"
    assert (case.current_round.number, case.current_round.changes) == (2, "78 to 140 mm")
    counter.client.post(reverse("shop-next-round", args=[case.number]))  # an old page, sent with nothing on it
    assert (case.current_round.changes, case.current_round.done) == ("78 to 140 mm", "exactly")


def test_a_token_is_made_renewed_and_ended_at_the_counter(counter, other_counter):
    address = reverse("shop-tokens")
    made = counter.client.post(address, {"name": "till", "scope": "read"}).content.decode()
    token = re.search(r"<code>([^<]+)</code>", made)[1]
    assert Client(headers={"authorization": f"Token {token}"}).get("/api/cases/").status_code == 200
    assert token not in counter.client.get(address).content.decode()
    row = ShopToken.objects.get(name="till")
    renewed = counter.client.post(reverse("shop-token-renew", args=[row.pk]), {"overlap_hours": "1"}).content.decode()
    assert "<code>" in renewed and "until" in renewed
    for person, status in ((other_counter, 404), (counter, 302)):
        assert person.client.post(reverse("shop-token-revoke", args=[row.pk])).status_code == status
    assert Client(headers={"authorization": f"Token {token}"}).get("/api/cases/").status_code == 401
    assert counter.client.post(address, {"name": "till", "scope": "read"}).status_code == 409


def test_the_command_makes_a_sign_in_that_works_and_ends_it(capsys):
    call_command("shop-user", "New shop", "carla")
    password = capsys.readouterr().out.strip()
    client, address = Client(), reverse("shop-sign-in")
    come_in = {"username": "carla", "password": password}
    assert client.post(address, come_in)["Location"] == reverse("shop-queue")
    assert client.get(reverse("shop-queue")).status_code == 200
    assert client.get(reverse("queue")).status_code == 302
    call_command("shop-user", "New shop", "carla", "--end")
    assert client.get(reverse("shop-queue")).status_code == 302


def test_a_tuner_is_no_shop_and_a_stranger_is_asked_to_sign_in(tuner, stranger):
    for somebody in (tuner, stranger):
        assert somebody.client.get(reverse("shop-new"))["Location"].startswith(reverse("shop-sign-in"))
