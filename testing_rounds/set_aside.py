"""Why a tester's answer does not count: what else than the pattern may have made it.

Every reason is a sentence with its numbers; nothing is dropped in silence, and a designer can put an answer
back. Method and limits: docs/algorithms/set-aside.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from config.limits import PRINT_TOLERANCE
from measurements.body_measures import BODY_MEASURES
from measurements.finished_measures import FINISHED_MEASURES
from measurements.heights import HEIGHT_SHARES
from measurements.length_display import TENTH_CM, LengthStyle
from measurements.sentences import Sentence, Term, Value, Word, gettext_noop, sentence
from testing_rounds.round_data import Report, RoundData, Zone, ZoneAnswer
from testing_rounds.zones import BY_HEIGHT, finished_points, sort_of

# The codes, in the order in which reasons are given.
PERSON, VERSION, PRINT, ALTERED, TOILE, FABRIC, BODY = (
    "person", "version", "print", "altered", "toile", "fabric", "body",
)  # fmt: skip
CODES = (PERSON, VERSION, PRINT, ALTERED, TOILE, FABRIC, BODY)

# A ruler is read to 0.5 mm: a reading may be half of that out. On 10 cm that is a quarter of the tolerance
# and left out of account; on a smaller square it is added.
READING_ERROR_CM, SURE_SQUARE_CM = 0.025, 10.0
# The step of a size where a chart has only one (common practice, no source).
UNKNOWN_STEP_CM = 4.0
# Lengths are sums of decimals: a hair over a limit is the limit.
HAIR = 1e-9

STYLE = LengthStyle(8, TENTH_CM)

# The sentences; a pair is for too small and too large, or for the low and the high word.
_ = gettext_noop
_BY_HAND = _("Set aside by hand: %(reason)s")
_OTHER_VERSION = _("Sewn from version %(sewn)s; this round tests version %(tested)s.")
_ALTERED = _("The zone was altered before sewing.")
_STRETCH = _("The fabric stretches %(has)s %%, the pattern asks for %(asked)s %%.")
_SQUARE = (
    _("The test square reads %(read)s mm, not %(square)s mm: %(off)s %% small, over %(limit)s %%."),
    _("The test square reads %(read)s mm, not %(square)s mm: %(off)s %% large, over %(limit)s %%."),
)
_SEWN = (
    _("The toile is %(off)s small at the %(point)s: sewn to %(sewn)s, drafted %(drafted)s."),
    _("The toile is %(off)s large at the %(point)s: sewn to %(sewn)s, drafted %(drafted)s."),
)
_WORN = (
    _("Size %(size)s is cut for %(chart)s (%(point)s) and was worn on %(off)s more, which explains “%(word)s”."),
    _("Size %(size)s is cut for %(chart)s (%(point)s) and was worn on %(off)s less, which explains “%(word)s”."),
)
_HEIGHT = (
    _("Drafted for a height of %(chart)s and worn at %(own)s: %(off)s more here would explain “%(word)s”."),
    _("Drafted for a height of %(chart)s and worn at %(own)s: %(off)s less here would explain “%(word)s”."),
)
_CAP_SEAM = _("cap seam")  # by its key: the catalogue's own name is longer (see _name)
_UNTOLD = _("What it was worn on explains this; those measurements are no longer shown.")


@dataclass(frozen=True)
class Rules:
    """A studio's limits: the print as a share, toile and body in cm, stretch in points of per cent."""

    print_tolerance: float = PRINT_TOLERANCE
    toile_cm: float = 1.0
    body_cm: float = 1.0
    stretch_points: float = 10.0


USUAL = Rules()


@dataclass(frozen=True)
class Reason:
    """One reason to set an answer aside."""

    code: str
    sentence: Sentence

    def text(self, translate: Callable[[str], str] = str, show: Callable[[Decimal], str] = STYLE.both) -> str:
        """The sentence in the reader's language and units."""
        return self.sentence.text(translate, show)

    def __str__(self) -> str:
        return self.text()


@dataclass(frozen=True)
class Answer:
    """One tester's word on one zone, and whether it counts. `report` is its place in the round's reports."""

    report: int
    tester: str
    zone: str
    size: str
    fit: int
    change: float | None
    reasons: tuple[Reason, ...] = ()
    put_back: str | None = None

    @property
    def counted(self) -> bool:
        """It counts when nothing speaks against it, or when a person put it back."""
        return not self.reasons or self.put_back is not None


def answers(data: RoundData, rules: Rules = USUAL) -> Iterator[Answer]:
    """Every answer of the round in the order of its reports, with the reasons to set it aside.

    Answers on zones that the round does not ask (any more) are passed over.
    """
    case = _Case(data, rules)
    for number, report in enumerate(data.reports):
        of_report = tuple(case.of_report(report))
        back = {word.zone: word.reason for word in report.put_back}
        for key, answer in report.zones.items():
            if key not in case.zones:
                continue
            reasons = (*case.by_hand(report, key), *of_report, *case.of_zone(report, case.zones[key], answer))
            size = report.size_at(key)
            yield Answer(number, report.tester, key, size, answer.fit, answer.change, reasons, back.get(key))


def print_limit(square_cm: float, tolerance: float = PRINT_TOLERANCE) -> float:
    """The error of a print, as a share, beyond which a square of this size shows it to be off.

    The tolerance itself from 10 cm on; 1.5 % on 5 cm at a tolerance of 1 %.
    """
    return tolerance if square_cm >= SURE_SQUARE_CM - HAIR else tolerance + READING_ERROR_CM / square_cm


def half_step(row: Sequence[float | None], index: int) -> float | None:
    """Half the step of a size in cm: of the mean of its neighbouring steps. None where no neighbour is known."""
    steps: list[float] = []
    for lower in (index - 1, index):
        here, there = (row[i] if 0 <= i < len(row) else None for i in (lower, lower + 1))
        if here is not None and there is not None:
            steps.append(abs(there - here))
    return sum(steps) / len(steps) / 2 if steps else None


class _Case:
    """The rules at work in one round."""

    def __init__(self, data: RoundData, rules: Rules) -> None:
        self.data, self.rules = data, rules
        self.zones = {zone.key: zone for zone in data.zones}
        self.index = {size: i for i, size in enumerate(data.sizes)}

    def by_hand(self, report: Report, key: str) -> Iterator[Reason]:
        for word in report.set_aside:
            if word.zone == key:
                yield _reason(PERSON, _BY_HAND, reason=word.reason)

    def of_report(self, report: Report) -> Iterator[Reason]:
        """Reasons that hold for every zone of a report."""
        if report.version is not None and report.version.strip() != self.data.version.strip():
            yield _reason(VERSION, _OTHER_VERSION, sewn=report.version, tested=self.data.version)
        if report.test_square is not None and self.data.test_square is not None:
            yield from self._print(report.test_square, self.data.test_square)

    def _print(self, read: float, square: float) -> Iterator[Reason]:
        error, limit = read / square - 1, print_limit(square, self.rules.print_tolerance)
        if abs(error) > limit + HAIR:
            yield _reason(
                PRINT,
                _SQUARE[error > 0],
                read=_number(read * 10),
                square=_number(square * 10),
                off=_number(abs(error) * 100),
                limit=_number(limit * 100),
            )

    def of_zone(self, report: Report, zone: Zone, answer: ZoneAnswer) -> Iterator[Reason]:
        """Reasons that hold for one zone."""
        if answer.altered:
            yield _reason(ALTERED, _ALTERED)
        at = self.index.get(report.size_at(zone.key))
        if at is None:
            return
        if report.toile:
            yield from self._toile(report, zone, at)
        if report.fabric and self.data.stretch is not None and sort_of(zone) == "width":
            yield from self._fabric(report.fabric.get("stretch"), self.data.stretch)
        if answer.fit and zone.body_point is not None:
            yield from self._body(report, zone, zone.body_point, answer.fit, at)

    def _toile(self, report: Report, zone: Zone, at: int) -> Iterator[Reason]:
        for point in finished_points(zone):
            sewn, drafted = report.toile.get(point), _cell(self.data.finished_chart.get(point), at)
            if sewn is None or drafted is None or abs(sewn - drafted) <= self.rules.toile_cm + HAIR:
                continue
            yield _reason(
                TOILE,
                _SEWN[sewn > drafted],
                off=_mm(abs(sewn - drafted)),
                point=_name(point),
                sewn=_mm(sewn),
                drafted=_mm(drafted),
            )

    def _fabric(self, has: Any, asked: float) -> Iterator[Reason]:
        if isinstance(has, int | float) and asked - has > self.rules.stretch_points + HAIR:
            yield _reason(FABRIC, _STRETCH, has=_number(has), asked=_number(asked))

    def _body(self, report: Report, zone: Zone, point: str, fit: int, at: int) -> Iterator[Reason]:
        """The body explains a complaint when it lies far enough from the chart on the complaint's side."""
        row = self.data.body_chart.get(point, ())
        own, drafted = report.body.get(point), _cell(row, at)
        half = half_step(row, at) if row else None
        word = zone.low if fit < 0 else zone.high
        if sort_of(zone) == "height" and point in BY_HEIGHT and (own is None or point == "height"):
            yield from self._height(report, point, fit, at, word)
        elif own is not None and drafted is not None:
            beyond = (own - drafted) * (-1 if fit > 0 else 1)
            if self._explains(beyond, half, width=sort_of(zone) == "width"):
                yield _reason(
                    BODY,
                    _WORN[fit > 0],
                    size=self.data.sizes[at],
                    point=_name(point),
                    chart=_mm(drafted),
                    off=_mm(beyond),
                    word=Word(word),
                )

    def _explains(self, beyond: float, half: float | None, *, width: bool) -> bool:
        """Widths: more than half a step, and at least the least difference. Lengths: more than the larger of the two,
        since half a step of a length is often less than the tape can tell."""
        least = self.rules.body_cm
        if width:
            return beyond > (UNKNOWN_STEP_CM / 2 if half is None else half) + HAIR and beyond >= least - HAIR
        return beyond > max(half or 0.0, least) + HAIR

    def _height(self, report: Report, point: str, fit: int, at: int, word: str) -> Iterator[Reason]:
        """A length that nobody measured, by its share of the difference in height."""
        own, drafted = report.body.get("height"), self.data.drafted_height
        if drafted is None:
            drafted = _cell(self.data.body_chart.get("height"), at)
        if own is None or drafted is None:
            return
        beyond = (own - drafted) * float(HEIGHT_SHARES[self._along(point)]) * (-1 if fit > 0 else 1)
        if self._explains(beyond, None, width=False):
            yield _reason(BODY, _HEIGHT[fit > 0], chart=_mm(drafted), own=_mm(own), off=_mm(beyond), word=Word(word))

    def _along(self, point: str) -> str:
        """The length of the body that a point lies along; the length of a garment by its kind, where it is known."""
        if point == "height":
            return _LENGTH_OF.get(str(self.data.pattern_extra.get("kind")), BY_HEIGHT[point])
        return BY_HEIGHT[point]


def without_measures(reason: Reason) -> Reason:
    """The reason as it may still be told once bodies are no longer shown."""
    return _reason(BODY, _UNTOLD) if reason.code == BODY else reason


# A garment that hangs from the waist follows the leg. Of the others the smallest share is taken: it explains least.
_LENGTH_OF = {"skirt": "waist_to_knee", "trousers": "waist_to_floor"}


def _reason(code: str, template: str, **values: Value) -> Reason:
    return Reason(code, sentence(f"aside_{code}", template, **values))


def _cell(row: Sequence[float | None] | None, index: int) -> float | None:
    return row[index] if row else None


def _mm(cm: float) -> Decimal:
    return Decimal(str(round(cm * 10, 4)))


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _name(point: str) -> Word:
    """A measurement inside a sentence; its name in the catalogue where that says the same as its key."""
    words = point.replace("_", " ")
    names = (measures[point].name for measures in (BODY_MEASURES, FINISHED_MEASURES) if point in measures)
    return next((Term(name) for name in names if name.lower() == words), Word(words))
