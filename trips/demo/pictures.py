"""Small pictures for the demo, drawn when it is loaded: no photo of anywhere is needed."""

import io
from dataclasses import dataclass

from trips.demo.chance import Chance

SIZE = (480, 360)
SAND, WATER, EARTH = (176, 158, 128), (104, 132, 138), (72, 58, 46)


@dataclass(frozen=True)
class Drawn:
    """A picture to draw: at which hole, spot or weigh-in (by its code), and what it shows."""

    table: str
    code: str
    caption: str
    role: str
    scene: str


PICTURES = (
    Drawn("holes", "T2031-24-OSS-3", "Bank at the log jam, untouched (drawn)", "before", "bank"),
    Drawn("holes", "T2031-24-OSS-3", "The hole on the first evening (drawn)", "other", "hole"),
    Drawn("holes", "T2031-16-OSS-3", "Hole at the log jam, still open (drawn)", "before", "hole"),
    Drawn("holes", "T2031-16-OSS-3", "Filled and raked over (drawn)", "after", "filled"),
    Drawn("spots", "OSS-2", "The split boulder from below (drawn)", "other", "boulder"),
)  # fmt: skip


def draw(drawn: Drawn) -> bytes:
    """The picture as a JPEG; the same code and scene give the same stones."""
    from PIL import Image, ImageDraw

    chance = Chance(f"picture {drawn.code} {drawn.scene}")
    image = Image.new("RGB", SIZE, SAND)
    pen = ImageDraw.Draw(image)
    pen.polygon([(0, 0), (SIZE[0], 0), (SIZE[0], 70), (0, 110)], fill=WATER)
    for _ in range(420):
        _stone(pen, chance, chance.between(3, 14))
    if drawn.scene == "hole":
        pen.ellipse((130, 150, 350, 320), fill=EARTH)
        pen.ellipse((165, 190, 320, 310), fill=tuple(part - 25 for part in EARTH))
    if drawn.scene == "filled":
        pen.ellipse((130, 150, 350, 320), fill=tuple(part - 14 for part in SAND))
        for n in range(9):
            pen.line((140 + n * 24, 165, 125 + n * 26, 310), fill=EARTH, width=2)
    if drawn.scene == "boulder":
        pen.polygon([(150, 300), (170, 150), (235, 110), (245, 300)], fill=(120, 118, 114))
        pen.polygon([(258, 300), (250, 115), (330, 160), (350, 300)], fill=(138, 134, 128))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()


def _stone(pen, chance: Chance, radius: int) -> None:
    x, y = chance.between(0, SIZE[0]), chance.between(80, SIZE[1])
    shade = chance.between(-45, 40)
    colour = tuple(max(0, min(255, part + shade + chance.between(-8, 8))) for part in SAND)
    pen.ellipse((x - radius, y - radius * 2 // 3, x + radius, y + radius * 2 // 3), fill=colour)
