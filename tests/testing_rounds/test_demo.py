"""The demo is made by the app's own actions, and its five planted faults are read back."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from people.models import Person
from releases.models import FileKind
from releases.sign_offs import standing, verify_studio
from testing_rounds.demo import scenario
from testing_rounds.evidence import weigh
from testing_rounds.models import FitReport, NoteKind, Photo, PhotoState, PrintCheck, Round, StepNote
from testing_rounds.panel_choice_page import ChoicePage
from testing_rounds.panel_page import Panel

pytestmark = pytest.mark.django_db

# What each of the faults of fit needs, in cm.
PLANTED = {
    "back_length": dict.fromkeys(("6", "8", "10", "12", "14", "16", "18", "20", "22", "24"), 1.5),
    "upper_arm": {"18": 0.8, "20": 1.6, "22": 2.4, "24": 3.2},
    "waist": {"18": 2.5},
}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo takes seconds to make: once for all tests of this module, and gone after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        call_command("demo", stdout=StringIO())
        yield
        transaction.set_rollback(True)


@pytest.fixture
def evidence(demo):
    return weigh(Round.objects.select_related("version__pattern__studio").get(version__pattern__name=scenario.PATTERN))


def told(evidence, zone):
    reading = evidence.readings[zone]
    return reading.reading, reading.direction, reading.sizes


def test_three_faults_of_fit_are_read_and_nothing_else(evidence):
    assert told(evidence, "back_length") == ("whole_range", -1, evidence.data.sizes)
    assert told(evidence, "upper_arm") == ("growing_up", -1, ("18", "20", "22", "24"))
    assert told(evidence, "waist") == ("one_size", -1, ("18",))
    loud = {zone for zone, reading in evidence.readings.items() if reading.reading != "none"}
    assert loud == {"back_length", "upper_arm", "waist"}
    assert {zone for zone, reading in evidence.readings.items() if reading.level == "repeated"} == loud


def test_the_counts_are_those_of_the_story(evidence):
    counts = evidence.counts
    assert (counts.totals["bust"].raw_low, counts.totals["bust"].raw) == (7, 29)
    assert (counts.totals["bust"].low, counts.totals["bust"].counted) == (0, 22)
    assert (counts.totals["back_length"].low, counts.totals["back_length"].counted) == (23, 25)
    arms = [counts.cells["upper_arm", size] for size in ("18", "20", "22", "24")]
    assert [(cell.low, cell.counted) for cell in arms] == [(2, 3), (3, 3), (3, 3), (3, 3)]
    assert len(evidence.rows) == 29


def test_the_wording_of_step_nine_is_noted_by_twelve(evidence):
    notes = StepNote.objects.filter(kind=NoteKind.DISAGREES)
    assert set(notes.values_list("step", flat=True)) == {9}
    assert notes.count() == 12


def test_every_first_print_of_the_a4_file_is_small(evidence):
    checks = PrintCheck.objects.filter(file_kind=FileKind.A4).order_by("place", "id")
    first = {check.place_id: float(check.across_mm) for check in reversed(checks)}
    assert len(first) == 10
    assert all(97 <= read <= 97.5 for read in first.values())


def test_its_photos_are_ready_and_its_drafts_are_there(evidence):
    assert Photo.objects.count() >= 12
    assert set(Photo.objects.values_list("state", flat=True)) == {PhotoState.READY}
    assert FitReport.objects.filter(submitted_at=None).count() == 1


def test_the_exported_round_reads_the_same_through_the_command(evidence, tmp_path):
    exported, printed = StringIO(), StringIO()
    call_command("export_round", "pebblewick-0.9", stdout=exported)
    file = tmp_path / "round.json"
    file.write_text(exported.getvalue())
    call_command("import_round", str(file), studio="An empty studio", stdout=StringIO())
    again = weigh(Round.objects.select_related("version__pattern__studio").latest("id"))
    assert again.flags == evidence.flags
    assert {key: cell.statement for key, cell in again.counts.cells.items()} == {
        key: cell.statement for key, cell in evidence.counts.cells.items()
    }
    call_command("read_round", str(file), "--json", stdout=printed)
    read = {one["zone"]: one for one in json.loads(printed.getvalue())}
    assert [zone for zone, one in read.items() if one["reading"] != "none"] == ["back_length", "waist", "upper_arm"]
    for zone, planted in PLANTED.items():
        assert (read[zone]["level"], read[zone]["sizes"]) == ("repeated", list(planted))
        for size, change in planted.items():
            low, high = read[zone]["interval_cm"][size]
            assert low <= change <= high, (zone, size)


def test_names_do_not_leave_in_a_round_file(evidence):
    exported = StringIO()
    call_command("export_round", "pebblewick-0.9", stdout=exported)
    for place in evidence.places:
        assert f'"{place.name}"' not in exported.getvalue()
        assert place.email not in exported.getvalue()


def test_a_second_time_makes_nothing_and_links_are_printed_for_six(evidence):
    call_command("demo", stdout=StringIO())
    assert Person.objects.count() == 3
    printed = StringIO()
    call_command("demo", "--links", "--base-url", "http://127.0.0.1:9", stdout=printed)
    lines = printed.getvalue().splitlines()
    assert [line.split(" (")[0] for line in lines] == [
        f"Sign in as {role}" for role in ("owner", "designer", "reviewer", "tester", "tester", "tester")
    ]
    assert all(": http://127.0.0.1:9/" in line for line in lines)


def test_there_is_no_demo_where_its_links_must_not_work(settings):
    settings.DEMO_SIGN_IN = False
    with pytest.raises(CommandError):
        call_command("demo")


def test_some_sizes_are_signed_with_a_note_and_18_is_held(evidence):
    version = evidence.found.version
    said = {size: row.state for size, row in standing(version).items()}
    assert said == {"10": "noted", "12": "noted", "14": "noted", "18": "held"}
    assert verify_studio(version.pattern.studio).found == ()


def test_a_call_is_open_with_more_who_would_sew_than_places(demo):
    called = Round.objects.get(state="call_open")
    page = ChoicePage(Panel(called))
    assert (page.cost()["people"], len(page.candidates), called.places.count()) == (15, 21, 22)
    assert page.best.gap == 0
    assert not called.places.exclude(state="applied").exists()
