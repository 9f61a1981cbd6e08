"""`manage.py check_chart`: exactly the keys that are promised, on files as people write them."""

from __future__ import annotations

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from testing_rounds.demo import scenario


def run(*arguments: str) -> str:
    out = StringIO()
    call_command("check_chart", *arguments, stdout=out)
    return out.getvalue()


def asked(*arguments: str) -> dict[str, Any]:
    return json.loads(run(*arguments, "--json"))


def written(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.fixture
def demo(tmp_path):
    def chart(name: str, rows: dict[str, tuple[float, ...]]) -> str:
        lines = ["measurement," + ",".join(scenario.SIZES), *(f"{k},{','.join(map(str, v))}" for k, v in rows.items())]
        return written(tmp_path / f"{name}.csv", "\n".join(lines))

    return chart("body", scenario.BODY), chart("finished", scenario.FINISHED)


def test_the_demo_names_its_planted_faults(demo, tmp_path):
    body, finished = demo
    facts = written(tmp_path / "facts.json", json.dumps({"base": 12, "ease": {"back_length": [0.5, 0.5]}}))
    answer = asked(body, "--finished", finished, "--facts", facts)
    assert list(answer) == ["unit", "findings", "not_run"]
    assert all(list(one) == ["kind", "measure", "sizes", "proposed", "says"] for one in answer["findings"])
    told = {(one["kind"], one["measure"]): one for one in answer["findings"]}
    assert list(told) == [("slip", "waist"), ("break", "upper_arm"), ("ease", "back_length"), ("ease", "upper_arm")]
    assert (told["slip", "waist"]["sizes"], told["slip", "waist"]["proposed"]) == (["18"], {"18": 92.0})
    assert told["break", "upper_arm"]["proposed"] == {"16": 36.4, "18": 38.0, "20": 40.0, "22": 42.0, "24": 44.0}
    assert told["ease", "back_length"]["proposed"]["6"] == 39.5
    assert all(len(one) == 2 and all(isinstance(text, str) for text in one) for one in answer["not_run"])
    assert "proposed (cm): 18 92" in run(body, "--finished", finished)


def test_a_finished_chart_alone_is_known_by_its_rows(demo):
    assert {one["measure"] for one in asked(demo[1])["findings"]} == {"waist"}


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffMeasurement (cm);6;8;10;12;14;16\r\nTaille;62;66;72,5;74;78;83\r\nWaist;62;66;72,5;74;78;83\r\n",
        "inches\n,6,8,10,12,14,16\nWaist,24 1/2,26,28 1/2,29,30 1/2,32\nWaist to knee,22,22,22,22,22,22",
        "\t16\t14\t12\t10\t8\t6\nWaist\t83\t78\t74\t72.5\t66\t62",
    ],
)
def test_charts_as_people_write_them(tmp_path, text):
    answer = asked(written(tmp_path / "chart.csv", text))
    found = [one for one in answer["findings"] if one["measure"] == "waist"]
    assert [(one["kind"], one["sizes"]) for one in found] == [("slip", ["10"])]
    assert answer["unit"] == ("in" if text.startswith("inches") else "cm")


def test_bare_numbers_are_what_unit_says(tmp_path):
    chart = written(tmp_path / "chart.csv", ",6,8,10,12,14\nCalf girth,13,13.5,15.5,14.5,15")
    answer = asked(chart, "--unit", "in")
    assert (answer["unit"], answer["findings"][0]["proposed"]) == ("in", {"10": 14.0})
    assert "1 1/2 in too large" in answer["findings"][0]["says"]


def test_cells_that_are_no_lengths_are_left_out_and_told(tmp_path):
    chart = written(tmp_path / "chart.csv", ",6,8,10,12,14\nWaist,62,NaN,-70,1e9,78\nHip,86,90,ten,98,102")
    told = asked(chart)["not_run"]
    assert [check for check, _why in told].count("cell") == 4
    assert "Hip, 10" in told[3][1]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no chart"),
        (",6,6,8\nWaist,62,64,66", "there twice"),
        (",6,,8\nWaist,62,64,66", "no label"),
        ("%PDF-1.7", "no XLSX or CSV"),
    ],
)
def test_what_is_no_chart_ends_with_one_sentence(tmp_path, text, said):
    with pytest.raises(CommandError, match=said) as wrong:
        run(written(tmp_path / "chart.csv", text))
    assert wrong.value.returncode == 2
    assert "\n" not in str(wrong.value)


def test_a_missing_file_and_wrong_facts_end_with_one_sentence(demo, tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        run(str(tmp_path / "nothing.csv"))
    for text, said in (("{", "no JSON"), ('{"ease": 4}', "must be an object")):
        with pytest.raises(CommandError, match=said):
            run(demo[0], "--facts", written(tmp_path / "facts.json", text))


def test_what_was_read_with_doubt_or_declared_in_vain_is_said(tmp_path):
    chart = written(tmp_path / "a.csv", "measurement,8,10,12\nwaist,66,27.5in,74\nWaist girth,66,70,74\n")
    facts = written(tmp_path / "f.json", json.dumps({"base": "9", "breaks": {"hip": ["10"], "natural waist": ["12"]}}))
    why = {(check, text.split(":")[0]) for check, text in asked(chart, "--facts", facts)["not_run"]}
    assert {("unit", "Waist, 10"), ("facts", "The chart has no size 9, which is declared.")} <= why
    assert {text[:25] for check, text in why if check in {"row", "break"}} == {
        "“Waist girth” measures th",
        "The chart has no row “hip",
    }
    with pytest.raises(CommandError) as refused:
        run(written(tmp_path / "b.csv", "measurement,8,10\nbust,a,b\n"))
    assert refused.value.returncode == 2
