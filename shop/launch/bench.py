"""``manage.py bench``: how fast it is, as ratios to baselines that are measured in the same run."""

import subprocess
import sys

from shop.env import BASE_DIR
from shop.launch import venv


def main(arguments: list[str]) -> int:
    venv.enter(["bench", *arguments], requirements=venv.TEST)
    names = ["-o", "python_files=bench_*.py", "-o", "python_functions=bench_*"]
    command = [sys.executable, "-m", "pytest", "-q", "-s", *names, *arguments, "tests/benchmarks"]
    return subprocess.run(command, cwd=BASE_DIR).returncode
