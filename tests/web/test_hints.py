"""What is said of a photo at once: to its sender on the answer, to the reviewer beside it, of others only what one may see."""

import io
import re
import uuid
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image, ImageEnhance, ImageFilter

from coordination.console.demo.site_photos import draw_photo
from coordination.evidence.hinting import Seen, hints_on
from coordination.evidence.models import Evidence
from coordination.files.measuring import concerns_of
from tests.gates.sites import BACKING, ROUGH, Site, build
from tests.web.worked_site import begun, browse, key, page, site, words

__all__ = ["begun", "browse", "site"]
LEFT, RECEPTACLE = "backing@rail-wall#left", "rough@pit#receptacle"
HTMX = {"HX-Request": "true"}
SIZE = (1280, 960)


def photo(
    view: str = "framing", *, seed: int = 1, at: datetime, size: tuple[int, int] = SIZE, **more: Any
) -> bytes:
    return draw_photo(view, seed=seed, taken_at=at, size=size, **more)


def spoilt(data: bytes, size: tuple[int, int] = SIZE) -> bytes:
    """The same picture out of focus and far too dark, with what the camera wrote."""
    out = io.BytesIO()
    with Image.open(io.BytesIO(data)) as picture:
        soft = picture.resize(size).filter(ImageFilter.GaussianBlur(6))
        ImageEnhance.Brightness(soft).enhance(0.2).save(out, "JPEG", quality=88, exif=picture.getexif())
    return out.getvalue()


def again(data: bytes) -> bytes:
    """The same picture, scaled and packed anew, with nothing of what the camera wrote."""
    out = io.BytesIO()
    with Image.open(io.BytesIO(data)) as picture:
        picture.resize((1024, 768)).save(out, "JPEG", quality=60)
    return out.getvalue()


def send(client: Client, site: Site, need: str, *files: bytes, headers: Any = HTMX, **more: Any) -> Any:
    named = [SimpleUploadedFile(f"{number}.jpg", data) for number, data in enumerate(files)]
    told = {"key": key(), "terms": site.need(need).terms_sha, "photos": named, **more}
    return client.post(page(site, "my-handing-in", site.need(need).uid), told, headers=headers)


def hints_in(answer: Any) -> list[str]:
    """The sentences of the box over a card."""
    box = re.search(r'told-warning" role="status">(.*?)</div>', answer.content.decode(), re.DOTALL)
    return (
        [re.sub(r"\s+", " ", line).strip() for line in re.findall(r"<li>(.*?)</li>", box[1], re.DOTALL)]
        if box
        else []
    )


def test_a_good_photo_is_taken_without_a_word(begun: Site, browse) -> None:
    answer = send(browse("framer"), begun, LEFT, photo(at=begun.at))
    assert (answer.status_code, hints_in(answer)) == (200, [])
    assert "photo-hints" not in answer.content.decode()


def test_a_spoilt_photo_is_taken_and_its_sender_is_told_at_once(begun: Site, browse) -> None:
    answer = send(browse("framer"), begun, LEFT, spoilt(photo(at=begun.at), (640, 480)))
    assert answer.status_code == 200
    assert hints_in(answer) == ["Looks blurred. Very dark. Small: only 480 pixels on the shorter side."]
    assert Evidence.objects.filter(requirement=begun.need(LEFT)).count() == 1


def test_without_script_the_same_is_said_on_the_page(begun: Site, browse) -> None:
    client = browse("framer")
    answer = send(client, begun, LEFT, spoilt(photo(at=begun.at)), headers={})
    assert answer.status_code == 302
    text = words(client.get(answer.url))
    assert "1 photo handed in." in text
    assert text.count("Looks blurred.") == 2  # over the page, and at the photo itself


def test_of_several_photos_each_is_named(begun: Site, browse) -> None:
    good, dark = photo(at=begun.at), spoilt(photo(at=begun.at, seed=2))
    assert hints_in(send(browse("framer"), begun, LEFT, good, dark)) == ["1.jpg: Looks blurred. Very dark."]


def test_the_reviewer_sees_it_in_the_queue_and_on_the_task(begun: Site, browse) -> None:
    send(browse("framer"), begun, LEFT, spoilt(photo(at=begun.at)))
    client = browse("contractor")
    for address in (page(begun, "reviews"), page(begun, "task", begun.task(BACKING.key).uid)):
        assert "Very dark." in words(client.get(address)), address


def test_it_is_at_the_photo_when_its_small_copy_comes(begun: Site, browse) -> None:
    client = browse("framer")
    send(client, begun, LEFT, spoilt(photo(at=begun.at)))
    row = Evidence.objects.get(requirement=begun.need(LEFT))
    assert "Very dark." in words(client.get(reverse("media-figure", args=[row.uid])))


@pytest.mark.parametrize(
    ("before", "expected"),
    [
        (timedelta(0), []),
        (timedelta(days=3), ["Taken on {taken}; this work began on {begun}."]),
    ],
)
def test_a_photo_from_before_the_work(begun: Site, browse, before: timedelta, expected: list[str]) -> None:
    taken = begun.at - before
    days = {
        "taken": f"{taken:%a} {taken.day} {taken:%b}",
        "begun": f"{begun.at:%a} {begun.at.day} {begun.at:%b}",
    }
    assert hints_in(send(browse("framer"), begun, LEFT, photo(at=taken))) == [
        line.format(**days) for line in expected
    ]


def test_a_photo_that_comes_long_after_it_was_taken(
    begun: Site, browse, monkeypatch: pytest.MonkeyPatch
) -> None:
    later = begun.at + timedelta(days=12)
    monkeypatch.setattr("django.utils.timezone.now", lambda: later)
    answer = send(browse("framer"), begun, LEFT, photo(at=begun.at + timedelta(hours=1)))
    assert hints_in(answer) == ["Taken 12 days before it was handed in."]


def test_a_photo_used_for_another_task_is_named_to_whoever_may_see_that_task(begun: Site, browse) -> None:
    first = photo(at=begun.at)
    begun.start(ROUGH.key, "electrician")
    send(browse("electrician"), begun, RECEPTACLE, first)
    told = hints_in(send(browse("framer"), begun, LEFT, again(first)))
    assert told == ["Looks like a photo used elsewhere."]
    [line] = re.findall(r"Looks like [^.]*\.", words(browse("contractor").get(page(begun, "reviews"))))
    assert line.startswith("Looks like a photo handed in for rough on "), line


def test_the_same_bytes_and_alike_ones_are_told_in_the_same_words(begun: Site, browse) -> None:
    first = photo(at=begun.at)
    begun.start(ROUGH.key, "electrician")
    send(browse("electrician"), begun, RECEPTACLE, first)
    same, alike = (hints_in(send(browse("framer"), begun, LEFT, data)) for data in (first, again(first)))
    assert same == alike == ["Looks like a photo used elsewhere."]


def test_the_same_view_twice_for_the_same_task_is_nothing_to_tell(begun: Site, browse) -> None:
    first = photo(at=begun.at)
    send(browse("framer"), begun, LEFT, first)
    assert hints_in(send(browse("framer"), begun, LEFT, again(first))) == []


def test_a_withdrawn_photo_is_nothing_to_look_like(begun: Site, browse) -> None:
    first = photo(at=begun.at)
    begun.start(ROUGH.key, "electrician")
    send(browse("electrician"), begun, RECEPTACLE, first)
    begun.withdraw(Evidence.objects.get(requirement=begun.need(RECEPTACLE)), "electrician")
    assert hints_in(send(browse("framer"), begun, LEFT, again(first))) == []


def test_another_suppliers_photos_are_never_looked_at(begun: Site, browse) -> None:
    other = build("other.")
    first = photo(at=begun.at)
    other.start(ROUGH.key, "electrician")
    from coordination.evidence.arrivals import take_in
    from coordination.evidence.items import HandIn

    for data in (first, again(first)):
        arrived = take_in(other.project, data, kind="photo")
        other.hand_in(RECEPTACLE, "electrician", HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image))
    assert other.project.supplier != begun.project.supplier
    assert hints_in(send(browse("framer"), begun, LEFT, first)) == []


def test_hints_cost_the_same_queries_for_one_photo_and_for_many(
    begun: Site, browse, django_assert_max_num_queries
) -> None:
    send(
        browse("framer"), begun, LEFT, *(photo(at=begun.at, seed=seed, size=(320, 240)) for seed in range(4))
    )
    rows = list(Evidence.objects.select_related("requirement__task", "blob").order_by("pk"))
    seen = [Seen(row, row.requirement, row.requirement.task) for row in rows]
    hints_on(begun.project, seen)
    for some in (seen[:1], seen):
        with django_assert_max_num_queries(4):
            assert len(hints_on(begun.project, some)) == len(some)


def test_a_progressive_giant_is_measured_when_its_copy_is_made(
    begun: Site, browse, monkeypatch: pytest.MonkeyPatch
) -> None:
    from coordination.evidence.renditions import make_missing, without_renditions

    monkeypatch.setattr("coordination.evidence.arrivals.measured_lightly", lambda _: False)
    client = browse("framer")
    assert hints_in(send(client, begun, LEFT, spoilt(photo(at=begun.at)))) == []
    row = Evidence.objects.get(requirement=begun.need(LEFT))
    assert concerns_of([row.blob_id]) == {}
    for pk in without_renditions():
        make_missing(pk)
    assert concerns_of([row.blob_id]) == {row.blob_id: ("blurred", "dark")}
    assert "Very dark." in words(client.get(reverse("media-figure", args=[row.uid])))
    assert without_renditions() == []


SITE = {"latitude": "44.4750", "longitude": "-73.2000"}
AT_THE_SITE, FAR_OFF = (44.4752, -73.2003), (44.6, -73.2)


def place_the_site(site: Site, browse) -> None:
    assert browse("coordinator").post(page(site, "site-position"), SITE).status_code == 302


def test_where_a_photo_was_taken_is_only_compared_where_both_sides_want_it(begun: Site, browse) -> None:
    far = photo(at=begun.at, gps=FAR_OFF)
    assert hints_in(send(browse("framer"), begun, LEFT, far, compare_place="on")) == []
    place_the_site(begun, browse)
    assert hints_in(send(browse("framer"), begun, LEFT, far)) == []
    told = ["By the position in the photo it was taken far from the site."]
    assert hints_in(send(browse("framer"), begun, LEFT, far, compare_place="on")) == told
    near = photo(at=begun.at, gps=AT_THE_SITE)
    assert hints_in(send(browse("framer"), begun, LEFT, near, compare_place="on")) == []
    kept = [row.image.get("where", "") for row in Evidence.objects.order_by("pk")]
    assert kept == ["", "", "far", "at the site"]
    assert not any("44" in str(row.image) for row in Evidence.objects.all())


def test_the_sender_is_asked_only_where_the_site_has_a_position(begun: Site, browse) -> None:
    address = page(begun, "my-task", begun.task(BACKING.key).uid)
    asked = "Compare where the photos were taken"
    assert asked not in words(browse("framer").get(address))
    place_the_site(begun, browse)
    assert asked in words(browse("framer").get(address))
    browse("coordinator").post(page(begun, "site-position"), {"take-back": "1"})
    assert asked not in words(browse("framer").get(address))


@pytest.mark.parametrize(
    ("name", "status"),
    [("coordinator", 200), ("contractor", 404), ("crew", 404), ("framer", 404), ("stranger", 404)],
)
def test_only_the_coordinator_says_where_the_site_is(begun: Site, browse, name: str, status: int) -> None:
    assert browse(name).get(page(begun, "site-position")).status_code == status


@pytest.mark.parametrize(
    "wrong",
    [
        {"latitude": "91", "longitude": "0"},
        {"latitude": "north", "longitude": "0"},
        {"latitude": "", "longitude": ""},
    ],
)
def test_a_place_that_is_not_on_earth_is_refused(begun: Site, browse, wrong: dict[str, str]) -> None:
    assert browse("coordinator").post(page(begun, "site-position"), wrong).status_code == 422
    assert "No position is kept" in words(browse("coordinator").get(page(begun, "site-position")))


def test_the_position_said_twice_is_one_decision(begun: Site, browse) -> None:
    from coordination.record.models import Event

    for _ in range(2):
        place_the_site(begun, browse)
    assert Event.objects.filter(verb="site position stated").count() == 1
