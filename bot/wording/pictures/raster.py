"""The pencil: a scene as a PNG, drawn at twice its final size and brought down, so that lines are smooth."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from bot.wording.pictures.letters import font
from bot.wording.pictures.scene import MID, PALE, Box, Dot, Line, Photo, Scene, Shape, Words

SCALE = 3  # pixels of the PNG for one of the scene: what phones of today show on 360
_FINER, _PACKED = 2, 3
_ANCHORS = {"l": "ls", "m": "ms", "r": "rs"}


def png(scene: Scene, scale: int = SCALE) -> bytes:
    """The picture as a PNG; in greys, but for photos."""
    from PIL import Image

    fine = scale * _FINER
    size = (round(scene.width * fine), round(scene.height * fine))
    coloured = any(isinstance(shape, Photo) for shape in scene.shapes)
    image = Image.new("RGB" if coloured else "L", size, "white")
    pencil = Pencil(image, fine)
    for shape in scene.shapes:
        pencil.draw(shape)
    out = BytesIO()
    image.reduce(_FINER).save(out, "PNG", compress_level=_PACKED)
    return out.getvalue()


class Pencil:
    """Draws shapes on an image, `scale` pixels for one of the scene."""

    def __init__(self, image: Any, scale: float) -> None:
        from PIL import ImageDraw

        self._image, self._scale, self._on = image, scale, ImageDraw.Draw(image)

    def draw(self, shape: Shape) -> None:
        """Draws one shape."""
        match shape:
            case Words():
                self._words(shape)
            case Line():
                self._line(shape)
            case Dot():
                self._dot(shape)
            case Box():
                self._box(shape)
            case Photo():
                self._photo(shape)

    def _words(self, shape: Words) -> None:
        face = font(round(shape.size * self._scale), shape.bold)
        self._on.text(self._at(shape.x, shape.y), shape.text, self._ink(shape.ink), face, _ANCHORS[shape.at])

    def _line(self, shape: Line) -> None:
        width = max(round(shape.width * self._scale), 1)
        for piece in dashes(shape) if shape.dash else [shape.points]:
            self._on.line([self._at(*point) for point in piece], self._ink(shape.ink), width, joint="curve")

    def _dot(self, shape: Dot) -> None:
        (x, y), radius = self._at(shape.x, shape.y), shape.radius * self._scale
        around = (x - radius, y - radius, x + radius, y + radius)
        self._on.ellipse(around, "white" if shape.hollow else "black", "black", max(round(1.3 * self._scale), 1))

    def _box(self, shape: Box) -> None:
        corners = (*self._at(shape.x, shape.y), *self._at(shape.x + shape.width, shape.y + shape.height))
        self._on.rectangle(
            corners, self._ink(shape.fill), self._ink(shape.edge), max(round(shape.line * self._scale), 1)
        )

    def _photo(self, shape: Photo) -> None:
        size = (round(shape.width * self._scale), round(shape.height * self._scale))
        try:
            self._image.paste(
                photo(shape.path, size).convert(self._image.mode), tuple(map(round, self._at(shape.x, shape.y)))
            )
        except OSError:
            self._box(Box(shape.x, shape.y, shape.width, shape.height, PALE, MID))
            middle = (shape.x + shape.width / 2, shape.y + shape.height / 2)
            self._words(Words(*middle, "photo not on this machine", 12.0, at="m"))

    def _ink(self, grey: int | None) -> tuple[int, ...] | int | None:
        return (grey, grey, grey) if grey is not None and self._image.mode == "RGB" else grey

    def _at(self, x: float, y: float) -> tuple[float, float]:
        return x * self._scale, y * self._scale


def photo(path: str, size: tuple[int, int]) -> Any:
    """The photo, turned upright as its camera says, cut from the middle to that size; OSError where it is none."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(path) as opened:
            opened.draft("RGB", size)
            return ImageOps.fit(ImageOps.exif_transpose(opened).convert("RGB"), size)
    except (UnidentifiedImageError, Image.DecompressionBombError, ValueError) as fault:
        raise OSError(str(fault)) from None


def dashes(line: Line) -> list[tuple[tuple[float, float], ...]]:
    """The dashes of a dashed line, for pencils that know none; each stretch begins with a dash."""
    pieces: list[tuple[tuple[float, float], ...]] = []
    for (x, y), (x2, y2) in zip(line.points, line.points[1:], strict=False):
        length = max(((x2 - x) ** 2 + (y2 - y) ** 2) ** 0.5, 1e-9)
        steps = int(length // (2 * line.dash)) + 1
        for k in range(steps):
            a, b = 2 * k * line.dash / length, min((2 * k + 1) * line.dash / length, 1.0)
            pieces.append(((x + (x2 - x) * a, y + (y2 - y) * a), (x + (x2 - x) * b, y + (y2 - y) * b)))
    return pieces
