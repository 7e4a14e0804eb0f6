"""The order that the README drives over HTTP really goes from client to closed, with both papers."""

import json
import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from calcs.kit.units import UNITS_PER_INCH
from shop.env import BASE_DIR
from tests.launch.running import Running
from tests.process.client import Client

pytestmark = pytest.mark.takes(43)

ASKED = r"manage\.py (calc movement [^\n]+)"


def readme_script() -> str:
    api = (BASE_DIR / "jobs" / "api" / "README.md").read_text("utf-8")
    found = re.search(r"```sh\n(.*?)```", api, flags=re.DOTALL)
    assert found, "the README has no script"
    return found.group(1)


def test_the_doors_of_the_readme_give_one_answer() -> None:
    text = (BASE_DIR / "calcs" / "README.md").read_text("utf-8")
    asked, program = (re.search(form, text, flags=re.DOTALL) for form in (ASKED, r"```python\n(.*?)```"))
    assert asked and program, "the README has no command or no program"
    commands = [["manage.py", *shlex.split(asked[1]), "--json"], ["-c", program[1]]]
    told, printed = (
        subprocess.run([sys.executable, *each], cwd=BASE_DIR, capture_output=True, text=True, check=True)
        for each in commands
    )
    change = json.loads(told.stdout)["result"]["change_len"]["value"]
    assert change / UNITS_PER_INCH == float(printed.stdout)


def test_the_order_of_the_readme_goes_from_client_to_closed(
    tmp_path: Path, service: Running, client: Client
) -> None:
    script = tmp_path / "order.sh"
    script.write_text(readme_script(), "utf-8")
    env = {**os.environ, "TOKEN": client.token, "SHOP": f"http://127.0.0.1:{service.port}"}
    done = subprocess.run(
        ["bash", str(script)], cwd=tmp_path, env=env, capture_output=True, text=True, timeout=240
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == "closed"
    assert "too early: refused" in done.stdout
    papers = {p["kind"]: p for p in client.get("papers/")["results"]}
    invoice = text_of(tmp_path / f"{papers['invoice']['number']}.pdf")
    checklist = text_of(tmp_path / f"{papers['delivery-checklist']['number']}.pdf")
    sums = papers["invoice"]["invoice"]
    # 3200.00 at 6.25 % is 200.00 tax; a deposit of 1600.00 leaves 1800.00: worked by hand
    worked = {"net": "3200.00", "tax": "200.00", "total": "3400.00", "due": "1800.00"}
    assert {name: sums[name] for name in worked} == worked
    for figure in ("3,200.00", "200.00", "3,400.00", "1,800.00"):
        assert figure in invoice
    assert "Table top" in checklist and "7.4 %" in checklist


def text_of(path: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(path).pages)
