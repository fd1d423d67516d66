"""Small things near by: receptacle, detector, rail, paper."""

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from coordination.console.demo import photo_textures as t
from coordination.console.demo.photo_camera import Camera, Lamp, Point, about, hand_held

Generator = np.random.Generator


def ground_fault_receptacle(
    c: Camera, rng: Generator, at: tuple[float, float], z: float, scale: float
) -> None:
    """A ground-fault receptacle in its plate."""
    plate = Image.new("RGB", (420, 680), (236, 234, 226))
    draw = ImageDraw.Draw(plate)
    draw.rounded_rectangle((4, 4, 416, 676), 26, outline=(196, 194, 186), width=6)
    draw.rounded_rectangle((104, 60, 316, 620), 18, fill=(226, 224, 216), outline=(170, 168, 160), width=4)
    for top in (95, 455):
        draw.rectangle((160, top, 174, top + 62), fill=(30, 30, 32))
        draw.rectangle((246, top + 6, 260, top + 56), fill=(30, 30, 32))
        draw.pieslice((190, top + 72, 230, top + 112), 180, 360, fill=(30, 30, 32))
    draw.rectangle((140, 270, 280, 325), fill=(40, 40, 42))
    draw.rectangle((140, 345, 280, 400), fill=(178, 34, 34))
    draw.text((210, 297), "TEST", font=t.font(30), fill=(230, 230, 230), anchor="mm")
    draw.text((210, 372), "RESET", font=t.font(30), fill=(245, 240, 240), anchor="mm")
    draw.ellipse((286, 240, 302, 256), fill=(60, 220, 90))
    for y in (30, 650):
        draw.ellipse((202, y - 8, 218, y + 8), fill=(160, 160, 156))
    w, h, x, y = 0.05 * scale, 0.08 * scale, *at
    c.shadow(
        [
            (x - w, y + h, z),
            (x + w + 0.02, y + h, z),
            (x + w + 0.02, y - h - 0.02, z),
            (x - w, y - h - 0.02, z),
        ],
        14 * scale,
        0.55,
    )
    c.block(
        (x - w, x + w),
        (y - h, y + h),
        (z - 0.008 * scale, z),
        t.plain(rng, (214, 212, 204)),
        np.asarray(plate.filter(ImageFilter.GaussianBlur(0.8))),
    )


def receptacle(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A receptacle on a concrete wall with its conduit, close up."""
    lamp = Lamp((about(rng, -0.4, 0.3), 0.9, -0.2), 1.5, (1.0, 0.95, 0.86), 1.0)
    c = hand_held(rng, size, (0.08, 0.05, -0.42), (0.02, 0.0, 0.6), field=58, lamps=[lamp])
    c.upright((-1.2, 1.2), (-0.9, 0.9), 0.5, t.concrete(rng, 0.95, 640))
    c.shadow([(-0.02, 0.9, 0.499), (0.09, 0.9, 0.499), (0.09, 0.1, 0.499), (-0.02, 0.1, 0.499)], 20, 0.5)
    c.pipe((0.0, 0.1, 0.46), (0.0, 0.9, 0.46), 0.024, (170, 174, 178), 0.9)
    c.pipe((0.0, 0.115, 0.455), (0.0, 0.16, 0.455), 0.033, (150, 154, 158), 0.9)
    c.shadow([(-0.1, 0.14, 0.499), (0.17, 0.14, 0.499), (0.17, -0.2, 0.499), (-0.1, -0.2, 0.499)], 30, 0.6)
    c.block((-0.085, 0.085), (-0.13, 0.12), (0.43, 0.5), t.steel(rng, (150, 154, 158), (128, 128)))
    ground_fault_receptacle(c, rng, (0.0, -0.005), 0.43, 1.45)
    return c.picture


def smoke_detector(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A detector on the ceiling above a landing, seen from below."""
    lamp = Lamp((about(rng, -0.6, 0.4), 1.5, 0.3), 1.5, (1.0, 0.97, 0.9), 1.6)
    c = hand_held(rng, size, (0.0, 1.72, 0.0), (0.05, 2.5, 0.86), field=54, lamps=[lamp], ambient=0.45)
    c.level((-3, 3), 2.5, (-1.5, 2.3), t.plaster_board(rng, (640, 900)), corner_shade=0.08)
    c.upright((-3, 3), (0, 2.5), 2.3, t.plain(rng, (214, 212, 204), 0.02, 256), corner_shade=0.15)
    x, z = about(rng, 0.05, 0.06), about(rng, 0.85, 0.08)
    ring = [
        (float(x + 0.06 + 0.17 * np.cos(a)), 2.499, float(z + 0.02 + 0.16 * np.sin(a)))
        for a in np.linspace(0, 6.28, 30)
    ]
    c.shadow(ring, 26, 0.5)
    for radius, y, tone in (
        (0.13, 2.49, 214),
        (0.125, 2.475, 236),
        (0.105, 2.455, 196),
        (0.1, 2.45, 242),
        (0.07, 2.44, 226),
        (0.03, 2.436, 206),
    ):
        c.disc((x, y, z), radius, (0, -1, 0), (tone, tone, tone - 5), 0.12)
    for angle in np.linspace(0, 2 * np.pi, 20, endpoint=False):
        inner = (float(x + 0.08 * np.cos(angle)), 2.449, float(z + 0.08 * np.sin(angle)))
        outer = (float(x + 0.097 * np.cos(angle)), 2.449, float(z + 0.097 * np.sin(angle)))
        c.string(inner, outer, 4 * size[0] / 1600, (88, 88, 86))
    c.disc((x + 0.045, 2.435, z - 0.03), 0.006, (0, -1, 0), (230, 40, 36), 0.9)
    return c.picture


def rail(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A rail at its bracket with a plumb line hung beside it and a rule across."""
    lamp = Lamp((about(rng, 0.8, 0.3), 0.9, -0.1), 1.5, (1.0, 0.95, 0.85), 1.3)
    c = hand_held(rng, size, (0.16, 0.06, -0.5), (0.02, 0.0, 0.8), field=60, lamps=[lamp], ambient=0.3)
    c.upright((-1.6, 1.6), (-1.2, 1.2), 0.95, t.strand_board(rng), corner_shade=0.1)
    plank = t.ruled(t.wood(rng, (212, 178, 130), (768, 200), knots=4), [0.5], width=4)
    c.block((-0.19, 0.19), (-1.2, 1.2), (0.9, 0.95), plank)
    c.shadow([(-0.24, 0.1, 0.9), (0.3, 0.1, 0.9), (0.3, -0.16, 0.9), (-0.24, -0.16, 0.9)], 20, 0.55)
    grey = t.steel(rng, (120, 124, 130), (160, 320))
    c.block((-0.24, 0.24), (-0.08, 0.08), (0.86, 0.9), grey)
    c.block((-0.2, 0.2), (-0.07, 0.07), (0.74, 0.76), grey)
    for x in (-0.2, 0.18):
        c.block((x, x + 0.02), (-0.07, 0.07), (0.74, 0.87), grey)
    for bx in (-0.15, 0.15):
        for by in (-0.03, 0.035):
            c.disc((bx, by, 0.738), 0.019, (0, 0, -1), (92, 94, 100))
            c.disc((bx, by, 0.73), 0.012, (0, 0, -1), (150, 152, 156))
    c.shadow([(0.03, 1.2, 0.739), (0.12, 1.2, 0.739), (0.12, -1.2, 0.739), (0.03, -1.2, 0.739)], 20, 0.35)
    steel = t.steel(rng, (142, 147, 154))
    c.block((-0.062, 0.062), (-1.2, 1.2), (0.7, 0.715), steel)
    c.block((-0.011, 0.011), (-1.2, 1.2), (0.62, 0.7), t.steel(rng, (178, 182, 188)))
    x = 0.125
    c.string((x, 1.2, 0.62), (x, -0.24, 0.62), 2.2 * size[0] / 1600, (236, 232, 214))
    c.pipe((x, -0.24, 0.62), (x, -0.32, 0.62), 0.016, (196, 160, 62), 1.0)
    c.pipe((x, -0.32, 0.62), (x, -0.37, 0.62), 0.008, (176, 140, 52), 1.0)
    rule = np.rot90(t.tape_measure(9, long=640)).copy()
    c.surface([(-0.03, 0.2, 0.6), (0.2, 0.2, 0.6), (0.2, 0.17, 0.6), (-0.03, 0.17, 0.6)], rule)
    return c.picture


def document(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A filled-in card or ticket on a clipboard."""
    lamp = Lamp((about(rng, -0.25, 0.2), 0.65, 0.15), 1.3, (1.0, 0.97, 0.92), 0.9)
    c = hand_held(rng, size, (0.0, 0.66, -0.12), (0.0, 0.0, 0.1), field=66, lamps=[lamp], ambient=0.4)
    c.level(
        (-1, 1),
        0,
        (-0.8, 1.0),
        np.ascontiguousarray(np.rot90(t.wood(rng, (150, 112, 74), (768, 400), knots=3))),
    )
    turn = about(rng, 0.0, 0.09)
    _sheet(c, (0.235, 0.325), turn, t.plain(rng, (120, 84, 52), 0.05), y=0.002, shadow=0.6)
    _sheet(c, (0.212, 0.285), turn, _form(rng), y=0.004, shadow=0.35)
    x, z = 0.29 * np.sin(turn), 0.09 + 0.29 * np.cos(turn) * 0.9
    c.pipe((x - 0.055, 0.012, z), (x + 0.055, 0.012, z - 0.02 * np.sin(turn)), 0.013, (176, 180, 186), 1.0)
    return c.picture


def _sheet(
    c: Camera, size: tuple[float, float], turn: float, texture: t.Texture, *, y: float, shadow: float
) -> None:
    cos, sin = np.cos(turn), np.sin(turn)

    def at(x: float, z: float) -> Point:
        return (float(x * cos + z * sin), y, float(0.09 - x * sin + z * cos))

    w, h = size
    corners = [at(-w, h), at(w, h), at(w, -h), at(-w, -h)]
    c.shadow([(x + 0.008, p, z - 0.008) for x, p, z in corners], 16, shadow)
    c.surface(corners, texture)


def _form(rng: Generator) -> t.Texture:
    page = Image.fromarray(t.plain(rng, (243, 241, 233), 0.012, 256)).resize((1000, 1340))
    draw = ImageDraw.Draw(page)
    ink = (40, 44, 52)
    heading = ("BATCH TICKET", "INSPECTION CARD", "TEST REPORT")[int(rng.integers(0, 3))]
    draw.rectangle((50, 50, 950, 1290), outline=ink, width=4)
    draw.text((500, 120), heading, font=t.font(66), fill=ink, anchor="mm")
    draw.line((50, 190, 950, 190), fill=ink, width=4)
    labels = ("date", "place", "number", "mix / item", "measured", "required", "weather", "result", "remarks")
    for row, label in enumerate(labels):
        y = 250 + row * 92
        draw.text((80, y), label, font=t.font(32), fill=ink, anchor="lm")
        draw.line((320, y + 26, 920, y + 26), fill=(150, 152, 156), width=2)
        _scribble(draw, rng, (340, y + 8), int(rng.integers(180, 520)))
    draw.text((80, 1160), "signed", font=t.font(32), fill=ink, anchor="lm")
    _scribble(draw, rng, (330, 1160), 420, tall=34)
    draw.ellipse((700, 1040, 900, 1240), outline=(150, 50, 60), width=6)
    draw.text(
        (800, 1140), f"No. {int(rng.integers(100, 999))}", font=t.font(38), fill=(150, 50, 60), anchor="mm"
    )
    return np.asarray(page.filter(ImageFilter.GaussianBlur(0.9)))


def _scribble(
    draw: ImageDraw.ImageDraw, rng: Generator, at: tuple[int, int], length: int, tall: int = 15
) -> None:
    """Handwriting that says nothing, in blue."""
    x, y = at
    steps = np.arange(0, length, 2)
    rise = (
        np.sin(steps / 3.1 + rng.random() * 6) * (0.5 + 0.5 * np.sin(steps / 11 + rng.random() * 6))
        + (rng.random(steps.size) - 0.5) * 0.5
    )
    gaps = np.sin(steps / 41 + rng.random() * 6) > 0.93
    line = [
        (float(x + s), float(y - tall * r)) for s, r, gap in zip(steps, rise, gaps, strict=True) if not gap
    ]
    draw.line(line, fill=(26, 44, 128), width=3, joint="curve")
