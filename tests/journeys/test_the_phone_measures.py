"""Stopwatch, counter, level and the screen that stays on: each where the phone has what it needs."""
import pytest
from playwright.sync_api import expect

from analysis.catalogue import QUESTIONS
from intake.instruments import instrument_for
from tests.journeys.phone_page import ADDRESS, phone_with

pytestmark = pytest.mark.browser
SECONDS = ('<input id="field" name="field"><input name="field~2"><input name="field~3">'
           '<select name="field~unit"><option>s</option><option>min</option></select>'
           '<select name="field~known"><option></option><option value="measured">I measured it</option></select>')
DEGREES = '<input id="field" name="field">'
SWINGS = "".join(f'<label><input type="radio" name="field" value="{value}">{value}</label>'
                 for value in ("none", "one small", "two or more", "cannot tell"))


def part(page, role):
    return page.locator(f"[data-role={role}]").first


def press_for(page, milliseconds):
    """Two presses of the thumb that lie so far apart.  The press brings its own time along."""
    page.evaluate("""async (apart) => {
        const button = document.querySelector("[data-role=press]");
        const press = (at) => {
            const event = new PointerEvent("pointerdown", {button: 0, bubbles: true});
            Object.defineProperty(event, "timeStamp", {value: at});
            button.dispatchEvent(event);
        };
        const begun = performance.now();
        press(begun);
        press(begun + apart);
    }""", milliseconds)


def test_three_timings_go_into_the_field_and_their_mean_and_range_are_said(browser):
    with phone_with(browser, "stopwatch", SECONDS) as page:
        page.goto(ADDRESS)
        page.locator("[name='field~unit']").select_option("min")
        for milliseconds in (600, 700, 620):
            press_for(page, milliseconds)
        said = part(page, "mean")
        expect(said).to_contain_text("Mean of 3: 0.64 s, the shortest 0.60 s, the longest 0.70 s")
        values = [page.locator(f"[name='{name}']").input_value() for name in ("field", "field~2", "field~3")]
        assert [round(float(value), 1) for value in values] == [0.6, 0.7, 0.6]
        assert page.locator("[name='field~unit']").input_value() == "s"
        assert page.locator("[name='field~known']").input_value() == "measured"
        part(page, "undo").click()
        expect(said).to_contain_text("Mean of 2: 0.65 s")
        press_for(page, 1500)
        expect(said).to_contain_text("lie far apart")
        assert page.problems == []


def test_with_one_place_for_the_number_it_gets_the_mean(browser):
    with phone_with(browser, "stopwatch", '<input id="field" name="field">') as page:
        page.goto(ADDRESS)
        for milliseconds in (600, 700, 650):
            press_for(page, milliseconds)
        assert page.locator("#field").input_value() == "0.65"


def test_the_stopwatch_runs_by_thumb_and_by_key(browser):
    with phone_with(browser, "stopwatch", SECONDS) as page:
        page.goto(ADDRESS)
        button = part(page, "press")
        button.click()
        expect(button).to_have_text("Stop")
        page.wait_for_timeout(100)
        page.keyboard.press("Space")
        expect(button).to_have_text("Start")
        expect(page.locator("ol li")).to_have_count(1)
        page.keyboard.press("Enter")
        expect(button).to_have_text("Stop")


def test_counted_swings_pick_the_answer(browser):
    counter = instrument_for(QUESTIONS["bench.rebound.swings"])
    offered = {choice.value for choice in QUESTIONS["bench.rebound.swings"].choices}
    assert counter is not None and set(counter.answers) < offered
    with phone_with(browser, "counter", SWINGS, instrument=counter) as page:
        page.goto(ADDRESS)
        for presses, answer in enumerate(("one small", "two or more", "two or more"), 1):
            part(page, "press").click()
            expect(page.locator("input:checked")).to_have_value(answer)
            expect(part(page, "now")).to_have_text(f"Counted: {presses}")
        part(page, "undo").click()
        expect(page.locator("input:checked")).to_have_value("none")
        assert page.problems == []


def tilt(page, *betas):
    """The phone says how far its top points up."""
    for beta in betas:
        page.evaluate("(beta) => window.dispatchEvent(new DeviceOrientationEvent('deviceorientation', "
                      "{alpha: 0, beta, gamma: -88}))", beta)


@pytest.mark.parametrize(("path", "floor", "along", "degrees"), [
    ("bike.rake_deg", 1.5, 67.0, "24.5"), ("bench.heights.arm_deg", 1.0, -9.4, "10.4"),
    ("bike.rake_deg", -2.0, 112.0, "20.0"),
])
def test_the_angle_counts_from_the_floor_it_was_zeroed_on(browser, path, floor, along, degrees):
    with phone_with(browser, "level", DEGREES, instrument=instrument_for(QUESTIONS[path])) as page:
        page.goto(ADDRESS)
        tilt(page, floor)
        part(page, "allow").click()
        expect(part(page, "zero")).to_be_focused()  # the phone may have had to be asked first
        expect(part(page, "take")).to_be_disabled()
        tilt(page, floor, floor)
        part(page, "zero").click()
        page.wait_for_timeout(750)
        tilt(page, along, along, along)
        part(page, "take").click()
        assert page.locator("#field").input_value() == degrees
        expect(part(page, "said")).to_have_text(f"{degrees}° is in the field.")
        assert page.problems == []


def test_an_angle_read_with_a_shaking_hand_is_not_taken(browser):
    with phone_with(browser, "level", DEGREES, instrument=instrument_for(QUESTIONS["bike.rake_deg"])) as page:
        page.goto(ADDRESS)
        tilt(page, 0)
        part(page, "allow").click()
        expect(part(page, "zero")).to_be_focused()
        tilt(page, 0, 3, 1)
        part(page, "zero").click()
        expect(part(page, "said")).to_contain_text("It moved by 3.0°")
        expect(part(page, "take")).to_be_disabled()


def test_a_computer_without_a_position_is_offered_no_level(browser):
    with phone_with(browser, "level", DEGREES, instrument=instrument_for(QUESTIONS["bike.rake_deg"])) as page:
        page.goto(ADDRESS)
        page.wait_for_load_state("networkidle")
        page.evaluate("window.dispatchEvent(new DeviceOrientationEvent('deviceorientation'))")
        expect(page.locator("[data-instrument]")).to_be_hidden()


@pytest.mark.parametrize(("answer", "open_"), [("granted", True), ("denied", False)])
def test_a_phone_that_asks_first_is_asked(browser, answer, open_):
    with phone_with(browser, "level", DEGREES, instrument=instrument_for(QUESTIONS["bike.rake_deg"]), has_touch=True,
                    is_mobile=True) as page:
        page.add_init_script(f"DeviceOrientationEvent.requestPermission = async () => '{answer}'")
        page.goto(ADDRESS)
        part(page, "allow").click()
        expect(part(page, "tool")).to_be_visible(visible=open_)
        if not open_:
            expect(part(page, "said")).to_contain_text("does not let this page")


def test_the_screen_is_kept_on_where_the_phone_can(browser):
    fake = ("Object.defineProperty(navigator, 'wakeLock', {value: {request: async (what) => "
            "{ (window.asked ??= []).push(what); return {}; }}})")
    with phone_with(browser, "awake", "") as page:
        page.add_init_script(fake)
        page.goto(ADDRESS)
        expect(page.locator("[data-awake]")).to_be_visible()
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        assert page.evaluate("window.asked") == ["screen", "screen"]


def test_without_javascript_there_are_the_plain_fields_alone(browser):
    for name in ("stopwatch", "counter", "level", "clip", "awake"):
        with phone_with(browser, name, SECONDS, java_script_enabled=False) as page:
            page.goto(ADDRESS)
            expect(page.locator("#field")).to_be_visible()
            assert page.get_by_role("button").count() == 0
            expect(page.locator("[data-instrument], [data-awake]")).to_be_hidden()
