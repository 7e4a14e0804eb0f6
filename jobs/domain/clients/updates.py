"""Client updates and clients' questions."""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from typing import Any

from jobs.core.errors import AlreadyDone, Invalid
from jobs.domain import lookups
from jobs.domain.checks import at_most, has_words, refuse_if_forgotten
from jobs.log.commands import CommandTransaction, command
from jobs.log.outbox import mail_standing
from jobs.log.private_texts import FORGOTTEN, Texts, read, refs_of, store_private_text
from jobs.models import Client, ClientQuestion, ClientUpdate, Commission, OutboxMessage, Picture
from jobs.models.bases import row_key

SEND_UPDATE = "send update"
"""The outbox message that mails an update; its subject is the update's key."""
CLIENT = "client:"
"""Prefix of an actor who is a client, followed by the client's key."""
LONGEST_WORDS = 4000
LONGEST_QUESTION = 2000
MOST_PICTURES = 8
MOST_OPEN, MOST_IN_A_DAY = 10, 10
"""Limits for one commission: unanswered questions, and questions within a day."""
DAY = timedelta(days=1)


def client_actor(client: Client) -> str:
    return f"{CLIENT}{client.id}"


@command
def tell_client(
    tx: CommandTransaction,
    *,
    commission: str,
    words: str,
    pictures: Sequence[int] = (),
    answers: Sequence[int] = (),
) -> None:
    """Add an update to the client's diary, and mail it where an address is known.

    It may answer open questions.
    """
    found = lookups.commission(commission)
    tx.check_version(found.version, what=f"commission {commission}")
    tell(tx, found, words, pictures=pictures, answers=answers)


def tell(
    tx: CommandTransaction,
    found: Commission,
    words: str,
    *,
    pictures: Sequence[int] = (),
    answers: Sequence[int] = (),
) -> None:
    """Add an update as `tell_client` does. Called by other commands."""
    refuse_if_forgotten(found.client)
    has_words(words, "an update needs words", field="words", allowed="a sentence or more")
    _check_pictures(tx, found, pictures)
    for key in answers:
        _open_question(found, key)
    by_mail = read(found.client.email_ref) not in ("", FORGOTTEN)
    event = tx.append(
        "client_told",
        f"commission:{found.number}",
        {
            "commission": found.number,
            "words": store_private_text(words, field="words", longest=LONGEST_WORDS),
            "pictures": list(dict.fromkeys(pictures)),
            "answers": list(dict.fromkeys(answers)),
            "by_mail": by_mail,
        },
    )
    if by_mail:
        tx.effect(SEND_UPDATE, str(row_key(event.seq)))
    else:
        tx.notices.append("no e-mail address is known: the update shows only in the client's diary")


@command
def ask_shop(tx: CommandTransaction, *, commission: str, words: str) -> None:
    """Record a question of the client from the client's page."""
    found = lookups.commission(commission)
    has_words(words, "nothing was asked", field="words", allowed="a sentence or more")
    asked = ClientQuestion.objects.filter(commission=found)
    lately = asked.filter(asked_at__gt=tx.call.now - DAY).count()
    if lately >= MOST_IN_A_DAY or asked.filter(settled_at=None).count() >= MOST_OPEN:
        says = "so many questions are with the shop already; they will be answered first"
        allowed = f"up to {MOST_IN_A_DAY} in a day and {MOST_OPEN} open ones"
        raise Invalid(says, field="words", value=lately, allowed=allowed)
    kept = store_private_text(words, field="words", longest=LONGEST_QUESTION)
    tx.append("client_asked", f"commission:{commission}", {"commission": commission, "words": kept})
    tx.tell_now()


@command
def settle_question(tx: CommandTransaction, *, question: int, how: str = "") -> None:
    """Settle a question without an update: answered by telephone, or not at all."""
    asked = ClientQuestion.objects.filter(id=question).select_related("commission")
    found = lookups.existing(asked, "question", question)
    _open_question(found.commission, question)
    number = found.commission.number
    tx.append(
        "question_settled",
        f"commission:{number}",
        {
            "commission": number,
            "question": question,
            "how": store_private_text(how, field="how", longest=LONGEST_WORDS),
        },
    )


def _open_question(commission: Commission, key: int) -> None:
    asked = ClientQuestion.objects.filter(id=key, commission=commission)
    found = lookups.existing(asked, "question", key, "there is no such question on this commission")
    if found.settled_at:
        raise AlreadyDone("this question is settled", field="question", value=key, allowed="an open one")


def _check_pictures(tx: CommandTransaction, commission: Commission, pictures: Sequence[int]) -> None:
    """Refuse pictures of other commissions, and pictures of the owner's stages to a maker."""
    at_most(len(set(pictures)), MOST_PICTURES, "too many pictures", field="pictures")
    chosen = Picture.objects.filter(commission=commission.number, removed_at=None, id__in=list(pictures))
    known = dict(chosen.values_list("id", "owner_only"))
    for key in pictures:
        if key not in known:
            says, allowed = "no such picture on this commission", "its own pictures"
            raise Invalid(says, field="pictures", value=key, allowed=allowed)
    if any(known.values()):
        tx.require_owner("this picture")


def update_views(updates: Iterable[ClientUpdate]) -> list[dict[str, Any]]:
    """Return updates, each with the state of its mail."""
    updates = list(updates)
    texts = Texts(refs_of(updates))
    keys = [str(u.id) for u in updates if u.by_mail]
    sending = {e.subject: e for e in OutboxMessage.objects.filter(kind=SEND_UPDATE, subject__in=keys)}
    return [
        {
            "id": u.id,
            "words": texts[u.words_ref],
            "pictures": u.pictures,
            "told_at": u.told_at,
            "told_by": u.told_by,
            "mail": mail_standing(sending.get(str(u.id))) if u.by_mail else "none",
            "trouble": sending[str(u.id)].error if str(u.id) in sending else "",
        }
        for u in updates
    ]


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
    """Return the questions of one commission, the newest first."""
    return question_views(commission.questions.select_related("commission").order_by("-asked_at", "-id"))


def open_questions() -> list[dict[str, Any]]:
    """Return the questions that wait for an answer, the oldest first."""
    return question_views(ClientQuestion.objects.filter(settled_at=None).select_related("commission"))


def the_update(key: int) -> dict[str, Any]:
    return update_views([lookups.existing(ClientUpdate.objects.filter(id=key), "update", key)])[0]


def the_question(key: int) -> ClientQuestion:
    asked = ClientQuestion.objects.select_related("commission").filter(id=key)
    return lookups.existing(asked, "question", key)


def pictures_of(updates: Iterable[ClientUpdate]) -> dict[int, Picture]:
    """Return the chosen pictures of these updates, without removed and forgotten ones."""
    chosen = {key for update in updates for key in update.pictures}
    found = Picture.objects.filter(id__in=chosen, removed_at=None) if chosen else []
    names = Texts([p.picture_ref for p in found])
    return {p.id: p for p in found if names[p.picture_ref] != FORGOTTEN}
