"""Integrity checks of the chain, the private texts and the files.

A forgotten text is absent, which is no fault. A file is named by its hash, so an altered one is found.
"""

from dataclasses import dataclass

from jobs.core import blobs
from jobs.log.commands import all_events, verify_log
from jobs.log.private_texts import FORGOTTEN, Texts, verify_texts
from jobs.log.projections.kinds import file_of
from jobs.models import Cost, Event, Note, Paper, Picture


@dataclass(frozen=True, kw_only=True)
class Intact:
    """The verified events, the hash of the last one, and the verified texts."""

    count: int
    head_hash: str
    texts: int


def verify_all() -> Intact:
    """Verify the chain and every text that an event names; refuse at the first that differs."""
    verified = verify_log()
    return Intact(count=verified.count, head_hash=verified.head_hash, texts=verify_texts(all_events()))


def damaged_files() -> dict[str, str]:
    """Return the missing or altered files by name, each with its owner and its defect."""
    of = _owners()
    names = {*of, *(path.name for path in blobs.all_files())}
    found = {name: blobs.trouble(name) for name in sorted(names)}
    return {
        name: f"file {name} ({of.get(name, 'nothing names it')}) {trouble}"
        for name, trouble in found.items()
        if trouble
    }


def _owners() -> dict[str, str]:
    """Return, by file name, what each file is: a paper's bytes, a picture of a stage or a note."""
    pictures = list(Picture.objects.all())
    notes = list(Note.objects.exclude(picture_ref=None))
    logos = [file_of(event) for event in Event.objects.filter(kind="logo_set")]
    costs = list(Cost.objects.exclude(picture_ref=None).select_related("commission"))
    refs = [
        *(p.picture_ref for p in pictures),
        *(n.picture_ref for n in notes),
        *(c.picture_ref for c in costs),
    ]
    texts = Texts([*logos, *refs])
    named = {
        **{texts[c.picture_ref]: f"the receipt of a cost of {c.commission.number}" for c in costs},
        **{texts[logo]: "a logo of the shop" for logo in logos if logo},
        **{texts[n.picture_ref]: f"the picture of a note on {n.piece}" for n in notes},
        **{texts[p.picture_ref]: f"a picture of {p.piece or p.commission}" for p in pictures},
        **{p.file_sha256: p.number for p in Paper.objects.exclude(file_sha256="")},
    }
    named.pop(FORGOTTEN, None)
    return named
