"""A shop with two slow glues on its shelf."""

import pytest

from jobs.domain.workshop.commands import set_sheet
from tests.domain.climate.waits import EPOXY, PVA
from tests.shop_fixtures import Work


@pytest.fixture
def work(work: Work) -> Work:
    set_sheet(work.call(), kind="glue", key="slow-epoxy", data=EPOXY)
    set_sheet(work.call(), kind="glue", key="slow-pva", data=PVA)
    return work
