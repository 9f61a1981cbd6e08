"""The sewing words of British English in those of American English.

Our pages are written in the British words; the American ones differ in the words of this table alone. Method: every
whole word of the table is put in the other one's place, its capitals kept; places for values (%(zip)s, {zip}), tags
and addresses stay as they are. Source of the pairs: common practice of the trade in both countries, no source.
"""

from __future__ import annotations

import re

# The noun for the trial garment has no "a"/"an" trouble: each pair begins with the same kind of sound.
US_WORDS = {
    "toile": "muslin",
    "toiles": "muslins",
    "tack": "baste",
    "tacks": "bastes",
    "tacked": "basted",
    "tacking": "basting",
    "zip": "zipper",
    "zips": "zippers",
    "haberdashery": "notions",
    "press stud": "snap",
    "press studs": "snaps",
    "wadding": "batting",
    "trousers": "pants",
    "waistcoat": "vest",
    "waistcoats": "vests",
    "selvedge": "selvage",
    "selvedges": "selvages",
    # Units and the few plain words whose spelling would look odd beside them.
    "centimetre": "centimeter",
    "centimetres": "centimeters",
    "millimetre": "millimeter",
    "millimetres": "millimeters",
    "metre": "meter",
    "metres": "meters",
    "centre": "center",
    "centred": "centered",
    "colour": "color",
    "colours": "colors",
    "coloured": "colored",
    "fibre": "fiber",
    "grey": "gray",
    "neighbour": "neighbor",
    "neighbours": "neighbors",
    "neighbouring": "neighboring",
}
# Our name is no word of sewing.
_KEPT = r"Second Toile|%\([^)]*\)|\{[^}]*\}|<[^>]*>|https?://\S+"
_WORDS = "|".join(sorted(US_WORDS, key=len, reverse=True))
_FOUND = re.compile(rf"(?P<kept>{_KEPT})|\b(?P<word>{_WORDS})\b", re.IGNORECASE)


def in_us_words(text: str) -> str:
    """The text with the American words; the same text where it has none of the British ones."""
    return _FOUND.sub(lambda found: found["kept"] or _as_written(found["word"]), text)


def _as_written(word: str) -> str:
    """The other word with the capitals of this one: Toile is Muslin, TOILE is MUSLIN."""
    other = US_WORDS[word.lower()]
    if word.isupper():
        return other.upper()
    return other[0].upper() + other[1:] if word[0].isupper() else other
