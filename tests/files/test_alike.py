"""Look-alikes through the index are exactly those that comparing with all finds; suppliers never meet."""

from datetime import timedelta
from itertools import product
from uuid import UUID, uuid4

import numpy as np
import pytest
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.files import measuring
from coordination.files.alike import BITS, Likenesses, Near, compared_with_all
from coordination.files.images import ALIKE_UP_TO, Measures, distance
from coordination.files.keeping import keep
from coordination.files.letting_go import let_go, unclaimed
from coordination.files.measuring import alike_to, concerns_of, keep_measures
from coordination.files.models import Measurement

ONE = UUID("11111111-1111-4111-8111-111111111111")
OTHER = UUID("22222222-2222-4222-8222-222222222222")
likenesses = st.integers(0, (1 << 64) - 1)
turned = st.sets(st.integers(0, 63), max_size=10)
db = pytest.mark.django_db


def pairs(near: Near) -> list[tuple[int, int, int]]:
    return list(zip(near.asked.tolist(), near.found.tolist(), near.apart.tolist(), strict=True))


def with_bits_turned(likeness: int, bits: set[int]) -> int:
    for bit in bits:
        likeness ^= 1 << bit
    return likeness


def by_hand(standing: list[int], asked: list[int]) -> list[tuple[int, int, int]]:
    """Plain numbers, nothing of the code under test."""
    return [
        (who, at, (one ^ other).bit_count())
        for who, one in enumerate(asked)
        for at, other in enumerate(standing)
        if (one ^ other).bit_count() <= 7
    ]


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_the_index_answers_as_comparing_with_all_does(data):
    asked = data.draw(st.lists(likenesses, max_size=4))
    near = [
        with_bits_turned(one, data.draw(turned)) for one in asked for _ in range(data.draw(st.integers(0, 5)))
    ]
    standing = data.draw(st.permutations(near + data.draw(st.lists(likenesses, max_size=6))))
    expected = by_hand(standing, asked)
    held, wanted = np.array(standing, dtype=BITS), np.array(asked, dtype=BITS)
    assert pairs(Likenesses(held).near(wanted)) == expected
    assert pairs(compared_with_all(held, wanted)) == expected


@settings(max_examples=300, deadline=None)
@given(one=likenesses, bits=st.sets(st.integers(0, 63), min_size=ALIKE_UP_TO, max_size=ALIKE_UP_TO + 1))
def test_the_limit_holds_to_the_bit_wherever_the_bits_are(one, bits):
    index = Likenesses(np.array([with_bits_turned(one, bits)], dtype=BITS))
    assert (len(index.near(np.array([one], dtype=BITS)).found) == 1) is (len(bits) == ALIKE_UP_TO)


def test_up_to_eight_bits_are_told_apart_however_they_are_spread_over_the_bands():
    """Every way to spread them over four bands of sixteen: what the argument about halves and bands is about."""
    spreads = [spread for spread in product(range(9), repeat=4) if sum(spread) <= 8]
    likenesses = [
        with_bits_turned(0, {16 * band + bit for band, turned in enumerate(spread) for bit in range(turned)})
        for spread in spreads
    ]
    near = [at for at, spread in enumerate(spreads) if sum(spread) <= 7]
    index = Likenesses(np.array(likenesses, dtype=BITS))
    assert pairs(index.near(np.array([0], dtype=BITS))) == [(0, at, sum(spreads[at])) for at in near]
    assert len(spreads) - len(near) == 165


@pytest.mark.parametrize("number", [0, 1, 2, 15, 16, 17, 40])
def test_rows_that_are_not_full_answer_too(number):
    """So many of the same, with the highest and the lowest value beside them: the ends of the table."""
    standing = np.array([5] * number + [(1 << 64) - 1, 0], dtype=BITS)
    for one in (0, 5, (1 << 64) - 1):
        assert pairs(Likenesses(standing).near(np.array([one], dtype=BITS))) == by_hand(
            standing.tolist(), [one]
        )


def test_thousands_at_once_answer_as_comparing_with_all_does():
    chance = np.random.default_rng(7)
    scenes = chance.integers(0, 1 << 64, 300, dtype=BITS)
    standing = scenes[chance.integers(0, 300, 5000)]
    for _ in range(3):
        standing = standing ^ (np.uint64(1) << chance.integers(0, 64, 5000).astype(np.uint64))
    found = pairs(Likenesses(standing).near(standing[:200]))
    assert found == pairs(compared_with_all(standing, standing[:200]))
    assert len(found) > 1000


def shown(supplier: UUID, name: str, likeness: int | None):
    """An original with that likeness."""
    blob = keep(supplier, name.encode(), media_type="image/jpeg")
    keep_measures(blob, Measures(50.0, 120.0, 1200, likeness))
    return blob


@db
def test_a_picture_is_alike_to_its_suppliers_pictures_and_to_nobody_elses():
    mine, near, far = shown(ONE, "a", 0), shown(ONE, "b", 0b1111111), shown(ONE, "c", 0b11111111)
    theirs = shown(OTHER, "a", 0)
    assert alike_to(ONE, [mine.pk]) == {mine.pk: {mine.pk: 0, near.pk: 7}}
    assert alike_to(ONE, [far.pk]) == {far.pk: {near.pk: 1, far.pk: 0}}
    assert alike_to(OTHER, [theirs.pk]) == {theirs.pk: {theirs.pk: 0}}
    assert alike_to(ONE, [theirs.pk]) == {}


@db
def test_likenesses_beyond_the_signed_numbers_come_back_as_they_were():
    blob = shown(uuid4(), "a", (1 << 64) - 1)
    assert Measurement.objects.get(blob=blob).likeness == -1
    other = shown(blob.supplier, "b", (1 << 64) - 2)
    assert alike_to(blob.supplier, [blob.pk]) == {blob.pk: {blob.pk: 0, other.pk: 1}}


@db
def test_a_picture_that_shows_next_to_nothing_is_like_no_other():
    supplier = uuid4()
    blank, scene = shown(supplier, "a", None), shown(supplier, "b", 0)
    assert alike_to(supplier, [blank.pk, scene.pk]) == {scene.pk: {scene.pk: 0}}


@db
def test_what_comes_later_is_found_beside_the_index_and_in_it(monkeypatch, django_assert_num_queries):
    monkeypatch.setattr(measuring, "MOST_LOOSE", 4)
    supplier = uuid4()
    blobs = []
    for number in range(12):
        blobs.append(shown(supplier, str(number), number % 2))
        expected = {blob.pk: (number ^ at) % 2 for at, blob in enumerate(blobs)}
        assert alike_to(supplier, [blobs[-1].pk]) == {blobs[-1].pk: expected}
    with django_assert_num_queries(2):
        alike_to(supplier, [blob.pk for blob in blobs])


@db
def test_rows_that_appear_out_of_their_order_are_found_too():
    """Two that are written at once: the one with the lower number may become visible last."""
    supplier = uuid4()
    first, second = shown(supplier, "a", 1), shown(supplier, "b", 0)
    row = Measurement.objects.get(blob=first)
    Measurement.objects.filter(pk=row.pk).delete()
    assert alike_to(supplier, [second.pk]) == {second.pk: {second.pk: 0}}
    row.save(force_insert=True)
    assert alike_to(supplier, [second.pk]) == {second.pk: {first.pk: 1, second.pk: 0}}


@db
def test_a_database_that_went_back_in_time_is_noticed():
    """As after a backup was put back under a running program: the newest row it knew is gone."""
    supplier = uuid4()
    first, second = shown(supplier, "a", 0), shown(supplier, "b", 0)
    assert len(alike_to(supplier, [first.pk])[first.pk]) == 2
    Measurement.objects.filter(blob=second).delete()
    assert alike_to(supplier, [first.pk]) == {first.pk: {first.pk: 0}}


@db
def test_what_was_measured_twice_has_one_row():
    blob = shown(uuid4(), "a", 5)
    assert keep_measures(blob, Measures(1.0, 1.0, 1, 9)).likeness == 5
    assert Measurement.objects.filter(blob=blob).count() == 1


@db
def test_concerns_come_back_from_what_was_kept():
    supplier = uuid4()
    blob = keep(supplier, b"a", media_type="image/jpeg")
    keep_measures(blob, Measures(1.0, 10.0, 300, 0))
    fine = shown(supplier, "b", 0)
    assert concerns_of([blob.pk, fine.pk]) == {blob.pk: ("blurred", "dark", "small"), fine.pk: ()}


@db
def test_measures_do_not_keep_an_original_that_nobody_claims():
    blob = shown(uuid4(), "a", 0)
    later = timezone.now() + timedelta(days=3)
    assert unclaimed(later) == [str(blob.pk)]
    assert let_go(str(blob.pk), later)
    assert Measurement.objects.count() == 0


def test_distance_counts_bits():
    assert (distance(0, 0), distance(0b1011, 0), distance((1 << 64) - 1, 0)) == (0, 3, 64)
