"""`manage.py advise_size`: the worked examples of its page, and whatever a person may type instead."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.advice_text import AdviceError, read_body, read_ease, read_lengths
from measurements.body_measures import BODY_MEASURES
from tests.measurements.tables import worked_table

CHART = """cm,6,8,10,12,14,16,18,20,22,24
High bust,75,79,83,87,91,96,101,107,113,119
Bust,80,84,88,92,96,101,106,112,118,124
Waist,62,66,70,74,78,83,88,94.5,101,107.5
Hip,86,90,94,98,102,107,112,118,124,130
"""
EASE = ("--ease", "bust=6,waist=4,hip=7")
PATTERNS = {
    "hip free": (*EASE, "--free", "hip"),
    "straight skirt": EASE,
    "knit": ("--ease", "bust=-4%", "--fabric", "knit"),
}


@pytest.fixture
def chart(tmp_path):
    file = tmp_path / "chart.csv"
    file.write_text(CHART)
    return str(file)


@pytest.fixture
def run(capsys, chart):
    def run(*asked: str, on: str = chart) -> list[str]:
        call_command("advise_size", "--chart", on, *asked)
        return capsys.readouterr().out.splitlines()

    return run


@pytest.fixture
def answer(run):
    """The JSON of one body."""

    def answer(body: str, *asked: str, **more: str) -> dict:
        (line,) = run("--body", body, *asked, "--json", **more)
        return json.loads(line)

    return answer


def asked_body(text: str) -> str:
    names = ("bust", "high_bust", "waist", "hip")
    return ",".join(f"{name}={cm}" for name, cm in zip(names, text.split("/"), strict=True) if cm != "-")


def places(text: str) -> dict[str, str]:
    """`waist 20 (4.5)` or `bust 6, waist 4` as {place: what follows it}."""
    return {} if text == "none" else dict(part.split(" ", 1) for part in text.split(", "))


def tenth(cm: float) -> str:
    return f"{Decimal(str(cm)).quantize(Decimal('0.1')).normalize():f}"


@pytest.mark.parametrize("line", worked_table("size-advice.md", "Worked examples"), ids=lambda line: line["example"])
def test_the_worked_examples(line, answer):
    wish = () if line["wish"] == "usual" else ("--prefer", line["wish"])
    found = answer(asked_body(line["body"]), *PATTERNS[line["pattern"]], *wish)
    blends = {place: text.strip(")").split(" (") for place, text in places(line["blend"]).items()}
    left = places(line["ease left"]) | {place: cm for place, (_, cm) in blends.items()}
    assert list(found) == ["size", "outside", "blend", "change", "ease", "says"]
    assert found["size"] == (None if line["size"] == "outside" else line["size"])
    assert found["outside"] is (line["size"] == "outside")
    assert found["blend"] == {place: size for place, (size, _) in blends.items()}
    assert {place: tenth(cm) for place, cm in found["change"].items()} == places(line["change"])
    assert {place: tenth(cm) for place, cm in found["ease"].items()} == left
    assert found["says"]


def test_a_knit_says_how_far_it_is_stretched_when_worn(answer):
    assert "stretched by 6 %" in answer("bust=98,high_bust=93", *PATTERNS["knit"])["says"]


def test_without_ease_the_usual_one_is_taken(answer):
    assert answer("bust=88,high_bust=83,waist=70,hip=104") == answer("bust=88,high_bust=83,waist=70,hip=104", *EASE)


def test_a_chart_in_inches_reads_bodies_in_inches_and_answers_in_cm(tmp_path, answer):
    file = tmp_path / "inches.csv"
    file.write_text("in,S,M,L\nHigh bust,32 1/2,34 1/2,36 1/2\nBust,34 1/2,36 1/2,38 1/2\nWaist,27,29,31\n")
    found = answer("bust=36 1/2,high_bust=34 1/2,waist=29", "--ease", "bust=2,waist=1 1/2", on=str(file))
    assert (found["size"], found["ease"]) == ("M", {"bust": 5.08, "waist": 3.81})
    assert answer("bust=92.7 cm,high_bust=34½", "--ease", "bust=2", on=str(file))["size"] == "M"


def test_a_finished_chart_gives_the_ease_of_each_size_by_its_label(tmp_path, answer):
    file = tmp_path / "finished.csv"
    file.write_text("cm,12,14,16,18\nBust,98,102,107,112\nWaist,78,82,87,89.5\n")
    found = answer("bust=106,high_bust=101,waist=88,hip=120", "--finished", str(file))
    assert (found["size"], found["ease"]["bust"]) == ("18", 6)
    assert found["blend"] == {}
    assert "No larger size keeps the least ease" in found["says"], "size 18 is 1.5 there, and the chart ends"
    assert "hip" not in found["ease"], "the finished chart is silent there"


def test_a_body_of_waist_and_hip_alone_is_for_a_skirt(answer):
    assert answer("waist=74,hip=104")["size"] == "16"
    assert answer("waist=74,hip=104", "--free", "hip")["size"] == "12"
    assert answer("waist=74")["size"] == "12"
    assert answer("bust=92,high_bust=87,waist=74,hip=104", "--ease", "waist=2,hip=5")["size"] == "16"


def test_a_garment_with_a_bust_is_not_advised_by_a_hip(answer):
    found = answer("waist=74,hip=104", *EASE)
    assert (found["size"], found["outside"], found["ease"]) == (None, False, {})
    assert "bust is not known" in found["says"]


def test_the_drafted_cup_is_read_off_the_chart_size_by_size(tmp_path, answer):
    """6 cm of cup at 14 and 8 at 24: 10 over a high bust of 113 is 2.9 off at 22 with 7.1, and 3 at 14 is 3 off."""
    file = tmp_path / "growing.csv"
    file.write_text("cm,14,16,18,20\nHigh bust,90,94,98,102\nBust,96,101,106,111\n")
    by_high_bust = answer("bust=112,high_bust=98", "--ease", "bust=6", on=str(file))
    assert (by_high_bust["size"], by_high_bust["change"]) == ("18", {"bust": 6})
    assert answer("bust=108,high_bust=98", "--ease", "bust=6", on=str(file))["change"] == {}


def test_least_ease_of_ones_own_joins_the_usual(answer):
    body = "bust=98,high_bust=93,waist=80"
    assert answer(body, *EASE, "--least", "bust=2.5,waist=0.5")["size"] == "14"
    assert answer(body, *EASE, "--least", "bust=2.5")["size"] == "16", "the waist still keeps 2"


def test_a_table_of_bodies_is_answered_a_line_a_row(tmp_path, run):
    file = tmp_path / "bodies.csv"
    file.write_text(
        "who,Bust (in),High bust,Waist\nmoss,36 1/4,87,74\nfern,150,93,80\nsedge,plenty,93,80\nrush,,93,80\n"
    )
    lines = [json.loads(line) for line in run("--bodies", str(file), *EASE, "--json")]
    assert [line["size"] for line in lines] == ["12", None, None, None]
    assert [line["outside"] for line in lines] == [False, False, False, False]
    assert "cannot be right" in lines[1]["says"]
    assert "“plenty”" in lines[2]["says"]
    plain = run("--bodies", str(file), *EASE)
    assert plain[0].startswith("moss\t12\t")
    assert plain[3].startswith("rush\t-\tThe bust is not known")


def test_sizes_that_run_from_large_to_small_are_turned(tmp_path, answer):
    file = tmp_path / "turned.csv"
    file.write_text("cm,16,14,12\nBust,101,96,92\n")
    assert answer("bust=92.5", "--ease", "bust=6", on=str(file))["size"] == "12"


def test_a_row_that_falls_is_said_and_nothing_is_advised(tmp_path, answer):
    file = tmp_path / "slip.csv"
    file.write_text("cm,10,12,14,16\nBust,88,92,69,101\n")
    found = answer("bust=90", "--ease", "bust=6", on=str(file))
    assert found["size"] is None
    assert "falls from 92 cm" in found["says"]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (("--body", "bust=nan"), "cannot be read as a length"),
        (("--body", "bust=-98"), "has a sign"),
        (("--body", "bust=1000"), "cannot be right"),
        (("--body", "girth of joy=98"), "not a measurement"),
        (("--body", "bust=98,chest=99"), "given twice"),
        (("--body", "bust"), "Write it like"),
        (("--body", "bust=98", "--ease", "bust=-400%"), "cannot be right"),
        (("--body", "bust=98", "--prefer", "smaller"), "--prefer is"),
        (("--body", "bust=98", "--fabric", "silk"), "--fabric is"),
        (("--body", "bust=98", "--free", "everywhere"), "not a measurement"),
        ((), "Give one body"),
        (("--bodies", "/nowhere.csv"), "cannot be read"),
    ],
)
def test_what_cannot_be_read_is_one_sentence_and_2(asked, said, run):
    with pytest.raises(CommandError, match=said) as wrong:
        run(*asked)
    assert wrong.value.returncode == 2
    assert "\n" not in str(wrong.value)


def test_a_file_that_is_no_chart_is_said(tmp_path, run):
    for content in ("", "cm,6,8\nBust,80,eighty\n", "cm,6,6\nBust,80,84\n"):
        file = tmp_path / "none.csv"
        file.write_text(content)
        with pytest.raises(CommandError):
            run("--body", "bust=98", on=str(file))


@settings(derandomize=True, database=None, deadline=None, max_examples=150)
@given(text=st.text(alphabet='bustwaihp_=,;.%/0123456789-+ ½"é∞', max_size=40))
def test_whatever_is_typed_is_read_or_refused_with_a_sentence(text):
    for read in (read_body, read_ease, read_lengths):
        found: dict | str
        try:
            found = read(text, "cm")
        except AdviceError as wrong:
            found = str(wrong)
        assert found == {} or isinstance(found, str) or set(found) <= {measure.key for measure in BODY_MEASURES}


def test_bare_numbers_that_fit_another_unit_alone_are_read_in_it_and_it_is_said(tmp_path, run, answer):
    file = tmp_path / "inches.csv"
    file.write_text("measurement (in),8,10,12\nbust,33,35,37\nwaist,25,27,29\n", encoding="utf-8")
    bodies = tmp_path / "bodies.csv"
    bodies.write_text("bust,waist\n88.9,68.6\n94,\n", encoding="utf-8")
    told = answer("bust=88.9,waist=68.6", on=str(file))
    assert (told["size"], "cm" in told["says"][-30:]) == ("10", True)
    assert [json.loads(line)["size"] for line in run("--bodies", str(bodies), "--json", on=str(file))] == ["10", "12"]


def test_a_negative_ease_is_that_of_a_knit(answer):
    told = answer("bust=98,high_bust=93,waist=90", "--ease", "bust=-4%")
    assert (told["size"], told["ease"]) == ("14", {"bust": -5.84})
