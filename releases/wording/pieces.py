"""Pieces in the text against the cutting list: counts, fold, pieces that nobody drafted, pieces that nobody sews."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from measurements.printed_pairs import find_lengths
from measurements.sentences import gettext_noop, sentence
from releases.wording.booklet import Block, Booklet, Sentence
from releases.wording.facts import Facts, PieceFact
from releases.wording.found import Found

_NUMBERS = {"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8}
_CUT = re.compile(
    r"\bcut\s+(?P<n>\d{1,2}|one|two|three|four|five|six|eight)(?:\b|(?=x\b))(?!\s*(?:mm|cm|m\b|in\s+(?:from|wide|long|deep)|\"|/))"
    r"(?:x\b|\s?\u00d7)?(?P<pairs>\s+pairs?\b)?",
    re.IGNORECASE,
)
_FOLD = re.compile(r"\b(?:on|to|at)\s+(?:the\s+|a\s+)?fold\b", re.IGNORECASE)
# Nouns that in a list of sewn parts can only be a piece, so that one which is not on the list is missing.
_NOUNS = ("pocket", "collar", "cuff", "yoke", "waistband", "placket", "hood", "gusset", "flap", "peplum", "flounce",
          "ruffle", "sleeve", "epaulette")  # fmt: skip
_LABELLED = re.compile(
    rf"\b(?P<noun>{'|'.join((*_NOUNS, 'facing', 'front', 'back', 'strap', 'belt', 'band', 'panel', 'lining'))})"
    r"\s+(?P<label>[A-Z]|\d{1,2})\b(?!\s*(?:mm|cm|in\b|m\b|/|\"))"
)
_FEW_SENTENCES = 3
_PLACE = r"(?:edge|opening|head|cap|position|mark|line|seam)"
_SEWN = re.compile(
    r"\b(?:attach|sew|stitch|pin|join|tack|baste|insert|set|place|gather|press|turn|hem|topstitch)\b", re.IGNORECASE
)


# What every garment is sewn with: no step needs to name it, and a text that does is not yet about this garment.
EVERYDAY = frozenset(
    {"thread", "fabric", "needles", "pins", "scissors", "shears", "chalk", "ruler", "measure", "pencil", "printer",
     "paper", "machine"}
)  # fmt: skip
_OF_ANY_GARMENT = EVERYDAY | {"iron", "sewing", "tape", "needle", "pin", "matching"}


@dataclass(frozen=True)
class _Piece:
    """A piece of the list: all its entries (shell, lining), and the words by which a text calls it."""

    name: str
    entries: tuple[PieceFact, ...]

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(_stem(word) for word in re.findall(r"[a-z0-9]+", self.name.lower()))

    @property
    def letter(self) -> str:
        return next((entry.letter for entry in self.entries if entry.letter), "")

    def named(self, text: str) -> re.Match[str] | None:
        parts = [rf"{re.escape(word)}(?:e?s|ies)?" for word in self.words]
        return re.search(r"\b" + r"[\s-]+".join(parts) + r"\b", text, re.IGNORECASE)


def check_pieces(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """All findings of the pieces; none where the facts list no piece."""
    pieces = _listed(facts.pieces)
    if not pieces:
        return
    seen: set[str] = set()
    told = is_of_this(booklet, facts)
    for block in booklet.blocks:
        for part in block.sentences:
            yield from _cuts(block, part, pieces)
            for found in _unknown(block, part, pieces, told=told):
                if found.text.lower() not in seen:
                    seen.add(found.text.lower())
                    yield found
    yield from _unsewn(booklet, facts, pieces)


def _listed(facts: Iterable[PieceFact]) -> list[_Piece]:
    groups: dict[str, list[PieceFact]] = {}
    for fact in facts:
        groups.setdefault(fact.name.lower(), []).append(fact)
    return [_Piece(entries[0].name, tuple(entries)) for entries in groups.values()]


def _stem(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _cuts(block: Block, part: Sentence, pieces: list[_Piece]) -> Iterator[Found]:
    """ "Cut 2 on fold: lower front" where the list says 1, or a pair."""
    marks = list(_CUT.finditer(part.text))
    for i, mark in enumerate(marks):
        end = marks[i + 1].start() if i + 1 < len(marks) else len(part.text)
        piece = _nearest(part.text[mark.end() : end], pieces)
        if piece is None and len(marks) == 1:
            piece = _nearest(part.text[: mark.start()], pieces)
        if piece is not None:
            yield from _held(block, part, mark, part.text[mark.start() : end], piece)


def _nearest(text: str, pieces: list[_Piece]) -> _Piece | None:
    """The piece named first; of two at one place the one with the longer name."""
    found = [(match.start(), -len(piece.words), i) for i, piece in enumerate(pieces) if (match := piece.named(text))]
    return pieces[min(found)[2]] if found else None


def _held(block: Block, part: Sentence, mark: re.Match[str], phrase: str, piece: _Piece) -> Iterator[Found]:
    count = int(mark["n"]) if mark["n"].isdigit() else _NUMBERS[mark["n"].lower()]
    count *= 2 if mark["pairs"] else 1
    entries = [one for one in piece.entries if one.material and one.material in phrase.lower()] or list(piece.entries)
    shown = " ".join(phrase.split()).rstrip(" .;,")
    line = block.line(part.start + mark.start())
    counts = {one.count for one in entries if one.count is not None}
    if counts and count not in counts | {sum(counts)}:
        said = gettext_noop("The cutting list has %(listed)s of %(piece)s, not %(count)s.")
        says = sentence("count", said, listed=_either(counts), piece=piece.name, count=count)
        proposed = _with_count(shown, mark["n"], min(counts)) if len(counts) == 1 else None
        yield Found("count", block.step, line, shown, says, proposed)
        return
    folds = {one.fold for one in entries}
    on_fold = bool(_FOLD.search(phrase))
    if None not in folds and on_fold not in folds:
        on = gettext_noop("%(piece)s is not cut on the fold in the cutting list.")
        off = gettext_noop("%(piece)s is cut on the fold in the cutting list; the text does not say so.")
        says = sentence("fold", on if on_fold else off, piece=piece.name[:1].upper() + piece.name[1:])
        proposed = re.sub(r"\s+([:;,.)])", r"\1", " ".join(_FOLD.sub("", shown).split())).replace(" ()", "")
        proposed = proposed if on_fold else f"{shown} on the fold"
        yield Found("fold", block.step, line, shown, says, proposed)


def _either(counts: set[int]) -> str:
    return " / ".join(str(count) for count in sorted(counts))


def _with_count(shown: str, number: str, count: int) -> str:
    return re.sub(rf"\b{number}\b", str(count), shown, count=1)


def _unknown(block: Block, part: Sentence, pieces: list[_Piece], *, told: bool) -> Iterator[Found]:
    """A piece that is sewn and stands in no list: "Attach pocket B", and where the text is of this garment a collar."""
    names = " | ".join(piece.name.lower() for piece in pieces)
    seen: set[str] = set()
    lengths = {length.start for length in find_lengths(part.text)}
    for match in _LABELLED.finditer(part.text):
        if match.start("label") in lengths:
            continue
        called = f"{match['noun']} {match['label']}".lower()
        others = any(re.search(rf"\b{match['noun']} \w{{1,2}}$", piece.name.lower()) for piece in pieces)
        letters = {piece.letter.lower() for piece in pieces if piece.letter}
        known = (
            match["label"].lower() in letters
            or re.search(rf"\b{re.escape(called)}\b", names)
            or (match["noun"] in names and not others)
        )
        seen.add(match["noun"])
        if not known:
            yield _no_piece(block, part, match.start(), match[0])
    if not told or not _SEWN.search(part.text) or re.search(r"\b(?:no|without|optional)\b", part.text, re.IGNORECASE):
        return
    for noun in _NOUNS:
        place = re.search(rf"\b{noun}s?\b(?!\s+{_PLACE})", part.text, re.IGNORECASE)
        if place and noun not in seen and noun not in names:
            yield _no_piece(block, part, place.start(), place[0])


def _no_piece(block: Block, part: Sentence, at: int, text: str) -> Found:
    says = sentence("no_piece", gettext_noop("No piece of the cutting list is called %(name)s."), name=text)
    return Found("piece", block.step, block.line(part.start + at), text, says)


def is_of_this(booklet: Booklet, facts: Facts) -> bool:
    """Whether what the text sews must be on the lists: it has steps, or is a few sentences, or names half the pieces.

    Other prose may tell of any garment.
    """
    if booklet.steps or sum(len(block.sentences) for block in booklet.blocks) <= _FEW_SENTENCES:
        return True
    pieces = _listed(facts.pieces)
    named = sum(piece.named(booklet.text) is not None for piece in pieces)
    return named > 1 and 2 * named >= len(pieces)


def speaks_of(booklet: Booklet, facts: Facts) -> bool:
    """Whether the text is about this garment at all: it names a piece or a notion, or there is but one to name."""
    listed = _listed(facts.pieces)
    notions = [one.name.split(",")[0].split() for one in (*(facts.notions or ()), *(facts.tools or ()))]
    if len(listed) + len(notions) <= 1:
        return True
    heads = [words[0] for words in notions if words and words[0].isalpha() and words[0].lower() not in _OF_ANY_GARMENT]
    text = booklet.text
    return any(piece.named(text) for piece in listed) or any(
        re.search(rf"\b{re.escape(head)}", text, re.IGNORECASE) for head in heads
    )


def _unsewn(booklet: Booklet, facts: Facts, pieces: list[_Piece]) -> Iterator[Found]:
    """A piece that is in no step; cutting it is not sewing it. An excerpt is not judged so."""
    blocks = booklet.steps or booklet.blocks
    said = [part.text for block in blocks for part in block.sentences if not _only_cut(part.text)]
    whole = " . ".join(said)
    named = [piece for piece in pieces if piece.named(whole)]
    numbered = bool(booklet.numbers) and booklet.numbers[0][0] <= 1
    if numbered and len(booklet.numbers) > 1:
        judged = bool(named) or speaks_of(booklet, facts)
    elif numbered:
        judged = bool(named)
    else:
        judged = not booklet.numbers and len(said) > 1 and len(named) > 1
    for piece in pieces if judged else []:
        if piece not in named and not _meant(piece, pieces, whole):
            says = sentence("unsewn", gettext_noop("No step sews %(piece)s."), piece=piece.name)
            yield Found("unsewn", None, None, piece.name, says)


def _only_cut(text: str) -> bool:
    return bool(_CUT.search(text)) and not _SEWN.search(text)


def _meant(piece: _Piece, pieces: list[_Piece], text: str) -> bool:
    """Whether "the facings" or "the front" without the word of another piece means this one too."""
    head = piece.words[-1] if piece.words else ""
    qualifiers = {word for other in pieces for word in other.words[:-1]}
    for match in re.finditer(rf"(?:\b([a-z]+)\s+)?\b{re.escape(head)}(?:e?s)?\b", text, re.IGNORECASE):
        before = _stem((match[1] or "").lower())
        if before in piece.words or (before not in qualifiers and len(piece.words) > 1) or len(piece.words) == 1:
            return True
    return False
