"""Product sheets: whose they are."""

import pytest

from jobs.core.errors import Forbidden
from jobs.domain.workshop.commands import set_sheet
from jobs.models import Sheet
from tests.shop_fixtures import QUICK_GLUE, Work, a_maker

pytestmark = pytest.mark.django_db


def test_a_maker_sets_no_sheet(work):
    before = Sheet.objects.count()
    maker = Work(a_maker(), now=work.now)
    with pytest.raises(Forbidden, match="a product sheet is the owner's"):
        set_sheet(maker.call(), kind="glue", key="quick-glue", data=QUICK_GLUE)
    assert Sheet.objects.count() == before
