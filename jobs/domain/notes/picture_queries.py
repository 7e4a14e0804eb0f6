"""Views of pictures."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, TypedDict

from django.db.models import QuerySet

from jobs.core.errors import Forbidden, NotFound
from jobs.domain.lookups import existing
from jobs.log.private_texts import FORGOTTEN, read, text_of
from jobs.models import Person, Picture


class Worded(TypedDict):
    """The columns that ``with_words`` adds to a picture."""

    words: str


if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    WordedPicture = WithAnnotations[Picture, Worded]
else:
    WordedPicture = Picture  # mypy alone knows the type with the words


def pictures_of(pieces: Iterable[str], person: Person, *, stage: str = "") -> QuerySet[WordedPicture]:
    """Return the pictures of pieces, or of one of their stages, that this person may see, oldest first."""
    found = with_words().filter(piece__in=list(pieces), removed_at=None)
    if stage:
        found = found.filter(stage=stage)
    return found if person.is_owner else found.filter(owner_only=False)


def pictures_of_commission(commission: str, person: Person) -> QuerySet[WordedPicture]:
    """Return every picture of a commission that this person may see: what was asked for, and the work."""
    found = with_words().filter(commission=commission, removed_at=None)
    return found if person.is_owner else found.filter(owner_only=False)


def with_words() -> QuerySet[WordedPicture]:
    """Return a query of pictures, each with its words."""
    return Picture.objects.annotate(words=text_of("words_ref"))


def picture_views(pictures: Iterable[WordedPicture]) -> list[dict[str, Any]]:
    """Return the data of each picture ``with_words``; the file has an address to itself."""
    return [
        {
            "id": p.id,
            "commission": p.commission,
            "piece": p.piece,
            "stage": p.stage,
            "words": p.words,
            "taken_at": p.taken_at,
            "taken_by": p.taken_by,
        }
        for p in pictures
    ]


def the_picture(key: int, person: Person) -> WordedPicture:
    """Return one picture; refuse an owner's picture to a maker."""
    found = existing(with_words().filter(id=key, removed_at=None), "picture", key)
    if found.owner_only and not person.is_owner:
        raise Forbidden("this picture is the owner's", field="picture", value=key)
    return found


def file_of(picture: Picture) -> str:
    """Return the name of the picture's file; refuse where it was forgotten."""
    name = read(picture.picture_ref)
    if name == FORGOTTEN:
        raise NotFound("this picture was forgotten", field="picture", value=picture.id)
    return name
