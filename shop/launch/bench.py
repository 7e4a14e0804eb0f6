"""``manage.py bench``: speed as ratios to baselines that are measured in the same run."""

import os
import subprocess
import sys

from shop.env import BASE_DIR
from shop.launch import test, venv


def main(arguments: list[str]) -> int:
    venv.enter(["bench", *arguments], requirements=venv.TEST)
    names = ["-o", "python_files=bench_*.py", "-o", "python_functions=bench_*"]
    command = [sys.executable, "-m", "pytest", "-q", "-s", *names, *arguments, "tests/benchmarks"]
    code = subprocess.run(command, cwd=BASE_DIR).returncode
    with test.postgres() as url:
        if url:
            print("\nOn PostgreSQL, what is marked so:")
            given = {**os.environ, "SHOP_TEST_DATABASE_URL": url}
            on_it = subprocess.run([*command, "-m", "both_databases"], cwd=BASE_DIR, env=given).returncode
            code = test.failed([code, on_it])
    return code
