"""Measure how strong the tests are: change the code a little, and count how often its tests notice.

``python -m tests.mutants [MODULE…]`` takes a seeded sample of the changes of each module, runs the tests of
its room against one change at a time, and prints the share noticed with the changes that nothing noticed. The
tree is never written: as a plugin of pytest, this file replaces the module while it is imported.
"""

import ast
import importlib.abc
import importlib.util
import os
import random
import subprocess
import sys
import time
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from tempfile import TemporaryDirectory
from types import CodeType, ModuleType

BASE = Path(__file__).resolve().parent.parent
SAMPLE, SEED, LEAST = 25, 12, 0.9
"""Changes tried of each module, the seed of the sample, and the share that the tests have to notice."""
ASKED = "SHOP_TEST_MUTANT"
"""The change to make in this process, as ``path:number``."""


def tests(folder: str, *names: str) -> tuple[str, ...]:
    """Return the paths of test files, by their folder and their names."""
    return tuple(f"tests/{folder}/test_{name}.py" for name in names)


LUMBER = ("tests/calcs/lumber",)
ESTIMATES = tests(
    "domain/climate", "estimate_ranges", "squeeze_out", "set_in_the_cold", "usual_air", "wait_estimates",
    "wait_ages",
)  # fmt: skip
CURING = (*tests("calcs/curing", "hardening", "curing"), *tests("published", "cure_chart"))
READINGS = (
    *tests("api/climate", "readings"),
    *tests("domain/climate", "estimates_asked", "retention", "wait_estimates"),
)
STAGES = tests("domain/stages", "minutes", "stages", "rework")
LOG = (*tests("log", "commands", "chain", "old_logs"), *tests("api/kit", "idempotency"))
DEPOSITS = tests("domain/billing", "deposits")
ROOMS: dict[str, tuple[str, ...]] = {
    "calcs/wood/movement.py": (
        *tests("calcs/wood", "movement"), *tests("published", "wood_handbook_table_13_5"),
    ),
    "calcs/lumber/lumber.py": (*LUMBER, *tests("published", "ahec_grades")),
    "calcs/lumber/board_tally.py": LUMBER,
    "calcs/lumber/boards.py": LUMBER,
    "calcs/curing/hardening.py": CURING,
    "jobs/log/projections/stages.py": (*STAGES, *tests("web/stages", "mistakes")),
    "jobs/log/commands.py": (*LOG, *tests("web/kit", "kept")),
    "jobs/domain/climate/wait_estimates.py": (*ESTIMATES, *tests("domain/climate", "settling")),
    "jobs/domain/climate/clocked_wait.py": ESTIMATES,
    "jobs/domain/climate/readings.py": READINGS,
    "jobs/domain/stages/gates.py": (
        *tests("domain/stages", "gates", "stages", "rework"), *tests("web/stages", "stages"),
    ),
    "jobs/domain/billing/deposits.py": ("tests/domain/billing", *tests("documents", "invoice_lines")),
    "jobs/domain/billing/payments.py": (
        *tests("domain/billing", "voiding", "receivables", "papers", "orders"), *DEPOSITS,
    ),
    "jobs/domain/billing/invoices.py": (
        *DEPOSITS, *tests("domain/billing", "papers", "orders"), *tests("documents", "invoice_lines"),
    ),
    "jobs/domain/quoting/acceptance.py": (
        *tests("domain/quoting", "answers", "replays", "acceptance", "change_orders", "deposits", "quotes"),
        *DEPOSITS,
    ),
    "jobs/domain/reminders/schedule.py": tests(
        "domain/reminders", "wishes", "moved", "due", "quiet", "daily",
    ),
    "jobs/domain/reminders/kinds/commissions.py": tests("domain/reminders", "daily", "kinds"),
    "jobs/domain/reminders/delivery.py": tests("domain/reminders", "ledger", "late", "push"),
}  # fmt: skip
"""Module -> the tests of its room."""
SAME: dict[str, dict[tuple[str, str], str]] = {
    "calcs/curing/hardening.py": {
        ("found[0][1].source", "0 -> 1"): "every step of a product has the law of its class",
        ("found > spoilt_s", "Gt -> GtE"): "that two times are alike to the last bit is chance",
    },
    "jobs/domain/billing/payments.py": {},
    "jobs/domain/billing/invoices.py": {
        ("if total < 0 or", "Lt -> LtE"): "a deposit of nothing has been sorted out above",
    },
    "jobs/domain/climate/clocked_wait.py": {
        ("air=(), known=0", "0 -> 1"): "without a measurement the air deviates alike, known or expected",
        ("self._air(-1, 0)", "0 -> 1"): "only the temperature of this air is read",
        ("closes <= likely", "LtE -> Lt"): "that both fall into one second is chance; no sheet says so",
        ("not self.lag_s or not self.place", "Or -> And"): "without a lag both bounds are the air itself",
    },
    "jobs/domain/reminders/delivery.py": {
        ("sweep.seconds > LONGEST_RUN_S", "Gt -> GtE"): "a sweep takes no second to the last bit",
        ("digest[:32]", "32 -> 33"): "an id may have any length",
    },
    "jobs/domain/reminders/kinds/commissions.py": {
        ('"promise at risk"', "110 -> 111"): "the places of kinds only order them",
        ('"client not told"', "120 -> 121"): "the places of kinds only order them",
        ('"deliver tomorrow"', "140 -> 141"): "the places of kinds only order them",
    },
    "jobs/log/commands.py": {
        ("FEW = 500", "500 -> 501"): "how many events are read at once shows in memory alone",
    },
    "jobs/domain/climate/wait_estimates.py": {
        ("default=0", "0 -> 1"): "without waits no air is read",
        ("if not by_people", "without the last if"): "reason_of takes the wait's reason likewise",
        ("wait.suspect or wait.ready_s is None", "Or -> And"): "a wait begins with neither or with both",
    },
}
"""Module -> (part of the line, beginning of the change) -> why nobody can tell; these do not count."""
SWAPS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Mult: ast.Div, ast.Lt: ast.LtE, ast.Gt: ast.GtE, ast.Eq: ast.NotEq, ast.And: ast.Or,
}  # fmt: skip
SWAPS |= {new: old for old, new in SWAPS.items()}


class Mutation(ast.NodeTransformer):
    """Count the possible changes of a module, and make the one with this number."""

    def __init__(self, number: int = -1) -> None:
        self.number, self.count, self.told, self.line = number, 0, "", 0

    def _is_asked(self, node: ast.AST, told: str) -> bool:
        self.count += 1
        if self.count - 1 == self.number:
            self.line = getattr(node, "lineno", 0)
            self.told = f"line {self.line}: {told}"
        return self.count - 1 == self.number

    def _swapped(self, node: ast.AST, old: ast.AST) -> ast.AST:
        new = SWAPS.get(type(old))
        if new and self._is_asked(node, f"{type(old).__name__} -> {new.__name__} in {ast.unparse(node)}"):
            return new()
        return old

    def visit_BinOp(self, node: ast.BinOp) -> ast.AST:
        node.op = self._swapped(node, node.op)  # type: ignore[assignment]
        return self.generic_visit(node)

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        node.op = self._swapped(node, node.op)  # type: ignore[assignment]
        return self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        node.ops = [self._swapped(node, op) for op in node.ops]  # type: ignore[misc]
        return self.generic_visit(node)

    def visit_Constant(self, node: ast.Constant) -> ast.AST:
        if type(node.value) is int and self._is_asked(node, f"{node.value} -> {node.value + 1}"):
            return ast.copy_location(ast.Constant(node.value + 1), node)
        return node

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        if isinstance(node.op, ast.Not | ast.USub) and self._is_asked(
            node, f"{ast.unparse(node)} -> {ast.unparse(node.operand)}"
        ):
            return node.operand
        return self.generic_visit(node)

    def visit_Expr(self, node: ast.Expr) -> ast.AST:
        if isinstance(node.value, ast.Call) and self._is_asked(node, f"without {ast.unparse(node)}"):
            return ast.copy_location(ast.Pass(), node)
        return self.generic_visit(node)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        ifs = [n for n, each in enumerate(node.body) if isinstance(each, ast.If)]
        if ifs and self._is_asked(node.body[ifs[-1]], f"without the last if of {node.name}"):
            node.body[ifs[-1]] = ast.copy_location(ast.Pass(), node.body[ifs[-1]])
        return self.generic_visit(node)


def mutated(source: str, number: int = -1) -> tuple[ast.Module, Mutation]:
    """Return the module with the change of this number; with -1 as it is."""
    change = Mutation(number)
    tree = change.visit(ast.parse(source))
    return ast.fix_missing_locations(tree), change


class Importer(SourceFileLoader, importlib.abc.MetaPathFinder):
    """Find and load one module with one change."""

    def __init__(self, path: str, number: int) -> None:
        super().__init__(path.removesuffix(".py").replace("/", "."), str(BASE / path))
        self.number = number

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        return (
            importlib.util.spec_from_file_location(name, self.path, loader=self)
            if name == self.name
            else None
        )

    def get_code(self, fullname: str) -> CodeType:
        tree, _ = mutated(Path(self.path).read_text("utf-8"), self.number)
        return compile(tree, self.path, "exec", dont_inherit=True)


if asked := os.environ.get(ASKED):
    sys.meta_path.insert(0, Importer(asked.rpartition(":")[0], int(asked.rpartition(":")[2])))


def run(path: str, number: int, cache: str, limit_s: float | None = None) -> bool:
    """Return whether the tests of the room pass with this change; a run past its limit does not.

    The tests that noticed changes before come first: pytest keeps their names in the folder ``cache``.
    """
    command = [sys.executable, "-m", "pytest", "-p", "tests.mutants", "-x", "-q", "-o", f"cache_dir={cache}"]
    env = {**os.environ, ASKED: f"{path}:{number}"}
    try:
        done = subprocess.run(
            [*command, "--failed-first", *ROOMS[path]],
            cwd=BASE, env=env, timeout=limit_s, capture_output=True, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def changes_to_try(path: str, sample: int = SAMPLE) -> dict[int, str]:
    """Return a seeded sample of the changes of a module, in words by number, without those of ``SAME``."""
    source = (BASE / path).read_text("utf-8")
    every = range(mutated(source)[1].count)
    drawn = sorted(random.Random(f"{SEED} {path}").sample(every, min(sample, len(every))))
    told = {number: mutated(source, number)[1] for number in drawn}
    return {number: change.told for number, change in told.items() if not is_same(path, source, change)}


def is_same(path: str, source: str, change: Mutation) -> bool:
    """Return whether a change is one that nobody can tell."""
    line = source.splitlines()[change.line - 1]
    says = change.told.partition(": ")[2]
    return any(part in line and says.startswith(what) for part, what in SAME.get(path, ()))


def survivors(path: str) -> tuple[int, list[str]]:
    """Return how many changes of a module were tried, and those that its tests did not notice."""
    began = time.monotonic()
    with TemporaryDirectory() as cache:
        if not run(path, -1, cache):
            raise SystemExit(f"the tests of {path} fail without any change")
        limit_s = 30 + 3 * (time.monotonic() - began)
        tried = changes_to_try(path)
        return len(tried), [told for number, told in tried.items() if run(path, number, cache, limit_s)]


def main(paths: Sequence[str]) -> int:
    """Print the share noticed of each module; return 1 where one is below what is asked."""
    weak = False
    for path in paths or ROOMS:
        count, left = survivors(path)
        share = 1 - len(left) / count
        weak = weak or share < LEAST
        print(f"{path}: {count - len(left)} of {count} noticed, {share:.0%}", *left, sep="\n  ", flush=True)
    return int(weak)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
