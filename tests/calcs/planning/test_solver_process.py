"""The solver in a separate process: its answers, its death, its memory."""

import os
import pickle
import signal
import subprocess
import sys
import threading
from io import BytesIO

import pytest

from calcs.kit.errors import Unknown
from calcs.planning.checker import faults
from calcs.planning.due_date_plan import due_date_plan
from calcs.planning.problem import Plan, value
from calcs.planning.solver_process import cannot_be_met_apart, frames, improve_apart, what_gives_way_apart
from shop.env import BASE_DIR
from tests.benchmarks.planning.instances import shop
from tests.calcs.planning.test_giving_way import one_clamp


def test_whoever_asks_does_not_load_the_solver():
    code = "import sys, calcs.planning.solver_process; sys.exit('ortools' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], cwd=BASE_DIR).returncode == 0


def test_a_process_killed_in_mid_run_leaves_the_plan_as_good_as_it_was():
    problem = shop("m2_s2").problem
    begun = due_date_plan(problem)

    def kill_soon(pid: int) -> None:
        threading.Timer(4, os.kill, (pid, signal.SIGKILL)).start()

    better: Plan | None = improve_apart(problem, begun, seconds=60, started=kill_soon)
    assert better is not None, "it said nothing before it died"
    assert value(problem, better) < value(problem, begun)
    assert faults(problem, better) == []


def test_a_process_killed_at_once_finds_nothing_and_harms_nothing():
    problem = one_clamp()
    plan = due_date_plan(problem)
    assert improve_apart(problem, plan, seconds=60, started=lambda pid: os.kill(pid, signal.SIGKILL)) is None


def test_answers_come_back_whole():
    problem = one_clamp()
    asked = what_gives_way_apart(problem, "two", 4, kept=["one"], seconds=20)
    assert asked.met.possible is False
    assert {(way.kind, way.key) for way in asked.ways} >= {("resource", "clamps"), ("due", "one")}


def test_a_refusal_comes_back_as_it_was_said():
    with pytest.raises(Unknown, match="job four does not exist"):
        cannot_be_met_apart(one_clamp(), "four", 4, seconds=10)


def test_what_was_cut_off_is_left_out():
    whole = pickle.dumps(("better", 1))
    assert list(frames(BytesIO(whole + whole[:-3]))) == [("better", 1)]
