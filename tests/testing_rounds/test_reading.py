"""The reading by counts, and the tables of docs/algorithms/first-reading.md."""

from __future__ import annotations

import json
from functools import partial

import pytest

from testing_rounds import reading
from testing_rounds.counts import count
from testing_rounds.reading import METHODS, Reading, UnknownMethodError, flags
from testing_rounds.reading_table import as_table
from testing_rounds.round_data import Zone
from testing_rounds.round_file import parse
from tests.testing_rounds.rounds import DOCS, SIZES, a_round, answers_by_size, example, table

PAGE = "algorithms/first-reading.md"
read = partial(reading.read, method="counts")
YOKE = Zone("yoke", "yoke", "tight", "loose")
FIELDS = (
    "zone reading direction sizes strength level correction_cm interval_cm cleared_sizes thin_sizes counts counted "
    "reading_strength score alternatives why"
)


def of(row: dict[str, list[int]], sizes=SIZES) -> Reading:
    """The reading of a round with one zone."""
    (found,) = read(a_round(answers_by_size("yoke", row), sizes=sizes, zones=(YOKE,)))
    return found


def three(tight: str) -> list[int]:
    """Three answers of which some are tight; `-`: a single answer."""
    return [0] if tight == "-" else [-1] * int(tight) + [0] * (3 - int(tight))


@pytest.mark.parametrize("row", table(PAGE, "6"), ids=lambda row: " ".join(row[size] for size in SIZES))
def test_the_table_of_the_page(row):
    reading = of({size: three(row[size]) for size in SIZES})
    assert (reading.reading, list(reading.sizes), reading.level) == (row["reading"], row["sizes"].split(), row["level"])
    assert reading.thin_sizes == tuple(size for size in SIZES if row[size] == "-")
    assert reading.cleared_sizes == tuple(size for size in SIZES if row[size] == "0")


@pytest.mark.parametrize("row", table(PAGE, "6"), ids=lambda row: " ".join(row[size] for size in SIZES))
def test_the_other_word_and_the_other_end_mirror_it(row):
    turned = {"growing_up": "growing_down", "growing_down": "growing_up"}
    mirrored = of({size: [-fit for fit in three(row[other])] for size, other in zip(SIZES, SIZES[::-1], strict=True)})
    assert mirrored.reading == turned.get(row["reading"], row["reading"])
    assert len(mirrored.sizes) == len(row["sizes"].split())
    assert mirrored.direction == 1 or mirrored.reading == "none"


def test_the_printed_table_of_the_page():
    page = (DOCS / PAGE).read_text(encoding="utf-8")
    assert f"```\n{as_table(example(), read(example()))}```" in page


@pytest.mark.parametrize(
    ("sizes", "row", "shape"),
    [
        ("M", {"M": [-1, -1]}, "whole_range"),
        ("M", {"M": [-1, 0, 0]}, "none"),
        ("SM", {"S": [-1, -1], "M": [-1, -1]}, "whole_range"),
        ("SM", {"S": [-1, -1], "M": [0, 0]}, "one_size"),
        ("SM", {"S": [-1, -1], "M": [0]}, "one_size"),
        ("SML", {"S": [-1, -1], "M": [-1, -1], "L": [-1, -1]}, "whole_range"),
        ("SML", {"S": [0, 0], "M": [-1, -1], "L": [-1, -1]}, "growing_up"),
        ("SML", {"S": [-1, -1], "M": [-1, -1], "L": [0, 0]}, "growing_down"),
        ("SML", {"S": [-1, -1], "M": [-1, -1], "L": [0]}, "whole_range"),
    ],
)
def test_short_ranges(sizes, row, shape):
    assert of(row, sizes).reading == shape


def test_a_result_has_the_fields_that_the_form_names_in_their_order():
    assert list(of({"12": [-1, -1]}).as_dict()) == FIELDS.split()
    assert [row["key"].strip("`") for row in table("round-file.md", "key")][:1] == ["round_file"]


def test_what_this_method_does_not_give_is_null():
    said = of({"18": [-1, -2], "16": [0, 0]}).as_dict()
    assert {key for key, value in said.items() if value is None} == {
        "strength",
        "reading_strength",
        "score",
        "correction_cm",
        "interval_cm",
    }


def test_nothing_read_has_nothing_to_correct_and_nothing_to_say():
    said = of({size: [0, 0] for size in SIZES})
    assert (said.correction_cm, said.interval_cm, said.why, said.sizes) == ({}, {}, "", ())
    assert (said.level, said.direction) == ("quiet", -1)


def test_counts_are_those_of_the_direction():
    said = of({"16": [1, 0], "18": [1, 2, -1], "20": [0, 0]})
    assert (said.reading, said.direction) == ("one_size", 1)
    assert (said.counted["16"], said.counted["18"], said.counted["20"]) == ((1, 2), (2, 3), (0, 2))
    assert said.counts == said.counted
    assert said.why == "2 of 3 loose in size 18"


def test_a_run_could_also_be_a_step():
    assert of({"6": [0, 0], "22": [-1, -1], "24": [-1, -1]}).alternatives == {"from_size": None}
    assert of({"6": [0, 0], "24": [-1, -1]}).alternatives == {}


def test_of_two_runs_the_longer_is_taken_then_the_one_with_more_complaints():
    middle = {size: [0, 0] for size in SIZES[3:7]}
    ends = {size: [-1, -1] for size in ("6", "8", "20", "22", "24")}
    assert of({**middle, **ends}).reading == "growing_up"
    even = {"6": [-1, -1, -1], "8": [-1, -1], "22": [-1, -1], "24": [-1, -1], "10": [0, 0], "20": [0, 0]}
    assert of({**middle, **even}).reading == "growing_down"


def test_of_two_directions_the_one_that_touches_more_is_given():
    row = {size: [0, 0] for size in SIZES} | {"6": [1, 1], "22": [-1, -1], "24": [-1, -1]}
    assert (of(row).reading, of(row).direction) == ("growing_up", -1)


def test_no_reports_are_too_few():
    said = of({})
    assert (said.reading, said.level, said.thin_sizes) == ("none", "too_few", SIZES)


def test_an_unknown_method_is_named():
    with pytest.raises(UnknownMethodError, match="'guess' is no method of reading; the methods are counts, plain"):
        read(a_round([]), method="guess")


def test_a_method_plugs_in_by_its_place(monkeypatch):
    monkeypatch.setitem(METHODS, "again", "testing_rounds.first_reading:read_by_counts")
    assert read(example(), method="again") == read(example(), method="counts")


def test_readings_print_as_json():
    values = json.loads(json.dumps([reading.as_dict() for reading in read(example())]))
    assert [value["zone"] for value in values] == ["waist", "hip", "length"]
    assert values[1]["sizes"] == ["40", "42"]
    assert values[1]["counted"]["40"] == [2, 3]


def test_a_flag_says_where_it_comes_from():
    row = {size: [0, 0] for size in SIZES} | {"8": [1, 1], "22": [-1, -1], "24": [-1, -1, 1, 1]}
    data = a_round(answers_by_size("yoke", row), zones=(YOKE,))
    found = [(flag.size, flag.direction, flag.by) for flag in flags(count(data), read(data))]
    assert found == [("8", 1, "cell"), ("22", -1, "both"), ("24", -1, "both"), ("24", 1, "cell")]


def test_a_reading_can_flag_a_size_that_its_own_cell_does_not():
    data = a_round(answers_by_size("yoke", {"12": [0, 0], "14": [-1, 0, 0]}), zones=(YOKE,))
    (nothing,) = read(data)
    weighed = Reading(**{**vars(nothing), "reading": "from_size", "level": "repeated", "sizes": ("14", "16")})
    assert [(flag.size, flag.by) for flag in flags(count(data), [weighed])] == [("14", "reading"), ("16", "reading")]
    watched = Reading(**{**vars(weighed), "level": "watch"})
    assert list(flags(count(data), [watched])) == []


def test_a_file_of_eight_sizes_by_three_testers_is_read():
    """The usual shape of a round: no finished chart, zones without a body point, changes asked for."""
    sizes = [str(size) for size in range(8, 24, 2)]
    armhole = ["000", "000", "000", "001", "011", "110", "211", "122"]
    sleeve = {"16": "221", "12": "100"}
    zones = [
        {"key": "chest", "label": "chest", "low": "tight", "high": "loose", "body_point": "bust"},
        {"key": "armhole", "label": "armhole", "low": "tight", "high": "loose"},
        {"key": "sleeve", "label": "sleeve", "low": "short", "high": "long"},
    ]
    document = {
        "round_file": 1,
        "pattern": {"name": "Oarlock", "fabric": "woven"},
        "version": "test 1",
        "unit": "cm",
        "sizes": sizes,
        "base_size": "12",
        "test_square": 5.0,
        "body_chart": {"bust": [83.0 + 4.0 * i for i in range(8)]},
        "finished_chart": {},
        "zones": zones,
        "reports": [
            {
                "tester": f"T{i}{n}",
                "size": size,
                "stage": "toile",
                "submitted": "2031-05-01T10:00:00Z",
                "body": {"bust": 83.0 + 4.0 * i},
                "test_square": 5.0,
                "zones": {
                    "chest": {"fit": 0},
                    "armhole": {"fit": -int(armhole[i][n]), "change": 2.5},
                    "sleeve": {"fit": int(sleeve.get(size, "000")[n])},
                },
                "steps": [],
            }
            for i, size in enumerate(sizes)
            for n in range(3)
        ],
    }
    found = [(r.zone, r.reading, r.direction, r.sizes) for r in read(parse(json.dumps(document)))]
    assert found == [
        ("chest", "none", -1, ()),
        ("armhole", "growing_up", -1, ("16", "18", "20", "22")),
        ("sleeve", "one_size", 1, ("16",)),
    ]
