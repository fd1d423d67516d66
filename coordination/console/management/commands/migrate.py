"""Django's migrate, after which the append-only triggers are installed again."""

from typing import Any

from django.core.management.commands.migrate import Command as Migrate
from django.db import connections

from coordination.record.triggers import install_triggers


class Command(Migrate):
    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        if not options["plan"] and not options["check_unapplied"]:
            install_triggers(connections[options["database"]])
