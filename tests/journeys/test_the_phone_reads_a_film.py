"""A film of the bounce becomes seconds and millimetres on the phone, and a film that cannot be followed says why."""
import numpy as np
import pytest
from playwright.sync_api import expect

from analysis.decay_trace import from_trace
from tests.journeys import clips
from tests.journeys.phone_page import ADDRESS, phone_with

pytestmark = pytest.mark.browser
FIELD = '<label for="field">Curve</label><textarea id="field" name="field"></textarea>'
NO_CALLBACK = "delete HTMLVideoElement.prototype.requestVideoFrameCallback; delete window.VideoFrame"


@pytest.fixture(scope="module")
def slow(tmp_path_factory):
    """240 pictures a second, played at 30: the tape swings with a damping ratio of 0.25."""
    return clips.film(tmp_path_factory.mktemp("clips") / "slow.webm", zeta=0.25)


@pytest.fixture
def phone(browser):
    with phone_with(browser, "clip", FIELD) as page:
        yield page
        assert page.problems == []


def part(page, role):
    return page.locator(f"[data-role={role}]").first


def tap(page, place):
    """Tap a place of the film's picture and set the cross there."""
    box = part(page, "picture").bounding_box()
    shown = box["width"] / clips.WIDTH
    part(page, "picture").click(position={"x": place[0] * shown, "y": place[1] * shown})
    part(page, "set").click()


def choose(page, clip, plays="0"):
    page.goto(ADDRESS)
    part(page, "rate").select_option(plays)
    part(page, "file").set_input_files(clip.path)
    part(page, "here").click()


def follow(page, clip, plays="0"):
    choose(page, clip, plays)
    tap(page, clip.first)
    for end in clips.RULER:
        tap(page, end)
    part(page, "length").fill("20")
    part(page, "unit").select_option("10")
    part(page, "follow").click()


def curve(page):
    expect(part(page, "use")).to_be_visible(timeout=120_000)
    part(page, "use").click()
    lines = page.locator("#field").input_value().splitlines()
    return np.array([[float(number) for number in line.split(";")] for line in lines])


def off_by(trace, clip):
    """The root mean square in pixels between the curve and the tape's true way, the mean place left aside."""
    truth = np.interp(trace[:, 0], clip.times, -(clip.places - clip.places[0]) @ clips.LEAN)
    got = trace[:, 1] / clips.MM_PER_PIXEL
    return float(np.std(got - truth))


def test_a_slow_motion_film_gives_the_tapes_way_and_its_damping(phone, slow):
    follow(phone, slow, plays="240")
    trace = curve(phone)
    assert len(trace) > 300 and abs(trace[-1, 0] - slow.times[-1]) < 0.02
    assert off_by(trace, slow) < 0.5
    found = from_trace(trace[:, 0], trace[:, 1] / 1000)
    assert abs(found.zeta.value - 0.25) < 0.03
    assert abs(found.natural_hz.value - 2.1) < 0.1


def test_friction_is_told_from_damping(phone, tmp_path):
    clip = clips.film(tmp_path / "rubs.webm", zeta=0.12, friction_mm=6, taken_at=60, plays_at=60, seconds=2.6)
    follow(phone, clip)
    trace = curve(phone)
    assert off_by(trace, clip) < 0.5
    found = from_trace(trace[:, 0], trace[:, 1] / 1000)
    assert abs(found.friction.value * 1000 - 6) < 1.5
    assert abs(found.zeta.value - 0.12) < 0.03


def test_a_film_with_uneven_pictures_keeps_its_times(phone, tmp_path):
    clip = clips.film(tmp_path / "uneven.webm", zeta=0.25, taken_at=60, plays_at=60, seconds=1.6, uneven=True)
    follow(phone, clip)
    trace = curve(phone)
    assert off_by(trace + [clip.times[1], 0], clip) < 0.5  # the first picture is among those left out


def test_all_can_be_done_by_keys(phone, tmp_path):
    clip = clips.film(tmp_path / "keys.webm", zeta=0.25, taken_at=60, plays_at=60, seconds=1.6)
    choose(phone, clip)
    for place in (clip.first, *clips.RULER):
        expect(part(phone, "picture")).to_be_visible()
        walk(phone, place)
        phone.keyboard.press("Enter")
    expect(part(phone, "length")).to_be_focused()
    phone.keyboard.type("200")
    phone.keyboard.press("Enter")
    expect(part(phone, "use")).to_be_focused(timeout=60_000)
    assert "200 mm" not in phone.locator("#field").input_value()
    phone.keyboard.press("Enter")
    assert len(phone.locator("#field").input_value().splitlines()) > 60


def walk(page, place):
    """Move the cross from the middle, or from where it is, by arrow keys to a place."""
    part(page, "picture").focus()
    for sideways, keys in ((0, ("ArrowLeft", "ArrowRight")), (1, ("ArrowUp", "ArrowDown"))):
        for _ in range(50):
            page.keyboard.press(f"Shift+{keys[0]}")
        far, near = divmod(place[sideways], 10)
        for _ in range(far):
            page.keyboard.press(f"Shift+{keys[1]}")
        for _ in range(near):
            page.keyboard.press(keys[1])


def test_a_browser_that_cannot_say_when_a_picture_is_shown_still_follows_it(browser, tmp_path):
    clip = clips.film(tmp_path / "old.webm", zeta=0.25, taken_at=60, plays_at=60, seconds=1.4)
    with phone_with(browser, "clip", FIELD) as page:
        page.add_init_script(NO_CALLBACK)
        follow(page, clip)
        assert off_by(curve(page), clip) < 0.5


def dark(number, frame):
    return frame // 12


def hidden(number, frame):
    """Somebody's back is before the tape from the fortieth picture on."""
    frame[60:, 130:330] = 90 if number >= 40 else frame[60:, 130:330]
    return frame


def shaken(number, frame):
    """Whoever holds the phone goes down with the bike, about as far as the bike."""
    return np.roll(frame, (round(60 * np.sin(number / 12)), round(40 * np.sin(number / 18))), (0, 1))


@pytest.mark.parametrize(("how", "says"), [
    ({"spoil": dark}, "Too dark"),
    ({"tape": (160, 164, 170)}, "looks too much like its background"),
])
def test_a_tape_that_cannot_be_told_from_the_rest_is_refused_when_it_is_marked(phone, tmp_path, how, says):
    clip = clips.film(tmp_path / "bad.webm", zeta=0.25, taken_at=30, plays_at=30, seconds=0.4, **how)
    choose(phone, clip)
    tap(phone, clip.first)
    expect(part(phone, "says")).to_contain_text(says)


@pytest.mark.parametrize(("seconds", "how", "plays", "says"), [
    (1.2, {"spoil": hidden}, "0", "The tape was lost at picture 4"),
    (1.2, {"spoil": shaken, "zeta": 3.0}, "0", "The camera moved"),
    (0.4, {}, "0", "30 are needed"),
    (1.2, {}, "30", "more than the number you picked"),
])
def test_a_film_that_cannot_be_followed_says_why(phone, tmp_path, seconds, how, plays, says):
    clip = clips.film(tmp_path / "bad.webm", **{"zeta": 0.25, "taken_at": 60, "plays_at": 60, "seconds": seconds} | how)
    follow(phone, clip, plays)
    expect(part(phone, "says")).to_contain_text(says, timeout=60_000)
    assert phone.locator("#field").input_value() == ""
