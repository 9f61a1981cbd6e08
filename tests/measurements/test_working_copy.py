"""Editing a chart cell by cell through its pages: what is stored at once, who sees it, how it becomes a revision."""

from __future__ import annotations

import html
import json
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries, Settings

from measurements.actions import edit_chart
from measurements.chart_store import load_table
from measurements.grade_actions import silence_finding
from measurements.grade_check import check_grade
from measurements.models import ChartEdit, EditKind, SizeChart, WorkingCopy
from people.models import AuditEntry
from tests.factories import Cast, chart_table, make_cast, make_chart, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return make_cast()


@pytest.fixture
def chart(cast: Cast) -> SizeChart:
    return make_chart(cast.studio, by=cast.owner)


class Desk:
    """One person's page, as its script keeps it."""

    def __init__(self, chart: SizeChart, person: Any) -> None:
        self.chart, self.client = chart, signed_in(person)
        self.rows: dict[str, dict] = {}
        page = self.client.get(reverse("chart_grid", args=[chart.ref]))
        self.take(
            json.loads(
                html.unescape(page.content.decode()).split('id="chart-data"')[1].split(">", 1)[1].split("</script>")[0]
            )
        )

    def take(self, told: dict[str, Any]) -> dict[str, Any]:
        self.rows |= {row["id"]: row for row in told["rows"]}
        self.told = told
        return told

    def known(self) -> dict[str, str]:
        rows = ".".join(self.rows[key]["print"] for key in self.told["order"])
        said = {name: str(self.told[name]) for name in ("copy", "seq", "revision", "shape")}
        return {**said, "rows": rows}

    def send(self, **what: Any) -> dict[str, Any]:
        edit = json.dumps({**self.known(), **what})
        answer = self.client.post(reverse("chart_cells", args=[self.chart.ref]), {"edit": edit})
        assert answer.status_code == 200
        return self.take(answer.json())

    def type(self, row: str, size: str, text: str, was: str | None = None) -> dict[str, Any]:
        return self.send(cells=[[row, size, text, self.text(row, size) if was is None else was]])

    def change(self, do: str, **what: Any) -> dict[str, Any]:
        return self.send(change={"do": do, **what})

    def ask(self) -> dict[str, Any] | None:
        answer = self.client.get(reverse("chart_since", args=[self.chart.ref]), self.known())
        return None if answer.status_code == 204 else self.take(answer.json())

    def cell(self, row: str, size: str) -> dict[str, Any]:
        place = [one[0] for one in self.told["sizes"]].index(size)
        return self.rows[row]["cells"][place]

    def text(self, row: str, size: str) -> str:
        return self.cell(row, size).get("t", "")

    def save(self, do: str = "save", **said: str) -> HttpResponse:
        form = {"name": self.chart.name, "cm_step": "0.5", "inch_parts": "8", "note": "", "seen": self.told["seen"]}
        form |= {"copy": self.told["copy"], "seq": str(self.told["seq"]), "do": do}
        return self.client.post(reverse("chart_grid", args=[self.chart.ref]), {**form, **said})


@pytest.fixture
def imelda(cast: Cast, chart: SizeChart) -> Desk:
    return Desk(chart, cast.owner)


@pytest.fixture
def kwabena(cast: Cast, chart: SizeChart) -> Desk:
    return Desk(chart, cast.designer)


def stored(chart: SizeChart) -> dict[str, list[str]]:
    table = load_table(chart.latest())
    return {line.key: [cell.typed if cell else "" for cell in line.cells] for line in table.lines}


def text_of(answer: HttpResponse) -> str:
    return html.unescape(answer.content.decode())


def test_opening_the_grid_writes_nothing(imelda: Desk) -> None:
    assert imelda.ask() is None
    assert not WorkingCopy.objects.exists()


def test_a_cell_is_stored_at_once_with_who_and_from_what(cast: Cast, chart: SizeChart, imelda: Desk) -> None:
    told = imelda.type("waist", "12", "74,5")
    assert [row["id"] for row in told["rows"]] == ["waist"], "only the row that changed is sent"
    assert imelda.cell("waist", "12") == {"t": "74,5", "o": "29 3/8", "d": "+4.5", "w": ""}
    edit = ChartEdit.objects.get()
    assert (edit.row, edit.size, edit.before, edit.after, edit.by) == ("waist", "12", "74", "74,5", cast.owner)
    assert chart.revisions.count() == 1
    assert Desk(chart, cast.owner).text("waist", "12") == "74,5", "it stands there when the page is loaded again"


def test_two_people_see_each_others_cells_with_the_name(imelda: Desk, kwabena: Desk) -> None:
    imelda.type("bust", "12", "93")
    assert kwabena.ask()["tally"] == "Since revision 1: 1 cell changed by Imelda Tarrowby."
    assert (kwabena.text("bust", "12"), kwabena.cell("bust", "12")["w"]) == ("93", "Imelda Tarrowby")
    assert kwabena.ask() is None, "nothing has changed since"
    told = kwabena.type("waist", "10", "71")
    assert told["tally"].startswith("Since revision 1: 1 cell changed by you, 1 cell")
    imelda.ask()
    kwabena.type("bust", "12", "92")
    assert "w" not in kwabena.cell("bust", "12"), "it stands as in the revision again"


def test_the_same_cell_keeps_both_values_until_one_is_chosen(chart: SizeChart, imelda: Desk, kwabena: Desk) -> None:
    imelda.type("bust", "12", "93")
    kwabena.type("bust", "12", "92.5", was="92")
    assert kwabena.text("bust", "12") == "93", "the first stands"
    [[number, text, who]] = kwabena.cell("bust", "12")["h"]
    assert (text, who, kwabena.told["held"]) == ("92.5", "", 1)
    imelda.ask()
    assert imelda.cell("bust", "12")["h"] == [[number, "92.5", "Kwabena Lissak"]]
    page = text_of(imelda.save())
    assert "some cells have two values" in page
    assert chart.revisions.count() == 1
    kwabena.send(choose=[number, True])
    assert (kwabena.text("bust", "12"), kwabena.told["held"]) == ("92.5", 0)
    imelda.ask()
    assert (imelda.text("bust", "12"), imelda.cell("bust", "12")["w"]) == ("92.5", "Kwabena Lissak")
    assert imelda.send(choose=[number, False])["held"] == 0, "chosen already"


def test_a_second_thought_replaces_ones_own_waiting_value_and_the_same_value_settles_it(
    imelda: Desk, kwabena: Desk
) -> None:
    imelda.type("bust", "12", "93")
    kwabena.type("bust", "12", "92.5", was="92")
    kwabena.type("bust", "12", "94", was="92.5")
    assert [text for _, text, _ in kwabena.cell("bust", "12")["h"]] == ["94"]
    kwabena.type("bust", "12", "93")
    assert "h" not in kwabena.cell("bust", "12")
    assert ChartEdit.objects.filter(kind=EditKind.SETTLED).count() == 1


def test_leaving_what_stands_settles_it_too(imelda: Desk, kwabena: Desk) -> None:
    imelda.type("bust", "12", "93")
    kwabena.type("bust", "12", "92.5", was="92")
    kwabena.send(choose=[kwabena.cell("bust", "12")["h"][0][0], False])
    assert (kwabena.text("bust", "12"), kwabena.told["held"]) == ("93", 0)


@pytest.mark.parametrize(
    ("text", "state"),
    [
        ("seventy", "unread"),
        ("-5", "unread"),
        ("NaN", "unread"),
        ("1e9", "unread"),
        ("1000", "doubt"),
        ("29", "doubt"),
        ("", "empty"),
    ],
)
def test_bad_input_is_kept_and_marked_at_its_cell(chart: SizeChart, imelda: Desk, text: str, state: str) -> None:
    imelda.type("waist", "12", text)
    cell = imelda.cell("waist", "12")
    assert (cell.get("t", ""), cell["s"]) == (text, state)
    assert bool(cell.get("n")) == (state != "empty")
    page = text_of(imelda.save())
    assert "Not saved" in page
    assert chart.revisions.count() == 1


def test_what_was_looked_at_and_what_stays_empty_can_be_saved(chart: SizeChart, imelda: Desk) -> None:
    imelda.type("waist", "12", "29")
    imelda.type("hip", "12", "seventy")
    imelda.save(leave_empty="1")
    assert chart.revisions.count() == 1
    imelda.type("hip", "12", "")
    assert imelda.save(looked="1").status_code == 302
    assert stored(chart) == {"bust": ["88", "92", "96"], "waist": ["70", "29", "78"], "hip": ["94", "", "102"]}


def test_the_grade_check_speaks_at_its_cell_with_a_proposal_until_it_is_silenced(cast: Cast) -> None:
    sizes = tuple(str(size) for size in range(8, 24, 2))
    lines = {"bust": tuple(str(82 + 4 * i) for i in range(8)), "hip": tuple(str(88 + 4 * i) for i in range(8))}
    chart = make_chart(cast.studio, chart_table(lines, sizes), by=cast.owner)
    desk = Desk(chart, cast.owner)
    assert desk.told["findings"] == []
    desk.type("hip", "14", "103")
    kind, name, says, mended, on_step = desk.cell("hip", "14")["g"]
    assert (kind, name, mended, on_step) == ("slip", "Slip", "100", 0)
    assert [finding[1:] for finding in desk.told["findings"]] == [[says, "hip", "14"]]
    table = chart_table(lines | {"hip": (*lines["hip"][:3], "103", *lines["hip"][4:])}, sizes)
    [finding] = check_grade(table, None).findings
    silence_finding(chart=chart, finding=finding, reason="Measured twice.", by=cast.owner)
    assert Desk(chart, cast.owner).told["findings"] == []


def test_a_block_is_one_request_and_a_cell_that_is_gone_comes_back_with_its_text(imelda: Desk, kwabena: Desk) -> None:
    imelda.change("drop", axis="size", key="14")
    told = kwabena.send(cells=[["bust", "10", "87", "88"], ["bust", "14", "97", "96"]])
    assert told["lost"] == [["bust", "14", "97"]]
    assert "no longer in the chart" in told["refused"]
    assert kwabena.text("bust", "10") == "87"


def test_saving_writes_the_next_revision_for_everybody(
    cast: Cast, chart: SizeChart, imelda: Desk, kwabena: Desk
) -> None:
    imelda.type("bust", "12", "93")
    imelda.change("break", row="hip", key="14")
    kwabena.ask()
    kwabena.type("waist", "10", "71")
    answer = kwabena.save(note="Measured again")
    assert answer["Location"] == reverse("chart", args=[chart.ref])
    newest = chart.latest()
    assert (newest.number, newest.by, newest.note) == (2, cast.designer, "Measured again")
    assert stored(chart) == {"bust": ["88", "93", "96"], "waist": ["71", "74", "78"], "hip": ["94", "98", "102"]}
    assert load_table(newest).line("hip").breaks == ("14",)
    copy = WorkingCopy.objects.get()
    assert (copy.saved_as, copy.closed_by) == (newest, cast.designer)
    told = imelda.ask()
    assert told["ending"] == "Kwabena Lissak saved these changes as revision 2. You go on from there."
    imelda.type("bust", "12", "93.5")
    assert WorkingCopy.objects.get(closed=None).opened == newest
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["chart_copy_begun", "chart_edited", "chart_copy_begun"]


def test_a_text_typed_as_the_copy_closes_goes_on_in_the_next(chart: SizeChart, imelda: Desk, kwabena: Desk) -> None:
    imelda.type("bust", "12", "93")
    imelda.save()
    kwabena.type("bust", "12", "92.5", was="92")
    assert [held[1] for held in kwabena.cell("bust", "12")["h"]] == ["92.5"]
    kwabena.type("waist", "10", "71")
    assert kwabena.text("bust", "12") == "93"


def test_a_revision_saved_beside_the_copy_is_taken_in(cast: Cast, chart: SizeChart, imelda: Desk) -> None:
    imelda.type("bust", "12", "93")
    opened = chart.latest()
    lines = {"bust": ("88", "92.5", "97"), "waist": ("70", "74", "78"), "hip": ("94", "98", "102")}
    edit_chart(chart=chart, table=chart_table(lines), opened=opened, by=cast.designer)
    assert imelda.ask()["revision"] == 2, "it is seen before anybody types"
    assert imelda.text("bust", "14") == "97"
    told = imelda.type("waist", "10", "71")
    assert (told["revision"], imelda.text("bust", "14"), imelda.text("bust", "12")) == (2, "97", "93")
    [[number, text, who]] = imelda.cell("bust", "12")["h"]
    assert (text, who) == ("92.5", "Kwabena Lissak")
    imelda.send(choose=[number, False])
    imelda.save()
    assert stored(chart)["bust"] == ["88", "93", "97"]


def test_a_revision_saved_beside_the_copy_is_taken_in_before_it_is_saved(
    cast: Cast, chart: SizeChart, imelda: Desk
) -> None:
    imelda.type("bust", "12", "93")
    lines = {"bust": ("88", "92.5", "96"), "waist": ("70", "74", "78"), "hip": ("94", "98", "102")}
    edit_chart(chart=chart, table=chart_table(lines), opened=chart.latest(), by=cast.designer)
    assert "One cell has two values" in text_of(imelda.save())
    assert stored(chart)["bust"] == ["88", "92.5", "96"]


def test_taking_everything_back_closes_the_copy_without_a_revision(
    chart: SizeChart, imelda: Desk, kwabena: Desk
) -> None:
    imelda.type("bust", "12", "93")
    kwabena.ask()
    imelda.type("bust", "10", "87")
    assert "in this very moment" in text_of(kwabena.client.get(kwabena.save("drop")["Location"])), (
        "what was not seen is not thrown away"
    )
    kwabena.ask()
    kwabena.save("drop")
    assert chart.revisions.count() == 1
    assert imelda.ask()["ending"].startswith("Kwabena Lissak closed these changes without a revision")
    assert imelda.text("bust", "12") == "92"
    assert ChartEdit.objects.count() == 2, "the log stays"


def test_saving_without_a_change_writes_no_revision(chart: SizeChart, imelda: Desk) -> None:
    answer = imelda.save(name="Women's, 2026")
    assert "Saved." in text_of(imelda.client.get(answer["Location"]))
    imelda.type("bust", "12", "93")
    imelda.type("bust", "12", "92")
    answer = imelda.save(name="Women's, 2026")
    assert "Nothing had changed" in text_of(imelda.client.get(answer["Location"]))
    assert chart.revisions.count() == 1
    assert not WorkingCopy.objects.filter(closed=None).exists()


def test_sizes_and_measurements_change_and_change_back(chart: SizeChart, imelda: Desk, kwabena: Desk) -> None:
    imelda.type("bust", "12", "93")
    back = imelda.change("drop", axis="size", key="12")["back"]
    assert [size[1] for size in imelda.told["sizes"]] == ["10", "14"]
    kwabena.ask()
    assert [size[1] for size in kwabena.told["sizes"]] == ["10", "14"]
    imelda.send(change=back)
    assert imelda.text("bust", "12") == "93"
    assert [size[1:3] for size in imelda.told["sizes"]] == [["10", 0], ["12", 1], ["14", 0]]
    imelda.change("add", axis="row", label="Upper arm", at=3)
    imelda.change("name", axis="size", key="14", label="14 tall")
    imelda.send(cells=[["upper_arm", size, text, ""] for size, text in (("10", "28"), ("12", "29"), ("14", "30"))])
    imelda.save()
    table = load_table(chart.latest())
    assert (table.sizes, table.base, list(stored(chart))) == (
        ("10", "12", "14 tall"),
        "12",
        ["bust", "waist", "hip", "upper_arm"],
    )


def test_a_size_too_many_is_refused_with_the_limit(imelda: Desk, settings: Settings) -> None:
    settings.CHART_SIZES = 3
    told = imelda.change("add", axis="size", label="16", at=3)
    assert told["refused"] == "A chart has at most 3 sizes and 200 measurements."
    assert len(told["sizes"]) == 3
    assert not WorkingCopy.objects.exists()


@pytest.mark.parametrize(
    "junk",
    [
        "",
        "[]",
        "{",
        "[" * 100_000,
        '{"cells": 7}',
        '{"cells": [[1, 2, 3, 4], ["bust"]]}',
        '{"choose": ["a", 1]}',
        '{"choose": [1' + "0" * 40 + ", true]}",
        '{"cells": [["bust", "10", "\\ud800", "88"]]}',
        '{"change": {"do": 1}}',
    ],
)
def test_a_request_bent_by_hand_writes_nothing(imelda: Desk, junk: str) -> None:
    answer = imelda.client.post(reverse("chart_cells", args=[imelda.chart.ref]), {"edit": junk})
    assert answer.status_code in {200, 400}
    assert not ChartEdit.objects.exists()


def test_a_size_put_back_by_hand_with_nothing_in_its_names_is_stored_clean(chart: SizeChart, imelda: Desk) -> None:
    imelda.change("add", axis="row", key="x\0y", label="Wrist\0", at=3, breaks=["12\0", "\0"])
    assert ("xy", "Wrist") in [(row["id"], row["label"]) for row in imelda.rows.values()]


def test_a_reviewer_and_a_stranger_find_no_grid(cast: Cast, chart: SizeChart) -> None:
    for person in (cast.reviewer, cast.outsider):
        client: Client = signed_in(person)
        assert client.get(reverse("chart_grid", args=[chart.ref])).status_code == 404
        assert client.get(reverse("chart_since", args=[chart.ref])).status_code == 404
        assert client.post(reverse("chart_cells", args=[chart.ref]), {"edit": "{}"}).status_code == 404


def test_asking_costs_few_queries(imelda: Desk, django_assert_max_num_queries: DjangoAssertNumQueries) -> None:
    imelda.type("bust", "12", "93")
    with django_assert_max_num_queries(6):
        assert imelda.ask() is None
    with django_assert_max_num_queries(24):
        imelda.type("bust", "14", "97")


def test_the_chart_and_its_form_say_that_an_edit_is_open(cast: Cast, chart: SizeChart, imelda: Desk) -> None:
    imelda.type("bust", "12", "93")
    for name in ("chart", "chart_edit"):
        page = " ".join(text_of(signed_in(cast.designer).get(reverse(name, args=[chart.ref]))).split())
        assert "1 change in the grid is not a revision yet" in page
