"""The gate report's own template with as many photos as wanted, without a database behind it."""

from django.template.loader import render_to_string

from coordination.handover.contents import Found, Line, PlaceChapter, Plate, Work
from coordination.handover.numbered import Original
from coordination.handover.pictured import Picture
from coordination.handover.summary import Listed, Sum

A_PLACE, A_WORK = 20, 4


def html_with(photos: int) -> str:
    """Places of twenty photos, works of four: one requirement with a photo, one with a reading beside it."""
    numbers = range(photos)
    places = [_place(numbers[begin : begin + A_PLACE]) for begin in range(0, photos, A_PLACE)]
    head = {
        "language": "en", "title": "A long report", "description": "Many photos", "project": "A long job",
        "gate": "Handover", "supplier": "A supplier", "paper": "letter", "made_at": "2026-03-09T14:05:06+00:00",
        "place": "A long street", "code": "AAAAA-BBBBB", "revision": "revision 1", "foot": "the drawing governs",
        "critical": "critical", "lead": "What was checked.", "ready": "No permission.", "limits": "A record.",
    }  # fmt: skip
    originals = [Original(n + 1, f"photo-{n}.jpg", "March 2, 2026 10:30 EST", f"{n:064x}") for n in numbers]
    words = {
        "head": head, "address": "https://example.org/check/AAAAA-BBBBB", "drawing": None,
        "block": [[("Project", "A long job"), ("Place", "Here"), ("Gate", "Handover")]],
        "long": [("Permits", "none entered")], "sums": [Sum(photos, "present", "present")],
        "counts": f"{photos} things were asked for.", "missing": Listed((), "", 1), "still": Listed((), "", 1),
        "rounds": [{"number": "1", "day": "March 9, 2026", "why": ""}], "earlier_rounds": [],
        "conditions": [], "concessions": [], "every_missing": [], "every_open": [], "works": places,
        "elsewhere": [], "signatures": [], "originals": originals, "cautions": ["Stay outside the guard."],
        "proof": [("Anchor", f"{1:064x}@100")],
    }  # fmt: skip
    return render_to_string("paper/gate_report.html", words)


def _place(numbers: range) -> PlaceChapter:
    works = tuple(_work(numbers[begin : begin + A_WORK]) for begin in range(0, len(numbers), A_WORK))
    plates = tuple(
        Plate(number + 1, work.text, picture, first=True)
        for work, begin in zip(works, range(0, len(numbers), A_WORK), strict=True)
        for number, picture in zip(
            numbers[begin : begin + A_WORK], [p for line in work.lines for p in line.pictures], strict=True
        )
    )
    return PlaceChapter("place", f"Place of photo {numbers[0] + 1}", (), works, plates)


def _work(numbers: range) -> Work:
    lines = [line for number in numbers for line in (_shown(number), _read(number))]
    return Work(
        "work",
        f"Work of photo {numbers[0] + 1}",
        "Framing",
        "A company",
        "March 2, 2026",
        tuple(lines),
        (),
        (),
    )


def _shown(number: int) -> Line:
    text = f"Backing left of the rail wall, number {number + 1}"
    picture = Picture(
        f"photo/{number}.jpg", f"Photo: {text}", text, "March 2, 2026 10:30 EST", f"{number:064x}", ""
    )
    found = (Found("", "Bo Tran", number + 1),)
    return Line("a", "photo", text, found, "", "common practice", "accepted", "Ana Ruiz", False, (picture,))


def _read(number: int) -> Line:
    found = (Found("2' 6\"", "inside, tape, Bo Tran"),)
    return Line(
        "b", "reading", f"Spread {number + 1}", found, "2' 5\" to 2' 7\"", "common practice", "accepted",
        "Ida Marsh, March 2, 2026 11:00 EST", True, (),
    )  # fmt: skip
