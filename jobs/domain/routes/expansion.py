"""Expansion of a template into the stages of one piece."""

from dataclasses import dataclass
from typing import Any

from calcs.kit.amounts import parse_duration
from jobs.core.errors import Invalid
from jobs.domain.checks import at_most
from jobs.domain.routes.clampings import Clamping, begins_sub_assembly
from jobs.domain.routes.schema import PARTS_PLANED, Route, cautions
from jobs.domain.routes.what_to_do import of_clamping

MOST_STAGES = 200


@dataclass(frozen=True, kw_only=True)
class Choices:
    """The choices of a piece that decide its stages.

    True facts, counts, a list of own titles, and the clampings that its glue-up takes.
    """

    facts: frozenset[str]
    counts: dict[str, int]
    own: tuple[str, ...] = ()
    clampings: tuple[Clamping, ...] = ()


def expand(route: Route, choices: Choices) -> list[dict[str, Any]]:
    """Return the stages of a piece in the template's order, each with its predecessors."""
    laid = _Laid()
    seen_between = False
    block = [entry for entry in route.stages if entry.get("each_clamping")]
    for entry in route.stages:
        before = laid.ends_of(entry)
        if "only_if" in entry and entry["only_if"] not in choices.facts:
            laid.ends[entry["key"]] = before
        elif entry in block and len(choices.clampings) > 1:
            if entry is block[0]:
                _lay_clampings(laid, route, block, choices)
        else:
            chain = _chain(route, entry, choices, seen_between)
            seen_between = seen_between or "between" in entry
            laid.add(entry["key"], chain, before)
    at_most(len(laid.built), MOST_STAGES, "too many stages", field="stages")
    keys = [stage["key"] for stage in laid.built]
    if twice := sorted({k for k in keys if keys.count(k) > 1}):
        raise Invalid("two stages of this route have one key", field="route", value=", ".join(twice))
    for stage in laid.built:
        own = laid.own.get(stage["key"], {})
        stage["waits"] = [
            _wait(w, stage, {**laid.ends, **own}, {**laid.firsts, **own}) for w in stage["waits"]
        ]
    return with_holds(laid.built)


class _Laid:
    """Stages laid so far, with the keys that each entry of the template begins and ends with."""

    def __init__(self) -> None:
        self.built: list[dict[str, Any]] = []
        self.ends: dict[str, list[str]] = {}
        self.firsts: dict[str, list[str]] = {}
        self.own: dict[str, dict[str, list[str]]] = {}
        """Stage of a clamping -> the keys that the template's names mean in that clamping."""

    def ends_of(self, entry: dict[str, Any]) -> list[str]:
        return _unique([end for name in entry.get("after", []) for end in self.ends[name]])

    def add(self, name: str, chain: list[dict[str, Any]], before: list[str]) -> None:
        """Lay a chain of stages, the first after ``before``."""
        for n, one in enumerate(chain):
            self.built.append({**one, "after": before if n == 0 else [chain[n - 1]["key"]]})
        self.ends[name] = [chain[-1]["key"]] if chain else before
        if chain:
            self.firsts[name] = [chain[0]["key"]]


def _lay_clampings(laid: _Laid, route: Route, block: list[dict[str, Any]], choices: Choices) -> None:
    """Lay the stages of a glue-up once for each clamping, joined where one needs what another makes.

    The last clamping keeps the template's keys, so that all that follows goes by it.
    """
    waited_for = {name for entry in block for name in entry["after"]}
    over: dict[str, list[str]] = {}
    """Name of a sub-assembly -> the stages that end it."""
    for clamping in choices.clampings:
        last = clamping.number == len(choices.clampings)
        parts = [part for part in clamping.joins if part in over]
        before = _unique([key for part in parts for key in over[part]])
        lead = [route.between[name] for name in block[0].get("between_clampings", []) if parts]
        edges = ""
        for entry in lead:
            if entry.get("only_if") == PARTS_PLANED and not clamping.planed:
                continue
            edges = f"{entry['key']}-{clamping.number}"
            stage = _of_clamping(_stage(entry, choices, key=edges), clamping, begins=False)
            laid.built.append({**stage, "after": before})
            before = [edges]
        own = {e["key"]: [e["key"] if last else f"{e['key']}-{clamping.number}"] for e in block}
        for entry in block:
            stage = _of_clamping(
                _stage(entry, choices, key=own[entry["key"]][0]), clamping, begins=begins_sub_assembly(entry)
            )
            usual = _unique([k for name in entry["after"] for k in own.get(name) or laid.ends[name]])
            stage["after"] = before if entry is block[0] and parts else usual
            if parts and edges:
                stage["gates"] = [{**g, "of": edges} if "of" in g else g for g in stage["gates"]]
            laid.built.append(stage)
            laid.own[stage["key"]] = own
        over[clamping.makes] = [key for name, (key,) in own.items() if name not in waited_for]
        laid.ends |= own
        laid.firsts |= own


def _of_clamping(stage: dict[str, Any], clamping: Clamping, *, begins: bool) -> dict[str, Any]:
    """Return the stage of one clamping: its title says which, its notes say what is joined."""
    return {
        **stage,
        "title": f"{stage['title']}, {clamping.place}",
        "do": of_clamping(stage["do"], clamping.makes) if stage["do"] else "",
        "clamping": clamping.kept,
        "notes": [clamping.words, *stage["notes"]] if begins else stage["notes"],
    }


def _unique(keys: list[str]) -> list[str]:
    return list(dict.fromkeys(keys))


def _chain(route: Route, entry: dict[str, Any], choices: Choices, after_a_coat: bool) -> list[dict[str, Any]]:
    """Return the stages of one entry: one, or coats with their stages between and after, or an own list."""
    if entry.get("own_list"):
        return [
            _stage({**entry, "title": title}, choices, key=f"{entry['key']}-{n}")
            for n, title in enumerate(choices.own, 1)
        ]
    if "repeat" not in entry:
        return [_stage(entry, choices, key=entry["key"])]
    count, chain = choices.counts[entry["repeat"]], []
    for n in range(1, count + 1):
        if "between" in entry and (n > 1 or (entry.get("between_first") and after_a_coat)):
            middle = route.between[entry["between"]]
            chain.append(_stage(middle, choices, key=f"{middle['key']}-{entry['key']}-{n}"))
        which = f", {n} of {count}" if count > 1 else ""
        one = {**entry, "title": f"{entry['title']}, {n} of {count}"}
        if "do" in entry:
            one["do"] = f"{entry['do']}{which}"
        coat = _stage(one, choices, key=f"{entry['key']}-{n}")
        chain.append(coat)
        if "then" in entry:
            after = route.between[entry["then"]]
            coat["then"] = f"{after['key']}-{coat['key']}"
            chain.append(_stage(after, choices, key=coat["then"]))
    return chain


def _stage(entry: dict[str, Any], choices: Choices, *, key: str) -> dict[str, Any]:
    known = cautions()
    return {
        "key": key,
        "template_key": entry["key"],
        "then": "",
        "title": entry["title"],
        "do": entry.get("do", ""),
        "own_title": bool(entry.get("own_list")),
        "place": entry.get("place", "bench"),
        "passive": entry.get("passive", False),
        "before_acceptance": entry.get("before_acceptance", False),
        "owner_only": entry.get("owner_only", False),
        "marks": entry.get("marks", ""),
        "once_per": entry.get("once_per", "piece"),
        "papers": entry.get("papers", []),
        "calcs": entry.get("calcs", []),
        "notes": entry.get("notes", []),
        "cautions": [
            c for c in entry.get("cautions", []) if known[c].get("only_if") in (None, *choices.facts)
        ],
        "gates": entry.get("gates", []),
        "waits": entry.get("waits", []),
    }


def bare_stage(
    *,
    key: str,
    kind: str,
    title: str,
    place: str,
    after: list[str],
    do: str = "",
    cautions: tuple[str, ...] = (),
) -> dict[str, Any]:
    """Return a stage outside every template, with only kind, title, place and predecessors."""
    entry = {"key": kind, "title": title, "do": do, "place": place, "cautions": cautions}
    return {**_stage(entry, Choices(facts=frozenset(), counts={}), key=key), "after": after}


def with_holds(stages: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return stages whose waits hold their followers on this route.

    A wait with named holds holds only those stages and is dropped where they are absent. Any other wait holds
    the next stages worked by hand. The wait of a passive stage holds every follower.
    """
    for stage in stages:
        followers = [s for s in stages if stage["key"] in s["after"]]
        usual = [s["key"] for s in followers if stage["passive"] or not s["passive"]]
        waits = [{**w, "holds": w["holds"] if w["named"] else usual} for w in stage["waits"]]
        stage["waits"] = [w for w in waits if w["holds"] or not w["named"]]
    return stages


def _wait(
    wait: dict[str, Any], stage: dict[str, Any], ends: dict[str, list[str]], firsts: dict[str, list[str]]
) -> dict[str, Any]:
    """Return a wait that names its stages by their keys on the route."""
    return {
        "kind": wait["kind"],
        "title": wait["title"],
        "clock": wait.get("clock", ""),
        "duration_s": parse_duration(wait["duration"], field="duration") if "duration" in wait else None,
        "latest_s": parse_duration(wait["latest"], field="latest") if "latest" in wait else None,
        "since": ends[wait["since"]][-1] if wait.get("since") and ends[wait["since"]] else stage["key"],
        "named": "holds" in wait,
        "holds": [firsts[k][0] for k in wait.get("holds", []) if k in firsts],
        "source": wait.get("source", ""),
    }
