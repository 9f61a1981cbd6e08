"""What is doubtful about a chart that was just read, cell by cell. A doubt is shown; only the person decides.

Every rule takes plain values and names the cells it doubts. A cell shows its first reason: what cannot be read,
then a wrong unit, then the order of the sizes, then the size of a step.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from statistics import median

from measurements.body_checks import other_unit
from measurements.lengths import Length, Unit, inches_as_fraction
from measurements.measures import Measure
from measurements.sentences import Sentence, Term, gettext_noop, sentence

# A step is out of line when both steps beside a cell leave the neighbours' by half, one up and one down,
# or when one step is more than two and a half times theirs. Below half a centimetre (lengths: one) it is
# rounding. A row that mostly stands still is graded in blocks, and its steps are not judged. With three sizes the
# two steps are held against each other. Of two or three, a girth that grows by more than a fifth is doubted: the
# widest published letter sizes grow by an eighth (107 to 119 cm).
# (Judgement; checked on the published charts of the tests, where none of these rules speaks.)
SLIP_SHARE = Decimal("0.5")
JUMP_TIMES = Decimal("2.5")
ROUNDING_MM = Decimal(5)
LENGTH_ROUNDING_MM = Decimal(10)
NEIGHBOURS = 4
WIDEST_STEP = Decimal("0.2")
# The girths by which a size is chosen: two sizes that share one cannot be told apart by it.
CHOOSING_GIRTHS = frozenset({"bust", "high_bust", "under_bust", "waist", "high_hip", "hip"})
LONGEST_SIZE_LABEL = 20
# Written out: "is in in" cannot be read.
UNIT_WORDS: dict[Unit, Term] = {
    "cm": Term(gettext_noop("centimetres")),
    "in": Term(gettext_noop("inches")),
    "mm": Term(gettext_noop("millimetres")),
}

Doubts = dict[int, Sentence]


@dataclass(frozen=True)
class CellRead:
    """A cell's text with its length, or with the reason why it has none."""

    typed: str
    length: Length | None
    error: Sentence | None = None


@dataclass(frozen=True)
class RowRead:
    """A row as read; `measure` is None when its name is not known."""

    label: str
    key: str
    measure: Measure | None
    unit: Unit
    cells: tuple[CellRead, ...]

    def turned(self) -> RowRead:
        return RowRead(self.label, self.key, self.measure, self.unit, self.cells[::-1])


def cell_doubts(row: RowRead, *, turned: bool = False) -> tuple[Sentence | None, ...]:
    """The first doubt of each cell; with `turned` the sizes run from large to small and are judged that way."""
    if turned:
        return cell_doubts(row.turned())[::-1]
    doubts: Doubts = {}
    for rule in _RULES:
        for index, doubt in rule(row, doubts).items():
            doubts.setdefault(index, doubt)
    return tuple(doubts.get(index) for index in range(len(row.cells)))


def _unread(row: RowRead, _: Doubts) -> Doubts:
    return {i: cell.error for i, cell in enumerate(row.cells) if cell.error}


def _fraction_in_metric(row: RowRead, _: Doubts) -> Doubts:
    said = gettext_noop("%(typed)s is written in fractions, which are inches; this row is in %(unit)s.")
    return {
        i: sentence("fraction_in_metric", said, typed=cell.typed, unit=UNIT_WORDS[row.unit])
        for i, cell in enumerate(row.cells)
        if cell.length and not cell.length.stated and cell.length.unit != "in" and inches_as_fraction(cell.typed)
    }


def _implausible(row: RowRead, _: Doubts) -> Doubts:
    measure = row.measure
    if measure is None:
        return {}
    return {i: _out_of_range(measure, length) for i, length in _lengths(row, {}) if not measure.plausible(length.mm)}


def _out_of_range(measure: Measure, length: Length) -> Sentence:
    unit = other_unit(measure, length)
    if unit is None:
        said = gettext_noop("%(typed)s %(unit)s is unusual for this measurement.")
        return sentence("implausible", said, typed=length.typed, unit=length.unit)
    said = gettext_noop("%(typed)s was read as %(unit)s. It fits this measurement as %(other)s.")
    return sentence("other_unit", said, typed=length.typed, unit=UNIT_WORDS[length.unit], other=UNIT_WORDS[unit])


def _mixed_units(row: RowRead, _: Doubts) -> Doubts:
    units = Counter(length.unit for _, length in _lengths(row, {}))
    if len(units) < 2:
        return {}
    usual = max(units, key=lambda unit: (units[unit], unit == row.unit))
    said = gettext_noop("%(typed)s is in %(unit)s, the rest of the row in %(usual)s.")
    return {
        i: sentence("mixed_units", said, typed=length.typed, unit=UNIT_WORDS[length.unit], usual=UNIT_WORDS[usual])
        for i, length in _lengths(row, {})
        if length.unit != usual
    }


def _order(row: RowRead, doubts: Doubts) -> Doubts:
    found: Doubts = {}
    chooses = row.measure is not None and row.measure.key in CHOOSING_GIRTHS
    before: Length | None = None
    for i, length in _lengths(row, doubts):
        if before and length.mm < before.mm:
            said = gettext_noop("%(typed)s is smaller than the size before, %(before)s.")
            found[i] = sentence("smaller", said, typed=length.typed, before=before.typed)
        elif before and chooses and length.mm == before.mm:
            said = gettext_noop("%(typed)s is the same as the size before: it cannot tell the two apart.")
            found[i] = sentence("same", said, typed=length.typed)
        before = length
    return found


def _steps(row: RowRead, doubts: Doubts) -> Doubts:
    mm = {i: length.mm for i, length in _lengths(row, doubts)}
    steps = {i: mm[i] - mm[i - 1] for i in mm if i - 1 in mm}
    grant = ROUNDING_MM if row.measure is None or row.measure.girth else LENGTH_ROUNDING_MM
    found: Doubts = {}
    for i in mm:
        beside = {i} if len(steps) == 2 else {i, i + 1}
        others = sorted((step for step in steps if step not in beside), key=lambda step: abs(step - i))[:NEIGHBOURS]
        if not others or (len(others) < 2 and len(steps) != 2):
            continue
        usual = median(steps[step] for step in others)
        if usual <= 0:
            continue
        before, after = steps.get(i), steps.get(i + 1)
        if before is not None and after is not None and _slip(before - usual, after - usual, usual):
            said = gettext_noop("The steps beside %(typed)s are %(before)s and %(after)s; those near are %(usual)s.")
            found[i] = sentence("slip", said, typed=row.cells[i].typed, before=before, after=after, usual=usual)
        elif before is not None and before > JUMP_TIMES * usual + grant:
            said = gettext_noop("The step up to %(typed)s is %(step)s; those near are %(usual)s.")
            found[i] = sentence("jump", said, typed=row.cells[i].typed, step=before, usual=usual)
    return found


def _wide(row: RowRead, doubts: Doubts) -> Doubts:
    """A girth that grows by a fifth in one step, where too few steps stand beside it to tell."""
    mm = {i: length.mm for i, length in _lengths(row, doubts)}
    if row.measure is None or not row.measure.girth or len(mm) > 3:
        return {}
    said = gettext_noop("The step up to %(typed)s is %(step)s, more than a fifth of the size before.")
    return {
        i: sentence("wide_step", said, typed=row.cells[i].typed, step=mm[i] - mm[i - 1])
        for i in mm
        if i - 1 in mm and mm[i] - mm[i - 1] > WIDEST_STEP * mm[i - 1]
    }


def _slip(before: Decimal, after: Decimal, usual: Decimal) -> bool:
    least = max(abs(usual) * SLIP_SHARE, ROUNDING_MM)
    return before * after < 0 and min(abs(before), abs(after)) > least


_RULES: tuple[Callable[[RowRead, Doubts], Doubts], ...] = (
    _unread, _fraction_in_metric, _implausible, _mixed_units, _order, _steps, _wide,
)  # fmt: skip


def _lengths(row: RowRead, doubts: Doubts) -> Iterator[tuple[int, Length]]:
    """The lengths that the earlier rules left standing; those out of order stay, to be compared."""
    standing = {"smaller", "same", "mixed_units"}
    for i, cell in enumerate(row.cells):
        if cell.length and (i not in doubts or doubts[i].code in standing):
            yield i, cell.length


def sizes_turned(rows: Iterable[RowRead]) -> bool:
    """Whether the sizes run from large to small: most rows that change go down at every step."""
    lengths = [[length.mm for _, length in _lengths(row, {})] for row in rows]
    changing = [mm for mm in lengths if len(set(mm)) > 1]
    down = sum(all(a >= b for a, b in pairwise(mm)) for mm in changing)
    return 2 * down > len(changing)


def size_doubts(labels: Sequence[str]) -> tuple[Sentence | None, ...]:
    """A doubt beside each size label: empty, too long, or there twice."""
    seen: set[str] = set()
    doubts: list[Sentence | None] = []
    for label in labels:
        doubts.append(_size_doubt(label, seen))
        seen.add(label.casefold())
    return tuple(doubts)


def _size_doubt(label: str, seen: set[str]) -> Sentence | None:
    if not label:
        said = gettext_noop("This size has no label. If commas are decimal marks here, separate the columns with tabs.")
        return sentence("no_label", said)
    if len(label) > LONGEST_SIZE_LABEL:
        said = gettext_noop("“%(label)s” is too long for a size. Use a short label.")
        return sentence("long_label", said, label=label)
    if label.casefold() in seen:
        return sentence("same_label", gettext_noop("The size %(label)s is there twice."), label=label)
    return None


def row_doubts(rows: Sequence[RowRead]) -> tuple[Sentence | None, ...]:
    """A doubt beside each row's name: missing, there twice, or not known where it is the only one."""
    first: dict[str, str] = {}
    doubts: list[Sentence | None] = []
    several = len(_unknown(rows)) > 1
    for row in rows:
        doubt = _row_doubt(row, first.get(row.key))
        doubts.append(None if several and doubt and doubt.code == "unknown_measure" else doubt)
        first.setdefault(row.key, row.label)
    return tuple(doubts)


def _row_doubt(row: RowRead, earlier: str | None) -> Sentence | None:
    if not row.label:
        return sentence("no_name", gettext_noop("This row has no name. Say what it measures."))
    if earlier is not None:
        said = gettext_noop("“%(label)s” measures the same as “%(earlier)s” above. Keep one of them.")
        return sentence("same_measure", said, label=row.label, earlier=earlier)
    if row.measure is None:
        said = gettext_noop("“%(label)s” is not a measurement known here. It is kept, but its range is not checked.")
        return sentence("unknown_measure", said, label=row.label)
    return None


def _unknown(rows: Iterable[RowRead]) -> list[str]:
    return [row.label for row in rows if row.label and row.measure is None]


def chart_doubts(
    labels: Sequence[str], rows: Sequence[RowRead], *, guessed: Unit | None = None, left_out: Sequence[str] = ()
) -> tuple[Sentence, ...]:
    """What is doubtful about the chart as a whole; `guessed` is the unit that neither person nor sheet named."""
    doubts: list[Sentence] = []
    if guessed:
        said = gettext_noop("The sheet names no unit. It was read as %(unit)s, which fits most of its numbers.")
        doubts.append(sentence("unit_guessed", said, unit=UNIT_WORDS[guessed]))
    if other := _better_unit(rows):
        said = gettext_noop("Most of these numbers fit better as %(unit)s. Read the chart again as %(unit)s?")
        doubts.append(sentence("unit_wrong", said, unit=UNIT_WORDS[other]))
    if len(labels) == 1:
        doubts.append(sentence("one_size", gettext_noop("There is only one size here: no step can be checked.")))
    if sizes_turned(rows):
        doubts.append(sentence("sizes_turned", gettext_noop("The sizes run from large to small. Turn them round?")))
    if len(unknown := _unknown(rows)) > 1:
        said = gettext_noop("Not measurements known here: %(texts)s. They are kept, but their range is not checked.")
        doubts.append(sentence("unknown_measures", said, texts="; ".join(unknown[:8]) + ("; …" if unknown[8:] else "")))
    if left_out:
        said = gettext_noop("Left out, since it holds no values: %(texts)s.")
        doubts.append(sentence("left_out", said, texts="; ".join(left_out[:5])))
    return tuple(doubts)


def _better_unit(rows: Sequence[RowRead]) -> Unit | None:
    """The one other unit that fits at least half of the lengths of known measurements."""
    known = [(row.measure, length) for row in rows if row.measure for _, length in _lengths(row, {})]
    units = Counter(unit for measure, length in known if (unit := other_unit(measure, length)))
    unit, count = units.most_common(1)[0] if units else (None, 0)
    return unit if 2 * count >= len(known) else None
