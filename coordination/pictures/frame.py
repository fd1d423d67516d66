"""Where nanometres land on the page. Every vertical position in a section goes through ``Frame.y``: it is affine."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Box:
    """A rectangle on the page, y downwards."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Lower edge."""
        return self.y + self.height

    @property
    def middle(self) -> float:
        """Vertical middle."""
        return self.y + self.height / 2

    @property
    def centre(self) -> float:
        """Horizontal middle."""
        return self.x + self.width / 2


@dataclass(frozen=True)
class Frame:
    """``left``: page x of the rear wall's inner face; ``ground``: page y of elevation zero; ``scale``: px per nm."""

    left: float
    ground: float
    scale: float

    def x(self, depth: float) -> float:
        """Page x of a depth."""
        return self.left + depth * self.scale

    def y(self, elevation: float) -> float:
        """Page y of an elevation."""
        return self.ground - elevation * self.scale

    def px(self, length: float) -> float:
        """A length on the page."""
        return length * self.scale

    def box(self, depth_low: float, depth_high: float, low: float, high: float) -> Box:
        """The page rectangle between two depths and two elevations."""
        return Box(self.x(depth_low), self.y(high), self.px(depth_high - depth_low), self.px(high - low))
