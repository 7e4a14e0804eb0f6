"""Why planned work stands where it stands, in words."""

from django.utils.translation import gettext as _

from jobs.domain.planning.published import WHY


def why_words(key: str, about: str) -> str:
    """Return why, as a clause; empty where the plan says nothing of it."""
    return _(WHY[key]) % {"about": about} if key in WHY else ""
