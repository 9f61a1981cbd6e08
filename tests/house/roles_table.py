"""Who may do what, route by route: written before the run, held against every route by test_roles.py.

Read a row as: who is let in with GET and what they get, who is let in with POST and what they get. Everybody else
gets 404, as for a thing that does not exist; only a page that names no thing may send on to the sign-in. A method
that is not in the row is 405 for everybody.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

ROLES = ("anonymous", "other tester", "other studio", "tester", "reviewer", "designer", "owner")

PUBLIC = frozenset(ROLES)
SIGNED_IN = frozenset({"other studio", "reviewer", "designer", "owner"})
SIGNED_OUT = PUBLIC - SIGNED_IN
STUDIO = frozenset({"reviewer", "designer", "owner"})
EDITORS = frozenset({"designer", "owner"})
OWNERS = frozenset({"owner"})
OWN_PLACE = frozenset({"tester"})


@dataclass(frozen=True)
class Grant:
    """Who is let in, and the status each may get."""

    who: frozenset[str]
    answers: frozenset[int]


def may(who: frozenset[str], *answers: int) -> Grant:
    return Grant(who, frozenset(answers or (200,)))


@dataclass(frozen=True)
class Rule:
    """One row. `data`: what the POST sends. `sign_in`: others are sent to the sign-in, since no thing is named.

    `no_token`: why its POST needs no token of a form. `get_writes`: why opening this page writes something; every
    other page changes nothing when it is opened.
    """

    get: Grant | None = None
    post: Grant | None = None
    data: Mapping[str, str] = field(default_factory=lambda: {"csrfmiddlewaretoken": "as every form has"})
    sign_in: bool = False
    get_writes: str = ""
    no_token: str = ""


def page(who: frozenset[str], *answers: int, **more: object) -> Rule:
    """A page that is only read."""
    return Rule(get=may(who, *answers), **more)  # type: ignore[arg-type]


def form(who: frozenset[str], *answers: int, read: frozenset[str] | None = None, **more: object) -> Rule:
    """A page with a form: `answers` are those of the POST. `read`: who may see it, where more than those who send."""
    return Rule(get=may(read or who), post=may(who, *answers), **more)  # type: ignore[arg-type]


def button(who: frozenset[str], *answers: int, **more: object) -> Rule:
    """Something done by a POST, without a page of its own."""
    return Rule(post=may(who, *answers or (302,)), **more)  # type: ignore[arg-type]


# The library's pages send someone who is signed in on to their studio.
ENTRANCE = Rule(get=may(PUBLIC, 200, 302), post=may(PUBLIC, 200, 302))

PEOPLE = {
    "home": page(PUBLIC, 200, 302),
    "health": page(PUBLIC),
    "privacy": page(PUBLIC),
    "language": button(PUBLIC, data={"language": "fr", "next": "/"}),
    "account_login": ENTRANCE,
    "account_signup": ENTRANCE,
    "account_reset_password": form(PUBLIC),
    "account_reset_password_done": page(PUBLIC),
    "account_reset_password_from_key": form(PUBLIC),
    "account_reset_password_from_key_done": page(PUBLIC),
    "account_email_verification_sent": page(PUBLIC),
    "account_confirm_email": form(PUBLIC, 302),
    "account_inactive": page(PUBLIC),
    "account_logout": Rule(get=may(PUBLIC, 200, 302), post=may(PUBLIC, 302)),
    "account_change_password": form(SIGNED_IN, sign_in=True),
    "account_set_password": Rule(get=may(SIGNED_IN, 302), post=may(SIGNED_IN, 302), sign_in=True),
    "me": form(SIGNED_IN, sign_in=True),
    "own_data": page(SIGNED_IN, sign_in=True),
    "own_data_file": page(SIGNED_IN, sign_in=True),
    "erase_account": form(SIGNED_IN, 422, sign_in=True),
    "demo_sign_in": page(PUBLIC, 302, get_writes="the link itself signs in, on one's own machine alone"),
    "studio_new": form(SIGNED_IN, sign_in=True),
    "studio_people": form(OWNERS, read=STUDIO),
    "member_role": button(OWNERS, data={"role": "designer"}),
    "member_remove": Rule(get=may(frozenset({"owner", "reviewer"})), post=may(frozenset({"owner", "reviewer"}), 302)),
    "invitation_revoke": button(OWNERS),
    "invitation": form(PUBLIC),
}
MEASUREMENTS = {
    "charts": page(STUDIO),
    "advice_rules": form(EDITORS, 422, read=STUDIO),
    "chart_new": form(EDITORS),
    "chart_check": Rule(get=may(EDITORS, 302), post=may(EDITORS)),
    "chart": page(STUDIO),
    "chart_edit": form(EDITORS, data={"opened": "1"}),
    "chart_grid": form(EDITORS),
    "chart_cells": button(EDITORS, 200, data={"edit": "{}"}),
    "chart_since": page(EDITORS),
    "chart_grade": form(EDITORS, 302, read=STUDIO),
    "chart_history": page(STUDIO),
    "chart_revision": page(STUDIO),
    "chart_csv": page(STUDIO),
    "chart_xlsx": page(STUDIO),
    "chart_served": form(EDITORS, 422, read=STUDIO),
    "body_sample_remove": button(EDITORS),
}
RELEASES = {
    "studio": page(STUDIO),
    "pattern_new": form(EDITORS, 422),
    "pattern": page(STUDIO),
    "pattern_edit": form(EDITORS, 422),
    "version_new": form(EDITORS, 422),
    "version": page(STUDIO),
    "version_edit": form(EDITORS, 422),
    "version_chart": button(EDITORS),
    "version_finished": form(EDITORS, 422),
    "version_steps": form(EDITORS, 302),
    "version_wording": form(EDITORS, 302, read=STUDIO),
    "version_wording_facts": page(STUDIO),
    "version_ease": form(EDITORS, 302, read=STUDIO),
    "version_grade": form(EDITORS, 302, read=STUDIO),
    "version_grade_facts": form(EDITORS, 302, read=STUDIO),
    "version_lengths": form(EDITORS, 422, read=STUDIO),
    "version_size": form(STUDIO),
    "version_materials": form(EDITORS, 422),
    "version_cutting_list": form(EDITORS, 422),
    "version_fabric": page(STUDIO),
    "version_fabric_pdf": page(STUDIO),
    "version_layouts": button(EDITORS),
    "layout": page(STUDIO),
    "version_booklet": form(EDITORS, 302, read=STUDIO),
    "version_booklet_pdf": page(STUDIO, get_writes="the document that is asked for is made by a worker"),
    "version_booklet_step": form(EDITORS, 422, read=STUDIO),
    "step_picture": page(STUDIO),
    "version_files": form(EDITORS, 422, read=STUDIO),
    "upload_begin": button(EDITORS, 200, data={"kind": "a4", "name": "a.pdf", "size": "9"}),
    "upload": form(EDITORS, 200),
    "upload_stop": button(EDITORS, 200),
    "version_changed": page(STUDIO),
    "version_compare": button(EDITORS),
    "version_changed_pdf": page(STUDIO),
    "changed_page": page(STUDIO),
    "file": page(STUDIO),
    "file_remove": button(EDITORS),
    "version_units": page(STUDIO),
    "version_launch": page(STUDIO),
    "launch_state": button(EDITORS, data={"do": "clear"}),
    "launch_override": button(OWNERS, 422),
    "launch_confirm": button(EDITORS),
    "stale_clear": button(EDITORS, 422),
    "measurement_tables": page(STUDIO),
    "measurement_tables_pdf": page(STUDIO),
}
PLANNING = {
    "round_new": form(EDITORS, 422),
    "zone_scales": form(EDITORS, 302, read=STUDIO),
    "round_plan": form(EDITORS, 422, read=STUDIO),
    "round_state": button(EDITORS),
    "panel": form(EDITORS, 422, read=STUDIO),
    "panel_choice": form(EDITORS, read=STUDIO),
    "round_mails": page(STUDIO),
    "round_mail": page(STUDIO),
    "round_mail_html": page(STUDIO),
    "place": form(EDITORS, 302, read=STUDIO),
    "place_messages": form(EDITORS, 422, read=STUDIO),
    "reminders_stop": form(PUBLIC, no_token="mail programs end a mailing with one POST of their own (RFC 8058)"),
    "call_picture": page(PUBLIC),
    "call": form(PUBLIC, 422),
    "call_take_back": form(PUBLIC),
}
EVIDENCE = {
    "sign_off": page(STUDIO),
    # The studio of the world has a reviewer: only she signs.
    "sign_off_size": form(frozenset({"reviewer"}), 422, read=STUDIO),
    "sign_off_withdraw": button(EDITORS, 422, data={"position": "2"}),
    "round": page(STUDIO),
    "round_steps": page(STUDIO),
    "round_explain": page(STUDIO),
    "round_step": form(EDITORS, 422, read=STUDIO),
    "round_prints": form(EDITORS, 422, read=STUDIO),
    "next_version": form(EDITORS, 422, read=STUDIO),
    "resew": page(STUDIO),
    "round_advice": page(STUDIO),
    "round_zone": page(STUDIO),
    "round_cell": page(STUDIO),
    "round_size": page(STUDIO),
    "report": page(STUDIO),
    "decide": button(EDITORS, 422),
    "weigh": button(EDITORS, 422),
    "weigh_report": button(EDITORS, 422),
}
PAPERS = {
    "summary": form(STUDIO, 302),
    "summary_file": page(STUDIO),
    "round_file": page(EDITORS),
    "round_file_import": form(EDITORS, 422),
}
TESTER = {
    "tester_link": form(PUBLIC, 302),
    "test": page(OWN_PLACE),
    "test_worker": page(PUBLIC),
    "test_dates": form(OWN_PLACE, 302),
    "test_more_days": button(OWN_PLACE),
    "test_calendar": page(OWN_PLACE),
    "test_changed": form(OWN_PLACE, 302),
    "test_messages": form(OWN_PLACE, 422),
    "test_language": button(OWN_PLACE, data={"language": "fr"}),
    "test_stop": form(OWN_PLACE, 302),
    "test_sign_out": button(OWN_PLACE, 200),
    "test_consents": form(OWN_PLACE, 302),
    "test_take_back": form(OWN_PLACE, 302),
    "test_measures": form(OWN_PLACE, 302),
    "test_size": form(OWN_PLACE, 302),
    "test_take_advice": button(OWN_PLACE),
    "test_file": page(OWN_PLACE, get_writes="the file that was taken is kept, to tell later what changed since"),
    "test_print": form(OWN_PLACE, 302),
    "test_print_again": button(OWN_PLACE),
    "test_fit": form(OWN_PLACE, 302),
    "test_zone": form(OWN_PLACE, 302),
    "test_photos": form(OWN_PLACE, 302),
    "test_photo": form(OWN_PLACE, 302),
    "test_photo_begin": button(OWN_PLACE, 200, data={"size": "9"}),
    "test_photo_parts": form(OWN_PLACE, 200),
    "test_photo_stop": button(OWN_PLACE),
    "test_photo_change": form(OWN_PLACE, 422),
    "test_steps": form(OWN_PLACE, 302),
    "test_step": form(OWN_PLACE, 302),
    "test_step_picture": page(OWN_PLACE),
    "test_booklet": page(OWN_PLACE, get_writes="the document that is asked for is made by a worker"),
    "test_last": form(OWN_PLACE, 302),
    "test_save": button(OWN_PLACE, 200),
    "test_send": form(OWN_PLACE, 302),
    "test_data": page(OWN_PLACE),
    "test_data_file": page(OWN_PLACE),
    "test_erase": form(OWN_PLACE),
    "place_erase": form(EDITORS, 302),
    "round_shown": form(EDITORS, 422, read=STUDIO),
    "photo_taken_down": button(EDITORS),
    "photo_open": page(OWN_PLACE | STUDIO, 302),
    "photo": page(OWN_PLACE | STUDIO),
}
RULES: dict[str, Rule] = {**PEOPLE, **MEASUREMENTS, **RELEASES, **PLANNING, **EVIDENCE, **PAPERS, **TESTER}
