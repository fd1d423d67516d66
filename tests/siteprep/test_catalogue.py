"""The catalogue as a whole: what it promises about every entry, and where each clause of the trade lives."""

from collections import Counter
from pathlib import Path

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.conditions import keys
from coordination.siteprep.facts import definitions, load_facts, read_facts
from coordination.siteprep.plan import derive
from coordination.siteprep.toml_tables import CatalogueError

CATALOGUE = load_catalogue()
FACTS = load_facts(Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml")
PLAN = derive(FACTS, CATALOGUE)
EVERYTHING = derive(read_facts({}), CATALOGUE)
REQUIREMENTS = {
    f"{task.entry}#{each.key}": each for task in CATALOGUE.tasks.values() for each in task.requirements
}

# ------------------------------------------------------------------ the walk through the trade's demands

CLAUSES = {
    "landing walls stay open until the doors are hung and aligned": [
        "requirement board-inside#front-open",
        "covers hang-door close-front",
        "gate doors-hung opens close-front",
    ],
    "drywall is brought up to the doors afterwards, outside": ["requirement close-front#front-outside"],
    "drywall is brought up to the doors afterwards, inside": ["requirement close-front#front-inside"],
    "the hoistway is rated where the rating fact says so": [
        "reads hoistway.rating board-inside#design-listing",
        "reads hoistway.rating firestop#firestop-listing",
        "reads hoistway.rating board-inspection",
        "fact hoistway.rating",
    ],
    "lintel above each opening": ["requirement frame-opening#lintel", "quantity lintel_height"],
    "sound backing just below each sill": [
        "requirement frame-opening#sill-backing",
        "quantity sill_backing_bottom",
    ],
    "continuous vertical backing on both sides of the rail": [
        "requirement backing#backing-left",
        "requirement backing#backing-right",
        "requirement backing#joint-at-bracket",
    ],
    "bracket spacing is a placeholder, the approved drawing overrides": [
        "quantity bracket",
        "fact lift.bracket_spacing",
        "fact lift.bracket_elevations",
    ],
    "signed benchmark and door centreline at every landing before framing is accepted": [
        "requirement benchmark#benchmark-mark",
        "requirement benchmark#benchmark-signed",
        "FF benchmark walls",
        "FF benchmark frame-opening",
    ],
    "pit load concentrated at the plate under rails and jack": [
        "quantity pit_load",
        "requirement drawing-approval#engineer-letter",
        "requirement form-pit#plate-steel",
    ],
    "pit light clear of doors and rails": ["requirement pit-electric#pit-light"],
    "pit GFCI receptacle": ["requirement pit-electric#pit-receptacle"],
    "sump recess formed in the pour when undecided": ["safe default pit.sump", "covers sump-recess pour"],
    "sump recess clear of plates, jack, buffer and ladder": [
        "requirement sump-recess#recess-clear",
        "quantity sump_from_rail_wall",
    ],
    "locate before digging": ["requirement locate#locate-ticket", "FS locate dig"],
    "scan before digging": ["requirement locate#scan-marks"],
    "shoring": ["requirement dig#shores", "caution shoring dig"],
    "water before digging": ["requirement dig#dry-bottom", "fact pit.groundwater"],
    "machine-room door rated": ["requirement room-door#door-label"],
    "machine-room door self-closing": ["requirement room-door#door-closes"],
    "machine-room door self-locking, always needs a key from outside": ["requirement room-door#door-locked"],
    "machine-room door opens from inside": ["requirement room-door#door-inside"],
    "fused main disconnect": ["requirement disconnects#main-disconnect"],
    "auxiliary contact opens with it and cuts off the battery source": [
        "requirement disconnects#auxiliary-contact"
    ],
    "open locked switch cannot let the car move, mains failure lowers it": [
        "requirement machine#lowering-proof"
    ],
    "third fused pole on single phase: the maker's and authority's answer, a question": [
        "requirement disconnects#third-pole",
        "requirement disconnects#third-pole-letter",
        "safe default power.lowering_cut_off",
    ],
    "separately fused lift-light disconnect": ["requirement disconnects#light-disconnect"],
    "machine-room GFCI receptacle": ["requirement room-light#room-receptacle"],
    "machine-room switched and guarded light": ["requirement room-light#guarded-light"],
    "extinguisher in date": [
        "requirement room-clear#extinguisher",
        "requirement room-clear#extinguisher-date",
    ],
    "nothing foreign to the lift": ["requirement room-clear#nothing-foreign"],
    "machine-room rated enclosure": [
        "requirement room-walls#room-enclosure",
        "requirement room-walls#room-listing",
    ],
    "clear space before controller and disconnects": [
        "quantity working_depth",
        "requirement room-clear#working-space",
        "requirement disconnects#clear-depth",
    ],
    "hydraulic line routed and sleeved before close-in": ["covers line-sleeve board-inside"],
    "control conduit routed before close-in": ["covers control-conduit board-inside"],
    "early when the room is remote": [
        "reads machine_room.place early-sleeves",
        "covers early-sleeves pour",
    ],
    "smoke detector at each landing": ["requirement smoke-detector#lobby-detector"],
    "smoke detector in the machine room": ["requirement detectors-room#room-smoke"],
    "smoke detector at the hoistway top where the adopted code asks for it": [
        "reads fire_alarm.top_detector detectors-top",
        "requirement detectors-top#top-smoke",
    ],
    "heat detector by each sprinkler": [
        "requirement detectors-room#room-heat-distance",
        "requirement detectors-pit#pit-heat-distance",
        "requirement detectors-top#top-heat-distance",
    ],
    "low pit heads: show both readings and ask": [
        "readings fire_alarm.pit_heat_detector",
        "reads fire_alarm.pit_heat_detector detectors-pit#pit-heat-distance",
        "requirement detectors-pit#pit-heat-answer",
    ],
    "shunt trip never by smoke": ["requirement shunt-trip#smoke-trips"],
    "without a panel a dedicated control unit with its own permit and lead time": [
        "reads fire_alarm.panel control-unit",
        "requirement control-unit#unit-permit",
        "requirement control-unit#unit-order",
    ],
    "recall tested with monitoring told and restored": [
        "requirement recall-test#recall-failures",
        "requirement recall-test#monitoring-restored",
    ],
    "drawing issued": ["task layout-drawing"],
    "approved revision": ["requirement drawing-approval#approved-drawing"],
    "permit": ["requirement elevator-permit#permit", "gate drawing-and-permit opens dig"],
    "dimensions verified": ["requirement hold-dimensions#hold-to"],
    "released to make": ["gate release-to-make opens make"],
    "delivered to dry storage": ["requirement receive#dry-storage"],
    "permanent power measured at the disconnect": ["requirement power-on#volts-at-disconnect"],
    "two-way communication": ["requirement power-on#two-way-line"],
    "lifting point with its load": ["requirement lifting-point#beam-marked", "quantity lifting_load"],
    "delivery path": ["requirement receive#delivery-path", "requirement site-ready#path-and-storage"],
    "dry swept pit": ["requirement site-ready#swept-pit"],
    "work light": ["requirement site-ready#work-light"],
    "machine-room climate": ["requirement room-climate#room-warm"],
    "guards at every opening as owned, dated work": [
        "requirement guard#guard-owner",
        "requirement guard#guard-check",
        "requirement site-ready#guards-handed-over",
        "requirement hang-door#guard-back",
    ],
    "survey at open framing": ["task survey-open", "FS survey-open board-inside"],
    "survey again after board": ["task survey-board", "FS survey-board rails"],
    "joint pre-test": ["task joint-pretest", "FS joint-pretest acceptance"],
    "inspection request 30 to 90 days ahead": [
        "fact calendar.inspection_notice",
        "FS inspection-request acceptance",
    ],
    "electrical final": ["requirement electrical-final#electrical-final-card"],
    "alarm final": ["requirement alarm-final#alarm-final-card"],
    "elevator acceptance": ["requirement acceptance#acceptance-result"],
    "certificate": ["requirement acceptance#certificate"],
    "temporary use forbidden before it": [
        "caution no-use acceptance",
        "requirement temporary-use#temporary-permit",
        "requirement machine#key-holder",
    ],
    "hidden work is seen before it is hidden": ["covers backing board-inside", "covers form-pit pour"],
    "board inspected before tape": ["requirement board-inspection#board-card"],
    "firestop seen before cover": ["requirement firestop#firestop-card"],
    "cold cure": ["requirement pour#blankets", "finding cold-pour"],
    "occupied space below": ["finding pit-too-shallow-over-space"],
    "a computed strength never clears": ["requirement pit-strength#strength-proof"],
    "residence: door face to sill, per opening": [
        "requirement hang-door#swing-face-to-sill",
        "requirement hang-door#sliding-face-to-sill",
        "requirement frame-opening#sill-line",
    ],
    "residence: a 4 in sphere stays out": [
        "requirement door-space#sphere-passes",
        "requirement door-space#doors-give",
        "FS door-space adjust",
    ],
    "no recall for a residence": ["reads lift.class recall-test", "reads lift.class smoke-detector"],
    "no machine room": ["reads machine_room.place room-walls", "requirement room-clear#cabinet-locked"],
    "ladder by edition": [
        "reads code.elevator ladder#rung-width-obstructed",
        "reads code.elevator ladder#ladder-device",
    ],
    "sump outlet by edition": [
        "reads code.electrical sump-pump#pump-gfci",
        "reads code.electrical sump-pump#pump-single",
    ],
    "two rules disagree": ["finding accessible-car-over-class", "finding load-curve-over-class"],
    "asbestos, lead and silica where walls are cut": ["reads building.stage hazard-survey"],
}


@pytest.mark.parametrize("clause", CLAUSES)
def test_each_clause_of_the_trade_has_its_place(clause):
    missing = [claim for claim in CLAUSES[clause] if not holds(claim)]
    assert missing == []


def links(kind, before, after):
    return any(link.task == before and link.kind == kind for link in CATALOGUE.tasks[after].links)


def reads(fact, entry):
    return fact in keys((REQUIREMENTS.get(entry) or CATALOGUE.tasks[entry]).when)


def quantity(key):
    return any(each.key == key or each.key.startswith(f"{key}-") for each in PLAN.quantities)


CLAIMS = {
    "task": lambda entry: entry in CATALOGUE.tasks,
    "requirement": lambda name: name in REQUIREMENTS,
    "covers": lambda before, after: links("covers", before, after),
    "FS": lambda before, after: links("FS", before, after),
    "FF": lambda before, after: links("FF", before, after),
    "gate": lambda gate, _opens, entry: entry in CATALOGUE.gates[gate].opens,
    "reads": reads,
    "quantity": quantity,
    "fact": lambda key: key in definitions(),
    "safe": lambda _default, key: bool(definitions()[key].safe_default),
    "readings": lambda key: len(definitions()[key].readings) == 2,
    "caution": lambda caution, entry: caution in CATALOGUE.tasks[entry].cautions,
    "finding": lambda key: key in CATALOGUE.findings,
}


def holds(claim):
    word, *rest = claim.split(" ")
    return CLAIMS[word](*rest)


FACTS_ASKED_FOR = {
    "landings with elevations and finished floors": [
        "landings",
        "landing.1.elevation",
        "landing.1.floor_finish",
    ],
    "openings front and rear per landing": ["landing.1.front", "landing.1.rear"],
    "rail-wall side": ["hoistway.rail_wall"],
    "hoistway clear size": ["hoistway.width", "hoistway.depth"],
    "pit depth": ["pit.depth"],
    "overhead": ["hoistway.overhead"],
    "wall construction per side": [
        f"wall.{wall}.construction" for wall in ("front", "rear", "left", "right")
    ],
    "storeys connected": ["hoistway.stories"],
    "machine-room place and distance": ["machine_room.place", "machine_room.distance"],
    "power": ["power.phases", "power.volts", "power.horsepower", "power.nameplate_amps"],
    "sprinklers": ["sprinkler.hoistway_top", "sprinkler.pit", "sprinkler.machine_room", "sprinkler.standard"],
    "fire-alarm panel": ["fire_alarm.panel"],
    "occupied space below": ["pit.occupied_below"],
    "new or existing": ["building.stage"],
    "construction type": ["building.construction"],
    "rating of the shaft": ["hoistway.rating"],
    "pit soil and water": ["pit.ground", "pit.groundwater"],
    "cure temperature": ["pit.cure_temperature"],
    "working days, holidays, start": ["calendar.working_days", "calendar.holidays", "calendar.start"],
    "authorities with permits and notice times": [
        f"authority.{authority}.{each}"
        for authority in ("elevator", "building", "electrical", "fire", "plumbing")
        for each in ("name", "permit", "notice")
    ],
    "a model's own figures": [
        "lift.pit_least",
        "lift.overhead_least",
        "lift.load",
        "lift.pit_reaction",
        "lift.bracket_spacing",
        "lift.drawing_revision",
    ],
}


def test_every_fact_the_job_needs_can_be_stated():
    asked = [key for listed in FACTS_ASKED_FOR.values() for key in listed]
    assert [key for key in asked if key not in definitions()] == []


# ------------------------------------------------------------------ what is promised of every entry


def test_the_usual_job_has_its_tasks_in_every_trade():
    work = [task for task in PLAN.tasks if task.milestone_of is None]
    assert (len(work), len([task for task in work if task.provisional])) == (62, 2)
    assert Counter(task.trade for task in work) == {
        "general contractor": 14,
        "lift": 11,
        "electrical": 5,
        "building official": 6,
        "concrete": 5,
        "framing": 5,
        "fire alarm": 5,
        "drywall": 5,
        "flooring": 2,
        "plumbing": 2,
        "door hardware": 1,
        "mechanical": 1,
    }
    assert set(CATALOGUE.trades) == {task.trade for task in CATALOGUE.tasks.values()}


def test_the_status_of_every_entry_is_counted():
    """Change this on purpose: every figure that moves from memory to code has been read by somebody."""
    assert CATALOGUE.statuses() == {"practice": 100, "memory": 117, "code": 113, "drawing": 76}


def test_what_rests_on_memory_says_with_whom_to_confirm_it():
    resting = {name: source for name, source in CATALOGUE.entries() if source.status == "memory"}
    assert [name for name, source in resting.items() if not source.confirm_with] == []
    assert resting.keys() <= {name for name, _ in CATALOGUE.to_confirm()}


def test_no_two_entries_share_a_requirement_set_unless_they_share_a_template():
    sharing = {}
    for task in CATALOGUE.tasks.values():
        asked = tuple((each.kind, each.text["en"]) for each in task.requirements)
        assert asked, task.entry
        sharing.setdefault(asked, []).append(task)
    for tasks in sharing.values():
        templates = {task.template for task in tasks}
        assert len(tasks) == 1 or (len(templates) == 1 and templates != {""})


def test_every_view_and_reading_says_in_its_own_words_what_and_from_where():
    asked = [each for each in REQUIREMENTS.values() if each.kind in ("photo", "reading")]
    for words in ([each.stand.get("en", "") for each in asked], [each.text["en"] for each in asked]):
        assert all(words)
        assert [line for line, count in Counter(words).items() if count > 1] == []


def test_what_cannot_be_taken_from_outside_is_asked_only_of_a_named_person():
    inside = [
        name
        for name, each in REQUIREMENTS.items()
        if each.stand.get("en", "").startswith(("Only", "{Lift} crew", "From inside", "Read the gauge from"))
    ]
    assert sorted(inside) == sorted(name for name, each in REQUIREMENTS.items() if each.authorised)


def test_a_task_asks_for_at_most_six_views():
    assert (
        max(sum(each.kind == "photo" for each in task.requirements) for task in CATALOGUE.tasks.values()) <= 6
    )


def test_reviews_of_work_about_to_be_covered_are_answered_in_four_hours():
    covered = {link.task for task in CATALOGUE.tasks.values() for link in task.links if link.kind == "covers"}
    slow = [
        name
        for name, each in REQUIREMENTS.items()
        if name.split("#")[0] in covered and each.accepts and each.answer_hours > 4
    ]
    assert slow == []
    assert all(each.deputy != each.accepts for each in REQUIREMENTS.values() if each.accepts)


def test_only_an_authority_releases_what_it_must_inspect():
    released = {name: each.release for name, each in REQUIREMENTS.items() if each.release}
    assert released == {
        "elevator-permit#permit": "elevator",
        "trade-permits#building-permit": "building",
        "trade-permits#electrical-permit": "electrical",
        "trade-permits#alarm-permit": "fire",
        "trade-permits#plumbing-permit": "plumbing",
        "trade-permits#vent-answer": "building",
        "steel-inspection#steel-card": "building",
        "sump-pump#plumbing-card": "plumbing",
        "rough-inspection#framing-card": "building",
        "rough-inspection#rough-electrical-card": "electrical",
        "board-inspection#board-card": "building",
        "disconnects#shutdown-answer": "fire",
        "disconnects#third-pole-letter": "elevator",
        "firestop#firestop-card": "building",
        "control-unit#unit-permit": "fire",
        "detectors-pit#pit-heat-answer": "fire",
        "electrical-final#electrical-final-card": "electrical",
        "alarm-final#alarm-final-card": "fire",
        "acceptance#acceptance-result": "elevator",
        "acceptance#certificate": "elevator",
        "temporary-use#temporary-permit": "elevator",
    }
    assert [name for name in released if REQUIREMENTS[name].concede] == []


LIFE = (
    "guard#guard-up", "guard#rail-height", "guard#guard-check", "guard#guard-owner", "locate#locate-ticket",
    "locate#marks", "dig#shores", "dig#daily-look", "lifting-point#beam-marked", "lifting-point#beam-letter",
    "lifting-point#beam-load", "drawing-approval#engineer-letter", "pit-strength#strength-proof", "pit-strength#strength",
    "disconnects#main-disconnect", "disconnects#auxiliary-contact", "disconnects#third-pole", "disconnects#clear-depth",
    "room-door#door-inside", "room-clear#extinguisher", "site-ready#guards-standing", "site-ready#guards-handed-over",
    "machine#lowering-proof", "machine#key-holder", "hang-door#guard-back", "firestop#firestop-open",
    "hang-door#swing-face-to-sill", "hang-door#sliding-face-to-sill", "door-space#sphere-passes", "door-space#doors-give",
    "frame-opening#sill-line", "adjust#platform-edge", "close-front#smooth-entrance", "machine#brake-tried",
    "recall-test#recall-failures", "shunt-trip#smoke-trips", "smoke-detector#lobby-distance",
)  # fmt: skip


def test_every_signature_says_whose_it_is():
    signed = {name: each.signer for name, each in REQUIREMENTS.items() if each.kind == "signature"}
    assert signed == {
        "drawing-approval#revision-signed": "contractor",
        "hold-dimensions#hold-to": "contractor",
        "hazard-survey#controls": "contractor",
        "dig#daily-look": "subcontractor",
        "benchmark#benchmark-signed": "contractor",
        "guard#guard-owner": "contractor",
        "site-ready#statement": "contractor",
        "site-ready#guards-handed-over": "contractor",
        "machine#key-holder": "lift crew",
        "hang-door#guard-back": "lift crew",
        "recall-test#monitoring-restored": "subcontractor",
        "joint-pretest#trades-present": "subcontractor",
        "temporary-use#operator-named": "lift crew",
        "handover#owner-received": "owner",
        "handover#lock-removed": "lift crew",
    }
    assert [name for name in signed if REQUIREMENTS[name].concede] == []


def test_whoever_may_concede_is_not_below_whoever_reviews():
    """What the lift supplier reviews is never conceded without the supplier."""
    odd = [
        name
        for name, each in REQUIREMENTS.items()
        if each.accepts in ("coordinator", "lift crew") and each.concede and "coordinator" not in each.concede
    ]
    assert odd == []


def test_what_protects_life_has_no_concession():
    assert [name for name in LIFE if REQUIREMENTS[name].concede] == []


def test_dimensions_of_the_lift_are_conceded_by_the_supplier_and_never_by_one_trade_alone():
    conceded = [
        each.concede
        for each in REQUIREMENTS.values()
        if each.lift_critical and each.kind == "reading" and each.unit == "length" and each.concede
    ]
    assert set(conceded) == {("coordinator", "contractor"), ("coordinator", "lift crew")}


@pytest.mark.parametrize("landings", [2, 3])
def test_a_job_has_eight_to_twelve_handoffs(landings):
    named = [str(number) for number in range(1, landings + 1)]
    stated = FACTS.statements() | {"landings": named, "hoistway.stories": landings}
    for number in named:
        stated[f"landing.{number}.elevation"] = f"{100 + 8 * int(number)}'"
        stated[f"landing.{number}.front"], stated[f"landing.{number}.rear"] = True, False
    found = derive(read_facts(stated), CATALOGUE)
    assert len(found.handoffs) == 6 + 2 * landings
    assert 8 <= len(found.handoffs) <= 12
    trades = {task.key: task.trade for task in found.tasks}
    assert [link for link in found.handoffs if trades[link.before] == trades[link.after]] == []
    assert all(link.receiver_note for link in found.handoffs)


def test_the_gates_come_in_the_order_of_the_job():
    order = [
        "drawing-and-permit",
        "release-to-make",
        "pre-pour",
        "ready-for-crew",
        "machine-room-ready",
        "doors-hung",
        "closed-in",
        "fire-service",
        "ready-for-acceptance",
        "handover",
    ]
    for found in (PLAN, EVERYTHING):
        assert [gate.key for gate in found.gates] == order
        behind = reached(found)
        backwards = [
            (early, late)
            for place, early in enumerate(order)
            for late in order[place + 1 :]
            if f"gate-{early}@site" in behind[f"gate-{late}@site"]
        ]
        assert backwards == []


def reached(found):
    """For each gate, every task behind it."""
    nexts = {}
    for link in found.links:
        nexts.setdefault(link.before, set()).add(link.after)
    behind = {}
    for gate in found.gates:
        seen, waiting = set(), [gate.task]
        while waiting:
            for after in nexts.get(waiting.pop(), ()):
                if after not in seen:
                    seen.add(after)
                    waiting.append(after)
        behind[gate.task] = seen
    return behind


def test_a_gate_waits_only_for_what_is_there():
    for found in (PLAN, EVERYTHING):
        tasks = {task.key for task in found.tasks}
        requirements = {each.subject for task in found.tasks for each in task.requirements}
        for gate in found.gates:
            for condition in gate.conditions:
                known = {
                    "task accepted": tasks,
                    "requirement satisfied": requirements,
                    "document present": requirements,
                    "question answered": set(definitions()),
                    "gate cleared": {each.key for each in found.gates},
                    "signature": set(gate.signers),
                }
                assert condition.subject in known[condition.kind]


def test_nothing_behind_a_gate_can_start_before_it():
    links = {(link.before, link.after) for link in PLAN.links}
    assert ("gate-pre-pour@site", "pour@pit") in links
    assert ("gate-ready-for-crew@site", "rails@rail-wall") in links
    assert ("gate-doors-hung@site", "close-front@landing-2") in links
    assert ("gate-ready-for-acceptance@site", "acceptance@site") in links
    milestones = [task for task in PLAN.tasks if task.milestone_of]
    assert {task.duration.high for task in milestones} == {0}
    assert len(milestones) == len(PLAN.gates)


def test_every_fact_is_used_or_named_as_only_kept():
    """A fact that nothing reads would be asked for nothing."""
    read = {key for task in CATALOGUE.tasks.values() for key in task_reads(task)}
    read |= {key for gate in CATALOGUE.gates.values() for each in gate.conditions for key in keys(each.when)}
    read |= {
        each.subject
        for gate in CATALOGUE.gates.values()
        for each in gate.conditions
        if each.kind == "question answered"
    }
    read |= {key for each in CATALOGUE.findings.values() for key in keys(each.when)}
    read |= {
        question.fact.replace(".1.", ".{landing}.").replace(".2.", ".{landing}.")
        for question in EVERYTHING.questions
    }
    patterns = {key.replace(".1.", ".{landing}.") for key in definitions(("1",))}
    assert {key for key in patterns if key not in read and not key.startswith("authority.")} == {
        "job.name",
        "lift.load",
        "power.horsepower",
        "power.nameplate_amps",
        "code.local",
        "lift.unit_number",
        "landing.{landing}.name",
        "pit.sump_recess",
        "pit.strength_specified",
        "pit.cement",
        "pit.maturity_datum",
        "lift.speed",
        "lift.door_setback",
        "lift.bracket_elevations",
    }


def task_reads(task):
    for condition in (
        task.when,
        *(each.when for each in task.requirements),
        *(each.when for each in task.links),
    ):
        yield from keys(condition)
    for each in task.requirements:
        yield from (bound.fact for bound in (each.low, each.high, each.nominal) if bound.fact)


# ------------------------------------------------------------------ files from outside

GOOD = """
[source.company]
document = "company rule book"
status = "practice"
confirm = "coordinator"

[[task]]
entry = "company-photo"
place = "site"
package = "finals"
trade = "lift"
days = [1, 1, 1]
text = {en = "Picture of the finished {lift}"}
first_line = {en = "Finished {lift}, doors open"}
source = "company"
after = ["acceptance"]

[[task.requires]]
key = "picture"
kind = "photo"
text = {en = "Finished car from the lowest landing"}
stand = {en = "On the lowest landing, doors open"}
concede = ["coordinator"]
"""


def with_rules(tmp_path, text):
    path = tmp_path / "company.toml"
    path.write_text(text)
    return load_catalogue(path)


def test_company_rules_are_added_and_change_the_digest(tmp_path):
    catalogue = with_rules(tmp_path, GOOD)
    assert (
        derive(FACTS, catalogue).task("company-photo@site").text["en"] == "Picture of the finished elevator"
    )
    assert catalogue.sha256 != CATALOGUE.sha256
    assert with_rules(tmp_path, GOOD + "# a comment\n").sha256 == catalogue.sha256


def test_an_entry_is_replaced_only_when_it_says_so(tmp_path):
    replacing = GOOD.replace('"company-photo"', '"handover"\nreplace = true')
    assert with_rules(tmp_path, replacing).tasks["handover"].text["en"] == "Picture of the finished {lift}"
    with pytest.raises(CatalogueError, match=r"company.toml: task handover: entry: is defined twice"):
        with_rules(tmp_path, GOOD.replace('"company-photo"', '"handover"'))
    with pytest.raises(
        CatalogueError, match=r"company.toml: task company-photo: entry: there is nothing of this name"
    ):
        with_rules(tmp_path, GOOD.replace('"company-photo"', '"company-photo"\nreplace = true'))


@pytest.mark.parametrize(
    ("old", "new", "entry", "key"),
    [
        ("days = [1, 1, 1]", "days = [2, 1, 1]", "task company-photo", "days"),
        ("days = [1, 1, 1]", "days = [0, 1, 1]", "task company-photo", "days"),
        ('place = "site"', 'place = "roof"', "task company-photo", "place"),
        ('trade = "lift"', 'trade = "magician"', "task company-photo", "trade"),
        ('package = "finals"', 'package = "last"', "task company-photo", "package"),
        ('source = "company"', 'source = "hearsay"', "task company-photo", "source"),
        ('source = "company"', "", "task company-photo", "source"),
        ('after = ["acceptance"]', 'after = ["acceptence"]', "task company-photo", "after"),
        ('after = ["acceptance"]', 'after = ["company-photo"]', "task company-photo", "after"),
        ('after = ["acceptance"]', 'colour = "red"', "task company-photo", "colour"),
        ('after = ["acceptance"]', 'when = "pit.sumpp"', "task company-photo", "when"),
        ('after = ["acceptance"]', "when = \"pit.depth > 'deep'\"", "task company-photo", "when"),
        ('after = ["acceptance"]', 'when = "hoistway.rating == 3"', "task company-photo", "when"),
        ('after = ["acceptance"]', 'when = "pit.sump and"', "task company-photo", "when"),
        ("{lift}, doors", "{lyft}, doors", "task company-photo", "first_line"),
        ('{en = "Finished {lift}, doors open"}', '{es = "Listo"}', "task company-photo", "first_line"),
        (
            'stand = {en = "On the lowest landing, doors open"}',
            "",
            "task company-photo requires picture",
            "stand",
        ),
        ('concede = ["coordinator"]', "", "task company-photo requires picture", "concede"),
        (
            'concede = ["coordinator"]',
            'concede = ["mayor"]',
            "task company-photo requires picture",
            "concede",
        ),
        (
            'concede = ["coordinator"]',
            'concede = []\naccepts = "contractor"',
            "task company-photo requires picture",
            "deputy",
        ),
        (
            'concede = ["coordinator"]',
            "concede = []\ncritical = true",
            "task company-photo requires picture",
            "accepts",
        ),
        (
            'concede = ["coordinator"]',
            'concede = ["coordinator"]\nrelease = "fire"',
            "task company-photo requires picture",
            "concede",
        ),
        ('status = "practice"', 'status = "rumour"', "source company", "status"),
        ('status = "practice"\nconfirm = "coordinator"', 'status = "memory"', "source company", "confirm"),
        ("[[task]]", "[[tusk]]", "file", "tusk"),
        ("days = [1, 1, 1]", "days = [1, 1, 1", "file", "TOML"),
    ],
)
def test_a_wrong_rule_is_refused_by_file_entry_and_key(tmp_path, old, new, entry, key):
    assert old in GOOD
    with pytest.raises(CatalogueError) as refused:
        with_rules(tmp_path, GOOD.replace(old, new))
    assert (refused.value.file, refused.value.entry, refused.value.key) == ("company.toml", entry, key)


def test_seven_views_are_refused(tmp_path):
    view = GOOD[GOOD.index("[[task.requires]]") :]
    with pytest.raises(CatalogueError, match=r"asks for more than 6 photo views"):
        with_rules(tmp_path, GOOD + "".join(view.replace('"picture"', f'"picture-{n}"') for n in range(6)))


def test_rules_that_wait_for_each_other_are_refused_with_the_ring(tmp_path):
    catalogue = with_rules(
        tmp_path,
        GOOD + '\n[[gate]]\nkey = "extra"\ntext = {en = "Extra"}\npackage = "finals"\nclears = "contractor"\n'
        'signers = ["contractor"]\nsource = "company"\nopens = ["acceptance"]\n'
        '[[gate.waits]]\nkind = "task accepted"\nsubject = "company-photo"\n',
    )
    with pytest.raises(CatalogueError, match=r"in a ring: .*company-photo@site"):
        derive(FACTS, catalogue)
