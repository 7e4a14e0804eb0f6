"""Which benchmarks a command line names."""

import subprocess
import sys

from shop.env import BASE_DIR
from shop.launch.bench import FOLDER, chosen


def test_without_a_name_every_benchmark_is_run():
    files, rest = chosen(["-k", "calcs"])
    assert FOLDER / "bench_calcs.py" in files and FOLDER / "bench_clock.py" in files
    assert rest == ["-k", "calcs"]


def test_a_name_chooses_the_files_that_begin_with_it():
    files, rest = chosen(["calcs", "-x"])
    assert (files, rest) == ([FOLDER / "bench_calcs.py"], ["-x"])


def test_an_unknown_name_is_refused_with_the_names_there_are():
    command = [sys.executable, "manage.py", "bench", "speed"]
    refused = subprocess.run(command, cwd=BASE_DIR, capture_output=True, text=True)
    assert refused.returncode == 2
    assert "No benchmark is called 'speed'; there are: calcs, " in refused.stderr
