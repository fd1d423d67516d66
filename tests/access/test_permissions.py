"""The permission table, walked cell by cell against a matrix written down here a second time."""

import pytest

from coordination.access.models import ROLES, Project
from coordination.access.permissions import TABLE, NotAllowed, Scope, may, require
from coordination.access.visitors import Visitor

# any A · own work O · receiver R · reviewer V · grantor G · signer S · clearer C · nobody -
MATRIX = """
                                  coordinator contractor lift-crew subcontractor owner inspector
see the project                   A           A          A         -             -     -
see a task                        A           A          A         OR            -     -
see own tasks                     -           -          A         A             -     -
see the owner's page              A           A          A         -             A     A
see phone numbers                 A           A          A         -             -     -
see photo originals               A           A          -         -             -     -
read reports                      A           A          A         -             -     A
read the papers                   A           A          A         -             A     A
see evidence sheets               A           A          A         OR            -     A
have papers packed                A           A          -         -             A     -
read the record                   A           A          -         -             -     -
change facts                      A           -          -         -             -     -
answer a question                 A           A          -         -             -     -
accept a change of plan           A           -          -         -             -     -
assign a company                  A           A          -         -             -     -
add a member                      A           A          -         -             -     -
add a member for the supplier     A           -          -         -             -     -
take dates along                  -           -          A         A             -     -
send a link                       A           A          -         -             -     -
revoke a link                     A           A          -         -             -     -
set a date                        A           A          -         -             -     -
book a visit                      A           -          -         -             -     -
sign the site-ready statement     -           A          -         -             -     -
log a call                        A           -          -         -             -     -
level the crews                   A           -          -         -             -     -
start a task                      A           A          O         O             -     -
hand in evidence                  A           A          O         O             -     -
withdraw evidence                 A           A          O         O             -     -
offer a task                      A           A          O         O             -     -
enter for a company               A           A          -         -             -     -
answer a handoff                  A           A          R         R             -     -
accept for a silent receiver      -           A          -         -             -     -
review evidence                   V           V          V         V             -     -
mark a photo                      A           A          ORV       ORV           -     -
grant a concession                G           G          G         -             G     -
sign a gate                       S           S          S         -             S     -
clear a gate                      C           C          -         -             -     -
add a gate                        A           A          -         -             -     -
add work                          A           A          -         -             -     -
take up a remark                  A           -          -         -             -     -
tell a witness                    A           A          O         O             -     -
attach an authority's document    A           A          -         -             -     -
fill the final list               A           A          -         -             -     -
leave a remark                    A           A          -         -             -     A
"""
EXPECTED = {
    line[:34].strip(): dict(zip(ROLES, line[34:].split(), strict=True)) for line in MATRIX.splitlines()[2:]
}
OTHERS = "somebody else"


def visitor(*roles: str, trades: frozenset[str] = frozenset({"framing"})) -> Visitor:
    return Visitor(Project(), frozenset(roles), trades, None, "", "Bo Tran", "", "person:x")


def situations(role: str) -> dict[str, Scope]:
    """For each letter, a scope that holds it for ``role`` and nothing else."""
    nothing = {"trade": "drywall", "receivers": frozenset({"flooring"}), "accepts": OTHERS, "deputy": OTHERS}
    nothing |= {"concede": (OTHERS,), "signers": (OTHERS,), "clears": OTHERS}
    letters = {
        "O": {"trade": "framing"},
        "R": {"receivers": frozenset({"flooring", "framing"})},
        "V": {"accepts": role},
        "v": {"deputy": role},
        "G": {"concede": (OTHERS, role)},
        "S": {"signers": (OTHERS, role)},
        "C": {"clears": role},
        "-": {},
    }
    return {letter: Scope(**{**nothing, **held}) for letter, held in letters.items()}


def test_the_matrix_has_every_verb_and_no_other():
    assert list(EXPECTED) == list(TABLE)
    assert {role for cells in TABLE.values() for role in cells} <= set(ROLES)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("verb", EXPECTED)
def test_each_cell_reaches_exactly_as_far_as_written(verb, role):
    cell = EXPECTED[verb][role]
    reached = {letter: may(visitor(role), verb, scope) for letter, scope in situations(role).items()}
    assert reached == {letter: "A" in cell or letter.upper() in cell.replace("-", "") for letter in reached}


@pytest.mark.parametrize("verb", EXPECTED)
def test_without_a_scope_only_any_reaches(verb):
    for role in ROLES:
        assert may(visitor(role), verb) == ("A" in EXPECTED[verb][role])


def test_two_roles_reach_what_either_reaches_and_no_role_lends_its_word_to_another():
    both = visitor("contractor", "owner")
    assert may(both, "clear a gate", Scope(clears="contractor"))
    assert may(both, "grant a concession", Scope(concede=("owner",)))
    assert not may(both, "clear a gate", Scope(clears="owner"))
    assert not may(visitor("owner"), "clear a gate", Scope(clears="owner"))


def test_a_visitor_without_trades_reaches_no_work_and_an_empty_trade_is_nobodys():
    nobody = visitor("subcontractor", trades=frozenset())
    assert not may(nobody, "start a task", Scope(trade="framing"))
    assert not may(visitor("subcontractor", trades=frozenset({""})), "start a task", Scope(trade=""))


def test_require_names_the_verb_and_an_unknown_verb_is_our_fault():
    with pytest.raises(NotAllowed) as refused:
        require(visitor("owner"), "change facts")
    assert refused.value.verb == "change facts"
    with pytest.raises(KeyError):
        may(visitor("owner"), "no such verb")
