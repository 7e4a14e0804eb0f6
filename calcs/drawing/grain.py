"""A solid-wood top from above, drawn as SVG: the same seed gives the same picture for ever.

There is no texture. Each strip is a plane sawn through a tapering, wandering log: a growth ring of radius R
shows at sqrt(R² - d²) on either side of the pith, where d is how far off the saw passed. Close to the pith it
leaves cathedrals, far off straight grain. The geometry is ours, no source: a drawing measures nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, hypot, pi, sin, sqrt
from random import Random

from calcs.drawing.woods import FLECKS, IN_RINGS, LOOKS, NONE, SCATTERED, Look
from calcs.kit.typed import out_of_range
from calcs.kit.units import UNITS_PER_INCH, both_units
from calcs.lumber.layout import MOST_STRIPS

Curve = Callable[[float], float]
Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Top:
    """A top to be drawn; lengths in 1/8 µm.

    Parameters
    ----------
    look : str
        Name of its look, as `calcs.drawing.woods.look_of` gives it.
    length_len, width_len : int
        Finished size.
    strips_len : sequence of int
        Widths of its strips from the top edge, of which the shares count; none for one strip.
    ends_len : int
        Width of a breadboard end; 0 without.
    seed : str
        What makes this top differ from others of its size, such as the number of the piece.

    Raises
    ------
    OutOfRange
        If a size is not above 0, or there are more strips than a layout has.
    """

    look: str
    length_len: int
    width_len: int
    strips_len: Sequence[int] = ()
    ends_len: int = 0
    seed: str = ""

    def __post_init__(self) -> None:
        sizes = {"length": self.length_len, "width": self.width_len}
        sizes |= {f"strips[{n}]": wide for n, wide in enumerate(self.strips_len, start=1)}
        for name, size in sizes.items():
            if size <= 0:
                raise out_of_range(name, both_units(size), "above 0")
        if not 0 <= 2 * self.ends_len < self.length_len:
            raise out_of_range("ends", both_units(self.ends_len), "0 to half the length")
        if len(self.strips_len) > MOST_STRIPS:
            raise out_of_range("strips", len(self.strips_len), f"up to {MOST_STRIPS}")


@dataclass(frozen=True, kw_only=True)
class Detail:
    """Fineness of a drawing: its box, and the most rings, points along a ring and pores in it."""

    wide: float
    high: float
    rings: int
    steps: int
    pores: int
    fibre: bool


WHOLE = Detail(wide=1000, high=460, rings=90, steps=48, pores=520, fibre=True)
"""For a picture as wide as the page: at most 12 kB compressed."""
SMALL = Detail(wide=300, high=160, rings=34, steps=20, pores=90, fibre=False)
"""For a picture as wide as a thumb: at most 3 kB compressed."""
STRIP = Detail(wide=560, high=50, rings=9, steps=24, pores=60, fibre=False)
"""For one strip that fills a bar of a page."""
MANY = {SCATTERED: 1.0, IN_RINGS: 0.6, FLECKS: 0.35, NONE: 0.0}
"""Share of the most pores, by how they lie."""


def draw(top: Top, detail: Detail = WHOLE) -> str:
    """Return a top as SVG with a ``viewBox`` and no size; nothing in it leaves that box.

    It holds no script, style sheet or address.
    """
    look = LOOKS[top.look]
    long, wide = top.length_len / UNITS_PER_INCH, top.width_len / UNITS_PER_INCH
    scale = min(detail.wide / long, detail.high / wide)
    chance = Random(f"{top.look}/{top.seed}")
    boards = list(_boards(top, chance, scale))
    width, height = ceil(round(long * scale, 3)), ceil(round(wide * scale, 3))
    body = [f'<path fill="{look.ground}" d="M0 0h{width}v{height}H0z"/>']
    body += _grain(boards, look, detail, chance)
    body += (board.tone(look) for board in boards)
    body.append(_joints(boards, scale))
    if detail.fibre:
        body.append(f'<rect width="{width}" height="{height}" filter="url(#f)"/>')
    body.append(f'<path fill="url(#l)" d="M0 0h{width}v{height}H0z"/>')
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}"'
        f' preserveAspectRatio="xMidYMid slice"><defs>{_light(look)}{FIBRE if detail.fibre else ""}</defs>'
        f"{''.join(body)}</svg>"
    )


FIBRE = (
    '<filter id="f" x="0" y="0" width="1" height="1">'
    '<feTurbulence type="fractalNoise" baseFrequency=".005 .5" numOctaves="3" seed="3"/>'
    '<feColorMatrix values="0 0 0 0 .12 0 0 0 0 .05 0 0 0 0 .02 1.1 0 0 0 -.45"/></filter>'
)


def _light(look: Look) -> str:
    """Return light from the left of the window: less of it on a dark wood."""
    shine = 0.1 if look.ground < "#9" else 0.2
    return (
        f'<linearGradient id="l" x2=".4" y2="1"><stop stop-color="#fff" stop-opacity="{shine}"/>'
        '<stop offset=".55" stop-color="#fff" stop-opacity="0"/>'
        '<stop offset="1" stop-color="#200c02" stop-opacity=".2"/></linearGradient>'
    )


class Board:
    """One board of a top: where it lies in the drawing, and the log that it was sawn from.

    Along and across are inches of the board itself; an end lies across the top.
    """

    def __init__(self, chance: Random, corner: Point, size: Point, scale: float, *, is_end: bool) -> None:
        self.corner, self.scale, self.is_end = corner, scale, is_end
        self.long, self.wide = size
        flat = chance.random() < 0.66
        beside = -0.9 if chance.random() < 0.5 else 1.9
        centre = self.wide * (_within(chance, 0.3, 0.7) if flat else beside + _within(chance, -0.3, 0.3))
        start = _within(chance, 0.7, 1.8)
        lean = _within(chance, 0.8, 2.2) * min(2.0, self.long / 96) * (1 if chance.random() < 0.5 else -1)
        bend, wander, fine = _wave(chance, 0.2, 4), _wave(chance, self.wide * 0.07, 3), _wave(chance, 0.02, 9)
        self.saw: Curve = lambda t: max(0.05, start + lean * (t - (lean < 0)) + bend(t) + fine(t))
        self.pith: Curve = lambda t: centre + wander(t)
        passes = [self.saw(n / 20) for n in range(21)]
        edges = abs(centre), abs(self.wide - centre)
        self.least = min(passes) if flat else hypot(min(passes), min(edges) * 0.8)
        self.most = hypot(max(passes), max(edges) * 1.08)
        self.shade = _within(chance, -0.26, 0.14)

    def place(self, along: float, across: float) -> Point:
        """Return a place of the board in the drawing, on its edge where it lies outside."""
        x, y = min(max(along, 0.0), self.long), min(max(across, 0.0), self.wide)
        x, y = (y, x) if self.is_end else (x, y)
        return (self.corner[0] + x) * self.scale, (self.corner[1] + y) * self.scale

    def tone(self, look: Look) -> str:
        """Return the board's own tone, lighter or darker than the next."""
        colour = "#fff3dc" if self.shade > 0 else look.late
        return f'<path fill="{colour}" opacity="{abs(self.shade):.2f}" d="{self.outline}"/>'

    @property
    def outline(self) -> str:
        """Return the path round the board."""
        corners = ((0.0, 0.0), (self.long, 0.0), (self.long, self.wide), (0.0, self.wide))
        return _path(self.place(*corner) for corner in corners)

    def rings(self, radius: float, steps: int) -> Iterator[str]:
        """Return one ring on the sawn face, as closed paths; none where the saw passed outside it."""
        for run in self._runs(radius, steps):
            if not any(0 < y + side * half < self.wide for _, y, half in run for side in (1, -1)):
                continue
            above = [self.place(x, y - half) for x, y, half in run]
            below = [self.place(x, y + half) for x, y, half in reversed(run)]
            yield _path([*above, *below])

    def _runs(self, radius: float, steps: int) -> Iterator[list[tuple[float, float, float]]]:
        """Yield the stretches in which the saw passed through a ring: place, pith, half the opening."""
        run: list[tuple[float, float, float]] = []
        before = 0.0
        for n in range(steps + 1):
            t = n / steps
            room = radius**2 - self.saw(t) ** 2
            if n and (room > 0) != (before > 0):  # the tip of a cathedral
                tip = t - room / (room - before) / steps
                run.append((tip * self.long, self.pith(tip), 0.0))
            if room > 0:
                run.append((t * self.long, self.pith(t), sqrt(room)))
            elif run:
                yield run
                run = []
            before = room
        if run:
            yield run


def _boards(top: Top, chance: Random, scale: float) -> Iterator[Board]:
    """Yield the strips of a top from its upper edge down, then its breadboard ends."""
    long, wide = top.length_len / UNITS_PER_INCH, top.width_len / UNITS_PER_INCH
    ends = top.ends_len / UNITS_PER_INCH
    strips = top.strips_len or (top.width_len,)
    whole, y = sum(strips), 0.0
    for strip in strips:
        each = wide * strip / whole
        yield Board(chance, (ends, y), (long - 2 * ends, each), scale, is_end=False)
        y += each
    for x in (0.0, long - ends) if ends else ():
        yield Board(chance, (x, 0.0), (wide, ends), scale, is_end=True)


def _grain(boards: list[Board], look: Look, detail: Detail, chance: Random) -> Iterator[str]:
    """Yield rings and pores of all boards: latewood that grows darker towards its ring, then the pores."""
    usual = (look.near + look.far) / 2
    wanted = sum(board.most - board.least for board in boards)
    apart = max(1.0, wanted / usual / detail.rings)  # no more rings than there is room for
    area = sum(board.long * board.wide for board in boards)
    pale, dark, pores = [], [], list[str]()
    for board in boards:
        radii = list(_radii(board, chance, least=apart * look.near, most=apart * look.far))
        for radius in radii:
            inner, middle, outer = (
                list(board.rings(radius - share * apart * usual, detail.steps)) for share in (0.7, 0.26, 0)
            )
            pale += inner + outer
            dark += middle + outer
        count = round(detail.pores * MANY[look.pores] * board.long * board.wide / area)
        pores += _pores(board, look, radii, count, chance)
    yield f'<g fill="{look.late}" fill-rule="evenodd">'
    yield f'<path opacity="{look.shows * 0.4:.2f}" d="{"".join(pale)}"/>'
    yield f'<path opacity="{look.shows:.2f}" d="{"".join(dark)}"/></g>'
    thick = f"{max(0.7, 0.05 * boards[0].scale):.1f}"
    yield f'<path stroke="{look.pore}" stroke-width="{thick}" opacity=".32" d="{"".join(pores)}"/>'


def _radii(board: Board, chance: Random, *, least: float, most: float) -> Iterator[float]:
    """Yield the radii of the rings that a board shows."""
    radius = board.least
    while (radius := radius + _within(chance, least, most)) < board.most:
        yield radius


def _pores(board: Board, look: Look, radii: list[float], count: int, chance: Random) -> Iterator[str]:
    """Yield pores along a board: scattered, or where a new ring begins."""
    for _ in range(count):
        t, across = chance.random(), chance.random() * board.wide
        if look.pores == IN_RINGS and radii and chance.random() < 0.8:
            radius = radii[int(chance.random() * len(radii))] + 0.1 * chance.random()
            half = sqrt(max(0.0, radius**2 - board.saw(t) ** 2))
            across = board.pith(t) + (half if chance.random() < 0.5 else -half)
        along, long = t * board.long, _within(chance, 0.3, 1.4)
        if 0 < across < board.wide:
            (x, y), (to_x, to_y) = board.place(along, across), board.place(along + long, across)
            yield f"M{x:.0f} {y:.0f}" + (f"v{to_y - y:.0f}" if board.is_end else f"h{to_x - x:.0f}")


def _joints(boards: list[Board], scale: float) -> str:
    """Return the glue lines: the edges between boards."""
    lines = "".join(board.outline for board in boards)
    return (
        f'<path fill="none" stroke="#1a0f06" stroke-width="{max(0.6, 0.05 * scale):.1f}" opacity=".36"'
        f' d="{lines}"/>'
    )


def _within(chance: Random, least: float, most: float) -> float:
    """Return a number between two, by chance alone: `random.Random.random` is the same in every version."""
    return least + (most - least) * chance.random()


def _wave(chance: Random, size: float, count: int) -> Curve:
    """Return a smooth curve over 0 to 1, made of a few sines."""
    parts = [
        (size / (n + 1), (n + _within(chance, 0.4, 0.9)) * pi, _within(chance, 0, 2 * pi))
        for n in range(count)
    ]
    return lambda t: sum(height * sin(often * t + shift) for height, often, shift in parts)


def _path(points: Iterable[Point]) -> str:
    """Return a closed path in whole numbers, each counted from the one before, without points on the way."""
    kept: list[tuple[int, int]] = []
    for point in ((round(x), round(y)) for x, y in points):
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and _is_between(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    (x, y), *rest = kept
    out = f"M{x} {y}l"
    for to_x, to_y in rest:
        out, x, y = f"{out}{to_x - x} {to_y - y} ", to_x, to_y
    return f"{out[:-1]}z"


def _is_between(first: tuple[int, int], middle: tuple[int, int], last: tuple[int, int]) -> bool:
    """Return whether a point lies on the straight way between two."""
    (ax, ay), (bx, by), (cx, cy) = first, middle, last
    return (bx - ax) * (cy - by) == (by - ay) * (cx - bx) and (bx - ax) * (cx - bx) >= 0
