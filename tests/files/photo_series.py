"""How often hints err, measured on photos that are drawn: ``python -m tests.files.photo_series`` prints the table.

Scenes: the ten views of the drawn site camera (perspective, lamps, shadows, grain), each from several seeds, and fields
of 1/f noise with patches, whose spectrum is that of natural pictures. Each is spoilt, or altered without harm, in known
ways, packed as a JPEG and measured as an upload is. No photo of a real site was at hand.
"""

# ruff: noqa: T201

import argparse
import io
import itertools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from PIL import Image, ImageEnhance, ImageFilter

from coordination.console.demo.site_photos import VIEWS, draw_photo
from coordination.files.images import ALIKE_UP_TO, Measures, concerns, distance, measure

AT = datetime(2026, 3, 2, tzinfo=UTC)
SIZE = (1600, 1200)
Change = Callable[[Image.Image], Image.Image]


@dataclass(frozen=True)
class Scene:
    """``view`` is the same for scenes that are composed alike: the same kind of place on another site."""

    view: str
    picture: Image.Image


def scenes(seeds: int) -> Iterator[Scene]:
    for view, seed in itertools.product(VIEWS, range(seeds)):
        photo = draw_photo(view, seed=seed, taken_at=AT, size=SIZE)
        yield Scene(view, Image.open(io.BytesIO(photo)).convert("RGB"))
    for seed in range(5 * seeds):
        yield Scene(f"field {seed}", natural_field(seed))


def natural_field(seed: int) -> Image.Image:
    """1/f noise with an exponent of 0.9 to 1.3, patches of other greys over it, and grain."""
    chance, (width, height) = np.random.default_rng([seed, 1]), SIZE
    length = np.hypot(np.fft.fftfreq(height)[:, None], np.fft.rfftfreq(width)[None, :])
    length[0, 0] = 1
    waves = chance.normal(size=length.shape) + 1j * chance.normal(size=length.shape)
    field = np.fft.irfft2(waves / length ** chance.uniform(0.9, 1.3), s=(height, width))
    field = 120 + chance.uniform(35, 55) * (field - field.mean()) / field.std()
    for _ in range(int(chance.integers(3, 14))):
        top, left = chance.integers(0, height), chance.integers(0, width)
        patch = field[top : top + chance.integers(40, 500), left : left + chance.integers(60, 600)]
        patch *= 0.4
        patch += 0.6 * chance.integers(40, 220)
    return grained(Image.fromarray(np.clip(field, 0, 255).astype(np.uint8)).convert("RGB"), 3, seed)


def grained(picture: Image.Image, levels: float, seed: int = 7) -> Image.Image:
    """Independent grain of so many grey levels on every pixel."""
    grain = np.random.default_rng([seed, 2]).normal(0, levels, (picture.height, picture.width, 1))
    return Image.fromarray(np.clip(np.asarray(picture, np.float32) + grain, 0, 255).astype(np.uint8))


def lit(share: float) -> Change:
    return lambda picture: ImageEnhance.Brightness(picture).enhance(share)


def soft(radius: float) -> Change:
    return lambda picture: picture.filter(ImageFilter.GaussianBlur(radius))


def shaken(pixels: int) -> Change:
    """Moved along a row by so many pixels while the shutter was open."""

    def change(picture: Image.Image) -> Image.Image:
        values = np.asarray(picture, np.float32)
        moved = sum(np.roll(values, step, axis=1) for step in range(pixels)) / pixels
        return Image.fromarray(moved.astype(np.uint8))

    return change


def scaled(share: float) -> Change:
    return lambda picture: picture.resize(
        (round(picture.width * share), round(picture.height * share)), Image.Resampling.BICUBIC
    )


def cropped(share: float) -> Change:
    """So much of each side's length left off, half of it at either end."""

    def change(picture: Image.Image) -> Image.Image:
        across, down = round(picture.width * share / 2), round(picture.height * share / 2)
        return picture.crop((across, down, picture.width - across, picture.height - down))

    return change


def packed(quality: int) -> Change:
    def change(picture: Image.Image) -> Image.Image:
        out = io.BytesIO()
        picture.save(out, "JPEG", quality=quality)
        return Image.open(out).convert("RGB")

    return change


def after(*changes: Change) -> Change:
    def change(picture: Image.Image) -> Image.Image:
        for each in changes:
            picture = each(picture)
        return picture

    return change


def as_taken(picture: Image.Image) -> Image.Image:
    return picture


def turned(picture: Image.Image) -> Image.Image:
    """Rows and columns exchanged."""
    return picture.transpose(Image.Transpose.TRANSPOSE)


GRAIN: Change = lambda picture: grained(picture, 4)  # noqa: E731
SHARP: dict[str, Change] = {
    "as taken": as_taken,
    "packed at quality 50": packed(50),
    "packed at quality 30": packed(30),
    "half the size": scaled(0.5),
    "light x 0.4": lit(0.4),
    "light x 1.3": lit(1.3),
}
BLURRED: dict[str, Change] = {
    "soft, 2 px": soft(2),
    "soft, 4 px": soft(4),
    "soft, 8 px": soft(8),
    "shaken, 6 px": shaken(6),
    "shaken, 12 px": shaken(12),
    "shaken downwards, 12 px": after(turned, shaken(12), turned),
    "soft, 4 px, and grain": after(soft(4), GRAIN),
    "soft, 8 px, light x 0.3, and grain": after(soft(8), lit(0.3), GRAIN),
}
LIGHT: dict[str, Change] = {"light x 0.5": lit(0.5), "light x 0.7": lit(0.7), **SHARP}
DARK: dict[str, Change] = {"light x 0.1": lit(0.1), "light x 0.2": lit(0.2)}
THE_SAME: dict[str, Change] = {
    "packed at quality 30": packed(30),
    "half the size": scaled(0.5),
    "a fifth of the size": scaled(0.2),
    "light x 0.7": lit(0.7),
    "light x 1.25": lit(1.25),
    "soft, 2 px": soft(2),
    "cropped by 2 %": cropped(0.02),
    "cropped by 4 %": cropped(0.04),
    "cropped by 6 %": cropped(0.06),
    "cropped by 10 %": cropped(0.10),
    "turned by 1 degree": lambda picture: cropped(0.04)(picture.rotate(1, Image.Resampling.BICUBIC)),
}


def measured(picture: Image.Image) -> Measures:
    """Measured as an upload is: packed, opened by its bytes."""
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=88)
    return measure(out.getvalue())


def share(found: list[bool]) -> str:
    return f"{sum(found)} of {len(found)}"


def looks(title: str, series: dict[str, Change], concern: str, some: list[Scene], *, wanted: bool) -> None:
    """One row per change: how many were told, and the figure between which values it lay."""
    print(
        f"\n| {title} | {'missed' if wanted else 'false alarms'} | least | median | most |\n|---|---|---|---|---|"
    )
    for name, change in series.items():
        all_of_them = [measured(change(scene.picture)) for scene in some]
        wrong = [(concern in concerns(measures)) is not wanted for measures in all_of_them]
        values = sorted(m.sharpness if concern == "blurred" else m.brightness for m in all_of_them)
        print(
            f"| {name} | {share(wrong)} | {values[0]:.0f} | {values[len(values) // 2]:.0f} | {values[-1]:.0f} |",
            flush=True,
        )


def same_scene(some: list[Scene], known: list[int]) -> None:
    print("\n| the same photo | missed | median | most bits |\n|---|---|---|---|")
    for name, change in THE_SAME.items():
        apart = sorted(
            distance(measured(change(scene.picture)).likeness or 0, own)
            for scene, own in zip(some, known, strict=True)
        )
        missed = share([bits > ALIKE_UP_TO for bits in apart])
        print(f"| {name} | {missed} | {apart[len(apart) // 2]} | {apart[-1]} |", flush=True)


def other_scenes(some: list[Scene], known: list[int]) -> None:
    print("\n| another photo | false alarms | least bits | median |\n|---|---|---|---|")
    pairs = [
        (one.view == other.view, distance(a, b))
        for (one, a), (other, b) in itertools.combinations(zip(some, known, strict=True), 2)
    ]
    for name, same_view in (("another view", False), ("the same view on another site", True)):
        apart = sorted(bits for alike, bits in pairs if alike is same_view)
        wrong = share([bits <= ALIKE_UP_TO for bits in apart])
        print(f"| {name} | {wrong} | {apart[0]} | {apart[len(apart) // 2]} |")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--seeds", type=int, default=4, help="of each view; five times as many fields")
    some = list(scenes(parser.parse_args().seeds))
    print(f"{len(some)} scenes of {SIZE[0]} x {SIZE[1]} pixels, {len(VIEWS)} views and fields of 1/f noise")
    looks("sharp", SHARP, "blurred", some, wanted=False)
    looks("blurred", BLURRED, "blurred", some, wanted=True)
    looks("light enough", LIGHT, "dark", some, wanted=False)
    looks("dark", DARK, "dark", some, wanted=True)
    known = [measured(scene.picture).likeness or 0 for scene in some]
    same_scene(some, known)
    other_scenes(some, known)


if __name__ == "__main__":
    main()
