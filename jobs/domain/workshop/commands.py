"""Commands on the shop's settings and its product sheets."""

from collections.abc import Callable
from decimal import ROUND_FLOOR, Decimal
from typing import Any

from calcs.joints.joiners import joiner
from calcs.kit.errors import CalcError
from calcs.kit.length_reading import parse_length
from calcs.kit.units import inches
from calcs.materials.own_woods import WoodSheet
from calcs.wood.emc import RH_LEAST, RH_MOST
from jobs.core.canonical_json import plain
from jobs.core.colors import HEX, LEAST_CONTRAST, contrast_on_white
from jobs.core.countries import COUNTRIES
from jobs.core.errors import Invalid, ShopError
from jobs.core.parsing import CLOCK, to_decimal, to_money
from jobs.core.units import Units
from jobs.domain.books.accounts import ACCOUNTS, read_accounts
from jobs.domain.checks import at_most, check_country, check_email, no_others, one_of
from jobs.domain.papers.bank_details import read_bank_details
from jobs.domain.papers.electronic_addresses import check_phone, read_endpoint
from jobs.domain.pieces.bill_of_materials import HARDWARE, hardware
from jobs.domain.pieces.shop_changes import follow_settings, follow_shop
from jobs.domain.settings import BY_COUNTRY, DEFAULTS, SALES_TAX, VAT, profile
from jobs.domain.stock.product_sheets import SHEET_KINDS, newest, product, read_points, read_sheet
from jobs.domain.stock.woods import refuse_wood, wood_named
from jobs.domain.waits.route import RouteState
from jobs.domain.waits.waits import recalculate_wait
from jobs.domain.workshop.lists import QUOTED, read_places, read_quoted, read_thicknesses
from jobs.log.commands import CommandTransaction, command
from jobs.log.private_texts import UNSEEN, store_private_text
from jobs.log.projections.shop import PRIVATE
from jobs.models import Sheet, Wait

NUMBERS: dict[str, tuple[str, str, str]] = {
    "tax_pct": ("0", "100", "tax on a price line"),
    "deposit_pct": ("0", "100", "deposit asked for at acceptance"),
    "waste_pct": ("0", "100", "waste in buying lumber"),
    "price_per_board_foot": ("0", "10000", "price of a board foot"),
    "summer_rh_pct": (RH_LEAST, RH_MOST, "indoor humidity in the humid season"),
    "winter_rh_pct": (RH_LEAST, RH_MOST, "indoor humidity in the dry season"),
    "indoor_c": ("-10", "50", "indoor temperature"),
    "shop_c": ("-10", "50", "usual shop temperature"),
    "shop_rh_pct": ("0", "100", "usual shop humidity"),
    "invoice_due_days": ("0", "365", "days until an invoice is due"),
    "keep_papers_years": ("0", "50", "years that invoices and receipts of a forgotten client are kept"),
    "tell_client_days": ("0", "365", "days after which a client should be told something"),
    "disc_price": ("0", "10000", "price of a sanding disc"),
    "hourly_rate": ("0", "10000", "rate of an hour of work"),
    "hour_cost": ("0", "10000", "cost of an hour of the owner"),
    "helper_hour_cost": ("0", "10000", "cost of an hour of a helper"),
    "overhead_pct": ("0", "500", "overhead on materials and hours"),
    "profit_pct": ("0", "1000", "profit"),
    "quote_valid_days": ("1", "365", "days that a quote holds"),
    "quote_follow_up_days": ("0", "365", "days after which to ask again about a quote"),
    "promise_margin_days": ("0", "60", "working days of margin on a promise"),
    "people_at_hand": ("1", "10", "people who can lift and glue up together"),
    "interruptions_pct": ("0", "80", "share of the week that goes to other things"),
}
LENGTHS: dict[str, tuple[int, int]] = {
    "planer_width": (inches(4), inches(80)),
    "jointer_width": (inches(4), inches(80)),
}
"""Width of the machines that sub-assemblies go through, least and most [1/8 µm]; as in `calcs.glue_up`."""
LONGEST_TERMS = 4000
PRICED = ("price_per_board_foot", "disc_price", "hourly_rate", "hour_cost", "helper_hour_cost")
WHOLE = (
    "keep_papers_years", "tell_client_days", "invoice_due_days", "quote_valid_days", "quote_follow_up_days",
    "people_at_hand", "promise_margin_days",
)  # fmt: skip
CLOCKS = {"closing_time": "closing time", "morning": "morning"}
CHOICES: dict[str, tuple[str, ...]] = {
    "paper_size": ("letter", "A4"), "paper_units": (BY_COUNTRY, "in", "mm"), "both_units": ("no", "yes"),
    "job_sheet_sources": ("no", "yes"),
    "profit_as": ("markup", "margin"), "deposit_before_wood": ("yes", "no"),
    "pay_by": ("transfer", "card", "cash", "check"), "invoice_file": ("none", "UBL", "CII"),
    "vat_basis": ("invoice", "payment"),
    "tax_name": (BY_COUNTRY, SALES_TAX, VAT, "GST"), "prices_include_tax": ("no", "yes"),
}  # fmt: skip
PRICES: dict[str, tuple[str, Callable[[str], str]]] = {
    "lumber_prices": ("a species", wood_named),
    "finish_prices": ("a finish", lambda key: product(Sheet.Kind.FINISH, key).sheet.key),
    "glue_prices": ("a glue", lambda key: product(Sheet.Kind.GLUE, key).sheet.key),
    "glue_kg_prices": ("a glue", lambda key: product(Sheet.Kind.GLUE, key).sheet.key),
    "joinery_prices": ("a biscuit, dowel or tenon by size", lambda name: joiner(name).name),
    "hardware_prices": (f"a part ({', '.join(HARDWARE)})", hardware),
}
"""Prices by name: per board foot, per litre, per kilogram of glue sold by weight, or per part."""
MOST_PRICES = 200
SETTINGS = tuple(name.removesuffix("_len") for name in DEFAULTS)
"""The name of every setting at the doors."""


@command
def set_shop(
    tx: CommandTransaction,
    /,
    *,
    settings: dict[str, Any] | None = None,
    units: Units | None = None,
    **texts: str,
) -> None:
    """Set some of the shop's settings; fields not given stay. A bare length is in ``units``."""
    tx.require_owner("the shop's settings")
    shop = profile()
    tx.check_version(shop.version if shop else 0, what="the shop's settings")
    checked = dict(_checked(name, value, units or Units()) for name, value in (settings or {}).items())
    no_others(texts, PRIVATE, "no such setting")
    check_country(texts.get("country", ""))
    check_email(texts.get("email", ""))
    texts = {**texts, **read_bank_details(texts)}
    read_endpoint(texts.get("endpoint", ""), field="endpoint")
    check_phone(texts.get("phone", ""), field="phone")
    if not checked and not texts:
        raise Invalid("nothing to set", field="settings", value="", allowed=", ".join((*SETTINGS, *PRIVATE)))
    kept = {name: store_private_text(text, field=name, longest=4000) for name, text in texts.items()}
    tx.append("shop_set", "shop", {"settings": checked, **kept})
    follow_settings(checked, now=tx.call.now)


def _checked(name: str, value: Any, units: Units) -> tuple[str, Any]:
    """Return a setting's stored name and its checked value."""
    if name not in LENGTHS:
        return name, _setting(name, value)
    if value is None:
        return f"{name}_len", None
    least, most = LENGTHS[name]
    read = parse_length(str(value), unit=units.length, field=name, least=least, most=most)
    return f"{name}_len", read.units


def _setting(name: str, value: Any) -> Any:
    if name == "currency":
        if not (isinstance(value, str) and len(value) == 3 and value.isascii() and value.isupper()):
            raise Invalid("not a currency", field=name, value=value, allowed="three letters, such as USD")
        return value
    if name == "paper_color":
        return _color(value)
    if name == "terms_abroad":
        return _terms(value)
    if name == "places":
        return read_places(value)
    if name in QUOTED:
        return read_quoted(name, value)
    if name == "stocked_thicknesses":
        return read_thicknesses(value)
    if name in PRICES:
        return _prices(name, value)
    if name in ACCOUNTS:
        return read_accounts(name, value)
    if name in CHOICES:
        one_of(value, CHOICES[name], field=name)
        return value
    if name in CLOCKS:
        if not CLOCK.fullmatch(str(value)):
            raise Invalid("not a time of day", field=name, value=value, allowed="00:00 to 23:59")
        return value
    if name not in NUMBERS:
        raise Invalid("no such setting", field=name, value=value, allowed=", ".join(SETTINGS))
    least, most, what = NUMBERS[name]
    if value is None and DEFAULTS[name] is None:
        return None
    number = to_money(value, name) if name in PRICED else to_decimal(value, name)
    if not Decimal(least) <= number <= Decimal(most):
        raise Invalid(
            f"{what} cannot be {str(value)[:40]}", field=name, value=value, allowed=f"{least} to {most}"
        )
    if name in WHOLE and number != int(number):
        raise Invalid(
            f"{what} cannot be {str(value)[:40]}: whole numbers only",
            field=name,
            value=value,
            allowed=f"{least} to {most}",
        )
    return int(number) if name in WHOLE else number


def _prices(name: str, value: Any) -> dict[str, Decimal]:
    """Return prices by name, from a mapping or from lines of text such as ``black walnut: 14.50``."""
    what, known = PRICES[name]
    allowed = f"up to {MOST_PRICES} lines of {what}, a colon and a price of 0 to 10000"
    if isinstance(value, str):
        lines = [line.rpartition(":") for line in value.splitlines() if line.strip()]
        value = {key.strip(): price for key, _, price in lines}
    if not isinstance(value, dict) or len(value) > MOST_PRICES:
        raise Invalid("not a list of prices", field=name, value=str(value)[:60], allowed=allowed)
    read = {}
    for key, given in value.items():
        price = to_money(given, name)
        if not 0 <= price <= 10_000:
            raise Invalid(f"the price of {key} is out of range", field=name, value=price, allowed=allowed)
        read[_known(known, str(key), name)] = price
    return read


def _known(find: Callable[[str], str], key: str, field: str) -> str:
    try:
        return find(key)
    except (CalcError, ShopError) as unknown:
        raise Invalid(
            f"no such name: {key[:40]}", field=field, value=key[:40], allowed=unknown.allowed[:300]
        ) from unknown


def _color(value: Any) -> str:
    """Return a color for papers; refuse one that is too pale to be read on white."""
    color = str(value).strip().lower()
    if not HEX.fullmatch(color):
        allowed = "# and six figures from 0 to f, such as #5a3a1c"
        raise Invalid("not a color", field="paper_color", value=str(value)[:40], allowed=allowed)
    ratio = contrast_on_white(color)
    if ratio < LEAST_CONTRAST:
        shown = Decimal(ratio).quantize(Decimal("0.01"), ROUND_FLOOR)
        raise Invalid(
            f"too pale to be read on white paper: its contrast is {shown} to 1", field="paper_color",
            value=color, allowed=f"a contrast of at least {LEAST_CONTRAST:g} to 1",
        )  # fmt: skip
    return color


def _terms(value: Any) -> dict[str, str]:
    """Return terms by country; an empty text is left out."""
    if not isinstance(value, dict) or not all(isinstance(text, str) for text in value.values()):
        allowed = "a text by the two letters of a country"
        raise Invalid("not terms by country", field="terms_abroad", value=str(value)[:60], allowed=allowed)
    for country, text in value.items():
        if country not in COUNTRIES:
            allowed = "two letters, such as DE"
            raise Invalid("no such country", field="terms_abroad", value=country[:40], allowed=allowed)
        at_most(len(text), LONGEST_TERMS, "these terms are too long", field="terms_abroad")
        if UNSEEN.search(text):
            says = "characters that nobody sees"
            raise Invalid(says, field="terms_abroad", value=text[:60], allowed="letters, figures, lines")
    plain_ends = {country: text.replace("\r\n", "\n").strip() for country, text in value.items()}
    return {country: text for country, text in plain_ends.items() if text}


@command
def set_sheet(tx: CommandTransaction, *, kind: str, key: str, data: dict[str, Any]) -> None:
    """Set a product's data as a new version; earlier versions stay for the work that used them."""
    tx.require_owner("a product sheet")
    one_of(kind, SHEET_KINDS, "no such kind of sheet", field="kind")
    if not (
        0 < len(key) <= 60 and all(c.isalnum() or c == "-" for c in key) and key.isascii() and key.islower()
    ):
        allowed = "small letters, digits and -, up to 60"
        raise Invalid("not a sheet key", field="key", value=key[:60], allowed=allowed)
    other = Sheet.objects.filter(key=key).exclude(kind=kind).first()
    if other is not None:
        raise Invalid(f"{key} is a {other.kind} sheet", field="key", value=key, allowed="another key")
    sheet = read_sheet(kind, {**data, "key": key})
    if isinstance(sheet, WoodSheet):
        before = newest(kind).get(key)
        refuse_wood(sheet, before.wood if before else None)
    points = [vars(point) for point in read_points(data, sheet)]
    last = Sheet.objects.filter(key=key).order_by("-version").first()
    version = last.version if last else 0
    tx.check_version(version, what=f"sheet {key}")
    tx.append(
        "sheet_set",
        f"sheet:{key}",
        {
            "key": key,
            "version": version + 1,
            "kind": kind,
            "data": plain(
                {**vars(sheet), "source": dict(sheet.source), **({"points": points} if points else {})}
            ),
        },
    )
    if kind == Sheet.Kind.GLUE:
        follow_shop(now=tx.call.now)
    for wait in _running_on(key):
        recalculate_wait(tx, RouteState(wait.stage.piece), wait)


def _running_on(key: str) -> list[Wait]:
    """Return the running waits on a product; only they follow its new version."""
    running = Wait.objects.filter(step=Wait.Step.RUNNING).select_related("stage__piece__commission")
    return [wait for wait in running if wait.basis.get("product") == key]
