"""Finished measurements: typed into a grid, or pasted and looked over; the ease follows."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from measurements.chart_store import load_table
from measurements.models import SizeChart
from people.models import AuditEntry
from tests.factories import signed_in
from tests.releases.things import FINISHED, with_finished

ROWS = {"Bust": ("94", "98", "102"), "Waist": ("74", "78", "82")}


def address(version):
    return reverse("version_finished", args=[version.ref])


def grid(rows=ROWS, **more):
    """The grid as a browser sends it."""
    data = {"unit": "cm", "do": "save"}
    for i, (label, cells) in enumerate(rows.items()):
        data[f"label-{i}"] = label
        data |= {f"c{i}.{j}": cell for j, cell in enumerate(cells)}
    return {**data, **more}


@pytest.fixture
def send(cast, version):
    client = signed_in(cast.designer)

    def post(data, **extra):
        response = client.post(address(version), data, **extra)
        version.refresh_from_db()
        return response

    return post


def kept(version, key):
    return [cell and (cell.mm, cell.typed, cell.unit) for cell in load_table(version.finished_chart).line(key).cells]


def test_what_was_typed_is_kept_exactly(cast, version, send):
    rows = {**ROWS, "Length": ("25 1/4 in", "64,5", "650 mm"), "Sleeve length": ("", "", "")}
    shown = send(grid(rows)).context["grid"].digest
    assert send(grid(rows, shown=shown)).url == reverse("version", args=[version.ref])
    assert kept(version, "length") == [
        (Decimal("641.35"), "25 1/4 in", "in"),
        (Decimal(645), "64,5", "cm"),
        (Decimal(650), "650 mm", "mm"),
    ]
    table = load_table(version.finished_chart)
    assert [line.key for line in table.lines] == ["bust", "waist", "length"]
    assert (table.sizes, table.base) == (("10", "12", "14"), "12")
    assert version.finished_chart.chart.about == "finished"
    assert AuditEntry.objects.filter(verb="finished_written", actor_ref=cast.designer.ref).exists()


@pytest.mark.parametrize(
    ("cells", "unit", "shown"),
    [
        (("94", "98.5", "102"), "cm", ("0.5", 8)),
        (("94.1", "98.5", "102"), "cm", ("0.1", 8)),
        (("37 1/8", "38 5/8", "40"), "in", ("0.5", 8)),
        (("37 1/16", "38 5/8", "40"), "in", ("0.5", 16)),
    ],
)
def test_the_chart_is_shown_as_coarsely_as_its_digits_allow(version, send, cells, unit, shown):
    assert send(grid({"Bust": cells}, unit=unit)).status_code == 302
    chart = SizeChart.objects.get(about="finished")
    assert (str(chart.cm_step), chart.inch_parts) == shown


def test_a_cell_that_cannot_be_read_is_said_and_all_stays(version, send):
    response = send(grid({**ROWS, "Hip": ("98", "wide", "106")}))
    page = response.content.decode()
    assert response.status_code == 422
    assert "“wide” cannot be read as a length" in page
    assert 'value="wide"' in page
    assert 'value="94"' in page
    assert version.finished_chart is None


def test_a_doubtful_cell_is_shown_before_it_is_saved(version, send):
    rows = {"Bust": ("94", "", "102"), "Waist": ("74", "78", "82")}
    response = send(grid(rows))
    assert response.status_code == 422
    assert "One cell is doubtful. Nothing is saved yet." in response.content.decode()
    assert "<b>12:</b> There is no value here." in response.content.decode()
    assert version.finished_chart is None
    changed = grid({**rows, "Waist": ("7.4", "78", "82")}, shown=response.context["grid"].digest)
    assert send(changed).status_code == 422, "another grid than the one shown is shown again"
    assert send(grid(rows, shown=response.context["grid"].digest)).status_code == 302
    assert kept(version, "bust")[1] is None


def test_an_empty_grid_saves_nothing(version, send):
    response = send(grid({"Bust": ("", "", "")}))
    assert "type at least one measurement" in response.content.decode()
    assert version.finished_chart is None


def test_a_pasted_sheet_fills_the_grid_and_saves_nothing_yet(version, send):
    response = send({"do": "read", "text": FINISHED, "unit": ""})
    assert response.status_code == 200
    assert version.finished_chart is None
    rows = {row["label"]: [cell["text"] for cell in row["cells"]] for row in response.context["rows"]}
    assert rows["Bust"] == ["94", "98", "102"]
    assert rows["Length"] == ["64", "64.5", "65"]
    assert rows["Armhole"] == ["", "", ""], "the usual measurements of a shirt stay on offer"


def test_a_file_fills_the_grid_too(send):
    sheet = SimpleUploadedFile("finished.csv", b"Size,10,12,14\nChest,37 1/8,38 5/8,40 1/4\n")
    response = send({"do": "read", "file": sheet, "unit": "in"})
    assert response.context["grid"].unit == "in"
    assert response.context["grid"].rows == (("Chest", ("37 1/8", "38 5/8", "40 1/4")),)


def test_sizes_are_matched_by_their_labels(cast, version, send):
    response = send({"do": "read", "text": "cm\t14\t12\t99\nBust\t102\t98\t200", "unit": ""})
    assert response.context["grid"].rows == (("Bust", ("", "98", "102")),)
    assert "These sizes of the sheet are not in this version and were left out: 99." in response.content.decode()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"text": ""}, "Paste the sheet here, or choose a file."),
        ({"text": "hello"}, "There is no chart here."),
        ({"text": "cm\tS\tM\nBust\t94\t98"}, "The sheet has sizes S, M, and this version has 10, 12, 14."),
    ],
)
def test_a_sheet_that_is_none_is_said_beside_it(send, data, said):
    response = send({"do": "read", "unit": "", **data})
    assert response.status_code == 422
    assert said in response.content.decode()
    assert data["text"] in response.content.decode()


def test_a_file_beyond_the_limit_is_refused(send, settings):
    settings.CHART_FILE_BYTES = 10
    response = send({"do": "read", "file": SimpleUploadedFile("big.csv", b"Size,10,12,14\n"), "unit": ""})
    assert "This file is larger than 10\xa0bytes." in response.content.decode()


def test_the_ease_is_shown_while_typing(version, send):
    response = send(grid(do="ease"), headers={"HX-Request": "true"})
    fragment = response.content.decode()
    assert fragment.strip().startswith('<div id="ease">')
    assert fragment.count("<td>6.0<") == 3
    assert fragment.count("<td>4.0<") == 3
    assert version.finished_chart is None


def test_little_ease_in_a_fitted_woven_garment_is_remarked(cast, version, send):
    close = {"Waist": ("71.5", "78", "79"), "Bust": ("94", "98", "102")}
    said = "At the waist, 10, 14: less ease than the 2 cm (3/4 in) of a fitted woven garment."
    assert said in send(grid(close, do="ease")).content.decode()
    version.pattern.free_at = ["waist"]
    version.pattern.save()
    assert said not in send(grid(close, do="ease")).content.decode()
    version.pattern.fabric, version.pattern.free_at = "knit", []
    version.pattern.save()
    assert said not in send(grid(close, do="ease")).content.decode()


def test_the_grid_shows_what_is_saved_in_the_unit_in_which_it_was_typed(cast, version):
    with_finished(version, cast.owner, "inches\t10\t12\t14\nBust\t37\t38 5/8\t1020 mm", unit="in")
    page = signed_in(cast.owner).get(address(version))
    assert page.context["grid"].unit == "in"
    assert page.context["grid"].rows == (("Bust", ("37", "38 5/8", "1020 mm")),)


def test_more_rows_than_a_chart_holds_are_not_read(version, send, settings):
    settings.CHART_ROWS = 2
    send(grid({**ROWS, "Hip": ("98", "102", "106"), "label": ("1", "2", "3")}, **{"label-99999": "x", "label-x": "y"}))
    assert [line.key for line in load_table(version.finished_chart).lines] == ["bust", "waist"]


def test_a_narrow_screen_types_one_size_at_a_time_and_loses_no_other(version, send):
    page = send({**grid(), "show": "1"})
    shown = page.content.decode()
    assert page.context["show"] == 1
    assert shown.count('type="hidden" name="c0.') == 2
    assert 'type="text" name="c0.1" value="98"' in shown
    assert version.finished_chart is None
    send(grid(showing="1"))
    assert [cell[1] for cell in kept(version, "bust")] == ["94", "98", "102"]


@pytest.mark.parametrize("asked", ["all", "3", "-1", "9999999999", "²"])
def test_a_size_that_is_not_there_shows_them_all(send, asked):
    assert send({**grid(), "show": asked}).context["show"] is None


def test_a_doubt_about_many_cells_is_said_once(send):
    page = send(grid({"Bust": ("94", "", "")})).content.decode()
    assert "2 cells are doubtful." in page
    assert page.count("There is no value here.") == 1
    assert "<b>12, 14:</b>" in page


def test_a_unit_that_nobody_named_is_said(send):
    page = send({"do": "read", "text": "Size\t10\t12\t14\nBust\t94\t98\t102", "unit": ""}).content.decode()
    assert "The sheet names no unit. It was read as centimetres" in page


def test_the_order_of_the_versions_sizes_is_no_question(send):
    assert (
        "Turn them round" not in send(grid({"Bust": ("102", "98", "94"), "Waist": ("82", "78", "74")})).content.decode()
    )
