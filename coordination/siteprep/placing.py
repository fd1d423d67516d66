"""The places of a building: keys are given once and never renumbered."""

from functools import lru_cache

from coordination.siteprep.fact_types import Facts
from coordination.siteprep.plan_parts import Place
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, Text, read_toml
from coordination.siteprep.wording import fill, words

_BEFORE_LANDINGS = ("site", "route", "machine room", "pit")
_AFTER_LANDINGS = ("rail wall", "hoistway", "hoistway top")


def place_of(kind: str) -> str:
    """Return the key of the single place of ``kind``."""
    return kind.replace(" ", "-")


def places_of(facts: Facts) -> tuple[Place, ...]:
    """Return every place of the building, from the site and pit up to the hoistway top.

    A landing is a place and stands for its front opening; a rear opening that is there, or may be, is
    a place beside it.
    """
    return (
        *(_single(kind, facts) for kind in _BEFORE_LANDINGS),
        *(place for landing in facts.landings for place in _landing(landing, facts)),
        *(_single(kind, facts) for kind in _AFTER_LANDINGS),
    )


def _single(kind: str, facts: Facts) -> Place:
    """Return the one place of a kind; without a machine room its place is where the controller stands."""
    without = facts.value("machine_room.place") == "none"

    def instead(name: str, language: str) -> str | None:
        called = without and name == "machine_room"
        return words(facts.code_set, language)["controller_place"] if called else None

    text = _texts()["controller place" if without and kind == "machine room" else kind]
    return Place(place_of(kind), kind, fill(text, facts.code_set, instead))


@lru_cache(maxsize=1)
def _texts() -> dict[str, Text]:
    return dict(read_toml(CATALOGUE_FOLDER / "places.toml"))


def _landing(landing: str, facts: Facts) -> list[Place]:
    text = landing_text(landing, facts)
    found = [Place(f"landing-{landing}", "landing", _capital(text), landing, "front")]
    if facts.value(f"landing.{landing}.rear") is not False:
        rear = {
            language: f"{line}, {words(facts.code_set, language)['rear']}" for language, line in text.items()
        }
        found.append(Place(f"landing-{landing}-rear", "landing", _capital(rear), landing, "rear"))
    return found


def landing_text(landing: str, facts: Facts) -> dict[str, str]:
    """Return what a landing is called, "landing 1 (Pouring hall)", in each language."""
    name = facts.value(f"landing.{landing}.name")
    called = f"{landing} ({name})" if name else landing
    return {
        language: words(facts.code_set, language)["landing"].format(name=called) for language in ("en", "es")
    }


def _capital(text: dict[str, str]) -> dict[str, str]:
    return {language: line[:1].upper() + line[1:] for language, line in text.items()}
