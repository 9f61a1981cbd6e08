from django.urls import path

from config.stub import stub

urlpatterns = [
    path("studios/<str:ref>/charts/", stub, name="charts"),
    path("studios/<str:ref>/charts/new/", stub, name="chart_new"),
    path("charts/<str:ref>/", stub, name="chart"),
    path("charts/<str:ref>/edit/", stub, name="chart_edit"),
    path("charts/<str:ref>/<int:number>/", stub, name="chart_revision"),
]
