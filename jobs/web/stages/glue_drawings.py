"""Drawings of a glue-up: its strips with the joints between them, and the order of its clamps."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.templatetags.static import static
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy as _

WIDE, WOOD, LEAST, GAP, LEFT, EDGE = 360, 84, 15, 6, 34, 4
"""The strips: width, height of all wood, of a strip, of a joint; where the wood begins; free edge."""
GRAIN = (512, 46)
"""Size of the picture of a strip's grain."""
CLAMPS_HIGH, BADGE = 108, 13
DARK = {"walnut", "cherry", "mahogany", "teak", "redwood"}
"""Looks of wood on which chalk shows; on the others it is pencil."""
ORDER_TOLD = _(
    "Clamps numbered in the order they are tightened, from the middle outward;"
    " numbers on top stand for clamps above, at the foot for clamps below"
)
STRIPS_TOLD = _("Strips in the order of the top, glue in each joint until it is closed")


@dataclass(frozen=True, kw_only=True)
class Part:
    """A strip or a sub-assembly that goes into a clamping: its letters and its width [1/8 µm]."""

    first: str
    last: str
    width_len: int

    @property
    def name(self) -> str:
        """Return its letters: one, or the first and the last."""
        return self.first if self.first == self.last else f"{self.first}–{self.last}"


def parts_of(layout: dict[str, Any], clamping: dict[str, Any] | None) -> list[Part]:
    """Return what one clamping joins, left to right; every strip where it is glued in one go."""
    strips = {strip["label"]: strip["width_len"] for strip in layout.get("strips", [])}
    letters = list(strips)
    ends = [tuple(part.split("-")) for part in clamping["joins"]] if clamping else []
    if not ends or not {label for end in ends for label in end} <= strips.keys():
        return [Part(first=label, last=label, width_len=width) for label, width in strips.items()]
    return [
        Part(
            first=end[0],
            last=end[-1],
            width_len=sum(strips[n] for n in letters[letters.index(end[0]) : letters.index(end[-1]) + 1]),
        )
        for end in ends
    ]


def joints_of(parts: Sequence[Part]) -> list[str]:
    """Return the joints between the parts, each by the strips that meet in it.

    Examples
    --------
    >>> joints_of([Part(first=a, last=b, width_len=1) for a, b in ("AC", "DF", "GG")])
    ['C-D', 'F-G']
    """
    return [f"{left.last}-{right.first}" for left, right in zip(parts, parts[1:], strict=False)]


def strips_drawn(parts: Sequence[Part], look: str) -> SafeString | None:
    """Return the parts from above, in their wood, with the witness mark across and glue between them."""
    whole = sum(part.width_len for part in parts)
    if len(parts) < 2 or not whole:
        return None
    joints, high, top, pieces = joints_of(parts), 0.0, float(EDGE), []
    wood = max(WOOD, LEAST * len(parts))
    for n, part in enumerate(parts):
        deep = part.width_len * wood / whole
        marks = _witness(high / wood, (high + deep) / wood, top, top + deep)
        glue = (
            format_html('<path class="gl" d="M{} {}H{}"/>', LEFT, f"{top + deep + GAP / 2:.1f}", WIDE - EDGE)
            if n < len(joints)
            else ""
        )
        pieces.append(
            format_html(
                '<g data-part="{}">{}<text class="big" x="17" y="{}">{}</text>{}{}</g>',
                n, _grain(look, n, LEFT, top, WIDE - EDGE - LEFT, deep), f"{top + deep / 2 + 5:.1f}",
                part.name, format_html('<path class="tri {}" d="{}"/>', _pencil(look), marks), glue,
            )
        )  # fmt: skip
        high, top = high + deep, top + deep + GAP
    return format_html(
        '<svg class="draw" viewBox="0 0 {} {}" role="img" aria-label="{}" data-gap="{}">{}</svg>',
        WIDE, f"{top - GAP + EDGE:.0f}", STRIPS_TOLD, GAP, SafeString("".join(pieces)),
    )  # fmt: skip


def _pencil(look: str) -> str:
    return "chalk" if look in DARK else "pencil"


def _witness(begin: float, end: float, top: float, foot: float) -> str:
    """Return the witness triangle across one part; ``begin`` and ``end`` are shares of the wood."""
    middle, spread = (LEFT + WIDE - EDGE) / 2, 70
    return " ".join(
        f"M{middle + side * spread * (0.2 + 0.8 * begin):.1f} {top:.1f}"
        f"L{middle + side * spread * (0.2 + 0.8 * end):.1f} {foot:.1f}"
        for side in (-1, 1)
    )


def _grain(look: str, n: int, left: float, top: float, wide: float, high: float) -> SafeString:
    """Return a rectangle of grain, each from another place of the strip's picture."""
    deep = min(300 * high / wide, GRAIN[1])
    return format_html(
        '<svg x="{}" y="{}" width="{}" height="{}" viewBox="{} 0 300 {}" preserveAspectRatio="none">'
        '<image href="{}" width="{}" height="{}"/></svg>',
        left, f"{top:.1f}", wide, f"{high:.1f}", 137 * n % 212, f"{deep:.1f}",
        static(f"web/wood/strip-{look}.svg"), GRAIN[0], GRAIN[1],
    )  # fmt: skip


def from_the_middle(count: int) -> list[int]:
    """Return the order in which to tighten clamps, middle first, then alternately outward.

    Common practice, without a source.

    Examples
    --------
    >>> from_the_middle(5)
    [2, 3, 1, 4, 0]
    """
    middle = (count - 1) / 2
    return sorted(range(count), key=lambda n: (abs(n - middle), -n))


def clamps_drawn(
    clamping: dict[str, Any], layout: dict[str, Any], parts: Sequence[Part], look: str
) -> SafeString | None:
    """Return the panel from above, to scale along its length, each clamp with its place in the order."""
    places, long = clamping.get("places"), layout.get("blank_len")
    if not places or not long:
        return None
    order = {n: place for place, n in enumerate(from_the_middle(len(places)), start=1)}
    top, foot, across = 2 * BADGE, CLAMPS_HIGH - 2 * BADGE, sum(part.width_len for part in parts) or 1
    widths = [sum(part.width_len for part in parts[: n + 1]) for n in range(len(parts) - 1)]
    lines = format_html_join(
        "",
        '<path d="M0 {}H{}" class="joint"/>',
        ((f"{top + width * (foot - top) / across:.0f}", WIDE) for width in widths),
    )
    marks = format_html_join(
        "",
        '<path class="cl" d="M{0} {1}V{2}"/><circle class="badge" cx="{0}" cy="{3}" r="{4}"/>'
        '<text class="inb" x="{0}" y="{5}">{6}</text>',
        (
            (
                f"{BADGE + place['at_len'] * (WIDE - 2 * BADGE) / long:.0f}",
                BADGE, CLAMPS_HIGH - BADGE,
                BADGE if place["side"] == "above" else CLAMPS_HIGH - BADGE,
                BADGE,
                (BADGE if place["side"] == "above" else CLAMPS_HIGH - BADGE) + 5,
                order[n],
            )
            for n, place in enumerate(places)
        ),
    )  # fmt: skip
    return format_html(
        '<svg class="draw" viewBox="0 0 {} {}" role="img" aria-label="{}">{}{}{}</svg>',
        WIDE, CLAMPS_HIGH, ORDER_TOLD, _grain(look, 0, 0, top, WIDE, foot - top), lines, marks,
    )  # fmt: skip
