"""Find what has to be solved before a piece can be made, from its calculations."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from calcs.asking.figure_wording import format_time

OF_THE_SHOP = (
    "lumber", "layout", "joinery", "gluing", "clamping", "stiffening", "breadboard", "lifting", "access",
    "sag", "tipping", "attachment",
)  # fmt: skip
"""Calculations whose warnings say that boards, clamps, machines, hands or rooms do not fit the piece."""
AT_ONCE = ("access", "tipping")
"""Calculations whose warnings are told as soon as a piece is entered: rooms and bases are not the shop's."""


@dataclass(frozen=True, kw_only=True)
class Blocker:
    """One thing to solve: its calculation, what is wrong, and the computed ways out with their effect."""

    calculation: str
    says: str
    ways: list[str] = field(default_factory=list)
    by_route: bool = False
    """True where a route with a glue-up for each clamping solves it."""

    def view(self) -> dict[str, Any]:
        return {"calculation": self.calculation, "says": self.says, "ways": self.ways}


def blockers_of(
    computed: Mapping[str, Any], *, over: Collection[str] = (), with_route: bool = False
) -> list[dict[str, Any]]:
    """Return everything to solve in the stored calculations of a piece, in their order.

    Calculations whose stages are ``over`` are left out, and ``with_route`` what the agreed route solves.
    """
    names = [name for name in OF_THE_SHOP if name in computed and name not in over]
    found = [one for name in names for one in _of(name, computed[name])]
    return [one.view() for one in found if not (with_route and one.by_route)]


def told_at_once(computed: Mapping[str, Any], before: Mapping[str, Any] | None = None) -> list[str]:
    """Return what does not fit the client's rooms or does not stand, that was not so before."""
    known = {each.says for name in AT_ONCE for each in _of(name, (before or {}).get(name, {}))}
    found = [each.says for name in AT_ONCE for each in _of(name, computed.get(name, {}))]
    return [says for says in found if says not in known]


def _of(name: str, kept: Mapping[str, Any]) -> Iterator[Blocker]:
    if "refused" in kept:
        yield Blocker(calculation=name, says=kept["refused"])
        return
    result = kept.get("result") or {}
    if name == "gluing" and len(result.get("stages", ())) > 1:
        yield _clampings(result)
    yield from (Blocker(calculation=name, says=says) for says in result.get("warnings", ()))


def _clampings(result: Mapping[str, Any]) -> Blocker:
    needed, allowed, opened = (format_time(n, result[n]) for n in ("all_s", "allowed_s", "open_s"))
    return Blocker(
        calculation="gluing",
        says=f"{len(result['stages'])} clampings: all joints in one go need {needed},"
        f" and {allowed} of {opened} open time may pass",
        ways=ways_of(result),
        by_route=True,
    )


def ways_of(result: Mapping[str, Any]) -> list[str]:
    """Return the computed ways to glue a top in fewer clampings, each with its effect."""
    return [_way(remedy) for remedy in result.get("remedies", ())]


def _way(remedy: Mapping[str, Any]) -> str:
    count = remedy["clampings"]
    then = "one clamping" if count == 1 else f"{count} clampings"
    return f"{remedy['what']}: {then}, {format_time('gained_s', remedy['gained_s'])} more room"
