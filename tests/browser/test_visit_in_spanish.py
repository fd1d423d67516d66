"""A whole visit in Spanish at phone width, in real Chromium: every text that is shown is held against our Spanish."""

import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from playwright.sync_api import BrowserContext, Page, expect

from coordination.access import actions as access
from coordination.console.demo.site_photos import draw_photo
from coordination.evidence.models import Evidence
from coordination.gates.models import Offer
from tests.browser.test_subcontractor_visit import (
    LEFT,
    PHONE,
    SPREAD,
    card,
    in_nobodys_way,
    on_sqlite,
    opened,
)
from tests.gates.sites import JOB, Site, build
from tests.spanish.said import is_part, is_spanish

pytestmark = pytest.mark.browser

# The words of the small job, which a catalogue would say.
SPANISH: Mapping[str, str] = {
    "backing": "refuerzo",
    "continuous backing both sides, 30 in apart": "refuerzo continuo a los dos lados, a 30 in",
    "Photo": "foto de la izquierda",
    "Walls": "Muros",
    "spread": "ancho",
    "the spread": "mida el ancho",
    "rough": "instalación previa",
    "Electrical inspection": "Inspección eléctrica",
    "sweep": "barrer",
    "board": "panel",
    "rails": "guías",
    "close-in": "cierre",
    "handover": "entrega",
    "Pit": "Fosa",
    "Rail wall": "Muro de guías",
    "Hoistway": "Cubo",
    "Site": "Obra",
}


def in_spanish(thing: Any) -> Any:
    """The job with every text in both languages; a text without its Spanish stays English and is found."""
    if isinstance(thing, dict) and isinstance(thing.get("en"), str):
        words = thing["en"]
        return {**thing, "es": SPANISH.get(words, words)}
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{each.name: in_spanish(getattr(thing, each.name)) for each in fields(thing)})
    if isinstance(thing, tuple):
        return tuple(in_spanish(each) for each in thing)
    return thing


@pytest.fixture
def site(serving: str) -> Site:
    site = build(derived=in_spanish(JOB))
    site.at = timezone.now() - timedelta(minutes=30)
    told = {"purpose": "company tasks", "company": site.cast.companies["framer"], "holder": "Bo Tran"}
    link, token = access.send_link(
        site.project, site.who("coordinator"), site.at, language="es", days=7, **told
    )
    site.cast.links["texted"], site.cast.tokens["texted"] = link, token
    return site


@pytest.fixture
def phone(browser: Any) -> Any:
    """A phone that is set to English, as phones come."""
    context = browser.new_context(**PHONE, locale="en-US")
    yield context
    context.close()


# Every text that a reader can see or hear: text nodes that are shown, names of buttons and pictures, what stands in fields.
SHOWN = """() => {
  const found = { plain: [], drawn: [] };
  const walker = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const inside = node.parentElement;
    if (!inside.closest("script, style, noscript, template") && node.data.trim()) {
      (inside.closest("svg") ? found.drawn : found.plain).push(node.data);
    }
  }
  for (const each of document.querySelectorAll("[aria-label], [alt], [title], [placeholder]")) {
    for (const name of ["aria-label", "alt", "title", "placeholder"]) {
      if (each.getAttribute(name)) found.plain.push(each.getAttribute(name));
    }
  }
  return found;
}"""


def left_in_english(page: Page, site: Site) -> list[str]:
    people, firms = site.cast.people.values(), site.cast.companies.values()
    known = {site.project.name, site.project.place, "Ferry 45", "a standard", "1.2", *SPANISH.values()}
    known |= {capfirst(words) for words in SPANISH.values()}
    known |= {told for each in people for told in (each.name, each.phone, each.email)}
    known |= {told for each in firms for told in (each.name, each.phone, each.contact)}
    known |= {"IMG_0001.jpg", "nota.jpg", "La cinta no se lee.", "2 pies 6 pulg"}
    data = tuple(sorted((text for text in known if text), key=len, reverse=True))
    found = page.evaluate(SHOWN)
    plain = {" ".join(text.split()) for text in found["plain"]}
    drawn = {" ".join(text.split()) for text in found["drawn"]}
    wrong = {text for text in plain if not is_spanish(text, data)}
    return sorted(wrong | {text for text in drawn if not is_spanish(text, data) and not is_part(text, data)})


@on_sqlite
def test_the_whole_visit_is_in_spanish(
    site: Site, serving: str, phone: BrowserContext, tmp_path: Path
) -> None:
    faults: list[str] = []
    page = opened(phone, faults)

    english: dict[str, str] = {}

    def read() -> None:
        in_nobodys_way(page)
        assert page.evaluate("() => document.documentElement.lang") == "es"
        for text in left_in_english(page, site):
            english.setdefault(text, page.url)

    # the texted link, then the button
    page.goto(f"{serving}/l/{site.cast.tokens['texted']}")
    read()
    expect(page.locator("main").get_by_role("button", name="English")).to_be_visible()
    page.get_by_role("button", name="Abrir").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Mis tareas")
    read()
    page.get_by_role("link", name="refuerzo").first.click()
    expect(page.locator(".first-line")).to_have_text("refuerzo continuo a los dos lados, a 30 in")
    read()
    page.get_by_role("button", name="Empezar", exact=True).click()
    expect(page.get_by_text("Empezado. Presente lo que debe mostrar conforme avanza.")).to_be_visible()
    read()

    # a file that is no photo is refused in Spanish; a photo is taken, and what is told at once is Spanish, too
    left = card(page, site, LEFT)
    note = tmp_path / "nota.jpg"
    note.write_text("esto no es una foto")
    left.locator('input[type="file"]:not([data-camera])').set_input_files(note)
    left.get_by_role("button", name="Presentar", exact=True).click()
    expect(card(page, site, LEFT).get_by_role("alert").first).to_contain_text("nota.jpg no es una imagen")
    read()
    shot = tmp_path / "IMG_0001.jpg"
    taken = timezone.now() - timedelta(minutes=10)
    shot.write_bytes(draw_photo("framing", seed=1, taken_at=taken, size=(1600, 1200)))
    card(page, site, LEFT).locator("[data-camera]").set_input_files(shot)
    card(page, site, LEFT).get_by_role("button", name="Presentar", exact=True).click()
    expect(card(page, site, LEFT).get_by_text("1 foto presentada.")).to_be_visible(timeout=60_000)
    read()

    # a reading outside, said at once; one that is no length, refused with what would be right; then inside
    spread = card(page, site, SPREAD)
    spread.get_by_label("Lo que se leyó").press_sequentially('33"')
    expect(spread.locator(".check")).to_contain_text("está fuera de la tolerancia", timeout=20_000)
    read()
    spread.get_by_label("Lo que se leyó").fill("ancho")
    spread.get_by_role("button", name="Presentar", exact=True).click()
    expect(card(page, site, SPREAD).get_by_role("alert").first).to_contain_text(
        "no se puede leer como medida"
    )
    read()
    card(page, site, SPREAD).get_by_label("Lo que se leyó").fill("2 pies 6 pulg")
    card(page, site, SPREAD).get_by_role("button", name="Presentar", exact=True).click()
    expect(card(page, site, SPREAD).locator(".value").first).to_have_text("2' 6\"")
    read()

    # offered; refused with a reason, which comes back on top; shown again and offered once more
    page.locator("#pass-on").get_by_role("button", name="Pasarlo").click()
    expect(page.get_by_text("Pasado. Se espera la respuesta.")).to_be_visible()
    read()
    site.at = timezone.now()
    site.review(LEFT, "contractor", "refused", "La cinta no se lee.")
    page.locator("#content").get_by_role("link", name="Mis tareas").click()
    expect(page.locator(".schedule").first).to_contain_text("La cinta no se lee.")
    read()
    page.get_by_role("link", name="refuerzo").first.click()
    expect(page.locator("#task-standing")).to_contain_text("La cinta no se lee.")
    read()
    card(page, site, LEFT).locator("[data-camera]").set_input_files(shot)
    card(page, site, LEFT).get_by_role("button", name="Presentar", exact=True).click()
    expect(card(page, site, LEFT).get_by_text("1 foto presentada.")).to_be_visible(timeout=60_000)
    page.locator("#pass-on").get_by_role("button", name="Pasarlo").click()
    expect(page.get_by_text("Pasado. Se espera la respuesta.")).to_be_visible()

    # the other pages that they have: the sheets of the trade, three weeks, the phone's own page, help, what is not there
    for address in (
        reverse("trade-sheets", args=[site.project.uid]),
        reverse("look-ahead", args=[site.project.uid]),
        reverse("phone"),
        reverse("help"),
        reverse("project", args=[site.project.uid]),
    ):
        page.goto(f"{serving}{address}")
        read()
    assert Offer.objects.count() == 2
    assert {row.sender_name for row in Evidence.objects.all()} == {"Bo Tran"}
    assert [fault for fault in faults if "404" not in fault] == []

    # without signal the kept pages stay Spanish, and the other language is not offered there
    page.goto(f"{serving}{reverse('my-tasks', args=[site.project.uid])}")
    page.wait_for_function(
        "async () => { for (const name of await caches.keys()) if (name.startsWith('sheets-')) {"
        " if (await (await caches.open(name)).match(location.href)) return true; } return false; }",
        timeout=60_000,
    )
    phone.set_offline(True)
    page.reload()
    expect(page.get_by_text(re.compile("^Sin señal. Esta es la hoja como estaba"))).to_be_visible()
    expect(page.locator(".languages")).to_be_hidden()
    read()
    assert english == {}
