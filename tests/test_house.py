"""The house rules that a machine can check: which way imports point, where the environment is read."""

import ast
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

from tests.rooms import ROOMS

BASE = Path(__file__).resolve().parent.parent
DOORS = ("jobs.api", "jobs.web")
MOST_LINES, MOST_ENTRIES, WIDEST = 300, 16, 140


def modules(*folders: str) -> Iterator[tuple[str, Path]]:
    for folder in folders:
        for path in sorted((BASE / folder).rglob("*.py")):
            if "migrations" not in path.parts:
                name = ".".join(path.relative_to(BASE).with_suffix("").parts)
                yield name.removesuffix(".__init__"), path


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


@cache
def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def starts(name: str, prefixes: tuple[str, ...]) -> bool:
    return any(name == p or name.startswith(p + ".") for p in prefixes)


def test_the_walk_sees_the_house():
    names = {name for name, _ in modules("calcs", "jobs", "shop")}
    assert {
        "calcs.curing.curing",
        "jobs.log.commands",
        "jobs.domain.stages.commands",
        "shop.settings",
    } <= names


def test_calculations_know_nothing_of_the_service():
    service = ("django", "jobs", "shop", "rest_framework", "celery")
    assert (
        breaking(dict(modules("calcs")), lambda _, path: {i for i in imports(path) if starts(i, service)})
        == {}
    )


def breaking(house: Mapping[str, Path], check: Callable[[str, Path], object]) -> dict[str, object]:
    """Return what is wrong with each module, by its name; a module that keeps the rule is left out."""
    assert house
    found = {name: check(name, path) for name, path in sorted(house.items())}
    return {name: wrong for name, wrong in found.items() if wrong}


def room_of(name: str) -> int | None:
    """Return the place in the order of the innermost room of a module."""
    found = [i for i, room in enumerate(ROOMS) if starts(name, (room,))]
    return max(found, key=lambda i: len(ROOMS[i]), default=None)


def used_modules(name: str, path: Path, known: set[str]) -> set[str]:
    """Return the modules that a file imports; a package only where nothing but the package is named."""
    found = imports(path) & known
    whole = {i.rpartition(".")[0] for i in found if i.rpartition(".")[0] in known}
    named = {i for i in found if i not in whole or is_asked_itself(path, i, known)}
    return named - {name}


def is_asked_itself(path: Path, package: str, known: set[str]) -> bool:
    """Return whether the file imports from a package a name that is no module."""
    return any(
        isinstance(node, ast.ImportFrom)
        and node.module == package
        and any(f"{package}.{alias.name}" not in known for alias in node.names)
        for node in ast.walk(parsed(path))
    )


HOUSE = dict(modules("calcs", "jobs"))


def test_a_file_imports_from_its_own_room_or_from_rooms_before_it():
    def above(name: str, path: Path) -> object:
        own = room_of(name)
        if own is None and path.read_text("utf-8").strip():
            return "it has no room of tests/rooms.py"
        return {used for used in used_modules(name, path, set(HOUSE)) if room_of(used) > (own or 0)}

    assert breaking(HOUSE, above) == {}


def test_no_import_leads_back():
    graph = {name: used_modules(name, path, set(HOUSE)) for name, path in HOUSE.items()}
    TopologicalSorter(graph).prepare()


def test_pages_and_api_do_not_use_one_another():
    def other_doors(name: str, path: Path) -> object:
        others = tuple(door for door in DOORS if not starts(name, (door,)))
        return {i for i in imports(path) if starts(i, others)}

    assert breaking({name: path for name, path in HOUSE.items() if starts(name, DOORS)}, other_doors) == {}


def test_the_environment_is_read_in_the_settings_and_the_launcher_only():
    allowed = ("shop.settings", "shop.env", "shop.launch", "shop.beat", "shop.celery", "shop.wsgi")
    readers = [
        name
        for name, path in modules("calcs", "jobs", "shop")
        if not starts(name, allowed) and re.search(r"os\.(environ|getenv)", path.read_text("utf-8"))
    ]
    assert readers == []


def test_every_setting_is_described_for_contributors():
    described = (BASE / "DEVELOPERS.md").read_text("utf-8")
    read = set(re.findall(r'"(SHOP_[A-Z_]+)"', (BASE / "shop" / "settings.py").read_text("utf-8")))
    assert read
    assert {name for name in read if f"`{name}`" not in described} == set()


def names_assigned(statement: ast.stmt) -> Iterator[str]:
    """Yield each name that a statement of a module assigns, one inside a tuple as well."""
    targets = getattr(statement, "targets", None) or [getattr(statement, "target", None)]
    for target in filter(None, targets):
        yield from (node.id for node in ast.walk(target) if isinstance(node, ast.Name))


def test_each_setting_is_assigned_once():
    module = ast.parse((BASE / "shop" / "settings.py").read_text("utf-8"))
    count = Counter(name for statement in module.body for name in names_assigned(statement))
    assert {"DEBUG", "EMAIL_HOST", "CELERY_TIMEZONE"} <= set(count)
    assert [name for name, times in count.items() if times > 1] == []


def test_a_folder_can_be_taken_in_at_a_glance():
    count = Counter(str(path.parent) for path in HOUSE.values() if path.name != "__init__.py")
    assert {folder: files for folder, files in count.items() if files > MOST_ENTRIES} == {}


def test_no_line_of_a_template_is_too_wide_to_read():
    templates = [path for path in (BASE / "jobs" / "templates").rglob("*.*") if path.is_file()]
    assert len(templates) > 100
    lines = [(path, line) for path in templates for line in path.read_text("utf-8").splitlines()]
    assert [path.name for path, line in lines if len(line) > WIDEST] == []


def test_a_module_can_be_read_at_a_sitting():
    def too_long(_: str, path: Path) -> object:
        lines = len(path.read_text("utf-8").splitlines())
        return lines if lines > MOST_LINES else 0

    assert breaking(HOUSE, too_long) == {}
