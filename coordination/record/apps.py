from django.apps import AppConfig


class RecordConfig(AppConfig):
    name = "coordination.record"

    def ready(self) -> None:
        from coordination.record import checks  # noqa: F401
