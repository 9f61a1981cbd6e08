"""Plain sewing prose that nobody wrote for this check: how often it cries wolf.

Excerpts of American and British sewing books of 1885 to 1922, out of copyright in the United States, and of an
extension service's bulletin that Project Gutenberg holds as such; each is named in data/plain_sewing.txt.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from releases.wording.booklet import read_booklet
from releases.wording.check import check_wording
from releases.wording.facts import Facts, read_facts

TEXT = (Path(__file__).parent / "data/plain_sewing.txt").read_text()
BOOKS = {name: words for name, _, words in (part.partition("\n") for part in TEXT.split("# ")[1:])}
# Of a garment that none of the books is about: what they say of hems and pieces must not be held against it.
SHIRT = read_facts(
    {
        "allowances": {"seam": "1 cm", "hem": "2 cm", "notch": "4 mm", "lining offset": "1.5 cm"},
        "sizes": "6-24",
        "pieces": ["lower front: cut 1 on fold", "lower back: cut 2", "back facing: cut 2", "sleeve: cut 2"],
        "notions": ["7 buttons", "zip 55 cm", "thread"],
        "tools": ["iron"],
        "square_page": 2,
    }
)


def sentences() -> int:
    return sum(len(block.sentences) for words in BOOKS.values() for block in read_booklet(words).blocks)


@pytest.mark.parametrize("facts", [None, SHIRT], ids=["alone", "against another garment"])
def test_at_most_one_false_finding_in_a_hundred_sentences(facts: Facts | None):
    found = [(name, one.kind, one.text) for name, words in BOOKS.items() for one in check_wording(words, facts)]
    assert sentences() >= 300
    assert len(found) <= sentences() / 100, found
    assert facts or not found
