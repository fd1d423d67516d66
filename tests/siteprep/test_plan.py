"""What a plan must be whatever the rules: repeatable, complete under the unknown, without open ends."""

from functools import cache
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.fact_checks import contradictions
from coordination.siteprep.facts import Fact, Facts, load_facts, read_facts
from coordination.siteprep.lengths import INCH
from coordination.siteprep.plan import Link, compare, derive, plan_from_json
from coordination.siteprep.toml_tables import read_toml

JOBS_FOLDER = Path(__file__).parents[2] / "fixtures" / "facts"
JOB = JOBS_FOLDER / "candle-works.toml"
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
RESIDENCE = load_facts(JOBS_FOLDER / "millrace-house.toml")
PLATFORM = load_facts(JOBS_FOLDER / "boat-sheds.toml")
KNOWN = {"candle works": job(), "everything at once": RICH, "residence": RESIDENCE, "platform": PLATFORM}
JOBS = KNOWN | {"nothing known": BARE}


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


def every_finite_fact(jobs):
    """Each job with each of its facts that has a short list of answers, the landings' own included."""
    pairs = [
        (name, each.key)
        for name, facts in jobs.items()
        for each in facts.definitions.values()
        if each.answers
    ]
    return pytest.mark.parametrize(
        ("facts", "key"), [(jobs[name], key) for name, key in pairs], ids=[f"{n}-{k}" for n, k in pairs]
    )


@every_finite_fact(KNOWN)
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


@every_finite_fact(JOBS)
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


# ------------------------------------------------------------------ classes of lift and code sets


def entries(found):
    return {task.entry for task in found.tasks}


def asked_at(found, task):
    return {each.key: each for each in found.task(task).requirements}


def test_a_residence_has_no_recall_and_its_doors_are_measured_at_every_landing():
    found = plan(RESIDENCE)
    recall = {
        "recall-wiring",
        "recall-test",
        "smoke-detector",
        "detectors-room",
        "control-unit",
        "alarm-final",
    }
    assert entries(found) & (recall | {"shunt-trip", "line-sleeve", "sump-recess"}) == set()
    assert "fire-service" not in {gate.key for gate in found.gates}
    assert "fire-service" not in {each.subject for gate in found.gates for each in gate.conditions}
    for landing in ("G", "1", "2"):
        face = asked_at(found, f"hang-door@landing-{landing}")["swing-face-to-sill"]
        space = asked_at(found, f"door-space@landing-{landing}")
        line = asked_at(found, f"frame-opening@landing-{landing}")["sill-line"]
        assert (face.high, face.concede, face.release) == (3 * INCH // 4, (), None)
        assert {(each.concede, each.release) for each in space.values()} == {((), None)}
        assert (line.high, line.concede) == (INCH // 4, ())
        figures = {each.key: each.value for each in found.quantities if each.place == f"landing-{landing}"}
        assert (figures["door_to_sill"], figures["sill_from_framing"]) == (3 * INCH // 4, INCH // 4)
        assert (
            'door face at most 3/4" from the sill edge'
            in found.task(f"frame-opening@landing-{landing}").first_line["en"]
        )


def test_sliding_doors_of_a_residence_may_stand_farther_from_the_sill():
    found = plan(read_facts(RESIDENCE.statements() | {"door.kind": "sliding"}))
    asked = asked_at(found, "hang-door@landing-1")
    assert "swing-face-to-sill" not in asked
    assert asked["sliding-face-to-sill"].high == 9 * INCH // 4


def test_an_older_edition_does_not_lift_the_rule_for_the_space_between_the_doors():
    older = plan(read_facts(RESIDENCE.statements() | {"code.elevator": 2013}))
    assert [each.key for each in older.findings] == ["door-space-older-edition"]
    assert "door-space@landing-1" in {task.key for task in older.tasks}
    assert plan(RESIDENCE).findings == ()


def test_a_figure_that_cannot_be_told_yet_asks_for_its_facts_on_behalf_of_the_task():
    found = plan(RESIDENCE.forgetting("lift.door_setback"))
    line = asked_at(found, "frame-opening@landing-1")["sill-line"]
    assert (line.high, line.because) == (None, ("lift.door_setback",))
    asked = {each.fact: each.tasks for each in found.questions}
    assert asked["lift.door_setback"] == tuple(f"frame-opening@landing-{each}" for each in ("G", "1", "2"))
    assert asked["pit.maturity_datum"] == ("pit-strength@pit",)


def test_rails_of_a_residence_are_bracketed_closer():
    without = RESIDENCE.forgetting("lift.bracket_spacing")
    spacing = next(each for each in plan(without).quantities if each.key == "bracket_spacing")
    assert (spacing.value, spacing.source.status) == (60 * INCH, "practice")
    steps = [high - low for (low, _), (high, _) in pairwise(heights(plan(without)))]
    assert max(steps) <= 60 * INCH


def test_without_a_machine_room_its_place_is_the_controllers():
    found = plan(RESIDENCE)
    assert entries(found) & {"room-walls", "room-door", "room-climate", "sprinkler-room"} == set()
    assert [place.text["en"] for place in found.places if place.key == "machine-room"] == [
        "Controller place, no machine room"
    ]
    assert next(gate for gate in found.gates if gate.key == "machine-room-ready").text["en"] == (
        "Controller place ready"
    )
    assert found.task("jack@pit").text["en"] == "Set machine, counterweight, buffers and car"
    said = [line for line in texts(found) if "jack" in line.lower() or "machine room" in line.lower()]
    assert said == [
        "Raceways clear of plates, jack, buffer, ladder, rails and the way of the car",
        "Controller place, no machine room",
    ]
    assert "room_headroom" not in {each.key for each in found.quantities}


def test_a_residence_with_hydraulic_drive_and_room_keeps_line_and_room():
    stated = RESIDENCE.statements() | {"lift.drive": "roped hydraulic", "machine_room.place": "adjacent"}
    found = plan(read_facts(stated))
    assert {"line-sleeve", "room-walls", "room-door", "room-climate"} <= entries(found)
    assert found.task("jack@pit").text["en"] == "Set jack, buffer and car"
    assert "jack-plumb" in asked_at(found, "jack@pit")


def test_heads_without_recall_ask_the_authority_about_the_shutdown():
    found = plan(read_facts(RESIDENCE.statements() | {"sprinkler.hoistway_top": True}))
    assert asked_at(found, "disconnects@machine-room")["shutdown-answer"].release == "fire"
    assert ("sprinkler-top@hoistway-top", "joint-pretest@hoistway", "FS") in {
        each.key for each in found.links
    }


def test_the_gap_is_the_one_of_the_class_and_the_set():
    def gap(facts):
        asked = asked_at(plan(facts), "adjust@hoistway")
        return {key: each.high for key, each in asked.items() if key.startswith("sill-gap")}

    assert gap(job()) == {"sill-gap": 5 * INCH // 4}
    assert gap(RESIDENCE) == {"sill-gap-residence": 3 * INCH // 2}
    assert gap(PLATFORM) == {"sill-gap-en": 35_000_000}


def test_the_pit_light_is_the_one_of_the_class_and_the_set():
    def light(facts):
        asked = asked_at(plan(facts), "pit-electric@pit")
        return {key: each.low for key, each in asked.items() if each.unit == "lux"}

    assert light(job()) == {"pit-lux": 100}
    assert light(RESIDENCE) == {"pit-lux-other": 50}
    assert light(PLATFORM) == {"pit-lux-en": 50}
    assert "50 lx at the floor" in plan(PLATFORM).task("pit-electric@pit").first_line["en"]


def test_the_en_set_cites_no_us_code_as_code():
    found = plan(PLATFORM)
    us = ("ASME", "NEC", "NFPA", "IBC", "2010 ADA", "29 CFR", "40 CFR", "ACI", "NEMA")
    cited = [
        *(source for task in found.tasks for source in task.sources),
        *(each.source for task in found.tasks for each in task.requirements),
        *(source for gate in found.gates for source in gate.sources),
        *(each.source for each in (*found.quantities, *found.findings)),
    ]
    assert [str(source) for source in cited if source.document.startswith(us)] == []
    taken = {source for source in cited if source.document == "planning practice taken from US codes"}
    assert {source.status for source in taken} == {"practice"}
    assert all(source.confirm_with for source in taken)
    assert {str(source) for source in cited if source.document.startswith("EN 81")}
    said = [each.text["en"] for task in found.tasks for each in task.requirements]
    assert [line for line in said if "GFCI" in line] == []


@pytest.mark.parametrize(
    ("editions", "asked"),
    [
        ({"code.elevator": 2004}, {"rung-width-obstructed-2004"}),
        ({"code.elevator": 2013}, {"rung-width-obstructed"}),
        ({"code.elevator": 2022}, {"rung-width-obstructed", "ladder-device"}),
        (
            {"code.elevator": "unknown"},
            {"rung-width-obstructed", "rung-width-obstructed-2004", "ladder-device"},
        ),
    ],
)
def test_the_ladder_follows_the_adopted_edition(editions, asked):
    deep = job(pit__depth="4'", pit__ladder_obstructed=True).statements() | editions
    always = {"ladder-fixed", "ladder-above-sill", "behind-rungs-obstructed"}
    assert set(asked_at(plan(read_facts(deep)), "ladder@pit")) == always | asked
    clear = read_facts(deep | {"pit.ladder_obstructed": False, "code.elevator": 2019})
    assert set(asked_at(plan(clear), "ladder@pit")) == {
        "ladder-fixed", "ladder-above-sill", "behind-rungs", "rung-width",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("edition", "asked"),
    [(2014, "pump-single"), (2017, "pump-single"), (2020, "pump-gfci"), (2023, "pump-gfci")],
)
def test_the_sump_outlet_turned_round_in_2020(edition, asked):
    found = asked_at(plan(job(pit__sump=True, code__electrical=edition)), "sump-pump@pit")
    assert {"pump-single", "pump-gfci"} & set(found) == {asked}


def findings(**changes):
    found = plan(job(**changes)).findings
    return {each.key: (each.text["en"], each.facts, each.source.status) for each in found}


def test_a_car_that_one_rule_accepts_and_the_other_just_refuses_is_shown_as_a_disagreement():
    found = findings(lift__car_width='51"', lift__car_depth='51"', lift__car_door_width='36"')
    assert set(found) == {"accessible-car-over-class", "load-curve-over-class"}
    text, read, status = found["accessible-car-over-class"]
    assert "this one has 18.1 sq ft, and the class allows 18 sq ft" in text
    assert (read, status) == (("lift.car_width", "lift.car_depth"), "code")
    assert "asks for 1 422 lb, and the class carries at most 1 400 lb" in found["load-curve-over-class"][0]


def test_the_load_curve_is_over_the_cap_at_just_eighteen_square_feet():
    found = findings(lift__car_width='48"', lift__car_depth='54"', lift__car_door_width='36"')
    assert set(found) == {"load-curve-over-class"}
    assert "asks for 1 416 lb, and the class carries at most 1 400 lb" in found["load-curve-over-class"][0]


def test_a_car_of_the_usual_size_with_its_load_is_not_remarked_on():
    assert findings(lift__car_width='42"', lift__car_depth='54"', lift__car_door_width='32"') == {}
    # 15.75 ft2 ask for 2/3 x 15.75^2 + 200/3 x 15.75 = 1215 lb.
    low = findings(
        lift__car_width='42"', lift__car_depth='54"', lift__car_door_width='32"', lift__load="1200 lb"
    )
    assert set(low) == {"load-below-curve"}
    assert "is 1 200 lb; for this inside area at least 1 215 lb" in low["load-below-curve"][0]


def test_what_only_memory_forbids_is_a_finding():
    wide = read_facts(RESIDENCE.statements() | {"lift.car_width": "4'", "lift.car_depth": "4'"})
    shown = {each.key: each.source.status for each in plan(wide).findings}
    assert shown == {"class-area": "memory"}
    heavy = plan(read_facts(PLATFORM.statements() | {"lift.load": "550 kg"})).findings
    assert [(each.key, each.text["en"], each.source.status) for each in heavy] == [
        ("class-load", "The rated load is 550 kg; the class is said to allow 500 kg.", "memory")
    ]
    light = plan(read_facts(PLATFORM.statements() | {"lift.load": "300 kg"})).findings
    assert [each.text["en"] for each in light] == [
        "The rated load is 300 kg; at 250 kg for each square metre this platform asks for 385 kg."
    ]


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
        ("pit_light", "pit"): 100,
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


@pytest.mark.parametrize(("edition", "asked"), [(2015, True), (2018, False), (2024, False)])
def test_the_building_codes_edition_decides_whether_a_vent_is_asked_about(edition, asked):
    """IBC 3004: hoistway vents were taken out of newer editions (from memory)."""
    plan = derive(read_facts(job().statements() | {"code.building": edition}), CATALOGUE)
    permits = plan.task("trade-permits@site").requirements
    assert ("vent-answer" in {each.key for each in permits}) is asked
    assert ("vent-older-edition" in {each.key for each in plan.findings}) is asked


def test_an_unknown_building_code_is_asked_about():
    facts = {key: value for key, value in job().statements().items() if key != "code.building"}
    plan = derive(read_facts(facts), CATALOGUE)
    vent = next(each for each in plan.task("trade-permits@site").requirements if each.key == "vent-answer")
    assert vent.because == ("code.building",)
    assert "code.building" in {question.fact for question in plan.questions}
