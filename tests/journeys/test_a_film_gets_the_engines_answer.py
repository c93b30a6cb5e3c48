"""A bounce filmed in slow motion, read on the phone, saved, and answered by the engine; nothing of the film is sent."""
import re

import pytest
from playwright.sync_api import expect

from tests.journeys import clips, people
from tests.journeys.test_the_phone_reads_a_film import part, tap

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def film(tmp_path_factory):
    return clips.film(tmp_path_factory.mktemp("clips") / "bounce.webm", zeta=0.25, taken_at=120, plays_at=30)


@pytest.mark.parametrize(("test", "field"), [("rebound", "bench.rebound.trace"),
                                             ("rear_bounce", "bench.rear_bounce.trace")])
def test_a_film_read_on_the_phone_is_answered_with_damping(browser, trial, film, test, field):
    page = people.phone(browser, trial)
    page.goto("/start/")
    people.press(page, "Start")
    number = re.search(r"/([^/]+)/link/$", page.url)[1]
    page.goto(f"/{number}/bench/{test}/")
    sent = []
    page.on("request", lambda request: sent.append(len(request.post_data_buffer or b"")))
    clip = page.locator("[data-instrument=clip]")
    part(clip, "rate").select_option("120")
    part(clip, "file").set_input_files(film.path)
    part(clip, "here").click()
    for place in (film.first, *clips.RULER):
        tap(clip, place)
    part(clip, "length").fill("200")
    part(clip, "follow").click()
    part(clip, "use").click(timeout=120_000)
    assert page.locator(f'[name="{field}"]').input_value().count("\n") > 100
    people.press(page, "Save")
    answer = page.locator("#bounce")
    expect(answer).to_contain_text("Damping ratio")
    said = re.search(r"Damping ratio\s*(0\.\d\d)", answer.inner_text())
    assert abs(float(said[1]) - 0.25) < 0.03
    assert max(sent) < film.path.stat().st_size / 4
    assert page.problems == []
