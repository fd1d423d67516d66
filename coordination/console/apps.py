from django.apps import AppConfig


class ConsoleConfig(AppConfig):
    name = "coordination.console"

    def ready(self) -> None:
        from coordination.console import checks  # noqa: F401
