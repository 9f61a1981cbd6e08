"""Reading a size chart: pasted, uploaded or typed; nothing lost, nothing guessed in silence."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.chart_draft import ChartDraft
from measurements.chart_reading import read_chart_file, read_chart_rows, read_chart_text, turn_sizes
from measurements.chart_text import ChartLimits
from measurements.finished_measures import FINISHED_MEASURES
from tests.measurements.tables import worked_table

CHART = "Size\t6\t8\t10\t12\nBust\t80\t84\t88\t92\nWaist\t62\t66\t69,5\t74\n"


def labels(draft: ChartDraft) -> list[str]:
    return [size.label for size in draft.sizes]


def values(draft: ChartDraft) -> dict[str, list[Decimal | None]]:
    return {row.key: [cell.mm for cell in row.cells] for row in draft.rows}


def codes(draft: ChartDraft) -> list[str]:
    return [doubt.code for doubt in draft.doubts]


def cell_codes(draft: ChartDraft) -> dict[tuple[str, str], str]:
    """Doubts by row key and the text of the cell."""
    return {(row.key, cell.typed): cell.doubt.code for row in draft.rows for cell in row.cells if cell.doubt}


PLAIN = {"bust": [800, 840, 880, 920], "waist": [620, 660, 695, 740]}


@pytest.mark.parametrize(
    "text",
    [
        CHART,
        "Sizes for women, in cm\n\n" + CHART,
        CHART.replace("\t", ";"),
        CHART.replace("69,5", '"69,5"').replace("\t", ","),
        CHART.replace("\t", "    "),
        CHART.replace("\n", "\r\n"),
        "\ufeff" + CHART,
        "\t\t\n" + "\n".join("\t" + line for line in CHART.splitlines()),
        "Size\tBust\tWaist\n6\t80\t62\n8\t84\t66\n10\t88\t69.5\n12\t92\t74",
        "Size\tUnit\t6\t8\t10\t12\nBust\tcm\t80\t84\t88\t92\nWaist\tcm\t62\t66\t69.5\t74",
        "\tsize 6\tSize 8\tsize 10\tsize 12\nbust (cm)\t80\t84\t88\t92\nwaist (cm)\t62\t66\t69.5\t74",
    ],
    ids=[
        "tabs",
        "title",
        "semicolons",
        "commas",
        "gaps",
        "windows",
        "mark",
        "margin",
        "across",
        "unit column",
        "units",
    ],
)
def test_one_chart_however_it_is_laid_out(text):
    draft = read_chart_text(text.removeprefix("\ufeff") if text.startswith("\ufeff") else text)
    assert (labels(draft), values(draft), draft.unit) == (["6", "8", "10", "12"], PLAIN, "cm")
    assert draft.doubtful_cells == 0


@pytest.mark.parametrize("row", worked_table("chart-import.md", "Worked example"), ids=lambda row: row["cell"])
def test_the_doubts_of_the_page(row):
    draft = read_chart_text(
        "Size; 6; 8; 10; 12; 14; 16\nBust; 80; 84; 98; 92; 96; 101\nWaist; 62; 66; 70; 29; 78; 5-Aug\n"
        "Hip; 86; 90; 94; 98; 40 1/8; 107\n",
        unit="cm",
    )
    found = {
        (r.label, cell.typed): (cell.doubt.code, str(cell.doubt)) for r in draft.rows for cell in r.cells if cell.doubt
    }
    assert found[row["row"], row["cell"]] == (row["reason"], row["sentence"])
    assert len(found) == len(worked_table("chart-import.md", "Worked example"))


def test_what_was_typed_is_kept_beside_the_exact_length():
    draft = read_chart_text("Size (inches);6;8\nBust;30 1/2;31½")
    (row,) = draft.rows
    assert [(cell.typed, cell.mm) for cell in row.cells] == [("30 1/2", Decimal("774.7")), ("31½", Decimal("800.1"))]
    assert (draft.unit, draft.unit_guessed) == ("in", False)


def test_the_unit_is_guessed_from_the_numbers_and_the_guess_is_shown():
    draft = read_chart_text("Size\t6\t8\nBust\t30.5\t31.5\nWaist\t23\t24")
    assert (draft.unit, draft.unit_guessed, codes(draft)) == ("in", True, ["unit_guessed"])
    assert read_chart_text("Size\t6\t8\nBust\t805\t845").unit == "mm"
    assert read_chart_text("Size\t6\t8\nBust\t80\t84").unit == "cm"


def test_the_persons_own_word_on_the_unit_is_not_second_guessed_but_doubted():
    draft = read_chart_text("Size\t6\t8\nBust\t30.5\t31.5\nWaist\t23\t24", unit="cm")
    assert (draft.unit, codes(draft)) == ("cm", ["unit_wrong"])
    assert set(cell_codes(draft).values()) == {"other_unit"}


def test_a_choice_against_the_sheets_own_word_is_shown():
    draft = read_chart_text("Size (in)\t6\t8\nBust\t80\t84", unit="cm")
    assert (draft.unit, codes(draft)) == ("cm", ["unit_conflict"])


def test_a_row_may_have_a_unit_of_its_own():
    draft = read_chart_text("Size (in)\t6\t8\nBust\t30.5\t31.5\nBack waist (cm)\t39\t39.5")
    assert values(draft) == {"bust": [Decimal("774.7"), Decimal("800.1")], "back_waist": [390, 395]}
    assert [row.typed_label for row in draft.rows] == ["Bust", "Back waist (cm)"]


def test_decimal_commas_settle_three_digits_after_a_comma():
    draft = read_chart_text("Size (in)\t2\t4\nBust\t33\t34,125\nWaist\t25,5\t26,125")
    assert values(draft)["bust"][1] == Decimal("34.125") * Decimal("25.4")
    assert cell_codes(read_chart_text("Size (in)\t2\t4\nBust\t33\t34,125")) == {("bust", "34,125"): "ambiguous"}


def test_commas_that_are_decimal_marks_in_a_comma_table_are_noticed():
    draft = read_chart_text("Size,6,8\nBust,80,5,84,5\nWaist,62,5,66,5")
    assert [size.doubt and size.doubt.code for size in draft.sizes] == [None, None, "no_label", "no_label"]


def test_an_inch_mark_does_not_swallow_the_rest_of_the_table():
    draft = read_chart_text('Size\t6\t8\nBust\t30 1/2"\t31 1/2"\nWaist\t23"\t24')
    assert values(draft)["waist"] == [Decimal("584.2"), Decimal("609.6")]


def test_a_lone_quote_at_the_head_of_a_cell_does_neither():
    draft = read_chart_text('"in inches\t6\t8\nBust\t30\t31\nWaist\t23\t24')
    assert values(draft)["waist"] == [Decimal("584.2"), Decimal("609.6")]


def test_a_chart_of_unknown_measurements_is_turned_by_its_size_labels():
    draft = read_chart_text("Size (cm)\tHead\tGlove\n6\t54\t17\n8\t55\t18\nXL\t58\t20")
    assert (labels(draft), values(draft)) == (["6", "8", "XL"], {"head": [540, 550, 580], "glove": [170, 180, 200]})


def test_a_chart_without_size_labels_keeps_its_numbers_and_asks_for_them():
    draft = read_chart_text("Bust\t80\t84\nWaist\t62\t66")
    assert values(draft) == {"bust": [800, 840], "waist": [620, 660]}
    assert [size.doubt.code for size in draft.sizes] == ["no_label", "no_label"]


def test_sizes_are_labels_kept_as_written():
    draft = read_chart_text("Size\tXS\tS\t20W\t3X/4X\nBust\t80\t84\t110\t130")
    assert labels(draft) == ["XS", "S", "20W", "3X/4X"]


def test_the_same_size_twice_and_too_long_a_label():
    draft = read_chart_text("Size\tM\tm\tthe largest size of them all\nBust\t80\t84\t88")
    assert [size.doubt and size.doubt.code for size in draft.sizes] == [None, "same_label", "long_label"]
    assert {doubt.code for doubt in draft.obstacles} == {"same_label", "long_label"}


def test_rows_without_a_name_unknown_and_twice():
    draft = read_chart_text("Size\t6\t8\nBust\t80\t84\nfull bust\t80\t84\nHead\t55\t56\n\t1\t2")
    assert [row.doubt and row.doubt.code for row in draft.rows] == [None, "same_measure", "unknown_measure", "no_name"]
    assert (draft.rows[2].key, draft.rows[2].known) == ("head", False)
    assert {doubt.code for doubt in draft.obstacles} == {"same_measure", "no_name"}


def test_a_heading_between_the_rows_is_left_out_and_said():
    draft = read_chart_text("Size (cm)\t6\t8\nLengths, taken standing\nBack waist\t39\t39.5\nWidths\nBust\t80\t84")
    assert list(values(draft)) == ["back_waist", "bust"]
    assert [str(doubt) for doubt in draft.doubts] == [
        "Left out, since it holds no values: Lengths, taken standing; Widths."
    ]


def test_a_gap_is_shown_and_may_stand():
    draft = read_chart_text("Size (cm)\t6\t8\t10\nBust\t80\t84\t\nWaist\t62\t–\t70")
    assert cell_codes(draft) == {("bust", ""): "no_value", ("waist", "–"): "no_value"}
    assert draft.obstacles == ()
    assert draft.table().line("waist").mm == (620, None, 700)


def test_what_cannot_be_read_stops_the_saving_until_it_is_put_right():
    draft = read_chart_text("Size (cm)\t6\t8\nBust\teighty\t84")
    assert [doubt.code for doubt in draft.obstacles] == ["unreadable"]
    with pytest.raises(ValueError, match="eighty"):
        draft.table()


def test_a_draft_becomes_a_chart_with_typed_text_and_unit():
    table = read_chart_text("Size (in)\t6\t8\nBust\t30½\t80 cm").table(base="8")
    assert (table.sizes, table.base) == (("6", "8"), "8")
    assert [(cell.mm, cell.typed, cell.unit) for cell in table.line("bust").cells] == [
        (Decimal("774.7"), "30½", "in"),
        (Decimal(800), "80 cm", "cm"),
    ]


def test_one_size_alone_is_said():
    assert "one_size" in codes(read_chart_text("Size (cm)\t6\nBust\t80\nWaist\t62"))


def test_sizes_from_large_to_small_are_said_once_and_can_be_turned():
    draft = read_chart_text("Size (cm)\t12\t10\t8\t6\nBust\t92\t88\t84\t80\nWaist\t74\t70\t66\t62")
    assert (codes(draft), draft.doubtful_cells) == (["sizes_turned"], 0)
    turned = turn_sizes(draft)
    assert (labels(turned), codes(turned)) == (["6", "8", "10", "12"], [])
    assert values(turned)["bust"] == [800, 840, 880, 920]


def test_a_grid_typed_on_the_page_reads_like_a_pasted_one():
    draft = read_chart_rows(
        ["6", " 8 ", ""], [("bust", ["80", "84,5"]), ("Waist (in)", ["24", "25½", "x", "9"])], unit="cm"
    )
    assert labels(draft) == ["6", "8", ""]
    assert [(row.label, row.unit, [cell.typed for cell in row.cells]) for row in draft.rows] == [
        ("Bust", "cm", ["80", "84,5", ""]),
        ("Waist", "in", ["24", "25½", "x"]),
    ]


def test_a_finished_chart_is_read_by_its_own_names():
    draft = read_chart_text("Size (cm)\t6\t8\nCB\t38\t38.5\nHem sweep\t140\t144", catalogue=FINISHED_MEASURES)
    assert list(values(draft)) == ["back_length", "sweep"]


@pytest.mark.parametrize("text", ["", "   ", "hello", "hello\tworld", "Bust", "\t\t\t", "\0"])
def test_a_text_without_a_chart_says_what_a_chart_looks_like(text):
    draft = read_chart_text(text)
    assert draft.refusal.code == "no_chart"
    assert [doubt.code for doubt in draft.obstacles] == ["no_chart"]


@pytest.mark.parametrize(
    ("limits", "text"),
    [
        (ChartLimits(most_bytes=20), CHART),
        (ChartLimits(most_cells=10), CHART),
        (ChartLimits(most_sizes=3), CHART),
        (ChartLimits(most_rows=1), CHART),
        (ChartLimits(), "Bust;" + "9" * 200_000 + ";80\nWaist;1;2"),
    ],
    ids=["bytes", "cells", "sizes", "rows", "field"],
)
def test_far_too_much_is_refused_with_a_sentence(limits, text):
    assert read_chart_text(text, limits=limits).refusal.code == "too_large"


CELL = st.one_of(
    st.sampled_from(
        [
            "Bust",
            "waist (in)",
            "Hip",
            "Size",
            "6",
            "8",
            "XL",
            "80",
            "84,5",
            "30 1/2",
            "½",
            "-",
            "cm",
            "1,234",
            "",
            "5-Aug",
        ]
    ),
    st.text(max_size=12),
)
SEPARATOR = st.sampled_from(["\t", ";", ",", "  ", " "])


@settings(derandomize=True, database=None, deadline=None, max_examples=300)
@given(
    rows=st.lists(st.lists(CELL, max_size=8), max_size=8), separator=SEPARATOR, unit=st.sampled_from([None, "cm", "in"])
)
def test_no_junk_breaks_the_reading_and_every_unread_cell_has_a_reason(rows, separator, unit):
    draft = read_chart_text("\n".join(separator.join(row) for row in rows), unit=unit)
    assert bool(draft.refusal) == (not draft.rows)
    for row in draft.rows:
        assert len(row.cells) == len(draft.sizes)
        assert all(cell.length or cell.doubt for cell in row.cells)
    if not draft.obstacles:
        assert len(draft.table().lines) == len(draft.rows)
    turn_sizes(draft)


@settings(derandomize=True, database=None, deadline=None, max_examples=200)
@given(data=st.one_of(st.binary(max_size=300), st.binary(max_size=60).map(lambda tail: b"PK\x03\x04" + tail)))
def test_no_bytes_break_the_reading(data):
    assert isinstance(read_chart_file(data), ChartDraft)
