"""Looking back on size advice: which side of a boundary was happier, from counted answers, and never a new rule."""

from __future__ import annotations

import pytest
from django.urls import reverse

from testing_rounds.size_lesson import BetweenSizes, lesson_sentences, size_lesson
from tests.factories import make_cast, signed_in
from tests.measurements.tables import worked_table
from tests.testing_rounds.imported import imported, words
from tests.testing_rounds.rounds import a_report, a_round

TIGHT = (("bust", -1),)


def report(number: int, sewn: str, complaints: tuple = (), **more: object) -> BetweenSizes:
    return BetweenSizes(number, "14", "16", 0.5, sewn, complaints, **more)


def side(size: str, happy: int, unhappy: int, first: int = 0) -> list[BetweenSizes]:
    return [report(first + i, size, () if i < happy else TIGHT) for i in range(happy + unhappy)]


@pytest.mark.parametrize("row", worked_table("size-lesson.md", "Worked examples"), ids=lambda row: row["example"])
def test_the_worked_examples_of_the_page(row):
    small, large = (tuple(map(int, row[name].split(" of "))) for name in ("smaller", "larger"))
    lesson = size_lesson([*side("14", small[0], small[1] - small[0]), *side("16", large[0], large[1] - large[0], 50)])
    assert str(lesson_sentences(lesson)[0]) == row["said"]
    assert (f"{lesson.chance:.3f}" if lesson.enough else "-") == row["chance"]


def test_who_said_nothing_or_sewed_a_third_size_is_on_neither_side():
    silent, third = report(1, "14", looked=False), report(2, "18")
    lesson = size_lesson([silent, third, report(3, "14", looked=False, again=True)])
    assert lesson.left_out == (silent, third)
    assert lesson.smaller.all == 1


def test_not_the_same_size_again_is_no_contentment():
    lesson = size_lesson(
        [report(1, "14", again=False), report(2, "14", TIGHT, again=True), report(3, "14", again=True)]
    )
    assert (len(lesson.smaller.happy), len(lesson.smaller.unhappy)) == (1, 2)


def test_the_page_of_a_round_shows_the_reports_behind_the_count(db):
    """Bust 90 is half-way from 10 (88) to 12 (92): two sewed 12 and are content, two sewed 10, one of them tight."""
    cast = make_cast()
    body = {"bust": 90.0}
    sewn = {"fern": ("12", 0), "moss": ("12", 0), "sedge": ("10", -1), "rush": ("10", 0), "reed": ("10", -1)}
    reports = [a_report(name, size, {"bust": fit}, body=body) for name, (size, fit) in sewn.items()]
    found = imported(cast.studio, a_round([*reports, a_report("heath", "14", {"bust": -2}, body={"bust": 96.0})]))
    page = words(signed_in(cast.reviewer).get(reverse("round_advice", args=[found.ref])))
    assert "Between two sizes, those who sewed the larger were happier." in page
    assert "Of 3 who sewed the smaller, 1 had no complaint about a width; of 2 who sewed the larger, 2." in page
    assert "bust tight" in page
    assert "heath" not in page
    assert signed_in(cast.outsider).get(reverse("round_advice", args=[found.ref])).status_code == 404
