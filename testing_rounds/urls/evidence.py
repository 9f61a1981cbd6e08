"""The dashboard, the evidence of a zone, a cell or a size, one report, decisions."""

from django.urls import path

from config.stub import stub

urlpatterns = [
    path("rounds/<str:ref>/", stub, name="round"),
    path("rounds/<str:ref>/zones/<str:zone>/", stub, name="round_zone"),
    path("rounds/<str:ref>/zones/<str:zone>/decide/", stub, name="decide"),
    path("rounds/<str:ref>/zones/<str:zone>/<str:size>/", stub, name="round_cell"),
    path("rounds/<str:ref>/sizes/<str:size>/", stub, name="round_size"),
    path("reports/<str:ref>/", stub, name="report"),
    path("reports/<str:ref>/zones/<str:zone>/", stub, name="weigh"),
]
