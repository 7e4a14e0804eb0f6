"""The solver in a separate process, which may be slow, take memory or be killed without harm.

The process gets its question as one pickle, and writes each better plan and at last the answer as further
ones. What it wrote before it died counts.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO

from calcs.kit.errors import CalcError
from calcs.planning.answers import GivesWay, Improved, Met
from calcs.planning.problem import Plan, Problem

BASE = Path(__file__).resolve().parents[2]
GRACE_S = 5.0
"""How much longer than asked the process may live: it loads the solver, and ends a run not at once."""
NICER = 10
BETTER, ANSWER, REFUSED = "better", "answer", "refused"


def improve_apart(
    problem: Problem,
    plan: Plan | None,
    *,
    seconds: float,
    workers: int = 2,
    near: Mapping[str, int] | None = None,
    started: Callable[[int], None] | None = None,
) -> Plan | None:
    """Return a better plan, or None if none was found in this time; whatever ends the process.

    ``started`` hears its id. Otherwise as ``solver.improve``.
    """
    asked = {"plan": plan, "seconds": seconds, "workers": workers, "near": near}
    best = None
    for kind, said in _told("improve", problem, asked, seconds=seconds, started=started):
        if kind == BETTER:
            best = said
        elif isinstance(said, Improved) and plan is None:
            best = said.plan
    return best


def cannot_be_met_apart(
    problem: Problem,
    job: str,
    due: int,
    *,
    kept: Iterable[str] = (),
    seconds: float,
    plan: Plan | None = None,
) -> Met:
    """Return the answer of ``giving_way.cannot_be_met``; unknown if the process ends without one."""
    asked = {"job": job, "due": due, "kept": tuple(kept), "seconds": seconds, "plan": plan}
    said = _answer("cannot_be_met", problem, asked, seconds=seconds)
    return said if isinstance(said, Met) else Met(possible=None)


def what_gives_way_apart(
    problem: Problem,
    job: str,
    due: int,
    *,
    kept: Iterable[str] = (),
    changes: Mapping[str, Problem] | None = None,
    seconds: float,
    plan: Plan | None = None,
) -> GivesWay:
    """Return the answer of ``giving_way.what_gives_way``; unknown if the process ends without one."""
    asked = {
        "job": job,
        "due": due,
        "kept": tuple(kept),
        "changes": changes,
        "seconds": seconds,
        "plan": plan,
    }
    said = _answer("what_gives_way", problem, asked, seconds=seconds)
    return said if isinstance(said, GivesWay) else GivesWay(met=Met(possible=None))


def _answer(question: str, problem: Problem, asked: Mapping[str, Any], *, seconds: float) -> Any:
    told = [said for kind, said in _told(question, problem, asked, seconds=seconds) if kind == ANSWER]
    return told[-1] if told else None


def _told(
    question: str,
    problem: Problem,
    asked: Mapping[str, Any],
    *,
    seconds: float,
    started: Callable[[int], None] | None = None,
) -> Iterator[tuple[str, Any]]:
    """Yield what the process says until it ends, which it must soon after the time is over."""
    command = [sys.executable, "-m", "calcs.planning.solver_process"]
    with subprocess.Popen(
        command, cwd=BASE, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as child:
        if started:
            started(child.pid)
        try:
            said, _ = child.communicate(
                pickle.dumps((question, problem, dict(asked))), timeout=seconds + GRACE_S
            )
        except subprocess.TimeoutExpired:
            child.kill()
            said, _ = child.communicate()
    for kind, value in frames(BytesIO(said)):
        if kind == REFUSED:
            raise value
        yield kind, value


def frames(stream: BinaryIO) -> Iterator[tuple[str, Any]]:
    """Yield the pickles of a stream up to one that was cut off."""
    while True:
        try:
            yield pickle.load(stream)
        except (EOFError, pickle.UnpicklingError):
            return


def main() -> None:
    """Answer the question on standard input; end when whoever asked is gone."""
    from calcs.planning.giving_way import cannot_be_met, what_gives_way
    from calcs.planning.solver import improve

    os.nice(NICER)
    parent, out = os.getppid(), sys.stdout.buffer

    def say(kind: str, value: object) -> None:
        pickle.dump((kind, value), out)
        out.flush()

    question, problem, asked = pickle.load(sys.stdin.buffer)
    asked["stop"] = lambda: os.getppid() != parent
    if question == "improve":
        asked["on_better"] = lambda plan: say(BETTER, plan)
    functions: dict[str, Callable[..., object]] = {
        "improve": improve,
        "cannot_be_met": cannot_be_met,
        "what_gives_way": what_gives_way,
    }
    try:
        say(ANSWER, functions[question](problem, **asked))
    except CalcError as refused:
        say(REFUSED, refused)


if __name__ == "__main__":
    main()
