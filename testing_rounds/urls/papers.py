"""What leaves the app: the fit-issue summary and round files."""

from django.urls import path

from config.stub import stub

urlpatterns = [
    path("rounds/<str:ref>/summary/", stub, name="summary"),
    path("summaries/<str:ref>/", stub, name="summary_file"),
    path("rounds/<str:ref>/round-file.json", stub, name="round_file"),
    path("studios/<str:ref>/round-files/", stub, name="round_file_import"),
]
