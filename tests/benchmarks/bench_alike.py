"""A thousand look-ups of look-alikes among a hundred thousand likenesses: through the index, against comparing all.

The baseline is honest: for each look-up one XOR over all, a count of its bits and the places that are near, all in
NumPy. Both give the same answers, here and in tests/files/test_alike.py. The index is asked for twenty lots of a
thousand in a turn, each lot another: so a turn lasts about as long as one of the baseline, and what the processor's
caches still hold of the lot before helps nobody.
"""

# ruff: noqa: T201

from time import perf_counter, process_time

import numpy as np
import pytest

from coordination.files.alike import BITS, Likenesses
from coordination.files.images import ALIKE_UP_TO
from tests.benchmarks.side_by_side import medians

STANDING, ASKED = 100_000, 1000
LOTS = 20
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


def asked_for(chance: np.random.Generator, standing: np.ndarray) -> np.ndarray:
    """Half of them near something that stands there, half anything."""
    seen = flipped(chance, standing[chance.integers(0, STANDING, ASKED // 2)], 3)
    return np.concatenate([seen, chance.integers(0, 1 << 64, ASKED - seen.size, dtype=BITS)])


@pytest.mark.parametrize("series", [of_any_scene, of_few_scenes])
def test_a_thousand_look_ups(series) -> None:
    chance = np.random.default_rng(20_260_302)
    standing = series(chance)
    index = Likenesses(standing)
    lots = [asked_for(chance, standing) for _ in range(LOTS)]

    def all_of(asked: np.ndarray) -> list[np.ndarray]:
        return [np.flatnonzero(np.bitwise_count(standing ^ one) <= ALIKE_UP_TO) for one in asked]

    def at_once() -> None:
        for asked in lots:
            index.near(asked)

    def one_by_one() -> list[np.ndarray]:
        return [index.near(lots[0][at : at + 1]).found for at in range(ASKED)]

    found, expected = index.near(lots[0]), all_of(lots[0])
    assert [list(found.found[found.asked == at]) for at in range(ASKED)] == [list(one) for one in expected]
    assert [list(one) for one in one_by_one()] == [list(one) for one in expected]
    made = medians(lambda: Likenesses(standing), rounds=3)[0]
    print(f"\n{series.__name__}: {len(found.found)} pairs; making the index takes {made:.2f} s")
    for name, clock in (("by the clock", perf_counter), ("of the processor", process_time)):
        compared, together, singly = medians(
            lambda: all_of(lots[0]), at_once, one_by_one, rounds=9, clock=clock
        )
        print(
            f"{name}: comparing with all {compared * 1e6 / ASKED:.1f} us a look-up; through the index, all at once "
            f"{compared / together * LOTS:.0f} times as fast (wanted {WANTED}), one call each {compared / singly:.1f} times"
        )
