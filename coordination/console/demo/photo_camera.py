"""A small camera: flat textured surfaces in space, lamps with falloff, soft shadows, and what a phone's lens does.

Lengths are metres; x to the right, y up, z away from the viewer's starting point. Surfaces are painted in the order
they are put in front of the camera, the far ones first.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from coordination.console.demo.photo_textures import Texture, clouds

Point = tuple[float, float, float]
NEAR = 0.08


@dataclass(frozen=True)
class Lamp:
    """A light: where, how bright, its colour, and the distance at which it has lost half."""

    at: Point
    power: float = 1.0
    colour: tuple[float, float, float] = (1.0, 0.97, 0.9)
    half: float = 2.5


class Camera:
    """Paints surfaces onto a picture of ``size`` pixels."""

    def __init__(
        self,
        size: tuple[int, int],
        eye: Point,
        target: Point,
        *,
        field: float,
        lamps: list[Lamp],
        ambient: float = 0.35,
        roll: float = 0.0,
    ) -> None:
        self.width, self.height = size
        self.eye = np.array(eye, float)
        self.lamps, self.ambient = lamps, ambient
        ahead = np.array(target, float) - self.eye
        ahead /= np.linalg.norm(ahead)
        right = np.cross(np.array((np.sin(roll), np.cos(roll), 0.0)), ahead)
        right /= np.linalg.norm(right)
        self.axes = np.stack([right, np.cross(ahead, right), ahead])
        self.focal = max(size) / 2 / np.tan(np.radians(field) / 2)
        self.picture = Image.new("RGB", size, (18, 18, 20))

    def seen(self, points: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Pixel positions and depths of points."""
        local = (np.asarray(points, float) - self.eye) @ self.axes.T
        depth = local[:, 2]
        safe = np.maximum(depth, 1e-6)
        xy = np.stack(
            [
                self.width / 2 + self.focal * local[:, 0] / safe,
                self.height / 2 - self.focal * local[:, 1] / safe,
            ],
            axis=1,
        )
        return xy, depth

    # -- surfaces --------------------------------------------------------------------------------------------------

    def surface(
        self, corners: list[Point], texture: Texture, *, corner_shade: float = 0.0, glow: float = 0.0
    ) -> None:
        """A flat four-cornered surface (top left, top right, bottom right, bottom left as the texture lies)."""
        points = np.array(corners, float)
        self._paint(points, self._lit(points, self._as_fine_as_seen(points, texture), corner_shade, glow), 0)

    def _as_fine_as_seen(self, corners: NDArray[np.float64], texture: Texture) -> Texture:
        """The texture with the detail that reaches the picture: light and turning cost by the pixel."""
        xy, depth = self.seen(corners)
        if (depth < NEAR).any():
            return texture
        sides = np.linalg.norm(xy - np.roll(xy, -1, axis=0), axis=1)
        across = max(1, int(texture.shape[1] / (1.5 * max(sides[0], sides[2]) + 8)))
        down = max(1, int(texture.shape[0] / (1.5 * max(sides[1], sides[3]) + 8)))
        if across == down == 1:
            return texture
        return np.asarray(Image.fromarray(texture).reduce((across, down)))

    def _lit(
        self, corners: NDArray[np.float64], texture: Texture, corner_shade: float, glow: float
    ) -> Image.Image:
        """The texture under the lamps, worked out on a coarse grid and smoothed."""
        n = 20
        v, u = np.meshgrid(np.linspace(0, 1, n), np.linspace(0, 1, n), indexing="ij")
        weights = np.stack([(1 - u) * (1 - v), u * (1 - v), u * v, (1 - u) * v], axis=-1)
        points = weights @ corners
        normal = np.cross(corners[1] - corners[0], corners[3] - corners[0])
        normal /= np.linalg.norm(normal) + 1e-12
        if np.dot(normal, self.eye - corners.mean(axis=0)) < 0:
            normal = -normal
        light = np.full((n, n, 3), self.ambient + glow, float)
        for lamp in self.lamps:
            way = np.array(lamp.at) - points
            distance = np.linalg.norm(way, axis=-1)
            facing = np.clip((way @ normal) / (distance + 1e-9), 0, 1)
            light += (lamp.power * facing / (1 + (distance / lamp.half) ** 2))[..., None] * np.array(
                lamp.colour
            )
        if corner_shade:
            edge = np.minimum(np.minimum(u, 1 - u), np.minimum(v, 1 - v))
            light *= (1 - corner_shade * np.exp(-edge / 0.09))[..., None]
        height, width = texture.shape[:2]
        shade = Image.fromarray(np.clip(light / 2 * 255, 0, 255).astype(np.uint8)).resize(
            (width, height), Image.Resampling.BICUBIC
        )
        return Image.fromarray(
            np.clip(texture.astype(np.float32) * (np.asarray(shade, np.float32) / 127.5), 0, 255).astype(
                np.uint8
            )
        )

    def _paint(self, corners: NDArray[np.float64], image: Image.Image, level: int) -> None:
        """Paints a lit surface; one that passes the viewer is cut into quarters first."""
        xy, depth = self.seen(corners)
        if (depth < NEAR).all():
            return
        if (depth < NEAR).any():
            if level < 4:
                self._quarter(corners, image, level)
            return
        left, top = np.floor(xy.min(axis=0)).astype(int) - 1
        right, bottom = np.ceil(xy.max(axis=0)).astype(int) + 1
        left, top, right, bottom = max(left, 0), max(top, 0), min(right, self.width), min(bottom, self.height)
        if right - left < 1 or bottom - top < 1:
            return
        shifted = xy - (left, top)
        size = (int(right - left), int(bottom - top))
        warped = image.transform(
            size, Image.Transform.PERSPECTIVE, _homography(shifted, image.size), Image.Resampling.BILINEAR
        )
        self.picture.paste(warped, (int(left), int(top)), _mask(size, shifted))

    def _quarter(self, corners: NDArray[np.float64], image: Image.Image, level: int) -> None:
        a, b, c, d = corners
        ab, bc, cd, da, middle = (a + b) / 2, (b + c) / 2, (c + d) / 2, (d + a) / 2, corners.mean(axis=0)
        w, h = image.size
        x, y = w // 2, h // 2
        if x < 2 or y < 2:
            return
        parts = (((a, ab, middle, da), (0, 0, x, y)), ((ab, b, bc, middle), (x, 0, w, y)),
                 ((middle, bc, c, cd), (x, y, w, h)), ((da, middle, cd, d), (0, y, x, h)))  # fmt: skip
        for points, box in parts:
            self._paint(np.array(points), image.crop(box), level + 1)

    def upright(
        self, x: tuple[float, float], y: tuple[float, float], z: float, texture: Texture, **how: float
    ) -> None:
        """A surface facing the viewer between two x and two y."""
        self.surface([(x[0], y[1], z), (x[1], y[1], z), (x[1], y[0], z), (x[0], y[0], z)], texture, **how)

    def side(
        self, x: float, y: tuple[float, float], z: tuple[float, float], texture: Texture, **how: float
    ) -> None:
        """A surface seen from the side, from the nearer z to the farther."""
        self.surface([(x, y[1], z[0]), (x, y[1], z[1]), (x, y[0], z[1]), (x, y[0], z[0])], texture, **how)

    def level(
        self, x: tuple[float, float], y: float, z: tuple[float, float], texture: Texture, **how: float
    ) -> None:
        """A floor or ceiling, its texture's upper edge at the farther z."""
        self.surface([(x[0], y, z[1]), (x[1], y, z[1]), (x[1], y, z[0]), (x[0], y, z[0])], texture, **how)

    def block(
        self,
        x: tuple[float, float],
        y: tuple[float, float],
        z: tuple[float, float],
        texture: Texture,
        front: Texture | None = None,
    ) -> None:
        """A box: those of its sides that can be seen, then its front (the nearer z)."""
        if self.eye[0] < x[0]:
            self.side(x[0], y, z, texture)
        if self.eye[0] > x[1]:
            self.side(x[1], y, z, texture)
        if self.eye[1] > y[1]:
            self.level(x, y[1], z, texture)
        if self.eye[1] < y[0]:
            self.level(x, y[0], z, texture)
        self.upright(x, y, z[0], texture if front is None else front)

    def pipe(
        self, start: Point, end: Point, radius: float, colour: tuple[float, float, float], shine: float = 0.5
    ) -> None:
        """A round bar, shaded across."""
        a, b = np.array(start, float), np.array(end, float)
        across = np.cross(b - a, self.eye - (a + b) / 2)
        across *= radius / (np.linalg.norm(across) + 1e-12)
        t = np.linspace(-1, 1, 32)
        profile = (
            np.sqrt(np.clip(1 - t**2, 0, 1)) * 0.75 + 0.25 + shine * np.exp(-(((t + 0.35) / 0.16) ** 2)) * 0.6
        )
        texture = np.clip(
            np.array(colour)[None, None, :] * profile[None, :, None] * np.ones((8, 1, 1)), 0, 255
        ).astype(np.uint8)
        corners = [tuple(b - across), tuple(b + across), tuple(a + across), tuple(a - across)]
        self.surface(corners, texture, glow=0.15)  # type: ignore[arg-type]

    def string(self, start: Point, end: Point, pixels: float, colour: tuple[int, int, int]) -> None:
        """A thin line."""
        xy, depth = self.seen(np.array([start, end]))
        if (depth > NEAR).all():
            ImageDraw.Draw(self.picture).line(
                [tuple(p) for p in xy], fill=colour, width=max(1, round(pixels))
            )

    def disc(
        self,
        centre: Point,
        radius: float,
        normal: Point,
        colour: tuple[float, float, float],
        glow: float = 0.0,
    ) -> None:
        """A round flat plate."""
        n = np.array(normal, float)
        n /= np.linalg.norm(n)
        u = np.cross(n, (0.0, 0.0, 1.0) if abs(n[2]) < 0.9 else (0.0, 1.0, 0.0))
        u /= np.linalg.norm(u)
        w = np.cross(n, u)
        c = np.array(centre, float)
        square = [c + radius * (a * u + b * w) for a, b in ((-1, 1), (1, 1), (1, -1), (-1, -1))]
        lit = self._lit(np.array(square), np.full((24, 24, 3), colour, np.uint8), 0.0, glow)
        angles = np.linspace(0, 2 * np.pi, 64, endpoint=False)
        xy, depth = self.seen(np.array([c + radius * (np.cos(a) * u + np.sin(a) * w) for a in angles]))
        if (depth < NEAR).any():
            return
        tone = tuple(int(v) for v in np.asarray(lit).reshape(-1, 3).mean(axis=0))
        left, top = np.floor(xy.min(axis=0)).astype(int) - 2
        right, bottom = np.ceil(xy.max(axis=0)).astype(int) + 2
        if right > left and bottom > top:
            mask = _mask((int(right - left), int(bottom - top)), xy - (left, top)).filter(
                ImageFilter.GaussianBlur(0.6)
            )
            self.picture.paste(tone, (int(left), int(top)), mask)

    def shadow(self, points: list[Point], softness: float, strength: float) -> None:
        """Darkens a soft patch; ``softness`` in pixels of a 1600 px picture."""
        xy, depth = self.seen(np.array(points, float))
        if (depth < NEAR).any():
            return
        small = 4
        mask = Image.new("L", (self.width // small, self.height // small), 0)
        ImageDraw.Draw(mask).polygon([tuple(p / small) for p in xy], fill=int(255 * strength))
        soft = mask.filter(ImageFilter.GaussianBlur(softness * self.width / 1600 / small))
        if (dark := soft.getbbox()) is None:
            return
        patch = tuple(small * edge for edge in dark)
        size = (patch[2] - patch[0], patch[3] - patch[1])
        light = ImageChops.invert(soft.crop(dark).resize(size, Image.Resampling.BILINEAR))
        seen = self.picture.crop(patch)
        self.picture.paste(ImageChops.multiply(seen, Image.merge("RGB", [light] * 3)), patch[:2])


def about(rng: np.random.Generator, value: float, spread: float) -> float:
    """``value`` give or take ``spread``."""
    return float(value + (rng.random() * 2 - 1) * spread)


def hand_held(
    rng: np.random.Generator,
    size: tuple[int, int],
    eye: Point,
    target: Point,
    *,
    field: float = 62,
    lamps: list[Lamp] | None = None,
    ambient: float = 0.34,
) -> Camera:
    """The camera as a hand holds it: a little off, a little tilted."""
    held = tuple(about(rng, v, 0.05) for v in eye)
    aimed = tuple(about(rng, v, 0.05) for v in target)
    lamps = lamps or [Lamp((about(rng, 0.9, 0.5), 2.2, 0.4), 1.25)]
    return Camera(size, held, aimed, field=field, lamps=lamps, ambient=ambient, roll=about(rng, 0, 0.02))  # type: ignore[arg-type]


def _homography(xy: NDArray[np.float64], size: tuple[int, int]) -> tuple[float, ...]:
    """Coefficients that take picture pixels to texture pixels, a little inside the texture's edge."""
    w, h = size
    wide = max(np.linalg.norm(xy[1] - xy[0]), np.linalg.norm(xy[2] - xy[3]), 1.0)
    high = max(np.linalg.norm(xy[3] - xy[0]), np.linalg.norm(xy[2] - xy[1]), 1.0)
    u0, v0 = min(w / 4, 0.6 + 1.1 * w / wide), min(h / 4, 0.6 + 1.1 * h / high)
    rows, right = [], []
    for (x, y), (u, v) in zip(xy, ((u0, v0), (w - u0, v0), (w - u0, h - v0), (u0, h - v0)), strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return tuple(np.linalg.lstsq(np.array(rows), np.array(right, float), rcond=None)[0])


def _mask(size: tuple[int, int], xy: NDArray[np.float64]) -> Image.Image:
    """A polygon with smooth edges, half a pixel larger so that neighbours leave no seam."""
    middle = xy.mean(axis=0)
    away = xy - middle
    grown = xy + away / (np.linalg.norm(away, axis=1, keepdims=True) + 1e-9) * 0.8
    scale = 1 if size[0] * size[1] > 400_000 else 2
    mask = Image.new("L", (size[0] * scale, size[1] * scale), 0)
    ImageDraw.Draw(mask).polygon([tuple(p * scale) for p in grown], fill=255)
    return mask if scale == 1 else mask.resize(size, Image.Resampling.BOX)


def developed(
    picture: Image.Image, rng: np.random.Generator, *, warmth: float, exposure: float
) -> Image.Image:
    """What lens and sensor do: bloom round bright spots, a darker rim, a curve, a cast of colour."""
    small = picture.resize((picture.width // 8, picture.height // 8), Image.Resampling.BOX)
    bright = small.point(lambda v: max(0, (v - 190) * 3)).filter(
        ImageFilter.GaussianBlur(picture.width / 160)
    )
    bloom = np.asarray(bright.resize(picture.size, Image.Resampling.BILINEAR))
    pixels = np.asarray(picture, np.float32) + np.float32(0.28) * bloom
    y, x = np.ogrid[-1 : 1 : picture.height * 1j, -1 : 1 : picture.width * 1j]
    cast = Image.fromarray(clouds(rng, 96, 128, (2, 3), 2)).resize(picture.size, Image.Resampling.BILINEAR)
    seen = (1 - 0.12 * (x * x + y * y)) * (1 + 0.035 * np.asarray(cast)) * (-1.55 * exposure / 255)
    pixels *= seen.astype(np.float32)[..., None]
    np.subtract(1, np.exp(pixels, out=pixels), out=pixels)
    pixels *= np.array((1 + warmth, 1.0, 1 - warmth), np.float32) * np.float32(1.06 * 255)
    return Image.fromarray(np.clip(pixels, 0, 255, out=pixels).astype(np.uint8))
