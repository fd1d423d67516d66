"""What a phone sends from its own store: in parts, once, and only under its own sender's name."""

import hashlib
import json
import uuid
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.access import actions as access
from coordination.evidence.models import Evidence
from coordination.files.keeping import digest, path_of
from coordination.gates.models import Offer
from coordination.record.models import Chain, Event
from coordination.web.senders import sender_of
from tests.gates.sites import BACKING, Site, build, picture
from tests.standing_cast import LATER

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


@pytest.fixture
def site(db: Any, now: datetime) -> Site:
    """The small job with its framing begun, two days on."""
    site = build()
    site.start(BACKING.key, "framer")
    site.at = LATER
    return site


class Phone:
    """A browser in which one of the cast is signed in, sending as ``sender``."""

    def __init__(self, site: Site, name: str, sender: str | None = None) -> None:
        self.site, self.client = site, Client()
        self.client.force_login(site.cast.people[name])
        self.sender = sender_of(site.who(name)) if sender is None else sender

    def file(self, key: uuid.UUID) -> str:
        return reverse("sending-file", args=[self.site.project.uid, key])

    def there(self, key: uuid.UUID) -> int:
        return int(self.client.get(self.file(key), headers={"Sender": self.sender}).headers["Upload-Offset"])

    def part(self, key: uuid.UUID, offset: int, data: bytes) -> Any:
        headers = {"Sender": self.sender, "Upload-Offset": str(offset)}
        return self.client.patch(
            self.file(key), data, content_type="application/octet-stream", headers=headers
        )

    def evidence(self, need: str, **told: Any) -> Any:
        address = reverse("sending-evidence", args=[self.site.project.uid, self.site.need(need).uid])
        return self.client.post(address, told, headers={"Sender": self.sender})

    def task(self, verb: str, task: str = BACKING.key, **told: Any) -> Any:
        address = reverse("sending-task", args=[self.site.project.uid, self.site.task(task).uid, verb])
        return self.client.post(address, told, headers={"Sender": self.sender})

    def photo(self, key: uuid.UUID, *photos: bytes, **told: Any) -> Any:
        """Send photos whole, then what they are for."""
        uploads = [uuid.uuid5(key, str(number)) for number in range(len(photos))]
        for upload, photo in zip(uploads, photos, strict=True):
            self.part(upload, self.there(upload), photo[self.there(upload) :])
        return self.evidence(LEFT, **described(key, uploads, photos), **told)


def described(key: uuid.UUID, uploads: list[uuid.UUID], photos: Any) -> dict[str, Any]:
    return {
        "key": key,
        "upload": uploads,
        "sha256": [hashlib.sha256(photo).hexdigest() for photo in photos],
        "field": ["photos"] * len(photos),
        "file_name": [f"IMG_{number}.jpg" for number in range(len(photos))],
    }


@pytest.fixture
def phone(site: Site) -> Phone:
    return Phone(site, "framer")


KEY = uuid.UUID(int=21)


def length(site: Site) -> int:
    return Chain.objects.get(stream=site.project.stream).length


def test_a_photo_in_three_parts_is_the_same_photo(phone: Phone) -> None:
    photo, upload = picture(7), uuid.uuid4()
    assert phone.there(upload) == 0
    for begin in (0, 100, 200):
        end = begin + 100 if begin < 200 else len(photo)
        assert phone.part(upload, begin, photo[begin:end]).headers["Upload-Offset"] == str(end)
    answer = phone.evidence(LEFT, **described(KEY, [upload], [photo]), pressed_at="2026-03-04T09:00:00Z")
    told = answer.json()
    assert (answer.status_code, told["state"], told["told"].partition(" Looks")[0], told["stored"]) == (
        200,
        "stored",
        "1 photo handed in.",
        [str(upload)],
    )
    assert f'id="need-{phone.site.need(LEFT).uid}"' in told["part"]
    row = Evidence.objects.get()
    assert (digest(path_of(row.blob)), row.file_name) == (hashlib.sha256(photo).hexdigest(), "IMG_0.jpg")
    assert row.sent_at == datetime.fromisoformat("2026-03-04T09:00:00+00:00")
    assert phone.there(upload) == 0


def test_a_part_that_begins_elsewhere_is_told_where_to_begin(phone: Phone) -> None:
    phone.part(KEY, 0, b"abc")
    answer = phone.part(KEY, 0, b"abc")
    assert (answer.status_code, answer.headers["Upload-Offset"]) == (412, "3")
    assert phone.part(KEY, 3, b"def").headers["Upload-Offset"] == "6"


@pytest.mark.parametrize("offset", ["", "-1", "x", "²"])
def test_an_offset_that_is_no_number_is_refused(phone: Phone, offset: str) -> None:
    headers = {"Sender": phone.sender, "Upload-Offset": offset}
    assert phone.client.patch(phone.file(KEY), b"x", headers=headers).status_code == 400


def test_a_phone_that_falls_silent_in_a_part_is_waited_for_only_so_long(phone: Phone) -> None:
    class Line:
        waits: float | None = None

        def settimeout(self, seconds: float) -> None:
            self.waits = seconds

    line, headers = Line(), {"Sender": phone.sender, "Upload-Offset": "0"}
    phone.client.patch(phone.file(KEY), b"abc", headers=headers, **{"gunicorn.socket": line})
    assert (line.waits, phone.there(KEY)) == (30, 3)


def test_the_same_sending_twice_stores_once(phone: Phone) -> None:
    first = phone.photo(KEY, picture(1), picture(2))
    before = length(phone.site)
    again = phone.photo(KEY, picture(1), picture(2))
    words = [answer.json()["told"] for answer in (first, again)]
    assert words[0] == words[1]
    assert words[0].startswith("2 photos handed in. IMG_0.jpg: Looks blurred.")
    assert (Evidence.objects.count(), length(phone.site)) == (2, before)


def test_a_reading_twice_under_one_key_is_one_and_under_two_keys_two(phone: Phone) -> None:
    for key in (KEY, KEY, uuid.UUID(int=22)):
        assert phone.evidence(SPREAD, key=key, typed='30"').json()["state"] == "stored"
    assert [row.typed for row in Evidence.objects.all()] == ['30"', '30"']


def test_bytes_that_arrived_wrong_begin_anew(phone: Phone) -> None:
    upload = uuid.uuid4()
    phone.part(upload, 0, picture(3)[:-1] + b"?")
    answer = phone.evidence(LEFT, **described(KEY, [upload], [picture(3)]))
    assert (answer.status_code, answer.json()) == (400, {"state": "again"})
    assert (phone.there(upload), Evidence.objects.count()) == (0, 0)


def test_the_good_photo_is_taken_and_the_other_named(phone: Phone) -> None:
    told = phone.photo(KEY, picture(4), b"no photo at all").json()
    assert (told["state"], told["told"].partition(" Looks")[0], told["stored"]) == (
        "refused",
        "1 photo handed in.",
        [str(uuid.uuid5(KEY, "0"))],
    )
    assert [reason for reason in told["reasons"] if "IMG_1.jpg" in reason] == told["reasons"] != []


def test_passing_on_twice_under_one_key_is_one_round_also_after_it_came_back(phone: Phone) -> None:
    site = phone.site
    phone.photo(KEY, picture(5))
    phone.evidence(SPREAD, key=uuid.uuid4(), typed='30"')
    assert phone.task("offer", key=KEY).json() == {
        "state": "stored",
        "told": "Passed on. The answer is awaited.",
    }
    site.review(LEFT, "contractor", "refused", "not sharp")
    phone.photo(uuid.uuid4(), picture(6))
    assert phone.task("offer", key=KEY).json()["state"] == "stored"
    assert (Offer.objects.count(), site.task(BACKING.key).finished_on) == (1, None)


def test_passing_on_too_early_says_what_is_missing_and_who_owes_it(phone: Phone) -> None:
    answer = phone.task("offer", key=KEY)
    assert (answer.status_code, answer.json()["state"]) == (422, "refused")
    assert answer.json()["reasons"] == [
        "Photo (backing) not handed in (Copper Creek Framing)",
        "Spread (backing) not handed in (Copper Creek Framing)",
    ]


def test_what_was_accepted_meanwhile_is_said_and_nothing_is_stored_over_it(phone: Phone) -> None:
    site = phone.site
    site.photo(LEFT, "framer")
    site.review(LEFT, "contractor", "accepted")
    told = phone.photo(KEY, picture(8)).json()
    assert (told["state"], told["stored"], Evidence.objects.count()) == ("refused", [], 1)
    assert told["reasons"] != []


def test_what_is_asked_for_otherwise_meanwhile_is_said(phone: Phone) -> None:
    told = phone.evidence(SPREAD, key=KEY, typed='30"', terms="0" * 64).json()
    assert (told["state"], Evidence.objects.count()) == ("refused", 0)


def test_work_that_was_given_to_another_company_is_said(phone: Phone) -> None:
    site = phone.site
    coordinator, company = site.who("coordinator"), site.cast.companies["electrician"]
    access.assign_company(site.project, coordinator, site.step(), trade="framing", company=company)
    answer = phone.evidence(SPREAD, key=KEY, typed='30"')
    assert (answer.status_code, Evidence.objects.count()) == (422, 0)
    assert answer.json() == {
        "state": "refused",
        "reasons": ["This work is not yours any more, or it left the plan. Ask the coordinator."],
    }


@pytest.mark.parametrize("name", ["electrician", "left", "coordinator"])
def test_what_another_left_on_the_phone_is_held(site: Site, name: str) -> None:
    theirs = Phone(site, name, sender=sender_of(site.who("framer")))
    assert theirs.part(KEY, 0, b"abc").status_code == 409
    assert theirs.evidence(SPREAD, key=KEY, typed='30"').json() == {"state": "held"}
    assert theirs.task("offer", key=KEY).json() == {"state": "held"}
    assert (Evidence.objects.count(), Phone(site, "framer").there(KEY)) == (0, 0)


def test_nobody_signed_in_is_held_too(site: Site) -> None:
    phone = Phone(site, "framer")
    phone.client.logout()
    assert phone.evidence(SPREAD, key=KEY, typed='30"').status_code == 409


def test_the_forms_token_is_asked_for(site: Site) -> None:
    phone = Phone(site, "framer")
    phone.client = Client(enforce_csrf_checks=True)
    phone.client.force_login(site.cast.people["framer"])
    assert phone.evidence(SPREAD, key=KEY, typed='30"').status_code == 403
    assert phone.part(KEY, 0, b"abc").status_code == 403


def test_a_link_sent_anew_to_the_same_name_goes_on_and_to_another_name_does_not(site: Site) -> None:
    senders = []
    for holder in ("Bo Tran", "Bo Tran", "Al Reyes"):
        client = Client()
        _link, token = access.send_link(
            site.project,
            site.who("coordinator"),
            site.at,
            purpose="company tasks",
            company=site.cast.companies["framer"],
            holder=holder,
            days=7,
        )
        client.post(reverse("link", args=[token]))
        page = client.get(reverse("my-tasks", args=[site.project.uid]))
        senders.append(page.context["sender"])
    assert senders[0] == senders[1] != senders[2]


def test_a_clock_that_cannot_be_right_is_not_recorded(phone: Phone) -> None:
    for number, wrong in enumerate(
        ["", "yesterday", "1970-01-01T00:00:00Z", "2031-01-01T00:00:00Z", "2026-03-04"]
    ):
        key = uuid.UUID(int=100 + number)
        assert phone.evidence(SPREAD, key=key, typed='30"', pressed_at=wrong).json()["state"] == "stored"
    assert set(Evidence.objects.values_list("sent_at", flat=True)) == {None}


def test_a_beginning_keeps_when_it_was_pressed(db: Any, now: datetime) -> None:
    site = build()
    site.at = LATER
    phone, pressed = Phone(site, "framer"), LATER - timedelta(hours=3)
    assert phone.task("start", key=KEY, pressed_at=pressed.isoformat()).json()["state"] == "stored"
    event = Event.objects.get(stream=site.project.stream, verb="work begun")
    assert datetime.fromisoformat(event.claimed_at) == pressed


def test_another_verb_is_no_address(phone: Phone) -> None:
    assert phone.task("clear", key=KEY).status_code == 422
    assert json.loads(phone.task("clear", key=KEY).content)["state"] == "refused"
