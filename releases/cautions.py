"""The cautions that belong to a step, to a garment's words and to children's clothes; and which of them a step lacks.

Plain text in, sentences out. They defer to local rules and to labels. Sources: docs/algorithms/cautions.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from measurements.sentences import Sentence, gettext_noop, sentence

Kind = Literal["iron", "rotary_blade", "sealant", "marker", "cord", "nightwear", "small_parts", "adults"]


@dataclass(frozen=True)
class Caution:
    """A caution by its kind, in a sentence or two."""

    kind: Kind
    says: Sentence


@dataclass(frozen=True)
class MissingCaution:
    """A step that calls for a caution and has none: the words that call for it, and what to say there."""

    step: int
    kind: Kind
    text: str
    says: Sentence
    proposed: str


_WORDS: dict[Kind, str] = {
    "iron": gettext_noop(
        "Test the iron on a scrap first, and let everything dry before ironing. Stand it on its heel; unplug it."
    ),
    "rotary_blade": gettext_noop(
        "Cut away from yourself, and close the blade each time you put the rotary cutter down."
    ),
    "sealant": gettext_noop(
        "Test the sealant on a scrap, air the room, and let it dry before ironing. Follow its label."
    ),
    "marker": gettext_noop("Test the marker on a scrap first: ironing can make its lines stay."),
    "cord": gettext_noop("No cords near a child’s neck; check your country’s rule."),
    "nightwear": gettext_noop("Children’s nightwear has fire rules: check fabric and label."),
    "small_parts": gettext_noop(
        "Small parts can be swallowed: none that come off for children under 3. Check your country’s rule."
    ),
    "adults": gettext_noop("Testers are adults. Children’s sizes: size and age only, no child photos."),
}
CAUTIONS: dict[Kind, Caution] = {
    kind: Caution(kind, sentence(f"caution_{kind}", words)) for kind, words in _WORDS.items()
}


def _any(*words: str) -> re.Pattern[str]:
    """One of these patterns, on whole words, in either case."""
    return re.compile(rf"\b(?:{'|'.join(words)})\b", re.IGNORECASE)


# What a step names that calls for a caution, and words that show that the caution is there. "Press" alone is left out:
# it stands in every other step of plain prose; the booklet shows the caution at its first such step all the same.
_CALLS: dict[Kind, re.Pattern[str]] = {
    "iron": _any("iron(?:s|ed|ing)?", "steam(?:s|ed|ing)?", "fus(?:e|es|ed|ing|ible)"),
    "rotary_blade": _any("rotary[ -](?:blade|cutter|knife)s?"),
    "sealant": _any("sealants?", "fray[ -](?:check|stop|block)", "(?:textile|fabric) glue"),
    "marker": _any("(?:fabric|erasable|washable)[ -](?:marker|pen)s?"),
    "cord": _any("draw(?:string|cord)s?", "cords?"),
    "nightwear": _any(
        "night(?:wear|shirts?|dress|dresses|gowns?|ies?)", "py?jamas?", "sleepwear", "dressing gowns?", "bathrobes?"
    ),
    "small_parts": _any("buttons?", "beads?", "sequins?", "press studs?", "snaps?", "toggles?", "pompoms?", "rivets?"),
}
_SAYS: dict[Kind, re.Pattern[str]] = {
    "iron": _any(
        "scraps?",
        "test(?:s|ed)? (?:the |your )?iron",
        r"burn\w*",
        r"scorch\w*",
        "heel",
        r"(?:is|are|stays?|gets?|very|while) hot",
        r"unplug\w*",
    ),
    "rotary_blade": _any(
        r"away from (?:you|yourself|your \w+)",
        "close (?:the|its|your) (?:blade|cutter)",
        "guard",
        "blade (?:closed|covered)",
        "(?:is|are|very) sharp",
    ),
    "sealant": _any("scraps?", "air the", r"ventilat\w*", "windows?", "label", "fumes?"),
    "marker": _any("scraps?", "test(?:s|ed)? (?:the |your )?(?:marker|pen)"),
    "cord": _any(
        "country['’]s rules?", "(?:local|safety) rules?", "child(?:ren)?['’]?s? neck", r"strang\w*", "no cords?"
    ),
    "nightwear": _any("fire", "flames?", r"flammab\w*", "labels?"),
    "small_parts": _any("under (?:3|three)", r"swallow\w*", r"chok\w*"),
}
# A caution speaks of its thing: that an iron was tested on a scrap says nothing of a sealant.
_ABOUT: dict[Kind, re.Pattern[str]] = {
    "iron": _CALLS["iron"],
    "rotary_blade": _any("rotary", "blades?", "cutters?", "knife", "knives"),
    "sealant": _any("sealants?", "fray", "glues?"),
    "marker": _any("markers?", "pens?"),
}
_PRESSES = re.compile(r"\bpress(?:es|ed|ing)?\b(?![ -](?:stud|foot|cloth))", re.IGNORECASE)
# A cord that is sewn into a seam or a fabric is no loose end.
_NO_CORD = re.compile(
    r"\b(?:piping|piped|filler|gathering|cotton|needle) cords?\b|\bcords? (?:stitch|foot|seam)", re.IGNORECASE
)
WHY: dict[Kind, str] = {
    "iron": gettext_noop("This step names a hot iron and no caution has been given so far."),
    "rotary_blade": gettext_noop("This step names a rotary blade and no caution has been given so far."),
    "sealant": gettext_noop("This step names a sealant and no caution has been given so far."),
    "marker": gettext_noop("This step names a marker and no caution has been given so far."),
    "cord": gettext_noop("This step names a cord and no caution has been given so far."),
    "nightwear": gettext_noop("This step names nightwear and no caution has been given so far."),
    "small_parts": gettext_noop("This step names small parts and no caution has been given so far."),
}
_AT_STEPS: tuple[Kind, ...] = ("iron", "rotary_blade", "sealant", "marker", "cord", "nightwear")
_FOR_CHILDREN: tuple[Kind, ...] = ("cord", "nightwear", "small_parts", "adults")


def _calling(kind: Kind, text: str) -> re.Match[str] | None:
    """Where the text calls for the caution."""
    if kind != "cord":
        return _CALLS[kind].search(text)
    plain = [found.span() for found in _NO_CORD.finditer(text)]
    return next((one for one in _CALLS[kind].finditer(text) if not any(a <= one.start() < b for a, b in plain)), None)


def _says(kind: Kind, text: str) -> bool:
    return bool(_SAYS[kind].search(text)) and (kind not in _ABOUT or bool(_ABOUT[kind].search(text)))


def _kinds(for_children: bool) -> tuple[Kind, ...]:
    return (*_AT_STEPS, "small_parts") if for_children else _AT_STEPS


def step_cautions(text: str, *, for_children: bool = False) -> tuple[Caution, ...]:
    """The cautions that a text calls for, whether or not it gives them itself."""
    return tuple(CAUTIONS[kind] for kind in _kinds(for_children) if _calling(kind, text))


def cautions_by_step(
    steps: Iterable[tuple[int, str]], *, for_children: bool = False
) -> Mapping[int, tuple[Caution, ...]]:
    """{step: the cautions to show there}: where it is called for and the step does not say it itself.

    The first step that presses shows the iron's, unless an earlier one showed or gave it.
    """
    shown: dict[int, tuple[Caution, ...]] = {}
    iron_known = False
    for number, text in steps:
        here = [one for one in step_cautions(text, for_children=for_children) if not _says(one.kind, text)]
        if not iron_known and _PRESSES.search(text) and not _calling("iron", text):
            here.insert(0, CAUTIONS["iron"])
        iron_known = iron_known or CAUTIONS["iron"] in here or _says("iron", text)
        if here:
            shown[number] = tuple(here)
    return shown


def missing_cautions(
    steps: Iterable[tuple[int, str]], *, before: str = "", for_children: bool = False
) -> tuple[MissingCaution, ...]:
    """The first step that calls for each caution where neither it, nor one before it, nor `before` gives it.

    `before` is what stands ahead of the steps. In the order of the steps; each kind at most once.
    """
    told: Sequence[tuple[int, str]] = list(steps)
    found = [_first_missing(kind, told, before) for kind in _kinds(for_children)]
    return tuple(sorted((one for one in found if one), key=lambda one: one.step))


def _first_missing(kind: Kind, steps: Sequence[tuple[int, str]], before: str) -> MissingCaution | None:
    if _says(kind, before):
        return None
    for number, text in steps:
        if _says(kind, text):
            return None
        if call := _calling(kind, text):
            why = sentence(f"missing_{kind}", WHY[kind])
            return MissingCaution(number, kind, call[0], why, str(CAUTIONS[kind].says))
    return None


def pattern_cautions(*, for_children: bool, words: str = "") -> tuple[Caution, ...]:
    """What a pattern, its call and its booklet show: all of children's clothes, or what its own words call for."""
    if for_children:
        return tuple(CAUTIONS[kind] for kind in _FOR_CHILDREN)
    return tuple(CAUTIONS[kind] for kind in ("cord", "nightwear") if _calling(kind, words))
