"""Words: abbreviations nobody explains, two dialects in one booklet, words about the body, notions and tools."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measurements.sentences import gettext_noop, sentence
from releases.wording.booklet import Block, Booklet
from releases.wording.facts import Facts, NotionFact
from releases.wording.found import Found, Kind
from releases.wording.pieces import EVERYDAY, is_of_this, speaks_of

_ABBREVIATIONS = {
    "RS": "right side", "WS": "wrong side", "CF": "centre front", "CB": "centre back", "SA": "seam allowance",
    "RST": "right sides together", "WST": "wrong sides together", "RSF": "right side facing",
    "FOE": "fold-over elastic",
    "HPS": "high point of the shoulder", "SS": "side seam", "RSO": "right side out",
}  # fmt: skip
# Each pair: the word in British sewing, the word in American sewing, and how each is found. "Muslin" is a fabric too,
# and to tack is also to hold with a few stitches, so these are told by their company.
_DIALECT = (
    (
        "tack",
        "baste",
        r"(?<!tailor's )(?<!tailors' )(?<!tailor\u2019s )(?<!bar )(?<!arrowhead )(?<!swing )(?<!French )"
        r"(?<!bar-)\btack(?:s|ed|ing)?\b(?!\s+down)",
        r"\bbast(?:e|es|ed|ing|ings)\b",
    ),
    (
        "toile",
        "muslin",
        r"\btoiles?\b",
        r"\b(?:an?|the|your|test|first|fitting)\s+muslins?\b"
        r"(?=\s*(?:[.,;:)]|$|(?:first|to (?:check|test)|before|version|shows?|fits?|gapes?|pulls?|sits?|hangs?|needs?"
        r"|is\s+(?:too|tight|loose))\b))",
    ),
    ("zip", "zipper", r"\bzips?\b", r"\bzippers?\b"),
    ("press stud", "snap", r"\bpress[- ]studs?\b", r"\bsnap(?:s\b| fasteners?\b)(?!\s+(?:the|a|it|into|off)\b)"),
    ("trousers", "pants", r"\btrousers\b", r"\bpants\b"),
)
_PERSON = re.compile(
    r"\b(?:un)?flatter(?:s|ing)?\b|\b(?:figure |body )?flaws?\b|\bproblem (?:area|zone|figure)s?\b|\bslimming\b"
    r"|\b(?:your|her) (?:bulges|lumps|fat)\b",
    re.IGNORECASE,
)
_CLOTH = re.compile(
    r"\b(?:cloth|fabric|material|goods|weave|weaving|selvedge|selvage|stuff|paper|print)s?\b", re.IGNORECASE
)
_NEAR = 60
_NOTIONS = (
    "zip", "button", "elastic", "press stud", "snap", "hook and eye", "eyelet", "ribbon", "piping", "cord", "toggle",
    "buckle", "boning", "interfacing", "bias binding", "bias tape", "twill tape", "shoulder pad", "drawstring",
)  # fmt: skip
_TOOLS = (
    "rotary cutter", "seam ripper", "point turner", "twin needle", "walking foot", "bodkin", "overlocker", "serger",
    "pinking shears", "tailor's ham", "tube turner", "loop turner",
)  # fmt: skip
_NO_NAME = frozenset(
    {
        "and",
        "the",
        "with",
        "matching",
        "small",
        "large",
        "damp",
        "light",
        "medium",
        "needle",
        "foot",
        "one",
        "two",
        "wide",
    }
)
# Things that a step uses without their name.
_USED_BY = {
    "zip": r"\bzip", "zipper": r"\bzip", "iron": r"\b(?:iron|press|fuse)", "fusible": r"\b(?:fuse|fusible|interfac)",
    "interfacing": r"\b(?:fuse|fusing|interfac)", "overlocker": r"\b(?:overlock|serg|neaten|finish)",
    "serger": r"\b(?:overlock|serg|neaten|finish)", "ripper": r"\b(?:ripper|unpick|rip\b)",
}  # fmt: skip
_LENGTH_OR_COUNT = re.compile(
    r"[\d\u00bc-\u00be\u2150-\u215e.,/\u00d7]+\s*(?:mm|cm|m|in|\"|x)?\b|\([^)]*\)", re.IGNORECASE
)


def check_abbreviations(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """Each abbreviation at its first place, unless the booklet or the facts explain it anywhere."""
    text = booklet.text
    for short, long in _ABBREVIATIONS.items():
        if short in facts.abbreviations or not re.search(rf"\b{short}\b", text) or _explained(short, long, text):
            continue
        block, at = _first(booklet, rf"\b{short}\b")
        says = sentence("unexplained", gettext_noop("%(short)s is explained nowhere."), short=short)
        yield Found("abbreviation", block.step, block.line(at), short, says, f"{long} ({short})")


def _explained(short: str, long: str, text: str) -> bool:
    words = re.sub(r"\bsides?\b", "sides?", long).replace("centre", "cent(?:re|er)").replace(" ", r"[\s-]+")
    near = rf"{words}\W{{0,4}}\b{short}\b|\b{short}\b\s*(?:[=:(\u2013\u2014-]|means|stands for|is)\s*(?:the\s+)?{words}"
    return re.search(near, text, re.IGNORECASE) is not None


def check_dialect(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """A word of the other dialect; without a declared one, the rarer of two words for one thing."""
    for british, american, uk, us in _DIALECT:
        found_uk, found_us = _count(booklet, uk), _count(booklet, us)
        if facts.dialect:
            wrong = us if facts.dialect == "uk" else uk
        elif found_uk and found_us:
            wrong = us if found_us <= found_uk else uk
        else:
            continue
        if not _count(booklet, wrong):
            continue
        block, at = _first(booklet, wrong)
        word = re.compile(wrong, re.IGNORECASE).search(block.text, at)
        right = british if wrong == us else american
        said = gettext_noop("The booklet says %(right)s elsewhere, or is declared to; one word for one thing.")
        says = sentence("dialect", said, right=right)
        text = word[0] if word else ""
        yield Found("dialect", block.step, block.line(at), text, says, _inflected(text, right))


def spoken_dialect(text: str) -> str:
    """ "uk" or "us", whichever words of the pairs a text uses more often; "" where neither prevails."""
    counts = [sum(len(re.findall(pair[side], text, re.IGNORECASE)) for pair in _DIALECT) for side in (2, 3)]
    return "" if counts[0] == counts[1] else "uk" if counts[0] > counts[1] else "us"


def _inflected(word: str, right: str) -> str:
    """The other word in the form and case of the one that stands there: "Basted" becomes "Tacked"."""
    low, stem = word.lower(), right.removesuffix("e")
    if low.endswith(("ings", "ing")):
        made = f"{stem}ing"
    elif low.endswith("ed"):
        made = f"{stem}ed"
    elif low.endswith("s") and not right.endswith("s"):
        made = f"{right}s"
    else:
        made = right
    if " " in low and not low.startswith(("snap", "press")):  # "a muslin": its article stays
        made = f"{word.rpartition(' ')[0]} {made}"
    return made[:1].upper() + made[1:] if word[:1].isupper() else made


def check_person(booklet: Booklet) -> Iterator[Found]:
    """Words that judge the body: a booklet speaks of the garment. A flaw of the cloth is one of the cloth."""
    for block in booklet.blocks:
        for match in _PERSON.finditer(block.text):
            around = block.text[max(0, match.start() - _NEAR) : match.end() + _NEAR]
            if match[0].lower() in {"flaw", "flaws"} and _CLOTH.search(around):
                continue
            says = sentence("person", gettext_noop("Describe the garment, not the person."))
            yield Found("person", block.step, block.line(match.start()), match[0], says)


def check_notions(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """Notions and tools both ways: used and not listed, listed and never used."""
    materials = " ".join(facts.materials).lower()
    for kind, listed, nouns in (("notion", facts.notions, _NOTIONS), ("tool", facts.tools, _TOOLS)):
        if listed is None:
            continue
        everything = (*(facts.notions or ()), *(facts.tools or ()))
        names = " | ".join(one.name.lower() for one in everything) + " | " + materials
        if is_of_this(booklet, facts):
            yield from _not_listed(booklet, "notion" if kind == "notion" else "tool", nouns, names)
        if speaks_of(booklet, facts):
            yield from _not_used(booklet, "notion" if kind == "notion" else "tool", listed)


def _not_listed(booklet: Booklet, kind: Kind, nouns: tuple[str, ...], names: str) -> Iterator[Found]:
    for noun in nouns:
        pattern = _noun(noun)
        if re.search(pattern, names, re.IGNORECASE) or _covered(noun, names) or not _count(booklet, pattern):
            continue
        block, at = _first(booklet, pattern)
        match = re.compile(pattern, re.IGNORECASE).search(block.text, at)
        said = gettext_noop("%(name)s is used here and not in the list of what is needed.")
        text = match[0] if match else noun
        says = sentence("not_listed", said, name=text[:1].upper() + text[1:])
        yield Found(kind, block.step, block.line(at), text, says)


def _covered(noun: str, names: str) -> bool:
    """A tape is a binding, a drawstring is a cord."""
    same = ({"bias binding", "bias tape"}, {"cord", "drawstring"}, {"press stud", "snap"}, {"overlocker", "serger"})
    return any(noun in group and any(re.search(_noun(one), names) for one in group) for group in same)


def _noun(noun: str) -> str:
    if noun == "zip":
        return r"\bzip(?:s|pers?|[- ]fasteners?)?\b"
    if noun == "button":
        return r"\bbuttons?\b(?!\s*(?:hole|loop|band|stand|placket))"
    if noun == "hook and eye":
        return r"\bhooks?(?:\s+and\s+|[- ])eyes?\b"
    words = "[ -]".join(re.escape(word) for word in noun.split())
    return rf"\b{words}s?\b"


def _not_used(booklet: Booklet, kind: Kind, listed: tuple[NotionFact, ...]) -> Iterator[Found]:
    """A text without steps is a list or an excerpt, in which nothing needs to be used."""
    text = " ".join(block.text for block in booklet.steps)
    if not booklet.is_whole:
        return
    for one in listed:
        name = " ".join(_LENGTH_OR_COUNT.sub(" ", one.name).split()).lower()
        if not one.optional and name and not _is_used(name, text):
            said = gettext_noop("%(name)s is listed, and no step uses it.")
            says = sentence("not_used", said, name=one.name[:1].upper() + one.name[1:])
            yield Found(kind, None, None, one.name, says)


def _is_used(name: str, text: str) -> bool:
    """Whether the steps name it by any word of its own, or by what is done with it."""
    words = [word for word in re.findall(r"[a-z]{3,}", name.partition(" for ")[0]) if word not in _NO_NAME]
    if not words or set(words) & EVERYDAY:
        return True
    stems = {_USED_BY.get(word.removesuffix("s"), rf"\b{word.removesuffix('s')}") for word in words}
    return any(re.search(stem, text, re.IGNORECASE) for stem in stems)


def _count(booklet: Booklet, pattern: str) -> int:
    return len(re.findall(pattern, booklet.text, re.IGNORECASE))


def _first(booklet: Booklet, pattern: str) -> tuple[Block, int]:
    """The first place of words that are known to be there."""
    for block in booklet.blocks:
        match = re.search(pattern, block.text, 0 if pattern.isupper() else re.IGNORECASE)
        if match:
            return block, match.start()
    return booklet.blocks[0], 0
