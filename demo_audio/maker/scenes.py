"""The pictures of the workshop recording: one function for each scene, all in the same frame."""

from collections.abc import Callable

from PIL import Image

from maker import closeups
from maker.canvas import FLOOR, FORBIDDEN, INK, MUTED, SMOKE, TIMBER, WATER, YELLOW, Canvas
from maker.truck import FORKS_UP_Y, FRONT_WHEEL, GROUND_Y, REAR_CENTRE, REAR_HALF_WIDTH, draw_rear, draw_truck

Drawer = Callable[[Canvas], None]


def draw_scene(name: str) -> Image.Image:
    """The scene as an RGB picture, 1280 by 720; KeyError for an unknown name."""
    title, drawer, floor = SCENES[name]
    canvas = Canvas()
    if floor:
        canvas.box((-20, GROUND_Y, 1300, 740), FLOOR, 0, edge=None)
        canvas.line([(-10, GROUND_Y), (1290, GROUND_Y)], MUTED, 2)
    drawer(canvas)
    canvas.box((0, 0, 1280, 76), INK, 0, edge=None)
    canvas.box((0, 76, 1280, 82), YELLOW, 0, edge=None)
    canvas.text((36, 38), title, 34, "#ffffff")
    canvas.text((1246, 40), "invented machine, drawn for demonstration", 20, "#9fb0ba", "rm")
    return canvas.picture()


def _whole_truck(canvas: Canvas) -> None:
    draw_truck(canvas)
    canvas.label(230, 300, "mast", (484, 330))
    canvas.label(80, 480, "forks", (300, 602))
    canvas.label(1000, 180, "roof guard", (892, 197))
    canvas.label(1000, 290, "seat", (824, 310))
    canvas.label(1060, 520, "rear", (1002, 520))


def _chocks(canvas: Canvas) -> None:
    draw_truck(canvas)
    x = FRONT_WHEEL[0]
    for side in (-1, 1):
        canvas.shape([(x + side * 34, GROUND_Y), (x + side * 92, GROUND_Y), (x + side * 52, GROUND_Y - 40)], YELLOW)
    canvas.label(110, 430, "chock", (x - 70, GROUND_Y - 18))
    canvas.label(660, 676, "chock", (x + 72, GROUND_Y - 12))


def _raised_forks(canvas: Canvas) -> None:
    draw_truck(canvas, FORKS_UP_Y, load=True)
    for x in range(230, 430, 34):
        canvas.line([(x, GROUND_Y - 3), (x + 22, GROUND_Y - 3)], FORBIDDEN, 8)
    canvas.forbidden(330, 490, 70)
    canvas.label(60, 674, "nobody under here", (300, 628), FORBIDDEN)
    canvas.label(70, 150, "raised load", (300, 195))


def _timber_block(canvas: Canvas) -> None:
    draw_truck(canvas, 520, load=True)
    canvas.box((424, 530, 474, GROUND_Y), TIMBER, 2)
    for y in (552, 576, 600):
        canvas.line([(430, y), (468, y)], "#8a6636", 2)
    canvas.ring(449, 576, 56, 70)
    canvas.label(90, 580, "timber block", (392, 580))
    canvas.label(110, 300, "carriage", (452, 452))


def _on_its_side(canvas: Canvas) -> None:
    upright = Canvas(background=None)
    draw_rear(upright)
    canvas.paste_turned(upright, -90, REAR_CENTRE, (620, GROUND_Y - REAR_HALF_WIDTH))
    for x, lean, name in ((330, 28, "A"), (706, -28, "B")):
        canvas.shape([(x - 48, GROUND_Y), (x + 48, GROUND_Y), (x + lean, GROUND_Y - 66)], TIMBER)
        canvas.arrow((x, 700), (x, GROUND_Y + 8))
        canvas.text((x + 22, 676), f"prop {name}", 27)
    canvas.label(960, 300, "not by the roof guard", (896, 392), FORBIDDEN)
    canvas.forbidden(886, 440, 46)
    canvas.label(90, 300, "wheels", (378, 392))


def _fire(canvas: Canvas) -> None:
    draw_truck(canvas)
    for x, y, size in ((690, 480, 26), (760, 440, 34), (700, 400, 40), (780, 330, 54), (720, 250, 62), (830, 190, 66)):
        canvas.cloud(x, y, size, SMOKE)
    for dy in (-12, 0, 12):
        canvas.line([(1180, 500 + dy * 0.3), (1010, 505 + dy * 0.6), (824, 540 + dy)], WATER, 6)
    canvas.box((1178, 486, 1260, 514), INK, 6)
    canvas.ring(744, 540, 96, 50)
    canvas.label(960, 300, "smoke", (850, 235))
    canvas.label(960, 640, "side vents", (822, 566))
    canvas.label(1040, 430, "water", (1080, 492))


SCENES: dict[str, tuple[str, Drawer, bool]] = {
    "whole_truck": ("The whole truck, left side", _whole_truck, True),
    "plate": ("The plate on the mast", closeups.plate, False),
    "stop_button": ("At the steering wheel: the red stop button", closeups.stop_button, False),
    "chocks": ("Chocks under the front wheels", _chocks, True),
    "raised_forks": ("Raised forks", _raised_forks, True),
    "lowering_valve": ("The foot of the mast: the lowering valve", closeups.lowering_valve, False),
    "timber_block": ("Timber block under the carriage", _timber_block, True),
    "mast_chains": ("The mast chains", closeups.mast_chains, False),
    "seat_and_hood": ("The hood under the seat", closeups.seat_and_hood, False),
    "battery_plug": ("Hood open: battery and plug", closeups.battery_plug, False),
    "pump_fuse": ("The pump panel", closeups.pump_panel, False),
    "rear_cover": ("Rear of the truck: the cover", closeups.rear_cover, False),
    "main_fuse": ("Rear cover off: the main fuse", closeups.main_fuse, False),
    "on_its_side": ("Truck on its side, seen from behind: where to prop", _on_its_side, True),
    "fire": ("Battery fire: smoke at the side vents", _fire, True),
}
