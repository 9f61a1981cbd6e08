"""The demo's second pattern: a dress whose call is open, with people who would sew it and nobody chosen yet."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from measurements.finished_measures import FINISHED_MEASURES
from measurements.lengths import read_length
from measurements.models import SizeChart
from people.models import Person, Studio
from releases.actions.ease import declare_ease
from releases.actions.finished import write_finished
from releases.actions.patterns import create_pattern
from releases.actions.steps import write_steps
from releases.actions.versions import create_version
from releases.models import FileKind, GarmentKind, Version
from releases.steps_text import ReadStep
from testing_rounds.actions.panel import apply, draw_lot
from testing_rounds.actions.rounds import open_call, plan_round
from testing_rounds.demo import scenario, studio
from testing_rounds.demo.files import Sheet
from testing_rounds.models import Round
from testing_rounds.round_store import zone_entry
from testing_rounds.zones import default_views, default_zones

PATTERN, VERSION = "Sandreed", "0.1"
ABOUT = "A dress with short sleeves, a fitted waist and a gathered skirt, closed with a zip at the back."
GIVES = "The finished pattern in every size. You buy the fabric; the work is unpaid. It may not fit at the first try."
ASKS = "One toile in three weeks and its report, about ten hours in all. Stop whenever you like."
# It is offered in the lower six of the chart's sizes.
SIZES = scenario.SIZES[:6]
HIP = scenario.BODY["hip"]
FINISHED = {
    "bust": scenario.FINISHED["bust"],
    "waist": tuple(value + scenario.MEANT["waist"] for value in scenario.BODY["waist"]),
    "hip": tuple(value + 40 for value in HIP),
    "sweep": tuple(value + 60 for value in HIP),
    "back_length": tuple(value + scenario.MEANT["back_length"] for value in scenario.BODY["back_waist"]),
    "upper_arm": tuple(value + scenario.MEANT["upper_arm"] for value in scenario.BODY["upper_arm"]),
    "length": tuple(round(100 + 0.6 * i, 1) for i in range(len(scenario.SIZES))),
    "sleeve_length": scenario.FINISHED["sleeve_length"],
}
STEPS = (
    "Sew the bust and waist darts. Press the bust darts down and the waist darts towards the centre.",
    "Join the shoulders at 1 cm (3/8 in).",
    "Sew the side seams of the bodice at 1 cm (3/8 in).",
    "Set the sleeves: ease the cap between the notches at 1 cm (3/8 in).",
    "Gather the skirt to the waist of the bodice and join them at 1 cm (3/8 in).",
    "Set the zip at the back. Test the iron on a scrap first.",
    "Turn up the hem by 2.5 cm (1 in) and sew it by hand.",
)
FILES = {
    FileKind.A4: Sheet("Sandreed, A4", 210, 297, 18),
    FileKind.LETTER: Sheet("Sandreed, Letter", 215.9, 279.4, 18),
}
# Days from today: the call has been open for a while and ends in a few days.
CALL_CLOSES, STARTS, DUE, CLOSES = 5, 12, 40, 54
PER_SIZE = 2


def make_call(found: Studio, chart: SizeChart, today: date, by: Person) -> Round:
    """The dress, its round and its applicants; the lot is drawn, so that the choice can be looked at."""
    called = _round(_version(found, chart, by), today, by)
    for row in _applicants():
        _applies(called, row)
    draw_lot(found=called, by=by)
    return called


def _version(found: Studio, chart: SizeChart, by: Person) -> Version:
    fields = {
        "name": PATTERN,
        "kind": GarmentKind.DRESS,
        "fabric": "woven",
        "chart": chart,
        "height": read_length(f"{scenario.DRAFTED_HEIGHT:g}", "cm"),
        "cup": read_length(f"{scenario.CUP_DIFFERENCE:g}", "cm"),
        "free_at": ["hip"],
        "about": ABOUT,
    }
    pattern = create_pattern(studio=found, fields=fields, by=by)
    fields = {
        "number": VERSION,
        "sizes": list(SIZES),
        "base_size": scenario.BASE,
        "what_changed": "The first version for testers.",
        "test_square": read_length(f"{scenario.SQUARE:g}", "cm"),
    }
    version = create_version(pattern=pattern, body_chart=chart.revisions.get(), fields=fields, copied=None, by=by)
    names = {key: str(FINISHED_MEASURES[key].name) for key in FINISHED}
    write_finished(version=version, table=studio.table(FINISHED, names, {}, SIZES), unit="cm", by=by)
    meant = {key: (read_length(f"{cm:g}", "cm"), None) for key, cm in scenario.MEANT.items()}
    declare_ease(version=version, declared=meant, stretch=None, by=by)
    write_steps(version=version, steps=[ReadStep(i, text) for i, text in enumerate(STEPS, start=1)], by=by)
    for kind, sheet in FILES.items():
        studio.add_sheet(version, kind, sheet, by)
    return version


def _round(version: Version, today: date, by: Person) -> Round:
    days = {"call_closes": CALL_CLOSES, "starts": STARTS, "report_due": DUE, "closes": CLOSES}
    fields = {
        "name": "Round 1",
        **{name: today + timedelta(days=count) for name, count in days.items()},
        "per_size": PER_SIZE,
        "gives": GIVES,
        "asks": ASKS,
        "zones": [zone_entry(zone.asked(scenario.BODY)) for zone in default_zones("dress")],
        "views": [view.key for view in default_views("dress")],
    }
    found = plan_round(version=version, fields=fields, by=by)
    open_call(found=found, by=by)
    return found


def _applicants() -> Iterator[dict[str, str]]:
    with (Path(__file__).parent / "applicants.csv").open(newline="") as file:
        yield from csv.DictReader(file)


def _applies(called: Round, row: dict[str, str]) -> None:
    fields = {
        "name": row["name"],
        "email": f"{row['name'].lower()}@testers.example",
        "units": "cm",
        "wanted_size": _picked(float(row["bust"])),
        "experience": row["experience"],
        "paper": row["paper"],
        "rounds_before": int(row["rounds"]),
        "note": row["note"],
        "adult": True,
    }
    keys = ("high_bust", "bust", "waist", "hip", "height")
    apply(found=called, fields=fields, measures={key: read_length(row[key], "cm") for key in keys})


def _picked(bust: float) -> str:
    """The size that somebody would buy by the bust alone."""
    return min(SIZES, key=lambda size: abs(scenario.BODY["bust"][SIZES.index(size)] - bust))
