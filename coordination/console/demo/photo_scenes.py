"""Rooms and walls of the site, one function per kind of picture that is asked for."""

from typing import Final

import numpy as np
from PIL import Image, ImageDraw

from coordination.console.demo import photo_textures as t
from coordination.console.demo.photo_camera import Camera, Lamp, about, hand_held
from coordination.console.demo.photo_closeups import ground_fault_receptacle

Generator = np.random.Generator
DARK: Final = (22.0, 22.0, 24.0)


def framing(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """The rail wall open: studs, vertical backing at both rails, bracket lines, a tape in the picture."""
    lamp = Lamp((about(rng, 1.0, 0.4), 2.3, 0.6), 1.5, (1.0, 0.93, 0.8), 2.6)
    c = hand_held(rng, size, (0.1, 1.45, -0.55), (0.02, 1.35, 2.0), field=66, lamps=[lamp])
    board = t.strand_board(rng)
    c.upright((-1.6, 1.6), (0, 3.0), 2.15, board, corner_shade=0.3)
    c.level((-1.6, 1.6), 0, (0.0, 2.15), t.concrete(rng, 0.92), corner_shade=0.3)
    for x in (-1.6, 1.6):
        c.side(x, (0, 3.0), (0.0, 2.15), t.plaster_board(rng, taped=False), corner_shade=0.25)
    c.block((-1.6, 1.6), (0, 0.04), (2.0, 2.15), t.wood(rng, size=(64, 512), knots=0))
    for x in (-1.22, -0.81, -0.4, 0.0, 0.4, 0.81, 1.22):
        c.shadow(
            [(x + 0.02, 3, 2.14), (x + 0.11, 3, 2.14), (x + 0.11, 0.03, 2.14), (x + 0.02, 0.03, 2.14)],
            12,
            0.42,
        )
        c.block((x - 0.019, x + 0.019), (0.04, 3.0), (2.01, 2.15), t.wood(rng, (206, 172, 124), knots=1))
    heights = [0.18, 0.46, 0.74]
    for middle in (-0.52, 0.52):
        c.shadow(
            [
                (middle - 0.1, 3, 2.0),
                (middle + 0.17, 3, 2.0),
                (middle + 0.17, 0.03, 2.0),
                (middle - 0.1, 0.03, 2.0),
            ],
            14,
            0.35,
        )
        plank = t.ruled(t.wood(rng, (214, 181, 132), (768, 150), knots=5), heights, width=4)
        plank = t.written(plank, f"BR {int(rng.integers(2, 5))}", (0.5, heights[1] - 0.035), 40)
        c.block((middle - 0.12, middle + 0.12), (0.04, 3.0), (1.965, 2.01), plank)
        c.string((middle, 0.04, 1.96), (middle, 3.0, 1.96), 2 * size[0] / 1600, (44, 66, 150))
        for share in heights:
            for dx in (-0.09, 0.09):
                c.disc((middle + dx, 3 - share * 2.96 + 0.05, 1.962), 0.008, (0, 0, -1), (90, 92, 96))
    x = about(rng, 0.24, 0.05)
    c.shadow(
        [(x + 0.01, 2.1, 1.99), (x + 0.06, 2.1, 1.99), (x + 0.06, 0.05, 1.99), (x + 0.01, 0.05, 1.99)], 8, 0.5
    )
    c.surface(
        [(x, 2.1, 1.93), (x + 0.03, 2.1, 1.93), (x + 0.035, 0.05, 1.93), (x + 0.005, 0.05, 1.93)],
        t.tape_measure(80),
    )
    return c.picture


def pit(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A pit from above: form marks, sump recess, plate, ladder, some water."""
    lamp = Lamp((about(rng, 0.5, 0.3), 1.1, 0.6), 1.35, (1.0, 0.95, 0.85), 1.8)
    c = hand_held(rng, size, (0.05, 1.5, -0.75), (0.0, -0.45, 0.95), field=66, lamps=[lamp])
    deep = -0.4
    c.level((-3, 3), 0, (-0.6, 0.0), t.concrete(rng, 1.02), corner_shade=0.1)
    c.level((-3, 3), 0, (1.62, 4.0), t.concrete(rng, 0.95))
    for x in ((-3.0, -0.8), (0.8, 3.0)):
        c.level(x, 0, (0.0, 1.62), t.concrete(rng, 1.0))
    floor = t.concrete(rng, 0.86, 512)
    c.level((-0.8, 0.8), deep, (0.0, 1.62), floor, corner_shade=0.35)
    _recess(c, rng, (0.3, 0.68), (0.9, 1.3), deep)
    c.upright((-0.8, 0.8), (deep, 0), 1.62, t.concrete(rng, 0.96), corner_shade=0.25)
    for x in (-0.8, 0.8):
        c.side(x, (deep, 0), (0.0, 1.62), t.concrete(rng, 0.9), corner_shade=0.25)
    plate = (-0.62, 0.1)
    c.shadow(
        [
            (plate[0], deep, 0.55),
            (plate[1] + 0.04, deep, 0.55),
            (plate[1] + 0.04, deep, 0.98),
            (plate[0], deep, 0.98),
        ],
        10,
        0.5,
    )
    c.block(plate, (deep, deep + 0.02), (0.58, 0.95), t.steel(rng, (112, 117, 124), (256, 256)))
    for px in (plate[0] + 0.06, plate[1] - 0.06):
        for pz in (0.64, 0.89):
            c.disc((px, deep + 0.022, pz), 0.018, (0, 1, 0), (64, 66, 70))
    _puddle(c, rng, deep)
    for z in (1.2, 1.5):
        c.pipe((-0.76, deep, z), (-0.76, 0.6, z), 0.018, (196, 178, 40))
    for y in np.arange(deep + 0.12, 0.6, 0.24):
        c.pipe((-0.76, float(y), 1.2), (-0.76, float(y), 1.5), 0.013, (188, 170, 42))
    return c.picture


def _recess(c: Camera, rng: Generator, x: tuple[float, float], z: tuple[float, float], top: float) -> None:
    low = top - 0.28
    dark = t.concrete(rng, 0.5, 160)
    c.level(x, low, z, t.concrete(rng, 0.36, 160), corner_shade=0.4)
    c.upright(x, (low, top), z[1], dark, corner_shade=0.3)
    c.side(x[0], (low, top), z, dark, corner_shade=0.3)
    c.side(x[1], (low, top), z, dark, corner_shade=0.3)
    rim = (176.0, 172.0, 164.0)
    for start, end in (((x[0], top, z[0]), (x[1], top, z[0])), ((x[0], top, z[1]), (x[1], top, z[1]))):
        c.string(start, end, 2, tuple(int(v) for v in rim))  # type: ignore[arg-type]


def _puddle(c: Camera, rng: Generator, floor: float) -> None:
    angles = np.linspace(0, 2 * np.pi, 28, endpoint=False)
    wobble = 1 + 0.25 * np.sin(3 * angles + rng.random() * 6) + 0.1 * np.sin(5 * angles + rng.random() * 6)
    points = [
        (float(-0.15 + 0.34 * w * np.cos(a)), floor + 0.001, float(0.3 + 0.14 * w * np.sin(a)))
        for a, w in zip(angles, wobble, strict=True)
    ]
    c.shadow(points, 9, 0.42)


def machine_room(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """Disconnects with their conduit, controller cabinet, extinguisher, switched light."""
    lamp = Lamp((about(rng, 0, 0.3), 2.5, 0.7), 1.55, (1.0, 0.98, 0.94), 2.4)
    c = hand_held(rng, size, (0.1, 1.45, -1.0), (0.0, 1.2, 2.0), field=64, lamps=[lamp], ambient=0.38)
    wall = t.plain(rng, (212, 212, 204), 0.03, 256)
    c.upright((-1.7, 1.7), (0, 2.6), 2.0, wall, corner_shade=0.22)
    for x in (-1.7, 1.7):
        c.side(x, (0, 2.6), (-0.6, 2.0), wall, corner_shade=0.2)
    c.level((-1.7, 1.7), 0, (-0.6, 2.0), t.concrete(rng, 0.84), corner_shade=0.3)
    c.level((-1.7, 1.7), 2.6, (-0.6, 2.0), wall, corner_shade=0.25)
    _cabinet(c, rng)
    for x, width, height, low in ((-1.2, 0.34, 0.62, 1.12), (-0.7, 0.24, 0.4, 1.24)):
        _disconnect(c, rng, (x, low), width, height)
    c.pipe((-1.03, 1.74, 1.9), (-1.03, 2.6, 1.9), 0.02, (168, 172, 176))
    c.pipe((-0.58, 1.64, 1.92), (-0.58, 2.6, 1.92), 0.015, (168, 172, 176))
    c.pipe((-0.86, 1.4, 1.9), (-0.7, 1.4, 1.9), 0.014, (168, 172, 176))
    ground_fault_receptacle(c, rng, (-0.28, 1.12), 1.995, 1.0)
    c.shadow([(1.28, 0.9, 1.99), (1.5, 0.9, 1.99), (1.5, 0.3, 1.99), (1.28, 0.3, 1.99)], 20, 0.4)
    c.pipe((1.36, 0.34, 1.88), (1.36, 0.82, 1.88), 0.075, (186, 26, 28), 0.8)
    c.pipe((1.36, 0.82, 1.88), (1.36, 0.92, 1.88), 0.03, (40, 40, 44))
    c.block(
        (-0.55, 0.55), (2.5, 2.6), (0.75, 0.95), t.plain(rng, (250, 250, 246)), t.plain(rng, (255, 255, 252))
    )
    return c.picture


def _cabinet(c: Camera, rng: Generator) -> None:
    c.shadow([(0.1, 2.0, 1.99), (1.02, 2.0, 1.99), (1.02, 0.0, 1.99), (0.1, 0, 1.99)], 34, 0.5)
    c.shadow([(0.05, 0.001, 1.5), (1.0, 0.001, 1.5), (1.0, 0.001, 1.95), (0.05, 0.001, 1.95)], 26, 0.6)
    shell = t.plain(rng, (154, 160, 164), 0.03)
    front = Image.fromarray(t.plain(rng, (166, 172, 176), 0.03, 512)).resize((512, 1100))
    draw = ImageDraw.Draw(front)
    draw.rectangle((14, 14, 498, 1086), outline=(112, 118, 122), width=5)
    draw.rectangle((448, 500, 474, 610), fill=(50, 52, 56))
    draw.rectangle((60, 90, 330, 190), fill=(236, 234, 224), outline=(60, 60, 60), width=3)
    draw.text((195, 140), "CONTROLLER", font=t.font(36), fill=(30, 30, 34), anchor="mm")
    for y in range(820, 1010, 26):
        draw.rectangle((90, y, 420, y + 9), fill=(98, 104, 108))
    c.block((0.12, 0.86), (0.06, 1.92), (1.62, 2.0), shell, np.asarray(front))


def _disconnect(c: Camera, rng: Generator, at: tuple[float, float], width: float, height: float) -> None:
    x, low = at
    c.shadow(
        [
            (x + 0.03, low + height, 1.99),
            (x + width + 0.08, low + height, 1.99),
            (x + width + 0.08, low - 0.07, 1.99),
            (x + 0.03, low - 0.07, 1.99),
        ],
        16,
        0.5,
    )
    front = Image.fromarray(t.plain(rng, (142, 150, 156), 0.03, 256)).resize((300, 540))
    draw = ImageDraw.Draw(front)
    draw.rectangle((8, 8, 292, 532), outline=(96, 102, 108), width=4)
    draw.rectangle((60, 300, 240, 360), fill=(238, 208, 40), outline=(30, 30, 30), width=2)
    draw.text((150, 330), "MAIN" if width > 0.3 else "LIGHT", font=t.font(40), fill=(20, 20, 20), anchor="mm")
    draw.text((150, 120), "ON", font=t.font(44), fill=(240, 240, 240), anchor="mm")
    c.block(
        (x, x + width), (low, low + height), (1.84, 2.0), t.plain(rng, (120, 128, 134)), np.asarray(front)
    )
    handle = x + width
    c.block(
        (handle, handle + 0.035),
        (low + height * 0.45, low + height * 0.85),
        (1.86, 1.92),
        t.plain(rng, (176, 28, 30)),
    )
    c.disc((handle + 0.018, low + height * 0.4, 1.85), 0.022, (0, 0, -1), (196, 168, 60))


def board(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A wall closed with board up to the door frame, joints taped."""
    lamp = Lamp((about(rng, 1.2, 0.3), 2.1, 0.2), 1.6, (1.0, 0.98, 0.93), 2.4)
    c = hand_held(rng, size, (0.35, 1.5, -1.15), (0.05, 1.1, 2.0), field=64, lamps=[lamp], ambient=0.4)
    c.level((-3, 3), 0, (-0.8, 2.0), t.concrete(rng, 0.9), corner_shade=0.2)
    c.upright((-3, 3), (0, 2.8), 2.0, t.plaster_board(rng, (448, 900)), corner_shade=0.12)
    c.side(1.75, (0, 2.8), (-0.8, 2.0), t.plaster_board(rng), corner_shade=0.2)
    c.level((-3, 3), 2.8, (-0.8, 2.0), t.plaster_board(rng, taped=False), corner_shade=0.2)
    _steel_frame(c, rng, (-0.75, 0.25), 2.1, 2.0, open_behind=False)
    x = about(rng, 1.1, 0.2)
    c.shadow(
        [(x - 0.2, 0.001, 1.3), (x + 0.25, 0.001, 1.3), (x + 0.25, 0.001, 1.65), (x - 0.2, 0.001, 1.65)],
        20,
        0.6,
    )
    c.block((x - 0.2, x + 0.2), (0.0, 0.3), (1.3, 1.6), t.plain(rng, (176, 136, 92), 0.06))
    c.block((x - 0.16, x + 0.2), (0.3, 0.5), (1.35, 1.6), t.plain(rng, (186, 146, 100), 0.06))
    return c.picture


def _steel_frame(
    c: Camera, rng: Generator, x: tuple[float, float], height: float, z: float, *, open_behind: bool
) -> None:
    metal = t.plain(rng, (138, 142, 148), 0.05)
    if open_behind:
        c.upright(x, (0, height), z + 0.01, t.plain(rng, DARK, 0.2))
        c.upright((x[0] + 0.05, x[1] - 0.05), (0.0, height), z + 0.012, t.plain(rng, (30, 30, 33), 0.3))
    else:
        door = Image.fromarray(t.plain(rng, (150, 154, 160), 0.05, 256)).resize((256, 512))
        c.upright(x, (0, height), z - 0.01, np.asarray(door), corner_shade=0.25)
        c.shadow(
            [
                (x[0], height, z - 0.012),
                (x[0] + 0.06, height, z - 0.012),
                (x[0] + 0.06, 0, z - 0.012),
                (x[0], 0, z - 0.012),
            ],
            8,
            0.5,
        )
    for edge in ((x[0] - 0.06, x[0]), (x[1], x[1] + 0.06)):
        c.block(edge, (0, height + 0.06), (z - 0.05, z), metal)
    c.block((x[0] - 0.06, x[1] + 0.06), (height, height + 0.06), (z - 0.05, z), metal)
    c.block((x[0], x[1]), (-0.005, 0.012), (z - 0.09, z), t.steel(rng, (170, 174, 178), (32, 256)))


def door_frame(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A door frame set in an open landing wall: studs, lintel above, backing below, a level on the sill."""
    lamp = Lamp((about(rng, 0.8, 0.4), 2.2, 0.2), 1.5, (1.0, 0.95, 0.86), 2.3)
    c = hand_held(rng, size, (0.1, 1.35, -1.05), (0.0, 1.1, 2.0), field=66, lamps=[lamp])
    c.upright((-3, 3), (0, 3.0), 2.6, t.plain(rng, (36, 34, 33), 0.25), corner_shade=0.3)
    c.level((-3, 3), 0, (-0.8, 2.05), t.concrete(rng, 0.95), corner_shade=0.15)
    for x in (-1.6, -1.2, -0.8, 0.8, 1.2, 1.6):
        c.block((x - 0.019, x + 0.019), (0.04, 3.0), (1.92, 2.06), t.wood(rng, (206, 172, 124), knots=1))
    for x in (-0.62, 0.62):
        c.block((x - 0.04, x + 0.04), (0.04, 3.0), (1.92, 2.06), t.wood(rng, (200, 164, 116), knots=2))
    lintel = t.written(t.wood(rng, (210, 176, 128), (120, 640), knots=1).copy(), "LINTEL", (0.5, 0.5), 40)
    c.block((-0.66, 0.66), (2.16, 2.4), (1.9, 2.06), lintel)
    c.block((-1.7, 1.7), (0, 0.04), (1.92, 2.06), t.wood(rng, size=(64, 512), knots=0))
    _steel_frame(c, rng, (-0.5, 0.5), 2.1, 1.93, open_behind=True)
    c.shadow([(-0.42, 0.013, 1.83), (0.4, 0.013, 1.83), (0.4, 0.013, 1.9), (-0.42, 0.013, 1.9)], 7, 0.5)
    c.block((-0.42, 0.38), (0.013, 0.075), (1.84, 1.87), t.plain(rng, (214, 166, 30)), _spirit_level(rng))
    return c.picture


def _spirit_level(rng: Generator) -> t.Texture:
    bar = Image.fromarray(t.plain(rng, (222, 174, 34), 0.04)).resize((900, 70))
    draw = ImageDraw.Draw(bar)
    draw.rounded_rectangle((400, 12, 500, 58), 12, fill=(196, 222, 90), outline=(40, 40, 40), width=4)
    offset = int(rng.integers(-5, 6))
    draw.ellipse((434 + offset, 20, 466 + offset, 48), fill=(238, 248, 190))
    for x in (430, 470):
        draw.line((x, 12, x, 58), fill=(30, 30, 30), width=3)
    return np.asarray(bar)


def guard(rng: Generator, size: tuple[int, int]) -> Image.Image:
    """A guarded opening: top rail, mid rail, toe board, a sign, the dark hoistway behind."""
    lamp = Lamp((about(rng, 0.5, 0.5), 2.2, 0.0), 1.6, (1.0, 0.96, 0.88), 2.3)
    c = hand_held(rng, size, (0.15, 1.45, -1.1), (0.0, 1.0, 2.0), field=64, lamps=[lamp])
    c.upright((-0.7, 0.7), (0, 2.3), 2.8, t.strand_board(rng))
    c.shadow([(-0.9, 2.4, 2.7), (0.9, 2.4, 2.7), (0.9, -0.2, 2.7), (-0.9, -0.2, 2.7)], 60, 0.72)
    wall = t.plaster_board(rng, taped=False)
    for x in ((-3.0, -0.6), (0.6, 3.0)):
        c.upright(x, (0, 3.0), 2.0, wall, corner_shade=0.1)
    c.upright((-0.6, 0.6), (2.15, 3.0), 2.0, wall)
    for x in (-0.6, 0.6):
        c.side(x, (0, 2.15), (2.0, 2.16), t.wood(rng, knots=1))
    c.level((-3, 3), 0, (-0.8, 2.0), t.concrete(rng, 0.95), corner_shade=0.12)
    for low, high in ((0.0, 0.1), (0.52, 0.61), (1.0, 1.09)):
        c.shadow([(-0.78, 0.001, 1.7), (0.8, 0.001, 1.7), (0.8, 0.001, 1.86), (-0.78, 0.001, 1.86)], 22, 0.16)
        c.block((-0.78, 0.78), (low, high), (1.88, 1.92), t.wood(rng, (214, 180, 130), (60, 640), knots=1))
    for x in (-0.74, 0.74):
        c.block((x - 0.045, x + 0.045), (0.0, 1.14), (1.92, 1.96), t.wood(rng, (206, 170, 120), (400, 60)))
    sign = Image.new("RGB", (520, 340), (242, 204, 30))
    draw = ImageDraw.Draw(sign)
    draw.rectangle((10, 10, 510, 330), outline=(20, 20, 20), width=8)
    draw.rectangle((10, 10, 510, 110), fill=(20, 20, 20))
    draw.text((260, 60), "DANGER", font=t.font(72), fill=(242, 204, 30), anchor="mm")
    draw.text((260, 180), "OPEN HOISTWAY", font=t.font(52), fill=(20, 20, 20), anchor="mm")
    draw.text((260, 260), "keep this guard in place", font=t.font(36), fill=(20, 20, 20), anchor="mm")
    tilt = about(rng, 0, 0.02)
    c.surface(
        [
            (-0.26, 0.98 + tilt, 1.87),
            (0.26, 0.98 - tilt, 1.87),
            (0.26, 0.64 - tilt, 1.87),
            (-0.26, 0.64 + tilt, 1.87),
        ],
        np.asarray(sign),
    )
    return c.picture
