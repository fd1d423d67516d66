"""A report is made once, the same bytes whenever it is made, whatever kills the making; read back independently."""

import hashlib
import io
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pypdf
import pytest
from django.utils import timezone

from coordination.background.models import Lease
from coordination.background.queries import Progress, progress_of
from coordination.background.running import run_until_idle
from coordination.console.background_work import WORKS
from coordination.files.keeping import LIMIT, path_of
from coordination.gates.models import Clearing
from coordination.handover.actions import make_gate_report
from coordination.handover.models import Report
from coordination.handover.queries import clearings_without_report, papers, rounds
from coordination.record.models import Event
from coordination.record.verification import verify_stream
from tests.gates.sites import Site
from tests.paper.test_repeating import ANOTHER_DAY

ROOT = Path(__file__).resolve().parents[2]
REPORTS = [work for work in WORKS if work.kind == "reports"]


def made(site: Site, clearing: Clearing) -> Report:
    return make_gate_report(clearing, site.step(), language="en-us", paper="letter")


@pytest.fixture
def report(site: Site, clearing: Clearing) -> Report:
    return made(site, clearing)


def test_it_is_kept_as_an_original_and_its_hash_is_in_the_record(site: Site, report: Report) -> None:
    content = path_of(report.blob).read_bytes()
    assert hashlib.sha256(content).hexdigest() == report.blob.sha256
    event = Event.objects.get(pk=report.event_id)
    assert (event.verb, report.blob.sha256 in event.body, report.code in event.body) == (
        "report made",
        True,
        True,
    )
    assert verify_stream(site.project.stream).length == event.seq


def test_asked_for_twice_it_is_made_once(site: Site, clearing: Clearing, report: Report) -> None:
    before = Event.objects.count()
    assert made(site, clearing).pk == report.pk
    assert (Report.objects.count(), Event.objects.count()) == (1, before)
    assert list(clearings_without_report()) == []


def test_the_same_clearing_gives_the_same_bytes_again(site: Site, clearing: Clearing, report: Report) -> None:
    from coordination.handover.composing import compose_gate_report

    again = compose_gate_report(
        Clearing.objects.get(pk=clearing.pk), language="en-us", paper="letter"
    ).render()
    assert hashlib.sha256(again).hexdigest() == report.blob.sha256


def test_two_independent_readers_find_the_words_in_order(report: Report, tmp_path: Path) -> None:
    content = path_of(report.blob).read_bytes()
    reader = pypdf.PdfReader(io.BytesIO(content))
    by_pypdf = "\n".join(page.extract_text() for page in reader.pages)
    printed = subprocess.run(
        ["pdftotext", "-", "-"], input=content, capture_output=True, check=True, timeout=60
    ).stdout.decode()
    order = (
        "Gate report: close-in",
        "things were asked for",
        "Still open or assumed",
        "Adopted codes",
        "Contents",
        "What the gate waited for",
        "Asked for",
        "Files as they were handed in",
    )
    for text in (by_pypdf, printed):
        places = [text.find(words) for words in order]
        assert -1 not in places, (places, text)
        assert places == sorted(places)
        for words in (
            report.code,
            "2' 6\"",
            "E-77",
            "All of it is in place.",
            f"sheet 2 of {len(reader.pages)}",
        ):
            assert words in text, words


def test_it_has_title_language_outline_and_attachments(report: Report, clearing: Clearing) -> None:
    reader = pypdf.PdfReader(path_of(report.blob))
    assert reader.metadata.title == "Gate report: close-in"
    assert reader.trailer["/Root"]["/Lang"] == "en-US" or reader.trailer["/Root"]["/Lang"].lower() == "en-us"
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    headings = [item.title for item in _flat(reader.outline)]
    assert headings[:6] == [
        "Gate report: close-in",
        "Summary",
        "Title block",
        "Contents",
        "What was decided",
        "Signatures",
    ]
    places = [
        headings.index(name) for name in ("Cautions", "Pit", "Rail wall", "Originals", "Place in the record")
    ]
    assert places == sorted(places)
    assert reader.attachments["snapshot.json"] == [bytes(clearing.snapshot)]
    assert sorted(reader.attachments) == ["manifest.json", "originals.sha256", "snapshot.json"]


def _flat(outline):
    for item in outline:
        if isinstance(item, list):
            yield from _flat(item)
        else:
            yield item


def test_superseded_is_derived_and_the_first_paper_stays(
    site: Site, clearing: Clearing, report: Report
) -> None:
    from coordination.evidence.models import Evidence

    photo = Evidence.objects.get(requirement=site.need("backing@rail-wall#left"))
    site.withdraw(photo, "framer", "wrong wall")
    [paper] = papers(site.project)
    assert (paper.superseded, paper.code) == (True, report.code)
    assert path_of(report.blob).exists()
    [only] = rounds(site.project)
    assert (only.superseded_by, [cause["reasons"] for cause in only.because]) == (None, [["wrong wall"]])


def test_a_failed_paper_leaves_no_report(
    site: Site, clearing: Clearing, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(composed, target):
        raise OSError("disk full")

    monkeypatch.setattr("coordination.handover.composing.Composed.render_to", broken)
    before = Event.objects.count()
    with pytest.raises(OSError, match="disk full"):
        made(site, clearing)
    assert (Report.objects.count(), Event.objects.count()) == (0, before)
    assert list(clearings_without_report()) == [str(clearing.uid)]


def test_a_report_may_be_larger_than_an_upload(site: Site, clearing: Clearing, monkeypatch) -> None:
    def large(_made, target):
        for _ in range(51):
            target.write(bytes(1_000_000))

    monkeypatch.setattr("coordination.handover.composing.Composed.render_to", large)
    assert made(site, clearing).blob.size == 51_000_000 > LIMIT


KILLED = """
import os, sys
sys.path.insert(0, {root!r})
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coordination.settings")
import django
django.setup()
from django.utils import timezone
from coordination.gates.models import Clearing
from coordination.handover import actions
from coordination.handover.composing import Composed
Composed.render_to = lambda composed, target: target.write(b"%PDF-1.7 the same bytes each time")
where = {where!r}
if where == "after keeping":
    kept = actions.keep
    def keep(*args, **more):
        kept(*args, **more)
        os._exit(9)
    actions.keep = keep
elif where == "before commit":
    create = actions.Report.objects.create
    def killed(**row):
        create(**row)
        os._exit(9)
    actions.Report.objects.create = killed
elif where == "before keeping":
    actions.keep = lambda *args, **more: os._exit(9)
clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get()
actions.make_gate_report(clearing, timezone.now(), language="en-us", paper="letter")
"""


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("where", ["before keeping", "after keeping", "before commit"])
def test_killed_and_done_again_there_is_one_whole_report(
    real_database: str, tmp_path: Path, settings, where: str
) -> None:
    from tests.gates.sites import build

    site = build()
    site.signed()
    site.clear("close-in")
    environment = {**os.environ, "SILL_DATABASE": real_database, "SILL_VAR": str(settings.VAR)}

    def make(until: str) -> int:
        program = KILLED.format(root=str(ROOT), where=until)
        answer = subprocess.run(
            [sys.executable, "-c", program],
            env=environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert answer.returncode in (0, 9), answer.stderr
        return answer.returncode

    assert (make(where), Report.objects.count()) == (9, 0)
    assert (make(""), Report.objects.count()) == (0, 1)
    assert (make(""), Report.objects.count()) == (0, 1)
    assert path_of(Report.objects.get().blob).read_bytes() == b"%PDF-1.7 the same bytes each time"
    assert Event.objects.filter(verb="report made").count() == 1


REMADE = """
import hashlib, sys
sys.path.insert(0, {root!r})
import django
django.setup()
from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report
clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get()
for language, paper in (("en-us", "letter"), ("es", "a4")):
    composed = compose_gate_report(clearing, language=language, paper=paper, site="https://lifts.example.org")
    print(hashlib.sha256(composed.render()).hexdigest())
"""


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_the_same_bytes_on_two_days_in_two_places(real_database: str, tmp_path: Path, settings) -> None:
    """Another process, day, zone, locale, hash seed and folder; both languages and sizes."""
    from tests.gates.sites import build

    site = build()
    site.signed()
    site.clear("close-in")

    def made_at(folder: str, today: str, **surroundings: str) -> str:
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "sitecustomize.py").write_text(today)
        paths = os.pathsep.join((str(tmp_path / folder), str(ROOT)))
        answer = subprocess.run(
            [sys.executable, "-c", REMADE.format(root=str(ROOT))],
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "coordination.settings",
                "SILL_DATABASE": real_database,
                "SILL_VAR": str(settings.VAR),
                "PYTHONPATH": paths,
                **surroundings,
            },
            cwd=tmp_path / folder,
            capture_output=True,
            text=True,
            timeout=600,
            check=False,
        )
        assert answer.returncode == 0, answer.stderr
        return answer.stdout

    one = made_at("one", "", TZ="Pacific/Kiritimati", LC_ALL="C", PYTHONHASHSEED="1")
    two = made_at("two", ANOTHER_DAY, TZ="America/Adak", LC_ALL="C.UTF-8", PYTHONHASHSEED="4242")
    assert one == two
    assert len(set(one.split())) == 2


def test_poppler_is_there() -> None:
    assert shutil.which("pdftotext")


def children_of(process: int) -> list[Path]:
    """Folders of the living processes that one has started."""
    found = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            parent = int(path.read_text().rpartition(") ")[2].split()[1])
        except OSError:
            continue
        found += [path.parent] if parent == process else []
    return found


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_a_worker_killed_at_a_report_is_seen_and_the_report_is_made_once(
    real_database: str, settings, wait_until
) -> None:
    """The whole way: a worker as it is run, without warning in the middle, and another after it."""
    from tests.gates.sites import build

    site = build()
    site.signed()
    site.clear("close-in")
    [key] = clearings_without_report()
    environment = {**os.environ, "SILL_DATABASE": real_database, "SILL_VAR": str(settings.VAR)}
    command = [sys.executable, str(ROOT / "manage.py"), "work", "--kind", "reports"]
    worker = subprocess.Popen(command, env=environment)
    wait_until(lambda: progress_of("reports").get(key) == Progress("at it"), 60)
    left = children_of(worker.pid)
    worker.kill()
    worker.wait()
    wait_until(lambda: not any(path.exists() for path in left))
    assert (len(left), Report.objects.count()) == (1, 0)
    assert progress_of("reports")[key] == Progress("at it")
    assert run_until_idle(REPORTS, timezone.now(), children=False) == []
    Lease.objects.update(until=timezone.now())  # its time is out
    assert [each.error for each in run_until_idle(REPORTS, timezone.now(), children=False)] == [""]
    assert (Report.objects.count(), Event.objects.filter(verb="report made").count()) == (1, 1)
    assert (list(clearings_without_report()), progress_of("reports")) == ([], {})
