"""A real relay on a port of its own: "surely not taken" is told from "nobody can say"."""
from __future__ import annotations

import socket
from datetime import timedelta

import pytest
from django.utils import timezone

from intake.errors import Refused
from reports import services, sweeper
from reports.models import Delivery
from tests.letter_cases import PDF, approved_letter, tuner, use_fake_engine
from tests.relay import running_relay

pytestmark = pytest.mark.django_db
State = Delivery.State


@pytest.fixture
def relay(settings):
    with running_relay() as relay:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT, settings.EMAIL_TIMEOUT = "127.0.0.1", relay.port, 5
        yield relay


@pytest.fixture
def delivery(monkeypatch):
    use_fake_engine(monkeypatch)
    return services.queue_delivery(letter=approved_letter(), to="rider@example.org")


def deliver(delivery):
    state = services.deliver(delivery_id=delivery.pk, worker="worker-1")
    delivery.refresh_from_db()
    return state


def test_the_relay_gets_the_letter_whole(relay, delivery):
    assert deliver(delivery) == State.SENT
    [message] = relay.taken
    assert relay.recipients == ["rider@example.org"] and message["Message-ID"] == delivery.message_id
    kinds = [part.get_content_type() for part in message.walk() if not part.is_multipart()]
    assert kinds == ["text/plain", "text/html", "application/pdf"]
    assert next(message.iter_attachments()).get_content() == PDF


def test_a_refused_address_is_a_failure_with_the_relays_own_words(relay, delivery):
    relay.refuse["RCPT"] = "550 No such mailbox"
    assert deliver(delivery) == State.FAILED
    assert "No such mailbox (550)" in delivery.reason and not relay.taken


def test_a_refused_letter_is_a_failure(relay, delivery):
    relay.refuse["DATA"] = "554 Too large for us"
    assert deliver(delivery) == State.FAILED and "Too large for us (554)" in delivery.reason


@pytest.mark.parametrize("step", ["RCPT", "DATA"])
def test_a_relay_that_says_later_is_asked_again_after_a_rest_that_grows(relay, delivery, step):
    relay.refuse[step] = "451 Come back later"
    rests = []
    for _ in range(2):
        assert deliver(delivery) == State.QUEUED and "Come back later (451)" in delivery.reason
        assert deliver(delivery) == "", "not before its rest is over"
        rests.append(delivery.not_before - timezone.now())
        Delivery.objects.update(not_before=timezone.now())
    assert rests[0] < timedelta(minutes=1.01) < rests[1]
    relay.refuse.clear()
    assert deliver(delivery) == State.SENT and delivery.reason == "" and len(relay.taken) == 1


def test_a_relay_that_always_says_later_is_given_up(relay, delivery):
    relay.refuse["RCPT"] = "451 Come back later"
    states = []
    for _ in range(6):
        states.append(deliver(delivery))
        Delivery.objects.update(not_before=timezone.now())
    assert states == [State.QUEUED] * 4 + [State.FAILED, ""] and "Tried 5 times" in delivery.reason


def test_a_relay_that_is_not_there_is_asked_again(relay, delivery, settings):
    with socket.socket() as unused:
        unused.bind(("127.0.0.1", 0))
        settings.EMAIL_PORT = unused.getsockname()[1]
        assert deliver(delivery) == State.QUEUED
    assert "cannot be reached" in delivery.reason
    settings.EMAIL_PORT = relay.port
    Delivery.objects.update(not_before=timezone.now())
    assert deliver(delivery) == State.SENT and len(relay.taken) == 1


def test_a_relay_that_hangs_up_after_it_got_everything_leaves_it_unknown(relay, delivery):
    relay.hang_up_after_data = True
    assert deliver(delivery) == State.UNKNOWN and "went silent" in delivery.reason
    assert len(relay.taken) == 1
    sweeper.sweep()
    assert deliver(delivery) == "", "only a person sends it again"


def unknown(relay, delivery):
    relay.hang_up_after_data = True
    deliver(delivery)
    relay.hang_up_after_data = False
    return delivery


def test_a_person_can_say_that_it_arrived(relay, delivery):
    services.settle_unknown(delivery=unknown(relay, delivery), arrived=True, user=tuner())
    assert delivery.state == State.SENT and deliver(delivery) == "" and len(relay.taken) == 1


def test_a_person_can_have_it_sent_again_under_the_same_message_id(relay, delivery):
    services.settle_unknown(delivery=unknown(relay, delivery), arrived=False, user=tuner())
    assert deliver(delivery) == State.SENT
    assert relay.taken[0]["Message-ID"] == relay.taken[1]["Message-ID"]


def test_of_two_people_who_settle_it_the_second_is_told(relay, delivery):
    services.settle_unknown(delivery=unknown(relay, delivery), arrived=False, user=tuner())
    for arrived in (True, False):
        with pytest.raises(Refused, match="moved on"):
            services.settle_unknown(delivery=delivery, arrived=arrived, user=tuner("other-tuner"))
    assert delivery.state == State.QUEUED


def test_a_late_answer_of_a_slow_worker_still_settles_what_the_sweep_called_unknown(relay, delivery, monkeypatch):
    from reports.services import deliveries

    real = deliveries.hand_over

    def slow(message):
        Delivery.objects.update(claimed_until=timezone.now() - timedelta(seconds=1))
        sweeper.sweep()
        assert Delivery.objects.get().state == State.UNKNOWN
        return real(message)

    monkeypatch.setattr(deliveries, "hand_over", slow)
    assert deliver(delivery) == State.SENT


def test_a_mistake_of_ours_before_anything_was_offered_is_a_failure_and_not_unknown(relay, delivery, monkeypatch):
    from reports.services import deliveries

    monkeypatch.setattr(deliveries, "letter_message", lambda *args: 1 / 0)
    assert deliver(delivery) == State.FAILED and "division by zero" in delivery.reason


def test_an_unforeseen_error_while_sending_is_unknown(relay, delivery, monkeypatch):
    from reports.services import deliveries

    monkeypatch.setattr(deliveries, "hand_over", lambda message: {}["surprise"])
    assert deliver(delivery) == State.UNKNOWN and "surprise" in delivery.reason
