"""Reading and checking of template texts."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from graphlib import CycleError, TopologicalSorter
from hashlib import sha256
from pathlib import Path
from typing import Any

from calcs.kit.amounts import parse_duration
from calcs.kit.length_reading import parse_length
from calcs.kit.typed import plain_decimal
from jobs.domain.gate_rules import gate_rules
from jobs.domain.routes.file_shape import check_shape, wrong
from jobs.models import SafetyTask

HERE = Path(__file__).parent
LONGEST_FILE = 200_000
CLOCKS = {"glue.scrape", "glue.unclamp", "glue.machine", "glue.surface", "finish.recoat", "finish.full"}
LIMITS = {
    "glue.min_temp",
    "glue.max_temp",
    "glue.dry_fit",
    "finish.min_temp",
    "finish.max_temp",
    "finish.rh_max",
}
SIZES = {
    "piece.thickness", "piece.rough", "piece.milled", "piece.thinnest", "piece.thickest", "piece.flat",
    "piece.square",
}  # fmt: skip
"""Limits of a length that the size of the piece sets."""
FRESH = "fresh"
"""The rule on how long ago another stage ended; all other rules judge a commission."""
UNITS = {"yes", "percent", "celsius", "length", "minutes", "count", "code"}
FACTS = {"stiffeners", "water_borne", "self_heating", "isocyanates", "mark_before", "mark_after"}
PARTS_PLANED = "parts_planed"
"""The fact that the sub-assemblies which a clamping joins go through the planer."""
COUNTS = {"sealing_coats", "build_coats"}
NEAR = {"shop.emc"}
MARKS = {"ready", "delivered", "closed"}
ONCE_PER = {"piece", "commission"}
NEEDS = {"length", "width", "thickness", "species", "glue", "finish", "stages"}
KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
LONGEST = {"key": 40, "kind": 40, "title": 120, "do": 60}


@dataclass(frozen=True, kw_only=True)
class Route:
    """A checked template. ``film`` says whether its finish must leave a film, None where any finish fits."""

    key: str
    title: str
    needs: tuple[str, ...]
    stages: tuple[dict[str, Any], ...]
    between: dict[str, dict[str, Any]]
    sha256: str
    film: bool | None = None

    @property
    def in_clampings(self) -> bool:
        """Return whether its glue-up is laid once for each clamping."""
        return any(stage.get("each_clamping") for stage in self.stages)

    def figures(self, calculation: str, *, always: bool = False) -> bool:
        """Return whether a stage names a calculation; with ``always``, whether one of every piece does."""
        stages = (s for s in self.stages if not (always and "only_if" in s))
        return any(calculation in s.get("calcs", []) for s in stages)


@lru_cache(maxsize=200)
def read_text(text: str, source: str) -> Route:
    """Return the template in a text; refuse it, naming source, stage and word."""
    raw = text.encode("utf-8")
    if len(raw) > LONGEST_FILE:
        raise wrong(source, "file", f"{len(raw)} bytes", f"up to {LONGEST_FILE}")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as broken:
        raise wrong(source, "file", str(broken)[:200], "TOML in UTF-8") from broken
    except RecursionError as deep:
        raise wrong(source, "file", "nested too deeply", "tables and lists as in the others") from deep
    except ValueError as long:  # Python refuses numbers of thousands of digits
        raise wrong(source, "file", "a number with too many digits", "numbers in quotes") from long
    if not data.get("key") or not data.get("title") or not data.get("stage"):
        raise wrong(source, "key, title, stage", "missing", "a key, a title and at least one stage")
    check_shape(data, source)
    route_ = Route(
        key=data["key"],
        title=data["title"],
        needs=tuple(data.get("needs", ())),
        stages=tuple(data["stage"]),
        between=data.get("between", {}),
        sha256=sha256(raw).hexdigest(),
        film=data.get("film"),
    )
    _check(route_, source)
    return route_


CAUTION_OF = {SafetyTask.Kind.RAGS: "oily-rags", SafetyTask.Kind.DUST: "fresh-finish-dust"}
"""The caution shown with each safety task."""


@cache
def cautions() -> dict[str, Any]:
    """Return texts and sources of the usual cautions."""
    return tomllib.loads((HERE / "cautions.toml").read_text("utf-8"))


def _check(route_: Route, source: str) -> None:
    _check_name(source, "file", "key", route_.key)
    if unknown := set(route_.needs) - NEEDS:
        raise wrong(source, "needs", ", ".join(sorted(unknown)), ", ".join(sorted(NEEDS)))
    keys = [s.get("key", "") for s in route_.stages]
    doubles = {k for k in keys if keys.count(k) > 1 or not k}
    if doubles:
        raise wrong(source, "stage.key", ", ".join(sorted(doubles)) or "empty", "one name for each stage")
    for stage in (*route_.stages, *route_.between.values()):
        _check_stage(route_, stage, source, set(keys))
    graph = {s["key"]: s.get("after", []) for s in route_.stages}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as cycle:
        raise wrong(
            source, "after", " -> ".join(cycle.args[1]), "stages that do not wait for one another"
        ) from cycle
    _check_clampings(route_, source)
    for n, stage in enumerate(route_.stages):
        late = [k for k in stage.get("after", []) if k not in keys[:n]]
        if late:
            raise wrong(
                source, f"stage {stage['key']}: after", ", ".join(late), "stages further up in the file"
            )


def _check_clampings(route_: Route, source: str) -> None:
    """Refuse stages of each clamping that do not follow one another, or that a repeat cannot hold."""
    marked = [n for n, stage in enumerate(route_.stages) if stage.get("each_clamping")]
    if marked and marked != list(range(marked[0], marked[-1] + 1)):
        keys = ", ".join(route_.stages[n]["key"] for n in marked)
        raise wrong(source, "each_clamping", keys, "stages that follow one another in the file")
    for n in marked:
        stage = route_.stages[n]
        if unfit := [
            word for word in ("repeat", "own_list", "only_if", "once_per", "marks") if stage.get(word)
        ]:
            raise wrong(
                source, f"stage {stage['key']}: each_clamping", ", ".join(unfit), "none of these words"
            )


def _check_stage(route_: Route, stage: dict[str, Any], source: str, keys: set[str]) -> None:
    name = f"stage {stage.get('key')}"

    def among(word: str, values: Any, allowed: set[str]) -> None:
        if unknown := sorted(set(values) - allowed):
            raise wrong(source, f"{name}: {word}", ", ".join(unknown), ", ".join(sorted(allowed)))

    _check_name(source, name, "key", stage.get("key"))
    _check_name(source, name, "title", stage.get("title"))
    if "do" in stage:
        _check_name(source, name, "do", stage["do"])
    if stage.get("passive") and (stage.get("gates") or stage.get("marks")):
        raise wrong(source, f"{name}: passive", "gates or marks", "neither: nobody is there to answer")
    among("after", stage.get("after", []), keys)
    facts = {*FACTS, PARTS_PLANED} if stage in route_.between.values() else FACTS
    among("only_if", [stage["only_if"]] if "only_if" in stage else [], facts)
    among("between_clampings", stage.get("between_clampings", []), set(route_.between))
    among("repeat", [stage["repeat"]] if "repeat" in stage else [], COUNTS)
    for word in ("between", "then"):
        among(word, [stage[word]] if word in stage else [], set(route_.between))
        if word in stage and "repeat" not in stage:
            raise wrong(source, f"{name}: {word}", stage[word], "only in a stage that repeats")
    among("cautions", stage.get("cautions", []), set(cautions()) - {"first"})
    among("marks", [stage["marks"]] if "marks" in stage else [], MARKS)
    among("once_per", [stage["once_per"]] if "once_per" in stage else [], ONCE_PER)
    if stage.get("once_per") == "commission":
        _check_once(stage, source, name)
    kinds = [wait.get("kind") for wait in stage.get("waits", [])]
    if len(set(kinds)) < len(kinds):
        raise wrong(source, f"{name}: wait kind", ", ".join(map(str, kinds)), "one name for each wait")
    for wait in stage.get("waits", []):
        among("wait clock", [wait["clock"]] if "clock" in wait else [], CLOCKS)
        among(
            "wait since, holds", [*wait.get("holds", []), *([wait["since"]] if "since" in wait else [])], keys
        )
        if ("clock" in wait) == ("duration" in wait):
            raise wrong(source, f"{name}: wait", wait, "either a clock or a duration")
        for word in ("kind", "title"):
            _check_name(source, f"{name}: wait", word, wait.get(word))
        for word in ("duration", "latest"):
            if word in wait:
                parse_duration(wait[word], field=f"{name}: {word}")
    for gate in stage.get("gates", []):
        among("gate at", [gate.get("at", "")], {"start", "finish"})
        among("gate unit", [gate["unit"]] if "unit" in gate else [], UNITS)
        among("gate rule", [gate["rule"]] if "rule" in gate else [], {FRESH, *gate_rules()})
        among("gate near", [gate["near"]] if "near" in gate else [], NEAR)
        if "near" in gate and gate.get("unit") != "percent":
            raise wrong(source, f"{name}: gate near", gate["near"], "only a gate in percent")
        if ("unit" in gate) == ("rule" in gate):
            raise wrong(source, f"{name}: gate", gate, "either a unit or a rule")
        for word in ("key", "title"):
            _check_name(source, f"{name}: gate", word, gate.get(word))
        if gate.get("rule") == "fresh":
            among("gate of", [gate.get("of", "")], keys)
            parse_duration(gate.get("within", ""), field=f"{name}: within")
        for word in ("least", "most"):
            _check_limit(gate, word, source, name)


def _check_once(stage: dict[str, Any], source: str, name: str) -> None:
    """Refuse a stage done once for all pieces that asks or leaves anything of a single piece."""
    of_one = [w for w in ("repeat", "own_list", "passive", "waits", "cautions") if stage.get(w)]
    gates = [g for g in stage.get("gates", []) if g.get("rule") not in gate_rules()]
    of_one += [f"gate {g.get('key')}" for g in gates]
    if of_one:
        allowed = f"only gates with the rules {', '.join(sorted(gate_rules()))}"
        raise wrong(source, f"{name}: once_per", ", ".join(of_one), allowed)


def _check_name(source: str, where: str, word: str, text: Any) -> None:
    """Refuse a wrong key of a route, stage or gate, kind of wait, or title."""
    plain = word != "key" or where.endswith("gate") or (isinstance(text, str) and KEY.fullmatch(text))
    if not (isinstance(text, str) and text.strip() and len(text) <= LONGEST[word] and plain):
        form = "small letters, digits and -, " if word == "key" else ""
        raise wrong(source, f"{where}: {word}", text or "missing", f"{form}up to {LONGEST[word]} characters")


def _check_limit(gate: dict[str, Any], word: str, source: str, name: str) -> None:
    limit = gate.get(word)
    if limit is None or limit in LIMITS or (limit in SIZES and gate.get("unit") == "length"):
        return
    if gate.get("unit") == "length":
        parse_length(limit, unit="mm", field=f"{name}: {word}")
    elif plain_decimal(limit) is None:
        raise wrong(
            source, f"{name}: {word}", limit, "a number in quotes, or one of " + ", ".join(sorted(LIMITS))
        )
