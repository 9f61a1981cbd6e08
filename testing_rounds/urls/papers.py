"""What leaves the app: the fit-issue summary and round files."""

from django.urls import path

from testing_rounds.views import papers, round_files

urlpatterns = [
    path("rounds/<str:ref>/summary/", papers.summary, name="summary"),
    path("summaries/<str:ref>/", papers.summary_file, name="summary_file"),
    path("rounds/<str:ref>/round-file.json", round_files.round_file, name="round_file"),
    path("studios/<str:ref>/round-files/", round_files.round_file_import, name="round_file_import"),
]
