"""What a receiver is shown first: named by the catalogue for every handoff link, and there to be shown."""

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.receiving import seen_first
from coordination.siteprep.toml_tables import CatalogueError, RuleFile

TASKS = load_catalogue().tasks
HANDOFFS = [(link.task, task.entry) for task in TASKS.values() for link in task.links if link.handoff]
WORK = """
[[task]]
entry = "own-work"
place = "site"
package = "board"
trade = "drywall"
days = [1, 1, 2]
text = {en = "Own work", es = "Trabajo propio"}
first_line = {en = "Own work", es = "Trabajo propio"}
source = "drawing-site"
after = [{task = "backing", LINK}]
"""


def rules(link: str) -> RuleFile:
    return RuleFile("local.toml", WORK.replace("LINK", link))


def test_every_handoff_says_what_matters_to_its_receiver():
    assert 8 <= len(HANDOFFS) <= 12
    assert [pair for pair in HANDOFFS if not seen_first(TASKS, *pair)] == []
    assert seen_first(TASKS, "frame-opening", "hang-door") == (
        *("opening-width", "opening-height", "sill-line", "opening-centre", "sill-backing"),
    )


def test_nothing_is_named_for_other_links_and_for_work_of_people_s_own():
    assert seen_first(TASKS, "walls", "board-inside") == ()
    assert seen_first(TASKS, "backing", "own") == ()


def test_what_the_giving_work_is_not_asked_for_is_refused():
    with pytest.raises(CatalogueError, match="'backing' asks for no 'opening-width'"):
        load_catalogue(rules('handoff = true, note = {en = "n", es = "n"}, sees = ["opening-width"]'))


def test_only_a_handoff_has_such_a_list():
    with pytest.raises(CatalogueError, match="sees"):
        load_catalogue(rules('sees = ["backing-left"]'))


def test_a_local_handoff_may_leave_it_out():
    found = load_catalogue(rules('handoff = true, note = {en = "n", es = "n"}'))
    assert seen_first(found.tasks, "backing", "own-work") == ()
