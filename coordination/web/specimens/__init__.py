"""Made-up contents for the page that shows every component in every state."""

from datetime import UTC, date, datetime
from types import SimpleNamespace as Thing
from typing import Any

from django import forms
from django.templatetags.static import static
from django.utils.safestring import mark_safe

from coordination.background.queries import WAITS, Progress
from coordination.pictures.marks import PhotoMark, overlay
from coordination.web.forms import DayField, LengthField, PhotosField, SheetForm
from coordination.web.sheets import SheetLine
from coordination.web.specimens import section
from coordination.web.words import LOOKS

TAKEN = datetime(2026, 3, 12, 14, 5, tzinfo=UTC)


class SpecimenForm(SheetForm):
    """One field of each kind."""

    name = forms.CharField(label="Name of the project", help_text="As the drawing calls it.")
    width = LengthField(
        label="Clear width", help_text="Between finished faces, at the narrowest level.", system="us"
    )
    poured = DayField(label="Poured on", required=False)
    power = forms.ChoiceField(
        label="Power at the building",
        choices=[("three", "three phase"), ("single", "single phase"), ("", "not known")],
        widget=forms.RadioSelect,
        required=False,
    )
    trade = forms.ChoiceField(label="Trade", choices=[("concrete", "concrete"), ("framing", "framing")])
    note = forms.CharField(label="Note", widget=forms.Textarea(attrs={"rows": 3}), required=False)
    alone = forms.BooleanField(label="Nobody works above", required=False)
    photos = PhotosField(
        label="Photos", required=False, help_text="Several at once: JPEG, PNG, WebP or HEIC."
    )


def everything() -> dict[str, Any]:
    """The whole context of frame/components.html."""
    wrong = SpecimenForm({"width": "4 and a bit", "trade": "concrete", "power": "single"})
    wrong.is_valid()
    return {
        "states": list(LOOKS),
        "cautions": CAUTIONS,
        "missing": MISSING,
        "unheard": UNHEARD,
        "lines": LINES,
        "requirements": REQUIREMENTS,
        "photos": PHOTOS,
        "makings": [WAITS, Progress("at it"), Progress("again", TAKEN), Progress("given up")],
        "drawing": mark_safe(section.drawing()),
        "table": TABLE,
        "form": SpecimenForm(
            initial={"name": "Otter Bend rowing club, upper hall", "power": "three", "width": 1_444_625_000}
        ),
        "wrong_form": wrong,
        "reasons": [
            "The left backing photo was refused yesterday.",
            "The pit has not been handed to the elevator crew.",
        ],
        "handoff": HANDOFF,
        "rounds": ROUNDS,
        "refusal_reasons": [
            ("level", "not level"),
            ("short", "backing too short"),
            ("other", "cannot be seen"),
        ],
        "let_go": LET_GO,
        "questions": QUESTIONS,
        "cells": CELLS,
        "sheets": SHEETS,
        "title_cells": CELLS[:3],
        "project": Thing(name="Otter Bend rowing club, upper hall", place="Boathouse Lane 4", uid="specimen"),
    }


CAUTIONS = (
    "Open hoistway: every opening stays guarded; its owner is named on the sheet.",
    "Pit: prop the car, set the stop switch, and let nobody work above.",
    "Lock and tag every source: main, car light, battery, fire-alarm control power; let oil pressure and gravity rest.",
)
LET_GO = (
    Thing(
        kind="Concession",
        what="diagonals of the framed walls",
        work="Walls, Hoistway",
        reason="The required clear size still fits on every wall.",
        scope="This hoistway only.",
        limit="2 of 4 corners",
        found='9/16", out of tolerance',
        told="Bo Tran, March 2, 2026 10:30 EST",
        evidence="specimen",
        by="Ida Marsh (elevator coordinator), March 3, 2026 09:00 EST",
    ),
    Thing(
        kind="Authority’s variance",
        variance="Town Hall (building department), No. V-12, dated March 1, 2026",
        what="lamp in the pit",
        work="Pit electrics, Pit",
        scope="Until the panel is replaced.",
        limit="until June 1, 2026",
        by="Ana Ruiz (general contractor), March 2, 2026 11:00 EST",
        ended="ended March 9, 2026 08:00 EST",
    ),
)
UNHEARD = (
    Thing(
        key="specimen",
        owner="Copper Creek Framing",
        name="Copper Creek Framing",
        phone="555-0142",
        about=("The gate “Pit ready to pour” has reopened", "“Backing” came back to them"),
        more=2,
        text="sms:5550142?&body=Otter%20Bend",
        last=Thing(name="Ida Marsh"),
        when="Mon 2 Mar 2026, 10:30",
    ),
    Thing(
        owner="Salt Flat Concrete",
        name="Salt Flat Concrete",
        phone="555-0117",
        about=("Their answer to “Pit” is awaited",),
        link="#missing",
    ),
)
MISSING = (
    Thing(
        sentence="Left backing photo, refused yesterday",
        because="the block behind bracket 3 is not in the picture",
        owner="Copper Creek Framing",
        phone="(555) 555-0142",
        href="#missing",
        state="refused",
    ),
    Thing(sentence="Pit depth reading", owner="Salt Flat Concrete", phone="555-0117", href="", state="none"),
    Thing(
        sentence="Sprinkler at the hoistway top: yes or no",
        owner="",
        phone="",
        href="#",
        state="question open",
    ),
)
LINES = (
    Thing(
        name="Hoistway top",
        state="question open",
        note="sprinkler here? fire marshal, by 9 March",
        href="#schedule",
    ),
    Thing(name="Landing 2", state="held", note="opening guarded; doors come after rails", href="#schedule"),
    Thing(
        name="Rail wall",
        state="offered",
        word="offered to you",
        note='backing, 5 views, plumb within 1/2"',
        href="#schedule",
    ),
    Thing(
        name="Landing 1",
        state="accepted",
        note="doors hung 3 March; the wall may be closed",
        href="#schedule",
    ),
    Thing(
        name="Machine room", state="refused", note="auxiliary contact not in the picture", href="#schedule"
    ),
    Thing(name="Pit", state="done", note="", href=""),
)
REQUIREMENTS = (
    Thing(
        text="Backing at bracket 3, left rail, tape in the picture",
        kind="photo",
        state="refused",
        reviewer="elevator crew",
        reasons=["The tape cannot be read.", "Stand further left."],
        stand="on the landing, outside the guard, opposite the rail wall",
        source="Common practice, no source",
        confirm_with="the elevator contractor",
    ),
    Thing(
        text="Plumb of the rail wall, left",
        kind="reading",
        state="handed in",
        value='7/16"',
        inside=True,
        tolerance='at most 1/2"',
        reviewer="elevator crew",
        stand="in the finished opening, harness on, guard closed behind you",
        source="This job's drawing, revision C",
    ),
    Thing(
        text="Voltage at the disconnect",
        kind="reading",
        state="handed in",
        value="187 V",
        inside=False,
        tolerance="208 V, within 10 %",
        authorised=True,
        stand="Qualified electricians only.",
        source="Model data sheet, page 4",
    ),
    Thing(text="Ticket of the concrete", kind="document", state="none"),
)
MARKS = (
    PhotoMark(1, "ring", (1500, 2200), (4200, 4800)),
    PhotoMark(2, "dimension", (3000, 6000), (7000, 6000), '28 3/4"'),
)
PHOTOS = (
    Thing(
        src=static("img/favicon.svg"),
        alt="Backing behind bracket 3, left rail",
        width=4,
        height=3,
        caption="Backing at bracket 3, left",
        taken=TAKEN,
        by="R. Alder, Copper Creek Framing",
        state="accepted",
    ),
    Thing(
        src=static("img/first-sheet.png"),
        alt="Backing behind bracket 2, left rail",
        words="Backing behind bracket 2, left rail. Marks: 1, ring, left side, a third down: blocking stops short",
        width=4,
        height=3,
        caption="Backing at bracket 2, left",
        taken=TAKEN,
        by="R. Alder, Copper Creek Framing",
        state="refused",
        overlay=mark_safe(overlay(MARKS, prefix="specimen")),
        marks=(
            Thing(
                uid="1",
                line="1, ring, left side, a third down: blocking stops short",
                reason="Mark 1: blocking stops short",
                by="Ana Ruiz",
                is_reason=True,
            ),
            Thing(
                uid="2",
                line='2, dimension, middle, halfway down: 28 3/4"',
                reason='Mark 2: 28 3/4"',
                by="Ana Ruiz",
            ),
        ),
    ),
    Thing(
        src="",
        alt="",
        caption="Backing at bracket 4, left",
        taken=None,
        state="handed in",
        hints=["may be blurred"],
    ),
)
TABLE = Thing(
    caption="Brackets above the pit floor",
    columns=["bracket", "elevation", "state", "source"],
    rows=[
        ["1", Thing(text="1' 0\"", figure=True), Thing(text="", state="accepted"), "drawing, revision C"],
        ["2", Thing(text="6' 7 1/4\"", figure=True), Thing(text="", state="offered"), "drawing, revision C"],
        [
            "3",
            Thing(text="12' 2 1/2\"", figure=True),
            Thing(text="", state="refused"),
            Thing(text="common practice", href="#drawing"),
        ],
    ],
)
HANDOFF = Thing(
    key="specimen",
    what="Backing on the rail wall",
    from_whom="Copper Creek Framing",
    offered_at=TAKEN,
    phone="555-0142",
    answer_by=TAKEN,
    late=True,
    round=2,
    receiver_note="Backing runs without a gap on both sides of the rail, from pit floor to the hoistway top.",
    critical="elevator-critical",
    first=Thing(
        readings=(
            Thing(
                need=Thing(
                    text="Width of sound backing",
                    lift_critical=True,
                    value="2' 6 1/4\"",
                    inside=True,
                    tolerance="2' 6\" to 2' 7\"",
                    state="accepted",
                ),
                instrument="steel tape",
                by="Fay Framer",
                at=TAKEN,
            ),
        )
    ),
    rest=Thing(shown=REQUIREMENTS[1:2]),
    receiver_phone="555-0110",
    in_their_place="#in-their-place",
    action="#",
    reasons=(),
    photos=SpecimenForm(auto_id="refusal_%s")["photos"],
    for_whom="Northway Elevator",
)
ROUNDS = (
    Thing(
        number=2,
        by="Copper Creek Framing",
        at=TAKEN,
        note="left side redone",
        crew_waiting=True,
        answer_by=TAKEN,
        ended=None,
        answers=(
            Thing(
                state="offered", who="Northway Elevator", said="has not answered yet", due=TAKEN, late=True
            ),
        ),
    ),
    Thing(
        number=1,
        by="Copper Creek Framing",
        at=TAKEN,
        answer_by=TAKEN,
        ended=TAKEN,
        answers=(
            Thing(
                state="refused",
                who="Northway Elevator",
                said="refused: Lou Becker",
                at=TAKEN,
                reasons=("It stops short of the marks.",),
                figures=PHOTOS[:1],
            ),
        ),
    ),
)
QUESTIONS = (
    Thing(
        text="Is a sprinkler wanted at the hoistway top?",
        decides="The fire authority",
        needed_by=date(2026, 3, 9),
        past=False,
        waiting=4,
        safe_default="leave room for the head and its heat detector",
        href="#question",
        phone="555-0199",
    ),
    Thing(
        text="Does the pit need a sump?",
        decides="The plumbing authority",
        needed_by=date(2026, 2, 2),
        past=True,
        waiting=1,
    ),
)
CELLS = (
    Thing(label="next gate", value="Ready for rails", note="3 things missing", href="#missing"),
    Thing(label="visit 1, rails and doors", value="Mon 23 March", note="8 in 10; confirm by 11 March"),
    Thing(label="drawing", value="revision C", note="approved 4 February"),
    Thing(label="pit", value="accepted", state="accepted", note="poured 12 February"),
)
SHEETS = (
    SheetLine("First sheet", "#top", True),
    SheetLine("To look at", "#states", False, 3),
    SheetLine("Packages", "#states", False),
    SheetLine("Site facts", "#states", False),
    SheetLine("Questions", "#question", False, 2),
    SheetLine("Links", "#states", False),
    SheetLine("Record", "#states", False),
)
