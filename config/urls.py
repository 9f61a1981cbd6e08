"""All addresses; each app keeps its own list."""

from django.urls import include, path

urlpatterns = [
    path("", include("people.urls")),
    path("", include("measurements.urls")),
    path("", include("releases.urls")),
    path("", include("testing_rounds.urls")),
]
