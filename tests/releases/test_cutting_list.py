"""A cutting list as it is typed: what is read, what hinders, what looks like a slip."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as some

from measurements.lengths import LengthError
from releases.cutting_list import ListRow, read_box, read_rows, read_sheet

SIZES = ("10", "12")


def draft(*rows: ListRow, unit="cm"):
    return read_rows(rows, SIZES, ["Shell", "Lining"], unit)


def row(**fields):
    return ListRow(
        **{
            "name": "sleeve",
            "cut": "pair",
            "material": "Shell",
            "count": "2",
            "boxes": ("29 x 37", "30 x 38"),
            **fields,
        }
    )


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("66 x 40", "cm", (660, 400)),
        ("66,5 × 40", "cm", (665, 400)),
        ("26 x 15 3/4 in", "cm", (660.4, 400.05)),
        ("26 by 15", "in", (660.4, 381)),
        ("660 mm x 400 mm", "in", (660, 400)),
        ("66*40", "cm", (660, 400)),
    ],
)
def test_a_box_is_read_in_every_usual_way(text, unit, mm):
    length, width = read_box(text, unit)
    assert (float(length.mm), float(width.mm)) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["66", "66 x", "66 x 40 x 2", "wide x 3", "-3 x 4", "0 x 4", "1e9 x 2"])
def test_what_is_no_box_gets_a_sentence(text):
    with pytest.raises(LengthError):
        read_box(text, "cm")


@given(some.text(max_size=30))
def test_no_text_breaks_the_reader(text):
    made = draft(row(boxes=(text, "30 x 38"), name=text, count=text, cut=text, grain=text, material=text))
    assert made.pieces or made.obstacles


def test_a_whole_row_is_read():
    (piece,) = draft(row(cut="In pairs", grain="crosswise", material="lining")).pieces
    assert (piece.cut, piece.grain, piece.material, piece.count) == ("pair", "cross", "Lining", 2)


def test_an_empty_count_is_two_of_a_pair_and_one_of_a_fold():
    pieces = draft(row(count=""), row(name="back", cut="on the fold", count="")).pieces
    assert [piece.count for piece in pieces] == [2, 1]


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"cut": "twice"}, "cut"),
        ({"grain": "up"}, "grain"),
        ({"count": "some"}, "count"),
        ({"material": "Felt"}, "material"),
        ({"name": ""}, "no_name"),
        ({"boxes": ("29", "30 x 38")}, "box"),
    ],
)
def test_what_cannot_be_read_hinders(fields, code):
    made = draft(row(**fields))
    assert [why.code for why in made.obstacles] == [code]
    assert made.pieces == ()


def test_an_empty_list_hinders():
    assert [why.code for why in draft(ListRow(boxes=("", ""))).obstacles] == ["empty"]


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        ([row(count="3")], "odd"),
        ([row(boxes=("29 x 37", ""))], "missing"),
        ([row(boxes=("30 x 38", "29 x 38"))], "smaller"),
        ([row(boxes=("290 x 380", "300 x 390"))], "unlikely"),
        ([row(), row(name="Sleeve")], "twice"),
    ],
)
def test_what_looks_like_a_slip_is_shown(rows, code):
    made = draft(*rows)
    assert code in {why.code for why in made.doubts}
    assert made.obstacles == ()


def test_a_sheet_with_a_box_or_two_columns_a_size():
    cells = [
        ["Piece", "Count", "10", "12 length", "12 width", "Remark"],
        ["back", "1", "65 x 39", "66", "40", "interfaced"],
    ]
    rows, notes = read_sheet(cells, SIZES)
    assert rows == [ListRow("back", "", "1", "", "", ("65 x 39", "66 x 40"))]
    assert [str(note) for note in notes] == ["These columns are neither known nor a size, and were left out: Remark."]


@pytest.mark.parametrize("cells", [[], [["10", "12"]], [["piece", "36"]]])
def test_a_sheet_without_pieces_or_sizes_is_refused(cells):
    with pytest.raises(LengthError):
        read_sheet(cells, SIZES)
