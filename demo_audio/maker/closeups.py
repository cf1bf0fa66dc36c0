"""Near views of single parts of the invented lift truck."""

from maker.canvas import (
    BODY,
    BODY_DARK,
    BODY_LIGHT,
    FLOOR,
    GREY,
    INK,
    IRON,
    IRON_DARK,
    IRON_LIGHT,
    MUTED,
    PAPER,
    RED,
    YELLOW,
    Canvas,
)


def plate(canvas: Canvas) -> None:
    """The data plate, riveted to a mast rail."""
    canvas.box((300, 60, 980, 760), IRON, 0)
    canvas.box((300, 60, 372, 760), IRON_DARK, 0)
    canvas.box((420, 190, 920, 560), "#d9dcdd", 12)
    for x, y in ((448, 218), (892, 218), (448, 532), (892, 532)):
        canvas.disc(x, y, 9, GREY)
    canvas.text((670, 250), "ONDRELL  L25", 44, INK, "mm")
    canvas.line([(450, 292), (890, 292)], INK, 3)
    for y, name, value in ((340, "Truck", "battery electric"), (470, "Serial", "L25-00417")):
        canvas.text((470, y), name, 28, MUTED)
        canvas.text((640, y), value, 28)
    canvas.text((470, 405), "Battery", 28, MUTED)
    canvas.text((640, 405), "80 V", 40, INK)
    canvas.ring(685, 405, 82, 38)
    canvas.label(1010, 405, "battery voltage", (770, 405))


def stop_button(canvas: Canvas) -> None:
    """Dashboard from the driver's seat."""
    canvas.shape([(120, 760), (190, 400), (1090, 400), (1160, 760)], IRON)
    canvas.box((216, 440, 400, 550), IRON_DARK, 14)
    canvas.text((308, 495), "421.6 h", 36, "#bfe3c8", "mm")
    canvas.disc(640, 430, 210, None, edge=(INK, 34))
    canvas.line([(640, 430), (640, 640)], INK, 24)
    canvas.line([(640, 430), (450, 370)], INK, 24)
    canvas.line([(640, 430), (830, 370)], INK, 24)
    canvas.disc(640, 430, 54, IRON_DARK)
    canvas.disc(960, 510, 74, YELLOW)
    canvas.disc(960, 510, 52, RED)
    canvas.ring(960, 510, 92)
    canvas.label(950, 330, "red stop button", (1000, 424))
    canvas.label(60, 300, "steering wheel", (446, 345))
    canvas.label(60, 640, "hour meter", (290, 542))


def lowering_valve(canvas: Canvas) -> None:
    """Foot of the mast with the hydraulic block."""
    canvas.box((180, 60, 300, 650), IRON, 4)
    canvas.box((330, 60, 410, 650), IRON_LIGHT, 4)
    canvas.box((-20, 640, 1300, 760), FLOOR, 0, edge=None)
    canvas.box((470, 400, 860, 620), IRON_DARK, 14)
    canvas.box((470, 400, 860, 446), IRON, 14)
    canvas.tube([(560, 400), (560, 260), (420, 200)], INK, 22)
    canvas.tube([(860, 540), (1010, 540), (1060, 640)], INK, 22)
    canvas.hexagon(700, 530, 50)
    canvas.ring(700, 530, 76)
    canvas.arrow((640, 456), (600, 516))
    canvas.label(900, 380, "lowering valve", (766, 494))
    canvas.label(620, 240, "hose to the lift cylinder", (572, 300))
    canvas.label(40, 200, "mast", (186, 260))


def mast_chains(canvas: Canvas) -> None:
    """Two lift chains between the mast rails."""
    canvas.box((330, 60, 430, 760), IRON, 0)
    canvas.box((850, 60, 950, 760), IRON, 0)
    canvas.box((430, 560, 850, 660), IRON_DARK, 4)
    for x in (560, 720):
        for n, y in enumerate(range(90, 560, 36)):
            canvas.box(
                (x - (15 if n % 2 else 21), y, x + (15 if n % 2 else 21), y + 44), IRON_LIGHT if n % 2 else GREY, 14
            )
        canvas.box((x - 24, 548, x + 24, 590), IRON_LIGHT, 6)
    canvas.forbidden(640, 320, 118)
    canvas.label(990, 320, "never cut here", (762, 320), "#c1121f")
    canvas.label(90, 220, "lift chains", (536, 240))
    canvas.label(90, 610, "carriage", (440, 612))


def seat_and_hood(canvas: Canvas) -> None:
    """Hood shut, with its latch and the column."""
    canvas.box((-20, 640, 1300, 760), FLOOR, 0, edge=None)
    canvas.shape([(150, 650), (150, 450), (360, 420), (360, 650)], BODY_DARK)
    canvas.box((350, 400, 900, 650), BODY, 10)
    canvas.box((340, 330, 910, 430), BODY_LIGHT, 14)
    canvas.box((480, 280, 740, 334), INK, 18)
    canvas.shape([(690, 300), (716, 130), (772, 126), (762, 310)], INK)
    canvas.tube([(250, 440), (330, 250)], IRON, 18)
    canvas.line([(280, 210), (392, 292)], INK, 20)
    canvas.arrow((300, 176), (196, 190))
    canvas.box((880, 372, 936, 412), YELLOW, 8)
    canvas.ring(908, 392, 54, 44)
    canvas.label(1000, 392, "yellow latch", (964, 392))
    canvas.label(14, 330, "wheel tips forward", (298, 226))
    canvas.label(980, 220, "seat", (768, 220))
    canvas.label(430, 380, "hood")
    canvas.arrow((850, 310), (850, 190))


def battery_plug(canvas: Canvas) -> None:
    """Hood open: cells, cables and the grey plug."""
    canvas.shape([(300, 320), (200, 110), (880, 110), (780, 320)], BODY_LIGHT)
    canvas.box((180, 320, 900, 680), BODY_DARK, 10)
    canvas.box((220, 360, 860, 680), IRON_DARK, 6)
    for row in range(2):
        for column in range(5):
            x, y = 244 + column * 122, 384 + row * 146
            canvas.box((x, y, x + 104, y + 126), IRON, 6)
            canvas.disc(x + 30, y + 26, 11, RED)
            canvas.disc(x + 74, y + 26, 11, INK)
    canvas.tube([(820, 420), (960, 440), (1010, 470)], RED, 16)
    canvas.tube([(820, 470), (950, 490), (1010, 500)], "#3a3f44", 16)
    canvas.box((1000, 440, 1130, 540), GREY, 10)
    canvas.box((1040, 400, 1090, 446), GREY, 10)
    canvas.ring(1066, 474, 98, 90)
    canvas.arrow((1066, 390), (1066, 300))
    canvas.label(1000, 262, "grey plug")
    canvas.label(930, 610, "live cables", (930, 496))
    canvas.label(40, 250, "battery", (300, 400))


def pump_panel(canvas: Canvas) -> None:
    """A closed panel with two screws."""
    canvas.box((160, 60, 1120, 760), BODY, 0)
    canvas.box((400, 220, 880, 560), BODY_LIGHT, 16)
    canvas.cross_screw(440, 390, 22)
    canvas.cross_screw(840, 390, 22)
    canvas.ring(440, 390, 42)
    canvas.ring(840, 390, 42)
    canvas.label(560, 390, "pump panel")
    canvas.label(910, 620, "screw", (862, 424))
    canvas.label(250, 620, "screw", (424, 426))


def _rear(canvas: Canvas) -> None:
    canvas.box((-20, 640, 1300, 760), FLOOR, 0, edge=None)
    canvas.shape([(260, 650), (260, 220), (330, 150), (950, 150), (1020, 220), (1020, 650)], IRON)
    canvas.box((300, 200, 380, 250), RED, 8)
    canvas.box((900, 200, 980, 250), RED, 8)


def rear_cover(canvas: Canvas) -> None:
    """Truck from behind, cover in place."""
    _rear(canvas)
    canvas.box((440, 290, 840, 560), IRON_LIGHT, 12)
    for x in (474, 806):
        for y in (324, 526):
            canvas.hexagon(x, y, 20, GREY)
            canvas.ring(x, y, 34)
    canvas.label(540, 425, "rear cover")
    canvas.label(1060, 425, "four bolts", (832, 346))


def main_fuse(canvas: Canvas) -> None:
    """Truck from behind, cover taken off."""
    _rear(canvas)
    canvas.box((440, 290, 840, 560), INK, 12)
    canvas.tube([(452, 425), (540, 425)], RED, 18)
    canvas.tube([(740, 425), (828, 425)], RED, 18)
    canvas.box((540, 380, 740, 470), PAPER, 20)
    canvas.box((540, 380, 584, 470), GREY, 10)
    canvas.box((696, 380, 740, 470), GREY, 10)
    canvas.ring(640, 425, 132, 76)
    canvas.label(1050, 425, "main fuse", (774, 425))
    canvas.label(40, 540, "cover off", (440, 540))
