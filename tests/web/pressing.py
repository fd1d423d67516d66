"""Presses buttons as a person without script does: reads the forms of a page, fills one in, sends it."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.http import HttpResponse
from django.test import Client


@dataclass
class Form:
    """One form of a page: where it goes, and what its fields hold before anybody types."""

    action: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    files: set[str] = field(default_factory=set)
    buttons: dict[str, list[str]] = field(default_factory=dict)
    boxes: set[str] = field(default_factory=set)


class _Reader(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.page, self.forms, self._form = page, [], None
        self._select, self._text = "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._form = Form(told.get("action") or self.page)
            self.forms.append(self._form)
        elif self._form is not None and tag in {"input", "button", "select", "textarea", "option"}:
            self._field(tag, told)

    def _field(self, tag: str, told: dict[str, str]) -> None:
        name, kind = told.get("name", ""), told.get("type", "text")
        if tag == "select":
            self._select = name
        elif tag == "option":
            if "selected" in told or self._select not in self._form.fields:
                self._form.fields[self._select] = [told.get("value", "")]
        elif tag == "textarea":
            self._text = name
            self._form.fields.setdefault(name, [""])
        elif not name:
            return
        elif tag == "button" or kind == "submit":
            self._form.buttons.setdefault(name, []).append(told.get("value", ""))
        elif kind == "file":
            self._form.files.add(name)
        elif kind in {"checkbox", "radio"}:
            self._form.boxes.add(name)
            if "checked" in told:
                self._form.fields.setdefault(name, []).append(told.get("value", "on"))
        else:
            self._form.fields.setdefault(name, []).append(told.get("value", ""))

    def handle_data(self, data: str) -> None:
        if self._text:
            self._form.fields[self._text] = [data.strip()]

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._form = None
        elif tag == "textarea":
            self._text = ""
        elif tag == "select":
            self._select = ""


def forms_on(response: HttpResponse) -> list[Form]:
    """Every form of a page, in its order."""
    reader = _Reader(response.request["PATH_INFO"])
    reader.feed(response.content.decode())
    return reader.forms


class NoSuchButton(AssertionError):
    """The page does not show the form that the person is looking for."""


def press(client: Client, page: HttpResponse, ending: str, **typed: Any) -> HttpResponse:
    """Fill in the first form whose address ends in ``ending`` and send it. Raises NoSuchButton.

    A value that is a file goes into a file field; a list presses several boxes. Asserts that it was taken.
    """
    found = next((form for form in forms_on(page) if form.action.partition("?")[0].endswith(ending)), None)
    if found is None:
        shown = sorted({form.action for form in forms_on(page)})
        raise NoSuchButton(f"no form to {ending} on {page.request['PATH_INFO']}; there are {shown}")
    return send(client, found, **typed)


def send(client: Client, form: Form, **typed: Any) -> HttpResponse:
    unknown = set(typed) - set(form.fields) - form.files - form.boxes - set(form.buttons)
    assert not unknown, f"{form.action} has no field {sorted(unknown)}: {sorted(form.fields)}"
    values: dict[str, Any] = {
        name: value if len(value) > 1 else value[0] for name, value in form.fields.items()
    }
    answer = client.post(form.action, {**values, **typed})
    assert answer.status_code in {200, 302}, (form.action, answer.status_code, text_of(answer)[:3000])
    return answer


def text_of(response: HttpResponse) -> str:
    """The words of a page without its marks."""

    class Words(HTMLParser):
        found: list[str] = []

        def handle_data(self, data: str) -> None:
            if data.strip():
                self.found.append(data.strip())

    words = Words()
    words.found = []
    words.feed(response.content.decode(errors="replace"))
    return " ".join(words.found)
