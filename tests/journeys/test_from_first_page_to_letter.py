"""One case, from the rider's first page to the letter in the rider's mailbox, with nothing replaced."""
import re
import time

import pytest
from playwright.sync_api import expect

from tests.journeys import people

pytestmark = pytest.mark.browser

EMAIL = "rider@riders.example"
SENTENCE = "Change nothing else until you have measured again, and write to me."
COMPLAINT = {"complaint.words": "Since the oil change it stops dead two thirds of the way down.",
             "complaint.symptoms": ["will not use travel", "stops hard"], "complaint.since": "same day as a job"}
SAFE = {f"safety.{sign}": False for sign in ("oil_on_brake", "crack_or_crease", "bent_or_off_centre", "cap_damaged",
                                             "stuck_down", "brake_weak")}
BIKE = {"bike.kind": "road", "bike.mass_kg": {"value": "441 lb", "known": "documented"},
        "bike.front_share": {"value": "49 %", "known": "guessed"},
        "bike.rake_deg": {"value": "24", "known": "documented"}}
RIDER = {"rider.mass_kg": {"value": "85", "known": "measured"}, "rider.can": ["helper", "stand", "tape", "ride"]}
SERVICE = {"service.done": ["oil"], "service.by": "workshop", "service.filled": "drained", "service.pumped": False}
FORK = {"fork.layout": "right way up", "fork.damper": "damper rod",
        "fork.travel_mm": {"value": "5,51 in", "known": "documented"}}
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
FORM = [("What bothers you", COMPLAINT), ("Safe to ride?", SAFE), ("The bike", BIKE), ("The rider", RIDER),
        ("What was serviced", SERVICE), ("The fork", FORK), ("Oil and tubes, leg by leg", LEGS),
        ("Springs and preload, leg by leg", SPRINGS)]
TESTS = [("Free sag and rider sag, from above and from below", SAG), ("Push with the front brake held", PUSH),
         ("Travel used on a ride", TRAVEL)]


@pytest.fixture(scope="module")
def handed_in(browser, trial, relay):
    """The rider's part, on two phones, the second without JavaScript; returns that phone and the case's number."""
    first = people.phone(browser, trial)
    people.start_case(first, "Rider", EMAIL)
    for station, answers in FORM:
        people.answer(first, station, answers)
    link = _link_in(_mail(relay, 1))
    second = people.phone(browser, trial, java_script_enabled=False)
    second.goto(link)
    people.press(second, second.get_by_role("button").first.inner_text())
    for station, answers in TESTS:
        people.answer(second, station, answers)
    people.press(second, "Check and hand in")
    people.press(second, "Hand in")
    expect(second.get_by_role("heading", level=1)).to_have_text("Received")
    assert first.problems == second.problems == []
    return second, second.locator("p.number").inner_text().strip()


def _mail(relay, count):
    """The relay's mails, once there are so many."""
    end = time.monotonic() + 30
    while len(relay.taken) < count:
        assert time.monotonic() < end, f"{len(relay.taken)} mails, not {count}"
        time.sleep(0.05)
    return relay.taken[count - 1]


def _link_in(mail):
    return re.search(r"http\S+/link/\S+", mail.get_body(("plain",)).get_content())[0]


def test_the_letter_that_was_approved_is_the_letter_that_arrives(handed_in, browser, trial, relay):
    phone, number = handed_in
    tuner = people.desk(browser, trial)
    people.sign_in(tuner, trial)
    _open_when_drafted(tuner, number)
    assert len(relay.taken) == 1, "something was mailed before it was approved"
    people.press(tuner, "Edit")
    words = tuner.locator("textarea#text")
    words.fill(f"{words.input_value().strip()}\n\n{SENTENCE}\n")
    people.press(tuner, "Preview")
    expect(tuner.locator("article.paper")).to_contain_text(SENTENCE)
    people.press(tuner, "Save")
    tuner.goto(f"/desk/case/{number}/")
    people.press(tuner, "Approve version 2")
    expect(tuner.get_by_label("Send it to")).to_have_value(EMAIL)
    people.press(tuner, "Send")
    _mail_is_the_letter(_mail(relay, 2))
    expect(_reloaded(tuner, ".delivery-sent")).to_contain_text(f"Sent to {EMAIL}")
    phone.goto(f"/{number}/")
    people.press(phone, "Read the letter")
    expect(phone.locator("article")).to_contain_text(SENTENCE)
    assert tuner.problems == phone.problems == []
    assert len(relay.taken) == 2 and relay.recipients == [EMAIL, EMAIL]


def _open_when_drafted(page, number):
    """Look at the case until the worker has drafted it."""
    _reloaded(page, "article.paper", f"/desk/case/{number}/")


def _reloaded(page, wanted, address=None):
    if address:
        page.goto(address)
    end = time.monotonic() + 60
    while not page.locator(wanted).count():
        assert time.monotonic() < end, f"no {wanted} on {page.url}"
        time.sleep(0.2)
        page.reload()
    return page.locator(wanted).first


def _mail_is_the_letter(mail):
    assert mail["To"] == EMAIL and mail["Message-ID"]
    for kind in ("plain", "html"):
        assert SENTENCE in " ".join(mail.get_body((kind,)).get_content().split())
    (pdf,) = [part for part in mail.iter_attachments() if part.get_content_type() == "application/pdf"]
    assert pdf.get_content().startswith(b"%PDF-")
