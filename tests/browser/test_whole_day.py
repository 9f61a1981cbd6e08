"""One round from the size chart to the papers, walked by everybody who takes part in it, through the real screens."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.core import mail
from django.db import connections
from playwright.sync_api import Page, expect

from people.worker import Worker
from testing_rounds.demo.files import Sheet, pattern_pdf
from testing_rounds.demo.photos import photo
from testing_rounds.models import Place
from tests.browser.conftest import DESK, PHONE
from tests.pdf_reading import ReadPdf, read_pdf

PASSWORD = "three toiles and a half"
# The waist of size 12 was meant to be 29.
CHART = """Inches\t10\t12\t14\t16
High bust\t33\t34 1/2\t36\t38
Bust\t35\t36½\t38\t40
Waist\t27-1/2\t39\t30 1/2"\t32.5
Hip\t37 1/2\t39\t40 1/2\t42 1/2
"""
FINISHED = """Inches\t10\t12\t14\t16
Bust\t39\t40 1/2\t42\t44
Waist\t30 1/2\t31\t33 1/2\t35 1/2
Back length\t15 1/2\t15 3/4\t16\t16 1/4
"""
STEPS = """1. Cut all pieces and mark the notches.
2. Sew the shoulders with 1 cm (3/8 in).
3. Set in the sleeves flat, notch to notch.
"""
FIRST = {"Bust": "36 1/2", "High bust": "34 1/2", "Waist": "29", "Height": "64 1/2"}
SECOND = {"Bust": "36 5/8", "High bust": "34 1/2", "Waist": "29 1/4", "Height": "65"}


@pytest.fixture
def patience() -> Iterator[None]:
    """A machine that is busy with other tests needs longer for a page than a person's own."""
    expect.set_options(timeout=20_000)
    yield
    expect.set_options(timeout=5_000)


@pytest.fixture
def worker(transactional_db: None, settings: Any) -> Iterator[None]:
    """A worker at work, as one is in every server of one's own."""
    settings.NIGHTLY_JOBS = []
    settings.HOURLY_JOBS = []
    at_work = Worker()

    def work() -> None:
        try:
            at_work.run()
        finally:
            connections.close_all()

    thread = threading.Thread(target=work)
    thread.start()
    yield
    at_work.stop()
    thread.join()


def test_one_round_from_the_size_chart_to_the_papers(
    window: Callable[..., Page], live_server: Any, settings: Any, worker: None, patience: None
) -> None:
    settings.SITE_ADDRESS, settings.POLL_SECONDS = live_server.url, 1
    desk, phone, old_phone = window(**DESK), window(**PHONE), window(**PHONE, java_script_enabled=False)

    a_studio_is_made(desk)
    a_size_chart_is_pasted(desk)
    a_version_is_drafted(desk)
    call = a_call_is_opened(desk)

    a_stranger_applies(phone, call, "Tindra Oake", FIRST)
    a_stranger_applies(old_phone, call, "Maren Ask", SECOND)
    both_are_invited(desk)

    overview = desk.context.new_page()
    overview.goto(desk.get_by_role("link", name="Round", exact=True).get_attribute("href") or "")
    says(overview, "No report yet; two testers are invited and have not answered.")

    the_link_leads_in(phone, "tindra")
    size_and_print_are_checked(phone)
    the_fit_is_told_on_the_form(phone)
    the_rest_is_told(phone)
    expect(overview.locator("h1")).not_to_contain_text("No report yet")
    the_short_way_without_a_script(old_phone, "maren")
    the_overview_has_brought_itself_up_to_date(overview)

    an_answer_is_set_aside_and_put_back(overview)
    a_decision_is_recorded(overview)
    the_papers_are_made(desk)

    link = a_reviewer_is_invited(desk)
    the_reviewer_reads_and_changes_nothing(window(**DESK), link)


def says(page: Page, sentence: str) -> None:
    """The one thing that the page says first."""
    expect(page.get_by_role("heading", level=1)).to_contain_text(sentence)


def settled(page: Page) -> Page:
    """The page once its letters have come: lines move as they do, and a click may fall beside what it is meant for."""
    page.wait_for_load_state("load")
    page.evaluate("document.fonts.ready.then(() => true)")
    return page


def press(page: Page, button: str) -> None:
    settled(page).get_by_role("button", name=button, exact=True).first.click()


def follow(page: Page, link: str | re.Pattern[str]) -> None:
    settled(page).get_by_role("main").get_by_role("link", name=link).first.click()


def tab(page: Page, name: str) -> None:
    settled(page).locator("nav.tabs").get_by_role("link", name=name, exact=True).click()


def mail_to(address: str) -> tuple[str, str]:
    """The subject of the newest mail to an address, and the link in it."""
    found = next(one for one in reversed(mail.outbox) if one.to[0].startswith(address))
    links = re.findall(r"http://\S+", str(found.body))
    return found.subject, links[0]


# the studio


def a_studio_is_made(page: Page) -> None:
    page.goto("/")
    says(page, "Sew it twice before it goes on sale.")
    follow(page, "Make an account")
    sign_up(page, "Imelda Tarrowby", "imelda@saltmarsh.example")
    says(page, "First, a studio")
    page.get_by_label("Name of the studio").fill("Saltmarsh Row")
    press(page, "Make the studio")
    says(page, "Nothing is laid out yet. Begin with the sizes.")


def sign_up(page: Page, name: str, address: str) -> None:
    page.get_by_label("Your name").fill(name)
    page.get_by_label("E-mail").fill(address)
    page.get_by_label("Password").fill(PASSWORD)
    press(page, "Make the account")


def a_size_chart_is_pasted(page: Page) -> None:
    follow(page, "Lay down a chart")
    says(page, "Lay out a size chart, in whichever way you have it.")
    page.get_by_label("The chart, sizes in the first row").fill(CHART)
    press(page, "Read what I pasted")
    says(page, "Read, and one thing looks doubtful.")
    expect(page.get_by_text("is smaller than the size before, 39.")).to_be_visible()
    page.get_by_label("Waist, 12, in").fill("29")
    page.get_by_label("Name of the chart").fill("Saltmarsh women")
    page.get_by_label("Base size").select_option("12")
    press(page, "Save the chart")
    says(page, "Saltmarsh women runs from 10 to 16 in 4 sizes.")
    expect(page.get_by_role("row", name=re.compile("^Bust cm"))).to_contain_text("92.5")
    expect(page.get_by_role("row", name=re.compile("^Bust in"))).to_contain_text("36 1/2")


def a_version_is_drafted(page: Page) -> None:
    tab(page, "Patterns")
    says(page, "The sizes are here. Next comes the pattern.")
    follow(page, "Name a pattern")
    page.get_by_label("Name", exact=True).fill("Pebblewick")
    page.get_by_label("Kind of garment").select_option("shirt")
    page.get_by_label("Drafted for a height of").fill("64 1/2 in")
    page.get_by_label("Drafted cup difference").fill("2 in")
    page.get_by_label("hip", exact=True).check()
    press(page, "Lay it out")
    says(page, "The first version of Pebblewick.")
    page.get_by_label("Test square").fill("10")
    page.get_by_label("What changed").fill("The first version for testers.")
    press(page, "Start the version")
    says(page, "Version 0.9 still needs the finished measurements and a file to print.")
    finished_measurements_steps_and_a_file(page)
    says(page, "Version 0.9 is ready for a round.")


def finished_measurements_steps_and_a_file(page: Page) -> None:
    follow(page, "Type the finished measurements")
    page.get_by_label("Copied from a spreadsheet").fill(FINISHED)
    press(page, "Put it into the grid")
    expect(page.get_by_role("region", name="Ease").get_by_role("row", name=re.compile("^Bust"))).to_contain_text("10.0")
    press(page, "Save the measurements")
    says(page, "Version 0.9 still needs a file to print.")
    follow(page, "Paste the steps")
    page.get_by_label("Steps").fill(STEPS)
    press(page, "Save the steps")
    follow(page, "Add a file")
    content = pattern_pdf(Sheet("Pebblewick, A4", 210, 297, 3), "0.9")
    page.get_by_label("What it is").select_option("a4")
    page.get_by_label("PDF file").set_input_files(
        {"name": "pebblewick-a4.pdf", "mimeType": "application/pdf", "buffer": content}
    )
    press(page, "Take the file")
    says(page, "Version 0.9 has 1 file to print from.")
    expect(page.get_by_role("row", name=re.compile("pebblewick-a4.pdf"))).to_contain_text("210")
    tab(page, "Version 0.9")


def a_call_is_opened(page: Page) -> str:
    """Plan the round with what is suggested, open the call; returns its address."""
    follow(page, "Plan a round")
    says(page, "Plan a round of Pebblewick 0.9.")
    expect(page.get_by_label("Testers a size")).to_have_value("3")
    press(page, "Plan the round")
    expect(page.get_by_text("Round 1 is planned. Nobody outside sees it yet.")).to_be_visible()
    press(page, "Open the call")
    return page.get_by_label("The address of the call").input_value()


# those who sew


def a_stranger_applies(page: Page, call: str, name: str, body: dict[str, str]) -> None:
    page.goto(call)
    says(page, "Saltmarsh Row asks you to sew a toile of Pebblewick, and to say how it fits.")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Your e-mail").fill(f"{name.partition(' ')[0].lower()}@testers.example")
    page.get_by_text("inches", exact=True).click()
    for measure, text in body.items():
        page.get_by_label(measure, exact=True).fill(text)
    page.get_by_label("Which size would you pick?").select_option("12")
    page.get_by_label("What do you print on?").select_option("a4")
    page.get_by_label("now and then").check()
    page.get_by_label("I am 18 or over").check()
    page.get_by_label(re.compile("may keep my measurements")).check()
    press(page, "Send the application")
    says(page, "Thank you. Your application is with Saltmarsh Row.")
    expect(page.get_by_role("main")).to_contain_text("With these measurements the pattern’s size is 12.")


def both_are_invited(page: Page) -> None:
    tab(page, "Panel")
    for name in ("Tindra Oake", "Maren Ask"):
        row = page.get_by_role("row", name=re.compile(name))
        expect(row.get_by_role("combobox")).to_have_value("12")
        row.get_by_role("button", name="Choose").click()
        expect(page.get_by_text(f"{name} is chosen.")).to_be_visible()
    press(page, "Invite the 2 who are chosen")
    expect(page.get_by_text("2 invitations are on their way.")).to_be_visible()
    press(page, "End the call, start sewing")
    expect(page.get_by_text("Sewing has started.")).to_be_visible()


def the_link_leads_in(page: Page, name: str) -> None:
    """A scanner of mail that opens the link takes part in nothing; the button does."""
    subject, link = mail_to(name)
    assert subject == "You are invited to sew Pebblewick 0.9"
    page.goto(link)
    says(page, "You are invited to sew Pebblewick 0.9.")
    assert not [cookie for cookie in page.context.cookies() if cookie["name"] == "sessionid"]
    assert Place.objects.get(email__startswith=name).accepted_at is None
    press(page, "I take part")
    expect(page).to_have_url(re.compile("/test/"))


def size_and_print_are_checked(page: Page) -> None:
    follow(page, "What you allow")
    says(page, "You decide what this studio may use.")
    page.get_by_label("My photos, to judge the fit").check()
    page.get_by_label("My words, quoted").check()
    press(page, "Keep this and go on")
    says(page, "Take these measurements, and we advise a size.")
    expect(page.get_by_label("Waist needed", exact=True)).to_have_value("29")
    page.get_by_label("Upper arm", exact=True).fill("11 1/4")
    saved(page)
    press(page, "Next: Your size")
    says(page, "You cut size 12, as advised.")
    expect(page.get_by_role("main")).to_contain_text("is nearest to size 12, drafted for 36 1/2 in (92.5 cm).")
    press(page, "Next: Print and test square")
    says(page, "Print, measure the square, then cut.")
    with page.expect_download() as file:
        page.get_by_role("link", name="Download").click()
    assert file.value.suggested_filename == "pebblewick_0.9_a4.pdf"
    for way in ("Across the page", "Down the page"):
        page.get_by_label(way).fill("10 cm")
    expect(page.get_by_text("Good to cut.")).to_be_visible()
    press(page, "Next: How it fits")


def saved(page: Page) -> None:
    expect(page.locator("#saved")).to_contain_text("Saved")


def the_fit_is_told_on_the_form(page: Page) -> None:
    says(page, "Where does it not fit?")
    page.locator(".dform-name[data-label='waist'] text").first.click()
    page.get_by_label("much too tight").check()
    page.get_by_label("I would let it out by").fill("1")
    page.get_by_label("What do you see?").fill("Folds run round the waist.")
    expect(page.locator("#live_marked")).to_contain_text("much too tight")
    expect(page.locator("#live_marked")).to_contain_text("Folds run round the waist.")
    expect(page.locator("#live_rest")).to_contain_text("Not said yet: neck")
    page.get_by_label("All these I looked at, fine").check()
    expect(page.locator("#live_rest")).to_contain_text("Fine: neck")
    press(page, "Next: Photos")


def the_rest_is_told(page: Page) -> None:
    picture = {"name": "front.jpg", "mimeType": "image/jpeg", "buffer": photo(seed=1, folds=["waist"])}
    page.locator("form[data-photos] input[type=file]").first.set_input_files(picture)
    press(page, "Send the photo")
    expect(page.get_by_role("img", name="Your photo: Front")).to_be_visible()
    page.get_by_role("link", name="Next: The instructions").click()
    follow(page, "Note step 3")
    says(page, "Step 3: what was wrong?")
    page.get_by_label("I got lost here").check()
    page.get_by_label("Where did you get lost?").fill("Which notch?")
    saved(page)
    press(page, "Back to all steps")
    expect(page.get_by_role("main")).to_contain_text("I got lost here")
    press(page, "Next: Fabric and time")
    page.get_by_label("Anything else, in your words").fill("The collar stands well.")
    saved(page)
    press(page, "Next: Read through and send")
    says(page, "Read it through, then send it.")
    expect(page.get_by_role("main")).to_contain_text("Waist much too tight")
    press(page, "Send the report")
    says(page, "Thank you. Your report is with the studio.")


def the_short_way_without_a_script(page: Page, name: str) -> None:
    """Only what a report needs: the size is the one that was advised, one place is tight, the rest is fine."""
    the_link_leads_in(page, name)
    follow(page, "How it fits")
    page.locator(".dform-name[data-label='waist'] text").first.click()
    page.get_by_label("a bit tight").check()
    page.get_by_label("All these I looked at, fine").check()
    press(page, "Next: The instructions")
    page.get_by_role("navigation", name="Parts of the report").get_by_role("link", name="Send").click()
    says(page, "Read it through, then send it.")
    press(page, "Send the report")
    says(page, "Thank you. Your report is with the studio.")


# what it tells


def the_overview_has_brought_itself_up_to_date(page: Page) -> None:
    says(page, "One thing to change, and three sizes need more reports.")
    expect(page.locator("#updated")).to_contain_text("Updated")
    expect(page.get_by_role("link", name="2 of 2 tight")).to_be_visible()
    expect(page.locator(".readings")).to_contain_text("1 of these 2 would add 2.5 cm (1 in).")


def an_answer_is_set_aside_and_put_back(page: Page) -> None:
    follow(page, "Open the evidence The waist is tight")
    says(page, "The waist is tight in the whole range.")
    expect(page.get_by_role("main")).to_contain_text("Folds run round the waist.")
    picture = page.get_by_role("img", name="Toile of Tindra Oake in size 12: Front")
    expect(picture).to_have_js_property("naturalWidth", 384)
    follow(page, "Set it aside Maren Ask")
    weigh(page, "Set aside", "Sewn with a wider seam.", "Set it aside")
    says(page, "one answer is set aside.")
    follow(page, "Waist")
    says(page, "1 of 1 tight at the waist in size 12.")
    follow(page, "The whole report Maren Ask")
    weigh(page, "Put back", "The seam was as drawn.", "Put it back")
    follow(page, "Waist")
    says(page, "2 of 2 tight at the waist in size 12.")
    expect(page.get_by_role("main")).to_contain_text("Put back: The seam was as drawn.")


def weigh(page: Page, summary: str, reason: str, button: str) -> None:
    """Say of the answer on the waist, on the page of a report, whether it counts."""
    line = page.locator(".answers > li").filter(has=page.get_by_role("link", name="Waist", exact=True))
    line.locator("summary", has_text=summary).click()
    line.get_by_label("Reason").fill(reason)
    line.get_by_role("button", name=button).click()
    expect(line).to_contain_text(reason)


def a_decision_is_recorded(page: Page) -> None:
    follow(page, "The waist is tight in the whole range")
    form = page.get_by_role("form", name="Decide")
    # The reading allows the whole range too; the number that is taken is the grade check's, of one size.
    expect(form.get_by_label("One size")).to_be_checked()
    form.get_by_label("Why, in your words").fill("The side seam slipped when 12 was drawn.")
    form.get_by_role("button", name="Record the decision").click()
    expect(page.get_by_text("The decision is recorded.")).to_be_visible()
    expect(page.locator("#decided")).to_contain_text("The side seam slipped when 12 was drawn.")


def the_papers_are_made(page: Page) -> None:
    tab(page, "Version 0.9")
    tables = paper(page, page.get_by_role("link", name="PDF on A4").get_attribute("href") or "")
    assert tables.title == "Pebblewick 0.9: measurements"
    assert ("Bust", "89.0 35", "92.5 36 1/2", "96.5 38", "101.5 40") in tables.tables[0]
    assert ("Waist", "7.5 3", "5.0 2", "7.5 3", "7.5 3") in tables.tables[0]
    tab(page, "Round")
    follow(page, "Summary to print")
    with page.expect_response(re.compile("/summaries/")) as made:
        press(page, "Make the summary")
    summary = paper(page, made.value.url)
    assert summary.title == "Pebblewick 0.9, Round 1: fit summary"
    for told in ("The waist is tight in the whole range", "2 of 2 tight", "The side seam slipped", "Folds run round"):
        assert told in " ".join(summary.text.split())
    assert "Tindra" not in summary.text


def paper(page: Page, address: str) -> ReadPdf:
    """What the browser gets there, read as a PDF."""
    answer = page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    return read_pdf(answer.body())


# a second pair of eyes


def a_reviewer_is_invited(page: Page) -> str:
    page.goto("/")
    tab(page, "People")
    page.get_by_label("Their e-mail").fill("haruka@saltmarsh.example")
    expect(page.get_by_label("reviewer: reads everything")).to_be_checked()
    press(page, "Send the invitation")
    expect(page.get_by_text("The invitation to haruka@saltmarsh.example is on its way.")).to_be_visible()
    return mail_to("haruka")[1]


def the_reviewer_reads_and_changes_nothing(page: Page, link: str) -> None:
    page.goto(link)
    says(page, "Saltmarsh Row invites you as reviewer.")
    follow(page, "Make an account")
    expect(page.get_by_label("E-mail")).to_have_value("haruka@saltmarsh.example")
    sign_up(page, "Haruka Velloso", "haruka@saltmarsh.example")
    press(page, "Accept the invitation")
    says(page, "One pattern, and it is in testing.")
    nothing_to_change(page)
    follow(page, "Pebblewick")
    tab(page, "Round")
    says(page, "three sizes need more reports.")
    nothing_to_change(page)
    follow(page, re.compile("^12 ?, flagged in 1 zone"))
    says(page, "Size 12")
    nothing_to_change(page)
    follow(page, "The whole report Tindra Oake")
    says(page, "Tindra Oake, size 12")
    expect(page.get_by_role("img", name="Toile of Tindra Oake: Front")).to_be_visible()
    nothing_to_change(page)
    follow(page, "Waist")
    follow(page, "The waist is tight in the whole range")
    expect(page.locator("#decided")).to_contain_text("The side seam slipped when 12 was drawn.")
    nothing_to_change(page)


def nothing_to_change(page: Page) -> None:
    """No form that sends anything, and no way to a page that would."""
    expect(page.locator("main form[method=post]")).to_have_count(0)
    for word in ("Change", "Start", "Set it aside", "Put back", "Decide", "Plan", "Invite"):
        expect(page.get_by_role("main").get_by_role("link", name=re.compile(f"^{word}"))).to_have_count(0)
