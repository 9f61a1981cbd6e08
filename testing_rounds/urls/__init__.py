"""All addresses of testing rounds, by who uses them."""

from testing_rounds.urls import evidence, papers, planning, tester

urlpatterns = planning.urlpatterns + evidence.urlpatterns + papers.urlpatterns + tester.urlpatterns
