"""A working copy as plain values: what changes its shape and back, and how a revision saved beside it comes in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from measurements.body_measures import BODY_MEASURES
from measurements.chart_grid import open_chart, read_grid, table_of
from measurements.chart_text import ChartLimits
from measurements.charts import ChartTable
from measurements.working_shape import ShapeChange, ShapeError, change_from_json, changed
from measurements.working_state import WorkingState, rebased, state_from_json, state_of
from tests.factories import chart_table

LIMITS = ChartLimits(most_sizes=4, most_rows=4)


def state(table: ChartTable | None = None) -> WorkingState:
    return state_of(open_chart(table or chart_table(), "cm"))


def after(change: ShapeChange, before: WorkingState | None = None) -> tuple[WorkingState, ShapeChange]:
    return changed(before or state(), change, catalogue=BODY_MEASURES, limits=LIMITS)


def labels(one: WorkingState) -> tuple[list[str], list[str], str | None]:
    grid = one.grid("cm")
    return list(grid.sizes), [row.label for row in grid.rows], grid.base_label


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        (ShapeChange("add", "size", label="13", at=2), (["10", "12", "13", "14"], ["Bust", "Waist", "Hip"], "12")),
        (ShapeChange("drop", "size", "12"), (["10", "14"], ["Bust", "Waist", "Hip"], None)),
        (ShapeChange("name", "size", "12", "12 tall"), (["10", "12 tall", "14"], ["Bust", "Waist", "Hip"], "12 tall")),
        (ShapeChange("move", "size", "14", at=0), (["14", "10", "12"], ["Bust", "Waist", "Hip"], "12")),
        (ShapeChange("base", key="14"), (["10", "12", "14"], ["Bust", "Waist", "Hip"], "14")),
        (ShapeChange("base"), (["10", "12", "14"], ["Bust", "Waist", "Hip"], None)),
        (ShapeChange("add", "row", label="Wrist", at=0), (["10", "12", "14"], ["Wrist", "Bust", "Waist", "Hip"], "12")),
        (ShapeChange("drop", "row", "waist"), (["10", "12", "14"], ["Bust", "Hip"], "12")),
        (ShapeChange("move", "row", "bust", at=9), (["10", "12", "14"], ["Waist", "Hip", "Bust"], "12")),
    ],
)
def test_a_change_of_shape_and_the_change_that_takes_it_back(change, expected):
    there, back = after(change)
    assert labels(there) == expected
    home, again = after(back, there)
    assert home == state()
    assert labels(after(again, home)[0]) == expected


def test_a_break_is_declared_and_read_with_the_chart():
    there, back = after(ShapeChange("break", row="waist", key="14"))
    grid = there.grid("cm")
    table = there.with_breaks(table_of(grid, read_grid(grid, catalogue=BODY_MEASURES)))
    assert [line.breaks for line in table.lines] == [(), ("14",), ()]
    assert after(back, there)[0] == state()


def test_what_was_left_out_comes_back_with_its_texts_and_a_new_one_begins_empty():
    there, back = after(ShapeChange("drop", "size", "12"))
    new, _ = after(ShapeChange("add", "size", label="12", at=1), there)
    assert new.text(("bust", "12")) == ""
    assert labels(new)[2] is None, "a new size is not the base size for its label alone"
    assert after(back, there)[0].text(("bust", "12")) == "92"


def test_a_second_measurement_of_one_name_has_an_id_of_its_own():
    there, _ = after(ShapeChange("add", "row", label="Natural waist", at=3))
    assert [row.key for row in there.rows] == ["bust", "waist", "hip", "waist~2"]


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (ShapeChange("drop", "size", "99"), "gone"),
        (ShapeChange("base", key="99"), "gone"),
        (ShapeChange("break", row="bust", key="99"), "gone"),
        (ShapeChange("add", "size", label="18", at=0), "too_large"),
    ],
)
def test_a_change_that_cannot_be_made_says_why(change, code):
    full, _ = after(ShapeChange("add", "size", label="16", at=3))
    with pytest.raises(ShapeError) as caught:
        after(change, full)
    assert caught.value.sentence.code == code


@pytest.mark.parametrize(
    "junk",
    [
        {},
        {"do": "burn"},
        {"do": "drop", "axis": "diagonal"},
        {"do": "drop", "key": 7},
        {"do": "add", "at": "2"},
        {"do": "add", "breaks": "x"},
        {"do": "add", "breaks": [1]},
    ],
)
def test_what_is_no_change_is_none(junk):
    assert change_from_json(junk, LIMITS) is None


def test_a_state_survives_the_database():
    there, _ = after(ShapeChange("break", row="waist", key="14"))
    assert state_from_json(there.as_json()) == there


def texts(one: WorkingState, **cells: str) -> WorkingState:
    """The state with bust cells set: texts(state, s12="93")."""
    return replace(one, texts={**one.texts, **{("bust", name[1:]): text for name, text in cells.items()}})


def test_a_revision_saved_beside_the_copy_comes_in_and_only_the_same_cell_clashes():
    was = state()
    mine = texts(was, s10="87", s12="93")
    now = texts(after(ShapeChange("add", "size", label="16", at=3), was)[0], s12="92.5", s14="97", s16="101")
    merged, clashes = rebased(mine, was, now)
    assert [merged.text(("bust", size)) for size in ("10", "12", "14", "16")] == ["87", "93", "97", "101"]
    assert labels(merged)[0] == ["10", "12", "14", "16"]
    assert [(clash.place, clash.theirs) for clash in clashes] == [(("bust", "12"), "92.5")]


def test_what_a_revision_left_out_goes_unless_the_copy_changed_a_text_in_it():
    was = state()
    now = after(ShapeChange("drop", "size", "14"), was)[0]
    assert labels(rebased(was, was, now)[0])[0] == ["10", "12"]
    assert labels(rebased(texts(was, s14="97"), was, now)[0])[0] == ["10", "12", "14"]


def test_labels_breaks_and_the_base_size_follow_whoever_changed_them():
    was = state()
    now = after(ShapeChange("base", key="14"), after(ShapeChange("break", row="hip", key="14"), was)[0])[0]
    mine = after(ShapeChange("name", "row", "hip", "Hips"), was)[0]
    merged, clashes = rebased(mine, was, now)
    assert (labels(merged)[2], merged.rows[2].label, merged.rows[2].breaks, clashes) == ("14", "Hips", ("14",), ())
