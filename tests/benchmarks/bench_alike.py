"""A thousand look-ups of look-alikes among a hundred thousand likenesses: through the index, against comparing all.

The baseline is honest: for each look-up one XOR over all, a count of its bits and the places that are near, all in
NumPy. Both give the same answers, here and in tests/files/test_alike.py.
"""

# ruff: noqa: T201

from time import perf_counter, process_time

import numpy as np
import pytest

from coordination.files.alike import BITS, Likenesses
from coordination.files.images import ALIKE_UP_TO
from tests.benchmarks.side_by_side import medians

STANDING, ASKED = 100_000, 1000
WANTED = 50


def flipped(chance: np.random.Generator, likenesses: np.ndarray, times: int) -> np.ndarray:
    """Each with up to ``times`` of its bits turned."""
    for _ in range(times):
        likenesses = likenesses ^ (np.uint64(1) << chance.integers(0, 64, likenesses.size).astype(np.uint64))
    return likenesses


def of_any_scene(chance: np.random.Generator) -> np.ndarray:
    return chance.integers(0, 1 << 64, STANDING, dtype=BITS)


def of_few_scenes(chance: np.random.Generator) -> np.ndarray:
    """Four thousand scenes, each taken some twenty-five times with a few bits turned."""
    scenes = chance.integers(0, 1 << 64, STANDING // 25, dtype=BITS)
    return flipped(chance, scenes[chance.integers(0, scenes.size, STANDING)], 4)


@pytest.mark.parametrize("series", [of_any_scene, of_few_scenes])
def test_a_thousand_look_ups(series) -> None:
    chance = np.random.default_rng(20_260_302)
    standing = series(chance)
    seen = flipped(chance, standing[chance.integers(0, STANDING, ASKED // 2)], 3)
    asked = np.concatenate([seen, chance.integers(0, 1 << 64, ASKED - seen.size, dtype=BITS)])
    index = Likenesses(standing)

    def all_of_them() -> list[np.ndarray]:
        return [np.flatnonzero(np.bitwise_count(standing ^ one) <= ALIKE_UP_TO) for one in asked]

    def one_by_one() -> list[np.ndarray]:
        return [index.near(asked[at : at + 1]).found for at in range(ASKED)]

    found = index.near(asked)
    expected = all_of_them()
    assert [list(found.found[found.asked == at]) for at in range(ASKED)] == [list(one) for one in expected]
    made = medians(lambda: Likenesses(standing), rounds=3)[0]
    print(f"\n{series.__name__}: {len(found.found)} pairs; making the index takes {made:.2f} s")
    for name, clock in (("by the clock", perf_counter), ("of the processor", process_time)):
        compared, together, singly = medians(
            all_of_them, lambda: index.near(asked), one_by_one, rounds=9, clock=clock
        )
        print(
            f"{name}: comparing with all {compared * 1e6 / ASKED:.1f} us a look-up; through the index, all at once "
            f"{compared / together:.0f} times as fast (wanted {WANTED}), one call each {compared / singly:.1f} times"
        )
