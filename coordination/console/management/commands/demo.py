"""Play the demo through the real actions, leave its papers under var/demo/, print the ways in, and serve it."""

import io
import json
import shutil
import subprocess
import sys
import time
from argparse import SUPPRESS, ArgumentParser
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from coordination.access.models import Project
from coordination.background.queries import given_up
from coordination.background.running import Tried, run_until_idle
from coordination.console.background_work import WORKS
from coordination.console.demo.cast import Cast, Troupe, assemble, open_for
from coordination.console.demo.crew_visits import agree, call_whoever_blocks, weekday_from
from coordination.console.demo.final_words import write_down
from coordination.console.demo.more_sites import plan_more_sites
from coordination.console.demo.only_actions import only_actions
from coordination.console.demo.playing import Player
from coordination.console.demo.stories import SCENES, Scene
from coordination.console.demo.ways_in import ways_in
from coordination.console.handing_over import hand_over
from coordination.console.management.commands.serve import listens_on
from coordination.console.progress import Progress
from coordination.dates.actions import book_visit
from coordination.dates.done_by import set_package_day
from coordination.dates.queries import schedule_of
from coordination.files.keeping import path_of
from coordination.gates.actions import accept_change
from coordination.handover.models import ItemWord
from coordination.handover.queries import papers
from coordination.projects.actions import FactInput, enter_facts, set_calendar
from coordination.projects.job_file import read_job


@dataclass(frozen=True)
class Told:
    """What a played job leaves to be told: its name, the tokens of its links, how far it came."""

    name: str
    tokens: Mapping[str, str]
    line: str


class Command(BaseCommand):
    help = "Play the demo job through to its PDFs, print the sign-in links of the five people, and serve."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument(
            "--address", type=listens_on, default="127.0.0.1:8000", help="host:port to serve on"
        )
        parser.add_argument("--scene", type=int, help=SUPPRESS)
        parser.add_argument("--now", type=datetime.fromisoformat, help=SUPPRESS)

    def handle(self, *args: Any, no_serve: bool, address: str, **options: Any) -> None:
        if options["scene"] is not None:
            self._beside(options["scene"], options["now"])
            return
        folder, begun = settings.VAR / "demo", settings.VAR / "demo-begun"
        call_command("migrate", verbosity=0)
        if not Project.objects.exists():
            begun.touch()
            self._play(folder, timezone.now())
            begun.unlink()
        elif begun.exists():
            raise CommandError(
                f"A demo was broken off here. Remove {settings.VAR} (nothing else is in it) and begin again."
            )
        elif not folder.exists():
            raise CommandError(
                f"{settings.VAR} holds projects that are not the demo's. "
                "Move it away, or set SILL_VAR to an empty folder for the demo."
            )
        self.stdout.write((folder / "ways-in.txt").read_text().replace("ADDRESS", f"http://{address}"))
        self.stdout.write(f"Papers: {folder}")
        self.stdout.flush()
        if not no_serve:
            call_command("serve", address=address)

    def _play(self, folder: Path, now: datetime) -> None:
        """One job in this process, the other beside it, and a worker that makes copies and papers meanwhile."""
        self._say("This plays two whole jobs through the real actions; it takes a few minutes, once.")
        cast = assemble(_before(now))
        others = [
            self._started("demo", "--scene", str(n), "--now", now.isoformat()) for n in range(1, len(SCENES))
        ]
        worker = self._worker()
        try:
            told = [self._play_one(cast, SCENES[0], now, watched=True)]
            self._say(f"Playing: {SCENES[1].place} (begun beside it)")
            told += [self._ended(process) for process in others]
            with only_actions():
                plan_more_sites(cast, now)
            self._finish_the_work()
        finally:
            for process in (worker, *others):
                process.terminate()
            worker.wait(30)
        self._say("Checking the record and the rules")
        call_command("verify_record", stdout=self.stdout)
        call_command("verify_rules", stdout=self.stdout)
        self._lay_out(folder)
        (folder / "ways-in.txt").write_text(ways_in(cast, [(job.line, job.tokens) for job in told], now))

    def _worker(self) -> "subprocess.Popen[str]":
        """What it tries again, when three write at once, is told in a file: nobody at the screen need act on it."""
        command = [sys.executable, sys.argv[0], "work", "--kind", "renditions", "--kind", "reports"]
        with (settings.VAR / "work.log").open("w") as log:
            return subprocess.Popen(command, stdout=log, stderr=log, text=True)  # noqa: S603  our own command

    def _started(self, *arguments: str) -> "subprocess.Popen[str]":
        command = [sys.executable, sys.argv[0], *arguments]
        return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)  # noqa: S603  our own command

    def _ended(self, process: "subprocess.Popen[str]") -> Told:
        out, _ = process.communicate()
        if process.returncode:
            raise CommandError(f"One of the jobs was not played to its end; its words stand above. {out}")
        name, tokens, line = json.loads(out.splitlines()[-1])
        self._say(line)
        return Told(name, tokens, line)

    def _beside(self, number: int, now: datetime) -> None:
        told = self._play_one(assemble(_before(now)), SCENES[number], now, watched=False)
        self.stdout.write(json.dumps([told.name, told.tokens, told.line]))

    def _finish_the_work(self) -> None:
        """Help the worker until nothing is left; two workers at once never make the same thing."""
        progress = self._progress("Making papers, mails and small copies of photos")

        def tell(_: Tried) -> None:
            progress.tell(progress.now + 1, progress.now + 1 + _work_left(), "pieces")

        while _work_left() and not given_up().exists():
            run_until_idle(WORKS, timezone.now(), tell=tell)
            time.sleep(0.2)  # the worker may still be at the last one
        for lease in given_up():
            raise CommandError(f"{lease.kind} {lease.key}: {lease.error}")
        progress.done("  all made")

    def _progress(self, title: str, *, watched: bool = True) -> Progress:
        screen = self.stderr if watched and sys.stderr.isatty() else None
        return Progress(screen, title, self.stdout if watched else io.StringIO())

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _play_one(self, cast: Cast, scene: Scene, now: datetime, *, watched: bool) -> Told:
        with only_actions():
            return self._through_actions(cast, scene, now, watched=watched)

    def _through_actions(self, cast: Cast, scene: Scene, now: datetime, *, watched: bool) -> Told:
        job = replace(read_job(scene.job), place=scene.place, zone=scene.zone)
        zone = ZoneInfo(job.zone)
        first = (now - timedelta(days=scene.days_ago)).astimezone(zone)
        at = first.replace(hour=6, minute=0, second=0, microsecond=0)
        troupe = Troupe(cast, open_for(cast, job, at), at)
        coordinator = troupe.as_role("coordinator", at)
        more = {"calendar.start": first.date().isoformat(), "lift.unit_number": scene.unit_number}
        entries = {**job.entries, **{key: FactInput(typed=typed) for key, typed in more.items()}}
        change = enter_facts(troupe.project, coordinator, at, entries, authorities=job.authorities)
        for key, own in job.working_days.items():
            set_calendar(
                troupe.project, coordinator, at, key,
                weekdays=own.weekdays, closed=own.closed, opened=own.opened,
            )  # fmt: skip
        if change is not None:
            accept_change(troupe.project, coordinator, at, change.uid)
        progress = self._progress(f"Playing: {job.name}", watched=watched)
        player = Player(troupe, scene.story, progress.tell)
        player.play(first.date(), (now - timedelta(days=1)).astimezone(zone).date())
        if scene.finishes and not player.finished():
            raise CommandError(
                f"{job.name} was not played to its end; it halted at {', '.join(player.halted_at())}."
            )
        if scene.finishes:
            write_down(troupe.project, troupe.as_role("coordinator", player.now), player.now)
        self._book_the_crew(troupe, max(player.now, at))
        self._want_the_lift_done(troupe, max(player.now, at))
        for purpose, holder in (("owner page", cast.people["owner"].name), ("inspection", "Inspector")):
            troupe.tokens[purpose] = troupe.send_to(purpose, holder, max(player.now, at))
        line = progress.done(f"  {job.name}: {progress.now} of {progress.most} tasks satisfied")
        return Told(job.name, troupe.tokens, line)

    def _book_the_crew(self, troupe: Troupe, at: datetime) -> None:
        """The first visit is booked for a few days after the plan's earliest, where it is still to come."""
        rails = schedule_of(troupe.project, at.date()).tasks.get("rails@rail-wall")
        if rails is None or rails.early_start <= at.date():
            return
        day = rails.early_start + timedelta(days=3)
        coordinator = troupe.as_role("coordinator", at)
        agree(troupe.project, coordinator, at)
        call_whoever_blocks(troupe.project, coordinator, at)
        book_visit(
            troupe.project,
            coordinator,
            at,
            key="rails",
            day=weekday_from(day),
            confirm_by=rails.early_start - timedelta(days=7),
            wasted_trip_cents=185_000,
        )

    def _want_the_lift_done(self, troupe: Troupe, at: datetime) -> None:
        """On a job under way the contractor wants the crew's work done two weeks after the plan's last day."""
        dated = schedule_of(troupe.project, at.date())
        if dated.end is not None and dated.end > at.date():
            day = dated.end + timedelta(days=14)
            set_package_day(troupe.project, troupe.as_role("contractor", at), at, "lift", day)

    def _lay_out(self, folder: Path) -> None:
        shutil.rmtree(folder, ignore_errors=True)
        for project in Project.objects.select_related("supplier").order_by("pk"):
            place = folder / slug(project.name)
            place.mkdir(parents=True)
            for paper in reversed(papers(project)):
                name = f"{paper.cleared_at:%Y-%m-%d}-{paper.gate_key}-{paper.code}.pdf"
                shutil.copy(path_of(paper.blob), place / name)
            if ItemWord.objects.filter(project=project).exists():
                self._say(f"Laying down the final handover of {project.name}")
                hand_over(project, place / "final-handover", language="en-us", originals=True)


def _work_left() -> int:
    return sum(len(list(work.find(timezone.now()))) for work in WORKS)


def _before(now: datetime) -> datetime:
    """When the cast has come together: before the first job begins."""
    return now - timedelta(days=max(scene.days_ago for scene in SCENES) + 1)


def slug(name: str) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split())
