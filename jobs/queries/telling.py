"""What clients were told and what they ask, as the shop sees it."""

from collections.abc import Iterable
from typing import Any

from jobs.commands.telling import SEND_UPDATE
from jobs.core.errors import NotFound
from jobs.log.private_texts import Texts, refs_of
from jobs.models import ClientQuestion, ClientUpdate, Commission, Effect


def update_views(updates: Iterable[ClientUpdate]) -> list[dict[str, Any]]:
    """Each with how its mail fared."""
    updates = list(updates)
    texts = Texts(refs_of(updates))
    keys = [str(u.id) for u in updates if u.by_mail]
    sending = {e.subject: e for e in Effect.objects.filter(kind=SEND_UPDATE, subject__in=keys)}
    return [
        {
            "id": u.id,
            "words": texts[u.words_ref],
            "pictures": u.pictures,
            "told_at": u.told_at,
            "told_by": u.told_by,
            "mail": _mail(sending.get(str(u.id))) if u.by_mail else "none",
            "trouble": sending[str(u.id)].error if str(u.id) in sending else "",
        }
        for u in updates
    ]


def _mail(effect: Effect | None) -> str:
    if effect is None:
        return "unknown"
    if effect.done_at is None:
        return "waiting"
    return "not sent" if effect.error else "sent"


def question_views(questions: Iterable[ClientQuestion]) -> list[dict[str, Any]]:
    questions = list(questions)
    texts = Texts(refs_of(questions))
    return [
        {
            "id": q.id,
            "commission": q.commission.number,
            "words": texts[q.words_ref],
            "asked_at": q.asked_at,
            "settled_at": q.settled_at,
            "settled_by": q.settled_by,
            "how": texts[q.how_ref],
            "answer": q.answer_id,
        }
        for q in questions
    ]


def questions_of(commission: Commission) -> list[dict[str, Any]]:
    """All of one commission, the newest first."""
    return question_views(commission.questions.select_related("commission").order_by("-asked_at", "-id"))


def open_questions() -> list[dict[str, Any]]:
    """All that wait for an answer, the oldest first."""
    return question_views(ClientQuestion.objects.filter(settled_at=None).select_related("commission"))


def the_update(key: int) -> dict[str, Any]:
    found = ClientUpdate.objects.filter(id=key).first()
    if found is None:
        raise NotFound("there is no such update", field="update", value=key)
    return update_views([found])[0]


def the_question(key: int) -> ClientQuestion:
    found = ClientQuestion.objects.select_related("commission").filter(id=key).first()
    if found is None:
        raise NotFound("there is no such question", field="question", value=key)
    return found
