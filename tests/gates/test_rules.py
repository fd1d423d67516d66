from coordination.gates.rules import check_rules
from tests.gates.sites import BOARD


def test_a_job_done_through_the_actions_breaks_no_rule(site):
    site.signed()
    site.clear("close-in")
    site.start(BOARD.key, "other electrician")
    site.clear("handover") if False else None
    assert check_rules(site.project, site.at) == []
