"""A chart as rows of centimetres for the grade check: found by name, with its rounding unit and its breaks."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from measurements.body_measures import BODY_MEASURES
from measurements.charts import ChartLine, ChartTable
from measurements.finished_measures import FINISHED_MEASURES
from measurements.grade_types import ChartName, Evidence, Finding
from measurements.length_display import MM_PER_INCH, rounded
from measurements.lengths import Unit
from measurements.measures import Catalogue, Measure, normal_name
from measurements.sentences import Term

# Rows by other names than the catalogue's that go round the body or the garment.
_ROUND = re.compile(
    r"\b(bust|chest|waist|hips?|seat|thigh|knee|calf|ankle|wrist|hem|sweep|arm|biceps?|neck|girth|circumference|round)\b"
)
_ALONG = re.compile(
    r"\b(length|depth|height|width|to|rise|drop|point|apart|front|back|across|seam|edge|line|level|shoulder|strap|hole"
    r"|placket|zip|opening|cap|inside|inseam|step|notch|dart|hem allowance)\b"
)
CATALOGUES: dict[ChartName, Catalogue] = {"body": BODY_MEASURES, "finished": FINISHED_MEASURES}
# The units that charts are rounded to, from coarse to fine, in mm.
_MM = {
    "cm": (Decimal(5), Decimal("2.5"), Decimal("1.25"), Decimal(1)),
    "in": (MM_PER_INCH / 8, MM_PER_INCH / 16),
}


def slug(name: str) -> str:
    """A name as a key: small letters and underscores."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")


@dataclass(frozen=True)
class Row:
    """One measurement: centimetres a size (None in a gap); `known` is its key in the catalogue, if it has one."""

    key: str
    name: Term
    known: str
    round: bool
    cm: tuple[float | None, ...]
    breaks: tuple[str, ...]
    body: str = ""

    def at(self, place: int) -> float | None:
        return self.cm[place] if 0 <= place < len(self.cm) else None

    @property
    def filled(self) -> tuple[list[int], list[float]]:
        """The places that hold a value, and the values."""
        pairs = [(i, value) for i, value in enumerate(self.cm) if value is not None]
        return [i for i, _ in pairs], [value for _, value in pairs]


@dataclass(frozen=True)
class Rows:
    """A chart's rows in the order of its sizes. `q` is the rounding unit that its numbers show, in cm."""

    chart: ChartName
    sizes: tuple[str, ...]
    base: str | None
    rows: tuple[Row, ...]
    unit: Unit
    q: float

    def __iter__(self) -> Iterator[Row]:
        return iter(self.rows)

    def known(self, *keys: str) -> Row | None:
        """The first row that is one of these measurements of the catalogue."""
        return next((row for key in keys for row in self.rows if row.known == key), None)

    def named(self, name: str) -> Row | None:
        """The row of that key, label or catalogue name."""
        wanted, plain = slug(name), normal_name(name.replace("_", " "))
        for test in (
            lambda row: row.key == wanted,
            lambda row: row.known == wanted,
            lambda row: normal_name(str(row.name)) == plain,
        ):
            if found := next((row for row in self.rows if test(row)), None):
                return found
        return None

    def called(self, name: str) -> Row | None:
        """The row that a declared name means, by any of its usual names."""
        measure = CATALOGUES[self.chart].find(name)
        return self.named(name) or (self.known(measure.key) if measure else None)

    def place(self, size: str | None) -> int | None:
        return self.sizes.index(size) if size in self.sizes else None

    def value(self, row: Row, size: str) -> float | None:
        place = self.place(size)
        return None if place is None else row.at(place)

    def proposal(self, cm: float) -> Decimal:
        """A length for the chart, in mm, to the unit that it is rounded to."""
        return rounded(Decimal(repr(round(cm, 6))) * 10, Decimal(repr(self.q)) * 10)

    def proposals(self, lengths: Mapping[int, float]) -> tuple[tuple[str, Decimal], ...]:
        return tuple((self.sizes[place], self.proposal(cm)) for place, cm in sorted(lengths.items()))

    def mended(self, findings: Iterable[Finding]) -> Rows:
        """The chart with what these findings propose for it."""
        told = {
            (one.measure, size): float(length) / 10
            for one in findings
            if one.chart == self.chart
            for size, length in one.proposed
        }
        rows = tuple(
            replace(row, cm=tuple(told.get((row.key, size), cm) for size, cm in zip(self.sizes, row.cm, strict=True)))
            for row in self.rows
        )
        return replace(self, rows=rows) if told else self

    def evidence(self, what: str, values: Sequence[float | None]) -> Evidence:
        return Evidence(
            Term(what),
            tuple((size, mm(value)) for size, value in zip(self.sizes, values, strict=False) if value is not None),
        )


def mm(cm: float) -> Decimal:
    """Centimetres as the millimetres of a sentence."""
    return Decimal(repr(round(cm * 10, 4)))


def rows_of(
    table: ChartTable,
    chart: ChartName,
    breaks: Mapping[str, Sequence[str]] | None = None,
    q_mm: Decimal | None = None,
) -> Rows:
    """The chart for checking. `breaks` are those declared beside it; `q_mm` its rounding unit where that is known."""
    unit = unit_of(table)
    q = q_mm or rounding_mm(table, unit)
    made = Rows(
        chart,
        table.sizes,
        table.base,
        tuple(_row(line, CATALOGUES[chart]) for line in table.lines),
        unit,
        float(q) / 10,
    )
    if not breaks:
        return made
    told: dict[str, tuple[str, ...]] = {}
    for name, sizes in breaks.items():
        if row := made.called(name):
            told[row.key] = (*told.get(row.key, ()), *sizes)
    return replace(made, rows=tuple(replace(row, breaks=(*row.breaks, *told.get(row.key, ()))) for row in made))


def _row(line: ChartLine, catalogue: Catalogue) -> Row:
    measure: Measure | None = catalogue.find(line.key) or catalogue.find(line.label)
    return Row(
        line.key,
        Term(line.label.replace("_", " ")),
        measure.key if measure else "",
        measure.girth if measure else goes_round(line.label),
        tuple(None if value is None else float(value) / 10 for value in line.mm),
        tuple(line.breaks),
        (measure.body or "") if measure else "",
    )


def goes_round(label: str) -> bool:
    """Whether a row of the studio's own is a circumference, by the words of its name."""
    words = " ".join(re.findall(r"[a-z]+", label.lower()))
    return bool(_ROUND.search(words)) and not _ALONG.search(words)


def unit_of(table: ChartTable) -> Unit:
    """The unit in which most of the chart was typed."""
    units = Counter(cell.unit for line in table.lines for cell in line.cells if cell)
    return "in" if units["in"] > units.total() / 2 else "cm"


def rounding_mm(table: ChartTable, unit: Unit) -> Decimal:
    """The coarsest unit that keeps every number: 0.5 to 0.1 cm, 1/8 or 1/16 in."""
    values = [value for line in table.lines for value in line.mm if value is not None]
    steps = _MM["in" if unit == "in" else "cm"]
    return next((step for step in steps if all(_fits(value, step) for value in values)), steps[-1])


def _fits(value: Decimal, step: Decimal) -> bool:
    times = value / step
    return abs(times - times.to_integral_value()) <= Decimal("0.001")
