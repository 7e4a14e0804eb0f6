"""What a person typed is stored beside the log, never in it, and can be erased."""

import pytest

from jobs.core import refs
from jobs.core.errors import Invalid
from jobs.domain.overviews.bench import bench
from jobs.domain.overviews.commission import client_views, commission_rows, commission_view
from jobs.log import private_texts
from jobs.log.commands import verify_log
from jobs.log.rebuild import compare
from jobs.log.scratch_database import state_models
from jobs.models import Client, Commission, Event, Person, PrivateText
from tests.stories import PERSONAL, a_long_story

pytestmark = pytest.mark.django_db


def everything(model):
    return "\n".join(str(row) for row in model._default_manager.values())


def test_nothing_personal_stands_in_the_log_or_in_state():
    a_long_story()
    log = everything(Event)
    state = {m.__name__: everything(m) for m in state_models()}
    names = [p.name for p in Person.objects.all()] + [p.username for p in Person.objects.all()]
    for what in [*PERSONAL.values(), *(n for n in names if n not in ("owner", "maker"))]:
        assert what not in log
        assert [name for name, rows in state.items() if what in rows] == []
    kept = everything(PrivateText)
    assert [what for what in PERSONAL.values() if what not in kept] == []


def test_every_text_is_held_in_the_log_by_its_salted_hash():
    a_long_story()
    log = everything(Event)
    for text in PrivateText.objects.all():
        assert text.sha256 == private_texts.digest(text.salt, text.text)
        assert str(text.id) in log and text.sha256 in log and text.salt not in log


def test_with_every_text_forgotten_all_is_still_shown():
    work = a_long_story()
    PrivateText.objects.all().delete()
    verify_log()
    assert compare() == []
    commissions = list(Commission.objects.select_related("client"))
    for commission in commissions:
        assert commission_view(commission, now=work.now, with_money=True)["title"] == "(forgotten)"
    assert {row["title"] for row in commission_rows(commissions, now=work.now)} == {"(forgotten)"}
    assert client_views(list(Client.objects.all()))[0]["name"] == "(forgotten)"
    assert bench(now=work.now, person=work.by.id)["waiting"]


class TestKeep:
    @pytest.mark.parametrize("text", [None, "", " \n\t"])
    def test_nothing_is_kept_of_nothing(self, text):
        assert (
            private_texts.store_private_text(text) is None
            and refs.ref(None) is None
            and private_texts.read(None) == ""
        )

    def test_the_same_text_twice_tells_nothing(self):
        one, two = (
            private_texts.store_private_text("Orla Fenwick"),
            private_texts.store_private_text("Orla Fenwick"),
        )
        assert one["private"] != two["private"] and one["sha256"] != two["sha256"]

    def test_it_is_read_back(self):
        kept = private_texts.store_private_text("  12 Harbour Steps\nAldersey ")
        assert private_texts.read(refs.ref(kept)) == "12 Harbour Steps\nAldersey"

    @pytest.mark.parametrize("text", ["x" * 20_001, "a\x00", "\ud800"])
    def test_what_cannot_be_kept_is_refused(self, text):
        with pytest.raises(Invalid):
            private_texts.store_private_text(text, field="notes")
        assert not PrivateText.objects.exists()
