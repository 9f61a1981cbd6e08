"""Addresses of size charts."""

from django.urls import path

from measurements.views import advice, charts, editing, grade, making, served, working

urlpatterns = [
    path("studios/<str:ref>/charts/", charts.listing, name="charts"),
    path("studios/<str:ref>/charts/new/", making.new, name="chart_new"),
    path("studios/<str:ref>/charts/check/", making.check, name="chart_check"),
    path("studios/<str:ref>/size-advice/", advice.rules, name="advice_rules"),
    path("charts/<str:ref>/", charts.latest, name="chart"),
    path("charts/<str:ref>/edit/", editing.edit, name="chart_edit"),
    path("charts/<str:ref>/grid/", working.grid, name="chart_grid"),
    path("charts/<str:ref>/grid/cells/", working.cells, name="chart_cells"),
    path("charts/<str:ref>/grid/since/", working.since, name="chart_since"),
    path("charts/<str:ref>/grade/", grade.chart_grade, name="chart_grade"),
    path("charts/<str:ref>/history/", charts.history, name="chart_history"),
    path("charts/<str:ref>/<int:number>/", charts.revision, name="chart_revision"),
    path("charts/<str:ref>/<int:number>/<str:unit>.csv", charts.download, name="chart_csv"),
    path("charts/<str:ref>/<int:number>/chart.xlsx", charts.workbook, name="chart_xlsx"),
    path("charts/<str:ref>/served/", served.served, name="chart_served"),
    path("samples/<str:ref>/remove/", served.sample_remove, name="body_sample_remove"),
]
