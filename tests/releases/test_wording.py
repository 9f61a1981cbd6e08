"""The wording check: fifteen sentences of booklets and what each must give."""

from __future__ import annotations

import contextlib
import json
import re

import pytest
from django.utils.translation import override
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.translated import in_words
from releases.wording.check import check_wording
from releases.wording.facts import FactsError, read_facts
from tests.measurements.tables import PAGES, worked_table

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


# The same facts, as other people would write them.
SHAPES = {
    "keys with units": {
        "seam_allowance_mm": 10, "notch_mm": 4, "hem_cm": 2, "lining_shorter_mm": 15, "zip_length_cm": 55,
        "sizes": "6-24", "pieces": ["lower front: cut 1 on fold"], "test_square_page": "2", "language": "en-GB",
    },
    "groups in mm": {
        "allowancesMm": {"seam": 10, "hem": 20, "notch": 4}, "lengths": {"lining offset": {"cm": 1.5}},
        "chart": {"first": 6, "last": 24}, "pieces": {"lower front": {"cut": 1, "on_fold": True}},
        "notions": [{"notion": "zip", "mm": 550}], "test_square": {"page": 2}, "dialect": ["toile", "tack"],
    },
    "rows": {
        "facts": {
            "Allowances": [
                {"name": "Seam allowance", "cm": 1}, {"name": "hem", "length": 20, "unit": "mm"},
                {"name": "Notch length", "length": "4 mm"}, {"name": "lining shorter by", "length": 1.5},
            ],
            "size range": ["6", "8", "24"], "notions": {"needed": ["zip, 55 cm (21 5/8 in)"], "optional": ["ribbon"]},
            "cutting list": [{"piece": "lower front", "how": "cut 1 on fold"}],
            "pages": {"square": 2}, "dialect": "British",
        }
    },
}  # fmt: skip


@pytest.mark.parametrize("raw", SHAPES.values(), ids=SHAPES)
def test_facts_are_read_however_they_are_written(raw):
    facts = read_facts(raw)
    expected = {"seam allowance": 10, "hem": 20, "notch": 4, "lining offset": 15, "zip": 550}
    assert facts.lengths == expected
    assert (facts.sizes[0], facts.sizes[-1], facts.square_page, facts.dialect) == ("6", "24", 2, "uk")
    assert [(one.name, one.count, one.fold) for one in facts.pieces] == [("lower front", 1, True)]


@pytest.mark.parametrize("raw", [*SHAPES.values(), RAW_WITHOUT_STEPS])
@pytest.mark.parametrize("row", worked_table("wording.md", "Worked example"), ids=lambda row: row["words"])
def test_the_worked_example(row, raw):
    found = check_wording(row["words"], read_facts(raw))
    assert ", ".join(one.kind for one in found) == row["kinds"].replace("`", "")
    assert ", ".join(one.proposed or "" for one in found) == row["proposed"]


def test_the_facts_of_the_page_are_read():
    page = (PAGES.parent / "wording-facts.md").read_text(encoding="utf-8")
    facts = read_facts(json.loads(re.search(r"```json\n(.*?)```", page, re.DOTALL)[1]))
    assert facts.lengths["sleeve hem"] == 30
    assert facts.notions[1].optional
    assert facts.abbreviations == {"RS"}


# Other words for what the fifteen sentences say: (text, kinds).
VARIANTS = [
    ("Sew at 5/8 in (1 cm).", "pair"),
    ("Use 1 cm\n(5/8 in) seam allowances.", "pair"),
    ("Turn under 1-1/2 in (2.5 cm).", "pair"),
    ("Turn 1,5 cm (3/8 in).", "pair"),
    ("Turn 1½ in (3 cm).", "pair"),
    ("Turn 1 cm (3/8 in), then 1 cm (3/8 in) again for the hem.", ""),
    ("Leave the last 5 cm (2 in) of the seam open.", ""),
    ("Stitch 5 cm (2 in) from the hem.", ""),
    ("Trim the seam to 6 mm (1/4 in).", ""),
    ("French seam: sew 6 mm (1/4 in) seams first.", ""),
    ("All seams are 1.5 cm (5/8 in).", "allowance"),
    ("Turn up a 4 cm (1 5/8 in) hem.", "hem"),
    ("Snip each notch 8 mm (5/16 in) deep.", "notch"),
    ("Cut the notches to a depth of 8 mm (5/16 in).", "notch"),
    ("Lower front, cut 2x on fold", "count"),
    ("Cut 1 lower front.", "fold"),
    ("Cut 1 lower front on the fold.", ""),
    ("Pin the pocket to the lower front.", "piece"),
    ("You need one zip, 35 cm (13 3/4 in) long.", "zip"),
    ("Place the zip 1 cm (3/8 in) below the edge.", ""),
    ("1. Sew.\n2. Repeat steps 1 and 4.", "reference"),
    ("1. Sew.\n2. Step 2 again.", "reference"),
    ("1. Sew.\n2. As in step 1, 5 mm (3/16 in) away.", ""),
    ("6 Sew the hem.\n7 Press it.\n9 Turn it.", "numbering"),
    ("**6.** Sew.\n**8.** Press.", "numbering"),
    ("1. Sew.\n2. Press.\n2. Turn.", "numbering"),
    ("View A\n1. Sew.\n2. Press.\n\nView B\n1. Sew.\n2. Turn.", ""),
    ("This pattern comes in sizes 6 through 22.", "size"),
    ('cover "6-22"', "size"),
    ("Sizes: 6, 8, 10, 12, 14, 16, 18, 20, 22", "size"),
    ("Lengthen at the line for sizes 18-24.", ""),
    ("Seam allowance 1.5 cm (5/8 in) included", "allowance"),
    ("Turn up the hem 1 cm (3/8 in), then 2 cm (3/4 in).", ""),
    ("Sizes 6-14 use view A.", ""),
    ("The lining is as long as the skirt.", "lining"),
    ("Leave the lining as long as you like.", ""),
    ("The lining is of the same length as the skirt.", "lining"),
    ("Cut the lining 1.5 cm (5/8 in) shorter.", ""),
    ("Test square: p. 3", "page"),
    ("RS = right side. Place RS together.", ""),
    ("Place RST.", "abbreviation"),
    ("Insert the zipper.", "dialect"),
    ("Check the cloth for flaws.", ""),
    ("Darts for problem areas.", "person"),
    ("1. Cut it with a rotary cutter.", "caution"),
    ("Cut it with a rotary cutter.", ""),
    ("Cut 2 in interfacing and 4 in lining.", ""),
    ("Trim to five eighths of an inch (1.5 cm).", ""),
    ("Turn an inch and a half (3 cm).", "pair"),
    ("Ease it in, an inch at a time. Use 2 in 1 tape.", ""),
    ("Hem allowance: 2 cm (3/4 in).", ""),
    ("Turn up the hem by 2.5 cm (1 in) and slip-stitch it.", "hem"),
    ("Sew the side seams, 1.5 cm (5/8 in).", "allowance"),
    ("Sew the side seam leaving 4 cm (1 5/8 in) open.", ""),
    ("Take in the seam by 5 mm (3/16 in).", ""),
    ("The side seams are 60 cm (23 5/8 in) long.", ""),
    ("Sew the side seams at 1.5 cm (5/8 in).", "allowance"),
    ("You need a 40 cm zip (15 3/4 in).", "zip"),
    ("Pages 2 to 20 hold the pattern.", ""),
    ("Use a sharp needle, size 80.", ""),
    ("A shirt, sizes 6 to 22. Print page 2 first.", "size"),
    ("Test the iron on a scrap.\n1. Seal it with fray stop.", "caution"),
    ("1. Press with a hot iron.", "caution"),
]


@pytest.mark.parametrize(("text", "kinds"), VARIANTS)
def test_other_words_for_the_same(text, kinds):
    found = check_wording(text, read_facts({**RAW_WITHOUT_STEPS, "lengths": {"zip": 55}}))
    assert ", ".join(one.kind for one in found if one.kind != "unsewn") == kinds


def test_of_two_halves_the_declared_one_is_kept():
    facts = read_facts({"allowances": {"seam": "1 cm"}})
    (found,) = check_wording("Sew the side and sleeve seams in one pass at 1.5 cm (3/8 in).", facts)
    assert (found.kind, found.proposed) == ("pair", "1 cm (3/8 in)")


def test_a_lining_takes_its_words_whole():
    facts = read_facts({"lining_offset": "1.5 cm"})
    (found,) = check_wording("The lining is the same length as the skirt.", facts)
    assert (found.text, found.proposed) == ("the same length as the skirt", "1.5 cm (5/8 in) shorter than the skirt")


def test_a_booklet_in_one_unit_throughout_is_one_finding():
    found = check_wording("\n".join(f"{n}. Sew {n} cm from the edge." for n in range(1, 9)))
    assert [(one.kind, one.step, one.says.code) for one in found] == [("unit", 1, "one_unit_throughout")]


def test_another_word_keeps_its_form():
    facts = read_facts({"dialect": "uk"})
    assert [check_wording(f"{word} it.", facts)[0].proposed for word in ("Basting", "basted", "Baste")] == [
        "Tacking", "tacked", "Tack",
    ]  # fmt: skip


@given(st.text(alphabet='1 2/½.,:;()-\n"abcmin stepfoldcut RSCB', max_size=300))
@settings(max_examples=60, deadline=None)
def test_any_text_has_an_answer_that_stands_in_it(text):
    lines = text.count("\n") + text.count("\r") + text.count("\f") + 1
    for found in check_wording(text, FACTS):
        assert found.line is None or 1 <= found.line <= lines
        assert str(found.says)
        assert json.dumps(found.as_dict())


@given(
    st.dictionaries(
        st.sampled_from(["hem", "pieces", "notions", "sizes", "allowances", "square", "steps", "unit", "cover", "zip"]),
        st.recursive(
            st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=12),
            lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
            max_leaves=8,
        ),
        max_size=4,
    )
)
@settings(max_examples=80, deadline=None)
def test_any_facts_are_read_or_refused_in_a_sentence(raw):
    with contextlib.suppress(FactsError):
        assert read_facts(raw).lengths is not None


HOSTILE = ("1 cm seam ", "(", "1/2 ", "cut 2 ", "step 1, ", "sizes 6-", "square page ", "1. iron cord\n", "a" * 50, "1")


@pytest.mark.parametrize("unit", HOSTILE)
def test_a_long_text_is_read_to_its_end(unit):
    check_wording(unit * (20_000 // len(unit)), FACTS)


@pytest.mark.parametrize(
    ("lengths", "text", "end"),
    [
        ({"zip": 20}, "1. Sew in the zip, 25 cm (10 in) long.", "pour la fermeture à glissière."),
        ({"cuff band": 5}, "1. Fold the cuff band of 7 cm (2 3/4 in).", "pour «\xa0cuff band\xa0»."),
    ],
)
def test_the_thing_that_is_declared_is_named_in_the_readers_language(lengths, text, end):
    facts = read_facts({"unit": "cm", "lengths": lengths})
    found = [one for one in check_wording(text, facts) if one.says.code == "declared"]
    with override("fr"):
        assert [in_words(one.says).endswith(end) for one in found] == [True]
