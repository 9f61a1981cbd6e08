"""The demo's booklet: what the shirt is sewn in and with, and the picture and lesson beside its sleeve."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from PIL import Image, ImageDraw

from measurements.lengths import read_length
from people.models import Person
from releases.actions.booklet import show_step, write_booklet
from releases.models import Version
from testing_rounds.demo.cutting import INTERFACING, SHELL

SUITS = "Cotton lawn or poplin\nLinen up to 150 g/m²\nDouble gauze, washed first"
UNSUITED = "Denim and canvas: the yoke seams grow too thick\nKnits: the pattern has no stretch in it"
PRINTING = (
    "Print at 100 %, without fitting to the page.\n"
    "Measure the test square on the first page before you print the rest.\n"
    "Every size is a layer of its own: switch on yours and the next."
)
ALLOWANCES = {"seam_allowance": "1", "hem": "0.6", "notch": "0.5"}
# Kind, name, how much, optional.
NOTIONS: tuple[tuple[str, str, str, bool], ...] = (
    ("notion", "Shirt buttons", "7, 11 mm", False),
    ("notion", "Fusible interfacing", "see the fabric table", False),
    ("notion", "Sewing thread", "1 reel", False),
    ("notion", "Stay tape for the shoulders", "50 cm", True),
    ("tool", "Iron and a damp cloth", "", False),
    ("tool", "Buttonhole foot", "", False),
    ("tool", "Rotary cutter and mat", "", True),
)
# Piece, material, the drawing that it is cut from, where it differs.
PIECES: tuple[tuple[str, str, str, str], ...] = (
    ("back facing", INTERFACING, "back facing", "without seam allowance at the outer edge"),
    ("front facing", INTERFACING, "front facing", "without seam allowance at the outer edge"),
    ("collar", SHELL, "collar", "the under collar 3 mm (1/8 in) smaller at its outer edge"),
    ("collar", INTERFACING, "collar", "once, for the upper collar"),
)
# The step of the sleeves: what its picture shows, its lesson, and from which second on.
STEP, SAYS = 8, "The sleeve cap is pinned into the armhole; the ease lies between the two notches."
LESSON, SECONDS = "https://saltmarsh.example/lessons/sleeves-set-flat", 245


def make_booklet(version: Version, by: Person) -> None:
    fields: dict[str, Any] = {
        "suits": SUITS,
        "unsuited": UNSUITED,
        "printing": PRINTING,
        **{name: read_length(cm, "cm") for name, cm in ALLOWANCES.items()},
        "notions": [dict(zip(("kind", "name", "amount", "optional"), row, strict=True)) for row in NOTIONS],
        "pieces": [dict(zip(("piece", "material", "drawing", "differs"), row, strict=True)) for row in PIECES],
    }
    write_booklet(version=version, fields=fields, by=by)
    shown = {"picture_says": SAYS, "lesson_url": LESSON, "lesson_seconds": SECONDS}
    picture = sleeve_picture()
    show_step(version=version, number=STEP, fields=shown, picture=picture, size=len(picture.getvalue()), by=by)


def sleeve_picture() -> BytesIO:
    """A drawn sleeve cap in its armhole, with notches and pins."""
    image = Image.new("RGB", (1200, 800), "#f2f5f1")
    draw = ImageDraw.Draw(image)
    draw.polygon([(80, 800), (80, 470), (600, 180), (1120, 470), (1120, 800)], fill="#e0e8f8")
    draw.arc((80, 180, 1120, 1020), 195, 345, fill="#1b2328", width=7)
    draw.arc((110, 215, 1090, 1040), 195, 345, fill="#7f8a84", width=4)
    for x, y in ((330, 262), (870, 262)):
        draw.line((x - 14, y - 40, x + 14, y + 12), fill="#9c2a12", width=10)
    for x in range(400, 840, 80):
        y = 180 + (600 - x) ** 2 // 1700
        draw.line((x, y - 34, x, y + 46), fill="#1f4fb4", width=5)
        draw.ellipse((x - 9, y - 50, x + 9, y - 32), fill="#1f4fb4")
    out = BytesIO()
    image.save(out, "PNG")
    out.seek(0)
    return out
