from django.apps import AppConfig


class TestingRoundsConfig(AppConfig):
    name = "testing_rounds"
    verbose_name = "Testing rounds"
