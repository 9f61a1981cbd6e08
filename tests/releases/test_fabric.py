"""Materials, cutting list and fabric of a version, as its studio meets them."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse

from releases.actions.fabric import write_materials, write_pieces
from releases.cutting_list import ListRow, read_rows
from releases.layouts import fabric_table, lay_all
from releases.models import FabricRequirement, Material, Piece
from tests.factories import signed_in
from tests.pdf_reading import read_pdf
from tests.releases.things import cm, make_version

pytestmark = pytest.mark.django_db

BOXES = {
    "lower front": ("fold", 1, "66 x 40"),
    "lower back": ("pair", 2, "66 x 41"),
    "upper front": ("fold", 1, "48 x 27"),
    "upper back": ("pair", 2, "46 x 28"),
    "sleeve": ("pair", 2, "30 x 38"),
    "front facing": ("fold", 1, "9 x 20"),
    "back facing": ("pair", 2, "9 x 14"),
}


def material(name="Shell", **fields):
    usual = {
        "kind": "shell", "widths": [cm("140")], "selvedge": cm("3"), "repeat": None, "gap": None,
        "nap": False, "shrinkage": 3, "cut_from": "",
    }  # fmt: skip
    return {"name": name, **usual, **fields}


def list_rows(version, material="Shell", boxes=BOXES):
    count = len(version.sizes)
    return [ListRow(name, material, str(n), cut, "", (box,) * count) for name, (cut, n, box) in boxes.items()]


def with_pieces(version, by, rows=None, materials=None):
    write_materials(version=version, materials=materials or [material()], by=by)
    names = [one.name for one in version.materials.all()]
    made = read_rows(rows or list_rows(version), version.sizes, names, "cm")
    assert made.obstacles == ()
    write_pieces(version=version, pieces=made.pieces, sizes=version.sizes, by=by)
    return version


def shown(client, name, version, **query):
    return client.get(reverse(name, args=[version.ref]), query)


def test_the_page_begins_with_the_materials(cast, version):
    client = signed_in(cast.designer)
    page = shown(client, "version_fabric", version).content.decode()
    assert "has no cutting list yet" in page
    assert reverse("version_materials", args=[version.ref]) in page


def test_an_estimate_is_there_at_once_and_the_layout_follows(cast, version):
    with_pieces(version, cast.designer)
    client = signed_in(cast.designer)
    page = shown(client, "version_fabric", version).content.decode()
    assert "1.8 m" in page
    assert "at most" in page
    lay_all(version.ref)
    page = shown(client, "version_fabric", version).content.decode()
    assert "1.6 m" in page
    assert "at most" not in page


def test_a_second_run_makes_nothing_new(cast, version):
    with_pieces(version, cast.designer)
    lay_all(version.ref)
    made = list(FabricRequirement.objects.values_list("ref", "content").order_by("id"))
    lay_all(version.ref)
    assert list(FabricRequirement.objects.values_list("ref", "content").order_by("id")) == made


def test_the_line_that_tells_how_far_it_is_reloads_when_all_is_made(cast, version):
    with_pieces(version, cast.designer)
    client = signed_in(cast.designer)
    assert f"0 of {len(version.sizes)} layouts" in shown(client, "version_fabric", version, making=1).content.decode()
    lay_all(version.ref)
    assert shown(client, "version_fabric", version, making=1)["HX-Refresh"] == "true"


def test_a_changed_box_makes_its_layout_anew(cast, version):
    with_pieces(version, cast.designer)
    lay_all(version.ref)
    with_pieces(version, cast.designer, list_rows(version, boxes={**BOXES, "sleeve": ("pair", 2, "40 x 38")}))
    table = fabric_table(version)
    assert (table.made, table.asked) == (0, len(version.sizes))


def test_a_size_that_does_not_go_on_a_width_is_not_offered(cast, version):
    wide = {**BOXES, "lower front": ("fold", 1, "70 x 57")}
    with_pieces(version, cast.designer, list_rows(version, boxes=wide), [material(widths=[cm("115"), cm("140")])])
    lay_all(version.ref)
    client = signed_in(cast.reviewer)
    page = shown(client, "version_fabric", version).content.decode()
    assert page.count("not offered") == len(version.sizes)
    assert "seam it, or do not offer this width" in page


def test_lining_from_the_shell_is_laid_with_it_and_rounded_once(cast, version):
    lining = {name: BOXES[name] for name in ("lower front", "lower back", "upper front", "upper back")}
    with_pieces(
        version,
        cast.designer,
        [*list_rows(version), *list_rows(version, "Lining", lining)],
        [material(), material("Lining", kind="lining", cut_from="Shell", widths=[])],
    )
    (cloth,) = fabric_table(version).cloths
    assert [one.name for one in cloth.cloth.all] == ["Shell", "Lining"]
    # Apart, by hand, 162 and 132 cm: 1.8 and 1.5 m.
    assert cloth.rows[0][1][0].bought.metres == 3.1


def test_interfacing_is_cut_two_centimetres_larger_all_round(cast, version):
    boxes = {"collar": ("fold", 1, "10 x 20"), "facing": ("pair", 2, "9 x 14")}
    with_pieces(version, cast.designer, list_rows(version, boxes=boxes), [material(kind="interfacing")])
    pieces = fabric_table(version).cloths[0].cloth.pieces(version.sizes[0])
    assert [(one.length, one.width) for one in pieces] == [(140_000, 220_000), (130_000, 180_000)]


def test_the_next_version_takes_the_cutting_list_over(cast, version, pattern, chart):
    with_pieces(version, cast.designer, materials=[material(), material("Lining", cut_from="Shell", widths=[])])
    following = make_version(pattern, chart, cast.owner, number="1.0", copied=version, copy_finished=True)
    assert [one.name for one in following.materials.all()] == ["Shell", "Lining"]
    assert following.materials.get(name="Lining").cut_from.version == following
    copied = Piece.objects.filter(material__version=following)
    assert copied.count() == len(BOXES)
    assert copied.first().boxes.count() == len(version.sizes)
    assert fabric_table(following).asked == fabric_table(version).asked


def test_a_layout_is_drawn_with_its_pieces(cast, version):
    with_pieces(version, cast.designer)
    lay_all(version.ref)
    client = signed_in(cast.reviewer)
    made = FabricRequirement.objects.first()
    page = client.get(reverse("layout", args=[made.ref])).content.decode()
    assert "lies on opened shell" in page
    assert "144 cm" in page
    assert page.count("lower back") >= 2
    assert " style=" not in page


def test_a_folded_layout_marks_the_fold(cast, version):
    boxes = {"front": ("fold", 1, "60 x 30"), "back": ("pair", 2, "60 x 30")}
    with_pieces(version, cast.designer, list_rows(version, boxes=boxes))
    lay_all(version.ref)
    client = signed_in(cast.reviewer)
    page = client.get(reverse("layout", args=[FabricRequirement.objects.first().ref])).content.decode()
    assert ">fold</text>" in page
    assert "#1f4fb4" in page


def test_the_pdf_has_the_table_and_the_layouts_of_a_size(cast, version):
    with_pieces(version, cast.designer)
    lay_all(version.ref)
    client = signed_in(cast.designer)
    response = shown(client, "version_fabric_pdf", version, paper="letter", size=version.sizes[0])
    text = " ".join(read_pdf(response.content).texts)
    assert "1.6 m" in text
    assert "lower back" in text
    assert "66 × 80 cm" in text


def test_a_list_is_typed_looked_over_and_saved(cast, version):
    write_materials(version=version, materials=[material()], by=cast.designer)
    client = signed_in(cast.designer)
    address = reverse("version_cutting_list", args=[version.ref])
    typed = {
        "unit": "cm",
        "name-0": "sleeve",
        "material-0": "Shell",
        "count-0": "2",
        "cut-0": "pair",
        "grain-0": "length",
    }
    first = client.post(address, {**typed, "b0.0": "30 x"})
    assert first.status_code == 422
    assert 'value="30 x"' in first.content.decode()
    boxes = {"b0.0": "30 x 38", "b0.1": "29 x 37"}
    doubted = client.post(address, {**typed, **boxes})
    assert doubted.status_code == 422
    assert "is smaller in size" in doubted.content.decode()
    digest = doubted.context["table"].digest
    assert client.post(address, {**typed, **boxes, "shown": digest}).status_code == 302
    assert Piece.objects.get().boxes.count() == 2
    again = client.get(address).content.decode()
    assert 'value="30 x 38"' in again


def test_a_sheet_fills_the_table_and_saves_nothing(cast, version):
    write_materials(version=version, materials=[material()], by=cast.designer)
    client = signed_in(cast.designer)
    text = f"piece,count,cut,{version.sizes[0]}\nsleeve,2,pair,30 x 38\n"
    answer = client.post(
        reverse("version_cutting_list", args=[version.ref]), {"do": "read", "unit": "cm", "text": text}
    )
    assert 'value="30 x 38"' in answer.content.decode()
    assert not Piece.objects.exists()


def test_materials_are_typed_and_what_is_wrong_stands_beside_it(cast, version):
    client = signed_in(cast.designer)
    address = reverse("version_materials", args=[version.ref])
    typed = {
        "m-TOTAL_FORMS": "2", "m-INITIAL_FORMS": "0", "m-0-name": "Shell", "m-0-kind": "shell",
        "m-0-widths": "14", "m-0-selvedge": "3", "m-1-name": "", "m-1-kind": "lining",
    }  # fmt: skip
    wrong = client.post(address, typed)
    assert wrong.status_code == 422
    assert "20 cm to 4 m wide" in wrong.content.decode()
    assert client.post(address, typed | {"m-0-widths": "45; 55 in"}).status_code == 302
    made = Material.objects.get()
    assert [Decimal(width["mm"]) for width in made.widths] == [Decimal(1143), Decimal(1397)]
    assert (made.selvedge_mm, made.shrinkage) == (30, 0)
    assert "45 in; 55 in" in client.get(address).content.decode()


def test_a_reviewer_reads_and_does_not_write(cast, version):
    client = signed_in(cast.reviewer)
    assert shown(client, "version_fabric", version).status_code == 200
    assert client.post(reverse("version_layouts", args=[version.ref])).status_code == 404
    assert client.get(reverse("version_cutting_list", args=[version.ref])).status_code == 404


def test_a_length_out_of_order_is_pointed_at(cast, version):
    with_pieces(version, cast.designer)
    lay_all(version.ref)
    client = signed_in(cast.reviewer)
    assert "out of order" not in shown(client, "version_fabric", version).content.decode()
    FabricRequirement.objects.filter(size=version.sizes[0]).update(length_mm=9000)
    page = shown(client, "version_fabric", version).content.decode()
    assert f"Look at size {version.sizes[0]}:" in page
    assert "is out of order with its" in page
