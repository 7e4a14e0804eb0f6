"""Reminders by mail."""

import smtplib

from django.core.mail import EmailMultiAlternatives, get_connection
from django.db.models import QuerySet

from jobs.core.errors import NotSent
from jobs.domain.reminders.wording import Wording
from jobs.models import Person

REFUSED = (smtplib.SMTPRecipientsRefused, smtplib.SMTPResponseException)
"""Errors by which the mail server refuses: nothing went out."""


def reachable() -> QuerySet[Person]:
    return Person.objects.filter(is_active=True, reminders_by_mail=True).exclude(email="")


def send(person: Person, words: Wording, message_id: str) -> None:
    mail = EmailMultiAlternatives(
        subject=words.subject, body=words.text, to=[person.email],
        headers={"Message-ID": message_id, "Auto-Submitted": "auto-generated"},
    )  # fmt: skip
    mail.attach_alternative(words.html, "text/html")
    connection = get_connection()
    try:
        connection.open()
    except Exception as away:
        raise NotSent(f"{type(away).__name__}: {away}", away=True) from away
    try:
        if connection.send_messages([mail]) != 1:
            raise OSError("the mail server took nothing")
    except REFUSED as refused:
        raise NotSent(f"{type(refused).__name__}: {refused}") from refused
    finally:
        connection.close()


def secrets_of(person: Person) -> dict[str, str]:
    """Return the secrets of a person, each with the words that replace it in a stored reason."""
    return {person.email: "(their address)"}
