from django.apps import AppConfig


class TestingRoundsConfig(AppConfig):
    name = "testing_rounds"
    verbose_name = "Testing rounds"

    def ready(self) -> None:
        from testing_rounds.version_page import register

        register()
