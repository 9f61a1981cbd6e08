"""Planning a round, the public call, the panel."""

from django.urls import path

from testing_rounds.views import call, mails, messages, panel, panel_choice, planning, scales

urlpatterns = [
    path("studios/<str:ref>/zones/", scales.zone_scales, name="zone_scales"),
    path("versions/<str:ref>/rounds/new/", planning.round_new, name="round_new"),
    path("rounds/<str:ref>/plan/", planning.round_plan, name="round_plan"),
    path("rounds/<str:ref>/state/", planning.round_state, name="round_state"),
    path("rounds/<str:ref>/panel/", panel.panel, name="panel"),
    path("rounds/<str:ref>/panel/choice/", panel_choice.panel_choice, name="panel_choice"),
    path("rounds/<str:ref>/mails/", mails.round_mails, name="round_mails"),
    path("rounds/<str:ref>/mails/<str:mail>/", mails.round_mail, name="round_mail"),
    path("rounds/<str:ref>/mails/<str:mail>/look/", mails.round_mail_html, name="round_mail_html"),
    path("places/<str:ref>/", panel.place, name="place"),
    path("places/<str:ref>/messages/", messages.place_messages, name="place_messages"),
    path("reminders/<str:token>/", mails.reminders_stop, name="reminders_stop"),
    path("call/<str:call_ref>/", call.call, name="call"),
    path("call/<str:call_ref>/picture.png", call.picture, name="call_picture"),
    path("call/<str:call_ref>/take-back/<str:token>/", call.take_back, name="call_take_back"),
]
