"""Pictures as the doors show them."""

from collections.abc import Iterable
from typing import Any

from django.db.models import QuerySet

from jobs.core.errors import Forbidden, NotFound
from jobs.log.private_texts import FORGOTTEN, read, text_of
from jobs.models import Person, Picture


def pictures_of(pieces: Iterable[str], person: Person, *, stage: str = "") -> QuerySet[Picture]:
    """Pictures of these pieces, or of one stage of theirs, that this person may see, oldest first."""
    found = with_words().filter(piece__in=list(pieces), removed_at=None)
    if stage:
        found = found.filter(stage=stage)
    return found if person.is_owner else found.filter(owner_only=False)


def with_words() -> QuerySet[Picture]:
    """Pictures, each with its words."""
    return Picture.objects.annotate(words=text_of("words_ref"))


def picture_views(pictures: Iterable[Picture]) -> list[dict[str, Any]]:
    """What is told of each picture ``with_words``; the picture itself has its own address."""
    return [
        {
            "id": p.id,
            "piece": p.piece,
            "stage": p.stage,
            "words": p.words,
            "taken_at": p.taken_at,
            "taken_by": p.taken_by,
        }
        for p in pictures
    ]


def the_picture(key: int, person: Person) -> Picture:
    """One picture, where it is for this person."""
    found = with_words().filter(id=key, removed_at=None).first()
    if found is None:
        raise NotFound("there is no such picture", field="picture", value=key)
    if found.owner_only and not person.is_owner:
        raise Forbidden("this picture is the owner's", field="picture", value=key)
    return found


def file_of(picture: Picture) -> str:
    """The name of its file; refused where it was forgotten."""
    name = read(picture.picture_ref)
    if name == FORGOTTEN:
        raise NotFound("this picture was forgotten", field="picture", value=picture.id)
    return name
