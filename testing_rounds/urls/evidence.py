"""The dashboard, the evidence of a zone, a cell or a size, one report, decisions.

A size stands in an address by its position in the range (0 first): its label may hold a slash.
"""

from django.urls import path, register_converter

from testing_rounds.urls.keys import ZoneKeyConverter
from testing_rounds.views import besides, dashboard, decisions, evidence, next_version, sign_off

register_converter(ZoneKeyConverter, "zone")

urlpatterns = [
    path("versions/<str:ref>/sign-off/", sign_off.sign_off, name="sign_off"),
    path("versions/<str:ref>/sign-off/<int:position>/", sign_off.sign_off_size, name="sign_off_size"),
    path("versions/<str:ref>/sign-off/withdraw/", sign_off.sign_off_withdraw, name="sign_off_withdraw"),
    path("rounds/<str:ref>/", dashboard.round_overview, name="round"),
    path("rounds/<str:ref>/size-advice/", dashboard.round_advice, name="round_advice"),
    path("rounds/<str:ref>/steps/", dashboard.round_steps, name="round_steps"),
    path("rounds/<str:ref>/explain/", besides.round_explain, name="round_explain"),
    path("rounds/<str:ref>/steps/<int:step>/", besides.round_step, name="round_step"),
    path("rounds/<str:ref>/prints/<zone:file>/", besides.round_prints, name="round_prints"),
    path("rounds/<str:ref>/next/", next_version.next_version, name="next_version"),
    path("rounds/<str:ref>/again/", next_version.resew, name="resew"),
    path("rounds/<str:ref>/zones/<zone:zone>/", evidence.round_zone, name="round_zone"),
    path("rounds/<str:ref>/zones/<zone:zone>/decide/", decisions.decide, name="decide"),
    path("rounds/<str:ref>/zones/<zone:zone>/sizes/<int:position>/", evidence.round_cell, name="round_cell"),
    path("rounds/<str:ref>/sizes/<int:position>/", evidence.round_size, name="round_size"),
    path("reports/<str:ref>/", evidence.report, name="report"),
    path("reports/<str:ref>/weigh/", decisions.weigh_report, name="weigh_report"),
    path("reports/<str:ref>/zones/<zone:zone>/", decisions.weigh_answer, name="weigh"),
]
