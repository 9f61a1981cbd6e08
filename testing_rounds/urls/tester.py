"""A tester's own pages, and photos."""

from django.urls import path

from config.stub import stub

urlpatterns = [
    path("t/<str:token>/", stub, name="tester_link"),
    path("test/<str:ref>/", stub, name="test"),
    path("test/<str:ref>/consents/", stub, name="test_consents"),
    path("test/<str:ref>/measures/", stub, name="test_measures"),
    path("test/<str:ref>/files/<str:file_ref>/", stub, name="test_file"),
    path("test/<str:ref>/print/", stub, name="test_print"),
    path("test/<str:ref>/fit/", stub, name="test_fit"),
    path("test/<str:ref>/fit/<str:zone>/", stub, name="test_zone"),
    path("test/<str:ref>/photos/", stub, name="test_photos"),
    path("test/<str:ref>/steps/", stub, name="test_steps"),
    path("test/<str:ref>/last/", stub, name="test_last"),
    path("test/<str:ref>/save/", stub, name="test_save"),
    path("test/<str:ref>/send/", stub, name="test_send"),
    path("photos/<str:ref>/<str:width>/", stub, name="photo"),
]
