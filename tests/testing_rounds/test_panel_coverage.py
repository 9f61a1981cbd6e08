"""A panel size by size, and what it lacks."""

from __future__ import annotations

from decimal import Decimal

import pytest

from testing_rounds.coverage import Seat, cover, hints, one_more
from tests.testing_rounds.rounds import tables

PAGE = "algorithms/panel-coverage.md"
SIZES = ("6", "8", "10", "12", "14")
FILES = {"a4": "A4 pages", "letter": "Letter pages"}
EXAMPLE = next(rows for rows in tables(PAGE) if "reserve" in rows[0])


def seats_of(row: dict[str, str]) -> list[Seat]:
    """A row of the worked example as people; those who only applied stand where the advice put them."""
    size = row["size"]
    return [
        *[Seat("applied", size=size)] * int(row["chosen"]),
        *[Seat("invited", size=size)] * int(row["invited"]),
        *[Seat("reserve", advised=size)] * int(row["reserve"]),
        *[Seat("applied", advised=size)] * int(row["applied"]),
        *[Seat("dropped_out", size=size)] * int(row["dropped out"]),
    ]


def said(panel: list[Seat], **more: object) -> dict[str, str]:
    """What the panel lacks, by the reason's code."""
    found = hints(SIZES, panel, **{"papers": {}, **more})  # type: ignore[arg-type]
    return {one.code: str(one) for one in found}


@pytest.mark.parametrize("row", EXAMPLE, ids=lambda row: row["size"])
def test_the_worked_example_of_the_page(row):
    everybody = [seat for each in EXAMPLE for seat in seats_of(each)]
    counted = {one.size: one for one in cover(SIZES, 3, everybody, one_more(SIZES, {"12"}))}[row["size"]]
    assert [counted.on_panel, counted.needed] == [int(row["on the panel"]), int(row["needed"])]
    assert [counted.reserves, counted.waiting] == [int(row["reserve"]), int(row["applied"])]


def test_one_more_tells_most_at_the_ends_and_on_both_sides_of_a_break():
    assert one_more(SIZES, {"12"}) == ("6", "10", "12", "14")
    assert one_more((), {"12"}) == ()


def test_a_person_stands_under_the_size_to_sew_then_the_advice_then_their_own_guess():
    assert Seat("applied", "10", "12", "14").group == "10"
    assert Seat("applied", "", "12", "14").group == "12"
    assert Seat("applied", "", "", "14").group == "14"


def test_a_size_that_the_version_has_not_is_counted_nowhere():
    assert sum(one.on_panel for one in cover(SIZES, 3, [Seat("invited", size="40")])) == 0


def test_nothing_is_lacking_while_nobody_is_chosen():
    assert said([Seat("applied", advised="6")], papers=FILES) == {}


def test_a_reserve_is_missing_where_there_is_none_and_at_the_ends_where_there_is_one():
    reserves = [Seat("reserve", advised=size) for size in SIZES]
    assert said([Seat("invited", size="6"), *reserves])["reserve"].startswith("A reserve is missing in 6, 14;")
    ends = [Seat("reserve", advised=size) for size in ("6", "14")]
    assert "reserve" not in said([Seat("invited", size="6"), *reserves, *ends])
    assert "no_reserve" in said([Seat("invited", size="6")])


@pytest.mark.parametrize(("off", "lacking"), [([0, 10, 79, -79], True), ([0, 10, 20, -80], False), ([80, 0], False)])
def test_one_in_four_is_far_from_the_height_drafted_for(off, lacking):
    panel = [Seat("invited", size="6", height_off_mm=Decimal(mm)) for mm in off]
    assert ("heights" in said(panel)) is lacking


def test_heights_that_nobody_knows_lack_nothing():
    assert "heights" not in said([Seat("invited", size="6")])


def test_one_beginner_for_every_three_sizes():
    panel = [Seat("invited", size=size, experience="much") for size in SIZES]
    assert said(panel)["beginners"].startswith("0 of 5 have sewn only a few things. 2 would")
    fresh = [Seat("invited", size="6", experience="new")] * 2
    assert "beginners" not in said([*panel, *fresh])


def test_two_prints_of_every_file():
    panel = [Seat("invited", size="6", paper="a4"), Seat("accepted", size="8", paper="a4")]
    assert said(panel, papers=FILES)["paper"].startswith("Printed by 0 so far: letter pages.")


@pytest.mark.parametrize(("before", "lacking"), [([1, 0, 0], False), ([1, 2, 0], True), ([None, 0, 0], False)])
def test_no_more_than_one_in_three_has_tested_before(before, lacking):
    panel = [Seat("invited", size="6", rounds_before=count) for count in before]
    assert ("returning" in said(panel)) is lacking
