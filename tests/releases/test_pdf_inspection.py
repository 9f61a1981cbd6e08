"""What is looked up in a PDF: sheets, layers, fonts, locks, and the test square, measured however it was drawn."""

from __future__ import annotations

import itertools
import json
import math
import subprocess
import zlib
from io import StringIO

import pikepdf
import pytest
from django.core.management import CommandError, call_command

from releases.pdf.inspection import Inspection, from_dict, look
from releases.pdf.layers import PageUse, pages_for
from releases.pdf.paint import Painter
from releases.pdf.parts import Budget
from releases.pdf.problems import problems_of
from releases.pdf_child import ChildLimits, ask_child
from releases.pdf_facts import PdfError
from tests.measurements.tables import worked_table
from tests.releases.drawn import POINTS_A_MM, in_mm, pdf_of, saved, tiled, words

LIMITS = ChildLimits(most_pages=50, memory_bytes=800_000_000, seconds=5)


def seen(folder, content: bytes) -> Inspection:
    return look(saved(folder, content))


def codes(found: Inspection) -> list[tuple[int | None, str]]:
    return [(problem.page, problem.says.code) for problem in problems_of(found)]


def measured(found: Inspection) -> list[tuple[int, float, float]]:
    return [(square.page, square.width_mm, square.height_mm) for square in found.squares]


def four_lines(side: float, gap: float = 0.0) -> str:
    corners = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
    lines = []
    for (a, b), (c, d) in itertools.pairwise(corners):
        ux, uy = (c - a) / side * gap, (d - b) / side * gap
        lines.append(f"{a - ux} {b - uy} m {c + ux} {d + uy} l S")
    return " ".join(lines)


def turned(drawing: str, degrees: float) -> str:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return f"q {cos:.6f} {sin:.6f} {-sin:.6f} {cos:.6f} 90 60 cm {drawing} Q"


def a_form(drawing: str):
    def make(pdf):
        form = pdf.make_stream(drawing.encode())
        form.update(
            {"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": [0, 0, 300, 300]},
        )
        form.Matrix = [POINTS_A_MM, 0, 0, POINTS_A_MM, 0, 0]
        return form

    return make


@pytest.mark.parametrize(
    ("drawing", "side"),
    [
        ("20 20 100 100 re S", 100.0),
        ("0.5 g 20 20 50 50 re f", 50.0),
        ("[2 1] 0 d 20 20 101.6 101.6 re S", 101.6),
        ("20 20 m 120 20 l 120 120 l 20 120 l h S", 100.0),
        ("20 20 m 70 20 l 120 20 l 120 120 l 20 120 l 20 20 l S", 100.0),
        (f"q 1 0 0 1 30 40 cm {four_lines(100)} Q", 100.0),
        (f"q 1 0 0 1 30 40 cm {four_lines(50.8, gap=0.5)} Q", 50.8),
        ("20 20 m 120 20 l S 120 20 m 120 120 l 20 120 l 20 20 l S", 100.0),
        ("20 19.8 100 0.4 re f 20 119.8 100 0.4 re f 19.8 20 0.4 100 re f 119.8 20 0.4 100 re f", 100.0),
        (turned("0 0 100 100 re S", 17), 100.0),
        (turned(four_lines(100), 45), 100.0),
        ("q 2 0 0 2 10 10 cm q 0.5 0 0 0.5 0 0 cm 20 20 100 100 re S Q Q", 100.0),
        ("20 20 97.3 97.3 re S", 97.3),
        ("0 g 20 20 100.4 100.4 re 20.4 20.4 99.6 99.6 re f*", 100.0),
    ],
)
def test_the_square_is_measured_however_it_is_drawn(tmp_path, drawing, side):
    ((page, width, height),) = measured(seen(tmp_path, pdf_of(in_mm(drawing))))
    assert (page, width, height) == (1, pytest.approx(side, abs=0.02), pytest.approx(side, abs=0.02))


def test_in_a_form_on_a_turned_page_in_large_units(tmp_path):
    content = pdf_of(
        "", f"q {0.5} 0 0 {0.5} 40 50 cm /X Do Q", forms={"/X": a_form("0 0 100 100 re S")}, unit=2, rotate=90
    )
    found = seen(tmp_path, content)
    assert measured(found) == [(2, 100.0, 100.0)]
    assert [(page.width_mm, page.height_mm, page.rotation) for page in found.pages] == [(297.0, 210.0, 90)] * 2


@pytest.mark.parametrize(
    "drawing",
    [
        "10 10 190 277 re S",
        "30 40 100 100 re W n 5 5 m 200 200 l S",
        " ".join(f"{10 + 25.4 * i} {10 + 25.4 * j} 25.4 25.4 re S" for i in range(6) for j in range(6)),
        " ".join(
            f"{10 + 50 * i} 10 m {10 + 50 * i} 210 l S 10 {10 + 50 * i} m 210 {10 + 50 * i} l S" for i in range(5)
        ),
        "20 20 100 62 re S",
        "20 20 m 120 20 l 140 120 l 40 120 l h S",
    ],
    ids=["frame", "clip", "grid of squares", "grid of lines", "oblong", "slanted"],
)
def test_what_is_no_test_square_is_not_taken_for_one(tmp_path, drawing):
    found = seen(tmp_path, pdf_of(in_mm(drawing)))
    assert measured(found) == []
    assert (None, "no_square") in codes(found)


def test_words_tell_the_test_square_from_a_pocket(tmp_path):
    pocket, square = "20 20 100 100 re S", f"30 150 93 93 re S {words(32, 152, 'Test square: 10 cm x 10 cm')}"
    found = seen(tmp_path, pdf_of(in_mm(pocket), in_mm(f"{pocket} {square}")))
    assert measured(found) == [(2, 93.0, 93.0)]
    (off,) = [problem for problem in problems_of(found) if problem.says.code == "square_off"]
    assert str(off.says) == "The test square is drawn 93.0 × 93.0 mm where 10 cm is meant: that is 93.0 %."


def test_the_inch_square_round_the_centimetre_square_is_told_too(tmp_path):
    twins = f"20 20 97.3 97.3 re S 19.2 19.2 98.857 98.857 re S {words(40, 60, 'Test square 10 cm / 4 in')}"
    found = seen(tmp_path, pdf_of(in_mm(twins)))
    assert [square.nominal_mm for square in found.squares] == [100.0, pytest.approx(101.6)]
    assert [code for _, code in codes(found)].count("square_off") == 2


def test_a_square_stretched_one_way_is_told(tmp_path):
    found = seen(tmp_path, pdf_of(in_mm("20 20 100 98 re S")))
    assert codes(found) == [(1, "not_square")]


@pytest.mark.parametrize("row", worked_table("pdf-facts.md", "The test square"), ids=lambda row: row["drawn, mm"])
def test_the_worked_example(tmp_path, row):
    width, height = row["drawn, mm"].split(" x ")
    label = words(32, 30, row["words beside it"]) if row["words beside it"] != "none" else ""
    found = seen(tmp_path, pdf_of(in_mm(f"30 20 {width} {height} re S {label}")))
    said = [f"{square.nominal_mm:g}" for square in found.squares] or ["none"]
    assert said == [row["meant, mm"]]
    wrong = [code for _, code in codes(found) if code in {"square_off", "not_square", "no_square"}] or ["nothing"]
    assert wrong == [row["said"]]


def test_layers_fonts_words_and_editions(tmp_path):
    found = seen(tmp_path, tiled())
    assert found.layers == found.drawn == ("Size 10", "Size 12", "Size 14")
    assert [(font.name, font.embedded, font.page) for font in found.fonts] == [("Helvetica", False, 1)]
    assert {page.version for page in found.pages} == {"0.9"}
    assert found.has_text
    assert found.pages[0].layers
    assert set(found.pages[0].layers) <= set(found.layers)
    assert from_dict(json.loads(json.dumps(found.as_dict()))) == found
    assert codes(found) == [(None, "no_square"), (1, "font")]


@pytest.mark.parametrize(
    ("cut", "pages"),
    [(("10",), (1, 2, 4)), (("12",), (1, 2, 4, 5)), (("14", "10"), (1, 2, 4, 5, 6)), ((), (1, 2, 4, 5, 6))],
)
def test_a_size_prints_the_pages_that_its_pieces_reach(cut, pages):
    drawn = [("Size 10", "Size 12"), ("Size 10",), (), ("Text",), ("Size 12", "Text"), ("Size 14",)]
    uses = [PageUse(i, layers, blank=not layers) for i, layers in enumerate(drawn, 1)]
    assert pages_for(cut, uses, ("10", "12", "14")) == pages


def edition(text: str) -> str:
    return in_mm(f"20 20 100 100 re S {words(20, 280, text)}")


def test_a_page_of_another_version_is_told(tmp_path):
    said = ["version 0.9, 2026-11-25", "version 0.9, 2026-11-25", "v0.8 of 3 May 2026", "version 0.9, 2026-11-25", ""]
    found = seen(tmp_path, pdf_of(*map(edition, said)))
    assert [code for code in codes(found) if code[1].startswith("edition")] == [
        (3, "edition_differs"),
        (3, "edition_differs"),
        (5, "edition_missing"),
        (5, "edition_missing"),
    ]


def plant_script(pdf):
    pdf.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert('sew')")


def plant_page_script(pdf):
    note = pikepdf.Dictionary(
        Type=pikepdf.Name.Annot,
        Subtype=pikepdf.Name.Link,
        Rect=[0, 0, 9, 9],
        A=pikepdf.Dictionary(S=pikepdf.Name.Launch, F="sew"),
    )
    pdf.pages[0].obj.Annots = pikepdf.Array([note])


def plant_file(pdf):
    pdf.attachments["chart.csv"] = b"10,12,14"


def plant_form_script(pdf):
    field = pikepdf.Dictionary(
        T="length", AA=pikepdf.Dictionary(K=pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="0"))
    )
    pdf.Root.AcroForm = pikepdf.Dictionary(Fields=[pikepdf.Dictionary(T="form", Kids=[pdf.make_indirect(field)])])


def plant_odd_page(pdf):
    pdf.pages[0].obj.MediaBox = [0, 0, 612, 792]


def plant_sizeless_page(pdf):
    pdf.pages[0].obj.MediaBox = [0, 0, 0, 0]


def plant_empty_layer(pdf):
    pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=[pdf.make_indirect(pikepdf.Dictionary(Name="Size 8"))])


@pytest.mark.parametrize(
    ("plant", "said"),
    [
        (plant_script, (None, "script")),
        (plant_page_script, (1, "script")),
        (plant_form_script, (None, "script")),
        (plant_file, (None, "embedded_file")),
        (plant_odd_page, (1, "odd_page")),
        (plant_empty_layer, (None, "empty_layer")),
        (plant_sizeless_page, (1, "no_size")),
    ],
)
def test_what_is_wrong_is_told_with_its_page(tmp_path, plant, said):
    square = in_mm("20 20 100 100 re S")
    found = seen(tmp_path, pdf_of(square, square, square, finish=plant))
    assert codes(found) == [said]


def test_a_sheet_wider_than_the_roll_is_told(tmp_path):
    square = in_mm("20 20 100 100 re S")
    assert codes(seen(tmp_path, pdf_of(square, size_mm=(1000, 1400)))) == [(1, "wider_than_roll")]
    assert codes(seen(tmp_path, pdf_of(square, size_mm=(914, 3000)))) == []


def test_a_restricted_file_is_read_and_told(tmp_path):
    lock = pikepdf.Encryption(owner="toile", user="", allow=pikepdf.Permissions(print_highres=False))
    found = seen(tmp_path, pdf_of(in_mm("20 20 100 100 re S"), encryption=lock))
    assert found.encrypted
    assert codes(found) == [(None, "encrypted")]


# Files that mean harm


def endless_forms(pdf):
    first, second = (pdf.make_stream(b"/B Do"), pdf.make_stream(b"/A Do"))
    for form, other in ((first, second), (second, first)):
        form.update({"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": [0, 0, 9, 9]})
        form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary({"/A": first, "/B": other}))
    return first


def doubling_forms(pdf):
    """Each form draws the next one forty times: 40 to the power of 14 in the end."""
    form = pdf.make_stream(b"0 0 1 1 re S")
    form.update({"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": [0, 0, 9, 9]})
    for _ in range(14):
        outer = pdf.make_stream(b"/A Do " * 40)
        outer.update({"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form, "/BBox": [0, 0, 9, 9]})
        outer.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary({"/A": form}))
        form = pdf.make_indirect(outer)
    return form


def bomb(pdf):
    pressed, content = zlib.compressobj(9), b"0 0 m " * 200_000
    first, again = (pressed.compress(content) + pressed.flush(zlib.Z_FULL_FLUSH) for _ in range(2))
    packed = first + 254 * again
    stream = pikepdf.Stream(pdf, b"")
    stream.write(packed, filter=pikepdf.Name.FlateDecode)
    pdf.pages[0].obj.Contents = stream


def test_forms_that_call_one_another_end(tmp_path):
    found = seen(tmp_path, pdf_of("/A Do", forms={"/A": endless_forms}))
    assert found.complete


def test_content_that_unfolds_without_end_is_cut_short(tmp_path):
    path = saved(tmp_path, pdf_of("", finish=bomb, compress_streams=False))
    assert (1, "too_much") in codes(from_dict(ask_child("look", [path], LIMITS)))


def test_forms_of_forms_are_cut_short(tmp_path):
    with pikepdf.open(saved(tmp_path, pdf_of("/A Do", forms={"/A": doubling_forms}))) as pdf:
        drawing = Painter(Budget(operators=20_000)).page(pdf.pages[0].obj)
    assert drawing.cut_short == "too_much"


def test_no_child_outlives_its_limit(tmp_path, monkeypatch):
    """One that only waits is ended by the clock."""
    (tmp_path / "releases").mkdir()
    (tmp_path / "releases" / "__init__.py").write_text("")
    (tmp_path / "releases" / "pdf_child.py").write_text("import time; time.sleep(600)")
    monkeypatch.setattr("releases.pdf_child._ROOT", tmp_path)
    started: list[subprocess.Popen[bytes]] = []
    plain = subprocess.Popen

    def remembered(*args, **kwargs):
        started.append(plain(*args, **kwargs))
        return started[-1]

    monkeypatch.setattr("releases.pdf_child.subprocess.Popen", remembered)
    with pytest.raises(PdfError, match="broken"):
        ask_child("look", [tmp_path / "any.pdf"], ChildLimits(1, 10**9, seconds=0.1))
    assert started[0].poll() is not None


# The command


def told(*arguments) -> str:
    out = StringIO()
    call_command("inspect_pdf", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_the_command_prints_what_was_found(tmp_path):
    path = saved(tmp_path, tiled(put_in=2))
    found = json.loads(told(path, "--json"))
    assert set(found) == {"pages", "layers", "fonts", "encrypted", "test_squares", "problems"}
    assert found["pages"][0] == {"number": 1, "width_mm": 210.0, "height_mm": 297.0, "rotation": 0}
    assert found["fonts"] == [{"name": "Helvetica", "embedded": False}]
    assert found["encrypted"] is False
    assert {problem["page"] for problem in found["problems"]} >= {None, 1}
    assert "page 7: 210.0 × 297.0 mm" in told(path)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"a shirt", "This is not a PDF."),
        (pdf_of("", encryption=pikepdf.Encryption(owner="o", user="u")), "locked with a password"),
        (b"%PDF-1.7\nnothing", "This PDF is damaged"),
        (pdf_of(), "This PDF has no pages."),
        (None, "cannot be read: No such file"),
    ],
    ids=["text", "password", "header only", "no pages", "missing"],
)
def test_the_command_ends_with_one_sentence(tmp_path, content, said):
    path = tmp_path / "some.pdf"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CommandError, match=said) as refused:
        told(path)
    assert refused.value.returncode == 2
