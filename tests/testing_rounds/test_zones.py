"""The catalogue of zones agrees with itself and with the measurements."""

from __future__ import annotations

import pytest

from measurements.body_measures import BODY_MEASURES
from measurements.finished_measures import FINISHED_MEASURES
from measurements.heights import HEIGHT_SHARES
from testing_rounds.round_data import Zone
from testing_rounds.zones import (
    BY_HEIGHT,
    CATALOGUE,
    KINDS,
    LINKED,
    default_views,
    default_zones,
    finished_points,
    linked,
    sort_of,
    zones_for,
)

ALL = list(CATALOGUE.values())


def keys(zones):
    return [zone.key for zone in zones]


def test_there_are_nineteen():
    assert len(CATALOGUE) == 19


@pytest.mark.parametrize("zone", ALL, ids=lambda zone: zone.key)
def test_a_zone_is_whole(zone):
    assert zone.low != zone.high
    assert zone.kinds
    assert set(zone.kinds) <= set(KINDS)
    assert zone.low_cause
    assert zone.high_cause
    assert zone.change
    assert all(point in BODY_MEASURES for point in zone.body)
    assert all(point in FINISHED_MEASURES for point in zone.finished)
    assert sort_of(zone.asked()) == zone.sort


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("skirt", ["waist", "high_hip", "hip", "length"]),
        ("trousers", ["waist", "high_hip", "hip", "length", "rise", "thigh"]),
        (
            "knit",
            [
                "neck",
                "shoulder",
                "across_back",
                "armhole",
                "bust",
                "back_length",
                "hip",
                "length",
                "cap",
                "upper_arm",
                "sleeve_length",
            ],
        ),
    ],
)
def test_the_usual_zones_of_a_kind(kind, expected):
    assert keys(default_zones(kind)) == expected


def test_a_shirt_is_a_bodice_with_sleeves():
    bodice, shirt = keys(default_zones("bodice")), keys(default_zones("shirt"))
    assert set(shirt) - set(bodice) == {"cap", "upper_arm", "sleeve_length"}
    assert set(bodice) <= set(shirt)


def test_a_strap_is_asked_only_where_somebody_chooses_it():
    assert "strap" in keys(zones_for("dress"))
    assert not [kind for kind in KINDS if "strap" in keys(default_zones(kind))]


def test_an_unknown_kind_is_named():
    with pytest.raises(KeyError, match="cape"):
        default_zones("cape")


def test_photo_views_follow_the_garment():
    assert keys(default_views("trousers")) == ["front", "side", "back", "seated", "close_up"]
    assert keys(default_views("shirt")) == ["front", "side", "back", "arms_forward", "close_up"]
    assert keys(default_views("skirt")) == ["front", "side", "back", "close_up"]


def test_linked_zones():
    assert linked("armhole") == ("bust", "front_length", "cap", "upper_arm")
    assert linked("neck") == ()
    assert all(key in CATALOGUE for group in LINKED for key in group)


def test_a_round_asks_with_the_body_point_that_the_chart_has():
    rise = CATALOGUE["rise"]
    assert rise.asked().body_point == "rise"
    assert rise.asked(["waist", "crotch_length"]).body_point == "crotch_length"
    assert rise.asked(["waist"]).body_point is None
    assert rise.asked() == Zone("rise", "rise", "short", "long", "rise", 0.8)


def test_a_length_that_height_stands_in_for_needs_no_chart():
    assert CATALOGUE["back_length"].asked([]).body_point == "back_waist"
    assert set(BY_HEIGHT.values()) <= set(HEIGHT_SHARES)


@pytest.mark.parametrize(
    ("zone", "sort"),
    [
        (Zone("yoke", "yoke", "tight", "loose"), "width"),
        (Zone("hem", "hem", "short", "long"), "height"),
        (Zone("armhole", "armhole", "tight", "loose"), "width"),
        (Zone("shoulder_line", "shoulder line", "back", "forward"), "posture"),
        (Zone("cap", "cap", "pulls", "puckers"), "width"),
        (Zone("flap", "flap", "curls", "gapes"), "width"),
    ],
)
def test_the_words_of_a_zone_tell_its_sort(zone, sort):
    assert sort_of(zone) == sort


def test_a_zone_of_a_studios_own_is_measured_where_it_says():
    assert finished_points(Zone("yoke", "yoke", "tight", "loose", "across_back")) == ("yoke", "across_back")
    assert finished_points(Zone("yoke", "yoke", "tight", "loose")) == ("yoke",)
    assert finished_points(CATALOGUE["rise"].asked()) == ("front_rise", "back_rise")
