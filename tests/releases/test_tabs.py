"""Tabs know their page, and do without what is not there yet."""

from __future__ import annotations

from types import SimpleNamespace as Thing

import pytest
from django.template.loader import render_to_string

CHART = Thing(ref="chart")
PATTERN = Thing(ref="pattern", name="Pebblewick shirt", chart=CHART)
VERSION = Thing(ref="version", number="0.9", body_chart=Thing(number=2, chart=CHART), rounds=Thing(first=lambda: None))
ROUND = Thing(ref="round")


def tabs(**context) -> list[str]:
    text = render_to_string("tabs.html", context)
    return [piece.partition("</a>")[0].rpartition(">")[2] for piece in text.split("<a ")[1:]]


@pytest.mark.parametrize(
    ("context", "names"),
    [
        ({}, []),
        ({"pattern": PATTERN}, ["Pattern", "Size chart"]),
        ({"pattern": Thing(ref="p", name="Skirt", chart=None)}, ["Pattern"]),
        ({"pattern": PATTERN, "version": VERSION}, ["Pattern", "Size chart", "Version 0.9"]),
        (
            {"pattern": PATTERN, "version": VERSION, "round": ROUND},
            ["Pattern", "Size chart", "Version 0.9", "Round", "Panel"],
        ),
    ],
)
def test_a_tab_for_each_thing_that_is_there(context, names):
    assert tabs(**context) == names


def test_the_newest_round_is_found_where_the_page_names_none():
    version = Thing(**{**vars(VERSION), "rounds": Thing(first=lambda: ROUND)})
    assert tabs(pattern=PATTERN, version=version)[-2:] == ["Round", "Panel"]


@pytest.mark.parametrize(
    ("here", "address"),
    [("pattern", "pattern"), ("chart", "charts"), ("version", "version"), ("round", "rounds"), ("panel", "panel")],
)
def test_one_tab_is_the_open_page(here, address):
    text = render_to_string("tabs.html", {"pattern": PATTERN, "version": VERSION, "round": ROUND, "here": here})
    assert text.count("aria-current") == 1
    assert address in text.partition(' aria-current="page"')[0].rpartition('href="')[2]


def test_the_chart_is_the_state_that_the_version_pins():
    assert "/charts/chart/2/" in render_to_string("tabs.html", {"pattern": PATTERN, "version": VERSION})


def test_a_studio_has_its_own_tabs():
    text = render_to_string("studio_tabs.html", {"studio": Thing(ref="s", name="Saltmarsh Row"), "here": "charts"})
    assert text.count("<a ") == 5
    assert '/charts/" aria-current="page"' in text
