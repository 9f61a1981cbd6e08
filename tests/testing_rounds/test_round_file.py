"""Round files: read strictly, written without loss."""

from __future__ import annotations

import copy
import json
import re
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from config.limits import ROUND_FILE_BYTES
from testing_rounds.round_data import Report
from testing_rounds.round_file import RoundFileError, dump, dumps, parse
from tests.testing_rounds.rounds import EXAMPLE, a_report, a_round, example, table

DOCUMENT = json.loads(EXAMPLE.read_text(encoding="utf-8"))
# A file with nothing that may be missing, in the widths that a small studio uses.
BARE = {
    "round_file": 1,
    "pattern": {"name": "Oarlock", "fabric": "knit"},
    "version": "test 1",
    "unit": "cm",
    "sizes": ["S", "M"],
    "zones": [{"key": "hem", "label": "hem", "low": "short", "high": "long"}],
    "reports": [{"tester": "A", "size": "M"}],
}


def refusal(document: Any) -> str:
    source = document if isinstance(document, str | bytes) else json.dumps(document)
    with pytest.raises(RoundFileError) as caught:
        parse(source)
    return str(caught.value)


def changed(path: str, value: str) -> dict[str, Any]:
    """The example with the value at a path (`reports.6.size`) changed, or taken away."""
    document = copy.deepcopy(DOCUMENT)
    *way, last = [int(step) if step.isdigit() else step for step in path.split(".")]
    inside: Any = document
    for step in way:
        inside = inside[step]
    if value == "absent":
        del inside[last]
    else:
        inside[last] = json.loads(value)
    return document


def test_the_example_is_read():
    data = example()
    assert data.pattern == "Tidewrack"
    assert data.sizes == ("34", "36", "38", "40", "42")
    assert data.drafted_height == 168
    assert data.pattern_extra == {"kind": "skirt"}
    assert data.finished_chart["length"] == (60, 60.5, 61, 61.5, 62)
    seventh = data.reports[6]
    assert (seventh.tester, seventh.test_square, seventh.file) == ("T07", 9.8, "letter")
    assert (seventh.zones["hip"].fit, seventh.zones["hip"].change) == (-1, 2)
    assert data.reports[1].test_square is None
    assert data.reports[9].zones["waist"].altered
    assert data.reports[12].size_at("waist") == "40"
    assert data.reports[12].size_at("hip") == "42"
    assert data.stages == ("toile", "finished")


def test_a_file_of_the_least_is_read_and_written_as_it_was():
    data = parse(json.dumps(BARE))
    assert data.base_size is None
    assert data.reports == (Report("A", "M"),)
    assert json.dumps(dump(data)) == json.dumps(BARE)


def test_the_example_is_written_as_it_was():
    assert json.dumps(dump(example())) == json.dumps(DOCUMENT)


def test_the_written_text_is_read_back():
    assert parse(dumps(example())) == example()


def test_a_byte_order_mark_is_passed_over():
    assert parse("\ufeff" + json.dumps(BARE)) == parse(json.dumps(BARE).encode("utf-8-sig")) == parse(json.dumps(BARE))


def test_a_round_of_the_app_spells_out_what_is_empty():
    written = dump(a_round([a_report("T1", "12", {"bust": 0})]))
    assert written["reports"] == [
        {
            "tester": "T1",
            "size": "12",
            "stage": "toile",
            "submitted": None,
            "body": {},
            "test_square": None,
            "zones": {"bust": {"fit": 0}},
            "steps": [],
        }
    ]
    assert parse(json.dumps(written)).reports[0].zones["bust"].fit == 0


def test_the_order_of_keys_makes_no_difference():
    turned = {key: DOCUMENT[key] for key in reversed(DOCUMENT)}
    assert parse(json.dumps(turned)) == example()
    assert list(dump(parse(json.dumps(turned)))) == list(turned)


@pytest.mark.parametrize("row", table("round-file.md", "changed"), ids=lambda row: row["changed"])
def test_the_page_says_what_is_refused(row):
    path, value = re.fullmatch(r"`([^`]+)` = `?(.+?)`?", row["changed"]).groups()
    assert refusal(changed(path, value)) == row["sentence"]


@pytest.mark.parametrize("key", ["round_file", "pattern", "version", "unit", "sizes", "zones", "reports"])
def test_what_must_be_there_is_missed(key):
    document = {other: value for other, value in BARE.items() if other != key}
    assert refusal(document).startswith(f"{key} is missing; it must be ")


@pytest.mark.parametrize(
    ("source", "sentence"),
    [
        ("", "the file is not JSON: expecting value at line 1, column 1"),
        ('{"a": 1\n "b"}', "the file is not JSON: expecting ',' delimiter at line 2, column 2"),
        ("[1]", "the file is a list; it must be an object"),
        ("null", "the file is null; it must be an object"),
        (b"\xff\xfe{", "the file is not UTF-8 text: byte 1 cannot be read"),
        ("[" * 100_000, "the file is nested too deeply: at most 20 levels are read"),
        ('{"a": 1e999}', "a is not a finite number"),
        ('{"a": [1, -Infinity]}', "a 2 is not a finite number"),
        ('{"a": 1, "a": 2}', 'the file names "a" twice'),
        ('{"note": "\\u0000"}', "note holds a character that is no text"),
        ('{"note": "\\ud800"}', "note holds a character that is no text"),
        ('{"a\\ud800": 1}', "the file has a key with a character that is no text"),
        ("9" * 5_000, "the file holds a number with thousands of digits"),
        (" " * (ROUND_FILE_BYTES + 1), "the file is too large: a round file holds at most 20 MB"),
    ],
    ids=range(14),
)
def test_what_is_no_round_file_at_all(source, sentence):
    assert refusal(source) == sentence


def test_a_note_nested_too_deeply_names_its_report():
    document = copy.deepcopy(DOCUMENT)
    document["reports"][2]["steps"] = json.loads("[" * 30 + "]" * 30)
    assert refusal(document).startswith("report 3 (T03), step 1, entry 1, ")
    assert refusal(document).endswith("is nested too deeply: at most 20 levels are read")


def test_a_key_named_twice_in_a_report_names_the_report():
    text = json.dumps(BARE).replace('"tester": "A",', '"tester": "A", "size": "S",')
    assert refusal(text) == 'report 1 (A) names "size" twice'


def test_two_stages_of_one_tester_are_two_reports():
    document = BARE | {"reports": [{"tester": "A", "size": "M"}, {"tester": "A", "size": "M", "stage": "finished"}]}
    assert len(parse(json.dumps(document)).reports) == 2


def test_a_sentence_stays_one_line_whatever_the_file_says():
    document = copy.deepcopy(DOCUMENT)
    document["reports"][6] |= {"tester": "T\n07\x1b[2J" + "x" * 200, "size": "a\nb" * 99}
    sentence = refusal(document)
    assert sentence.isprintable()
    assert len(sentence) < 250


@pytest.mark.parametrize(
    "key", [key for row in table("round-file.md", "key") for key in re.findall("`(.+?)`", row["key"])]
)
def test_the_page_names_the_keys_at_the_top(key):
    assert key in dump(example())


NUMBERS = st.integers(-(10**9), 10**9) | st.floats(allow_nan=False, allow_infinity=False)
WORDS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\x00"), max_size=8)
ANYTHING = st.recursive(
    st.none() | st.booleans() | NUMBERS | WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(WORDS, inner, max_size=3),
    max_leaves=5,
)
NAMES = WORDS.filter(str.strip)
LENGTHS = st.integers(1, 200) | st.floats(0.1, 300)


@st.composite
def objects(draw: st.DrawFn, needed: dict[str, Any], free: dict[str, Any]) -> dict[str, Any]:
    """An object with what it needs, some of what it may have, keys of nobody's, all in any order."""
    others = draw(st.dictionaries(WORDS.map("x-{}".format), ANYTHING, max_size=2))
    made = draw(st.fixed_dictionaries(needed, optional=free)) | others
    return {key: made[key] for key in draw(st.permutations(list(made)))}


@st.composite
def round_files(draw: st.DrawFn) -> dict[str, Any]:
    sizes = draw(st.lists(NAMES, min_size=1, max_size=4, unique=True))
    zones = draw(st.lists(NAMES, max_size=3, unique=True))
    size, zone = st.sampled_from(sizes), st.sampled_from(zones or [""])
    by_zone = (lambda values: st.dictionaries(zone, values)) if zones else (lambda values: st.just({}))
    rows = st.dictionaries(NAMES, st.lists(st.none() | LENGTHS, min_size=len(sizes), max_size=len(sizes)), max_size=2)
    lengths = st.dictionaries(WORDS, st.none() | LENGTHS, max_size=2)
    answer = objects(
        {"fit": st.integers(-2, 2)},
        {"altered": st.booleans(), "change": st.none() | st.integers(-9, 9) | st.floats(-100, 100)},
    )
    words = st.lists(objects({"zone": zone, "reason": NAMES}, {}), max_size=2) if zones else st.just([])
    report = objects(
        {"size": size},
        {
            "stage": NAMES,
            "submitted": st.none() | NAMES,
            "body": lengths,
            "test_square": st.none() | st.floats(0.1, 100),
            "zones": by_zone(answer),
            "steps": st.lists(ANYTHING, max_size=2),
            "sizes": by_zone(size),
            "version": st.none() | NAMES,
            "file": st.none() | NAMES,
            "fabric": objects({}, {"stretch": st.none() | st.integers(0, 100)}),
            "toile": lengths,
            "set_aside": words,
            "put_back": words,
        },
    )
    reports = draw(st.lists(report, max_size=3))
    for number, one in enumerate(reports):
        one["tester"] = f"T{number}"
    pattern = {"drafted_height": st.none() | st.integers(30, 300), "stretch": st.none() | st.floats(0, 500)}
    return draw(
        objects(
            {
                "round_file": st.just(1),
                "pattern": objects({"name": NAMES, "fabric": st.sampled_from(["woven", "knit"])}, pattern),
                "version": NAMES,
                "unit": st.just("cm"),
                "sizes": st.just(sizes),
                "zones": st.tuples(
                    *(
                        objects(
                            {"key": st.just(key), "label": NAMES, "low": st.just("tight"), "high": st.just("loose")},
                            {"body_point": st.none() | NAMES, "scale_cm": st.none() | st.floats(0.01, 20)},
                        )
                        for key in zones
                    )
                ).map(list),
                "reports": st.just(reports),
            },
            {"base_size": st.none() | size, "test_square": st.none() | LENGTHS.filter(lambda x: x <= 100),
             "body_chart": rows, "finished_chart": rows},
        )
    )  # fmt: skip


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)
@given(round_files())
def test_reading_and_writing_loses_nothing(document):
    """Not a key, not the order, not the form of a number."""
    written = dump(parse(json.dumps(document)))
    assert json.dumps(written) == json.dumps(document)
    assert parse(json.dumps(written)) == parse(json.dumps(document))


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=100)
@given(st.data())
def test_a_damaged_file_is_read_or_refused_in_one_sentence(data):
    """Whatever stands at whatever place, the answer is a round or a sentence, never another error."""
    document = copy.deepcopy(DOCUMENT)
    inside: Any = document
    while True:
        key = data.draw(st.sampled_from(sorted(inside) if isinstance(inside, dict) else range(len(inside))))
        if not isinstance(inside[key], dict | list) or not inside[key] or data.draw(st.booleans()):
            break
        inside = inside[key]
    inside[key] = data.draw(ANYTHING)
    assert said_of(document).isprintable()


def said_of(document: Any) -> str:
    try:
        return parse(json.dumps(document)).pattern and ""
    except RoundFileError as error:
        return str(error)
