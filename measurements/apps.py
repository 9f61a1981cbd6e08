from django.apps import AppConfig


class MeasurementsConfig(AppConfig):
    name = "measurements"
    verbose_name = "Measurements"
