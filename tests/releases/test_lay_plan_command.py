"""`manage.py lay_plan` on files: the answer's form, both units, and a sentence for every file that is none."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from tests.house.project import ROOT

EXAMPLE = json.loads((ROOT / "docs/examples/cutting-list.json").read_text())


@pytest.fixture
def laid(tmp_path):
    def lay(given, *options):
        path = tmp_path / "list.json"
        path.write_bytes(given if isinstance(given, bytes) else json.dumps(given).encode())
        out = StringIO()
        call_command("lay_plan", str(path), *options, stdout=out)
        return out.getvalue()

    return lay


def as_json(laid, given):
    return json.loads(laid(given, "--json"))


def test_the_example_is_laid_as_the_page_says(laid):
    made = as_json(laid, EXAMPLE)
    assert list(made) == ["length", "raw", "buy_m", "buy_yd", "layout", "placements", "refused"]
    assert (made["length"], made["buy_m"], made["buy_yd"], made["layout"]) == (144, 1.6, 1.75, "open")
    assert made["raw"] == pytest.approx(149 / 0.97)
    assert len(made["placements"]) == 11
    assert list(made["placements"][0]) == ["name", "x", "y", "length", "width", "turned"]
    assert made["refused"] == []


def test_inches_give_the_same_cloth_in_inches(laid):
    inches = {**EXAMPLE, "unit": "in", "width": 140 / 2.54, "selvedge": 3 / 2.54, "pieces": []}
    for piece in EXAMPLE["pieces"]:
        sides = {key: piece[key] / 2.54 for key in ("length", "width")}
        inches["pieces"].append({**piece, **sides})
    made = as_json(laid, inches)
    assert made["length"] == pytest.approx(144 / 2.54, rel=0.05)
    assert made["raw"] == pytest.approx((made["length"] + 5 / 2.54) / 0.97)


def test_what_is_left_out_has_its_usual_value(laid):
    made = as_json(laid, {"width": 140, "pieces": [{"cut": "pair", "length": "10 1/2", "width": 7}]})
    assert [(one["name"], one["length"], one["turned"]) for one in made["placements"]] == [("piece 1", 10.5, 0)]
    assert (made["layout"], made["raw"]) == ("folded", 15.5)


def test_a_selvedge_of_nothing_is_none(laid):
    sides = {"cut": "single", "length": 10, "width": 140}
    assert as_json(laid, {"width": 140, "selvedge": 0, "pieces": [sides]})["refused"] == []
    assert as_json(laid, {"width": 140, "pieces": [sides]})["length"] is None


def test_shrinkage_is_a_share_or_per_cent(laid):
    raws = {as_json(laid, {**EXAMPLE, "shrinkage": given})["raw"] for given in (0.03, 3, "3 %", "0.03")}
    assert len(raws) == 1


def test_a_refused_list_has_no_length(laid):
    wide = {**EXAMPLE["pieces"][0], "width": 70}
    made = as_json(laid, {**EXAMPLE, "pieces": [wide, EXAMPLE["pieces"][1]]})
    assert (made["length"], made["buy_m"], made["layout"], made["placements"]) == (None, None, None, [])
    assert "seam it" in made["refused"][0]
    assert "seam it" in laid({**EXAMPLE, "pieces": [wide]})


def test_the_table_says_what_to_buy_first(laid):
    first, *rest = laid(EXAMPLE).splitlines()
    assert first == "Buy 1.6 m or 1.75 yd: the layout is 144 cm long, open."
    assert len(rest) == 12


PIECE = {"name": "front", "cut": "fold", "length": 60, "width": 20}
BROKEN = {
    "no JSON": b"{",
    "no text": b"\xff\xfe\x00",
    "a list": [],
    "deep": b"[" * 100_000,
    "NaN": b'{"width": NaN, "pieces": []}',
    "infinite": b'{"width": 1e999, "pieces": []}',
    "no pieces": {"width": 140, "pieces": []},
    "no width": {"pieces": [PIECE]},
    "unit": {"unit": "ell", "width": 140, "pieces": [PIECE]},
    "negative": {"width": 140, "pieces": [{**PIECE, "length": -1}]},
    "nothing": {"width": 140, "pieces": [{**PIECE, "length": 0}]},
    "huge": {"width": 140, "pieces": [{**PIECE, "length": 1e9}]},
    "true": {"width": True, "pieces": [PIECE]},
    "text": {"width": 140, "pieces": [{**PIECE, "width": "wide"}]},
    "cut": {"width": 140, "pieces": [{**PIECE, "cut": "once"}]},
    "no cut": {"width": 140, "pieces": [{**PIECE, "cut": None}]},
    "grain": {"width": 140, "pieces": [{**PIECE, "grain": "up"}]},
    "half a piece": {"width": 140, "pieces": [{**PIECE, "count": 1.5}]},
    "no count": {"width": 140, "pieces": [{**PIECE, "count": "two"}]},
    "crowd": {"width": 140, "pieces": [{**PIECE, "count": 300}, PIECE]},
    "shrinkage": {"width": 140, "shrinkage": 0.9, "pieces": [PIECE]},
    "shrinkage text": {"width": 140, "shrinkage": "some", "pieces": [PIECE]},
    "piece": {"width": 140, "pieces": ["front"]},
    "too long": b" " * 1_000_001,
}


@pytest.mark.parametrize("given", BROKEN.values(), ids=BROKEN)
def test_what_is_no_cutting_list_gets_a_sentence(laid, given):
    with pytest.raises(CommandError) as raised:
        laid(given, "--json")
    assert raised.value.returncode == 2
    assert str(raised.value).endswith((".", ". Check the number and its unit."))
    assert "\n" not in str(raised.value)


def test_a_file_that_is_not_there_gets_a_sentence():
    with pytest.raises(CommandError, match="cannot be read") as raised:
        call_command("lay_plan", "/nowhere/list.json")
    assert raised.value.returncode == 2
