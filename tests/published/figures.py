"""What a run of the published checks compared, and the table of the README that is made of it.

``python3 manage.py test --published`` runs this file.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable
from dataclasses import asdict, astuple, dataclass
from decimal import Decimal
from pathlib import Path

from calcs.catalogue import CALCULATIONS

HERE = Path(__file__).parent
README = HERE / "README.md"
BEGIN, END = "<!-- published checks -->", "<!-- end of published checks -->"
ALONE = ["-p", "no:cacheprovider", "-p", "no:django", "--confcutdir", str(HERE)]
HEAD = (
    "calculation", "source", "worked out by our code", "kept from the print", "largest deviation",
    "of what is allowed", "of the trade, no source",
)  # fmt: skip
COMPUTED, TABLE = KINDS = ("computed", "table")
"""What is compared: a figure that our code works out, or one of its tables with the print it comes from."""
WANTED = 3
"""Figures worked out by our code that each calculation should have beside print."""
OUTSIDE = {"invoices": "sums of an invoice, which no calculation asks for"}
"""Checks of functions that no calculation reaches, by the name of their rows."""
PRACTICE = "practice"
SEEN = {
    "read": "read",
    "mixed": "partly from memory",
    "memory": "from memory",
    "computed": "worked out apart",
}
"""How a printed figure was seen, by the provenance of its row; `PRACTICE` is in no print."""


@dataclass(frozen=True, kw_only=True)
class Check:
    """One of our figures beside one in print: how far off it is, and how far it may be."""

    calculation: str
    kind: str
    source: str
    seen: str
    off: float
    within: float
    unit: str


@dataclass(frozen=True)
class Row:
    """All checks of one calculation against one source; figures of the trade that agree are counted apart.

    The largest deviation is that of the figures worked out by our code, where there are some.
    """

    calculation: str
    source: str
    computed: str
    kept: str
    largest: str
    share: str
    practice: str


def rows_of(checks: Iterable[Check]) -> list[Row]:
    """In the order of the catalogue, then what is outside it; a calculation that has none says so."""
    found: dict[str, dict[str, list[Check]]] = {name: {} for name in (*CALCULATIONS, *OUTSIDE)}
    for check in checks:
        found[check.calculation].setdefault(check.source, []).append(check)
    return [
        _row(name, source, compared)
        for name, sources in found.items()
        for source, compared in sorted(sources.items()) or [("common practice only", [])]
    ]


def _row(name: str, source: str, checks: list[Check]) -> Row:
    printed = in_print(checks)
    practice = str(len(checks) - len(printed) or "")
    worked = [check for check in printed if check.kind == COMPUTED]
    kept = [check for check in printed if check.kind == TABLE]
    if not printed:
        return Row(name, source, "none", "", "", "", practice)
    worst = max(
        worked or kept, key=lambda check: (check.off / check.within if check.within else 0, check.off)
    )
    return Row(
        calculation=name,
        source=source,
        computed=_seen(worked) or "none",
        kept=_seen(kept),
        largest=f"{Decimal(f'{worst.off:.2g}'):f} {worst.unit}".strip() if worst.off else "none",
        share=f"{worst.off / worst.within:.0%}".replace("%", " %") if worst.off else "0 %",
        practice=practice,
    )


def _seen(checks: Iterable[Check]) -> str:
    seen = Counter(check.seen for check in checks)
    return ", ".join(f"{seen[each]} {words}" for each, words in SEEN.items() if seen[each])


def counted(checks: Iterable[Check]) -> str:
    """Per calculation the figures that our code works out and print has, and those with fewer than wanted."""
    worked = Counter(check.calculation for check in in_print(checks) if check.kind == COMPUTED)
    few = [name for name in CALCULATIONS if worked[name] < WANTED]
    each = ", ".join(f"{name} {worked[name]}" for name in CALCULATIONS)
    return f"Worked out by our code and in print: {each}. Fewer than {WANTED}: {', '.join(few) or 'none'}."


def in_print(checks: Iterable[Check]) -> list[Check]:
    return [check for check in checks if check.seen != PRACTICE]


def run() -> list[Check]:
    """Run the published checks by themselves, without the service, and give what they compared.

    Raises
    ------
    AssertionError
        With what pytest said, if one of them fails.
    """
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "figures.json"
        command = [sys.executable, "-m", "pytest", "-q", *ALONE, "--figures", str(kept), str(HERE)]
        bare = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
        done = subprocess.run(command, cwd=HERE.parent.parent, env=bare, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        return [Check(**each) for each in json.loads(kept.read_text("utf-8"))]


def told(rows: Iterable[Row]) -> str:
    """The rows as a table of the README; a calculation is named once."""
    lines: list[tuple[str, ...]] = [HEAD, ("---",) * len(HEAD)]
    last = ""
    for row in rows:
        lines.append(("" if row.calculation == last else row.calculation, *astuple(row)[1:]))
        last = row.calculation
    return "\n".join("|" + "".join(f" {cell} |" if cell else " |" for cell in cells) for cells in lines)


def read(table: str) -> list[Row]:
    """The rows of such a table."""
    rows: list[Row] = []
    for line in [line for line in table.strip().splitlines() if line.startswith("|")][2:]:
        cells = [cell.strip() for cell in line.strip().removeprefix("|").removesuffix("|").split("|")]
        rows.append(Row(*(cells if cells[0] else [rows[-1].calculation, *cells[1:]])))
    return rows


def parts(readme: str) -> tuple[str, str, str]:
    """What stands before the table, the table, and what stands after it."""
    before, _, rest = readme.partition(BEGIN)
    table, _, after = rest.partition(END)
    return before, table, after


def write(checks: Iterable[Check], path: Path) -> None:
    path.write_text(json.dumps([asdict(check) for check in checks]), "utf-8")


def main() -> None:
    try:
        checks = run()
    except AssertionError as failed:
        sys.exit(str(failed))
    before, _, after = parts(README.read_text("utf-8"))
    README.write_text(f"{before}{BEGIN}\n{told(rows_of(checks))}\n\n{counted(checks)}\n{END}{after}", "utf-8")
    printed = in_print(checks)
    worked = sum(check.kind == COMPUTED for check in printed)
    print(
        f"{worked} figures worked out by our code agree with print, {len(printed) - worked} of our tables"
        f" with the print they come from, {len(checks) - len(printed)} with what the trade does;"
        f" the table in {README.name} is written"
    )


if __name__ == "__main__":
    main()
