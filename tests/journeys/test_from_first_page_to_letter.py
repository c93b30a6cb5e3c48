"""One case, from the rider's first page to the letter in the rider's mailbox, with nothing replaced."""
import re
import time

import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = pytest.mark.browser

EMAIL = "rider@riders.example"
SENTENCE = "Change nothing else until you have measured again, and write to me."
FIRST = {"complaint.words": "Since the oil change it stops dead two thirds of the way down.",
         "complaint.symptoms": ["will not use travel", "stops hard"], "complaint.since": "same day as a job",
         "checklist~none": "1", "service.done": ["oil"], "service.by": "workshop", "bike.kind": "road",
         "bike.mass_kg": {"value": "441 lb", "known": "documented"},
         "rider.mass_kg": {"value": "85", "known": "measured"}, "fork.damper": "damper rod",
         "rider.can": ["helper", "stand", "tape", "ride"]}
BIKE = {"bike.front_share": {"value": "49 %", "known": "guessed"},
        "bike.rake_deg": {"value": "24", "known": "documented"}}
SERVICE = {"service.filled": "drained", "service.pumped": False}
FORK = {"fork.layout": "right way up", "fork.travel_mm": {"value": "5,51 in", "known": "documented"}}
LEGS = {"fork.left.stanchion_diameter_mm": {"value": "41", "known": "measured"},
        "fork.left.bore_diameter_mm": {"value": "36", "known": "documented"},
        "fork.left.oil_level_book_mm": {"value": "140", "known": "documented"},
        "fork.left.oil_volume_ml": {"value": "540", "known": "remembered"},
        "fork.left.oil_volume_book_ml": {"value": "520", "known": "documented"}, "same_as_left": "1"}
SPRINGS = {f"fork.{side}.{name}": {"value": value, "known": "documented"} for side in ("left", "right")
           for name, value in (("spring.rate_n_per_mm", "8.5"), ("preload_fixed_mm", "15"))}
SAG = {"bench.sag.extended_mm": "152", "bench.sag.free_from_below_mm": "124", "bench.sag.free_from_above_mm": "132",
       "bench.sag.rider_from_below_mm": "110", "bench.sag.rider_from_above_mm": "118"}
PUSH = {"bench.push.quick_stroke_mm": "62", "bench.push.end_feel": "stops dead", "bench.push.rear_wheel": "lifts",
        "bench.push.came_back": "yes"}
TRAVEL = {"bench.travel.used_mm": "96", "bench.travel.end_feel": "stops dead", "bench.travel.repeats": "same"}
FORM = [("The bike", BIKE), ("What was serviced", SERVICE), ("The fork", FORK), ("Oil and tubes, leg by leg", LEGS),
        ("Springs and preload, leg by leg", SPRINGS)]
TESTS = [("Free sag and rider sag, from above and from below", SAG), ("Push with the front brake held", PUSH),
         ("Travel used on a ride", TRAVEL)]


@pytest.fixture(scope="module")
def handed_in(browser, trial, relay):
    """The rider's part, on two phones, the second without JavaScript; returns that phone and the case's number."""
    first = people.phone(browser, trial)
    people.start_case(first, "Rider", EMAIL)
    people.fill(first, FIRST)
    people.press(first, "Save and show all pages")
    for station, answers in FORM:
        people.answer(first, station, answers)
    link = _link_in(_mails(relay, 1)[0])
    second = people.phone(browser, trial, java_script_enabled=False)
    people.enter(second, link)
    for station, answers in TESTS:
        people.answer(second, station, answers)
    people.press(second, "Check and hand in")
    people.press(second, "Hand in")
    expect(second.get_by_role("heading", level=1)).to_have_text("Received")
    assert first.problems == second.problems == []
    return second, second.locator("p.number").inner_text().strip()


def _mails(relay, count):
    """The mails to this rider, once there are so many."""
    end = time.monotonic() + 30
    while len(found := [mail for mail in relay.taken if mail["To"] == EMAIL]) < count:
        assert time.monotonic() < end, f"{len(found)} mails, not {count}"
        time.sleep(0.05)
    return found


def _link_in(mail):
    return re.search(r"http\S+/link/\S+", mail.get_body(("plain",)).get_content())[0]


def test_the_letter_that_was_approved_is_the_letter_that_arrives(handed_in, browser, trial, relay):
    phone, number = handed_in
    tuner = people.desk(browser, trial)
    people.sign_in(tuner, trial)
    people.until_there(tuner, f"/desk/case/{number}/", tuner.locator("article.paper"))
    assert len(_mails(relay, 1)) == 1, "something was mailed before it was approved"
    people.press(tuner, "Edit")
    people.press(tuner, "Write it as one text")
    words = tuner.locator("textarea#text")
    words.fill(f"{words.input_value().strip()}\n\n{SENTENCE}\n")
    people.press(tuner, "Preview")
    expect(tuner.locator("article.paper")).to_contain_text(SENTENCE)
    people.press(tuner, "Save")
    tuner.wait_for_url(lambda address: address.endswith("#letter"))
    tuner.goto(f"/desk/case/{number}/")
    people.press(tuner, "Approve version 2")
    expect(tuner.get_by_label("Send it to")).to_have_value(EMAIL)
    people.press(tuner, "Send")
    people.press(tuner, "Send it now")
    _mail_is_the_letter(_mails(relay, 2)[1])
    people.until_there(tuner, tuner.url, tuner.locator(".delivery-sent"))
    expect(tuner.locator(".delivery-sent")).to_contain_text(f"Sent to {EMAIL}")
    phone.goto(f"/{number}/")
    people.press(phone, "Read the letter")
    expect(phone.locator("article")).to_contain_text(SENTENCE)
    assert tuner.problems == phone.problems == []
    assert len(_mails(relay, 2)) == relay.recipients.count(EMAIL) == 2


def _mail_is_the_letter(mail):
    assert mail["To"] == EMAIL and mail["Message-ID"]
    for kind in ("plain", "html"):
        assert SENTENCE in " ".join(mail.get_body((kind,)).get_content().split())
    (pdf,) = [part for part in mail.iter_attachments() if part.get_content_type() == "application/pdf"]
    assert pdf.get_content().startswith(b"%PDF-")
