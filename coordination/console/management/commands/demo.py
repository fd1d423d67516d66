"""Play the demo through the real actions, leave its papers under var/demo/, print the ways in, and serve it."""

import shutil
import sys
from argparse import ArgumentParser
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from coordination.access.actions import send_sign_in_link
from coordination.access.models import Project
from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.console.demo.cast import Cast, Troupe, assemble, open_for
from coordination.console.demo.only_actions import only_actions
from coordination.console.demo.playing import Player
from coordination.console.demo.progress import Progress
from coordination.console.demo.stories import SCENES, Scene
from coordination.files.keeping import path_of
from coordination.gates.actions import accept_change
from coordination.handover.queries import papers
from coordination.projects.actions import FactInput, enter_facts, set_calendar
from coordination.projects.job_file import read_job


class Command(BaseCommand):
    help = "Play the demo job through to its PDFs, print the sign-in links of the five people, and serve."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--address", default="127.0.0.1:8000", help="host:port to serve on")
        parser.add_argument("--again", action="store_true", help="play it once more into an empty database")

    def handle(self, *args: Any, no_serve: bool, address: str, again: bool, **options: Any) -> None:
        folder = settings.VAR / "demo"
        call_command("migrate", verbosity=0)
        if again or not Project.objects.exists():
            self._play(folder)
        elif not folder.exists():
            raise CommandError(
                f"{settings.VAR} holds projects that are not the demo's. Set SILL_VAR to an empty folder for the demo."
            )
        self.stdout.write((folder / "ways-in.txt").read_text().replace("ADDRESS", f"http://{address}"))
        self.stdout.write(f"Papers: {folder}")
        if not no_serve:
            call_command("serve", address=address)

    def _play(self, folder: Path) -> None:
        if Project.objects.exists():
            raise CommandError("The demo plays into an empty database only; move or remove var/ first.")
        now = timezone.now()
        cast = assemble(now - timedelta(days=max(scene.days_ago for scene in SCENES) + 1))
        troupes = []
        with only_actions():
            for scene in SCENES:
                troupes.append(self._play_one(cast, scene, now))
        for tried in run_until_idle(WORKS, timezone.now()):
            if tried.error:
                raise CommandError(f"{tried.kind} {tried.key}: {tried.error}")
        call_command("verify_record", stdout=self.stdout)
        call_command("verify_rules", stdout=self.stdout)
        shutil.rmtree(folder, ignore_errors=True)
        self._lay_out(folder, troupes)
        (folder / "ways-in.txt").write_text(ways_in(cast, troupes, now))

    def _play_one(self, cast: Cast, scene: Scene, now: datetime) -> Troupe:
        job = replace(read_job(scene.job), place=scene.place, zone=scene.zone)
        zone = ZoneInfo(job.zone)
        first = (now - timedelta(days=scene.days_ago)).astimezone(zone)
        at = first.replace(hour=6, minute=0, second=0, microsecond=0)
        troupe = Troupe(cast, open_for(cast, job, at), at)
        coordinator = troupe.as_role("coordinator", at)
        entries = {**job.entries, "calendar.start": FactInput(typed=first.date().isoformat())}
        change = enter_facts(troupe.project, coordinator, at, entries, authorities=job.authorities)
        for key, own in job.working_days.items():
            set_calendar(
                troupe.project, coordinator, at, key,
                weekdays=own.weekdays, closed=own.closed, opened=own.opened,
            )  # fmt: skip
        if change is not None:
            accept_change(troupe.project, coordinator, at, change.uid)
        progress = Progress(self.stderr if sys.stderr.isatty() else None, job.name, self.stdout)
        player = Player(troupe, scene.story, progress.tell)
        player.play(first.date(), now.astimezone(zone).date())
        progress.done()
        for purpose, holder in (("owner page", cast.people["owner"].name), ("inspection", "Inspector")):
            troupe.tokens[purpose] = troupe.send_to(purpose, holder, max(player.now, at))
        return troupe

    def _lay_out(self, folder: Path, troupes: list[Troupe]) -> None:
        for troupe in troupes:
            place = folder / slug(troupe.project.name)
            place.mkdir(parents=True)
            for paper in reversed(papers(troupe.project)):
                name = f"{paper.cleared_at:%Y-%m-%d}-{paper.gate_key}-{paper.code}.pdf"
                shutil.copy(path_of(paper.blob), place / name)


def slug(name: str) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split())


def ways_in(cast: Cast, troupes: list[Troupe], now: datetime) -> str:
    """The links of the five people, as a text; ADDRESS stands for where it is served."""
    lines = ["", "Ways in (each opens without a password):"]
    for role in ("coordinator", "contractor", "lift crew"):
        person = cast.people[role]
        token = send_sign_in_link(person, now, minutes=60 * 24 * 30, once=False)
        lines.append(f"  {role:14} {person.name:20} ADDRESS/l/{token}")
    for troupe in troupes:
        lines += ["", troupe.project.name]
        for name, token in troupe.tokens.items():
            who = {"owner page": ("owner", "Ines Halloway"), "inspection": ("inspector", "")}.get(
                name, ("subcontractor", name)
            )
            lines.append(f"  {who[0]:14} {who[1]:20} ADDRESS/l/{token}")
    return "\n".join([*lines, ""])
