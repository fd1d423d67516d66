"""What a plan must be whatever the rules: repeatable, complete under the unknown, without open ends."""

from functools import cache
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.fact_checks import contradictions
from coordination.siteprep.facts import Fact, Facts, definitions, load_facts, read_facts
from coordination.siteprep.lengths import INCH
from coordination.siteprep.plan import Link, compare, derive, plan_from_json
from coordination.siteprep.toml_tables import read_toml

JOB = Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml"
CATALOGUE = load_catalogue()
ONLY_STARTS = {"layout-drawing@site"}
ONLY_ENDS = {"gate-handover@site"}


def job(**changes) -> Facts:
    """The invented job with some answers changed; ``None`` makes a fact unknown."""
    stated = load_facts(JOB).statements()
    for key, value in changes.items():
        stated[key.replace("__", ".")] = "unknown" if value is None else value
    return read_facts(stated)


RICH = job(
    sprinkler__standard="13",
    sprinkler__pit=True,
    sprinkler__machine_room=True,
    sprinkler__hoistway_top=True,
    fire_alarm__panel=False,
    fire_alarm__pit_heat_detector=True,
    machine_room__place="remote",
    pit__sump=True,
    pit__groundwater=True,
    pit__strength_specified="4000 psi",
    building__stage="existing",
    landing__2__rear=True,
    lift__temporary_use=True,
    wall__right__construction="masonry",
)
BARE = read_facts({})
JOBS = {"candle works": job(), "everything at once": RICH, "nothing known": BARE}


@cache
def plan(facts):
    return derive(facts, CATALOGUE)


@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_deriving_twice_changes_nothing(facts):
    one, other = derive(facts, CATALOGUE), derive(facts, CATALOGUE)
    assert one == other
    assert compare(one, other).is_nothing
    assert len(compare(one, other).untouched) == len(one.tasks)


@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_the_order_of_input_changes_nothing(facts):
    stated = list(facts.statements().items())
    Random(7).shuffle(stated)
    assert plan(read_facts(dict(stated))).as_json() == plan(facts).as_json()


@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_a_plan_comes_back_from_its_json(facts):
    one = plan(facts)
    assert plan_from_json(one.as_json()) == one
    assert plan_from_json(one.as_json()).as_json() == one.as_json()


def open_ends(found):
    befores, afters = {link.before for link in found.links}, {link.after for link in found.links}
    keys = {task.key for task in found.tasks}
    return keys - afters, keys - befores


FINITE = [each for each in definitions().values() if each.answers]


@pytest.mark.parametrize("key", [each.key for each in FINITE])
@pytest.mark.parametrize("facts", [JOBS["candle works"], RICH], ids=["candle works", "everything at once"])
def test_an_unknown_fact_plans_for_every_answer_and_asks(facts, key):
    """tasks(unknown) holds the tasks of every value; what not every value has is provisional; a question is there."""
    unknown = plan(facts.forgetting(key))
    tasks = {task.key: task for task in unknown.tasks}
    asked = {question.fact: question for question in unknown.questions}
    by_value = [plan(statement) for statement in answered(facts, key)]
    everywhere = set.intersection(*({task.key for task in found.tasks} for found in by_value))
    for found in by_value:
        assert {task.key for task in found.tasks} <= tasks.keys()
        assert {requirement.subject for task in found.tasks for requirement in task.requirements} <= {
            requirement.subject for task in unknown.tasks for requirement in task.requirements
        }
        assert {link.key for link in found.links} <= {link.key for link in unknown.links}
        assert {c for gate in found.gates for c in gate.conditions} <= {
            c for g in unknown.gates for c in g.conditions
        }
    extra = tasks.keys() - everywhere
    assert {task for task in extra if not tasks[task].provisional} == set()
    assert {task for task in extra if key in tasks[task].because} == extra
    if any(changed(by_value[0], found) for found in by_value):
        assert key in asked
        assert extra <= set(asked[key].tasks)


def answered(facts, key):
    """The same job with each possible answer, except where it would contradict the rest."""
    for value in facts.definitions[key].answers:
        stated = facts.stating(Fact(key, "known", value))
        if not contradictions(stated):
            yield stated


def changed(one, other):
    change = compare(one, other)
    return (*change.added, *change.dropped, *(each.key for each in change.altered))


@pytest.mark.parametrize("key", [each.key for each in FINITE])
@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_no_answer_leaves_an_open_end_or_a_ring(facts, key):
    for found in [facts.forgetting(key), *answered(facts, key)]:
        starts, ends = open_ends(plan(found))
        assert starts == ONLY_STARTS
        assert ends == ONLY_ENDS


def test_unknown_landings_make_everything_at_a_landing_provisional():
    found = plan(BARE)
    at_landings = [task for task in found.tasks if task.place.startswith("landing")]
    assert at_landings
    assert {task.provisional for task in at_landings} == {True}
    assert "landings" in {question.fact for question in found.questions}


@pytest.mark.parametrize("count", [2, 3, 4])
def test_landing_tasks_repeat_at_every_landing(count):
    landings = [str(number) for number in range(1, count + 1)]
    stated = load_facts(JOB).statements() | {"landings": landings, "hoistway.stories": count}
    del stated["landing.2.elevation"]
    for number in landings:
        stated[f"landing.{number}.elevation"] = f"{100 + 8 * int(number)}'"
        stated[f"landing.{number}.front"], stated[f"landing.{number}.rear"] = True, False
    found = plan(read_facts(stated))
    for entry in (
        "benchmark",
        "guard",
        "frame-opening",
        "hang-door",
        "close-front",
        "floor-to-sill",
        "smoke-detector",
    ):
        assert [task.key for task in found.tasks if task.entry == entry] == [
            f"{entry}@landing-{n}" for n in landings
        ]


def test_a_rear_opening_gets_tasks_of_its_own_and_joins_only_its_own_side():
    before, after = plan(job()), plan(job(landing__2__rear=True))
    change = compare(before, after)
    assert change.dropped == ()
    assert change.added == (
        "guard@landing-2-rear",
        "frame-opening@landing-2-rear",
        "hang-door@landing-2-rear",
        "close-front@landing-2-rear",
    )
    key = ("frame-opening@landing-2-rear", "hang-door@landing-2-rear", "FS")
    assert key in {link.key for link in after.links}
    sides = {(link.before, link.after) for link in after.links if "hang-door@landing-2" in link.after}
    assert ("frame-opening@landing-2", "hang-door@landing-2-rear") not in sides
    assert ("frame-opening@landing-2-rear", "hang-door@landing-2") not in sides


def test_sprinklers_that_appear_after_the_pour_are_a_change_and_nothing_is_lost():
    change = compare(plan(job()), plan(job(sprinkler__standard="13", sprinkler__machine_room=True)))
    assert change.added == ("sprinkler-room@machine-room", "shunt-trip@machine-room")
    assert change.dropped == ()
    assert [each.key for each in change.altered] == ["detectors-room@machine-room"]
    assert change.altered[0].fields == ("requirements",)


def test_a_required_sump_makes_the_safe_default_a_plain_task():
    before, after = plan(job()), plan(job(pit__sump=True))
    change = compare(before, after)
    assert (change.added, change.dropped) == ((), ())
    assert change.questions_settled == ("pit.sump",)
    assert before.task("sump-recess@pit").provisional
    assert not after.task("sump-recess@pit").provisional
    question = next(each for each in before.questions if each.fact == "pit.sump")
    assert question.decides == "elevator"
    assert question.safe_default["en"].startswith(
        "Form the sump recess in the pour, clear of plates, jack, buffer"
    )


def test_the_codes_own_disagreement_is_asked_with_both_readings():
    found = plan(job(sprinkler__standard="13", sprinkler__pit=True))
    question = next(each for each in found.questions if each.fact == "fire_alarm.pit_heat_detector")
    assert len(question.readings) == 2
    assert question.decides == "fire"
    assert "detectors-pit@pit" in question.tasks


def test_a_renamed_entry_is_the_same_task(tmp_path):
    content = read_toml(Path("coordination/siteprep/catalogue/tasks-04-rough.toml"))
    entry = next(each for each in content["task"] if each["entry"] == "pit-electric")
    assert entry["days"] == [1, 2, 3]
    extra = tmp_path / "company.toml"
    extra.write_text(
        """
        [[task]]
        entry = "pit-lamp"
        place = "pit"
        package = "rough"
        trade = "electrical"
        days = [1, 1, 2]
        text = {en = "Second pit lamp"}
        first_line = {en = "Pit, {pit.depth} deep: a second lamp"}
        source = "practice"
        after = ["pit-electric"]
        was = ["pit-electric"]
        """
    )
    old = plan(job())
    new = derive(job(), load_catalogue(extra))
    assert compare(old, new).added == ("pit-lamp@pit",)
    without = [task for task in new.tasks if task.key != "pit-electric@pit"]
    change = compare(old, type(new)(**{**vars(new), "tasks": tuple(without)}))
    assert change.added == change.dropped == ()
    renamed = next(each for each in change.altered if each.key == "pit-lamp@pit")
    assert (renamed.old_key, renamed.fields) == (
        "pit-electric@pit",
        ("key", "entry", "text", "first_line", "duration", "requirements", "cautions", "sources"),
    )


def test_the_two_code_sets_speak_their_own_words():
    us, en = plan(job()), plan(job(job__code_set="en"))
    assert [place.text["en"] for place in us.places if place.key == "hoistway"] == ["Hoistway"]
    assert [place.text["en"] for place in en.places if place.key == "hoistway"] == ["Well"]
    said = " ".join(task.text["en"] + task.first_line["en"] for task in en.tasks).lower()
    assert [word for word in ("elevator", "hoistway", "story") if word in said] == []
    assert [word for word in ("lift", "landing door", "well") if word not in said] == []


@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_no_text_is_left_unfilled(facts):
    assert "{" not in "".join(text for text in texts(plan(facts)))


def texts(found):
    for task in found.tasks:
        yield from (*task.text.values(), *task.first_line.values())
        for requirement in task.requirements:
            yield from (*requirement.text.values(), *requirement.stand.values())
    for each in (
        *found.gates,
        *found.questions,
        *found.quantities,
        *found.packages,
        *found.places,
        *found.findings,
    ):
        yield from each.text.values()
    for link in found.links:
        yield from link.receiver_note.values()


def test_lengths_are_told_in_the_units_of_the_site():
    metric = plan(job(job__units="metric"))
    assert (
        metric.task("dig@pit").first_line["en"]
        == "Dig for a pit 355.6 mm deep: shored or sloped, water kept out"
    )


def test_figures_that_do_not_fit_are_shown():
    found = plan(job(pit__depth='12"', hoistway__width="5' 5\"", pit__cure_temperature="45 F"))
    assert [(each.key, each.facts) for each in found.findings] == [
        ("pit-too-shallow", ("lift.pit_least", "pit.depth")),
        ("hoistway-too-narrow", ("hoistway.width", "lift.hoistway_width")),
        ("cold-pour", ("pit.cure_temperature",)),
    ]
    assert plan(job()).findings == ()


def heights(found):
    return [
        (each.value, each.source.document) for each in found.quantities if each.key.startswith("bracket-")
    ]


def test_brackets_keep_the_spacing_of_the_drawing():
    found = heights(plan(job()))
    assert len(found) == 6
    steps = [high - low for (low, _), (high, _) in pairwise(found)]
    assert max(steps) <= 66 * INCH
    assert {document for _, document in found} == {"common practice, no source"}


def test_the_approved_drawings_brackets_override_and_name_its_revision():
    drawn = plan(job(lift__bracket_elevations="1' 0\", 6' 2\", 11' 0\", 16' 1\", 20' 9\", 23' 8\""))
    assert heights(drawn) == [
        (height * INCH, "approved drawing, revision C") for height in (12, 74, 132, 193, 249, 284)
    ]
    assert {each.source.status for each in drawn.quantities if each.key.startswith("bracket-")} == {"drawing"}


def test_figures_are_worked_out_from_the_facts():
    found = {(each.key, each.place): each.value for each in plan(job()).quantities}
    assert {
        key: value
        for key, value in found.items()
        if not key[0].startswith(("bracket", "pit_load", "lifting"))
    } == {
        ("travel", "hoistway"): 141 * INCH,
        ("hoistway_height", "hoistway"): (14 + 141 + 138) * INCH,
        ("sill_height", "landing-1"): 14 * INCH,
        ("bare_floor_height", "landing-1"): 14 * INCH - 3 * INCH // 8,
        ("lintel_height", "landing-1"): (14 + 85) * INCH,
        ("sill_backing_bottom", "landing-1"): 14 * INCH - 37 * INCH // 4,
        ("sill_height", "landing-2"): (14 + 141) * INCH,
        ("bare_floor_height", "landing-2"): (14 + 141) * INCH - 3 * INCH // 4,
        ("lintel_height", "landing-2"): (14 + 141 + 85) * INCH,
        ("sill_backing_bottom", "landing-2"): (14 + 141) * INCH - 37 * INCH // 4,
        ("working_depth", "machine-room"): 36 * INCH,
        ("working_width", "machine-room"): 30 * INCH,
        ("room_headroom", "machine-room"): 84 * INCH,
        ("sump_recess", "pit"): 18 * INCH,
        ("sump_from_rail_wall", "pit"): 66 * INCH + INCH // 2 - 18 * INCH - 4 * INCH,
        ("sump_from_side_wall", "pit"): 4 * INCH,
        ("cure_days", "pit"): 7,
    }


def cure(found):
    figure = next(each for each in found.quantities if each.key == "cure_days")
    lag = next(each for each in found.links if (each.before, each.after) == ("pour@pit", "pit-strength@pit"))
    assert (lag.lag, lag.unit) == (figure.value, "calendar")
    assert found.task("pit-strength@pit").first_line["en"].startswith(f"{figure.value} days and a test:")
    return figure.value, figure.source.status, figure.source.clause


def test_without_the_specified_strength_seven_days_of_practice_are_reckoned_with():
    assert cure(plan(job())) == (7, "practice", "seven days before the pit is loaded, as a planning figure")
    assert cure(plan(job(pit__strength_specified="4000 psi", pit__cure_temperature=None)))[:2] == (
        7,
        "practice",
    )


@pytest.mark.parametrize(
    ("changes", "days", "status", "clause"),
    [
        # 3000 of 4000 psi is 75 %: 8.28 days at 23 C; 14.44 C counts 14.44/23 of that, or 24.44/33 from -10 C.
        ({}, 14, "code", "type I moist, datum 0 C, reference 23 C"),
        ({"pit__maturity_datum": -10}, 12, "code", "type I moist, datum -10 C, reference 23 C"),
        ({"pit__cement": "type III"}, 9, "memory", "type III moist, datum 0 C, reference 23 C"),
        ({"pit__strength_needed": "2000 psi"}, 6, "code", "type I moist, datum 0 C, reference 23 C"),
    ],
)
def test_the_day_of_the_test_is_worked_out_from_mix_and_warmth(changes, days, status, clause):
    assert cure(plan(job(pit__strength_specified="4000 psi", **changes))) == (days, status, clause)


def test_what_the_worked_out_day_leans_on_is_asked_for():
    asked = {each.fact for each in plan(job(pit__strength_specified="4000 psi")).questions}
    assert {"pit.cement", "pit.maturity_datum"} <= asked
    assert {"pit.cement", "pit.maturity_datum"} & {each.fact for each in plan(job()).questions} == set()


@pytest.mark.parametrize(
    ("changes", "opened_by"),
    [
        ({}, ["dig@pit"]),
        ({"pit__ground": "framed floor"}, ["form-pit@pit"]),
        ({"building__stage": "existing"}, ["open-floors@hoistway"]),
    ],
)
def test_a_guard_stands_by_the_day_its_opening_comes_to_be_and_no_paper_holds_it(changes, opened_by):
    """SF blocks neither the start nor the evidence of the guard: only that it is called done before there is an opening."""
    found = plan(job(**changes))
    for guard in ("guard@landing-1", "guard@landing-2"):
        waited_for = [each for each in found.links if each.after == guard]
        assert [each.before for each in waited_for] == opened_by
        assert {(each.kind, each.lag) for each in waited_for} == {("SF", 0)}


@pytest.mark.parametrize("facts", JOBS.values(), ids=JOBS)
def test_nothing_ever_holds_the_start_of_a_guard(facts):
    held = [each for each in plan(facts).links if each.after.startswith("guard@") and each.kind != "SF"]
    assert held == []


def test_an_unknown_figure_is_left_out_and_asked_for():
    found = plan(job(pit__depth=None))
    assert [each.key for each in found.quantities if each.place.startswith("landing")] == []
    assert "not yet known" in found.task("dig@pit").first_line["en"]
    question = next(each for each in found.questions if each.fact == "pit.depth")
    assert "dig@pit" in question.tasks
    depth = next(each for each in found.task("form-pit@pit").requirements if each.key == "form-drop")
    assert (depth.low, depth.high, depth.nominal, depth.because) == (None, None, None, ("pit.depth",))


def test_a_tolerance_is_around_the_fact():
    depth = next(each for each in plan(job()).task("form-pit@pit").requirements if each.key == "form-drop")
    assert (depth.low, depth.nominal, depth.high) == (14 * INCH, 14 * INCH, 14 * INCH + INCH // 2)
    volts = next(
        each for each in plan(job()).task("power-on@machine-room").requirements if each.unit == "volt"
    )
    assert (volts.low, volts.nominal, volts.high) == (207, 230, 253)


def test_a_tightened_tolerance_is_other_terms_and_other_words_are_not():
    before = next(each for each in plan(job()).task("form-pit@pit").requirements if each.key == "form-drop")
    deeper = next(
        each
        for each in plan(job(pit__depth='15"')).task("form-pit@pit").requirements
        if each.key == "form-drop"
    )
    metric = next(
        each
        for each in plan(job(job__units="metric")).task("form-pit@pit").requirements
        if each.key == "form-drop"
    )
    assert before.terms() != deeper.terms()
    assert before.terms() == metric.terms()


def test_links_are_ready_for_a_network():
    found = plan(job())
    assert ("pour@pit", "pit-strength@pit", "FS", 7, "calendar") in found.network_links()
    assert ("inspection-request@site", "acceptance@site", "FS", 45, "calendar") in found.network_links()
    assert ("backing@rail-wall", "board-inside@hoistway", "FS", 0, "working") in found.network_links()
    keys = {task.key for task in found.tasks}
    assert {end for link in found.links for end in (link.before, link.after)} <= keys
    assert len({link.key for link in found.links}) == len(found.links)
    assert Link("benchmark@landing-1", "walls@hoistway", "FF") in found.links
