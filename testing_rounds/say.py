"""A reading in words. Every sentence is English with named places, ready for a page to translate.

The garment is described, never the body: "the waist is tight", not "your waist is big".
"""

from __future__ import annotations

from collections.abc import Sequence

from measurements.sentences import Head, Sentence, Term, Value, Word, gettext_noop, sentence
from testing_rounds.counts import LEAST_ANSWERS
from testing_rounds.reading import Flag, Reading
from testing_rounds.round_data import Zone

_ = gettext_noop

# How a pole reads after the name of its zone; a word of a studio's own follows a colon.
_VERBS = {
    "pulls": _("pulls"),
    "puckers": _("puckers"),
    "back": _("sits back"),
    "forward": _("sits forward"),
    "tight": _("is tight"),
    "loose": _("is loose"),
    "narrow": _("is narrow"),
    "wide": _("is wide"),
    "short": _("is short"),
    "long": _("is long"),
    "high": _("is high"),
    "low": _("is low"),
    "gaping": _("is gaping"),
    "small": _("is small"),
    "large": _("is large"),
}
_TITLES = {
    "whole_range": _("%(claim)s in the whole range"),
    "growing_up": _("%(claim)s towards the large sizes: %(sizes)s"),
    "growing_down": _("%(claim)s towards the small sizes: %(sizes)s"),
    "one_size": _("%(claim)s in size %(sizes)s alone"),
    "from_size_up": _("%(claim)s from size %(edge)s up"),
    "from_size_down": _("%(claim)s from size %(edge)s down"),
    "watch": _("%(zone)s: some say %(word)s, and no pattern shows yet"),
    "quiet": _("%(zone)s: no complaint is repeated"),
    "too_few": _("%(zone)s: too few answers to read"),
}
CAUSES = {
    "whole_range": _("Alike in every size: look at the draft."),
    "growing_up": _("More towards the large sizes: look at the grade."),
    "growing_down": _("More towards the small sizes: look at the grade."),
    "one_size": _("In one size alone: look for a slip in that size."),
    "from_size": _("From one size on: look at that step of the grade."),
}
_NEEDS = {
    "one": _("Size %(sizes)s needs more reports: fewer than two answers count here."),
    "many": _("Sizes %(sizes)s need more reports: fewer than two answers count here."),
}
_CLEAR = {
    "one": _("Too few to clear size %(sizes)s: %(n)s more report that fits would do."),
    "more": _("Too few to clear size %(sizes)s: %(n)s more reports that fit would do."),
    "each_one": _("Too few to clear sizes %(sizes)s: %(n)s more report that fits would do in each."),
    "each_more": _("Too few to clear sizes %(sizes)s: %(n)s more reports that fit would do in each."),
}
_FLAGS = {
    "cell": _("Flagged by its own reports."),
    "reading": _("Flagged by the reading of the whole zone; its own reports do not repeat the complaint."),
    "both": _("Flagged by its own reports and by the reading of the whole zone."),
}


def title(reading: Reading, zone: Zone, sizes: Sequence[str]) -> Sentence:
    """The situation of a zone in one line: "The waist is tight in size 18 alone". `sizes` is the whole range."""
    word = zone.low if reading.direction < 0 else zone.high
    code = _title_code(reading, sizes)
    edge = reading.sizes[-1 if code == "from_size_down" else 0] if reading.sizes else ""
    places: dict[str, Value] = {
        "claim": claim(zone, word), "zone": _head(zone), "word": Word(word), "sizes": reading.sizes, "edge": edge,
    }  # fmt: skip
    wanted = {name: value for name, value in places.items() if f"%({name})s" in _TITLES[code]}
    return sentence(f"title_{code}", _TITLES[code], **wanted)


def cause(reading: Reading) -> Sentence | None:
    """Where to look first; None where nothing is read."""
    template = CAUSES.get(reading.reading)
    return sentence(f"cause_{reading.reading}", template) if template else None


def also(reading: Reading) -> tuple[Sentence, ...]:
    """Where else to look: the causes of the other patterns that it could be."""
    return tuple(sentence(f"cause_{shape}", CAUSES[shape]) for shape in reading.alternatives if shape in CAUSES)


def zone_needs(reading: Reading) -> Sentence | None:
    """Which sizes need more reports before the zone can be read there."""
    sizes = [size for size, (_complaints, answers) in reading.counted.items() if answers < LEAST_ANSWERS]
    if not sizes:
        return None
    code = "one" if len(sizes) == 1 else "many"
    return sentence(f"needs_zone_{code}", _NEEDS[code], sizes=tuple(sizes))


def clear_needs(reading: Reading) -> tuple[Sentence, ...]:
    """Which sizes are neither named nor cleared, and how many more reports would clear them; the fewest first."""
    by_number: dict[int, list[str]] = {}
    for size, number in (reading.more_reports or {}).items():
        by_number.setdefault(number, []).append(size)
    return tuple(_clear(number, by_number[number]) for number in sorted(by_number))


def _clear(number: int, sizes: Sequence[str]) -> Sentence:
    code = ("each_" if len(sizes) > 1 else "") + ("one" if number == 1 else "more")
    return sentence(f"clear_{code}", _CLEAR[code], sizes=tuple(sizes), n=number)


def flagged(flag: Flag) -> Sentence:
    """Why a size is flagged."""
    return sentence(f"flag_{flag.by}", _FLAGS[flag.by])


def claim(zone: Zone, word: str) -> Sentence:
    """A zone and its word: "The waist is tight", "The sleeve cap pulls", "Yoke: rides up"."""
    verb = _VERBS.get(word)
    if verb:
        return sentence("claim", _("The %(zone)s %(verb)s"), zone=Term(zone.label), verb=Word(verb))
    return sentence("claim_own", _("%(zone)s: %(word)s,"), zone=_head(zone), word=Word(word))


def _title_code(reading: Reading, sizes: Sequence[str]) -> str:
    if reading.reading == "none" or reading.level != "repeated":
        return "watch" if reading.level == "repeated" else reading.level
    if reading.reading == "from_size":
        return "from_size_up" if reading.sizes and reading.sizes[-1] == sizes[-1] else "from_size_down"
    return reading.reading


def _head(zone: Zone) -> Head:
    return Head(zone.label.replace("_", " "))
