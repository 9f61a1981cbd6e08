"""A round file through the app and out again loses nothing; the number of queries does not grow."""

import json
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from people.models import Studio
from testing_rounds.actions.round_files import AlreadyThereError, import_round
from testing_rounds.evidence import weigh
from testing_rounds.models import FitReport, Round
from testing_rounds.round_file import dump, parse
from testing_rounds.round_store import load_round

pytestmark = pytest.mark.django_db

NULLS = dict.fromkeys(
    ("stage", "submitted", "body", "test_square", "steps", "sizes", "version", "file", "fabric", "toile", "put_back")
)
ODD = {
    "round_file": 1,
    "pattern": {"name": "Skerry", "fabric": "knit", "drafted_height": 168, "stretch": 30, "house": {"a": [1, None]}},
    "version": "0.2 b",
    "unit": "cm",
    "sizes": ["S", "M", "20W"],
    "base_size": None,
    "test_square": 10,
    "body_chart": {"bust": [88.25, None, 107], "nobody": [None, None, None]},
    "finished_chart": {"bust": [84, 92, 101.6]},
    "zones": [
        {"key": "bust", "label": "bust", "low": "tight", "high": "loose", "body_point": "bust", "scale_cm": 1.2},
        {"label": "yoke", "key": "yoke", "low": "rides up", "high": "hangs", "body_point": None, "mood": "odd"},
    ],
    "reports": [
        {
            "tester": "T01",
            "size": "M",
            "stage": "toile",
            "submitted": "2026-03-01T10:00:00Z",
            "body": {"bust": 96.5, "waist": None},
            "test_square": None,
            "zones": {"bust": {"fit": -2, "altered": False, "change": 2.54}, "yoke": {"fit": 0, "why": "?"}},
            "steps": [{"step": 9, "text": "sides"}, "a word", 7],
            "sizes": {"bust": "20W"},
            "version": "0.1",
            "file": "large",
            "fabric": {"stretch": 25, "name": "jersey"},
            "toile": {"bust": 92.4, "waist": None},
            "set_aside": [{"zone": "yoke", "reason": "sewn inside out", "by": "K"}],
            "put_back": [{"zone": "yoke", "reason": "it was not"}],
            "mood": ["fine"],
        },
        {"tester": "T01", "size": "M", "stage": "finished", "zones": {}},
        {"tester": "T02", "size": "S", "stage": "toile", "zones": {"bust": {"fit": 1}}, "submitted": "in March"},
        {"tester": "T03", "size": "S", "zones": {"bust": {"fit": 0, "altered": None, "change": None}}, **NULLS},
    ],
    "weather": "dry",
}


@pytest.fixture
def studio():
    return Studio.objects.create(name="Saltmarsh Row")


def read(studio, document=ODD):
    return import_round(studio=studio, data=parse(json.dumps(document)), by=None)


def test_nothing_is_lost_on_the_way_through_the_app(studio):
    read(studio)
    assert dump(load_round(Round.objects.get())) == ODD


def test_the_same_version_twice_is_refused_and_changes_nothing(studio):
    read(studio)
    with pytest.raises(AlreadyThereError, match=r"already has Skerry 0.2 b"):
        read(studio)
    assert FitReport.objects.count() == 4


def test_two_versions_belong_to_one_pattern(studio):
    read(studio)
    read(studio, {**ODD, "version": "0.3"})
    assert studio.patterns.count() == 1
    assert studio.patterns.get().versions.count() == 2


def test_the_stages_are_read_apart(studio):
    evidence = weigh(read(studio))
    assert evidence.stages == ("toile", "finished")
    assert [row.place.alias for row in evidence.rows] == ["T01", "T02", "T03"]
    assert weigh(evidence.found, stage="finished").data.reports[0].zones == {}


@pytest.mark.parametrize("count", [4, 400])
def test_a_round_is_weighed_in_the_same_number_of_queries(studio, count):
    reports = [{"tester": f"T{i}", "size": "M", "stage": "toile", "zones": {"bust": {"fit": 0}}} for i in range(count)]
    found = read(studio, {**ODD, "reports": reports})
    found = Round.objects.select_related("version__pattern", "version__body_chart", "version__finished_chart").get(
        pk=found.pk
    )
    with CaptureQueriesContext(connection) as queries:
        evidence = weigh(found)
        assert evidence.counts.cells["bust", "M"].counted == count
    assert len(queries) <= 7


def test_examples_in_the_documents_pass_through(studio):
    for path in sorted((Path(__file__).parents[2] / "docs" / "examples").glob("*.json")):
        document = json.loads(path.read_text())
        if "round_file" not in document:
            continue
        assert dump(load_round(read(studio, document))) == document
