from django.urls import path

from config.stub import stub

urlpatterns = [
    path("studios/<str:ref>/", stub, name="studio"),
    path("studios/<str:ref>/patterns/new/", stub, name="pattern_new"),
    path("patterns/<str:ref>/", stub, name="pattern"),
    path("patterns/<str:ref>/edit/", stub, name="pattern_edit"),
    path("patterns/<str:ref>/versions/new/", stub, name="version_new"),
    path("versions/<str:ref>/", stub, name="version"),
    path("versions/<str:ref>/edit/", stub, name="version_edit"),
    path("versions/<str:ref>/finished/", stub, name="version_finished"),
    path("versions/<str:ref>/steps/", stub, name="version_steps"),
    path("versions/<str:ref>/files/", stub, name="version_files"),
    path("files/<str:ref>/", stub, name="file"),
    path("versions/<str:ref>/measurements/", stub, name="measurement_tables"),
    path("versions/<str:ref>/measurements.pdf", stub, name="measurement_tables_pdf"),
]
