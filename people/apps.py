from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "people"
    verbose_name = "People"

    def ready(self) -> None:
        """What this app keeps about people."""
        from people import own_data, personal_data

        personal_data.register(*own_data.kinds())
