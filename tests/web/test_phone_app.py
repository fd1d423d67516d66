"""The app on a phone: manifest, worker, whose sheets may be kept; and a server without the library for the store."""

import contextlib
import json
import os
import re
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings as told_settings
from django.test import Client
from django.urls import reverse

from coordination.console.background_work import WORKS
from coordination.files import parts
from coordination.settings import version_of
from tests.gates.sites import BACKING, Site, build

PAGES = ("my-tasks", "phone", "help", "sign-in")


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    return build()


def came_in(site: Site, name: str) -> Client:
    client = Client()
    client.force_login(site.cast.people[name])
    return client


def address(site: Site, name: str) -> str:
    return reverse(name, args=[site.project.uid] if name == "my-tasks" else [])


def fetched(client: Client, path: str) -> Any:
    """A file that was read to its end."""
    with contextlib.closing(client.get(path)) as answer:
        if answer.streaming:
            b"".join(answer.streaming_content)
        return answer


def test_the_manifest_names_what_a_phone_needs_to_install_it(client: Client, db: Any) -> None:
    answer = client.get(reverse("manifest"))
    told = json.loads(answer.content)
    assert answer.headers["Content-Type"] == "application/manifest+json"
    assert (told["name"], told["start_url"], told["scope"], told["display"]) == (
        "Sill & Plumb",
        "/",
        "/",
        "standalone",
    )
    assert [(icon["sizes"], icon["purpose"]) for icon in told["icons"]] == [
        ("192x192", "any"),
        ("512x512", "any"),
        ("512x512", "maskable"),
    ]
    assert {fetched(client, icon["src"]).status_code for icon in told["icons"]} == {200}


def test_the_worker_knows_every_file_of_its_version_and_is_asked_for_anew(client: Client, db: Any) -> None:
    answer = client.get(reverse("worker"))
    source = answer.content.decode()
    about = json.loads(re.search(r"const ABOUT = (.*);\n", source)[1])  # type: ignore[index]
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "no-store" in answer.headers["Cache-Control"]
    assert about["version"] == told_settings.STATIC_VERSION
    assert {fetched(client, file).status_code for file in about["files"]} == {200}
    assert all(file.startswith(f"/static/{about['version']}/") for file in about["files"])
    for name in ("css/components.css", "js/phone.js", "idb/index.js", "django_htmx/htmx-2.min.js"):
        assert f"/static/{about['version']}/{name}" in about["files"]


def test_files_of_a_version_may_be_kept_for_ever(client: Client, db: Any) -> None:
    answer = fetched(client, f"/static/{told_settings.STATIC_VERSION}/js/phone.js")
    assert "immutable" in answer.headers["Cache-Control"]
    assert client.get("/static/js/phone.js").status_code == 404


def test_another_byte_is_another_version(tmp_path: Any) -> None:
    (tmp_path / "a.js").write_text("one")
    first = version_of([tmp_path])
    (tmp_path / "a.js").write_text("two")
    assert [version_of([tmp_path]), version_of([tmp_path])] != [first, first]
    (tmp_path / "a.js").rename(tmp_path / "b.js")
    assert version_of([tmp_path]) != first


def test_each_page_says_whose_it_is_and_only_some_may_be_kept(site: Site) -> None:
    framer, again, crew = came_in(site, "framer"), came_in(site, "framer"), came_in(site, "crew")
    found = {
        name: [client.get(address(site, name)) for client in (framer, again, crew, Client())]
        for name in PAGES[1:]
    }
    for answers in found.values():
        mine, same, other, nobody = (answer.headers["Sheet-Holder"] for answer in answers)
        assert mine == same != other
        assert nobody == "nobody"
    keeps = {name: "Sheet-Keep" in framer.get(address(site, name)).headers for name in PAGES}
    assert keeps == {"my-tasks": True, "phone": True, "help": False, "sign-in": False}
    assert (
        "Sheet-Keep"
        in framer.get(reverse("my-task", args=[site.project.uid, site.task(BACKING.key).uid])).headers
    )


def test_another_language_is_another_holder(site: Site) -> None:
    client = came_in(site, "framer")
    first = client.get(reverse("phone")).headers["Sheet-Holder"]
    client.cookies["django_language"] = "es"
    assert client.get(reverse("phone")).headers["Sheet-Holder"] != first


def test_a_page_that_was_refused_may_not_be_kept(site: Site) -> None:
    answer = came_in(site, "stranger").get(address(site, "my-tasks"))
    assert (answer.status_code, "Sheet-Keep" in answer.headers) == (404, False)


def test_without_the_library_the_pages_are_plain_forms(site: Site, settings: Any) -> None:
    settings.STATICFILES_DIRS = [settings.BASE_DIR / "static"]
    site.start(BACKING.key, "framer")
    client = came_in(site, "framer")
    page = client.get(
        reverse("my-task", args=[site.project.uid, site.task(BACKING.key).uid])
    ).content.decode()
    assert ("js/phone.js" in page, "data-queue=" in page, 'enctype="multipart/form-data"' in page) == (
        False,
        False,
        True,
    )
    assert client.get(reverse("phone")).status_code == 200


def test_halves_that_no_phone_goes_on_with_are_let_go(site: Site, now: Any, settings: Any) -> None:
    key = uuid.UUID(int=5)
    parts.append("b" * 32, key, 0, [b"half"], limit=100)
    [work] = [work for work in WORKS if work.kind == "halves"]
    path = settings.FILE_UPLOAD_TEMP_DIR / "parts" / ("b" * 32) / str(key)
    found = []
    for days in (6, 8):
        then = (now - timedelta(days=days)).timestamp()
        os.utime(path, (then, then))
        work.find._looked = None  # type: ignore[attr-defined]
        found.append(list(work.find(now)))
    assert found == [[], ["parts"]]
    work.do("parts")
    assert parts.arrived("b" * 32, key) == 0
