"""Serve the web pages, and do the background work beside them: one command, no other server."""

import subprocess
import sys
from argparse import ArgumentParser, ArgumentTypeError
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.core.wsgi import get_wsgi_application
from django.utils.translation import gettext as _
from gunicorn.app.base import BaseApplication


class Command(BaseCommand):
    help = "Serve on an address (127.0.0.1:8000 unless given) and do the background work."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--address", type=listens_on, default="127.0.0.1:8000", help="host:port to listen on"
        )
        parser.add_argument("--threads", type=int, default=4)

    def handle(self, *args: Any, address: str, threads: int, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        call_command("collectstatic", interactive=False, verbosity=0)
        worker = subprocess.Popen([sys.executable, sys.argv[0], "work"])  # noqa: S603  our own command
        self.stdout.write(f"Serving at http://{address} (stop with Ctrl-C)")
        self.stdout.flush()
        try:
            Server(address, threads).run()
        finally:
            worker.terminate()
            worker.wait(30)


def listens_on(typed: str) -> str:
    """An address such as 127.0.0.1:8000. Raises ArgumentTypeError that says what would be right."""
    host, _colon, port = typed.rpartition(":")
    if not host or not port.isdecimal() or not 0 < int(port) < 65_536:
        raise ArgumentTypeError(
            _("%(typed)r is no address; write host:port, such as 127.0.0.1:8000") % {"typed": typed}
        )
    return typed


class Server(BaseApplication):  # type: ignore[misc]
    """gunicorn, configured in code: one process, so that SQLite has one set of kept connections."""

    def __init__(self, address: str, threads: int) -> None:
        self.address, self.threads = address, threads
        super().__init__()

    def load_config(self) -> None:
        values = {
            "bind": self.address,
            "workers": 1,
            "worker_class": "gthread",
            "threads": self.threads,
            "timeout": 120,
            "graceful_timeout": 10,
            "worker_tmp_dir": str(settings.VAR),
            "loglevel": "warning",
            "control_socket_disable": True,
        }
        for name, value in values.items():
            if name in self.cfg.settings:
                self.cfg.set(name, value)

    def load(self) -> Any:
        return get_wsgi_application()
