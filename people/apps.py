from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "people"
    verbose_name = "People"

    def ready(self) -> None:
        """What this app keeps about people; and texts that are found quickly."""
        from people import own_data, personal_data
        from people.languages import remember_texts

        personal_data.register(*own_data.kinds())
        remember_texts()
