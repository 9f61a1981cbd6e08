"""Making, reading and editing size charts through the pages."""

from __future__ import annotations

import csv
import html
import io
import re
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries, Settings

from measurements.actions import edit_chart
from measurements.chart_store import load_table
from measurements.length_display import plain
from measurements.models import ChartRevision, SizeChart
from people.models import AuditEntry
from tests.factories import Cast, chart_table, make_cast, make_chart, signed_in

pytestmark = pytest.mark.django_db
CLEAN = "Size\t10\t12\t14\nBust\t88\t92\t96\nWaist\t70\t74\t78\nHip\t94\t98\t102"
FIELD = re.compile(r"<(input|select|textarea)\b([^>]*)>")
ATTRIBUTE = re.compile(r'([\w-]+)="([^"]*)"')


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def designer(cast: Cast) -> Client:
    return signed_in(cast.designer)


@pytest.fixture
def chart(cast: Cast) -> SizeChart:
    return make_chart(cast.studio, by=cast.owner)


def text_of(answer: HttpResponse) -> str:
    return html.unescape(answer.content.decode())


def fields(answer: HttpResponse) -> dict[str, str]:
    """Every field of the page that a browser would send if nothing were ticked, chosen ones of selects included."""
    page = answer.content.decode()
    found: dict[str, str] = {}
    for _, rest in FIELD.findall(page):
        said = dict(ATTRIBUTE.findall(rest))
        if "name" in said and said.get("type") not in {"checkbox", "radio", "submit"}:
            found[said["name"]] = html.unescape(said.get("value", ""))
    for name, options in re.findall(r'<select name="(\w+)"[^>]*>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        found[name] = chosen[1] if chosen else ""
    return found


def paste(client: Client, cast: Cast, text: str, unit: str = "") -> HttpResponse:
    data = {"way": "paste", "paste-text": text, "paste-unit": unit}
    return client.post(reverse("chart_new", args=[cast.studio.ref]), data)


def send(client: Client, cast: Cast, page: HttpResponse, do: str = "save", **changes: str) -> HttpResponse:
    """Send the check page back with changes and a button."""
    data = {**fields(page), "name": "Saltmarsh women's chart", "do": do, **changes}
    return client.post(reverse("chart_check", args=[cast.studio.ref]), data)


def stored() -> SizeChart:
    return SizeChart.objects.get()


def cm(chart: SizeChart) -> dict[str, list[str]]:
    return {
        line.key: [plain(mm / 10) if mm is not None else "" for mm in line.mm]
        for line in load_table(chart.latest()).lines
    }


def test_a_studio_without_charts_is_told_what_to_do(cast: Cast, designer: Client) -> None:
    page = text_of(designer.get(reverse("charts", args=[cast.studio.ref])))
    assert "No size chart yet" in page
    assert reverse("chart_new", args=[cast.studio.ref]) in page


def test_a_clean_paste_is_shown_and_saved(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, CLEAN)
    assert "All 9 lengths were read" in text_of(page)
    assert not SizeChart.objects.exists(), "nothing is saved before it was seen"
    answer = send(designer, cast, page, base="1")
    chart = stored()
    assert answer["Location"] == reverse("chart", args=[chart.ref])
    assert cm(chart) == {"bust": ["88", "92", "96"], "waist": ["70", "74", "78"], "hip": ["94", "98", "102"]}
    table = load_table(chart.latest())
    assert (table.base, chart.unit, chart.latest().number, chart.latest().by) == ("12", "cm", 1, cast.designer)
    assert AuditEntry.objects.get().verb == "chart_made"


def test_what_was_read_stands_under_each_text_in_the_other_unit(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, "Size\t10\t12\nBust (in)\t34 1/2\t36\nWaist (cm)\t70\t74")
    echo = re.findall(r'<tr class="echo">(.*?)</tr>', page.content.decode(), re.DOTALL)
    assert "87.6" in echo[0]
    assert "27" in echo[1]


def test_the_rounding_proposed_keeps_what_was_typed(cast: Cast, designer: Client) -> None:
    send(designer, cast, paste(designer, cast, CLEAN.replace("74", "74.3")))
    assert (stored().cm_step, stored().inch_parts) == (Decimal("0.1"), 8)


@pytest.mark.parametrize("name", ["chart.csv", "chart.xlsx", "chart.txt"])
def test_a_file_is_read_by_its_content(cast: Cast, designer: Client, name: str) -> None:
    rows = [line.split("\t") for line in CLEAN.split("\n")]
    if name == "chart.xlsx":
        from openpyxl import Workbook

        book = Workbook()
        for row in rows:
            book.active.append(row)
        content = io.BytesIO()
        book.save(content)
        data = content.getvalue()
    else:
        data = "\n".join(";".join(row) for row in rows).encode()
    upload = SimpleUploadedFile(f"Women_2026_{name}", data)
    page = designer.post(
        reverse("chart_new", args=[cast.studio.ref]), {"way": "file", "file-file": upload, "file-unit": ""}
    )
    assert "All 9 lengths were read" in text_of(page)
    assert fields(page)["name"] == "Women 2026 chart"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"way": "paste", "paste-text": ""}, "Paste the chart here first"),
        ({"way": "paste", "paste-text": "Dear testers, the chart will follow."}, "There is no chart here"),
        ({"way": "file"}, "Choose the file first"),
        ({"way": "file", "file-file": SimpleUploadedFile("chart.pdf", b"%PDF-1.7 and so on")}, "no XLSX or CSV table"),
        ({"way": "type", "type-sizes": "", "type-measures": ["bust"], "type-unit": "cm"}, "Type the sizes first"),
        ({"way": "type", "type-sizes": "6 8", "type-unit": "cm"}, "Choose at least one measurement"),
    ],
)
def test_a_way_that_brings_nothing_says_so_beside_its_field(cast, designer, data, words) -> None:
    answer = designer.post(reverse("chart_new", args=[cast.studio.ref]), data)
    assert words in text_of(answer)
    if data.get("paste-text"):
        assert data["paste-text"] in text_of(answer), "what was pasted is still there"


def test_a_file_too_large_is_refused_with_the_limit(cast: Cast, designer: Client, settings: Settings) -> None:
    settings.CHART_FILE_BYTES = 1_000_000
    upload = SimpleUploadedFile("chart.csv", b"1;" * 600_000)
    answer = designer.post(reverse("chart_new", args=[cast.studio.ref]), {"way": "file", "file-file": upload})
    assert "larger than 1 MB" in text_of(answer)


def test_a_grid_is_laid_out_typed_and_saved(cast: Cast, designer: Client) -> None:
    data = {"way": "type", "type-sizes": "XS, S, M", "type-measures": ["bust", "waist"], "type-unit": "in"}
    page = designer.post(reverse("chart_new", args=[cast.studio.ref]), data)
    assert "Type the lengths" in text_of(page)
    typed = {"c0.0": "31 1/2", "c0.1": "33", "c0.2": "34.5", "c1.0": "24", "c1.1": "25 1/2", "c1.2": "27"}
    send(designer, cast, page, **typed)
    chart = stored()
    assert chart.unit == "in"
    table = load_table(chart.latest())
    assert table.sizes == ("XS", "S", "M")
    assert [line.cells[0].typed for line in table.lines] == ["31 1/2", "24"]
    assert table.mm_at("bust", "XS") == Decimal("800.1")


DOUBTFUL = CLEAN.replace("96", "69")


def test_a_doubt_stands_beside_its_cell_and_needs_a_tick(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, DOUBTFUL)
    assert "one thing looks doubtful" in text_of(page)
    assert re.search(r'<td class="doubt"><input[^>]*name="c0.2"[^>]*aria-describedby="n-c0.2"', page.content.decode())
    assert '<p id="n-c0.2"><b>14:</b> 69 is smaller than the size before, 92.' in text_of(page)
    again = send(designer, cast, page)
    assert "Not saved yet: look at what is marked" in text_of(again)
    assert not SizeChart.objects.exists()
    send(designer, cast, again, looked="1")
    assert cm(stored())["bust"] == ["88", "92", "69"]


def test_a_tick_is_not_taken_for_a_doubt_that_was_never_shown(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, DOUBTFUL)
    again = send(designer, cast, page, looked="1", **{"c1.0": "170"})
    assert not SizeChart.objects.exists()
    assert "Not saved yet" in text_of(again)
    send(designer, cast, again, looked="1")
    assert cm(stored())["waist"][0] == "170"


def test_a_corrected_doubt_needs_no_tick(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, DOUBTFUL)
    again = send(designer, cast, page, do="read", **{"c0.2": "96"})
    assert "All 9 lengths were read" in text_of(again)
    send(designer, cast, page, **{"c0.2": "96"})
    assert cm(stored())["bust"] == ["88", "92", "96"]


def test_what_cannot_be_read_blocks_until_corrected_or_left_empty_on_purpose(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, CLEAN.replace("74", "seventy"))
    assert "One cell cannot be read" in text_of(page)
    assert "“seventy” cannot be read as a length" in text_of(page)
    again = send(designer, cast, page, looked="1")
    assert "correct the cells marked with !" in text_of(again)
    assert fields(again)["c1.1"] == "seventy", "what was typed is kept"
    assert not SizeChart.objects.exists()
    emptied = send(designer, cast, again, leave_empty="1", looked="1")
    assert not SizeChart.objects.exists(), "an empty cell is a new doubt, and is shown"
    send(designer, cast, emptied, looked="1")
    assert cm(stored())["waist"] == ["70", "", "78"]


def test_a_size_or_a_row_twice_blocks(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, CLEAN.replace("14", "12").replace("Hip", "Natural waist"))
    assert "The size 12 is there twice" in text_of(page)
    assert "measures the same as “Waist”" in text_of(page)
    again = send(designer, cast, page, looked="1")
    assert not SizeChart.objects.exists()
    again = send(designer, cast, again, do="drop_row", drop_row="2", s2="14")
    send(designer, cast, again)
    assert list(cm(stored())) == ["bust", "waist"]


def test_sizes_and_measurements_come_and_go_before_it_is_saved(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, CLEAN)
    page = send(designer, cast, page, do="add_size", new_size="8", new_size_before="0", base="1")
    page = send(designer, cast, page, do="add_row", new_row="Upper arm")
    page = send(designer, cast, page, do="drop_size", drop_size="3")
    page = send(designer, cast, page, do="add_row", new_row_name="Wrist to ring finger")
    sent = fields(page)
    assert [sent[f"s{j}"] for j in range(3)] == ["8", "10", "12"]
    assert [sent[f"r{i}"] for i in range(5)] == ["Bust", "Waist", "Hip", "Upper arm", "Wrist to ring finger"]
    assert sent["base"] == "2", "the base size stays 12"
    assert "is not a measurement known here" in text_of(page)


def test_a_chart_from_large_to_small_is_turned_round(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, "Size\t14\t12\t10\nBust\t96\t92\t88\nWaist\t78\t74\t70")
    assert "The sizes run from large to small" in text_of(page)
    page = send(designer, cast, page, do="turn")
    send(designer, cast, page)
    assert load_table(stored().latest()).sizes == ("10", "12", "14")


def test_a_wrong_unit_is_read_again_in_the_right_one(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, "Size\t10\t12\t14\nBust\t34\t36\t38\nWaist\t26\t28\t30", unit="cm")
    assert "fit better as in" in text_of(page)
    page = send(designer, cast, page, do="read", unit="in")
    send(designer, cast, page)
    assert (stored().unit, cm(stored())["bust"][0]) == ("in", "86.36")


def test_a_chart_without_a_name_keeps_everything(cast: Cast, designer: Client) -> None:
    page = send(designer, cast, paste(designer, cast, CLEAN), name=" ", base="2", cm_step="0.1")
    assert "Give the chart a name" in text_of(page)
    sent = fields(page)
    assert (sent["c0.0"], sent["base"], sent["cm_step"]) == ("88", "2", "0.1")


def test_one_size_at_a_time_carries_all_the_others(cast: Cast, designer: Client) -> None:
    page = send(designer, cast, paste(designer, cast, CLEAN), do="", show="1")
    shown = re.findall(r'<input type="text" id="one-(c[\d.]+)"', page.content.decode())
    assert shown == ["c0.1", "c1.1", "c2.1"]
    page = send(designer, cast, page, do="", show="2", **{"c0.1": "93"})
    send(designer, cast, page, **{"c1.2": "79"})
    assert cm(stored()) == {"bust": ["88", "93", "96"], "waist": ["70", "74", "79"], "hip": ["94", "98", "102"]}


def test_a_size_too_many_is_answered_with_the_limit(cast: Cast, designer: Client, settings: Settings) -> None:
    settings.CHART_SIZES = 3
    page = send(designer, cast, paste(designer, cast, CLEAN), do="add_size", new_size="16")
    assert "at most 3 sizes" in text_of(page)
    assert fields(page)["s3"] == "16"
    send(designer, cast, page, looked="1")
    assert not SizeChart.objects.exists()


@pytest.mark.parametrize(
    "junk", [{"columns": "-1"}, {"rows": "9" * 30}, {"columns": "²"}, {"base": "77"}, {"show": "x"}]
)
def test_a_form_bent_by_hand_breaks_nothing(cast: Cast, designer: Client, junk: dict[str, str]) -> None:
    page = paste(designer, cast, CLEAN)
    assert send(designer, cast, page, do="read", **junk).status_code == 200


def test_the_chart_page_shows_both_units_steps_and_definitions(cast: Cast, chart: SizeChart) -> None:
    page = text_of(signed_in(cast.reviewer).get(reverse("chart", args=[chart.ref])))
    assert "runs from 10 to 14 in 3 sizes" in page
    assert "88.0" in page
    assert '34\u200a<span class="fr">5/8</span>' in page
    assert "+4.0" in page
    assert '<span class="base">12' in page
    assert "Around the natural waist" in page
    assert "Tie elastic" in page
    assert reverse("chart_edit", args=[chart.ref]) not in page, "a reviewer reads"


def test_a_list_names_each_chart_with_its_range(cast: Cast, designer: Client, chart: SizeChart) -> None:
    page = " ".join(text_of(designer.get(reverse("charts", args=[cast.studio.ref]))).split())
    assert "10 to 14 in 3 sizes; 3 measurements" in page


def open_edit(client: Client, chart: SizeChart) -> HttpResponse:
    return client.get(reverse("chart_edit", args=[chart.ref]))


def save_edit(client: Client, chart: SizeChart, page: HttpResponse, **changes: str) -> HttpResponse:
    return client.post(reverse("chart_edit", args=[chart.ref]), {**fields(page), "do": "save", **changes})


def test_an_edit_writes_the_next_revision_and_leaves_the_last(cast: Cast, designer: Client, chart: SizeChart) -> None:
    answer = save_edit(designer, chart, open_edit(designer, chart), note="Waist taken again", **{"c1.1": "74,5"})
    assert answer["Location"] == reverse("chart", args=[chart.ref])
    assert "Saved as revision 2." in text_of(designer.get(answer["Location"]))
    newest, first = chart.revisions.all()
    assert (newest.number, newest.note, newest.by) == (2, "Waist taken again", cast.designer)
    assert load_table(newest).line("waist").cells[1].typed == "74,5"
    assert load_table(first).mm_at("waist", "12") == Decimal(740)
    assert list(AuditEntry.objects.values_list("verb", "object_ref")) == [("chart_edited", newest.ref)]


def test_saving_without_a_change_writes_nothing(designer: Client, chart: SizeChart) -> None:
    answer = save_edit(designer, chart, open_edit(designer, chart))
    assert "Nothing had changed" in text_of(designer.get(answer["Location"]))
    assert chart.revisions.count() == 1
    assert not AuditEntry.objects.exists()


def test_name_and_rounding_change_without_a_revision(designer: Client, chart: SizeChart) -> None:
    save_edit(designer, chart, open_edit(designer, chart), name="Women's, 2026", cm_step="0.1", inch_parts="16")
    chart.refresh_from_db()
    assert (chart.name, chart.cm_step, chart.inch_parts) == ("Women's, 2026", Decimal("0.1"), 16)
    assert chart.revisions.count() == 1
    assert AuditEntry.objects.get().verb == "chart_described"


def test_a_doubt_in_an_edit_is_shown_first_and_an_old_one_is_not_asked_again(
    designer: Client, chart: SizeChart
) -> None:
    again = save_edit(designer, chart, open_edit(designer, chart), **{"c0.1": "29"})
    assert "Not saved yet" in text_of(again)
    assert fields(again)["c0.1"] == "29"
    save_edit(designer, chart, again, looked="1")
    assert chart.revisions.count() == 2
    save_edit(designer, chart, open_edit(designer, chart), **{"c2.2": "103"})
    assert chart.revisions.count() == 3, "the bust at 12 was looked at before"


def test_two_people_who_change_different_cells_lose_nothing(cast: Cast, designer: Client, chart: SizeChart) -> None:
    owner = signed_in(cast.owner)
    mine, theirs = open_edit(designer, chart), open_edit(owner, chart)
    save_edit(owner, chart, theirs, **{"c0.2": "97"})
    answer = save_edit(designer, chart, mine, **{"c1.0": "71"})
    assert "together with what Imelda Tarrowby saved" in text_of(designer.get(answer["Location"]))
    assert cm(chart) == {"bust": ["88", "92", "97"], "waist": ["71", "74", "78"], "hip": ["94", "98", "102"]}
    assert chart.latest().number == 3


def test_two_people_who_change_the_same_cell_see_both_values(cast: Cast, designer: Client, chart: SizeChart) -> None:
    owner = signed_in(cast.owner)
    mine, theirs = open_edit(designer, chart), open_edit(owner, chart)
    save_edit(owner, chart, theirs, **{"c0.2": "97", "c1.0": "71"})
    page = save_edit(designer, chart, mine, **{"c0.2": "96.5", "c2.0": "95"})
    assert chart.latest().number == 2, "nothing is written over"
    text = text_of(page)
    assert "One cell was changed by two people" in text
    assert re.search(r'<td class="conflict"><input[^>]*name="c0.2" value="96.5"', page.content.decode())
    assert "Imelda Tarrowby saved 97 cm" in text
    sent = fields(page)
    assert (sent["opened"], sent["c1.0"], sent["c2.0"]) == ("2", "71", "95")
    save_edit(designer, chart, page)
    assert cm(chart) == {"bust": ["88", "92", "96.5"], "waist": ["71", "74", "78"], "hip": ["95", "98", "102"]}


def test_a_form_opened_from_a_revision_that_never_was_is_404(designer: Client, chart: SizeChart) -> None:
    page = open_edit(designer, chart)
    for opened in ("7", "", "x", "9" * 40):
        assert save_edit(designer, chart, page, opened=opened).status_code == 404


def test_history_says_who_when_why_and_which_cells(cast: Cast, designer: Client, chart: SizeChart) -> None:
    save_edit(designer, chart, open_edit(designer, chart), note="Waist taken again", **{"c1.1": "74.5"})
    page = open_edit(designer, chart)
    page = designer.post(
        reverse("chart_edit", args=[chart.ref]), {**fields(page), "do": "add_size", "new_size": "16", "base": "2"}
    )
    save_edit(designer, chart, page, looked="1")
    text = " ".join(text_of(designer.get(reverse("chart_history", args=[chart.ref]))).split())
    assert "has been saved 3 times" in text
    assert "Waist taken again" in text
    assert 'Waist at 12: <span class="soft">74.0</span> to <b><span class="num">74.5 cm' in text
    assert "sizes added: 16" in text
    assert "the first: 3 sizes, 3 measurements" in text
    assert "Kwabena Lissak" in text


def test_an_old_revision_stays_readable(designer: Client, chart: SizeChart) -> None:
    for value in ("74.5", "75"):
        save_edit(designer, chart, open_edit(designer, chart), **{"c1.1": value})
    page = designer.get(reverse("chart_revision", args=[chart.ref, 2]))
    assert "as it stood in revision 2" in text_of(page)
    assert re.search(r'class="changed">74\.5', page.content.decode())
    assert designer.get(reverse("chart_revision", args=[chart.ref, 9])).status_code == 404


def test_history_asks_the_same_of_the_database_for_two_and_for_many_revisions(
    cast: Cast, designer: Client, chart: SizeChart, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for n in range(12):
        table = chart_table({"bust": ("88", "92", f"{96 + n}.5")})
        edit_chart(chart=chart, table=table, opened=ChartRevision.objects.latest("number"), by=cast.owner)
    with django_assert_max_num_queries(12):
        designer.get(reverse("chart_history", args=[chart.ref]))


@pytest.mark.parametrize(("unit", "bust"), [("cm", "88"), ("in", "34.645669")])
def test_the_chart_as_a_file(cast: Cast, chart: SizeChart, unit: str, bust: str) -> None:
    answer = signed_in(cast.reviewer).get(reverse("chart_csv", args=[chart.ref, 1, unit]))
    assert answer["Content-Type"].startswith("text/csv")
    assert answer["Content-Disposition"] == f'attachment; filename="saltmarsh-womens-chart-1-{unit}.csv"'
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0] == [f"Measurement ({unit})", "10", "12", "14"]
    assert rows[1][:2] == ["Bust", bust]
    assert signed_in(cast.owner).get(reverse("chart_csv", args=[chart.ref, 1, "ell"])).status_code == 404


def test_readers_do_not_edit_and_strangers_see_nothing(cast: Cast, chart: SizeChart) -> None:
    studio, ref = [cast.studio.ref], [chart.ref]
    reading = [
        reverse("charts", args=studio),
        reverse("chart", args=ref),
        reverse("chart_revision", args=[*ref, 1]),
        reverse("chart_history", args=ref),
        reverse("chart_csv", args=[*ref, 1, "cm"]),
    ]
    writing = [reverse("chart_new", args=studio), reverse("chart_check", args=studio), reverse("chart_edit", args=ref)]
    reviewer = signed_in(cast.reviewer)
    assert {reviewer.get(url).status_code for url in reading} == {200}
    assert {reviewer.get(url).status_code for url in writing} == {404}
    assert {reviewer.post(url, {"do": "save"}).status_code for url in writing} == {404}
    for client in (signed_in(cast.outsider), Client()):
        assert {client.get(url).status_code for url in (*reading, *writing)} == {404}
        assert {client.post(url).status_code for url in writing} == {404}
    assert {reviewer.generic("TRACE", url).status_code for url in reading} == {405}


def test_a_script_in_a_name_stays_a_text(cast: Cast, designer: Client) -> None:
    page = paste(designer, cast, CLEAN.replace("Hip", "<script>hip</script>"))
    send(designer, cast, page, looked="1", name="<b>Chart</b>")
    shown = designer.get(reverse("chart", args=[stored().ref])).content.decode()
    assert "<script>hip" not in shown
    assert "<b>Chart" not in shown
