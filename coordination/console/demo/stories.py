"""The two jobs of the demo: one goes through to its handover, one is stuck halfway."""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from coordination.console.demo.story import Answering, Document, Failing, Letting, Marking, Refusal, Story
from coordination.console.demo.turns import HoldPoint, Permitting, Witnessing
from coordination.gates.actions.inspecting import ItemWish
from coordination.gates.own_gates import GateWish

JOBS = Path(settings.BASE_DIR) / "fixtures" / "facts"


@dataclass(frozen=True)
class Scene:
    """A job file, where the building stands, when the work began, what happens in it, and whether it ends."""

    job: Path
    place: str
    days_ago: int
    unit_number: str
    story: Story
    zone: str = "America/New_York"
    finishes: bool = False


PERMITS = {
    "elevator-permit@site#permit": "elevator",
    "trade-permits@site#building-permit": "building",
    "trade-permits@site#electrical-permit": "electrical",
    "trade-permits@site#alarm-permit": "fire",
    "trade-permits@site#plumbing-permit": "plumbing",
}

CANDLE_WORKS = Story(
    refusals=(
        Refusal(
            "backing@rail-wall#backing-left",
            ("Too dark and blurred: the joint between the plies cannot be seen.", "No tape in the picture."),
            (Marking("ring", ((5900, 2600), (7100, 4200)), "the joint cannot be seen"),),
        ),
    ),
    answers=(
        Answering("pit.sump", "no", "form-pit@pit", "Town plumbing inspector", "letter about the sump"),
        Answering(
            "power.lowering_cut_off",
            "auxiliary contact",
            "disconnects@machine-room",
            "State elevator inspection office",
            "e-mail of the plan reviewer",
        ),
    ),
    lettings=(
        Letting(
            "walls@hoistway#framed-diagonals",
            '9/16"',
            "The survey at open framing shows that the required clear size fits with 3/8 in to spare on every wall.",
            "Framed hoistway of this building only; the survey after board decides.",
            "2 of 4 corners",
        ),
        Letting(
            "smoke-detector@landing-2#lobby-distance",
            "22' 6\"",
            "A deep beam crosses the loft: the detector may hang behind it, 22 ft 6 in from the center of the door.",
            "The detector of the drying loft alone, where sheet E-3 of the alarm drawings shows it.",
            document=Document("fire", "FM-118", days=6),
        ),
    ),
    failings=(
        Failing(
            "acceptance@site#acceptance-result",
            "EL-2207",
            (ItemWish("Pit light switch cannot be reached from the access door", "pit", "electrical"),),
            days=6,
        ),
    ),
    turns=(
        HoldPoint(
            GateWish(
                "Way in for the crates is clear",
                before=("receive@site",),
                conditions=(
                    ("task accepted", "guard@landing-1"),
                    ("requirement satisfied", "control-conduit@route#conduit-run"),
                ),
                signers=("coordinator",),
            )
        ),
        Witnessing(
            "form-pit@pit",
            "engineer",
            how="call to the office",
            who="Odd Pencil, for the engineer of record",
            note="Bars and chairs seen; one cover block put back.",
        ),
        Witnessing(
            "backing@rail-wall",
            "owner",
            how="mail",
            note="Could not come; the photos were sent.",
            text="Owner may see the backing before it is boarded",
        ),
        Permitting(
            "receive@site#dry-storage",
            "The heated store is not finished; the crates stand on pallets in the closed truck bay.",
            "Crates of this delivery, until the machine room can be locked.",
            quantity="4 crates",
        ),
    ),
    permits=PERMITS,
)

ROPEWALK = Story(
    refusals=(
        Refusal(
            "backing@rail-wall#backing-left",
            ("Single blocks at guessed heights: the drawing asks for continuous vertical backing.",),
            (
                Marking("ring", ((7700, 100), (9900, 3300)), "a finger covers this side"),
                Marking("arrow", ((3200, 8200), (5500, 5200)), "the tape cannot be read"),
            ),
        ),
    ),
    answers=(
        Answering(
            "pit.sump", "yes", "form-pit@pit", "Harbor plumbing inspector", "call, confirmed by e-mail"
        ),
    ),
    turns=(
        Permitting(
            "sump-pump@pit#flush-cover",
            "The cover is on order; a steel plate is bolted over the recess until it comes.",
            "Recess of this pit, plate bolted down.",
            days=120,
        ),
    ),
    never_retaken=frozenset({"backing@rail-wall#backing-left"}),
    never_answered=frozenset({"line-sleeve@route"}),
    permits=PERMITS,
)

SCENES = (
    Scene(
        JOBS / "candle-works.toml",
        "Quince Lane 4, Little Harrow, Vermont",
        200,
        "LL-0417",
        CANDLE_WORKS,
        finishes=True,
    ),
    Scene(JOBS / "ropewalk.toml", "Capstan Row 11, Saltmarsh, Vermont", 82, "LL-0423", ROPEWALK),
)
