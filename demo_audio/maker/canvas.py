"""A sheet to draw on: ink, marks and labels in one style, drawn at twice the size and scaled down for smooth edges."""

import math
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

WIDTH_PX, HEIGHT_PX = 1280, 720
OVERSAMPLE = 2

PAPER, FLOOR, INK, MUTED = "#f4f2eb", "#e2ded2", "#22303a", "#6c7780"
BODY, BODY_DARK, BODY_LIGHT = "#3f7f7a", "#2b5b58", "#6fa6a0"
IRON, IRON_DARK, IRON_LIGHT = "#4b5761", "#333d46", "#8f9aa3"
TYRE, YELLOW, RED, TIMBER, GREY = "#262a2e", "#f0b429", "#c43a2f", "#c79a5f", "#a7adb2"
MARK, FORBIDDEN, WATER, SMOKE = "#e2571c", "#c1121f", "#3d8fc6", "#8d9094"

Point = tuple[float, float]


Area = tuple[float, float, float, float]
Edge = tuple[str, float]

INKED: Edge = (INK, 3)
THIN: Edge = (INK, 2)


class Canvas:
    """Drawing in picture pixels (1280 by 720); an edge is (colour, width) or None."""

    def __init__(self, background: str | None = PAPER) -> None:
        size = (WIDTH_PX * OVERSAMPLE, HEIGHT_PX * OVERSAMPLE)
        self.image = Image.new("RGBA", size, background or (0, 0, 0, 0))
        self._draw = ImageDraw.Draw(self.image)

    def picture(self) -> Image.Image:
        """The drawing as RGB at 1280 by 720."""
        return self.image.convert("RGB").resize((WIDTH_PX, HEIGHT_PX), Image.Resampling.LANCZOS)

    def paste_turned(self, other: "Canvas", degrees: float, centre: Point, to: Point) -> None:
        """Another (transparent) drawing, turned anticlockwise about `centre`, which then lies at `to`."""
        x, y = (round(value * OVERSAMPLE) for value in centre)
        turned = other.image.rotate(degrees, Image.Resampling.BICUBIC, center=(x, y), expand=False)
        shift = (round((to[0] - centre[0]) * OVERSAMPLE), round((to[1] - centre[1]) * OVERSAMPLE))
        layer = Image.new("RGBA", self.image.size, (0, 0, 0, 0))
        layer.paste(turned, shift)
        self.image.alpha_composite(layer)

    # ------------------------------------------------------------------ shapes
    def shape(self, points: Sequence[Point], fill: str, edge: Edge | None = INKED) -> None:
        """A filled polygon."""
        scaled = _up(points)
        self._draw.polygon(scaled, fill=fill)
        if edge:
            outline, width = _edge(edge)
            self._draw.line([*scaled, scaled[0], scaled[1]], fill=outline, width=width, joint="curve")

    def box(self, area: Area, fill: str | None, radius: float = 6, edge: Edge | None = INKED) -> None:
        """A rectangle (left, top, right, bottom) with round corners."""
        outline, width = _edge(edge)
        self._draw.rounded_rectangle(
            _up([area[:2], area[2:]]), radius * OVERSAMPLE, fill=fill, outline=outline, width=width
        )

    def disc(self, x: float, y: float, radius: float, fill: str | None, edge: Edge | None = INKED) -> None:
        """A circle."""
        self.oval(x, y, (radius, radius), fill, edge)

    def oval(self, x: float, y: float, radii: Point, fill: str | None, edge: Edge | None = INKED) -> None:
        """An upright ellipse."""
        outline, width = _edge(edge)
        corners = _up([(x - radii[0], y - radii[1]), (x + radii[0], y + radii[1])])
        self._draw.ellipse(corners, fill=fill, outline=outline, width=width)

    def line(self, points: Sequence[Point], colour: str = INK, width: float = 4) -> None:
        """A line with round ends and joints."""
        scaled, thick = _up(points), width * OVERSAMPLE
        self._draw.line(scaled, fill=colour, width=round(thick), joint="curve")
        for x, y in (scaled[0], scaled[-1]):
            self._draw.ellipse((x - thick / 2, y - thick / 2, x + thick / 2, y + thick / 2), fill=colour)

    def tube(self, points: Sequence[Point], colour: str, width: float) -> None:
        """A line with an inked edge: posts, cables, hoses."""
        self.line(points, INK, width + 5)
        self.line(points, colour, width)

    def hexagon(self, x: float, y: float, radius: float, fill: str = IRON_LIGHT) -> None:
        """A bolt head or nut."""
        angles = [math.radians(60 * corner) for corner in range(6)]
        self.shape([(x + radius * math.cos(angle), y + radius * math.sin(angle)) for angle in angles], fill)
        self.disc(x, y, radius * 0.55, None, THIN)

    def cross_screw(self, x: float, y: float, radius: float = 13) -> None:
        """A screw with a cross recess."""
        self.disc(x, y, radius, IRON_LIGHT)
        self.line([(x - radius * 0.5, y), (x + radius * 0.5, y)], width=4)
        self.line([(x, y - radius * 0.5), (x, y + radius * 0.5)], width=4)

    def cloud(self, x: float, y: float, size: float, fill: str) -> None:
        """A puff of smoke."""
        for dx, dy, part in ((-0.8, 0.1, 0.6), (0, -0.25, 0.8), (0.8, 0.05, 0.65), (0.2, 0.3, 0.6)):
            self.disc(x + dx * size, y + dy * size, part * size, fill, edge=None)

    # ------------------------------------------------------------------ marks and words
    def text(self, at: Point, words: str, size: int = 26, colour: str = INK, anchor: str = "lm") -> None:
        """Words in the font that comes with Pillow, so that a remake looks the same everywhere."""
        font = ImageFont.load_default(size * OVERSAMPLE)
        self._draw.text(_up([at])[0], words, fill=colour, font=font, anchor=anchor)

    def ring(self, x: float, y: float, rx: float, ry: float | None = None, colour: str = MARK) -> None:
        """Marks a part."""
        self.oval(x, y, (rx + 3, (ry or rx) + 3), None, (PAPER, 11))
        self.oval(x, y, (rx, ry or rx), None, (colour, 6))

    def arrow(self, start: Point, end: Point, colour: str = MARK, width: float = 8) -> None:
        """From start to end, with a filled head."""
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        size = width * 2.6
        across = (0.6 * size * math.sin(angle), -0.6 * size * math.cos(angle))
        neck = (end[0] - size * math.cos(angle), end[1] - size * math.sin(angle))
        self.line([start, neck], colour, width)
        sides = [(neck[0] + side * across[0], neck[1] + side * across[1]) for side in (1, -1)]
        self.shape([end, *sides], colour, edge=None)

    def label(self, x: float, y: float, words: str, to: Point | None = None, colour: str = MARK) -> None:
        """A name plate with its left edge at x, and a leader line to the part."""
        wide = ImageFont.load_default(27 * OVERSAMPLE).getlength(words) / OVERSAMPLE + 36
        if to:
            start = _leader_start(x, y, wide, to)
            self.line([start, to], PAPER, 8)
            self.line([start, to], colour, 4)
        self.box((x, y - 24, x + wide, y + 24), "#ffffff", 8, (colour, 3))
        self.text((x + 18, y + 1), words, 27)

    def forbidden(self, x: float, y: float, radius: float) -> None:
        """The barred circle of a prohibition."""
        self.disc(x, y, radius + 4, None, (PAPER, 20))
        self.disc(x, y, radius, None, (FORBIDDEN, 12))
        reach = radius * 0.66
        self.line([(x - reach, y - reach), (x + reach, y + reach)], FORBIDDEN, 12)


def _leader_start(x: float, y: float, wide: float, to: Point) -> Point:
    """Where the line leaves the plate: its nearer end when the part is level with it, else its upper or lower side."""
    if abs(to[1] - y) < 30:
        return (x if to[0] < x else x + wide), y
    return min(max(to[0], x + 16), x + wide - 16), y + math.copysign(23, to[1] - y)


def _edge(edge: Edge | None) -> tuple[str | None, int]:
    return (edge[0], round(edge[1] * OVERSAMPLE)) if edge else (None, 0)


def _up(points: Sequence[Point]) -> list[Point]:
    return [(x * OVERSAMPLE, y * OVERSAMPLE) for x, y in points]
