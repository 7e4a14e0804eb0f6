"""Every table is projected from the log, computed from it, or kept beside it for a stated reason."""

import pytest
from django.apps import apps

from jobs.models.bases import ROWS_PER_EVENT, Derived, Kept, State, row_key

MODELS = list(apps.get_app_config("jobs").get_models())


@pytest.mark.parametrize("model", MODELS, ids=lambda m: m.__name__)
def test_every_model_is_one_of_three_kinds(model):
    kinds = [kind for kind in (State, Derived, Kept) if issubclass(model, kind)]
    assert len(kinds) == 1
    if kinds == [Kept]:
        assert len(model.why_kept.split()) >= 4


@pytest.mark.parametrize("model", [m for m in MODELS if issubclass(m, State)], ids=lambda m: m.__name__)
def test_state_has_no_default_that_a_rebuild_would_not_repeat(model):
    assert type(model._meta.pk).__name__ == "BigIntegerField"
    for field in model._meta.concrete_fields:
        assert not getattr(field, "auto_now", False) and not getattr(field, "auto_now_add", False)
        assert not callable(field.default) or field.default in (dict, list) or not field.has_default()


def test_row_keys_tell_events_and_rows_apart():
    assert row_key(7) == 7000 and row_key(7, 999) == 7999 and row_key(8) == 8000


@pytest.mark.parametrize("n", [-1, ROWS_PER_EVENT])
def test_an_event_makes_only_so_many_rows(n):
    with pytest.raises(ValueError, match="outside 0 to 999"):
        row_key(1, n)
