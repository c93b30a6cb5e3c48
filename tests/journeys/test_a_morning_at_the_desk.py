"""A morning at the desk by keyboard: ten cases from the top; one advised, one asked, one handed over, one closed."""
import re
import time
from dataclasses import replace

import pytest
from playwright.sync_api import expect

from tests.journeys import desk_scene, people

pytestmark = [pytest.mark.browser, pytest.mark.machine]
QUESTION, BELIEF = "Which spacers went in, and how long are they?", "The oil is old; I would drain it first."
NOTE = ("What I doubt", "What I promised, and by when", "Do not do", "How the rider is")
WHY = {"red flag": "Red flag", "overdue": "Overdue by", "answered": "The rider answered",
       "tried": "Tried, and wrote back", "from a shop": "A shop waits"}


@pytest.fixture
def morning(trial):
    """The numbers of the ten by their kind, and the colleague's sign-in."""
    numbers, (name, password) = desk_scene.made(trial, "morning", "colleague")
    return numbers, replace(trial, name=name, password=password)


def test_ten_cases_are_worked_from_the_top(browser, trial, relay, morning):
    numbers, colleague = morning
    page = people.desk(browser, trial)
    people.sign_in(page, trial)
    assert _kinds(page, numbers) == list(desk_scene.MORNING)
    for kind, words in WHY.items():
        expect(_row(page, numbers[kind]).locator(".why")).to_contain_text(words)
    _the_keys_are_listed(page)

    _opened_and_taken(page, numbers, "red flag")
    _approved_and_sent(page, relay)
    _opened_and_taken(page, numbers, "overdue")
    _asked(page)
    _opened_and_taken(page, numbers, "answered")
    _handed_over(page, colleague.name)
    _opened_and_taken(page, numbers, "tried")
    _closed(page)

    page.goto("/desk/")
    done = ("red flag", "overdue", "tried")
    assert _kinds(page, numbers) == [kind for kind in desk_scene.MORNING if kind not in done]
    expect(_row(page, numbers["answered"])).to_contain_text(f"{colleague.name} has it")
    page.goto("/desk/?whose=mine")
    assert _kinds(page, numbers) == []
    _where_they_are_now(page, numbers)
    _mail_to(relay, "overdue", QUESTION)
    _the_colleague_reads_the_note(people.desk(browser, trial), colleague, numbers)
    assert page.problems == []


def _kinds(page, numbers):
    """Which of the ten stand on the page, from the top."""
    kinds = {number: kind for kind, number in numbers.items()}
    shown = page.locator("[data-row] .number").all_inner_texts()
    return [kinds[number] for number in shown if number in kinds]


def _row(page, number):
    return page.locator("[data-row]").filter(has_text=number)


def _the_keys_are_listed(page):
    page.keyboard.press("?")
    expect(page.get_by_text("open the row")).to_be_visible()
    page.keyboard.press("?")
    expect(page.get_by_text("open the row")).not_to_be_visible()


def _opened_and_taken(page, numbers, kind):
    """From the top of the queue down to the first of the ten that nobody has, and into it."""
    page.goto("/desk/")
    shown = page.locator("[data-row] .number").all_inner_texts()
    free = page.locator("[data-row]").filter(has_not=page.locator(".held"))
    left = next(number for number in free.locator(".number").all_inner_texts() if number in numbers.values())
    page.locator("h1").click()  # the focus is nowhere
    for _ in range(shown.index(left) + 2):
        page.keyboard.press("j")
    page.keyboard.press("k")
    expect(_row(page, left).locator("[data-open]")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text(desk_scene.title(kind))
    _by_key(page, "Take")
    expect(page.locator(".hold")).to_contain_text("You have this case")


def _by_key(page, words):
    """Press the button or follow the link with these words, by keyboard."""
    page.get_by_role("button", name=words, exact=True).or_(
        page.get_by_role("link", name=words, exact=True)).first.press("Enter")


def _approved_and_sent(page, relay):
    expect(page.locator("article.paper")).to_contain_text(re.compile("do not ride", re.IGNORECASE))
    _by_key(page, "Approve version 1")
    expect(page.get_by_label("Send it to")).to_have_value(desk_scene.email("red flag"))
    _by_key(page, "Send")
    _by_key(page, "Send it now")
    _mail_to(relay, "red flag", "do not ride")
    people.until_there(page, page.url, page.locator(".delivery-sent"))


def _asked(page):
    _by_key(page, "Ask the rider something")
    page.get_by_label("Or one question of your own").fill(QUESTION)
    _by_key(page, "Ask")
    expect(page.locator(".saved")).to_contain_text("Asked.")


def _handed_over(page, name):
    _by_key(page, "Hand to a colleague")
    page.get_by_label("To", exact=True).select_option(label=name)
    page.get_by_label("What I believe, and why").fill(BELIEF)
    for line in NOTE:
        page.get_by_label(line, exact=True).fill("nothing")
    page.get_by_role("button", name=re.compile("^Hand over")).press("Enter")
    expect(page.locator(".saved")).to_contain_text(f"is with {name} now.")


def _closed(page):
    _by_key(page, "Close with what it really was")
    for group in ("It was, above all", "How do we know?", "Was anybody hurt, or nearly?"):
        page.get_by_role("group", name=group).get_by_role("radio").first.press("Space")
    _by_key(page, "Close the case")
    expect(page.locator(".saved")).to_contain_text("is closed.")


def _where_they_are_now(page, numbers):
    page.goto("/desk/?state=any&q=morning")
    for kind, state in (("red flag", "advised"), ("overdue", "needs an answer"), ("tried", "closed")):
        expect(_row(page, numbers[kind]).locator(".row-state")).to_contain_text(re.compile(state, re.IGNORECASE))


def _the_colleague_reads_the_note(page, colleague, numbers):
    people.sign_in(page, colleague)
    page.goto("/desk/?whose=mine")
    assert _kinds(page, numbers) == ["answered"]
    _row(page, numbers["answered"]).locator("[data-open]").press("Enter")
    expect(page.locator(".hold .note")).to_contain_text(BELIEF)
    assert page.problems == []


def _mail_to(relay, kind, words):
    end = time.monotonic() + 30
    while not (found := [mail for mail in relay.taken if mail["To"] == desk_scene.email(kind)]):
        assert time.monotonic() < end, f"no mail to the rider of '{kind}'"
        time.sleep(0.05)
    assert words.lower() in " ".join(found[-1].get_body(("plain",)).get_content().split()).lower()
