"""Is everything still what the log says: the chain, the texts beside it, the files.

A forgotten text is absent, and nobody misses it. A file is known by its hash, so an altered one is found.
"""

from dataclasses import dataclass

from jobs.core import blobs
from jobs.log.commands import all_events, verify_log
from jobs.log.private_texts import FORGOTTEN, Texts, verify_texts
from jobs.models import Note, Paper, Picture


@dataclass(frozen=True, kw_only=True)
class Intact:
    """What was verified: so many events with this end, so many texts."""

    count: int
    head_hash: str
    texts: int


def verify_all() -> Intact:
    """Verify the chain and every text that an event names; the first that differs is named."""
    verified = verify_log()
    return Intact(count=verified.count, head_hash=verified.head_hash, texts=verify_texts(all_events()))


def damaged_files() -> dict[str, str]:
    """Return the files that are missing or altered by their names, each with what it is and what is wrong."""
    of = _owners()
    names = {*of, *(path.name for path in blobs.all_files())}
    found = {name: blobs.trouble(name) for name in sorted(names)}
    return {
        name: f"file {name} ({of.get(name, 'nothing names it')}) {trouble}"
        for name, trouble in found.items()
        if trouble
    }


def _owners() -> dict[str, str]:
    """Return what each file is, by its name: a paper's bytes, a picture of a stage or a note."""
    pictures = list(Picture.objects.all())
    notes = list(Note.objects.exclude(picture_ref=None))
    texts = Texts([*(p.picture_ref for p in pictures), *(n.picture_ref for n in notes)])
    named = {
        **{texts[n.picture_ref]: f"the picture of a note on {n.piece}" for n in notes},
        **{texts[p.picture_ref]: f"a picture of {p.piece}" for p in pictures},
        **{p.file_sha256: p.number for p in Paper.objects.exclude(file_sha256="")},
    }
    named.pop(FORGOTTEN, None)
    return named
