"""Two files page by page: what is drawn counts, not how; pages are found again; what must be printed is told."""

from __future__ import annotations

import io
import json
from io import StringIO

import pikepdf
import pytest
from django.core.management import CommandError, call_command

from releases.pdf.compare import Comparison, compare_files, from_dict
from tests.measurements.tables import worked_table
from tests.releases.drawn import in_mm, pdf_of, saved, tiled, words


@pytest.fixture
def compared(tmp_path):
    def compare(old: bytes, new: bytes) -> Comparison:
        found = compare_files(saved(tmp_path, old, "old.pdf"), saved(tmp_path, new, "new.pdf"))
        compare.pictures = found["pictures"]
        return from_dict(found["comparison"])

    return compare


def pages(found: Comparison) -> list[tuple[int, int]]:
    return [(one.old, one.new) for one in found.changed]


def reprint(found: Comparison) -> list[int]:
    return [one.page for one in found.reprint]


def is_same(found: Comparison) -> bool:
    return not (found.changed or found.added or found.removed or found.moved_mm or found.reprint)


OLD = tiled()
SQUARE = "20 20 100 100 re S"
LINE = "20 200 m 150 200 l S"


@pytest.mark.parametrize(
    "new",
    [
        tiled(object_stream_mode=pikepdf.ObjectStreamMode.generate, compress_streams=False),
        tiled(turned_round=True),
        tiled(noise=0.03),
    ],
    ids=["packed anew", "drawn in another order", "rounded otherwise"],
)
def test_how_it_is_written_does_not_count(compared, new):
    assert new != OLD
    assert is_same(compared(OLD, new))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (SQUARE, "20 20 m 120 20 l 120 120 l 20 120 l h S"),
        (SQUARE, "20 20 m 120 20 l S 120 120 m 120 20 l S 20 120 m 120 120 l S 20 20 m 20 120 l S"),
        (SQUARE, "q 2 0 0 2 20 20 cm 0.15 w 0 0 50 50 re S Q"),
        (LINE, "20 200 m 60 200 l 150 200 l S"),
        (LINE, "150 200.05 m 20 199.96 l S"),
        (
            "20 20 m 20 75 75 120 120 120 c S",
            "20 20 m 20 47.5 33.75 72.5 53.125 90.625 c 72.5 108.75 97.5 120 120 120 c S",
        ),
        (words(20, 50, "Front, cut 2"), f"{words(20, 50, 'Front,')} {words(31.56, 50, 'cut 2')}"),
        (words(20, 50, "Front"), "BT /F1 4 Tf 1 0 0 1 20 50 Tm [(Fr) 0 (ont)] TJ ET"),
        (f"1 0 0 RG {LINE}", f"/DeviceRGB CS 1 0 0 SC {LINE}"),
    ],
    ids=[
        "lines for a rectangle",
        "four lines",
        "scaled",
        "a point between",
        "backwards",
        "curve in two",
        "words in two",
        "letters apart",
        "colour space",
    ],
)
def test_the_same_ink_is_the_same_drawing(compared, old, new):
    assert is_same(compared(pdf_of(in_mm(old)), pdf_of(in_mm(new))))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (LINE, "20 200.2 m 150 200.2 l S"),
        (LINE, "20 200 m 151 200 l S"),
        (LINE, f"[4 2] 0 d {LINE}"),
        (LINE, f"1 0 0 RG {LINE}"),
        (LINE, f"1 w {LINE}"),
        (SQUARE, "20 20 100 100 re f"),
        (SQUARE, f"{SQUARE} 60 60 m 64 60 l S"),
        (f"{SQUARE} 60 60 m 64 60 l S", SQUARE),
        (words(20, 50, "Front, cut 2"), words(20, 50, "Front, cut 4")),
        (words(20, 50, "Front"), words(20, 50.3, "Front")),
    ],
    ids=["moved", "longer", "dashed", "colour", "pen", "filled", "notch put in", "notch gone", "words", "words moved"],
)
def test_other_ink_is_a_change(compared, old, new):
    found = compared(pdf_of(in_mm(SQUARE), in_mm(old)), pdf_of(in_mm(SQUARE), in_mm(new)))
    assert (pages(found), reprint(found)) == ([(2, 2)], [2])
    assert list(compared.pictures) == ["2"]


def test_a_changed_size_is_told_by_its_layer(compared):
    found = compared(OLD, tiled(longer={"12": 15.0}))
    assert {one.layers for one in found.changed} == {("Size 12",)}
    assert {one.layers for one in found.reprint} == {("Size 12",)}
    assert 0 < len(found.changed) < 6


def test_a_page_put_in_is_new_and_the_others_are_found_again(compared):
    found = compared(OLD, tiled(put_in=3))
    assert (pages(found), found.added, found.removed, reprint(found)) == ([], (3,), (), [3])
    back = compared(tiled(put_in=3), OLD)
    assert (pages(back), back.added, back.removed, reprint(back)) == ([], (), (3,), [])


def test_a_page_at_another_place_is_not_printed_again(compared):
    first, second, third = (in_mm(f"20 20 {60 + 9 * i} 100 re S {words(20, 280, f'Tile {i}')}") for i in range(3))
    assert is_same(compared(pdf_of(first, second, third), pdf_of(second, third, first)))


def test_a_page_put_in_beside_one_that_changed(compared):
    found = compared(OLD, tiled(put_in=3, longer={"14": 20.0}))
    alone = compared(OLD, tiled(longer={"14": 20.0}))
    assert found.added == (3,)
    assert [one.old for one in found.changed] == [one.old for one in alone.changed]


def test_a_new_version_on_every_page_is_no_reason_to_print_again(compared):
    found = compared(OLD, tiled(version="1.0", put_in=3))
    assert reprint(found) == [3]
    assert found.edition == (("Pebblewick, version 0.9", "Pebblewick, version 1.0"),)


def test_a_version_that_is_new_on_one_page_alone_is_a_change(compared):
    old, new = (in_mm(words(20, 280, f"version {number}")) for number in ("0.9", "1.0"))
    assert pages(compared(pdf_of(old, old, old), pdf_of(old, new, old))) == [(2, 2)]


@pytest.mark.parametrize("shift", [(12.0, -7.0), (0.0, 40.0), (-95.0, 0.0)])
def test_a_moved_origin_is_recognised_and_asks_for_every_page(compared, shift):
    found = compared(OLD, tiled(shift=shift, version="1.0"))
    assert found.moved_mm == pytest.approx(shift, abs=0.15)
    assert reprint(found) == [1, 2, 3, 4, 5, 6]


def test_the_same_change_on_every_page_is_no_moved_origin(compared):
    old, new = (
        [in_mm(f"{SQUARE} {20 + 7 * i} 150 m 190 {200 + 5 * i} l S {words(20, y, 'Keep dry')}") for i in range(4)]
        for y in (250, 240)
    )
    found = compared(pdf_of(*old), pdf_of(*new))
    assert found.moved_mm is None
    assert len(found.changed) == 4


def test_other_sheets_are_a_change(compared):
    found = compared(pdf_of(in_mm(SQUARE)), pdf_of(in_mm(SQUARE), size_mm=(215.9, 279.4)))
    assert pages(found) == [(1, 1)]


def picture_pdf(shade: int, **save) -> bytes:
    with pikepdf.open(io.BytesIO(pdf_of(""))) as pdf:
        image = pdf.make_stream(bytes([shade]) * 64)
        image.update(
            {
                "/Type": pikepdf.Name.XObject,
                "/Subtype": pikepdf.Name.Image,
                "/Width": 8,
                "/Height": 8,
                "/ColorSpace": pikepdf.Name.DeviceGray,
                "/BitsPerComponent": 8,
            }
        )
        pdf.pages[0].Resources.XObject = pikepdf.Dictionary({"/P": image})
        pdf.pages[0].Contents = pdf.make_stream(b"q 100 0 0 100 50 50 cm /P Do Q")
        out = io.BytesIO()
        pdf.save(out, **save)
        return out.getvalue()


def test_pictures_are_told_by_what_they_hold(compared):
    assert is_same(compared(picture_pdf(90), picture_pdf(90, compress_streams=False)))
    assert pages(compared(picture_pdf(90), picture_pdf(200))) == [(1, 1)]


def test_the_picture_of_a_page_shows_old_and_new_in_two_lines(compared):
    old, new = f"{LINE} {words(20, 50, 'cut 2')}", f"20 210 m 150 210 l S {words(20, 50, 'cut 4')}"
    compared(pdf_of(in_mm(old)), pdf_of(in_mm(new)))
    drawn = compared.pictures["1"]
    assert drawn.count("stroke-dasharray") == 1
    assert "M20.00 97.00L150.00 97.00" in drawn
    assert "M20.00 87.00L150.00 87.00" in drawn
    assert 'text-decoration="line-through">2<' in drawn
    assert "style=" not in drawn


WORKED = {
    "as it was": tiled(),
    "written anew": tiled(turned_round=True, noise=0.03),
    "hem of size 12 15 mm lower": tiled(longer={"12": 15.0}),
    "a page put in as page 3": tiled(put_in=3),
    "all drawn 12 mm to the right and 7 mm down": tiled(shift=(12.0, -7.0)),
}


@pytest.mark.parametrize("row", worked_table("pdf-compare.md", "Worked example"), ids=lambda row: row["new file"])
def test_the_worked_example(compared, row):
    found = compared(OLD, WORKED[row["new file"]])
    shown = {
        "changed": ", ".join(str(new) for _, new in pages(found)) or "none",
        "added": ", ".join(map(str, found.added)) or "none",
        "moved, mm": " ".join(f"{side:g}" for side in found.moved_mm) if found.moved_mm else "no",
        "print again": ", ".join(map(str, reprint(found))) or "none",
    }
    assert shown == {key: row[key] for key in shown}


def told(*arguments) -> str:
    out = StringIO()
    call_command("compare_pdfs", *map(str, arguments), stdout=out)
    return out.getvalue()


def test_the_command(tmp_path):
    old, new = saved(tmp_path, OLD, "a.pdf"), saved(tmp_path, tiled(put_in=3), "b.pdf")
    assert json.loads(told(old, new, "--json")) == {
        "changed": [],
        "added": [3],
        "removed": [],
        "moved_origin": False,
        "reprint": [3],
    }
    assert told(old, new) == "page 3 is new\nprint again: 3\n"


def test_the_command_names_the_file_that_cannot_be_read(tmp_path):
    good, bad = saved(tmp_path, OLD, "a.pdf"), saved(tmp_path, b"a shirt", "b.pdf")
    for files, said in (
        ((good, bad), "b.pdf: This is not a PDF."),
        ((good, tmp_path / "c.pdf"), "c.pdf cannot be read"),
    ):
        with pytest.raises(CommandError, match=said) as refused:
            told(*files)
        assert refused.value.returncode == 2
