"""The catalogues: names found as people write them, and what each kind of garment asks."""

from __future__ import annotations

import pytest

from measurements.body_checks import body_queries
from measurements.body_measures import BODY_MEASURES, KINDS, OPTIONAL, REQUIRED, optional, required
from measurements.finished_measures import BY_KIND, FINISHED_MEASURES, finished_for
from measurements.lengths import Length, read_length
from measurements.measures import Catalogue, Measure, split_unit, stated_unit


@pytest.mark.parametrize(
    ("label", "key"),
    [("Full bust", "bust"), ("nape to waist", "back_waist"), ("Upper Chest", "high_bust"), ("HIPS", "hip"),
     ("Waist (in)", "waist"), ("Hip, cm", "hip"), ("Biceps", "upper_arm"), ("inseam", "inside_leg"),
     ("Centre back length", "back_waist"), ("under-bust", "under_bust"), ("waist_to_knee", "waist_to_knee"),
     ("Bust circumference", "bust"), ("Back width [cm]", "across_back"), ("shoe size", None), ("", None)],
)  # fmt: skip
def test_a_body_measurement_is_found_by_the_names_people_write(label, key):
    found = BODY_MEASURES.find(label)
    assert (found.key if found else None) == key


@pytest.mark.parametrize(("label", "key"), [("CB", "back_length"), ("Finished hip", "hip"), ("hem sweep", "sweep")])
def test_a_finished_measurement_too(label, key):
    assert FINISHED_MEASURES.find(label).key == key


def test_one_name_for_two_measurements_is_refused():
    one, two = (Measure(key, key, "", "", 0, 1, True, ("same",)) for key in ("a", "b"))
    with pytest.raises(ValueError, match="names both a and b"):
        Catalogue([one, two])


@pytest.mark.parametrize(
    ("label", "split"),
    [("Waist (in)", ("Waist", "in")), ("Bust, inches", ("Bust", "in")), ("Hip - cm", ("Hip", "cm")),
     ('Bust "', ("Bust", "in")), ("Height in cm", ("Height", "cm")), ("Waist", ("Waist", None)), ("cm", ("", "cm"))],
)  # fmt: skip
def test_a_unit_in_a_label_is_split_off(label, split):
    assert split_unit(label) == split


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Sizes in inches", "in"),
        ("Size (in)", "in"),
        ("all in cm", "cm"),
        ("cm and inches", None),
        ("as worn in town", None),
        ("Misses, in 1967", None),
        ("Misses, in", "in"),
    ],
)
def test_a_title_states_one_unit_or_none(text, unit):
    assert stated_unit(text) == unit


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_asks_known_measurements_once(kind):
    asked = (*REQUIRED[kind], *OPTIONAL[kind])
    assert len(set(asked)) == len(asked)
    assert all(key in BODY_MEASURES for key in asked)
    assert all(key in FINISHED_MEASURES for key in finished_for(kind))


def test_every_kind_has_its_finished_measurements():
    assert set(BY_KIND) == set(KINDS)


def test_a_dress_fitted_at_the_hip_must_have_the_hip():
    assert "hip" not in required("dress")
    assert "hip" in required("dress", fitted={"bust", "hip"})
    assert "hip" not in optional("dress", fitted={"hip"})


def test_each_measurement_tells_how_to_take_it_in_few_words():
    for measure in (*BODY_MEASURES, *FINISHED_MEASURES):
        assert measure.definition.endswith(".")
        assert 0 < len(measure.how) <= 110, measure.key
        assert measure.low_mm < measure.high_mm
        assert measure.body is None or measure.body in BODY_MEASURES


def lengths(unit: str = "cm", **typed: str) -> dict[str, Length]:
    return {key: read_length(text, unit) for key, text in typed.items()}


def codes(*args: dict[str, Length]) -> dict[tuple[str, ...], str]:
    return {query.keys: query.sentence.code for query in body_queries(*args)}


def test_plain_measurements_raise_no_query():
    assert codes(lengths(bust="92", high_bust="87", waist="74", hip="98", height="163")) == {}


def test_a_bust_a_tape_error_below_the_high_bust_is_fine_and_more_is_asked():
    assert codes(lengths(bust="86", high_bust="87")) == {}
    assert codes(lengths(bust="85,9", high_bust="87")) == {("high_bust", "bust"): "bust_below_high_bust"}


def test_a_cup_of_more_than_fifteen_centimetres_is_asked():
    assert codes(lengths(bust="102", high_bust="87")) == {}
    assert codes(lengths(bust="102.1", high_bust="87")) == {("high_bust", "bust"): "cup_unusual"}


def test_a_number_that_fits_the_other_unit_only():
    queries = body_queries(lengths(bust="36 1/4", waist="74"))
    assert [(query.keys, str(query.sentence)) for query in queries] == [
        (("bust",), "36 1/4 reads as cm here. Is it in?")
    ]
    assert codes(lengths("in", waist="74 mm")) == {("waist",): "other_unit"}


def test_a_number_that_fits_no_unit():
    assert codes(lengths(hip="9")) == {("hip",): "implausible"}


def test_two_takes_more_than_a_centimetre_apart():
    assert codes(lengths(waist="74"), lengths(waist="75")) == {}
    assert codes(lengths(waist="74"), lengths(waist="75.1")) == {("waist",): "takes_apart"}


def test_queries_speak_of_the_tape_and_not_of_the_body():
    body = lengths(bust="80", high_bust="97", waist="9", hip="36")
    for query in body_queries(body, lengths(bust="85")):
        assert "your" not in str(query.sentence).lower()
