"""What testers wrote and photographed of a zone, as far as each allows it now."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from people.models import ConsentKind
from testing_rounds.consents import standing
from testing_rounds.evidence import Evidence
from testing_rounds.evidence_words import verdict_words
from testing_rounds.models import FitReport, Photo, PhotoState, ZoneVerdict
from testing_rounds.report_cards import best_views
from testing_rounds.set_aside import Answer
from testing_rounds.summary_names import Nameless
from testing_rounds.tester_photos import views_of

# A row of three across a sheet; words alone fill two rows at most.
MOST_PHOTOS, MOST_WORDS = 3, 6


@dataclass(frozen=True)
class Voice:
    """One tester on one zone: the size, the verdict, a photo (its ref; "" for none) and words that may be quoted."""

    size: str
    said: str
    photo: str
    view: str
    words: str


@dataclass(frozen=True)
class Voices:
    """Some of them, and in words what stays out because it is not allowed."""

    shown: tuple[Voice, ...]
    kept_back: str

    @property
    def pictured(self) -> list[Voice]:
        return [voice for voice in self.shown if voice.photo]

    @property
    def spoken(self) -> list[Voice]:
        return [voice for voice in self.shown if not voice.photo]


@dataclass
class VoiceBook:
    """All that testers of a round wrote and sent, read once, in four queries. `pictures` names the photos in use."""

    evidence: Evidence
    nameless: Nameless
    pictures: dict[str, Photo] = field(default_factory=dict)

    def __post_init__(self) -> None:
        rows = self.evidence.rows
        allowed = standing(row.place for row in rows)
        self._allowed = {row.pk: set(allowed[row.place.ref]) for row in rows}
        self._views = dict(views_of(self.evidence.found))
        self._photos: dict[int, list[Photo]] = defaultdict(list)
        for photo in Photo.objects.filter(report__in=[row.pk for row in rows], state=PhotoState.READY):
            self._photos[photo.report_id].append(photo)
        notes = ZoneVerdict.objects.filter(report__in=[row.pk for row in rows]).exclude(words="")
        self._notes = {(pk, zone): words for pk, zone, words in notes.values_list("report_id", "zone", "words")}
        self._quoted: set[int] = set()

    def may(self, report_pk: int, kind: str) -> bool:
        """Whether the tester of a report allows this now."""
        return kind in self._allowed.get(report_pk, ())

    def of(self, answers: Sequence[Answer], zone: str) -> Voices:
        """The voices of these answers, those who complain most first, one size after another."""
        ordered = _spread(answers)
        rows = [self.evidence.row(answer) for answer in ordered]
        seen = [(self._voice(answer, row, zone), row) for answer, row in zip(ordered, rows, strict=True)]
        pictured = [(voice, row) for voice, row in seen if voice.photo][:MOST_PHOTOS]
        spoken = [(voice, row) for voice, row in seen if voice.words and not voice.photo]
        shown = [*pictured, *spoken[: MOST_WORDS - len(pictured)]]
        self._quoted |= {row.pk for voice, row in shown if voice.words and (row.pk, zone) not in self._notes}
        for voice, row in pictured:
            self.pictures[voice.photo] = next(photo for photo in self._photos[row.pk] if photo.ref == voice.photo)
        return Voices(tuple(voice for voice, _row in shown), self._kept_back(rows, zone))

    def _voice(self, answer: Answer, row: FitReport, zone: str) -> Voice:
        photo = self._photo(row, zone)
        return Voice(
            size=answer.size,
            said=verdict_words(self.evidence.zones[zone], answer.fit),
            photo=photo.ref if photo else "",
            view=self._views.get(photo.view, _("Another view")) if photo else "",
            words=self._words(row, zone),
        )

    def _photo(self, row: FitReport, zone: str) -> Photo | None:
        if not self.may(row.pk, ConsentKind.PHOTOS):
            return None
        order = {view: i for i, view in enumerate(best_views(zone))}
        return min(self._photos[row.pk], key=lambda photo: order.get(photo.view, len(order)), default=None)

    def _words(self, row: FitReport, zone: str) -> str:
        """What was written about the zone, else of the whole garment: that is quoted once in a document."""
        if not self.may(row.pk, ConsentKind.QUOTE):
            return ""
        general = "" if row.pk in self._quoted else row.words
        return self.nameless.text(self._notes.get((row.pk, zone), general).strip())

    def _kept_back(self, rows: Iterable[FitReport], zone: str) -> str:
        silent = sum(
            not self.may(row.pk, ConsentKind.QUOTE) and bool(row.words or self._notes.get((row.pk, zone)))
            for row in rows
        )
        unseen = sum(not self.may(row.pk, ConsentKind.PHOTOS) and bool(self._photos[row.pk]) for row in rows)
        return " ".join(_private(silent, unseen))


def _private(silent: int, unseen: int) -> Iterator[str]:
    if silent:
        said = ngettext(
            "The words of %(n)s tester stay out: they may not be quoted.",
            "The words of %(n)s testers stay out: they may not be quoted.",
            silent,
        )
        yield said % {"n": silent}
    if unseen:
        said = ngettext(
            "The photos of %(n)s tester stay out: they may not be shown.",
            "The photos of %(n)s testers stay out: they may not be shown.",
            unseen,
        )
        yield said % {"n": unseen}


def _spread(answers: Sequence[Answer]) -> list[Answer]:
    """The strongest of each size, then the next of each: no size speaks twice before all have spoken."""
    by_size: dict[str, list[Answer]] = defaultdict(list)
    for answer in sorted(answers, key=lambda one: -abs(one.fit)):
        by_size[answer.size].append(answer)
    turns = max(map(len, by_size.values()), default=0)
    return [some[turn] for turn in range(turns) for some in by_size.values() if turn < len(some)]
