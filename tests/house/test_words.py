"""Words that do not ship: notes to oneself and text that stands in for text."""

from __future__ import annotations

import re

from tests.house.project import files, shown

# Written apart, so that this file does not hold them itself.
UNFINISHED = re.compile(
    r"\b(" + "|".join(["TO" + "DO", "FIX" + "ME", "XX" + "X", "raise NotImplemented" + "Error"]) + r")\b"
)
FILLER = re.compile("lorem" + " ipsum", re.IGNORECASE)
TEXT = (".py", ".html", ".txt", ".css", ".js", ".md", ".toml", ".svg", ".json", ".csv", "")


def unfinished(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if UNFINISHED.search(line) or FILLER.search(line)]


def test_nothing_is_left_for_later():
    found = {
        shown(path): lines
        for path in files(*TEXT)
        if (lines := unfinished(path.read_text(encoding="utf-8", errors="replace")))
    }
    assert not found


def test_a_note_to_oneself_is_found():
    assert unfinished("step = 4\nease = 2  # TO" + "DO: by size") == ["ease = 2  # TO" + "DO: by size"]
