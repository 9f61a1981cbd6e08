from django.apps import AppConfig


class TestingRoundsConfig(AppConfig):
    name = "testing_rounds"
    verbose_name = "Testing rounds"

    def ready(self) -> None:
        """Tell the pages of versions and of charts what rounds add to them."""
        from measurements.sample_sources import SampleSource, add_sample_source
        from releases.registry import VersionPart, add_next_step, add_version_part
        from testing_rounds.fabric_reports import fabric_part
        from testing_rounds.tester_sample import sample_of_testers
        from testing_rounds.version_decided import decided_part
        from testing_rounds.version_rounds import next_steps, version_part

        add_version_part(VersionPart("rounds", "testing_rounds/plan_rounds.html", version_part))
        add_version_part(VersionPart("decided", "testing_rounds/version_decided.html", decided_part))
        add_version_part(VersionPart("fabric-used", "testing_rounds/fabric_used.html", fabric_part, page="fabric"))
        add_next_step(next_steps)
        add_sample_source(SampleSource("testers", sample_of_testers))
