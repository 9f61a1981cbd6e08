"""The people's counts, and the tables of docs/algorithms/counts.md."""

from __future__ import annotations

import pytest

from testing_rounds.counts import BOTH_WAYS, count, level_of, statement
from testing_rounds.round_data import Zone
from tests.testing_rounds.rounds import a_report, a_round, answers_by_size, example, table

PAGE = "algorithms/counts.md"


def test_the_table_of_the_page():
    data = example().at_stage()
    counts = count(data)
    found = [
        {"zone": zone.key}
        | {cell.size: f"{cell.statement}: {cell.level.replace('_', ' ')}" for cell in counts.row(zone.key)}
        for zone in data.zones
    ]
    assert found == table(PAGE, "zone", "34")


def test_the_totals_of_the_page():
    totals = count(example().at_stage()).totals.values()
    found = [
        (t.zone, f"{t.low} low, {t.high} high of {t.counted}", f"{t.raw_low} low, {t.raw_high} high of {t.raw}")
        for t in totals
    ]
    assert found == [tuple(row.values()) for row in table(PAGE, "zone", "complaints that count")]


@pytest.mark.parametrize(
    ("low", "high", "fits", "level"),
    [
        (0, 0, 0, "too_few"),
        (1, 0, 0, "too_few"),
        (0, 0, 1, "too_few"),
        (0, 0, 2, "quiet"),
        (1, 0, 1, "watch"),
        (2, 0, 0, "repeated"),
        (2, 0, 2, "repeated"),
        (2, 0, 3, "watch"),
        (3, 0, 3, "repeated"),
        (0, 2, 1, "repeated"),
        (1, 1, 0, "watch"),
        (2, 2, 0, "repeated"),
        (2, 3, 0, "repeated"),
    ],
)
def test_the_level_of_a_cell(low, high, fits, level):
    assert level_of(low, high, fits) == level
    assert level_of(high, low, fits) == level


@pytest.mark.parametrize(
    ("low", "high", "fits", "said"),
    [
        (3, 0, 1, "3 of 4 tight"),
        (0, 2, 2, "2 of 4 loose"),
        (1, 2, 1, "2 of 4 loose, 1 of 4 tight"),
        (2, 2, 0, "2 of 4 tight, 2 of 4 loose"),
        (0, 0, 3, "3 of 3 fit"),
        (0, 0, 0, "no answer counts"),
    ],
)
def test_a_cell_says_what_it_counts(low, high, fits, said):
    assert statement(Zone("bust", "bust", "tight", "loose"), low, high, fits) == said


@pytest.mark.parametrize(
    ("fits", "direction"), [([0, 0], 0), ([-1, 0], -1), ([1, 0], 1), ([-1, 1], -1), ([-1, 2], 1), ([-2, 1, 1], 1)]
)
def test_the_direction_of_a_cell(fits, direction):
    counts = count(a_round(answers_by_size("bust", {"12": fits})))
    assert counts.cells["bust", "12"].direction == direction


def test_unanswered_is_not_a_fit():
    counts = count(a_round([a_report("A", zones={"cuff": 0}), a_report("B", zones={"cuff": 0, "bust": 0})]))
    assert counts.cells["bust", "12"].counted == 1
    assert counts.cells["bust", "12"].level == "too_few"
    assert counts.cells["cuff", "12"].fits == 2


def test_a_blend_counts_in_the_size_sewn_at_the_zone():
    counts = count(a_round([a_report(size="12", zones={"bust": -1, "cuff": 0}, sizes={"bust": "14"})]))
    assert (counts.cells["bust", "14"].low, counts.cells["bust", "12"].counted) == (1, 0)
    assert counts.cells["cuff", "12"].fits == 1


def test_what_is_set_aside_stays_in_its_cell():
    reports = [a_report("A", zones={"cuff": -1}, test_square=9.0), a_report("B", zones={"cuff": -1})]
    cell = count(a_round(reports)).cells["cuff", "12"]
    assert [answer.tester for answer in cell.counted_answers] == ["B"]
    assert [answer.tester for answer in cell.aside] == ["A"]
    assert (cell.low, cell.counted, cell.statement) == (1, 1, "1 of 1 tight")


def test_a_cell_can_repeat_both_ways():
    cell = count(a_round(answers_by_size("bust", {"12": [-1, -1, 1, 1]}))).cells["bust", "12"]
    assert [cell.repeated(direction) for direction in BOTH_WAYS] == [True, True]


def test_every_zone_and_size_has_a_cell():
    data = a_round([])
    counts = count(data)
    assert list(counts.cells) == [(zone.key, size) for zone in data.zones for size in data.sizes]
    assert {cell.level for cell in counts.cells.values()} == {"too_few"}


def test_the_panel_says_where_answers_are_missing():
    reports = [
        a_report("A", "12", {"bust": 0, "cuff": 0, "back_length": 0}),
        a_report("B", "12", {"bust": 0, "cuff": 0}),
        a_report("C", "14", {"bust": 0}),
    ]
    by_size = {one.size: one for one in count(a_round(reports)).coverage}
    assert (by_size["12"].reports, by_size["12"].thin_zones) == (2, ("back_length",))
    assert by_size["14"].reports == 1
    assert by_size["14"].thin_zones == ("bust", "back_length", "cuff")
    assert not by_size["14"].enough


def test_one_stage_is_counted_at_a_time():
    data = example()
    assert sum(one.reports for one in count(data.at_stage()).coverage) == 14
    assert sum(one.reports for one in count(data.at_stage("finished")).coverage) == 1
    assert data.at_stage("toile") == data.at_stage()
