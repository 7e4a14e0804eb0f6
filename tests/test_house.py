"""The house rules that a machine can see: which way imports point, where the environment is read."""

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parent.parent
DOORS = (
    "jobs.api",
    "jobs.web",
    "jobs.documents",
    "jobs.worker.outbox",
    "jobs.worker.tasks",
    "jobs.management",
)
BELOW_COMMANDS = (
    "jobs.models",
    "jobs.log.commands.projections",
    "jobs.log.commands",
    "jobs.domain.reminders.projection",
    "jobs.core.upcasters",
    "jobs.core.canonical_json",
)


def modules(*folders: str) -> Iterator[tuple[str, Path]]:
    for folder in folders:
        for path in sorted((BASE / folder).rglob("*.py")):
            if "migrations" not in path.parts:
                name = ".".join(path.relative_to(BASE).with_suffix("").parts)
                yield name.removesuffix(".__init__"), path


def imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
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


@pytest.mark.parametrize("name, path", list(modules("calcs")), ids=lambda v: v if isinstance(v, str) else "")
def test_calculations_know_nothing_of_the_service(name: str, path: Path):
    wrong = {i for i in imports(path) if starts(i, ("django", "jobs", "shop", "rest_framework", "celery"))}
    assert not wrong


@pytest.mark.parametrize("name, path", list(modules("jobs")), ids=lambda v: v if isinstance(v, str) else "")
def test_imports_point_one_way(name: str, path: Path):
    used = imports(path)
    if not starts(name, DOORS):
        assert not {i for i in used if starts(i, DOORS)}, "only doors may use doors"
    for door in DOORS[:3]:  # pages and API show drafts of papers, and papers use neither
        others = tuple(d for d in ("jobs.api", "jobs.web") if d != door)
        if starts(name, (door,)):
            assert not {i for i in used if starts(i, others)}, "doors do not use one another"
    if starts(name, BELOW_COMMANDS):
        assert not {i for i in used if starts(i, ("jobs.commands", "jobs.queries"))}


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
