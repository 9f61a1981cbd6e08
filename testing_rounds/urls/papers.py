"""What leaves the app: the fit-issue summary and round files."""

from django.urls import path

from config.stub import stub
from testing_rounds.views import round_files

urlpatterns = [
    path("rounds/<str:ref>/summary/", stub, name="summary"),
    path("summaries/<str:ref>/", stub, name="summary_file"),
    path("rounds/<str:ref>/round-file.json", round_files.round_file, name="round_file"),
    path("studios/<str:ref>/round-files/", round_files.round_file_import, name="round_file_import"),
]
