"""Lengths in the text that the version declares otherwise: seam allowance, notch, hem, zip, lining, any named one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from measurements.allowance_pairs import PairTable, same_allowance
from measurements.length_display import inch_parts, plain
from measurements.printed_pairs import read_text
from measurements.sentences import Value, Word, gettext_noop, sentence
from releases.wording.booklet import Block, Booklet, Sentence
from releases.wording.facts import Facts
from releases.wording.found import Found, Kind

_CM = Decimal(10)
_KINDS: dict[str, Kind] = {
    "seam allowance": "allowance", "notch": "notch", "hem": "hem", "zip": "zip", "lining offset": "lining",
}  # fmt: skip
_WORDS = {
    "seam allowance": r"(?:seam[- ]allowances?|seams?|SAs?"
    r"|(?<!hem[ -])(?<!ease[ -])(?<!fold[ -])(?<!shrinkage[ -])allowances?)",
    "notch": r"notch(?:es)?",
    "hem": r"hems?(?:[- ]allowances?)?",
    "zip": r"zip(?:s|pers?|[- ]fasteners?)?",
}
# What may stand between a length and the thing it belongs to: "is", "of", an adjective; but not "from" or "inside".
_LINKS = (
    r"(?:\s*(?:[:=,\u2013(]|\b(?:is|are|of|with|a|an|the|to|by|at|measures?|be|should|included|including|includes?|use|using"
    r"|taking|take|leaving|allow|allowing|about|long|deep|wide)\b)\s*){0,6}"
)
_FILLER = (
    r"(?:\s*-?\s*(?!(?:from|inside|outside|into?|at|above|below|beyond|past|for|and|or|along|off|on|of|to|before|after|apart"
    r"|away|between|wider|narrower|longer|shorter)\b)[a-z-]+\b){0,2}"
)
_CUT_BACK = re.compile(r"\b(?:trim|trimmed|grade|clip|reduce|layer|cut (?:back|down|away)|narrow)\b", re.IGNORECASE)
_TURNED_TWICE = re.compile(r"\b(?:twice|again|once more|then (?:by )?(?:another )?\d)", re.IGNORECASE)
_OTHER_HEMS = re.compile(
    r"\b(?:sleeve|lining|pocket|cuff|facing|neck|frill|ruffle|flounce|rolled|double|narrow)s?\b", re.IGNORECASE
)
_SAME_LENGTH = re.compile(
    r"\b(?:(?:(?:to|of|at)\s+)?(?:the\s+)?same\s+length|(?:of\s+)?equal\s+length|as\s+long|equally\s+long"
    r"|level\s+with\s+the\s+(?P<level>shell|skirt|dress|coat|outer|hem))\b"
    r"(?P<than>\s+as\s+(?:the|that\s+of\s+the)\s+[a-z]+\b)?",
    re.IGNORECASE,
)
# A length that is followed by one of these tells where something lies, not how long it is.
_AWAY = re.compile(
    r"^\W*(?:in\s+)?(?:from|above|below|beyond|inside|outside|away|apart|before|after|past|along|short of|either side"
    r"|on each side|to (?:the )?(?:left|right|side)|down from|up from|of the|into the)\b",
    re.IGNORECASE,
)
_DEEP = re.compile(r"^\W*(?:deep|long|in (?:length|depth)|into (?:each|every|the) notch)", re.IGNORECASE)
_DEPTH_OF = re.compile(r"\b(?:depth|length)\b\W*(?:of|is|to)?\W*$", re.IGNORECASE)
_OTHER_SEAMS = re.compile(r"\b(?:french|felled|flat[- ]fell|lapped|tuck|pin-?tuck|piping|bound)\b", re.IGNORECASE)
# "Leaving 10 cm open", "take the seam in by 5 mm", "with a 3 mm straight stitch" tell of something else.
_LEFT_OPEN = re.compile(
    r"^\W*(?:gap|open(?:ing)?|free|un(?:sewn|stitched)|for (?:turning|the opening))\b", re.IGNORECASE
)
_STITCH = re.compile(r"^(?:[\s-]+(?!and\b|then\b)[a-z]+){0,2}[\s-]+(?:stitch|zigzag)", re.IGNORECASE)
_MOVED = re.compile(
    r"\b(?:tak(?:e|en|ing)|let(?:ting)?|mov(?:e|ed|ing)|rais(?:e|ed|ing)|lower(?:ed|ing)?|shift(?:ed|ing)?"
    r"|(?:length|short)en(?:ed|ing)?)\b.*\bby\s+(?:about\s+)?$",
    re.IGNORECASE,
)
# What is larger or smaller is some other length of the thing: how long a seam is, or a hem all round.
_PLAUSIBLE_MM = {"seam allowance": (0, 40), "notch": (0, 30), "hem": (0, 150), "zip": (50, 2000)}
_NOT = re.compile(r"\b(?:not|never|isn.t|without)\b[^,;]{0,30}$", re.IGNORECASE)
_BEFORE = 160
_SHORTER = re.compile(r"^\W*shorter\b", re.IGNORECASE)


@dataclass(frozen=True)
class _Printed:
    """A length as printed, in one unit or two, with its place in the sentence."""

    text: str
    start: int
    end: int
    halves: tuple[Decimal, ...]


@dataclass(frozen=True)
class Declared:
    """A printed length that the facts speak of: where it stands and what it ought to be."""

    block: Block
    start: int
    text: str
    name: str
    mm: Decimal
    agrees: bool
    contradicts_itself: bool


def declared_lengths(booklet: Booklet, facts: Facts) -> Iterator[Declared]:
    """Every printed length that has a declared one to be held against."""
    for block in booklet.blocks:
        for part in block.sentences:
            for printed in _printed(part.text):
                name = _subject(part, printed, facts)
                if name:
                    yield _held(block, part, printed, name, facts.lengths[name])


def _held(block: Block, part: Sentence, printed: _Printed, name: str, mm: Decimal) -> Declared:
    metric, *inches = printed.halves
    agreeing = [_near(metric, mm), *(same_allowance(mm, half) for half in inches)]
    apart = len(printed.halves) > 1 and not same_allowance(*printed.halves)
    return Declared(
        block, part.start + printed.start, printed.text, name, mm, any(agreeing) if apart else all(agreeing), apart
    )


def _near(half: Decimal, mm: Decimal) -> bool:
    """A length is told apart finer than the halves of a pair: a 4 mm notch is not a 3 mm one, but 6.35 is 6."""
    return abs(half - mm) < max(Decimal("0.9"), min(mm, half) / 25)


def check_declared(found: list[Declared], booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """What disagrees with a declared length, and a lining said to be as long as the shell where it is shorter."""
    for one in found:
        if not one.agrees:
            said = gettext_noop("%(printed)s is printed, but the version declares %(declared)s for %(name)s.")
            wanted = shown(one.mm)
            says = sentence("declared", said, printed=one.text, declared=wanted, name=_named(one.name))
            line = one.block.line(one.start)
            yield Found(_kind(one.name), one.block.step, line, one.text, says, wanted)
    yield from _linings(booklet, facts)
    yield from _zip_and_opening(facts)
    yield from _notch_and_seam(facts)


def shown(mm: Decimal) -> str:
    """A declared length in both units: the table's pair, millimetres below a centimetre."""
    pair = PairTable().of(mm)
    if pair or mm >= _CM:
        return PairTable().text(mm)
    return f"{plain(mm)} mm ({inch_parts(mm, 16)} in)"


_NAMED = {
    "seam allowance": gettext_noop("the seam allowance"),
    "notch": gettext_noop("notches"),
    "lining offset": gettext_noop("the lining, shorter than the shell"),
    "zip": gettext_noop("the zip"),
    "hem": gettext_noop("the hem"),
    "opening": gettext_noop("the opening"),
}


def _named(name: str) -> Value:
    """The thing in a sentence; one that only this booklet knows keeps its name."""
    return Word(_NAMED[name]) if name in _NAMED else sentence("named", gettext_noop("the %(name)s"), name=name)


def _kind(name: str) -> Kind:
    head = next((known for known in _KINDS if known.split()[-1] in name.split()), None)
    return _KINDS[head] if head else "length"


def _printed(text: str) -> Iterator[_Printed]:
    pairs, alone = read_text(text)
    for pair in pairs:
        start, end = min(pair.metric.start, pair.inch.start), max(pair.metric.end, pair.inch.end)
        end += text[end : end + 1] in {")", "]"}
        yield _Printed(text[start:end], start, end, (pair.metric_mm, pair.inch_mm))
    for length in alone:
        yield _Printed(length.text, length.start, length.end, (length.length_mm,))


def _subject(part: Sentence, printed: _Printed, facts: Facts) -> str | None:
    """The name in the facts of the thing this length belongs to."""
    before, after = part.text[: printed.start], part.text[printed.end :]
    if "lining offset" in facts.lengths and "lining" in before.lower() and _SHORTER.match(after):
        return "lining offset"
    away = _AWAY.match(after) is not None
    for name in sorted(facts.lengths, key=lambda one: -len(one.split())):
        word = _pattern(name)
        if not _plausible(name, printed, part.text):
            continue
        if (
            re.search(rf"\d.*\b{word}\b.*\d", printed.text, re.IGNORECASE)
            or re.match(rf"{_FILLER}\s*-?\s*{word}\b", after, re.IGNORECASE)
            or (not away and re.search(rf"\b{word}{_LINKS}\s*$", before[-_BEFORE:], re.IGNORECASE))
        ):
            return None if _excused(name, part.text, before, after) else name
    loose = _loosely(part.text, before, after, facts) or _half_right(before, away, printed, facts)
    return loose if loose and _plausible(loose, printed, part.text) else None


def _plausible(name: str, printed: _Printed, text: str) -> bool:
    low, high = _PLAUSIBLE_MM.get(name, (0, 10**9))
    if name == "seam allowance" and "allowance" in text.lower():
        return True
    return any(low <= half <= high for half in printed.halves)


def _loosely(text: str, before: str, after: str, facts: Facts) -> str | None:
    """ "Snip each notch 8 mm deep", "one zip, 35 cm long": the thing a few words off, and a word that says how long."""
    if _DEEP.match(after) or _DEPTH_OF.search(before):
        for name in ("notch", "zip"):
            if name in facts.lengths and re.search(rf"\b{_WORDS[name]}\b", text, re.IGNORECASE):
                return name
    if "zip" not in facts.lengths and "opening" in facts.lengths and re.match(rf"{_FILLER}\s*{_WORDS['zip']}\b", after):
        return "opening"
    return None


def _half_right(before: str, away: bool, printed: _Printed, facts: Facts) -> str | None:
    """ "Sew the seams in one pass at 1.5 cm (3/8 in)": halves that disagree, of which one is the declared allowance."""
    mm = facts.lengths.get("seam allowance")
    if mm is None or away or len(printed.halves) < 2 or same_allowance(*printed.halves):
        return None
    near = any(same_allowance(mm, half) for half in printed.halves)
    return "seam allowance" if near and re.search(r"\bseams?\b", before, re.IGNORECASE) else None


def _pattern(name: str) -> str:
    if name in _WORDS:
        return _WORDS[name]
    *rest, last = (re.escape(word) for word in name.split())
    if last == "seam":
        last = r"seams?(?:[- ]allowances?)?"
    return r"[\s-]+".join([*rest, f"{last}(?:e?s)?"])


def _excused(name: str, text: str, before: str, after: str) -> bool:
    """A length that only seems to be the declared one: cut back to, turned twice, or of another hem or seam."""
    if name not in {"seam allowance", "hem"}:
        return False
    if _LEFT_OPEN.match(after) or _STITCH.match(after) or _MOVED.search(before):
        return True
    if _CUT_BACK.search(before):
        return True
    if name == "seam allowance" and _OTHER_SEAMS.search(text):
        return True
    return name == "hem" and bool(_TURNED_TWICE.search(text) or _OTHER_HEMS.search(text))


def _linings(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    offset = facts.lengths.get("lining offset")
    if not offset:
        return
    for block in booklet.blocks:
        for part in block.sentences:
            match = _SAME_LENGTH.search(part.text)
            if not match or "lining" not in part.text.lower() or _NOT.search(part.text[: match.start()]):
                continue
            if match[0].lower().endswith("as long"):  # "as long as you like"
                continue
            said = gettext_noop("The lining is declared %(offset)s shorter than the shell, not of the same length.")
            says = sentence("lining_same", said, offset=shown(offset))
            line = block.line(part.start + match.start())
            than = re.sub(r"^\s+as\b", " than", match["than"] or "", flags=re.IGNORECASE)
            than = than or (f" than the {match['level']}" if match["level"] else "")
            yield Found("lining", block.step, line, match[0], says, f"{shown(offset)} shorter{than}")


def _zip_and_opening(facts: Facts) -> Iterator[Found]:
    zip_mm, opening = facts.lengths.get("zip"), facts.lengths.get("opening")
    if zip_mm is not None and opening is not None and zip_mm < opening - 10:
        said = gettext_noop("The zip of the notions (%(zip)s) is shorter than its opening (%(opening)s).")
        says = sentence("zip_short", said, zip=shown(zip_mm), opening=shown(opening))
        yield Found("zip", None, None, shown(zip_mm), says)


def _notch_and_seam(facts: Facts) -> Iterator[Found]:
    """A notch that is as long as the seam allowance is wide cuts into the seam."""
    notch, seam = facts.lengths.get("notch"), facts.lengths.get("seam allowance")
    if notch is not None and seam is not None and seam > 0 and notch >= seam:
        said = gettext_noop("Notches of %(notch)s reach the seam: its allowance is %(seam)s.")
        says = sentence("notch_long", said, notch=shown(notch), seam=shown(seam))
        yield Found("notch", None, None, shown(notch), says, shown(seam / 2))
