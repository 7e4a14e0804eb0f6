"""Every page says everything in the language of the shop; what stays in English is data, and is listed."""

from collections.abc import Iterator
from dataclasses import asdict
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management.commands.makemessages import TranslatableFile
from django.template import engines
from django.utils import translation

from calcs.materials.product_sheets import finish_classes, glue_classes
from calcs.materials.species import species_list
from jobs.core.countries import COUNTRIES
from jobs.core.units import Units
from jobs.domain.billing.prices import usual_tax
from jobs.domain.quoting.draft_prices import proposed_lines
from jobs.domain.quoting.proposals import Asked
from jobs.domain.reminders.kinds import KINDS
from jobs.domain.reminders.kinds.base import ReminderKind
from jobs.domain.routes import all_routes
from jobs.domain.routes.schema import cautions
from jobs.domain.stages.route_edits import PLACES
from jobs.management.commands.makemessages import Command
from jobs.models import Commission, Person
from jobs.web.kit.stored_translations import CHOSEN, LABELS, SPELLED, STANDINGS, THINGS
from shop.settings import BASE_DIR
from tests.shop_fixtures import NOON
from tests.web.every_page import a_whole_shop, pages
from tests.web.other_language import (
    LANGUAGE,
    Known,
    every_text,
    spoken_by,
    stored,
    texts,
    untranslated,
    write_catalogue,
)
from tests.web.pages import Pages

pytestmark = pytest.mark.takes(20)

UNITS = "in mm ft bf kg lb min h d s m m² m³ µm g mL L MB GB °F °C F C kPa MPa N psi lbf fl oz RH to"
NAMES = "USD EUR PDF CSV A4 letter owner maker Ada AL"
DAYS = (
    "Mon Tue Wed Thu Fri Sat Sun Monday Tuesday Wednesday Thursday Friday Saturday Sunday Jan Feb Mar Apr May"
    " Jun Jul Aug Sep Oct Nov Dec January February March April June July August September October November"
    " December"
)
"""Django's own catalogue has the days and months of a real language."""

HARDWARE = ("Steel channel", "long", "Bolt with washer and threaded insert", "Discs")
"""Names on the shopping list, by which a supply on the shelf is matched."""


@pytest.fixture
def other_language(settings: Any, tmp_path: Path) -> Iterator[None]:
    write_catalogue(tmp_path)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = [(LANGUAGE, LANGUAGE)]
    _forget_templates()
    with translation.override(LANGUAGE):
        yield
    _forget_templates()


def _forget_templates() -> None:
    """Reset the templates: one that was read has the messages in its arguments already."""
    for loader in engines["django"].engine.template_loaders:
        loader.reset()


def known() -> Known:
    """Return what is data: the shop's texts, routes, products, species, countries, words of calculations.

    Calculations know neither Django nor a language; a page shows their words unchanged.
    """
    routes = {text for route in all_routes().values() for text in texts(vars(route).values())}
    classes = [asdict(sheet) for sheet in (*glue_classes().values(), *finish_classes().values())]
    woods = {name for one in species_list() for name in (one.name, *one.aliases)}
    named = woods | set(COUNTRIES.values())
    proposed = [
        proposed_lines(one, Asked(), Units(), usual_tax(one, NOON.date()))[1]
        for one in Commission.objects.all()
    ]
    data = stored() | routes | set(texts([cautions(), *classes, *proposed])) | named
    data |= {str(one).split(" ")[0] for one in Person.objects.all()}  # a week has room for first names alone
    always = {*UNITS.split(), *NAMES.split(), *DAYS.split(), *HARDWARE}
    return Known(always | data, spoken_by(BASE_DIR / "calcs"))


@pytest.mark.usefixtures("db", "other_language")
def test_every_page_is_all_in_the_other_language():
    owner = Pages(a_whole_shop().by)
    opened = pages(owner.person)  # before what is known: the label of the wall's link is data too
    data = known()
    left: dict[str, list[str]] = {}
    for path in chain(*opened.values()):
        page = owner.http.get(path).content.decode("utf-8")
        assert f'<html lang="{LANGUAGE}">' in page, path
        if found := untranslated(page, data):
            left[path] = found
    assert left == {}


@pytest.mark.parametrize(
    "page, left",
    [
        ("<p>⟦You are <b>Ada</b> here.⟧</p>", []),
        ("<p>⟦Width⟧ wide</p>", ["wide"]),
        ('<img alt="A picture">', ["picture"]),
        ("<label>⟦Name⟧</label><p>Walnut, 12 mm</p>", []),
        ("<p>⟦1 board⟧<script>let word;</script></p>", []),
    ],
)
def test_what_is_in_no_catalogue_is_found(page: str, left: list[str]):
    assert untranslated(page, Known({"walnut", "mm"}, set())) == left


def test_every_choice_of_a_model_and_every_place_has_its_words():
    words = {*STANDINGS, *THINGS, *CHOSEN, *LABELS, *SPELLED}
    fields = [f for model in apps.get_app_config("jobs").get_models() for f in model._meta.fields]
    choices = {(str(value), str(label)) for f in fields for value, label in f.flatchoices}
    assert [both for both in sorted(choices) if not words & set(both)] == []
    assert set(PLACES) <= words


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_every_kind_of_reminder_has_its_words(kind: ReminderKind):
    """Its names, and what the bench says, are marked where its class stands."""
    words = {one for one, _many in every_text()}
    said = {kind.key, kind.title, str(getattr(kind, "on_bench", ""))} - {""}
    assert said - words == set()


def test_titles_of_calculations_are_collected_beside_the_messages_of_the_pages(monkeypatch):
    found: dict[str, list[str]] = {}
    monkeypatch.setattr(
        Command,
        "process_locale_dir",
        lambda self, place, files: found.update({place: [f.file for f in files]}),
    )
    Command().process_files(
        [TranslatableFile(".", "calcs.py", "elsewhere"), TranslatableFile(".", "jobs.py", "")]
    )
    assert found == {str(BASE_DIR / "jobs" / "locale"): ["calcs.py", "jobs.py"]}
