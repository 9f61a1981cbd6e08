"""Round files: one testing round as JSON, read strictly and written again without loss.

The form is described in docs/round-file.md. `parse` keeps numbers as they were written, keys that
are not ours, and the order of all keys: `dump(parse(text))` prints the same as `json.loads(text)`.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from typing import Any

from config.limits import CHART_ROWS, CHART_SIZES, ROUND_FILE_BYTES
from testing_rounds.json_text import JsonTextError, load
from testing_rounds.round_data import Keys, Override, Report, RoundData, Zone, ZoneAnswer
from testing_rounds.round_parts import Part, RoundFileError, place

__all__ = ["FABRICS", "FORMAT", "RoundFileError", "dump", "dumps", "parse"]

FORMAT = 1
FABRICS = ("woven", "knit")
# What can be a length, in cm. The tallest person measured stood 272; a gathered sweep runs to metres.
BODY = (0.1, 300.0)
FINISHED = (0.0, 2_000.0)
CHANGE = (-100.0, 100.0)
SQUARE = (0.1, 100.0)
SCALE = (0.01, 20.0)
STRETCH = (0.0, 500.0)
# More than any panel; only a slip in somebody's script passes it.
REPORTS, ZONES, NOTES = 20_000, 100, 1_000
# Characters: what the app can keep in each place.
NAME, SIZE, ZONE_KEY, LABEL, TESTER, VERSION, STAGE, MOMENT, REASON = 120, 20, 60, 80, 80, 40, 40, 60, 300

# The keys that are ours, each with the value that an absent one stands for; one that is _NEEDED may not be absent.
_NEEDED: Any = object()
# A file of our own spells these out even where they are empty.
_SPELLED = {"base_size", "test_square", "body_chart", "finished_chart"}
_SPELLED |= {"stage", "submitted", "body", "zones", "steps"}
_TOP: dict[str, Any] = {
    "round_file": _NEEDED,
    "pattern": _NEEDED,
    "version": _NEEDED,
    "unit": _NEEDED,
    "sizes": _NEEDED,
    "base_size": None,
    "test_square": None,
    "body_chart": {},
    "finished_chart": {},
    "zones": _NEEDED,
    "reports": _NEEDED,
}
_PATTERN: dict[str, Any] = {"name": _NEEDED, "fabric": _NEEDED, "drafted_height": None, "stretch": None}
_ZONE: dict[str, Any] = dict.fromkeys(("key", "label", "low", "high"), _NEEDED) | {"body_point": None, "scale_cm": None}
_REPORT: dict[str, Any] = {
    "tester": _NEEDED,
    "size": _NEEDED,
    "stage": "toile",
    "submitted": None,
    "body": {},
    "test_square": None,
    "zones": {},
    "steps": [],
    "sizes": {},
    "version": None,
    "file": None,
    "fabric": {},
    "toile": {},
    "set_aside": [],
    "put_back": [],
}
_ANSWER: dict[str, Any] = {"fit": _NEEDED, "altered": False, "change": None}
_OVERRIDE: dict[str, Any] = {"zone": _NEEDED, "reason": _NEEDED}


def parse(source: str | bytes) -> RoundData:
    """The round in a round file.

    Raises RoundFileError, whose text is one sentence that names the place.
    """
    try:
        document = load(source, ROUND_FILE_BYTES)
    except JsonTextError as error:
        where = place(error.document, error.path) or "the file"
        raise RoundFileError(f"{where} {error.what}") from None
    return _round(Part.whole(document))


def dump(data: RoundData) -> dict[str, Any]:
    """The round as the values of a round file, each object in the order in which it was read."""
    pattern = {
        "name": data.pattern,
        "fabric": data.fabric,
        "drafted_height": data.drafted_height,
        "stretch": data.stretch,
    }
    values = {
        "round_file": FORMAT,
        "pattern": _object(pattern, _PATTERN, data.pattern_keys, data.pattern_extra),
        "version": data.version,
        "unit": "cm",
        "sizes": list(data.sizes),
        "base_size": data.base_size,
        "test_square": data.test_square,
        "body_chart": {point: list(row) for point, row in data.body_chart.items()},
        "finished_chart": {point: list(row) for point, row in data.finished_chart.items()},
        "zones": [_object(vars(zone), _ZONE, zone.keys, zone.extra) for zone in data.zones],
        "reports": [_report_values(report) for report in data.reports],
    }
    return _object(values, _TOP, data.keys, data.extra)


def dumps(data: RoundData) -> str:
    """The round as the text of a round file."""
    return json.dumps(dump(data), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _report_values(report: Report) -> dict[str, Any]:
    values = vars(report) | {
        "body": dict(report.body),
        "toile": dict(report.toile),
        "zones": {key: _object(vars(one), _ANSWER, one.keys, one.extra) for key, one in report.zones.items()},
        "steps": list(report.steps),
        "set_aside": [_object(vars(one), _OVERRIDE, one.keys, one.extra) for one in report.set_aside],
        "put_back": [_object(vars(one), _OVERRIDE, one.keys, one.extra) for one in report.put_back],
    }
    return _object(values, _REPORT, report.keys, report.extra)


def _object(values: dict[str, Any], ours: dict[str, Any], keys: Keys, extra: dict[str, Any]) -> dict[str, Any]:
    """One object: the keys that it was read with, then what it has gained since."""
    said = extra | {key: values[key] for key in ours if key not in extra or values[key] != ours[key]}
    written = {key: said[key] for key in keys if key in said}
    spelled = () if keys else _SPELLED
    gained = {key: values[key] for key in ours if key not in written and (key in spelled or values[key] != ours[key])}
    return written | gained | {key: value for key, value in extra.items() if key not in written | gained}


def _round(top: Part) -> RoundData:
    top.exactly("round_file", FORMAT)
    top.exactly("unit", "cm")
    pattern = top.part("pattern", required=True)
    sizes = _sizes(top)
    zones = tuple(_zone(part) for part in top.parts("zones", ZONES, required=True))
    _once(top, "zones", [zone.key for zone in zones])
    return RoundData(
        pattern=pattern.text("name", NAME),
        fabric=pattern.one_of("fabric", FABRICS),
        version=top.text("version", VERSION),
        sizes=sizes,
        base_size=top.one_of_or_none("base_size", sizes),
        test_square=top.number("test_square", SQUARE),
        body_chart=_chart(top, "body_chart", sizes, BODY),
        finished_chart=_chart(top, "finished_chart", sizes, FINISHED),
        zones=zones,
        reports=_reports(top, sizes, [zone.key for zone in zones]),
        drafted_height=pattern.number("drafted_height", BODY),
        stretch=pattern.number("stretch", STRETCH, "per cent"),
        pattern_extra=pattern.beside(_PATTERN),
        pattern_keys=pattern.keys,
        extra=top.beside(_TOP),
        keys=top.keys,
    )


def _sizes(top: Part) -> tuple[str, ...]:
    sizes = top.texts("sizes", CHART_SIZES, SIZE)
    if not sizes:
        top.fault("sizes is empty; it must name one size or more")
    _once(top, "sizes", sizes)
    return sizes


def _once(top: Part, key: str, names: Sequence[str]) -> None:
    """Refuse a list that names something twice."""
    first: dict[str, int] = {}
    for number, name in enumerate(names, 1):
        if name in first:
            top.fault(f"{key}: {name} stands twice, as number {first[name]} and as number {number}")
        first[name] = number


def _zone(part: Part) -> Zone:
    zone = Zone(
        key=part.text("key", ZONE_KEY),
        label=part.text("label", LABEL),
        low=part.text("low", LABEL),
        high=part.text("high", LABEL),
        body_point=part.text_or_none("body_point", ZONE_KEY),
        scale_cm=part.number("scale_cm", SCALE),
        extra=part.beside(_ZONE),
        keys=part.keys,
    )
    if zone.low == zone.high:
        part.fault(f"low and high are both {zone.low}; they must be two words")
    return zone


def _chart(
    top: Part, key: str, sizes: Sequence[str], bounds: tuple[float, float]
) -> dict[str, tuple[float | None, ...]]:
    chart = top.part(key)
    if len(chart.values) > CHART_ROWS:
        top.fault(f"{key} has {len(chart.values)} rows; at most {CHART_ROWS} are read")
    return {point: chart.row(point, sizes, bounds) for point in chart.values}


def _reports(top: Part, sizes: Collection[str], zones: Collection[str]) -> tuple[Report, ...]:
    parts = top.parts("reports", REPORTS, required=True)
    reports = tuple(_report(part, sizes, zones) for part in parts)
    first: dict[tuple[str, str], int] = {}
    for number, (part, report) in enumerate(zip(parts, reports, strict=True), 1):
        earlier = first.setdefault((report.tester, report.stage), number)
        if earlier != number:
            part.fault(f"this tester has a {report.stage} report already, report {earlier}")
    return reports


def _report(part: Part, sizes: Collection[str], zones: Collection[str]) -> Report:
    part.part("fabric").number("stretch", STRETCH, "per cent")
    return Report(
        tester=part.text("tester", TESTER),
        size=part.one_of("size", sizes),
        stage=part.text_or("stage", _REPORT["stage"], STAGE),
        submitted=part.text_or_none("submitted", MOMENT),
        body=part.numbers("body", BODY),
        test_square=part.number("test_square", SQUARE),
        zones={key: _answer(answer) for key, answer in part.parts_by_name("zones", zones).items()},
        steps=tuple(part.items("steps", NOTES)),
        sizes=_blend(part, sizes, zones),
        version=part.text_or_none("version", VERSION),
        file=part.text_or_none("file", STAGE),
        fabric=part.part("fabric").values,
        toile=part.numbers("toile", FINISHED),
        set_aside=_overrides(part, "set_aside", zones),
        put_back=_overrides(part, "put_back", zones),
        extra=part.beside(_REPORT),
        keys=part.keys,
    )


def _answer(part: Part) -> ZoneAnswer:
    return ZoneAnswer(
        fit=part.whole_number("fit", -2, 2),
        altered=part.flag("altered"),
        change=part.number("change", CHANGE),
        extra=part.beside(_ANSWER),
        keys=part.keys,
    )


def _blend(part: Part, sizes: Collection[str], zones: Collection[str]) -> dict[str, str]:
    """The zones sewn in another size."""
    blend = part.part("sizes")
    blend.known(zones, "zone")
    return {zone: blend.one_of(zone, sizes) for zone in blend.values}


def _overrides(part: Part, key: str, zones: Collection[str]) -> tuple[Override, ...]:
    return tuple(
        Override(
            zone=one.one_of("zone", zones),
            reason=one.text("reason", REASON),
            extra=one.beside(_OVERRIDE),
            keys=one.keys,
        )
        for one in part.parts(key, ZONES)
    )
