"""What an edit changed, and two people's edits of one chart put together: nothing that either typed is lost."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measurements.chart_changes import CellConflict, changes, merge
from measurements.charts import ChartCell, ChartLine, ChartTable
from tests.factories import chart_table

OPENED = chart_table({"bust": ("88", "92", "96"), "waist": ("70", "74", "78")})


def cell(cm: str) -> ChartCell | None:
    return ChartCell(Decimal(cm) * 10, cm, "cm") if cm else None


def edited(table: ChartTable, **cells: str) -> ChartTable:
    """The table with cells set, as bust_14="97"."""
    for place, cm in cells.items():
        key, _, size = place.rpartition("_")
        lines = []
        for line in table.lines:
            values = [
                cell(cm) if line.key == key and size == label else old
                for label, old in zip(table.sizes, line.cells, strict=True)
            ]
            lines.append(replace(line, cells=tuple(values)))
        table = replace(table, lines=tuple(lines))
    return table


def with_size(table: ChartTable, label: str, **cells: str) -> ChartTable:
    lines = (replace(line, cells=(*line.cells, cell(cells.get(line.key, "")))) for line in table.lines)
    return replace(table, sizes=(*table.sizes, label), lines=tuple(lines))


def without_size(table: ChartTable, label: str) -> ChartTable:
    at = table.sizes.index(label)
    lines = (replace(line, cells=(*line.cells[:at], *line.cells[at + 1 :])) for line in table.lines)
    return replace(table, sizes=tuple(size for size in table.sizes if size != label), lines=tuple(lines))


def cm(table: ChartTable) -> dict[str, list[str]]:
    return {line.key: [f"{mm / 10:g}" if mm is not None else "" for mm in line.mm] for line in table.lines}


def test_the_worked_example_of_the_page() -> None:
    mine = edited(OPENED, bust_14="97", waist_10="71")
    theirs = with_size(edited(OPENED, waist_10="70.5", waist_12="75"), "16", bust="100")
    merged = merge(OPENED, mine, theirs)
    assert merged.table.sizes == ("10", "12", "14", "16")
    assert cm(merged.table) == {"bust": ["88", "92", "97", "100"], "waist": ["71", "75", "78", ""]}
    assert merged.conflicts == (CellConflict("waist", "10", cell("71"), cell("70.5")),)


def test_the_same_change_by_two_people_is_no_conflict() -> None:
    both = edited(OPENED, bust_14="97")
    assert merge(OPENED, both, both).table == both
    assert not merge(OPENED, both, both).conflicts


def test_the_same_length_typed_in_two_ways_is_no_conflict() -> None:
    mine, theirs = edited(OPENED, bust_14="97.0"), edited(OPENED, bust_14="97")
    assert not merge(OPENED, mine, theirs).conflicts


def test_a_size_that_i_took_out_stays_when_they_changed_it() -> None:
    merged = merge(OPENED, without_size(OPENED, "14"), edited(OPENED, bust_14="97"))
    assert merged.table.sizes == ("10", "12", "14")
    assert cm(merged.table)["bust"] == ["88", "92", "97"]


def test_a_size_that_they_took_out_stays_when_i_changed_it() -> None:
    merged = merge(OPENED, edited(OPENED, bust_10="87"), without_size(OPENED, "10"))
    assert merged.table.sizes == ("10", "12", "14")
    assert cm(merged.table)["waist"] == ["70", "74", "78"]


def test_a_size_taken_out_untouched_goes() -> None:
    merged = merge(OPENED, edited(OPENED, bust_10="87"), without_size(OPENED, "14"))
    assert merged.table.sizes == ("10", "12")


def test_rows_that_both_added_are_both_kept() -> None:
    def with_row(key: str) -> ChartTable:
        return replace(OPENED, lines=(*OPENED.lines, ChartLine(key, key.capitalize(), (None, cell("50"), None))))

    merged = merge(OPENED, with_row("hip"), with_row("neck"))
    assert {line.key for line in merged.table.lines} == {"bust", "waist", "hip", "neck"}
    assert not merged.conflicts


def test_names_base_and_breaks_follow_whoever_changed_them() -> None:
    renamed = replace(OPENED, lines=(replace(OPENED.lines[0], label="Full bust"), OPENED.lines[1]))
    theirs = replace(OPENED, base="14", lines=(OPENED.lines[0], replace(OPENED.lines[1], breaks=("14",))))
    merged = merge(OPENED, renamed, theirs)
    assert merged.table.base == "14"
    assert [(line.label, line.breaks) for line in merged.table.lines] == [("Full bust", ()), ("Waist", ("14",))]


def test_an_order_changed_by_one_is_kept() -> None:
    turned = replace(
        OPENED,
        sizes=OPENED.sizes[::-1],
        lines=tuple(replace(line, cells=line.cells[::-1]) for line in OPENED.lines),
    )
    assert merge(OPENED, turned, edited(OPENED, bust_14="97")).table.sizes == ("14", "12", "10")
    assert merge(OPENED, edited(OPENED, bust_14="97"), turned).table.sizes == ("14", "12", "10")


def test_what_an_edit_changed_in_words_of_the_chart() -> None:
    after = with_size(without_size(edited(OPENED, bust_12="92.5"), "10"), "16", bust="100")
    after = replace(after, base="14", lines=(replace(after.lines[0], label="Full bust"), after.lines[1]))
    found = changes(OPENED, after)
    assert [(change.key, change.size, change.before, change.after) for change in found.cells] == [
        ("bust", "12", cell("92"), cell("92.5"))
    ]
    assert (found.sizes_added, found.sizes_gone) == (("16",), ("10",))
    assert (found.renamed, found.base) == ((("Bust", "Full bust"),), ("12", "14"))


def test_nothing_changed_is_falsy() -> None:
    assert not changes(OPENED, OPENED)
    assert changes(OPENED, edited(OPENED, bust_14="96.0")), "the same length in another text is a change of the text"


texts = st.sampled_from(["", "70", "71", "72", "88"])
tables = st.lists(texts, min_size=6, max_size=6).map(
    lambda values: edited(
        OPENED,
        **{
            f"{line.key}_{size}": values[i * 3 + j]
            for i, line in enumerate(OPENED.lines)
            for j, size in enumerate(OPENED.sizes)
        },
    )
)


@given(mine=tables, theirs=tables)
def test_every_cell_comes_from_somebody_and_every_disagreement_is_told(mine: ChartTable, theirs: ChartTable) -> None:
    merged = merge(OPENED, mine, theirs)
    told = {(conflict.key, conflict.size) for conflict in merged.conflicts}
    for line in merged.table.lines:
        for size, mm in zip(merged.table.sizes, line.mm, strict=True):
            was, my, their = (table.mm_at(line.key, size) for table in (OPENED, mine, theirs))
            assert mm in {my, their}
            if my != was:
                assert mm == my
            elif their != was:
                assert mm == their
            assert ((line.key, size) in told) == (my not in {was, their} and their != was)


@pytest.mark.parametrize("other", [OPENED, edited(OPENED, bust_14="97")])
def test_merging_with_someone_who_changed_nothing_is_ones_own_chart(other: ChartTable) -> None:
    mine = edited(OPENED, waist_12="75")
    assert merge(other, edited(other, waist_12="75"), other).table == edited(other, waist_12="75")
    assert merge(OPENED, mine, OPENED).table == mine
