"""Reading and checking of template files."""

import re
import tomllib
from dataclasses import dataclass
from functools import cache, lru_cache
from graphlib import CycleError, TopologicalSorter
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.conf import settings

from calcs.amounts import parse_duration
from calcs.units import parse_length
from jobs.errors import Invalid, NotFound
from jobs.models import RouteTemplate, SafetyTask

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
SIZES = {"piece.thickness", "piece.rough"}
"""Limits of a length that the piece sets itself: its finished thickness, the rough boards it needs."""
UNITS = {"yes", "percent", "celsius", "length", "minutes", "count", "code"}
RULES = {"fresh", "checklist-issued", "paid-up"}
FACTS = {"stiffeners", "water_borne", "self_heating", "isocyanates", "mark_before", "mark_after"}
COUNTS = {"sealing_coats", "build_coats"}
STAGE_WORDS = {
    "key",
    "title",
    "after",
    "place",
    "passive",
    "before_acceptance",
    "owner_only",
    "only_if",
    "repeat",
    "between",
    "between_first",
    "then",
    "own_list",
    "calcs",
    "cautions",
    "notes",
    "gates",
    "waits",
    "marks",
    "once_per",
    "papers",
}
WAIT_WORDS = {"kind", "title", "clock", "duration", "latest", "since", "holds", "source"}
GATE_WORDS = {"key", "title", "at", "unit", "least", "most", "source", "rule", "of", "within"}
MARKS = {"ready", "delivered", "closed"}
ONCE_PER = {"piece", "commission"}
COMMISSION_RULES = {"checklist-issued", "paid-up"}
"""Rules that look at nothing of one piece alone."""
NEEDS = {"length", "width", "thickness", "species", "glue", "finish", "stages"}
KEY = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
LONGEST = {"key": 40, "kind": 40, "title": 120}


@dataclass(frozen=True, kw_only=True)
class Route:
    """A checked template. ``film`` says whether its finish must leave one, None where any will do."""

    key: str
    title: str
    needs: tuple[str, ...]
    stages: tuple[dict[str, Any], ...]
    between: dict[str, dict[str, Any]]
    sha256: str
    film: bool | None = None

    def figures(self, calculation: str, *, always: bool = False) -> bool:
        """Whether a stage names a calculation; ``always``, whether one does that every piece has."""
        stages = (s for s in self.stages if not (always and "only_if" in s))
        return any(calculation in s.get("calcs", []) for s in stages)


def read_route(path: Path) -> Route:
    """The template in a file, or a refusal that names the file, the stage and the word."""
    source = f"route file {path.name}"
    try:
        return read_text(path.read_bytes().decode("utf-8"), source)
    except UnicodeDecodeError as broken:
        raise _wrong(source, "file", str(broken), "TOML in UTF-8") from broken


@lru_cache(maxsize=200)
def read_text(text: str, source: str) -> Route:
    """The template in a text, or a refusal that names its source, the stage and the word."""
    raw = text.encode("utf-8")
    if len(raw) > LONGEST_FILE:
        raise _wrong(source, "file", f"{len(raw)} bytes", f"up to {LONGEST_FILE}")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as broken:
        raise _wrong(source, "file", str(broken), "TOML in UTF-8") from broken
    stages = tuple(data.get("stage", ()))
    if not data.get("key") or not data.get("title") or not stages:
        raise _wrong(source, "key, title, stage", "missing", "a key, a title and at least one stage")
    try:
        return _checked(data, stages, sha256(raw).hexdigest(), source)
    except (AttributeError, TypeError, KeyError) as shape:
        raise _wrong(
            source, "file", "not of the shape of a route", "tables and lists as in the others"
        ) from shape


def _checked(data: dict[str, Any], stages: tuple[dict[str, Any], ...], digest: str, source: str) -> Route:
    route_ = Route(
        key=data["key"],
        title=data["title"],
        needs=tuple(data.get("needs", ())),
        stages=stages,
        between=data.get("between", {}),
        sha256=digest,
        film=data.get("film"),
    )
    _check(route_, source)
    return route_


def all_routes() -> dict[str, Route]:
    """Every template by key: the service's own files, the shop's own files, what the shop has set."""
    known = {r.key: r for r in map(read_route, _paths())}
    for row in RouteTemplate.objects.order_by("version"):
        known[row.key] = read_text(row.text, f"template {row.key}, version {row.version}")
    return known


def route_files() -> dict[str, str]:
    """The text of every template that comes as a file, by key."""
    return {read_route(path).key: path.read_text("utf-8") for path in _paths()}


def _paths() -> list[Path]:
    """The service's own files, then the shop's own, which may replace one by using its key."""
    folders = [HERE, Path(settings.ROUTES_DIR)]
    return [p for folder in folders for p in sorted(folder.glob("*.toml")) if p.name != "cautions.toml"]


def route(key: str) -> Route:
    """One template by its key."""
    known = all_routes()
    if key not in known:
        raise NotFound("no such route", field="route", value=key, allowed=", ".join(sorted(known)))
    return known[key]


CAUTION_OF = {SafetyTask.Kind.RAGS: "oily-rags", SafetyTask.Kind.DUST: "fresh-finish-dust"}
"""The caution that stands beside a safety task."""


@cache
def cautions() -> dict[str, Any]:
    """Texts and sources of the usual cautions."""
    return tomllib.loads((HERE / "cautions.toml").read_text("utf-8"))


def _wrong(source: str, field: str, value: object, allowed: str) -> Invalid:
    return Invalid(f"{source}: {field} is not usable", field=field, value=value, allowed=allowed)


def _check(route_: Route, source: str) -> None:
    _check_name(source, "file", "key", route_.key)
    if unknown := set(route_.needs) - NEEDS:
        raise _wrong(source, "needs", ", ".join(sorted(unknown)), ", ".join(sorted(NEEDS)))
    if route_.film not in (None, True, False):
        raise _wrong(source, "film", route_.film, "true, false, or left out where any finish will do")
    keys = [s.get("key", "") for s in route_.stages]
    doubles = {k for k in keys if keys.count(k) > 1 or not k}
    if doubles:
        raise _wrong(source, "stage.key", ", ".join(sorted(doubles)) or "empty", "one name for each stage")
    for stage in (*route_.stages, *route_.between.values()):
        _check_stage(route_, stage, source, set(keys))
    graph = {s["key"]: s.get("after", []) for s in route_.stages}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as cycle:
        raise _wrong(
            source, "after", " -> ".join(cycle.args[1]), "stages that do not wait for one another"
        ) from cycle
    for n, stage in enumerate(route_.stages):
        late = [k for k in stage.get("after", []) if k not in keys[:n]]
        if late:
            raise _wrong(
                source, f"stage {stage['key']}: after", ", ".join(late), "stages further up in the file"
            )


def _check_stage(route_: Route, stage: dict[str, Any], source: str, keys: set[str]) -> None:
    name = f"stage {stage.get('key')}"

    def among(word: str, values: Any, allowed: set[str]) -> None:
        wrong = sorted(set(values) - allowed)
        if wrong:
            raise _wrong(source, f"{name}: {word}", ", ".join(wrong), ", ".join(sorted(allowed)))

    among("words", stage, STAGE_WORDS)
    _check_name(source, name, "key", stage.get("key"))
    _check_name(source, name, "title", stage.get("title"))
    if stage.get("passive") and (stage.get("gates") or stage.get("marks")):
        raise _wrong(source, f"{name}: passive", "gates or marks", "neither: nobody is there to answer")
    among("after", stage.get("after", []), keys)
    among("only_if", [stage["only_if"]] if "only_if" in stage else [], FACTS)
    among("repeat", [stage["repeat"]] if "repeat" in stage else [], COUNTS)
    for word in ("between", "then"):
        among(word, [stage[word]] if word in stage else [], set(route_.between))
        if word in stage and "repeat" not in stage:
            raise _wrong(source, f"{name}: {word}", stage[word], "only in a stage that repeats")
    among("cautions", stage.get("cautions", []), set(cautions()) - {"first"})
    among("marks", [stage["marks"]] if "marks" in stage else [], MARKS)
    among("once_per", [stage["once_per"]] if "once_per" in stage else [], ONCE_PER)
    if stage.get("once_per") == "commission":
        _check_once(stage, source, name)
    kinds = [wait.get("kind") for wait in stage.get("waits", [])]
    if len(set(kinds)) < len(kinds):
        raise _wrong(source, f"{name}: wait kind", ", ".join(map(str, kinds)), "one name for each wait")
    for wait in stage.get("waits", []):
        among("wait words", wait, WAIT_WORDS)
        among("wait clock", [wait["clock"]] if "clock" in wait else [], CLOCKS)
        among(
            "wait since, holds", [*wait.get("holds", []), *([wait["since"]] if "since" in wait else [])], keys
        )
        if ("clock" in wait) == ("duration" in wait):
            raise _wrong(source, f"{name}: wait", wait, "either a clock or a duration")
        for word in ("kind", "title"):
            _check_name(source, f"{name}: wait", word, wait.get(word))
        for word in ("duration", "latest"):
            if word in wait:
                parse_duration(wait[word], field=f"{name}: {word}")
    for gate in stage.get("gates", []):
        among("gate words", gate, GATE_WORDS)
        among("gate at", [gate.get("at", "")], {"start", "finish"})
        among("gate unit", [gate["unit"]] if "unit" in gate else [], UNITS)
        among("gate rule", [gate["rule"]] if "rule" in gate else [], RULES)
        if ("unit" in gate) == ("rule" in gate):
            raise _wrong(source, f"{name}: gate", gate, "either a unit or a rule")
        for word in ("key", "title"):
            _check_name(source, f"{name}: gate", word, gate.get(word))
        if gate.get("rule") == "fresh":
            among("gate of", [gate.get("of", "")], keys)
            parse_duration(gate.get("within", ""), field=f"{name}: within")
        for word in ("least", "most"):
            _check_limit(gate, word, source, name)


def _check_once(stage: dict[str, Any], source: str, name: str) -> None:
    """What is done once for all pieces asks and leaves nothing that belongs to one of them."""
    of_one = [w for w in ("repeat", "own_list", "passive", "waits", "cautions") if stage.get(w)]
    gates = [g for g in stage.get("gates", []) if g.get("rule") not in COMMISSION_RULES]
    of_one += [f"gate {g.get('key')}" for g in gates]
    if of_one:
        allowed = f"only gates with the rules {', '.join(sorted(COMMISSION_RULES))}"
        raise _wrong(source, f"{name}: once_per", ", ".join(of_one), allowed)


def _check_name(source: str, where: str, word: str, text: Any) -> None:
    """A key of a route or stage, a gate's key, a wait's kind, or a title."""
    plain = word != "key" or where.endswith("gate") or (isinstance(text, str) and KEY.fullmatch(text))
    if not (isinstance(text, str) and text.strip() and len(text) <= LONGEST[word] and plain):
        form = "small letters, digits and -, " if word == "key" else ""
        raise _wrong(source, f"{where}: {word}", text or "missing", f"{form}up to {LONGEST[word]} characters")


def _check_limit(gate: dict[str, Any], word: str, source: str, name: str) -> None:
    limit = gate.get(word)
    if limit is None or limit in LIMITS or (limit in SIZES and gate.get("unit") == "length"):
        return
    if gate.get("unit") == "length":
        parse_length(limit, unit="mm", field=f"{name}: {word}")
    elif not isinstance(limit, str) or not limit.replace(".", "", 1).lstrip("-").isdigit():
        raise _wrong(
            source, f"{name}: {word}", limit, "a number in quotes, or one of " + ", ".join(sorted(LIMITS))
        )
