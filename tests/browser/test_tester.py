"""A tester's evening with the phone in hand: typing, losing the line, two tabs, a double tap, photos."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.core.files.storage import default_storage
from PIL import Image
from playwright.sync_api import Page, Route, expect

from testing_rounds.actions.photos import make_ready
from testing_rounds.actions.reports import save_fields
from testing_rounds.actions.visits import issue_link, revoke_links
from testing_rounds.models import FitReport, Photo, Place, Round, RoundState, ZoneVerdict
from tests.browser.accessibility import assert_accessible
from tests.browser.conftest import DESK, PHONE
from tests.factories import make_studio
from tests.testing_rounds.pictures import saved, toile
from tests.testing_rounds.testers import make_place, make_round, make_version, with_consents

NO_LINE = pytest.mark.complaints(r"ERR_INTERNET_DISCONNECTED", r"ERR_FAILED")
PAGES = (
    "",
    "consents",
    "measures",
    "size",
    "print",
    "fit",
    "fit/waist",
    "photos",
    "data",
    "data/erase",
    "steps",
    "steps/6",
    "last",
    "send",
    "stop",
)


@pytest.fixture
def place(transactional_db: None) -> Place:
    # The phone's time zone is known already: no save goes out but for what a test types.
    return with_consents(make_place(make_round(make_version(make_studio())), timezone="Europe/London"))


SAVE = re.compile("/save/$")


def opened(page: Page, place: Place, part: str = "") -> Page:
    """The tester presses the button of the link, then opens a page of the round."""
    page.goto(issue_link(place, by=None))
    page.get_by_role("button", name="I take part").or_(page.get_by_role("button", name="Go to my round")).click()
    expect(page).to_have_url(re.compile(f"/test/{place.ref}/$"))
    if part:
        page.goto(f"/test/{place.ref}/{part}/")
    return page


def name_on_form(page: Page, zone: str) -> Any:
    """The name of a zone beside the dress form."""
    return page.locator(f".dform-name[data-label='{zone}'] text").first


def mark(page: Page) -> Any:
    return page.locator("#saved")


def waiting(page: Page) -> int:
    """How many places this phone still keeps something of."""
    return page.evaluate("Object.keys(localStorage).filter((key) => key.startsWith('toile:')).length")


def held_back(page: Page, address: str) -> list[Route]:
    """The requests to an address, which wait until they are let go."""
    held: list[Route] = []

    def hold(route: Route) -> None:
        held.append(route)

    page.route(address, hold)
    return held


def test_the_link_leads_from_the_mail_to_the_first_step(phone, transactional_db):
    place = make_place(make_round(make_version(make_studio())))
    opened(phone, place)
    phone.get_by_role("link", name="What you allow", exact=True).first.click()
    for allowed in ("I am 18 or over", "My measurements, for this round", "My photos, to judge the fit"):
        phone.get_by_label(allowed).check()
    phone.get_by_role("button", name="Keep this and go on").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Take these measurements, and we advise a size.")


def test_the_phone_says_its_time_zone_by_itself(window, transactional_db):
    place = make_place(make_round(make_version(make_studio())))
    page = window(**PHONE, timezone_id="Europe/Oslo")
    with page.expect_response(SAVE):
        opened(page, place)
    place.refresh_from_db()
    assert place.timezone == "Europe/Oslo"


def test_saved_is_not_said_of_what_is_still_on_its_way(phone, place):
    opened(phone, place, "last")
    words = phone.get_by_label("Anything else, in your words")
    words.fill("The collar stands well.")
    expect(mark(phone)).to_contain_text(re.compile(r"Saved\s*\d"))
    said = """(box) => {
        box.value = "The collar stands well, and it is warm.";
        box.dispatchEvent(new Event("input", { bubbles: true }));
        return document.getElementById("saved").textContent;
    }"""
    assert "Saving" in words.evaluate(said)
    expect(mark(phone)).to_contain_text(re.compile(r"Saved\s*\d"))


def test_a_field_is_saved_as_it_is_typed(phone, place):
    opened(phone, place, "last")
    phone.get_by_label("Anything else, in your words").fill("The collar stands well.")
    expect(mark(phone)).to_contain_text(re.compile(r"Saved\s*\d"))
    assert FitReport.objects.get().words == "The collar stands well."
    phone.reload()
    expect(phone.get_by_label("Anything else, in your words")).to_have_value("The collar stands well.")


def test_what_was_answered_before_the_script_came_is_saved_too(phone, place):
    opened(phone, place)
    held = held_back(phone, "**/js/report.js")
    with phone.expect_request("**/js/report.js"):
        phone.goto(f"/test/{place.ref}/last/", wait_until="commit")
    phone.get_by_label("Anything else, in your words").fill("Typed on a slow line.")
    phone.get_by_text("yes", exact=True).click()
    phone.get_by_label("How long did it take, with cutting?").select_option("to_6")
    for route in held:
        route.fallback()
    expect(mark(phone)).to_contain_text(re.compile(r"Saved\s*\d"))
    report = FitReport.objects.get()
    assert (report.words, report.same_size_again, report.hours) == ("Typed on a slow line.", True, "to_6")


def test_measurements_lead_to_a_size_while_one_types(phone, place):
    opened(phone, place, "measures")
    for name, text in {"body.high_bust": "101", "body.bust": "106", "body.waist": "88", "body.height": "163"}.items():
        phone.locator(f"[name='{name}']").fill(text)
    expect(phone.locator("#live_advice")).to_contain_text("the pattern’s size is 18")
    phone.locator("[name='body.waist']").fill("8 8")
    box = phone.locator("[data-field='body.waist']")
    expect(box.locator(".beside")).to_contain_text("holds more than one number")
    expect(box.locator("input[type=text]")).to_have_attribute("aria-invalid", "true")
    expect(box.locator("input[type=text]")).to_have_value("8 8")


@NO_LINE
def test_without_a_line_it_waits_on_the_phone_and_goes_out_by_itself(phone, place):
    opened(phone, place, "last")
    phone.context.set_offline(True)
    phone.get_by_label("Anything else, in your words").fill("Typed in the cellar.")
    expect(mark(phone)).to_contain_text("Not sent yet, kept on this phone")
    assert waiting(phone) == 1
    assert not FitReport.objects.exists()
    phone.get_by_role("button", name=re.compile("Next")).click()
    expect(phone.get_by_role("alert")).to_contain_text("There is no connection just now.")
    phone.context.set_offline(False)
    expect(mark(phone)).to_contain_text("Saved")
    assert FitReport.objects.get().words == "Typed in the cellar."
    assert waiting(phone) == 0


@NO_LINE
def test_a_tab_that_was_closed_without_a_line_loses_nothing(phone, place):
    opened(phone, place, "last")
    phone.context.set_offline(True)
    phone.get_by_label("Anything else, in your words").fill("Closed too early.")
    expect(mark(phone)).to_contain_text("Not sent yet")
    phone.close()
    again = phone.context.new_page()
    phone.context.set_offline(False)
    again.goto(f"/test/{place.ref}/last/")
    expect(again.get_by_label("Anything else, in your words")).to_have_value("Closed too early.")
    expect(mark(again)).to_contain_text("Saved")
    assert FitReport.objects.get().words == "Closed too early."
    assert waiting(again) == 0


@pytest.mark.complaints(r"503")
def test_while_the_server_is_away_it_tries_again(phone, place):
    tries: list[Route] = []

    def away_once(route: Route) -> None:
        tries.append(route)
        route.fulfill(status=503, body="") if len(tries) == 1 else route.fallback()

    opened(phone, place, "last")
    phone.route("**/save/", away_once)
    phone.get_by_label("Anything else, in your words").fill("Twice knocked.")
    expect(mark(phone)).to_contain_text("Not sent yet")
    expect(mark(phone)).to_contain_text("Saved")
    assert FitReport.objects.get().words == "Twice knocked."


def test_two_tabs_do_not_undo_each_other(phone, place):
    first = opened(phone, place, "last")
    second = phone.context.new_page()
    second.goto(f"/test/{place.ref}/last/")
    first.get_by_label("Anything else, in your words").fill("From the first tab.")
    expect(mark(first)).to_contain_text("Saved")
    second.get_by_label("The fabric you used").fill("linen")
    expect(mark(second)).to_contain_text("Saved")
    second.get_by_role("button", name=re.compile("Next")).click()
    expect(second).to_have_url(re.compile("/send/$"))
    report = FitReport.objects.get()
    assert (report.words, report.fabric_used) == ("From the first tab.", "linen")


def test_a_tap_on_the_form_brings_its_question_into_view(phone, place):
    opened(phone, place, "fit")
    name_on_form(phone, "waist").click()
    expect(phone.get_by_role("heading", name="Waist")).to_be_in_viewport()
    phone.get_by_label("much too tight").check()
    expect(phone.locator("[data-live-label]")).to_have_text("I would let it out by")
    phone.get_by_role("button", name="more").click()
    expect(phone.locator("#live_marked")).to_contain_text("I would let it out by 0.5 cm")
    expect(phone.locator(".dform-name[data-label='waist']")).to_contain_text("much too tight")
    row = ZoneVerdict.objects.get()
    assert (row.zone, row.fit, row.change_mm) == ("waist", -2, 5)
    phone.get_by_label("All these I looked at, fine").check()
    expect(phone.locator("#live_rest")).to_contain_text("Fine:")
    assert ZoneVerdict.objects.filter(fit=0).count() == len(place.round.zones) - 1


def test_the_back_of_the_form_is_a_tap_away(phone, place):
    opened(phone, place, "fit")
    phone.get_by_role("link", name="Back", exact=True).click()
    name_on_form(phone, "back_length").click()
    phone.get_by_label("a bit short").check()
    expect(phone.locator("#live_marked")).to_contain_text("Back length a bit short")
    phone.get_by_role("link", name="Front", exact=True).click()
    expect(phone.get_by_role("link", name="Back, 1 marked")).to_be_visible()


def test_the_form_can_be_answered_by_keyboard_alone(desk, place):
    opened(desk, place, "fit")
    desk.locator(".dform-name[data-label='waist']").focus()
    desk.keyboard.press("Enter")
    expect(desk.locator("#question")).to_be_focused()
    desk.keyboard.press("Tab")
    desk.keyboard.press("ArrowLeft")
    expect(desk.locator("#live_marked")).to_contain_text("Waist")
    assert ZoneVerdict.objects.get().zone == "waist"


def test_a_double_tap_sends_one_report(phone, place):
    save_fields(place=place, fields={"fit.waist": "-2"})
    before = Round.objects.get().revision
    opened(phone, place, "send")
    phone.get_by_role("button", name="Send the report").dblclick()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Thank you. Your report is with the studio.")
    assert FitReport.objects.filter(submitted_at__isnull=False).count() == 1
    assert Round.objects.get().revision == before + 2, "once for taking part, once for the report"


def test_sending_the_form_again_by_going_back_sends_nothing_twice(phone, place):
    save_fields(place=place, fields={"fit.waist": "-2"})
    opened(phone, place, "send")
    phone.get_by_role("button", name="Send the report").click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text("Thank you")
    first = FitReport.objects.get().submitted_at
    phone.go_back()
    again = phone.get_by_role("button", name="Send the report")
    if again.count():
        again.click()
    phone.goto(f"/test/{place.ref}/")
    assert FitReport.objects.get().submitted_at == first


def pictures(folder: Path, count: int) -> list[Path]:
    paths = [folder / f"{n}.jpg" for n in range(count)]
    for n, path in enumerate(paths):
        path.write_bytes(saved(toile((400 + n, 300)), "JPEG"))
    return paths


def chooser(page: Page) -> Any:
    return page.locator("form[data-photos] input[type=file]").first


def test_photos_go_up_several_at_once_with_progress(phone, place, tmp_path):
    opened(phone, place, "photos")
    held = held_back(phone, "**/photos/begin/")
    chooser(phone).set_input_files(pictures(tmp_path, 2))
    expect(phone.get_by_text("On your phone, not sent yet.")).to_have_count(2)
    phone.get_by_role("button", name="Send the 2 photos").click()
    bars = phone.get_by_role("progressbar")
    expect(bars).to_have_count(2)
    phone.unroute("**/photos/begin/")
    for route in held:
        route.fallback()
    expect(phone.get_by_text("Arrived, being prepared.")).to_have_count(2)
    for photo in Photo.objects.all():
        make_ready(photo.ref)
    expect(phone.get_by_role("img", name="Your photo: Front")).to_have_count(2)
    phone.get_by_role("button", name="Remove Front").first.click()
    expect(phone.get_by_role("img", name="Your photo: Front")).to_have_count(1)


def test_a_photo_that_was_chosen_before_the_script_came_goes_up_too(phone, place, tmp_path):
    opened(phone, place)
    held = held_back(phone, "**/js/photos.js")
    with phone.expect_request("**/js/photos.js"):
        phone.goto(f"/test/{place.ref}/photos/", wait_until="commit")
    chooser(phone).set_input_files(pictures(tmp_path, 1))
    for route in held:
        route.fallback()
    phone.get_by_role("button", name="Send the photo").click()
    expect(phone.get_by_text("Arrived, being prepared.")).to_be_visible()
    assert Photo.objects.count() == 1


@NO_LINE
def test_a_photo_without_a_line_waits_and_is_sent_once(phone, place, tmp_path):
    opened(phone, place, "photos")
    phone.context.set_offline(True)
    chooser(phone).set_input_files(pictures(tmp_path, 1))
    phone.get_by_role("button", name="Send the photo").click()
    expect(phone.get_by_text("Waits for the network. Keep this page open.")).to_be_visible()
    phone.get_by_role("button", name="Try now").click()
    expect(phone.get_by_text("Waits for the network. Keep this page open.")).to_be_visible()
    phone.context.set_offline(False)
    expect(phone.get_by_text("Arrived, being prepared.")).to_be_visible()
    assert Photo.objects.count() == 1


def drag(page: Page, canvas: Any, start: tuple[float, float], end: tuple[float, float]) -> None:
    """A finger over the photo, from one place to another; places are shares of its width and height."""
    box = canvas.bounding_box()
    page.mouse.move(box["x"] + start[0] * box["width"], box["y"] + start[1] * box["height"])
    page.mouse.down()
    page.mouse.move(box["x"] + end[0] * box["width"], box["y"] + end[1] * box["height"], steps=4)
    page.mouse.up()


@pytest.mark.complaints(r"ERR_FAILED")
def test_a_face_is_covered_on_the_phone_and_a_photo_goes_on_after_the_page_was_killed(desk, place, tmp_path, settings):
    """Turned, covered, cut; killed after the first part; chosen again it goes on; changed once more on the server."""
    settings.PHOTO_PART_BYTES = 2000
    opened(desk, place, "photos")
    chooser(desk).set_input_files(pictures(tmp_path, 1))
    desk.get_by_role("button", name="Turn, cut, cover").click()
    canvas = desk.locator("dialog canvas")
    desk.get_by_role("button", name="Turn right").click()
    drag(desk, canvas, (0.2, 0.2), (0.4, 0.2))
    desk.get_by_role("radio", name="Cut the edges").check()
    drag(desk, canvas, (0.0, 0.0), (1.0, 0.5))
    assert_accessible(desk)
    desk.get_by_role("button", name="Keep this").click()
    desk.get_by_role("button", name="Send the photo").click()
    expect(desk.get_by_text("Arrived, being prepared.")).to_be_visible()
    make_ready(Photo.objects.get().ref)
    photo = Photo.objects.get()
    assert (photo.width, photo.height) == (300, 200), "turned and cut before it left"
    with default_storage.open(photo.large) as file:
        red, green, blue = Image.open(file).convert("RGB").getpixel((90, 80))
    assert max(red, green, blue) - min(red, green, blue) < 12, "painted over with an even grey"

    file = tmp_path / "large.jpg"
    file.write_bytes(saved(Image.effect_noise((300, 200), 80), "JPEG"))
    desk.route("**/parts/**", lambda route: route.fallback() if "from=0" in route.request.url else route.abort())
    chooser(desk).set_input_files(file)
    desk.get_by_role("button", name="Send the photo").click()
    expect(desk.get_by_text("Waits for the network. Keep this page open.")).to_be_visible()
    page = desk.context.new_page()
    desk.close()
    page.goto(f"/test/{place.ref}/photos/")
    expect(page.get_by_text("Not all of it has arrived")).to_be_visible()
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    chooser(page).set_input_files(file)
    page.get_by_role("button", name="Send the photo").click()
    expect(page.get_by_text("Arrived, being prepared.")).to_be_visible()
    assert not [url for url in sent if url.endswith("from=0")]
    second = Photo.objects.latest("id")
    make_ready(second.ref)

    page.goto(f"/test/{place.ref}/photos/{second.ref}/change/")
    expect(page.locator(".by-finger")).to_be_visible()
    page.get_by_role("button", name="Turn left").click()
    page.get_by_role("button", name="Change the photo").click()
    expect(page.get_by_text("The photo is being changed.")).to_be_visible()
    make_ready(second.ref)
    second.refresh_from_db()
    assert (second.width, second.height) == (200, 300)


@pytest.mark.complaints(r"422")
def test_what_is_no_photo_gets_its_sentence_in_its_place(phone, place, tmp_path):
    path = tmp_path / "notes.jpg"
    path.write_text("not a photo")
    opened(phone, place, "photos")
    chooser(phone).set_input_files(path)
    phone.get_by_role("button", name="Send the photo").click()
    expect(phone.get_by_text("This is not a photo that can be read here.")).to_be_visible()
    phone.get_by_role("button", name="Remove").click()
    expect(phone.get_by_text("This is not a photo that can be read here.")).to_have_count(0)


@NO_LINE
@pytest.mark.complaints(r"ERR_INTERNET_DISCONNECTED", r"404")
def test_a_link_that_was_ended_leaves_nothing_on_the_phone(phone, place):
    opened(phone, place, "last")
    phone.context.set_offline(True)
    phone.get_by_label("Anything else, in your words").fill("Private words.")
    expect(mark(phone)).to_contain_text("Not sent yet")
    revoke_links(place, by=None)
    phone.context.set_offline(False)
    expect(phone.get_by_role("alert")).to_contain_text("Your link no longer opens this page.")
    assert waiting(phone) == 0


@pytest.mark.complaints(r"404")
def test_opening_a_page_whose_link_was_ended_forgets_it_too(phone, place):
    opened(phone, place, "last")
    keep_by_hand(phone, place, age_days=1)
    revoke_links(place, by=None)
    phone.goto(f"/test/{place.ref}/")
    expect(phone.get_by_role("heading", level=1)).to_contain_text("does not open anything any more")
    assert waiting(phone) == 0


def keep_by_hand(page: Page, place: Place, *, age_days: float, field: str = "words") -> None:
    """Put an unsent field on the phone as if it had been typed some days ago."""
    at = f"Date.now() - {age_days} * 24 * 60 * 60 * 1000"
    page.evaluate(
        f"localStorage.setItem('toile:{place.ref}', JSON.stringify({{'{field}': "
        f"{{text: 'old words', unit: 'cm', at: {at}}}}}))"
    )


def test_after_a_fortnight_nothing_is_kept(phone, place):
    opened(phone, place, "last")
    keep_by_hand(phone, place, age_days=14.1)
    phone.reload()
    expect(phone.get_by_label("Anything else, in your words")).to_have_value("")
    assert waiting(phone) == 0
    assert not FitReport.objects.exists()


def test_signing_out_leaves_nothing_on_the_phone(phone, place):
    opened(phone, place)
    keep_by_hand(phone, place, age_days=1)
    phone.get_by_role("button", name="Sign out").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("You are signed out on this phone.")
    assert waiting(phone) == 0
    assert FitReport.objects.get().words == "old words", "what still waited went out first"


@pytest.mark.complaints(r"409")
def test_when_the_round_closes_the_page_says_so(phone, place):
    opened(phone, place, "last")
    Round.objects.update(state=RoundState.CLOSED)
    phone.get_by_label("Anything else, in your words").fill("Too late.")
    expect(phone.get_by_role("alert")).to_contain_text("This round has closed")
    expect(phone.get_by_label("Anything else, in your words")).to_be_disabled()
    assert waiting(phone) == 0


def test_the_whole_report_without_javascript(without_javascript, place):
    page = opened(without_javascript, place, "measures")
    page.locator("[name='body.bust']").fill("106")
    page.get_by_role("button", name="Next: Your size").click()
    expect(page).to_have_url(re.compile("/size/$"))
    page.goto(f"/test/{place.ref}/fit/")
    name_on_form(page, "waist").click()
    page.get_by_label("a bit tight").check()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#live_marked")).to_contain_text("Waist a bit tight")
    page.get_by_label("All these I looked at, fine").check()
    page.get_by_role("button", name=re.compile("^Next")).click()
    page.goto(f"/test/{place.ref}/send/")
    page.get_by_role("button", name="Send the report").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Thank you")
    report = FitReport.objects.get()
    assert report.submitted_at
    assert report.verdicts.count() == len(place.round.zones)


def test_photos_without_javascript(without_javascript, place, tmp_path):
    page = opened(without_javascript, place, "photos")
    chooser(page).set_input_files(pictures(tmp_path, 1))
    page.get_by_role("button", name="Send").first.click()
    expect(page.get_by_text("Arrived, being prepared.")).to_be_visible()


def wider_than_the_window(page: Page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth")


NARROW = {**PHONE, "viewport": {"width": 360, "height": 740}}


@pytest.mark.parametrize("size", [NARROW, DESK], ids=["narrow phone", "desk"])
def test_every_page_fits_its_window_and_is_accessible(window: Callable[..., Page], place, size):
    save_fields(
        place=place, fields={"fit.back_length": "-2", "fit.waist": "1", "print.across": "9.7", "print.down": "9.7"}
    )
    page = opened(window(**size), place)
    for part in PAGES:
        page.goto(f"/test/{place.ref}/{part}/".replace("//", "/"))
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        assert not wider_than_the_window(page), part
        assert_accessible(page)


def test_the_page_of_the_link_is_accessible(phone, place):
    phone.goto(issue_link(place, by=None))
    assert_accessible(phone)
    assert not wider_than_the_window(phone)
