"""Hints, with their error rates on a generated series: drawn building sites, sharp and spoilt in known ways."""

import itertools
import random

import pytest

from coordination.files.images import ALIKE_UP_TO, concerns, distance, make_renditions, measure
from tests.files.conftest import run

SCENES = range(3)
# Spoilt by an independent program; which concerns must be raised in every scene of the series.
BLURRED = {
    "soft": ["-blur", "0x2"],
    "softer": ["-blur", "0x4"],
    "nothing to see": ["-blur", "0x8"],
    "shaken": ["-scale", "50%", "-motion-blur", "0x6+20"],
    "soft and noisy": ["-blur", "0x8", "-attenuate", "0.15", "+noise", "Gaussian"],
}
FINE = {
    "as taken": [],
    "packed hard": ["-quality", "50"],
    "dim": ["-evaluate", "multiply", "0.4"],
    "bright": ["-evaluate", "multiply", "1.3"],
}
STILL_ALIKE = {
    "resized": ["-resize", "50%"],
    "packed hard": ["-quality", "30"],
    "bright": ["-evaluate", "multiply", "1.25"],
    "soft": ["-blur", "0x2"],
    "cropped 2 %": ["-shave", "16x12"],
}


@pytest.fixture(scope="module")
def scenes(tmp_path_factory):
    """Walls, boards and openings in muted colours with grain, 1600 x 1200, from a seed each."""
    folder = tmp_path_factory.mktemp("scenes")
    for seed in SCENES:
        chance, boards = random.Random(seed), []
        for _ in range(40):
            x, y, wide, high = (chance.randrange(most) for most in (1600, 1200, 400, 300))
            grey = chance.randrange(60, 220)
            colour = f"rgb({grey},{grey + chance.randrange(-20, 20)},{grey - chance.randrange(30)})"
            boards += ["-fill", colour, "-draw", f"rectangle {x},{y} {x + wide + 20},{y + high + 10}"]
        ground = ["-size", "1600x1200", "-seed", str(seed), "plasma:gray60-gray90", "-modulate", "100,30"]
        grain = ["-blur", "0x0.7", "-attenuate", "0.15", "+noise", "Gaussian", "-quality", "88"]
        run("convert", *ground, *boards, *grain, folder / f"{seed}.jpg")
    return folder


@pytest.fixture(scope="module")
def measured(scenes, tmp_path_factory):
    """Measures of the large rendition of a scene after a change, each made once."""
    folder, known = tmp_path_factory.mktemp("changed"), {}

    def of(seed, change):
        key = (seed, *change)
        if key not in known:
            run("convert", scenes / f"{seed}.jpg", *change, folder / "changed.jpg")
            known[key] = measure(make_renditions(folder / "changed.jpg")[1600])
        return known[key]

    return of


@pytest.mark.parametrize("change", BLURRED.values(), ids=BLURRED)
def test_blurred_pictures_are_told_in_every_scene(measured, change):
    assert ["blurred" in concerns(measured(seed, change)) for seed in SCENES] == [True] * len(SCENES)


@pytest.mark.parametrize("change", FINE.values(), ids=FINE)
def test_fine_pictures_raise_nothing_in_any_scene(measured, change):
    assert [concerns(measured(seed, change)) for seed in SCENES] == [()] * len(SCENES)


def test_dark_pictures_are_told(measured):
    found = [concerns(measured(seed, ["-evaluate", "multiply", "0.12"])) for seed in SCENES]
    assert found == [("dark",)] * len(SCENES)


def test_a_bare_rough_wall_is_not_called_blurred(tmp_path):
    wall = [
        "-size",
        "1600x1200",
        "-seed",
        "3",
        "plasma:gray50-gray60",
        "-attenuate",
        "0.3",
        "+noise",
        "Gaussian",
    ]
    run("convert", *wall, "-blur", "0x0.7", tmp_path / "wall.jpg")
    assert concerns(measure(tmp_path / "wall.jpg")) == ()


@pytest.mark.parametrize(("size", "small"), [("960x720", False), ("959x719", True)])
def test_small_pictures_are_told(scenes, tmp_path, size, small):
    run("convert", scenes / "0.jpg", "-resize", f"{size}!", tmp_path / "a.jpg")
    assert ("small" in concerns(measure(tmp_path / "a.jpg"))) is small


@pytest.mark.parametrize("change", STILL_ALIKE.values(), ids=STILL_ALIKE)
def test_the_same_scene_stays_alike(measured, change):
    apart = [distance(measured(seed, change).likeness, measured(seed, []).likeness) for seed in SCENES]
    assert max(apart) <= ALIKE_UP_TO


def test_other_scenes_are_far_apart(measured):
    likenesses = [measured(seed, []).likeness for seed in SCENES]
    assert min(distance(*pair) for pair in itertools.combinations(likenesses, 2)) > 2 * ALIKE_UP_TO


def test_a_picture_turned_by_a_tag_is_alike_to_the_one_turned_by_pixels(scenes, tagged, tmp_path):
    path = tmp_path / "tagged.jpg"
    run("convert", scenes / "0.jpg", "-resize", "800x", path)
    upright = measure(path).likeness
    run("convert", path, "-rotate", "-90", tmp_path / "lying.jpg")
    assert distance(measure(tmp_path / "lying.jpg").likeness, upright) > ALIKE_UP_TO
    assert distance(measure(tagged(tmp_path / "lying.jpg", Orientation=6)).likeness, upright) <= 2


def test_original_and_rendition_agree(scenes):
    path = scenes / "0.jpg"
    original, copy = measure(path), measure(make_renditions(path)[320])
    assert distance(original.likeness, copy.likeness) <= ALIKE_UP_TO // 2
    assert abs(original.brightness - copy.brightness) < 2


def test_a_black_picture_has_measures_too(tmp_path):
    run("convert", "-size", "8x8", "xc:black", tmp_path / "a.png")
    measures = measure(tmp_path / "a.png")
    assert concerns(measures) == ("blurred", "dark", "small")
    assert measures.likeness is None
