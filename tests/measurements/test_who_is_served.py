"""A chart against a sample of bodies: shares, gaps, two sizes; the file it comes from, and the page."""

from __future__ import annotations

import html
import re
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.body_measures import BODY_MEASURES
from measurements.body_sample import Sample, SampleRead, read_sample
from measurements.models import BodySample
from measurements.served_plot import served_plot
from measurements.who_is_served import LEAST_BODIES, scale_of, who_is_served
from tests.factories import Cast, chart_table, make_cast, make_chart, signed_in
from tests.measurements.tables import worked_table

CHART = chart_table({"bust": ("84", "88", "94"), "hip": ("90", "94", "100")}, ("1", "2", "3"), None)
BODIES = worked_table("who-is-served.md", "Worked example")


def sample(*rows: tuple[str, str]) -> Sample:
    bust, hip = zip(*((Decimal(a) * 10, Decimal(b) * 10) for a, b in rows), strict=True)
    return Sample("those of the page", {"bust": bust, "hip": hip})


@pytest.mark.parametrize("row", BODIES, ids=lambda row: row["bust, cm"])
def test_each_body_of_the_page(row):
    served = who_is_served(CHART, sample((row["bust, cm"], row["hip, cm"])))
    assert served.in_range == (row["in range"] == "yes")
    bust, hip = scale_of(CHART, "bust"), scale_of(CHART, "hip")
    by = [
        bust.labels[bust.nearest(Decimal(row["bust, cm"]) * 10)],
        hip.labels[hip.nearest(Decimal(row["hip, cm"]) * 10)],
    ]
    assert by == [row["size by bust"], row["size by hip"]]
    assert served.two.needed == (row["needs two"] == "yes")
    assert (", ".join(gap.key for gap in served.gaps if gap.bodies) or "no") == row["in a gap"]


def test_all_bodies_of_the_page_together():
    served = who_is_served(CHART, sample(*((row["bust, cm"], row["hip, cm"]) for row in BODIES)))
    assert (served.bodies, served.in_range, served.share(served.in_range)) == (7, 5, 71)
    assert (served.two.same, served.two.one_apart, served.two.further, served.two.forgiven) == (3, 2, 0, 1)
    assert [(one.below, one.inside, one.above) for one in served.ranges] == [(0, 6, 1), (1, 6, 0)]
    assert [size.bodies for size in served.sizes] == [2, 3, 1]


def test_the_drawing_marks_each_body_once_and_stays_in_its_frame():
    bodies = [(Decimal(row["bust, cm"]) * 10, Decimal(row["hip, cm"]) * 10) for row in BODIES]
    plot = served_plot(scale_of(CHART, "bust"), scale_of(CHART, "hip"), bodies, 760, 520)
    counts = [path.count("M") for path in (plot.one, plot.two, plot.out)]
    assert counts == [4, 1, 2]
    marks = re.findall(r"M(\S+) ([\d.]+)", plot.one + plot.two + plot.out)
    assert all(plot.left <= float(x) <= plot.right and plot.top <= float(y) <= plot.foot for x, y in marks)
    assert [box.label for box in plot.boxes] == ["1", "2", "3"]
    assert [tick.label for tick in plot.sizes_across] == ["1", "2", "3"]


def test_without_a_shared_girth_nothing_is_told():
    assert who_is_served(CHART, Sample("", {"height": (Decimal(1650),)})) is None
    assert who_is_served(chart_table({"back_waist": ("39", "40", "41")}), sample(("84", "90"))) is None


def read(text: str, **more: object) -> SampleRead:
    return read_sample(text.encode(), catalogue=BODY_MEASURES, **more)


def test_only_measurements_are_kept_and_each_in_its_unit():
    got = read('Name,bust_in,Waist (cm),hip,mail\nA. B.,34 1/2,70,"94,5",a@b.example\nC. D.,36,74,98,c@d.example')
    assert got.columns == {
        "bust": (Decimal("876.3"), Decimal("914.4")), "waist": (700, 740), "hip": (945, 980),
    }  # fmt: skip
    assert "example" not in repr(got)


def test_a_column_without_a_unit_takes_the_one_that_fits():
    assert read("bust;waist\n34;28\n36;30").columns["bust"][0] == Decimal("863.6")
    assert read("bust;waist\n860;700").columns["waist"] == (700,)


def test_what_no_body_can_have_is_left_out_and_counted():
    got = read("bust (cm);hip (cm)\n88;94\n-5;NaN\n1e9;98\n8.8;\n90;=1+1")
    assert got.columns == {"bust": (880, None, 900), "hip": (940, 980, None)}
    assert [(note.code, dict(note.values)["count"]) for note in got.notes] == [("unread", 5), ("empty_rows", 2)]


@pytest.mark.parametrize(
    ("text", "code"),
    [("", "no_columns"), ("a;b\n1;2", "no_columns"), ("bust\n9\n8", "no_bodies"), ("bust\n" + "88\n" * 6, "too_many")],
)
def test_a_file_without_a_sample_is_refused_with_a_sentence(text, code):
    assert read(text, most=5).refusal.code == code


@settings(derandomize=True, database=None, deadline=None, max_examples=80)
@given(data=st.one_of(st.binary(max_size=120), st.text("bust;hip\n 0123456789.,-=½/e", max_size=80).map(str.encode)))
def test_no_bytes_break_the_reading(data):
    got = read_sample(data, catalogue=BODY_MEASURES)
    assert bool(got.refusal) == (not got.columns)


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


def upload(cast: Cast, chart, rows: int, **more: str):
    lines = "Bust (cm),Hip (cm)\n" + "\n".join(f"{82 + i % 16},{88 + i % 14}" for i in range(rows))
    data = {"name": "customers", "unit": "", "file": SimpleUploadedFile("bodies.csv", lines.encode()), **more}
    return signed_in(cast.designer).post(reverse("chart_served", args=[chart.ref]), data, follow=True)


def text_of(answer) -> str:
    return html.unescape(answer.content.decode())


def test_the_page_says_the_share_first_and_draws_it(cast):
    chart = make_chart(cast.studio, CHART)
    page = text_of(upload(cast, chart, 40, source="asked in the shop, 2026"))
    kept = BodySample.objects.get()
    served = who_is_served(CHART, Sample("", {k: tuple(map(Decimal, v)) for k, v in kept.columns.items()}))
    share, two = served.share(served.in_range), served.share(served.two.needed)
    said = f"This range serves {share} % of the 40 bodies of customers; {two} % would need two sizes."
    assert said in page.replace("\u00a0", " ")
    assert "Source: asked in the shop, 2026" in page
    assert page.count('<svg xmlns="http://www.w3.org/2000/svg"') == 2
    gaps = page[page.index("Gaps between sizes") :]
    assert '<th scope="row">2 and 3</th>' in gaps
    assert "90.0–92.0 cm" in gaps


def test_a_chart_that_shares_one_girth_is_told_without_a_drawing(cast):
    chart = make_chart(cast.studio, chart_table({"bust": ("84", "88", "94")}, ("1", "2", "3"), None))
    page = text_of(upload(cast, chart, 20))
    assert "of the 20 bodies of customers.</h1>" in page
    assert "against" not in page.partition("<main")[2]


def test_of_a_large_sample_some_bodies_are_drawn_and_all_are_counted(cast):
    page = text_of(upload(cast, make_chart(cast.studio, CHART), 3100))
    assert "of the 3100 bodies of customers" in page
    assert "one body of 3 is drawn" in page


def test_a_studio_without_samples_is_told_what_to_do(cast):
    chart = make_chart(cast.studio, CHART)
    page = text_of(signed_in(cast.reviewer).get(reverse("chart_served", args=[chart.ref])))
    assert "your own testers: 20 more bodies are needed before a share can be told." in page
    assert "Keep the sample" not in page, "a reviewer reads"


def test_a_chart_of_a_finished_garment_has_no_such_page(cast):
    chart = make_chart(cast.studio, CHART, about="finished")
    assert signed_in(cast.owner).get(reverse("chart_served", args=[chart.ref])).status_code == 404


def test_few_bodies_are_counted_and_no_share_is_told(cast):
    page = text_of(upload(cast, make_chart(cast.studio, CHART), 13))
    assert f"customers: {LEAST_BODIES - 13} more bodies are needed before a share can be told." in page
    assert "%" not in page.partition("<h1>")[2].partition("</h1>")[0]


def test_a_wrong_file_is_told_beside_the_field_and_keeps_the_words(cast):
    chart = make_chart(cast.studio, CHART)
    answer = upload(cast, chart, 30, file=SimpleUploadedFile("x.xlsx", b"%PDF-1.7"), name="our customers")
    assert answer.status_code == 422
    assert "This file is no XLSX or CSV table." in text_of(answer)
    assert 'value="our customers"' in text_of(answer)
    assert not BodySample.objects.exists()


def test_a_sample_is_removed_with_its_measurements_by_its_own_studio_alone(cast):
    chart = make_chart(cast.studio, CHART)
    upload(cast, chart, 30)
    address = reverse("body_sample_remove", args=[BodySample.objects.get().ref])
    assert signed_in(cast.outsider).post(address).status_code == 404
    assert signed_in(cast.reviewer).post(address).status_code == 404
    assert signed_in(cast.designer).post(address, {"chart": chart.ref})["Location"].endswith("/served/")
    assert not BodySample.objects.exists()
