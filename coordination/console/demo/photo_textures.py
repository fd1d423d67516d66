"""Surfaces of a building site as pixels: wood, board, concrete, steel, paint, paper; repeatable by the generator."""

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

Texture = NDArray[np.uint8]
Colour = tuple[float, float, float]


def font(size: float) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    """The sans serif that comes with the imaging library."""
    return ImageFont.load_default(size=size)


def clouds(
    rng: np.random.Generator, height: int, width: int, cells: tuple[int, int], octaves: int = 4
) -> NDArray[np.float32]:
    """Smooth noise between -1 and 1; ``cells`` (rows, columns) is the coarsest grain."""
    total = np.zeros((height, width), np.float32)
    weight, rows, columns, sum_of_weights = 1.0, *cells, 0.0
    for _ in range(octaves):
        grid = rng.random((min(rows + 2, height), min(columns + 2, width)), np.float32) * 2 - 1
        total += weight * np.asarray(Image.fromarray(grid).resize((width, height), Image.Resampling.BICUBIC))
        sum_of_weights += weight
        weight, rows, columns = weight * 0.55, rows * 2, columns * 2
    return total / sum_of_weights * 1.6


def tinted(colour: Colour, change: NDArray[np.float32], strength: float) -> Texture:
    """``colour`` made lighter and darker by ``change``."""
    base = np.array(colour, np.float32)
    return np.clip(base * (1 + strength * change[..., None]), 0, 255).astype(np.uint8)


def concrete(rng: np.random.Generator, tone: float = 1.0, size: int = 384) -> Texture:
    """Cast concrete with stains, air holes and the lines of the form boards."""
    change = clouds(rng, size, size, (3, 3), 6) + 0.35 * clouds(rng, size, size, (1, 8), 3)
    surface = tinted((158 * tone, 154 * tone, 146 * tone), change, 0.2)
    picture = Image.fromarray(surface)
    draw = ImageDraw.Draw(picture)
    for x, y, r in zip(
        rng.integers(0, size, 60), rng.integers(0, size, 60), rng.random(60) * 2.2, strict=True
    ):
        draw.ellipse((x - r, y - r, x + r, y + r), fill=(104, 100, 94))
    for y in (size // 3, 2 * size // 3):
        draw.line((0, y, size, y + int(rng.integers(-2, 3))), fill=(132, 128, 121), width=2)
    return np.asarray(picture.filter(ImageFilter.GaussianBlur(0.6)))


def wood(
    rng: np.random.Generator,
    colour: Colour = (203, 166, 118),
    size: tuple[int, int] = (512, 96),
    knots: int = 2,
) -> Texture:
    """A board with its grain along the height."""
    height, width = size
    grain = clouds(rng, height, width, (2, max(6, width // 9)), 3) + 0.5 * clouds(
        rng, height, width, (4, 3), 3
    )
    picture = Image.fromarray(tinted(colour, grain, 0.17))
    draw = ImageDraw.Draw(picture)
    for _ in range(knots):
        x, y, r = rng.integers(8, max(9, width - 8)), rng.integers(0, height), rng.integers(4, 8)
        for step in range(3):
            s = r + 3 * (2 - step)
            draw.ellipse(
                (x - s * 0.7, y - s, x + s * 0.7, y + s),
                fill=tuple(int(c * (0.86 - 0.13 * step)) for c in colour),
            )
    return np.asarray(picture.filter(ImageFilter.GaussianBlur(0.7)))


def strand_board(rng: np.random.Generator, size: int = 448) -> Texture:
    """Sheathing of pressed strands."""
    picture = Image.new("RGB", (size, size), (168, 132, 84))
    draw = ImageDraw.Draw(picture)
    for _ in range(1500):
        x, y = rng.integers(0, size, 2)
        angle, length, broad = rng.random() * np.pi, rng.integers(9, 34), rng.integers(2, 7)
        dx, dy = np.cos(angle) * length / 2, np.sin(angle) * length / 2
        shade = 0.78 + 0.4 * rng.random()
        draw.line(
            (x - dx, y - dy, x + dx, y + dy),
            fill=(int(178 * shade), int(140 * shade), int(88 * shade)),
            width=int(broad),
        )
    tile = np.asarray(picture.filter(ImageFilter.GaussianBlur(0.6)))
    return np.concatenate(
        [np.concatenate([tile, tile[::-1]], axis=1), np.concatenate([tile[:, ::-1], tile], axis=1)]
    )


def plaster_board(
    rng: np.random.Generator, size: tuple[int, int] = (448, 640), taped: bool = True
) -> Texture:
    """Board with joint compound over its joints and screw heads."""
    height, width = size
    picture = Image.fromarray(tinted((190, 189, 183), clouds(rng, height, width, (3, 3), 5), 0.035))
    if taped:
        draw = ImageDraw.Draw(picture, "RGBA")
        for x in range(width // 4, width, width // 2):
            for broad, alpha in ((34, 90), (24, 120), (13, 150)):
                wobble = int(rng.integers(-4, 5))
                draw.polygon(
                    (
                        (x - broad, 0),
                        (x + broad, 0),
                        (x + broad + wobble, height),
                        (x - broad + wobble, height),
                    ),
                    fill=(240, 239, 233, alpha),
                )
        for x in range(24, width, width // 8):
            for y in range(20, height, 64):
                draw.ellipse((x - 7, y - 6, x + 7, y + 7), fill=(243, 242, 236, 190))
    return np.asarray(picture.filter(ImageFilter.GaussianBlur(1.6)))


def plain(rng: np.random.Generator, colour: Colour, roughness: float = 0.04, size: int = 160) -> Texture:
    """Paint or sheet metal: one colour, a little uneven."""
    return tinted(colour, clouds(rng, size, size, (3, 3), 5), roughness)


def steel(
    rng: np.random.Generator, colour: Colour = (128, 132, 138), size: tuple[int, int] = (384, 64)
) -> Texture:
    """Rolled steel: streaks along the height, some rust."""
    height, width = size
    streaks = clouds(rng, height, width, (2, max(8, width // 4)), 2)
    surface = tinted(colour, streaks, 0.13).astype(np.float32)
    rust = np.clip(clouds(rng, height, width, (8, 3), 4) - 0.35, 0, 1)[..., None]
    return np.clip(surface * (1 - rust) + np.array((134, 84, 52), np.float32) * rust, 0, 255).astype(np.uint8)


def tape_measure(inches: int, first: int = 0, long: int = 1024) -> Texture:
    """A steel tape along the height, numbered in inches upwards."""
    picture = Image.new("RGB", (64, long), (240, 203, 40))
    draw = ImageDraw.Draw(picture)
    step = long / inches
    for eighth in range(inches * 4 + 1):
        y = long - eighth * step / 4
        length = 30 if eighth % 4 == 0 else 18 if eighth % 2 == 0 else 10
        draw.line((0, y, length, y), fill=(20, 20, 20), width=2)
    for inch in range(inches):
        words = str(first + inch + 1)
        red = (first + inch + 1) % 12 == 0
        draw.text(
            (60, long - (inch + 1) * step + 2),
            words,
            font=font(min(30, step * 0.62)),
            fill=(190, 20, 20) if red else (20, 20, 20),
            anchor="rt",
        )
    return np.asarray(picture)


def written(
    texture: Texture,
    words: str,
    at: tuple[float, float],
    size: float,
    colour: tuple[int, int, int] = (24, 26, 34),
) -> Texture:
    """``texture`` with marker writing at a share of its width and height."""
    picture = Image.fromarray(texture.copy())
    place = (at[0] * picture.width, at[1] * picture.height)
    ImageDraw.Draw(picture).text(place, words, font=font(size), fill=colour, anchor="mm")
    return np.asarray(picture)


def ruled(
    texture: Texture, heights: list[float], colour: tuple[int, int, int] = (178, 34, 38), width: int = 3
) -> Texture:
    """``texture`` with level marker lines at shares of its height."""
    picture = Image.fromarray(texture.copy())
    draw = ImageDraw.Draw(picture)
    for share in heights:
        y = share * picture.height
        draw.line((0, y, picture.width, y), fill=colour, width=width)
    return np.asarray(picture)
