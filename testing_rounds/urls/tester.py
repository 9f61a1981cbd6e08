"""A tester's own pages, and photos."""

from django.urls import path

from testing_rounds.views import (
    messages,
    photo_parts,
    tester_answers,
    tester_dates,
    tester_fit,
    tester_photos,
    tester_visit,
)

urlpatterns = [
    path("t/<str:token>/", tester_visit.tester_link, name="tester_link"),
    path("test/<str:ref>/", tester_visit.test, name="test"),
    path("test/<str:ref>/dates/", tester_dates.dates, name="test_dates"),
    path("test/<str:ref>/dates/more/", tester_dates.more_days, name="test_more_days"),
    path("test/<str:ref>/dates/calendar.ics", tester_dates.calendar, name="test_calendar"),
    path("test/<str:ref>/changed/", tester_dates.changed, name="test_changed"),
    path("test/<str:ref>/messages/", messages.test_messages, name="test_messages"),
    path("test/<str:ref>/stop/", tester_visit.stop, name="test_stop"),
    path("test/<str:ref>/sign-out/", tester_visit.sign_out, name="test_sign_out"),
    path("test/<str:ref>/consents/", tester_visit.consents, name="test_consents"),
    path("test/<str:ref>/consents/<str:kind>/", tester_visit.take_back, name="test_take_back"),
    path("test/<str:ref>/measures/", tester_answers.measures, name="test_measures"),
    path("test/<str:ref>/size/", tester_answers.size, name="test_size"),
    path("test/<str:ref>/size/advice/", tester_answers.take_advice, name="test_take_advice"),
    path("test/<str:ref>/files/<str:file_ref>/", tester_answers.file, name="test_file"),
    path("test/<str:ref>/print/", tester_answers.print_check, name="test_print"),
    path("test/<str:ref>/print/again/", tester_answers.print_again, name="test_print_again"),
    path("test/<str:ref>/fit/", tester_fit.fit, name="test_fit"),
    path("test/<str:ref>/fit/<str:zone>/", tester_fit.fit, name="test_zone"),
    path("test/<str:ref>/photos/", tester_photos.photos, name="test_photos"),
    path("test/<str:ref>/photos/begin/", photo_parts.photo_begin, name="test_photo_begin"),
    path("test/<str:ref>/photos/parts/<str:arriving_ref>/", photo_parts.photo_parts, name="test_photo_parts"),
    path("test/<str:ref>/photos/parts/<str:arriving_ref>/stop/", photo_parts.photo_stop, name="test_photo_stop"),
    path("test/<str:ref>/photos/<str:photo_ref>/change/", tester_photos.photo_change, name="test_photo_change"),
    path("test/<str:ref>/photos/<str:photo_ref>/", tester_photos.photo_tile, name="test_photo"),
    path("test/<str:ref>/steps/", tester_answers.steps, name="test_steps"),
    path("test/<str:ref>/steps/<int:number>/", tester_answers.steps, name="test_step"),
    path("test/<str:ref>/last/", tester_answers.last, name="test_last"),
    path("test/<str:ref>/save/", tester_answers.save, name="test_save"),
    path("test/<str:ref>/send/", tester_answers.send, name="test_send"),
    path("photos/<str:ref>/", tester_photos.photo_open, name="photo_open"),
    path("photos/<str:ref>/<str:width>/<str:signed>/", tester_photos.photo, name="photo"),
]
