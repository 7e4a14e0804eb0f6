"""A log of many commissions, all like one that was worked through; and the memory that a rebuild takes."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter
from typing import Any

import django

KEYS = ("client", "wait", "task", "payment")
"""Members of payloads that name a row by the number of the event that made it."""


def worked_through() -> None:
    """Take a piece to its end, with its waits and safety tasks."""
    from tests.shop_fixtures import QUICK, Work, an_owner, quick_sheets

    work = Work(an_owner())
    quick_sheets(work.call())
    piece = work.accepted(**QUICK)
    work.do_until(piece, "wrap")


def grow(count: int) -> None:
    """Add copies of the last commission's events until the log holds this many."""
    from jobs.models import Event, LogHead

    story = list(Event.objects.order_by("seq"))
    first = next(n for n, event in enumerate(story) if event.kind == "client_added")
    told = story[first:]
    head = LogHead.objects.get()
    while head.seq < count:
        Event.objects.add(list(copied(told, head)))
    head.save()


def copied(told: list[Any], head: Any) -> Iterator[Any]:
    """Yield these events again with later numbers, another commission and other rows."""
    from jobs.core.canonical_json import dumps
    from jobs.log.commands import event_hash
    from jobs.models import Event
    from jobs.models.bases import ROWS_PER_EVENT

    later = head.seq + 1 - told[0].seq
    number = next(event.data["number"] for event in told if event.kind == "commission_opened")
    other = f"{number[:4]}-{later}"
    for event in told:
        data = json.loads(event.body.replace(number, other))
        ours = {name: data[name] for name in KEYS if isinstance(data.get(name), int)}
        data |= {name: key + later * ROWS_PER_EVENT for name, key in ours.items()}
        columns = {f.attname: getattr(event, f.attname) for f in Event._meta.concrete_fields}
        fresh = Event(**columns | {"seq": head.seq + 1, "body": dumps(data), "prev_hash": head.hash})
        fresh.stream = event.stream.replace(number, other)
        fresh.hash = event_hash(fresh)
        head.seq, head.hash = fresh.seq, fresh.hash
        yield fresh


def main(work: str, count: str) -> None:
    """Write the log, or rebuild from it and print the peak of memory [MB] and the events a second."""
    django.setup()
    from django.core.management import call_command

    from jobs.log.rebuild import rebuild

    if work == "grow":
        call_command("migrate", verbosity=0)
        worked_through()
        grow(int(count))
        return
    begun = perf_counter()
    done = rebuild()
    print(json.dumps({"events": done, "peak_mb": peak_mb(), "events_s": done / (perf_counter() - begun)}))


def peak_mb() -> float:
    """Return the peak of this program's memory; that of ``getrusage`` counts the process that started it."""
    status = Path("/proc/self/status").read_text()
    return int(status.partition("VmHWM:")[2].split()[0]) / 1024


if __name__ == "__main__":
    main(*sys.argv[1:])
