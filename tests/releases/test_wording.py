"""The wording check: fifteen sentences of booklets and what each must give."""

from __future__ import annotations

import pytest

from releases.wording.check import check_wording
from releases.wording.facts import FactsError, read_facts

SIZES = ["6", "8", "10", "12", "14", "16", "18", "20", "22", "24"]
FACTS = read_facts(
    {
        "allowances": {"seam": "1 cm", "notch": "4 mm", "hem": "2 cm", "lining_offset": "1.5 cm"},
        "sizes": SIZES,
        "pieces": [
            {"name": "lower front", "count": 1, "cut": "fold"},
            {"name": "lower back", "count": 2, "cut": "pair"},
            {"name": "back facing", "count": 2, "cut": "pair"},
            {"name": "sleeve", "count": 2, "cut": "pair"},
        ],
        "notions": [{"name": "zip", "length": "55 cm"}, "thread"],
        "square_page": 2,
        "dialect": "uk",
    }
)
TWELVE = "\n".join(f"{number}. Press the seam." for number in range(1, 12)) + "\n12. Press as in step 14."
SEWN = "1. Sew the lower front to the lower backs.\n2. Set in the sleeves and the zip."

# text, [(kind, words, proposed)]
SENTENCES = [
    ("Sew the side seams with 1 cm (5/8 in).", [("pair", "1 cm (5/8 in)", "1 cm (3/8 in)")]),
    ("Sew a 2 cm (3/4 in) hem.", []),
    ("Trim to 3 mm.", [("unit", "3 mm", "3 mm (1/8 in)")]),
    ("Clip 8 mm notches.", [("notch", "8 mm", "4 mm (3/16 in)")]),
    ("Cut 2 on fold: lower front.", [("count", "Cut 2 on fold: lower front", "Cut 1 on fold: lower front")]),
    ("Attach pocket B.", [("piece", "pocket B", None)]),
    (SEWN, [("unsewn", "back facing", None)]),
    ("Insert the 35 cm (14 in) zip.", [("zip", "35 cm (14 in)", "55 cm (21 5/8 in)")]),
    ("6. Press. \n7. Press.\n9. Press.", [("numbering", "7, 9", None)]),
    ("Sizes 6-22", [("size", "Sizes 6-22", "Sizes 6-24")]),
    ("Cut the lining to the same length.", [("lining", "to the same length", "1.5 cm (5/8 in) shorter")]),
    ("Measure the square on page 3.", [("page", "square on page 3", "square on page 2")]),
    (
        "RS together, baste CB.",
        [
            ("abbreviation", "RS", "right side (RS)"),
            ("abbreviation", "CB", "centre back (CB)"),
            ("dialect", "baste", "tack"),
        ],
    ),
    ("Cut 2 in lining.", []),
    ("This is a 2-piece sleeve.", []),
]


@pytest.mark.parametrize(("text", "expected"), SENTENCES)
def test_a_sentence_gives_its_findings_and_no_other(text, expected):
    facts = FACTS if text == SEWN else read_facts({**RAW_WITHOUT_STEPS})
    found = [(one.kind, one.text, one.proposed) for one in check_wording(text, facts)]
    assert found == expected


RAW_WITHOUT_STEPS = {
    "allowances": {"seam": "1 cm", "notch": "4 mm", "hem": "2 cm", "lining_offset": "1.5 cm"},
    "sizes": SIZES,
    "pieces": [{"name": "lower front", "count": 1, "cut": "fold"}],
    "lengths": {"zip": 55},
    "square_page": 2,
    "dialect": "uk",
}


def test_a_reference_beyond_the_last_step_is_dead():
    found = check_wording(TWELVE)
    assert [(one.kind, one.step, one.line, one.text) for one in found] == [("reference", 12, 12, "step 14")]


def test_one_inch_value_keeps_one_partner():
    found = check_wording("1. Turn 6 mm (1/4 in).\n2. Turn 6 mm (1/4 in).\n3. Turn 7 mm (1/4 in).")
    assert [(one.kind, one.step) for one in found] == [("partner", 3)]


@pytest.mark.parametrize("raw", [[], {"unit": "furlong"}, {"hem": "wide"}, {"pieces": [{}]}, {"hem": float("nan")}])
def test_facts_that_mean_nothing_say_where(raw):
    with pytest.raises(FactsError):
        read_facts(raw)
