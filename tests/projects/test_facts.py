"""Facts: appended, never altered, all or nothing, each with who said it."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from coordination.access.permissions import NotAllowed
from coordination.projects.actions import (
    AuthorityInput,
    FactInput,
    answer_question,
    derive_again,
    enter_facts,
    set_authority,
)
from coordination.projects.fact_values import inputs_from
from coordination.projects.models import Authority, FactEntry, PlanChange
from coordination.projects.queries import history_of, open_change, standing_facts, statements
from coordination.projects.refusals import DatesRefused, FactsRefused, NotAQuestion
from coordination.record.models import Event
from coordination.record.queries import newest
from coordination.siteprep.facts import Fact
from coordination.siteprep.lengths import parse_length
from coordination.siteprep.model_sheet import load_model_sheet
from tests.projects.small_plans import FIRST
from tests.standing_cast import AT

SHEET = Path(__file__).resolve().parent.parent.parent / "fixtures" / "models" / "ferry-45.toml"
pytestmark = pytest.mark.usefixtures("derivation")


@pytest.fixture(autouse=True)
def _first_plan(derivation):
    derivation.plan = FIRST


@pytest.fixture
def enter(cast):
    def enter_as_coordinator(at=AT, **entries):
        told = {key.replace("__", "."): value for key, value in entries.items()}
        return enter_facts(cast.project, cast.visitor("coordinator"), at, told)

    return enter_as_coordinator


def test_each_kind_of_value_comes_back_as_it_was_stated(cast, enter):
    enter(
        pit__depth=FactInput(typed='14 1/2"', source="drawing A-3"),
        pit__groundwater=FactInput(typed="no"),
        power__volts=FactInput(typed=230),
        power__nameplate_amps=FactInput(typed="27.5 A"),
        pit__cure_temperature=FactInput("assumed", "58 F", said_by="GC superintendent"),
        calendar__start=FactInput(typed="2027-02-01"),
        calendar__working_days=FactInput(typed=["mon", "tue", "sat"]),
        landings=FactInput(typed=["1", "2", "3"]),
        landing__3__name=FactInput(typed="Loft"),
        pit__sump=FactInput("unknown", said_by="Ana Ruiz"),
    )
    facts = standing_facts(cast.project)
    assert {key: fact for key, fact in facts.items() if fact.said_by} == {
        "pit.depth": Fact(
            "pit.depth", "known", parse_length('14 1/2"'), '14 1/2"', "Ida Marsh", "drawing A-3"
        ),
        "pit.groundwater": Fact("pit.groundwater", "known", False, "no", "Ida Marsh"),
        "power.volts": Fact("power.volts", "known", 230, "230", "Ida Marsh"),
        "power.nameplate_amps": Fact("power.nameplate_amps", "known", 27.5, "27.5 A", "Ida Marsh"),
        "pit.cure_temperature": Fact(
            "pit.cure_temperature", "assumed", 14.4444444, "58 F", "GC superintendent"
        ),
        "calendar.start": Fact("calendar.start", "known", date(2027, 2, 1), "2027-02-01", "Ida Marsh"),
        "calendar.working_days": Fact(
            "calendar.working_days", "known", (0, 1, 5), "mon, tue, sat", "Ida Marsh"
        ),
        "landings": Fact("landings", "known", ("1", "2", "3"), "1, 2, 3", "Ida Marsh"),
        "landing.3.name": Fact("landing.3.name", "known", "Loft", "Loft", "Ida Marsh"),
        "pit.sump": Fact("pit.sump", "unknown", None, "", "Ana Ruiz"),
    }


def test_one_entering_is_one_event_with_every_statement(cast, enter):
    enter(pit__depth=FactInput(typed='14"'), pit__sump=FactInput(typed="yes", said_by="Elevator office"))
    told = newest(cast.project.stream, most=1)[0]
    assert (told.verb, told.actor["name"]) == ("facts entered", "Ida Marsh")
    assert told.body == {
        "facts": {
            "pit.depth": {
                "state": "known",
                "value": 355600000,
                "typed": '14"',
                "said_by": "Ida Marsh",
                "source": "",
            },
            "pit.sump": {
                "state": "known",
                "value": True,
                "typed": "yes",
                "said_by": "Elevator office",
                "source": "",
            },
        }
    }


def test_the_same_again_writes_nothing(cast, enter, derivation):
    enter(pit__depth=FactInput(typed='14"'))
    before = (Event.objects.count(), FactEntry.objects.count(), PlanChange.objects.count(), derivation.count)
    enter(pit__depth=FactInput(typed='14"'))
    assert before == (
        Event.objects.count(),
        FactEntry.objects.count(),
        PlanChange.objects.count(),
        derivation.count,
    )


def test_what_was_said_before_stays_readable(cast, enter):
    enter(pit__depth=FactInput(typed='14"'))
    enter(pit__depth=FactInput("assumed", '16"', said_by="Bo Tran"), at=datetime(2026, 3, 4, 3, tzinfo=UTC))
    enter(pit__depth=FactInput("unknown"))
    assert [
        (e.seq, e.state, e.typed, e.said_by, e.said_on) for e in history_of(cast.project, "pit.depth")
    ] == [
        (1, "known", '14"', "Ida Marsh", date(2026, 3, 2)),
        (2, "assumed", '16"', "Bo Tran", date(2026, 3, 3)),
        (3, "unknown", "", "Ida Marsh", date(2026, 3, 2)),
    ]
    assert standing_facts(cast.project)["pit.depth"].state == "unknown"


def test_every_fault_is_named_and_nothing_half_written_stays(cast, enter):
    before = Event.objects.count()
    with pytest.raises(FactsRefused) as refused:
        enter(
            pit__depth=FactInput(typed="deep"),
            pit__dept=FactInput(typed='14"'),
            power__volts=FactInput(typed="231"),
            pit__groundwater=FactInput(typed="no"),
        )
    assert [(fault.fact, fault.kind) for fault in refused.value.reasons] == [
        ("pit.depth", "not-a-length"),
        ("power.volts", "not-a-choice"),
        ("pit.dept", "unknown-key"),
    ]
    assert (Event.objects.count(), FactEntry.objects.count()) == (before, 0)


def test_a_fact_that_contradicts_what_stands_is_refused(cast, enter):
    enter(power__phases=FactInput(typed="single"))
    with pytest.raises(FactsRefused) as refused:
        enter(power__volts=FactInput(typed="460"))
    assert [(fault.fact, fault.kind) for fault in refused.value.reasons] == [
        ("power.volts", "phases-and-volts")
    ]
    assert standing_facts(cast.project)["power.volts"].state == "unknown"


def test_holidays_of_a_region_without_any_on_file_are_refused_by_name(cast, enter):
    enter(calendar__holidays=FactInput(typed="US-VT"))
    for typed in ("US-ZZ", "XX"):
        with pytest.raises(FactsRefused) as refused:
            enter(calendar__holidays=FactInput(typed=typed))
        assert [(f.fact, f.arguments["typed"]) for f in refused.value.reasons] == [
            ("calendar.holidays", typed)
        ]


def test_a_bare_length_keeps_its_value_when_the_units_of_the_sheets_change(cast, enter):
    enter(job__units=FactInput(typed="us"), pit__depth=FactInput(typed="14"))
    enter(job__units=FactInput(typed="metric"))
    assert standing_facts(cast.project).value("pit.depth") == parse_length('14"')
    enter(hoistway__width=FactInput(typed="1690"))
    assert standing_facts(cast.project).value("hoistway.width") == parse_length("1690 mm")


def test_a_landing_that_goes_takes_its_facts_out_of_sight_and_brings_them_back(cast, enter):
    enter(landings=FactInput(typed="1, 2, 3"), landing__3__name=FactInput(typed="Loft"))
    enter(landings=FactInput(typed="1, 2"))
    assert "landing.3.name" not in standing_facts(cast.project)
    enter(landings=FactInput(typed="1, 2, 3"))
    assert standing_facts(cast.project).value("landing.3.name") == "Loft"


def test_the_project_follows_the_code_set_of_its_facts(cast, enter):
    assert standing_facts(cast.project).code_set == "us"
    enter(job__code_set=FactInput(typed="en"))
    cast.project.refresh_from_db()
    assert (cast.project.code_set, standing_facts(cast.project).code_set) == ("en", "en")


def test_only_the_coordinator_enters_facts(cast):
    for name in ("contractor", "framer", "owner"):
        with pytest.raises(NotAllowed):
            enter_facts(cast.project, cast.visitor(name), AT, {"pit.depth": FactInput(typed='14"')})


def test_a_contractor_settles_a_question_but_alters_no_answer(cast, enter):
    contractor = cast.visitor("contractor")
    answer_question(
        cast.project, contractor, AT, "pit.sump", FactInput(typed="yes", said_by="Elevator office")
    )
    told = newest(cast.project.stream, most=1)[0]
    assert (told.verb, told.subject, told.actor["name"]) == ("question answered", "pit.sump", "Ana Ruiz")
    before = Event.objects.count()
    answer_question(
        cast.project, contractor, AT, "pit.sump", FactInput(typed="yes", said_by="Elevator office")
    )
    with pytest.raises(NotAQuestion) as refused:
        answer_question(cast.project, contractor, AT, "pit.sump", FactInput(typed="no"))
    assert [(r.key, dict(r.args)) for r in refused.value.reasons] == [
        ("question answered already", {"typed": "yes", "said_by": "Elevator office"})
    ]
    assert Event.objects.count() == before
    for name in ("framer", "owner"):
        with pytest.raises(NotAllowed):
            answer_question(cast.project, cast.visitor(name), AT, "pit.depth", FactInput(typed='14"'))


def test_a_contractor_does_not_alter_what_the_project_was_opened_with(cast):
    with pytest.raises(NotAQuestion):
        answer_question(cast.project, cast.visitor("contractor"), AT, "job.code_set", FactInput(typed="en"))
    assert standing_facts(cast.project).code_set == "us"


def test_a_question_about_nothing_is_refused_by_name(cast):
    with pytest.raises(FactsRefused) as refused:
        answer_question(cast.project, cast.visitor("contractor"), AT, "pit.colour", FactInput(typed="red"))
    assert [(fault.fact, fault.kind) for fault in refused.value.reasons] == [("pit.colour", "unknown-key")]


def test_figures_of_a_data_sheet_are_entered_with_the_sheet_as_their_source(cast, enter):
    sheet = load_model_sheet(SHEET)
    enter(**inputs_from(sheet.figures))
    standing = standing_facts(cast.project)
    assert {key: (standing[key].value, standing[key].source) for key in sheet.figures} == {
        key: (fact.value, sheet.source) for key, fact in sheet.figures.items()
    }


def test_an_assumed_fact_may_still_be_settled(cast, enter):
    enter(pit__sump=FactInput("assumed", "no"))
    answer_question(cast.project, cast.visitor("contractor"), AT, "pit.sump", FactInput(typed="yes"))
    assert standing_facts(cast.project)["pit.sump"].value is True


def test_authorities_follow_their_facts_and_keep_what_is_no_fact(cast):
    contractor = cast.visitor("contractor")
    told = AuthorityInput("555-0160", date(2026, 2, 20), ("rough-in", "final"))
    set_authority(
        cast.project, contractor, AT, "electrical", name="State office", permit="E-117", notice_days=3,
        particulars=told,
    )  # fmt: skip
    before = Event.objects.count()
    set_authority(
        cast.project, contractor, AT, "electrical", name="State office", permit="E-117", particulars=told
    )
    assert Event.objects.count() == before
    row = Authority.objects.get(project=cast.project)
    assert (row.kind, row.name, row.permit, row.notice_days, row.phone, row.permit_on, row.inspections) == (
        "electrical", "State office", "E-117", 3, "555-0160", date(2026, 2, 20), ["rough-in", "final"],
    )  # fmt: skip
    assert standing_facts(cast.project).value("authority.electrical.permit") == "E-117"
    enter_facts(
        cast.project,
        cast.visitor("coordinator"),
        AT,
        {"authority.electrical.permit": FactInput(typed="E-118")},
    )
    row.refresh_from_db()
    assert (row.permit, row.phone) == ("E-118", "555-0160")


def test_particulars_that_are_not_given_stay(cast):
    def say(**told):
        set_authority(
            cast.project, cast.visitor("contractor"), AT, "fire", particulars=AuthorityInput(**told)
        )
        row = Authority.objects.get(project=cast.project)
        return row.phone, row.permit_on, row.inspections

    day = date(2026, 2, 20)
    assert say(phone=" 555-0160 ", inspections=("rough-in ", "final")) == (
        "555-0160",
        None,
        ["rough-in", "final"],
    )
    assert say(permit_on=day) == ("555-0160", day, ["rough-in", "final"])
    before = Event.objects.count()
    assert say() == ("555-0160", day, ["rough-in", "final"])
    assert say(phone="555-0160", permit_on=day) == ("555-0160", day, ["rough-in", "final"])
    assert Event.objects.count() == before
    assert say(phone="", permit_on=None, inspections=()) == ("", None, [])
    assert Event.objects.count() == before + 1


def test_an_authority_that_does_not_exist_or_has_a_nameless_inspection_is_refused(cast):
    before = Event.objects.count()
    with pytest.raises(FactsRefused):
        set_authority(cast.project, cast.visitor("contractor"), AT, "harbour", name="x")
    with pytest.raises(DatesRefused) as refused:
        set_authority(
            cast.project,
            cast.visitor("contractor"),
            AT,
            "harbour",
            particulars=AuthorityInput(inspections=("",)),
        )
    assert [r.key for r in refused.value.reasons] == ["no such authority", "inspection without a name"]
    assert (Event.objects.count(), Authority.objects.count()) == (before, 0)


def test_deriving_twice_changes_nothing(cast, enter, derivation):
    enter(pit__depth=FactInput(typed='14"'))
    before, change = Event.objects.count(), open_change(cast.project)
    for visitor in (cast.visitor("coordinator"), None):
        derive_again(cast.project, visitor, AT)
    assert (Event.objects.count(), open_change(cast.project)) == (before, change)


def test_who_said_it_when_stands_beside_each_fact(cast, enter, django_assert_num_queries):
    enter(pit__depth=FactInput(typed='14"'))
    with django_assert_num_queries(1):
        listed = {s.definition.key: s for s in statements(cast.project)}
    assert (listed["pit.depth"].fact.typed, listed["pit.depth"].said_on) == ('14"', date(2026, 3, 2))
    assert (listed["pit.sump"].fact.state, listed["pit.sump"].said_on) == ("unknown", None)


def test_the_database_refuses_a_value_of_an_unknown_fact(cast, enter):
    enter(pit__depth=FactInput(typed='14"'))
    entry = FactEntry.objects.get()
    entry.pk, entry.seq, entry.state = None, 2, "unknown"
    with pytest.raises(IntegrityError), transaction.atomic():
        entry.save(force_insert=True)


def test_the_database_refuses_to_alter_what_was_said(real_database, derivation):
    from tests.standing_cast import gather

    cast = gather()
    enter_facts(cast.project, cast.visitor("coordinator"), AT, {"pit.depth": FactInput(typed='14"')})
    for act in (lambda: FactEntry.objects.update(typed="15"), lambda: FactEntry.objects.all().delete()):
        with pytest.raises(DatabaseError, match="append-only"):
            act()
    assert FactEntry.objects.get().typed == '14"'
