"""From a reading to the next chart, without a database: the worked examples of docs/algorithms/next-version.md."""

from __future__ import annotations

from decimal import Decimal

import pytest

from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.grade_check import check_grade
from measurements.sentences import sentence
from releases.fabric_ahead import Growth, growths
from testing_rounds.correction import Estimate, Graded, asked_estimate, correct, rounding_of
from testing_rounds.counts import count
from testing_rounds.demo import scenario
from testing_rounds.next_chart import Accepted, apply_decisions, before_after, next_number
from testing_rounds.reading import read
from testing_rounds.resewing import Change, Sewer, resew
from testing_rounds.two_layers import reconcile
from tests.testing_rounds.rounds import SIZES, a_round, answers_by_size, table

PAGE = "algorithms/next-version.md"
NOTHING = "–"


def mm(cm):
    return Decimal(str(cm)) * 10


def chart(rows, unit="cm"):
    per = Decimal(10) if unit == "cm" else Decimal("25.4")
    lines = (
        ChartLine(key, key, tuple(ChartCell(Decimal(str(value)) * per, str(value), unit) for value in values))
        for key, values in rows.items()
    )
    return ChartTable(SIZES, "12", tuple(lines))


FINISHED, BODY = chart(scenario.FINISHED), chart(scenario.BODY)


@pytest.mark.parametrize("row", table(PAGE, "shape", "testers say (cm)"))
def test_the_worked_examples_of_a_correction(row):
    sizes = SIZES if row["shape"] == "whole_range" else ("18",)
    told, grade = row["testers say (cm)"], row["grade check says"]
    low, high = row["range"].split(" to ") if told != NOTHING else (None, None)
    estimate = Estimate(
        {} if told == NOTHING else {size: mm(told) for size in sizes},
        {} if told == NOTHING else {size: (mm(low), mm(high)) for size in sizes},
    )
    graded = [] if grade == NOTHING else [Graded(sentence("slip", "A slip."), {"18": mm(grade)})]
    steps = (Decimal(5), Decimal(1)) if row["row rounded to"] == "0.5" else (Decimal(1),)
    found = correct("waist", row["shape"], -1, sizes, SIZES, estimate=estimate, graded=graded, steps=steps)
    assert found.source == row["source"]
    expected = {} if row["taken"] == NOTHING else {size: mm(row["taken"]) for size in sizes}
    assert found.changes == expected
    assert str(found.says)


@pytest.mark.parametrize("row", table(PAGE, "measure", "change (cm)"))
def test_pieces_grow_with_the_garment(row):
    grown = growths([(row["measure"], "18", mm(row["change (cm)"])), ("hip", "18", mm(0.1))])
    expected = (mm(row["each piece longer by (cm)"]), mm(row["wider by (cm)"]))
    assert grown == {"18": Growth(expected[0], max(expected[1], mm(0.025)))}, "of two changes the larger counts"


def test_the_grade_check_is_confirmed_or_not_by_the_testers():
    slip = Graded(sentence("slip", "A slip."), {"18": mm(2.5)})
    for high, agrees in ((3.4, True), (2.0, False)):
        estimate = Estimate({"18": mm(1.8)}, {"18": (mm(1.0), mm(high))})
        found = correct("waist", "one_size", -1, ["18"], SIZES, estimate=estimate, graded=[slip])
        assert (found.changes, found.agrees) == ({"18": mm(2.5)}, agrees)


def test_a_row_tells_how_it_is_rounded_and_what_was_asked_is_a_median():
    assert rounding_of([mm(38), mm(38.5), None]) == (Decimal(5), Decimal(1))
    assert rounding_of([mm(30), mm(31.2)]) == (Decimal(1),)
    assert rounding_of([Decimal("876.3")], inches=True)[0] == Decimal("3.175")
    asked = asked_estimate({"18": [mm(1), mm(3), mm(2)], "20": []}, pooled=False)
    assert (asked.by_size, asked.ranges) == ({"18": mm(2)}, {"18": (mm(1), mm(3))})
    assert asked_estimate({"6": [mm(1)], "24": [mm(2)]}, pooled=True).by_size == {"6": mm(1.5), "24": mm(1.5)}


def demo_fix():
    arm = dict(zip(("16", "18", "20", "22", "24"), ("0.4", "0.8", "1.6", "2.4", "3.2"), strict=True))
    return [
        Accepted("back_length", dict.fromkeys(SIZES, mm("1.5"))),
        Accepted("upper_arm", {size: mm(change) for size, change in arm.items()}),
        Accepted("waist", {"18": mm("2.5")}),
    ]


def test_the_demo_chart_is_mended_to_the_digit_and_the_grade_check_finds_nothing_more():
    made = apply_decisions(FINISHED, demo_fix())
    for row in table(PAGE, "measure", "6"):
        line = made.table.line(row["measure"])
        assert [cell.mm for cell in line.cells] == [mm(row[size]) for size in SIZES]
    assert [cell.typed for cell in made.table.line("waist").cells[5:8]] == ["87", "92", "98.5"]
    assert len(made.changes) == 10 + 5 + 1
    assert not made.nowhere
    assert FINISHED.mm_at("waist", "18") == mm(89.5), "the chart before stays as it was"
    body = ChartTable(
        BODY.sizes,
        BODY.base,
        tuple(ChartLine(one.key, one.label, one.cells, scenario.BREAKS.get(one.key, ())) for one in BODY.lines),
    )
    assert check_grade(body, FINISHED).findings
    assert not check_grade(body, made.table).findings


def test_before_and_after_show_steps_and_ease():
    made = apply_decisions(FINISHED, demo_fix())
    (waist,) = before_after(FINISHED, made.table, BODY, {"waist"})
    at_18, at_20 = waist.sizes[6], waist.sizes[7]
    assert (at_18.change, at_18.ease_before, at_18.ease_after) == (mm(2.5), mm(1.5), mm(4))
    assert (at_20.change, at_20.step_before, at_20.step_after, at_20.step_changes) == (0, mm(9), mm("6.5"), True)


def test_inches_land_on_a_sixteenth_changes_add_up_and_what_is_not_there_is_told():
    inches = chart({"waist": ("26", *["30"] * 9)}, "in")
    made = apply_decisions(inches, [Accepted("waist", {"6": mm("1.5")}), Accepted("sweep", {"6": mm(1)})])
    assert made.table.line("waist").cells[0] == ChartCell(Decimal("674.6875"), "26 9/16", "in")
    assert made.nowhere == (("sweep", "6"),)
    twice = apply_decisions(FINISHED, [Accepted("waist", {"6": mm(1)}), Accepted("waist", {"6": mm(-1)})])
    assert not twice.changes
    assert twice.table == FINISHED


@pytest.mark.parametrize(
    ("number", "following"), [("0.9", "0.10"), ("0.10", "0.11"), ("1.0", "1.1"), ("1.0.1", "1.0.2"), ("x", "")]
)
def test_the_next_number(number, following):
    assert next_number(number) == following
    assert next_number("0.10", for_sale=True) == "1.0"


SEWERS = [
    Sewer(f"{size}{letter}", size, "a4" if letter == "a" else "letter", near=letter == "b", complains=letter == "a")
    for size in SIZES
    for letter in "abc"
]


@pytest.mark.parametrize("row", [row for row in table(PAGE, "decision", "sizes touched") if row["again"][0].isdigit()])
def test_who_sews_what_again(row):
    touched = SIZES if row["sizes touched"] == "all" else tuple(row["sizes touched"].split())
    tasks = resew(Change(row["decision"], touched, SIZES, "12"), SEWERS)
    sewn, _, paper = row["again"].partition("; on paper ")
    assert sorted((task.size for task in tasks if task.sewn), key=SIZES.index) == sewn.removesuffix(
        " (two testers)"
    ).split(", ")
    assert [task.size for task in tasks if not task.sewn] == (paper.split(", ") if paper else [])
    for task in tasks:
        if task.sewn:
            wanted = 2 if row["decision"] == "one_size" else 1
            assert task.who == (f"{task.size}b", f"{task.size}a")[:wanted], "near the chart first, then who complained"
            assert task.short == 0


def test_words_files_and_advice_are_proved_without_sewing():
    lost = [Sewer("Ada", "12", lost=True), Sewer("Bo", "14", "a4"), Sewer("Cy", "16", fits_size="18")]
    (words,) = resew(Change("wording", (), SIZES, step=9), lost)
    assert (words.who, words.fresh, words.sewn) == (("Ada",), True, False)
    (print_,) = resew(Change("print", (), SIZES, file="a4"), lost)
    assert (print_.who, print_.short) == (("Bo",), 2)
    (moves,) = resew(Change("advice", (), SIZES), lost)
    assert moves.who == ("Cy",)
    assert resew(Change("leave", (), SIZES), lost) == ()
    assert resew(Change("one_size", ("18",), SIZES), [])[0].short == 2


def layers(row):
    data = a_round(answers_by_size("bust", row))
    return reconcile(count(data).row("bust"), read(data, method="counts")[0])


def test_two_layers_are_reconciled_in_one_sentence():
    fine = {size: [0, 0, 0] for size in SIZES}
    assert layers(fine) is None
    assert layers({**fine, "20": [-1, -1, 0], "22": [-1, -1, 0], "24": [-1, -1, 0]}) is None
    beyond = layers({**fine, "6": [-1, -1, 0], "20": [-1, -1, 0], "22": [-1, -1, 0], "24": [-1, -1, 0]})
    assert "The counts repeat the complaint in 6" in str(beyond)
    assert "opposite" in str(layers({**fine, "6": [1, 1, 0], "22": [-1, -1, 0], "24": [-1, -1, 0]}))
    assert "no pattern" in str(layers({**fine, "12": [-1, -1, 0], "16": [-1, -1, 0]}))


@pytest.mark.parametrize(
    ("proposed", "kind"),
    [({"18": "25"}, "one_size"), ({"18": "10", "20": "20"}, "grade"), (dict.fromkeys(SIZES, "15"), "draft")],
)
def test_the_grade_checks_numbers_say_what_is_changed_by_them(proposed, kind):
    """Whatever shape the testers' complaints have: what is taken is what is decided."""
    numbers = {size: Decimal(mm) for size, mm in proposed.items()}
    graded = Graded(sentence("slip", "The 18 is small."), numbers)
    found = correct("waist", "whole_range", -1, SIZES, SIZES, estimate=Estimate({}), graded=[graded])
    assert (found.kind, found.changes) == (kind, numbers)
