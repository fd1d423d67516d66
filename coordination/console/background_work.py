"""All background work in one list. Everything is found from state; nothing is enqueued."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

from django.utils import timezone

from coordination.access.attempts import forget_attempts, old_attempts
from coordination.background.work import Work
from coordination.dates.levelling_runs import run_levelling, unfinished
from coordination.evidence.renditions import make_missing, without_renditions
from coordination.files.letting_go import let_go, unclaimed
from coordination.files.parts import abandoned, sweep_parts
from coordination.gates.following import settle, unsettled
from coordination.gates.models import Clearing
from coordination.gates.refusal_photos import make_copies, without_copies
from coordination.handover.actions import make_gate_report
from coordination.handover.languages import reports_in_other_languages
from coordination.handover.packs import make_pack, packs_to_make
from coordination.handover.papers_for_strangers import look_at_paper, papers_not_looked_at
from coordination.handover.papers_wanted import reports_wished, usual_paper
from coordination.handover.queries import clearings_without_report
from coordination.notices.actions import read_on, send
from coordination.notices.queries import unread, unsent
from coordination.notices.reminding import remind, unreminded

UNCLAIMED_FOR = timedelta(days=2)
HALVES_STAY = timedelta(days=7)
ATTEMPTS_STAY = timedelta(days=1)


class Seldom:
    """Looks for work only once in a while, because looking is dear: it judges every project."""

    def __init__(self, find: Callable[[datetime], Iterable[str]], pause: timedelta) -> None:
        self._find, self._pause = find, pause
        self._looked: datetime | None = None

    def __call__(self, now: datetime) -> Iterable[str]:
        if self._looked is not None and self._looked <= now < self._looked + self._pause:
            return []
        self._looked = now
        return self._find(now)


def settle_what_follows(key: str) -> None:
    """End concessions whose last day is over, reopen gates whose facts moved, on one project."""
    settle(key, timezone.now())


def reports_to_make(now: datetime) -> list[str]:
    return [*clearings_without_report(), *reports_in_other_languages(), *reports_wished()]


def make_report(key: str) -> None:
    """The report of one clearing: in English on its code set's usual paper, where the key says nothing else."""
    uid, language, paper = (*key.split("/"), "", "")[:3]
    clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get(uid=uid)
    usual = usual_paper(clearing.gate.task.project.code_set)
    make_gate_report(clearing, timezone.now(), language=language or "en-us", paper=paper or usual)


def make_messages(stream: str) -> None:
    """Read on in one project's record for whoever must be told."""
    read_on(stream, timezone.now())


def make_reminders(key: str) -> None:
    """Remind those whose answers are awaited on one project, and tell who must know that one is late."""
    remind(key, timezone.now())


def send_message(key: str) -> None:
    send(int(key), timezone.now())


def unclaimed_files(now: datetime) -> list[str]:
    """Files that were kept for something that was refused then."""
    return unclaimed(now - UNCLAIMED_FOR)


def let_file_go(key: str) -> None:
    let_go(key, timezone.now() - UNCLAIMED_FOR)


def halves_left(now: datetime) -> list[str]:
    """Whether parts of files lie about that their phones have not gone on with for a week."""
    return ["parts"] if abandoned(now - HALVES_STAY) else []


def let_halves_go(key: str) -> None:
    """The phones still have the whole, and begin anew."""
    sweep_parts(timezone.now() - HALVES_STAY)


def attempts_left(now: datetime) -> list[str]:
    """Whether counters of attempts lie about that count nothing any more."""
    return ["attempts"] if old_attempts(now - ATTEMPTS_STAY) else []


def let_attempts_go(key: str) -> None:
    forget_attempts(timezone.now() - ATTEMPTS_STAY)


WORKS = (
    Work("renditions", find=without_renditions, do=make_missing, limit=120),
    Work("refusal photos", find=without_copies, do=make_copies, limit=120),
    Work("papers", find=papers_not_looked_at, do=look_at_paper, limit=180),
    Work("reports", find=reports_to_make, do=make_report, limit=300),
    Work("packs", find=packs_to_make, do=make_pack, limit=3600, attempts=3),
    Work("following", find=Seldom(unsettled, timedelta(minutes=10)), do=settle_what_follows, limit=120),
    Work("files", find=Seldom(unclaimed_files, timedelta(hours=1)), do=let_file_go, limit=60),
    Work("halves", find=Seldom(halves_left, timedelta(hours=1)), do=let_halves_go, limit=60),
    Work("attempts", find=Seldom(attempts_left, timedelta(hours=1)), do=let_attempts_go, limit=60),
    Work("messages", find=unread, do=make_messages, limit=60),
    Work("reminders", find=Seldom(unreminded, timedelta(minutes=5)), do=make_reminders, limit=60),
    Work("levelling", find=unfinished, do=run_levelling, limit=300, attempts=3),
    Work("mails", find=unsent, do=send_message, limit=60, attempts=20),
)
