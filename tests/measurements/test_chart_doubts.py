"""What is doubted about a row of a chart, and what is left in peace."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.chart_reading import read_chart_rows


def doubts(label: str, text: str, unit: str = "cm") -> dict[str, str]:
    """Doubt codes by the text of the cell, in one row."""
    cells = text.split(";")
    draft = read_chart_rows([str(i) for i in range(len(cells))], [(label, cells)], unit=unit)
    return {cell.typed: cell.doubt.code for cell in draft.rows[0].cells if cell.doubt}


@pytest.mark.parametrize(
    ("label", "text"),
    [
        ("bust", "80;84;88;92;96;101;106;112;118;124"),
        ("waist", "62;66;70;74;78;83;88;94.5;101;107.5"),
        ("back_waist", "39;39.5;40;40.5;41;41.5"),
        ("upper_arm", "25;26.2;27.4;28.6;29.8;31.4;33;35;37;39"),
        ("height", "164;164;164;168;168;168;172;172"),
        ("neck", "35;35;36;36;37"),
        ("bust", "80;84;89.5;92;96;100"),
        ("Head", "54;1;900"),
        ("bust", "80"),
        ("bust", "80;94"),
        ("bust", "90;98;107"),
        ("waist", "62;66;74"),
    ],
)
def test_a_sound_row_is_left_in_peace(label, text):
    found = doubts(label, text)
    if label == "Head":
        assert found == {"1": "smaller"}, "the range of an unknown measurement is not known"
    else:
        assert found == {}


@pytest.mark.parametrize(
    ("label", "text", "expected"),
    [
        ("bust", "80;84;8.8;92;96", {"8.8": "implausible"}),
        ("bust", "80;84;34 5/8;92", {"34 5/8": "fraction_in_metric"}),
        ("bust", "80;84;34.6;92", {"34.6": "other_unit"}),
        ("bust", "80;840;88;92", {"840": "other_unit"}),
        ("bust", "80;84;34.6 in;92", {"34.6 in": "mixed_units"}),
        ("bust", "80;84;88;86;96;100", {"86": "smaller"}),
        ("bust", "80;84;88;88;92", {"88": "same"}),
        ("hip", "86;90;94;94", {"94": "same"}),
        ("bust", "80;84;91;92;96;100", {"91": "slip"}),
        ("bust", "80;84;88;101;105;109", {"101": "jump"}),
        ("bust", "80;84;100", {"100": "jump"}),
        ("bust", "80;94;96", {"94": "jump"}),
        ("bust", "80;98", {"98": "wide_step"}),
        ("waist", "62;0;70", {"0": "zero"}),
        ("height", "0.0", {"0.0": "zero"}),
        ("back_waist", "39;39.5;42.5;43;43.5", {"42.5": "jump"}),
        ("waist", "62;66;;74;78", {"": "no_value"}),
        ("Head", "54;54.5;55;58;58.5;59", {"58": "jump"}),
    ],
)
def test_a_planted_fault_is_found_and_nothing_else(label, text, expected):
    assert doubts(label, text) == expected


def test_a_cell_out_of_range_does_not_cast_doubt_on_its_neighbours():
    assert doubts("bust", "80;84;29;92;96") == {"29": "other_unit"}


def test_the_usual_unit_of_a_row_is_that_of_most_cells():
    assert doubts("bust", "31 1/2 in;33 in;34 5/8 in;92") == {"92": "mixed_units"}


def test_a_slip_shows_the_steps_that_give_it_away():
    draft = read_chart_rows(list("abcdef"), [("bust", ["80", "84", "91", "92", "96", "100"])], unit="cm")
    assert str(draft.rows[0].cells[2].doubt) == (
        "The steps beside 91 are 7 cm (2 3/4 in) and 1 cm (3/8 in); those near are 4 cm (1 5/8 in)."
    )


@settings(derandomize=True, database=None, deadline=None)
@given(start=st.integers(70, 100), steps=st.lists(st.sampled_from([4, 5, 6]), min_size=3, max_size=9))
def test_steps_that_only_grow_are_sound(start, steps):
    girths = [start]
    for step in sorted(steps):
        girths.append(girths[-1] + step)
    row = ";".join(map(str, girths))
    assert doubts("bust", row) == {}
