"""A rider has a case erased: nothing of the person is left in any table or file, and one anonymous line stays."""
from __future__ import annotations

import base64
from pathlib import Path

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.urls import reverse
from PIL import Image

from intake import services as cases
from intake.links import enter
from intake.models import Case, Erased, Photo, Round, WorkOrder
from intake.photo_making import add_photo_at_once
from reports import services
from reports.models import Delivery
from tests.letter_cases import approved_letter, handed_in, use_fake_engine

pytestmark = pytest.mark.django_db
MARKER = "Quillfeather"
"""In everything that this rider ever typed."""


@pytest.fixture(autouse=True)
def engine(monkeypatch):
    use_fake_engine(monkeypatch, text=f"Dear {MARKER}, the oil.")


def jpeg(tmp_path: Path) -> SimpleUploadedFile:
    Image.new("RGB", (40, 30), "grey").save(tmp_path / "a.jpg")
    return SimpleUploadedFile("a.jpg", (tmp_path / "a.jpg").read_bytes(), "image/jpeg")


@pytest.fixture
def case(tmp_path) -> Case:
    """A case with a bit of everything: answers, photo, link, question, draft, letter, queued mail, second round."""
    case = cases.start_case(rider_name=MARKER, rider_email=f"{MARKER.lower()}@riders.example", title=f"{MARKER}'s bike")
    round = cases.save_answers(round=case.current_round, answers={"complaint.words": f"{MARKER} says it is hard."})
    add_photo_at_once(round=round, place="look", upload=jpeg(tmp_path), caption=MARKER)
    order = cases.hand_in(round=round, who="rider")
    letter = approved_letter(order)
    services.queue_delivery(letter=letter, to=case.rider_email)
    case.refresh_from_db()
    second = cases.open_next_round(case=case, who="rider")
    cases.save_changes(round=second, words=f"{MARKER} drew off 100 ml.")
    Round.objects.filter(pk=second.pk).update(offered={"answers": {"bike.description": MARKER}})
    Case.objects.filter(pk=case.pk).update(outcome="over-filled", outcome_words=f"{MARKER} is happy")
    return case


def everything_kept() -> str:
    """Return every cell of every table as text, whether a model knows the table or not."""
    cells = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            cells += [_text(cell) for row in cursor.fetchall() for cell in row]
    return "\n".join(cells).lower()


def _text(cell: object) -> str:
    if not isinstance(cell, bytes | memoryview):
        return str(cell)
    plain = bytes(cell)
    return plain.decode("utf-8", "replace") + base64.b64encode(plain).decode()


def files(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_nothing_of_the_person_is_left(case, settings, django_capture_on_commit_callbacks):
    assert MARKER.lower() in everything_kept()
    with django_capture_on_commit_callbacks(execute=True):
        cases.erase_case(case=case, typed=case.number)
        assert files(settings.MEDIA_ROOT)  # not before the commit
    left = everything_kept()
    assert MARKER.lower() not in left and not files(settings.MEDIA_ROOT)
    gone = Erased.objects.get()
    assert (gone.number, gone.outcome) == (case.number, "over-filled")
    assert not Case.objects.exists() and not Photo.objects.exists()


def test_waiting_mail_is_never_sent_and_waiting_work_never_done(case):
    delivery = Delivery.objects.get()
    order = handed_in()
    cases.erase_case(case=case, typed=case.number)
    cases.erase_case(case=order.round.case, typed=order.round.case.number)
    mail.outbox.clear()
    assert services.deliver(delivery_id=delivery.pk, worker="w") == "" and mail.outbox == []
    assert services.draft_round(order_id=order.pk, worker="w") is None and not WorkOrder.objects.exists()


def test_a_case_erased_while_its_letter_is_being_sent_troubles_no_worker(case, monkeypatch):
    from reports.services import deliveries

    def erased_meanwhile(message):
        cases.erase_case(case=case, typed=case.number)
        return deliveries.Outcome(deliveries.SENT)

    Case.objects.filter(pk=case.pk).update(state=Case.State.ADVISED)
    monkeypatch.setattr(deliveries, "hand_over", erased_meanwhile)
    assert services.deliver(delivery_id=Delivery.objects.get().pk, worker="w") == ""


def test_a_case_erased_while_it_is_being_drafted_troubles_no_worker(monkeypatch):
    from reports.services import drafting

    order, compute = handed_in(), drafting.compute

    def erased_meanwhile(round):
        cases.erase_case(case=round.case, typed=round.case.number)
        return compute(round)

    monkeypatch.setattr(drafting, "compute", erased_meanwhile)
    assert services.draft_round(order_id=order.pk, worker="w") is None and Erased.objects.count() == 1


def test_the_files_stay_where_the_transaction_fails(case, settings, monkeypatch):
    from intake.signals import case_erasing

    def fails(**kwargs):
        raise RuntimeError("no")

    case_erasing.connect(fails)
    try:
        with pytest.raises(RuntimeError):
            cases.erase_case(case=case, typed=case.number)
    finally:
        case_erasing.disconnect(fails)
    assert files(settings.MEDIA_ROOT) and Case.objects.exists() and not Erased.objects.exists()


def test_a_number_is_never_given_twice(case, monkeypatch):
    number = case.number
    cases.erase_case(case=case, typed=number)
    numbers = iter([number, "FB-NEWONE"])
    monkeypatch.setattr(Case._meta.get_field("number"), "default", lambda: next(numbers))
    monkeypatch.setattr(Case._meta.get_field("number"), "_get_default", lambda: next(numbers))
    assert cases.start_case().number == "FB-NEWONE"


class TestOnThePage:
    @pytest.fixture
    def client(self, client, case):
        session = client.session
        enter(token=cases.new_link(case=case), session=session)
        session.save()
        client.cookies["sessionid"] = session.session_key
        return client

    def url(self, case, name="erase"):
        return reverse(name, args=[case.number])

    def test_a_get_and_a_wrong_number_erase_nothing(self, client, case):
        assert client.get(self.url(case)).status_code == 200
        answer = client.post(self.url(case), {"number": "FB-WRONG1"})
        assert answer.status_code == 422 and "Nothing was erased" in answer.content.decode()
        assert Case.objects.filter(pk=case.pk).exists()

    def test_the_typed_number_erases_it_and_a_second_click_does_no_harm(self, client, case):
        token = cases.new_link(case=case)
        for _ in range(2):
            answer = client.post(self.url(case), {"number": f" {case.number.lower()} "}, follow=True)
            assert answer.status_code == 200 and answer.redirect_chain[-1][0] == reverse("home")
        assert client.get(self.url(case, "case-page")).status_code == 404
        assert client.get(reverse("open-link", args=[token])).status_code == 410

    def test_nobody_else_can(self, case, stranger, other_rider, other_tuner):
        for who in (stranger, other_rider, other_tuner):
            assert who.client.post(self.url(case), {"number": case.number}).status_code == 404
        assert Case.objects.filter(pk=case.pk).exists()

    def test_the_desk_says_that_it_is_erased_and_what_it_was(self, case, other_tuner):
        cases.erase_case(case=case, typed=case.number)
        shown = other_tuner.client.get(self.url(case, "desk-case"))
        assert shown.status_code == 410 and "Too much oil" in shown.content.decode()
        assert "was erased" in other_tuner.client.get(reverse("queue"), {"q": case.number}).content.decode()
