"""The engine of printed documents: sizes, fonts, tags; and that it reads nothing but what it is given."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest
from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from releases.paper import PAPERS, ForbiddenAddressError, as_pictures, read_own, write_pdf
from tests.house.project import ROOT
from tests.pdf_reading import read_pdf

PAGE = (
    '<!doctype html><html lang="en"><head><title>Shirt</title></head>'
    '<body data-foot="Foot" data-page="page" data-of="of">{}</body></html>'
)
DOT = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'


def made(body: str, **options):
    return read_pdf(write_pdf(PAGE.format(body), **{"size": PAPERS["a4"].size(), **options}))


@pytest.mark.parametrize(
    ("paper", "turned", "points"),
    [
        ("a4", False, (595.276, 841.890)),
        ("a4", True, (841.890, 595.276)),
        ("letter", False, (612, 792)),
        ("letter", True, (792, 612)),
    ],
)
def test_sheets_have_the_size_of_the_standard(paper, turned, points):
    """A4 by ISO 216, 210 x 297 mm; Letter 8 1/2 x 11 in; a point is 1/72 in."""
    assert made("<h1>Bust</h1>", size=PAPERS[paper].size(turned=turned)).pages == (pytest.approx(points, abs=0.001),)


def test_a_document_is_tagged_titled_and_has_a_language():
    pdf = made("<h1>Measurements</h1><h2>Body</h2><p>Waist</p>")
    assert (pdf.title, pdf.language, pdf.marked, pdf.conformance) == ("Shirt", "en", True, "1")
    assert pdf.bookmarks == ((1, "Measurements"), (2, "Body"))


def test_only_our_own_fonts_are_used_and_all_are_embedded():
    pdf = made('<h1>Größe ½ “toile”</h1><p>Łódź <b>34</b> <span class="fr">1/8</span></p><p class="quote">quiet</p>')
    assert not pdf.fonts_not_embedded
    assert {font.partition("-")[0] for font in pdf.fonts} == {"Archivo", "Piazzolla"}
    assert "Łódź" in pdf.text


def test_every_page_says_which_of_how_many_it_is():
    pdf = made("<h1>Long</h1>" + "<p>One line.</p>" * 120)
    count = len(pdf.pages)
    assert count > 1
    for number, text in enumerate(pdf.texts, start=1):
        assert f"page {number} of {count}" in " ".join(text.split())
        assert "Foot" in text


def test_the_head_of_a_table_comes_again_and_no_row_stands_alone():
    rows = "".join(f"<tr><th scope=row>Row {i}</th><td>{i}</td></tr>" for i in range(70))
    head = "<thead><tr><th>Size</th><th>12</th></tr></thead>"
    for extra in range(6):
        pdf = made(f"<h1>T</h1>{'<p>Line</p>' * extra}<table>{head}<tbody>{rows}</tbody></table>")
        assert all("Size" in text for text in pdf.texts)
        assert all(text.count("Row ") >= 2 for text in pdf.texts)


def test_a_picture_is_read_only_when_it_was_handed_over():
    asked = []

    def dot() -> bytes:
        asked.append("dot")
        return DOT

    made('<img src="image:dot" alt="A dot">', pictures={"dot": dot, "other": b"never read"})
    assert asked == ["dot"]


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/hostname",
        "http://127.0.0.1:1/x.svg",
        "https://static.invalid/../config/settings.py",
        "https://static.invalid/%2e%2e/manage.py",
        "https://static.invalid/js/app.js",
        "https://static.invalid/nothing.css",
        "https://static.invalid:1/paper.css",
        "https://elsewhere.example/paper.css",
        "ftp://static.invalid/paper.css",
        "data:text/css,p{}",
        "image:other",
        "static:paper.css",
    ],
)
def test_the_engine_reads_nothing_else(address):
    with pytest.raises(ForbiddenAddressError):
        read_own(address, {"dot": DOT})


def test_a_document_that_asks_for_a_file_of_the_machine_gets_none(tmp_path: Path):
    secret = tmp_path / "secret.svg"
    secret.write_bytes(DOT.replace(b"<rect", b"<text y='9'>stolen</text><rect"))
    address = secret.as_uri()
    body = f'<p>Body</p><img src="{address}" alt="one"><object data="{address}"></object>'
    attached = f'<link rel="attachment" href="{address}">'
    content = write_pdf(PAGE.format(body + attached), size="210mm 297mm")
    assert "stolen" not in read_pdf(content).text
    assert b"EmbeddedFile" not in content


def test_a_process_that_prints_nothing_does_not_load_the_engine():
    asked = (
        "import sys, django; django.setup(); from django.urls import reverse; reverse('home');"
        "sys.exit('weasyprint' in sys.modules)"
    )
    env = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
    assert subprocess.run([sys.executable, "-c", asked], cwd=ROOT, env=env, check=False).returncode == 0


def test_every_face_of_the_sheets_is_one_file_with_all_latin_letters() -> None:
    """The engine takes two files of one face for one font, and the letters of the second come out as others."""
    style = Path(str(finders.find("paper.css"))).read_text()
    faces = re.findall(r"@font-face\{font-family:(\w+);src:url\((.*?)\) format\(\"woff2\"\)(.*?)\}", style)
    assert len({(family, kind) for family, _file, kind in faces}) == len(faces) > 5
    for _family, file, kind in faces:
        font = TTFont(str(finders.find(file)))
        assert "fvar" not in font
        assert {ord(letter) for letter in "aé½" + ("" if "italic" in kind else "ŁžŐ")} <= set(font.getBestCmap())


def test_titled_drawings_become_pictures_of_that_name_and_alike_ones_become_one() -> None:
    drawing = '<svg class="cell"><title>3 of 4 &lt;tight&gt;</title><path d="M0 0"/></svg>'
    key = '<svg aria-hidden="true"><path d="M1 1"/></svg>'
    html, drawings = as_pictures(f"<p>{drawing}{key}{drawing}</p>")
    shown = '<img class="drawn cell" src="image:drawing-0" alt="3 of 4 &lt;tight&gt;">'
    assert html == f"<p>{shown}{key}{shown}</p>"
    (alone,) = drawings.values()
    assert fromstring(alone).tag == "{http://www.w3.org/2000/svg}svg"
