"""The invented lift truck, seen from its left side with the forks to the left. Coordinates are picture pixels."""

from maker.canvas import (
    BODY,
    BODY_DARK,
    BODY_LIGHT,
    GREY,
    INK,
    IRON,
    IRON_DARK,
    IRON_LIGHT,
    RED,
    THIN,
    TIMBER,
    TYRE,
    YELLOW,
    Canvas,
)

GROUND_Y = 622
FRONT_WHEEL, REAR_WHEEL = (560, 568), (905, 578)
FORKS_DOWN_Y, FORKS_UP_Y = 606, 330
REAR_CENTRE, REAR_HALF_WIDTH = (640, 376), 140


def draw_truck(canvas: Canvas, fork_y: float = FORKS_DOWN_Y, *, load: bool = False) -> None:
    """The whole truck; `fork_y` is the height of the forks, `load` puts a crate on them."""
    _mast(canvas, fork_y)
    _guard_and_seat(canvas)
    _body(canvas)
    _wheel(canvas, *FRONT_WHEEL, 54)
    _wheel(canvas, *REAR_WHEEL, 44)
    if load:
        _crate(canvas, fork_y)


def draw_rear(canvas: Canvas) -> None:
    """The same truck upright, seen from behind, REAR_HALF_WIDTH to each side of REAR_CENTRE."""
    for x in (564, 700):
        canvas.box((x, 128, x + 16, 360), IRON_LIGHT, 3)
    for x in (522, 744):
        canvas.box((x, 150, x + 14, 350), IRON_DARK, 4)
    canvas.box((502, 132, 778, 154), IRON_DARK, 8)
    canvas.box((590, 262, 690, 350), INK, 16)
    canvas.shape([(500, 590), (500, 370), (530, 336), (750, 336), (780, 370), (780, 590)], IRON)
    canvas.box((576, 420, 704, 520), IRON_LIGHT, 8)
    for x in (516, 732):
        canvas.box((x, 372, x + 32, 394), RED, 5)
    for x in (508, 728):
        canvas.box((x, 570, x + 44, 622), TYRE, 10)


def _mast(canvas: Canvas, fork_y: float) -> None:
    raised = FORKS_DOWN_Y - fork_y
    canvas.box((468, 178 - raised * 0.28, 486, 590), IRON_LIGHT, 3)
    canvas.box((440, 178 - raised * 0.28, 490, 196 - raised * 0.28), IRON, 3)
    canvas.box((484, 200, 508, 606), IRON, 3)
    # the chain runs over a wheel at the top of the inner rail, down to the carriage
    for y in range(int(200 - raised * 0.28), int(fork_y - 70), 11):
        canvas.oval(455, y, (4, 6), IRON_DARK, edge=None)
    canvas.disc(455, 193 - raised * 0.28, 11, GREY)
    canvas.box((436, fork_y - 92, 470, fork_y + 2), IRON_DARK, 3)
    canvas.shape(
        [
            (424, fork_y - 96),
            (438, fork_y - 96),
            (438, fork_y + 8),
            (232, fork_y + 8),
            (232, fork_y),
            (424, fork_y - 6),
        ],
        IRON,
    )


def _guard_and_seat(canvas: Canvas) -> None:
    canvas.tube([(592, 470), (612, 202)], IRON_DARK, 11)
    canvas.tube([(884, 420), (872, 202)], IRON_DARK, 11)
    canvas.box((596, 186, 892, 208), IRON_DARK, 8)
    canvas.box((690, 356, 806, 384), INK, 11)
    canvas.shape([(782, 366), (796, 268), (822, 266), (816, 372)], INK)
    canvas.tube([(598, 470), (646, 366)], IRON, 9)
    canvas.line([(622, 346), (674, 384)], INK, 11)


def _body(canvas: Canvas) -> None:
    canvas.shape([(520, 606), (520, 470), (640, 446), (640, 606)], BODY)
    canvas.box((636, 384, 852, 606), BODY, 8)
    canvas.box((636, 384, 852, 468), BODY_LIGHT, 8)
    canvas.shape([(846, 606), (846, 396), (930, 396), (996, 440), (1004, 606)], IRON)
    canvas.box((660, 500, 830, 580), BODY_DARK, 5, edge=THIN)
    for y in (518, 540, 562):
        canvas.line([(684, y), (806, y)], BODY, 5)
    canvas.text((744, 428), "ONDRELL L25", 25, "#ffffff", "mm")
    canvas.box((838, 420, 858, 440), YELLOW, 4)
    canvas.disc(636, 440, 9, RED)


def _wheel(canvas: Canvas, x: float, y: float, radius: float) -> None:
    canvas.disc(x, y, radius, TYRE)
    canvas.disc(x, y, radius * 0.58, GREY)
    canvas.disc(x, y, radius * 0.2, IRON)


def _crate(canvas: Canvas, fork_y: float) -> None:
    canvas.box((262, fork_y - 16, 422, fork_y), TIMBER, 2)
    canvas.box((270, fork_y - 140, 414, fork_y - 16), TIMBER, 3)
    for x in (306, 342, 378):
        canvas.line([(x, fork_y - 136), (x, fork_y - 20)], "#8a6636", 3)
