from django.urls import path

from releases.views import ease, files, finished, grade, patterns, tables, units, versions

urlpatterns = [
    path("studios/<str:ref>/", patterns.studio, name="studio"),
    path("studios/<str:ref>/patterns/new/", patterns.pattern_new, name="pattern_new"),
    path("patterns/<str:ref>/", patterns.pattern, name="pattern"),
    path("patterns/<str:ref>/edit/", patterns.pattern_edit, name="pattern_edit"),
    path("patterns/<str:ref>/versions/new/", versions.version_new, name="version_new"),
    path("versions/<str:ref>/", versions.version, name="version"),
    path("versions/<str:ref>/edit/", versions.version_edit, name="version_edit"),
    path("versions/<str:ref>/chart/", versions.version_chart, name="version_chart"),
    path("versions/<str:ref>/finished/", finished.version_finished, name="version_finished"),
    path("versions/<str:ref>/steps/", versions.version_steps, name="version_steps"),
    path("versions/<str:ref>/ease/", ease.version_ease, name="version_ease"),
    path("versions/<str:ref>/grade/", grade.grade, name="version_grade"),
    path("versions/<str:ref>/grade/declared/", grade.grade_facts, name="version_grade_facts"),
    path("versions/<str:ref>/lengths/", ease.version_lengths, name="version_lengths"),
    path("versions/<str:ref>/size/", ease.version_size, name="version_size"),
    path("versions/<str:ref>/files/", files.version_files, name="version_files"),
    path("files/<str:ref>/", files.file, name="file"),
    path("files/<str:ref>/remove/", files.file_remove, name="file_remove"),
    path("versions/<str:ref>/units/", units.version_units, name="version_units"),
    path("versions/<str:ref>/measurements/", tables.tables, name="measurement_tables"),
    path("versions/<str:ref>/measurements.pdf", tables.tables_document, name="measurement_tables_pdf"),
]
