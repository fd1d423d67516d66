"""Work of one name at several places is told apart by its place, and only that."""

from pathlib import Path

from coordination.projects.shared_names import in_place, telling_apart
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from tests.gates.sites import Site
from tests.standing_cast import gather

FACTS = Path(__file__).parents[2] / "fixtures" / "facts"


def test_only_work_that_shares_its_name_has_its_place_told(db: None) -> None:
    site = Site(gather())
    site.accept(derive(load_facts(FACTS / "candle-works.toml"), load_catalogue()))
    told = telling_apart(site.project)
    assert told["hang-door@landing-2"] == {"en": "Landing 2 (Drying loft)", "es": "Piso 2 (Drying loft)"}
    assert told["hang-door@landing-1"] != told["hang-door@landing-2"]
    assert "pour@pit" not in told


def test_a_place_that_is_not_known_is_left_out() -> None:
    assert in_place("Pour the pit", "") == "Pour the pit"
    assert in_place("Hang the door", "rear door") == "Rear door: Hang the door"
