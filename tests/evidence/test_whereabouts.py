"""Distances on a round earth, against figures that are known from elsewhere."""

import pytest

from coordination.evidence.whereabouts import AT_THE_SITE, FAR, how_far, metres_between


def test_a_degree_of_latitude_is_sixty_nautical_miles_of_a_round_earth():
    # 6371 km x pi / 180
    assert metres_between((44.0, -73.0), (45.0, -73.0)) == pytest.approx(111_194.9, abs=0.5)


def test_meridians_come_together_towards_the_poles():
    assert metres_between((60.0, 0.0), (60.0, 1.0)) == pytest.approx(111_194.9 / 2, rel=1e-4)


def test_across_the_date_line_it_is_the_short_way():
    assert metres_between((0.0, 179.999), (0.0, -179.999)) == pytest.approx(222.4, abs=0.1)


@pytest.mark.parametrize(("north", "expected"), [(44.4835, AT_THE_SITE), (44.4845, FAR)])
def test_a_kilometre_is_the_limit(north, expected):
    assert how_far((north, -73.2), (44.4750, -73.2)) == expected
