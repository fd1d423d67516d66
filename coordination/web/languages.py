"""The languages that a reader can choose, each called by its own name."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation
from django.utils.translation import get_language, get_language_info, to_locale


def own_names() -> dict[str, str]:
    """Code and own name of each language whose texts are there: English, español."""
    codes = [code for code, _name in settings.LANGUAGES if code == settings.LANGUAGE_CODE or _has_texts(code)]
    return {code: _own_name(code) for code in codes}


def offered_languages() -> list[dict[str, object]]:
    """The same with the one that is being read; nothing to choose when there is only one."""
    names = own_names()
    if len(names) < 2:
        return []
    return [{"code": code, "name": name, "current": code == get_language()} for code, name in names.items()]


@contextmanager
def reading_in(code: str) -> Iterator[None]:
    """Within the block texts are in ``code``; empty, they stay as they are."""
    if not code:
        yield
        return
    with translation.override(code):
        yield


def chosen_in(request: HttpRequest) -> str:
    """The language that was chosen in this browser; empty where it only says what it is set to."""
    code = request.COOKIES.get(settings.LANGUAGE_COOKIE_NAME, "")
    return code if code in own_names() else ""


def wanted_in(request: HttpRequest) -> str:
    """The language in which a paper is asked for, by ``?language=``; empty for the reader's own."""
    code = request.GET.get("language", "")
    return code if code in own_names() else ""


def speak_to(request: HttpRequest, code: str) -> None:
    """Answer this request in ``code``, unless something else was chosen in this browser or there is no such text."""
    if code in own_names() and not chosen_in(request):
        translation.activate(code)


def remember_language(response: HttpResponse, code: str) -> None:
    """Let this browser read in ``code`` from now on."""
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        code,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite=settings.LANGUAGE_COOKIE_SAMESITE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
    )


def _own_name(code: str) -> str:
    name = str(get_language_info(code)["name_local"])
    return name[0].upper() + name[1:]


def _has_texts(code: str) -> bool:
    compiled = [folder / to_locale(code) / "LC_MESSAGES" / "django.mo" for folder in settings.LOCALE_PATHS]
    return any(path.exists() for path in compiled)
